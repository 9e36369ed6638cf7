"""The way of a ray through a solid: against closed forms and against marching along the ray."""

from math import cos, pi, radians, sqrt, tan

import numpy as np
import pytest

from thumbwright.core.foundations.errors import FilmError
from thumbwright.phantom.bones import (
    FLARE_SHARE,
    RIM_SHARE,
    TRUNK_SHARE,
    WAIST_AT_SHARE,
    BoneSize,
    outer_shape,
)
from thumbwright.phantom.chords import (
    Sheet,
    Union,
    height_inside,
    rays_of,
    rays_to,
    slant,
    stretches,
    window_of,
)
from thumbwright.phantom.projection import Geometry, centred_geometry, leaning
from thumbwright.phantom.soft_parts import pad
from thumbwright.phantom.solids import (
    Between,
    Frame,
    Round,
    Shape,
    block,
    convex,
    dome,
    ellipsoid,
    round_box,
    shaft,
)

GEOMETRY = centred_geometry(field_mm=(60.0, 60.0), pitch_mm=(0.5, 0.5))
FLAT = leaning(0.0, 0.0, 0.0)


def ways(shape: Shape, frame: Frame, x_mm: Sheet, y_mm: Sheet) -> Sheet:
    rays = rays_to(GEOMETRY, frame, x_mm, y_mm)
    return height_inside(shape, rays) * slant(GEOMETRY, x_mm, y_mm)


def middle_ray(shape: Shape, frame: Frame) -> float:
    x_mm, y_mm = GEOMETRY.source_mm
    return float(ways(shape, frame, np.array([[x_mm]]), np.array([[y_mm]]))[0, 0])


def under_the_source(height_mm: float, axes: Sheet = FLAT) -> Frame:
    return Frame(origin=np.array([*GEOMETRY.source_mm, height_mm]), axes=axes)


def long_rod(radius_mm: float) -> Shape:
    box = round_box(radius_mm, 1.0, (-20.0, 20.0))
    return convex(Round(constant=radius_mm**2), Between(low_mm=-20.0, high_mm=20.0), box=box)


def sphere(radius_mm: float) -> Shape:
    body = ellipsoid(middle_mm=0.0, half_length_mm=radius_mm, half_width_mm=radius_mm)
    return convex(body, box=round_box(radius_mm, 1.0, (-radius_mm, radius_mm)))


def test_the_middle_ray_crosses_a_sphere_along_its_diameter() -> None:
    by_hand_mm = 15.0
    assert middle_ray(sphere(7.5), under_the_source(30.0)) == pytest.approx(by_hand_mm, abs=1e-9)


def test_a_ray_beside_the_middle_of_a_sphere_follows_the_chord_formula() -> None:
    place = np.array([GEOMETRY.source_mm[0] + 3.0, GEOMETRY.source_mm[1] - 11.0, 40.0])
    source = np.array([*GEOMETRY.source_mm, GEOMETRY.source_to_detector_mm])
    x_mm, y_mm = GEOMETRY.source_mm[0] + 5.5, GEOMETRY.source_mm[1] - 9.0
    along = np.array([x_mm, y_mm, 0.0]) - source
    distance = np.linalg.norm(np.cross(place - source, along)) / np.linalg.norm(along)
    by_hand_mm = 2 * sqrt(6.0**2 - distance**2)
    frame = Frame(origin=place, axes=leaning(20.0, 15.0, 40.0))
    found = ways(sphere(6.0), frame, np.array([[x_mm]]), np.array([[y_mm]]))[0, 0]
    assert found == pytest.approx(by_hand_mm, abs=1e-9)


@pytest.mark.parametrize("tilt_deg", [0.0, 6.0, 30.0, 60.0])
def test_the_middle_ray_crosses_a_tilted_rod_in_its_diameter_over_the_cosine(
    tilt_deg: float,
) -> None:
    by_hand_mm = 2 * 4.0 / cos(radians(tilt_deg))
    frame = under_the_source(30.0, leaning(25.0, tilt_deg, 10.0))
    assert middle_ray(long_rod(4.0), frame) == pytest.approx(by_hand_mm, rel=1e-9)


def test_a_slanting_ray_crosses_a_slab_in_its_thickness_over_the_cosine_of_the_slant() -> None:
    x_mm, y_mm = GEOMETRY.source_mm[0] + 20.0, GEOMETRY.source_mm[1] + 10.0
    by_hand_mm = 8.0 * sqrt(1 + (20.0**2 + 10.0**2) / 1000.0**2)
    slab = block(half_mm=(50.0, 4.0, 50.0))
    found = ways(slab, under_the_source(20.0), np.array([[x_mm]]), np.array([[y_mm]]))[0, 0]
    assert found == pytest.approx(by_hand_mm, abs=1e-9)


def test_a_hollow_takes_away_what_it_cuts_out() -> None:
    by_hand_mm = 20.0 - 12.0
    hole = ellipsoid(middle_mm=0.0, half_length_mm=6.0, half_width_mm=6.0)
    shell = sphere(10.0).without(hole)
    assert middle_ray(shell, under_the_source(30.0)) == pytest.approx(by_hand_mm, abs=1e-9)


def test_two_overlapping_solids_count_once() -> None:
    egg = ellipsoid(middle_mm=4.0, half_length_mm=6.0, half_width_mm=6.0)
    two = sphere(6.0).joined(convex(egg, box=round_box(6.0, 1.0, (-2.0, 10.0))))
    upright = under_the_source(30.0, np.array([[1.0, 0, 0], [0, 1.0, 0], [0, 0, 1.0]]))
    by_hand_mm = 6.0 + 10.0
    assert middle_ray(two, upright) == pytest.approx(by_hand_mm, abs=1e-9)


def test_solids_apart_along_the_axis_need_no_term_for_what_they_share() -> None:
    egg = ellipsoid(middle_mm=40.0, half_length_mm=6.0, half_width_mm=6.0)
    two = sphere(6.0).joined(convex(egg, box=round_box(6.0, 1.0, (34.0, 46.0))))
    by_hand_terms = 2
    assert len(two.terms) == by_hand_terms


def test_a_dome_ends_on_its_axis_where_it_was_told_to() -> None:
    cap = convex(dome(top_mm=5.0, radius_mm=3.0), box=round_box(9.0, 1.0, (-9.0, 5.0)))
    assert cap.holds(0.0, 0.0, 5.0 - 1e-9)
    assert not cap.holds(0.0, 0.0, 5.0 + 1e-9)
    by_hand_half_width_mm = sqrt(2 * 3.0 * 2.0)
    assert cap.holds(by_hand_half_width_mm - 1e-9, 0.0, 3.0)
    assert not cap.holds(by_hand_half_width_mm + 1e-9, 0.0, 3.0)


def test_a_shaft_that_would_pinch_off_is_refused() -> None:
    with pytest.raises(FilmError, match="pinches off"):
        shaft(places_mm=(0.0, 20.0, 22.0), radii_mm=(8.0, 2.0, 8.0), flatness=1.0)


def test_a_bone_set_upright_is_refused() -> None:
    rod = shaft(places_mm=(0.0, 10.0, 20.0), radii_mm=(6.0, 3.0, 6.0), flatness=1.0)
    upright = under_the_source(30.0, leaning(0.0, 89.0, 0.0))
    with pytest.raises(FilmError, match="lay it flatter"):
        middle_ray(convex(rod, box=round_box(6.0, 1.0, (0.0, 20.0))), upright)


def marched(frame: Frame, x_mm: float, y_mm: float, step_mm: float = 0.004) -> float:
    """Walk along a ray and count the steps inside the bone."""
    foot = np.array([x_mm, y_mm, 0.0])
    source = np.array([*GEOMETRY.source_mm, GEOMETRY.source_to_detector_mm])
    along = (source - foot) / np.linalg.norm(source - foot)
    steps = np.arange(0.0, 80.0, step_mm) + step_mm / 2
    points = (foot + steps[:, None] * along - frame.origin) @ frame.axes.T
    return step_mm * float(np.count_nonzero(inside_bone(SIZE, points)))


SIZE = BoneSize(
    length_mm=31.6, base_width_mm=14.4, waist_width_mm=8.6, head_width_mm=12.0, flatness=0.75
)


def inside_bone(size: BoneSize, points: Sheet) -> Sheet:
    """Say which points lie in a bone, by plain Boolean words and formulas written anew."""
    u, v, w = points.T
    around = u**2 + (v / size.flatness) ** 2
    half = size.head_length_share * size.head_width_mm
    middle = size.length_mm - half
    places = [0.0, WAIST_AT_SHARE * middle, middle]
    radii = [
        TRUNK_SHARE * size.base_width_mm / 2,
        size.waist_width_mm / 2,
        size.neck_share * size.head_width_mm / 2,
    ]
    square = sum(
        radii[i] ** 2
        * np.prod([(w - places[j]) / (places[i] - places[j]) for j in range(3) if j != i], axis=0)
        for i in range(3)
    )
    rim = w >= -size.hollow_mm
    trunk = (around <= square) & rim & (w <= middle)
    flare = (
        around / (size.base_width_mm / 2) ** 2 + (w / (FLARE_SHARE * size.base_width_mm)) ** 2 <= 1
    ) & rim
    depth, hollow = size.hollow_mm, RIM_SHARE * size.base_width_mm
    radius = (hollow**2 + depth**2) / (2 * depth)
    scooped = u**2 + v**2 + (w + radius) ** 2 <= radius**2
    head = around / (size.head_width_mm / 2) ** 2 + ((w - middle) / half) ** 2 <= 1
    return np.asarray(((trunk | flare) & ~scooped) | head)


def test_ways_through_a_bone_agree_with_marching_along_random_rays() -> None:
    rng = np.random.default_rng(11)
    frame = Frame(
        origin=np.array([GEOMETRY.source_mm[0] + 4.0, GEOMETRY.source_mm[1] + 12.0, 30.0]),
        axes=leaning(33.0, 6.0, 25.0),
    )
    shape = outer_shape(SIZE)
    hits = 0
    for _ in range(120):
        place = frame.place(*rng.uniform([-7.5, -7.5, -1.5], [7.5, 7.5, 33.0]).tolist())
        x_mm, y_mm = GEOMETRY.project((float(place[0]), float(place[1]), float(place[2])))
        found = ways(shape, frame, np.array([[x_mm]]), np.array([[y_mm]]))[0, 0]
        independent_mm = marched(frame, x_mm, y_mm)
        assert found == pytest.approx(independent_mm, abs=0.02)
        hits += independent_mm > 0.5
    assert hits > 60


def test_the_window_of_a_solid_holds_its_whole_shadow() -> None:
    frame = Frame(
        origin=np.array([GEOMETRY.source_mm[0] + 5.0, GEOMETRY.source_mm[1] + 9.0, 30.0]),
        axes=leaning(-40.0, 6.0, 25.0),
    )
    shape = outer_shape(SIZE)
    window = window_of(GEOMETRY, frame, shape)
    assert window is not None
    whole = height_inside(
        shape,
        rays_to(GEOMETRY, frame, GEOMETRY.columns_mm[None, :], GEOMETRY.rows_mm[:, None]),
    )
    part = height_inside(shape, rays_of(GEOMETRY, frame, window))
    assert np.count_nonzero(part) > 500
    assert np.count_nonzero(whole) == np.count_nonzero(part)


def test_a_solid_beside_the_film_has_no_window() -> None:
    frame = Frame(origin=np.array([500.0, 500.0, 30.0]), axes=FLAT)
    assert window_of(GEOMETRY, frame, sphere(5.0)) is None


def independent_union_mm(intervals: list[tuple[float, float]]) -> float:
    """Sort intervals and add up what they cover."""
    total, reached = 0.0, -np.inf
    for low, high in sorted(interval for interval in intervals if interval[0] < interval[1]):
        total += max(0.0, high - max(low, reached))
        reached = max(reached, high)
    return total


def test_the_union_of_many_pads_agrees_with_sorting_their_stretches_in_any_order() -> None:
    rng = np.random.default_rng(5)
    geometry = Geometry(
        rows=24,
        columns=20,
        row_pitch_mm=1.0,
        column_pitch_mm=1.0,
        source_mm=(10.0, 12.0),
        source_to_detector_mm=1000.0,
    )
    union = Union(geometry)
    every: list[tuple[Sheet, Sheet]] = []
    whole = (slice(0, 24), slice(0, 20))
    for _ in range(14):
        member = pad(
            Frame(
                origin=rng.uniform([2, 2, 5], [18, 22, 70]), axes=leaning(*rng.uniform(0, 50, 3))
            ),
            half_length_mm=7.0,
            half_width_mm=6.0,
            flatness=0.5,
        )
        ((_, stretch),) = stretches(member.shape, rays_of(geometry, member.frame, whole))
        union.add(whole, stretch)
        every.append(stretch)
    found = union.height_inside()
    for row, column in np.ndindex(24, 20):
        independent_mm = independent_union_mm(
            [(float(low[row, column]), float(high[row, column])) for low, high in every]
        )
        assert found[row, column] == pytest.approx(independent_mm, abs=2e-4)


def test_the_volume_of_a_sphere_is_the_sum_of_its_ways_under_a_far_source() -> None:
    geometry = centred_geometry(
        field_mm=(40.0, 40.0), pitch_mm=(0.1, 0.1), source_to_detector_mm=4000.0
    )
    frame = Frame(origin=np.array([*geometry.source_mm, 10.0]), axes=leaning(0.0, 10.0, 0.0))
    window = window_of(geometry, frame, sphere(8.0))
    assert window is not None
    height = height_inside(sphere(8.0), rays_of(geometry, frame, window))
    enlarged = (4000.0 / 3990.0) ** 2
    by_hand_mm3 = 4 / 3 * pi * 8.0**3
    assert float(height.sum()) * 0.01 / enlarged == pytest.approx(by_hand_mm3, rel=2e-4)


def test_the_slant_is_one_below_the_source_and_grows_outwards() -> None:
    off_mm = 1000.0 * tan(radians(10.0))
    x_mm, y_mm = GEOMETRY.source_mm
    by_hand = 1 / cos(radians(10.0))
    assert slant(GEOMETRY, np.array([[x_mm]]), np.array([[y_mm]]))[0, 0] == 1.0
    found = slant(GEOMETRY, np.array([[x_mm + off_mm]]), np.array([[y_mm]]))[0, 0]
    assert found == pytest.approx(by_hand, rel=1e-12)
