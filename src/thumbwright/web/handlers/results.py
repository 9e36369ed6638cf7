"""Length and level, techniques, plan: what follows from the facts, and what was decided."""

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from starlette.responses import JSONResponse

from thumbwright.core.foundations.answer import Unknown
from thumbwright.documents.plan_content import OptionState
from thumbwright.documents.plan_figures import (
    level_bars,
    level_picture,
    scale_drawing,
    scale_picture,
)
from thumbwright.storage.records import Edit, Part, StoreError, Table
from thumbwright.web.access import demand_name
from thumbwright.web.rendering import desk_of, gone_to, result_page

router = APIRouter()
Text = Annotated[str, Form(max_length=2000)]
SVG = "image/svg+xml"


@router.get("/cases/{key}/level")
def level(request: Request, key: str) -> Response:
    """Show lengths, cuts and level."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    paper = desk.result_so_far(case, desk.patience_s).paper
    pictures = {}
    if paper is not None:
        if not isinstance(paper.scale, Unknown):
            pictures["scale.svg"] = scale_picture(paper.scale)
        if not isinstance(paper.levels.shares, Unknown):
            pictures["level.svg"] = level_picture(paper.levels.shares)
    return result_page(request, desk, case, "level.html", pictures=pictures)


@router.get("/cases/{key}/options")
def options(request: Request, key: str) -> Response:
    """Show the techniques with their reasons."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    return result_page(request, desk, case, "options.html", states=OptionState)


@router.get("/cases/{key}/plan")
def plan(request: Request, key: str) -> Response:
    """Show the proposal, and what was decided."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    decision = case.parts[Part.DECISION]
    return result_page(request, desk, case, "plan.html", decision=decision)


@router.get("/cases/{key}/working")
def working(request: Request, key: str) -> Response:
    """Say how far the plan of a case is."""
    desk = desk_of(request)
    job = desk.job(desk.cases.case(key))
    if job is None:
        return JSONResponse({"is_ready": True})
    return JSONResponse({"is_ready": False, "said": job.said, "step": job.step, "steps": job.steps})


@router.post("/cases/{key}/plan")
def decide(
    request: Request,
    key: str,
    based_on: Annotated[int, Form(ge=0, le=10**9)],
    plan_a: Text = "",
    fallback: Text = "",
    reasons: Text = "",
) -> Response:
    """Record what surgeon and patient chose, also against the proposal."""
    desk, name = desk_of(request), demand_name(request)
    case = desk.cases.case(key)
    result = desk.result(case)
    known = [] if result.paper is None else _names(result.paper.options)
    wrong = [one for one in (plan_a, fallback) if one and one not in known]
    if wrong or not plan_a or not reasons.strip():
        msg = (
            f"plan {plan_a!r}, fallback {fallback!r} and {len(reasons.strip())} letters of reasons "
            "were given; allowed are techniques of the list and reasons in words; complete them"
        )
        raise StoreError(msg)
    decision: Table = {
        "plan_a": plan_a,
        "fallback": fallback,
        "reasons": reasons.strip(),
        "facts_sha256": result.facts_sha256,
        "decided_by": name,
        "decided_on": desk.today().isoformat(),
    }
    edits = [Edit(path=("plan",), value=decision)]
    desk.cases.record(key, Part.DECISION, edits, name, reasons.strip(), based_on=based_on)
    return gone_to(f"/cases/{key}/plan?said=Recorded.")


@router.get("/cases/{key}/drawings/{name}")
def drawing(request: Request, key: str, name: str) -> Response:
    """Return a drawing of the plan."""
    desk = desk_of(request)
    result = desk.result(desk.cases.case(key))
    if result.paper is not None and name == "scale.svg":
        columns = result.paper.scale
        if not isinstance(columns, Unknown):
            return Response(scale_drawing(columns, title="Bones to one scale"), media_type=SVG)
    if result.paper is not None and name == "level.svg":
        shares = result.paper.levels.shares
        if not isinstance(shares, Unknown):
            return Response(level_bars(shares, title="Levels of loss"), media_type=SVG)
    if name not in result.drawings:
        msg = f"no drawing {name!r} of this case; allowed are those its pages show; go back"
        raise StoreError(msg)
    return Response(result.drawings[name], media_type=SVG)


def _names(options: object) -> list[str]:
    return [] if isinstance(options, Unknown) else [one.technique for one in options]  # type: ignore[attr-defined]
