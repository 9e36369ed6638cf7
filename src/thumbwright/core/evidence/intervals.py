"""Intervals for one share: how many of how many, and what that leaves open."""

from dataclasses import dataclass
from math import sqrt

from scipy.special import betaincinv, ndtri

from thumbwright.core.evidence.study import Counted
from thumbwright.core.foundations.errors import KnowledgeError

LEVEL_PROB = 0.95
"""Of every interval of this room, if nothing else is said. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareInterval:
    """A share with an interval that should hold the true one."""

    share: float
    """[-]"""
    low_share: float
    high_share: float
    level_prob: float = LEVEL_PROB


def clopper_pearson_1934(counted: Counted, level_prob: float = LEVEL_PROB) -> ShareInterval:
    """Return the exact interval of a share, which never promises too much.

    Parameters
    ----------
    counted
        Events and total.
    level_prob
        Probability with which the interval should hold the true share. [-]

    Notes
    -----
    Quantiles of Beta(x, n - x + 1) and Beta(x + 1, n - x), after [clopper-pearson-1934]_; the
    ends are 0 and 1 where x is 0 and n. Held against [exact-interval-7-of-50]_.

    Examples
    --------
    >>> exact = clopper_pearson_1934(Counted(events=0, total=20))
    >>> round(exact.low_share, 4), round(exact.high_share, 4)
    (0.0, 0.1684)
    """
    tail = _tail_prob(level_prob)
    x, n = counted.events, counted.total
    return ShareInterval(
        share=x / n,
        low_share=float(betaincinv(x, n - x + 1, tail)) if x else 0.0,
        high_share=float(betaincinv(x + 1, n - x, 1 - tail)) if x < n else 1.0,
        level_prob=level_prob,
    )


def wilson_1927(counted: Counted, level_prob: float = LEVEL_PROB) -> ShareInterval:
    r"""Return the score interval of a share, right on average rather than always.

    Notes
    -----
    .. math:: (p + z^2/2n \pm z \sqrt{p(1-p)/n + z^2/4n^2}) / (1 + z^2/n)

    after [wilson-1927]_; the ends are 0 and 1 where x is 0 and n.

    Examples
    --------
    >>> round(wilson_1927(Counted(events=0, total=20)).high_share, 4)
    0.1611
    """
    z = float(ndtri(1 - _tail_prob(level_prob)))
    x, n = counted.events, counted.total
    share = x / n
    middle, scale = share + z**2 / (2 * n), 1 + z**2 / n
    half = z * sqrt(share * (1 - share) / n + z**2 / (4 * n**2))
    return ShareInterval(
        share=share,
        low_share=(middle - half) / scale if x else 0.0,
        high_share=(middle + half) / scale if x < n else 1.0,
        level_prob=level_prob,
    )


def jeffreys_interval(counted: Counted, level_prob: float = LEVEL_PROB) -> ShareInterval:
    """Return the equal-tailed interval that follows from Jeffreys' prior.

    Notes
    -----
    Quantiles of Beta(x + 1/2, n - x + 1/2), with the ends set to 0 and 1 where x is 0 and n, after
    [brown-cai-dasgupta-2001]_.

    Examples
    --------
    >>> round(jeffreys_interval(Counted(events=1, total=29)).high_share, 4)
    0.1501
    """
    tail = _tail_prob(level_prob)
    x, n = counted.events, counted.total
    return ShareInterval(
        share=x / n,
        low_share=float(betaincinv(x + 0.5, n - x + 0.5, tail)) if x else 0.0,
        high_share=float(betaincinv(x + 0.5, n - x + 0.5, 1 - tail)) if x < n else 1.0,
        level_prob=level_prob,
    )


def _tail_prob(level_prob: float) -> float:
    if not 0 < level_prob < 1:
        msg = (
            f"an interval was asked for that holds the share with probability {level_prob}; "
            "allowed is a number between 0 and 1; 0.95 is usual"
        )
        raise KnowledgeError(msg)
    return (1 - level_prob) / 2
