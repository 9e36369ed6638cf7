"""How often each technique comes first, second and so on, over all ways to weigh and all draws."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isclose

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.performance_table import PerformanceTable
from thumbwright.core.comparison.preference import Preference
from thumbwright.core.comparison.rank_counts import RankCounts, counted_ranks
from thumbwright.core.comparison.weight_draws import drawn_shares
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError

_CHUNK_DRAWS = 16_384
"""Scores of 16 techniques for so many draws fit a processor's second cache."""
_WANTED_BATCHES, _FEWEST_BATCHES = 32, 8
"""Fewer batches than this do not give a standard error of their own."""

Table64 = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptability:
    """What the draws show of every technique, with the error that comes from drawing."""

    techniques: tuple[str, ...]
    names: tuple[str, ...]
    keys: tuple[CriterionKey, ...]
    rank_prob: Table64
    """By technique and rank: how often it takes this rank. [-]"""
    rank_error_prob: Table64
    """Standard error of the same, from drawing alone. [-]"""
    pairwise_prob: Table64
    """By technique and other technique: how often it is better than the other. [-]"""
    central_share: Table64
    """By technique and criterion: mean weight where it comes first; 0 where it never does. [-]"""
    confidence_prob: Table64
    """By technique: how often it comes first at its central weights; 0 where it has none. [-]"""
    tier: tuple[int, ...]
    """By technique: what is 0 comes before what is 1, whatever the weights."""
    weight_draws: int
    performance_draws: int
    random_state: str
    """The source of chance with which all of this can be drawn again."""

    @property
    def first_prob(self) -> Table64:
        """Return how often each technique comes first [-]."""
        return np.asarray(self.rank_prob[:, 0])

    @property
    def mean_rank(self) -> Table64:
        """Return the expected rank of each technique, counted from 1 [-]."""
        return np.asarray(self.rank_prob @ np.arange(1, len(self.techniques) + 1))

    @property
    def in_order(self) -> tuple[str, ...]:
        """Return the techniques: by tier, then by how often they come first, then by mean rank."""
        keyed = zip(self.tier, -self.first_prob, self.mean_rank, self.techniques, strict=True)
        return tuple(key for *_, key in sorted(keyed))

    @property
    def leader(self) -> str:
        """Return the technique that comes first most often."""
        return self.in_order[0]

    def place_of(self, technique: str) -> int:
        """Return the row of a technique."""
        if technique not in self.techniques:
            raise PlanError(
                f"the technique {technique!r} was asked for; allowed are those that were weighed: "
                f"{', '.join(self.techniques)}; what is closed is not weighed"
            )
        return self.techniques.index(technique)

    def first_prob_of(self, technique: str) -> float:
        """Return how often a technique comes first [-]."""
        return float(self.first_prob[self.place_of(technique)])

    def central_weights_of(self, technique: str) -> dict[CriterionKey, float] | Unknown:
        """Return the typical weights of those for whom a technique comes first [-]."""
        place = self.place_of(technique)
        if self.first_prob[place] == 0:
            return Unknown(reason=f"{self.names[place]} came first in none of the draws")
        row = self.central_share[place]
        return {key: float(share) for key, share in zip(self.keys, row, strict=True)}

    def confidence_of(self, technique: str) -> float | Unknown:
        """Return how often a technique comes first at its own central weights [-].

        Notes
        -----
        A technique that often comes first but has little confidence needs better data.
        """
        place = self.place_of(technique)
        if self.first_prob[place] == 0:
            return Unknown(reason=f"{self.names[place]} came first in none of the draws")
        return float(self.confidence_prob[place])


def acceptability(
    table: PerformanceTable,
    preference: Preference,
    *,
    weight_draws: int,
    rng: np.random.Generator,
    tier: Sequence[int] | None = None,
) -> Acceptability:
    r"""Weigh all techniques in very many ways and count who comes where.

    Parameters
    ----------
    table
        What each technique gives.
    preference
        What is known of the weights.
    weight_draws
        Number of ways to weigh, rounded up to a multiple of the draws of the table. [-]
    rng
        Source of chance.
    tier
        By technique: what has 0 comes before what has 1, whatever the weights; all alike where
        none is given.

    Notes
    -----
    With score :math:`s_i = \sum_j w_j v_{ij}`, rank 1 plus the number of techniques with a
    higher score, techniques of equal score in an order drawn by lot: rank acceptability, central
    weight, confidence factor and pairwise winning index of [lahdelma-salminen-2001]_. Weights
    and performances are taken as independent. The standard error is that of the means of
    batches whose draws of weights and of performances are disjoint, so that it holds although
    one draw of performances meets many weights; with few batches it is the binomial one of the
    performance draws, which errs on the side of too much.
    """
    tiers = _tiers(table, tier)
    block = max(1, -(-weight_draws // table.draws))
    counts = RankCounts.none(len(table.techniques), len(table.criteria))
    penalty = 2.0 * np.array(tiers, dtype=np.float32)[:, np.newaxis]
    for worlds in _chunks(table, block):
        for widths in _batches(block, table.draws):
            batch = RankCounts.none(len(table.techniques), len(table.criteria))
            for width in widths:
                shares = drawn_shares(preference, table.keys, len(worlds) * width, rng)
                batch.add(counted_ranks(_scores(worlds, shares, width) - penalty, shares, rng))
            counts.add(batch)
    first = counts.first
    central = counts.first_weights / np.maximum(first, 1)[:, np.newaxis]
    return Acceptability(
        techniques=table.techniques,
        names=table.names,
        keys=table.keys,
        rank_prob=counts.rank_prob,
        rank_error_prob=_errors(counts, table.draws),
        pairwise_prob=counts.pairwise_prob,
        central_share=central,
        confidence_prob=_confidence(table, central, penalty) * (first > 0),
        tier=tiers,
        weight_draws=counts.draws,
        performance_draws=table.draws,
        random_state=_state(rng),
    )


def holistic_prob(found: Acceptability, rank_weights: Sequence[float]) -> Table64:
    """Sum up all ranks of a technique in one index.

    Parameters
    ----------
    found
        What the draws show.
    rank_weights
        How much each rank counts, the first most; as many as there are techniques, 1 for the
        first. [-]

    Returns
    -------
    Table64
        By technique, from 0 to 1: 1 is always first. [-]
    """
    weights = np.asarray(rank_weights, dtype=float)
    falls = weights.shape == (len(found.techniques),) and bool((np.diff(weights) <= 0).all())
    if not falls or not isclose(weights[0], 1.0) or weights[-1] < 0:
        raise PlanError(
            f"ranks were given the weights {tuple(rank_weights)}; allowed is one for each of "
            f"{len(found.techniques)} ranks, from 1 falling, none below 0; mend them"
        )
    return np.asarray(found.rank_prob @ weights)


def _tiers(table: PerformanceTable, tier: Sequence[int] | None) -> tuple[int, ...]:
    tiers = (0,) * len(table.techniques) if tier is None else tuple(tier)
    if len(tiers) != len(table.techniques):
        raise PlanError(
            f"{len(tiers)} tiers were given for {len(table.techniques)} techniques; allowed is one "
            "for each, in the order of the table"
        )
    return tiers


def _chunks(table: PerformanceTable, block: int) -> Sequence[NDArray[np.float32]]:
    """Cut the draws of the table so that each piece with its weights fits the cache."""
    worlds = max(1, min(_CHUNK_DRAWS // block, -(-table.draws // _WANTED_BATCHES)))
    values = table.value_share
    return [values[start : start + worlds] for start in range(0, table.draws, worlds)]


def _batches(block: int, performance_draws: int) -> list[list[int]]:
    """Cut the weights of one draw of the table so that each piece fits the cache.

    Pieces of one draw of performances are one batch, because they hang together; where nothing
    is in doubt, there is one draw only and each piece stands alone.
    """
    full, rest = divmod(block, _CHUNK_DRAWS)
    widths = [_CHUNK_DRAWS] * full + ([rest] if rest else [])
    return [[width] for width in widths] if performance_draws == 1 else [widths]


def _scores(
    worlds: NDArray[np.float32], shares: NDArray[np.float32], width: int
) -> NDArray[np.float32]:
    """Return scores by technique and draw, each draw of the table meeting its own weights."""
    if len(worlds) == 1:
        return np.asarray(worlds[0] @ shares)
    criteria, count = shares.shape
    by_world = shares.reshape(criteria, len(worlds), width).transpose(1, 0, 2)
    scores = np.matmul(worlds, by_world)
    return np.asarray(scores.transpose(1, 0, 2).reshape(worlds.shape[1], count))


def _confidence(table: PerformanceTable, central: Table64, penalty: NDArray[np.float32]) -> Table64:
    """Return how often each technique is first at its own central weights [-]."""
    scores = table.value_share @ central.T.astype(np.float32) - penalty
    own = np.diagonal(scores, axis1=1, axis2=2)
    best = scores.max(axis=1)
    return np.asarray((own >= best).mean(axis=0))


def _errors(counts: RankCounts, performance_draws: int) -> Table64:
    """Return the standard error of every rank's share [-]."""
    if counts.batches >= _FEWEST_BATCHES:
        return counts.batch_error_prob
    share = counts.rank_prob
    effective = counts.draws if performance_draws == 1 else performance_draws
    return np.asarray(np.sqrt(share * (1 - share) / min(effective, counts.draws)))


def _state(rng: np.random.Generator) -> str:
    """Name the source of chance, so that the draws can be made again."""
    seeds = getattr(rng.bit_generator.seed_seq, "entropy", "unknown")
    return f"{type(rng.bit_generator).__name__}, seed {seeds}"
