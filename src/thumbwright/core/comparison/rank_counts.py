"""Counts ranks by comparing techniques two by two, for many draws at a time."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Scores = NDArray[np.float32]
Counts = NDArray[np.int64]
Sums = NDArray[np.float64]


@dataclass(slots=True, kw_only=True)
class RankCounts:
    """Sums over batches of draws; it is added to and therefore not frozen."""

    draws: int
    ranks: Counts
    """By technique and rank."""
    wins: Counts
    """By technique and other technique."""
    first_weights: Sums
    """By technique and criterion: sum of the weights of draws in which it came first. [-]"""
    batch_ranks: list[Counts] = field(default_factory=list)
    batch_draws: list[int] = field(default_factory=list)

    @classmethod
    def none(cls, techniques: int, criteria: int) -> "RankCounts":
        """Return counts before anything was drawn."""
        return cls(
            draws=0,
            ranks=np.zeros((techniques, techniques), dtype=np.int64),
            wins=np.zeros((techniques, techniques), dtype=np.int64),
            first_weights=np.zeros((techniques, criteria)),
        )

    def add(self, other: "RankCounts") -> None:
        """Add the counts of one batch."""
        self.draws += other.draws
        self.ranks += other.ranks
        self.wins += other.wins
        self.first_weights += other.first_weights
        self.batch_ranks.append(other.ranks)
        self.batch_draws.append(other.draws)

    @property
    def batches(self) -> int:
        """Return the number of batches [-]."""
        return len(self.batch_draws)

    @property
    def first(self) -> Counts:
        """Return how many times each technique came first."""
        return np.asarray(self.ranks[:, 0])

    @property
    def rank_prob(self) -> Sums:
        """Return the share of each rank, by technique [-]."""
        return np.asarray(self.ranks / self.draws)

    @property
    def pairwise_prob(self) -> Sums:
        """Return how often each technique was better than each other [-]."""
        return np.asarray(self.wins / self.draws)

    @property
    def batch_error_prob(self) -> Sums:
        """Return the standard error of each share from the scatter of the batches [-]."""
        sizes = np.array(self.batch_draws, dtype=float)
        shares = np.array(self.batch_ranks) / sizes[:, np.newaxis, np.newaxis]
        weight = (sizes / sizes.sum())[:, np.newaxis, np.newaxis]
        scatter = (weight**2 * (shares - self.rank_prob) ** 2).sum(axis=0)
        return np.asarray(np.sqrt(scatter * self.batches / (self.batches - 1)))


def counted_ranks(scores: Scores, shares: Scores, rng: np.random.Generator) -> RankCounts:
    """Count the ranks of one batch.

    Parameters
    ----------
    scores
        By technique and draw. [-]
    shares
        Weights by criterion and draw. [-]
    rng
        Source of chance for techniques of equal score.

    Notes
    -----
    Two by two is quicker than sorting: comparisons of whole rows run in the vector unit, and
    they are the pairwise wins as well.
    """
    size, count = scores.shape
    better = np.zeros((size, count), dtype=np.uint8)
    wins = np.zeros((size, size), dtype=np.int64)
    for one in range(size):
        for other in range(one + 1, size):
            above, below = scores[one] > scores[other], scores[other] > scores[one]
            better[other] += above.view(np.uint8)
            better[one] += below.view(np.uint8)
            wins[one, other], wins[other, one] = np.count_nonzero(above), np.count_nonzero(below)
    tied = np.flatnonzero(better.sum(axis=0, dtype=np.uint16) != size * (size - 1) // 2)
    if tied.size:
        _draw_lots(scores, better, wins, tied, rng)
    ranks = np.array([np.bincount(row, minlength=size) for row in better], dtype=np.int64)
    is_first = (better == 0).astype(np.float32)
    return RankCounts(
        draws=count,
        ranks=ranks,
        wins=wins,
        first_weights=np.asarray(is_first @ shares.T, dtype=np.float64),
    )


def _draw_lots(
    scores: Scores,
    better: NDArray[np.uint8],
    wins: Counts,
    tied: NDArray[np.intp],
    rng: np.random.Generator,
) -> None:
    """Give techniques of equal score an order by lot, in the draws in which there are any.

    Wins are put right with the same lots.
    """
    some = scores[:, tied]
    lots = rng.random(some.shape)
    order = np.lexsort((lots, -some), axis=0)
    places = np.empty_like(order)
    np.put_along_axis(places, order, np.arange(len(some))[:, np.newaxis], axis=0)
    better[:, tied] = places
    for one in range(len(some)):
        for other in range(one + 1, len(some)):
            is_even = some[one] == some[other]
            ahead = int(np.count_nonzero(is_even & (places[one] < places[other])))
            wins[one, other] += ahead
            wins[other, one] += int(np.count_nonzero(is_even)) - ahead
