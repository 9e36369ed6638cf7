"""The model of the counts themselves against brute integration."""

from math import exp, pi, sqrt

import numpy as np
import pytest
from scipy import integrate, stats
from scipy.special import expit
from tests.core.evidence.worked_arms import counted

from thumbwright.core.evidence.binomial_normal import log_likelihood, pooled_binomial_normal_glmm
from thumbwright.core.foundations.errors import KnowledgeError

RARE = counted((1, 29), (0, 21), (9, 60), (2, 75), (12, 110), (0, 18), (4, 150), (1, 33))
ALIKE = counted((1, 29), (1, 21), (3, 60), (3, 75), (5, 110), (1, 18), (6, 150), (1, 33))


def brute_log_likelihood(middle: float, sigma: float) -> float:
    """Integrate each series' probability over its own log odds, by scipy's adaptive rule."""
    total = 0.0
    for one in RARE:

        def at(u: float, x: int = one.events, n: int = one.total) -> float:
            share = float(expit(middle + sigma * u))
            return float(stats.binom.pmf(x, n, share)) * exp(-(u**2) / 2) / sqrt(2 * pi)

        total += float(np.log(integrate.quad(at, -9.0, 9.0, epsabs=0.0, limit=200)[0]))
    return total


@pytest.mark.parametrize(
    ("middle", "sigma"), [(-3.1, 0.76), (-3.1, 0.05), (-2.0, 1.5), (-4.5, 2.0), (0.0, 1.0)]
)
def test_the_likelihood_is_that_of_brute_integration(middle: float, sigma: float) -> None:
    independent = brute_log_likelihood(middle, sigma)
    assert log_likelihood(middle, sigma, RARE) == pytest.approx(independent, abs=5e-5)


def test_nothing_on_a_grid_about_it_is_likelier() -> None:
    pooled = pooled_binomial_normal_glmm(RARE)
    spread = pooled.variance_between**0.5
    best = brute_log_likelihood(pooled.value, spread)
    for step in (-0.05, 0.05):
        assert brute_log_likelihood(pooled.value + step, spread) < best
        assert brute_log_likelihood(pooled.value, spread + step) < best


def test_rare_events_are_pooled_as_was_worked_out_apart() -> None:
    """Worked out apart from this program, by adaptive quadrature, in the digits that stand here."""
    independent_share, independent_variance = 0.04296, 0.5795
    independent_ends = (0.01953, 0.09189)
    pooled = pooled_binomial_normal_glmm(RARE)
    assert expit(pooled.value) == pytest.approx(independent_share, abs=1e-5)
    assert pooled.variance_between == pytest.approx(independent_variance, abs=1e-4)
    assert tuple(expit(pooled.interval())) == pytest.approx(independent_ends, abs=1e-5)


def test_series_that_do_not_differ_are_simply_added() -> None:
    """By hand: 21 of 496; the doubt of its log odds is (496 p (1 - p))^-1/2."""
    by_hand_share = 21 / 496
    by_hand_error = (496 * by_hand_share * (1 - by_hand_share)) ** -0.5
    pooled = pooled_binomial_normal_glmm(ALIKE)
    assert pooled.variance_between == 0.0
    assert expit(pooled.value) == pytest.approx(by_hand_share, rel=1e-9)
    assert pooled.standard_error == pytest.approx(by_hand_error, rel=1e-9)


def test_one_event_in_a_tiny_series_does_not_run_away() -> None:
    pooled = pooled_binomial_normal_glmm(counted((0, 50), (0, 1000), (1, 2)))
    assert pooled.variance_between == pytest.approx(4.0)
    assert -12 < pooled.value < -2
    assert np.isfinite(pooled.standard_error)


@pytest.mark.parametrize("pairs", [((0, 9), (0, 7)), ((9, 9), (7, 7))])
def test_where_nobody_or_everybody_had_it_there_is_no_highest_likelihood(
    pairs: tuple[tuple[int, int], ...],
) -> None:
    with pytest.raises(KnowledgeError, match=r"of 16.*state the exact interval instead"):
        pooled_binomial_normal_glmm(counted(*pairs))
