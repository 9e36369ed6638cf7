"""The plan on paper for those who cannot see it: tags, language, title, descriptions."""

import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject

from thumbwright.documents.plan_content import PlanPaper
from thumbwright.documents.plan_report import write_pdf


@pytest.fixture(scope="module")
def reader(example: PlanPaper, pictures: dict[str, bytes]) -> PdfReader:
    return PdfReader(BytesIO(write_pdf(example, pictures)))


def _elements(node: Any) -> Iterator[DictionaryObject]:  # noqa: ANN401 - any object of a PDF
    node = node.get_object()
    if isinstance(node, ArrayObject):
        for item in node:
            yield from _elements(item)
    elif isinstance(node, DictionaryObject):
        if "/S" in node:
            yield node
        if "/K" in node:
            yield from _elements(node["/K"])


def _catalogue(reader: PdfReader) -> Any:  # noqa: ANN401 - pypdf types no entry of it
    return reader.root_object


def _of_kind(reader: PdfReader, kind: str) -> list[DictionaryObject]:
    root = _catalogue(reader)["/StructTreeRoot"]
    return [element for element in _elements(root) if str(element["/S"]) == kind]


def test_the_document_is_tagged_and_says_its_language_and_title(reader: PdfReader) -> None:
    root = _catalogue(reader)
    assert bool(root["/MarkInfo"]["/Marked"])
    assert str(root["/Lang"]) == "en-GB"
    assert bool(root["/ViewerPreferences"]["/DisplayDocTitle"])
    assert reader.metadata is not None
    assert reader.metadata.title == "Plan report, case EX-7"
    assert b"pdfuaid:part" in root["/Metadata"].get_object().get_data()


def test_each_picture_is_described(reader: PdfReader, example: PlanPaper) -> None:
    described = [str(element["/Alt"]) for element in _of_kind(reader, "/Figure")]
    assert len(described) == 4
    assert any("LEFT foot with the cut through the second metatarsal" in alt for alt in described)
    assert any(
        "RIGHT stump: first metacarpal 44.1 mm, missing stretch 54.3 mm" in alt for alt in described
    )
    assert isinstance(example.levels.shares, tuple)
    assert any(
        all(f"{share.level}: {share.prob.words}" in alt for share in example.levels.shares)
        for alt in described
    )


def test_each_table_has_headers_and_each_section_a_heading(reader: PdfReader) -> None:
    tables = _of_kind(reader, "/Table")
    by_hand_tables = 12  # one for each section with rows, the cuts among them, two in the last
    assert len(tables) == by_hand_tables
    for table in tables:
        kinds = {str(element["/S"]) for element in _elements(table)}
        assert {"/THead", "/TH", "/TR", "/TD"} <= kinds
    by_hand_sections = 13
    assert len(_of_kind(reader, "/H1")) == by_hand_sections


def test_header_cells_say_what_they_head(reader: PdfReader) -> None:
    for cell in _of_kind(reader, "/TH"):
        attributes: Any = cell["/A"].get_object()
        listed = attributes if isinstance(attributes, ArrayObject) else [attributes]
        assert any("/Scope" in item.get_object() for item in listed)


@pytest.mark.skipif(sys.platform != "linux", reason="the checker is installed on Linux only")
def test_the_checker_of_pdf_ua_finds_no_fault(
    example: PlanPaper, pictures: dict[str, bytes], tmp_path: Path
) -> None:
    from pdfua import validate

    file = tmp_path / "plan.pdf"
    file.write_bytes(write_pdf(example, pictures))
    report = validate(str(file))
    assert list(report.findings) == []
