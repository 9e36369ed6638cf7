"""Growth visits: what was measured of both thumbs later on, one visit at a time."""

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from thumbwright.core.foundations.answer import Unknown
from thumbwright.storage.records import Edit, Part, StoredCase, StoreError, Value
from thumbwright.web.access import demand_name, who_is_it
from thumbwright.web.exam_answers import by_field
from thumbwright.web.growth_visits import (
    VISITS,
    Given,
    clashes_in_words,
    empty_values,
    grew_when_examined,
    label_of,
    row_of,
    visit_given,
    visit_page,
    visits_in,
)
from thumbwright.web.handlers.exam import Answers, version_shown
from thumbwright.web.merging import as_seen
from thumbwright.web.rendering import case_page, desk_of, gone_to

router = APIRouter()
Based = Annotated[int, Form(ge=0, le=10**9)]


@router.get("/cases/{key}/growth")
def growth_visits(request: Request, key: str) -> Response:
    """Show the visits of a case, and the form for one more."""
    case = desk_of(request).cases.case(key)
    return _page(request, case, based_on=case.version)


@router.post("/cases/{key}/growth")
def add(request: Request, key: str, answers: Answers) -> Response:
    """Record one visit; a fault keeps everything as typed and records nothing."""
    desk, who = desk_of(request), who_is_it(request)
    case, based_on = desk.cases.case(key), version_shown(answers)
    seen = visits_in(as_seen(desk, case, Part.FACTS, based_on))
    given = visit_given(answers, seen, case.parts[Part.FACTS])
    if given.faults or not who:
        return _page(request, case, based_on=based_on, given=given)
    _write(request, case, given.visits, f"growth visit of {given.day}", based_on)
    return gone_to(f"/cases/{key}/growth?said=The+visit+is+recorded.")


@router.post("/cases/{key}/growth/{number}/take-back")
def take_back(request: Request, key: str, number: int, based_on: Based) -> Response:
    """Take one visit back, by a further change.

    Raises
    ------
    StoreError
        If the page did not show so many.
    """
    desk = desk_of(request)
    case = desk.cases.case(key)
    visits = visits_in(as_seen(desk, case, Part.FACTS, based_on))
    if not 0 <= number < len(visits):
        msg = (
            f"visit {number} was to be taken back; allowed are the visits of the list; open the "
            "page anew and choose one there"
        )
        raise StoreError(msg)
    day = row_of(visits.pop(number)).day
    _write(request, case, visits, f"growth visit of {day} taken back", based_on)
    return gone_to(f"/cases/{key}/growth?said=The+visit+is+taken+back.")


def _write(
    request: Request, case: StoredCase, visits: list[Value], why: str, based_on: int
) -> None:
    edit = Edit(path=(VISITS,), value=visits or None)
    who = demand_name(request)
    desk_of(request).cases.record(case.key, Part.FACTS, [edit], who, why, based_on=based_on)


def _page(
    request: Request, case: StoredCase, *, based_on: int, given: Given | None = None
) -> Response:
    desk, facts = desk_of(request), case.parts[Part.FACTS]
    grew = grew_when_examined(facts, desk.today())
    faults = given.faults if given else ()
    return case_page(
        request,
        desk,
        case,
        "growth_visits.html",
        status=400 if given else 200,
        form=visit_page(),
        rows=[row_of(one) for one in visits_in(facts)],
        clashes=clashes_in_words(facts),
        does_not_grow=not isinstance(grew, Unknown) and not grew,
        values=given.values if given else empty_values(),
        faults=faults,
        faults_by=by_field(faults),
        words=label_of,
        is_nobody=given is not None and not who_is_it(request),
        based_on=based_on,
    )
