"""What stands in the table of criteria."""

import pytest
from tests.core.techniques.worked_situations import (
    BY_KEY,
    TECHNIQUES,
    UNKNOWN_LEVEL,
    measured_mm,
    situation,
)

from thumbwright.core.case.examined import Finding, Quality
from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.criteria import Criterion, criteria
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Statement
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Gift, Grade


def _of(key: str, goal: Goal, one: Situation) -> Criterion:
    return next(found for found in criteria(BY_KEY[key], one) if found.goal is goal)


def test_every_goal_stands_once_with_words_and_a_statement() -> None:
    for level in Level:
        for technique in TECHNIQUES:
            if level not in technique.done_at:
                continue
            table = criteria(technique, situation(level))
            assert [one.goal for one in table] == list(Goal)
            assert all(isinstance(one.statement, Statement) for one in table)
            assert all(one.words in {"none", "poor", "fair", "good"} for one in table)


def test_a_joint_of_the_patients_own_counts_if_it_moves() -> None:
    found = _of("second_toe", Goal.MCP_MOTION, situation(Level.PROXIMAL_PHALANX))
    assert found.grade is Grade.GOOD
    assert found.gift is Gift.KEPT


@pytest.mark.parametrize("fault", ["present", "mobile"])
def test_a_joint_that_is_stiff_or_lost_gives_no_motion(fault: str) -> None:
    spoilt = situation(Level.PROXIMAL_PHALANX, changes={f"kept.mcp.{fault}": Finding.NO})
    assert _of("second_toe", Goal.MCP_MOTION, spoilt).grade is Grade.NONE


def test_a_joint_that_nobody_looked_at_is_unknown_and_counts_as_nothing() -> None:
    blind = situation(Level.PROXIMAL_PHALANX, changes={"kept.mcp.mobile": Finding.NOT_EXAMINED})
    found = _of("second_toe", Goal.MCP_MOTION, blind)
    assert isinstance(found.grade, Unknown)
    assert found.grade.needed == ("motion of the MCP joint",)
    assert found.words == "unknown"
    assert found.counted is Grade.NONE


def test_a_joint_that_is_given_does_not_ask_for_the_own_one() -> None:
    found = _of("second_toe", Goal.MCP_MOTION, situation(Level.MCP_JOINT))
    assert found.grade is Grade.FAIR
    assert found.gift is Gift.GIVEN


def test_the_mcp_joint_of_the_patient_is_lost_under_a_bone_graft() -> None:
    assert _of("staged_osteoplastic", Goal.MCP_MOTION, situation()).grade is Grade.NONE


@pytest.mark.parametrize(
    ("feeling", "grade"),
    [(Quality.GOOD, Grade.GOOD), (Quality.WEAK, Grade.POOR), (Quality.ABSENT, Grade.NONE)],
)
def test_the_own_skin_of_the_stump_feels_as_it_was_examined(feeling: Quality, grade: Grade) -> None:
    one = situation(changes={"kept.stump_feeling": feeling})
    assert _of("metacarpal_distraction", Goal.FEELING, one).grade is grade
    assert _of("staged_osteoplastic", Goal.FEELING, one).grade is Grade.POOR


def test_a_stump_whose_feeling_nobody_examined_is_unknown_and_counts_as_nothing() -> None:
    blind = situation(changes={"kept.stump_feeling": Quality.NOT_EXAMINED})
    found = _of("metacarpal_distraction", Goal.FEELING, blind)
    assert isinstance(found.grade, Unknown)
    assert found.grade.needed == ("the feeling of the stump",)
    assert found.counted is Grade.NONE


@pytest.mark.parametrize(
    ("missing_mm", "grade"),
    [(20.0, Grade.GOOD), (20.5, Grade.FAIR), (65.0, Grade.FAIR), (65.5, Grade.POOR)],
)
def test_a_lengthening_is_graded_by_what_it_restores_of_the_missing_length(
    missing_mm: float, grade: Grade
) -> None:
    """By hand: 20 to 45 mm, so the least is 20 mm and the middle 32.5 mm, half of 65 mm."""
    one = situation(situation_changes={"missing_length_mm": measured_mm(missing_mm, 1.0)})
    assert _of("metacarpal_distraction", Goal.LENGTH, one).grade is grade


def test_in_a_child_what_children_gained_counts() -> None:
    """By hand: 8 to 21 mm, so the middle is 14.5 mm, half of 29 mm."""
    for missing_mm, grade in ((29.0, Grade.FAIR), (29.5, Grade.POOR)):
        child = situation(
            age_years=7,
            situation_changes={"missing_length_mm": measured_mm(missing_mm, 1.0)},
        )
        found = _of("metacarpal_distraction", Goal.LENGTH, child)
        assert found.grade is grade
        assert isinstance(found.statement, Statement)
        assert found.statement.basis.source == "pannier-children"


def test_while_the_missing_length_is_unknown_the_grade_of_the_catalogue_stands() -> None:
    blind = situation(situation_changes={"missing_length_mm": Unknown(reason="no film was taken")})
    assert _of("metacarpal_distraction", Goal.LENGTH, blind).grade is Grade.FAIR


def test_what_adds_no_bone_keeps_the_grade_of_the_catalogue() -> None:
    found = _of("first_web_deepening", Goal.LENGTH, situation(Level.PROXIMAL_PHALANX))
    assert found.grade is Grade.POOR


def test_without_a_level_nothing_is_graded() -> None:
    table = criteria(BY_KEY["second_toe"], situation(situation_changes=UNKNOWN_LEVEL))
    assert all(isinstance(one.grade, Unknown) for one in table)


def test_at_a_level_where_it_is_not_done_a_technique_is_not_graded() -> None:
    found = _of("palmar_advancement_flap", Goal.LENGTH, situation(Level.MCP_JOINT))
    assert isinstance(found.grade, Unknown)
    assert "level 3" in found.grade.reason
