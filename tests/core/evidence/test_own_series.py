"""The unit's own counts against what is printed, and shares told as frequencies."""

import numpy as np
import pytest
from scipy import integrate, stats
from scipy.special import expit

from thumbwright.core.evidence.frequencies import denominator_for, in_words, of_people
from thumbwright.core.evidence.intervals import ShareInterval
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.own_series import OwnSeries, with_own_series
from thumbwright.core.evidence.share_doubt import (
    BetaShare,
    LogitNormal,
    from_counts,
    in_another_unit,
    interval_of,
    spread,
    updated,
)
from thumbwright.core.evidence.study import Counted
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError

PRIOR = LogitNormal(middle_log_odds=-3.2, sd_log_odds=0.7)


def own(events: int, total: int, technique: str = "second_toe") -> OwnSeries:
    return OwnSeries(
        technique=technique,
        outcome=Outcome.LOSS,
        counted=Counted(events=events, total=total),
        period="2021 to 2026",
    )


def test_beta_and_counts_give_the_beta_of_arithmetic() -> None:
    by_hand = BetaShare(events=2.5, others=45.5)
    assert updated(BetaShare(events=1.5, others=30.5), Counted(events=1, total=16)) == by_hand


@pytest.mark.parametrize(("events", "total"), [(0, 12), (4, 40), (9, 60)])
def test_normal_log_odds_and_counts_give_what_integration_gives(events: int, total: int) -> None:
    """Moments of prior times likelihood, by scipy's adaptive rule."""

    def weight(at: float) -> float:
        prior = stats.norm.pdf(at, PRIOR.middle_log_odds, PRIOR.sd_log_odds)
        return float(prior * stats.binom.pmf(events, total, expit(at)))

    def moment(power: int) -> float:
        found = integrate.quad(lambda at: weight(at) * at**power, -9.0, 3.0, limit=200)[0]
        return float(found)

    whole = moment(0)
    independent_middle = moment(1) / whole
    independent_sd = (moment(2) / whole - independent_middle**2) ** 0.5
    found = updated(PRIOR, Counted(events=events, total=total))
    assert isinstance(found, LogitNormal)
    assert found.middle_log_odds == pytest.approx(independent_middle, abs=1e-4)
    assert found.sd_log_odds == pytest.approx(independent_sd, abs=1e-4)


def test_own_counts_pull_the_printed_share_towards_themselves_and_narrow_it() -> None:
    found = with_own_series(PRIOR, own(12, 60), "second_toe", Outcome.LOSS)
    assert isinstance(found.before, ShareInterval)
    assert found.before.share < found.after.share < 12 / 60
    width = found.after.high_share / found.after.low_share
    assert width < found.before.high_share / found.before.low_share


def test_ten_good_cases_hardly_move_a_share_of_three_in_a_hundred() -> None:
    found = with_own_series(PRIOR, own(0, 10), "second_toe", Outcome.LOSS)
    assert isinstance(found.before, ShareInterval)
    assert 0.7 * found.before.share < found.after.share < found.before.share


def test_where_print_says_nothing_own_counts_stand_alone() -> None:
    found = with_own_series(Unknown(reason="none"), own(2, 30), "second_toe", Outcome.LOSS)
    assert isinstance(found.before, Unknown)
    assert found.doubt == from_counts(Counted(events=2, total=30))


def test_own_counts_of_something_else_are_refused() -> None:
    with pytest.raises(KnowledgeError, match="loss of pollicization were given for loss of second"):
        with_own_series(PRIOR, own(0, 9, "pollicization"), "second_toe", Outcome.LOSS)


def test_a_spread_share_has_the_moments_of_its_log_odds() -> None:
    """Independent: a million draws of the beta."""
    counts = BetaShare(events=20.5, others=53.5)
    found = spread(counts, 0.0)
    drawn = counts.draws(np.random.default_rng(5), 1_000_000)
    log_odds = np.log(drawn / (1 - drawn))
    assert found.middle_log_odds == pytest.approx(float(log_odds.mean()), abs=2e-3)
    assert found.sd_log_odds == pytest.approx(float(log_odds.std()), abs=2e-3)


def test_another_unit_differs_as_far_as_the_counts_of_these_ones_told_anything() -> None:
    """By hand: nothing told, nothing added; variance from 0.49 to 0.09 adds 0.4/0.49 of 0.25."""
    told = LogitNormal(middle_log_odds=-3.0, sd_log_odds=0.3)
    by_hand_sd = (0.09 + 0.25 * 0.40 / 0.49) ** 0.5
    assert in_another_unit(PRIOR, PRIOR, 0.5) == PRIOR
    found = in_another_unit(PRIOR, told, 0.5)
    assert isinstance(found, LogitNormal)
    assert found.sd_log_odds == pytest.approx(by_hand_sd)
    rare = BetaShare(events=0.5, others=40.5)
    assert in_another_unit(BetaShare(events=0.5, others=10.5), rare, 0.5) == rare
    common = BetaShare(events=24.5, others=58.5)
    wider = interval_of(in_another_unit(BetaShare(events=1.0, others=2.5), common, 0.5))
    assert wider.high_share > interval_of(common).high_share + 0.05


@pytest.mark.parametrize("doubt", [PRIOR, BetaShare(events=3.5, others=60.5)])
def test_draws_have_the_stated_quantiles(doubt: LogitNormal | BetaShare) -> None:
    drawn = doubt.draws(np.random.default_rng(2), 200_000)
    stated = interval_of(doubt)
    independent = np.quantile(drawn, (0.025, 0.5, 0.975))
    assert (stated.low_share, stated.share, stated.high_share) == pytest.approx(
        tuple(independent), rel=0.03
    )
    assert doubt.below_prob(np.array([stated.share]))[0] == pytest.approx(0.5)


def share(middle: float, low: float = 0.0, high: float = 1.0) -> ShareInterval:
    return ShareInterval(share=middle, low_share=low, high_share=high)


def test_all_shares_of_a_table_are_told_of_as_many_people() -> None:
    assert denominator_for([share(0.2), share(0.03)]) == 100
    assert denominator_for([share(0.2), share(0.003)]) == 1000
    assert denominator_for([share(0.2), share(0.0)]) == 100


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (share(0.028, 0.003, 0.098), "3 of 100 (fewer than 1 to 10)"),
        (share(0.0, 0.0, 0.116), "none of 100 (none to 12)"),
        (share(0.9999, 0.8, 1.0), "more than 99 of 100 (80 to all)"),
    ],
)
def test_a_share_reads_as_people(found: ShareInterval, words: str) -> None:
    assert in_words(found, 100) == words


def test_what_is_merely_rare_is_never_called_none() -> None:
    assert of_people(1e-9, 1000) == "fewer than 1"
