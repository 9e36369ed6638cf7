"""Books anew after something has changed: moves as little as possible, and says what and why."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.aims import Moved, MovedBy
from thumbwright.core.scheduling.clocks import zone_of
from thumbwright.core.scheduling.problem import (
    Apart,
    Constraint,
    OneAtATime,
    Problem,
    Request,
    Rule,
    StartsIn,
    keeps,
)
from thumbwright.core.scheduling.rules import problem_of
from thumbwright.core.scheduling.schedule import Schedule, aims_of, none_of, written
from thumbwright.core.scheduling.solver import Search
from thumbwright.core.scheduling.treatment import StepKind

_OPERATION_WEIGHT = 10
"""Moving an operation counts as much as moving ten appointments: a working assumption."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A step that gets another time, and why."""

    step: str
    name: str
    was: datetime
    now: datetime
    why: tuple[str, ...]

    @property
    def words(self) -> str:
        """Return it as a sentence."""
        return (
            f"{self.name[:1].upper()}{self.name[1:]} moves from {self.was:%d %B %Y %H:%M} to "
            f"{self.now:%d %B %Y %H:%M}. {' '.join(self.why)}"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """The new booking and what was moved for it."""

    schedule: Schedule
    moves: tuple[Move, ...]


def replan(old: Schedule, request: Request, now: datetime) -> Replanned | Unknown:
    """Book anew, moving as few steps as can be, and those as little as can be.

    Parameters
    ----------
    old
        The booking that stands.
    request
        What is asked now: another calendar, another engagement. Its first day and its treatment
        are those of the old one.
    now
        What has begun before is left as it is.

    Raises
    ------
    ScheduleError
        If the request is about another treatment or begins on another day.
    """
    if request.not_before != old.request.not_before or request.treatment != old.request.treatment:
        msg = (
            f"a change was asked for from {request.not_before} with the treatment "
            f"'{request.treatment.pattern}'; allowed is the treatment and the first day of the "
            f"booking that stands ({old.request.not_before}); book anew instead"
        )
        raise ScheduleError(msg)
    asked = problem_of(request)
    past = {key for key, start in old.starts.items() if asked.grid.moment(start) < now}
    problem = _with_the_past(asked, old.starts, past, asked.grid.ceiling(now))
    weights = {
        step.key: _OPERATION_WEIGHT if step.kind is StepKind.OPERATION else 1
        for step in request.treatment.booked
    }
    few = tuple(Moved(task=k, was=v, weight=weights[k]) for k, v in old.starts.items())
    little = tuple(MovedBy(task=k, was=v, weight=weights[k]) for k, v in old.starts.items())
    demanded = [number for number, rule in enumerate(problem.rules) if not rule.wish]
    found = Search(problem).best(demanded, (few, little, *aims_of(problem, old.priority)))
    if found is None:
        return none_of(problem)
    return Replanned(
        schedule=written(request, problem, found.starts, old.priority),
        moves=_moves(problem, old, found.starts),
    )


def _with_the_past(
    problem: Problem, starts: Mapping[str, int], past: set[str], now: int
) -> Problem:
    """Return the problem with what has begun fixed, and the rest from now on."""
    rules = [
        replace(rule, constraints=kept)
        for rule in problem.rules
        if (kept := tuple(one for one in rule.constraints if not _concerns_past(one, past)))
    ]
    fixed = tuple(
        StartsIn(task=key, spans=((starts[key], starts[key] + 1),)) for key in sorted(past)
    )
    ahead = tuple(
        StartsIn(task=task.key, spans=((min(now, problem.grid.steps), problem.grid.steps),))
        for task in problem.tasks
        if task.key not in past
    )
    for words, constraints in (
        ("What has begun is not moved.", fixed),
        ("Nothing is moved into the past.", ahead),
    ):
        if constraints:
            rules.append(Rule(name="the_past_is_past", words=words, constraints=constraints))
    return replace(problem, rules=tuple(rules))


def _concerns_past(one: Constraint, past: set[str]) -> bool:
    if isinstance(one, StartsIn):
        return one.task in past
    if isinstance(one, OneAtATime):
        return False
    return one.before in past and one.after in past


def _moves(problem: Problem, old: Schedule, starts: Mapping[str, int]) -> tuple[Move, ...]:
    zone, lengths = zone_of(old.request.clinic.zone), problem.lengths()
    was = dict(old.starts)
    moved = [task for task in problem.tasks if starts[task.key] != was[task.key]]
    hurt = [rule for rule in problem.rules if not rule.wish and not keeps(rule, was, lengths)]
    found = []
    for task in moved:
        why = [f"Otherwise this would be broken: {r.words}" for r in hurt if _names(r, task.key)]
        found.append(
            Move(
                step=task.key,
                name=task.name,
                was=problem.grid.moment(was[task.key]).astimezone(zone),
                now=problem.grid.moment(starts[task.key]).astimezone(zone),
                why=tuple(why) or ("It follows another step that moves.",),
            )
        )
    return tuple(found)


def _names(rule: Rule, task: str) -> bool:
    for one in rule.constraints:
        if isinstance(one, StartsIn) and one.task == task:
            return True
        if isinstance(one, Apart) and task in {one.before, one.after}:
            return True
    return False
