"""The content of the plan: what it refuses, how numbers become words, what it cites."""

from dataclasses import replace
from math import inf, nan

import pytest

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.measured import Input, Measured, Term
from thumbwright.core.foundations.sources import Basis, Provenance, Published, Source, Statement
from thumbwright.documents.cited_sources import cited_keys, with_sources
from thumbwright.documents.paper_parts import (
    Picture,
    PrintedNumber,
    Sentence,
    printed,
    printed_plain,
    printed_published,
    printed_share,
    said,
    sentence,
)
from thumbwright.documents.plan_content import CriteriaRow, CriteriaTable, Grade, PlanPaper


def test_a_measured_number_is_printed_with_unit_and_interval() -> None:
    doubt = Input(key="a", name="a", standard_uncertainty=0.5, unit="mm")
    length = Measured(
        value=54.25, unit="mm", origin="film", terms=(Term(input=doubt, sensitivity=1.0),)
    )
    number = printed(length)
    assert isinstance(number, PrintedNumber)
    # by hand: 54.25 ± 1.95996 * 0.5 = 53.270 to 55.230
    assert number.words == "54.2 mm (53.3 to 55.2)"
    assert number.value == 54.25
    assert number.standard_uncertainty == 0.5
    assert number.low == pytest.approx(53.270, abs=5e-4)
    assert number.high == pytest.approx(55.230, abs=5e-4)


def test_an_unknown_stays_unknown_in_print() -> None:
    why = Unknown(reason="no film")
    assert printed(why) is why


def test_negative_numbers_have_a_true_minus_and_zero_has_none() -> None:
    assert printed_plain(-1.414, "-").words == "−1.41"
    nothing = printed(Measured(value=-0.001, unit="mm", origin="film"))
    assert isinstance(nothing, PrintedNumber)
    assert nothing.words == "0.0 mm (0.0 to 0.0)"


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (0.10123, "mm/px", "0.101 mm/px"),
        (45.0, "deg", "45°"),
        (0.71, "-", "0.71"),
        (1234.6, "mm", "1235 mm"),
        (0.00001234, "mm", "0.0000123 mm"),
    ],
)
def test_a_bare_number_is_printed_shortly(value: float, unit: str, words: str) -> None:
    assert printed_plain(value, unit).words == words


def test_a_number_from_print_carries_its_doubt_and_its_basis() -> None:
    basis = Basis(provenance=Provenance.RECALLED)
    number = printed_published(Published(value=31.57, uncertainty=3.13, unit="mm", basis=basis))
    assert (number.words, number.basis) == ("31.6 mm ± 3.1", basis)


@pytest.mark.parametrize("bad", [nan, inf, -inf])
def test_what_is_no_number_is_not_printed(bad: float) -> None:
    with pytest.raises(KnowledgeError, match="allowed are finite numbers; give Unknown"):
        PrintedNumber(words="bad", value=bad, unit="mm")


def test_a_share_is_never_rounded_to_certainty() -> None:
    words = [printed_share(share).words for share in (0.0, 0.002, 0.5, 0.9999, 1.0)]
    assert words == ["0 %", "under 1 %", "50 %", "over 99 %", "100 %"]


def test_a_statement_keeps_its_basis_and_an_empty_sentence_is_refused() -> None:
    basis = Basis(provenance=Provenance.COMMON_PRACTICE)
    assert sentence(Statement(text="So.", basis=basis)) == Sentence(text="So.", basis=basis)
    assert said("One.", "Two.") == (Sentence(text="One."), Sentence(text="Two."))
    with pytest.raises(KnowledgeError, match="a sentence was given empty"):
        Sentence(text=" ")


@pytest.mark.parametrize(("name", "alt"), [("film.gif", "a film"), ("film.svg", "")])
def test_a_picture_has_a_known_kind_and_a_description(name: str, alt: str) -> None:
    with pytest.raises(KnowledgeError, match=r"allowed are names ending in \.svg, \.jpg or \.png"):
        Picture(name=name, alt=alt, caption="")


def test_a_section_without_rows_is_refused(example: PlanPaper) -> None:
    with pytest.raises(KnowledgeError, match="the sections lengths, options of the paper"):
        replace(example, options=(), lengths=())


def test_a_grade_is_demanded_for_each_goal() -> None:
    row = CriteriaRow(technique="second toe", grades=(Grade(words="good"),))
    with pytest.raises(KnowledgeError, match="second toe was given with 1 grades"):
        CriteriaTable(goals=("length", "looks"), rows=(row,))


def test_sources_are_numbered_as_the_reader_meets_them_and_no_other_is_listed(
    example: PlanPaper,
) -> None:
    assert [(entry.number, entry.key) for entry in example.sources] == [
        (1, "invented-a-2001"),
        (2, "invented-b-1999"),
    ]
    assert cited_keys(example) == ("invented-a-2001", "invented-b-1999")


def test_a_source_that_the_bibliography_lacks_is_refused(example: PlanPaper) -> None:
    only = {"invented-a-2001": Source(key="invented-a-2001", citation="Invented A. 2001")}
    with pytest.raises(KnowledgeError, match="the paper cites invented-b-1999, which the bib"):
        with_sources(example, only)
