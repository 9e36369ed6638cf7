"""The first order of the techniques: hard facts first, then the patient's goals."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.criteria import Criterion, criteria
from thumbwright.core.comparison.standing import Standing, standing_of
from thumbwright.core.comparison.weights import Weights, weights_from_goals
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.eligibility import Eligibility, Verdict
from thumbwright.core.techniques.rule_answers import listed
from thumbwright.core.techniques.situation import Situation, most_probable_level
from thumbwright.core.techniques.technique import Take, Technique

Judged = tuple[Eligibility, tuple[Criterion, ...]]

_MOST_NAMED = 3
_TAKEN_ONCE = {Take.FINGER}
"""A hand that has just lost one finger to a thumb that failed is not asked for another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedRow:
    """One technique that is open, or would be once something is settled."""

    eligibility: Eligibility
    criteria: tuple[Criterion, ...]
    standing: Standing
    rank: int
    """Its rank among the open ones; for one not yet settled the rank it would have."""

    @property
    def technique(self) -> Technique:
        """Return the technique."""
        return self.eligibility.technique

    @property
    def is_settled(self) -> bool:
        """Return whether the technique is open now."""
        return self.eligibility.verdict is Verdict.OPEN

    @property
    def score_share(self) -> float:
        """Return the share of the weighted goals that it gives [-]."""
        return 1 - self.standing.lacking_share

    def grade_of(self, goal: Goal) -> Criterion:
        """Return what it gives of one goal."""
        return next(one for one in self.criteria if one.goal is goal)


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """The open techniques in order, those that wait, and what follows from them."""

    open_rows: tuple[RankedRow, ...]
    waiting_rows: tuple[RankedRow, ...]
    """Not yet settled; by the rank they would have."""
    plan_a: RankedRow | Unknown
    fallbacks: tuple[RankedRow, ...]
    """Open techniques without microsurgery that could follow plan A, in order."""
    fallback: RankedRow | Unknown
    weights: Weights


def put_in_order(
    eligibilities: Iterable[Eligibility], situation: Situation, weights: Weights | None = None
) -> Order:
    """Put the techniques of one case in their first order.

    Parameters
    ----------
    eligibilities
        The verdicts on all techniques, in any order.
    situation
        The case.
    weights
        How much each goal counts; from the patient's order of goals where none are given.

    Returns
    -------
    Order
        Closed techniques are left out.
    """
    judged = [
        (one, criteria(one.technique, situation))
        for one in eligibilities
        if one.verdict is not Verdict.CLOSED
    ]
    return order_of(judged, situation, weights)


def order_of(
    judged: Iterable[Judged], situation: Situation, weights: Weights | None = None
) -> Order:
    """Put techniques in their first order of which is known already what they give.

    Parameters
    ----------
    judged
        The verdicts on techniques that are not closed, each with its table of criteria.
    situation
        The case.
    weights
        How much each goal counts; from the patient's order of goals where none are given.
    """
    used = weights_from_goals(situation) if weights is None else weights
    placed = sorted(
        ((one, table, standing_of(one, table, used, situation)) for one, table in judged),
        key=lambda entry: entry[2].order,
    )
    opened = [entry[2].order for entry in placed if entry[0].verdict is Verdict.OPEN]
    rows = tuple(
        RankedRow(
            eligibility=one,
            criteria=table,
            standing=standing,
            rank=1 + sum(order < standing.order for order in opened),
        )
        for one, table, standing in placed
    )
    return _order(rows, used, most_probable_level(situation))


def _order(rows: tuple[RankedRow, ...], weights: Weights, level: Level | Unknown) -> Order:
    open_rows = tuple(row for row in rows if row.is_settled)
    waiting_rows = tuple(row for row in rows if not row.is_settled)
    plan_a = _first(open_rows, waiting_rows, "reconstruction", level)
    used = None if isinstance(plan_a, Unknown) else plan_a.technique
    others = [row for row in rows if could_follow(row.technique, used)]
    fallbacks = tuple(row for row in others if row.is_settled)
    fallback = _first(
        fallbacks,
        tuple(row for row in others if not row.is_settled),
        "further reconstruction without microsurgery",
        level,
    )
    return Order(
        open_rows=open_rows,
        waiting_rows=waiting_rows,
        plan_a=plan_a,
        fallbacks=fallbacks,
        fallback=fallback,
        weights=weights,
    )


def could_follow(technique: Technique, plan_a: Technique | None) -> bool:
    """Return whether a technique could be done, without microsurgery, once plan A has failed."""
    if technique is plan_a or technique.needs_microsurgery:
        return False
    used = set() if plan_a is None else set(plan_a.takes)
    return not used & _TAKEN_ONCE & set(technique.takes)


def _first(
    opened: Sequence[RankedRow],
    waiting: Sequence[RankedRow],
    what: str,
    level: Level | Unknown,
) -> RankedRow | Unknown:
    """Choose the first reconstruction; only if none can open, the first of what else is left.

    What is open is not chosen while something waits that hard facts put before it: nobody gives
    a sound finger because a joint was not examined.
    """
    rebuilt = [row for row in opened if row.technique.family.rebuilds]
    hopeful = [row for row in waiting if row.technique.family.rebuilds]
    if rebuilt:
        facts = rebuilt[0].standing.hard_facts
        better = [row for row in hopeful if row.standing.hard_facts < facts]
        return _not_before(better, rebuilt[0]) if better else rebuilt[0]
    if hopeful:
        return _not_yet(hopeful, what, level)
    if opened:
        return opened[0]
    return Unknown(reason=f"no {what} is open, and none would open by a finding")


def _not_before(better: list[RankedRow], opened: RankedRow) -> Unknown:
    first = better[0]
    return Unknown(
        reason=f"{first.technique.short_name} may yet open and would come before "
        f"{opened.technique.short_name}, which is open; {_wanting(first)}",
        needed=first.eligibility.would_settle,
    )


def _not_yet(hopeful: list[RankedRow], what: str, level: Level | Unknown) -> Unknown:
    if isinstance(level, Unknown):
        return Unknown(
            reason=f"the level of loss is not known ({level.reason}) and no {what} is open "
            "without it",
            needed=level.needed or ("the level of loss",),
        )
    first = hopeful[0]
    names = [row.technique.short_name for row in hopeful]
    more = len(names) - _MOST_NAMED
    named = listed(names[:_MOST_NAMED] + ([f"{more} more"] if more > 0 else []))
    return Unknown(
        reason=f"no {what} is open yet; what may open: {named}; for "
        f"{first.technique.short_name} {_wanting(first)}",
        needed=first.eligibility.would_settle,
    )


def _wanting(row: RankedRow) -> str:
    return f"these findings are wanting: {'; '.join(row.eligibility.would_settle)}"
