"""The first ranking of the techniques for one case, with the reasons in words."""

from collections.abc import Iterable
from dataclasses import dataclass

from thumbwright.core.comparison.order import RankedRow, put_in_order
from thumbwright.core.comparison.sentences import Sentence, sentences_about
from thumbwright.core.comparison.weights import Weights
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.techniques.eligibility import Eligibility
from thumbwright.core.techniques.situation import Situation


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstRanking:
    """The first ranking of the techniques for one case; closed ones are not in it."""

    rows: tuple[RankedRow, ...]
    """Open techniques by rank, then those that wait by the rank they would have."""
    plan_a: RankedRow | Unknown
    fallback: RankedRow | Unknown
    """The first open technique without microsurgery that could follow plan A."""
    weights: Weights
    sentences: tuple[Sentence, ...]


def rank(
    eligibilities: Iterable[Eligibility], situation: Situation, weights: Weights | None = None
) -> FirstRanking:
    """Rank the techniques of one case for the first time, and say why.

    Parameters
    ----------
    eligibilities
        The verdicts on all techniques, in any order.
    situation
        The case.
    weights
        How much each goal counts; from the patient's order of goals where none are given.

    Returns
    -------
    FirstRanking
        Plan A and the fallback are unknown, with what would settle them, where no
        reconstruction is open but one may still be.
    """
    judged = tuple(eligibilities)
    order = put_in_order(judged, situation, weights)
    return FirstRanking(
        rows=order.open_rows + order.waiting_rows,
        plan_a=order.plan_a,
        fallback=order.fallback,
        weights=order.weights,
        sentences=tuple(sentences_about(order, judged, situation)),
    )
