"""A nearly round ellipse through edge points found along rays from its middle."""

from dataclasses import dataclass
from math import atan2, degrees, hypot

import numpy as np

from thumbwright.core.radiograph.edges import Grid, Line, peak_offset, sampled
from thumbwright.core.radiograph.landmarks import Point

RAYS = 96
LEAST_POINTS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Ellipse:
    """A nearly round ellipse: distance from the middle is ``r + c cos 2t + s sin 2t``.

    Notes
    -----
    The second harmonic alone describes an ellipse of axes ``r (1 ± e)`` up to
    ``0.75 r e^2``, which is under 0.01 px for a ball at the corner of a hand film.
    """

    centre: Point
    radius: float
    """Mean half axis. [px]"""
    cosine: float
    """Part of the half axis that goes with the cosine of twice the angle. [px]"""
    sine: float
    """Part of it that goes with the sine. [px]"""

    @property
    def stretch(self) -> float:
        """Return half the difference of the two half axes [px]."""
        return hypot(self.cosine, self.sine)

    @property
    def direction_deg(self) -> float:
        """Return the direction of the longer axis from the row of pixels, turning down [deg]."""
        return degrees(0.5 * atan2(self.sine, self.cosine)) % 180.0

    def distance(self, angles: Line) -> Line:
        """Return the distance of the edge from the middle at angles [rad] -> [px]."""
        wave = self.cosine * np.cos(2 * angles) + self.sine * np.sin(2 * angles)
        return np.asarray(self.radius + wave)

    def moved(self, step: Line) -> "Ellipse":
        """Return the ellipse after a step of its five numbers, in the order of `waves`."""
        return Ellipse(
            centre=(self.centre[0] + float(step[1]), self.centre[1] + float(step[2])),
            radius=self.radius + float(step[0]),
            cosine=self.cosine + float(step[3]),
            sine=self.sine + float(step[4]),
        )


def waves(angles: Line) -> Line:
    """Return how the five numbers move the edge at each angle [-]: (angles, 5)."""
    return np.stack(
        [
            np.ones_like(angles),
            np.cos(angles),
            np.sin(angles),
            np.cos(2 * angles),
            np.sin(2 * angles),
        ],
        axis=-1,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgePoints:
    """The steepest fall along each ray from a middle outwards."""

    angles: Line
    distances: Line
    falls: Line
    """How steep the fall is. [grey value per px]"""
    inside_film: Line
    """1 where the ray ends on the film, 0 where it leaves it."""


def edge_points(grid: Grid, round_: Ellipse, reach_px: float) -> EdgePoints:
    """Find the steepest fall along rays, no farther than the reach from the given round."""
    angles = np.arange(RAYS) * (2 * np.pi / RAYS)
    steps = np.arange(-np.ceil(reach_px) - 3.0, np.ceil(reach_px) + 4.0)
    distances = np.maximum(round_.distance(angles)[:, None] + steps[None], 0.0)
    columns = round_.centre[0] + distances * np.cos(angles)[:, None]
    rows = round_.centre[1] + distances * np.sin(angles)[:, None]
    along = sampled(grid, rows, columns)
    smooth = 0.25 * along[:, :-2] + 0.5 * along[:, 1:-1] + 0.25 * along[:, 2:]
    fall = smooth[:, :-2] - smooth[:, 2:]
    best = np.clip(np.argmax(fall[:, 1:-1], axis=1) + 1, 1, fall.shape[1] - 2)
    ray = np.arange(RAYS)
    offset = peak_offset(fall[ray, best - 1], fall[ray, best], fall[ray, best + 1])
    height, width = grid.shape
    inside = (rows[:, -1] > 0) & (rows[:, -1] < height - 1)
    inside &= (columns[:, -1] > 0) & (columns[:, -1] < width - 1)
    return EdgePoints(
        angles=angles,
        distances=distances[ray, best + 2] + offset,
        falls=fall[ray, best],
        inside_film=inside.astype(np.float64),
    )


def fitted_ellipse(points: EdgePoints, round_: Ellipse) -> tuple[Ellipse, Line]:
    """Fit the ellipse to points by weights that forget strays; return it and the residuals [px].

    Notes
    -----
    Repeated weighted least squares with Tukey's biweight, scale by the median deviation.
    """
    design = waves(points.angles)
    away = points.distances - round_.distance(points.angles)
    strong = points.falls > 0.25 * np.median(points.falls)
    weight = (strong & (points.inside_film > 0)).astype(np.float64)
    if np.count_nonzero(weight) < LEAST_POINTS:
        weight = np.ones_like(weight)
    usable = weight.copy()
    step = np.zeros(5)
    step[0] = np.median(away[weight > 0])
    for _ in range(12):
        residual = away - design @ step
        scale = 1.4826 * np.median(np.abs(residual[usable > 0])) + 0.02
        share = residual / (4.7 * scale)
        weight = usable * np.where(np.abs(share) < 1, (1 - share**2) ** 2, 0.0)
        normal = design.T @ (weight[:, None] * design) + 1e-9 * np.eye(5)
        step = np.linalg.solve(normal, design.T @ (weight * away))
    return round_.moved(step), away - design @ step
