"""Puts the first order into words: what plan A gives, costs and lacks, and why it is first."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from thumbwright.core.case.goals import Goal
from thumbwright.core.case.patient import DominantHand
from thumbwright.core.comparison.clauses import capital, why
from thumbwright.core.comparison.criteria import Criterion, goal_words
from thumbwright.core.comparison.order import Order, RankedRow
from thumbwright.core.comparison.turning_points import turning_points
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.techniques.eligibility import Eligibility
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Grade

_DECIDES_NOTHING = (
    "The program decides nothing: the grades are stated judgements, and risk and doubt are not "
    "yet weighed; the plan is made by surgeon and patient."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """A sentence of the program; with a basis where it states more than the order itself."""

    text: str
    basis: Basis | None
    is_about_fallback: bool = False


def sentences_about(
    order: Order, eligibilities: Sequence[Eligibility], situation: Situation
) -> Iterator[Sentence]:
    """Say what comes first, what it gives and costs, why, and what would change it."""
    if isinstance(order.plan_a, Unknown):
        yield _plain(f"Plan A cannot be named, because {order.plan_a.reason}.")
    else:
        yield from _about_plan_a(order.plan_a, order)
    yield from _about_waiting(order)
    yield from map(_plain, turning_points(order, eligibilities, situation))
    for sentence in _about_fallback(order):
        yield replace(sentence, is_about_fallback=True)
    yield from _about_hand(situation)
    yield Sentence(text=order.weights.sentence, basis=order.weights.basis)
    yield _plain(_DECIDES_NOTHING)


def _about_plan_a(plan: RankedRow, order: Order) -> Iterator[Sentence]:
    technique = plan.technique
    if not technique.family.rebuilds:
        yield _plain("Every reconstruction is closed; the reasons stand with each of them.")
    yield _plain(f"Plan A is {technique.short_name}.")
    yield _of(technique.gives)
    yield _of(technique.costs)
    wanted = [plan.grade_of(goal) for goal in order.weights.share]
    yield _plain(
        "Of what counts it gives: "
        + ", ".join(f"{goal_words(one.goal)} {one.words}" for one in wanted)
        + "."
    )
    lacking = [goal_words(one.goal) for one in plan.criteria if one.grade is Grade.NONE]
    yield _plain(
        f"It does not give: {', '.join(lacking)}."
        if lacking
        else "It gives something of every goal that a thumb can serve."
    )
    yield from _speaks_against(plan, "it")
    yield from _from_memory(plan, order)
    yield from _about_next(plan, order)


def _speaks_against(row: RankedRow, name: str) -> Iterator[Sentence]:
    for warning in row.eligibility.warnings:
        if warning.grave:
            yield Sentence(text=f"Against {name} speaks: {warning.reason}", basis=warning.basis)


def _from_memory(plan: RankedRow, order: Order) -> Iterator[Sentence]:
    graded = [plan.grade_of(goal) for goal in (*order.weights.share, Goal.SPARE_DONOR_SITE)]
    recalled = [
        goal_words(one.goal)
        for one in dict.fromkeys(graded)
        if isinstance(one.statement, Statement)
        and one.statement.basis.provenance is Provenance.RECALLED
    ]
    if recalled:
        yield _plain(
            f"From memory, unverified: what is said of its {', '.join(recalled)}; check it before "
            "relying on it."
        )


def _about_next(plan: RankedRow, order: Order) -> Iterator[Sentence]:
    others = [row for row in order.open_rows if row is not plan]
    better = [row for row in others if row.standing.lacking_share < plan.standing.lacking_share]
    for row in others[:1]:
        yield _plain(f"It comes before {row.technique.short_name} {why(plan, row)}.")
    for row in better[:1]:
        stands_behind = "" if row is others[0] else f"; it stands behind {why(plan, row, 'it')}"
        yield _plain(
            f"By the goals alone {row.technique.short_name} would do better "
            f"({row.score_share:.0%} against {plan.score_share:.0%} of what counts){stands_behind}."
        )


def _about_waiting(order: Order) -> Iterator[Sentence]:
    """Name what would come before plan A; without a plan A, it names itself what it waits for."""
    if isinstance(order.plan_a, Unknown):
        return
    for row in order.waiting_rows:
        if row.standing.order < order.plan_a.standing.order:
            yield _plain(
                f"{capital(row.technique.short_name)} would come before plan A at rank {row.rank} "
                f"if it opens; that is settled by: {'; '.join(row.eligibility.would_settle)}."
            )


def _about_fallback(order: Order) -> Iterator[Sentence]:
    fallback = order.fallback
    if isinstance(fallback, Unknown):
        yield _plain(f"A fallback cannot be named, because {fallback.reason}.")
        return
    name = fallback.technique.short_name
    yield _plain(
        f"The fallback without microsurgery is {name}."
        if fallback.technique.family.rebuilds
        else "No further reconstruction without microsurgery is open; the fallback that is left "
        f"is {name}."
    )
    yield _of(fallback.technique.gives)
    yield _of(fallback.technique.costs)
    yield from _what_the_fallback_serves(fallback, order)
    yield from _speaks_against(fallback, "the fallback")
    after = order.fallbacks[order.fallbacks.index(fallback) + 1 :]
    if after and after[0].technique.family.rebuilds:
        yield _plain(
            f"The fallback comes before {after[0].technique.short_name} {why(fallback, after[0])}."
        )


def _what_the_fallback_serves(fallback: RankedRow, order: Order) -> Iterator[Sentence]:
    """Say what it gives of the goal that counts most, and of length where that counts."""
    share = order.weights.share
    most = [goal for goal in share if share[goal] == max(share.values())]
    goals = most if len(most) == 1 else []
    if Goal.LENGTH in share and Goal.LENGTH not in goals:
        goals = [*goals, Goal.LENGTH]
    for goal in goals:
        yield from _served(fallback.grade_of(goal))


def _served(one: Criterion) -> Iterator[Sentence]:
    if isinstance(one.statement, Statement):
        text = f"Of {goal_words(one.goal)} the fallback gives {one.words}: {one.statement.text}"
        yield Sentence(text=text, basis=one.statement.basis)


def _about_hand(situation: Situation) -> Iterator[Sentence]:
    dominant = situation.case.patient.dominant_hand
    side = situation.case.injury.side.value
    if dominant is DominantHand.BOTH or dominant.value == side:
        yield Sentence(
            text="The leading hand is hurt; the gain that patients reported after toe transfer "
            "was significant for leading hands.",
            basis=Basis(
                provenance=Provenance.READ,
                source="toe-patient-reported-2019",
                locator="abstract",
            ),
        )


def _plain(text: str) -> Sentence:
    return Sentence(text=text, basis=None)


def _of(statement: Statement) -> Sentence:
    return Sentence(text=statement.text, basis=statement.basis)
