"""Short cases at all five levels, weighed by the patient's goals, against the trade and print.

"Common practice" beside a row means common practice, no source. All people are invented.
"""

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
from _pytest.mark.structures import ParameterSet
from tests.core.comparison.tables import CRITERIA
from tests.core.techniques.findings import rows_of, situation_of
from tests.core.techniques.worked_situations import BIBLIOGRAPHY, BY_KEY, TECHNIQUES, situation

from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.criteria import criteria
from thumbwright.core.comparison.preference import preference_from_goals
from thumbwright.core.comparison.weighing import Draws, Weighing, weigh
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.techniques.eligibility import Verdict, eligible_all
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Grade

ROWS = rows_of(Path(__file__).with_name("vignettes.csv"))


def situation_in(row: Mapping[str, str]) -> Situation:
    return situation_of(
        row["findings"],
        level=int(row["level"]),
        age_years=int(row["age_years"]),
        goals=row["goals"],
    )


def weighed(one: Situation) -> Weighing:
    found = weigh(
        eligible_all(TECHNIQUES, one),
        one,
        CRITERIA,
        [preference_from_goals(one)],
        rng=np.random.default_rng(20261125),
        draws=Draws(performances=1_000, weights=20_000),
    )
    assert isinstance(found, Weighing)
    return found


NOT_MET = {
    "adult, MCP joint, thenar muscles weak: no wrap-around": (
        "the source demands strong thenar muscles; the rules advise against weak ones and close "
        "nothing"
    )
}


def cases() -> list[ParameterSet]:
    """Return the vignettes; those that the rules do not meet are named with the reason."""
    return [
        pytest.param(
            row,
            id=row["title"],
            marks=[pytest.mark.xfail(reason=NOT_MET[row["title"]])]
            if row["title"] in NOT_MET
            else [],
        )
        for row in ROWS
    ]


@pytest.mark.parametrize("row", cases())
def test_what_is_weighed_comes_out_as_a_hand_surgeon_has_it(row: Mapping[str, str]) -> None:
    one = situation_in(row)
    opened = {e.technique.key for e in eligible_all(TECHNIQUES, one) if e.verdict is Verdict.OPEN}
    assert opened & set(filter(None, row["not_open"].split("+"))) == set()
    view = weighed(one).views[0]
    if row["leads"]:
        assert (row["leads"], view.found.leader) == (view.plan_a, row["leads"])
    if row["first_three"]:
        assert set(row["first_three"].split("+")) <= set(view.found.in_order[:3])
    if row["fallback"]:
        assert view.fallback == row["fallback"]


def test_the_vignettes_are_thirty_at_every_level_and_both_ages_of_life() -> None:
    assert len(ROWS) >= 30
    for level in range(1, 6):
        ages = {int(row["age_years"]) < 14 for row in ROWS if row["level"] == str(level)}
        assert ages == {True, False}


def test_every_expectation_asks_something_and_says_where_it_comes_from() -> None:
    assert {row["source"] for row in ROWS} <= {*BIBLIOGRAPHY, "common practice"}
    assert all(row["leads"] or row["first_three"] or row["not_open"] for row in ROWS)
    named = {
        key
        for row in ROWS
        for column in ("leads", "first_three", "not_open", "fallback")
        for key in filter(None, row[column].split("+"))
    }
    assert named <= set(BY_KEY)


TRADE = {
    # Common practice, no source: an isolated loss at the MCP joint, the CMC joint sound.
    "second_toe": {
        "length": "+",
        "stability": "+",
        "growth": "+",
        "mcp_motion": "+",
        "ip_motion": "+",
        "looks": "~",
    },
    "great_toe_wrap_around": {
        "length": "+",
        "stability": "+",
        "looks": "best",
        "ip_motion": "0",
        "growth": "0",
    },
    "trimmed_great_toe": {
        "length": "+",
        "stability": "+",
        "mcp_motion": "+",
        "ip_motion": "+",
        "looks": "+",
        "growth": "+",
        "spare_donor_site": "0",
    },
    "staged_osteoplastic": {
        "length": "+",
        "stability": "+",
        "ip_motion": "0",
        "looks": "-",
        "growth": "0",
    },
    "single_stage_osteoplastic": {
        "length": "+",
        "stability": "+",
        "ip_motion": "0",
        "looks": "-",
        "growth": "0",
    },
}
MEANING = {
    "+": {Grade.FAIR, Grade.GOOD},
    "~": {Grade.FAIR},
    "-": {Grade.POOR},
    "0": {Grade.NONE},
    "best": {Grade.GOOD},
}


@pytest.mark.parametrize("key", TRADE)
def test_each_technique_gives_and_lacks_what_the_trade_says(key: str) -> None:
    one = situation(age_years=7)
    grades = {found.goal: found.grade for found in criteria(BY_KEY[key], one)}
    wrong = {
        goal: grades[Goal(goal)]
        for goal, sign in TRADE[key].items()
        if grades[Goal(goal)] not in MEANING[sign]
    }
    assert wrong == {}


def test_the_fallback_waits_for_nothing_that_plan_a_used_up() -> None:
    """A hand that gave one finger gives no second."""
    view = weighed(situation_of("wishes.refusals=any_toe", level=4, goals="feeling+length")).views[
        0
    ]
    assert view.plan_a == "pollicization"
    assert not isinstance(view.fallback, Unknown)
    assert "finger" not in view.fallback
