"""Where points fall on the detector, how tilted segments shorten, how a ball's shadow stretches."""

from math import atan2, cos, degrees, radians, sin

import numpy as np
import pytest
from numpy.typing import NDArray

from thumbwright.core.foundations.errors import FilmError
from thumbwright.phantom.projection import (
    Geometry,
    Place,
    ball_shadow,
    centred_geometry,
    leaning,
)

UNEQUAL = centred_geometry(
    field_mm=(150.0, 200.0),
    pitch_mm=(0.2, 0.125),
    source_to_detector_mm=1020.0,
    off_centre_mm=(12.0, -20.0),
)


def test_a_thing_is_enlarged_by_source_distance_over_what_is_left_of_it() -> None:
    by_hand = 1000.0 / 970.0
    geometry = centred_geometry()
    assert geometry.magnification(30.0) == pytest.approx(by_hand, rel=1e-12)
    start, stop = geometry.project((50.0, 60.0, 30.0)), geometry.project((80.0, 100.0, 30.0))
    length = np.hypot(stop[0] - start[0], stop[1] - start[1])
    assert length == pytest.approx(50.0 * by_hand, rel=1e-12)


def test_a_point_on_the_detector_stays_where_it_is() -> None:
    assert UNEQUAL.project((33.0, 44.0, 0.0)) == pytest.approx((33.0, 44.0))
    by_hand_pixel = (33.0 / 0.125, 44.0 / 0.2)
    assert UNEQUAL.pixel_of((33.0, 44.0, 0.0)) == pytest.approx(by_hand_pixel)


def test_a_shadow_lies_on_the_line_from_the_source_through_the_point() -> None:
    place = np.array([20.0, 150.0, 41.0])
    source = np.array([*UNEQUAL.source_mm, 1020.0])
    shadow = np.array([*UNEQUAL.project((20.0, 150.0, 41.0)), 0.0])
    assert np.cross(place - source, shadow - source) == pytest.approx(np.zeros(3), abs=1e-6)


@pytest.mark.parametrize("tilt_deg", [-6.0, 3.0, 6.0, 20.0])
def test_a_tilted_segment_below_the_source_follows_the_exact_cone_formula(tilt_deg: float) -> None:
    geometry = centred_geometry()
    axes = leaning(90.0, tilt_deg, 0.0)
    start = np.array([*geometry.source_mm, 30.0])
    stop = start + 46.0 * axes[2]
    shadow = geometry.project((float(stop[0]), float(stop[1]), float(stop[2])))[0]
    tilt = radians(tilt_deg)
    by_hand_mm = 46.0 * cos(tilt) * 1000.0 / (1000.0 - 30.0 - 46.0 * sin(tilt))
    assert shadow - geometry.source_mm[0] == pytest.approx(by_hand_mm, rel=1e-12)


def test_a_tilted_segment_about_its_middle_shortens_almost_by_the_cosine() -> None:
    geometry = centred_geometry(source_to_detector_mm=4000.0)
    along = leaning(90.0, 6.0, 0.0)[2]
    ends = [np.array([*geometry.source_mm, 30.0]) + side * 23.0 * along for side in (-1, 1)]
    low, high = (geometry.project((float(e[0]), float(e[1]), float(e[2])))[0] for e in ends)
    by_hand_mm = 46.0 * cos(radians(6.0)) * 4000.0 / 3970.0
    assert high - low == pytest.approx(by_hand_mm, rel=1e-5)


def test_the_axes_of_a_bone_are_at_right_angles_and_point_as_they_are_named() -> None:
    axes = leaning(37.0, 5.0, 60.0)
    assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-12)
    straight = leaning(0.0, 0.0, 0.0)
    assert straight == pytest.approx(np.array([[1.0, 0, 0], [0, 0, 1.0], [0, 1.0, 0]]), abs=1e-12)
    assert leaning(0.0, 10.0, 0.0)[2][2] == pytest.approx(sin(radians(10.0)))


def independent_outline(
    geometry: Geometry, centre: Place, diameter_mm: float
) -> NDArray[np.float64]:
    """Project the circle of points at which rays touch a ball, densely (columns, rows) [px]."""
    source = np.array([*geometry.source_mm, geometry.source_to_detector_mm])
    axis = np.array(centre) - source
    distance, radius = float(np.linalg.norm(axis)), diameter_mm / 2
    axis /= distance
    side = np.cross(axis, [0.3, 0.5, 0.81])
    side /= np.linalg.norm(side)
    other = np.cross(axis, side)
    middle = source + axis * (distance**2 - radius**2) / distance
    wide = radius * np.sqrt(distance**2 - radius**2) / distance
    angles = np.linspace(0, 2 * np.pi, 7200, endpoint=False)
    touching = middle + wide * (np.cos(angles)[:, None] * side + np.sin(angles)[:, None] * other)
    return np.array([geometry.pixel_of((x, y, z)) for x, y, z in touching.tolist()])


@pytest.mark.parametrize("geometry", [centred_geometry(off_centre_mm=(5.0, 9.0)), UNEQUAL])
@pytest.mark.parametrize("centre", [(20.0, 30.0, 35.0), (140.0, 190.0, 12.5), (90.0, 60.0, 60.0)])
def test_the_ellipse_of_a_ball_is_the_outline_of_its_touching_rays(
    geometry: Geometry, centre: Place
) -> None:
    outline = independent_outline(geometry, centre, 25.0)
    shadow = ball_shadow(geometry, centre, 25.0)
    turn = radians(shadow.major_axis_deg)
    away = outline - np.array(shadow.centre)
    along = away @ np.array([cos(turn), sin(turn)])
    across = away @ np.array([-sin(turn), cos(turn)])
    on_ellipse = (along / shadow.semi_major_px) ** 2 + (across / shadow.semi_minor_px) ** 2
    assert on_ellipse == pytest.approx(np.ones(7200), abs=1e-9)
    assert shadow.semi_major_px >= shadow.semi_minor_px


def test_the_short_axis_of_a_balls_shadow_does_not_depend_on_where_it_lies() -> None:
    geometry = centred_geometry()
    by_hand_mm = 1000.0 * 10.0 / (965.0**2 - 10.0**2) ** 0.5
    for x_mm in (95.0, 20.0, 180.0):
        shadow = ball_shadow(geometry, (x_mm, 30.0, 35.0), 20.0)
        assert shadow.semi_minor_mm == pytest.approx(by_hand_mm, rel=1e-12)


def test_the_long_axis_of_a_balls_shadow_points_away_from_the_source() -> None:
    geometry = centred_geometry()
    centre = (20.0, 60.0, 30.0)
    by_hand_deg = degrees(atan2(60.0 - geometry.source_mm[1], 20.0 - geometry.source_mm[0]))
    found = ball_shadow(geometry, centre, 20.0).major_axis_deg
    assert sin(radians(found - by_hand_deg)) == pytest.approx(0.0, abs=1e-9)


def test_the_middle_of_a_balls_shadow_lies_a_little_farther_out_than_the_shadow_of_its_middle() -> (
    None
):
    geometry = centred_geometry()
    shadow = ball_shadow(geometry, (15.0, 20.0, 30.0), 25.0)
    source_px = geometry.source_mm[0] / geometry.column_pitch_mm
    assert shadow.centre[0] < shadow.ball_centre[0] < source_px


@pytest.mark.parametrize(
    ("pitch_mm", "distance_mm", "words"),
    [((0.01, 0.15), 1000.0, "16 to 6,000"), ((0.15, 0.15), 100.0, "300 to 4,000 mm")],
)
def test_a_detector_that_cannot_be_is_refused(
    pitch_mm: tuple[float, float], distance_mm: float, words: str
) -> None:
    with pytest.raises(FilmError, match=words):
        centred_geometry(pitch_mm=pitch_mm, source_to_detector_mm=distance_mm)


def test_a_point_above_the_source_is_refused() -> None:
    with pytest.raises(FilmError, match="lower it"):
        centred_geometry().magnification(1000.0)
