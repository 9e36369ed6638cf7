"""Treatments are booked soundly, as early as can be, with the reserve, the same every time."""

from dataclasses import replace
from datetime import date, time, timedelta

import pytest
from tests.core.scheduling.unit import ALWAYS, ZONE, by_day, request, treatments, unit

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.calendars import (
    WHOLE_DAYS,
    WORKING_DAYS,
    Calendar,
    DaysOff,
    Opening,
    Taken,
    Weekday,
)
from thumbwright.core.scheduling.clocks import moment_of
from thumbwright.core.scheduling.explanation import explain
from thumbwright.core.scheduling.problem import Problem, Rule, broken
from thumbwright.core.scheduling.replan import Replanned, replan
from thumbwright.core.scheduling.resources import (
    Clinic,
    Engagement,
    TheatreList,
    Who,
    with_bookings,
)
from thumbwright.core.scheduling.rules import FIRST_DAY_SHARE, RESERVE_HOURS, problem_of
from thumbwright.core.scheduling.rules import _mostly as mostly
from thumbwright.core.scheduling.schedule import (
    NoSchedule,
    Priority,
    Schedule,
    reserve_words,
    schedule,
)
from thumbwright.core.scheduling.spans import holds, joined

PLANNED = sorted(key for key, one in treatments().items() if not one.emergency)


def booked(technique: str = "second_toe", **changes: object) -> Schedule:
    found = schedule(request(technique, **changes))
    assert isinstance(found, Schedule), found
    return found


def feast(price: int | None = 30) -> Engagement:
    days = DaysOff(first=date(2026, 12, 20), last=date(2027, 1, 2), why="feast")
    busy = Calendar(zone=ZONE, hours=(WHOLE_DAYS,), only=(days,))
    return Engagement(name="the feast", who=Who.PATIENT, busy=busy, price=price)


@pytest.mark.parametrize("technique", PLANNED)
def test_every_technique_is_booked_and_no_rule_that_must_hold_is_broken(technique: str) -> None:
    found = booked(technique, weeks=40)
    must = [rule for rule in broken(found.problem, dict(found.starts)) if not rule.wish]
    assert must == []
    assert [one.step for one in found.bookings if not one.booked_with] == []
    ends = [one.ends for one in found.bookings]
    assert all(end <= after.begins for end, after in zip(ends, found.bookings[1:], strict=False))


@pytest.mark.parametrize("technique", PLANNED)
def test_the_written_times_obey_gaps_hours_and_lists_without_the_rules(technique: str) -> None:
    found = booked(technique)
    times = {one.step.key: one for one in found.bookings}
    for one in found.bookings:
        for gap in one.step.gaps:
            days = (one.begins - times[gap.after].ends) / timedelta(days=1)
            assert days >= gap.earliest_days - 0.01
            assert gap.latest_days is None or days <= gap.latest_days + 0.01
        if {"clinic room", "imaging room", "hand therapist"} & set(one.booked_with):
            assert one.begins.weekday() < 5
            assert time(8) <= one.begins.time() <= one.ends.time() <= time(16)
            assert not date(2026, 12, 24) <= one.begins.date() <= date(2027, 1, 6)
        if "Tuesday list" in one.booked_with:
            assert (one.begins.weekday(), one.ends.time() <= time(22)) == (1, True)
            assert one.begins.time() >= time(7, 30)
        if "Thursday list" in one.booked_with:
            assert (one.begins.weekday(), one.ends.time() <= time(15)) == (3, True)
            assert not one.step.joins_vessels


@pytest.mark.parametrize(("missing", "can_be"), [(Weekday.FRIDAY, False), (Weekday.SUNDAY, True)])
def test_the_reserve_is_needed_until_the_third_night_and_no_longer(
    missing: Weekday, can_be: object
) -> None:
    days = tuple(day for day in Weekday if day is not missing)
    on_call = Calendar(zone=ZONE, hours=(Opening(days=days, opens=time(0), closes=time(0)),))
    base = unit()
    resources = tuple(
        replace(one, reachable=on_call) if one.key == "s1" else one for one in base.resources
    )
    found = schedule(request(clinic=replace(base, resources=resources)))
    # A Tuesday list ends in the evening; the night to Friday is within 72 hours, Sunday is not.
    assert isinstance(found, Schedule) is can_be


def test_a_surgeon_who_is_booked_or_away_on_the_next_day_is_no_reserve() -> None:
    first = booked().of("operation")
    next_day = first.begins + timedelta(days=1)
    taken = Taken(begins=next_day, ends=next_day + timedelta(hours=6), what="another patient")
    later = booked(clinic=with_bookings(unit(), {"s1": (taken,)})).of("operation")
    assert later.begins > first.begins
    base, day = unit(), next_day.date()
    away = DaysOff(first=day, last=day, why="leave")
    resources = tuple(
        replace(one, away=(away,)) if one.key == "s1" else one for one in base.resources
    )
    assert booked(clinic=replace(base, resources=resources)).of("operation").begins == later.begins


def test_only_a_microsurgeon_joins_vessels() -> None:
    base = unit()
    lent = replace(base.lists[0], surgeon="s2")
    found = schedule(request(clinic=replace(base, lists=(lent,))))
    assert isinstance(found, NoSchedule)
    assert found.clash.rules[0].words.startswith("A list, its theatre") or (
        "of a microsurgeon" in found.clash.words
    )


def test_a_long_list_without_its_surgeon_is_not_mended_by_a_short_one_beside_it() -> None:
    base = unit()
    hours = (Opening(days=(Weekday.TUESDAY,), opens=time(7, 30), closes=time(9, 30)),)
    short = TheatreList(
        key="beside",
        name="short list beside",
        theatre="t2",
        surgeon="s2",
        calendar=replace(base.lists[0].calendar, hours=hours),
    )
    away = DaysOff(first=date(2026, 11, 1), last=date(2028, 1, 31), why="leave")
    resources = tuple(
        replace(one, away=(away,)) if one.key == "s1" else one for one in base.resources
    )
    clinic = replace(base, resources=resources, lists=(base.lists[0], short))
    assert isinstance(schedule(request("pollicization", clinic=clinic)), NoSchedule)


def test_a_guardian_need_not_watch_all_the_time_and_the_patient_must() -> None:
    days = DaysOff(first=date(2026, 12, 24), last=date(2026, 12, 26), why="journey")
    busy = Calendar(zone=ZONE, hours=(WHOLE_DAYS,), only=(days,))
    guardian, patient = (Engagement(name="a journey", who=who, busy=busy) for who in reversed(Who))
    assert booked(engagements=(guardian,)).of("operation").begins.date() == date(2026, 12, 22)
    assert booked(engagements=(patient,)).of("operation").begins.date() > date(2026, 12, 26)


@pytest.mark.parametrize("number", range(20))
def test_starts_after_which_enough_of_a_stretch_is_covered_are_those_that_counting_finds(
    number: int,
) -> None:
    cuts = [(number * 7 + place * place * 5) % 40 for place in range(4)]
    spans = joined([(min(cuts[:2]), max(cuts[:2])), (min(cuts[2:]), max(cuts[2:]))])
    length, first, last, least = 2, 1 + number % 3, 9, 2 + number % 4
    found = mostly(spans, length, (first, last), least)
    for start in range(40):
        stretch = range(start + length + first, start + length + last)
        independent = max(
            (sum(begin <= step < end for step in stretch) for begin, end in spans), default=0
        )
        assert holds(found, start) == (independent >= least)


def test_two_things_of_one_kind_help_each_other_out() -> None:
    base, first = unit(), booked().of("operation")
    taken = Taken(begins=first.begins, ends=first.ends, what="another patient")
    second = replace(next(one for one in base.resources if one.key == "m1"), key="m2", name="m2")
    both = replace(base, resources=(*base.resources, second))
    again = booked(clinic=with_bookings(both, {"m1": (taken,)})).of("operation")
    assert again.begins == first.begins
    assert "m2" in again.keys


def test_an_emergency_is_not_booked() -> None:
    found = schedule(request("replantation"))
    assert isinstance(found, Unknown)
    assert "at once" in found.reason


def test_a_toe_is_transferred_on_the_first_list_that_suits_and_its_reserve_is_held() -> None:
    found = booked()
    operation = found.of("operation")
    by_hand_day = date(2026, 12, 22)
    # Talk from the 8th day (10 December), 3 days, admission the day before; on 15 December
    # the review at two weeks would fall into the closed days.
    assert operation.begins.date() == by_hand_day
    assert operation.begins.time() == time(7, 30)
    assert {"Tuesday list", "the first surgeon", "the foot team", "microscope"} <= set(
        operation.booked_with
    )
    (held,) = found.reserves
    assert held.begins == operation.ends
    assert held.ends - held.begins == timedelta(hours=72)
    assert "within call for the others" in reserve_words(held)
    (watch,) = [one for one in found.bookings if one.step.key == "observation"]
    assert watch.begins == operation.ends


def test_the_list_ends_in_time_with_the_chosen_probability() -> None:
    for share in (0.6, 0.8, 0.85):
        operation = booked(in_time_prob=share).of("operation")
        closes = operation.begins.replace(hour=22, minute=0)
        room = (closes - operation.begins).total_seconds() / 60
        assert operation.step.length.done_within_prob(room) >= share
        kept = (operation.ends - operation.begins).total_seconds() / 60
        assert operation.step.length.done_within_prob(kept) == pytest.approx(share, abs=0.01)
    assert isinstance(schedule(request(in_time_prob=0.97)), Unknown)


def test_the_reserve_is_what_was_printed_of_flaps() -> None:
    published_share, published_hours = 0.823, 72
    assert FIRST_DAY_SHARE.value == pytest.approx(published_share, abs=5e-4)
    assert RESERVE_HOURS.value == published_hours


def test_a_reserve_that_is_in_the_house_counts_as_a_wish_and_weighs_most_on_the_first_day() -> None:
    wishes = [
        rule for rule in problem_of(request()).rules if rule.name == "the_reserve_is_in_the_house"
    ]
    assert [rule.price for rule in wishes] == [82, 13]
    friday = Calendar(
        zone=ZONE, hours=(Opening(days=(Weekday.FRIDAY,), opens=time(7), closes=time(21)),)
    )
    base = unit()
    late = replace(base.lists[0], calendar=friday)
    found = booked(clinic=replace(base, lists=(late, *base.lists[1:])))
    assert {rule.price for rule in found.broken_wishes} == {82}


def test_bookings_of_others_are_respected() -> None:
    first = booked().of("operation")
    taken = Taken(begins=first.begins, ends=first.ends, what="another patient")
    later = booked(clinic=with_bookings(unit(), {"m1": (taken,)})).of("operation")
    assert later.begins >= first.begins + timedelta(days=7)


def test_a_list_whose_own_surgeon_is_away_is_not_lent_to_another() -> None:
    base = unit()
    same_day = TheatreList(
        key="beside",
        name="list beside",
        theatre="t2",
        surgeon="s2",
        calendar=base.lists[0].calendar,
    )
    away = DaysOff(first=date(2026, 11, 1), last=date(2027, 1, 31), why="leave")
    resources = tuple(
        replace(one, away=(away,)) if one.key == "s1" else one for one in base.resources
    )
    clinic = replace(base, resources=resources, lists=(*base.lists, same_day))
    operation = booked(clinic=clinic).of("operation")
    assert operation.begins.date() > away.last
    assert "s1" in operation.keys


def test_a_wish_is_given_up_for_an_early_day_and_its_price_is_said() -> None:
    early = booked(engagements=(feast(),))
    assert [rule.words for rule in early.broken_wishes] == [
        "The patient is left free for the feast."
    ]
    calm = schedule(early.request, Priority.WISHES)
    assert isinstance(calm, Schedule)
    assert calm.broken_wishes == ()
    by_hand_days = 21  # from Tuesday 22 December to Tuesday 12 January
    assert (calm.of("operation").begins - early.of("operation").begins).days == by_hand_days
    said = " ".join(explain(early).sentences)
    assert f"To keep it, the operation would be {by_hand_days} days later." in said
    assert "Given up, at a price of 30: The patient is left free for the feast." in said


def test_what_cannot_be_given_up_moves_the_operation() -> None:
    found = booked(engagements=(feast(price=None),))
    assert found.of("operation").begins.date() == date(2027, 1, 12)


def test_a_guardian_in_another_zone_is_booked_when_the_clock_there_allows() -> None:
    there = Calendar(
        zone="Asia/Tokyo", hours=(Opening(days=WORKING_DAYS, opens=time(9), closes=time(18)),)
    )
    guardian = Engagement(
        name="work", who=Who.GUARDIAN, busy=there, price=40, only_appointments=True
    )
    found = booked(engagements=(guardian,))
    # 18:00 in Tokyo is 10:00 in Vienna in winter.
    first = found.of("consultation").begins
    assert first.time() == time(10)


def test_school_is_kept_free_by_appointments_and_not_by_the_stay() -> None:
    hours = (Opening(days=WORKING_DAYS, opens=time(8), closes=time(13)),)
    school = Engagement(
        name="school",
        who=Who.PATIENT,
        busy=Calendar(zone=ZONE, hours=hours),
        price=5,
        only_appointments=True,
    )
    found = booked(engagements=(school,))
    assert found.broken_wishes == ()
    visits = [one for one in found.bookings if one.step.kind.is_appointment]
    assert all(one.ends.time() <= time(8) or one.begins.time() >= time(13) for one in visits)


def test_a_clock_change_between_stages_does_not_shift_local_hours() -> None:
    found = booked("staged_osteoplastic", not_before=date(2027, 2, 15))
    visits = [one for one in found.bookings if "clinic room" in one.booked_with]
    assert all(time(8) <= one.begins.time() <= one.ends.time() <= time(16) for one in visits)
    assert found.of("division").begins.utcoffset() != found.of("first_stage").begins.utcoffset()


def test_a_leap_day_can_be_booked() -> None:
    leap = date(2028, 2, 29)
    found = booked("skin_graft", not_before=leap, clinic=on_leap_day())
    assert found.of("consultation").begins.date() == leap


def on_leap_day() -> Clinic:
    base = unit()
    resources = tuple(
        replace(one, calendar=by_day(days_off=())) if one.key == "c1" else one
        for one in base.resources
    )
    return replace(base, resources=resources)


def test_the_same_request_has_the_same_booking() -> None:
    assert booked().starts == booked().starts


def test_more_resources_never_make_a_booking_later() -> None:
    base = unit()
    more = replace(
        base,
        lists=(*base.lists, replace(base.lists[0], key="more", name="more", calendar=ALWAYS)),
    )
    plain, rich = booked(), booked(clinic=more)
    assert rich.of("operation").begins <= plain.of("operation").begins


def test_a_change_moves_only_what_must_move_and_says_why() -> None:
    old = booked()
    ill = DaysOff(first=date(2026, 12, 21), last=date(2026, 12, 23), why="ill")
    base = unit()
    resources = tuple(
        replace(one, away=(ill,)) if one.key == "s1" else one for one in base.resources
    )
    now = moment_of(date(2026, 12, 12), time(0), ZONE)
    asked = replace(old.request, clinic=replace(base, resources=resources))
    found = replan(old, asked, now)
    assert isinstance(found, Replanned)
    moved = {one.step for one in found.moves}
    still = {key for key, start in old.starts.items() if found.schedule.starts[key] == start}
    assert moved | still == set(old.starts)
    assert {"consultation", "imaging", "anaesthetic", "decision_after_imaging"} <= still
    (operation,) = [one for one in found.moves if one.step == "operation"]
    assert "A list, its theatre and its surgeon are free" in operation.words
    assert "moves from 22 December 2026 07:30 to" in operation.words
    must = [r for r in broken(found.schedule.problem, dict(found.schedule.starts)) if not r.wish]
    assert must == []


def test_without_a_change_nothing_moves() -> None:
    old = booked()
    found = replan(old, old.request, moment_of(date(2026, 12, 12), time(0), ZONE))
    assert isinstance(found, Replanned)
    assert found.moves == ()


def test_another_treatment_is_not_a_change() -> None:
    old = booked()
    with pytest.raises(ScheduleError, match="book anew instead"):
        replan(old, request("great_toe", not_before=date(2027, 1, 1)), old.bookings[0].begins)


def test_what_cannot_be_asked_is_refused() -> None:
    with pytest.raises(ScheduleError, match="1 to 104 weeks"):
        request(weeks=0)
    with pytest.raises(ScheduleError, match="a last day not before the first"):
        request(operate_by=date(2026, 1, 1))
    with pytest.raises(ScheduleError, match="whole number from 1 to 100"):
        feast(price=0)
    with pytest.raises(ScheduleError, match="name a theatre and a surgeon"):
        replace(unit(), lists=(replace(unit().lists[0], theatre="s1"),))
    with pytest.raises(ScheduleError, match="without a price"):
        Rule(name="x", words="X.", constraints=(), wish=True)


def test_a_problem_without_a_main_task_wants_its_last_one_early() -> None:
    problem = problem_of(request())
    bare = Problem(grid=problem.grid, tasks=problem.tasks, rules=problem.rules)
    assert bare.early == problem.tasks[-1].key
