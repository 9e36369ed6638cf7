"""On one film: joint lines proposed on request, and ball, ruler, heights and tilt recorded."""

import json
from typing import Annotated, Any

from fastapi import APIRouter, Body, Request, Response
from starlette.responses import JSONResponse

from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.radiograph.landmarks import FilmNotes
from thumbwright.storage.records import ConflictError, Edit, Part
from thumbwright.web.access import demand_name
from thumbwright.web.film_proposals import proposed_on
from thumbwright.web.film_sent import sent_points, sent_version
from thumbwright.web.live import LiveFilms, note_of
from thumbwright.web.rendering import desk_of
from thumbwright.web.stored_documents import films_of, notes_of

router = APIRouter()
Sent = Annotated[dict[str, Any], Body()]


@router.post("/cases/{key}/films/{file}/proposals")
def propose(request: Request, key: str, file: str, sent: Sent) -> Response:
    """Propose the points of a ray between its two ends; nothing is recorded."""
    case = desk_of(request).cases.case(key)
    live = _live(request)
    try:
        points = sent_points(sent)
        note = note_of(notes_of(case), file)
        if isinstance(sent.get("scale"), dict):
            note, _ = live.scaled(case, note, sent["scale"], points)
        own = live.reading(case, points.on(note))
        bones = sent.get("bones")
        count = bones if isinstance(bones, int) else 0
        return JSONResponse(proposed_on(own, str(sent.get("ray")), points, count))
    except PlanError as fault:
        return JSONResponse({"message": str(fault)}, 400)


@router.post("/cases/{key}/films/{file}/scale")
def say_scale(request: Request, key: str, file: str, sent: Sent) -> Response:
    """Record ball, ruler, heights and tilt of a film, or tell every fault beside its field."""
    desk = desk_of(request)
    try:
        who = demand_name(request)
        case = desk.cases.case(key)
        notes = notes_of(case)
        note = note_of(notes, file)
        fields = sent.get("scale")
        said, faults = _live(request).scaled(
            case, note, fields if isinstance(fields, dict) else {}, sent_points(sent)
        )
        if faults:
            count = f"{len(faults)} fields" if len(faults) > 1 else "1 field"
            told = [one.table for one in faults]
            return JSONResponse({"message": f"Not recorded: {count} to mend.", "faults": told}, 400)
        at = notes.films.index(note)
        written = films_of(FilmNotes(films=(said,)))
        assert isinstance(written, list)  # noqa: S101  a list of films is a list
        listed = json.loads(json.dumps(case.parts[Part.FILMS]["films"]))
        listed[at] = written[0]
        edit = Edit(path=("films",), value=listed)
        why = f"ball, ruler, heights and tilt of {file}"
        based_on = sent_version(sent.get("based_on"))
        stored = desk.cases.record(key, Part.FILMS, [edit], who, why, based_on=based_on)
    except ConflictError as clash:
        return JSONResponse({"message": str(clash)}, 409)
    except PlanError as fault:
        return JSONResponse({"message": str(fault)}, 400)
    return JSONResponse({"message": "Recorded.", "based_on": str(stored.version)})


def _live(request: Request) -> LiveFilms:
    films: LiveFilms = request.app.state.live
    return films
