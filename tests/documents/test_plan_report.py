"""The plan on paper: what is printed, how it is tagged, and that it is the same each time."""

import re
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.documents.measured_rows import FilmSection
from thumbwright.documents.paper_parts import Picture, Sentence, said
from thumbwright.documents.plan_content import PlanPaper
from thumbwright.documents.plan_report import CAUTION, write_pdf

NOT_PRINTED = {"format", "kind", "alt", "key", "source", "unit", "label"}
"""Fields that stand in the data only, or are printed in another form."""

SAID_BY_PICTURES = {"scale"}
"""The drawing to scale shortens words to the room there is; its description has them whole."""


def _reader(pdf: bytes) -> PdfReader:
    return PdfReader(BytesIO(pdf))


def _squeezed(text: str) -> str:
    """Return text without spaces and breaks, which a page sets as it must."""
    return re.sub(r"[\s\u200b]+", "", text)


def _printed(pdf: bytes) -> str:
    """Return what is printed, without the foot of the pages, which cuts running text in two."""
    pages = [_squeezed(page.extract_text()) for page in _reader(pdf).pages]
    return "".join(page.split(_squeezed(CAUTION))[0] for page in pages)


def _strings(part: object, name: str = "") -> Iterator[str]:
    if is_dataclass(part):
        for field in fields(part):
            if field.name not in NOT_PRINTED | SAID_BY_PICTURES and not isinstance(part, Picture):
                yield from _strings(getattr(part, field.name), field.name)
    elif isinstance(part, tuple):
        for item in part:
            yield from _strings(item, name)
    elif isinstance(part, str) and part:
        yield part


def _changed(part: object, change: Callable[[str], str]) -> Any:  # noqa: ANN401 - any part of a paper
    """Return a part of a paper with each of its printed texts changed."""
    if isinstance(part, tuple):
        return tuple(_changed(item, change) for item in part)
    if isinstance(part, str):
        return change(part)
    if not is_dataclass(part) or isinstance(part, Picture | type):
        return part
    kept = {"format", "kind", "key", "source"}
    new = {
        field.name: _changed(getattr(part, field.name), change)
        for field in fields(part)
        if field.name not in kept
    }
    return replace(part, **new)


@pytest.fixture(scope="module")
def pdf(example: PlanPaper, pictures: dict[str, bytes]) -> bytes:
    return write_pdf(example, pictures)


def test_two_runs_give_the_same_bytes(
    pdf: bytes, example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    assert write_pdf(example, pictures) == pdf


def test_another_folder_to_work_in_gives_the_same_bytes(
    pdf: bytes,
    example: PlanPaper,
    pictures: dict[str, bytes],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TZ", "Pacific/Kiritimati")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1")
    assert write_pdf(example, pictures) == pdf


def test_the_date_of_the_file_is_the_day_of_issue(
    example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    later = _reader(write_pdf(replace(example, issued_on=date(2040, 2, 29)), pictures))
    assert later.metadata is not None
    assert later.metadata.creation_date is not None
    assert later.metadata.creation_date.date() == date(2040, 2, 29)


def test_every_text_of_the_content_is_printed(pdf: bytes, example: PlanPaper) -> None:
    found = _printed(pdf)
    missing = [text for text in _strings(example) if _squeezed(text) not in found]
    assert missing == []


@pytest.mark.parametrize(
    "hostile",
    [
        "#panic()",
        "$ x^2 $",
        "<script>alert(1)</script>",
        "back\\slash \\u{41} \\n",
        "_under_ *star* `tick` @cite [square] {brace} // slashes /* star",
        '#import "x.typ": *',
        "= no heading",
        "&amp; &#65; ]]> \"'",
        "≥ ≤ − ° ± µ ½",
    ],
)
def test_hostile_text_is_printed_as_it_is(
    hostile: str, example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    paper = _changed(example, lambda text: f"{text} {hostile}")
    found = _printed(write_pdf(paper, pictures))
    assert [text for text in _strings(paper) if _squeezed(text) not in found] == []
    assert found.count(_squeezed(hostile)) > 100


@pytest.mark.parametrize("text", ["W" * 3000, ("word " * 600).strip(), "1,234;" * 500])
def test_three_thousand_letters_are_all_printed(
    text: str, example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    paper = replace(example, pseudonym=text, cautions=said(text), plan_a=said(text))
    letters = _squeezed(text)
    found = _printed(write_pdf(paper, pictures))
    assert found.count(letters[0]) >= 3 * letters.count(letters[0])


def test_right_to_left_letters_are_all_printed(
    example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    hebrew, arabic = "שלום", "مرحبا"
    found = _printed(write_pdf(replace(example, cautions=said(hebrew, arabic)), pictures))
    assert hebrew in found
    assert all(letter in found for letter in arabic)


def test_letters_that_no_font_holds_are_printed_as_their_number(
    example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    found = _printed(write_pdf(replace(example, pseudonym="漢 a\x00b \ud800"), pictures))
    assert "[U+6F22]a\ufffdb\ufffd" in found


def test_signs_that_turn_the_text_are_printed_and_do_not_turn_it(
    example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    found = _printed(write_pdf(replace(example, cautions=said("\u202eTFEL\u202c")), pictures))
    assert "[U+202E]TFEL[U+202C]" in found


def test_each_page_bears_case_pseudonym_side_number_and_caution(pdf: bytes) -> None:
    pages = _reader(pdf).pages
    assert 4 <= len(pages) <= 7
    for number, page in enumerate(pages, start=1):
        text = page.extract_text()
        for wanted in (
            "Case EX-7",
            "Heron",
            "RIGHT hand",
            f"page {number} of {len(pages)}",
            "thumbwright 0.1.0",
            "not a medical device; for the licensed clinician",
        ):
            assert wanted in text, (number, wanted)


def test_pages_are_of_the_size_a4(pdf: bytes) -> None:
    # ISO 216: A4 is 210 mm by 297 mm; a point is 25.4/72 mm.
    published_a4_mm = (210.0, 297.0)
    box = _reader(pdf).pages[0].mediabox
    assert float(box.width) * 25.4 / 72 == pytest.approx(published_a4_mm[0], abs=0.1)
    assert float(box.height) * 25.4 / 72 == pytest.approx(published_a4_mm[1], abs=0.1)


def test_what_comes_from_memory_says_so_wherever_it_stands(
    pdf: bytes, example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    label = _squeezed("from memory, unverified")
    more = replace(
        example,
        cautions=(
            *example.cautions,
            Sentence(text="One more.", basis=Basis(provenance=Provenance.RECALLED)),
        ),
    )
    assert _printed(write_pdf(more, pictures)).count(label) == _printed(pdf).count(label) + 1
    assert "Onemore.(frommemory,unverified)" in _printed(write_pdf(more, pictures))


def test_common_practice_and_assumptions_are_labelled(pdf: bytes) -> None:
    found = _printed(pdf)
    assert "freetissueismoved.(commonpractice,nosource)" in found
    assert "(untiltheunitsetsitsown;workingassumptionofthisprogram)" in found


def test_only_cited_sources_are_printed(pdf: bytes) -> None:
    assert "InventedA" in _printed(pdf)
    assert "InventedC" not in _printed(pdf)


def test_open_closed_and_unknown_have_word_and_sign(pdf: bytes) -> None:
    found = _printed(pdf)
    assert "?unknown" in found
    assert "×closed" in found
    assert "+open" in found


@pytest.mark.parametrize(
    "section",
    [
        "findings",
        "films",
        "lengths",
        "budgets",
        "cuts",
        "scale",
        "options",
        "criteria",
        "plan_a",
        "plan_b",
    ],
)
def test_a_section_without_rows_prints_unknown_and_the_reason(
    section: str, example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    why = Unknown(reason=f"nobody gave {section}", needed=("one film more",))
    change: dict[str, Any] = {section: why}
    found = _printed(write_pdf(replace(example, **change), pictures))
    assert _squeezed(f"unknown, because nobody gave {section}; needed: one film more") in found


def test_unknown_levels_are_printed_with_the_reason(
    example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    why = Unknown(reason="no length was measured")
    levels = replace(example.levels, shares=why, schemes=why, reasons=())
    glance = replace(example.glance, level_prob=why, missing_length=why, stops=())
    found = _printed(write_pdf(replace(example, levels=levels, glance=glance), pictures))
    assert found.count(_squeezed("unknown, because no length was measured")) == 4
    assert "nonefoundbytheprogram" in found


def test_a_picture_that_was_not_handed_over_is_named(example: PlanPaper) -> None:
    with pytest.raises(KnowledgeError, match=r"left_foot\.svg.*were not handed over"):
        write_pdf(example, {"right_hand.svg": b"<svg/>"})


def test_a_picture_that_is_no_picture_gets_a_message(
    example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    with pytest.raises(KnowledgeError, match=r"the paper could not be set.*mend the picture"):
        write_pdf(example, {**pictures, "left_foot.svg": b"no picture"})


def test_two_films_may_not_share_a_picture(example: PlanPaper, pictures: dict[str, bytes]) -> None:
    assert isinstance(example.films, tuple)
    film: FilmSection = example.films[0]
    with pytest.raises(KnowledgeError, match="one picture for each film"):
        write_pdf(replace(example, films=(film, film)), pictures)


def test_a_source_that_is_not_listed_is_refused(
    example: PlanPaper, pictures: dict[str, bytes]
) -> None:
    with pytest.raises(KnowledgeError, match="the paper cites invented-a-2001"):
        write_pdf(replace(example, sources=example.sources[1:]), pictures)
