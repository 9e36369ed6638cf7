"""Published series, what they come to, and this patient's risk, as parts of a paper."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from thumbwright.core.evidence.frequencies import denominator_for, in_words
from thumbwright.core.evidence.intervals import ShareInterval, clopper_pearson_1934
from thumbwright.core.evidence.pool import Evidence, Rests
from thumbwright.core.evidence.pooled_share import PooledShare
from thumbwright.core.evidence.risk import FactorNotApplied, PatientRisk
from thumbwright.core.evidence.risk_factor import FindingKind, RiskFactor
from thumbwright.core.evidence.selection import LeftOut
from thumbwright.core.evidence.study import Cause, Counted, Population, StudyArm, Subset
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Source
from thumbwright.documents.evidence_content import (
    EvidencePart,
    PooledRow,
    RiskPart,
    RowKind,
    SeriesRow,
)
from thumbwright.documents.evidence_figures import forest_picture
from thumbwright.documents.paper_parts import PrintedNumber, Sentence

_KINDS = {
    Subset.PURE: RowKind.PURE,
    Subset.MIXED: RowKind.MIXED,
    Subset.REVIEW: RowKind.REVIEW,
}
_PEOPLE = {
    Population.CHILD: "children",
    Population.ADULT: "adults",
    Population.MIXED: "children and adults",
    Population.NOT_STATED: "ages not stated",
}
_CAUSES = {
    Cause.TRAUMA: "after injury",
    Cause.CONGENITAL: "congenital",
    Cause.MIXED: "congenital and after injury",
    Cause.NOT_STATED: "cause not stated",
}
_AUTHOR = re.compile(r"^((?:del |van |de )?[A-Z][\w'-]+(?: [A-Z][\w'-]+)?) [A-Z]{1,4}[,.]")
_YEAR = re.compile(r"\b(19|20)\d\d\b")
_USED_NAMES = {
    Rests.PURE_ON_MIXED: "used: pure, mixed as wider prior",
    Rests.MIXED: "used: mixed as wider prior",
}
_RANKS = {RowKind.PURE: 0, RowKind.MIXED: 1, RowKind.REVIEW: 2, RowKind.FROM_MEMORY: 3}


def study_name(source: Source) -> str:
    """Return the short name of a study: "Yim 2004"; its key where no author was seen.

    Examples
    --------
    >>> study_name(Source(key="yim-2004", citation="Yim KK, Wei FC. A comparison. 2004;114."))
    'Yim 2004'
    """
    author, years = _AUTHOR.match(source.citation), _YEAR.search(source.citation)
    if author and years:
        return f"{author.group(1)} {years.group(0)}"
    return source.key.replace("-", " ").capitalize()


def evidence_part(
    evidence: Evidence, technique_name: str, bibliography: Mapping[str, Source]
) -> EvidencePart:
    """Return the table of one outcome of one technique.

    Parameters
    ----------
    evidence
        What is known.
    technique_name
        As the catalogue prints it.
    bibliography
        The sources, for short names of studies.
    """
    denominator = denominator_for(_told(evidence))
    rows = tuple(_rows(evidence, bibliography))
    part = EvidencePart(
        technique=technique_name,
        outcome=evidence.outcome.words,
        denominator=denominator,
        rows=rows or Unknown(reason="no series that counted it was found"),
        pooled=tuple(_pooled_rows(evidence, denominator)),
        used=_used(evidence, denominator),
        left_out=tuple(_left_out(one, bibliography) for one in evidence.left_out),
        cautions=tuple(_cautions(evidence)),
    )
    return replace(part, picture=forest_picture(part)) if rows else part


def risk_part(risk: PatientRisk, technique_name: str) -> RiskPart:
    """Return what a risk means for this patient, with one denominator for print and patient."""
    denominator = denominator_for((risk.in_print, risk.interval))
    found = risk.interval
    return RiskPart(
        technique=technique_name,
        outcome=risk.outcome.words,
        in_print=in_words(risk.in_print, denominator),
        for_patient=_number(found, in_words(found, denominator)),
        because=tuple(_applied(risk)),
        not_applied=tuple(_not_applied(one) for one in risk.not_applied),
        settled_by=risk.would_settle,
        draws=(
            f"{risk.draw_count:,} draws, seed {risk.seed}; error of the middle by chance "
            f"{100 * risk.monte_carlo_error_share:.2f} %"
        ),
    )


def _told(evidence: Evidence) -> Iterator[ShareInterval]:
    for one in (evidence.pure, evidence.mixed):
        if isinstance(one, PooledShare):
            yield one.interval
    if not isinstance(evidence.used, Unknown):
        yield evidence.used.interval


def _rows(evidence: Evidence, bibliography: Mapping[str, Source]) -> Iterator[SeriesRow]:
    """Yield rows, pure ones first, and among equals the larger series first."""
    rows = [
        (arm, row)
        for arm in (*evidence.arms, *evidence.reviews)
        if (row := _row(arm, evidence.technique, bibliography)) is not None
    ]
    rows.sort(key=lambda pair: (_RANKS[pair[1].kind], -(pair[0].total or 0), pair[0].key))
    names = [row.study for _, row in rows]
    for at, (_, row) in enumerate(rows):
        if names.count(row.study) > 1:
            place = names[: at + 1].count(row.study)
            yield replace(row, study=f"{row.study}, arm {place}")
        else:
            yield row


def _row(arm: StudyArm, technique: str, bibliography: Mapping[str, Source]) -> SeriesRow | None:
    subset = arm.speaks_of(technique)
    if subset is None or not isinstance(arm.result, Counted):
        return None
    exact = clopper_pearson_1934(arm.result)
    remark = arm.note or "no remark"
    return SeriesRow(
        study=study_name(bibliography[arm.basis.source]),
        kind=RowKind.FROM_MEMORY if arm.is_recalled else _KINDS[subset],
        counted=f"{arm.result.events:,} of {arm.result.total:,}",
        share=_number(exact, _percent(exact)),
        people=f"{_PEOPLE[arm.population]}, {_CAUSES[arm.cause]}",
        remark=Sentence(text=f"{remark[:1].upper()}{remark[1:]}.", basis=arm.basis),
    )


def _pooled_rows(evidence: Evidence, denominator: int) -> Iterator[PooledRow]:
    for name, one in (("pure", evidence.pure), ("mixed", evidence.mixed)):
        if isinstance(one, PooledShare) and len(one.arms) > 1:
            beyond = None if isinstance(one.prediction, Unknown) else one.prediction
            yield PooledRow(
                name=f"{len(one.arms)} {name} series together",
                share=_number(one.interval, _percent(one.interval)),
                frequency=in_words(one.interval, denominator),
                method=one.method,
                next_low=beyond.low_share if beyond else None,
                next_high=beyond.high_share if beyond else None,
            )
    used = evidence.used
    if not isinstance(used, Unknown) and used.rests is not Rests.PURE:
        yield PooledRow(
            name=_USED_NAMES[used.rests],
            share=_number(used.interval, _percent(used.interval)),
            frequency=in_words(used.interval, denominator),
            method="a person of a mixed series counts a quarter (working assumption)",
        )


def _used(evidence: Evidence, denominator: int) -> tuple[Sentence, ...] | Unknown:
    used = evidence.used
    if isinstance(used, Unknown):
        return used
    memory = " Numbers from memory, unverified, are among them." if evidence.has_recalled else ""
    told = in_words(used.interval, denominator)
    first = f"{evidence.outcome.words.capitalize()}: {told}, from {used.rests.value}.{memory}"
    found = [first]
    main = evidence.pure if used.rests is Rests.PURE else evidence.mixed
    if isinstance(main, PooledShare):
        found.append(f"Method: {main.method}.")
    return tuple(Sentence(text=text) for text in found)


def _left_out(one: LeftOut, bibliography: Mapping[str, Source]) -> Sentence:
    name = study_name(bibliography[one.arm.basis.source])
    total = f", {one.arm.total:,} people" if one.arm.total else ""
    return Sentence(text=f"Left out: {name}{total}, because {one.reason}.", basis=one.arm.basis)


def _cautions(evidence: Evidence) -> Iterator[Sentence]:
    used = evidence.used
    pools: Sequence[object] = (evidence.pure, evidence.mixed)
    if not isinstance(used, Unknown) and used.rests is Rests.PURE:
        pools = (evidence.pure,)
    texts = [text for one in pools if isinstance(one, PooledShare) for text in one.cautions]
    if not isinstance(used, Unknown):
        texts.append("Printed series come from units that do much of it; others may fare worse.")
    yield from (Sentence(text=text) for text in dict.fromkeys(texts))


def _applied(risk: PatientRisk) -> Iterator[Sentence]:
    for one in risk.applied:
        yield Sentence(text=one.words)
        yield from (_publication(each) for each in one.effect.publications)


def _publication(one: RiskFactor) -> Sentence:
    ends = f"({one.low_ratio} to {one.high_ratio})"
    said = {
        FindingKind.ODDS_RATIO: f"odds ratio {one.odds_ratio} {ends}",
        FindingKind.NO_INTERVAL: f"ratio {one.odds_ratio}, without its interval",
        FindingKind.NO_EFFECT: "no effect found",
        FindingKind.DIRECTION: "no ratio given",
    }[one.finding]
    note = f"; {one.note}" if one.note else ""
    return Sentence(text=f"{one.fact.words.capitalize()}: {said}{note}.", basis=one.basis)


def _not_applied(one: FactorNotApplied) -> Sentence:
    first = _publication(one.publications[0])
    return Sentence(
        text=f"Not applied, {one.fact.words}, because {one.reason}. {first.text}", basis=first.basis
    )


def _number(found: ShareInterval, words: str) -> PrintedNumber:
    return PrintedNumber(
        words=words,
        value=found.share,
        unit="-",
        low=found.low_share,
        high=found.high_share,
        level_prob=found.level_prob,
    )


def _percent(found: ShareInterval) -> str:
    middle, low, high = (_digits(x) for x in (found.share, found.low_share, found.high_share))
    return f"{middle} % ({low} to {high})"


def _digits(share: float) -> str:
    return f"{100 * share:.1f}" if 0 < share < 0.0995 else f"{100 * share:.0f}"
