"""The rules of a booking: each one function, in words and as a constraint.

A rule without a price is never given up, because the patient would come to harm. The others
name what giving them up costs, so that a clash can be settled at the lowest price. The prices
of the unit are working assumptions from 1 (a telephone call) to 100 (hardly possible).
"""

from collections.abc import Callable, Iterator
from datetime import time, timedelta
from itertools import chain
from math import ceil

from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.scheduling.clocks import STEP_MINUTES, Grid, moment_of, steps_of
from thumbwright.core.scheduling.problem import (
    Apart,
    Best,
    OneAtATime,
    Problem,
    Request,
    Rule,
    StartsIn,
    Task,
)
from thumbwright.core.scheduling.resources import Kind, TheatreList, Who
from thumbwright.core.scheduling.spans import Spans, joined, met, where_it_fits, without
from thumbwright.core.scheduling.treatment import StepKind, TreatmentStep

_FLAPS = Basis(provenance=Provenance.READ, source="chen-2007", locator="abstract")
RESERVE_HOURS = Published(value=72, unit="h", basis=_FLAPS)
"""Signs of trouble came within 72 hours in 108 of 113 flaps that were explored again."""
FIRST_DAY_SHARE = Published(value=93 / 113, unit="-", basis=_FLAPS)
"""Share of first signs that came within 24 hours."""
LATER_DAYS_SHARE = Published(value=15 / 113, unit="-", basis=_FLAPS)
"""Share that came between 24 and 72 hours."""

_PRICE = {
    Kind.THEATRE: 40,
    Kind.SURGEON: 50,
    Kind.SECOND_TEAM: 30,
    Kind.ANAESTHETIST: 20,
    Kind.LONG_CASE_ANAESTHETIST: 30,
    Kind.MICROSCOPE: 35,
    Kind.INSTRUMENTS: 25,
    Kind.BED: 25,
    Kind.CLINIC: 5,
    Kind.IMAGING: 10,
    Kind.THERAPIST: 5,
    Kind.WARD: 5,
}
_LISTED = frozenset({Kind.THEATRE, Kind.SURGEON})
_HARDLY = 90
"""Price of holding an operation although its list would probably overrun."""
_LATE = 60
"""Price of going beyond a latest day."""

RuleMaker = Callable[[Request, Grid], Iterator[Rule]]


def planned_minutes(request: Request, step: TreatmentStep) -> float:
    """Return the time that is kept free for a step [min].

    An operation gets what it keeps to with the chosen probability; what has no list gets its mean.
    """
    if step.kind is StepKind.OPERATION:
        return step.length.quantile(request.in_time_prob)
    return step.length.mean_minutes


def planned_steps(request: Request, step: TreatmentStep) -> int:
    """Return the time that is kept free for a step [steps]."""
    return ceil(planned_minutes(request, step) / STEP_MINUTES - 1e-9)


def a_step_waits_for_the_earlier_one(request: Request, _: Grid) -> Iterator[Rule]:
    """Let no step come before the earliest day after the step that it builds on."""
    for step in request.treatment.booked:
        for gap in step.gaps:
            yield Rule(
                name="a_step_waits_for_the_earlier_one",
                words=(
                    f"{_cap(step.name)} comes {_days(gap.earliest_days)} or more after "
                    f"{_name(request, gap.after)}."
                ),
                constraints=(
                    Apart(before=gap.after, after=step.key, least=steps_of(gap.earliest_days)),
                ),
            )


def a_step_does_not_come_too_late(request: Request, grid: Grid) -> Iterator[Rule]:
    """Let no step come after the latest day after the step that it builds on."""
    for step in request.treatment.booked:
        for gap in step.gaps:
            if gap.latest_days is not None:
                at_once = gap.latest_days == 0
                yield Rule(
                    name="a_step_does_not_come_too_late",
                    words=(
                        f"{_cap(step.name)} comes at most {_days(gap.latest_days)} after "
                        f"{_name(request, gap.after)}."
                    ),
                    constraints=(
                        Apart(
                            before=gap.after,
                            after=step.key,
                            least=-grid.steps,
                            most=steps_of(gap.latest_days),
                        ),
                    ),
                    price=None if at_once else _LATE,
                )


def the_patient_is_in_one_place(request: Request, _: Grid) -> Iterator[Rule]:
    """Let no two steps of one patient overlap."""
    if len(request.treatment.booked) > 1:
        yield Rule(
            name="the_patient_is_in_one_place",
            words="No two steps overlap, because the patient is in one place.",
            constraints=(OneAtATime(tasks=tuple(one.key for one in request.treatment.booked)),),
        )


def an_operation_has_a_list_that_ends_in_time(request: Request, grid: Grid) -> Iterator[Rule]:
    """Put an operation into one list that ends in time, at the probability that was chosen."""
    for step in request.treatment.operations:
        length = planned_steps(request, step)
        spans = joined(
            chain.from_iterable(_ending(one, grid, length) for one in _fit(request, step))
        )
        yield Rule(
            name="an_operation_has_a_list_that_ends_in_time",
            words=(
                f"{_cap(step.name)} lies in one list"
                f"{' of a microsurgeon' if step.joins_vessels else ''} and ends with it, at a "
                f"probability of {request.in_time_prob:.0%} ({length * STEP_MINUTES} minutes)."
            ),
            constraints=(StartsIn(task=step.key, spans=spans),),
            price=_HARDLY,
        )


def theatre_and_surgeon_of_the_list_are_free(request: Request, grid: Grid) -> Iterator[Rule]:
    """Demand that a list, its theatre and its surgeon are neither away nor booked."""
    for step in request.treatment.operations:
        length = planned_steps(request, step)
        lists = _fit(request, step)
        spans = joined(chain.from_iterable(_staffed(request, one, grid, length) for one in lists))
        yield Rule(
            name="theatre_and_surgeon_of_the_list_are_free",
            words=f"A list, its theatre and its surgeon are free throughout {step.name}.",
            constraints=(StartsIn(task=step.key, spans=spans),),
            price=_PRICE[Kind.SURGEON],
        )


def it_is_one_and_the_same_list(request: Request, grid: Grid) -> Iterator[Rule]:
    """Let the list that ends in time be the one that is free, where lists run side by side."""
    for step in request.treatment.operations:
        length = planned_steps(request, step)
        lists = _fit(request, step)
        ends = [joined(_ending(one, grid, length)) for one in lists]
        free = [joined(_staffed(request, one, grid, length)) for one in lists]
        both = joined(chain.from_iterable(met(*pair) for pair in zip(ends, free, strict=True)))
        apart = met(joined(chain.from_iterable(ends)), joined(chain.from_iterable(free)))
        if both != apart:
            yield Rule(
                name="it_is_one_and_the_same_list",
                words=f"The list that ends in time after {step.name} is the one that is free.",
                constraints=(StartsIn(task=step.key, spans=both),),
                price=_HARDLY,
            )


def whoever_is_needed_is_there(request: Request, grid: Grid) -> Iterator[Rule]:
    """Demand that one of each other kind that a step needs is free for all of it."""
    for step in request.treatment.booked:
        for kind in step.needs:
            if step.kind is StepKind.OPERATION and kind in _LISTED:
                continue
            spans = _free(request, kind, grid, planned_steps(request, step))
            yield Rule(
                name="whoever_is_needed_is_there",
                words=f"{_article(kind)} is free for {step.name}.",
                constraints=(StartsIn(task=step.key, spans=spans),),
                price=_PRICE[kind],
            )


def the_reserve_is_held(request: Request, grid: Grid) -> Iterator[Rule]:
    """Hold a microsurgeon, a theatre and instruments for 72 hours after vessels are joined."""
    held = round(RESERVE_HOURS.value * 60 / STEP_MINUTES)
    reserve = request.clinic.reserve(grid)
    for step in request.treatment.operations:
        if step.joins_vessels:
            length = planned_steps(request, step)
            yield Rule(
                name="the_reserve_is_held",
                words=(
                    "A microsurgeon, a theatre and the instruments can be had at any hour for "
                    f"{RESERVE_HOURS.value:.0f} hours after {step.name}."
                ),
                constraints=(StartsIn(task=step.key, spans=_then(reserve, length, 0, held)),),
            )


def the_reserve_is_in_the_house(request: Request, grid: Grid) -> Iterator[Rule]:
    """Prefer starts after which those who would operate again are in the house by day."""
    on_site = request.clinic.reserve(grid, on_site=True)
    six_hours = round(6 * 60 / STEP_MINUTES)
    for step in request.treatment.operations:
        if not step.joins_vessels:
            continue
        length = planned_steps(request, step)
        for share, words, first, last in (
            (FIRST_DAY_SHARE, "day after", 0, steps_of(1)),
            (LATER_DAYS_SHARE, "second and third day after", steps_of(1), steps_of(3)),
        ):
            spans = _mostly(on_site, length, (first, last), six_hours)
            yield Rule(
                name="the_reserve_is_in_the_house",
                words=(
                    f"In the {words} {step.name} those who would operate again are in the house "
                    "for six hours at least."
                ),
                constraints=(StartsIn(task=step.key, spans=spans),),
                price=max(1, round(100 * share.value)),
                wish=True,
            )


def the_patient_can_come(request: Request, grid: Grid) -> Iterator[Rule]:
    """Leave patient and guardian free for what they have to do, or want to do."""
    whole: Spans = ((0, grid.steps),)
    for one in request.engagements:
        free = without(whole, joined(one.busy.occurrences(grid)))
        constraints = tuple(
            StartsIn(task=step.key, spans=where_it_fits(free, planned_steps(request, step)))
            for step in request.treatment.booked
            if _concerns(one.who, step, only_appointments=one.only_appointments)
        )
        if constraints:
            yield Rule(
                name="the_patient_can_come",
                words=f"{_cap(one.who.value)} is left free for {one.name}.",
                constraints=constraints,
                price=one.price,
                wish=one.price is not None,
            )


def the_first_operation_is_soon_enough(request: Request, grid: Grid) -> Iterator[Rule]:
    """Put the first operation before a last day, where waiting does harm."""
    if request.operate_by is not None and request.treatment.operations:
        last = moment_of(request.operate_by + timedelta(days=1), time(0), request.clinic.zone)
        first = request.treatment.operations[0]
        yield Rule(
            name="the_first_operation_is_soon_enough",
            words=(
                f"{_cap(first.name)} begins on {request.operate_by:%d %B %Y} at the latest"
                f"{', because ' + request.why_by if request.why_by else ''}."
            ),
            constraints=(StartsIn(task=first.key, spans=((0, max(0, grid.floor(last))),)),),
        )


RULES: tuple[RuleMaker, ...] = (
    a_step_waits_for_the_earlier_one,
    a_step_does_not_come_too_late,
    the_patient_is_in_one_place,
    an_operation_has_a_list_that_ends_in_time,
    theatre_and_surgeon_of_the_list_are_free,
    it_is_one_and_the_same_list,
    whoever_is_needed_is_there,
    the_reserve_is_held,
    the_reserve_is_in_the_house,
    the_patient_can_come,
    the_first_operation_is_soon_enough,
)


def problem_of(request: Request) -> Problem:
    """Return the question as tasks and rules."""
    grid = request.grid
    steps = request.treatment.booked
    operations = request.treatment.operations
    return Problem(
        grid=grid,
        tasks=tuple(
            Task(key=step.key, name=step.name, length=planned_steps(request, step))
            for step in steps
        ),
        rules=tuple(chain.from_iterable(make(request, grid) for make in RULES)),
        best=tuple(
            Best(before=gap.after, after=step.key, steps=steps_of(gap.best_days))
            for step in steps
            for gap in step.gaps
        ),
        main=operations[0].key if operations else "",
    )


def _fit(request: Request, step: TreatmentStep) -> tuple[TheatreList, ...]:
    """Return the lists whose surgeon can do the operation."""
    return tuple(
        one
        for one in request.clinic.lists
        if request.clinic.named(one.surgeon).microsurgery or not step.joins_vessels
    )


def _ending(one: TheatreList, grid: Grid, length: int) -> Iterator[tuple[int, int]]:
    for opening in one.calendar.occurrences(grid):
        yield from where_it_fits((opening,), length)


def _staffed(
    request: Request, one: TheatreList, grid: Grid, length: int
) -> Iterator[tuple[int, int]]:
    theatre, surgeon = (request.clinic.named(key).free(grid) for key in (one.theatre, one.surgeon))
    free = without(met(theatre, surgeon), one.calendar.booked(grid))
    yield from met(where_it_fits(free, length), joined(one.calendar.occurrences(grid)))


def _free(request: Request, kind: Kind, grid: Grid, length: int) -> Spans:
    found = request.clinic.of_kind(kind)
    return joined(span for one in found for span in where_it_fits(one.free(grid), length))


def _then(spans: Spans, length: int, first: int, last: int) -> Spans:
    """Return starts after which the stretch from first to last after the end lies in the spans."""
    shift = length + first
    return met(
        joined((begin - shift, end - shift) for begin, end in where_it_fits(spans, last - first)),
        ((0, 10**7),),
    )


def _mostly(spans: Spans, length: int, stretch: tuple[int, int], least: int) -> Spans:
    """Return starts after whose end so many steps of the stretch lie in the spans."""
    first, last = stretch
    found = []
    for begin, end in spans:
        overlap = min(least, end - begin)
        if overlap == least:
            found.append((begin + least - last - length, end - least - first - length + 1))
    return met(joined(found), ((0, 10**7),))


def _concerns(who: Who, step: TreatmentStep, *, only_appointments: bool) -> bool:
    """Tell whether an engagement can clash with a step; a guardian need not watch all the time."""
    if only_appointments and not step.kind.is_appointment:
        return False
    return who is Who.PATIENT or step.kind is not StepKind.OBSERVATION


def _article(kind: Kind) -> str:
    if kind is Kind.INSTRUMENTS:
        return "A set of microsurgical instruments"
    word = {
        Kind.CLINIC: "room in the clinic",
        Kind.IMAGING: "place for imaging",
        Kind.WARD: "nurse of the ward",
    }.get(kind)
    word = word or kind.value
    return f"{'An' if word[0] in 'aeiou' else 'A'} {word}"


def _name(request: Request, key: str) -> str:
    return next(step.name for step in request.treatment.steps if step.key == key)


def _days(days: float) -> str:
    if days < 1:
        return f"{days * 24:.0f} hours"
    return "1 day" if days == 1 else f"{days:g} days"


def _cap(words: str) -> str:
    return words[:1].upper() + words[1:]
