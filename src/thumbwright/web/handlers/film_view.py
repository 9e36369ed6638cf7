"""One film on the screen: points placed, lengths while they move, rounds saved."""

import json
from typing import Annotated, Any

from fastapi import APIRouter, Body, Request, Response
from starlette.responses import JSONResponse

from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.radiograph.landmarks import FilmNote, Landmark, Point
from thumbwright.interchange.films_list import EDGE_PX, points_of
from thumbwright.storage.records import Edit, Part, Table, Value
from thumbwright.web.access import demand_name
from thumbwright.web.live import LiveFilms, note_of
from thumbwright.web.rendering import case_page, desk_of
from thumbwright.web.stored_documents import notes_of

router = APIRouter()
Sent = Annotated[dict[str, Any], Body()]
MOST_ROUNDS = 50


class PointsError(PlanError):
    """Points came in a way they cannot be taken."""


@router.get("/cases/{key}/films/{file}")
def film(request: Request, key: str, file: str) -> Response:
    """Show one film with its points."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    note = note_of(notes_of(case), file)
    rows, columns = _live(request).reading(case, note).film.shown.shape
    shown = {"note": note, "rows": rows, "columns": columns, "points": _points(note)}
    return case_page(request, desk, case, "film.html", rounds=len(note.placements), **shown)


@router.post("/cases/{key}/films/{file}/live")
def live(request: Request, key: str, file: str, sent: Sent) -> Response:
    """Return lengths and lines for points that are being moved."""
    case = desk_of(request).cases.case(key)
    try:
        return JSONResponse(_live(request).answer(case, file, _read(sent)))
    except PlanError as fault:
        return JSONResponse({"message": str(fault)}, 400)


@router.post("/cases/{key}/films/{file}/rounds")
def save(request: Request, key: str, file: str, sent: Sent) -> Response:
    """Keep one more round of points; what is still a proposal is left out."""
    desk = desk_of(request)
    try:
        who = demand_name(request)
        case = desk.cases.case(key)
        notes = notes_of(case)
        at = notes.films.index(note_of(notes, file))
        points = _read(sent, only_placed=True)
        based_on = _version(sent.get("based_on"))
        if not points or len(notes.films[at].placements) >= MOST_ROUNDS:
            msg = (
                f"{len(points)} placed points were sent; allowed are one or more, in up to "
                f"{MOST_ROUNDS} rounds; place or confirm some, then save"
            )
            raise PointsError(msg)
        listed = json.loads(json.dumps(case.parts[Part.FILMS]["films"]))
        places: Table = {name.value: [*point] for name, point in points.items()}
        round_: Table = {"observer": who[:40], "points": places}
        listed[at].setdefault("placements", []).append(round_)
        edit = Edit(path=("films",), value=listed)
        why = f"a round of points on {file}"
        stored = desk.cases.record(key, Part.FILMS, [edit], who, why, based_on=based_on)
    except (PlanError, ValueError) as fault:
        return JSONResponse({"message": str(fault)}, 409 if "somebody else" in str(fault) else 400)
    rounds = len(listed[at]["placements"])
    message = f"Round {rounds} is saved: {len(points)} points."
    return JSONResponse({"message": message, "rounds": rounds, "based_on": str(stored.version)})


def _live(request: Request) -> LiveFilms:
    films: LiveFilms = request.app.state.live
    return films


def _points(note: FilmNote) -> list[Value]:
    allowed = points_of(note.region)
    last: dict[Landmark, Point] = {}
    state: dict[Landmark, str] = {}
    for placement in note.placements:
        for name, at in placement.points.items():
            if placement.confirmed or state.get(name) != "placed":
                last[name], state[name] = at, "placed" if placement.confirmed else "proposed"
    return [
        {
            "name": name.value,
            "label": name.words,
            "col": last[name][0] if name in last else None,
            "row": last[name][1] if name in last else None,
            "state": state.get(name, "missing"),
        }
        for name in Landmark
        if name in allowed
    ]


def _read(sent: dict[str, Any], *, only_placed: bool = False) -> dict[Landmark, list[float]]:
    found: dict[Landmark, list[float]] = {}
    given = sent.get("points")
    for one in given if isinstance(given, list) else []:
        try:
            name, at = Landmark(one["name"]), [float(one["col"]), float(one["row"])]
        except (KeyError, TypeError, ValueError, OverflowError) as fault:
            raise _not_read(one) from fault
        if not all(EDGE_PX <= place <= 100_000 for place in at):
            raise _not_read(one)
        if one.get("state") == "placed" or not only_placed:
            found[name] = at
    return found


def _version(given: object) -> int:
    text = str(given)
    if not text.isascii() or not text.isdigit() or len(text) > 9:
        msg = (
            f"{ascii(given)[:40]} was sent as the version of the case; allowed is a whole number; "
            "open the page anew"
        )
        raise PointsError(msg)
    return int(text)


def _not_read(one: object) -> PointsError:
    return PointsError(
        f"a point was sent as {ascii(one)[:120]}; allowed are a known name with its column and row "
        "on the film; open the page anew"
    )
