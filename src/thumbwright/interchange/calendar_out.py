"""Bookings as a calendar file that other calendars read: iCalendar, RFC 5545 [rfc-5545]_.

Each time zone that is used is written out with the changes of its clock, so that the file means
the same where zones are not known by name. Nothing in a title tells of the patient, the finding
or the side, because calendars are seen by many.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.clocks import zone_of
from thumbwright.core.scheduling.schedule import Booking, HeldReserve, Schedule
from thumbwright.core.scheduling.treatment import StepKind

MOST_OCTETS = 75
"""Longest line without its end, in octets."""
_PRODUCT = "-//thumbwright//bookings//EN"
_PLAIN = {
    StepKind.OPERATION: "Stay in hospital",
    StepKind.OBSERVATION: "Stay in hospital",
    StepKind.ADMISSION: "Coming to hospital",
    StepKind.DISCHARGE: "Going home",
}
_DAY_BEFORE = timedelta(days=1)
_HOURS_BEFORE = timedelta(hours=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarEvent:
    """One entry of a calendar."""

    uid: str
    """Tells the entry from all others for ever; says nothing of the person."""
    begins: datetime
    ends: datetime
    title: str
    description: str = ""
    alarms: tuple[timedelta, ...] = ()
    """How long before the beginning it rings."""
    sequence: int = 0
    """Raised by one with each change."""
    cancelled: bool = False

    def __post_init__(self) -> None:
        """Refuse an entry that no calendar would take."""
        zoned = self.begins.tzinfo is not None and self.ends.tzinfo is not None
        if not (self.uid and zoned and self.ends > self.begins and self.sequence >= 0):
            msg = (
                f"the calendar entry '{self.uid}' was given from {self.begins} to {self.ends}, "
                f"change {self.sequence}; allowed are an identifier, moments with a time zone, the "
                "end later, and a change from 0 upwards; correct it"
            )
            raise ScheduleError(msg)


def events_of(
    booked: Schedule, *, case_uid: str, sequence: int = 0, plain: bool = True
) -> tuple[CalendarEvent, ...]:
    """Return a booking as entries of a calendar.

    Parameters
    ----------
    booked
        The booking.
    case_uid
        A random word of the case; no name and no number of the patient.
    sequence
        How often it was changed. [-]
    plain
        Whether titles keep silent about what is done, as a patient's calendar should.
    """
    entries = [_event(one, case_uid, sequence, plain=plain) for one in booked.bookings]
    if not plain:
        entries += [_held(one, case_uid, sequence) for one in booked.reserves]
    return tuple(entries)


def calendar_text(events: Sequence[CalendarEvent], *, zone: str, made_at: datetime) -> bytes:
    """Write entries as an iCalendar file.

    Parameters
    ----------
    events
        The entries.
    zone
        Time zone in which they are written, such as "Europe/Vienna".
    made_at
        When the file is made.

    Returns
    -------
    bytes
        UTF-8; lines end in CR LF and hold at most 75 octets.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{_PRODUCT}", "CALSCALE:GREGORIAN"]
    if zone != "UTC" and events:
        years = [moment.astimezone(UTC).year for e in events for moment in (e.begins, e.ends)]
        lines += _zone_lines(zone, min(years), max(years))
    for event in events:
        lines += _event_lines(event, zone, made_at)
    lines.append("END:VCALENDAR")
    return b"".join(folded(line) for line in lines)


def folded(line: str) -> bytes:
    r"""Break a line into pieces of at most 75 octets, never inside a character.

    Examples
    --------
    >>> [len(piece) for piece in folded("SUMMARY:" + "a" * 100).split(b"\r\n")]
    [75, 34, 0]
    """
    pieces, piece = [], b""
    for letter in line:
        octets = letter.encode("utf-8")
        if len(piece) + len(octets) > MOST_OCTETS:
            pieces.append(piece)
            piece = b" "
        piece += octets
    return b"\r\n".join([*pieces, piece]) + b"\r\n"


def escaped(text: str) -> str:
    r"""Return a text with the signs escaped that mean something in a calendar file.

    Examples
    --------
    >>> escaped("hand; foot, both\nand more")
    'hand\\; foot\\, both\\nand more'
    """
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    for sign, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        plain = plain.replace(sign, written)
    return "".join(letter for letter in plain if letter == "\t" or ord(letter) >= 32)


def _event(one: Booking, case_uid: str, sequence: int, *, plain: bool) -> CalendarEvent:
    title = one.step.name[:1].upper() + one.step.name[1:]
    return CalendarEvent(
        uid=f"{case_uid}-{one.step.key}",
        begins=one.begins,
        ends=one.ends,
        title=_PLAIN.get(one.step.kind, "Appointment in hospital") if plain else title,
        description="" if plain else f"With: {', '.join(one.booked_with) or 'nobody named'}.",
        alarms=(_DAY_BEFORE, _HOURS_BEFORE) if one.step.kind.is_appointment else (_DAY_BEFORE,),
        sequence=sequence,
    )


def _held(one: HeldReserve, case_uid: str, sequence: int) -> CalendarEvent:
    return CalendarEvent(
        uid=f"{case_uid}-{one.for_step}-reserve",
        begins=one.begins,
        ends=one.ends,
        title="Reserve held for a return to theatre",
        description="Microsurgeon, theatre and instruments can be had at any hour.",
        sequence=sequence,
    )


def _event_lines(event: CalendarEvent, zone: str, made_at: datetime) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{escaped(event.uid)}"
    yield f"DTSTAMP:{_universal(made_at)}"
    yield f"DTSTART{_moment(event.begins, zone)}"
    yield f"DTEND{_moment(event.ends, zone)}"
    yield f"SUMMARY:{escaped(event.title)}"
    if event.description:
        yield f"DESCRIPTION:{escaped(event.description)}"
    yield f"SEQUENCE:{event.sequence}"
    yield f"STATUS:{'CANCELLED' if event.cancelled else 'CONFIRMED'}"
    for before in () if event.cancelled else event.alarms:
        yield from ("BEGIN:VALARM", "ACTION:DISPLAY", f"DESCRIPTION:{escaped(event.title)}")
        yield from (f"TRIGGER:{_earlier(before)}", "END:VALARM")
    yield "END:VEVENT"


def _moment(moment: datetime, zone: str) -> str:
    if zone == "UTC":
        return f":{_universal(moment)}"
    return f";TZID={zone}:{moment.astimezone(zone_of(zone)):%Y%m%dT%H%M%S}"


def _universal(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def _earlier(before: timedelta) -> str:
    minutes = int(before.total_seconds() // 60)
    return f"-PT{minutes // 60}H" if minutes % 60 == 0 else f"-PT{minutes}M"


def _zone_lines(zone: str, first: int, last: int) -> Iterator[str]:
    yield "BEGIN:VTIMEZONE"
    yield f"TZID:{zone}"
    clock = zone_of(zone)
    start = datetime(first - 1, 1, 1, tzinfo=UTC).astimezone(clock)
    yield from _observance(start, start.utcoffset() or timedelta(), start)
    for before, after in _changes(zone, first - 1, last + 1):
        yield from _observance(after, before.utcoffset() or timedelta(), before)
    yield "END:VTIMEZONE"


def _observance(after: datetime, offset_before: timedelta, before: datetime) -> Iterator[str]:
    """Write one stretch of unchanged clock; it begins by the clock that held before."""
    begins = after.astimezone(UTC).replace(tzinfo=None) + (before.utcoffset() or timedelta())
    part = "DAYLIGHT" if after.dst() else "STANDARD"
    yield f"BEGIN:{part}"
    yield f"DTSTART:{begins:%Y%m%dT%H%M%S}"
    yield f"TZOFFSETFROM:{_offset(offset_before)}"
    yield f"TZOFFSETTO:{_offset(after.utcoffset() or timedelta())}"
    yield f"TZNAME:{escaped(after.tzname() or part)}"
    yield f"END:{part}"


def _changes(zone: str, first: int, last: int) -> Iterator[tuple[datetime, datetime]]:
    """Yield the moments before and at each change of the clock, found by halving a day."""
    clock = zone_of(zone)
    moment, end = datetime(first, 1, 1, tzinfo=UTC), datetime(last + 1, 1, 1, tzinfo=UTC)
    while moment < end:
        low, high = moment, moment + timedelta(days=1)
        if low.astimezone(clock).utcoffset() != high.astimezone(clock).utcoffset():
            while high - low > timedelta(minutes=1):
                middle = low + (high - low) / 2
                same = low.astimezone(clock).utcoffset() == middle.astimezone(clock).utcoffset()
                low, high = (middle, high) if same else (low, middle)
            at = high.replace(second=0, microsecond=0)
            yield (at - timedelta(minutes=1)).astimezone(clock), at.astimezone(clock)
        moment += timedelta(days=1)


def _offset(offset: timedelta) -> str:
    minutes = int(offset.total_seconds() // 60)
    sign = "-" if minutes < 0 else "+"
    return f"{sign}{abs(minutes) // 60:02d}{abs(minutes) % 60:02d}"
