"""The tree folded back, tossed, and walked path by path."""

from itertools import product

import numpy as np
import pytest
from tests.core.outlook.trees import CONSEQUENCES, DRAWS, LATER, planned_course_of_two_stages, sure

from thumbwright.core.outlook.consequences import Event
from thumbwright.core.outlook.course import MEASURES, folded_back, simulate

LOSS, TROUBLE, GOES_ON = 0.04, 0.12, 0.75
EVENTS = {
    Event.INFECTION: 0.1,
    Event.NON_UNION: 0.05,
    Event.DONOR_TROUBLE: 0.2,
    Event.SECONDARY_OPERATION: 0.3,
}


def mean_cost(event: Event, name: str) -> float:
    one = CONSEQUENCES.events[event]
    if name == "operations":
        return one.operations
    if name == "hours":
        return one.operations * one.hours.mean
    return {"days": one.days, "weeks": one.weeks, "visits": one.visits}[name].mean


def every_path(name: str) -> float:
    """Walk all 3 x 16 paths of the tree by hand: lost, rescued or no trouble, and four events."""
    planned = planned_course_of_two_stages()
    total = 0.0
    for fate, met in product(("lost", "rescued", "quiet"), product((True, False), repeat=4)):
        path = {"lost": LOSS, "rescued": TROUBLE - LOSS, "quiet": 1 - TROUBLE}[fate]
        cost = planned.mean(name)
        if fate != "quiet":
            cost += mean_cost(Event.REEXPLORATION, name)
        if fate == "lost":
            cost += mean_cost(Event.LOSS, name)
        for (event, prob), happens in zip(EVENTS.items(), met, strict=True):
            path *= prob if happens else 1 - prob
            if happens and (fate != "lost" or event is Event.DONOR_TROUBLE):
                cost += mean_cost(event, name)
        total += path * cost
    return total


@pytest.mark.parametrize("name", MEASURES)
def test_the_tree_folded_back_is_the_sum_over_every_path(name: str) -> None:
    independent_mean = every_path(name)
    folded = folded_back(
        sure(LOSS, TROUBLE, EVENTS, GOES_ON), planned_course_of_two_stages(), CONSEQUENCES, None
    )
    assert folded.burden[name] == pytest.approx(independent_mean, rel=1e-12)


@pytest.mark.parametrize("name", MEASURES)
def test_tossing_agrees_with_folding_back_within_its_error(name: str) -> None:
    given, planned = sure(LOSS, TROUBLE, EVENTS, GOES_ON), planned_course_of_two_stages()
    tossed = simulate(given, planned, CONSEQUENCES, np.random.default_rng(4), None).burden[name]
    by_hand_mean = every_path(name)
    error = float(np.std(tossed) / np.sqrt(DRAWS))
    assert abs(float(np.mean(tossed)) - by_hand_mean) < 4 * error


def test_the_fallback_adds_what_it_adds() -> None:
    given, planned = sure(LOSS, TROUBLE, EVENTS, GOES_ON), planned_course_of_two_stages()
    rng = np.random.default_rng(5)
    second = simulate(sure(0.1, 0.0, {}, 0.0), LATER, CONSEQUENCES, rng, None)
    first = simulate(given, planned, CONSEQUENCES, rng, second)
    by_hand_alive = 1 - LOSS + LOSS * GOES_ON * 0.9
    error = np.sqrt(by_hand_alive * (1 - by_hand_alive) / DRAWS)
    assert abs(float(np.mean(first.alive)) - by_hand_alive) < 4 * error
    after = folded_back(sure(0.1, 0.0, {}, 0.0), LATER, CONSEQUENCES, None)
    whole = folded_back(given, planned, CONSEQUENCES, after)
    assert whole.alive_prob == pytest.approx(by_hand_alive)
    alone = folded_back(given, planned, CONSEQUENCES, None)
    by_hand_more_days = LOSS * GOES_ON * after.burden["days"]
    assert whole.burden["days"] - alone.burden["days"] == pytest.approx(by_hand_more_days)


def test_a_lost_transfer_has_no_later_infection_but_its_donor_site_may_ail() -> None:
    given = sure(1.0, 1.0, {Event.INFECTION: 1.0, Event.DONOR_TROUBLE: 1.0}, 0.0)
    course = simulate(
        given, planned_course_of_two_stages(), CONSEQUENCES, np.random.default_rng(1), None
    )
    assert not course.alive.any()
    assert not course.happened[Event.INFECTION].any()
    assert course.happened[Event.DONOR_TROUBLE].all()
