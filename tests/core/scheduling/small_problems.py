"""Small problems drawn by a number, and what trying every start says of them."""

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from itertools import combinations, product

import numpy as np

from thumbwright.core.scheduling.clocks import Grid
from thumbwright.core.scheduling.problem import (
    Apart,
    Best,
    Constraint,
    OneAtATime,
    Problem,
    Rule,
    StartsIn,
    Task,
    keeps,
)
from thumbwright.core.scheduling.spans import joined

STEPS = 12


def drawn_problem(number: int, *, tasks: int = 3, rules: int = 7) -> Problem:
    """Return a problem of a few tasks on twelve steps; about half can be solved."""
    rng = np.random.default_rng(number)
    names = [f"t{place}" for place in range(tasks)]
    made = tuple(
        Task(key=name, name=f"task {name}", length=int(rng.integers(1, 4))) for name in names
    )
    found = []
    for place in range(rules):
        wish = bool(rng.random() < 0.2)
        price = int(rng.integers(1, 10)) if wish or rng.random() < 0.7 else None
        found.append(
            Rule(
                name="drawn",
                words=f"Rule {place}.",
                constraints=(_constraint(rng, names),),
                price=price,
                wish=wish,
            )
        )
    best = (Best(before=names[0], after=names[1], steps=int(rng.integers(0, 5))),)
    grid = Grid(origin=datetime(2026, 1, 1, tzinfo=UTC), steps=STEPS)
    return Problem(grid=grid, tasks=made, rules=tuple(found), best=best, main=names[-1])


def _constraint(rng: np.random.Generator, names: list[str]) -> Constraint:
    kind = rng.random()
    if kind < 0.45:
        cuts = sorted(int(cut) for cut in rng.integers(0, STEPS + 1, 4))
        spans = joined([(cuts[0], cuts[1]), (cuts[2], cuts[3])]) or ((0, 3),)
        return StartsIn(task=str(rng.choice(names)), spans=spans)
    if kind < 0.9:
        before, after = (str(name) for name in rng.choice(names, 2, replace=False))
        least = int(rng.integers(-1, 5))
        most = least + int(rng.integers(0, 4)) if rng.random() < 0.6 else None
        return Apart(before=before, after=after, least=least, most=most)
    return OneAtATime(tasks=tuple(names))


def every_start(problem: Problem) -> Iterator[dict[str, int]]:
    """Yield every way to begin the tasks within the steps."""
    ranges = [range(problem.grid.steps - task.length + 1) for task in problem.tasks]
    for starts in product(*ranges):
        yield dict(zip((task.key for task in problem.tasks), starts, strict=True))


def kept_by(problem: Problem) -> list[tuple[dict[str, int], frozenset[int]]]:
    """Return every way with the numbers of the rules that it keeps."""
    lengths = problem.lengths()
    return [
        (starts, frozenset(n for n, r in enumerate(problem.rules) if keeps(r, starts, lengths)))
        for starts in every_start(problem)
    ]


def smallest_clash_size(kept: Iterable[frozenset[int]], rules: frozenset[int]) -> int | None:
    """Return how many rules the smallest clash has, by trying all sets; None if there is none."""
    known = set(kept)
    if any(rules <= one for one in known):
        return None
    return next(
        size
        for size in range(1, len(rules) + 1)
        for chosen in combinations(sorted(rules), size)
        if not any(set(chosen) <= one for one in known)
    )
