"""One film on the screen: points placed, lengths while they move, rounds saved."""

import json
from typing import Annotated, Any

from fastapi import APIRouter, Body, Request, Response
from starlette.responses import JSONResponse

from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.records import ConflictError, Edit, Part
from thumbwright.web.access import demand_name
from thumbwright.web.film_points import film_points, round_placements, rounds_of
from thumbwright.web.film_proposals import rays_to_propose
from thumbwright.web.film_scale import SCALE_FIELDS, fields_of
from thumbwright.web.film_sent import PointsError, sent_points, sent_version
from thumbwright.web.live import LiveFilms, note_of
from thumbwright.web.rendering import case_page, desk_of
from thumbwright.web.stored_documents import notes_of

router = APIRouter()
Sent = Annotated[dict[str, Any], Body()]
MOST_ROUNDS = 50


@router.get("/cases/{key}/films/{file}")
def film(request: Request, key: str, file: str) -> Response:
    """Show one film with its points."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    note = note_of(notes_of(case), file)
    rows, columns = _live(request).reading(case, note).film.shown.shape
    ruler = note.ruler
    ends = [list(ruler.start), list(ruler.end)] if ruler else None
    said = fields_of(note)
    given = {
        "rounds": rounds_of(note),
        "points": film_points(note),
        "rays": rays_to_propose(note.region),
        "ruler": ends,
        "scale": [
            {"key": one.key, "label": one.label, "group": one.group, "text": said[one.key]}
            for one in SCALE_FIELDS
        ],
    }
    shown = {"note": note, "rows": rows, "columns": columns, "given": given}
    return case_page(request, desk, case, "film.html", **shown)


@router.post("/cases/{key}/films/{file}/live")
def live(request: Request, key: str, file: str, sent: Sent) -> Response:
    """Return lengths and lines for points that are being moved."""
    case = desk_of(request).cases.case(key)
    fields = sent.get("scale")
    try:
        points = sent_points(sent)
        said = fields if isinstance(fields, dict) else None
        return JSONResponse(_live(request).answer(case, file, points, said))
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
        note = note_of(notes, file)
        points = sent_points(sent).placed
        based_on = sent_version(sent.get("based_on"))
        if not points or len(note.placements) >= MOST_ROUNDS:
            msg = (
                f"{len(points)} placed points were sent; allowed are one or more, in up to "
                f"{MOST_ROUNDS} rounds; place or confirm some, then save"
            )
            raise PointsError(msg)
        confirmed = sent.get("confirmed")
        names = [str(name) for name in confirmed] if isinstance(confirmed, list) else []
        listed = json.loads(json.dumps(case.parts[Part.FILMS]["films"]))
        at = notes.films.index(note)
        listed[at].setdefault("placements", []).extend(round_placements(points, names, who[:40]))
        edit = Edit(path=("films",), value=listed)
        why = f"a round of points on {file}"
        stored = desk.cases.record(key, Part.FILMS, [edit], who, why, based_on=based_on)
    except ConflictError as clash:
        return JSONResponse({"message": str(clash)}, 409)
    except (PlanError, ValueError) as fault:
        return JSONResponse({"message": str(fault)}, 400)
    rounds = rounds_of(note_of(notes_of(stored), file))
    message = f"Round {rounds} is saved: {len(points)} points."
    return JSONResponse({"message": message, "rounds": rounds, "based_on": str(stored.version)})


def _live(request: Request) -> LiveFilms:
    films: LiveFilms = request.app.state.live
    return films
