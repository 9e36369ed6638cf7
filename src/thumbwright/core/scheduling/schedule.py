"""A treatment booked step by step, or unknown with what clashes."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.aims import Aim, Broken, Found, FromBest, StartOf
from thumbwright.core.scheduling.clash import Clash, clash_of
from thumbwright.core.scheduling.clocks import zone_of
from thumbwright.core.scheduling.problem import Problem, Request, Rule, broken
from thumbwright.core.scheduling.resources import RESERVE, Kind, TheatreList
from thumbwright.core.scheduling.rules import RESERVE_HOURS, problem_of
from thumbwright.core.scheduling.solver import Search
from thumbwright.core.scheduling.spans import Spans, met
from thumbwright.core.scheduling.treatment import StepKind, TreatmentStep

_GAP_WEIGHT = 10**6
"""One step off the best gap outweighs any start."""


class Priority(Enum):
    """What counts most among bookings that are all sound."""

    EARLIEST = "earliest"
    """The operation as early as it can be; then wishes, then the best gaps."""
    WISHES = "wishes"
    """As few wishes broken as can be; then the operation early, then the best gaps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Booking:
    """One step with its time and those who are booked for it."""

    step: TreatmentStep
    begins: datetime
    """By the clock of the unit."""
    ends: datetime
    """End of the time that is kept free for it."""
    booked_with: tuple[str, ...]
    """Names of who and what is booked."""
    keys: tuple[str, ...]
    """Their keys, with that of the list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldReserve:
    """A microsurgeon, a theatre and instruments, held for a return to theatre."""

    for_step: str
    begins: datetime
    ends: datetime
    in_the_house_hours: float
    """Hours of these in which all three are in the house."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """A booked treatment; it is proposed, and booked by people."""

    request: Request
    problem: Problem
    starts: Mapping[str, int]
    bookings: tuple[Booking, ...]
    """In order of time."""
    reserves: tuple[HeldReserve, ...]
    broken_wishes: tuple[Rule, ...]
    priority: Priority
    later: tuple[TreatmentStep, ...]
    """Later steps that only some patients need; they are named and not booked."""

    def of(self, key: str) -> Booking:
        """Return the booking of a step."""
        return next(one for one in self.bookings if one.step.key == key)


@dataclass(frozen=True, slots=True, kw_only=True)
class NoSchedule(Unknown):
    """No booking exists; the clash says why and what would settle it."""

    clash: Clash


def aims_of(problem: Problem, priority: Priority) -> tuple[Aim, ...]:
    """Return what a booking should achieve, the first before the second and so on.

    Best gaps are sought step by step in the order of the treatment: that of an earlier step
    counts more than that of a later one. So each search settles one start, and is quick.
    """
    early: Aim = (StartOf(task=problem.early),)
    wishes: Aim = tuple(
        Broken(rule=number, weight=rule.price)
        for number, rule in enumerate(problem.rules)
        if rule.wish and rule.price is not None
    )
    first = (early, wishes) if priority is Priority.EARLIEST else (wishes, early)
    return (*first, *(_step_aim(problem, task.key) for task in problem.tasks))


def _step_aim(problem: Problem, key: str) -> Aim:
    """Return that a step follows at its best distance, and begins early where that is equal."""
    gaps = tuple(
        FromBest(before=one.before, after=one.after, steps=one.steps, weight=_GAP_WEIGHT)
        for one in problem.best
        if one.after == key
    )
    return (*gaps, StartOf(task=key))


def schedule(request: Request, priority: Priority = Priority.EARLIEST) -> Schedule | Unknown:
    """Book a treatment.

    Parameters
    ----------
    request
        What is asked.
    priority
        What counts most among sound bookings.

    Returns
    -------
    Schedule | Unknown
        The same for the same request on every machine; :class:`NoSchedule` with the clash where
        no time suits.
    """
    if request.treatment.emergency:
        return Unknown(
            reason="an emergency is operated on at once, beside the lists, and is not booked",
            needed=("the surgeon on call",),
        )
    problem = problem_of(request)
    found = best_of(problem, priority)
    if found is None:
        return none_of(problem)
    return written(request, problem, found.starts, priority)


def best_of(
    problem: Problem, priority: Priority, also: frozenset[int] = frozenset()
) -> Found | None:
    """Return the best starts that keep all that must be kept, and some wishes besides."""
    demanded = frozenset(n for n, rule in enumerate(problem.rules) if not rule.wish)
    return Search(problem).best(demanded | also, aims_of(problem, priority))


def written(
    request: Request, problem: Problem, starts: Mapping[str, int], priority: Priority
) -> Schedule:
    """Return starts as bookings with names and local times."""
    bookings = tuple(
        sorted(
            (_booking(request, problem, step, starts[step.key]) for step in _steps(request)),
            key=lambda one: one.begins,
        )
    )
    return Schedule(
        request=request,
        problem=problem,
        starts=dict(starts),
        bookings=bookings,
        reserves=tuple(
            _reserve(request, problem, step, starts[step.key])
            for step in request.treatment.operations
            if step.joins_vessels
        ),
        broken_wishes=broken(problem, dict(starts)),
        priority=priority,
        later=tuple(step for step in request.treatment.steps if not step.usual),
    )


def none_of(problem: Problem) -> NoSchedule:
    """Say that no booking exists, with what clashes and what would settle it."""
    clash = clash_of(problem)
    if clash is None:
        msg = (
            "a booking was asked for that the search refused and the clash allows; allowed is one "
            "answer for the same rules; tell those who look after the program"
        )
        raise ScheduleError(msg)
    return NoSchedule(
        reason=f"no time suits. {clash.words}",
        needed=tuple(one.words for one in clash.relaxations),
        clash=clash,
    )


def _steps(request: Request) -> tuple[TreatmentStep, ...]:
    return request.treatment.booked


def _booking(request: Request, problem: Problem, step: TreatmentStep, start: int) -> Booking:
    zone = zone_of(request.clinic.zone)
    length = problem.task(step.key).length
    span: Spans = ((start, start + max(length, 1)),)
    names: list[str] = []
    keys: list[str] = []
    if step.kind is StepKind.OPERATION:
        chosen = _list_of(request, problem, step, span)
        names = [
            chosen.name,
            *(request.clinic.named(k).name for k in (chosen.theatre, chosen.surgeon)),
        ]
        keys = [chosen.key, chosen.theatre, chosen.surgeon]
    for kind in step.needs:
        if step.kind is StepKind.OPERATION and kind in {Kind.THEATRE, Kind.SURGEON}:
            continue
        one = next(
            each
            for each in request.clinic.of_kind(kind)
            if each.key not in keys and met(each.free(problem.grid), span) == span
        )
        names.append(one.name)
        keys.append(one.key)
    return Booking(
        step=step,
        begins=problem.grid.moment(start).astimezone(zone),
        ends=problem.grid.moment(start + length).astimezone(zone),
        booked_with=tuple(names),
        keys=tuple(keys),
    )


def _list_of(request: Request, problem: Problem, step: TreatmentStep, span: Spans) -> TheatreList:
    def suits(one: TheatreList) -> bool:
        surgeon, theatre = (request.clinic.named(key) for key in (one.surgeon, one.theatre))
        inside = any(
            met((opening,), span) == span for opening in one.calendar.occurrences(problem.grid)
        )
        free = all(
            met(spans, span) == span
            for spans in (
                one.calendar.open(problem.grid),
                surgeon.free(problem.grid),
                theatre.free(problem.grid),
            )
        )
        return inside and free and (surgeon.microsurgery or not step.joins_vessels)

    return next(one for one in request.clinic.lists if suits(one))


def _reserve(request: Request, problem: Problem, step: TreatmentStep, start: int) -> HeldReserve:
    grid, zone = problem.grid, zone_of(request.clinic.zone)
    first = start + problem.task(step.key).length
    last = first + round(RESERVE_HOURS.value * 12)
    there = met(request.clinic.reserve(grid, on_site=True), ((first, last),))
    return HeldReserve(
        for_step=step.key,
        begins=grid.moment(first).astimezone(zone),
        ends=grid.moment(last).astimezone(zone),
        in_the_house_hours=sum(end - begin for begin, end in there) / 12,
    )


def reserve_words(held: HeldReserve) -> str:
    """Say of a reserve what is held, until when and how much of it is in the house."""
    what = ", ".join(kind.value for kind in RESERVE)
    return (
        f"Held for a return to theatre: {what}, from {held.begins:%d %B %Y %H:%M} to "
        f"{held.ends:%d %B %Y %H:%M}; in the house for {held.in_the_house_hours:.0f} of "
        f"{RESERVE_HOURS.value:.0f} hours, within call for the others."
    )
