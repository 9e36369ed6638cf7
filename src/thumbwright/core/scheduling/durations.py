"""How long an operation takes: log-normal, with doubt, alone and in sums.

Times of operations are skewed to the right; a log-normal law described them better than a
normal one ([strum-2003]_). The law is held by its median and by the standard deviation of
the logarithm. Where it was estimated from few cases, quantiles come from Student's t.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, isfinite, log, sqrt

import numpy as np
from scipy.special import ndtr, ndtri, stdtr, stdtrit

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.techniques.technique import Span

SPAN_HOLDS_PROB = 0.80
"""Working assumption: a span of hours of the catalogue holds the middle 80 % of operations."""
_MINUTES_AN_HOUR = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LogNormal:
    r"""A time that is log-normal.

    Notes
    -----
    Mean :math:`e^{\mu + s^2/2}`, median :math:`e^\mu`, variance
    :math:`(e^{s^2} - 1) e^{2\mu + s^2}`, quantile :math:`e^{\mu + s z_q}`.

    Examples
    --------
    >>> toe = from_mean_and_deviation(360, 90)
    >>> round(toe.median_minutes, 2), round(toe.quantile(0.9), 2)
    (349.25, 478.83)
    """

    median_minutes: float
    log_deviation_ratio: float
    """Standard deviation of the natural logarithm; 0 for a time that is certain. [-]"""
    cases: int | None = None
    """Number of cases it was estimated from; None where the law counts as known."""

    def __post_init__(self) -> None:
        """Refuse what is no time."""
        sound = isfinite(self.median_minutes) and self.median_minutes > 0
        if not (sound and 0 <= self.log_deviation_ratio < 3 and (self.cases or 2) >= 2):
            msg = (
                f"a time with the median {self.median_minutes} minutes and the log deviation "
                f"{self.log_deviation_ratio}, from {self.cases} cases, was given; allowed is a "
                "median above 0, a deviation from 0 to below 3, and at least 2 cases; correct it"
            )
            raise ScheduleError(msg)

    @property
    def mean_minutes(self) -> float:
        """Return the mean."""
        return self.median_minutes * exp(self.log_deviation_ratio**2 / 2)

    @property
    def deviation_minutes(self) -> float:
        """Return the standard deviation."""
        return self.mean_minutes * sqrt(exp(self.log_deviation_ratio**2) - 1)

    def quantile(self, prob: float) -> float:
        r"""Return the time that is kept with a probability [min].

        Notes
        -----
        From few cases it is the upper prediction limit of the next one,
        :math:`e^{\mu + t_{n-1,q} s \sqrt{1 + 1/n}}` ([dexter-2013]_: 90 % limits of rare
        procedures; the formula itself from memory).
        """
        if self.cases is None:
            return self.median_minutes * exp(self.log_deviation_ratio * float(ndtri(prob)))
        factor = float(stdtrit(self.cases - 1, prob)) * sqrt(1 + 1 / self.cases)
        return self.median_minutes * exp(self.log_deviation_ratio * factor)

    def done_within_prob(self, limit_minutes: float) -> float:
        """Return the probability that it is over within a limit [-]."""
        if limit_minutes <= 0:
            return 0.0
        if self.log_deviation_ratio == 0:
            return float(limit_minutes >= self.median_minutes)
        score = log(limit_minutes / self.median_minutes) / self.log_deviation_ratio
        if self.cases is None:
            return float(ndtr(score))
        return float(stdtr(self.cases - 1, score / sqrt(1 + 1 / self.cases)))

    def mean_overrun_minutes(self, limit_minutes: float) -> float:
        r"""Return by how much a limit is overrun on average, lists in time counted as 0.

        Notes
        -----
        :math:`m\,\Phi((\mu + s^2 - \ln L)/s) - L\,\Phi((\mu - \ln L)/s)`, for a law that
        counts as known.
        """
        spread = self.log_deviation_ratio
        if spread == 0:
            return max(0.0, self.median_minutes - limit_minutes)
        gap = log(self.median_minutes / limit_minutes)
        late = self.mean_minutes * float(ndtr((gap + spread**2) / spread))
        return late - limit_minutes * float(ndtr(gap / spread))


def from_mean_and_deviation(
    mean_minutes: float, deviation_minutes: float, cases: int | None = None
) -> LogNormal:
    """Return the law of a mean and a standard deviation [min]."""
    square = log(1 + (deviation_minutes / mean_minutes) ** 2)
    return LogNormal(
        median_minutes=mean_minutes * exp(-square / 2),
        log_deviation_ratio=sqrt(square),
        cases=cases,
    )


def from_quantiles(
    low_minutes: float, high_minutes: float, between_prob: float, cases: int | None = None
) -> LogNormal:
    """Return the law whose middle share lies between two times [min]."""
    if not 0 < low_minutes <= high_minutes or not 0 < between_prob < 1:
        msg = (
            f"a time of {low_minutes} to {high_minutes} minutes with the share {between_prob} was "
            "given; allowed are times above 0, the lower first, and a share between 0 and 1"
        )
        raise ScheduleError(msg)
    score = float(ndtri(0.5 + between_prob / 2))
    return LogNormal(
        median_minutes=sqrt(low_minutes * high_minutes),
        log_deviation_ratio=log(high_minutes / low_minutes) / (2 * score),
        cases=cases,
    )


def from_span(hours: Span, share: float = 1.0) -> LogNormal:
    """Return the law of a technique's hours in theatre, or of a share of them in one stage.

    Notes
    -----
    The span is taken as the middle 80 %, a working assumption of this program.
    """
    factor = _MINUTES_AN_HOUR * share
    return from_quantiles(hours.low * factor, hours.high * factor, SPAN_HOLDS_PROB)


def sum_fenton_wilkinson_1960(parts: Sequence[LogNormal]) -> LogNormal:
    """Return the log-normal law with mean and variance of a sum of independent times.

    Notes
    -----
    Moment matching, [fenton-1960]_ (from memory). Used for lists in this program.
    """
    mean = sum(part.mean_minutes for part in parts)
    variance = sum(part.deviation_minutes**2 for part in parts)
    return from_mean_and_deviation(mean, sqrt(variance))


def sum_lo_2013(parts: Sequence[LogNormal]) -> LogNormal:
    r"""Return the sum by another approximation, kept as a check of the first.

    Notes
    -----
    :math:`s^2 = \sum (s_i m_i)^2 / M^2`, [lo-2013]_, as its free program prints it.
    """
    mean = sum(part.mean_minutes for part in parts)
    square = sum((part.log_deviation_ratio * part.mean_minutes) ** 2 for part in parts) / mean**2
    return LogNormal(median_minutes=mean * exp(-square / 2), log_deviation_ratio=sqrt(square))


add_up = sum_fenton_wilkinson_1960


def later_of_two(one: LogNormal, other: LogNormal) -> tuple[float, float]:
    r"""Return the mean of the later of two independent times [min], and P(the first is later).

    Notes
    -----
    With :math:`\theta^2 = s_1^2 + s_2^2`: :math:`m_1 \Phi((\mu_1 - \mu_2 + s_1^2)/\theta) +
    m_2 \Phi((\mu_2 - \mu_1 + s_2^2)/\theta)`. It exceeds both means.
    """
    spread = sqrt(one.log_deviation_ratio**2 + other.log_deviation_ratio**2)
    gap = log(one.median_minutes / other.median_minutes)
    first = one.mean_minutes * float(ndtr((gap + one.log_deviation_ratio**2) / spread))
    second = other.mean_minutes * float(ndtr((other.log_deviation_ratio**2 - gap) / spread))
    return first + second, float(ndtr(gap / spread))


def drawn(
    parts: Sequence[LogNormal], rng: np.random.Generator, draws: int
) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Return draws of each time, one row per draw and one column per part [min]."""
    mu = np.array([log(part.median_minutes) for part in parts])
    spread = np.array([part.log_deviation_ratio for part in parts])
    freedom = [part.cases for part in parts]
    scores = rng.standard_normal((draws, len(parts)))
    for column, cases in enumerate(freedom):
        if cases is not None:
            chance = rng.standard_t(cases - 1, draws)
            scores[:, column] = chance * sqrt(1 + 1 / cases)
    found: np.ndarray[tuple[int, int], np.dtype[np.float64]] = np.exp(mu + spread * scores)
    return found
