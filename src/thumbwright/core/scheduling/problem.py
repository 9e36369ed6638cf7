"""The facts of one scheduling question, and the same as tasks and rules on a grid of steps."""

from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.clocks import Grid, grid_from
from thumbwright.core.scheduling.resources import Clinic, Engagement
from thumbwright.core.scheduling.spans import Spans, holds
from thumbwright.core.scheduling.treatment import Treatment


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What is asked: this treatment, in this unit, for this patient, from this day."""

    treatment: Treatment
    clinic: Clinic
    engagements: tuple[Engagement, ...] = ()
    not_before: date
    """First day on which anything can be booked."""
    weeks: int = 52
    """How far ahead is looked. [weeks]"""
    in_time_prob: float = 0.8
    """Probability with which a list must end in time."""
    operate_by: date | None = None
    """Last day for the first operation, where waiting does harm."""
    why_by: str = ""
    """Why then: "the wound is open"."""

    def __post_init__(self) -> None:
        """Refuse a question that has no answer."""
        if not (0.5 <= self.in_time_prob < 1 and 1 <= self.weeks <= 104 and self._ends_late()):
            msg = (
                f"a booking within {self.weeks} weeks, in time with the probability "
                f"{self.in_time_prob}, from {self.not_before}, by {self.operate_by} was asked for; "
                "allowed are 1 to 104 weeks, a probability from 0.5 to below 1, and a last day not "
                "before the first; correct it"
            )
            raise ScheduleError(msg)

    def _ends_late(self) -> bool:
        return self.operate_by is None or self.operate_by >= self.not_before

    @property
    def grid(self) -> Grid:
        """Return the steps in which it is reckoned."""
        return grid_from(self.not_before, self.clinic.zone, self.weeks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A step that gets a time."""

    key: str
    name: str
    length: int
    """Steps that are kept free for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StartsIn:
    """A task begins within some stretches."""

    task: str
    spans: Spans


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """So many steps lie between the end of one task and the start of another."""

    before: str
    after: str
    least: int
    most: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OneAtATime:
    """No two of these tasks overlap."""

    tasks: tuple[str, ...]


Constraint = StartsIn | Apart | OneAtATime


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule in words, and the same as constraints."""

    name: str
    """Of the function that made it."""
    words: str
    """A whole sentence."""
    constraints: tuple[Constraint, ...]
    price: int | None = None
    """What giving it up costs; None where it is never given up."""
    wish: bool = False
    """Whether a booking may break it, at its price."""

    def __post_init__(self) -> None:
        """Refuse a wish without a price."""
        if self.wish and self.price is None:
            msg = (
                f"the wish '{self.words}' was given without a price; allowed is a whole number "
                "above 0; state what giving it up costs"
            )
            raise ScheduleError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Best:
    """The gap that would be best between two tasks."""

    before: str
    after: str
    steps: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Tasks and rules; any booking that obeys the rules is sound."""

    grid: Grid
    tasks: tuple[Task, ...]
    rules: tuple[Rule, ...]
    best: tuple[Best, ...] = ()
    main: str = ""
    """Key of the task that should come early; without it the last one."""

    def task(self, key: str) -> Task:
        """Return a task by its key."""
        return next(task for task in self.tasks if task.key == key)

    @property
    def early(self) -> str:
        """Return the key of the task that should come early."""
        return self.main or self.tasks[-1].key

    def lengths(self) -> dict[str, int]:
        """Return the length of each task by its key [steps]."""
        return {task.key: task.length for task in self.tasks}


def keeps(rule: Rule, starts: dict[str, int], lengths: dict[str, int]) -> bool:
    """Tell whether starts obey a rule; written apart from the solver, to check it."""
    return all(_holds(one, starts, lengths) for one in rule.constraints)


def broken(problem: Problem, starts: dict[str, int]) -> tuple[Rule, ...]:
    """Return the rules that starts break."""
    lengths = problem.lengths()
    return tuple(rule for rule in problem.rules if not keeps(rule, starts, lengths))


def _holds(one: Constraint, starts: dict[str, int], lengths: dict[str, int]) -> bool:
    if isinstance(one, StartsIn):
        return holds(one.spans, starts[one.task])
    if isinstance(one, OneAtATime):
        bars = sorted((starts[task], starts[task] + lengths[task]) for task in one.tasks)
        return all(before[1] <= after[0] for before, after in pairwise(bars))
    gap = starts[one.after] - starts[one.before] - lengths[one.before]
    return gap >= one.least and (one.most is None or gap <= one.most)
