"""What is done if plan A fails: a technique without microsurgery that can follow it."""

from dataclasses import replace

import pytest
from tests.core.techniques.findings import situation_of
from tests.core.techniques.worked_situations import TECHNIQUES, situation

from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.order import RankedRow
from thumbwright.core.comparison.ranking import FirstRanking, rank
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.eligibility import eligible_all
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Grade, Take

G = Goal
JOINER = "length+feeling+stability+mcp_motion+looks"


def _rank(one: Situation) -> FirstRanking:
    return rank(eligible_all(TECHNIQUES, one), one)


def _texts(found: FirstRanking) -> list[str]:
    return [one.text for one in found.sentences if one.is_about_fallback]


def _row(found: RankedRow | Unknown) -> RankedRow:
    assert isinstance(found, RankedRow)
    return found


@pytest.mark.parametrize("level", Level)
@pytest.mark.parametrize("goals", [(), (G.LENGTH,), (G.LOOKS, G.LENGTH), (G.FEELING, G.GROWTH)])
@pytest.mark.parametrize("age_years", [7, 45])
def test_a_fallback_needs_no_microscope_and_is_not_plan_a(
    level: Level, goals: tuple[Goal, ...], age_years: int
) -> None:
    found = _rank(situation(level, goals=goals, age_years=age_years))
    fallback = _row(found.fallback)
    assert not fallback.technique.needs_microsurgery
    assert fallback is not found.plan_a


@pytest.mark.parametrize("level", [Level.PROXIMAL_PHALANX, Level.MCP_JOINT, Level.METACARPAL])
@pytest.mark.parametrize("goals", [(G.LENGTH,), (G.FEELING, G.LENGTH), (G.LOOKS, G.LENGTH)])
def test_where_length_is_wanted_the_fallback_restores_some(
    level: Level, goals: tuple[Goal, ...]
) -> None:
    fallback = _row(_rank(situation(level, goals=goals)).fallback)
    assert fallback.grade_of(G.LENGTH).counted >= Grade.FAIR


def test_deepening_the_web_is_a_fallback_only_where_length_is_not_wanted() -> None:
    """Common practice, no source: it adds no bone."""
    for goals, key in (
        ("looks+feeling", "first_web_deepening"),
        (JOINER, "metacarpal_distraction"),
    ):
        one = situation_of("", level=2, age_years=41, goals=goals)
        assert _row(_rank(one).fallback).technique.key == key


def test_no_second_finger_is_taken_after_the_first() -> None:
    """Common practice, no source."""
    for findings in ("fingers.ring=damaged; wishes.refusals=any_toe", "wishes.refusals=any_toe"):
        for level in (4, 5):
            found = _rank(situation_of(findings, level=level, goals="feeling+length"))
            assert Take.FINGER in _row(found.plan_a).technique.takes
            assert Take.FINGER not in _row(found.fallback).technique.takes


def test_the_sentences_say_what_of_the_first_goal_the_fallback_gives_and_why_it_is_first() -> None:
    one = situation_of("missing_length_mm=31", level=2, age_years=41, goals=JOINER)
    texts = _texts(_rank(one))
    assert texts[0] == "The fallback without microsurgery is distraction of the metacarpal."
    assert texts[3].startswith("Of length the fallback gives fair: 35 mm on average, 20 to 45")
    assert texts[-1] == (
        "The fallback comes before distraction of the proximal phalanx because both give as much "
        "of what counts, and the latter adds less than is missing."
    )


def test_of_two_that_give_as_much_the_one_that_falls_short_comes_second() -> None:
    """Before donor site, stages and alphabet, which are all made to speak the other way."""
    one = situation_of("missing_length_mm=31", level=2, age_years=41, goals=JOINER)
    rows = {row.technique.key: row.standing for row in _rank(one).rows}
    reaches, short = rows["metacarpal_distraction"], rows["proximal_phalanx_distraction"]
    assert reaches.lacking_share == short.lacking_share
    assert (reaches.falls_short, short.falls_short) == (False, True)
    worse = replace(reaches, donor_cost=3, stages=9, key="z")
    assert worse.order < short.order


def test_what_the_fallback_lacks_of_the_first_goal_is_said() -> None:
    texts = _texts(_rank(situation(age_years=7, goals=(G.GROWTH, G.LENGTH))))
    assert "Of growth the fallback gives none: A free bone graft does not grow." in texts
    assert any(text.startswith("Of length the fallback gives good") for text in texts)


def test_without_goals_only_length_is_said_of_the_fallback() -> None:
    served = [text for text in _texts(_rank(situation())) if text.startswith("Of ")]
    assert len(served) == 1
    assert served[0].startswith("Of length the fallback gives good")


def test_what_speaks_against_the_fallback_is_said() -> None:
    one = situation_of(
        "wishes.refusals=forearm_scar+loss_of_a_finger+external_fixator",
        age_years=60,
        goals="length",
    )
    assert any(
        text.startswith("Against the fallback speaks: Over 50 years") for text in _texts(_rank(one))
    )


def test_that_no_reconstruction_is_left_is_said() -> None:
    texts = _texts(_rank(situation(Level.CMC_JOINT)))
    assert texts[0] == (
        "No further reconstruction without microsurgery is open; the fallback that is left is a "
        "prosthesis."
    )
    assert not any(text.startswith("The fallback comes before") for text in texts)


def test_why_web_deepening_stands_behind_is_said() -> None:
    one = situation_of("wishes.refusals=any_toe+external_fixator+iliac_bone", level=2, goals=JOINER)
    text = next(one.text for one in _rank(one).sentences if one.text.startswith("It comes before"))
    assert text == (
        "It comes before deepening of the first web because length counts for the patient, and "
        "the latter gives little or none."
    )
