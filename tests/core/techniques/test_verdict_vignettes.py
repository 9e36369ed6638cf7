"""Short cases and what a hand surgeon would say of one technique in each; the rows are a table.

Every row names where its expectation comes from; "common practice" means common practice, no
source. All people are invented.
"""

from collections.abc import Mapping
from pathlib import Path

import pytest
from tests.core.techniques.findings import rows_of, situation_of
from tests.core.techniques.worked_situations import BIBLIOGRAPHY, BY_KEY, changed, unexamined

from thumbwright.core.techniques.eligibility import Verdict, eligible

ROWS = rows_of(Path(__file__).with_name("verdict_vignettes.csv"))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['title']}, {row['technique']}")
def test_the_verdict_is_that_of_a_hand_surgeon(row: Mapping[str, str]) -> None:
    one = situation_of(row["findings"], level=int(row["level"]), age_years=int(row["age_years"]))
    found = eligible(BY_KEY[row["technique"]], one)
    assert found.verdict is Verdict(row["verdict"])
    if found.verdict is Verdict.OPEN:
        assert found.is_advised_against is (row["advised_against"] == "yes")


def test_the_vignettes_cover_every_level_and_both_ages_of_life() -> None:
    for level in range(1, 6):
        ages = {int(row["age_years"]) < 14 for row in ROWS if row["level"] == str(level)}
        assert ages == {True, False}


def test_every_expectation_says_where_it_comes_from() -> None:
    assert {row["source"] for row in ROWS} <= {*BIBLIOGRAPHY, "common practice"}


def test_closed_beats_unknown_and_all_reasons_are_still_given() -> None:
    found = eligible(
        BY_KEY["second_toe"],
        situation_of(
            "facility.microsurgery=no; kept.cmc.stable=not_examined; wishes.refusals=any_toe"
        ),
    )
    assert found.verdict is Verdict.CLOSED
    assert {one.rule for one in found.closed_by} >= {
        "unit_has_microsurgery",
        "patient_has_not_refused_it",
    }
    assert {one.rule for one in found.reasons} == set(BY_KEY["second_toe"].rules)
    assert found.would_settle == ()


def test_what_is_needed_for_a_verdict_is_named_once() -> None:
    known = situation_of("")
    blind = changed(known, "case", unexamined(known.case))
    found = eligible(BY_KEY["second_toe"], blind)
    assert found.verdict is Verdict.UNKNOWN
    assert len(set(found.would_settle)) == len(found.would_settle)
    assert "the ASA class" in found.would_settle
    assert "the CMC joint (whether it is there, mobile and stable)" in found.would_settle


def test_the_donor_toes_of_both_feet_are_weighed_one_by_one() -> None:
    found = eligible(
        BY_KEY["second_toe"],
        situation_of("feet.left.first_web_doppler=absent; feet.right.earlier_injury=yes"),
    )
    right, left = found.donors
    assert (right.words, left.words) == (
        "second toe of the right foot",
        "second toe of the left foot",
    )
    assert right.is_possible
    assert left.is_ruled_out
    assert left.would_settle == ()
    assert any("arteriogram" in answer.reason for answer in right.answers)
    assert right.remark_on_side.text.startswith("Same side as")
    assert left.remark_on_side.basis.source == "wheeless-second-toe"


def test_a_toe_that_is_refused_is_no_choice() -> None:
    found = eligible(
        BY_KEY["toe_pulp_flap"],
        situation_of("wishes.refusals=great_toe", level=1),
    )
    assert found.verdict is Verdict.OPEN
    assert {choice.toe.value for choice in found.donors} == {"second"}


def test_a_foot_that_nobody_looked_at_says_what_is_wanted() -> None:
    found = eligible(
        BY_KEY["great_toe"],
        situation_of("feet.left.toes.great=not_examined; feet.right.toes.great=lost"),
    )
    assert found.verdict is Verdict.UNKNOWN
    assert found.would_settle == ("the state of the great toe of the left foot",)
