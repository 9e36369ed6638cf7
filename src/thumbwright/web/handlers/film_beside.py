"""One hand film and one foot film beside each other, at one scale."""

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Body, Query, Request, Response
from starlette.responses import JSONResponse

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.radiograph.lengths import TOES
from thumbwright.storage.records import StoredCase, Table
from thumbwright.web.film_beside import Pick, beside, picked
from thumbwright.web.film_points import film_points, rounds_of
from thumbwright.web.film_scale import scale_table
from thumbwright.web.film_sent import sent_points
from thumbwright.web.live import LiveFilms, note_of
from thumbwright.web.rendering import case_page, desk_of
from thumbwright.web.stored_documents import notes_of

router = APIRouter()
Sent = Annotated[dict[str, Any], Body()]
Name = Annotated[str, Query(max_length=200)]


@router.get("/cases/{key}/beside")
def show(request: Request, key: str, hand: Name = "", foot: Name = "", toe: Name = "") -> Response:
    """Show two films at one scale, with the missing length on both."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    live: LiveFilms = request.app.state.live
    pick = picked(live, case, {"hand": hand, "foot": foot, "toe": toe})
    if isinstance(pick, Unknown):
        return case_page(request, desk, case, "film_beside.html", trouble=pick)
    films = [_film(live, case, file) for file in (pick.hand, pick.foot)]
    shown: dict[str, Any] = {
        "trouble": None,
        "pick": pick,
        "films": films,
        "notes": notes_of(case).films,
        "toes": [ray.name.value for ray in TOES],
        "one_scale": all(one["mm_per_px"] for one in films),
    }
    return case_page(request, desk, case, "film_beside.html", **shown)


@router.post("/cases/{key}/beside/live")
def live_beside(request: Request, key: str, sent: Sent) -> Response:
    """Return lengths, bars and words for points that are being moved on either film."""
    case = desk_of(request).cases.case(key)
    live: LiveFilms = request.app.state.live
    asked = {name: str(sent.get(name, ""))[:200] for name in ("hand", "foot", "toe")}
    try:
        pick = picked(live, case, asked)
        if isinstance(pick, Unknown):
            return JSONResponse({"message": str(pick)}, 400)
        return JSONResponse(beside(live, case, pick, _moved(sent, pick)))
    except PlanError as fault:
        return JSONResponse({"message": str(fault)}, 400)


def _moved(sent: dict[str, Any], pick: Pick) -> dict[str, Any]:
    given = sent.get("films")
    given = given if isinstance(given, dict) else {}
    return {
        file: sent_points(given[file])
        for file in (pick.hand, pick.foot)
        if isinstance(given.get(file), dict)
    }


def _film(live: LiveFilms, case: StoredCase, file: str) -> Table:
    note = note_of(notes_of(case), file)
    own = live.reading(case, note)
    rows, columns = own.film.shown.shape
    scale = scale_table(own.scale, ())
    return {
        "file": file,
        "side": note.side.value,
        "region": note.region.value,
        "view": note.view.value,
        "rows": rows,
        "columns": columns,
        "mm_per_px": scale["mm_per_px"],
        "scale": scale["text"],
        "needed": scale["needed"],
        "base": f"/cases/{case.key}/films/{quote(file)}",
        "points": film_points(note),
        "rounds": rounds_of(note),
    }
