"""What must be, whatever else counts: a technique that fails it is out and never weighed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from thumbwright.core.comparison.criteria_data import Criteria
from thumbwright.core.comparison.criterion import Criterion, CriterionKey, Direction
from thumbwright.core.comparison.performance import Drawn, JudgedGrade, Performance
from thumbwright.core.comparison.performance_table import Performances
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.foundations.sources import Basis, Published
from thumbwright.core.techniques.eligibility import Eligibility, Verdict
from thumbwright.core.techniques.rule_answers import ASSUMED
from thumbwright.core.techniques.technique import Grade

MUST_HOLD_PROB = Published(value=0.5, unit="-", basis=ASSUMED)
"""A technique is out where a limit is less likely met than not. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class HardLimit:
    """Something without which patient or surgeon will not have a technique at all."""

    key: CriterionKey
    bound: float | Grade
    """The worst that is accepted: an amount in the unit of the criterion, or a grade. [unit]"""
    words: str
    """As the end of a sentence: "the thumb must not be more than 10 mm too short"."""
    basis: Basis | None = None
    """None for what was said in this case."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A technique that is not weighed, and why."""

    technique: str
    name: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WithinLimits:
    """Which techniques meet every limit, fail one, or cannot be judged by one."""

    kept: tuple[str, ...]
    out: tuple[LeftOut, ...]
    unsettled: tuple[LeftOut, ...]
    """Kept, but nothing is known of what the limit asks."""


def closed_ones(eligibilities: Iterable[Eligibility]) -> tuple[LeftOut, ...]:
    """Return what is closed, with what closes it; refusals are among the reasons."""
    return tuple(
        LeftOut(
            technique=one.technique.key,
            name=one.technique.short_name,
            reason=" ".join(dict.fromkeys(reason.answer.reason for reason in one.closed_by)),
        )
        for one in eligibilities
        if one.verdict is Verdict.CLOSED
    )


def within_limits(
    names: dict[str, str],
    performances: Performances,
    limits: Sequence[HardLimit],
    criteria: Criteria,
) -> WithinLimits:
    """Hold each technique against what must be.

    Parameters
    ----------
    names
        What each technique is called, by its key.
    performances
        What each gives.
    limits
        What must be.
    criteria
        Says which way is worse.

    Raises
    ------
    PlanError
        If a limit speaks of something of which no technique has a performance.
    """
    out: list[LeftOut] = []
    unsettled: list[LeftOut] = []
    for key, name in names.items():
        for limit in limits:
            given = performances.get((key, limit.key))
            if given is None:
                raise PlanError(
                    f"a limit was set on {limit.key.value}; allowed is what is known of every "
                    "technique that is weighed; hand it in, or leave the limit out"
                )
            prob = _met_prob(given, limit, criteria[limit.key])
            if prob is None:
                reason = f"it cannot be said whether it meets this: {limit.words}"
                unsettled.append(LeftOut(technique=key, name=name, reason=reason))
            elif prob < MUST_HOLD_PROB.value:
                out.append(LeftOut(technique=key, name=name, reason=_fails(limit, prob)))
                break
    fallen = {one.technique for one in out}
    return WithinLimits(
        kept=tuple(key for key in names if key not in fallen),
        out=tuple(out),
        unsettled=tuple(one for one in unsettled if one.technique not in fallen),
    )


def _met_prob(given: Performance, limit: HardLimit, criterion: Criterion) -> float | None:
    """Return how likely the limit is met; None where amount and grade cannot be compared."""
    match given, limit.bound:
        case JudgedGrade(), Grade():
            return float(given.grade >= limit.bound)
        case Drawn(), float() | int() if not isinstance(limit.bound, Grade):
            more = criterion.direction is Direction.MORE_IS_BETTER
            draws = np.asarray(given.draws)
            return float((draws >= limit.bound if more else draws <= limit.bound).mean())
        case _:
            return None


def _fails(limit: HardLimit, prob: float) -> str:
    often = "it does not" if prob == 0 else f"it does in {100 * prob:.0f} of 100 draws"
    return f"{limit.words}, and {often}."
