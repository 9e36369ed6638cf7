"""What lies ahead for the five invented people: as the trade expects it, and the same each time."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from tests.pathway.five_cases import Built

from thumbwright.bootstrap import knowledge
from thumbwright.core.case.growth_checks import GrowthCheck
from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.loss_turn import loss_turn_in_words
from thumbwright.core.comparison.weighing import Weighing
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.outlook.foresee import ShareAhead
from thumbwright.core.outlook.prices import Cost, Item, PriceList
from thumbwright.core.techniques.eligibility import Verdict
from thumbwright.core.techniques.growth_follow_up import FollowUp
from thumbwright.core.techniques.growth_outlook import ThumbForecast
from thumbwright.pathway.foresee_case import Foresight, foresee_case

PRICES = PriceList(
    currency="EUR",
    prices={
        Item.THEATRE_HOUR: 900.0,
        Item.HOSPITAL_DAY: 400.0,
        Item.OPERATION: 500.0,
        Item.VISIT: 50.0,
    },
)


@pytest.fixture(name="ahead", scope="module")
def fixture_ahead(five: dict[str, Built]) -> "dict[str, Foresight]":
    return {
        key: foresee_case(built.plan, knowledge(), PRICES)
        for key, built in five.items()
        if key in {"girl", "joiner", "farmer"}
    }


def weighed(found: Foresight) -> Weighing:
    assert isinstance(found.weighing, Weighing)
    return found.weighing


def test_the_second_toe_leads_for_the_girl_with_staged_osteoplastic_behind(
    ahead: dict[str, Foresight],
) -> None:
    """Isolated loss at the MCP joint, a sound CMC joint, a growing child: common practice."""
    view = weighed(ahead["girl"]).views[0]
    assert view.plan_a == "second_toe"
    assert view.fallback == "staged_osteoplastic"


def test_every_technique_that_is_not_closed_is_looked_ahead_with(
    ahead: dict[str, Foresight],
) -> None:
    for found in ahead.values():
        left = {
            one.technique.key for one in found.plan.options if one.verdict is not Verdict.CLOSED
        }
        reached = {one.key for one in found.reaches.reaches}
        silent = {one.key for one in found.reaches.unknown}
        assert {one.technique for one in found.outlooks} == left
        assert {one.key for one in found.growth} == left
        assert reached | silent == left


def test_a_toe_grows_and_a_bone_graft_does_not(ahead: dict[str, Foresight]) -> None:
    grown = {
        one.key: one.forecast.grown.median_mm
        for one in ahead["girl"].growth
        if isinstance(one.forecast, ThumbForecast)
    }
    assert grown["second_toe"] > grown["staged_osteoplastic"] + 3


def test_a_grown_joiner_has_no_growth_to_weigh(ahead: dict[str, Foresight]) -> None:
    table = weighed(ahead["joiner"]).table
    growth = table.keys.index(CriterionKey.GROWTH) if CriterionKey.GROWTH in table.keys else None
    central = weighed(ahead["joiner"]).views[0].found.central_share
    assert growth is None or float(central[:, growth].max()) == 0.0


def test_numbers_of_the_rooms_reach_the_weighing(ahead: dict[str, Foresight]) -> None:
    found = ahead["joiner"]
    table = weighed(found).table
    assert CriterionKey.COST in table.keys
    assert CriterionKey.LOSS_RISK in table.keys
    dearest = found.criteria[CriterionKey.COST]
    assert dearest.unit == "EUR"
    assert all(isinstance(one.cost, Cost) for one in found.outlooks)


def test_the_smoking_farmer_runs_a_higher_risk_than_print(ahead: dict[str, Foresight]) -> None:
    """Smoking as published for free transfers: the sources stand beside the risk factors."""
    risks = {one.technique: one for one in ahead["farmer"].risks if one.outcome.value == "loss"}
    moved = [one for one in risks.values() if one.applied]
    assert moved
    assert all(one.mean_share > one.in_print.share for one in moved)


def test_a_thumb_at_the_end_is_no_rarer_than_one_at_once(ahead: dict[str, Foresight]) -> None:
    for found in ahead.values():
        for one in found.outlooks:
            if isinstance(one.lives, ShareAhead):
                assert isinstance(one.lives_with_fallback, ShareAhead)
                assert one.lives_with_fallback.prob >= one.lives.prob


def test_the_same_case_gives_the_same_answer(
    five: dict[str, Built], ahead: dict[str, Foresight]
) -> None:
    again = foresee_case(five["girl"].plan, knowledge(), PRICES)
    first = ahead["girl"]
    assert again.growth == first.growth
    assert [one.burden for one in again.outlooks] == [one.burden for one in first.outlooks]
    assert np.array_equal(
        weighed(again).views[0].found.rank_prob, weighed(first).views[0].found.rank_prob
    )


def test_without_prices_cost_is_unknown_and_does_not_weigh(five: dict[str, Built]) -> None:
    found = foresee_case(five["girl"].plan, knowledge(), PriceList())
    assert all(isinstance(one.cost, Unknown) for one in found.outlooks)
    assert CriterionKey.COST not in weighed(found).table.keys


def test_each_step_is_told(five: dict[str, Built]) -> None:
    said: list[str] = []
    foresee_case(five["girl"].plan, knowledge(), PriceList(), said.append)
    assert said == [
        "forecasting growth",
        "looking how far each thumb reaches",
        "pooling what was published",
        "looking ahead",
        "weighing",
    ]


def test_it_is_told_what_would_come_first_were_a_fact_otherwise(
    ahead: dict[str, Foresight],
) -> None:
    """Without microsurgery staged osteoplastic comes first for the girl: common practice."""
    found = {one.condition: one for one in ahead["girl"].what_ifs}
    assert found["there were no microsurgery"].then == "staged_osteoplastic"
    assert found["no toe could be taken"].then not in {"second_toe", "great_toe"}


def test_a_riskier_leader_loses_its_place_only_beyond_what_is_said(
    ahead: dict[str, Foresight],
) -> None:
    weighing = weighed(ahead["joiner"])
    for view in weighing.views:
        words = loss_turn_in_words(weighing, view)
        assert weighing.table.name_of(str(view.plan_a)) in words
        assert "%" in words


def test_a_visit_after_the_examination_updates_the_forecast(five: dict[str, Built]) -> None:
    plan = five["girl"].plan
    visit = GrowthCheck(
        measured_on=date(2027, 11, 2),
        side=plan.case.injury.side,
        thumb_mm=78.0,
        other_thumb_mm=81.0,
    )
    later = replace(plan, case=replace(plan.case, growth_checks=(visit,)))
    found = foresee_case(later, knowledge(), PriceList()).follow_up
    assert isinstance(found, FollowUp)
    assert not isinstance(found.updated, Unknown)
    wide = found.prior.grown.high_95_mm - found.prior.grown.low_95_mm
    narrow = found.updated.grown.high_95_mm - found.updated.grown.low_95_mm
    assert narrow < wide
