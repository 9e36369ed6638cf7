"""Level, techniques, goals and open questions as rows of the paper."""

from collections.abc import Iterator

from thumbwright.core.case.case import Case
from thumbwright.core.comparison.criteria import criteria, goal_words
from thumbwright.core.comparison.order import RankedRow
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Statement
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.eligibility import Eligibility, Verdict
from thumbwright.core.techniques.rule_answers import Met, NotMet, Unsettled
from thumbwright.documents.compose_donors import donor_sentences, first_choice, short_of_length
from thumbwright.documents.compose_findings import not_examined
from thumbwright.documents.paper_parts import Sentence, printed_share, said
from thumbwright.documents.plan_content import (
    CriteriaRow,
    CriteriaTable,
    Grade,
    LevelSection,
    LevelShare,
    OpenQuestion,
    OptionRow,
    OptionState,
    SchemeLevel,
)
from thumbwright.pathway.plan_case import Plan

_STATES = {
    Verdict.OPEN: OptionState.OPEN,
    Verdict.CLOSED: OptionState.CLOSED,
    Verdict.UNKNOWN: OptionState.UNKNOWN,
}


def level_in_words(plan: Plan) -> str:
    """Return the level of loss as it is printed."""
    level = plan.level.level
    return str(level) if isinstance(level, Unknown) else level.words


def level_section(plan: Plan) -> LevelSection:
    """Return the five levels with their probabilities, and the published schemes."""
    found = plan.level
    shares: tuple[LevelShare, ...] | Unknown
    if isinstance(found.probabilities, Unknown):
        shares = found.probabilities
    else:
        known = found.probabilities
        shares = tuple(
            LevelShare(level=level.words, prob=printed_share(known[level])) for level in Level
        )
    conflict = said(found.conflict) if found.conflict else ()
    return LevelSection(
        shares=shares, reasons=(*conflict, *said(*found.reasons)), schemes=_schemes(plan)
    )


def _schemes(plan: Plan) -> tuple[SchemeLevel, ...] | Unknown:
    level = plan.level.level
    if isinstance(level, Unknown):
        return Unknown(reason="the level is unknown", needed=level.needed)
    return tuple(
        SchemeLevel(
            scheme=scheme.scheme,
            grade=str(scheme.group),
            reason=scheme.words,
            basis=scheme.basis,
        )
        for scheme in plan.schemes
    )


def option_rows(plan: Plan) -> tuple[OptionRow, ...]:
    """Return every technique: ranked ones by rank, those that wait, then the closed ones."""
    ranked = [row.eligibility for row in plan.ranking.rows]
    keys = {one.technique.key for one in ranked}
    closed = [one for one in plan.options if one.technique.key not in keys]
    return tuple(_option(one) for one in (*ranked, *closed))


def _option(one: Eligibility) -> OptionRow:
    return OptionRow(
        technique=one.technique.name,
        state=_STATES[one.verdict],
        reasons=tuple(dict.fromkeys(_reasons(one))),
        met=tuple(dict.fromkeys(_met(one))),
        warnings=warnings_of(one),
        settled_by=one.would_settle,
    )


def warnings_of(one: Eligibility) -> tuple[Sentence, ...]:
    """Return each warning once, though several rules may give it."""
    said_once = dict.fromkeys((warning.reason, warning.basis) for warning in one.warnings)
    return tuple(Sentence(text=reason, basis=basis) for reason, basis in said_once)


def _reasons(one: Eligibility) -> Iterator[Sentence]:
    """Yield what closes it, then what is unsettled; of an open one how it suits the level."""
    for kind in (NotMet, Unsettled):
        for reason in one.reasons:
            if isinstance(reason.answer, kind):
                yield Sentence(text=reason.answer.reason, basis=reason.answer.basis)
    if one.verdict is Verdict.OPEN:
        yield from (Sentence(text=a.reason, basis=a.basis) for a in _conditions(one)[:1])


def _met(one: Eligibility) -> Iterator[Sentence]:
    skipped = 1 if one.verdict is Verdict.OPEN else 0
    for answer in _conditions(one)[skipped:]:
        yield Sentence(text=answer.reason, basis=answer.basis)


def _conditions(one: Eligibility) -> list[Met]:
    """Return the conditions that are met, how it suits the level first."""
    ordered = sorted(one.reasons, key=lambda reason: reason.rule != "level_suits")
    return [reason.answer for reason in ordered if isinstance(reason.answer, Met)]


def criteria_table(plan: Plan) -> CriteriaTable | Unknown:
    """Return what each technique that is not closed gives of everything that counts."""
    goals = tuple(plan.ranking.weights.share)
    rows = [_criteria_row(row, plan) for row in plan.ranking.rows]
    if not rows:
        return Unknown(reason="every technique is closed")
    named = tuple(goal_words(goal) for goal in goals)
    extra = tuple(
        goal_words(one.goal)
        for one in criteria(plan.ranking.rows[0].technique, plan.situation)
        if one.goal not in goals
    )
    return CriteriaTable(goals=(*named, *extra), rows=tuple(rows))


def _criteria_row(row: RankedRow, plan: Plan) -> CriteriaRow:
    goals = tuple(plan.ranking.weights.share)
    ordered = (
        *(row.grade_of(goal) for goal in goals),
        *(one for one in row.criteria if one.goal not in goals),
    )
    return CriteriaRow(
        technique=row.technique.name,
        grades=tuple(
            Grade(
                words=one.words,
                basis=one.statement.basis if isinstance(one.statement, Statement) else None,
            )
            for one in ordered
        ),
    )


def name_of(choice: RankedRow | Unknown) -> str:
    """Return a choice in one line; what would settle it stands among the open questions."""
    if isinstance(choice, Unknown):
        return f"unknown, because {choice.reason}"
    return choice.technique.name


def plan_sentences(plan: Plan) -> tuple[tuple[Sentence, ...], tuple[Sentence, ...] | Unknown]:
    """Return the sentences of plan A with all that was said of the order, and of plan B."""
    everything = [
        Sentence(text=one.text, basis=one.basis)
        for one in plan.ranking.sentences
        if not one.is_about_fallback
    ]
    first = first_choice(plan)
    if first:
        everything[1:1] = [*short_of_length(plan, first), *donor_sentences(first)]
        everything[-1:-1] = _further(first)
    fallback = plan.ranking.fallback
    if isinstance(fallback, Unknown):
        return tuple(everything), fallback
    technique = fallback.technique
    parts = [
        Sentence(text=f"Plan B, without microsurgery: {technique.name}."),
        *(
            Sentence(text=one.text, basis=one.basis)
            for one in plan.ranking.sentences
            if one.is_about_fallback
        ),
        *(
            Sentence(text=statement.text, basis=statement.basis)
            for statement in (technique.gives, technique.costs, technique.staging)
        ),
        *warnings_of(fallback.eligibility),
        *(one for one in _further(fallback.eligibility) if one not in everything),
    ]
    repeated = {part.text for part in parts}
    kept = tuple(one for one in everything if one.text not in repeated)
    return kept, tuple(dict.fromkeys(parts))


def _further(one: Eligibility) -> Iterator[Sentence]:
    """Yield the further sources of each warning, such as those that disagree."""
    for warning in one.warnings:
        what = warning.reason.split(". ")[0].rstrip(".")
        for basis in warning.further:
            yield Sentence(text=f"Further on this: {what}.", basis=basis)


def open_questions(plan: Plan) -> tuple[OpenQuestion, ...]:
    """Return everything unknown, with the findings that settle it, most useful first.

    Notes
    -----
    A cut is a question of its own only where the missing length is known; what is missing for
    the one is missing for the other.
    """
    return (
        *_unknown("missing length", plan.lengths.missing),
        *_unknown("level of loss", plan.level.level),
        *_unknown("whether the hand still grows", plan.situation.growing),
        *_unknown("days since the loss", plan.situation.days_since_loss),
        *(_cut_questions(plan) if isinstance(plan.lengths.missing, Measured) else ()),
        *(_whether_open(one) for one in plan.options if one.verdict is Verdict.UNKNOWN),
        *_never_looked_for(plan.case),
    )


def _cut_questions(plan: Plan) -> Iterator[OpenQuestion]:
    for toe in plan.toes:
        name = f"{toe.toe.side.value.upper()} {toe.toe.ray.name.value}"
        yield from _unknown(f"cut of the {name}", toe.toe.cut)


def _whether_open(one: Eligibility) -> OpenQuestion:
    reasons = [
        reason.answer.reason for reason in one.reasons if isinstance(reason.answer, Unsettled)
    ]
    return OpenQuestion(
        question=f"whether {one.technique.short_name} is open",
        because=" ".join(dict.fromkeys(reasons)),
        settled_by=one.would_settle,
    )


def _never_looked_for(case: Case) -> Iterator[OpenQuestion]:
    rows = not_examined(case)
    if rows:
        yield OpenQuestion(
            question="findings that nobody has looked for",
            because="they were not examined or not written down, and count as unknown",
            settled_by=tuple(f"{row.group}: {', '.join(row.names)}" for row in rows),
        )


def _unknown(question: str, answer: object) -> Iterator[OpenQuestion]:
    if isinstance(answer, Unknown):
        yield OpenQuestion(question=question, because=answer.reason, settled_by=answer.needed)
