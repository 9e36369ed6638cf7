"""One thing that techniques are weighed by: its unit, its scale, and how much each step counts."""

from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thumbwright.core.case.goals import Goal
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.foundations.sources import Basis


class CriterionKey(Enum):
    """Everything that a technique can be weighed by."""

    LENGTH = "length"
    CMC_MOTION = "cmc_motion"
    MCP_MOTION = "mcp_motion"
    IP_MOTION = "ip_motion"
    STRENGTH = "strength"
    STABILITY = "stability"
    FEELING = "feeling"
    LOOKS = "looks"
    GROWTH = "growth"
    DONOR_COST = "donor_cost"
    LOSS_RISK = "loss_risk"
    BURDEN_OPERATIONS = "burden_operations"
    BURDEN_DAYS = "burden_days"
    COST = "cost"

    @property
    def goal(self) -> Goal | None:
        """Return the patient's goal that it stands for, if it stands for one."""
        if self is CriterionKey.DONOR_COST:
            return Goal.SPARE_DONOR_SITE
        return Goal(self.value) if self.value in _GOALS else None

    @property
    def is_a_price(self) -> bool:
        """Return whether it is what a thumb costs, as against what it gives."""
        return self in _PRICES


_GOALS = {goal.value for goal in Goal}
_PRICES = frozenset(
    {
        CriterionKey.DONOR_COST,
        CriterionKey.LOSS_RISK,
        CriterionKey.BURDEN_OPERATIONS,
        CriterionKey.BURDEN_DAYS,
        CriterionKey.COST,
    }
)


def key_of_goal(goal: Goal) -> CriterionKey:
    """Return the criterion that a goal of the patient is weighed by.

    Examples
    --------
    >>> key_of_goal(Goal.SPARE_DONOR_SITE).value
    'donor_cost'
    """
    if goal is Goal.SPARE_DONOR_SITE:
        return CriterionKey.DONOR_COST
    return CriterionKey(goal.value)


class Direction(Enum):
    """Whether more of it is better."""

    MORE_IS_BETTER = "more_is_better"
    LESS_IS_BETTER = "less_is_better"


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueFunction:
    r"""How much of the whole swing, from worst to best, each amount is worth.

    Notes
    -----
    Straight between its points, level outside of them. With exactly two points it may be bent:

    .. math:: v(t) = \frac{1 - e^{-b t}}{1 - e^{-b}}

    with t the way from the worst to the best point from 0 to 1 and b the bend: above 0 the
    first steps away from the worst count more, below 0 the last steps before the best.

    Examples
    --------
    >>> reach = ValueFunction(points=((0.0, 0.0), (20.0, 0.8), (40.0, 1.0)), words="So.")
    >>> reach.value_share([10.0, 30.0, 55.0]).tolist()
    [0.4, 0.9, 1.0]
    """

    points: tuple[tuple[float, float], ...]
    """Amounts, rising, each with its share of the swing. [unit of the criterion, -]"""
    bend: float = 0.0
    """[-]"""
    words: str
    """What the function says, for those who judge it."""

    def __post_init__(self) -> None:
        """Refuse a function that does not run from 0 to 1 in one direction."""
        amounts = [amount for amount, _ in self.points]
        shares = [share for _, share in self.points]
        steps = [after - before for before, after in pairwise(shares)]
        is_monotone = all(step >= 0 for step in steps) or all(step <= 0 for step in steps)
        rises = len(amounts) >= 2 and all(after > before for before, after in pairwise(amounts))
        if not (rises and is_monotone and {min(shares), max(shares)} == {0.0, 1.0}):
            raise PlanError(
                f"a value function was given the points {self.points}; allowed are at least two "
                "rising amounts whose shares run from 0 to 1 or from 1 to 0; mend the points"
            )
        if self.bend and len(self.points) != 2:
            raise PlanError(
                f"a value function was given {len(self.points)} points and a bend of {self.bend}; "
                "allowed is a bend with two points only; leave one of the two out"
            )

    def value_share(self, amount: ArrayLike) -> NDArray[np.float64]:
        """Return the share of the whole swing that amounts are worth [-]."""
        amounts, shares = (
            np.array(column, dtype=float) for column in zip(*self.points, strict=True)
        )
        straight = np.interp(np.asarray(amount, dtype=float), amounts, shares)
        if not self.bend:
            return np.asarray(straight)
        return np.asarray(-np.expm1(-self.bend * straight) / -np.expm1(-self.bend))

    def in_other_units(self, factor: float) -> "ValueFunction":
        """Return the same function of amounts that are given in another unit.

        Parameters
        ----------
        factor
            New units in one old unit, above 0. [-]
        """
        return replace(self, points=tuple((factor * x, share) for x, share in self.points))


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """One thing that techniques are weighed by; its weight belongs to its whole scale."""

    key: CriterionKey
    name: str
    """As printed inside a sentence: "length of the thumb"."""
    plain_name: str
    """For the family: "how long the thumb is"."""
    unit: str
    direction: Direction
    value: ValueFunction
    basis: Basis

    def __post_init__(self) -> None:
        """Refuse a direction against which the value runs."""
        first, last = self.value.points[0][1], self.value.points[-1][1]
        runs = Direction.MORE_IS_BETTER if last > first else Direction.LESS_IS_BETTER
        if runs is not self.direction:
            raise PlanError(
                f"the criterion {self.key.value} was given as {self.direction.value}, but its "
                f"value runs from {first} to {last}; allowed is one direction; mend one of them"
            )

    @property
    def scale_from(self) -> float:
        """Return the worst amount that is told apart from worse [unit]."""
        return min(self.value.points, key=lambda point: point[1])[0]

    @property
    def scale_to(self) -> float:
        """Return the best amount that is told apart from better [unit]."""
        return max(self.value.points, key=lambda point: point[1])[0]

    @property
    def swing_in_words(self) -> str:
        """Return the scale that the weight belongs to, as it is printed."""
        unit = "" if self.unit == "-" else f" {self.unit}"
        return f"{self.name}, from {self.scale_from:g} to {self.scale_to:g}{unit}"
