"""What is known of one share, as a distribution: to draw from, to take quantiles of, to update."""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from scipy.special import betainc, betaincinv, expit, ndtr, ndtri, polygamma, psi

from thumbwright.core.evidence.effects import Numbers
from thumbwright.core.evidence.intervals import LEVEL_PROB, ShareInterval
from thumbwright.core.evidence.study import Counted

_GRID_POINTS = 801
_GRID_REACH_SDS = 8.0
_EVENTS_FOR_SPREAD = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LogitNormal:
    """A share whose log odds are normal: where series were found to differ."""

    middle_log_odds: float
    """[log odds]"""
    sd_log_odds: float
    """[log odds]"""

    def quantile_share(self, prob: float) -> float:
        """Return the share below which the true one lies with a probability [-]."""
        return float(expit(self.middle_log_odds + self.sd_log_odds * float(ndtri(prob))))

    def below_prob(self, share: Numbers) -> Numbers:
        """Return the probability that the true share lies below each of some shares [-]."""
        share = np.clip(share, 1e-300, 1 - 1e-16)
        log_odds = np.log(share) - np.log1p(-share)
        return np.asarray(ndtr((log_odds - self.middle_log_odds) / self.sd_log_odds))

    def draws(self, rng: np.random.Generator, count: int) -> Numbers:
        """Return draws of the share [-]; shape (count,)."""
        return np.asarray(expit(rng.normal(self.middle_log_odds, self.sd_log_odds, count)))


@dataclass(frozen=True, slots=True, kw_only=True)
class BetaShare:
    """A share known from counts, as if one share held for all of them."""

    events: float
    """Events, with half an event of Jeffreys' prior. [-]"""
    others: float
    """Others, with the other half. [-]"""

    def quantile_share(self, prob: float) -> float:
        """Return the share below which the true one lies with a probability [-]."""
        return float(betaincinv(self.events, self.others, prob))

    def below_prob(self, share: Numbers) -> Numbers:
        """Return the probability that the true share lies below each of some shares [-]."""
        return np.asarray(betainc(self.events, self.others, share))

    def draws(self, rng: np.random.Generator, count: int) -> Numbers:
        """Return draws of the share [-]; shape (count,)."""
        return rng.beta(self.events, self.others, count)


ShareDoubt = LogitNormal | BetaShare


def from_counts(counted: Counted, weight_share: float = 1.0) -> BetaShare:
    """Return what counts say of a share.

    Parameters
    ----------
    counted
        Events and total.
    weight_share
        How much of a person each person counts. [-]
    """
    return BetaShare(
        events=0.5 + weight_share * counted.events,
        others=0.5 + weight_share * (counted.total - counted.events),
    )


def spread(doubt: BetaShare, sd_log_odds: float) -> LogitNormal:
    """Return a share known from counts, spread further by how much series differ.

    Parameters
    ----------
    doubt
        What the counts say.
    sd_log_odds
        Standard deviation of true log odds between series. [log odds]

    Notes
    -----
    Log odds of a beta have the mean ψ(a) - ψ(b) and the variance ψ'(a) + ψ'(b).
    """
    return LogitNormal(
        middle_log_odds=float(psi(doubt.events) - psi(doubt.others)),
        sd_log_odds=sqrt(_variance(doubt) + sd_log_odds**2),
    )


def in_another_unit(before: ShareDoubt, after: ShareDoubt, sd_log_odds: float) -> ShareDoubt:
    """Return what counts of some units say of yet another one.

    Parameters
    ----------
    before, after
        What is known of the share before and after the counts of those units.
    sd_log_odds
        Standard deviation of true log odds between units. [log odds]

    Notes
    -----
    What was known before speaks of any unit; what the counts added speaks of theirs. So the
    spread is added in the share in which the counts narrowed the variance: not at all where they
    said nothing, wholly where they said everything. Where hardly anyone had the event the doubt
    is skewed and left as it is.
    """
    narrowed = max(0.0, 1 - _variance(after) / _variance(before))
    added = narrowed**0.5 * sd_log_odds
    if isinstance(after, LogitNormal):
        return LogitNormal(
            middle_log_odds=after.middle_log_odds,
            sd_log_odds=sqrt(after.sd_log_odds**2 + added**2),
        )
    return spread(after, added) if min(after.events, after.others) >= _EVENTS_FOR_SPREAD else after


def _variance(doubt: ShareDoubt) -> float:
    """Return the variance of the log odds [log odds, squared]."""
    if isinstance(doubt, LogitNormal):
        return doubt.sd_log_odds**2
    return float(polygamma(1, doubt.events)) + float(polygamma(1, doubt.others))


def updated(doubt: ShareDoubt, counted: Counted) -> ShareDoubt:
    """Return what is known of a share after further counts, by the rule of Bayes.

    Notes
    -----
    Beta and binomial give a beta. Normal log odds and a binomial are multiplied on a grid of log
    odds, and the product is taken as normal with its mean and variance; counts too many for the
    prior to hold against move it as they should.

    Examples
    --------
    >>> print_says = LogitNormal(middle_log_odds=-3.2, sd_log_odds=0.7)
    >>> own = updated(print_says, Counted(events=4, total=40))
    >>> round(print_says.quantile_share(0.5), 3), round(own.quantile_share(0.5), 3)
    (0.039, 0.066)
    """
    x, rest = counted.events, counted.total - counted.events
    if isinstance(doubt, BetaShare):
        return BetaShare(events=doubt.events + x, others=doubt.others + rest)
    reach = _GRID_REACH_SDS * doubt.sd_log_odds
    grid = doubt.middle_log_odds + np.linspace(-reach, reach, _GRID_POINTS)
    logs = -0.5 * ((grid - doubt.middle_log_odds) / doubt.sd_log_odds) ** 2
    logs = logs + x * grid - counted.total * np.logaddexp(0.0, grid)
    weights = np.exp(logs - logs.max())
    weights = weights / weights.sum()
    middle = float(np.sum(weights * grid))
    left = sqrt(float(np.sum(weights * (grid - middle) ** 2)))
    return LogitNormal(middle_log_odds=middle, sd_log_odds=left)


def interval_of(doubt: ShareDoubt, level_prob: float = LEVEL_PROB) -> ShareInterval:
    """Return the median with the equal-tailed interval."""
    tail = (1 - level_prob) / 2
    return ShareInterval(
        share=doubt.quantile_share(0.5),
        low_share=doubt.quantile_share(tail),
        high_share=doubt.quantile_share(1 - tail),
        level_prob=level_prob,
    )
