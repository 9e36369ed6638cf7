"""How much worse a choice turns out than the best that there was, over all ways to weigh."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.performance_table import PerformanceTable
from thumbwright.core.comparison.preference import Preference
from thumbwright.core.comparison.weight_draws import drawn_shares

_P90 = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Regret:
    """What is given away by one choice, in shares of the whole swing from worst to best."""

    technique: str
    name: str
    expected_share: float
    """[-]"""
    expected_error_share: float
    """Standard error, from drawing alone. [-]"""
    p90_share: float
    """In nine of ten draws no more than this is given away. [-]"""
    least_prob: float
    """How often nothing is given away, because it is the best. [-]"""


def regrets(
    table: PerformanceTable, preference: Preference, *, draws: int, rng: np.random.Generator
) -> tuple[Regret, ...]:
    """Return what each choice gives away, the least first.

    Parameters
    ----------
    table
        What each technique gives; those that could be chosen and no others.
    preference
        What is known of the weights.
    draws
        Number of pairs of weights and performances. [-]
    rng
        Source of chance.

    Notes
    -----
    The regret of a choice in one draw is the best score of all techniques less its own. The
    standard error is that of as many independent draws as there are of performances.
    """
    shares = drawn_shares(preference, table.keys, draws, rng)
    worlds = np.arange(draws) % table.draws
    scores = np.einsum("dij,jd->di", table.value_share[worlds], shares)
    lost = scores.max(axis=1, keepdims=True) - scores
    independent = draws if table.draws == 1 else min(draws, table.draws)
    found = [_regret(table, place, lost[:, place], independent) for place in range(lost.shape[1])]
    return tuple(sorted(found, key=lambda one: (one.expected_share, one.technique)))


def _regret(
    table: PerformanceTable, place: int, lost: NDArray[np.float32], independent: int
) -> Regret:
    return Regret(
        technique=table.techniques[place],
        name=table.names[place],
        expected_share=float(lost.mean(dtype=np.float64)),
        expected_error_share=float(lost.std(dtype=np.float64) / np.sqrt(independent)),
        p90_share=float(np.quantile(lost, _P90)),
        least_prob=float((lost == 0).mean()),
    )
