"""What would have to differ for another technique to come first."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.clauses import against, capital
from thumbwright.core.comparison.criteria import criteria, goal_words
from thumbwright.core.comparison.order import Order, RankedRow, order_of, put_in_order
from thumbwright.core.comparison.standing import standing_of
from thumbwright.core.comparison.weights import weights_from_goals
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.eligibility import Eligibility, Verdict, eligible_all
from thumbwright.core.techniques.rule_answers import listed
from thumbwright.core.techniques.situation import Situation, other_plausible_levels

_MAY_CHANGE = {"patient_has_not_refused_it", "unit_has_microsurgery"}
"""Rules whose answer people can change: the patient's mind, or the unit that operates."""


def turning_points(
    order: Order, eligibilities: Sequence[Eligibility], situation: Situation
) -> Iterator[str]:
    """Say what would put another technique first, if plan A is a reconstruction.

    Parameters
    ----------
    order
        The order as it stands, by the patient's order of goals.
    eligibilities
        The verdicts on all techniques, closed ones too.
    situation
        The case.

    Yields
    ------
    str
        Sentences: on the goals (where the weights follow from them), on what speaks against
        others, on what closes others and could change, and on other plausible levels.
    """
    plan = order.plan_a
    if isinstance(plan, Unknown) or not plan.technique.family.rebuilds:
        return
    if order.weights == weights_from_goals(situation):
        yield _by_another_first_goal(plan, order, situation)
    yield from _without_what_speaks_against_it(plan, order)
    yield from _without_what_may_change(plan, order, eligibilities, situation)
    yield from _at_another_level(plan, eligibilities, situation)


def _by_another_first_goal(plan: RankedRow, order: Order, situation: Situation) -> str:
    first: dict[str, list[str]] = {}
    judged = [(row.eligibility, row.criteria) for row in (*order.open_rows, *order.waiting_rows)]
    for goal in _other_first_goals(situation):
        other = order_of(judged, _with_first(goal, situation)).plan_a
        if isinstance(other, RankedRow) and other.technique.key != plan.technique.key:
            first.setdefault(other.technique.short_name, []).append(goal_words(goal))
    if not first:
        return "Whichever goal the patient names first, plan A stays the same."
    changes = [f"with {_either(goals)} named first, {name}" for name, goals in first.items()]
    return f"Other goals would put another technique first: {'; '.join(changes)}."


def _other_first_goals(situation: Situation) -> Iterator[Goal]:
    named = situation.case.wishes.goals
    for goal in Goal:
        is_first = named[:1] == (goal,)
        is_over = goal is Goal.GROWTH and situation.growing is False
        if not is_first and not is_over:
            yield goal


def _with_first(goal: Goal, situation: Situation) -> Situation:
    wishes = situation.case.wishes
    goals = (goal, *(one for one in wishes.goals if one is not goal))
    return replace(situation, case=replace(situation.case, wishes=replace(wishes, goals=goals)))


def _either(words: list[str]) -> str:
    return listed(words).replace(" and ", " or ")


def _without_what_speaks_against_it(plan: RankedRow, order: Order) -> Iterator[str]:
    for row in order.open_rows:
        relieved = row.standing.with_nothing_against_it
        if row.standing.is_advised_against and relieved.order < plan.standing.order:
            name = capital(row.technique.short_name)
            yield f"{name} would come first if this did not speak against it: {against(row)}."
            return


def _without_what_may_change(
    plan: RankedRow, order: Order, eligibilities: Sequence[Eligibility], situation: Situation
) -> Iterator[str]:
    waiting = [
        (standing_of(one, criteria(one.technique, situation), order.weights, situation), one)
        for one in eligibilities
        if _is_closed_by_what_may_change(one)
    ]
    better = [entry for entry in waiting if entry[0].order < plan.standing.order]
    if better:
        _, one = min(better, key=lambda entry: entry[0].order)
        closed_by = " ".join(reason.answer.reason for reason in one.closed_by)
        yield f"{capital(one.technique.short_name)} would come first but for this: {closed_by}"


def _is_closed_by_what_may_change(one: Eligibility) -> bool:
    return (
        one.verdict is Verdict.CLOSED and {reason.rule for reason in one.closed_by} <= _MAY_CHANGE
    )


def _at_another_level(
    plan: RankedRow, eligibilities: Sequence[Eligibility], situation: Situation
) -> Iterator[str]:
    techniques = [one.technique for one in eligibilities]
    for level in other_plausible_levels(situation):
        elsewhere = replace(situation, plausible_levels=(level,), level_prob={level: 1.0})
        there = put_in_order(eligible_all(techniques, elsewhere), elsewhere).plan_a
        where = f"{level.words}{_share(level, situation)}"
        yield f"Should the loss be at {where}, {_plan_there(there, plan)}."


def _share(level: Level, situation: Situation) -> str:
    if isinstance(situation.level_prob, Unknown):
        return ""
    return f" ({situation.level_prob.get(level, 0.0):.0%})"


def _plan_there(there: RankedRow | Unknown, plan: RankedRow) -> str:
    if isinstance(there, Unknown):
        wanting = f" before this is settled: {'; '.join(there.needed)}" if there.needed else ""
        return f"no plan A could be named{wanting}"
    if there.technique.key == plan.technique.key:
        return "plan A stays the same"
    return f"plan A would be {there.technique.short_name}"
