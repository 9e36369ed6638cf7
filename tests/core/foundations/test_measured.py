"""Numbers with doubt combine by the rules: by hand, by drawing, and by what must always hold."""

from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thumbwright.core.foundations.errors import UnitError
from thumbwright.core.foundations.measured import (
    Evaluation,
    Input,
    Measured,
    Term,
    difference,
    ratio,
    scaled,
    total,
)


def doubt(key: str, standard_uncertainty: float, *, freedom: float = inf) -> Input:
    return Input(
        key=key,
        name=f"doubt of {key}",
        standard_uncertainty=standard_uncertainty,
        unit="mm",
        evaluation=Evaluation.TYPE_B if freedom == inf else Evaluation.TYPE_A,
        degrees_of_freedom=freedom,
    )


def number(value: float, *terms: tuple[Input, float], unit: str = "mm") -> Measured:
    return Measured(
        value=value,
        unit=unit,
        origin="film",
        terms=tuple(Term(input=each, sensitivity=slope) for each, slope in terms),
    )


def test_independent_doubts_add_by_their_squares() -> None:
    by_hand_uncertainty = 0.5  # sqrt(0.3^2 + 0.4^2)
    both = total(
        (number(40.0, (doubt("a", 0.3), 1.0)), number(30.0, (doubt("b", 0.4), 1.0))), origin="sum"
    )
    assert both.value == 70.0
    assert both.uncertainty == pytest.approx(by_hand_uncertainty)


def test_a_shared_doubt_adds_plainly_in_a_sum_and_cancels_in_a_difference() -> None:
    scale = doubt("scale", 0.01)
    thumb, stump = number(70.0, (scale, 70.0)), number(40.0, (scale, 40.0))
    by_hand_sum, by_hand_difference = 1.1, 0.3  # 0.01 * (70 + 40), 0.01 * (70 - 40)
    assert total((thumb, stump), origin="sum").uncertainty == pytest.approx(by_hand_sum)
    rest = difference(thumb, stump, origin="rest")
    assert rest.uncertainty == pytest.approx(by_hand_difference)
    assert rest.value == 30.0


def test_a_number_less_itself_is_certainly_nothing() -> None:
    thumb = number(70.0, (doubt("a", 0.3), 1.0), (doubt("b", 0.4), -2.0))
    nothing = difference(thumb, thumb, origin="nothing")
    assert (nothing.value, nothing.uncertainty) == (0.0, 0.0)
    assert nothing.degrees_of_freedom == inf


def test_the_ratio_of_independent_numbers_adds_relative_doubts_by_their_squares() -> None:
    top, bottom = number(27.5, (doubt("top", 0.2), 1.0)), number(25.0, (doubt("ball", 0.05), 1.0))
    by_hand_relative = sqrt((0.2 / 27.5) ** 2 + (0.05 / 25.0) ** 2)
    enlargement = ratio(top, bottom, origin="enlargement")
    assert enlargement.value == pytest.approx(1.1)
    assert enlargement.uncertainty == pytest.approx(1.1 * by_hand_relative)
    assert enlargement.unit == "-"


def test_a_scale_error_that_both_share_leaves_their_ratio_alone() -> None:
    scale = doubt("scale", 0.02)
    shape = ratio(number(12.0, (scale, 12.0)), number(10.0, (scale, 10.0)), origin="shape")
    assert shape.uncertainty == pytest.approx(0.0, abs=1e-15)


def test_the_budget_lists_each_input_once_and_the_largest_first() -> None:
    shared = doubt("shared", 0.1)
    parts = (
        number(10.0, (shared, 1.0), (doubt("own a", 0.15), 1.0)),
        number(10.0, (shared, 1.0), (doubt("own b", 0.05), -1.0)),
    )
    budget = total(parts, origin="sum").budget
    assert [term.input.key for term in budget] == ["shared", "own a", "own b"]
    assert [term.effect for term in budget] == pytest.approx([0.2, 0.15, -0.05])


def test_effects_of_one_size_stand_in_the_order_of_their_keys() -> None:
    value = number(1.0, (doubt("b", 0.1), 1.0), (doubt("a", 0.1), -1.0))
    assert [term.input.key for term in value.budget] == ["a", "b"]


def test_terms_of_one_key_must_be_one_and_the_same_input() -> None:
    with pytest.raises(UnitError, match=r"scale.*0\.1.*0\.2.*one standard uncertainty"):
        number(1.0, (doubt("scale", 0.1), 1.0), (doubt("scale", 0.2), 1.0))


def test_degrees_of_freedom_follow_welch_and_satterthwaite() -> None:
    value = number(1.0, (doubt("a", 3.0, freedom=4), 1.0), (doubt("b", 4.0, freedom=9), 1.0))
    by_hand_freedom = 5.0**4 / (3.0**4 / 4 + 4.0**4 / 9)
    assert value.degrees_of_freedom == pytest.approx(by_hand_freedom)


def test_knowledge_without_repeats_makes_the_freedom_grow_and_never_shrink() -> None:
    alone = number(1.0, (doubt("a", 3.0, freedom=4), 1.0))
    both = number(1.0, (doubt("a", 3.0, freedom=4), 1.0), (doubt("b", 4.0), 1.0))
    by_hand_freedom = 5.0**4 / (3.0**4 / 4)
    assert alone.degrees_of_freedom == pytest.approx(4.0)
    assert both.degrees_of_freedom == pytest.approx(by_hand_freedom)


def test_points_judged_by_one_pool_of_repeats_have_the_freedom_of_the_pool() -> None:
    value = number(
        1.0,
        (doubt("observer a|base", 0.2, freedom=6), -1.0),
        (doubt("observer a|tip", 0.3, freedom=6), 1.0),
    )
    assert value.degrees_of_freedom == pytest.approx(6.0)


def test_two_films_are_two_pools() -> None:
    value = number(
        1.0,
        (doubt("observer a|tip", 3.0, freedom=4), 1.0),
        (doubt("observer b|tip", 4.0, freedom=9), 1.0),
    )
    by_hand_freedom = 5.0**4 / (3.0**4 / 4 + 4.0**4 / 9)
    assert value.degrees_of_freedom == pytest.approx(by_hand_freedom)


def test_the_interval_lies_evenly_about_the_value() -> None:
    value = number(70.0, (doubt("a", 0.5), 1.0))
    interval = value.interval(0.95)
    by_hand_half = 1.959964 * 0.5
    assert (interval.low, interval.high) == pytest.approx((70 - by_hand_half, 70 + by_hand_half))
    assert (interval.level_prob, interval.unit) == (0.95, "mm")


@pytest.mark.parametrize("level", [0.0, 1.0, 1.5, -0.2, nan])
def test_a_share_that_no_interval_can_hold_is_refused(level: float) -> None:
    with pytest.raises(UnitError, match="allowed is a share between 0 and 1"):
        number(1.0, (doubt("a", 1.0), 1.0)).interval(level)


@pytest.mark.parametrize("wrong", [-0.1, nan, inf])
def test_a_doubt_below_nothing_or_without_bounds_is_refused(wrong: float) -> None:
    with pytest.raises(UnitError, match="allowed is a finite number of mm from 0 upwards"):
        doubt("a", wrong)


@pytest.mark.parametrize("wrong", [0.0, -1.0, nan])
def test_a_doubt_without_any_freedom_is_refused(wrong: float) -> None:
    with pytest.raises(UnitError, match=r"degrees of freedom.*above 0"):
        doubt("a", 0.1, freedom=wrong)


def test_numbers_of_different_units_are_not_added() -> None:
    with pytest.raises(UnitError, match=r"\['deg', 'mm'\].*convert first"):
        total((number(1.0), number(1.0, unit="deg")), origin="nonsense")
    with pytest.raises(UnitError, match="convert first"):
        difference(number(1.0), number(1.0, unit="deg"), origin="nonsense")


def test_a_sum_of_nothing_is_refused() -> None:
    with pytest.raises(UnitError, match="allowed is one unit"):
        total((), origin="nothing")


def test_a_ratio_needs_one_unit_and_a_bottom_that_is_not_nothing() -> None:
    with pytest.raises(UnitError, match="the second not zero"):
        ratio(number(1.0), number(0.0), origin="nonsense")
    with pytest.raises(UnitError, match="in one unit"):
        ratio(number(1.0), number(1.0, unit="deg"), origin="nonsense")


# --- by drawing

DRAWS = 200_000
MONTE_CARLO_SHARE = 5 / sqrt(2 * DRAWS)
"""Five standard errors of a standard deviation found from so many draws. [-]"""

values = st.floats(-100, 100, allow_nan=False)
doubts = st.floats(0.01, 2.0)
slopes = st.lists(st.floats(-3, 3, allow_nan=False), min_size=3, max_size=3)


def shared_numbers(rng: np.random.Generator) -> tuple[Measured, Measured, np.ndarray, np.ndarray]:
    """Return two lengths of one film and one error each, and draws of both."""
    scale, end, tip = doubt("scale", 0.01), doubt("end", 0.3), doubt("tip", 0.4)
    first = number(70.0, (scale, 70.0), (end, -1.0))
    second = number(45.0, (scale, 45.0), (end, 0.5), (tip, 1.0))
    draws = {
        each.key: rng.normal(0, each.standard_uncertainty, DRAWS) for each in (scale, end, tip)
    }
    one = 70.0 + 70.0 * draws["scale"] - draws["end"]
    other = 45.0 + 45.0 * draws["scale"] + 0.5 * draws["end"] + draws["tip"]
    return first, second, one, other


def test_sum_difference_and_ratio_of_correlated_numbers_doubt_as_draws_do() -> None:
    first, second, one, other = shared_numbers(np.random.default_rng(20_261))
    pairs = (
        (total((first, second), origin="sum"), one + other),
        (difference(first, second, origin="rest"), one - other),
        (scaled(first, -2.5), -2.5 * one),
        (ratio(first, second, origin="ratio"), one / other),
    )
    for measured, draws in pairs:
        independent_uncertainty = float(np.std(draws))
        # The ratio bends a little: its second order is (1 %)^2 of its doubt.
        assert measured.uncertainty == pytest.approx(
            independent_uncertainty, rel=MONTE_CARLO_SHARE + 2e-4
        )


def test_intervals_from_one_pool_hold_the_truth_as_often_as_they_say() -> None:
    """Draw an observer's pool of five placements, and two points placed by that observer."""
    rng, truth, sigma, rounds = np.random.default_rng(7), 70.0, 0.3, 4000
    held = 0
    for _ in range(rounds):
        pool = float(np.std(rng.normal(0, sigma, 5), ddof=1))
        seen = truth + rng.normal(0, sigma) - rng.normal(0, sigma)
        points = tuple((doubt(f"observer|{end}", pool, freedom=4), 1.0) for end in ("base", "tip"))
        interval = number(seen, *points).interval(0.95)
        held += interval.low <= truth <= interval.high
    standard_error = sqrt(0.95 * 0.05 / rounds)
    assert held / rounds == pytest.approx(0.95, abs=3.5 * standard_error)


# --- what must always hold


@settings(deadline=None)
@given(slopes, slopes, st.lists(doubts, min_size=3, max_size=3))
def test_the_doubt_of_a_sum_is_at_most_the_sum_of_the_doubts(
    first: list[float], second: list[float], sizes: list[float]
) -> None:
    inputs = [doubt(str(at), size) for at, size in enumerate(sizes)]
    one = number(1.0, *zip(inputs, first, strict=True))
    other = number(2.0, *zip(inputs, second, strict=True))
    bound = one.uncertainty + other.uncertainty
    assert total((one, other), origin="sum").uncertainty <= bound + 1e-9
    assert difference(one, other, origin="rest").uncertainty <= bound + 1e-9


@settings(deadline=None)
@given(slopes, slopes)
def test_the_order_of_adding_changes_nothing(first: list[float], second: list[float]) -> None:
    inputs = [doubt(str(at), 0.5, freedom=at + 2) for at in range(3)]
    one = number(1.0, *zip(inputs, first, strict=True))
    other = number(2.0, *zip(inputs, second, strict=True))
    there, back = total((one, other), origin="sum"), total((other, one), origin="sum")
    assert there.value == back.value
    assert there.uncertainty == pytest.approx(back.uncertainty)
    assert there.interval().low == pytest.approx(back.interval().low)


@settings(deadline=None)
@given(values, slopes, st.floats(-10, 10, allow_nan=False))
def test_a_factor_acts_on_value_and_doubt_alike(
    value: float, sizes: list[float], factor: float
) -> None:
    before = number(value, *((doubt(str(at), 0.5), size) for at, size in enumerate(sizes)))
    after = scaled(before, factor)
    assert after.value == pytest.approx(value * factor)
    assert after.uncertainty == pytest.approx(before.uncertainty * abs(factor))


@settings(deadline=None)
@given(st.floats(1, 60), st.floats(1, 60), st.floats(0.5, 0.999))
def test_fewer_repeats_and_more_certainty_asked_for_widen_the_interval(
    freedom: float, more: float, level: float
) -> None:
    few = number(1.0, (doubt("a", 0.3, freedom=freedom), 1.0))
    many = number(1.0, (doubt("a", 0.3, freedom=freedom + more), 1.0))
    assert few.coverage_factor(level) >= many.coverage_factor(level)
    assert few.coverage_factor(level) > few.coverage_factor(level - 0.1)
