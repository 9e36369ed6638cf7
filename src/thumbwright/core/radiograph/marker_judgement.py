"""Whether a round shadow is that of a metal ball, and its exact outline if it is."""

from dataclasses import dataclass
from math import exp, hypot
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph.edges import Grid, Line
from thumbwright.core.radiograph.image import BeamScale
from thumbwright.core.radiograph.landmarks import Point
from thumbwright.core.radiograph.marker_band import Band, band
from thumbwright.core.radiograph.marker_ellipse import (
    EdgePoints,
    Ellipse,
    edge_points,
    fitted_ellipse,
)
from thumbwright.core.radiograph.marker_fit import (
    CURVES,
    FIRST_KINDS,
    Placed,
    Shape,
    disc_cost,
    placed,
    shapes,
)
from thumbwright.core.radiograph.marker_search import Candidate
from thumbwright.core.radiograph.marker_settle import is_trusted, settled

LEAST_EDGE_SHARE = 0.8
LEAST_EDGE_SHARE_FLAT = 0.95
"""The same where the profile does not speak for a sphere."""
LEAST_EVEN_SHARE = 0.97
GREATEST_STRETCH = 0.02
"""Half the difference of the axes over their mean; a ball 200 mm off the central ray has 0.01."""
LEAST_OPACITY = 2.5
"""Least opacity that is taken for metal [-]; bone has under 2, 10 mm of steel 5 or more."""
LEAST_EVIDENCE = 3.0
"""Evidence from which the profile speaks for a sphere and against a flat disc. [-]"""
LEAST_SPREAD = 0.03
"""Unevenness of the surroundings that can show whether they go on inside. [share of contrast]"""
LETS_THROUGH = 0.2
"""Share of that unevenness which goes on inside a thin disc, but not inside a ball. [-]"""
KINDS = {
    BeamScale.NOT_STATED: CURVES,
    BeamScale.LINEAR: CURVES[:1],
    BeamScale.LOGARITHMIC: CURVES[1:],
}
"""Kinds of response that remain once the header has said what it says."""
WEIGHTS = dict(zip(CURVES, (1.0, 0.7, 1.0, 0.6), strict=True))
"""How likely the kinds of response are beforehand: working assumption."""
WEIGHTS_CUT = dict(zip(CURVES, (0.05, 0.7, 1.0, 0.6), strict=True))
"""The same if the metal reaches the top of the scale.

A detector linear in the beam has no cause to cut metal off, since a beam cannot fall below
nothing: working assumption."""
BELIEVED_PX = (0.45, 0.70)
LEAST_BELIEF = 0.15
"""Blur between which the fit's verdict on the response gains belief [px], and the least belief.

An edge narrower than a pixel does not show what the response made of it; from phantoms."""
CORRECTION_DOUBT = 0.15
"""Doubt of the way from the steepest place to the limb, as a share of it; from phantoms."""
SHARP_PX = (0.45, 0.65)
SHARP_DOUBT_PX = 0.3
"""Doubt of the half axis where the blur is that small and below, from none at the upper end,
because the grid of pixels is then coarser than the edge; from phantoms."""
KNOWN_SHARE = 0.5
"""What is left of the doubt where the header says to what grey values are proportional, and
the scale is not cut off [-]; from phantoms."""
CENTRE_SHARE = 0.05
"""Doubt of the centre as a share of that of the diameter, since a wrong response moves both where
scatter is uneven [-]; from phantoms."""
UNREST_DOUBT_PX = 0.45
UNREST_CENTRE_PX = 0.08
"""Doubt of half axis and centre where the background changes on every side; from phantoms."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkerFound:
    """The shadow of a ball.

    Notes
    -----
    A ball of radius ``r`` with its middle at the distance ``D`` from the source along the
    central ray casts, on a detector at the distance ``S``, an ellipse whose shorter half
    axis is ``r S / sqrt(D^2 - r^2)``, wherever in the field it lies (plain geometry of the
    tangent cone). Against ``r S / D`` that is more by ``r^2 / 2 D^2``, under 0.0002 for balls
    up to 30 mm at 900 mm.
    """

    centre: Point
    """Middle of the ellipse."""
    diameter_px: float
    """Shorter axis of the true outline. [px]"""
    major_diameter_px: float
    direction_deg: float
    """Direction of the longer axis from the rows of pixels, turning downwards, 0 to 180. [deg]"""
    diameter_uncertainty_px: float
    """Standard uncertainty of the shorter axis. [px]"""
    major_uncertainty_px: float
    centre_uncertainty_px: float
    """Standard uncertainty of the centre along one direction. [px]"""
    edge_share: float
    """Share of the round on which the edge was found where the ellipse says. [-]"""
    residual_px: float
    """Root mean square distance of the edge from the ellipse. [px]"""
    opacity: float
    """How many times e the beam falls through the ball's middle; 5 to 100 for steel. [-]"""
    sphere_evidence: float
    """Half the squares gained by a sphere's profile over a flat disc's. [-]

    Below 3 the film cannot tell them apart, because the metal is so dense, or the scale cut
    off, that no more than the outline shows; a person has to say that a ball lay there."""
    blur_px: float
    """Standard deviation of the blur across the edge. [px]"""
    saturated: bool
    """Whether the metal reached the top of the scale, which hides part of the profile."""
    confidence_prob: float

    @property
    def words(self) -> str:
        """Return where it is and how wide, as it is said to a person."""
        return (
            f"a ball of {self.diameter_px:.1f} px at column {self.centre[0]:.0f}, "
            f"row {self.centre[1]:.0f}"
        )


def judged(
    values: NDArray[Any], candidate: Candidate, beam_scale: BeamScale = BeamScale.NOT_STATED
) -> MarkerFound | Unknown:
    """Say whether the candidate is a ball, and where its outline runs.

    Returns
    -------
    MarkerFound | Unknown
        Unknown without a reason if nothing there resembles a ball; with a reason if a
        person would ask why it was not taken.
    """
    grid, corner = _part(values, candidate)
    round_ = Ellipse(
        centre=(candidate.centre[0] - corner[0], candidate.centre[1] - corner[1]),
        radius=candidate.radius_px,
        cosine=0.0,
        sine=0.0,
    )
    points = edge_points(grid, round_, max(8.0, 0.15 * round_.radius))
    round_, _ = fitted_ellipse(points, round_)
    if not 0.6 < round_.radius / candidate.radius_px < 1.6 or _stretched(round_):
        return Unknown(reason="")
    points = edge_points(grid, round_, max(5.0, 0.07 * round_.radius))
    round_, away = fitted_ellipse(points, round_)
    if _stretched(round_):
        return Unknown(reason="")
    seen = _seen(points, away, round_)
    where = f"column {round_.centre[0] + corner[0]:.0f}, row {round_.centre[1] + corner[1]:.0f}"
    refused = _refused(points, seen, where)
    if refused is not None:
        return refused
    edge = _Edge(seen=seen, away=away, kinds=KINDS[beam_scale])
    return _measured(grid, corner, round_, edge, where)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edge:
    seen: Line
    away: Line
    kinds: tuple[float, ...]
    """Middles of the kinds of response that the header leaves open. [-]"""

    @property
    def share(self) -> float:
        return float(np.mean(self.seen))

    @property
    def residual_px(self) -> float:
        return float(np.sqrt(np.mean(self.away[self.seen > 0] ** 2)))


def _part(values: NDArray[Any], candidate: Candidate) -> tuple[Grid, tuple[int, int]]:
    """Return the pixels around the candidate, and the film's pixel of its upper left one."""
    reach = int(1.35 * candidate.radius_px) + 24
    column, row = round(candidate.centre[0]), round(candidate.centre[1])
    top, left = max(0, row - reach), max(0, column - reach)
    part = values[top : row + reach + 1, left : column + reach + 1]
    return np.asarray(part, dtype=np.float32), (left, top)


def _stretched(round_: Ellipse) -> bool:
    return round_.radius < 5.0 or round_.stretch > GREATEST_STRETCH * round_.radius


def _seen(points: EdgePoints, away: Line, round_: Ellipse) -> Line:
    """Return 1 for rays on which a strong edge lies where the ellipse says."""
    limit = max(1.2, 0.012 * round_.radius)
    strong = points.falls > 0.2 * np.median(points.falls)
    found = (np.abs(away) < limit) & strong & (points.inside_film > 0)
    return np.asarray(found, dtype=np.float64)


def _refused(points: EdgePoints, seen: Line, where: str) -> Unknown | None:
    on_film = points.inside_film > 0
    share = float(np.mean(seen))
    if not on_film.all() and np.mean(seen[on_film]) > LEAST_EDGE_SHARE and np.mean(on_film) > 0.4:
        return Unknown(reason=f"a round shadow at {where} is cut off by the edge of the film")
    return Unknown(reason="") if share < LEAST_EDGE_SHARE else None


def _measured(
    grid: Grid, corner: tuple[int, int], first: Ellipse, edge: _Edge, where: str
) -> MarkerFound | Unknown:
    """Fit the limb; refuse what is hollow, uneven or flat."""
    rough = band(grid, first)
    if rough is None or not is_trusted(rough):
        return Unknown(reason="")
    if rough.even_share < LEAST_EVEN_SHARE:
        return Unknown(reason=f"the round shadow at {where} is not metal all the way through")
    fit = _fitted(grid, first, rough, edge.kinds)
    if fit is None or fit.best.limb.opacity < LEAST_OPACITY:
        return Unknown(reason="")
    if fit.evidence < LEAST_EVIDENCE and edge.share < LEAST_EDGE_SHARE_FLAT:
        return Unknown(reason=f"the round shadow at {where} has no whole edge")
    if fit.evidence < LEAST_EVIDENCE and _lets_through(fit.fine):
        return Unknown(reason=f"the round shadow at {where} is that of a flat disc, not of a ball")
    return _found(corner, first, edge, fit)


def _lets_through(given: Band) -> bool:
    """Say whether what lies round the shadow goes on inside it, as under a thin disc."""
    known = given.clear > 0
    deep = given.depths > 0.5 * given.depths.max()
    counts = np.where(deep, given.counts, 0.0)
    whole = np.maximum(counts.sum(axis=1), 1.0)
    inside = ((counts * given.values).sum(axis=1) / whole)[known]
    outside = given.background[known, -1]
    away = outside - outside.mean()
    spread = float(np.sqrt(np.mean(away**2)))
    if spread < LEAST_SPREAD:
        return False
    slope = float(np.sum(away * inside) / np.sum(away**2))
    return slope > LETS_THROUGH


def _fitted(grid: Grid, first: Ellipse, rough: Band, kinds: tuple[float, ...]) -> "_Fit | None":
    """Fit shape and place under the kinds of response left open; go on with the better."""
    tried = [settled(grid, first, rough, kind) for kind in FIRST_KINDS if kind in kinds]
    able = [one for one in tried if one is not None]
    if not able:
        return None
    start = min(able, key=lambda one: one.cost)
    fitted = tuple(shape for shape in shapes(start.of, start.shape) if shape.kind in kinds)
    best = min(fitted, key=lambda shape: shape.cost)
    return _Fit(
        fine=start.fine,
        tried=fitted,
        final=placed(start.fine, start.near, best.limb, best.shift_px),
        evidence=0.5 * (disc_cost(start.of, best) - best.cost),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fit:
    fine: Band
    tried: tuple[Shape, ...]
    final: Placed
    evidence: float
    """As in :attr:`MarkerFound.sphere_evidence`. [-]"""

    @property
    def best(self) -> Shape:
        return min(self.tried, key=lambda shape: shape.cost)

    def mean_shift(self) -> tuple[float, float]:
        """Return by how much the mean over kinds of response exceeds the best, and its doubt."""
        cut = bool(self.fine.full.any())
        likely = WEIGHTS_CUT if cut else WEIGHTS
        before = np.array([likely[shape.kind] for shape in self.tried])
        cost = np.array([shape.cost for shape in self.tried])
        low, high = BELIEVED_PX
        belief = np.clip((self.best.limb.blur_px - low) / (high - low), LEAST_BELIEF, 1.0)
        weight = before * np.exp(-0.5 * belief * (cost - cost.min()))
        weight /= weight.sum()
        shift = np.array([shape.shift_px for shape in self.tried])
        own = np.array([shape.shift_uncertainty_px for shape in self.tried])
        mean = float(weight @ shift)
        variance = float(weight @ ((shift - mean) ** 2 + own**2))
        return mean - self.best.shift_px, float(np.sqrt(variance))


def _found(corner: tuple[int, int], first: Ellipse, edge: _Edge, fit: _Fit) -> MarkerFound:
    more, doubt = fit.mean_shift()
    ellipse = fit.final.ellipse
    radius = ellipse.radius + more
    unrest = 1.0 - fit.fine.calm_share
    low, high = SHARP_PX
    sharp = min(1.0, max(0.0, (high - fit.best.limb.blur_px) / (high - low)))
    parts = (
        doubt,
        SHARP_DOUBT_PX * sharp,
        CORRECTION_DOUBT * (radius - first.radius),
        UNREST_DOUBT_PX * unrest,
        fit.final.stretch_uncertainty_px,
    )
    cut = bool(fit.fine.full.any())
    known = edge.kinds != KINDS[BeamScale.NOT_STATED] and not cut
    total = 2 * hypot(*parts) * (KNOWN_SHARE if known else 1.0)
    limb = fit.best.limb
    return MarkerFound(
        centre=(ellipse.centre[0] + corner[0], ellipse.centre[1] + corner[1]),
        diameter_px=2 * (radius - ellipse.stretch),
        major_diameter_px=2 * (radius + ellipse.stretch),
        direction_deg=ellipse.direction_deg,
        diameter_uncertainty_px=total,
        major_uncertainty_px=total,
        centre_uncertainty_px=hypot(
            fit.final.centre_uncertainty_px, UNREST_CENTRE_PX * unrest, CENTRE_SHARE * total, 0.01
        ),
        edge_share=edge.share,
        residual_px=edge.residual_px,
        opacity=limb.opacity,
        sphere_evidence=fit.evidence,
        blur_px=limb.blur_px,
        saturated=cut,
        confidence_prob=_confidence(edge, ellipse, fit),
    )


def _confidence(edge: _Edge, ellipse: Ellipse, fit: _Fit) -> float:
    """Return how sure it is that this is a ball and the outline is its own [-].

    A working assumption, not a frequency: full marks for an edge seen all round, within a
    hundredth of the radius, with the profile of a sphere.
    """
    edges = min(1.0, edge.share / 0.95)
    smooth = exp(-0.5 * (edge.residual_px / max(0.6, 0.01 * ellipse.radius)) ** 2)
    solid = 0.75 if fit.evidence < LEAST_EVIDENCE else 1.0
    return 0.99 * edges * smooth * solid
