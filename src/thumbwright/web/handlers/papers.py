"""Papers that were issued: numbered, hashed, never altered."""

from fastapi import APIRouter, Request, Response

from thumbwright import __version__
from thumbwright.documents.plan_report import write_json, write_pdf
from thumbwright.storage.records import IssuedPaper, StoreError
from thumbwright.web.access import demand_name
from thumbwright.web.desk import Desk
from thumbwright.web.rendering import desk_of, gone_to, result_page

router = APIRouter()


@router.get("/cases/{key}/papers")
def papers(request: Request, key: str) -> Response:
    """List the papers, and what changed since each."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    history = desk.cases.history(key)
    issued = [
        (paper, [change for change in history if change.number > paper.version])
        for paper in desk.papers.of_case(key)
    ]
    return result_page(request, desk, case, "papers.html", issued=issued)


@router.post("/cases/{key}/papers")
def issue(request: Request, key: str) -> Response:
    """Issue the plan as it follows from the facts now."""
    desk, name = desk_of(request), demand_name(request)
    case = desk.cases.case(key)
    result = desk.result(case)
    if result.paper is None:
        msg = (
            "a paper was to be issued and the plan cannot be worked out yet; allowed is a case "
            "whose facts and films are whole; see what is missing on the page of the case"
        )
        raise StoreError(msg)
    paper = desk.papers.issue(
        key,
        kind="plan",
        title=f"Plan for {case.row.name}",
        version=case.version,
        facts_sha256=result.facts_sha256,
        program=f"thumbwright {__version__}",
        pdf=write_pdf(result.paper, result.drawings),
        json=write_json(result.paper).encode(),
        who=name,
    )
    return gone_to(f"/cases/{key}/papers?said=Paper+{paper.number}+was+issued.")


@router.get("/cases/{key}/papers/{number}.pdf")
def pdf(request: Request, key: str, number: int) -> Response:
    """Return a paper as it was handed out."""
    desk = desk_of(request)
    paper = _paper(desk, key, number)
    name = f'inline; filename="plan-{number}.pdf"'
    headers = {"Content-Disposition": name}
    data = desk.kept.read(paper.pdf_sha256)
    return Response(data, media_type="application/pdf", headers=headers)


@router.get("/cases/{key}/papers/{number}.json")
def json(request: Request, key: str, number: int) -> Response:
    """Return a paper for machines."""
    desk = desk_of(request)
    data = desk.kept.read(_paper(desk, key, number).json_sha256)
    return Response(data, media_type="application/json")


def _paper(desk: Desk, key: str, number: int) -> IssuedPaper:
    desk.cases.case(key)
    found = [paper for paper in desk.papers.of_case(key) if paper.number == number]
    if not found:
        msg = f"no paper {number} in this case; allowed are those of its list; choose one there"
        raise StoreError(msg)
    return found[0]
