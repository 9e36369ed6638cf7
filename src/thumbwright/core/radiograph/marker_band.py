"""The band of pixels around a first ellipse, as means by sector and depth."""

from dataclasses import dataclass

import numpy as np

from thumbwright.core.radiograph.edges import Grid, Line
from thumbwright.core.radiograph.marker_ellipse import Ellipse
from thumbwright.core.radiograph.marker_limb import Limb
from thumbwright.core.radiograph.marker_metal import Inside, metal_evenness

SECTORS = 36
OUTER_PX = 12.0
INNER_PX = 14.0
CLEAR_PX = 5.0
"""How far outside the limb the background is taken to be free of the ball. [px]"""
CALM = 2.0
"""Unrest of a background that hardly changes: drift of 0.004 of the contrast, usual noise. [-]"""
LEAST_CALM = 12
"""Sectors that the shape of the profile is taken from even where none is calm."""
PER_PX = 2
"""Layers of depth per pixel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Means of (sectors, layers); layers grow from outside to inside.

    Values are shares of the contrast: 0 is the usual background, 1 the metal.
    """

    angles: Line
    """Middle of each sector. [rad]"""
    depths: Line
    """Mean depth inside the ellipse. [px]"""
    values: Line
    counts: Line
    """Pixels in each mean; 0 where there are none."""
    background: Line
    """The background carried on under the edge, as it runs outside. [share of contrast]"""
    evenness: Line
    """Value of the metal over its usual one, a plane through what is seen well inside. [-]"""
    full: Line
    """1 where a pixel lies at the top of a cut-off scale, so that the mean is too low."""
    clear: Line
    """Per sector: 1 where the background is even enough to be relied on."""
    unrest: Line
    """Per sector: how much the background changes, 1 or so for plain noise; infinite if unclear."""
    low: float
    """Grey value of the usual background. [grey values]"""
    contrast: float
    """How much lighter the metal is. [grey values]"""
    even_share: float
    """Share of the pixels well inside that are lighter than half the contrast. [-]"""

    @property
    def calm(self) -> Line:
        """Return 1 for sectors on which the background hardly changes, or changes least."""
        limit = max(CALM, float(np.sort(self.unrest)[LEAST_CALM - 1]))
        return (np.isfinite(self.unrest) & (self.unrest <= limit)).astype(np.float64)

    @property
    def calm_share(self) -> float:
        """Return the share of the sectors on which the background hardly changes [-]."""
        return float(np.mean(self.unrest < CALM))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pixels:
    sector: Line
    layer: Line
    depths: Line
    values: Line


def band(grid: Grid, ellipse: Ellipse, limb: Limb | None = None) -> Band | None:
    """Gather the band of pixels around the ellipse; nothing if it has no contrast.

    The limb, where one is known already, tells how much of the beam the ball lets through, so
    that the metal's own value can be read from all of its inside.
    """
    inner = min(INNER_PX, 0.6 * ellipse.radius)
    reach = ellipse.radius + ellipse.stretch + OUTER_PX + 1.0
    top = max(0, int(ellipse.centre[1] - reach))
    left = max(0, int(ellipse.centre[0] - reach))
    part = grid[top : int(ellipse.centre[1] + reach) + 2, left : int(ellipse.centre[0] + reach) + 2]
    places = np.indices(part.shape, dtype=np.float32)
    down, right = places[0], places[1]
    down += np.float32(top - ellipse.centre[1])
    right += np.float32(left - ellipse.centre[0])
    distance = np.hypot(down, right)
    near = (distance > ellipse.radius - ellipse.stretch - inner) & (distance < reach)
    angles = np.arctan2(down[near], right[near]).astype(np.float64)
    depths = ellipse.distance(angles) - distance[near]
    held = (depths > -OUTER_PX) & (depths < inner)
    turn = (angles[held] / (2 * np.pi)) % 1.0
    pixels = _Pixels(
        sector=np.minimum((turn * SECTORS).astype(np.intp), SECTORS - 1),
        layer=(PER_PX * (depths[held] + OUTER_PX)).astype(np.intp),
        depths=depths[held],
        values=part[near][held].astype(np.float64),
    )
    inside = _inside(ellipse, down, right, distance, part)
    return _means(pixels, int(np.ceil(PER_PX * (OUTER_PX + inner))), inside, limb)


def _inside(ellipse: Ellipse, down: Grid, right: Grid, distance: Grid, part: Grid) -> Inside:
    held = distance < 0.9 * ellipse.radius
    return Inside(
        ellipse=ellipse,
        right=right[held] / ellipse.radius,
        down=down[held] / ellipse.radius,
        values=part[held].astype(np.float64),
    )


def _means(pixels: _Pixels, layers: int, inside: Inside, limb: Limb | None) -> Band | None:
    place = pixels.sector * layers + np.minimum(pixels.layer, layers - 1)

    def total(of: Line) -> Line:
        found = np.bincount(place, weights=of, minlength=SECTORS * layers)
        return found.reshape(SECTORS, layers)

    counts = total(np.ones_like(pixels.depths))
    some = np.maximum(counts, 1.0)
    depths, values = total(pixels.depths) / some, total(pixels.values) / some
    outer = slice(0, int(PER_PX * (OUTER_PX - CLEAR_PX)))
    deep = pixels.depths > 0.6 * pixels.depths.max()
    low = float(np.median(values[:, outer][counts[:, outer] > 0])) if counts.any() else 0.0
    contrast = float(np.median(pixels.values[deep])) - low if deep.any() else 0.0
    if contrast <= 0:
        return None
    top = float(pixels.values.max())
    cut = float(np.mean(pixels.values[deep] >= top)) > 0.2
    full = total((pixels.values >= top).astype(np.float64)) > 0
    values = (values - low) / contrast
    background, clear, unrest = _background(depths, values, counts, outer)
    angles = (np.arange(SECTORS) + 0.5) * (2 * np.pi / SECTORS)
    middle = inside.values[inside.distance < 0.85]
    return Band(
        angles=angles,
        depths=depths,
        values=values,
        counts=counts,
        background=background,
        evenness=metal_evenness(
            inside.scaled(low, contrast, top if cut else np.inf), angles, depths, limb
        ),
        full=(full & cut).astype(np.float64),
        clear=clear,
        unrest=unrest,
        low=low,
        contrast=contrast,
        even_share=float(np.mean(middle > low + 0.5 * contrast)) if middle.size else 0.0,
    )


def _background(depths: Line, values: Line, counts: Line, outer: slice) -> tuple[Line, Line, Line]:
    """Return per sector the straight run of the background, whether it is even, and its unrest."""
    weight = counts[:, outer]
    whole = np.maximum(weight.sum(axis=1), 1.0)
    mean = (weight * values[:, outer]).sum(axis=1) / whole
    at = (weight * depths[:, outer]).sum(axis=1) / whole
    away = depths[:, outer] - at[:, None]
    spread = np.maximum((weight * away**2).sum(axis=1), 1e-9)
    slope = (weight * away * (values[:, outer] - mean[:, None])).sum(axis=1) / spread
    rough = np.sqrt((weight * (values[:, outer] - mean[:, None]) ** 2).sum(axis=1) / whole)
    chance = 9.0 * rough**2 / (spread / whole * weight.shape[1])
    slope = slope**3 / (slope**2 + chance + 1e-12)
    run = mean[:, None] + slope[:, None] * np.clip(depths - at[:, None], None, -at[:, None] + 1.0)
    left = np.where(weight > 0, values[:, outer] - run[:, outer], 0.0)
    rough = np.sqrt((weight * left**2).sum(axis=1) / whole)
    filled = (weight > 0).sum(axis=1) >= weight.shape[1] - 2
    usual = float(np.median(rough[filled])) if filled.any() else 0.0
    clear = filled & (rough < 2.5 * usual + 0.02) & (np.abs(slope) < 0.04) & (mean < 0.8)
    drift = np.abs(run[:, -1] - run[:, 0])
    unrest = np.where(clear, drift / 0.004 + rough / (1.4 * usual + 0.002), np.inf)
    return run, clear.astype(np.float64), unrest
