"""The section on reach says every number in words, and its drawings tell left from right."""

import re
from functools import cache
from xml.etree import ElementTree as ET

import pytest
from tests.core.techniques.worked_situations import BY_KEY
from tests.growing_people import child_situation, lengths_of

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.reach.results import PinchKind, Reach
from thumbwright.core.reach.skeleton import Digit
from thumbwright.core.techniques.eligibility import eligible_all
from thumbwright.core.techniques.reaches import Reaches, reaches
from thumbwright.documents.compose_reach import ReachSection, reach_section
from thumbwright.documents.reach_figures import View, curve_words, pinch_drawing

NAMES = {key: one.name for key, one in BY_KEY.items()}


@cache
def girl() -> Reaches:
    lengths = lengths_of()
    situation = child_situation(7.0, lengths=lengths)
    return reaches(eligible_all(tuple(BY_KEY.values()), situation), situation, lengths, draws=120)


@cache
def section(side: Side = Side.LEFT) -> tuple[ReachSection, dict[str, str]]:
    return reach_section(girl().reaches, girl().whole, NAMES, side)


def toe() -> Reach:
    found = girl().of("second_toe")
    assert not isinstance(found, Unknown)
    return found


def circles_of(drawing: str) -> list[float]:
    """Return how far right each circle stands of the wrist, which is named."""
    root = ET.fromstring(drawing)  # noqa: S314  our own drawing
    space = {"s": "http://www.w3.org/2000/svg"}
    wrist = next(float(one.attrib["cx"]) for one in root.findall(".//s:circle[@r='6']", space))
    return [float(one.attrib["cx"]) - wrist for one in root.findall(".//s:circle[@r='9']", space)]


def drawn(side: Side, view: View) -> str:
    pinch = toe().pinch(PinchKind.KEY, Digit.INDEX)
    assert not isinstance(pinch, Unknown)
    drawing = pinch_drawing(toe(), pinch, side, view)
    assert isinstance(drawing, str)
    return drawing


def test_a_row_stands_for_every_technique_and_for_the_whole_thumb() -> None:
    rows = section()[0].rows
    assert len(rows) == len(girl().reaches) + 1
    assert rows[0].of_whole.words == "100 %"
    assert rows[0].highest.startswith("stage 10")


def test_every_joint_says_how_far_it_moves_and_on_what_that_rests() -> None:
    detail = next(one for one in section()[0].details if one.technique == NAMES["second_toe"])
    assert [text.text.split(" ")[0] for text in detail.joints[:5]] == [
        "CMC",
        "CMC",
        "MCP",
        "IP",
        "CMC",
    ]
    found = [one for one in detail.joints if "measured" not in one.text]
    assert len(found) >= 4
    assert all(one.basis is not None for one in found)


def test_what_was_measured_in_this_hand_carries_no_source() -> None:
    for detail in section()[0].details:
        measured = [one for one in detail.joints if "was measured" in one.text]
        assert [one.basis for one in measured] == [None] * len(measured)


def test_every_picture_has_its_drawing_and_its_words() -> None:
    found, drawings = section()
    named = [picture.name for detail in found.details for picture in detail.pictures]
    assert sorted(named) == sorted(drawings)
    for detail in found.details:
        for picture in detail.pictures:
            assert ET.fromstring(drawings[picture.name]).tag.endswith("svg")  # noqa: S314
            assert len(picture.alt) > 40


def test_no_drawing_or_sentence_holds_a_number_that_is_none() -> None:
    found, drawings = section()
    texts = [one.text for detail in found.details for one in detail.sentences]
    assert not re.search(r"\bnan\b|\binf\b", " ".join([*drawings.values(), *texts]))
    assert "−0°" not in " ".join(drawings.values())


@pytest.mark.parametrize("view", list(View))
def test_a_left_hand_is_drawn_as_the_mirror_of_a_right_one(view: View) -> None:
    left, right = circles_of(drawn(Side.LEFT, view)), circles_of(drawn(Side.RIGHT, view))
    assert left == pytest.approx([-x for x in right], abs=0.02)


def test_a_right_thumb_lies_right_of_its_palm_and_a_right_palm_left_of_the_thumbs_side() -> None:
    assert circles_of(drawn(Side.RIGHT, View.PALM))[-1] > 0
    assert circles_of(drawn(Side.RIGHT, View.THUMB_SIDE))[-1] < 0


def test_the_side_stands_over_the_hand_in_words() -> None:
    assert "LEFT hand, seen from the palm" in drawn(Side.LEFT, View.PALM)
    assert "RIGHT hand, seen from the thumb&#x27;s side" in drawn(Side.RIGHT, View.THUMB_SIDE)


def test_the_notes_tell_draws_and_error_and_what_is_not_in_it() -> None:
    notes = " ".join(one.text for one in section()[0].notes)
    by_hand_error = f"{100 * (0.25 / 120) ** 0.5:.1f} %"
    assert by_hand_error in notes
    assert "120 draws" in notes
    assert "strength" in notes


def test_the_curve_is_told_in_words() -> None:
    words = curve_words(toe().curve)
    assert "0 mm:" in words
    assert "draws each" in words
