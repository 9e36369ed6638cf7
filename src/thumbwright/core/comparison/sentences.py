"""Puts the first order into words: what plan A gives, costs and lacks, and why it is first."""

from collections.abc import Iterator
from dataclasses import dataclass

from thumbwright.core.case.goals import Goal
from thumbwright.core.case.patient import DominantHand
from thumbwright.core.comparison.criteria import goal_words
from thumbwright.core.comparison.order import Order, RankedRow
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
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


def sentences_about(order: Order, situation: Situation) -> Iterator[Sentence]:
    """Say what comes first, what it gives and costs, why, and what is still open."""
    if isinstance(order.plan_a, Unknown):
        yield _plain(f"Plan A cannot be named, because {order.plan_a.reason}.")
    else:
        yield from _about_plan_a(order.plan_a, order)
    yield from _about_fallback(order)
    yield from _about_waiting(order)
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
        else "It gives something of everything on the list."
    )
    for warning in plan.eligibility.warnings:
        if warning.grave:
            yield Sentence(text=f"Against it speaks: {warning.reason}", basis=warning.basis)
    recalled = _recalled(plan, order)
    if recalled:
        yield _plain(
            f"From memory, unverified: what is said of its {', '.join(recalled)}; check it before "
            "relying on it."
        )
    yield from _about_next(plan, order)


def _recalled(plan: RankedRow, order: Order) -> list[str]:
    graded = [plan.grade_of(goal) for goal in (*order.weights.share, Goal.SPARE_DONOR_SITE)]
    return [
        goal_words(one.goal)
        for one in dict.fromkeys(graded)
        if isinstance(one.statement, Statement)
        and one.statement.basis.provenance is Provenance.RECALLED
    ]


def _about_next(plan: RankedRow, order: Order) -> Iterator[Sentence]:
    others = [row for row in order.open_rows if row is not plan]
    if others:
        yield _plain(f"It comes before {others[0].technique.short_name} {why(plan, others[0])}.")
    for row in others:
        if row.standing.lacking_share < plan.standing.lacking_share:
            yield _plain(
                f"By the goals alone {row.technique.short_name} would do better "
                f"({row.score_share:.0%} against {plan.score_share:.0%} of what counts); it "
                f"stands behind {why(plan, row)}."
            )
            return


def why(first: RankedRow, second: RankedRow) -> str:
    """Say why one technique comes before another, as a clause that begins with *because*."""
    one, other = first.standing, second.standing
    if one.is_no_reconstruction != other.is_no_reconstruction:
        return "because a reconstruction is looked at before doing without one"
    if one.is_advised_against != other.is_advised_against:
        return f"because this speaks against the other: {_against(second)}"
    if one.is_substitute != other.is_substitute:
        return "because the own part, where it can be put back, comes before anything in its place"
    if one.is_second_line != other.is_second_line:
        return "because the other is second line at this level"
    return _by_goals(first, second)


def _against(row: RankedRow) -> str:
    grave = [warning.reason for warning in row.eligibility.warnings if warning.grave]
    return " ".join(grave).rstrip(".")


def _by_goals(first: RankedRow, second: RankedRow) -> str:
    one, other = first.standing, second.standing
    if one.lacking_share != other.lacking_share:
        return (
            f"because it gives more of what counts ({first.score_share:.0%} against "
            f"{second.score_share:.0%})"
        )
    if one.donor_cost != other.donor_cost:
        return "because both give as much of what counts and it spares the donor site more"
    if one.stages != other.stages:
        return "because all else is equal and it needs fewer stages"
    return "only by the order of the alphabet: nothing that was weighed tells them apart"


def _about_fallback(order: Order) -> Iterator[Sentence]:
    fallback = order.fallback
    if isinstance(fallback, Unknown):
        yield _plain(f"A fallback cannot be named, because {fallback.reason}.")
        return
    yield _plain(f"The fallback without microsurgery is {fallback.technique.short_name}.")
    yield _of(fallback.technique.gives)
    yield _of(fallback.technique.costs)


def _about_waiting(order: Order) -> Iterator[Sentence]:
    """Name what would come before plan A; without a plan A, it names itself what it waits for."""
    if isinstance(order.plan_a, Unknown):
        return
    for row in order.waiting_rows:
        if row.standing.order < order.plan_a.standing.order:
            name = row.technique.short_name
            yield _plain(
                f"{name[0].upper()}{name[1:]} would come before plan A at rank {row.rank} if it "
                f"opens; that is settled by: {'; '.join(row.eligibility.would_settle)}."
            )


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
