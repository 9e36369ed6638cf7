"""The sheet for the bedside: what to mark, test, tape and photograph, with the sizes so far."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from thumbwright.core.case.examined import Side
from thumbwright.core.dimensions.dimension_plan import DimensionPlan
from thumbwright.core.dimensions.parts import PlanParts
from thumbwright.core.dimensions.sections import Dimension, Section
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Basis, Provenance, Source
from thumbwright.core.techniques.technique import Family, Toe
from thumbwright.documents.bedside_figures import (
    USUAL_FOOT,
    USUAL_HAND,
    Drawn,
    FootSize,
    HandSize,
    foot_figure,
    hand_figure,
)
from thumbwright.documents.bedside_lists import ToDo, allen, marks, photographs, tape
from thumbwright.documents.dimension_figures import bone_drawing, bone_picture
from thumbwright.documents.paper_parts import (
    PrintedNumber,
    Sentence,
    printed,
    printed_share,
    sentence,
)
from thumbwright.documents.pattern_sheet import PaperHead
from thumbwright.documents.plan_report import CAUTION, LABELLED, plain
from thumbwright.documents.printer import set_pdf
from thumbwright.documents.svg import legal

WITH_TOE = frozenset({Family.TOE, Family.PART_OF_TOE})
FIGURE_SHARE = 0.5
"""Of its true size, at which a figure is printed. [-]"""
_DECIMALS = {"days": 0, "mm2": 0, "-": 2}
CUT_FILE = "cuts.svg"
CUT_WIDTH_MM = 96.0
"""How wide the drawing of the cuts is printed. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaggedRow:
    """One structure to find and tag on both sides."""

    kind: str
    donor: str
    recipient: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """One size of the plan."""

    name: str
    value: PrintedNumber | Unknown
    arithmetic: str
    rests_on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeGroup:
    """Sizes that belong together, with what is said of them."""

    title: str
    rows: tuple[SizeRow, ...]
    remarks: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedFigure:
    """A drawing and how wide it is printed."""

    file: str
    alt: str
    caption: str
    width_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CitedSource:
    """One source as it stands at the end of the sheet."""

    number: int
    key: str
    citation: str
    identifier: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BedsideSheet:
    """Everything on the sheet but the bytes of its figures."""

    head: PaperHead
    technique: str
    donor: str
    marks: tuple[ToDo, ...]
    allen: tuple[ToDo, ...]
    tape: tuple[ToDo, ...]
    photographs: tuple[ToDo, ...]
    questions: tuple[str, ...]
    tagged: tuple[TaggedRow, ...]
    sizes: tuple[SizeGroup, ...]
    figures: tuple[PrintedFigure, ...]
    cuts: tuple[PrintedFigure, ...]
    """The toe's bones with the saw's lines; empty where no toe is sawn."""
    sources: tuple[CitedSource, ...]


def bedside_sheet(
    plan: DimensionPlan,
    parts: PlanParts,
    donor: tuple[Side, Toe] | None,
    head: PaperHead,
    bibliography: Mapping[str, Source],
) -> tuple[BedsideSheet, dict[str, str]]:
    """Put together the sheet and its drawings.

    Parameters
    ----------
    plan, parts
        The dimensions, and what they were made from.
    donor
        Foot and toe; None where no toe is taken.
    head
        What stands at the head of each page.
    bibliography
        Sources by key.

    Returns
    -------
    tuple[BedsideSheet, dict[str, str]]
        The content, and each drawing as SVG by its name.
    """
    drawn, sawn = tuple(_figures(plan, parts, donor)), _sawn(plan)
    sheet = BedsideSheet(
        head=head,
        technique=plan.technique.name,
        donor=plan.donor,
        marks=tuple(marks(plan, parts, donor)),
        allen=allen(parts.case.recipient_vessels, parts.case.injury.side),
        tape=tuple(tape(parts, donor)),
        photographs=photographs(donor),
        questions=plan.questions,
        tagged=tuple(
            TaggedRow(
                kind=row.kind,
                donor=row.donor,
                recipient=Sentence(text=row.recipient, basis=row.basis),
            )
            for row in plan.structures
        ),
        sizes=tuple(_group(section) for section in plan.sections),
        figures=tuple(_shown(one, f"figure-{place}.svg") for place, one in enumerate(drawn)),
        cuts=tuple(_shown(one, CUT_FILE) for one in sawn),
        sources=_sources(plan, bibliography),
    )
    figures = {f"figure-{place}.svg": one.svg for place, one in enumerate(drawn)}
    if sawn:
        figures[CUT_FILE] = sawn[0].svg
    return sheet, figures


def _shown(drawn: Drawn, file: str) -> PrintedFigure:
    return PrintedFigure(
        file=file,
        alt=drawn.picture.alt,
        caption=drawn.picture.caption,
        width_mm=drawn.width_mm * FIGURE_SHARE,
    )


def _sawn(plan: DimensionPlan) -> tuple[Drawn, ...]:
    """Return the drawing of the cuts, if a toe is sawn and was measured."""
    if isinstance(plan.cut, Unknown) or isinstance(plan.toe_bones, Unknown):
        return ()
    picture = bone_picture(plan.toe_bones, plan.cut)
    made = bone_drawing(plan.toe_bones, plan.cut, plan.oblique, title=picture.alt)
    if isinstance(made, Unknown):
        return ()
    return (Drawn(picture=picture, svg=made, width_mm=CUT_WIDTH_MM / FIGURE_SHARE),)


def write_bedside_pdf(sheet: BedsideSheet, figures: Mapping[str, str]) -> bytes:
    """Set the sheet as a tagged PDF; the same content gives the same bytes.

    Raises
    ------
    KnowledgeError
        If the sheet cannot be set.
    """
    labels = {provenance.value: provenance.label for provenance in LABELLED}
    setting = {"caution": CAUTION, "long": False, "labels": labels}
    data = {
        "sheet.json": json.dumps(plain(sheet, legal), ensure_ascii=False).encode(),
        "setting.json": json.dumps(setting, ensure_ascii=False).encode(),
        **{name: drawing.encode() for name, drawing in figures.items()},
    }
    return set_pdf("bedside_sheet.typ", data, issued_on=sheet.head.issued_on)


def _figures(
    plan: DimensionPlan, parts: PlanParts, donor: tuple[Side, Toe] | None
) -> Iterator[Drawn]:
    if donor is not None:
        is_wrap = plan.technique.key == "great_toe_wrap_around"
        yield foot_figure(_foot_size(parts, donor[0]), donor[0], donor[1], wrap=is_wrap)
    yield hand_figure(_hand_size(parts), parts.case.injury.side)


def _foot_size(parts: PlanParts, side: Side) -> FootSize:
    sizes = []
    for toe in (Toe.GREAT, Toe.SECOND):
        ray, beyond = parts.ray(side, toe), parts.beyond_mtp(side, toe)
        if isinstance(ray, Unknown) or isinstance(beyond, Unknown):
            return USUAL_FOOT
        metatarsal = [bone for bone in ray.bones if bone.name == ray.ray.bones[0].name]
        if not metatarsal:
            return USUAL_FOOT
        sizes += [metatarsal[0].length.value, beyond.value]
    return FootSize(
        first_metatarsal_mm=sizes[0],
        great_toe_mm=sizes[1],
        second_metatarsal_mm=sizes[2],
        second_toe_mm=sizes[3],
        is_measured=True,
    )


def _hand_size(parts: PlanParts) -> HandSize:
    stump, wanted = parts.lengths.stump, parts.lengths.wanted.length
    if isinstance(stump, Unknown) or isinstance(wanted, Unknown):
        return USUAL_HAND
    return HandSize(stump_mm=stump.value, wanted_mm=wanted.value, is_measured=True)


def _group(section: Section) -> SizeGroup:
    return SizeGroup(
        title=section.title,
        rows=tuple(_size(dimension) for dimension in section.dimensions),
        remarks=tuple(sentence(one) for one in section.statements),
    )


def _size(dimension: Dimension) -> SizeRow:
    return SizeRow(
        name=dimension.name,
        value=_value(dimension),
        arithmetic=dimension.arithmetic,
        rests_on="; ".join(dict.fromkeys(_rests_on(basis) for basis in dimension.bases)),
    )


def _value(dimension: Dimension) -> PrintedNumber | Unknown:
    value = dimension.value
    if isinstance(value, Measured) and dimension.key.endswith("_prob"):
        return printed_share(value.value)
    decimals = _DECIMALS.get(value.unit, 1) if isinstance(value, Measured) else 1
    shown = printed(value, decimals=decimals)
    if isinstance(shown, PrintedNumber) and isinstance(value, Measured) and not value.terms:
        whole = f"{value.value:.{decimals}f}".replace("-", "−")
        words = f"{whole} {value.unit}".removesuffix(" -")
        return PrintedNumber(words=words.replace("mm2", "mm²"), value=value.value, unit=value.unit)
    return shown


def _rests_on(basis: Basis) -> str:
    """Return the words for what a size rests on; recalled and assumed are always said."""
    if basis.provenance in {Provenance.READ, Provenance.DERIVED}:
        return f"{basis.provenance.label}: {basis.source}, {basis.locator}"
    return basis.provenance.label


def _sources(plan: DimensionPlan, bibliography: Mapping[str, Source]) -> tuple[CitedSource, ...]:
    bases = [
        basis
        for section in plan.sections
        for basis in (
            *(basis for dimension in section.dimensions for basis in dimension.bases),
            *(statement.basis for statement in section.statements),
        )
    ]
    bases += [row.basis for row in plan.structures]
    keys = dict.fromkeys(basis.source for basis in bases if basis.source)
    return tuple(
        CitedSource(
            number=number,
            key=key,
            citation=bibliography[key].citation,
            identifier=bibliography[key].identifier,
            note=bibliography[key].note,
        )
        for number, key in enumerate(keys, start=1)
    )
