"""Intervals for one share are those of print and of another program."""

from collections.abc import Callable

import pytest
from statsmodels.stats.proportion import proportion_confint
from tests.core.evidence.worked_arms import table

from thumbwright.core.evidence.intervals import (
    ShareInterval,
    clopper_pearson_1934,
    jeffreys_interval,
    wilson_1927,
)
from thumbwright.core.evidence.study import Counted
from thumbwright.core.foundations.errors import KnowledgeError

Method = Callable[[Counted], ShareInterval]
COUNTS = [(0, 20), (0, 30), (1, 29), (5, 25), (7, 50), (15, 148), (81, 263), (20, 20)]
METHODS = [(clopper_pearson_1934, "beta"), (wilson_1927, "wilson"), (jeffreys_interval, "jeffreys")]


@pytest.mark.parametrize("row", table("exact_interval.csv"))
def test_the_exact_interval_is_the_printed_one(row: dict[str, str]) -> None:
    published_low, published_high = float(row["low_share"]), float(row["high_share"])
    found = clopper_pearson_1934(Counted(events=int(row["events"]), total=int(row["total"])))
    assert found.low_share == pytest.approx(published_low, abs=0.5e-7)
    assert found.high_share == pytest.approx(published_high, abs=0.5e-7)


@pytest.mark.parametrize(("method", "name"), METHODS)
@pytest.mark.parametrize(("events", "total"), COUNTS)
def test_each_interval_is_that_of_another_program(
    method: Method, name: str, events: int, total: int
) -> None:
    """Statsmodels 0.15; where it leaves the edge of Jeffreys' as it falls, ours is 0 or 1."""
    found = method(Counted(events=events, total=total))
    independent_low, independent_high = proportion_confint(events, total, method=name)
    if events > 0:
        assert found.low_share == pytest.approx(independent_low, abs=1e-9)
    if events < total:
        assert found.high_share == pytest.approx(independent_high, abs=1e-9)
    assert found.share == events / total
    assert (found.low_share == 0.0) is (events == 0)
    assert (found.high_share == 1.0) is (events == total)


@pytest.mark.parametrize(("events", "total"), COUNTS)
def test_the_exact_interval_holds_both_of_the_others_but_for_a_hair(
    events: int, total: int
) -> None:
    counted = Counted(events=events, total=total)
    exact = clopper_pearson_1934(counted)
    for other in (wilson_1927(counted), jeffreys_interval(counted)):
        width = exact.high_share - exact.low_share
        assert other.high_share - other.low_share < width


def test_an_interval_for_a_level_that_is_no_probability_is_refused() -> None:
    with pytest.raises(KnowledgeError, match=r"probability 95.*between 0 and 1; 0.95 is usual"):
        wilson_1927(Counted(events=1, total=2), level_prob=95)
