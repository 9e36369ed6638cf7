"""A quarter of a year played many times: cancellations, emergencies, flaps that go back.

All draws run side by side. An emergency that falls into a list is done by it, between two of its
operations; a cancelled operation leaves its time free, and the patient waits for the next list
with room; a flap in trouble goes back to theatre and uses the reserve.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.scheduling.department import DepartmentPlan
from thumbwright.core.scheduling.durations import LogNormal, drawn, from_mean_and_deviation
from thumbwright.core.scheduling.rules import FIRST_DAY_SHARE, RESERVE_HOURS
from thumbwright.core.scheduling.waiting import BETWEEN, ListDay, Waiting, in_time

BACK_TO_THEATRE = Published(
    value=15 / 250,
    unit="-",
    basis=Basis(provenance=Provenance.READ, source="del-pinal-2011", locator="abstract"),
)
"""Share of toe transfers that were explored again after the operation."""
_EMERGENCY = from_mean_and_deviation(120.0, 60.0)
"""Length of an emergency operation: a working assumption."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chances:
    """What may come between; working assumptions, to be set by the unit."""

    cancelled_prob: float = 0.06
    emergency_in_a_list_prob: float = 0.1
    """That an emergency falls into a list and is done by it."""
    emergency: LogNormal = _EMERGENCY
    back_prob: float = BACK_TO_THEATRE.value

    def __post_init__(self) -> None:
        """Refuse what is no probability."""
        probs = (self.cancelled_prob, self.emergency_in_a_list_prob, self.back_prob)
        if not all(0 <= prob <= 1 for prob in probs):
            msg = (
                f"the probabilities {probs} were given; allowed are numbers from 0 to 1; correct "
                "them"
            )
            raise ScheduleError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class ListPlay:
    """How one list goes."""

    on: ListDay
    planned_prob: float
    """That it ends in time if nothing comes between."""
    overrun_prob: float
    mean_overrun_minutes: float
    """Over all days, those in time counted as 0."""
    mean_used_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DepartmentPlay:
    """How the quarter goes."""

    lists: tuple[ListPlay, ...]
    overrun_share: float
    """Of lists, on average."""
    overrun_error_share: float
    """Standard error of that from the number of draws."""
    mean_waits_days: float
    """From agreement to operation, of those who have a list."""
    flaps: int
    reserve_used_prob: float
    """That the reserve is used at all."""
    reserve_first_day_share: float
    """Of the uses, on the first day."""
    two_at_once_prob: float
    """That two flaps of one reserve are in trouble within the same 72 hours."""
    draws: int
    seed: str


def play(
    plan: DepartmentPlan,
    chances: Chances,
    *,
    rng: np.random.Generator,
    draws: int = 4000,
) -> DepartmentPlay:
    """Play the plan many times.

    Parameters
    ----------
    plan
        Who is on which list.
    chances
        What may come between.
    rng
        Source of chance.
    draws
        How often it is played. [-]
    """
    seed = str(getattr(rng.bit_generator.seed_seq, "entropy", "not known"))
    lists = [one for one in plan.lists if plan.on(one)]
    played = [_list(plan, one, chances, rng, draws) for one in lists]
    over = np.array([late for _, late in played]).reshape(len(lists), draws)
    shares = over.mean(axis=0) if lists else np.zeros(draws)
    used, twice = _reserve(plan, chances, rng, draws)
    return DepartmentPlay(
        lists=tuple(summary for summary, _ in played),
        overrun_share=float(shares.mean()),
        overrun_error_share=float(shares.std() / np.sqrt(draws)),
        mean_waits_days=_waits(plan, chances),
        flaps=sum(one.waiting.joins_vessels and one.on is not None for one in plan.placed),
        reserve_used_prob=used,
        reserve_first_day_share=FIRST_DAY_SHARE.value,
        two_at_once_prob=twice,
        draws=draws,
        seed=seed,
    )


def _list(
    plan: DepartmentPlan, on: ListDay, chances: Chances, rng: np.random.Generator, draws: int
) -> tuple[ListPlay, np.ndarray[Any, np.dtype[np.bool_]]]:
    members = [each.waiting for each in plan.on(on)]
    lengths = drawn([one.length for one in members], rng, draws)
    comes = rng.random(lengths.shape) >= chances.cancelled_prob
    emergency = rng.random(draws) < chances.emergency_in_a_list_prob
    extra = drawn([chances.emergency], rng, draws)[:, 0] * emergency
    done = comes.sum(axis=1) + emergency
    between = drawn([BETWEEN] * max(1, len(members)), rng, draws)
    turns = np.arange(between.shape[1]) < (done - 1)[:, None]
    total = (lengths * comes).sum(axis=1) + extra + (between * turns).sum(axis=1)
    late = total > on.room_minutes
    return (
        ListPlay(
            on=on,
            planned_prob=in_time([one.length for one in members], on.room_minutes),
            overrun_prob=float(late.mean()),
            mean_overrun_minutes=float(np.maximum(total - on.room_minutes, 0).mean()),
            mean_used_share=float(np.minimum(total / on.room_minutes, 1).mean()),
        ),
        late,
    )


def _reserve(
    plan: DepartmentPlan, chances: Chances, rng: np.random.Generator, draws: int
) -> tuple[float, float]:
    days = sorted(
        one.on.day.toordinal()
        for one in plan.placed
        if one.on is not None and one.waiting.joins_vessels
    )
    if not days:
        return 0.0, 0.0
    back = rng.random((draws, len(days))) < chances.back_prob
    near = RESERVE_HOURS.value / 24
    twice = np.zeros(draws, dtype=np.bool_)
    for first in range(len(days)):
        for second in range(first + 1, len(days)):
            if days[second] - days[first] < near:
                twice |= back[:, first] & back[:, second]
    return float(back.any(axis=1).mean()), float(twice.mean())


def _waits(plan: DepartmentPlan, chances: Chances) -> float:
    """Return the mean wait, with that for the next list with room after a cancellation."""
    waits = []
    for one in plan.placed:
        if one.on is not None and one.waits_days is not None:
            again = _days_to_next(plan, one.waiting, one.on)
            waits.append(one.waits_days + chances.cancelled_prob * again)
    return float(np.mean(waits)) if waits else 0.0


def _days_to_next(plan: DepartmentPlan, one: Waiting, on: ListDay) -> int:
    for later in plan.lists:
        lengths = [each.waiting.length for each in plan.on(later)] if later.day > on.day else []
        fits = in_time([*lengths, one.length], later.room_minutes) >= plan.in_time_prob
        suits = (later.microsurgery and later.reserve) or not one.joins_vessels
        if later.day > on.day and fits and suits:
            return (later.day - on.day).days
    return (plan.lists[-1].day - on.day).days + 7
