"""What lies ahead with each technique: weighing, burden, growth, reach, risk, series."""

from fastapi import APIRouter, Request, Response
from starlette.responses import JSONResponse

from thumbwright import __version__
from thumbwright.bootstrap import knowledge
from thumbwright.documents.report_printing import write_report_json, write_report_pdf
from thumbwright.storage.records import StoreError
from thumbwright.web.access import demand_name
from thumbwright.web.ahead import Ahead, AheadDesk
from thumbwright.web.rendering import case_page, desk_of, gone_to
from thumbwright.web.unit_prices import prices_of

router = APIRouter()
SVG = "image/svg+xml"
PARTS = {
    "weighing": "Weighed",
    "ahead": "Burden and risk",
    "growth": "Growth",
    "reach": "Reach",
    "risk": "This patient's risk",
    "evidence": "What was published",
}
"""Key of each section, and its word in the row of links."""


@router.get("/cases/{key}/ahead")
def first(key: str) -> Response:
    """Go to the first part."""
    return gone_to(f"/cases/{key}/ahead/weighing")


@router.get("/cases/{key}/ahead/working")
def working(request: Request, key: str) -> Response:
    """Say how far what lies ahead is."""
    desk = desk_of(request)
    job = _desk(request).job(desk.cases.case(key), prices_of(request))
    if job is None:
        return JSONResponse({"is_ready": True})
    return JSONResponse({"is_ready": False, "said": job.said, "step": job.step, "steps": job.steps})


@router.get("/cases/{key}/ahead/{part}")
def part(request: Request, key: str, part: str, of: str = "") -> Response:
    """Show one part of what lies ahead, with details of one technique or of the plans."""
    if part not in PARTS:
        msg = f"the part {part!r} was asked for; allowed are {', '.join(PARTS)}; choose one"
        raise StoreError(msg)
    desk = desk_of(request)
    case = desk.cases.case(key)
    ahead = _desk(request).so_far(case, prices_of(request), desk.patience_s)
    named = {one.key: one.short_name for one in knowledge().techniques}
    left = _left(ahead, of)
    section = None
    if ahead.found is not None:
        report, _ = _desk(request).report(ahead, (of,) if of else None)
        section = next(one for one in report.sections if one.key == part)
    return case_page(
        request,
        desk,
        case,
        "ahead.html",
        status=200 if ahead.job is None else 202,
        ahead=ahead,
        section=section,
        part=part,
        parts_named=PARTS,
        of=of,
        techniques=[(one, named[one]) for one in left],
    )


@router.get("/cases/{key}/ahead/{part}/drawings/{name}")
def drawing(request: Request, key: str, part: str, name: str, of: str = "") -> Response:
    """Return a drawing of what lies ahead."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    ahead = _desk(request).whole(case, prices_of(request))
    _left(ahead, of)
    report, drawings = _desk(request).report(ahead, (of,) if of else None)
    if name not in drawings or part not in {one.key for one in report.sections}:
        msg = f"no drawing {name!r} of this case; allowed are those its pages show; go back"
        raise StoreError(msg)
    return Response(drawings[name], media_type=SVG)


@router.post("/cases/{key}/ahead")
def issue(request: Request, key: str) -> Response:
    """Issue the report of what lies ahead as a paper."""
    desk, name = desk_of(request), demand_name(request)
    case = desk.cases.case(key)
    ahead = _desk(request).whole(case, prices_of(request))
    report, drawings = _desk(request).report(ahead)
    paper = desk.papers.issue(
        key,
        kind="ahead",
        title=f"What lies ahead for {case.row.name}",
        version=case.version,
        facts_sha256=ahead.facts_sha256,
        program=f"thumbwright {__version__}",
        pdf=write_report_pdf(report, drawings),
        json=write_report_json(report).encode(),
        who=name,
    )
    return gone_to(f"/cases/{key}/papers?said=Paper+{paper.number}+was+issued.")


def _left(ahead: Ahead, of: str) -> tuple[str, ...]:
    """Return the techniques that are not closed; refuse one that is asked for and is not there."""
    if ahead.found is None:
        return ()
    left = tuple(one.technique for one in ahead.found.outlooks)
    if of and of not in left:
        msg = f"details of {of!r} were asked for; allowed are {', '.join(left)}; choose one"
        raise StoreError(msg)
    return left


def _desk(request: Request) -> AheadDesk:
    found: AheadDesk = request.app.state.ahead
    return found
