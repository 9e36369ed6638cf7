"""Every change of a case, and taking one back."""

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from thumbwright.web.access import demand_name, who_is_it
from thumbwright.web.merging import START
from thumbwright.web.rendering import case_page, desk_of, gone_to

router = APIRouter()


@router.get("/cases/{key}/history")
def history(request: Request, key: str) -> Response:
    """Show who changed what, when, and why; the newest first."""
    desk = desk_of(request)
    changes = desk.cases.history(key)[::-1]
    kept = desk.drafts.of_case(key, who_is_it(request), START)
    open_ = [(one.page.removeprefix(START), one.saved_at) for one in kept]
    case = desk.cases.case(key)
    return case_page(request, desk, case, "history.html", changes=changes, unsettled=open_)


@router.post("/cases/{key}/history/{number}/take-back")
def take_back(
    request: Request, key: str, number: int, why: Annotated[str, Form(max_length=400)] = ""
) -> Response:
    """Take one change back, by a further change."""
    desk_of(request).cases.undo(key, number, demand_name(request), why or "taken back")
    return gone_to(f"/cases/{key}/history?said=Change+{number}+was+taken+back.")
