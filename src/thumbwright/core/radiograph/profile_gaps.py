"""Gaps and ends of bone along the axis of a straightened strip."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from thumbwright.core.radiograph.edges import Line
from thumbwright.core.radiograph.profile import STEP_MM, Strip, beside

CORE_MM = 1.2
"""Half width over which the profile is averaged; wider would smear a slanting joint."""
SMOOTH_MM = 0.3
PLATE_MM = 3.4
"""How far from the bottom of a gap the bright plates beside it are looked for."""
LEAST_DEPTH = 0.10
"""Depth of a dip that is kept, as a share of bone over soft parts. [-]"""
RISE_SHARE = 0.75
"""Height at which a base is taken to begin, from the gap's bottom to the plate. [-]

A base is hollow: its rim stands before the middle of its surface, which is what is meant."""
MOST_GAPS = 24
MOST_ENDS = 16
FALL_MM = 1.2
"""Length before and after an end over which the fall is measured."""
SKIN_SHARE = 0.06
"""Height over air at which the soft parts are taken to end, of the usual height. [-]"""
NEAR_END_MM = 0.6
"""Places nearer than this to an end are neither bone nor soft parts for certain."""
BONE_BEFORE_MM = 4.0
BONE_AFTER_MM = 9.0
"""Lengths before and after an end that are compared."""
BONE_SHARE = 0.3
"""Drop under the bone before an end down to which what follows is bone. [share of contrast]"""
BEFORE_SKIN_MM = 10.0
"""How far before the end of the drawn line the skin is looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A dark dip between two bright plates."""

    fall_mm: float
    """Where the bone nearer the body ends."""
    bottom_mm: float
    rise_mm: float
    """Where the next bone begins."""
    depth: float
    """Depth under the lower plate, and under usual bone, as a share of bone over soft parts. [-]"""

    @property
    def width_mm(self) -> float:
        """Return the width between the half heights of its two sides."""
        return self.rise_mm - self.fall_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """A place where bone falls to soft parts."""

    at_mm: float
    fall: float
    """How far it falls as a share of bone over soft parts. [-]"""
    bone_after_mm: float
    """How much of what follows is as light as the bone before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What the axis of a strip shows."""

    along_mm: Line
    grey: Line
    """Mean grey value near the axis."""
    unit: Line
    """Bone over soft parts in grey values."""
    gaps: tuple[Gap, ...]
    ends: tuple[End, ...]
    skin_mm: float
    """Where the soft parts end; the end of the strip if it does not show it."""


def reading(strip: Strip, line_mm: float, half_widths_mm: Sequence[float]) -> Reading:
    """Read gaps, ends and skin from a strip that follows a bone along a line so long."""
    core = np.abs(strip.across_mm) <= CORE_MM
    grey = ndimage.gaussian_filter1d(strip.grey[:, core].mean(axis=1), SMOOTH_MM / STEP_MM)
    usual = ndimage.median_filter(grey, round(9.0 / STEP_MM), mode="nearest")
    unit = ndimage.gaussian_filter1d(usual - beside(strip, half_widths_mm), 3.0 / STEP_MM)
    unit = np.maximum(unit, 0.2 * float(np.median(unit)))
    unit = np.maximum(unit, 1e-6 * max(1.0, float(np.ptp(grey))))
    return Reading(
        along_mm=strip.along_mm,
        grey=grey,
        unit=unit,
        gaps=_gaps(strip.along_mm, grey, usual, unit),
        ends=_ends(strip.along_mm, grey, unit),
        skin_mm=_skin(strip, grey, line_mm - BEFORE_SKIN_MM),
    )


def _gaps(along: Line, grey: Line, usual: Line, unit: Line) -> tuple[Gap, ...]:
    reach = round(PLATE_MM / STEP_MM)
    inner = (grey[1:-1] <= grey[:-2]) & (grey[1:-1] < grey[2:])
    found: list[Gap] = []
    for bottom in (int(place) + 1 for place in np.nonzero(inner)[0]):
        left = _plate(grey, bottom, -reach)
        right = _plate(grey, bottom, reach)
        rim = min(grey[left], grey[right], usual[bottom])
        depth = (rim - grey[bottom]) / unit[bottom]
        if depth >= LEAST_DEPTH:
            found.append(
                Gap(
                    fall_mm=_crossing(along, grey, left, bottom, 0.5),
                    bottom_mm=float(along[bottom]),
                    rise_mm=_crossing(along, grey, right, bottom, RISE_SHARE),
                    depth=float(depth),
                )
            )
    deepest = sorted(found, key=lambda gap: -gap.depth)[:MOST_GAPS]
    return tuple(sorted(deepest, key=lambda gap: gap.bottom_mm))


def _plate(grey: Line, bottom: int, reach: int) -> int:
    """Return the brightest place on one side, no farther than a still deeper place."""
    stop = int(np.clip(bottom + reach, 0, grey.size - 1))
    way = np.arange(bottom, stop + np.sign(reach), np.sign(reach))
    deeper = np.nonzero(grey[way] < grey[bottom])[0]
    way = way[: deeper[0]] if deeper.size else way
    return int(way[np.argmax(grey[way])])


def _crossing(along: Line, grey: Line, plate: int, bottom: int, share: float) -> float:
    """Return where the grey value has risen by a share from bottom to plate."""
    half = grey[bottom] + share * (grey[plate] - grey[bottom])
    step = 1 if plate > bottom else -1
    place = bottom
    while place != plate and grey[place] < half:
        place += step
    before = place - step
    rise = grey[place] - grey[before]
    part = (half - grey[before]) / rise if rise > 0 else 0.0
    return float(along[before] + part * (along[place] - along[before]))


def _ends(along: Line, grey: Line, unit: Line) -> tuple[End, ...]:
    """Return the steepest falls; half way down is where the bone ends."""
    steep = -np.gradient(grey) / unit
    tops = np.nonzero((steep[1:-1] >= steep[:-2]) & (steep[1:-1] > steep[2:]))[0] + 1
    width = round(FALL_MM / STEP_MM)
    found: list[End] = []
    for top in tops:
        before = grey[max(0, top - width) : top].max(initial=grey[top])
        lowest = grey[top + 1 : top + 1 + width].min(initial=grey[top])
        fall = float((before - lowest) / unit[top])
        if fall >= 2 * LEAST_DEPTH:
            after = _bone_after_mm(grey, float(unit[top]), int(top))
            place = _half_down(along, grey, int(top))
            found.append(End(at_mm=place, fall=fall, bone_after_mm=after))
    return tuple(
        sorted(sorted(found, key=lambda end: -end.fall)[:MOST_ENDS], key=lambda e: e.at_mm)
    )


def _bone_after_mm(grey: Line, unit: float, top: int) -> float:
    near = round(NEAR_END_MM / STEP_MM)
    before = grey[max(0, top - round(BONE_BEFORE_MM / STEP_MM)) : max(1, top - near)]
    after = grey[top + near : top + round(BONE_AFTER_MM / STEP_MM)]
    bone = float(np.median(before)) - BONE_SHARE * unit
    return float(np.count_nonzero(after > bone)) * STEP_MM


def _half_down(along: Line, grey: Line, top: int) -> float:
    """Return the place of the steepest fall itself, between samples."""
    steep = -np.gradient(grey)
    a, b, c = steep[top - 1 : top + 2]
    bend = a - 2 * b + c
    shift = 0.5 * (a - c) / bend if bend < 0 else 0.0
    return float(along[top] + np.clip(shift, -0.5, 0.5) * STEP_MM)


def _skin(strip: Strip, grey: Line, from_mm: float) -> float:
    """Return where the soft parts end: the first place from a mark on that is as dark as air.

    The end of the strip where it nowhere becomes as dark.
    """
    later = strip.along_mm > from_mm
    air = float(np.percentile(grey[later], 5.0))
    rough = grey - ndimage.uniform_filter1d(grey, 9)
    noise = float(np.median(np.abs(rough))) * 1.4826
    soft = float(np.median(grey[strip.along_mm < from_mm])) - air
    level = air + max(SKIN_SHARE * soft, 4.0 * noise)
    under = np.nonzero(later & (grey < level))[0]
    if not under.size or soft < 12.0 * noise or float(np.max(grey[later])) - air < 0.3 * soft:
        return float(strip.along_mm[-1])
    place = int(under[0])
    drop = grey[place - 1] - grey[place]
    share = (grey[place - 1] - level) / drop if drop > 0 else 0.0
    return float(strip.along_mm[place - 1] + np.clip(share, 0.0, 1.0) * STEP_MM)
