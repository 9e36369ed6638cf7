"""The list of cases, and the first page of each."""

from typing import Annotated

from fastapi import APIRouter, File, Form, Request, Response, UploadFile

from thumbwright.core.foundations.errors import CaseFileError, Fault
from thumbwright.interchange.case_file import read_case
from thumbwright.storage.records import Part, Table
from thumbwright.web.access import LONGEST_NAME, demand_name, remember
from thumbwright.web.rendering import desk_of, gone_to, page, result_page
from thumbwright.web.stored_documents import facts_of

router = APIRouter()
LARGEST_CASE_BYTES = 1_000_000
Text = Annotated[str, Form(max_length=400)]


@router.get("/")
def case_list(request: Request, search: str = "", archived: bool = False) -> Response:  # noqa: FBT002
    """Show the cases."""
    rows = desk_of(request).cases.cases(search, archived=archived)
    return page(request, "case_list.html", rows=rows, search=search, archived=archived)


@router.post("/who")
def who(name: Annotated[str, Form(max_length=LONGEST_NAME)], back: Text = "/") -> Response:
    """Remember who is at the desk."""
    inside = back if back.startswith("/") and not back.startswith("//") else "/"
    answer = gone_to(inside)
    remember(answer, name.strip())
    return answer


@router.post("/cases")
def new_case(
    request: Request, case_id: Text = "", pseudonym: Text = "", why: Text = ""
) -> Response:
    """Begin a case with its names; everything else is not examined yet."""
    name = demand_name(request)
    if not case_id.strip() or not pseudonym.strip():
        fault = Fault(
            path="case_id and patient.pseudonym",
            given=f"{case_id!r} and {pseudonym!r}",
            allowed="a word for each that identifies nobody outside the unit",
            advice="fill in both",
        )
        raise CaseFileError("the new case", (fault,))
    facts: Table = {
        "case_id": case_id.strip()[:40],
        "examined_on": desk_of(request).today().isoformat(),
        "patient": {"pseudonym": pseudonym.strip()[:40]},
    }
    stored = desk_of(request).cases.begin(name, why or "new case", {Part.FACTS: facts})
    return gone_to(f"/cases/{stored.key}")


@router.post("/cases/from-file")
def case_from_file(request: Request, file: Annotated[UploadFile, File()]) -> Response:
    """Begin a case from a case file; every fault is told at once and nothing is kept."""
    name = demand_name(request)
    data = file.file.read(LARGEST_CASE_BYTES + 1)
    read = read_case(data, (file.filename or "the case file")[:100])
    facts = facts_of(read)
    stored = desk_of(request).cases.begin(name, f"from {file.filename}", {Part.FACTS: facts})
    return gone_to(f"/cases/{stored.key}")


@router.get("/cases/{key}")
def case(request: Request, key: str) -> Response:
    """Show how far a case is."""
    desk = desk_of(request)
    return result_page(request, desk, desk.cases.case(key), "case.html")


@router.post("/cases/{key}/copy")
def copy(request: Request, key: str) -> Response:
    """Copy a case with its films."""
    desk, name = desk_of(request), demand_name(request)
    stored = desk.cases.copy(key, name)
    return gone_to(f"/cases/{stored.key}?said=This+is+the+copy.")


@router.post("/cases/{key}/archive")
def archive(request: Request, key: str, away: Annotated[bool, Form()] = True) -> Response:  # noqa: FBT002
    """Put a case away, or fetch it back."""
    demand_name(request)
    desk_of(request).cases.put_away(key, away=away)
    return gone_to("/" if away else f"/cases/{key}")
