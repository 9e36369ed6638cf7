"""The outer width of a bone is read off bars of known width, or it is said that it cannot be."""

from math import cos, hypot, radians, sin

import numpy as np
import pytest
from tests.core.radiograph.by_hand import BAR_LEVEL, BAR_MM_PER_PX, SHAPE, bar, upward

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.bone_width import BoneWidth, width_across

MIDDLE = (500.0, 600.0)


def read(
    values: np.ndarray, *, at: tuple[float, float] = MIDDLE, turn_deg: float = 0.0
) -> BoneWidth:
    turn = radians(turn_deg)
    found = width_across(values, at, (sin(turn), -cos(turn)), mm_per_px=BAR_MM_PER_PX)
    assert isinstance(found, BoneWidth), str(found)
    return found


def width_mm(found: BoneWidth) -> float:
    return found.width_px * BAR_MM_PER_PX


@pytest.mark.parametrize("true_mm", [5.0, 8.0, 11.0, 15.0])
@pytest.mark.parametrize("turn_deg", [0.0, 30.0, 90.0, 200.0])
def test_a_bar_in_any_direction_is_read_to_three_tenths_of_a_millimetre(
    true_mm: float, turn_deg: float
) -> None:
    found = read(bar(true_mm, turn_deg=turn_deg), turn_deg=turn_deg)
    assert width_mm(found) == pytest.approx(true_mm, abs=0.3)


@pytest.mark.parametrize("blur_px", [0.7, 1.0, 1.6])
@pytest.mark.parametrize("noise", [0.0, 60.0, 200.0])
def test_blur_and_noise_within_bounds_do_not_widen_a_bone(blur_px: float, noise: float) -> None:
    found = read(bar(9.0, blur_px=blur_px, noise=noise))
    assert width_mm(found) == pytest.approx(9.0, abs=0.3)


def test_both_edges_lie_on_the_bone_and_on_their_sides_of_it() -> None:
    found = read(bar(9.0))
    by_hand_half_px = 4.5 / BAR_MM_PER_PX
    # Looking up along the bone, left is where columns are small.
    assert found.left == pytest.approx((500.0 - by_hand_half_px, 600.0), abs=1.0)
    assert found.right == pytest.approx((500.0 + by_hand_half_px, 600.0), abs=1.0)
    apart = hypot(found.right[0] - found.left[0], found.right[1] - found.left[1])
    assert apart == pytest.approx(found.width_px)


def test_a_point_beside_the_axis_reads_the_same_bone() -> None:
    values = bar(9.0)
    beside = (500.0 + 2.0 / BAR_MM_PER_PX, 600.0)
    assert width_mm(read(values, at=beside)) == pytest.approx(width_mm(read(values)), abs=0.1)


def test_the_way_along_the_bone_may_be_given_from_either_end_and_of_any_length() -> None:
    values = bar(9.0)
    up, down = read(values), width_across(values, MIDDLE, (0.0, 7.0), mm_per_px=BAR_MM_PER_PX)
    assert isinstance(down, BoneWidth)
    assert down.width_px == pytest.approx(up.width_px, abs=0.05)
    assert down.left == pytest.approx(up.right, abs=0.1)


def test_a_neighbouring_bone_is_not_taken_for_the_other_edge() -> None:
    both = np.maximum(bar(9.0), bar(10.0, middle=(500.0 + 11.5 / BAR_MM_PER_PX, 600.0), seed=2))
    assert width_mm(read(both)) == pytest.approx(9.0, abs=0.3)


def test_the_stated_doubt_covers_what_noise_does_to_the_width() -> None:
    found = [read(bar(9.0, seed=seed, noise=150.0)) for seed in range(12)]
    widths = np.array([each.width_px for each in found])
    stated = float(np.mean([each.standard_uncertainty_px for each in found]))
    assert float(widths.std(ddof=1)) < 2 * stated
    assert abs(float(widths.mean()) - 9.0 / BAR_MM_PER_PX) < 2 * stated


def test_where_no_edge_shows_there_is_no_width() -> None:
    flat = np.full(SHAPE, BAR_LEVEL, dtype=np.uint16)
    found = width_across(flat, MIDDLE, (0.0, -1.0), mm_per_px=BAR_MM_PER_PX)
    assert isinstance(found, Unknown)
    assert found.needed


@pytest.mark.parametrize(
    ("at", "along", "mm_per_px"),
    [
        ((-5.0, 600.0), (0.0, -1.0), BAR_MM_PER_PX),
        ((500.0, 1300.0), (0.0, -1.0), BAR_MM_PER_PX),
        (MIDDLE, (0.0, 0.0), BAR_MM_PER_PX),
        (MIDDLE, (0.0, -1.0), 0.0),
    ],
)
def test_a_place_off_the_film_or_a_way_that_leads_nowhere_is_refused(
    at: tuple[float, float], along: tuple[float, float], mm_per_px: float
) -> None:
    with pytest.raises(FilmError, match=r"a width was asked for.*allowed are.*mend what is off"):
        width_across(bar(9.0), at, along, mm_per_px=mm_per_px)


def test_wider_bars_are_read_wider() -> None:
    widths = [width_mm(read(bar(true))) for true in (6.0, 6.5, 7.0, 7.5)]
    assert widths == sorted(widths)
    assert np.diff(widths) == pytest.approx([0.5] * 3, abs=0.1)


def test_a_point_on_the_very_edge_of_the_film_is_no_cause_for_alarm() -> None:
    """Ask there: what answers is a width or the word that none shows, and no traceback."""
    answer = width_across(bar(9.0), upward(0.0, 89.0), (0.0, -1.0), mm_per_px=BAR_MM_PER_PX)
    assert isinstance(answer, BoneWidth | Unknown)
