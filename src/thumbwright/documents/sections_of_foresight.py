"""Growth, reach, evidence and weighing as sections of the report on what lies ahead."""

from collections.abc import Mapping

from thumbwright.core.foundations.answer import Unknown
from thumbwright.documents.compose_comparison import ComparisonSection, ComparisonView
from thumbwright.documents.compose_reach import ReachDetail, ReachSection
from thumbwright.documents.evidence_content import EvidencePart, RiskPart
from thumbwright.documents.growth_content import GrowthSection
from thumbwright.documents.paper_parts import PrintedNumber, Sentence, said
from thumbwright.documents.report_content import (
    Block,
    Cell,
    Gallery,
    Heading,
    Section,
    Table,
    cautions,
    cell,
    head,
    points,
    shown,
    text,
    valued,
    why_not,
)


def growth_part(
    found: GrowthSection | Unknown,
    follow_up: tuple[Sentence, ...],
    told_of: Mapping[str, str],
    spoken: Mapping[str, str],
) -> Section:
    """Return growth as a section.

    Parameters
    ----------
    found
        What is said of growth.
    follow_up
        What later measurements made of it.
    told_of, spoken
        Short name by name: of the techniques of which details are told, and of all.
    """
    if isinstance(found, Unknown):
        return Section(key="growth", title="Growth", blocks=(why_not(found),))
    blocks: list[Block] = [*text(*found.opening), *shown(found.picture)]
    if isinstance(found.rows, Unknown):
        blocks.append(why_not(found.rows))
    else:
        blocks += [
            Table(
                title="Each thumb against the other one",
                columns=(
                    "Technique",
                    "New thumb now",
                    "Difference now",
                    "Difference when grown",
                    "Within 5 mm",
                    "Within 10 mm",
                ),
                widths=(3.4, 2.2, 2.2, 3.6, 1.6, 1.6),
                rows=tuple(
                    (
                        head(spoken[row.technique]),
                        valued(row.now),
                        valued(row.difference_now),
                        valued(row.difference_grown),
                        valued(row.within_5),
                        valued(row.within_10),
                    )
                    for row in found.rows
                ),
            ),
        ]
    blocks += _made_of(found, told_of)
    blocks += _ages(found, told_of)
    blocks += [*text(*found.sentences), *points("Measured since", follow_up)]
    blocks += [*cautions(*found.cautions), *text(*said(*filter(None, (found.drawn_with,))))]
    return Section(key="growth", title="Growth", blocks=tuple(blocks))


def _each_year(found: GrowthSection, told_of: Mapping[str, str]) -> tuple[Table, ...]:
    return tuple(
        Table(
            title=f"Year by year: {told_of[name]}",
            columns=("Age", "New thumb", "Less the other thumb"),
            widths=(1.4, 3, 3),
            rows=tuple((head(row.age), valued(row.thumb), valued(row.difference)) for row in rows),
        )
        for name in told_of
        if (rows := [row for row in found.by_age if row.technique == name])
    )


def _made_of(found: GrowthSection, told_of: Mapping[str, str]) -> tuple[Table, ...]:
    rows = () if isinstance(found.rows, Unknown) else found.rows
    told = tuple(row for row in rows if row.technique in told_of)
    if not told:
        return ()
    return (
        Table(
            title="What each thumb is made of, and which length to choose",
            columns=("Technique", "Pieces", "Half of all cases", "Length to choose now"),
            widths=(3, 5, 2.4, 4),
            rows=tuple(
                (
                    head(told_of[row.technique]),
                    cell(*row.pieces),
                    cell(row.half_of_cases),
                    cell(row.length_to_choose),
                )
                for row in told
            ),
        ),
    )


def _ages(found: GrowthSection, told_of: Mapping[str, str]) -> list[Block]:
    blocks: list[Block] = []
    if not isinstance(found.other, Unknown):
        blocks.append(
            Table(
                title="The other thumb",
                columns=("Age", "Length, CMC joint to bony tip"),
                widths=(1, 3),
                rows=tuple((head(row.age), valued(row.length)) for row in found.other),
            )
        )
    blocks += _each_year(found, told_of)
    waiting = () if isinstance(found.waiting, Unknown) else found.waiting
    told = tuple(row for row in waiting if row.technique in told_of)
    if told:
        blocks.append(
            Table(
                title="What comes of waiting",
                columns=(
                    "Technique",
                    "Age at operation",
                    "Without a thumb",
                    "When grown",
                    "Within 5 mm",
                ),
                widths=(3, 2, 2, 3.4, 1.6),
                rows=tuple(
                    (
                        head(told_of[row.technique]),
                        cell(row.age),
                        cell(row.without),
                        valued(row.difference_grown),
                        valued(row.within_5),
                    )
                    for row in told
                ),
            )
        )
    return blocks


def reach_part(
    found: ReachSection,
    unknown: tuple[Sentence, ...],
    told_of: Mapping[str, str],
    spoken: Mapping[str, str],
) -> Section:
    """Return reach as a section; details only of the techniques that are named."""
    blocks: list[Block] = [
        Table(
            title="What each thumb reaches",
            columns=(
                "Technique",
                "Highest stage",
                "Index, tip",
                "Index, pulp",
                "Middle, tip",
                "Key",
                "Widest grasp",
                "Of a whole thumb",
            ),
            widths=(3, 3, 1.5, 1.5, 1.5, 1.5, 2, 1.5),
            rows=tuple(
                (
                    head(spoken.get(row.technique, row.technique)),
                    cell(row.highest),
                    valued(row.index_tip),
                    valued(row.index_pulp),
                    valued(row.middle_tip),
                    valued(row.key),
                    valued(row.grasp),
                    valued(row.of_whole),
                )
                for row in found.rows
            ),
        ),
        *points("Of these it cannot be told", unknown),
    ]
    for detail in (one for one in found.details if one.technique in told_of):
        blocks += [Heading(words=told_of[detail.technique]), *text(*detail.sentences)]
        blocks += _pinches(detail)
        blocks += [Gallery(pictures=detail.pictures)] if detail.pictures else []
        blocks += text(*detail.joints)
    blocks += cautions(*found.notes)
    return Section(key="reach", title="Reach", blocks=tuple(blocks))


def _pinches(detail: ReachDetail) -> tuple[Table, ...]:
    if not detail.pinches:
        return ()
    return (
        Table(
            title="Each pinch, and the middle posture that does it",
            columns=("Pinch", "Reached", "Thumb: CMC, MCP, IP", "Finger: MCP, PIP, DIP"),
            widths=(2.4, 1.4, 4.4, 3),
            rows=tuple(
                (head(one.name), valued(one.reached), cell(one.thumb), cell(one.finger))
                for one in detail.pinches
            ),
        ),
    )


def evidence_sections(
    parts: tuple[EvidencePart, ...], risks: tuple[RiskPart, ...]
) -> tuple[Section, Section]:
    """Return what was published, and this patient's risks, as two sections."""
    blocks: list[Block] = []
    for part in parts:
        blocks += [Heading(words=f"{part.technique}: {part.outcome}"), *shown(part.picture)]
        blocks.append(why_not(part.used)) if isinstance(part.used, Unknown) else None
        if not isinstance(part.used, Unknown):
            blocks += text(*part.used)
        if not isinstance(part.rows, Unknown):
            blocks.append(_series(part))
        blocks += [*text(*part.left_out), *cautions(*part.cautions)]
    published = Section(
        key="evidence", title="What was published", blocks=tuple(blocks) or text(*_NOTHING)
    )
    found: list[Block] = []
    for risk in risks:
        found.append(Heading(words=f"{risk.technique}: {risk.outcome}"))
        found.append(
            Table(
                title="",
                columns=("In one more series such as these", "For this patient"),
                widths=(1, 1),
                rows=((cell(risk.in_print), valued(risk.for_patient)),),
            )
        )
        found += [*text(*risk.because), *text(*risk.not_applied)]
        found += points("Would narrow it", said(*risk.settled_by))
        found += text(*said(risk.draws))
    own = Section(key="risk", title="This patient's risk", blocks=tuple(found) or text(*_NOTHING))
    return published, own


_NOTHING = said("No series that counted anything of these techniques is in the table of studies.")


def _series(part: EvidencePart) -> Table:
    rows = () if isinstance(part.rows, Unknown) else part.rows
    return Table(
        title="",
        columns=("Series", "Kind", "Counted", "Share", "People", "Remark"),
        widths=(2.2, 1.4, 1.6, 2.4, 2.4, 4),
        rows=(
            *(
                (
                    head(row.study),
                    cell(row.kind.value),
                    cell(row.counted),
                    valued(row.share),
                    cell(row.people),
                    cell(row.remark),
                )
                for row in rows
            ),
            *(
                (
                    head(row.name),
                    cell("together"),
                    cell(row.frequency),
                    valued(row.share),
                    cell(),
                    cell(row.method),
                )
                for row in part.pooled
            ),
        ),
    )


def weighing_part(found: ComparisonSection | Unknown, otherwise: tuple[Sentence, ...]) -> Section:
    """Return the weighing as a section, with what would come first were a fact otherwise."""
    title = "Weighed by what matters"
    changed = points("If a fact were otherwise", otherwise)
    if isinstance(found, Unknown):
        return Section(key="weighing", title=title, blocks=(why_not(found), *changed))
    blocks: list[Block] = [*points("For the family", found.family)]
    for view in (*found.views, *((found.joint,) if found.joint else ())):
        blocks += _view(view)
    blocks += changed
    blocks += shown(found.trade, 0.8)
    blocks += points("Better or as good in everything", found.dominances)
    blocks += points("Not known, and spread over the whole scale", found.unknown)
    blocks += points("Waiting for a finding", found.unsettled)
    blocks += points("The scales that the weights belong to", found.swings)
    blocks += [*points("How it was weighed", found.method), *points("Out", found.left_out)]
    return Section(key="weighing", title=title, blocks=tuple(blocks))


def _or(number: PrintedNumber | Unknown, words: str) -> Cell:
    """Return a number, or short words where its absence is no gap in what is known."""
    return cell(words) if isinstance(number, Unknown) else valued(number)


def _view(view: ComparisonView) -> tuple[Block, ...]:
    named = {"Plan A": view.plan_a, "Fallback": view.fallback}
    lines = tuple(f"{name}: {found}." for name, found in named.items())
    table = Table(
        title="",
        columns=(
            "Technique",
            "First, of 100 ways to weigh",
            "By the weights alone",
            "For those who like it best",
            "Regret, points of 100",
            "Their weights",
        ),
        widths=(3, 1.8, 1.8, 1.8, 1.8, 4),
        rows=tuple(
            (
                head(row.technique),
                valued(row.first),
                valued(row.first_by_weights_alone),
                _or(row.confidence, "never first"),
                _or(row.regret, "others come before it"),
                cell(
                    "never first"
                    if isinstance(row.central_weights, Unknown)
                    else row.central_weights
                ),
            )
            for row in view.rows
        ),
    )
    return (
        Heading(words=f"As {view.whose} weighs it"),
        *text(*said(view.words, *lines)),
        *shown(view.picture),
        table,
        *points("What would change the first place", view.turns),
        *points("Which examination would change it", view.tests),
        *points("What is given up by choosing otherwise", view.regrets),
    )
