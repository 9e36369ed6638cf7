"""Scales, value functions, and what grades, draws and unknowns are worth."""

from math import exp

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.core.comparison.tables import ASSUMED, CRITERIA, CRITERIA_TEXT, KEYS, plain, table
from tests.core.techniques.findings import situation_of
from tests.core.techniques.worked_situations import BY_KEY

from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.catalogue_performance import (
    burden_performances,
    catalogue_performances,
    lengthening_performances,
)
from thumbwright.core.comparison.criteria_data import read_criteria
from thumbwright.core.comparison.criterion import CriterionKey, ValueFunction, key_of_goal
from thumbwright.core.comparison.performance import Drawn, JudgedGrade, NotKnown, Performance
from thumbwright.core.comparison.performance_table import table_of
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError, PlanError
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.techniques.technique import Grade

K = CriterionKey
UNKNOWN = Unknown(reason="nobody looked", needed=("a look",))


def one_cell(given: Performance, key: K = K.LOOKS, draws: int = 40_000) -> NDArray[np.float32]:
    found = table_of(
        {"a": "a"}, CRITERIA, {("a", key): given}, draws=draws, rng=np.random.default_rng(1)
    )
    return found.value_share[:, 0, 0]


def test_every_goal_has_its_criterion_and_the_way_back() -> None:
    assert all(key_of_goal(goal).goal is goal for goal in Goal)
    assert K.COST.goal is None
    assert {key for key in K if key.is_a_price} >= {K.DONOR_COST, K.LOSS_RISK, K.COST}


def test_a_bent_value_is_the_exponential_worked_out_by_hand() -> None:
    bent = ValueFunction(points=((0.0, 1.0), (10.0, 0.0)), bend=2.0, words="So.")
    by_hand_middle = (1 - exp(-1.0)) / (1 - exp(-2.0))
    assert bent.value_share([10.0, 5.0, 0.0]) == pytest.approx([0.0, by_hand_middle, 1.0])


def test_other_units_change_no_value() -> None:
    for criterion in CRITERIA.values():
        low, high = sorted((criterion.scale_from, criterion.scale_to))
        amounts = np.linspace(low - 1, high + 1, 9)
        scaled = criterion.value.in_other_units(0.1)
        assert scaled.value_share(0.1 * amounts) == pytest.approx(
            criterion.value.value_share(amounts)
        )


@pytest.mark.parametrize(
    ("points", "bend", "words"),
    [
        (((0.0, 0.0),), 0.0, "at least two rising"),
        (((0.0, 0.0), (1.0, 0.5)), 0.0, "run from 0 to 1"),
        (((0.0, 0.0), (1.0, 1.0), (2.0, 0.5)), 0.0, "run from 0 to 1"),
        (((0.0, 0.0), (1.0, 0.5), (2.0, 1.0)), 1.0, "bend with two points"),
    ],
)
def test_a_value_function_that_is_none_is_refused(
    points: tuple[tuple[float, float], ...], bend: float, words: str
) -> None:
    with pytest.raises(PlanError, match=words):
        ValueFunction(points=points, bend=bend, words="So.")


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ("[length]", "[lenght]", "missing or not known"),
        ("[length]", "[length", "allowed is TOML"),
        ("[[0, 1], [5, 0.9], [15, 0.5], [30, 0]]", "[[0, 2], [30, 0]]", "length could not be"),
    ],
)
def test_a_faulty_file_of_criteria_is_refused(before: str, after: str, words: str) -> None:
    with pytest.raises(KnowledgeError, match=words):
        read_criteria(CRITERIA_TEXT.replace(before, after, 1))


@pytest.mark.parametrize(
    ("provenance", "half_width"),
    [(Provenance.READ, 1 / 6), (Provenance.COMMON_PRACTICE, 1 / 4), (Provenance.RECALLED, 1 / 3)],
)
def test_a_grade_lies_in_a_triangle_as_wide_as_what_it_rests_on(
    provenance: Provenance, half_width: float
) -> None:
    basis = Basis(provenance=provenance, source="nunley-1987", locator="abstract")
    drawn = one_cell(JudgedGrade(grade=Grade.POOR, basis=basis))
    by_hand_variance = half_width**2 / 6
    assert drawn.mean() == pytest.approx(1 / 3, abs=0.003)
    assert drawn.var() == pytest.approx(by_hand_variance, rel=0.03)
    assert abs(drawn - 1 / 3).max() <= half_width + 1e-6


def test_none_and_findings_have_no_doubt_and_unknown_spans_the_scale() -> None:
    assert set(one_cell(JudgedGrade(grade=Grade.NONE, basis=ASSUMED))) == {0.0}
    assert set(one_cell(JudgedGrade(grade=Grade.GOOD, basis=ASSUMED, is_certain=True))) == {1.0}
    anything = one_cell(NotKnown(unknown=UNKNOWN))
    assert (anything.mean(), anything.var()) == pytest.approx((0.5, 1 / 12), abs=0.01)


def test_what_hangs_together_is_drawn_once() -> None:
    given = {(name, K.LOOKS): NotKnown(unknown=UNKNOWN, shared="one") for name in "ab"}
    found = table_of({"a": "a", "b": "b"}, CRITERIA, given, draws=50, rng=np.random.default_rng(1))
    assert (found.value_share[:, 0] == found.value_share[:, 1]).all()
    assert set(found.unknown) == set(given)
    assert found.basis_of("a", K.LOOKS) is None


def test_amounts_pass_through_the_value_function() -> None:
    assert one_cell(Drawn(draws=(5.0,)), K.LENGTH, 3) == pytest.approx([0.9] * 3)
    assert one_cell(Drawn(draws=(0.0, 15.0, 99.0)), K.LENGTH, 3) == pytest.approx([1, 0.5, 0])


def test_tables_that_do_not_fit_are_refused() -> None:
    with pytest.raises(PlanError, match="1 or 3"):
        one_cell(Drawn(draws=(1.0, 2.0)), K.LENGTH, 3)
    with pytest.raises(PlanError, match="finite"):
        Drawn(draws=(float("nan"),))
    with pytest.raises(PlanError, match="a performance for every"):
        table_of(
            {"a": "a", "b": "b"},
            CRITERIA,
            {("a", K.LOOKS): NotKnown(unknown=UNKNOWN)},
            draws=2,
            rng=np.random.default_rng(1),
        )
    with pytest.raises(PlanError, match="0 to 1"):
        table([[1.5]])
    with pytest.raises(PlanError, match="each technique once"):
        table([[0.5], [0.5]], names=("A", "A"))


def test_a_scale_that_runs_against_its_direction_is_refused() -> None:
    good = plain(KEYS[0])
    turned = ValueFunction(points=((0.0, 1.0), (1.0, 0.0)), words="So.")
    with pytest.raises(PlanError, match="allowed is one direction"):
        type(good)(
            key=good.key,
            name="x",
            plain_name="x",
            unit="-",
            direction=good.direction,
            value=turned,
            basis=ASSUMED,
        )


def test_a_kept_joint_is_a_fact_of_the_hand_and_one_unknown_for_all() -> None:
    pair = [BY_KEY["great_toe_wrap_around"], BY_KEY["staged_osteoplastic"]]
    known = catalogue_performances(pair, situation_of("", level=2))
    kept = known["staged_osteoplastic", K.MCP_MOTION]
    assert isinstance(kept, JudgedGrade)
    assert kept.is_certain
    unknown = catalogue_performances(pair, situation_of("kept.mcp.mobile=not_examined", level=2))
    shared = {getattr(unknown[one.key, K.MCP_MOTION], "shared", "") for one in pair}
    assert shared == {"needs motion of the MCP joint"}


def test_a_lengthening_stops_at_the_length_and_leaves_what_it_cannot_reach() -> None:
    """20 to 45 mm (matev-2003, saleem-2019) against 30 mm leave 0 to 10 mm, and 1 mm of doubt."""
    one = situation_of("missing_length_mm=30", level=2)
    found = lengthening_performances(
        [BY_KEY["metacarpal_distraction"]], one, draws=2_000, rng=np.random.default_rng(1)
    )
    short = found["metacarpal_distraction", K.LENGTH]
    assert isinstance(short, Drawn)
    draws = np.asarray(short.draws)
    by_hand_reached_prob = 15 / 25
    assert (draws == 0).mean() == pytest.approx(by_hand_reached_prob, abs=0.04)
    assert draws.min() == 0
    assert draws.max() < 14
    nothing = situation_of("missing_length_mm=unknown", level=2)
    assert not lengthening_performances(
        [BY_KEY["metacarpal_distraction"]], nothing, draws=9, rng=np.random.default_rng(1)
    )


def test_operations_are_the_stages_of_the_catalogue() -> None:
    found = burden_performances(
        [BY_KEY["staged_osteoplastic"]], draws=5, rng=np.random.default_rng(1)
    )
    stages = found["staged_osteoplastic", K.BURDEN_OPERATIONS]
    assert isinstance(stages, Drawn)
    assert np.asarray(stages.draws).tolist() == [3.0]
