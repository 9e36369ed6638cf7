"""The outer width of a bone across a point on its axis.

The shell of a bone is a tube: from its outer limb inwards the way through bone grows like
the root of the depth, until the inner wall. Where the grey value stands half way up this
rise lies a quarter of the shell inside the limb, and even the steepest place lies inside it
by three quarters of the blur. So a blurred root is fitted to each outer edge, and the limb
is a number of the fit.
"""

from dataclasses import dataclass
from functools import cache
from math import exp, hypot, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.edges import Line, checked, sampled
from thumbwright.core.radiograph.landmarks import Point
from thumbwright.core.radiograph.least_squares import least_squares

AVERAGED_MM = 1.5
"""Length along the bone over which the profile across it is averaged."""
LEAST_HALF_MM = 0.3
"""Distance from the point below which nothing is taken for a bone's edge."""
CLUSTER_MM = 1.2
"""Falls within this of the first belong to one edge; the steepest of them is it."""
STRONG_SHARE = 0.4
"""Steepness over the steepest from which a fall counts as the edge of the bone. [-]"""
OUTSIDE_MM = 1.2
"""How much soft tissue outside the edge takes part in the fit."""
BLUR_MM = (0.05, 0.14, 0.40)
"""Least, usual and greatest blur across an edge; working assumption."""
LEAST_DOUBT_PX = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class BoneWidth:
    """The outer width of a bone and where it was measured."""

    width_px: float
    left: Point
    """Outer limb to the left of the way along the bone, seen on the picture."""
    right: Point
    standard_uncertainty_px: float
    confidence_prob: float
    """How sure it is that both edges are this bone's own [-]; a working assumption."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Side:
    at_mm: float
    uncertainty_mm: float
    height: float
    """Rise of the edge over soft parts. [grey values]"""
    misfit: float
    """What the fit leaves over that rise. [-]"""


def width_across(
    values: NDArray[Any],
    point: Point,
    along: tuple[float, float],
    *,
    mm_per_px: float,
    reach_mm: float = 15.0,
) -> BoneWidth | Unknown:
    """Measure the outer width of a bone across a point on its axis.

    Parameters
    ----------
    values
        Grey values (rows, columns), larger is lighter.
    point
        A point on the bone's axis, or near it.
    along
        Direction of the bone (columns, rows), of any length.
    mm_per_px
        Millimetres per pixel; square pixels.
    reach_mm
        How far from the point the edges are looked for.

    Returns
    -------
    BoneWidth | Unknown
        Unknown if no edge shows on one of the sides.

    Raises
    ------
    FilmError
        If the grid is no film, the point lies off it, or the direction has no length.
    """
    film = checked(values)
    way = _way(film, point, along, mm_per_px, reach_mm)
    across = (-way[1], way[0])
    offsets = np.arange(-reach_mm, reach_mm + 1e-9, 0.25 * mm_per_px)
    grey = _profile(film, point, way, offsets / mm_per_px, AVERAGED_MM / mm_per_px)
    right, left = _side(offsets, grey), _side(offsets, grey[::-1])
    if right is None or left is None:
        return Unknown(
            reason="no edge of a bone shows on both sides of the point",
            needed=("a point on the axis of a shaft, and its direction",),
        )
    doubt = hypot(right.uncertainty_mm, left.uncertainty_mm) / mm_per_px
    return BoneWidth(
        width_px=(right.at_mm + left.at_mm) / mm_per_px,
        left=_moved(point, across, -left.at_mm / mm_per_px),
        right=_moved(point, across, right.at_mm / mm_per_px),
        standard_uncertainty_px=hypot(doubt, LEAST_DOUBT_PX),
        confidence_prob=_confidence(left, right),
    )


def _way(
    film: NDArray[Any],
    point: Point,
    along: tuple[float, float],
    mm_per_px: float,
    reach_mm: float,
) -> tuple[float, float]:
    """Return the direction at length 1 if the question makes sense."""
    rows, columns = film.shape
    length = hypot(*along)
    inside = 0 <= point[0] <= columns - 1 and 0 <= point[1] <= rows - 1
    sizes = 0.01 <= mm_per_px <= 2.0 and 2.0 <= reach_mm <= 60.0
    if not (inside and sizes and length > 0):
        msg = (
            f"a width was asked for at {point} along {along} at {mm_per_px} mm a pixel within "
            f"{reach_mm} mm; allowed are points on the film of {columns} columns and {rows} rows, "
            "a direction of some length, 0.01 to 2 mm a pixel and 2 to 60 mm; mend what is off"
        )
        raise FilmError(msg)
    return along[0] / length, along[1] / length


def _profile(
    film: NDArray[Any], point: Point, way: tuple[float, float], offsets: Line, length_px: float
) -> Line:
    """Return the mean grey value at offsets across, averaged along the bone."""
    rows = np.linspace(-length_px / 2, length_px / 2, max(3, round(length_px)))
    columns_at = point[0] + rows[:, None] * way[0] - offsets[None, :] * way[1]
    rows_at = point[1] + rows[:, None] * way[1] + offsets[None, :] * way[0]
    low = np.maximum(np.floor([columns_at.min(), rows_at.min()]).astype(int) - 1, 0)
    high = np.ceil([columns_at.max(), rows_at.max()]).astype(int) + 2
    part = np.asarray(film[low[1] : high[1], low[0] : high[0]], dtype=np.float32)
    return np.asarray(sampled(part, rows_at - low[1], columns_at - low[0]).mean(axis=0))


def _side(offsets: Line, grey: Line) -> _Side | None:
    """Return the outer limb on the side of growing offsets."""
    step = float(offsets[1] - offsets[0])
    smooth = ndimage.gaussian_filter1d(grey, 0.12 / step)
    steep = -np.gradient(smooth, step)
    outer = offsets > LEAST_HALF_MM
    if not outer.any() or float(steep[outer].max()) <= 0:
        return None
    tops = (steep[1:-1] >= steep[:-2]) & (steep[1:-1] > steep[2:])
    strong = np.zeros_like(outer)
    strong[1:-1] = tops
    strong &= outer & (steep > STRONG_SHARE * float(steep[outer].max()))
    if not strong.any():
        return None
    first = int(np.argmax(strong))
    near = strong & (offsets <= offsets[first] + CLUSTER_MM)
    edge = int(np.argmax(np.where(near, steep, -np.inf)))
    peak = _peak(smooth, edge)
    stop = min(grey.size, edge + round(OUTSIDE_MM / step))
    if edge - peak < 1 or stop - edge < 4:
        return None
    return _limb(offsets[peak:stop], grey[peak:stop], float(offsets[edge]))


def _peak(smooth: Line, edge: int) -> int:
    """Return where the rise ends inwards of an edge."""
    place = edge
    while place > 0 and smooth[place - 1] > smooth[place]:
        place -= 1
    return place


def _limb(offsets: Line, grey: Line, edge_mm: float) -> _Side:
    """Fit a blurred root to one edge: place, blur, height and the run of the soft parts."""
    low, high = float(grey.min()), float(grey.max())
    scale = max(high - low, 1e-9)
    share = (grey - low) / scale
    inner = max(edge_mm - float(offsets[0]), 0.05)

    def model(numbers: Line) -> Line:
        limb, blur, height, level, run = numbers
        depth = limb - offsets
        blur = min(max(blur, BLUR_MM[0]), BLUR_MM[2])
        outside = level + run * np.maximum(-depth, 0.0)
        return np.asarray(outside + height * blurred_root(depth / blur) * sqrt(blur / inner))

    def residuals(numbers: Line) -> Line:
        usual = (np.log(max(numbers[1], 1e-3) / BLUR_MM[1])) / 0.5
        return np.concatenate([(model(numbers) - share) / 0.02, [usual]])

    start = np.array([edge_mm + 0.1, BLUR_MM[1], 0.9, 0.0, 0.0])
    found = least_squares(residuals, start, np.array([1.0, BLUR_MM[1], 1.0, 1.0, 1.0]))
    excess = max(1.0, found.cost / max(1, share.size - 5))
    matrix = found.normal + 1e-9 * np.eye(5)
    doubt = sqrt(excess * float(np.linalg.inv(matrix)[0, 0]))
    left = model(found.numbers) - share
    limb_mm = float(found.numbers[0])
    return _Side(
        at_mm=limb_mm,
        uncertainty_mm=hypot(doubt, 0.3 * abs(limb_mm - edge_mm)),
        height=scale,
        misfit=float(np.sqrt(np.mean(left**2))),
    )


@cache
def _root_table() -> tuple[Line, Line]:
    """Return the mean of the root of depth plus standard normal blur, where above 0."""
    places = np.linspace(-6.0, 40.0, 1151)
    nodes, weights = np.polynomial.hermite_e.hermegauss(81)
    roots = np.sqrt(np.maximum(places[:, None] + nodes[None, :], 0.0))
    smooth = ndimage.gaussian_filter1d(roots @ (weights / weights.sum()), 1.0)
    return places, smooth


def blurred_root(depth: Line) -> Line:
    """Return the root of a depth, blurred by a normal spread of 1, at depths in spreads [-]."""
    places, means = _root_table()
    far = np.sqrt(np.maximum(depth, 0))
    return np.asarray(np.where(depth > places[-1], far, np.interp(depth, places, means)))


def _moved(point: Point, across: tuple[float, float], by_px: float) -> Point:
    return point[0] + across[0] * by_px, point[1] + across[1] * by_px


def _confidence(left: _Side, right: _Side) -> float:
    """Return less trust for unlike edges, a point off the axis, and a poor fit."""
    heights = min(left.height, right.height) / max(left.height, right.height)
    places = min(left.at_mm, right.at_mm) / max(left.at_mm, right.at_mm)
    fit = exp(-0.5 * (max(left.misfit, right.misfit) / 0.10) ** 2)
    return 0.98 * min(1.0, heights / 0.5) * min(1.0, places / 0.4) * fit
