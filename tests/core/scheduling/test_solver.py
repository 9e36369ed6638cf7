"""The solver finds what is published, what was computed elsewhere, and what trying all finds."""

import csv
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from tests.core.scheduling.small_problems import drawn_problem, kept_by

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.aims import Job, Limit
from thumbwright.core.scheduling.problem import Problem, broken
from thumbwright.core.scheduling.schedule import Priority, aims_of, best_of
from thumbwright.core.scheduling.solver import Search, assign, shortest

TABLE = Path(__file__).parents[2] / "published" / "scheduling" / "project_j301_1.csv"
CAPACITIES = (12, 13, 4, 12)

THEATRE = {  # key: minutes, teams, microscope, anaesthetist, followers
    "anaesthesia": (30, 0, 0, 1, ("hand", "foot")),
    "hand": (20, 1, 0, 0, ("explore",)),
    "foot": (20, 1, 0, 0, ("harvest",)),
    "explore": (60, 1, 0, 0, ("bone",)),
    "harvest": (120, 1, 0, 0, ("bone", "close foot")),
    "bone": (30, 2, 0, 0, ("tendons",)),
    "tendons": (45, 1, 0, 0, ("artery",)),
    "artery": (40, 1, 1, 0, ("veins",)),
    "veins": (50, 1, 1, 0, ("nerves",)),
    "nerves": (40, 1, 1, 0, ("close hand",)),
    "close foot": (45, 1, 0, 0, ("wake",)),
    "close hand": (40, 1, 0, 0, ("wake",)),
    "wake": (20, 0, 0, 1, ()),
}


def published_project() -> list[Job]:
    lines = [one for one in TABLE.read_text("utf-8").splitlines() if not one.startswith("#")]
    return [
        Job(
            key=row["job"],
            length=int(row["duration"]),
            demands=tuple(int(row[name]) for name in ("r1", "r2", "r3", "r4")),
            followers=tuple(row["followers"].split()),
        )
        for row in csv.DictReader(lines)
    ]


def theatre(teams: int) -> list[Job]:
    return [
        Job(
            key=key,
            length=minutes,
            demands=(min(teams, used), microscope, anaesthetist),
            followers=followers,
        )
        for key, (minutes, used, microscope, anaesthetist, followers) in THEATRE.items()
    ]


def test_the_published_project_takes_43_and_that_is_proved() -> None:
    jobs = published_project()
    published_makespan = 43
    found = shortest(jobs, CAPACITIES)
    assert (found.makespan, found.proved) == (published_makespan, True)
    for job in jobs:
        assert all(found.starts[f] >= found.starts[job.key] + job.length for f in job.followers)
    for step, place in product(range(found.makespan), range(4)):
        running = (
            job
            for job in jobs
            if found.starts[job.key] <= step < found.starts[job.key] + job.length
        )
        assert sum(job.demands[place] for job in running) <= CAPACITIES[place]


@pytest.mark.parametrize(("teams", "independent_minutes"), [(2, 435), (1, 560)])
def test_two_teams_save_two_hours_of_a_day(teams: int, independent_minutes: int) -> None:
    found = shortest(theatre(teams), (teams, 1, 1))
    assert (found.makespan, found.proved) == (independent_minutes, True)


def test_a_network_without_a_plan_is_refused() -> None:
    jobs = [Job(key="a", length=1, demands=(3,), followers=())]
    with pytest.raises(ScheduleError, match="demands within the capacities"):
        shortest(jobs, (2,))


@pytest.mark.parametrize("number", range(40))
@pytest.mark.parametrize("priority", Priority)
def test_a_booking_is_the_best_of_all_that_can_be_tried(number: int, priority: Priority) -> None:
    problem = drawn_problem(number, rules=5)
    must = frozenset(n for n, rule in enumerate(problem.rules) if not rule.wish)
    ways = [starts for starts, kept in kept_by(problem) if must <= kept]
    found = best_of(problem, priority)
    if not ways:
        assert found is None
        return
    assert found is not None
    independent = min(worth(problem, starts, priority) for starts in ways)
    assert worth(problem, dict(found.starts), priority) == independent
    assert must <= found.kept


def worth(problem: Problem, starts: dict[str, int], priority: Priority) -> tuple[int, ...]:
    """Return how good a way is, in the order of what counts."""
    lengths = problem.lengths()
    early = starts[problem.early]
    wishes = sum(rule.price or 0 for rule in broken(problem, starts) if rule.wish)
    steps: list[int] = []
    for task in problem.tasks:
        gaps = [
            abs(starts[one.after] - starts[one.before] - lengths[one.before] - one.steps)
            for one in problem.best
            if one.after == task.key
        ]
        steps += [sum(gaps), starts[task.key]]
    first = (early, wishes) if priority is Priority.EARLIEST else (wishes, early)
    return (*first, *steps)


@pytest.mark.parametrize("number", range(12))
def test_the_same_question_has_the_same_answer(number: int) -> None:
    problem = drawn_problem(number, rules=3)
    must = [n for n, rule in enumerate(problem.rules) if not rule.wish]
    first, second = (
        Search(problem).best(must, aims_of(problem, Priority.EARLIEST)) for _ in range(2)
    )
    assert first == second


@pytest.mark.parametrize("number", range(15))
def test_places_are_given_at_the_lowest_cost(number: int) -> None:
    rng = np.random.default_rng(number)
    costs = [
        {place: int(rng.integers(1, 30)) for place in range(3) if rng.random() < 0.8}
        for _ in range(4)
    ]
    without = [int(rng.integers(10, 60)) for _ in costs]
    limits = [Limit(pairs=tuple((item, place) for item in range(4)), most=1) for place in range(2)]
    loads = tuple(int(load) for load in rng.integers(1, 6, 4))
    limits.append(Limit(pairs=tuple((item, 2) for item in range(4)), most=6, loads=loads))
    found = assign(costs, without, limits, within_share=0.0, work=10)
    independent = min(
        sum(without[i] if p is None else costs[i][p] for i, p in enumerate(places))
        for places in product([None, 0, 1, 2], repeat=4)
        if all(p is None or p in costs[i] for i, p in enumerate(places))
        and all(places.count(place) <= 1 for place in range(2))
        and sum(loads[i] for i, p in enumerate(places) if p == 2) <= 6
    )
    assert found.cost == found.bound == independent
