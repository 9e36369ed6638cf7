"""Forty invented patients who wait, and the lists of twelve weeks."""

from datetime import date, time, timedelta

import numpy as np
from tests.core.scheduling.unit import ZONE, by_day, long_list, unit

from thumbwright.core.scheduling.calendars import Calendar, Opening, Weekday
from thumbwright.core.scheduling.clocks import grid_from
from thumbwright.core.scheduling.durations import from_mean_and_deviation
from thumbwright.core.scheduling.resources import Clinic, TheatreList
from thumbwright.core.scheduling.waiting import ListDay, Reason, Waiting, list_days

FIRST = date(2026, 11, 30)
KINDS = (
    ("transfer of a toe", Reason.FUNCTION, 520, 110, True),
    ("transfer of a toe", Reason.GROWTH, 540, 120, True),
    ("groin flap", Reason.OPEN_WOUND, 165, 45, False),
    ("release of the web", Reason.CONTRACTURE, 90, 30, False),
    ("flap of the tip", Reason.OPEN_WOUND, 75, 25, False),
    ("fixator", Reason.GROWTH, 110, 30, False),
    ("pollicization", Reason.GROWTH, 230, 55, False),
)


def waiting(count: int, number: int = 3) -> tuple[Waiting, ...]:
    """Return patients drawn by a number."""
    rng = np.random.default_rng(number)
    found = []
    for place in range(count):
        name, reason, mean, deviation, flap = KINDS[int(rng.integers(len(KINDS)))]
        stretch = float(rng.uniform(0.85, 1.15))
        found.append(
            Waiting(
                key=f"p{place:02d}",
                operation=name,
                reason=reason,
                length=from_mean_and_deviation(mean * stretch, deviation * stretch),
                since=FIRST - timedelta(days=int(rng.integers(0, 40))),
                joins_vessels=flap,
            )
        )
    return tuple(found)


def lists(weeks: int = 12) -> tuple[ListDay, ...]:
    """Return the lists of some weeks: two long ones and two short ones a week."""
    base = unit()
    more = (
        TheatreList(
            key="long2",
            name="Friday list",
            theatre="t1",
            surgeon="s1",
            calendar=long_list(Weekday.FRIDAY),
        ),
        TheatreList(
            key="short2",
            name="Monday list",
            theatre="t2",
            surgeon="s2",
            calendar=Calendar(
                zone=ZONE,
                hours=(Opening(days=(Weekday.MONDAY,), opens=time(8), closes=time(16)),),
                days_off=by_day().days_off,
            ),
        ),
    )
    both = Clinic(zone=ZONE, resources=base.resources, lists=(*base.lists, *more))
    return list_days(both, grid_from(FIRST, ZONE, weeks + 1))
