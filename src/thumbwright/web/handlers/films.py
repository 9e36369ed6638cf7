"""The films of a case: taken in without the person, listed, looked at."""

import json
from collections.abc import Mapping
from io import BytesIO
from typing import Annotated, Any

from fastapi import APIRouter, File, Form, Request, Response, UploadFile
from PIL import Image

from thumbwright.core.case.examined import Side
from thumbwright.core.radiograph.image import Region, View
from thumbwright.interchange.deidentify import deidentify
from thumbwright.interchange.films import read_film
from thumbwright.interchange.films_limits import LARGEST_FILE_BYTES
from thumbwright.interchange.films_list import read_film_notes
from thumbwright.storage.records import Edit, Part, Table, Value
from thumbwright.web.access import demand_name
from thumbwright.web.merging import as_seen
from thumbwright.web.rendering import case_page, desk_of, gone_to
from thumbwright.web.stored_documents import films_of
from thumbwright.web.uploads import is_one_of_many, nobody_there, outcome, take_each

router = APIRouter()
MOST_FILMS = 40
Word = Annotated[str, Form(max_length=40)]
CHOICES: dict[str, Any] = {"sides": Side, "regions": Region, "views": View}
LIST_ENDINGS = (".toml", ".json")


@router.get("/cases/{key}/films")
def films(request: Request, key: str) -> Response:
    """List the films of a case."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    kept = desk.files.of_case(key, "film")
    return case_page(
        request, desk, case, "films.html", kept=kept, notes=_notes(case.parts), **CHOICES
    )


@router.post("/cases/{key}/films")
def add_films(
    request: Request,
    key: str,
    files: Annotated[list[UploadFile], File(max_length=MOST_FILMS)],
    looked: Annotated[bool, Form()] = False,  # noqa: FBT002
) -> Response:
    """Take in films and their list; each is whole or absent, and all refusals are told."""
    if (nobody := nobody_there(request)) is not None:
        return nobody
    desk, name = desk_of(request), demand_name(request)
    case = desk.cases.case(key)

    def take(file: str, upload: UploadFile) -> None:
        if file.endswith(LIST_ENDINGS):
            notes = read_film_notes(upload.file.read(LARGEST_FILE_BYTES), file)
            edit = Edit(path=("films",), value=films_of(notes))
            why = f"from {file}"
            desk.cases.record(key, Part.FILMS, [edit], name, why, based_on=case.version)
        else:
            _take_in(request, key, file, upload, looked=looked)

    taken, refused = take_each(files, "film", take)
    if is_one_of_many(request):
        return outcome(taken, refused)
    if refused:
        now = desk.cases.case(key)
        kept = desk.files.of_case(key, "film")
        shown = {
            "kept": kept,
            "notes": _notes(now.parts),
            "refused": refused,
            "taken": taken,
            **CHOICES,
        }
        return case_page(request, desk, now, "films.html", status=400, **shown)
    return gone_to(f"/cases/{key}/films?said={len(taken)}+taken+in.")


@router.post("/cases/{key}/films/{file}/note")
def say_of_film(
    request: Request,
    key: str,
    file: str,
    based_on: Annotated[int, Form(ge=0, le=10**9)],
    side: Word = "",
    region: Word = "",
    view: Word = "",
    ball_mm: Word = "",
) -> Response:
    """Say which side, part and view a film shows, and how large the ball on it is."""
    desk, name = desk_of(request), demand_name(request)
    case = desk.cases.case(key)
    desk.files.read(key, file)
    said: Table = {"file": file, "side": side, "region": region, "view": view}
    if ball_mm.strip():
        said["ball"] = {"diameter_mm": _number(ball_mm)}
    listed = _listed(as_seen(desk, case, Part.FILMS, based_on))
    kept = [one for one in listed if not (isinstance(one, dict) and one.get("file") == file)]
    old = next((one for one in listed if one not in kept), None)
    merged: Table = {**old, **said} if isinstance(old, dict) else said
    value: list[Value] = [*kept, merged]
    read_film_notes(
        json.dumps({"thumbwright_films": 1, "films": value}), "what is said of the film"
    )
    edit = Edit(path=("films",), value=value)
    why = f"said of {file}: {side} {region}, {view}"
    desk.cases.record(key, Part.FILMS, [edit], name, why, based_on=based_on)
    return gone_to(f"/cases/{key}/films?said=Recorded.")


@router.post("/cases/{key}/films/{file}/take-away")
def take_away(request: Request, key: str, file: str) -> Response:
    """Take a film off the case."""
    demand_name(request)
    desk_of(request).files.take_away(key, file)
    return gone_to(f"/cases/{key}/films")


@router.get("/cases/{key}/films/{file}/picture.png")
def picture(request: Request, key: str, file: str, widest: int = 3000) -> Response:
    """Return a film as a grey picture, as its header asks to be seen."""
    _, data = desk_of(request).files.read(key, file)
    shown = Image.fromarray(read_film(data, file).shown)
    side = min(max(widest, 64), 6000)
    shown.thumbnail((side, side))
    out = BytesIO()
    shown.save(out, "PNG", compress_level=1)
    return Response(out.getvalue(), media_type="image/png")


def _take_in(request: Request, key: str, file: str, upload: UploadFile, *, looked: bool) -> None:
    desk, name = desk_of(request), demand_name(request)
    data = upload.file.read(LARGEST_FILE_BYTES + 1)
    read_film(data, file)
    stripped = deidentify(
        data, secret=request.app.state.secret, name=file, burned_in_checked=looked
    )
    media = upload.content_type or "application/octet-stream"
    desk.files.add(key, "film", file, media[:100], stripped, name)


def _notes(parts: Mapping[Part, Table]) -> dict[str, Table]:
    return {
        str(one.get("file")): one for one in _listed(parts[Part.FILMS]) if isinstance(one, dict)
    }


def _listed(films: Table) -> list[Value]:
    listed = films.get("films")
    return listed if isinstance(listed, list) else []


def _number(text: str) -> Value:
    """Return a number, or the text as it was typed, which the check of the list refuses."""
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        return text
