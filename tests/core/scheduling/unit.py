"""An invented unit with two surgeons, and requests to it."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, time
from typing import Any

from thumbwright import bootstrap
from thumbwright.core.scheduling.calendars import (
    WHOLE_DAYS,
    WORKING_DAYS,
    Calendar,
    DaysOff,
    Opening,
    Weekday,
)
from thumbwright.core.scheduling.problem import Request
from thumbwright.core.scheduling.resources import Clinic, Kind, Resource, TheatreList
from thumbwright.core.scheduling.treatment import Treatment

ZONE = "Europe/Vienna"
DAY = Opening(days=WORKING_DAYS, opens=time(8), closes=time(16))
ALWAYS = Calendar(zone=ZONE, hours=(WHOLE_DAYS,))
CHRISTMAS = DaysOff(first=date(2026, 12, 24), last=date(2027, 1, 6), why="the turn of the year")


def treatments() -> Mapping[str, Treatment]:
    return bootstrap.treatments()


def by_day(**changes: Any) -> Calendar:  # noqa: ANN401
    return replace(Calendar(zone=ZONE, hours=(DAY,), days_off=(CHRISTMAS,)), **changes)


def long_list(day: Weekday = Weekday.TUESDAY) -> Calendar:
    """Return a list for long operations, from 7:30 to 22:00."""
    return Calendar(
        zone=ZONE,
        hours=(Opening(days=(day,), opens=time(7, 30), closes=time(22)),),
        days_off=(CHRISTMAS,),
    )


def unit() -> Clinic:
    """Return a unit that can do every technique of the catalogue."""
    waking = Calendar(
        zone=ZONE, hours=(Opening(days=WORKING_DAYS, opens=time(7), closes=time(22)),)
    )
    return Clinic(
        zone=ZONE,
        resources=(
            Resource(
                key="t1", name="theatre 1", kind=Kind.THEATRE, calendar=waking, reachable=ALWAYS
            ),
            Resource(key="t2", name="theatre 2", kind=Kind.THEATRE, calendar=waking),
            Resource(
                key="s1",
                name="the first surgeon",
                kind=Kind.SURGEON,
                calendar=waking,
                reachable=ALWAYS,
                microsurgery=True,
            ),
            Resource(key="s2", name="the second surgeon", kind=Kind.SURGEON, calendar=waking),
            Resource(key="team", name="the foot team", kind=Kind.SECOND_TEAM, calendar=waking),
            Resource(key="a1", name="anaesthetist", kind=Kind.ANAESTHETIST, calendar=waking),
            Resource(
                key="a2",
                name="anaesthetist for long cases",
                kind=Kind.LONG_CASE_ANAESTHETIST,
                calendar=waking,
            ),
            Resource(key="m1", name="microscope", kind=Kind.MICROSCOPE, calendar=ALWAYS),
            Resource(key="i1", name="microsurgical set", kind=Kind.INSTRUMENTS, calendar=ALWAYS),
            Resource(key="b1", name="bed by the nurses", kind=Kind.BED, calendar=ALWAYS),
            Resource(key="c1", name="clinic room", kind=Kind.CLINIC, calendar=by_day()),
            Resource(
                key="w1", name="nurse of the ward", kind=Kind.WARD, calendar=by_day(days_off=())
            ),
            Resource(key="x1", name="imaging room", kind=Kind.IMAGING, calendar=by_day()),
            Resource(key="h1", name="hand therapist", kind=Kind.THERAPIST, calendar=by_day()),
        ),
        lists=(
            TheatreList(
                key="long", name="Tuesday list", theatre="t1", surgeon="s1", calendar=long_list()
            ),
            TheatreList(
                key="short",
                name="Thursday list",
                theatre="t2",
                surgeon="s2",
                calendar=by_day(
                    hours=(Opening(days=(Weekday.THURSDAY,), opens=time(8), closes=time(15)),)
                ),
            ),
        ),
    )


def request(technique: str = "second_toe", **changes: Any) -> Request:  # noqa: ANN401
    base = Request(
        treatment=treatments()[technique], clinic=unit(), not_before=date(2026, 11, 30), weeks=40
    )
    return replace(base, **changes)
