"""The weighing on paper: drawings well formed, counted, and told in words."""

from xml.etree import ElementTree as ET

import numpy as np
import pytest
from tests.core.comparison.tables import CRITERIA, KEYS, plain, table
from tests.core.techniques.findings import situation_of
from tests.core.techniques.worked_situations import TECHNIQUES

from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.preference import Swing, Voice, preference_from_goals
from thumbwright.core.comparison.weighing import Draws, Weighing, weigh
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.techniques.eligibility import eligible_all
from thumbwright.documents.comparison_figures import (
    RankBar,
    ranking_drawing,
    trade_drawing,
    trade_points,
)
from thumbwright.documents.compose_comparison import ComparisonSection, comparison_section
from thumbwright.documents.paper_parts import Picture

NAMES = {"svg": "http://www.w3.org/2000/svg"}
HOSTILE = "<b>&\"'</b> #panic() \x00"


@pytest.fixture(scope="module")
def made() -> tuple[ComparisonSection, dict[str, bytes]]:
    one = situation_of("kept.stump_feeling=not_examined", level=2, goals="looks+ip_motion")
    surgeon = Swing(voice=Voice.SURGEON, points={CriterionKey.STABILITY: 100}, doubt=0)
    found = weigh(
        eligible_all(TECHNIQUES, one),
        one,
        CRITERIA,
        [preference_from_goals(one), surgeon],
        rng=np.random.default_rng(3),
        draws=Draws(performances=300, weights=6_000),
    )
    assert isinstance(found, Weighing)
    return comparison_section(found, CRITERIA)


def _parsed(drawing: str | bytes) -> ET.Element:
    return ET.fromstring(drawing)  # noqa: S314 - our own drawing, made a moment ago


def test_every_picture_has_its_drawing_and_its_words(
    made: tuple[ComparisonSection, dict[str, bytes]],
) -> None:
    section, drawings = made
    assert section.joint is not None
    pictures = [view.picture for view in (*section.views, section.joint)]
    assert isinstance(section.trade, Picture)
    assert {one.name for one in (*pictures, section.trade)} == set(drawings)
    for picture in (*pictures, section.trade):
        title = _parsed(drawings[picture.name]).find("svg:title", NAMES)
        assert title is not None
        assert title.text == picture.alt
        assert "great-toe wrap-around flap" in picture.alt


def test_each_voice_has_a_row_for_every_open_technique(
    made: tuple[ComparisonSection, dict[str, bytes]],
) -> None:
    section, _ = made
    patient, surgeon = section.views
    assert {row.technique for row in patient.rows} == {row.technique for row in surgeon.rows}
    assert sum(row.first.value for row in patient.rows) == pytest.approx(1)
    assert any("feeling" in one.text for one in section.unknown)
    assert any(one.text.startswith("Replantation is out: ") for one in section.left_out)
    assert "seed 3" in section.method[0].text


def test_the_numbers_of_a_bar_stand_in_it_and_hostile_names_are_safe() -> None:
    bar = RankBar(name=HOSTILE, counts=(62, 20, 10, 8), first_prob=0.62, first_error_prob=0.01)
    texts = {
        node.text
        for node in _parsed(ranking_drawing([bar], title="t")).iterfind(".//svg:text", NAMES)
    }
    assert {"62", "20", "10", "8", "62 first", "first", "second", "third", "later"} <= texts


def test_the_front_holds_what_nothing_beats() -> None:
    points = trade_points(table([[1.0, 0.2], [0.2, 1.0], [0.1, 0.1], [1.0, 0.2]]), *KEYS[:2])
    assert [one.on_front for one in points] == [True, True, False, True]
    drawing = trade_drawing(points, plain(KEYS[0]), plain(KEYS[1]), title="t")
    texts = [node.text for node in _parsed(drawing).iterfind(".//svg:text", NAMES)]
    assert "1, 4" in texts
    squares = [
        node
        for node in _parsed(drawing).iterfind(".//svg:rect", NAMES)
        if node.get("width") == "14"
    ]
    by_hand_squares = 2 * 3  # on the map and in the list of names
    assert len(squares) == by_hand_squares


def test_where_one_thing_counts_nothing_is_traded() -> None:
    one = situation_of("", level=3, goals="looks")
    alone = Swing(voice=Voice.PATIENT, points={CriterionKey.LOOKS: 100}, doubt=0)
    found = weigh(
        eligible_all(TECHNIQUES, one),
        one,
        CRITERIA,
        [alone],
        rng=np.random.default_rng(3),
        draws=Draws(performances=50, weights=500),
    )
    assert isinstance(found, Weighing)
    section, _ = comparison_section(found, CRITERIA)
    assert isinstance(section.trade, Unknown)
