"""Prices of this unit: what counts, what counted before, and the form for a new list."""

from fastapi import APIRouter, Request, Response

from thumbwright.storage.unit_papers import PaperChangedError
from thumbwright.web.access import demand_name, who_is_it
from thumbwright.web.exam_answers import by_field
from thumbwright.web.handlers.exam import Answers, Posted
from thumbwright.web.rendering import desk_of, gone_to, page
from thumbwright.web.unit_prices import (
    GivenPrices,
    UnitPrices,
    form_for,
    given_prices,
    label_of,
    values_of,
)

router = APIRouter()


@router.get("/prices")
def show(request: Request) -> Response:
    """Show the prices that count."""
    return _page(request)


@router.post("/prices")
def save(request: Request, answers: Answers) -> Response:
    """Save a list; a fault, a conflict or no name keeps everything as typed."""
    kept = _kept(request)
    before = kept.prices()
    given = given_prices(form_for(before), answers, before)
    if given.prices is None or not who_is_it(request):
        return _page(request, given, answers, status=400)
    if given.prices == before:
        return gone_to("/prices?said=Nothing+was+changed.")
    try:
        kept.save(given.prices, demand_name(request), _based_on(answers))
    except PaperChangedError:
        return _page(request, given, answers, status=409)
    return gone_to("/prices?said=The+prices+are+saved+and+count+from+now+on.")


def _page(
    request: Request,
    given: GivenPrices | None = None,
    answers: Posted | None = None,
    status: int = 200,
) -> Response:
    kept = _kept(request)
    saved, newest = kept.saved(), kept.papers.newest_name()
    prices = kept.prices()
    form = form_for(prices)
    faults = given.faults if given else ()
    is_overtaken = status == 409
    # After a conflict the form is based on what is shown beside it; a faulty one is not yet.
    based_on = newest if answers is None or is_overtaken else _based_on(answers)
    return page(
        request,
        "prices.html",
        status=status,
        form=form,
        prices=prices,
        saved=saved,
        counting=next((one.paper.name for one in saved if one.prices is not None), ""),
        values=given.values if given else values_of(form, prices),
        faults=faults,
        faults_by=by_field(faults),
        words=label_of(form),
        based_on=based_on,
        is_overtaken=is_overtaken,
        is_nobody=given is not None and not who_is_it(request),
    )


def _based_on(answers: Posted) -> str:
    return (answers.get("based_on") or [""])[-1]


def _kept(request: Request) -> UnitPrices:
    return desk_of(request).unit_prices
