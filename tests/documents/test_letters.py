"""Which signs can be printed, and what stands in place of those that cannot."""

from collections.abc import Mapping
from dataclasses import replace
from struct import pack

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.documents.letters import EMBEDDED, font_signs, printable
from thumbwright.documents.paper_parts import said
from thumbwright.documents.plan_content import PlanPaper
from thumbwright.documents.plan_report import write_pdf
from thumbwright.documents.printer import font_folder


def test_plain_words_and_signs_of_the_trade_are_left_alone() -> None:
    text = "Müller, 12.4 mm ± 0.5, −3° ≥ ½ → ∞"
    assert printable(text, font_folder()) == text


def test_letters_of_many_scripts_are_left_alone() -> None:
    text = "Ελλάδα Кириллица שלום مرحبا नमस्ते বাংলা தமிழ் ภาษา"
    assert printable(text, font_folder()) == text


def test_what_no_font_holds_is_shown_as_its_number() -> None:
    assert printable("漢 \ue000", font_folder()) == "[U+6F22] [U+E000]"


def test_every_sign_that_is_said_to_be_drawn_is_drawn(
    example: PlanPaper, pictures: Mapping[str, bytes]
) -> None:
    assert write_pdf(replace(example, cautions=said("".join(sorted(EMBEDDED)))), pictures)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(text=st.text(st.characters(exclude_categories=()), min_size=1).filter(str.strip))
def test_any_text_can_be_printed(text: str, example: PlanPaper, pictures: dict[str, bytes]) -> None:
    assert write_pdf(replace(example, pseudonym=text, cautions=said(text)), pictures)


def test_the_table_of_a_small_font_is_read_by_hand() -> None:
    # by hand: one table, named cmap, at byte 28, with one subtable of format 4 that holds two
    # segments, the signs A to C and the closing one
    segments = pack(">HHHHHHH", 4, 32, 0, 4, 0, 0, 0) + pack(">HHHHH", 67, 65535, 0, 65, 65535)
    table = pack(">HHHHI", 0, 1, 3, 1, 12) + segments
    font = pack(">IHHHH", 65536, 1, 0, 0, 0) + pack(">4sIII", b"cmap", 0, 28, len(table)) + table
    assert [chr(code) for code in font_signs(font, "small.ttf")][:3] == ["A", "B", "C"]


@pytest.mark.parametrize("font", [b"", b"no font at all, but some bytes"])
def test_what_is_no_font_is_refused(font: bytes) -> None:
    with pytest.raises(KnowledgeError, match=r"broken\.ttf has no table of signs"):
        list(font_signs(font[:6], "broken.ttf"))
