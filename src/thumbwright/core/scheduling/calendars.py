"""When something is open: weekly hours by the local clock, less days off and what is booked."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import IntEnum

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.clocks import Grid, moment_of, zone_of
from thumbwright.core.scheduling.spans import Spans, joined, met, without


class Weekday(IntEnum):
    """The days of the week, Monday first."""

    MONDAY = 0
    TUESDAY = 1
    WEDNESDAY = 2
    THURSDAY = 3
    FRIDAY = 4
    SATURDAY = 5
    SUNDAY = 6


EVERY_DAY = tuple(Weekday)
WORKING_DAYS = EVERY_DAY[:5]


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """Hours on some days of the week, by the local clock."""

    days: tuple[Weekday, ...]
    opens: time
    closes: time
    """Not later than the opening means on the next day; 00:00 to 00:00 is the whole day."""

    def __post_init__(self) -> None:
        """Refuse hours on no day."""
        if not self.days or self.opens.tzinfo or self.closes.tzinfo:
            msg = (
                f"hours from {self.opens} to {self.closes} were given on {len(self.days)} days; "
                "allowed are plain local clock times on at least one day of the week; the zone "
                "belongs to the calendar"
            )
            raise ScheduleError(msg)

    def on(self, day: date, zone: str) -> tuple[datetime, datetime]:
        """Return the two ends on a day as moments of universal time."""
        ends_on = day + timedelta(days=1) if self.closes <= self.opens else day
        return moment_of(day, self.opens, zone), moment_of(ends_on, self.closes, zone)


WHOLE_DAYS = Opening(days=EVERY_DAY, opens=time(0), closes=time(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysOff:
    """Local days from the first to the last, both included: a holiday, an absence, repairs."""

    first: date
    last: date
    why: str

    def __post_init__(self) -> None:
        """Refuse days that end before they begin."""
        if self.last < self.first:
            msg = (
                f"days off ({self.why}) were given from {self.first} to {self.last}; allowed is a "
                "last day not before the first; exchange them"
            )
            raise ScheduleError(msg)

    def on(self, zone: str) -> tuple[datetime, datetime]:
        """Return the two ends as moments of universal time."""
        return (
            moment_of(self.first, time(0), zone),
            moment_of(self.last + timedelta(days=1), time(0), zone),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A stretch that is booked already."""

    begins: datetime
    ends: datetime
    what: str

    def __post_init__(self) -> None:
        """Refuse moments without a zone, and an end before the beginning."""
        if not (self.begins.tzinfo and self.ends.tzinfo) or self.ends <= self.begins:
            msg = (
                f"a booking ({self.what}) was given from {self.begins} to {self.ends}; allowed are "
                "moments with a time zone, the second later; correct them"
            )
            raise ScheduleError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """Weekly hours in one time zone, less days off and bookings."""

    zone: str
    """Name of the time zone, such as ``Europe/Vienna``."""
    hours: tuple[Opening, ...]
    days_off: tuple[DaysOff, ...] = ()
    taken: tuple[Taken, ...] = ()
    only: tuple[DaysOff, ...] = ()
    """Where any are named, the hours hold on these days alone: a term, a journey."""

    def __post_init__(self) -> None:
        """Refuse a zone that nobody knows."""
        zone_of(self.zone)

    def occurrences(self, grid: Grid) -> tuple[tuple[int, int], ...]:
        """Return each opening by itself, in order, days off left out, bookings not. [steps]."""
        off = self._off(grid)
        found: list[tuple[int, int]] = []
        for day in grid.days(self.zone):
            for hours in self.hours:
                if day.weekday() in hours.days:
                    begins, ends = hours.on(day, self.zone)
                    span = (grid.ceiling(begins), grid.floor(ends))
                    found += met(without((span,), off), ((0, grid.steps),)) if _runs(span) else ()
        return tuple(sorted(found))

    def open(self, grid: Grid) -> Spans:
        """Return when it is open and not booked. [steps]."""
        return without(joined(self.occurrences(grid)), self.booked(grid))

    def booked(self, grid: Grid) -> Spans:
        """Return what is booked. [steps]."""
        return joined((grid.floor(one.begins), grid.ceiling(one.ends)) for one in self.taken)

    def _off(self, grid: Grid) -> Spans:
        off = joined(_steps(one.on(self.zone), grid) for one in self.days_off)
        if not self.only:
            return off
        held = joined(_steps(one.on(self.zone), grid) for one in self.only)
        return joined((*off, *without(((-grid.steps, 3 * grid.steps),), held)))


def _steps(ends: tuple[datetime, datetime], grid: Grid) -> tuple[int, int]:
    return grid.floor(ends[0]), grid.ceiling(ends[1])


def _runs(span: tuple[int, int]) -> bool:
    return span[0] < span[1]
