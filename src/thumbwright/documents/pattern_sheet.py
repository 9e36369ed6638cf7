"""The patterns of a plan at true size on A4, each page with a bar of 100 mm to check the print."""

import json
from dataclasses import dataclass
from datetime import date

from thumbwright.core.case.examined import Side
from thumbwright.core.dimensions.dimension_plan import DimensionPlan
from thumbwright.core.dimensions.flat_patterns import Corner, area_mm2
from thumbwright.core.dimensions.parts import SidedPattern
from thumbwright.documents.paper_parts import PrintedNumber, printed_plain
from thumbwright.documents.plan_report import CAUTION, plain
from thumbwright.documents.printer import set_pdf
from thumbwright.documents.svg import legal

BAR_MM = 100.0
SQUARE_MM = 50.0
ROOM_MM = (184.0, 200.0)
"""Width and height that a page of A4 has for one pattern. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperHead:
    """What stands at the head of each page."""

    case_id: str
    pseudonym: str
    side: str
    """Side of the lost thumb, in words."""
    issued_on: date
    program: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedLine:
    """A line inside a pattern, from the upper left corner of the paper."""

    start: Corner
    end: Corner
    words: str
    is_cut: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedPattern:
    """One pattern as it is printed; y runs downwards from the upper edge."""

    name: str
    where: str
    """Side and place: ``RIGHT great toe``."""
    turned: str
    """Whether it is mirrored, in words."""
    width: PrintedNumber
    height: PrintedNumber
    area: PrintedNumber
    outline: tuple[Corner, ...]
    lines: tuple[PrintedLine, ...]
    notes: tuple[str, ...]
    up: str
    """What lies upwards."""
    outline_is_cut: bool
    fits: bool
    """Whether it has room on A4; else only its size is printed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternSheet:
    """All patterns of one plan."""

    head: PaperHead
    technique: str
    donor: str
    bar_mm: float
    square_mm: float
    patterns: tuple[PrintedPattern, ...]
    questions: tuple[str, ...]


def pattern_sheet(plan: DimensionPlan, head: PaperHead) -> PatternSheet:
    """Put the patterns of a plan on paper."""
    return PatternSheet(
        head=head,
        technique=plan.technique.name,
        donor=plan.donor,
        bar_mm=BAR_MM,
        square_mm=SQUARE_MM,
        patterns=tuple(_printed(sided) for sided in plan.patterns),
        questions=plan.questions,
    )


def _printed(sided: SidedPattern) -> PrintedPattern:
    pattern = sided.pattern
    left = min(x for x, _ in pattern.outline)
    top = max(y for _, y in pattern.outline)

    def placed(corner: Corner) -> Corner:
        return (round(corner[0] - left, 4), round(top - corner[1], 4))

    return PrintedPattern(
        name=pattern.name,
        where=sided.words,
        turned=_turned(sided),
        width=printed_plain(round(pattern.width_mm, 1), "mm"),
        height=printed_plain(round(pattern.height_mm, 1), "mm"),
        area=printed_plain(round(area_mm2(pattern.outline) / 100, 1), "cm²"),
        outline=tuple(placed(corner) for corner in pattern.outline),
        lines=tuple(
            PrintedLine(
                start=placed(line.start),
                end=placed(line.end),
                words=line.words,
                is_cut=line.is_cut,
            )
            for line in pattern.lines
        ),
        notes=pattern.notes,
        up=pattern.up,
        outline_is_cut=pattern.outline_is_cut,
        fits=pattern.width_mm <= ROOM_MM[0] and pattern.height_mm <= ROOM_MM[1],
    )


def _turned(sided: SidedPattern) -> str:
    if sided.side is Side.RIGHT:
        return "Mirrored for the RIGHT side. Printed face up = skin side up."
    return "Drawn for the LEFT side. Printed face up = skin side up."


def write_pattern_pdf(sheet: PatternSheet) -> bytes:
    """Set the sheet as a tagged PDF at true size; the same content gives the same bytes.

    Raises
    ------
    KnowledgeError
        If the sheet cannot be set.
    """
    setting = {"caution": CAUTION, "long": False, "labels": {}}
    parts = {
        "sheet.json": json.dumps(plain(sheet, legal), ensure_ascii=False).encode(),
        "setting.json": json.dumps(setting).encode(),
    }
    return set_pdf("pattern_sheet.typ", parts, issued_on=sheet.head.issued_on)
