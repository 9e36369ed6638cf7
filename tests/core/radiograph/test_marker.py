"""The ball is found where closed form says, and nothing else is taken for one.

The films here are drawn by a small generator of their own (a sphere's chord by ray and
sphere, counted noise, blur), so that they check the project's phantom as well.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from math import atan2, degrees, hypot, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.image import BeamScale
from thumbwright.core.radiograph.marker import MarkerFound, find_all_markers, find_marker

SOURCE_MM = 1000.0
Grid = NDArray[np.float64]
Paint = Callable[[Grid, Grid], Grid]
"""Share of the beam let through at places (x, y) in mm from the middle of the film."""


@dataclass(frozen=True, kw_only=True)
class Ball:
    """A steel ball: middle of its shadow before the cone stretches it, size and height [mm]."""

    at: tuple[float, float]
    diameter: float = 25.0
    height: float = 20.0

    @property
    def depth(self) -> float:
        """Distance of the middle from the source along the central ray [mm]."""
        return SOURCE_MM - self.height

    @property
    def middle(self) -> tuple[float, float, float]:
        """Place of the middle seen from the source [mm]."""
        share = self.depth / SOURCE_MM
        return self.at[0] * share, self.at[1] * share, self.depth

    @property
    def by_hand_minor_mm(self) -> float:
        """Shorter axis of the shadow: tangent cone of a sphere cut by the detector."""
        radius = self.diameter / 2
        return 2 * radius * SOURCE_MM / sqrt(self.depth**2 - radius**2)

    @property
    def by_hand_centre_mm(self) -> tuple[float, float]:
        """Middle of the ellipse: half way between the two tangent rays in the plane of the axis."""
        stretch = self.depth**2 / (self.depth**2 - (self.diameter / 2) ** 2)
        return self.at[0] * stretch, self.at[1] * stretch


@dataclass(frozen=True, kw_only=True)
class Shot:
    """How a film was taken."""

    response: str = "log"
    pitch: float = 0.15
    shape: tuple[int, int] = (420, 400)
    centre: tuple[float, float] = (0.0, 0.0)
    """Place of the middle of the film against the central ray. [mm]"""
    attenuation: float = 0.6
    blur: float = 0.8
    scatter: float = 0.02
    scatter_run: float | None = None
    """Way to the right over which the scatter grows e times; even if none. [mm]"""
    photons: float = 4000.0
    paints: tuple[Paint, ...] = field(default=())


def _axes(shot: Shot, rows: slice, columns: slice, fine: int) -> tuple[Grid, Grid]:
    def places(part: slice, length: int, middle: float) -> Grid:
        count = (part.stop - part.start) * fine
        pixel = (np.arange(count) + 0.5) / fine - 0.5 + part.start
        return np.asarray((pixel - (length - 1) / 2) * shot.pitch + middle)

    x = places(columns, shot.shape[1], shot.centre[0])
    y = places(rows, shot.shape[0], shot.centre[1])
    grid = np.meshgrid(x, y)
    return np.asarray(grid[0]), np.asarray(grid[1])


def _chord(x: Grid, y: Grid, ball: Ball) -> Grid:
    """Way through the sphere of the ray from the source to each place [mm]."""
    length = np.sqrt(x**2 + y**2 + SOURCE_MM**2)
    a, b, c = ball.middle
    along = (x * a + y * b + SOURCE_MM * c) / length
    inside = (ball.diameter / 2) ** 2 - (a * a + b * b + c * c - along**2)
    return np.asarray(2 * np.sqrt(np.clip(inside, 0, None)))


def _pixel(shot: Shot, place: tuple[float, float]) -> tuple[float, float]:
    return (
        (place[0] - shot.centre[0]) / shot.pitch + (shot.shape[1] - 1) / 2,
        (place[1] - shot.centre[1]) / shot.pitch + (shot.shape[0] - 1) / 2,
    )


def _through(shot: Shot, balls: tuple[Ball, ...], fine: int = 4) -> Grid:
    x, y = _axes(shot, slice(0, shot.shape[0]), slice(0, shot.shape[1]), 1)
    beam = np.ones(shot.shape)
    for paint in shot.paints:
        beam = beam * paint(x, y)
    for ball in balls:
        column, row = _pixel(shot, ball.at)
        reach = 0.62 * ball.diameter / shot.pitch + 6
        rows = slice(max(0, int(row - reach)), min(shot.shape[0], int(row + reach)))
        columns = slice(max(0, int(column - reach)), min(shot.shape[1], int(column + reach)))
        u, v = _axes(shot, rows, columns, fine)
        passed = np.exp(-shot.attenuation * _chord(u, v, ball))
        size = (rows.stop - rows.start, fine, columns.stop - columns.start, fine)
        beam[rows, columns] *= passed.reshape(size).mean(axis=(1, 3))
    return np.asarray(beam)


def _scattered(shot: Shot) -> Grid:
    """Return the scatter over the open beam, which lies evenly or grows to the right."""
    x, _ = _axes(shot, slice(0, shot.shape[0]), slice(0, shot.shape[1]), 1)
    run = np.zeros(shot.shape) if shot.scatter_run is None else x / shot.scatter_run
    return np.asarray(shot.scatter * np.exp(run))


def film(shot: Shot, *balls: Ball, seed: int = 1) -> NDArray[np.uint16]:
    """Draw a film of 12 bits, larger is lighter."""
    beam = ndimage.gaussian_filter(_through(shot, balls), shot.blur)
    beam = (beam + _scattered(shot)) / (1 + shot.scatter)
    counted = np.random.default_rng(seed).poisson(beam * shot.photons) / shot.photons
    if shot.response == "linear":
        values = 1 - 0.95 * counted
    else:
        nepers = {"log": 4.6, "saturated": 2.6}[shot.response]
        values = 0.05 - np.log(np.maximum(counted, 1e-4)) / nepers
    return np.asarray(np.clip(np.round(4095 * values), 0, 4095), dtype=np.uint16)


def finger(
    at_mm: float, half_mm: float, attenuation: float, end_mm: float = -99.0, top_mm: float = 99.0
) -> Paint:
    """Return a round rod along y with a round end, as soft part or bone."""

    def paint(x: Grid, y: Grid) -> Grid:
        over = np.maximum(np.maximum(end_mm - y, y - top_mm), 0.0)
        away = np.hypot(x - at_mm, over)
        return np.asarray(
            np.exp(-attenuation * 2 * np.sqrt(np.clip(half_mm**2 - away**2, 0, None)))
        )

    return paint


def plate(at: tuple[float, float], outer: float, inner: float, passed: float) -> Paint:
    """Return a flat ring, or a disc where the inner diameter is 0."""

    def paint(x: Grid, y: Grid) -> Grid:
        away = 2 * np.hypot(x - at[0], y - at[1])
        return np.where((away < outer) & (away >= inner), passed, 1.0)

    return paint


def screw(x: Grid, y: Grid) -> Grid:
    thread = 2.0 + 0.6 * np.abs(y % 1.5 - 0.75)
    shaft = (np.abs(x) < thread) & (np.abs(y) < 12)
    return np.where(shaft | (np.hypot(x, y - 12) < 4.5), 0.01, 1.0)


def letters(x: Grid, y: Grid) -> Grid:
    ring = np.abs(np.hypot(x - 8, y) - 7.5) < 1.2
    stem = (np.abs(x + 15) < 1.2) & (np.abs(y) < 9)
    bars = (np.abs(x + 10) < 6) & (np.abs(np.abs(y) - 8) < 1.2)
    return np.where(ring | stem | bars, 0.01, 1.0)


def border(x: Grid, y: Grid) -> Grid:
    """Leave a field with rounded corners open, with lead round it."""
    return np.where(np.abs(x / 24) ** 6 + np.abs(y / 26) ** 6 < 1, 1.0, 1e-3)


def _one(values: NDArray[np.uint16]) -> MarkerFound:
    found = find_marker(values)
    assert isinstance(found, MarkerFound), found
    return found


@pytest.mark.parametrize("response", ["linear", "log"])
@pytest.mark.parametrize(
    ("diameter", "pitch", "attenuation"),
    [(10.0, 0.15, 0.9), (15.0, 0.2, 0.5), (25.0, 0.1485, 0.7), (30.0, 0.12, 0.5)],
)
def test_centre_and_outline_of_a_ball_beside_the_digit_are_those_of_the_tangent_cone(
    response: str, diameter: float, pitch: float, attenuation: float
) -> None:
    shot = Shot(
        response=response, pitch=pitch, attenuation=attenuation, paints=(finger(-24.0, 9.0, 0.02),)
    )
    ball = Ball(at=(3.3, -2.1), diameter=diameter)
    found = _one(film(shot, ball))
    by_hand_px = ball.by_hand_minor_mm / pitch
    by_hand_centre = _pixel(shot, ball.by_hand_centre_mm)
    assert found.diameter_px == pytest.approx(by_hand_px, rel=0.005)
    assert hypot(found.centre[0] - by_hand_centre[0], found.centre[1] - by_hand_centre[1]) < 0.2
    assert found.edge_share > 0.95
    assert found.confidence_prob > 0.7


def test_the_metal_may_be_cut_off_at_the_top_of_the_scale() -> None:
    shot = Shot(response="saturated")
    ball = Ball(at=(1.0, 2.0))
    found = _one(film(shot, ball))
    assert found.saturated
    assert found.diameter_px == pytest.approx(ball.by_hand_minor_mm / shot.pitch, rel=0.006)
    assert found.confidence_prob < 0.9, "a disc and a ball look alike there"


def test_the_shorter_axis_keeps_the_scale_far_off_the_central_ray() -> None:
    shot = Shot(response="log", centre=(150.0, 90.0))
    ball = Ball(at=(150.0, 90.0), diameter=30.0, height=60.0)
    found = _one(film(shot, ball))
    by_hand_ratio = sqrt(1 + (150.0**2 + 90.0**2) / SOURCE_MM**2)
    by_hand_direction = degrees(atan2(90.0, 150.0))
    assert found.diameter_px == pytest.approx(ball.by_hand_minor_mm / shot.pitch, rel=0.003)
    ratio = found.major_diameter_px / found.diameter_px
    assert ratio == pytest.approx(by_hand_ratio, abs=0.002)
    assert found.direction_deg == pytest.approx(by_hand_direction, abs=4.0)


@pytest.mark.parametrize("response", ["linear", "log"])
def test_a_ball_over_soft_parts_and_partly_over_a_bone_is_found(response: str) -> None:
    shot = Shot(
        response=response,
        paints=(finger(-14.0, 11.0, 0.02), finger(-14.0, 5.0, 0.05, end_mm=-8.0)),
    )
    ball = Ball(at=(-1.0, 3.0), diameter=20.0)
    found = _one(film(shot, ball))
    by_hand_centre = _pixel(shot, ball.by_hand_centre_mm)
    assert found.diameter_px == pytest.approx(ball.by_hand_minor_mm / shot.pitch, rel=0.01)
    assert hypot(found.centre[0] - by_hand_centre[0], found.centre[1] - by_hand_centre[1]) < 0.3


@pytest.mark.parametrize(
    ("diameter", "attenuation", "scatter_run"),
    [(20.0, 4.0, 10.0), (20.0, 0.6, 10.0), (10.0, 0.6, 20.0), (25.0, 2.0, 15.0)],
)
def test_scatter_that_falls_to_one_side_does_not_pull_the_outline(
    diameter: float, attenuation: float, scatter_run: float
) -> None:
    shot = Shot(attenuation=attenuation, scatter_run=scatter_run, photons=20000.0)
    ball = Ball(at=(1.3, 0.7), diameter=diameter)
    found = find_marker(film(shot, ball), beam_scale=BeamScale.LOGARITHMIC)
    assert isinstance(found, MarkerFound)
    by_hand_px = ball.by_hand_minor_mm / shot.pitch
    by_hand_centre = _pixel(shot, ball.by_hand_centre_mm)
    assert found.diameter_px == pytest.approx(by_hand_px, abs=0.2)
    assert hypot(found.centre[0] - by_hand_centre[0], found.centre[1] - by_hand_centre[1]) < 0.03


def test_a_header_that_tells_the_scale_lessens_the_doubt() -> None:
    values = film(Shot(), Ball(at=(1.0, 2.0)))
    told = find_marker(values, beam_scale=BeamScale.LOGARITHMIC)
    assert isinstance(told, MarkerFound)
    assert told.diameter_uncertainty_px < 0.8 * _one(values).diameter_uncertainty_px


def test_errors_stay_within_the_stated_doubt() -> None:
    rng = np.random.default_rng(7)
    ratios = []
    for number in range(20):
        shot = Shot(
            response=("linear", "log")[number % 2],
            pitch=rng.uniform(0.11, 0.2),
            attenuation=rng.uniform(0.5, 3.0),
            blur=rng.uniform(0.6, 1.2),
            scatter=rng.uniform(0.005, 0.04),
            photons=10 ** rng.uniform(3.1, 4.0),
            shape=(340, 340),
        )
        widest = min(30.0, 240 * shot.pitch)
        ball = Ball(at=(rng.uniform(-2, 2), rng.uniform(-2, 2)), diameter=rng.uniform(10, widest))
        found = find_marker(film(shot, ball, seed=number))
        assert isinstance(found, MarkerFound)
        off = found.diameter_px - ball.by_hand_minor_mm / shot.pitch
        ratios.append(off / found.diameter_uncertainty_px)
    assert sqrt(np.mean(np.square(ratios))) < 1.5
    assert np.mean(np.abs(ratios) < 2) >= 0.85


@pytest.mark.parametrize("response", ["linear", "log", "saturated"])
@pytest.mark.parametrize(
    ("name", "paints"),
    [
        ("nothing", ()),
        ("bones with round heads", (finger(-9, 8, 0.05, -5.0, 30.0), finger(12, 6, 0.05, 2.0))),
        ("a finger ring", (plate((2.0, 1.0), 21.0, 17.0, 0.2),)),
        ("a washer", (plate((2.0, 1.0), 24.0, 9.0, 0.01),)),
        ("a screw", (screw,)),
        ("letters", (letters,)),
        ("an opened field", (border,)),
    ],
)
def test_no_ball_is_found_where_there_is_none(
    response: str, name: str, paints: tuple[Paint, ...]
) -> None:
    soft = finger(0.0, 20.0, 0.012, end_mm=-10.0)
    found = find_marker(film(Shot(response=response, paints=(soft, *paints))))
    assert isinstance(found, Unknown), name
    assert found.reason
    assert found.needed


@pytest.mark.parametrize("response", ["linear", "log"])
def test_a_coin_that_shows_the_finger_through_it_is_not_taken_for_a_ball(response: str) -> None:
    """What lies round a thin disc goes on inside it; a ball is opaque."""
    paints = (finger(-6.0, 9.0, 0.03), plate((2.0, 1.0), 22.0, 0.0, 0.3))
    found = find_marker(film(Shot(response=response, paints=paints)))
    assert isinstance(found, Unknown)
    assert "flat disc" in found.reason


@pytest.mark.parametrize("response", ["linear", "log"])
def test_where_a_disc_of_lead_and_a_ball_look_alike_it_is_said(response: str) -> None:
    """An opaque disc has a ball's outline; only the limb of a ball that is not dense differs."""
    disc = film(Shot(response=response, paints=(plate((2.0, 1.0), 22.0, 0.0, 0.002),)))
    ball = film(Shot(response=response, attenuation=0.5), Ball(at=(2.0, 1.0), diameter=22.0))
    assert _one(disc).sphere_evidence < 3
    assert _one(disc).confidence_prob < 0.8
    assert _one(ball).sphere_evidence > 3
    assert _one(ball).confidence_prob > 0.9


def test_a_ball_is_preferred_to_a_disc_on_the_same_film() -> None:
    shot = Shot(attenuation=0.5, paints=(plate((-14.0, -14.0), 18.0, 0.0, 0.002),))
    ball = Ball(at=(12.0, 12.0), diameter=20.0)
    assert len(find_all_markers(film(shot, ball))) == 2
    assert _one(film(shot, ball)).diameter_px == pytest.approx(
        ball.by_hand_minor_mm / 0.15, rel=5e-3
    )


def test_a_ball_that_leaves_the_film_is_not_measured() -> None:
    found = find_marker(film(Shot(), Ball(at=(24.0, 0.0))))
    assert isinstance(found, Unknown)
    assert "cut off by the edge of the film" in found.reason


def test_a_ball_half_under_the_lead_of_the_opened_field_is_not_measured() -> None:
    assert isinstance(find_marker(film(Shot(paints=(border,)), Ball(at=(20.0, 0.0)))), Unknown)


def test_of_several_balls_each_is_named_and_a_range_singles_one_out() -> None:
    small, large = Ball(at=(-16.0, -14.0), diameter=12.0), Ball(at=(10.0, 10.0), diameter=25.0)
    values = film(Shot(), small, large)
    both = find_marker(values)
    assert isinstance(both, Unknown)
    assert "several balls" in both.reason
    assert both.reason.count("column") == 2
    assert len(find_all_markers(values)) == 2
    one = find_marker(values, diameter_px_range=(60.0, 100.0))
    assert isinstance(one, MarkerFound)
    assert one.diameter_px == pytest.approx(small.by_hand_minor_mm / 0.15, rel=0.005)


def test_real_and_whole_grey_values_give_the_same_ball() -> None:
    values = film(Shot(), Ball(at=(0.0, 0.0)))
    whole, real = _one(values), find_marker(values.astype(np.float64) / 4095)
    assert isinstance(real, MarkerFound)
    assert real.diameter_px == pytest.approx(whole.diameter_px, abs=0.02)


def test_a_grid_that_is_no_film_is_refused_in_words() -> None:
    with pytest.raises(FilmError, match="one grid"):
        find_marker(np.zeros((3, 40, 40), dtype=np.uint16))
    with pytest.raises(FilmError, match="finite"):
        find_marker(np.full((40, 40), np.nan))


def test_a_range_that_is_none_is_refused_in_words() -> None:
    with pytest.raises(FilmError, match="range of diameters"):
        find_marker(np.zeros((40, 40), dtype=np.uint16), diameter_px_range=(90.0, 60.0))


def test_an_empty_film_has_no_ball() -> None:
    assert isinstance(find_marker(np.zeros((200, 200), dtype=np.uint16)), Unknown)
