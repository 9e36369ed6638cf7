"""From the computed plan to everything the paper says."""

from collections.abc import Iterator, Sequence
from datetime import date

from thumbwright.core.case.hand import OtherThumb
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Provenance
from thumbwright.core.radiograph.calibration import ScaleMethod
from thumbwright.documents.cited_sources import with_sources
from thumbwright.documents.compose_donors import (
    cuts_in_question,
    donor_doubts,
    first_choice,
    pattern_basis,
    short_of_length,
)
from thumbwright.documents.compose_films import film_sections
from thumbwright.documents.compose_findings import findings, not_examined
from thumbwright.documents.compose_lengths import (
    budgets,
    cut_rows,
    length_rows,
    on_pattern,
    scale_columns,
)
from thumbwright.documents.compose_options import (
    criteria_table,
    level_in_words,
    level_section,
    name_of,
    open_questions,
    option_rows,
    plan_sentences,
    warnings_of,
)
from thumbwright.documents.paper_parts import Sentence, printed_share, said
from thumbwright.documents.plan_content import Glance, InputHash, PlanPaper, Version
from thumbwright.pathway.plan_case import Knowledge, Plan

DECIDES_NOTHING = (
    "This program decides nothing. It shows what follows from the facts given to it, for the "
    "licensed clinician, who decides with the patient under local law and protocol. It is a "
    "planning aid and no medical device; no authority has cleared it."
)
NOT_GRADED = (
    "The level of loss is unknown, so nothing could be graded: plan A is only what is open at "
    "every level that comes into question."
)
GROWN_YEARS = 18
"""From this birthday on the months of an age are not printed. [years]"""
CAUTIONS = (
    "Measure again on the patient and on the bone before cutting; a film shows a shadow.",
    "Two people check side and level on patient, films and this paper before the anaesthetic.",
    "They check again before the incision.",
    "What was not examined counts as unknown here and never as normal.",
    "Numbers marked as from memory were not checked at their source; rely on none of them alone.",
    "Risks, costs and alternatives are talked over with patient and family beforehand.",
    "Nothing is done unless patient and surgeon agree.",
)


def compose(
    plan: Plan, known: Knowledge, inputs: Sequence[InputHash], versions: Sequence[Version]
) -> tuple[PlanPaper, dict[str, bytes]]:
    """Put a plan into words, rows and drawings.

    Parameters
    ----------
    plan
        The computed plan.
    known
        Its bibliography is cited from.
    inputs
        The files the plan was made from.
    versions
        Every version that decides the outcome, the program's first.

    Returns
    -------
    tuple
        The paper, with its sources numbered, and the drawings on the films by name.
    """
    films, drawings = film_sections(
        plan.readings,
        cuts_in_question(plan),
        from_memory=pattern_basis(plan.lengths) is not None,
    )
    plan_a, plan_b = plan_sentences(plan)
    paper = PlanPaper(
        case_id=plan.case.case_id,
        pseudonym=plan.case.patient.pseudonym,
        age=age_in_words(plan.case.patient.birth_date, plan.made_on),
        side=f"{plan.case.injury.side.value.upper()} hand",
        level=level_in_words(plan),
        issued_on=plan.made_on,
        program=f"{versions[0].name} {versions[0].version}",
        decides_nothing=DECIDES_NOTHING,
        glance=_glance(plan),
        findings=findings(plan.case),
        not_examined=not_examined(plan.case),
        films=films or Unknown(reason="no film was given", needed=("films of hands and feet",)),
        lengths=length_rows(plan.lengths),
        budgets=budgets(plan),
        cuts=cut_rows(plan),
        scale=scale_columns(plan),
        levels=level_section(plan),
        options=option_rows(plan),
        criteria=criteria_table(plan),
        plan_a=plan_a,
        plan_b=plan_b,
        open_questions=open_questions(plan),
        cautions=said(*CAUTIONS),
        inputs=tuple(inputs),
        versions=tuple(versions),
    )
    return with_sources(paper, known.bibliography), drawings


def _glance(plan: Plan) -> Glance:
    level, shares = plan.level.level, plan.level.probabilities
    return Glance(
        level=level_in_words(plan),
        level_prob=(
            Unknown(reason="the level is unknown")
            if isinstance(level, Unknown)
            else shares
            if isinstance(shares, Unknown)
            else printed_share(shares[level])
        ),
        missing_length=on_pattern(plan.lengths.missing, plan.lengths),
        plan_a=name_of(plan.ranking.plan_a),
        fallback=name_of(plan.ranking.fallback),
        stops=tuple(_stops(plan)),
    )


def _stops(plan: Plan) -> Iterator[Sentence]:
    """Yield what must be settled before anyone cuts."""
    if plan.level.conflict:
        yield Sentence(text=plan.level.conflict)
    yield from _about_the_scale(plan)
    yield from _about_the_pattern(plan)
    yield from said(*plan.lengths.remarks)
    yield from _about_plan_a(plan)
    questions = open_questions(plan)
    if questions:
        are = "1 question is" if len(questions) == 1 else f"{len(questions)} questions are"
        yield Sentence(text=f"{are} open; see what is unknown, and what settles it.")


def _about_the_scale(plan: Plan) -> Iterator[Sentence]:
    """Yield every film whose millimetres do not come from where they were meant to come from."""
    for reading in plan.readings:
        scale, note = reading.scale, reading.note
        if isinstance(scale, Unknown):
            yield Sentence(text=f"Film {note.file} has no millimetres: {scale.reason}.")
        elif scale.method is not ScaleMethod.HEADER:
            yield from said(*(f"Film {note.file}: {remark}" for remark in scale.remarks))
        elif note.ball is not None or note.ruler is not None:
            yield Sentence(
                text=f"On film {note.file} the ball that is said to lie there was not found, so "
                "millimetres come from the header, which is less sure."
            )


def _about_the_pattern(plan: Plan) -> Iterator[Sentence]:
    """Yield what is doubtful about the thumb that shows the length that is wanted."""
    wanted = plan.lengths.wanted
    if isinstance(wanted.length, Unknown):
        yield Sentence(text=wanted.words)
    elif wanted.basis.provenance is Provenance.RECALLED:
        yield Sentence(text=wanted.words, basis=wanted.basis)
    elif plan.case.other_thumb is OtherThumb.NOT_EXAMINED:
        yield Sentence(text=wanted.words)


def _about_plan_a(plan: Plan) -> Iterator[Sentence]:
    first = first_choice(plan)
    if first is None:
        return
    if isinstance(plan.level.level, Unknown):
        yield Sentence(text=NOT_GRADED)
    yield from short_of_length(plan, first)
    for warning in warnings_of(first):
        yield Sentence(text=f"To plan A: {warning.text}", basis=warning.basis)
    yield from donor_doubts(first)


def age_in_words(born: date, today: date) -> str:
    """Return the age as it is printed: by the calendar, with months before the 18th birthday.

    Examples
    --------
    >>> age_in_words(date(1985, 3, 9), date(2026, 3, 9)), age_in_words(
    ...     date(2019, 5, 14), date(2026, 11, 20)
    ... )
    ('41 years', '7 years 6 months')
    """
    months = 12 * (today.year - born.year) + today.month - born.month - (today.day < born.day)
    years, beyond = divmod(months, 12)
    if years >= GROWN_YEARS:
        return f"{years} years"
    parts = [_counted(years, "year")] if years else []
    return " ".join([*parts, _counted(beyond, "month")] if beyond or not years else parts)


def _counted(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
