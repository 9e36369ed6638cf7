"""From the clock on the wall to steps of one common time, and back.

All reckoning is done in steps of five minutes of universal time, which has neither summer time
nor holes. Local time, with the name of its zone, appears only where people say or read it.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from thumbwright.core.foundations.errors import ScheduleError

STEP_MINUTES = 5
"""Length of one step."""
STEPS_A_DAY = 24 * 60 // STEP_MINUTES
_STEP = timedelta(minutes=STEP_MINUTES)


def zone_of(name: str) -> ZoneInfo:
    """Return the time zone of a name such as "Europe/Vienna".

    Raises
    ------
    ScheduleError
        If no zone has this name.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as fault:
        msg = (
            f"the time zone '{name}' was given; allowed is a name of the common list of zones such "
            "as 'Europe/Vienna' or 'UTC'; correct the name"
        )
        raise ScheduleError(msg) from fault


def moment_of(day: date, clock: time, zone: str) -> datetime:
    """Return a local day and clock as a moment of universal time.

    Notes
    -----
    An hour that is skipped in spring means as many minutes after the jump; an hour that comes
    twice in autumn means its first coming, unless ``clock.fold`` says the second.

    Examples
    --------
    >>> moment_of(date(2026, 3, 29), time(2, 30), "Europe/Vienna").isoformat()
    '2026-03-29T01:30:00+00:00'
    """
    return datetime.combine(day, clock, tzinfo=zone_of(zone)).astimezone(UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The steps in which a booking is reckoned: from an origin, so many of them."""

    origin: datetime
    """First moment, in universal time."""
    steps: int

    def __post_init__(self) -> None:
        """Refuse an origin without a zone and a time of no length."""
        if self.origin.utcoffset() != timedelta(0) or self.steps < 1:
            msg = (
                f"a time from {self.origin} with {self.steps} steps was given; allowed is an "
                "origin in universal time and at least one step; convert the origin first"
            )
            raise ScheduleError(msg)

    def floor(self, moment: datetime) -> int:
        """Return the step in which a moment lies; before the origin it is negative. [steps]."""
        return (moment - self.origin) // _STEP

    def ceiling(self, moment: datetime) -> int:
        """Return the first step that begins at a moment or after it. [steps]."""
        return -((self.origin - moment) // _STEP)

    def moment(self, step: int) -> datetime:
        """Return when a step begins, in universal time."""
        return self.origin + step * _STEP

    def local(self, step: int, zone: str) -> datetime:
        """Return when a step begins by the clock of a zone."""
        return self.moment(step).astimezone(zone_of(zone))

    def days(self, zone: str) -> list[date]:
        """Return the local days that the steps touch, with one more on either side."""
        first = self.local(0, zone).date() - timedelta(days=1)
        last = self.local(self.steps, zone).date() + timedelta(days=1)
        return [first + timedelta(days=count) for count in range((last - first).days + 1)]


def steps_of(days: float) -> int:
    """Return a number of days in steps, rounded to the nearest [steps].

    Examples
    --------
    >>> steps_of(1), steps_of(0.5)
    (288, 144)
    """
    return round(days * STEPS_A_DAY)


def grid_from(first: date, zone: str, weeks: int) -> Grid:
    """Return a grid that begins with a local day and lasts so many weeks."""
    return Grid(origin=moment_of(first, time(0), zone), steps=weeks * 7 * STEPS_A_DAY)
