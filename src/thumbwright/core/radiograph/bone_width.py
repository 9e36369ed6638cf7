"""Outer width of a bone across its axis, read from the grey values; a proposal to be looked at."""

from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, map_coordinates

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph.landmarks import Point

BAND_MM = 1.5
"""Along the axis, to each side, over which the profile is averaged [mm]."""
SMOOTH_MM = 0.25
"""Smoothing of the profile before its steepest places are sought [mm]."""
LEAST_RISE = 4.0
"""Least steepness of an edge over the noise of the steepness far from the bone [-]."""
STEPS_PER_PX = 4
NARROWEST_MM = 3.0
"""No bone of a hand or foot is narrower at a place where it is cut [mm]; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoneWidth:
    """Width of a bone between the steepest places of its two edges."""

    width_px: float
    left: Point
    """Edge on the left of someone who looks along the axis. [px]"""
    right: Point
    standard_uncertainty_px: float
    confidence_prob: float


def width_across(
    values: NDArray[np.generic],
    point: Point,
    along: tuple[float, float],
    *,
    mm_per_px: float,
    reach_mm: float = 15.0,
) -> BoneWidth | Unknown:
    """Read the outer width of a bone at a place on its axis.

    Parameters
    ----------
    values
        (rows, columns); larger is lighter. Pixels are square.
    point
        Place on the bone's axis (column, row). [px]
    along
        Direction of the axis, any length (right, down). [-]
    mm_per_px
        Size of a pixel. [mm]
    reach_mm
        How far to each side an edge is sought. [mm]

    Returns
    -------
    BoneWidth | Unknown
        Unknown where the place lies too near the edge of the film, or either edge does not
        stand out of the grey around it.

    Notes
    -----
    The profile across the bone is averaged along its axis. From the middle outwards each edge
    is the steepest fall of light; its doubt is that of a steepest place under the noise seen
    in the profile, and not less than a quarter of a pixel.
    """
    axis = np.array(along) / hypot(*along)
    across = np.array([axis[1], -axis[0]])
    offsets = np.arange(-reach_mm / mm_per_px, reach_mm / mm_per_px, 1 / STEPS_PER_PX)
    rounds = np.arange(-BAND_MM / mm_per_px, BAND_MM / mm_per_px + 0.5)
    columns = point[0] + offsets[None, :] * across[0] + rounds[:, None] * axis[0]
    rows = point[1] + offsets[None, :] * across[1] + rounds[:, None] * axis[1]
    height, width = values.shape
    if columns.min() < 0 or rows.min() < 0 or columns.max() > width - 1 or rows.max() > height - 1:
        return Unknown(
            reason="the place lies too near the edge of the film to see both sides of the bone",
            needed=("the width of the bone, measured by hand",),
        )
    strip = map_coordinates(values.astype(np.float32), [rows, columns], order=1)
    slope = gaussian_filter1d(strip.mean(axis=0), SMOOTH_MM / mm_per_px * STEPS_PER_PX, order=1)
    found = _edges(slope, offsets, NARROWEST_MM / 2 / mm_per_px)
    if isinstance(found, Unknown):
        return found
    left, right, rise = found
    spread = 0.25 + 1.0 / rise
    return BoneWidth(
        width_px=right - left,
        left=_place(point, across, left),
        right=_place(point, across, right),
        standard_uncertainty_px=spread * 2**0.5,
        confidence_prob=float(1 - np.exp(-rise / LEAST_RISE)),
    )


def _edges(
    slope: NDArray[np.floating], offsets: NDArray[np.floating], half_px: float
) -> tuple[float, float, float] | Unknown:
    """Return left edge, right edge, and how far the weaker one stands out of the noise."""
    noise = 1.4826 * float(np.median(np.abs(slope - np.median(slope)))) + 1e-9
    left_part = np.flatnonzero(offsets < -half_px)
    right_part = np.flatnonzero(offsets > half_px)
    left = int(left_part[np.argmax(slope[left_part])])
    right = int(right_part[np.argmin(slope[right_part])])
    rise = min(float(slope[left]), -float(slope[right])) / noise
    if rise < LEAST_RISE or {left, right} & {0, offsets.size - 1}:
        return Unknown(
            reason="the edges of the bone do not stand out of the grey around it",
            needed=("the width of the bone, measured by hand",),
        )
    return _peak(slope, offsets, left), _peak(-slope, offsets, right), rise


def _peak(heights: NDArray[np.floating], offsets: NDArray[np.floating], at: int) -> float:
    """Return the top of a parabola through a highest value and its neighbours."""
    before, here, after = (float(heights[i]) for i in (at - 1, at, at + 1))
    bend = before - 2 * here + after
    shift = 0.0 if bend == 0 else 0.5 * (before - after) / bend
    return float(offsets[at] + shift * (offsets[1] - offsets[0]))


def _place(point: Point, across: NDArray[np.floating], offset: float) -> Point:
    return float(point[0] + offset * across[0]), float(point[1] + offset * across[1])
