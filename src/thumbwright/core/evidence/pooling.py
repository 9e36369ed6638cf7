"""Pools numbers of several series by published methods, each named for its authors and year.

The one verb that chooses among them stands in :mod:`thumbwright.core.evidence.pool`. All were held
against the thirteen trials of [van-houwelingen-2002]_.
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from scipy.special import stdtrit

from thumbwright.core.evidence.effects import Effects
from thumbwright.core.evidence.variance_between import Between, variance_between


@dataclass(frozen=True, slots=True, kw_only=True)
class PooledEffect:
    """The middle of several series, with its doubt and how far the series differ."""

    value: float
    """[of the scale]"""
    standard_error: float
    """Of the middle. [of the scale]"""
    variance_between: float
    """Between the true values of series. [of the scale, squared]"""
    degrees_of_freedom: float
    """Of the quantile that makes an interval; infinite for the normal one."""
    arms: int
    by_counts: bool = False
    """Whether the counts themselves were pooled, and not a number made of each arm."""

    def interval(self, level_prob: float = 0.95) -> tuple[float, float]:
        """Return the interval of the middle [of the scale]."""
        half = _quantile(self.degrees_of_freedom, level_prob) * self.standard_error
        return self.value - half, self.value + half

    def prediction(self, level_prob: float = 0.95) -> tuple[float, float] | None:
        r"""Return where the true value of one more series should lie [of the scale].

        Returns
        -------
        tuple[float, float] | None
            None for fewer than three series, which cannot tell how much series differ.

        Notes
        -----
        .. math:: \hat\mu \pm t_{k-2} \sqrt{\tau^2 + SE^2}

        after [higgins-2009]_.
        """
        if self.arms < 3:
            return None
        spread = sqrt(self.variance_between + self.standard_error**2)
        half = _quantile(self.arms - 2, level_prob) * spread
        return self.value - half, self.value + half


def pooled_dersimonian_laird_1986(effects: Effects) -> PooledEffect:
    """Pool with weights 1/(v + tau²), tau² by moments, and a normal interval.

    Notes
    -----
    [dersimonian-laird-1986]_. Promises too much with few series, or with rare events on the
    logit scale.
    """
    return pooled_inverse_variance(effects, Between.DERSIMONIAN_LAIRD)


def pooled_inverse_variance(effects: Effects, method: Between) -> PooledEffect:
    """Pool with weights 1/(v + tau²) and a normal interval, tau² by any of the methods."""
    between = variance_between(effects, method)
    weights = 1 / (effects.variances + between)
    return PooledEffect(
        value=float(np.average(effects.values, weights=weights)),
        standard_error=float(1 / np.sqrt(weights.sum())),
        variance_between=between,
        degrees_of_freedom=float("inf"),
        arms=len(effects),
    )


def pooled_hartung_knapp_sidik_jonkman(
    effects: Effects, method: Between = Between.DERSIMONIAN_LAIRD, *, never_narrower: bool = False
) -> PooledEffect:
    r"""Pool with a standard error from the scatter of the series, and Student's t.

    Parameters
    ----------
    effects
        Two series or more.
    method
        How tau² is estimated.
    never_narrower
        Whether the standard error is kept from falling below that of the normal interval.

    Notes
    -----
    .. math:: q = \sum w_i (y_i - \hat\mu)^2 / (k-1), SE = \sqrt{q / \sum w_i}

    with t of k - 1 degrees of freedom, after [hartung-knapp-2001]_ and [sidik-jonkman-2002]_;
    q is at least 1 where the interval must not be narrower, as [rover-2015]_ advise for few
    series of unequal size.
    """
    plain = pooled_inverse_variance(effects, method)
    if len(effects) == 1:
        return plain
    weights = 1 / (effects.variances + plain.variance_between)
    scatter = float(np.sum(weights * (effects.values - plain.value) ** 2)) / (len(effects) - 1)
    scatter = max(1.0, scatter) if never_narrower else scatter
    return PooledEffect(
        value=plain.value,
        standard_error=sqrt(scatter) * plain.standard_error,
        variance_between=plain.variance_between,
        degrees_of_freedom=len(effects) - 1,
        arms=len(effects),
    )


def _quantile(degrees_of_freedom: float, level_prob: float) -> float:
    return float(stdtrit(min(degrees_of_freedom, 1e9), 0.5 + level_prob / 2))
