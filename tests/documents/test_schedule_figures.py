"""The drawings of time show what their words say, and stay inside their frame."""

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from tests.core.scheduling.unit import request
from tests.core.scheduling.waiting_room import lists, waiting

from thumbwright import bootstrap
from thumbwright.core.scheduling.day import DayForecast, foresee_day
from thumbwright.core.scheduling.department import DepartmentPlan, plan_department
from thumbwright.core.scheduling.schedule import Schedule, schedule
from thumbwright.documents.schedule_figures import (
    day_drawing,
    day_picture,
    day_words,
    department_drawing,
    department_picture,
    department_words,
    treatment_drawing,
    treatment_picture,
    treatment_words,
)

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def booked() -> Schedule:
    found = schedule(request())
    assert isinstance(found, Schedule)
    return found


@pytest.fixture(scope="module")
def day() -> DayForecast:
    plan = bootstrap.day_plans()["free_toe"]
    return foresee_day(plan, teams=2, rng=np.random.default_rng(7), draws=1000)


@pytest.fixture(scope="module")
def plan() -> DepartmentPlan:
    return plan_department(waiting(10), lists(5))


def bars(drawing: str) -> list[ET.Element]:
    root = ET.fromstring(drawing)  # noqa: S314  our own drawing
    inside = [one for one in root.iter(f"{SVG}rect") if one.get("y") is not None]
    wide, high = float(root.get("width", 0)), float(root.get("height", 0))
    for one in inside:
        assert 0 <= float(one.get("x", -1)) <= wide
        assert float(one.get("x", 0)) + float(one.get("width", 0)) <= wide + 1
        assert float(one.get("y", 0)) + float(one.get("height", 0)) <= high
    return inside


def test_a_treatment_has_a_bar_for_each_step_and_each_reserve(booked: Schedule) -> None:
    drawing = treatment_drawing(booked, title="the treatment")
    assert len(bars(drawing)) == len(booked.bookings) + len(booked.reserves)
    assert 'aria-label="the treatment"' in drawing
    assert "reserve, 72 hours" in drawing


def test_the_words_of_a_treatment_name_each_step_with_its_day(booked: Schedule) -> None:
    words = treatment_words(booked)
    assert any("Tuesday 22 December 2026, 07:30 to 19:40: the transfer" in one for one in words)
    assert sum("held for a return to theatre" in one for one in words) == 1
    assert words[-1] == "All times are local time of Europe/Vienna."
    assert words[0] in treatment_picture(booked).alt


def test_the_day_has_a_bar_for_each_step_and_each_stretch(day: DayForecast) -> None:
    assert len(bars(day_drawing(day, title="the day"))) == len(day.steps) + len(day.stretches)
    words = day_words(day)
    assert len(words) == 1 + len(day.steps) + len(day.stretches) + 1
    assert words[-1] == "All times of the steps are working assumptions of this program."
    assert words[-1] in day_picture(day).caption
    assert "seed 7" in words[0]


def test_lists_show_their_room_and_every_operation(plan: DepartmentPlan) -> None:
    used = [one for one in plan.lists if plan.on(one)]
    drawing = department_drawing(plan, title="the lists")
    assert len(bars(drawing)) == len(used) + sum(len(plan.on(one)) for one in used)
    for each in plan.placed:
        assert (each.waiting.key in drawing) == (each.on is not None)


def test_the_words_of_the_lists_say_how_good_the_plan_is(plan: DepartmentPlan) -> None:
    words = department_words(plan)
    assert re.fullmatch(r"The plan is within \d\.\d% of the best that can be\.", words[-1])
    assert words[0] in department_picture(plan).alt


def test_who_has_no_list_is_named() -> None:
    crowded = plan_department(waiting(24), lists(1))
    assert any(one.startswith("No list within the weeks") for one in department_words(crowded))
