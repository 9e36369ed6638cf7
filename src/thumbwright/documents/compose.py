"""From the computed plan to everything the paper says."""

from collections.abc import Sequence

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Provenance
from thumbwright.documents.cited_sources import with_sources
from thumbwright.documents.compose_films import film_sections
from thumbwright.documents.compose_findings import findings, not_examined
from thumbwright.documents.compose_lengths import (
    budgets,
    cut_rows,
    cuts_found,
    length_rows,
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
)
from thumbwright.documents.paper_parts import Sentence, printed, printed_share, said
from thumbwright.documents.plan_content import Glance, InputHash, PlanPaper, Version
from thumbwright.pathway.plan_case import Knowledge, Plan

DECIDES_NOTHING = (
    "This program decides nothing. It shows what follows from the facts given to it, for the "
    "licensed clinician, who decides with the patient under local law and protocol. It is a "
    "planning aid and no medical device; no authority has cleared it."
)
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
    films, drawings = film_sections(plan.readings, cuts_found(plan))
    plan_a, plan_b = plan_sentences(plan)
    paper = PlanPaper(
        case_id=plan.case.case_id,
        pseudonym=plan.case.patient.pseudonym,
        age=f"{int(plan.situation.age_years)} years",
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
            level
            if isinstance(level, Unknown)
            else shares
            if isinstance(shares, Unknown)
            else printed_share(shares[level])
        ),
        missing_length=printed(plan.lengths.missing),
        plan_a=name_of(plan.ranking.plan_a),
        fallback=name_of(plan.ranking.fallback),
        stops=tuple(_stops(plan)),
    )


def _stops(plan: Plan) -> list[Sentence]:
    """Return what must be settled before anyone cuts."""
    stops = []
    if plan.level.conflict:
        stops.append(Sentence(text=plan.level.conflict))
    wanted = plan.lengths.wanted
    recalled = wanted.basis.provenance is Provenance.RECALLED
    stops.append(Sentence(text=wanted.words, basis=wanted.basis if recalled else None))
    stops += said(*plan.lengths.remarks)
    return stops
