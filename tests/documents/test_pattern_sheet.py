"""The sheet of patterns: read back from the lines of the PDF, in millimetres."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from io import BytesIO
from math import hypot
from pathlib import Path

import pytest
from pypdf import PageObject, PdfReader
from pypdf.generic import ContentStream
from tests.core.dimensions.worked_parts import parts
from tests.core.techniques.worked_situations import BIBLIOGRAPHY, BY_KEY

from thumbwright.core.case.examined import Side
from thumbwright.core.dimensions.dimension_plan import DimensionPlan, dimension
from thumbwright.core.dimensions.settings import Choices, DimensionSettings
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.techniques.technique import Toe
from thumbwright.documents.bedside_sheet import bedside_sheet, write_bedside_pdf
from thumbwright.documents.dimension_figures import (
    bone_drawing,
    bone_picture,
    pattern_drawing,
    pattern_picture,
)
from thumbwright.documents.pattern_sheet import PaperHead, pattern_sheet, write_pattern_pdf

HEAD = PaperHead(
    case_id="2026-07",
    pseudonym="Joiner <b>41</b>",
    side="LEFT",
    issued_on=date(2026, 11, 20),
    program="thumbwright 0",
)
SET = DimensionSettings(
    choices=Choices(
        mtp_correction_deg=45.0, graft_width_mm=14.0, web_span_wanted_mm=90.0, build_length_mm=44.0
    )
)
MM_PER_POINT = 25.4 / 72
Matrix = tuple[float, float, float, float, float, float]
Stroke = tuple[tuple[float, float], ...]


def plan_of(key: str, toe: Toe | None, *, side: Side = Side.LEFT) -> DimensionPlan:
    return dimension(BY_KEY[key], side, toe, parts(from_joint_mm=12.0), SET)


def times(inner: Matrix, outer: Matrix) -> Matrix:
    a, b, c, d, e, f = inner
    g, h, i, j, k, m = outer
    return (
        a * g + b * i,
        a * h + b * j,
        c * g + d * i,
        c * h + d * j,
        e * g + f * i + k,
        e * h + f * j + m,
    )


def paths_of(page: PageObject) -> Iterator[Stroke]:
    """Yield every stroked path of a page, its corners in millimetres of paper."""
    reader = page.pdf
    assert reader is not None
    content = ContentStream(page.get_contents(), reader)
    matrix: Matrix = (1, 0, 0, 1, 0, 0)
    stack: list[Matrix] = []
    corners: list[tuple[float, float]] = []
    for operands, operator in content.operations:
        numbers = [float(one) for one in operands] if operator in {b"cm", b"m", b"l"} else []
        if operator == b"q":
            stack.append(matrix)
        elif operator == b"Q":
            matrix = stack.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = numbers
            matrix = times((a, b, c, d, e, f), matrix)
        elif operator in {b"m", b"l"}:
            corners = [] if operator == b"m" else corners
            x, y = numbers
            corners.append(
                (
                    (x * matrix[0] + y * matrix[2] + matrix[4]) * MM_PER_POINT,
                    (x * matrix[1] + y * matrix[3] + matrix[5]) * MM_PER_POINT,
                )
            )
        elif operator in {b"S", b"s"}:
            yield tuple(corners)
            corners = []


def widths_mm(page: PageObject) -> list[float]:
    return [
        hypot(path[-1][0] - path[0][0], path[-1][1] - path[0][1])
        for path in paths_of(page)
        if len(path) == 2
    ]


@pytest.fixture(scope="module")
def wrap() -> PdfReader:
    plan = plan_of("great_toe_wrap_around", Toe.GREAT)
    return PdfReader(BytesIO(write_pattern_pdf(pattern_sheet(plan, HEAD))))


def test_every_page_carries_a_bar_of_a_hundred_millimetres(wrap: PdfReader) -> None:
    assert len(wrap.pages) == 1 + len(plan_of("great_toe_wrap_around", Toe.GREAT).patterns)
    for page in wrap.pages:
        assert [width for width in widths_mm(page) if abs(width - 100) < 0.1] != []
        assert "This bar must measure 100 mm" in " ".join(page.extract_text().split())


def test_a_page_is_a_sheet_of_a4(wrap: PdfReader) -> None:
    box = wrap.pages[0].mediabox
    assert float(box.width) * MM_PER_POINT == pytest.approx(210, abs=0.1)
    assert float(box.height) * MM_PER_POINT == pytest.approx(297, abs=0.1)


def test_the_square_is_fifty_millimetres_high_and_wide(wrap: PdfReader) -> None:
    content = ContentStream(wrap.pages[0].get_contents(), wrap)
    sides = [
        [float(one) * MM_PER_POINT for one in operands[2:4]]
        for operands, operator in content.operations
        if operator == b"re"
    ]
    drawn = [
        (max(x for x, _ in path) - min(x for x, _ in path), len(path))
        for path in paths_of(wrap.pages[0])
        if len(path) >= 4
    ]
    found = [side for side in sides if side == pytest.approx([50, 50], abs=0.05)]
    found += [[width, width] for width, _ in drawn if width == pytest.approx(50, abs=0.05)]
    assert found != []


def test_the_pattern_is_drawn_at_its_true_size(wrap: PdfReader) -> None:
    pattern = plan_of("great_toe_wrap_around", Toe.GREAT).patterns[0].pattern
    outlines = [path for path in paths_of(wrap.pages[1]) if len(path) >= len(pattern.outline)]
    assert len(outlines) == 1
    across = [x for x, _ in outlines[0]]
    down = [y for _, y in outlines[0]]
    assert max(across) - min(across) == pytest.approx(pattern.width_mm, abs=0.05)
    assert max(down) - min(down) == pytest.approx(pattern.height_mm, abs=0.05)


def test_each_pattern_says_its_side_and_the_right_one_is_mirrored() -> None:
    left = pattern_sheet(plan_of("staged_osteoplastic", None), HEAD)
    right = pattern_sheet(plan_of("second_toe", Toe.SECOND, side=Side.RIGHT), HEAD)
    assert "LEFT groin" in {one.where for one in left.patterns}
    assert all(one.where == "RIGHT second toe" for one in right.patterns if "toe" in one.where)
    assert right.patterns[0].turned.startswith("Mirrored for the RIGHT side")


def test_a_pattern_larger_than_the_paper_is_named_but_not_drawn() -> None:
    sheet = pattern_sheet(plan_of("staged_osteoplastic", None), HEAD)
    wide = replace(
        sheet.patterns[0],
        fits=False,
        outline=tuple((3 * x, y) for x, y in sheet.patterns[0].outline),
    )
    pdf = PdfReader(BytesIO(write_pattern_pdf(replace(sheet, patterns=(wide,)))))
    assert "Too large for A4" in pdf.pages[1].extract_text()


def test_two_runs_give_the_same_bytes() -> None:
    plan = plan_of("second_toe_with_mtp_joint", Toe.SECOND)
    assert write_pattern_pdf(pattern_sheet(plan, HEAD)) == write_pattern_pdf(
        pattern_sheet(plan, HEAD)
    )


@pytest.mark.parametrize("key", sorted(BY_KEY))
def test_each_technique_has_a_sheet_for_the_bedside(key: str) -> None:
    toe = BY_KEY[key].donor_toes[0] if BY_KEY[key].donor_toes else None
    plan = plan_of(key, toe)
    donor = (Side.LEFT, toe) if toe else None
    sheet, figures = bedside_sheet(plan, parts(from_joint_mm=12.0), donor, HEAD, BIBLIOGRAPHY)
    assert len(sheet.figures) == (2 if toe else 1)
    assert len(figures) == len(sheet.figures) + len(sheet.cuts)
    assert all(figure.alt for figure in sheet.figures)
    cited = {row.key for row in sheet.sources}
    assert {one.basis.source for one in plan.structures if one.basis.source} <= cited


def test_the_sheet_for_the_bedside_prints_boxes_findings_and_sizes() -> None:
    plan = plan_of("second_toe_with_mtp_joint", Toe.SECOND)
    made = parts(from_joint_mm=12.0)
    sheet, figures = bedside_sheet(plan, made, (Side.LEFT, Toe.SECOND), HEAD, BIBLIOGRAPHY)
    pdf = PdfReader(BytesIO(write_bedside_pdf(sheet, figures)))
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    for words in ("Allen test", "Find and tag on both sides", "Oblique cut", "Joiner <b>41</b>"):
        assert words in text
    assert "from memory, unverified" in text
    assert "working assumption" in text


def test_the_drawing_of_the_cuts_tells_in_words_what_it_shows() -> None:
    plan = plan_of("second_toe_with_mtp_joint", Toe.SECOND)
    assert not isinstance(plan.toe_bones, Unknown)
    assert not isinstance(plan.cut, Unknown)
    picture = bone_picture(plan.toe_bones, plan.cut)
    drawing = bone_drawing(plan.toe_bones, plan.cut, plan.oblique, title=picture.alt)
    assert isinstance(drawing, str)
    assert "15.0 mm proximal to the MTP joint" in picture.alt
    assert "oblique cut of 45 degrees" in drawing
    assert drawing.count("<path") > len(plan.toe_bones.bones)


def test_a_preview_names_side_and_size() -> None:
    sided = plan_of("great_toe_wrap_around", Toe.GREAT).patterns[0]
    picture = pattern_picture(sided)
    assert "LEFT great toe" in picture.alt
    assert f"{sided.pattern.width_mm:.1f} mm wide" in picture.alt
    assert "20 mm" in pattern_drawing(sided, title=picture.alt)


def test_the_checker_of_pdf_ua_finds_no_fault_in_either_paper(tmp_path: Path) -> None:
    from pdfua import validate

    plan = plan_of("great_toe_wrap_around", Toe.GREAT)
    sheet, figures = bedside_sheet(
        plan, parts(from_joint_mm=12.0), (Side.LEFT, Toe.GREAT), HEAD, BIBLIOGRAPHY
    )
    papers = {
        "patterns.pdf": write_pattern_pdf(pattern_sheet(plan, HEAD)),
        "bedside.pdf": write_bedside_pdf(sheet, figures),
    }
    for name, data in papers.items():
        file = tmp_path / name
        file.write_bytes(data)
        assert list(validate(str(file)).findings) == []
