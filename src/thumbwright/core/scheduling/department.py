"""Many patients on shared lists: who is operated on when, for a quarter of a year.

Each patient gets a list or none. The search may return a plan in which a list would overrun;
what it teaches is added as a limit, the plan is mended, and the search is repeated until the
mended plan is close to the bound. No good plan is lost by a limit, so the bound stands.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.sitting import Sitting
from thumbwright.core.scheduling.solver import assign
from thumbwright.core.scheduling.waiting import ListDay, Placed, Waiting

_MOST_ROUNDS = 8
_WITHIN_SHARE = 0.008
_GOOD_ENOUGH_SHARE = 0.018


@dataclass(frozen=True, slots=True, kw_only=True)
class DepartmentPlan:
    """Who is on which list, and how far from the best that can be at most."""

    placed: tuple[Placed, ...]
    lists: tuple[ListDay, ...]
    in_time_prob: float
    cost: int
    """Weighted days of waiting, late days counted more and more."""
    bound: int
    """No plan costs less."""

    @property
    def gap_share(self) -> float:
        """Return by which share of its cost the plan may be from the best one."""
        return 0.0 if self.cost == 0 else (self.cost - self.bound) / self.cost

    def on(self, one: ListDay) -> tuple[Placed, ...]:
        """Return who is on a list, the longest operation first."""
        found = [each for each in self.placed if each.on == one]
        return tuple(
            sorted(found, key=lambda each: (-each.waiting.length.mean_minutes, each.waiting.key))
        )


def plan_department(
    waiting: Sequence[Waiting],
    lists: Sequence[ListDay],
    *,
    in_time_prob: float = 0.8,
    flaps_per_reserve: int = 2,
    work: float = 4.0,
) -> DepartmentPlan:
    """Give each patient a list.

    Parameters
    ----------
    waiting
        Who waits.
    lists
        The lists of the coming weeks.
    in_time_prob
        Probability with which each list must end in time. [-]
    flaps_per_reserve
        How many flaps may share one reserve within 72 hours. [-]
    work
        Limit of each search. [deterministic seconds]

    Raises
    ------
    ScheduleError
        If nobody waits, there is no list, or the numbers make no sense.
    """
    if not waiting or not lists or not 0.5 <= in_time_prob < 1 or flaps_per_reserve < 1:
        msg = (
            f"{len(waiting)} patients, {len(lists)} lists, a probability of {in_time_prob} and "
            f"{flaps_per_reserve} flaps for one reserve were given; allowed are at least one of "
            "each, and a probability from 0.5 to below 1; correct it"
        )
        raise ScheduleError(msg)
    sitting = Sitting(waiting=tuple(waiting), lists=tuple(lists), in_time_prob=in_time_prob)
    limits = [
        *sitting.never_together(),
        *sitting.by_load(),
        *sitting.by_reserve(flaps_per_reserve),
    ]
    costs, none = sitting.costs(), sitting.costs_of_none()

    def cost_of(places: Sequence[int | None]) -> int:
        return sum(none[n] if at is None else costs[n][at] for n, at in enumerate(places))

    best, bound = sitting.mended([None] * len(waiting), costs, flaps_per_reserve), 0
    for _ in range(_MOST_ROUNDS):
        answer = assign(costs, none, limits, within_share=_WITHIN_SHARE, work=work)
        bound = max(bound, answer.bound)
        mended = sitting.mended(answer.places, costs, flaps_per_reserve)
        best = min(best, mended, key=cost_of)
        learned = sitting.overrun(answer)
        if not learned or cost_of(best) - bound <= _GOOD_ENOUGH_SHARE * bound:
            break
        limits += learned
    cost = cost_of(best)
    return DepartmentPlan(
        placed=tuple(
            Placed(waiting=one, on=None if place is None else lists[place])
            for one, place in zip(waiting, best, strict=True)
        ),
        lists=tuple(lists),
        in_time_prob=in_time_prob,
        cost=cost,
        bound=min(bound, cost),
    )
