"""From what lies ahead to everything the report says of it."""

from collections.abc import Collection, Sequence

from thumbwright.core.comparison.loss_turn import loss_turn_in_words
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.foundations.answer import Unknown
from thumbwright.documents.cited_sources import with_sources
from thumbwright.documents.compose import CAUTIONS, DECIDES_NOTHING, age_in_words
from thumbwright.documents.compose_comparison import comparison_section
from thumbwright.documents.compose_evidence import evidence_part, risk_part
from thumbwright.documents.compose_growth import follow_up_sentences, growth_section
from thumbwright.documents.compose_options import level_in_words
from thumbwright.documents.compose_outlook import outlook_part
from thumbwright.documents.compose_reach import reach_section
from thumbwright.documents.evidence_figures import forest
from thumbwright.documents.growth_figures import growth_drawing
from thumbwright.documents.paper_parts import Picture, said
from thumbwright.documents.plan_content import InputHash, Version
from thumbwright.documents.report_content import Report, Section
from thumbwright.documents.sections_of_foresight import (
    evidence_sections,
    growth_part,
    reach_part,
    weighing_part,
)
from thumbwright.pathway.foresee_case import Foresight
from thumbwright.pathway.plan_case import Knowledge

SHOWN_OUTCOMES = (
    Outcome.LOSS,
    Outcome.REEXPLORATION,
    Outcome.RESCUED,
    Outcome.INFECTION,
    Outcome.NON_UNION,
    Outcome.DONOR_TROUBLE,
    Outcome.SECONDARY_OPERATION,
)
"""Of the many that series counted, those that a decision turns on; the JSON holds the same."""


def compose_foresight(
    found: Foresight,
    known: Knowledge,
    inputs: Sequence[InputHash],
    versions: Sequence[Version],
    told_of: Collection[str] | None = None,
) -> tuple[Report, dict[str, bytes]]:
    """Put what lies ahead into words, tables and drawings.

    Parameters
    ----------
    found
        What was computed.
    known
        Its bibliography is cited from.
    inputs, versions
        The files it was made from, and every version that decides the outcome.
    told_of
        Keys of the techniques of which details are told; plans and fallbacks if not given. The
        tables hold every technique that is not closed.

    Returns
    -------
    tuple
        The report, with its sources numbered, and its drawings by name.
    """
    plan = found.plan
    keys = frozenset(leading(found) if told_of is None else told_of)
    sections, drawings = _sections(found, known, keys)
    report = Report(
        title=f"What lies ahead, case {plan.case.case_id}",
        case_id=plan.case.case_id,
        pseudonym=plan.case.patient.pseudonym,
        age=age_in_words(plan.case.patient.birth_date, plan.made_on),
        side=f"{plan.case.injury.side.value.upper()} hand",
        level=level_in_words(plan),
        issued_on=plan.made_on,
        program=f"{versions[0].name} {versions[0].version}",
        decides_nothing=DECIDES_NOTHING,
        sections=sections,
        cautions=said(*CAUTIONS),
        inputs=tuple(inputs),
        versions=tuple(versions),
    )
    return with_sources(report, known.bibliography), drawings


def leading(found: Foresight) -> tuple[str, ...]:
    """Return the keys of every plan A and fallback, by the goals and by each voice."""
    ranking = found.plan.ranking
    rows = [one for one in (ranking.plan_a, ranking.fallback) if not isinstance(one, Unknown)]
    keys = [row.technique.key for row in rows]
    if not isinstance(found.weighing, Unknown):
        for view in found.weighing.views:
            keys += [one for one in (view.plan_a, view.fallback) if isinstance(one, str)]
    return tuple(dict.fromkeys(keys))


def _sections(
    found: Foresight, known: Knowledge, told_of: frozenset[str]
) -> tuple[tuple[Section, ...], dict[str, bytes]]:
    names = {one.key: one.name for one in known.techniques}
    spoken = {one.key: one.short_name for one in known.techniques}
    weighing, drawings = _weighing(found)
    ahead, drawn = outlook_part(found.outlooks, spoken, known.consequences, told_of)
    drawings |= drawn
    growth = growth_section(found.growth)
    if not isinstance(growth, Unknown) and isinstance(growth.picture, Picture):
        drawings[growth.picture.name] = growth_drawing(
            found.growth, title=growth.picture.alt
        ).encode()
    reach, drawn_reach = reach_section(
        found.reaches.reaches, found.reaches.whole, names, found.plan.case.injury.side
    )
    told_names = {names[key]: spoken[key] for key in told_of}
    short = {names[key]: spoken[key] for key in names}
    drawings |= {name: each.encode() for name, each in drawn_reach.items()}
    silent = said(*(f"{names[one.key]}: {one.why}." for one in found.reaches.unknown))
    parts = tuple(
        evidence_part(one, names[one.technique], known.bibliography)
        for one in found.evidence
        if one.outcome in SHOWN_OUTCOMES and one.technique in told_of
    )
    for part in parts:
        if part.picture is not None:
            drawings[part.picture.name] = forest(part).encode()
    risks = tuple(
        risk_part(one, names[one.technique]) for one in found.risks if one.technique in told_of
    )
    published, own = evidence_sections(parts, risks)
    follow_up = follow_up_sentences(found.follow_up) if found.plan.case.growth_checks else ()
    sections = (
        weighing,
        ahead,
        growth_part(growth, follow_up, told_names, short),
        reach_part(reach, silent, told_names, short),
        own,
        published,
    )
    return sections, drawings


def _weighing(found: Foresight) -> tuple[Section, dict[str, bytes]]:
    if isinstance(found.weighing, Unknown):
        return weighing_part(found.weighing, said(*(one.words for one in found.what_ifs))), {}
    section, drawings = comparison_section(found.weighing, found.criteria)
    turns = (loss_turn_in_words(found.weighing, view) for view in found.weighing.views)
    otherwise = (
        *dict.fromkeys(one for one in turns if one),
        *(one.words for one in found.what_ifs),
    )
    return weighing_part(section, said(*otherwise)), dict(drawings)
