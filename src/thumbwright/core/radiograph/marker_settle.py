"""Fit outline and profile of a limb at once, since each is known only as well as the other.

Where the scatter behind the ball falls to one side, a middle that is a tenth of a pixel off and
a wrong curve of the response explain each other; fitted in turns, they stay where they are.
"""

from dataclasses import dataclass

import numpy as np

from thumbwright.core.radiograph.edges import Grid, Line
from thumbwright.core.radiograph.marker_band import CALM, Band, band
from thumbwright.core.radiograph.marker_ellipse import Ellipse, waves
from thumbwright.core.radiograph.marker_fit import (
    BLUR,
    CURVE_SPREAD,
    ENOUGH,
    GLARE,
    GROUPS,
    METAL,
    OPACITY_SPREAD,
    OUTSIDE,
    Profile,
    Shape,
    forgiven,
    limb_of,
    numbers_of,
    profile,
    shape_of,
    usual_numbers,
)
from thumbwright.core.radiograph.marker_limb import Limb, Passage, grey, passage

OUTLINE = 5
"""Numbers of the outline: half axis, middle (2), stretch (2)."""
OUTLINE_SPREAD_PX = 3.0
LOG_CURVE_SPREAD = 0.35
"""Spread of the logarithm of the curve over all responses linear in the logarithm. [-]"""
STEPS = (*(0.02,) * OUTLINE, 0.005, 0.01, 0.01, 0.003, 0.01)
MOST_ROUNDS = 12
MOST_BANDS = 4
STILL_PX = 0.01
"""Move of the outline below which no new band of pixels is gathered. [px]"""
STRAY = 3.0
"""Misfit of a sector over the usual above which it is left out. [-]"""
LEAST_CLEAR_SHARE = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """Shape and place that agree with each other under one kind of response."""

    fine: Band
    near: Ellipse
    of: Profile
    shape: Shape

    @property
    def cost(self) -> float:
        """Return the cost of the shape, made comparable between bands [-]."""
        return self.shape.cost + self.of.log_doubt


def is_trusted(given: Band) -> bool:
    """Tell whether enough of the background is clear."""
    return bool(given.clear.sum() >= LEAST_CLEAR_SHARE * given.clear.size)


def settled(grid: Grid, first: Ellipse, rough: Band, kind: float) -> Settled | None:
    """Fit place and shape under one kind of response; nothing where the band is no good.

    Parameters
    ----------
    grid
        Pixels around the shadow.
    first, rough
        The ellipse of the steepest places, and the band of pixels about it.
    kind
        Middle of the kind's curve. [-]
    """
    numbers = usual_numbers(profile(rough, first, rough.calm), kind)
    near, limb = first.moved(np.array([numbers[0], 0.0, 0.0, 0.0, 0.0])), limb_of(numbers)
    for _ in range(MOST_BANDS):
        given = band(grid, near, limb)
        if given is None or not is_trusted(given):
            return None
        of = profile(given, near, given.calm)
        found = _Whole(given, near, of, kind).run(limb)
        near, limb = near.moved(found[:OUTLINE]), limb_of(_limb_numbers(found))
        if float(np.abs(found[:OUTLINE]).max()) < STILL_PX:
            break
    given = band(grid, near, limb)
    if given is None or not is_trusted(given):
        return None
    of = profile(given, near, given.calm)
    start = Shape(kind=kind, shift_px=0.0, limb=limb, cost=0.0, shift_uncertainty_px=0.0)
    return Settled(fine=given, near=near, of=of, shape=shape_of(of, kind, start))


def _limb_numbers(numbers: Line) -> Line:
    """Return the limb's numbers in the order of the fit of a profile, with no shift."""
    return np.concatenate([[0.0], numbers[OUTLINE:]])


class _Whole:
    """Damped least squares of all sectors and layers, with what is usual as observations."""

    def __init__(self, given: Band, near: Ellipse, of: Profile, kind: float) -> None:
        self.given, self.near = given, near
        self.wave = waves(given.angles)
        usual = usual_numbers(of, kind)[1:]
        usual[0] = METAL[0]
        self.middles = np.concatenate([np.zeros(OUTLINE), usual])
        curve = CURVE_SPREAD if kind < 1.0 else LOG_CURVE_SPREAD
        limb = (METAL[1], curve, BLUR[1], GLARE[1], OPACITY_SPREAD)
        self.spreads = np.array([*(OUTLINE_SPREAD_PX,) * OUTLINE, *limb])
        self.open = given.full == 0
        self.trusted = given.clear.copy()
        self.weight = self._weight(of)

    def _weight(self, of: Profile) -> Line:
        """Return the weight of each mean: a group's doubt counts once for all of its sectors."""
        order = np.argsort(of.depths)
        doubts = np.interp(self.given.depths, of.depths[order], of.doubts[order])
        doubts *= np.sqrt(max(1.0, float(self.given.calm.sum()) / GROUPS))
        counts = self.given.counts
        filled = np.minimum(1.0, counts / max(1e-9, float(np.median(counts[counts > 0]))))
        calm = 1.0 / (1.0 + (self.given.unrest / (2 * CALM)) ** 2)
        return np.asarray(np.sqrt(filled * calm[:, None]) / doubts)

    def through(self, numbers: Line) -> tuple[Limb, Passage]:
        """Return the limb and what passes at every depth that may be asked for."""
        limb = limb_of(_limb_numbers(numbers))
        room = float(np.abs(numbers[:OUTLINE]).sum()) + 0.2
        depths = self.given.depths
        span = (float(depths.min()) - room, float(depths.max()) + room)
        return limb, passage(span, 2 * (self.near.radius + float(numbers[0])), limb)

    def left(self, numbers: Line, limb: Limb, through: Passage) -> Line:
        """Return model less film in units of the doubt (sectors, layers)."""
        depths = self.given.depths + (self.wave @ numbers[:OUTLINE])[:, None]
        passed = through.at(depths) / through.at(OUTSIDE + numbers[0]).mean()
        model = grey(self.given.background, self.given.evenness, passed, limb)
        left = (model - self.given.values) * self.weight
        return np.where(self.given.counts > 0, forgiven(left, self.open), 0.0)

    def whole(self, numbers: Line, through: tuple[Limb, Passage] | None = None) -> Line:
        """Return what is left of all trusted sectors, then how unusual each number is."""
        limb, passed = self.through(numbers) if through is None else through
        left = self.left(numbers, limb, passed) * self.trusted[:, None]
        usual = numbers.copy()
        usual[OUTLINE] = limb.metal
        return np.concatenate([left.ravel(), (usual - self.middles) / self.spreads])

    def run(self, limb: Limb) -> Line:
        """Return the numbers: five of the outline, as moves, then those of the limb."""
        numbers = np.concatenate([np.zeros(OUTLINE), numbers_of(limb)[1:]])
        here, damping = self.whole(numbers), 1e-3
        for number in range(MOST_ROUNDS):
            slopes = self._slopes(numbers, here)
            normal, pull = slopes.T @ slopes, slopes.T @ here
            step, new, damping = self._step(numbers, here, (normal, pull), damping)
            gain = float(here @ here - new @ new)
            if gain <= 0:
                break
            numbers, here = numbers - step, new
            if number == 0:
                self._forget_strays(numbers)
                here = self.whole(numbers)
            elif gain < 0.2 * ENOUGH:
                break
        return numbers

    def _slopes(self, numbers: Line, here: Line) -> Line:
        through = self.through(numbers)
        columns = []
        for index, small in enumerate(STEPS):
            moved = numbers.copy()
            moved[index] += small
            again = self.whole(moved, through if index < OUTLINE else None)
            columns.append((again - here) / small)
        return np.stack(columns, axis=1)

    def _step(
        self, numbers: Line, here: Line, equations: tuple[Line, Line], damping: float
    ) -> tuple[Line, Line, float]:
        """Return the first step that gains, what it leaves, and the next damping."""
        normal, pull = equations
        for _ in range(6):
            step = np.linalg.solve(normal + damping * np.diag(np.diag(normal)), pull)
            step = np.clip(step, -1.0, 1.0)
            new = self.whole(numbers - step)
            if float(new @ new) < float(here @ here):
                return step, new, max(0.1 * damping, 1e-6)
            damping *= 10.0
        return np.zeros_like(numbers), here, damping

    def _forget_strays(self, numbers: Line) -> None:
        left = self.left(numbers, *self.through(numbers))
        misfit = np.sqrt(np.mean(left**2, axis=1))
        usual = float(np.median(misfit[self.trusted > 0]))
        self.trusted = self.given.clear * (misfit < STRAY * usual + 1e-9)
