"""Bookings as a calendar file: folded and escaped rightly, zones written out, nothing told."""

import io
import warnings
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.core.scheduling.unit import request

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.schedule import Schedule, schedule
from thumbwright.interchange.calendar_out import (
    CalendarEvent,
    calendar_text,
    escaped,
    events_of,
    folded,
)

MADE_AT = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
NOON = datetime(2026, 12, 1, 12, 0, tzinfo=UTC)


def event(**changes: Any) -> CalendarEvent:  # noqa: ANN401  any field
    plain = CalendarEvent(
        uid="a1", begins=NOON, ends=NOON + timedelta(hours=1), title="Appointment"
    )
    return replace(plain, **changes)


def unfolded(data: bytes) -> list[str]:
    return data.replace(b"\r\n ", b"").decode("utf-8").split("\r\n")[:-1]


@pytest.fixture(scope="module")
def booked() -> Schedule:
    found = schedule(request())
    assert isinstance(found, Schedule)
    return found


def test_long_lines_are_folded_at_75_octets_and_never_inside_a_letter() -> None:
    by_hand = [75, 34, 0]
    assert [len(piece) for piece in folded("SUMMARY:" + "a" * 100).split(b"\r\n")] == by_hand
    by_hand_with_accent = [74, 13, 0]
    accent = "SUMMARY:" + "a" * 66 + "\u00e9" + "b" * 10
    assert [len(piece) for piece in folded(accent).split(b"\r\n")] == by_hand_with_accent


@given(st.text(max_size=300))
def test_folding_and_escaping_lose_nothing_that_can_be_printed(text: str) -> None:
    data = folded(f"SUMMARY:{escaped(text)}")
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))
    (line,) = unfolded(data)
    back, rest = "", line.removeprefix("SUMMARY:")
    while rest:
        pair = {"\\\\": "\\", "\\;": ";", "\\,": ",", "\\n": "\n"}.get(rest[:2])
        back, rest = (back + pair, rest[2:]) if pair else (back + rest[0], rest[1:])
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    assert back == "".join(sign for sign in plain if sign in "\t\n" or ord(sign) >= 32)


def test_what_is_required_is_there_once_and_in_pairs(booked: Schedule) -> None:
    events = events_of(booked, case_uid="k3j2", sequence=2)
    lines = unfolded(calendar_text(events, zone="Europe/Vienna", made_at=MADE_AT))
    assert lines[:2] == ["BEGIN:VCALENDAR", "VERSION:2.0"]
    assert lines[-1] == "END:VCALENDAR"
    opened: list[str] = []
    for line in lines:
        name, _, value = line.partition(":")
        if name == "BEGIN":
            opened.append(value)
        if name == "END":
            assert opened.pop() == value
    assert opened == []
    for name in ("UID", "DTSTAMP", "SEQUENCE"):
        assert sum(line.startswith(f"{name}:") for line in lines) == len(events)
    assert sum(line.startswith("DTSTART;TZID=Europe/Vienna:") for line in lines) == len(events)
    alarms = lines.count("BEGIN:VALARM")
    assert alarms == sum(line.startswith("TRIGGER:-PT") for line in lines)
    assert alarms == lines.count("ACTION:DISPLAY")
    assert len({line for line in lines if line.startswith("UID:")}) == len(events)


def test_a_patients_calendar_tells_nothing_of_what_is_done(booked: Schedule) -> None:
    plain = calendar_text(events_of(booked, case_uid="k3"), zone="UTC", made_at=MADE_AT).decode()
    told = calendar_text(
        events_of(booked, case_uid="k3", plain=False), zone="UTC", made_at=MADE_AT
    ).decode()
    for word in ("toe", "hand", "foot", "surgeon"):
        assert word not in plain.casefold()
        assert word in told.casefold()
    assert "Reserve held for a return to theatre" in told


@pytest.mark.parametrize(
    "zone", ["Europe/Vienna", "America/New_York", "Australia/Lord_Howe", "Asia/Kolkata"]
)
def test_the_zone_that_is_written_out_is_read_as_the_zone_it_is(zone: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        tz = pytest.importorskip("dateutil.tz")
    data = calendar_text((event(),), zone=zone, made_at=MADE_AT)
    text = data.decode().replace("\r\n", "\n")
    begin, end = text.index("BEGIN:VTIMEZONE"), text.index("END:VTIMEZONE")
    independent = tz.tzical(io.StringIO(text[begin:end] + "END:VTIMEZONE\n")).get(zone)
    ours = ZoneInfo(zone)
    for days in range(0, 365, 3):
        clock = datetime(2026, 1, 1, 12, 0) + timedelta(days=days)  # noqa: DTZ001  local clock
        assert (
            clock.replace(tzinfo=independent).utcoffset() == clock.replace(tzinfo=ours).utcoffset()
        )


def test_times_survive_a_change_of_clock() -> None:
    summer = datetime(2026, 10, 24, 22, 0, tzinfo=UTC)
    lines = unfolded(
        calendar_text(
            (event(begins=summer, ends=summer + timedelta(hours=8)),),
            zone="Europe/Vienna",
            made_at=MADE_AT,
        )
    )
    assert "DTSTART;TZID=Europe/Vienna:20261025T000000" in lines
    assert "DTEND;TZID=Europe/Vienna:20261025T070000" in lines


def test_a_cancelled_entry_says_so_and_does_not_ring() -> None:
    one = event(cancelled=True, sequence=3, alarms=(timedelta(minutes=90),))
    lines = unfolded(calendar_text((one,), zone="UTC", made_at=MADE_AT))
    assert {"STATUS:CANCELLED", "SEQUENCE:3", "DTSTART:20261201T120000Z"} <= set(lines)
    assert "BEGIN:VALARM" not in lines
    rings = event(alarms=(timedelta(minutes=90),))
    assert "TRIGGER:-PT90M" in unfolded(calendar_text((rings,), zone="UTC", made_at=MADE_AT))


def test_an_entry_that_no_calendar_takes_is_refused() -> None:
    with pytest.raises(ScheduleError, match="the end later"):
        event(ends=NOON)
    with pytest.raises(ScheduleError, match="moments with a time zone"):
        event(begins=datetime(2026, 12, 1))  # noqa: DTZ001


def test_the_file_is_the_same_for_the_same_booking(booked: Schedule) -> None:
    first, second = (
        calendar_text(events_of(booked, case_uid="k3"), zone="Europe/Vienna", made_at=MADE_AT)
        for _ in range(2)
    )
    assert first == second
