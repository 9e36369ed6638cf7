"""The section on growth says every number with its band, its basis, and draws what it says."""

import re
from xml.etree import ElementTree as ET

import pytest
from tests.core.techniques.worked_situations import BY_KEY
from tests.growing_people import STATURE, child_situation, lengths_of

from thumbwright.core.case.examined import Side
from thumbwright.core.case.growth_checks import GrowthCheck
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Provenance
from thumbwright.core.techniques.growing_thumb import forecast_thumb
from thumbwright.core.techniques.growth_follow_up import follow_up
from thumbwright.core.techniques.growth_outlook import GrowthOutlook, ThumbForecast
from thumbwright.core.techniques.growth_scene import set_scene
from thumbwright.documents.compose_growth import follow_up_sentences, growth_section
from thumbwright.documents.growth_content import GrowthSection
from thumbwright.documents.growth_figures import growth_drawing, growth_picture

KEYS = ("second_toe", "staged_osteoplastic", "single_stage_osteoplastic", "prosthesis")


def outlooks(
    *keys: str, age_years: float = 7.0, growing: bool | Unknown = True
) -> tuple[GrowthOutlook, ...]:
    lengths = lengths_of()
    asked = child_situation(age_years, growing=growing, lengths=lengths)
    scene = set_scene(asked, lengths, STATURE, seed=2, draws=500)
    return tuple(forecast_thumb(BY_KEY[key], asked, lengths, scene) for key in keys)


def section(*keys: str, age_years: float = 7.0, growing: bool | Unknown = True) -> GrowthSection:
    found = growth_section(outlooks(*keys, age_years=age_years, growing=growing))
    assert isinstance(found, GrowthSection)
    return found


def test_every_technique_has_its_row_with_band_and_chances() -> None:
    rows = section(*KEYS).rows
    assert not isinstance(rows, Unknown)
    assert [row.technique for row in rows] == [BY_KEY[key].name for key in KEYS]
    first = rows[0]
    assert not isinstance(first.difference_grown, Unknown)
    assert first.difference_grown.level_prob == 0.95
    assert re.fullmatch(r"−?\d+\.\d mm \(.+ to .+\)", first.difference_grown.words)
    assert " to " in first.half_of_cases


def test_what_is_from_memory_is_said_with_its_basis() -> None:
    said = section(*KEYS)
    found = {one.basis.provenance for one in (*said.opening, *said.sentences) if one.basis}
    assert {Provenance.RECALLED, Provenance.ASSUMED, Provenance.READ} <= found
    texts = [one.text for one in said.sentences]
    assert len(texts) == len(set(texts))
    assert said.cautions


def test_seed_draws_and_their_error_are_named() -> None:
    words = section(*KEYS).drawn_with
    assert "500 draws from seed 2" in words
    assert "standard error" in words


def test_waiting_is_shown_for_what_adds_bone() -> None:
    waiting = section(*KEYS).waiting
    assert not isinstance(waiting, Unknown)
    assert BY_KEY["prosthesis"].name not in {row.technique for row in waiting}
    assert waiting[0].without == "now"


def test_nothing_is_drawn_for_a_hand_that_no_longer_grows() -> None:
    said = section(*KEYS, age_years=40.0, growing=False)
    for part in (said.other, said.waiting, said.picture):
        assert isinstance(part, Unknown)
    assert "no longer grows" in said.opening[0].text
    assert said.cautions == ()


def test_doubtful_plates_are_said_first() -> None:
    said = section(*KEYS, age_years=13.5, growing=Unknown(reason="age"))
    assert "not known" in said.opening[0].text
    assert "%" in said.opening[0].text


def test_a_child_under_two_has_reasons_in_every_row() -> None:
    said = section(*KEYS, age_years=1.0)
    assert not isinstance(said.rows, Unknown)
    assert all(isinstance(row.grown, Unknown) for row in said.rows)
    assert isinstance(said.picture, Unknown)
    assert said.drawn_with == "nothing was drawn"


def test_without_techniques_there_is_no_section() -> None:
    assert isinstance(growth_section(()), Unknown)


def test_the_picture_is_drawn_whole_and_in_words() -> None:
    given = outlooks(*KEYS)
    root = ET.fromstring(growth_drawing(given, title="Growth"))  # noqa: S314  our own drawing
    words = " ".join(text.text or "" for text in root.iter("{http://www.w3.org/2000/svg}text"))
    assert "other thumb" in words
    assert "the second toe" in words
    assert "prosthesis" not in words
    alt = growth_picture(given).alt
    # by hand 34 + 20 + 11 + 10 mm, less what 500 draws make of it
    told = re.search(r"the second toe: (\d+\.\d) mm at 7\.0 years", alt)
    assert told
    assert float(told.group(1)) == pytest.approx(75.0, abs=0.2)


def test_curves_are_told_apart_by_dashes_and_alike_ones_are_joined() -> None:
    given = outlooks("second_toe", "staged_osteoplastic", "single_stage_osteoplastic")
    drawn = growth_drawing(given, title="Growth")
    root = ET.fromstring(drawn)  # noqa: S314  our own drawing
    curves = [
        path
        for path in root.iter("{http://www.w3.org/2000/svg}path")
        if path.get("d", "").count("L") > 8 and path.get("fill") == "none"
    ]
    assert len(curves) == 3
    assert len({path.get("stroke-dasharray") for path in curves}) == 3
    assert "; the single-stage" in growth_picture(given).alt


@pytest.mark.parametrize("keys", [("second_toe",), KEYS])
def test_no_two_labels_lie_on_one_another(keys: tuple[str, ...]) -> None:
    root = ET.fromstring(growth_drawing(outlooks(*keys), title="Growth"))  # noqa: S314
    right = [
        float(text.get("y", "0"))
        for text in root.iter("{http://www.w3.org/2000/svg}text")
        if float(text.get("x", "0")) > 600
    ]
    steps = [
        after - before for before, after in zip(sorted(right), sorted(right)[1:], strict=False)
    ]
    assert min(steps) > 15


def test_a_follow_up_is_said_before_and_after() -> None:
    lengths = lengths_of()
    asked = child_situation(7.0, lengths=lengths)
    day = asked.case.examined_on.replace(year=2028)
    for thumb_mm, says in ((78.0, "After"), (130.0, "look again")):
        check = GrowthCheck(measured_on=day, side=Side.RIGHT, thumb_mm=thumb_mm)
        found = follow_up(
            BY_KEY["second_toe"], asked, lengths, STATURE, (check,), seed=2, draws=4000
        )
        assert says in " ".join(one.text for one in follow_up_sentences(found))
    assert "because" in follow_up_sentences(Unknown(reason="nothing was measured"))[0].text


def test_forecasts_are_numbers_wherever_they_are_given() -> None:
    assert all(isinstance(one.forecast, ThumbForecast) for one in outlooks(*KEYS))
