"""The report of what lies ahead: everything on paper, readable by machines and by readers."""

import io
import json

import pytest
from pypdf import PdfReader
from tests.pathway.five_cases import Built, five_cases

from thumbwright.bootstrap import knowledge, versions
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.outlook.prices import PriceList
from thumbwright.documents.compose_foresight import compose_foresight, leading
from thumbwright.documents.paper_parts import Sentence
from thumbwright.documents.report_content import Report, Table, cell
from thumbwright.documents.report_printing import (
    pictures_of,
    write_report_json,
    write_report_pdf,
)
from thumbwright.pathway.foresee_case import Foresight, foresee_case


@pytest.fixture(name="five", scope="module")
def fixture_five(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Built]:
    return five_cases(tmp_path_factory)


@pytest.fixture(name="found", scope="module")
def fixture_found(five: dict[str, Built]) -> Foresight:
    return foresee_case(five["girl"].plan, knowledge(), PriceList())


@pytest.fixture(name="made", scope="module")
def fixture_made(found: Foresight) -> tuple[Report, dict[str, bytes]]:
    return compose_foresight(found, knowledge(), (), versions())


def test_the_report_has_every_part(made: tuple[Report, dict[str, bytes]]) -> None:
    assert [one.key for one in made[0].sections] == [
        "weighing",
        "ahead",
        "growth",
        "reach",
        "risk",
        "evidence",
    ]


def test_the_thumb_is_told_year_by_year(made: tuple[Report, dict[str, bytes]]) -> None:
    growth = next(one for one in made[0].sections if one.key == "growth")
    tables = {one.title: one for one in growth.blocks if isinstance(one, Table)}
    rows = tables["Year by year: the second toe"].rows
    ages = [row[0].sentences[0].text for row in rows]
    assert ages[0] == "now"
    assert ages[1] == "8 years"
    assert ages[-1] == "grown"
    lengths = [row[1].number.value for row in rows if row[1].number is not None]
    assert len(lengths) == len(rows)
    assert lengths == sorted(lengths)


def test_every_picture_is_drawn_and_described(made: tuple[Report, dict[str, bytes]]) -> None:
    report, drawings = made
    pictures = list(pictures_of(report))
    assert len(pictures) > 10
    for picture in pictures:
        assert drawings[picture.name].startswith(b"<svg")
        assert len(picture.alt) > 40


def test_the_tables_hold_every_technique_that_is_not_closed(
    made: tuple[Report, dict[str, bytes]], found: Foresight
) -> None:
    ahead = next(one for one in made[0].sections if one.key == "ahead")
    lives = next(one for one in ahead.blocks if isinstance(one, Table))
    assert len(lives.rows) == len(found.outlooks)


def test_details_are_told_of_plans_and_fallbacks_or_of_whom_was_asked(found: Foresight) -> None:
    assert "second_toe" in leading(found)
    report, _ = compose_foresight(found, knowledge(), (), versions(), ("pollicization",))
    told = json.dumps(json.loads(write_report_json(report))["sections"])
    assert "after pollicization" in told or "reach pollicization" in told
    assert "reach second_toe" not in told


def test_the_paper_is_tagged_and_says_the_same_numbers(
    made: tuple[Report, dict[str, bytes]],
) -> None:
    report, drawings = made
    data = write_report_pdf(report, drawings)
    assert write_report_pdf(report, drawings) == data
    reader = PdfReader(io.BytesIO(data))
    assert reader.root_object["/MarkInfo"]["/Marked"].value is True  # type: ignore[index]
    text = " ".join(page.extract_text() for page in reader.pages)
    flat = "".join(text.split())
    growth = next(one for one in report.sections if one.key == "growth")
    table = next(one for one in growth.blocks if isinstance(one, Table))
    for row in table.rows:
        number = row[1].number
        if number is not None:
            assert "".join(number.words.split()) in flat


def test_what_is_from_memory_is_labelled(made: tuple[Report, dict[str, bytes]]) -> None:
    listed = {one.key: one.provenance.value for one in made[0].sources}
    assert listed["lahdelma-salminen-2001"] == "recalled"
    data = write_report_pdf(*made)
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages)
    assert "from memory, unverified" in " ".join(text.split())


def test_a_missing_drawing_is_refused(made: tuple[Report, dict[str, bytes]]) -> None:
    report, drawings = made
    name = next(pictures_of(report)).name
    rest = {key: value for key, value in drawings.items() if key != name}
    with pytest.raises(KnowledgeError, match="were not handed over"):
        write_report_pdf(report, rest)


def test_a_table_without_rows_is_refused() -> None:
    with pytest.raises(KnowledgeError, match="at least one row"):
        Table(title="Nothing", columns=("A",), widths=(1.0,), rows=())


def test_a_cell_without_words_is_a_dash() -> None:
    assert cell("").sentences == (Sentence(text="–"),)
