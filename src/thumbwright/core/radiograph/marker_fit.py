"""Fit the place of the limb, the blur, the opacity and the response to a band of pixels.

Two steps take turns. The shape of the profile is fitted to means over like sectors, where
noise is low; the five numbers of the ellipse are fitted to all sectors with that shape.
"""

from dataclasses import dataclass
from math import exp, expm1, log, log1p, sqrt

import numpy as np

from thumbwright.core.radiograph.edges import Line
from thumbwright.core.radiograph.marker_band import CALM, CLEAR_PX, OUTER_PX, Band
from thumbwright.core.radiograph.marker_ellipse import Ellipse, waves
from thumbwright.core.radiograph.marker_limb import Limb, Passage, grey, passage

DISC_OPACITY = 1e4
"""Opacity of a sphere so dense that its shadow is that of a flat disc. [-]"""
CURVES = (0.05, 2.6, 3.6, 4.8)
"""Middles of the kinds of response tried: linear in the beam, and linear in its logarithm with
scatter of a fourteenth, a thirty-sixth and a hundred-and-twentieth of the beam behind metal."""
FIRST_KINDS = (0.05, 3.6)
"""Kinds under which the ellipse is placed first; the others lie in the same two valleys."""
CURVE_SPREAD = 0.2
BLUR = (log(0.9), 0.45)
"""Middle and spread of the logarithm of the blur [px]; working assumption."""
LEAST_BLUR = log(0.42)
"""Logarithm of the least blur [px]; no detector is sharper than its own pixels."""
GLARE = (0.01, 0.015)
"""Middle and spread of the share spread far [-]; working assumption."""
FLAT = 5
"""Numbers of a fit that holds the opacity at that of a flat disc."""
OPACITY_PER_PX = 0.25
"""Usual opacity of a ball per pixel of its diameter [1/px]: 1.7 per mm at 0.15 mm a pixel.

Steel lets through ``exp(-0.5)`` to ``exp(-4)`` of the beam per mm, by voltage, filter and how
far the beam is hardened already, and pixels measure 0.1 to 0.2 mm: working assumption.
"""
OPACITY_SPREAD = 0.8
METAL = (1.02, 0.3)
"""Middle and spread of the metal's value as a multiple of the contrast seen; working assumption."""
MOST_ROUNDS = 40
ENOUGH = 0.05
"""Gain of cost that ends a fit. [-]"""
MODEL_DOUBT = 0.003
"""What the model itself may be off by, as a share of the contrast; working assumption. [-]"""
PLACE_DOUBT_PX = 0.03
"""How far the model may misplace a layer, as blur is never quite Gaussian; working assumption."""
CUT_ROOM = 3.0
"""How far under a cut-off film the model may stay, in units of the doubt. [-]"""
LEAST_SECTORS = 9
GROUPS = 3
OUTSIDE = np.arange(-OUTER_PX, -CLEAR_PX)
"""Depths at which the background was taken, which is why passing is counted from there. [px]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """What one kind of response makes of the profile."""

    kind: float
    """Middle of the kind's curve, one of `CURVES`. [-]"""
    shift_px: float
    """How much larger the true limb's half axis is than the ellipse that was given. [px]"""
    limb: Limb
    cost: float
    """Weighted squares of what is left, with what is unusual; smaller is better. [-]"""
    shift_uncertainty_px: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """Means over groups of sectors with like background."""

    depths: Line
    values: Line
    background: Line
    evenness: Line
    doubts: Line
    full: Line
    diameter_px: float

    @property
    def log_doubt(self) -> float:
        """Return twice the sum of the logarithms of the doubts, to compare bands by [-]."""
        return 2.0 * float(np.sum(np.log(self.doubts)))

    @property
    def span_px(self) -> tuple[float, float]:
        """Return the least and greatest depth [px]."""
        return float(self.depths.min()), float(self.depths.max())


def profile(given: Band, ellipse: Ellipse, trusted: Line) -> Profile:
    """Put sectors of like background together, layer by layer."""
    sectors = np.nonzero(trusted > 0)[0]
    order = sectors[np.argsort(given.background[sectors, 0], kind="stable")]
    parts = [_group(given, group) for group in np.array_split(order, GROUPS) if group.size >= 3]
    columns = [np.concatenate(column) for column in zip(*parts, strict=True)]
    depths, values, background, evenness, doubts, full = columns
    return Profile(
        depths=depths,
        values=values,
        background=background,
        evenness=evenness,
        doubts=doubts,
        full=full,
        diameter_px=2 * ellipse.radius,
    )


def _group(given: Band, group: Line) -> tuple[Line, ...]:
    counts = given.counts[group]
    held = counts.sum(axis=0) > 0
    counts = counts[:, held]
    whole = counts.sum(axis=0)
    mean = [
        (counts * of[group][:, held]).sum(axis=0) / whole
        for of in (given.depths, given.values, given.background, given.evenness)
    ]
    away = np.where(counts > 0, given.values[group][:, held] - mean[1], 0.0)
    spread = np.sqrt((counts * away**2).sum(axis=0) / whole / group.size)
    smooth = np.convolve(np.pad(spread, 2, mode="edge"), np.full(5, 0.2), mode="valid")
    full = (given.full[group][:, held] * counts).sum(axis=0) / whole > 0.02
    steep = np.gradient(mean[1], mean[0])
    doubt = np.sqrt(smooth**2 + MODEL_DOUBT**2 + (PLACE_DOUBT_PX * steep) ** 2)
    return (*mean, doubt, full.astype(np.float64))


def shape_of(of: Profile, kind: float, start: Shape | None = None) -> Shape:
    """Fit a sphere's profile under one kind of response, afresh or from a shape."""
    return _shape(
        of, kind, usual_numbers(of, kind) if start is None else _from(start, start.limb.curve)
    )


def shapes(of: Profile, like: Shape) -> tuple[Shape, ...]:
    """Fit a sphere's profile once for every kind of response, each from its neighbour's."""
    place = CURVES.index(like.kind)
    up: list[Shape] = [shape_of(of, like.kind, like)]
    down: list[Shape] = []
    for curve in CURVES[place + 1 :]:
        up.append(_shape(of, curve, _from(up[-1], curve)))
    for curve in reversed(CURVES[:place]):
        down.append(_shape(of, curve, _from((down or up)[-1 if down else 0], curve)))
    return (*reversed(down), *up)


def disc_cost(of: Profile, best: Shape) -> float:
    """Return the cost of a flat disc under the likelier kinds of response, for comparison."""
    like = _from(best, best.limb.curve)
    like[0] -= 0.2
    found = [_shape(of, best.kind, like[:FLAT])]
    found += [_shape(of, kind, usual_numbers(of, kind)[:FLAT]) for kind in FIRST_KINDS]
    return min(shape.cost for shape in found)


def usual_numbers(of: Profile, curve: float) -> Line:
    """Return where a fit under a curve begins: shift, then what is usual of the limb."""
    opacity = log(OPACITY_PER_PX * of.diameter_px)
    half = log(1.02 * _half(curve))
    shift = 0.2 + 0.3 * min(curve, 3.0)
    return np.array([shift, half, log(curve), BLUR[0], GLARE[0], opacity])


def _from(shape: Shape, curve: float) -> Line:
    numbers = numbers_of(shape.limb)
    numbers[0], numbers[2] = shape.shift_px, log(curve)
    return numbers


def numbers_of(limb: Limb) -> Line:
    """Return the numbers of a limb as they are fitted, with no shift before them."""
    half = log(limb.metal * _half(limb.curve))
    blur, opacity = log(limb.blur_px), log(limb.opacity)
    return np.array([0.0, half, log(limb.curve), blur, limb.glare_share, opacity])


def _half(curve: float) -> float:
    """Return the grey value where half the beam passes, as a share of the metal's [-].

    This value is fixed by the film whatever the curve, so the fit moves it and not the
    metal's own, which a cut-off scale may hide.
    """
    return 1.0 - log1p(0.5 * expm1(curve)) / curve


def limb_of(numbers: Line) -> Limb:
    """Return what shapes the profile, kept within what floats can bear."""
    curve = exp(min(max(float(numbers[2]), -4.0), 3.2))
    blur = exp(min(max(float(numbers[3]), LEAST_BLUR), 1.6))
    flat = numbers.size == FLAT
    opacity = DISC_OPACITY if flat else exp(min(max(float(numbers[5]), 0.0), 8.0))
    glare = min(max(float(numbers[4]), 0.0), 0.12)
    metal = exp(min(max(float(numbers[1]), -4.0), 2.0)) / _half(curve)
    return Limb(blur_px=blur, glare_share=glare, opacity=opacity, curve=curve, metal=metal)


def _passage(of: Profile, numbers: Line) -> Passage:
    shift = float(numbers[0])
    span = (of.span_px[0] + shift - 0.1, of.span_px[1] + shift + 0.1)
    return passage(span, of.diameter_px + 2 * shift, limb_of(numbers))


def forgiven(left: Line, is_open: Line) -> Line:
    """Return what is left, but nothing where the scale was cut off and metal may be beyond it.

    There only a model that stays clearly under the film is at fault; noise that was cut off
    makes the film a little too dark already, hence the room.
    """
    return np.where(is_open, left, np.minimum(left + CUT_ROOM, 0.0))


class _Fit:
    """Damped least squares of one profile, with what is usual as further observations."""

    def __init__(self, of: Profile, middles: Line) -> None:
        self.of = of
        self.middles = middles.copy()
        self.middles[:2] = 0.0, METAL[0]
        self.spreads = np.array([3.0, METAL[1], CURVE_SPREAD, BLUR[1], GLARE[1], OPACITY_SPREAD])
        self.spreads = self.spreads[: middles.size]
        self.open = of.full == 0

    def left(self, numbers: Line, through: Passage) -> Line:
        """Return model less film in units of the doubt, then how unusual each number is."""
        limb = limb_of(numbers)
        passed = through.at(self.of.depths + numbers[0])
        passed /= through.at(OUTSIDE + numbers[0]).mean()
        left = (self._grey(passed, limb) - self.of.values) / self.of.doubts
        usual = numbers.copy()
        usual[1] = limb.metal
        unusual = (usual - self.middles) / self.spreads
        return np.concatenate([forgiven(left, self.open), unusual])

    def _grey(self, passed: Line, limb: Limb) -> Line:
        return grey(self.of.background, self.of.evenness, passed, limb)

    def slopes(self, numbers: Line, through: Passage, here: Line) -> Line:
        """Return the change of what is left per number, by small steps."""
        columns = []
        for index, step in enumerate((0.02, 0.005, 0.01, 0.01, 0.003, 0.01)[: numbers.size]):
            moved = numbers.copy()
            moved[index] += step
            again = through if index < 3 else _passage(self.of, moved)
            columns.append((self.left(moved, again) - here) / step)
        return np.stack(columns, axis=1)

    def run(self, start: Line) -> tuple[Line, float, Line]:
        """Return the numbers, their cost, and the matrix of the normal equations."""
        numbers, damping, failed = start, 0.01, 0
        through = _passage(self.of, numbers)
        left = self.left(numbers, through)
        normal = np.eye(start.size)
        fresh = True
        for _ in range(MOST_ROUNDS):
            if fresh:
                slopes = self.slopes(numbers, through, left)
                normal, pull = slopes.T @ slopes, slopes.T @ left
            step = np.linalg.solve(normal + damping * np.diag(np.diag(normal)), pull)
            tried = numbers - np.clip(step, -1.0, 1.0)
            new_through = _passage(self.of, tried)
            new = self.left(tried, new_through)
            gain = float(left @ left - new @ new)
            fresh = gain > 0
            failed = 0 if fresh else failed + 1
            damping = max(damping * 0.1, 1e-5) if fresh else damping * 10.0
            if fresh:
                numbers, through, left = tried, new_through, new
            if (fresh and gain < ENOUGH) or failed > 4:
                break
        return numbers, float(left @ left), normal


def _shape(of: Profile, curve: float, start: Line) -> Shape:
    numbers, cost, normal = _Fit(of, usual_numbers(of, curve)[: start.size]).run(start)
    excess = max(1.0, cost / of.depths.size)
    return Shape(
        kind=curve,
        shift_px=float(numbers[0]),
        limb=limb_of(numbers),
        cost=cost,
        shift_uncertainty_px=sqrt(excess * float(np.linalg.inv(normal)[0, 0])),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """The ellipse of the limb for one shape."""

    ellipse: Ellipse
    centre_uncertainty_px: float
    """Along one direction. [px]"""
    stretch_uncertainty_px: float


def placed(given: Band, ellipse: Ellipse, limb: Limb, shift_px: float) -> Placed:
    """Place the ellipse with the shape held, forgetting disturbed sectors.

    The half axis is the one that the shape gave; the sectors say where the middle lies and
    how the ellipse is stretched, the more the calmer their background is.
    """
    shifts = _shifts(given, ellipse, limb, shift_px) - shift_px
    design = waves(given.angles)[:, 1:]
    calm = 1.0 / (1.0 + (given.unrest / (2 * CALM)) ** 2)
    trusted = given.clear.copy()
    for _ in range(6):
        weight = np.sqrt(calm * trusted)
        step = np.linalg.lstsq(weight[:, None] * design, weight * shifts, rcond=None)[0]
        away = np.abs(shifts - design @ step)
        limit = 3.5 * 1.4826 * float(np.median(away[trusted > 0])) + 0.03
        again = given.clear * (away < limit)
        if again.sum() < LEAST_SECTORS or np.array_equal(again, trusted):
            break
        trusted = again
    weight = calm * trusted
    left = shifts - design @ step
    variance = float(np.sum(weight * left**2)) / (weight.sum() * (1 - 4 / trusted.sum())) + 1e-6
    normal = design.T @ (weight[:, None] * design) + 1e-9 * np.eye(4)
    uncertainty = np.sqrt(variance * np.diag(np.linalg.inv(normal)))
    return Placed(
        ellipse=ellipse.moved(np.concatenate([[shift_px], step])),
        centre_uncertainty_px=float(np.max(uncertainty[:2])),
        stretch_uncertainty_px=float(np.max(uncertainty[2:])),
    )


def _shifts(given: Band, ellipse: Ellipse, limb: Limb, start_px: float) -> Line:
    """Return per sector how much larger the true limb's half axis is than the ellipse's [px].

    Steps of least squares on the slope of the profile, which is known.
    """
    shifts = np.full(given.angles.size, start_px)
    counts = given.counts
    for _ in range(3):
        here = _sheet(given, ellipse, limb, shifts)
        slope = (_sheet(given, ellipse, limb, shifts + 0.05) - here) / 0.05
        left = here - given.values
        hidden = (given.full > 0) & (left > 0)
        left, slope = np.where(hidden, 0.0, left), np.where(hidden, 0.0, slope)
        power = np.maximum((counts * slope**2).sum(axis=1), 1e-9)
        shifts = shifts - np.clip((counts * slope * left).sum(axis=1) / power, -1.0, 1.0)
    return shifts


def _sheet(given: Band, ellipse: Ellipse, limb: Limb, shifts: Line) -> Line:
    depths = given.depths + shifts[:, None]
    through = passage((float(depths.min()), float(depths.max())), 2 * ellipse.radius, limb)
    clear = through.at(OUTSIDE).mean()
    passed = through.at(depths) / clear
    return grey(given.background, given.evenness, passed, limb)
