"""How much each goal counts, from the order in which the patient named the goals."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import fsum, isclose

from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.criteria import goal_words
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.techniques.situation import Situation

ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """The share of each goal in the score, and how the shares were come by."""

    share: Mapping[Goal, float]
    """Goals that do not stand here weigh nothing. [-]"""
    sentence: str
    basis: Basis

    def __post_init__(self) -> None:
        """Refuse shares that are no shares."""
        shares = tuple(self.share.values())
        if any(share < 0 for share in shares) or not isclose(fsum(shares), 1, abs_tol=ROUNDING):
            raise PlanError(
                f"weights were given as {[round(share, 4) for share in shares]}; allowed are "
                "shares from 0 upwards that add up to 1; divide each by their sum"
            )


def rank_order_centroid(count: int) -> tuple[float, ...]:
    r"""Return the weights of ranked goals of which nothing but the order is known.

    Parameters
    ----------
    count
        Number of goals, at least one.

    Returns
    -------
    tuple[float, ...]
        The weights, the most important goal first; they add up to 1. [-]

    Notes
    -----
    .. math:: w_i = \frac{1}{n} \sum_{k=i}^{n} \frac{1}{k}

    Rank-order-centroid weights, recalled from [barron-barrett-1996]_ and derived here as the
    mean of all weights that keep the order: the corners of that simplex are
    :math:`(1/k, \dots, 1/k, 0, \dots, 0)` for k from 1 to n, and the mean of the n corners
    is the formula. They suit weights that share a fixed total, less so weights that are given
    one by one (abstract of [roberts-goodwin-2002]_).

    Examples
    --------
    >>> [round(weight, 2) for weight in rank_order_centroid(4)]
    [0.52, 0.27, 0.15, 0.06]
    """
    return tuple(
        fsum(1 / place for place in range(first, count + 1)) / count
        for first in range(1, count + 1)
    )


def weights_from_goals(situation: Situation) -> Weights:
    """Weigh the goals by the patient's order of them.

    Returns
    -------
    Weights
        Rank-order-centroid weights of the goals that were named. Growth weighs nothing in a
        patient who has stopped growing. Where no goal is left, everything but the donor site
        weighs the same, and the sentence asks for the goals.
    """
    named = situation.case.wishes.goals
    grown = situation.growing is False
    counted = tuple(goal for goal in named if not (grown and goal is Goal.GROWTH))
    if not counted:
        return _equal_weights(situation)
    shares = dict(zip(counted, rank_order_centroid(len(counted)), strict=True))
    listed = ", ".join(f"{goal_words(goal)} {share:.0%}" for goal, share in shares.items())
    dropped = " Growth weighs nothing, because growth is over." if len(counted) < len(named) else ""
    return Weights(
        share=shares,
        sentence="The goals weigh by the patient's order of them (rank-order-centroid weights): "
        f"{listed}.{dropped}",
        basis=Basis(
            provenance=Provenance.DERIVED,
            source="roberts-goodwin-2002",
            locator="abstract names the weights; the formula is derived as a centroid",
        ),
    )


def _equal_weights(situation: Situation) -> Weights:
    left_out = {Goal.SPARE_DONOR_SITE}
    if situation.growing is not True:
        left_out.add(Goal.GROWTH)
    counted = [goal for goal in Goal if goal not in left_out]
    return Weights(
        share=dict.fromkeys(counted, 1 / len(counted)),
        sentence="No goals of the patient are stated, so all that a thumb can give weighs the "
        "same; ask for the goals and their order.",
        basis=Basis(provenance=Provenance.ASSUMED),
    )
