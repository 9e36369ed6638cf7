"""Everything weighed by many criteria with doubt, for one case and each voice."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.acceptability import Acceptability, acceptability
from thumbwright.core.comparison.catalogue_performance import (
    burden_performances,
    catalogue_performances,
    lengthening_performances,
)
from thumbwright.core.comparison.criteria_data import Criteria
from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.dominance import Dominance, counted_by, dominances
from thumbwright.core.comparison.field import Field, field_of
from thumbwright.core.comparison.information import (
    InformationValue,
    questions_of,
    value_of_information,
    value_of_opening,
)
from thumbwright.core.comparison.limits import HardLimit, LeftOut, within_limits
from thumbwright.core.comparison.order import could_follow
from thumbwright.core.comparison.performance import NotKnown
from thumbwright.core.comparison.performance_table import (
    Performances,
    PerformanceTable,
    table_of,
)
from thumbwright.core.comparison.preference import Preference, Single, joint_view, stated_shares
from thumbwright.core.comparison.regret import Regret, regrets
from thumbwright.core.comparison.weight_turning_points import WeightTurn, weight_turns
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.techniques.eligibility import Eligibility
from thumbwright.core.techniques.situation import Situation


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """How much is drawn; the numeric draws that are handed in have the count of performances."""

    performances: int = 2_000
    weights: int = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """What one voice, or several together, would choose."""

    preference: Preference
    found: Acceptability
    """With the hard facts before the weights."""
    by_weights_alone: Acceptability
    """The same without the hard facts."""
    stated_shares: NDArray[np.float64]
    """The middle of the weights, by criterion. [-]"""
    plan_a: str | Unknown
    fallback: str | Unknown
    """The first without microsurgery that could follow plan A."""
    regrets: tuple[Regret, ...]
    turns: tuple[WeightTurn, ...]
    information: tuple[InformationValue, ...]
    openings: tuple[InformationValue, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """All that was weighed; nothing of it decides."""

    table: PerformanceTable
    field: Field
    out: tuple[LeftOut, ...]
    """Closed ones and those that fail a limit, each with its reason."""
    unsettled: tuple[LeftOut, ...]
    views: tuple[View, ...]
    """One for each voice, in the order given."""
    joint: View | None
    """The mixture of the voices; none where there is only one."""
    dominances: tuple[Dominance, ...]


def weigh(
    eligibilities: Iterable[Eligibility],
    situation: Situation,
    criteria: Criteria,
    voices: Sequence[Single],
    *,
    rng: np.random.Generator,
    numeric: Performances | None = None,
    limits: Sequence[HardLimit] = (),
    draws: Draws | None = None,
) -> Weighing | Unknown:
    """Weigh every open technique of one case.

    Parameters
    ----------
    eligibilities
        The verdicts on all techniques.
    situation
        The case.
    criteria
        What is weighed.
    voices
        Who says what matters; at least one. Each is shown for itself, several of them also as a
        mixture.
    rng
        Source of chance.
    numeric
        Amounts from elsewhere, by technique and criterion: length, reach, risk, operations, days,
        cost. They stand in place of what the catalogue says; where an amount is given for some
        techniques only, that of the others is unknown.
    limits
        What must be, whatever else counts.
    draws
        How much is drawn.

    Returns
    -------
    Weighing | Unknown
        Unknown where nothing is open that meets every limit.
    """
    if not voices:
        raise PlanError(
            "no voice was given; allowed is at least one; start with the patient's order of goals"
        )
    used = Draws() if draws is None else draws
    field = field_of(eligibilities, situation)
    given = _performances(field, situation, numeric or {}, used.performances, rng)
    opened = field.names(one.key for one in field.opened)
    held = within_limits(opened, given, limits, criteria)
    if not held.kept:
        needed = tuple(dict.fromkeys(one for every in field.waiting.values() for one in every))
        return Unknown(reason="no technique is open that meets every limit", needed=needed)
    every = field.names((*held.kept, *field.waiting))
    cells = {cell: one for cell, one in given.items() if cell[0] in every}
    whole = table_of(every, criteria, cells, draws=used.performances, rng=rng)
    over = {CriterionKey.GROWTH} if situation.growing is False else set[CriterionKey]()
    may_count = frozenset(whole.keys) - over
    desk = _Desk(field=field, whole=whole, kept=held.kept, draws=used, may_count=may_count)
    views = tuple(_view(voice, desk, rng) for voice in voices)
    joint = _view(joint_view(*voices), desk, rng) if len(voices) > 1 else None
    counted = {key for one in voices for key in counted_by(one, whole.keys)}
    return Weighing(
        table=desk.table,
        field=field,
        out=(*field.closed, *held.out),
        unsettled=held.unsettled,
        views=views,
        joint=joint,
        dominances=dominances(desk.table, [key for key in whole.keys if key in counted]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Desk:
    """What every view is made from."""

    field: Field
    whole: PerformanceTable
    kept: tuple[str, ...]
    draws: Draws
    may_count: frozenset[CriterionKey]
    """All but growth in one who is grown."""

    @property
    def table(self) -> PerformanceTable:
        """Return the table of what can be chosen now."""
        return self.whole.of(self.kept)

    def tier(self, table: PerformanceTable) -> tuple[int, ...]:
        """Return the tiers in the order of a table."""
        tiers = self.field.tiers(table.techniques)
        return tuple(tiers[key] for key in table.techniques)


def _performances(
    field: Field,
    situation: Situation,
    numeric: Performances,
    draws: int,
    rng: np.random.Generator,
) -> Performances:
    """Put amounts in place of grades, and say of what no amount was given that it is unknown."""
    techniques = tuple(field.techniques.values())
    given = {
        **catalogue_performances(techniques, situation),
        **burden_performances(techniques, draws=draws, rng=rng),
        **lengthening_performances(techniques, situation, draws=draws, rng=rng),
        **numeric,
    }
    for key in {key for _, key in numeric}:
        for technique in field.techniques:
            unknown = Unknown(reason=f"no figure of {key.value} is known for it")
            given.setdefault((technique, key), NotKnown(unknown=unknown))
    return given


def _view(preference: Preference, desk: _Desk, rng: np.random.Generator) -> View:
    table, count = desk.table, desk.draws.weights
    tier = desk.tier(table)
    found = acceptability(table, preference, weight_draws=count, rng=rng, tier=tier)
    shares = stated_shares(preference, table.keys)
    plan_a = _or_wait(found.leader, desk.field.waiting, desk)
    leaders = table.of(
        key for key, place in zip(table.techniques, tier, strict=True) if place == min(tier)
    )
    return View(
        preference=preference,
        found=found,
        by_weights_alone=acceptability(table, preference, weight_draws=count, rng=rng),
        stated_shares=shares,
        plan_a=plan_a,
        fallback=_fallback(plan_a, preference, desk, rng),
        regrets=regrets(leaders, preference, draws=min(count, 20 * table.draws), rng=rng),
        turns=weight_turns(table, shares, tier, desk.may_count),
        information=value_of_information(table, shares, questions_of(table), tier),
        openings=value_of_opening(
            desk.whole,
            shares,
            desk.field.tiers(desk.whole.techniques),
            desk.field.waiting,
        ),
    )


def _fallback(
    plan_a: str | Unknown, preference: Preference, desk: _Desk, rng: np.random.Generator
) -> str | Unknown:
    used = None if isinstance(plan_a, Unknown) else desk.field.techniques[plan_a]
    left, left_waiting = (
        [key for key in keys if could_follow(desk.field.techniques[key], used)]
        for keys in (desk.kept, desk.field.waiting)
    )
    if not left:
        return Unknown(reason="nothing is open that needs no microsurgery and could follow")
    table = desk.table.of(left)
    count = desk.draws.weights
    found = acceptability(table, preference, weight_draws=count, rng=rng, tier=desk.tier(table))
    return _or_wait(found.leader, left_waiting, desk)


def _or_wait(leader: str, waiting: Iterable[str], desk: _Desk) -> str | Unknown:
    """Name nothing before what hard facts put before it is settled."""
    before = set(desk.field.waiting_before(leader))
    better = [key for key in waiting if key in before]
    if not better:
        return leader
    name = desk.field.techniques[better[0]].short_name
    return Unknown(
        reason=f"{name} may yet open and would come before {desk.whole.name_of(leader)}",
        needed=desk.field.waiting[better[0]],
    )
