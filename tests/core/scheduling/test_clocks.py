"""Local clocks, summer time, midnight, leap days and other zones become steps and come back."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.calendars import (
    EVERY_DAY,
    WHOLE_DAYS,
    Calendar,
    DaysOff,
    Opening,
    Taken,
    Weekday,
)
from thumbwright.core.scheduling.clocks import STEP_MINUTES, Grid, grid_from, moment_of, zone_of

VIENNA = "Europe/Vienna"


def minutes_open(calendar: Calendar, first: date, weeks: int) -> float:
    grid = grid_from(first, calendar.zone, weeks)
    return sum(end - begin for begin, end in calendar.open(grid)) * STEP_MINUTES


def test_a_skipped_hour_means_as_many_minutes_after_the_jump() -> None:
    by_hand = datetime(2026, 3, 29, 3, 30)  # noqa: DTZ001  local clock after the jump
    found = moment_of(date(2026, 3, 29), time(2, 30), VIENNA).astimezone(zone_of(VIENNA))
    assert found.replace(tzinfo=None) == by_hand


def test_an_hour_that_comes_twice_means_its_first_coming() -> None:
    first = moment_of(date(2026, 10, 25), time(2, 30), VIENNA)
    assert first == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    second = moment_of(date(2026, 10, 25), time(2, 30, fold=1), VIENNA)
    assert second - first == timedelta(hours=1)


@pytest.mark.parametrize(
    ("day", "by_hand_hours"),
    [(date(2026, 3, 29), 23), (date(2026, 10, 25), 25), (date(2026, 6, 1), 24)],
)
def test_a_whole_day_has_the_hours_that_the_clock_gives_it(day: date, by_hand_hours: int) -> None:
    calendar = Calendar(
        zone=VIENNA, hours=(WHOLE_DAYS,), only=(DaysOff(first=day, last=day, why=""),)
    )
    assert minutes_open(calendar, day - timedelta(days=1), 1) == by_hand_hours * 60


def test_hours_over_midnight_end_on_the_next_day_and_cross_the_change_of_clock() -> None:
    night = Opening(days=(Weekday.SATURDAY,), opens=time(22), closes=time(6))
    calendar = Calendar(zone=VIENNA, hours=(night,))
    assert minutes_open(calendar, date(2026, 3, 27), 1) == 7 * 60
    assert minutes_open(calendar, date(2026, 10, 23), 1) == 9 * 60
    assert minutes_open(calendar, date(2026, 6, 5), 1) == 8 * 60


def test_a_leap_day_is_a_day_like_any_other() -> None:
    leap = date(2028, 2, 29)
    calendar = Calendar(
        zone=VIENNA, hours=(WHOLE_DAYS,), only=(DaysOff(first=leap, last=leap, why=""),)
    )
    grid = grid_from(date(2028, 2, 28), VIENNA, 1)
    ((begin, end),) = calendar.open(grid)
    assert grid.local(begin, VIENNA).date() == leap
    assert grid.local(end, VIENNA).date() == date(2028, 3, 1)


def test_the_hours_of_somebody_in_another_zone_fall_where_they_are_here() -> None:
    guardian = Calendar(
        zone="Asia/Kolkata", hours=(Opening(days=EVERY_DAY, opens=time(9), closes=time(17)),)
    )
    grid = grid_from(date(2026, 11, 30), VIENNA, 1)
    first = next(span for span in guardian.open(grid) if span[0] > 0)
    by_hand = time(4, 30)  # 9:00 in Kolkata is 3:30 in universal time, 4:30 in Vienna in winter
    assert grid.local(first[0], VIENNA).time() == by_hand


def test_days_off_and_bookings_are_cut_out_and_only_names_the_days_that_count() -> None:
    base = Calendar(zone=VIENNA, hours=(Opening(days=EVERY_DAY, opens=time(8), closes=time(12)),))
    day = date(2026, 12, 2)
    off = DaysOff(first=day, last=day, why="holiday")
    noon = Taken(
        begins=moment_of(day, time(11), VIENNA), ends=moment_of(day, time(13), VIENNA), what="other"
    )
    assert minutes_open(base, day, 1) == 7 * 240
    closed = Calendar(zone=VIENNA, hours=base.hours, days_off=(off,))
    assert minutes_open(closed, day, 1) == 6 * 240
    booked = Calendar(zone=VIENNA, hours=base.hours, taken=(noon,))
    assert minutes_open(booked, day, 1) == 7 * 240 - 60
    alone = Calendar(zone=VIENNA, hours=base.hours, only=(off,))
    assert minutes_open(alone, day, 1) == 240


def test_a_week_across_the_change_of_clock_keeps_local_hours() -> None:
    calendar = Calendar(
        zone=VIENNA, hours=(Opening(days=EVERY_DAY, opens=time(8), closes=time(9)),)
    )
    grid = grid_from(date(2026, 3, 26), VIENNA, 1)
    clocks = {grid.local(begin, VIENNA).time() for begin, _ in calendar.open(grid)}
    assert clocks == {time(8)}


def test_floor_and_ceiling_meet_at_the_edge_of_a_step() -> None:
    grid = Grid(origin=datetime(2026, 1, 1, tzinfo=UTC), steps=10)
    edge, within = grid.origin + timedelta(minutes=10), grid.origin + timedelta(minutes=12)
    assert (grid.floor(edge), grid.ceiling(edge)) == (2, 2)
    assert (grid.floor(within), grid.ceiling(within)) == (2, 3)
    assert grid.floor(grid.origin - timedelta(minutes=1)) == -1


def test_what_cannot_be_meant_is_refused_in_words() -> None:
    with pytest.raises(ScheduleError, match="time zone 'Europe/Nowhere' was given; allowed"):
        Calendar(zone="Europe/Nowhere", hours=())
    with pytest.raises(ScheduleError, match="last day not before the first"):
        DaysOff(first=date(2026, 2, 1), last=date(2026, 1, 1), why="x")
    with pytest.raises(ScheduleError, match="moments with a time zone"):
        Taken(begins=datetime(2026, 1, 1), ends=datetime(2026, 1, 2), what="x")  # noqa: DTZ001
    with pytest.raises(ScheduleError, match="at least one day of the week"):
        Opening(days=(), opens=time(8), closes=time(9))
    with pytest.raises(ScheduleError, match="origin in universal time"):
        Grid(origin=datetime(2026, 1, 1), steps=1)  # noqa: DTZ001
