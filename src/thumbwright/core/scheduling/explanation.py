"""Why a booking is as it is: each compromise with its price, and what holds the operation back."""

from dataclasses import dataclass, replace

from thumbwright.core.scheduling.aims import StartOf
from thumbwright.core.scheduling.clocks import STEPS_A_DAY
from thumbwright.core.scheduling.problem import Problem, Rule
from thumbwright.core.scheduling.schedule import Schedule, best_of
from thumbwright.core.scheduling.solver import Search

_WORTH_SAYING_DAYS = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Compromise:
    """Something wanted that the booking does not give, and what it would cost to have it."""

    rule: Rule
    later_days: float | None
    """How much later the operation would be if it were kept; None where it cannot be kept."""

    @property
    def words(self) -> str:
        """Return it as sentences."""
        given = f"Given up, at a price of {self.rule.price}: {self.rule.words}"
        if self.later_days is None:
            return f"{given} It cannot be kept within the time that was looked at."
        if self.later_days < _WORTH_SAYING_DAYS:
            return f"{given} It could be kept on the same day, but not with all the others."
        return f"{given} To keep it, the operation would be {self.later_days:.0f} days later."


@dataclass(frozen=True, slots=True, kw_only=True)
class OffBest:
    """A gap that is not the best one."""

    words: str
    off_days: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Brake:
    """A rule without which the operation could be earlier."""

    rule: Rule
    earlier_days: float

    @property
    def words(self) -> str:
        """Return it as a sentence."""
        return (
            f"Without this the operation could be {self.earlier_days:.0f} days earlier, at a "
            f"price of {self.rule.price}: {self.rule.words}"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """What was given up, how far gaps are from the best, and what holds the operation back."""

    compromises: tuple[Compromise, ...]
    gaps: tuple[OffBest, ...]
    brakes: tuple[Brake, ...]

    @property
    def sentences(self) -> tuple[str, ...]:
        """Return all of it in sentences."""
        words = [
            *(one.words for one in self.compromises),
            *(one.words for one in self.gaps),
            *(one.words for one in self.brakes),
        ]
        return tuple(words) or ("Every wish is kept and every gap is good.",)


def explain(booked: Schedule) -> Explanation:
    """Explain a booking: each compromise with its price.

    Parameters
    ----------
    booked
        The booking.
    """
    return Explanation(
        compromises=tuple(_compromise(booked, rule) for rule in booked.broken_wishes),
        gaps=_gaps(booked),
        brakes=_brakes(booked),
    )


def _compromise(booked: Schedule, rule: Rule) -> Compromise:
    number = booked.problem.rules.index(rule)
    found = best_of(booked.problem, booked.priority, frozenset({number}))
    early = booked.problem.early
    return Compromise(
        rule=rule,
        later_days=None
        if found is None
        else (found.starts[early] - booked.starts[early]) / STEPS_A_DAY,
    )


def _gaps(booked: Schedule) -> tuple[OffBest, ...]:
    problem, found = booked.problem, []
    for one in problem.best:
        before, after = problem.task(one.before), problem.task(one.after)
        gap = booked.starts[one.after] - booked.starts[one.before] - before.length
        off_days = (gap - one.steps) / STEPS_A_DAY
        if abs(off_days) >= _WORTH_SAYING_DAYS:
            words = (
                f"{after.name[:1].upper()}{after.name[1:]} comes {gap / STEPS_A_DAY:.0f} days "
                f"after {before.name}; {one.steps / STEPS_A_DAY:.0f} would be best."
            )
            found.append(OffBest(words=words, off_days=off_days))
    return tuple(found)


def _brakes(booked: Schedule) -> tuple[Brake, ...]:
    """Return the rules without any one of which the operation could be earlier by a day."""
    problem = booked.problem
    found = []
    for number, rule in enumerate(problem.rules):
        if rule.price is None or rule.wish:
            continue
        earliest = _earliest_without(problem, number)
        earlier_days = (booked.starts[problem.early] - earliest) / STEPS_A_DAY
        if earlier_days >= _WORTH_SAYING_DAYS:
            found.append(Brake(rule=rule, earlier_days=earlier_days))
    return tuple(sorted(found, key=lambda one: (-one.earlier_days, one.rule.words)))


def _earliest_without(problem: Problem, number: int) -> int:
    """Return the earliest start of the main task if one rule is given up; the rest is sound."""
    rest = replace(problem, rules=(*problem.rules[:number], *problem.rules[number + 1 :]))
    demanded = [place for place, rule in enumerate(rest.rules) if not rule.wish]
    found = Search(rest).best(demanded, ((StartOf(task=problem.early),),))
    return 10**9 if found is None else found.starts[problem.early]
