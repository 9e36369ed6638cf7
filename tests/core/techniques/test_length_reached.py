"""How much bone each technique adds in one child, by hand from her lengths."""

from math import sqrt

import pytest
from tests.core.techniques.worked_situations import BY_KEY
from tests.growing_people import GIRL_TOES_MM, child_situation, lengths_of

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.level.levels import Level
from thumbwright.core.radiograph.landmarks import GREAT_TOE, SECOND_TOE, RayName
from thumbwright.core.techniques.length_reached import (
    LengthReached,
    length_reached,
    most_added,
    toe_reach,
)

# other thumb 34 + 25 + 18 = 77 mm, stump 34 mm, missing 43 mm
MISSING_MM = 43.0


def reached(key: str, **changes: float) -> LengthReached:
    lengths = lengths_of(**changes)  # type: ignore[arg-type]
    return length_reached(BY_KEY[key], child_situation(7.0, lengths=lengths), lengths)


@pytest.mark.parametrize(
    ("key", "by_hand_added_mm"),
    [
        ("second_toe", 20.0 + 11.0 + 10.0),
        ("second_toe_with_mtp_joint", MISSING_MM),
        ("great_toe", 23.0 + 19.0),
        ("staged_osteoplastic", MISSING_MM),
        ("single_stage_osteoplastic", MISSING_MM),
        ("great_toe_wrap_around", MISSING_MM),
        ("partial_great_toe", 19.0),
        ("pollicization", MISSING_MM),
        ("replantation", MISSING_MM - 3.8),
        ("metacarpal_distraction", (8.0 + 21.0) / 2),
        ("toe_pulp_flap", 0.0),
        ("skin_graft", 0.0),
        ("first_web_deepening", 0.0),
        ("stump_trimming", 0.0),
        ("prosthesis", 0.0),
        ("no_operation", 0.0),
    ],
)
def test_a_technique_adds_what_it_has_up_to_what_is_missing(
    key: str, by_hand_added_mm: float
) -> None:
    found = reached(key)
    assert isinstance(found.added, Measured)
    assert isinstance(found.whole, Measured)
    assert found.added.value == pytest.approx(by_hand_added_mm)
    assert found.whole.value == pytest.approx(34.0 + by_hand_added_mm)
    assert found.words.endswith(".")


def test_a_span_that_is_not_cut_off_is_taken_as_even() -> None:
    found = reached("metacarpal_distraction")
    assert isinstance(found.added, Measured)
    by_hand_doubt_mm = 13.0 / sqrt(12)
    assert found.added.uncertainty == pytest.approx(by_hand_doubt_mm)


def test_lengthening_stops_at_the_wanted_length() -> None:
    found = reached("metacarpal_distraction", stump_mm=72.0)
    assert isinstance(found.added, Measured)
    assert found.added.value == pytest.approx(5.0)
    assert isinstance(found.whole, Measured)
    assert found.whole.value == pytest.approx(77.0)


def test_an_adult_is_lengthened_by_the_span_of_all_ages() -> None:
    lengths = lengths_of()
    adult = child_situation(30.0, growing=False, lengths=lengths)
    found = length_reached(BY_KEY["metacarpal_distraction"], adult, lengths)
    assert isinstance(found.added, Measured)
    # 20 to 45 mm, cut off at the 43 that are missing
    assert found.added.value == pytest.approx((20.0 + 43.0) / 2)


def test_the_wanted_length_is_reached_exactly_where_what_is_missing_is_brought() -> None:
    found = reached("staged_osteoplastic")
    assert isinstance(found.whole, Measured)
    # stump and missing share the stump: its doubt cancels, that of the other thumb is left
    by_hand_doubt_mm = 0.4
    assert found.whole.uncertainty == pytest.approx(by_hand_doubt_mm)


def test_a_graft_for_a_lost_metacarpal_has_no_length_in_print() -> None:
    lengths = lengths_of(stump_mm=8.0)
    asked = child_situation(7.0, lengths=lengths, level=Level.METACARPAL)
    found = length_reached(BY_KEY["staged_osteoplastic"], asked, lengths)
    assert isinstance(found.added, Unknown)
    assert isinstance(found.whole, Unknown)


def test_a_finger_that_was_not_measured_has_no_length() -> None:
    assert isinstance(reached("damaged_finger_transfer").added, Unknown)


def test_without_a_film_of_the_foot_a_toe_has_no_length() -> None:
    lengths = lengths_of(toes_mm={})
    found = length_reached(BY_KEY["second_toe"], child_situation(7.0, lengths=lengths), lengths)
    assert isinstance(found.added, Unknown)
    assert any("foot" in needed for needed in found.added.needed)


def test_nothing_is_added_where_nothing_is_missing() -> None:
    found = reached("second_toe", stump_mm=78.0)
    assert isinstance(found.added, Measured)
    assert found.added.value == 0.0


def test_with_its_metatarsal_a_toe_reaches_further() -> None:
    lengths = lengths_of()
    alone = toe_reach(lengths, RayName.SECOND_TOE)
    more = toe_reach(lengths, RayName.SECOND_TOE, with_metatarsal=True)
    assert isinstance(alone, Measured)
    assert isinstance(more, Measured)
    assert more.value - alone.value == pytest.approx(GIRL_TOES_MM[SECOND_TOE][0])


def test_a_toe_marked_from_its_mtp_joint_is_taken_as_it_is() -> None:
    lengths = lengths_of(toes_mm={GREAT_TOE: (0.0, 23.0, 19.0)})
    found = toe_reach(lengths, RayName.GREAT_TOE)
    assert isinstance(found, Measured)
    assert found.value == pytest.approx(42.0)


def test_the_most_that_can_be_added_is_known_for_toes_and_lengthening_only() -> None:
    lengths = lengths_of()
    asked = child_situation(7.0, lengths=lengths)
    toe = most_added(BY_KEY["second_toe"], asked, lengths)
    stretched = most_added(BY_KEY["metacarpal_distraction"], asked, lengths)
    assert isinstance(toe, Measured)
    assert isinstance(stretched, Measured)
    assert (toe.value, stretched.value) == pytest.approx((41.0, 21.0))
    assert isinstance(most_added(BY_KEY["staged_osteoplastic"], asked, lengths), Unknown)
