"""How long the reach of every open technique takes, against a loop over draws and a limit."""

import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from thumbwright import bootstrap
from thumbwright.core.reach.draws import Chance, drawn_hand, drawn_thumb
from thumbwright.core.reach.stages import stage_places
from thumbwright.core.reach.standing import Standing, pinch_places, stand
from thumbwright.core.reach.targets import ground
from thumbwright.core.reach.touching import ready, touch
from thumbwright.core.techniques.reaches import DRAWS, Reaches, reaches
from thumbwright.demo.making import make_case
from thumbwright.demo.people import PEOPLE
from thumbwright.pathway.plan_case import Plan, plan_case

LIMIT_S = 1.0
ROUNDS = 5
LOOPED = 20
"""Draws of the loop; its time is scaled to all draws."""


def planned(place: Path) -> Plan:
    """Plan the first of the invented people."""
    films = make_case(PEOPLE[0], place, lambda _: None)
    intake = bootstrap.take_in(place / "case.toml", films, lambda _: None)
    known = bootstrap.knowledge()
    return plan_case(intake.case, intake.films, intake.notes, known, date(2026, 11, 25))


def best(run: Callable[[], object]) -> tuple[float, float]:
    """Return the best wall-clock time and the best time of the core [s]."""
    walls, cores = [], []
    for _ in range(ROUNDS):
        wall, core = time.perf_counter(), time.process_time()
        run()
        walls.append(time.perf_counter() - wall)
        cores.append(time.process_time() - core)
    return min(walls), min(cores)


def looped(found: Reaches, standing: Standing) -> float:
    """Ask stages and pinches of every thumb one draw at a time; return the time for all [s]."""
    start = time.perf_counter()
    for reach in found.reaches:
        for at in range(LOOPED):
            luck = Chance(seed=0, normals=standing.chance.normals[:, at : at + 1])
            hand = drawn_hand(standing.spec, luck)
            limb = ready(drawn_thumb(reach.thumb, hand, luck), ground(hand))
            for places in (*stage_places(hand).values(), *pinch_places(hand).values()):
                touch(limb, places)
    return (time.perf_counter() - start) / LOOPED * DRAWS


def main() -> None:
    """Time all open techniques of one invented case, print a table."""
    with tempfile.TemporaryDirectory() as scratch:
        plan = planned(Path(scratch))
    found = reaches(plan.options, plan.situation, plan.lengths)
    wall, core = best(lambda: reaches(plan.options, plan.situation, plan.lengths))
    whole = found.whole
    loop = looped(found, stand(whole.hand, whole.thumb, 1, LOOPED))
    print("| part | s |\n|---|---|")
    print(f"| {len(found.reaches)} techniques, {DRAWS} draws, best of {ROUNDS} | {wall:.2f} |")
    print(f"| the same, time of the core | {core:.2f} |")
    print(f"| stages and pinches alone, a loop over draws (scaled from {LOOPED}) | {loop:.0f} |")
    print(f"| loop over all draws at once | {loop / wall:.0f} times |")
    print(f"| share of the limit of {LIMIT_S:g} s | {core / LIMIT_S:.2f} |")
    if core > LIMIT_S:
        sys.exit(f"{core:.2f} s is over the limit of {LIMIT_S:g} s (on a quiet machine?)")


if __name__ == "__main__":
    main()
