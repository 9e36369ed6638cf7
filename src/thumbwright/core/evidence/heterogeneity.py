"""How much the series disagree, what hangs on one of them, and whether small ones stand out."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import chdtrc, chdtri, stdtr

from thumbwright.core.evidence.effects import Effects
from thumbwright.core.evidence.variance_between import cochran_q
from thumbwright.core.foundations.answer import Unknown

EGGER_FROM_ARMS = 10
"""Fewer series cannot tell whether small ones differ from large ones (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heterogeneity:
    """How much several series disagree beyond chance."""

    q_factor: float
    """Weighted sum of squares about the middle, to be held against the degrees of freedom."""
    degrees_of_freedom: int
    chance_prob: float
    """Probability of so large a disagreement by chance alone. [-]"""
    i_squared_share: float
    """Share of the disagreement that is more than chance. [-]"""


def heterogeneity(effects: Effects) -> Heterogeneity | Unknown:
    r"""Return how much the series disagree; unknown for a single one.

    Notes
    -----
    Q of Cochran; :math:`I^2 = \max(0, (Q - (k-1))/Q)` after [higgins-thompson-2002]_. Both say
    little about fewer than five series.
    """
    if len(effects) < 2:
        return Unknown(reason="one series cannot disagree with itself", needed=("another series",))
    q, freedom = cochran_q(effects), len(effects) - 1
    return Heterogeneity(
        q_factor=q,
        degrees_of_freedom=freedom,
        chance_prob=float(chdtrc(freedom, q)),
        i_squared_share=max(0.0, (q - freedom) / q) if q > 0 else 0.0,
    )


def tau_squared_interval_q_profile(
    effects: Effects, level_prob: float = 0.95
) -> tuple[float, float]:
    """Return the interval of the variance between series [of the scale, squared].

    Notes
    -----
    Those variances at which Q, with weights 1/(v + tau²), equals the quantiles of chi-squared
    with k - 1 degrees of freedom, after [viechtbauer-2007]_.
    """
    freedom, tail = len(effects) - 1, (1 - level_prob) / 2

    def q_at(variance: float) -> float:
        return cochran_q(
            Effects(values=effects.values.copy(), variances=effects.variances + variance)
        )

    def solved(quantile: float) -> float:
        if q_at(0.0) <= quantile:
            return 0.0
        top = 1.0
        while q_at(top) > quantile:
            top *= 4
        return float(brentq(lambda variance: q_at(variance) - quantile, 0.0, top, xtol=1e-10))

    return solved(float(chdtri(freedom, tail))), solved(float(chdtri(freedom, 1 - tail)))


def leave_one_out(
    effects: Effects, pooled_value: Callable[[Effects], float]
) -> tuple[float, ...] | Unknown:
    """Return the middle without each series in turn [of the scale].

    Parameters
    ----------
    effects
        Three series or more; with two, each stands for itself.
    pooled_value
        How the rest is pooled.
    """
    if len(effects) < 3:
        return Unknown(
            reason="fewer than three series were found", needed=("a third series at least",)
        )
    return tuple(pooled_value(effects.without(at)) for at in range(len(effects)))


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallStudies:
    """Whether small series report otherwise than large ones."""

    slope_factor: float
    """Change of the number, in standard errors, for each standard error; 0 if size is no matter."""
    chance_prob: float
    """Probability of so large a slope by chance alone. [-]"""


def small_studies_egger_1997(effects: Effects) -> SmallStudies | Unknown:
    """Return whether small series report otherwise than large ones.

    Notes
    -----
    Regression of y/SE on 1/SE; the intercept, with t of k - 2 degrees of freedom, after
    [egger-1997]_. On log odds of rare events the number and its standard error depend on each
    other, so a small probability there is a reason to look, no proof.
    """
    if len(effects) < EGGER_FROM_ARMS or np.ptp(effects.variances) == 0:
        return Unknown(
            reason=f"fewer than {EGGER_FROM_ARMS} series of unequal size were found",
            needed=(f"{EGGER_FROM_ARMS} series",),
        )
    errors = np.sqrt(effects.variances)
    design = np.column_stack((np.ones(len(effects)), 1 / errors))
    solved, rest, *_ = np.linalg.lstsq(design, effects.values / errors, rcond=None)
    freedom = len(effects) - 2
    scatter = float(rest[0]) / freedom if rest.size else 0.0
    doubt = float(np.sqrt(scatter * np.linalg.inv(design.T @ design)[0, 0]))
    slope = float(solved[0])
    chance = 2 * float(stdtr(freedom, -abs(slope) / doubt)) if doubt > 0 else 0.0
    return SmallStudies(slope_factor=slope, chance_prob=chance)
