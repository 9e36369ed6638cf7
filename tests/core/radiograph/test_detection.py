"""Joint lines and bone ends are proposed where they are, with little trust where they are not."""

from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import dist

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage
from tests.core.radiograph.phantom_rays import (
    COARSE_MM,
    KINDS,
    MET_MM,
    Case,
    Kind,
    draw_case,
    is_met,
    misses,
)

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import FilmError, LandmarkError
from thumbwright.core.radiograph.detection import RayProposal, propose_along
from thumbwright.core.radiograph.landmarks import SECOND_TOE, THUMB, Landmark, Point

SURE_PROB = 0.8
MM_PER_PX = 0.2


@cache
def _case(number: int) -> Case:
    return draw_case(np.random.default_rng([41, number]), KINDS[number % len(KINDS)], COARSE_MM)


@cache
def _found(number: int) -> RayProposal:
    return _proposed(_case(number))


def _proposed(case: Case) -> RayProposal:
    found = case.proposed()
    assert isinstance(found, RayProposal), str(found)
    return found


def _joints(found: RayProposal) -> NDArray[np.float64]:
    return np.array([joint.centre for joint in found.joints])


def _points(found: RayProposal) -> NDArray[np.float64]:
    return np.array([point.point for point in found.points])


def test_the_joint_lines_of_random_rays_are_met_within_a_millimetre() -> None:
    """At least 14 of 16 rays, two of each kind.

    Of many rays 98 in 100 are met, as the long study shows; a program that good falls under 14
    of 16 by chance once in 270 draws. One that met 6 rays of 10 would pass once in 50.
    """
    met = [is_met(_case(number), _found(number)) for number in range(16)]
    assert sum(met) >= 14


def test_what_is_proposed_with_confidence_is_right() -> None:
    """Of joints and points that are called sure fewer than 1 in 20 may be off."""
    sure = [
        miss
        for number in range(16)
        for miss in misses(_case(number), _found(number))
        if miss.confidence_prob >= SURE_PROB
    ]
    assert len(sure) > 100
    assert np.mean([abs(miss.along_mm) > MET_MM for miss in sure]) < 0.05


@pytest.mark.parametrize("number", range(8), ids=lambda number: KINDS[number].name)
def test_every_joint_and_end_of_the_bones_present_is_proposed_from_body_to_tip(
    number: int,
) -> None:
    case, found = _case(number), _found(number)
    assert [joint.name for joint in found.joints] == [bone.joint for bone in case.bones]
    names = [point.landmark for point in found.points]
    assert set(names) <= set(case.truth.points)
    start = case.truth.pixel(names[0])
    away = [dist(start, case.truth.pixel(name)) for name in names]
    assert away == sorted(away)
    last = Landmark.STUMP_BONE_END if case.kind.stump else names[2 * case.count - 1]
    assert last in names
    assert all(0.0 <= point.confidence_prob <= 0.99 for point in found.points)


def test_the_axis_runs_over_the_bones() -> None:
    found = _found(0)
    case = _case(0)
    for bone in case.bones:
        middle = np.mean([bone.base.pixel, bone.end.pixel], axis=0)
        off_mm = min(dist(middle, place) for place in found.axis) * case.true_mm_per_px
        assert off_mm < 1.5, "points of the axis are 2 mm apart"
    steps = [dist(one, other) * case.mm_per_px for one, other in pairwise(found.axis)]
    assert max(steps) < 2.3


@pytest.mark.parametrize("number", [0, 1, 2, 7])
def test_a_mirrored_film_gives_mirrored_proposals(number: int) -> None:
    case = _case(number)
    last = case.values.shape[1] - 1

    def mirrored(point: Point) -> Point:
        return last - point[0], point[1]

    other = replace(
        case,
        values=np.ascontiguousarray(case.values[:, ::-1]),
        start=mirrored(case.start),
        end=mirrored(case.end),
    )
    there = _points(_proposed(other))
    there[:, 0] = last - there[:, 0]
    np.testing.assert_allclose(there, _points(_found(number)), atol=0.5)


@pytest.mark.parametrize("number", [1, 2, 4])
@pytest.mark.parametrize(("gain", "more"), [(1.0, 700.0), (0.37, 0.0), (2e-5, -0.3)])
def test_other_units_of_grey_give_the_same_proposals(number: int, gain: float, more: float) -> None:
    case = _case(number)
    other = replace(case, values=case.values.astype(np.float64) * gain + more)
    np.testing.assert_allclose(_points(_proposed(other)), _points(_found(number)), atol=0.3)
    trust = [joint.confidence_prob for joint in _proposed(other).joints]
    assert trust == pytest.approx([j.confidence_prob for j in _found(number).joints], abs=0.05)


def test_a_line_drawn_with_a_point_between_gives_the_same_joints() -> None:
    case = _case(3)
    between = case.truth.pixel(Landmark.SECOND_PROXIMAL_BASE)
    found = propose_along(
        case.values, case.start, case.end, SECOND_TOE, mm_per_px=case.mm_per_px, via=(between,)
    )
    assert isinstance(found, RayProposal)
    np.testing.assert_allclose(_joints(found), _joints(_found(3)), atol=2.0)


def _drawn_thumb(*, gap_mm: float = 2.0) -> tuple[NDArray[np.float64], tuple[float, ...]]:
    """Draw three light bars with two gaps under a block, by hand; return also the gaps' rows."""
    rows, columns = np.mgrid[0:700, 0:300].astype(np.float64) * MM_PER_PX
    across = np.abs(columns - 30.0)
    film = np.where((across < 11.0) & (rows > 10.0), 400.0, 0.0)
    ends = np.cumsum([16.0, 22.0, gap_mm, 31.0, gap_mm, 46.0, gap_mm, 40.0])
    for top, bottom, half in zip(ends[::2], ends[1::2], (4.5, 5.5, 6.0, 9.0), strict=True):
        film[(across < half) & (rows >= top) & (rows < bottom)] = 1000.0
    film = ndimage.gaussian_filter(film, 0.7)
    film += np.random.default_rng(3).normal(0, 12, film.shape)
    middles = [(bottom + top) / 2 for bottom, top in zip(ends[1:-1:2], ends[2:-1:2], strict=True)]
    return film, tuple(middle / MM_PER_PX - 0.5 for middle in reversed(middles))


def test_gaps_between_bars_drawn_by_hand_are_met() -> None:
    film, by_hand_rows = _drawn_thumb()
    start, end = (142.0, by_hand_rows[0] - 8.0), (158.0, 90.0)
    found = propose_along(film, start, end, THUMB, mm_per_px=MM_PER_PX)
    assert isinstance(found, RayProposal)
    rows = [joint.centre[1] for joint in found.joints]
    assert rows == pytest.approx(by_hand_rows, abs=0.4 / MM_PER_PX)
    assert [joint.centre[0] for joint in found.joints] == pytest.approx([150.0] * 3, abs=5.0)
    tip = found.point_of(Landmark.DISTAL_PHALANX_TIP).point[1]
    by_hand_tip_row = 16.0 / MM_PER_PX - 0.5
    assert tip == pytest.approx(by_hand_tip_row, abs=0.4 / MM_PER_PX)
    skin = found.point_of(Landmark.SKIN_TIP).point[1]
    by_hand_skin_row = 10.0 / MM_PER_PX
    assert skin == pytest.approx(by_hand_skin_row, abs=0.5 / MM_PER_PX)


def _unknown(found: RayProposal | Unknown) -> Unknown:
    assert isinstance(found, Unknown)
    assert found.needed
    return found


@pytest.mark.parametrize("name", ["flat", "noise", "soft parts", "slope"])
def test_where_no_bone_shows_nothing_is_proposed(name: str) -> None:
    rng = np.random.default_rng(2)
    rows, columns = np.mgrid[0:700, 0:300].astype(np.float64)
    values = {
        "flat": np.full(rows.shape, 500.0),
        "noise": rng.normal(500.0, 30.0, rows.shape),
        "soft parts": 300.0 * (np.abs(columns - 150) < 80) + rng.normal(500.0, 20.0, rows.shape),
        "slope": rows + columns + rng.normal(500.0, 20.0, rows.shape),
    }[name]
    found = propose_along(values, (150.0, 620.0), (150.0, 90.0), THUMB, mm_per_px=MM_PER_PX)
    assert "no bone shows" in _unknown(found).reason


def test_a_line_across_the_bones_gives_nothing() -> None:
    case = _case(0)
    middle = np.mean([case.start, case.end], axis=0)
    half = 0.4 * np.subtract(case.end, case.start)[::-1] * (1, -1)
    across = replace(case, start=tuple(middle - half), end=tuple(middle + half))
    assert "no bone shows" in _unknown(across.proposed()).reason


@pytest.mark.parametrize("number", [0, 2, 4])
def test_a_line_over_half_of_the_ray_gives_nothing_that_is_called_sure(number: int) -> None:
    case = _case(number)
    half = replace(case, end=case.bones[0].end.pixel).proposed()
    if isinstance(half, RayProposal):
        assert max(joint.confidence_prob for joint in half.joints) < 0.5
    else:
        assert half.needed


@pytest.mark.parametrize(
    ("start", "end", "said"),
    [
        ((150.0, 600.0), (150.0, 590.0), "from 8 mm"),
        ((150.0, 600.0), (150.0, 600.0), "from 8 mm"),
        ((150.0, 600.0), (150.0, 705.0), "points on the film"),
        ((-20.0, 600.0), (150.0, 90.0), "points on the film"),
        ((150.0, float("nan")), (150.0, 90.0), "points on the film"),
    ],
)
def test_a_line_too_short_or_off_the_film_is_refused_in_words(
    start: Point, end: Point, said: str
) -> None:
    film, _ = _drawn_thumb()
    with pytest.raises(FilmError, match=said):
        propose_along(film, start, end, THUMB, mm_per_px=MM_PER_PX)


def test_a_pixel_of_no_size_and_a_grid_that_is_no_film_are_refused_in_words() -> None:
    film, _ = _drawn_thumb()
    with pytest.raises(FilmError, match="mm a pixel"):
        propose_along(film, (150.0, 600.0), (150.0, 90.0), THUMB, mm_per_px=0.0)
    with pytest.raises(FilmError, match="one grid"):
        propose_along(film[None], (150.0, 600.0), (150.0, 90.0), THUMB, mm_per_px=MM_PER_PX)


def test_bones_that_are_not_the_first_of_their_ray_are_refused_in_words() -> None:
    film, _ = _drawn_thumb()
    for bones in ((), THUMB.bones[1:], SECOND_TOE.bones[:2]):
        with pytest.raises(LandmarkError, match="from the body on"):
            propose_along(
                film, (150.0, 600.0), (150.0, 90.0), THUMB, mm_per_px=MM_PER_PX, present=bones
            )


def test_a_point_that_was_not_proposed_is_refused_by_name() -> None:
    with pytest.raises(LandmarkError, match="great skin tip was asked for"):
        _found(0).point_of(Landmark.GREAT_SKIN_TIP)


def _study(kind: Kind, count: int) -> tuple[float, list[tuple[bool, float]]]:
    """Return the share of rays met, and of every joint whether it was met and its confidence."""
    met, joints = [], []
    for number in range(count):
        case = draw_case(np.random.default_rng([43, KINDS.index(kind), number]), kind)
        found = case.proposed()
        met.append(is_met(case, found))
        if isinstance(found, RayProposal):
            joints += [
                (abs(miss.along_mm) <= MET_MM, miss.confidence_prob)
                for miss in misses(case, found)
                if miss.is_joint
            ]
    return float(np.mean(met)), joints


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_of_many_rays_nine_in_ten_are_met_and_the_sure_ones_are_right(kind: Kind) -> None:
    met_share, joints = _study(kind, 40)
    sure = [is_right for is_right, prob in joints if prob >= SURE_PROB]
    assert met_share >= 0.9
    assert len(sure) > 0.7 * len(joints)
    assert np.mean(sure) > 0.95
