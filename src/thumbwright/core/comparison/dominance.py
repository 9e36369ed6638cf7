"""Which techniques are at least as good as others in everything, however it is weighed."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np

from thumbwright.core.comparison.clauses import capital
from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.performance_table import PerformanceTable
from thumbwright.core.comparison.preference import Preference, stated_shares


@dataclass(frozen=True, slots=True, kw_only=True)
class Dominance:
    """One technique that is at least as good as another in everything that counts."""

    better: str
    worse: str
    share: float
    """Share of the draws in which it is so, and better in at least one thing. [-]"""
    words: str

    @property
    def is_sure(self) -> bool:
        """Return whether it is so in every draw."""
        return self.share == 1.0


def dominances(
    table: PerformanceTable, counted: Iterable[CriterionKey], *, least_share: float = 0.95
) -> tuple[Dominance, ...]:
    """Return the pairs of which one is hardly ever the worse choice, whatever the weights.

    Parameters
    ----------
    table
        What each technique gives.
    counted
        The criteria that count at all.
    least_share
        Share of the draws in which it must be so. [-]

    Returns
    -------
    tuple[Dominance, ...]
        The surest first.

    Notes
    -----
    At least as good in every criterion and better in one, draw by draw; whichever weights are
    chosen, the other is then not better.
    """
    places = [table.keys.index(key) for key in counted]
    values = table.value_share[:, :, places]
    found = []
    for one, other in permutations(range(len(table.techniques)), 2):
        at_least = (values[:, one] >= values[:, other]).all(axis=1)
        somewhere = (values[:, one] > values[:, other]).any(axis=1)
        share = float((at_least & somewhere).mean())
        if share >= least_share:
            found.append(_dominance(table, one, other, share))
    return tuple(sorted(found, key=lambda pair: (-pair.share, pair.better, pair.worse)))


def counted_by(preference: Preference, keys: Sequence[CriterionKey]) -> tuple[CriterionKey, ...]:
    """Return the criteria that weigh something."""
    shares = stated_shares(preference, tuple(keys))
    return tuple(key for key, share in zip(keys, shares, strict=True) if share > 0)


def stochastic_order(table: PerformanceTable, key: CriterionKey) -> Iterator[tuple[str, str]]:
    """Yield the pairs of which one is better in one criterion by every measure of its doubt.

    Parameters
    ----------
    table
        What each technique gives.
    key
        The criterion.

    Yields
    ------
    tuple[str, str]
        The better and the worse: at every amount the better has at least the chance of reaching
        it, and at some amount a greater one (first-order stochastic dominance).
    """
    ordered = np.sort(table.value_share[:, :, table.keys.index(key)], axis=0)
    for one, other in permutations(range(len(table.techniques)), 2):
        gain = ordered[:, one] - ordered[:, other]
        if (gain >= 0).all() and (gain > 0).any():
            yield table.techniques[one], table.techniques[other]


def _dominance(table: PerformanceTable, one: int, other: int, share: float) -> Dominance:
    name, worse = capital(table.names[one]), table.names[other]
    at_least = f"{name} is at least as good as {worse} in everything that counts here"
    words = f"{at_least}, however it is weighed."
    if share < 1.0:
        words = f"{at_least} in {int(100 * share)} of 100 draws, however it is weighed."
    return Dominance(
        better=table.techniques[one], worse=table.techniques[other], share=share, words=words
    )
