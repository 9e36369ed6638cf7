"""How the grey value of metal changes over the inside of a shadow.

Behind metal only scatter arrives, and scatter is no flat floor: it falls away from the body.
Where the inside of the ball shows it, a smooth surface through it is carried on to the limb.
"""

from dataclasses import dataclass, replace

import numpy as np

from thumbwright.core.radiograph.edges import Line
from thumbwright.core.radiograph.marker_ellipse import Ellipse
from thumbwright.core.radiograph.marker_limb import Limb, passage

LEAST_DEPTH_PX = 5.0
"""Depth inside the limb from which the blur no longer shows. [px]"""
MOST_UNEVEN = 0.4
"""How far the metal's value may go from its mean, as a share of it. [-]"""
BEND = 0.05
"""Usual bend of the surface over half the shadow, as a share of the contrast; from phantoms."""
MOST_PASSED_SHARE = 0.5
"""Share of what arrives behind the ball that may have passed it. [-]"""
MOST_FULL_SHARE = 0.02
"""Share of pixels at the top of the scale above which a mean is too low to be used. [-]"""
CELLS = 24
"""Cells across the shadow in which pixels are put together."""
LEAST_CELLS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside:
    """Pixels well inside a shadow."""

    ellipse: Ellipse
    right: Line
    """Place from the middle over the mean half axis, and so for `down`. [-]"""
    down: Line
    values: Line
    cut_at: float = np.inf
    """Value at which the scale is cut off. [as the values]"""

    @property
    def distance(self) -> Line:
        """Return the distance from the middle over the mean half axis [-]."""
        return np.hypot(self.right, self.down)

    def scaled(self, low: float, contrast: float, top: float) -> "Inside":
        """Return the values as shares of the contrast."""
        return replace(self, values=(self.values - low) / contrast, cut_at=(top - low) / contrast)


def metal_evenness(inside: Inside, angles: Line, depths: Line, limb: Limb | None) -> Line:
    """Return the value of metal at sectors and depths, over its mean round the limb [-]."""
    cells = _cells(inside, limb)
    level = _surface(cells, np.cos(angles), np.sin(angles))
    if level is None:
        return np.ones_like(depths)
    reach = (inside.ellipse.distance(angles)[:, None] - depths) / inside.ellipse.radius
    right, down = reach * np.cos(angles)[:, None], reach * np.sin(angles)[:, None]
    found = _design(right, down) @ level
    return np.asarray(np.clip(found, 1 - MOST_UNEVEN, 1 + MOST_UNEVEN))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cells:
    """Means over small squares: places, values, and how many pixels each holds."""

    right: Line
    down: Line
    values: Line
    counts: Line


_NONE = np.empty(0)


def _cells(inside: Inside, limb: Limb | None) -> _Cells:
    """Return means over small squares of what the metal's own value is."""
    ellipse = inside.ellipse
    angles = np.arctan2(inside.down, inside.right)
    depths = ellipse.distance(angles) - inside.distance * ellipse.radius
    deep = depths > LEAST_DEPTH_PX
    column, row = (
        np.clip(0.5 * CELLS * (of[deep] + 1.0), 0, CELLS - 1).astype(np.intp)
        for of in (inside.right, inside.down)
    )
    place = column * CELLS + row
    counts = np.bincount(place, minlength=CELLS**2)
    some = counts > 0
    if not some.any():
        return _Cells(right=_NONE, down=_NONE, values=_NONE, counts=_NONE)

    def mean(of: Line) -> Line:
        sums = np.bincount(place, weights=of[deep], minlength=CELLS**2)
        return np.asarray(sums[some] / counts[some])

    full = mean((inside.values >= inside.cut_at).astype(np.float64))
    values, told = mean(inside.values), full <= MOST_FULL_SHARE
    if limb is not None:
        values, opaque = _without_passage(values, mean(depths), 2 * ellipse.radius, limb)
        told &= opaque
    return _Cells(
        right=mean(inside.right)[told],
        down=mean(inside.down)[told],
        values=values[told],
        counts=counts[some][told].astype(np.float64),
    )


def _without_passage(
    values: Line, depths: Line, diameter_px: float, limb: Limb
) -> tuple[Line, Line]:
    """Return the values as if nothing passed the ball, and where that can be told.

    The response of :func:`marker_limb.grey`, over a background of 0, turned round.
    """
    gain = limb.metal / limb.curve
    passed = passage((float(depths.min()), float(depths.max())), diameter_px, limb).at(depths)
    arrived = np.exp(-values / gain)
    opaque = passed < MOST_PASSED_SHARE * arrived
    scatter = np.where(opaque, arrived - passed, arrived) / (1.0 - np.minimum(passed, 0.9))
    return np.asarray(-gain * np.log(np.maximum(scatter, 1e-300))), opaque


def _surface(cells: _Cells, cosines: Line, sines: Line) -> Line | None:
    """Fit a smooth surface, scaled so that its mean over the limb is 1."""
    if cells.values.size < LEAST_CELLS:
        return None
    weight = np.sqrt(cells.counts)
    design = _design(cells.right, cells.down)
    middle = float(np.median(cells.values))
    noise = 1.4826 * float(np.median(np.abs(cells.values - middle) * weight)) + 1e-3
    curb = np.diag([0.0, 0.0, 0.0, *(noise / BEND,) * 2])
    found, *_ = np.linalg.lstsq(
        np.vstack([weight[:, None] * design, curb]),
        np.concatenate([weight * cells.values, np.zeros(5)]),
        rcond=None,
    )
    level = float(np.mean(_design(cosines, sines) @ found))
    return np.asarray(found / level) if level > 0.2 else None


def _design(right: Line, down: Line) -> Line:
    return np.stack(
        [np.ones_like(right), right, down, right**2 - down**2, right * down],
        axis=-1,
    )
