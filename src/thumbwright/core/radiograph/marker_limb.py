"""The grey profile across the edge of a sphere, and where its true limb lies in it.

The steepest place of a sphere's shadow lies inside its outline, because the way through
metal near the limb grows only like the root of the depth. The model here knows that way,
the blur, the metal's opacity and the response of the detector, so that the limb itself is
a number of the fit.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from thumbwright.core.radiograph.edges import Line

GLARE_PX = 6.0
"""Reach of the far spread, as the standard deviation of a Gaussian; working assumption. [px]"""
CELLS_PER_PX = 8
PIXEL = np.convolve(np.full(CELLS_PER_PX, 1 / CELLS_PER_PX), [0.5, 0.5])
"""The width of a pixel in cells, made odd so that it has a middle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limb:
    """What shapes the profile besides the place of the limb."""

    blur_px: float
    """Standard deviation of the blur across the edge. [px]"""
    glare_share: float
    """Share of the beam that the detector spreads far, over several pixels. [-]"""
    opacity: float
    """Attenuation times diameter: how many times the beam falls by e through the middle. [-]"""
    curve: float
    """How many times e the beam falls from background to full metal on the film's own scale;
    0 for values linear in the beam, several for values linear in its logarithm. [-]"""
    metal: float
    """Grey value of metal that lets nothing through. [share of the contrast]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """The share of the beam that passes, in cells of depth inside the limb."""

    depths: Line
    shares: Line

    def at(self, depth_px: Line) -> Line:
        """Return the share at depths inside the limb (outside: below 0) [-]."""
        return np.interp(depth_px, self.depths, self.shares)


def passage(span_px: tuple[float, float], diameter_px: float, limb: Limb) -> Passage:
    """Return what passes a sphere over a span of depths.

    Notes
    -----
    Through a sphere of diameter ``D`` and attenuation ``m``, at the depth ``d`` inside the
    limb, passes ``exp(-2 m sqrt(D d - d^2))``. Cells of a tenth of a pixel take the exact
    mean of ``exp(-a sqrt(d))``, since the root is infinitely steep at the limb. The width of
    a pixel and a Gaussian blur are laid over the cells. The far spread sees the ball as a
    straight opaque edge.
    """
    margin = 4.0 * limb.blur_px + 1.0
    low = float(np.floor(span_px[0] - margin))
    count = int((np.ceil(span_px[1] + margin) - low) * CELLS_PER_PX)
    ends = low + np.arange(count + 1) / CELLS_PER_PX
    middles = 0.5 * (ends[1:] + ends[:-1])
    sharp = _sphere_cells(ends, middles, diameter_px, limb.opacity)
    reach = int(np.ceil(4.0 * limb.blur_px * CELLS_PER_PX))
    bounds = (np.arange(-reach, reach + 2) - 0.5) / CELLS_PER_PX
    kernel = np.convolve(np.diff(ndtr(bounds / limb.blur_px)), PIXEL)
    blurred = np.convolve(sharp, kernel / kernel.sum(), mode="valid")
    half = kernel.size // 2
    depths = middles[half:-half]
    shares = (1 - limb.glare_share) * blurred + limb.glare_share * ndtr(-depths / GLARE_PX)
    return Passage(depths=depths, shares=shares)


def _sphere_cells(ends: Line, middles: Line, diameter_px: float, opacity: float) -> Line:
    steepness = 2.0 * opacity / np.sqrt(diameter_px)
    root = steepness * np.sqrt(np.clip(ends, 0.0, None))
    whole = -(2.0 / steepness**2) * (root + 1.0) * np.exp(-root)
    width = np.diff(np.clip(ends, 0.0, None))
    inside = width > 0
    mean = np.where(inside, np.diff(whole) / np.where(inside, width, 1.0), 1.0)
    depth = np.clip(middles, 0.0, 0.5 * diameter_px)
    bend = steepness * (np.sqrt(depth) - np.sqrt(depth - depth**2 / diameter_px))
    opaque = steepness * np.sqrt(depth) > 40.0
    through = np.where(opaque, 0.0, mean * np.exp(np.minimum(bend, 40.0)))
    return np.where(middles > 0, through, 1.0)


def grey(background: Line, evenness: Line, passed: Line, limb: Limb) -> Line:
    """Return the grey values where a share of the beam passes over a background.

    Parameters
    ----------
    background
        Grey values without the ball, on a scale whose 0 is the usual background.
    evenness
        Value of the metal at each place over its usual one; scatter makes it uneven. [-]
    passed
        Share of the beam that the ball lets through. [-]
    limb
        The metal's value on the same scale, and the curve of the response.

    Notes
    -----
    With metal value ``M``, background ``b``, curve ``g`` and ``G = M / g`` for the usual metal,
    ``v = M - G log(1 + (exp((M - b) / G) - 1) p)``. For small ``g`` this is
    ``M - (M - b) p``, a detector linear in the beam; for large ``g`` it is ``b - G log p``, a
    detector linear in the logarithm, with a floor of scatter at ``M``. One number between
    the two covers both.
    """
    gain = limb.metal / limb.curve
    metal = limb.metal * evenness
    nepers = np.log1p(np.expm1((metal - background) / gain) * np.maximum(passed, 0.0))
    return np.asarray(metal - gain * nepers)
