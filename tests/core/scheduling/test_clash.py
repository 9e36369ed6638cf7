"""A clash is one, nothing can be left out of it, none is smaller, and its relaxations settle it."""

from dataclasses import replace
from datetime import date
from itertools import combinations

import pytest
from tests.core.scheduling.small_problems import drawn_problem, kept_by, smallest_clash_size
from tests.core.scheduling.unit import request, unit

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.scheduling.calendars import DaysOff
from thumbwright.core.scheduling.clash import clash_of, smallest_clash, thinned
from thumbwright.core.scheduling.problem import Rule
from thumbwright.core.scheduling.schedule import NoSchedule, schedule


def check(number: int) -> bool:
    """Check one drawn problem against trying every start; tell whether it clashed."""
    problem = drawn_problem(number, rules=8)
    must = frozenset(n for n, rule in enumerate(problem.rules) if not rule.wish)
    kept = [one for _, one in kept_by(problem)]
    independent_size = smallest_clash_size(kept, must)
    clash = clash_of(problem)
    if independent_size is None:
        assert clash is None
        return False
    assert clash is not None
    numbers = numbers_of(problem.rules, clash.rules)
    assert not any(numbers <= one for one in kept), "the rules can hold together"
    for left_out in numbers:
        assert any(numbers - {left_out} <= one for one in kept), "a rule could be left out"
    assert (len(numbers), clash.smallest) == (independent_size, True)
    check_relaxations(number, kept, must)
    return True


def check_relaxations(number: int, kept: list[frozenset[int]], must: frozenset[int]) -> None:
    problem = drawn_problem(number, rules=8)
    clash = clash_of(problem)
    assert clash is not None
    given_up = {
        must - one: sum(problem.rules[n].price or 0 for n in must - one)
        for one in kept
        if all(problem.rules[n].price is not None for n in must - one)
    }
    assert bool(clash.relaxations) == bool(given_up)
    if given_up:
        independent_price = min(given_up.values())
        assert clash.relaxations[0].price == independent_price
    prices = [one.price for one in clash.relaxations]
    assert prices == sorted(prices)
    for one in clash.relaxations:
        rest = must - numbers_of(problem.rules, one.rules)
        assert any(rest <= each for each in kept), "the rest cannot hold"


def numbers_of(rules: tuple[Rule, ...], chosen: tuple[Rule, ...]) -> frozenset[int]:
    return frozenset(rules.index(rule) for rule in chosen)


def test_clashes_of_drawn_problems_are_the_smallest_there_are() -> None:
    clashed = [check(number) for number in range(40)]
    assert sum(clashed) >= 20


@pytest.mark.long
def test_five_hundred_impossible_requests_are_explained_by_their_smallest_clash() -> None:
    clashed, number = 0, 1000
    while clashed < 500:
        clashed += check(number)
        number += 1


@pytest.mark.parametrize("seed", range(20))
def test_the_smallest_clash_is_found_for_any_rules(seed: int) -> None:
    conflicts = [
        frozenset(chosen)
        for place, chosen in enumerate(combinations(range(7), 2 + seed % 3))
        if (place * 7 + seed * 3) % 5 == 0
    ]

    def possible(rules: frozenset[int]) -> bool:
        return not any(conflict <= rules for conflict in conflicts)

    everything = frozenset(range(7))
    by_hand_size = 2 + seed % 3
    bound = thinned(everything, possible)
    found, proved = smallest_clash(everything, possible, bound)
    assert (len(found), proved) == (by_hand_size, True)
    assert found in conflicts


def test_an_operation_that_cannot_be_soon_enough_is_explained_in_sentences() -> None:
    asked = request(operate_by=date(2026, 12, 10), why_by="the wound is open")
    found = schedule(asked)
    assert isinstance(found, NoSchedule)
    assert "10 December 2026 at the latest, because the wound is open." in found.reason
    assert found.clash.smallest
    assert found.clash.relaxations
    assert str(found.clash.relaxations[0].price) in found.needed[0]


def test_without_a_reserve_no_vessels_are_joined() -> None:
    alone = unit()
    resources = tuple(
        replace(one, reachable=None) if one.key == "s1" else one for one in alone.resources
    )
    found = schedule(request(clinic=replace(alone, resources=resources)))
    assert isinstance(found, NoSchedule)
    (rule,) = found.clash.rules
    assert rule.name == "the_reserve_is_held"
    assert rule.price is None
    assert found.clash.relaxations == ()
    assert "for 72 hours after the transfer of the toe" in found.reason
    # The same unit may still do what joins no vessels.
    other = schedule(request("pollicization", clinic=replace(alone, resources=resources)))
    assert not isinstance(other, Unknown)


def test_a_surgeon_who_is_away_all_the_time_is_named() -> None:
    base = unit()
    gone = DaysOff(first=date(2026, 11, 1), last=date(2028, 1, 1), why="leave")
    resources = tuple(
        replace(one, away=(gone,)) if one.kind.value == "surgeon" else one for one in base.resources
    )
    found = schedule(request("skin_graft", clinic=replace(base, resources=resources)))
    assert isinstance(found, NoSchedule)
    assert found.clash.rules[0].name == "theatre_and_surgeon_of_the_list_are_free"
    assert found.clash.relaxations[0].price == 50
