"""How much each criterion counts: by rank, by points, or not said, and in whose voice."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from math import isclose, isfinite

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.criterion import CriterionKey, key_of_goal
from thumbwright.core.comparison.weights import rank_order_centroid, weights_from_goals
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.foundations.sources import Published
from thumbwright.core.techniques.rule_answers import ASSUMED
from thumbwright.core.techniques.situation import Situation

PRICES_BEHIND_GOALS = (CriterionKey.DONOR_COST, CriterionKey.BURDEN_OPERATIONS)
"""What a thumb costs counts behind the goals even where nobody named it (working assumption)."""
MOST_BEHIND_SHARE = Published(value=0.1, unit="-", basis=ASSUMED)
"""What the prices that nobody named weigh together at most. [-]"""


class Voice(Enum):
    """Who says what matters."""

    PATIENT = "patient"
    GUARDIAN = "guardian"
    SURGEON = "surgeon"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """Only the order is known: the first counts at least as much as the second, and so on."""

    voice: Voice
    order: tuple[CriterionKey, ...]
    """The most important first; what is not named weighs nothing."""
    behind: tuple[CriterionKey, ...] = ()
    """Prices that nobody named, the weightiest first; together they weigh little."""

    def __post_init__(self) -> None:
        """Refuse an order that is empty or names something twice."""
        _demand_each_once(self.order, self.behind)

    @property
    def words(self) -> str:
        """Say how the weights were come by."""
        return (
            f"The {self.voice.value} named what matters in order; every way to weigh it that keeps "
            "this order counts alike."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """Each swing from worst to best was given points, with a doubt."""

    voice: Voice
    points: Mapping[CriterionKey, float]
    """100 for the swing that matters most, the others beside it. [points]"""
    doubt: float
    """Give or take, the same for each. [points]"""
    behind: tuple[CriterionKey, ...] = ()
    """Prices that nobody named, the weightiest first; together they weigh little."""

    def __post_init__(self) -> None:
        """Refuse points that are none."""
        _demand_each_once(tuple(self.points), self.behind)
        given = tuple(self.points.values())
        is_whole = all(isfinite(one) and one >= 0 for one in (*given, self.doubt))
        if not is_whole or max(given) <= 0:
            raise PlanError(
                f"swings were given the points {given} with a doubt of {self.doubt}; allowed are "
                "numbers from 0 upwards, one of them above 0; give 100 to the most important"
            )

    @property
    def words(self) -> str:
        """Say how the weights were come by."""
        return (
            f"The {self.voice.value} gave points to each swing from worst to best, give or take "
            f"{self.doubt:g}."
        )

    @property
    def weights(self) -> tuple[float, ...]:
        """Return the points over their sum, in the order of the points [-]."""
        whole = sum(self.points.values())
        return tuple(points / whole for points in self.points.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsaid:
    """Nothing is known but what may count: every way to weigh it counts alike."""

    voice: Voice
    counted: tuple[CriterionKey, ...]
    behind: tuple[CriterionKey, ...] = ()
    """Prices that nobody named, the weightiest first; together they weigh little."""

    def __post_init__(self) -> None:
        """Refuse a list that is empty or names something twice."""
        _demand_each_once(self.counted, self.behind)

    @property
    def words(self) -> str:
        """Say how the weights were come by."""
        return (
            f"The {self.voice.value} did not say what matters more; every way to weigh it counts "
            "alike. Ask for the goals and their order."
        )


Single = Ranked | Swing | Unsaid


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Several voices together: each decides its part of the ways to weigh; none is averaged."""

    parts: tuple[Single, ...]
    part_share: tuple[float, ...]
    """How often each voice decides. [-]"""

    def __post_init__(self) -> None:
        """Refuse parts that do not make a whole."""
        is_whole = isclose(sum(self.part_share), 1.0, abs_tol=1e-9) and min(self.part_share) > 0
        if len(self.parts) != len(self.part_share) or not is_whole:
            raise PlanError(
                f"{len(self.parts)} voices were given the shares {self.part_share}; allowed is one "
                "share above 0 for each voice, together 1; divide each by their sum"
            )

    @property
    def words(self) -> str:
        """Say that this is a mixture and whose."""
        said = ", ".join(
            f"{100 * share:.0f} are the {part.voice.value}'s"
            for part, share in zip(self.parts, self.part_share, strict=True)
        )
        return f"Of 100 ways to weigh in this joint view {said}. None of them is an average."


Preference = Single | Joint


def joint_view(*parts: Single) -> Joint:
    """Return the view in which each voice decides equally often."""
    return Joint(parts=parts, part_share=(1 / len(parts),) * len(parts))


def preference_from_goals(
    situation: Situation,
    *,
    voice: Voice = Voice.PATIENT,
    prices: tuple[CriterionKey, ...] = PRICES_BEHIND_GOALS,
) -> Single:
    """Return what matters by the order of goals in the case.

    Parameters
    ----------
    situation
        The case with the goals in their order.
    voice
        Who named the goals.
    prices
        What a thumb costs; where it is not named among the goals, it stands behind them. A price
        that nobody named is not nothing: together they weigh as much as the goal that weighs
        least, and a tenth at most (working assumption).

    Returns
    -------
    Single
        Ranked where goals are named; else everything that a thumb can give weighs in every way
        that there is. Growth weighs nothing once growth is over.
    """
    counted = tuple(key_of_goal(goal) for goal in weights_from_goals(situation).share)
    behind = tuple(price for price in prices if price not in counted)
    named = {key_of_goal(goal) for goal in situation.case.wishes.goals}
    if not named & set(counted):
        return Unsaid(voice=voice, counted=counted, behind=behind)
    return Ranked(voice=voice, order=counted, behind=behind)


def stated_shares(preference: Preference, keys: tuple[CriterionKey, ...]) -> NDArray[np.float64]:
    """Return the middle of all weights that a preference allows.

    Parameters
    ----------
    preference
        What is known of the weights.
    keys
        The criteria, in the order in which the weights are wanted.

    Returns
    -------
    NDArray[np.float64]
        Rank-order-centroid weights where an order is known, the points over their sum where
        points are, equal weights where nothing is; of a joint view the mean over its voices,
        which is where its ways to weigh lie on average and no one's opinion. [-]
    """
    match preference:
        case Ranked():
            weights = rank_order_centroid(len(preference.order))
            found = _centre(preference.order, weights, preference.behind)
        case Swing():
            found = _centre(tuple(preference.points), preference.weights, preference.behind)
        case Unsaid():
            size = len(preference.counted)
            alike = (1 / size,) * size
            found = _centre(preference.counted, alike, preference.behind)
        case Joint():
            parts = [stated_shares(part, keys) for part in preference.parts]
            return np.asarray(np.average(parts, axis=0, weights=preference.part_share))
    return np.array([found.get(key, 0.0) for key in known_keys(found, keys)])


def _centre(
    order: tuple[CriterionKey, ...],
    weights: tuple[float, ...],
    behind: tuple[CriterionKey, ...],
) -> dict[CriterionKey, float]:
    """Put the middle of the weights and the little that stands behind them together."""
    rest = behind_share(weights) if behind else 0.0
    found = {key: (1 - rest) * share for key, share in zip(order, weights, strict=True)}
    if behind:
        after = zip(behind, rank_order_centroid(len(behind)), strict=True)
        found |= {key: rest * share for key, share in after}
    return found


def behind_share(weights: tuple[float, ...]) -> float:
    """Return what the prices that nobody named weigh together.

    Parameters
    ----------
    weights
        The middle of the weights of what was named, together 1; what weighs nothing does not
        count. [-]

    Returns
    -------
    float
        As much as what weighs least, a tenth at most. [-]

    Examples
    --------
    >>> behind_share((1.0,)), round(behind_share((0.5, 0.25, 0.2, 0.05)), 4)
    (0.1, 0.0476)
    """
    least = min(weight for weight in weights if weight > 0)
    return min(MOST_BEHIND_SHARE.value, least / (1 + least))


def known_keys(
    named: Mapping[CriterionKey, float] | tuple[CriterionKey, ...],
    keys: tuple[CriterionKey, ...],
) -> tuple[CriterionKey, ...]:
    """Return the criteria, refusing weights for what is not weighed."""
    missing = [key.value for key in named if key not in keys]
    if missing:
        raise PlanError(
            f"weights were given for {', '.join(missing)}; allowed are the criteria of the table: "
            f"{', '.join(key.value for key in keys)}; hand in what is known of the others"
        )
    return keys


def _demand_each_once(
    keys: tuple[CriterionKey, ...], behind: tuple[CriterionKey, ...] = ()
) -> None:
    named = (*keys, *behind)
    if not keys or len(set(named)) < len(named):
        raise PlanError(
            f"what matters was given as {[key.value for key in named]}; allowed is at least one "
            "criterion, each once; remove the second of the two"
        )
