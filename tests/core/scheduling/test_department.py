"""Shared lists: nobody twice, each list in time, close to the bound, and fair."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import numpy as np
import pytest
from tests.core.scheduling.waiting_room import FIRST, lists, waiting

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.department import DepartmentPlan, plan_department
from thumbwright.core.scheduling.department_play import Chances, play
from thumbwright.core.scheduling.durations import from_mean_and_deviation
from thumbwright.core.scheduling.sitting import Sitting
from thumbwright.core.scheduling.waiting import ListDay, Reason, Waiting, in_time


def patient(key: str, mean: float, reason: Reason = Reason.FUNCTION, days: int = 0) -> Waiting:
    return Waiting(
        key=key,
        operation="operation",
        reason=reason,
        length=from_mean_and_deviation(mean, mean / 4),
        since=FIRST - timedelta(days=days),
    )


def list_on(
    day: int, minutes: float, *, microsurgery: bool = True, reserve: bool = True
) -> ListDay:
    return ListDay(
        key=f"day {day}",
        name="list",
        day=FIRST + timedelta(days=day),
        room_minutes=minutes,
        microsurgery=microsurgery,
        reserve=reserve,
    )


@pytest.fixture(scope="module")
def plan() -> DepartmentPlan:
    return plan_department(waiting(24), lists(8))


def test_every_list_ends_in_time_with_the_chosen_probability(plan: DepartmentPlan) -> None:
    for one in plan.lists:
        lengths = [each.waiting.length for each in plan.on(one)]
        assert in_time(lengths, one.room_minutes) >= plan.in_time_prob


def test_everybody_is_there_once_and_the_plan_is_close_to_its_bound(plan: DepartmentPlan) -> None:
    assert [each.waiting for each in plan.placed] == list(waiting(24))
    assert plan.bound <= plan.cost
    assert plan.gap_share <= 0.02


def test_flaps_are_done_by_microsurgeons_where_a_reserve_is_held_two_at_most(
    plan: DepartmentPlan,
) -> None:
    flaps = [each.on for each in plan.placed if each.waiting.joins_vessels and each.on]
    assert flaps
    assert all(one.microsurgery and one.reserve for one in flaps)
    for one in flaps:
        assert sum(0 <= (other.day - one.day).days <= 3 for other in flaps) <= 2


def test_open_wounds_wait_least(plan: DepartmentPlan) -> None:
    by_reason = {
        reason: [
            (each.on.day - FIRST).days
            for each in plan.placed
            if each.on and each.waiting.reason is reason
        ]
        for reason in Reason
    }
    assert np.mean(by_reason[Reason.OPEN_WOUND]) < np.mean(by_reason[Reason.FUNCTION])


def test_no_flap_goes_on_a_list_without_a_reserve() -> None:
    flap = replace(patient("a", 100), joins_vessels=True)
    for one in (list_on(1, 400, reserve=False), list_on(1, 400, microsurgery=False)):
        found = plan_department([flap], [one])
        assert found.placed[0].on is None


@pytest.mark.parametrize("number", range(30))
def test_a_small_plan_is_within_its_gap_of_the_best_that_can_be_tried(number: int) -> None:
    rng = np.random.default_rng(number)
    people = [
        patient(
            f"p{place}",
            float(rng.integers(60, 200)),
            list(Reason)[int(rng.integers(4))],
            int(rng.integers(0, 60)),
        )
        for place in range(5)
    ]
    days = [list_on(3, 240), list_on(10, 300), list_on(17, 420)]
    found = plan_department(people, days)
    sitting = Sitting(waiting=tuple(people), lists=tuple(days), in_time_prob=0.8)
    costs, none = sitting.costs(), sitting.costs_of_none()
    independent = min(
        sum(none[i] if p is None else costs[i][p] for i, p in enumerate(places))
        for places in product([None, 0, 1, 2], repeat=5)
        if all(p is None or p in costs[i] for i, p in enumerate(places))
        and all(
            in_time([people[i].length for i, p in enumerate(places) if p == place], on.room_minutes)
            >= 0.8
            for place, on in enumerate(days)
        )
    )
    assert found.bound <= independent <= found.cost
    assert found.cost <= 1.02 * independent


def test_two_short_delays_are_better_than_one_long_one() -> None:
    people = [patient("a", 200, days=130), patient("b", 200, days=100)]
    days = [list_on(1, 300), list_on(60, 300)]
    found = plan_department(people, days)
    first = found.placed[0]
    assert first.on == days[0]
    assert first.late_days == 11
    assert found.placed[1].waits_days == 160


def test_the_same_patients_have_the_same_plan() -> None:
    first, second = (plan_department(waiting(12), lists(4)) for _ in range(2))
    assert first == second


def test_more_lists_never_cost_more_than_the_gap() -> None:
    few, many = (plan_department(waiting(10), lists(weeks)) for weeks in (2, 8))
    assert many.bound <= few.cost


def test_the_played_overrun_is_what_was_planned_where_nothing_comes_between(
    plan: DepartmentPlan,
) -> None:
    nothing = Chances(cancelled_prob=0, emergency_in_a_list_prob=0, back_prob=0)
    found = play(plan, nothing, rng=np.random.default_rng(4), draws=8000)
    for one in found.lists:
        assert 1 - one.overrun_prob == pytest.approx(one.planned_prob, abs=0.02)
    assert (found.reserve_used_prob, found.two_at_once_prob) == (0, 0)
    waits = [each.waits_days for each in plan.placed if each.waits_days is not None]
    assert found.mean_waits_days == pytest.approx(np.mean(waits))


def test_emergencies_lengthen_lists_and_cancellations_shorten_them(plan: DepartmentPlan) -> None:
    def overrun(cancelled: float, emergency: float) -> float:
        chances = Chances(cancelled_prob=cancelled, emergency_in_a_list_prob=emergency)
        return play(plan, chances, rng=np.random.default_rng(5)).overrun_share

    assert overrun(0.3, 0) < overrun(0, 0) < overrun(0, 0.5)


def test_the_reserve_is_used_as_often_as_flaps_go_back(plan: DepartmentPlan) -> None:
    draws = 20_000
    found = play(plan, Chances(back_prob=0.06), rng=np.random.default_rng(6), draws=draws)
    by_hand_prob = 1 - 0.94**found.flaps
    assert found.flaps > 2
    assert found.reserve_used_prob == pytest.approx(by_hand_prob, abs=4 * 0.5 / draws**0.5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: plan_department([], [list_on(1, 300)]),
        lambda: plan_department([patient("a", 60)], []),
        lambda: plan_department([patient("a", 60)], [list_on(1, 300)], in_time_prob=1.0),
    ],
)
def test_a_department_without_patients_or_lists_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ScheduleError, match="at least one of each"):
        call()


def test_a_chance_above_one_is_refused() -> None:
    with pytest.raises(ScheduleError, match="numbers from 0 to 1"):
        Chances(cancelled_prob=1.5)


def test_a_list_is_on_its_local_day() -> None:
    found = lists(1)
    assert [one.day for one in found][:2] == [date(2026, 11, 30), date(2026, 12, 1)]
    # The steps end with the second week, and no reserve is known beyond them.
    assert [one.reserve for one in found[:4]] == [True] * 4
    assert not found[-1].reserve
