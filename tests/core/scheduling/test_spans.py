"""Stretches behave as the sets of their steps."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from thumbwright.core.scheduling.spans import Spans, holds, joined, met, where_it_fits, without

PAIRS = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), max_size=6)


def steps_in(spans: Spans) -> set[int]:
    return {step for begin, end in spans for step in range(begin, end)}


@given(PAIRS)
def test_joining_keeps_the_steps_and_leaves_gaps_between(pairs: list[tuple[int, int]]) -> None:
    spans = joined(pairs)
    assert steps_in(spans) == steps_in(tuple(pairs))
    assert all(one[1] < other[0] for one, other in pairwise(spans))


@given(PAIRS, PAIRS)
def test_meeting_and_cutting_are_those_of_sets(
    one: list[tuple[int, int]], other: list[tuple[int, int]]
) -> None:
    first, second = joined(one), joined(other)
    assert steps_in(met(first, second)) == steps_in(first) & steps_in(second)
    assert steps_in(without(first, second)) == steps_in(first) - steps_in(second)


@given(PAIRS, st.integers(0, 8))
def test_something_fits_where_all_its_steps_are_free(
    pairs: list[tuple[int, int]], length: int
) -> None:
    free = joined(pairs)
    inside = steps_in(free)
    independent = {step for step in range(41) if set(range(step, step + max(length, 1))) <= inside}
    found = where_it_fits(free, length)
    assert steps_in(found) == independent
    assert all(holds(found, step) == (step in independent) for step in range(41))
