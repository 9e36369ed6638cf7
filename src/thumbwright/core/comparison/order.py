"""The first order of the techniques: hard facts first, then the patient's goals."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import fsum

from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.criteria import Criterion, criteria
from thumbwright.core.comparison.weights import Weights, weights_from_goals
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.eligibility import Eligibility, Verdict
from thumbwright.core.techniques.rule_answers import listed
from thumbwright.core.techniques.situation import Situation, most_probable_level
from thumbwright.core.techniques.technique import Family, Grade, Suitability, Technique

_DIGITS = 9
"""Scores that agree to this many digits are equal."""
_MOST_NAMED = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What a technique is ordered by, in the order in which it counts; less comes first."""

    is_no_reconstruction: bool
    """A prosthesis or no operation stands behind every open reconstruction."""
    is_advised_against: bool
    is_substitute: bool
    """The own part, where it can be put back, comes before anything in its place."""
    is_second_line: bool
    lacking_share: float
    """1 less the score: what is lacking of the weighted goals. [-]"""
    donor_cost: int
    stages: int
    key: str

    @property
    def order(self) -> tuple[bool, bool, bool, bool, float, int, int, str]:
        """Return the key to sort by."""
        return (
            self.is_no_reconstruction,
            self.is_advised_against,
            self.is_substitute,
            self.is_second_line,
            self.lacking_share,
            self.donor_cost,
            self.stages,
            self.key,
        )


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
    used = weights_from_goals(situation) if weights is None else weights
    judged = [
        (one, criteria(one.technique, situation))
        for one in eligibilities
        if one.verdict is not Verdict.CLOSED
    ]
    placed = sorted(
        ((one, table, _standing(one, table, used, situation)) for one, table in judged),
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
    others = [row for row in rows if row is not plan_a and not row.technique.needs_microsurgery]
    fallback = _first(
        tuple(row for row in others if row.is_settled),
        tuple(row for row in others if not row.is_settled),
        "further reconstruction without microsurgery",
        level,
    )
    return Order(
        open_rows=open_rows,
        waiting_rows=waiting_rows,
        plan_a=plan_a,
        fallback=fallback,
        weights=weights,
    )


def _standing(
    eligibility: Eligibility,
    table: tuple[Criterion, ...],
    weights: Weights,
    situation: Situation,
) -> Standing:
    technique = eligibility.technique
    counted = {one.goal: one.counted for one in table}
    score = fsum(share * counted[goal] / int(Grade.GOOD) for goal, share in weights.share.items())
    return Standing(
        is_no_reconstruction=not technique.family.rebuilds,
        is_advised_against=eligibility.is_advised_against,
        is_substitute=technique.family is not Family.REPLANTATION,
        is_second_line=not _is_indicated(technique, situation),
        lacking_share=round(1 - score, _DIGITS),
        donor_cost=int(Grade.GOOD) - int(counted[Goal.SPARE_DONOR_SITE]),
        stages=technique.stages,
        key=technique.key,
    )


def _is_indicated(technique: Technique, situation: Situation) -> bool:
    level = most_probable_level(situation)
    if isinstance(level, Unknown):
        return False
    return technique.levels[level].suitability is Suitability.INDICATED


def _first(
    opened: tuple[RankedRow, ...],
    waiting: tuple[RankedRow, ...],
    what: str,
    level: Level | Unknown,
) -> RankedRow | Unknown:
    """Choose the first reconstruction; only if none can open, the first of what else is left."""
    rebuilt = [row for row in opened if row.technique.family.rebuilds]
    if rebuilt:
        return rebuilt[0]
    hopeful = [row for row in waiting if row.technique.family.rebuilds]
    if hopeful:
        return _not_yet(hopeful, what, level)
    if opened:
        return opened[0]
    return Unknown(reason=f"no {what} is open, and none would open by a finding")


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
        reason=f"no {what} is open yet; what may open: {named}; for {first.technique.short_name} "
        f"these findings are wanting: {'; '.join(first.eligibility.would_settle)}",
        needed=first.eligibility.would_settle,
    )
