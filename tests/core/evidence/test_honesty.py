"""How often the intervals hold the truth, in invented series whose truth is known."""

import numpy as np
import pytest
from scipy.special import expit, logit
from tests.core.evidence.worked_arms import TOE, arms_of

from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pool import UsedShare, pool
from thumbwright.core.evidence.share_doubt import interval_of

ROUNDS = 1500


@pytest.mark.long
@pytest.mark.parametrize(
    ("series", "spread", "share", "least_middle_share", "least_next_share"),
    [
        # series, true spread of log odds, middle share, least share of rounds that must hold
        (1, 0.0, 0.05, 0.95, 0.95),
        (4, 0.0, 0.05, 0.94, 0.95),
        (8, 0.0, 0.05, 0.94, 0.95),
        (1, 0.5, 0.05, 0.85, 0.83),
        (4, 0.5, 0.05, 0.85, 0.91),
        (8, 0.5, 0.05, 0.88, 0.92),
        (14, 0.7, 0.03, 0.88, 0.88),
        (8, 0.5, 0.25, 0.88, 0.92),
    ],
)
def test_intervals_hold_the_truth_about_as_often_as_they_say(
    series: int,
    spread: float,
    share: float,
    least_middle_share: float,
    least_next_share: float,
) -> None:
    """Series of 10 to 150 people; held is the middle, and the share of one more series."""
    rng = np.random.default_rng(20261125)
    middle_held = next_held = 0
    for _ in range(ROUNDS):
        totals = rng.integers(10, 150, series)
        truths = expit(logit(share) + spread * rng.standard_normal(series + 1))
        events = rng.binomial(totals, truths[:-1])
        pairs = [(int(x), int(n)) for x, n in zip(events, totals, strict=True)]
        found = pool(arms_of(*pairs), TOE, Outcome.LOSS).used
        assert isinstance(found, UsedShare)
        beyond = interval_of(found.doubt)
        middle_held += found.interval.low_share <= share <= found.interval.high_share
        next_held += beyond.low_share <= float(truths[-1]) <= beyond.high_share
    assert middle_held / ROUNDS >= least_middle_share
    assert next_held / ROUNDS >= least_next_share
