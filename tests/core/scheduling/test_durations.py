"""Log-normal times and their sums agree with print, with other programs and with draws."""

import csv
from pathlib import Path

import numpy as np
import pytest

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.scheduling.durations import (
    LogNormal,
    drawn,
    from_mean_and_deviation,
    from_quantiles,
    from_span,
    later_of_two,
    sum_fenton_wilkinson_1960,
    sum_lo_2013,
)
from thumbwright.core.techniques.technique import Span

TABLES = Path(__file__).parents[2] / "published" / "scheduling"
INDEPENDENT = Path(__file__).parents[2] / "independent" / "scheduling"


def rows(name: str) -> list[dict[str, float]]:
    folder = TABLES if (TABLES / name).exists() else INDEPENDENT
    lines = (folder / name).read_text("utf-8").splitlines()
    table = csv.DictReader(line for line in lines if not line.startswith("#"))
    return [{key: float(value) for key, value in row.items()} for row in table]


@pytest.mark.parametrize("row", rows("lognormal_quantiles.csv"), ids=lambda r: f"{r['mean']:.0f}")
def test_quantiles_follow_from_mean_and_deviation(row: dict[str, float]) -> None:
    law = from_mean_and_deviation(row["mean"], row["deviation"])
    assert np.log(law.median_minutes) == pytest.approx(row["mu"], abs=5e-7)
    assert law.log_deviation_ratio == pytest.approx(row["s"], abs=5e-7)
    assert law.mean_minutes == pytest.approx(row["mean"])
    assert law.deviation_minutes == pytest.approx(row["deviation"])
    for share, name in ((0.5, "median"), (0.8, "q80"), (0.9, "q90"), (0.95, "q95")):
        assert law.quantile(share) == pytest.approx(row[name], abs=0.0051)
        assert law.done_within_prob(law.quantile(share)) == pytest.approx(share)


@pytest.mark.parametrize("row", rows("lognormal_sum.csv"), ids=["lognorm"])
def test_the_sum_of_lo_is_that_of_its_program(row: dict[str, float]) -> None:
    parts = [
        LogNormal(median_minutes=np.exp(row[f"mu{n}"]), log_deviation_ratio=row[f"s{n}"])
        for n in (1, 2)
    ]
    law = sum_lo_2013(parts)
    published_mu, published_sigma = row["mu"], row["sigma"]
    assert np.log(law.median_minutes) == pytest.approx(published_mu, abs=5e-8)
    assert law.log_deviation_ratio == pytest.approx(published_sigma, abs=5e-8)
    # Fenton and Wilkinson's sum of the same, computed with another program.
    other = sum_fenton_wilkinson_1960(parts)
    independent_mu, independent_sigma = 5.3574715, 0.1510767
    assert np.log(other.median_minutes) == pytest.approx(independent_mu, abs=5e-8)
    assert other.log_deviation_ratio == pytest.approx(independent_sigma, abs=5e-8)


def test_a_list_of_two_operations_overruns_as_another_program_computed() -> None:
    parts = [from_mean_and_deviation(*pair) for pair in ((360, 90), (30, 10), (60, 20))]
    law = sum_fenton_wilkinson_1960(parts)
    independent_late_prob = 0.3378
    assert law.mean_minutes == pytest.approx(450)
    assert law.deviation_minutes == pytest.approx(92.74, abs=0.005)
    assert 1 - law.done_within_prob(480) == pytest.approx(independent_late_prob, abs=5e-5)


def test_a_chain_of_three_agrees_with_another_program_and_with_draws() -> None:
    parts = [from_mean_and_deviation(*pair) for pair in ((45, 15), (180, 50), (60, 15))]
    law = sum_fenton_wilkinson_1960(parts)
    independent_minutes = (279.96, 328.20, 356.63, 381.96)
    shares = (0.5, 0.8, 0.9, 0.95)
    for share, minutes in zip(shares, independent_minutes, strict=True):
        assert law.quantile(share) == pytest.approx(minutes, abs=0.006)
    played = drawn(parts, np.random.default_rng(11), 200_000).sum(axis=1)
    for share in shares:
        assert np.quantile(played, share) == pytest.approx(law.quantile(share), rel=0.006)


def test_overrun_and_its_mean_are_those_of_another_program_and_of_draws() -> None:
    law = from_mean_and_deviation(360, 90)
    independent_prob, independent_minutes = 0.098265, 6.0936
    assert 1 - law.done_within_prob(480) == pytest.approx(independent_prob, abs=5e-7)
    assert law.mean_overrun_minutes(480) == pytest.approx(independent_minutes, abs=5e-5)
    late = np.maximum(drawn([law], np.random.default_rng(5), 400_000) - 480, 0)
    assert late.mean() == pytest.approx(independent_minutes, abs=4 * late.std() / 400_000**0.5)


def test_the_later_of_two_teams_is_later_than_either_on_average() -> None:
    foot, hand = from_mean_and_deviation(150, 40), from_mean_and_deviation(120, 35)
    mean, prob = later_of_two(foot, hand)
    independent_mean, independent_prob = 159.0385, 0.723141
    assert mean == pytest.approx(independent_mean, abs=5e-5)
    assert prob == pytest.approx(independent_prob, abs=5e-7)
    assert mean > max(foot.mean_minutes, hand.mean_minutes)


def test_few_cases_widen_the_limit_and_many_bring_it_back() -> None:
    known = from_mean_and_deviation(360, 90)
    few, many = (from_mean_and_deviation(360, 90, cases=cases) for cases in (5, 100_000))
    assert few.quantile(0.9) > 1.1 * known.quantile(0.9)
    assert many.quantile(0.9) == pytest.approx(known.quantile(0.9), rel=1e-4)
    # Student's t for 4 degrees of freedom at 90 % is 1.533 in any printed table.
    by_hand = known.median_minutes * np.exp(known.log_deviation_ratio * 1.5332 * (6 / 5) ** 0.5)
    assert few.quantile(0.9) == pytest.approx(by_hand, rel=1e-4)
    assert few.done_within_prob(few.quantile(0.9)) == pytest.approx(0.9)
    played = drawn([few], np.random.default_rng(3), 200_000)
    assert np.quantile(played, 0.9) == pytest.approx(few.quantile(0.9), rel=0.02)


def test_a_span_of_hours_holds_the_middle_of_the_operations() -> None:
    basis = Basis(provenance=Provenance.COMMON_PRACTICE)
    span = Span(low=6, high=14, unit="h", statement=Statement(text="So.", basis=basis))
    law = from_span(span)
    assert law.quantile(0.1) == pytest.approx(360)
    assert law.quantile(0.9) == pytest.approx(840)
    assert from_span(span, 0.5).quantile(0.9) == pytest.approx(420)


def test_a_time_that_is_certain_is_kept_or_not() -> None:
    sure = from_quantiles(60, 60, 0.8)
    assert (sure.done_within_prob(60), sure.done_within_prob(59.9)) == (1, 0)
    assert sure.mean_overrun_minutes(50) == pytest.approx(10)
    assert sure.done_within_prob(0) == 0


def test_what_is_no_time_is_refused() -> None:
    with pytest.raises(ScheduleError, match="allowed is a median above 0"):
        LogNormal(median_minutes=0, log_deviation_ratio=0.2)
    with pytest.raises(ScheduleError, match="at least 2 cases"):
        LogNormal(median_minutes=10, log_deviation_ratio=0.2, cases=1)
    with pytest.raises(ScheduleError, match="the lower first"):
        from_quantiles(20, 10, 0.8)
