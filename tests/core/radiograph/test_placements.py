"""The observer's scatter: pooled over the points, from repeats of this film or assumed and said."""

from math import hypot, inf, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.radiograph.by_hand import note, round_of, scale_of

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Evaluation, Measured, Term
from thumbwright.core.radiograph.calibration import READING
from thumbwright.core.radiograph.landmarks import Landmark, Placement, Point
from thumbwright.core.radiograph.placements import PlacedPoints, gather

BASE, TIP, HEAD = (
    Landmark.METACARPAL_BASE,
    Landmark.DISTAL_PHALANX_TIP,
    Landmark.METACARPAL_HEAD,
)


def gathered(*rounds: Placement, column_mm: float = 0.1, row_mm: float = 0.1) -> PlacedPoints:
    placed = gather(note(*rounds), scale_of(column_mm, row_mm))
    assert isinstance(placed, PlacedPoints), str(placed)
    return placed


def test_a_point_lies_at_the_mean_of_its_placements() -> None:
    placed = gathered(round_of({TIP: (10.0, 20.0)}), round_of({TIP: (14.0, 26.0)}))
    assert placed.points[TIP] == (12.0, 23.0)
    assert placed.repeats[TIP] == 2


def test_the_scatter_is_pooled_over_points_and_both_directions() -> None:
    """Work the pool by hand.

    Tip, three times: columns 100, 103, 106 (squares 18), rows 50 each; base, twice: columns
    200 each, rows 300 and 304 (squares 8). With 0.1 mm pixels 0.26 mm^2 over
    2 x 2 + 2 x 1 = 6 degrees of freedom.
    """
    placed = gathered(
        round_of({TIP: (100.0, 50.0), BASE: (200.0, 300.0)}),
        round_of({TIP: (103.0, 50.0), BASE: (200.0, 304.0)}),
        round_of({TIP: (106.0, 50.0), HEAD: (1.0, 1.0)}),
    )
    by_hand_scatter_mm, by_hand_freedom = sqrt(0.26 / 6), 6.0
    assert placed.scatter_mm == pytest.approx(by_hand_scatter_mm)
    assert placed.degrees_of_freedom == by_hand_freedom
    assert placed.observed


def test_rows_and_columns_of_their_own_size_scatter_in_millimetres() -> None:
    placed = gathered(
        round_of({TIP: (100.0, 50.0)}),
        round_of({TIP: (102.0, 54.0)}),
        column_mm=0.1,
        row_mm=0.3,
    )
    by_hand_scatter_mm = sqrt((2 * 0.1**2 + 2 * (2 * 0.3) ** 2) / 2)
    assert placed.scatter_mm == pytest.approx(by_hand_scatter_mm)


def test_the_pooled_scatter_is_that_of_the_drawn_observer() -> None:
    rng, independent_sigma_mm = np.random.default_rng(3), 0.4
    marks = list(Landmark)[:6]
    rounds = [
        round_of({mark: tuple(500 + 4.0 * rng.standard_normal(2)) for mark in marks})
        for _ in range(40)
    ]
    placed = gathered(*rounds)
    by_hand_freedom = 2 * 6 * 39
    assert placed.degrees_of_freedom == by_hand_freedom
    standard_error = independent_sigma_mm / sqrt(2 * by_hand_freedom)
    assert placed.scatter_mm == pytest.approx(independent_sigma_mm, abs=4 * standard_error)


def test_the_doubt_of_a_mean_falls_with_the_root_of_its_placements() -> None:
    placed = gathered(
        *(round_of({TIP: (100.0 + shift, 50.0), BASE: (9.0, 9.0)}) for shift in (0.0, 10.0)),
        round_of({TIP: (100.0, 60.0)}),
        round_of({TIP: (110.0, 60.0)}),
    )
    assert placed.placing(TIP).standard_uncertainty == pytest.approx(placed.scatter_mm / 2)
    assert placed.placing(BASE).standard_uncertainty == pytest.approx(placed.scatter_mm / sqrt(2))
    assert placed.placing(TIP).evaluation is Evaluation.TYPE_A


def test_two_points_of_one_film_share_the_freedom_of_its_pool() -> None:
    placed = gathered(
        round_of({TIP: (100.0, 50.0), BASE: (0.0, 0.0)}),
        round_of({TIP: (103.0, 55.0), BASE: (4.0, 2.0)}),
    )
    length = Measured(
        value=1.0,
        unit="mm",
        origin="bone",
        terms=tuple(Term(input=placed.placing(end), sensitivity=1.0) for end in (TIP, BASE)),
    )
    assert length.degrees_of_freedom == pytest.approx(placed.degrees_of_freedom) == 4.0


# --- what was not placed by a person


def test_points_that_nobody_confirmed_are_never_used() -> None:
    proposed = Placement(observer="program", confirmed=False, points={TIP: (0.0, 0.0)})
    unknown = gather(note(proposed), scale_of())
    assert isinstance(unknown, Unknown)
    assert "proposed by the program and not confirmed" in unknown.reason
    placed = gathered(proposed, round_of({TIP: (50.0, 60.0)}))
    assert placed.points == {TIP: (50.0, 60.0)}
    assert placed.repeats == {TIP: 1}


def test_a_film_without_points_says_so() -> None:
    unknown = gather(note(), scale_of())
    assert isinstance(unknown, Unknown)
    assert unknown.reason == "the points on film a.dcm were not placed"
    assert unknown.needed == ("a person who places and confirms the points on film a.dcm",)


# --- without repeats, or with copies


def test_a_single_placement_takes_the_assumed_doubt_and_says_so() -> None:
    placed = gathered(round_of({TIP: (50.0, 60.0), BASE: (50.0, 900.0)}))
    assert placed.scatter_mm == READING.value == 0.3
    assert placed.degrees_of_freedom == inf
    assert not placed.observed
    doubt = placed.placing(TIP)
    assert doubt.standard_uncertainty == 0.3
    assert doubt.evaluation is Evaluation.TYPE_B
    assert doubt.basis == "0.3 mm a placement, working assumption of this program"


def test_copied_points_do_not_pass_for_a_steady_hand() -> None:
    copied = {TIP: (50.0, 60.0), BASE: (50.0, 900.0)}
    placed = gathered(round_of(copied), round_of(copied, observer="b"))
    by_hand_floor_mm = 0.1 / sqrt(12)
    assert placed.scatter_mm == pytest.approx(by_hand_floor_mm)


def test_the_floor_of_pixels_that_are_not_square_lies_between_their_sides() -> None:
    copied = round_of({TIP: (50.0, 60.0)})
    placed = gathered(copied, copied, column_mm=0.1, row_mm=0.3)
    by_hand_floor_mm = sqrt((0.1**2 + 0.3**2) / 2 / 12)
    assert placed.scatter_mm == pytest.approx(by_hand_floor_mm)


def test_a_place_read_to_the_pixel_doubts_by_a_pixels_share() -> None:
    placed = gathered(round_of({TIP: (50.0, 60.0)}), column_mm=0.1, row_mm=0.3)
    by_hand_doubt_mm = 0.3 / sqrt(12)
    assert placed.pixel(TIP).standard_uncertainty == pytest.approx(by_hand_doubt_mm)


# --- what must always hold

spots = st.tuples(st.floats(0, 2000), st.floats(0, 2000))


@settings(deadline=None)
@given(st.lists(spots, min_size=2, max_size=6), spots)
def test_one_more_placement_moves_a_point_by_no_more_than_its_share(
    before: list[Point], added: Point
) -> None:
    rounds = [round_of({TIP: spot}) for spot in before]
    old, new = gathered(*rounds), gathered(*rounds, round_of({TIP: added}))
    moved = hypot(*np.subtract(new.points[TIP], old.points[TIP]))
    by_hand_move = hypot(*np.subtract(added, old.points[TIP])) / (len(before) + 1)
    assert moved == pytest.approx(by_hand_move, abs=1e-9)
    # The move is within the scatter that the new round itself brings to light.
    assert moved * 0.1 <= new.scatter_mm * sqrt(2 * (len(before) + 1)) + 1e-9


@settings(deadline=None)
@given(st.lists(spots, min_size=2, max_size=6), st.randoms(use_true_random=False))
def test_the_order_of_the_rounds_changes_nothing(before: list[Point], rng: object) -> None:
    shuffled = list(before)
    rng.shuffle(shuffled)  # type: ignore[attr-defined]
    one = gathered(*(round_of({TIP: spot}) for spot in before))
    other = gathered(*(round_of({TIP: spot}) for spot in shuffled))
    assert one.points[TIP] == pytest.approx(other.points[TIP])
    assert one.scatter_mm == pytest.approx(other.scatter_mm)
