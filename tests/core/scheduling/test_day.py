"""The day of an operation: exact where it can be, and like the formula where it cannot."""

from collections.abc import Mapping

import numpy as np
import pytest

from thumbwright import bootstrap
from thumbwright.core.foundations.errors import KnowledgeError, ScheduleError
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.scheduling.day import foresee_day, shortest_day
from thumbwright.core.scheduling.day_plan import DayPlan, DayStep, Lane, Stretch, read_day_plans
from thumbwright.core.scheduling.durations import (
    LogNormal,
    from_mean_and_deviation,
    later_of_two,
    sum_fenton_wilkinson_1960,
)

SO = Statement(text="So.", basis=Basis(provenance=Provenance.ASSUMED))


def step(key: str, lane: Lane, after: tuple[str, ...], mean: float, deviation: float) -> DayStep:
    return DayStep(
        key=key, name=key, lane=lane, after=after, length=from_mean_and_deviation(mean, deviation)
    )


def plan(*steps: DayStep, stretches: tuple[Stretch, ...] = ()) -> DayPlan:
    return DayPlan(key="drawn", name="drawn", steps=steps, stretches=stretches, times=SO)


def two_lanes(deviation: float = 0.0) -> DayPlan:
    return plan(
        step("start", Lane.ANAESTHESIA, (), 30, deviation),
        step("hand", Lane.HAND, ("start",), 60, deviation),
        step("foot", Lane.FOOT, ("start",), 100, deviation),
        step("join", Lane.BOTH, ("hand", "foot"), 40, deviation),
        stretches=(
            Stretch(
                name="cuff",
                first="foot",
                last="join",
                flag_minutes=120,
                limit_minutes=150,
                statement=SO,
            ),
        ),
    )


@pytest.mark.parametrize(("teams", "by_hand_minutes"), [(2, 170), (1, 230)])
def test_certain_steps_give_a_certain_day(teams: int, by_hand_minutes: float) -> None:
    day = foresee_day(two_lanes(), teams=teams, rng=np.random.default_rng(1), draws=200)
    assert day.ends.median_minutes == pytest.approx(by_hand_minutes)
    assert day.ends.ninety_minutes == pytest.approx(by_hand_minutes)
    critical = {one.step.key: one.critical_prob for one in day.steps}
    assert critical == {"start": 1, "hand": float(teams == 1), "foot": 1, "join": 1}
    (cuff,) = day.stretches
    assert cuff.length.median_minutes == pytest.approx(140)
    assert (cuff.over_flag_prob, cuff.over_limit_prob) == (1, 0)


def test_a_chain_ends_as_the_sum_of_its_steps() -> None:
    pairs = ((45, 15), (180, 50), (60, 15))
    chain = plan(
        *(
            step(f"s{place}", Lane.HAND, (f"s{place - 1}",) if place else (), *pair)
            for place, pair in enumerate(pairs)
        )
    )
    day = foresee_day(chain, teams=2, rng=np.random.default_rng(2), draws=200_000)
    law = sum_fenton_wilkinson_1960([one.length for one in chain.steps])
    assert day.mean_minutes == pytest.approx(285, abs=0.5)
    assert day.ends.median_minutes == pytest.approx(law.median_minutes, rel=0.005)
    # 356.4 minutes were drawn with another program, four million times.
    independent_ninety = 356.4
    assert day.ends.ninety_minutes == pytest.approx(
        independent_ninety, abs=0.05 + 4 * day.ends.ninety_error_minutes
    )


def test_two_teams_are_ready_with_the_later_one() -> None:
    foot, hand = from_mean_and_deviation(150, 40), from_mean_and_deviation(120, 35)
    both = plan(
        DayStep(key="foot", name="foot", lane=Lane.FOOT, after=(), length=foot),
        DayStep(key="hand", name="hand", lane=Lane.HAND, after=(), length=hand),
    )
    draws = 200_000
    day = foresee_day(both, teams=2, rng=np.random.default_rng(3), draws=draws)
    mean, prob = later_of_two(foot, hand)
    independent_deviation = 37.58
    assert day.mean_minutes == pytest.approx(mean, abs=4 * independent_deviation / draws**0.5)
    assert day.steps[0].critical_prob == pytest.approx(prob, abs=4 * 0.5 / draws**0.5)
    assert sum(one.critical_prob for one in day.steps) == pytest.approx(1)
    independent_median, independent_ninety = 153.98, 208.46
    assert day.ends.median_minutes == pytest.approx(independent_median, abs=0.6)
    assert day.ends.ninety_minutes == pytest.approx(independent_ninety, abs=0.9)


def test_the_error_from_draws_is_as_large_as_the_scatter_of_repeats() -> None:
    days = [
        foresee_day(two_lanes(12), teams=2, rng=np.random.default_rng(n), draws=2000)
        for n in range(40)
    ]
    scatter = np.std([day.ends.ninety_minutes for day in days])
    said = np.mean([day.ends.ninety_error_minutes for day in days])
    assert 0.6 < said / scatter < 1.6


def test_the_day_is_the_same_for_the_same_seed_and_says_it() -> None:
    first, second = (
        foresee_day(two_lanes(9), teams=2, rng=np.random.default_rng(8), draws=500)
        for _ in range(2)
    )
    assert first == second
    assert (first.seed, first.draws) == ("8", 500)


@pytest.fixture(scope="module")
def plans() -> Mapping[str, DayPlan]:
    return bootstrap.day_plans()


def test_a_second_team_shortens_the_transfer_of_a_toe_and_spares_the_part(
    plans: Mapping[str, DayPlan],
) -> None:
    toe = plans["free_toe"]
    one, two = (
        foresee_day(toe, teams=teams, rng=np.random.default_rng(7), draws=4000) for teams in (1, 2)
    )
    assert one.ends.median_minutes - two.ends.median_minutes > 90
    named = {each.stretch.name: each for each in two.stretches}
    assert set(named) == {"cuff on the arm", "cuff on the thigh", "without blood"}
    assert all(0 <= each.over_limit_prob <= each.over_flag_prob <= 1 for each in two.stretches)
    assert "over the limit of 120 minutes with a probability of" in two.stretches[0].words
    assert one.plan.times.basis.provenance is Provenance.ASSUMED


@pytest.mark.parametrize("teams", [1, 2])
def test_the_order_in_the_plan_is_as_short_as_any(plans: Mapping[str, DayPlan], teams: int) -> None:
    for each in plans.values():
        certain = DayPlan(
            key=each.key,
            name=each.name,
            times=each.times,
            stretches=(),
            steps=tuple(
                DayStep(
                    key=one.key,
                    name=one.name,
                    lane=one.lane,
                    after=one.after,
                    microscope=one.microscope,
                    length=LogNormal(
                        median_minutes=round(one.length.mean_minutes), log_deviation_ratio=0
                    ),
                )
                for one in each.steps
            ),
        )
        walked = foresee_day(certain, teams=teams, rng=np.random.default_rng(1), draws=100)
        shortest = shortest_day(certain, teams=teams)
        assert shortest.proved
        assert walked.ends.median_minutes == pytest.approx(shortest.makespan)


def test_what_is_no_day_is_refused() -> None:
    with pytest.raises(ScheduleError, match="1 or 2 teams"):
        foresee_day(two_lanes(), teams=3, rng=np.random.default_rng(1))
    with pytest.raises(KnowledgeError, match="each once, after those before it"):
        plan(step("a", Lane.HAND, ("b",), 10, 1))
    with pytest.raises(KnowledgeError, match="from one step to another"):
        plan(step("a", Lane.HAND, (), 10, 1), stretches=two_lanes().stretches)
    with pytest.raises(KnowledgeError, match=r"mend day_plans\.toml"):
        read_day_plans("a = [", {})
    with pytest.raises(KnowledgeError, match="plans as its head says"):
        read_day_plans("[a]\nname = 'x'", {})
    lost = two_sources("nobody-1999")
    with pytest.raises(KnowledgeError, match="'nobody-1999'"):
        read_day_plans(lost, {})


def two_sources(key: str) -> str:
    return (
        "[a]\nname = 'x'\n"
        f"times = ['So.', 'read', '{key}', 'abstract']\n"
        "steps = [{ key = 'b', name = 'b', lane = 'hand', after = [], minutes = [1, 0], "
        "microscope = false }]\n"
    )
