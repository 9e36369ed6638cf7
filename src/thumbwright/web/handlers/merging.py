"""Two people changed the same: both values side by side, and a choice for each."""

from fastapi import APIRouter, Request, Response

from thumbwright.storage.records import Attempt, ConflictError
from thumbwright.web.access import demand_name
from thumbwright.web.handlers.exam import Answers
from thumbwright.web.merging import START, MergeError, keep, page_after, unsettled
from thumbwright.web.rendering import desk_of, gone_to, page

router = APIRouter()
AGAIN = "Something was changed once more in the meantime: look again, then choose."


def met(request: Request, attempt: Attempt) -> Response:
    """Keep what somebody meant to record, and show both."""
    desk, who = desk_of(request), demand_name(request)
    return _shown(request, attempt.key, keep(desk, attempt, who), status=409)


@router.get("/cases/{key}/merge/{token}")
def conflict(request: Request, key: str, token: str) -> Response:
    """Show again what is not settled."""
    return _shown(request, key, token)


@router.post("/cases/{key}/merge/{token}")
def settle(request: Request, key: str, token: str, answers: Answers) -> Response:
    """Record what was chosen as further changes; what others recorded stays in the history."""
    desk, who = desk_of(request), demand_name(request)
    found = unsettled(desk, key, token, who)
    attempt = found.attempt
    given = {
        side.number: (answers.get(f"choice-{side.number}") or [""])[-1] for side in found.sides
    }
    if (answers.get("based_on") or [""])[-1] != str(found.version):
        return _shown(request, key, token, status=409, fault=AGAIN)
    try:
        edits = found.edits(given)
        others = sorted({side.changed_by for side in found.sides})
        why = f"{attempt.why} (chosen beside what {', '.join(others)} recorded)"[:400]
        if edits:
            desk.cases.record(key, attempt.part, edits, who, why, based_on=found.version)
    except MergeError as fault:
        return _shown(request, key, token, status=400, fault=str(fault))
    except ConflictError:
        return _shown(request, key, token, status=409, fault=AGAIN)
    desk.drafts.drop(key, START + token, who)
    after = page_after(attempt)
    desk.drafts.drop(key, after, who)
    return gone_to(f"/cases/{key}/{after}?said=Settled.+The+history+keeps+both.")


def _shown(
    request: Request, key: str, token: str, *, status: int = 200, fault: str = ""
) -> Response:
    found = unsettled(desk_of(request), key, token, demand_name(request))
    return page(request, "conflict.html", status=status, found=found, fault=fault)
