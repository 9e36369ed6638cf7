"""A film straightened along a bone: a strip that follows the bone's own axis.

A line drawn by hand lies some millimetres and degrees off. The strip is cut along it, the
way of best mirror likeness to a bone (light, with darker flanks) is followed through the
strip, and a second strip is cut along that way.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.edges import Line, checked, sampled
from thumbwright.core.radiograph.landmarks import Point

STEP_MM = 0.2
"""From one sample to the next, along and across."""
REACH_MM = 16.0
"""Half width of the strip."""
WAYWARD_MM = 6.0
"""How far off the drawn line the axis may run."""
INNER_SHARE = 0.6
"""Middle part of a bone through which its straight axis is laid. [-]"""
LEAST_INNER_MM = 3.0
FLANK_MM = 1.6
SLOPE_COST = 250.0
"""Cost of a sidestep per step, in squares of the strip's contrast."""
DRIFT_MM = 5.0
"""Distance from the drawn line that costs as much as a tenth of the strip's contrast."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """Grey values straightened along a line."""

    along_mm: Line
    """Places along the line (places), 0 at the first point that was given."""
    across_mm: Line
    """Places across it (offsets), 0 on the line, growing to the right of the way."""
    grey: Line
    """(places, offsets)."""
    axis: Line
    """Pixel (column, row) of each place (places, 2)."""
    normal: Line
    """Direction across (places, 2)."""
    mm_per_px: float

    def point(self, along_mm: float, across_mm: float = 0.0) -> Point:
        """Return the pixel of a place on or beside the axis."""
        axis = [np.interp(along_mm, self.along_mm, self.axis[:, i]) for i in (0, 1)]
        normal = [np.interp(along_mm, self.along_mm, self.normal[:, i]) for i in (0, 1)]
        shift = across_mm / self.mm_per_px
        return float(axis[0] + shift * normal[0]), float(axis[1] + shift * normal[1])


def straightened(
    values: NDArray[Any],
    line: Sequence[Point],
    *,
    mm_per_px: float,
    before_mm: float,
    beyond_mm: float,
) -> Strip:
    """Cut a strip along a line of two or more points, lengthened at both ends.

    Raises
    ------
    FilmError
        If the grid is no film, a point lies off it, or the line is too short.
    """
    film = checked(values)
    points = _fit_to_follow(film, line, mm_per_px)
    legs = np.diff(points, axis=0)
    lengths = np.hypot(legs[:, 0], legs[:, 1])
    marks = np.concatenate([[0.0], np.cumsum(lengths)])
    along = np.arange(-before_mm, marks[-1] + beyond_mm, STEP_MM)
    axis = np.stack([np.interp(along, marks, points[:, i]) for i in (0, 1)], axis=1)
    early, late = along < 0, along > marks[-1]
    axis[early] = points[0] + along[early, None] * legs[0] / lengths[0]
    axis[late] = points[-1] + (along[late] - marks[-1])[:, None] * legs[-1] / lengths[-1]
    return _cut(film, along, axis / mm_per_px, mm_per_px)


def _fit_to_follow(film: NDArray[Any], line: Sequence[Point], mm_per_px: float) -> Line:
    """Return the points in millimetres if they make a line on the film."""
    points = np.asarray(line, dtype=np.float64)
    rows, columns = film.shape
    on_film = (
        points.ndim == 2
        and len(points) >= 2
        and bool(np.all(np.isfinite(points)))
        and bool(np.all((points >= -0.5) & (points <= (columns - 0.5, rows - 0.5))))
    )
    if not (on_film and 0.01 <= mm_per_px <= 2.0):
        msg = (
            f"a line was given through {[tuple(map(float, point)) for point in line]} at "
            f"{mm_per_px} mm a pixel; allowed are two or more points on the film of {columns} "
            f"columns and {rows} rows and 0.01 to 2 mm a pixel; draw it anew"
        )
        raise FilmError(msg)
    points = points * mm_per_px
    legs = np.hypot(*np.diff(points, axis=0).T)
    if float(legs.min()) < 1.0 or float(legs.sum()) < 8.0:
        msg = (
            f"a line of {float(legs.sum()):.1f} mm was given; allowed are lines from 8 mm, their "
            "points 1 mm apart or more; draw it from the body to the tip"
        )
        raise FilmError(msg)
    return points


def _cut(film: NDArray[Any], along: Line, axis: Line, mm_per_px: float) -> Strip:
    """Sample a strip about an axis given in pixels, its corners rounded off."""
    way = np.gradient(axis, axis=0)
    way = ndimage.uniform_filter1d(way, max(1, round(4.0 / STEP_MM)), axis=0, mode="nearest")
    way /= np.hypot(way[:, 0], way[:, 1])[:, None]
    normal = np.stack([-way[:, 1], way[:, 0]], axis=1)
    across = np.arange(-REACH_MM, REACH_MM + STEP_MM / 2, STEP_MM)
    places = axis[:, None, :] + across[None, :, None] / mm_per_px * normal[:, None, :]
    low = np.maximum(np.floor(places.min(axis=(0, 1))).astype(int) - 2, 0)
    high = np.ceil(places.max(axis=(0, 1))).astype(int) + 3
    part = np.asarray(film[low[1] : high[1], low[0] : high[0]], dtype=np.float32)
    part = ndimage.gaussian_filter(part, 0.25 * STEP_MM / mm_per_px)
    grey = sampled(part, places[..., 1] - low[1], places[..., 0] - low[0])
    return Strip(
        along_mm=along,
        across_mm=across,
        grey=grey,
        axis=axis,
        normal=normal,
        mm_per_px=mm_per_px,
    )


def followed(values: NDArray[Any], strip: Strip, half_widths_mm: Sequence[float]) -> Strip:
    """Cut the strip anew along the axis of the bone that runs through it.

    Twice, since bones are followed best in a strip that runs along them already. The half
    widths are those of bones that are tried on the way.
    """
    film = checked(values)
    for _ in range(2):
        offsets = way_of_bone(strip, half_widths_mm)
        axis = strip.axis + (offsets / strip.mm_per_px)[:, None] * strip.normal
        strip = _cut(film, strip.along_mm, axis, strip.mm_per_px)
    return strip


def straight_to_the_end(strip: Strip, bone_mm: tuple[float, float]) -> Strip:
    """Return the strip with its axis straight from the last bone on.

    Where the soft parts end nothing tells the bone's axis but the bone before. A piece of bone
    too short to show a direction leaves the strip as it is.
    """
    start, stop = bone_mm
    spare = 0.5 * (1 - INNER_SHARE) * (stop - start)
    inner = (strip.along_mm >= start + spare) & (strip.along_mm <= stop - spare)
    if INNER_SHARE * (stop - start) < LEAST_INNER_MM or np.count_nonzero(inner) < 5:
        return strip
    middle = strip.axis[inner].mean(axis=0)
    way = np.linalg.svd(strip.axis[inner] - middle, full_matrices=False)[2][0]
    later = strip.along_mm >= strip.along_mm[inner][0]
    axis = strip.axis.copy()
    axis[later] = middle + ((axis[later] - middle) @ way)[:, None] * way
    return replace(strip, axis=axis)


def way_of_bone(strip: Strip, half_widths_mm: Sequence[float]) -> Line:
    """Return the offset of the bone's middle at each place [mm].

    Notes
    -----
    The cheapest way through the strip: cost is lack of likeness to a bone, distance from the
    drawn line, and sidesteps; found by dynamic programming.
    """
    held = np.abs(strip.across_mm) <= WAYWARD_MM
    offsets = strip.across_mm[held]
    cost = (offsets / DRIFT_MM)[None, :] ** 2 * 0.1 - likeness(strip, half_widths_mm)[:, held]
    steps = np.arange(-2, 3)
    toll = SLOPE_COST * (steps * STEP_MM) ** 2 * 0.05
    every = np.arange(offsets.size)
    padded = np.full(offsets.size + 4, np.inf)
    windows = np.lib.stride_tricks.sliding_window_view(padded, offsets.size)
    total = cost[0]
    came = np.zeros(cost.shape, dtype=np.intp)
    for place in range(1, len(cost)):
        padded[2:-2] = total
        ways = windows + toll[:, None]
        best = np.argmin(ways, axis=0)
        came[place] = every + steps[best]
        total = cost[place] + ways[best, every]
    path = np.empty(len(cost), dtype=np.intp)
    path[-1] = int(np.argmin(total))
    for place in range(len(cost) - 1, 0, -1):
        path[place - 1] = came[place, path[place]]
    smooth = ndimage.gaussian_filter1d(offsets[path], 3.0 / STEP_MM, mode="nearest")
    return np.asarray(smooth)


def likeness(strip: Strip, half_widths_mm: Sequence[float]) -> Line:
    """Return how far a bone's middle each place looks like: light core, darker flanks.

    In shares of the contrast thereabouts (places, offsets); the best of several widths. The
    darkest third of the core counts, lest two bones side by side pass for one.
    """
    grey = ndimage.gaussian_filter1d(strip.grey, 0.8 / STEP_MM, axis=0)
    inner = grey[:, np.abs(strip.across_mm) < 9.0]
    low, high = np.percentile(inner, [8.0, 92.0], axis=1)
    contrast = ndimage.gaussian_filter1d(high - low, 6.0 / STEP_MM)
    contrast = np.maximum(contrast, 0.15 * float(contrast.max()) + 1e-9)
    means = _Means(grey / contrast[:, None])
    tried = [means.core(half) - means.flanks(half) for half in half_widths_mm]
    return np.asarray(np.max(tried, axis=0))


def likeness_on_axis(strip: Strip, half_widths_mm: Sequence[float], line_mm: float) -> Line:
    """Return how like a bone's middle the axis is, along a line so long (places) [-]."""
    drawn = (strip.along_mm >= 0) & (strip.along_mm <= line_mm)
    return np.asarray(likeness(strip, half_widths_mm)[drawn, strip.across_mm.size // 2])


def beside(strip: Strip, half_widths_mm: Sequence[float]) -> Line:
    """Return the grey value of the soft parts just beside the bone on the axis (places)."""
    means = _Means(ndimage.gaussian_filter1d(strip.grey, 1.5 / STEP_MM, axis=0))
    middle = strip.across_mm.size // 2
    flanks = np.stack([means.flanks(half)[:, middle] for half in half_widths_mm])
    cores = np.stack([means.core(half)[:, middle] for half in half_widths_mm])
    best = np.argmax(cores - flanks, axis=0)
    found = flanks[best, np.arange(len(strip.along_mm))]
    return np.asarray(ndimage.gaussian_filter1d(found, 2.0 / STEP_MM))


class _Means:
    """Means across a strip between places counted from each offset."""

    def __init__(self, grey: Line) -> None:
        self.size = grey.shape[1]
        self.sums = np.cumsum(np.pad(grey, ((0, 0), (1, 0))), axis=1)

    def core(self, half_mm: float) -> Line:
        """Return the darkest third of a bone so wide."""
        third = half_mm / 3
        sides = np.minimum(self._mean(-half_mm, -third), self._mean(third, half_mm))
        return np.minimum(sides, self._mean(-third, third))

    def flanks(self, half_mm: float) -> Line:
        """Return what lies on both sides of a bone so wide; unlike sides count as lighter."""
        right = self._mean(half_mm + 0.4, half_mm + FLANK_MM)
        left = self._mean(-half_mm - FLANK_MM, -half_mm - 0.4)
        return np.asarray(0.5 * (right + left) + 0.3 * np.abs(right - left))

    def _mean(self, start_mm: float, stop_mm: float) -> Line:
        first = np.clip(np.arange(self.size) + round(start_mm / STEP_MM), 0, self.size - 1)
        stop = np.arange(self.size) + round(stop_mm / STEP_MM) + 1
        last = np.clip(stop, first + 1, self.size)
        return np.asarray((self.sums[:, last] - self.sums[:, first]) / (last - first))
