"""Arms as numbers on a scale on which they may be pooled: logit, Freeman-Tukey, or as measured."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, copysign, cos, sin, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from thumbwright.core.evidence.study import Averaged, Counted
from thumbwright.core.foundations.errors import KnowledgeError

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Effects:
    """One number for each arm with its variance, on one scale."""

    values: Numbers
    """Shape (arms,). [of the scale]"""
    variances: Numbers
    """Shape (arms,), each above 0. [of the scale, squared]"""

    def __post_init__(self) -> None:
        """Refuse what cannot be pooled, and keep the arrays from being changed."""
        values, variances = self.values, self.variances
        fits = values.ndim == 1 and values.shape == variances.shape and values.size > 0
        if not (fits and np.isfinite(values).all() and (variances > 0).all()):
            msg = (
                f"{values.size} numbers were given with {variances.size} variances; allowed are "
                "finite numbers, at least one, each with a variance above 0; leave the others out"
            )
            raise KnowledgeError(msg)
        values.setflags(write=False)
        variances.setflags(write=False)

    def __len__(self) -> int:
        """Return the number of arms."""
        return int(self.values.size)

    def without(self, at: int) -> "Effects":
        """Return the same without one arm."""
        return Effects(values=np.delete(self.values, at), variances=np.delete(self.variances, at))


def logit_effects(counts: Sequence[Counted]) -> Effects:
    r"""Return log odds with their variances.

    Notes
    -----
    :math:`y = \ln(x/(n-x))`, :math:`v = 1/x + 1/(n-x)`. Half an event is added to both cells of
    an arm in which nobody or everybody had the event, and to no other arm.
    """
    events = np.array([one.events for one in counts], dtype=float)
    others = np.array([one.total - one.events for one in counts], dtype=float)
    added = np.where((events == 0) | (others == 0), 0.5, 0.0)
    events, others = events + added, others + added
    return Effects(values=np.log(events / others), variances=1 / events + 1 / others)


def freeman_tukey_effects(counts: Sequence[Counted]) -> Effects:
    r"""Return the double arcsine of shares with its variance [rad].

    Notes
    -----
    .. math:: y = (\arcsin\sqrt{x/(n+1)} + \arcsin\sqrt{(x+1)/(n+1)}) / 2, v = 1/(4n+2)

    after [freeman-tukey-1950]_, in the form with the factor of one half; held against
    [freeman-tukey-edges]_, where x is 0 or n.
    """
    values = [
        0.5 * (asin(sqrt(c.events / (c.total + 1))) + asin(sqrt((c.events + 1) / (c.total + 1))))
        for c in counts
    ]
    variances = [1 / (4 * c.total + 2) for c in counts]
    return Effects(values=np.array(values), variances=np.array(variances))


def share_from_freeman_tukey(value: float, total: float) -> float:
    r"""Return the share that belongs to a double arcsine [-].

    Parameters
    ----------
    value
        Double arcsine, in the form with the factor of one half. [rad]
    total
        Total of the arm; for a pooled value the harmonic mean of the totals. [-]

    Notes
    -----
    With T twice the value:

    .. math:: p = (1 - \mathrm{sgn}(\cos T)\sqrt{1 - (\sin T + (\sin T - 1/\sin T)/n)^2}) / 2

    after [miller-1978]_. For a pooled value it can mislead when totals differ widely; it is shown
    beside another result and never alone. Beyond the values that 0 and n events give, it is 0 or 1.
    """
    lowest = 0.5 * asin(sqrt(1 / (total + 1)))
    if value <= lowest:
        return 0.0
    if value >= asin(1.0) - lowest:
        return 1.0
    turned = 2 * value
    inner = sin(turned) + (sin(turned) - 1 / sin(turned)) / total
    return 0.5 * (1 - copysign(sqrt(max(0.0, 1 - inner**2)), cos(turned)))


def mean_effects(averages: Sequence[Averaged]) -> Effects:
    """Return means with the variances of the means; each must have a spread and a total."""
    variances = [(standard_deviation(one) or 0.0) ** 2 / (one.total or 1) for one in averages]
    return Effects(
        values=np.array([one.mean for one in averages]), variances=np.array(variances, dtype=float)
    )


def standard_deviation(average: Averaged) -> float | None:
    """Return the printed standard deviation, or one derived from the range [as the mean].

    Returns
    -------
    float | None
        None for a median, or where neither a standard deviation nor a range is printed, or the
        number of people is not.

    Notes
    -----
    The range over twice the normal quantile of (n - 0.375)/(n + 0.25), after [wan-2014]_. It holds
    for values that are spread evenly to both sides; from a range of five people it is a guess.
    """
    if average.is_median or average.total is None or average.total < 2:
        return None
    if average.sd is not None:
        return average.sd
    if average.low is None or average.high is None or average.low == average.high:
        return None
    n = average.total
    return (average.high - average.low) / (2 * float(ndtri((n - 0.375) / (n + 0.25))))
