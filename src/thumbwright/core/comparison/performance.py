"""What one technique gives of one criterion: draws, a judgement with its doubt, or unknown."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.criterion import Criterion
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.techniques.rule_answers import ASSUMED
from thumbwright.core.techniques.technique import Grade

Draws = NDArray[np.float64]

_STEP = 1 / int(Grade.GOOD)
"""From one grade to the next on the scale from 0 to 1. [-]"""


def _steps(value: float) -> Published:
    return Published(value=value, unit="-", basis=ASSUMED)


GRADE_DOUBT: Mapping[Provenance, Published] = {
    Provenance.READ: _steps(0.5),
    Provenance.DERIVED: _steps(0.5),
    Provenance.COMMON_PRACTICE: _steps(0.75),
    Provenance.RECALLED: _steps(1.0),
    Provenance.ASSUMED: _steps(1.0),
}
"""Half width of the doubt about a grade in steps from grade to grade, by what it rests on. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """An amount with its doubt, as draws in the unit of the criterion."""

    draws: tuple[float, ...] | Draws
    """One number is sure; otherwise as many as the table has draws. [unit of the criterion]"""
    basis: Basis | None = None
    shared: str = ""
    """Amounts with one name hang together: their draws of one number are one and the same world.
    """

    def __post_init__(self) -> None:
        """Refuse draws that are none, and keep them from being changed."""
        kept = np.array(self.draws, dtype=np.float64)
        if kept.ndim != 1 or kept.size == 0 or not np.isfinite(kept).all():
            raise PlanError(
                f"an amount was given as draws of the shape {kept.shape}; allowed is one row of "
                "finite numbers, at least one; where nothing is known give Unknown with its reason"
            )
        kept.setflags(write=False)
        object.__setattr__(self, "draws", kept)


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedGrade:
    """A grade of the catalogue, which is a judgement and therefore has a doubt."""

    grade: Grade
    basis: Basis
    is_certain: bool = False
    """A fact of this hand: a joint that was found to move, or is not there."""
    shared: str = ""
    """Judgements with one name rest on the same thing and are right or wrong together."""

    @property
    def half_width_share(self) -> float:
        """Return how far the truth may lie from the grade [-].

        Notes
        -----
        *None* is a fact, as of a joint that is not there, and has no doubt.
        """
        if self.is_certain or self.grade is Grade.NONE:
            return 0.0
        return GRADE_DOUBT[self.basis.provenance].value * _STEP


@dataclass(frozen=True, slots=True, kw_only=True)
class NotKnown:
    """Nothing is known of it, so that anything from worst to best may be true."""

    unknown: Unknown
    shared: str = ""
    """What is unknown under one name is one and the same thing, such as a joint of the hand."""


Performance = Drawn | JudgedGrade | NotKnown


def shares_of(
    performance: Performance, criterion: Criterion, chance: NDArray[np.float64]
) -> NDArray[np.float32]:
    """Return what a performance is worth in each draw.

    Parameters
    ----------
    performance
        What the technique gives.
    criterion
        What it gives it of.
    chance
        One number from 0 to 1 for each draw; the same for performances that hang together. [-]

    Returns
    -------
    NDArray[np.float32]
        Shares of the whole swing from worst to best, one for each draw. [-]

    Notes
    -----
    A grade stands at 0, 1/3, 2/3 or 1; around it lies a triangle of the half width of
    :data:`GRADE_DOUBT`, cut off at 0 and 1. An unknown is spread evenly from 0 to 1.
    """
    match performance:
        case Drawn():
            worth = criterion.value.value_share(performance.draws)
            if worth.size not in {1, chance.size}:
                raise PlanError(
                    f"{criterion.name} was given with {worth.size} draws; allowed are 1 or "
                    f"{chance.size}, as in the rest of the table; draw all with one count"
                )
            return np.broadcast_to(worth, chance.shape).astype(np.float32)
        case JudgedGrade():
            centre = int(performance.grade) * _STEP
            spread = performance.half_width_share * _triangle(chance)
            return np.clip(centre + spread, 0.0, 1.0).astype(np.float32)
        case NotKnown():
            return chance.astype(np.float32)


def _triangle(chance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Turn even chances into draws from the triangle on -1 to 1."""
    lower = np.sqrt(2 * np.minimum(chance, 0.5)) - 1
    upper = 1 - np.sqrt(2 * np.minimum(1 - chance, 0.5))
    return np.asarray(np.where(chance < 0.5, lower, upper), dtype=np.float64)
