"""The thumb that each technique leaves a girl of seven, her lengths known by hand."""

from dataclasses import replace

import pytest
from tests.core.techniques.worked_situations import BY_KEY
from tests.growing_people import child_situation, lengths_of

from thumbwright.core.case.examined import Finding
from thumbwright.core.case.hand import FingerState, Joint, WebContracture
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Provenance
from thumbwright.core.level.levels import Level
from thumbwright.core.reach import ranges
from thumbwright.core.reach.skeleton import Digit, Thumb, Use
from thumbwright.core.techniques.eligibility import eligible_all
from thumbwright.core.techniques.reaches import reaches
from thumbwright.core.techniques.resulting_skeleton import finger_uses, resulting_thumb
from thumbwright.core.techniques.situation import Situation

CATALOGUE = tuple(BY_KEY.values())
LENGTHS = lengths_of()
GIRL = child_situation(7.0, lengths=LENGTHS)


def thumb(key: str, situation: Situation = GIRL) -> Thumb:
    found = resulting_thumb(BY_KEY[key], situation, LENGTHS)
    assert isinstance(found, Thumb), str(found)
    return found


def kept(**changes: object) -> Situation:
    case = replace(GIRL.case, kept=replace(GIRL.case.kept, **changes))  # type: ignore[arg-type]
    return replace(GIRL, case=case)


def test_a_graft_to_full_length_has_the_joints_of_the_pattern_but_none_moves() -> None:
    found = thumb("staged_osteoplastic")
    by_hand_mm = (34.0, 25.0, 18.0)
    bones = (found.metacarpal_mm, found.proximal_mm, found.distal_mm)
    assert bones == pytest.approx(by_hand_mm, abs=1.5)
    assert found.length_mm == pytest.approx(77.0)
    assert [hinge.moves for hinge in found.hinges] == [True, True, False, False, True]


def test_the_second_toe_of_a_child_moves_as_read_in_children() -> None:
    published_total_deg = 72.0
    ip = thumb("second_toe").hinges[3]
    assert ip.high_deg - ip.low_deg == published_total_deg
    assert ip.statement.basis.source == "jiang-2011"


def test_the_second_toe_of_an_adult_stops_short_of_straight() -> None:
    grown = replace(GIRL, growing=False)
    published_lag_deg, published_motion_deg = 25.0, 38.0
    ip = thumb("second_toe", grown).hinges[3]
    assert ip.low_deg == published_lag_deg
    assert ip.high_deg - ip.low_deg == published_motion_deg


def test_a_toe_joint_that_becomes_the_mcp_joint_extends_as_far_as_it_bends() -> None:
    mcp = thumb("second_toe_with_mtp_joint").hinges[2]
    assert mcp.low_deg == pytest.approx(-mcp.high_deg, abs=1.0)


def test_a_toe_that_is_too_short_keeps_its_joint_at_its_distance_from_the_tip() -> None:
    found = thumb("second_toe")
    by_hand_length_mm = 34.0 + 41.0
    assert found.length_mm == pytest.approx(by_hand_length_mm)
    assert found.metacarpal_mm <= 34.0 + 3.0


def test_no_operation_leaves_the_stump() -> None:
    found = thumb("no_operation")
    assert found.length_mm == pytest.approx(34.0)
    assert found.distal_mm == 0.0


def test_a_prosthesis_has_the_wanted_length_and_does_not_move() -> None:
    found = thumb("prosthesis")
    assert found.length_mm == pytest.approx(77.0)
    assert not found.hinges[3].moves


def test_what_was_measured_comes_before_what_is_usual() -> None:
    joint = Joint(present=Finding.YES, mobile=Finding.YES, range_from_deg=0.0, range_to_deg=22.5)
    half = thumb("second_toe", kept(cmc=joint)).hinges[1]
    by_hand_deg = ranges.CMC_ABDUCTION_TOTAL.value / 2
    assert half.high_deg - half.low_deg == pytest.approx(by_hand_deg)
    assert "measured" in half.statement.text


def test_a_stiff_basal_joint_moves_in_no_direction() -> None:
    stiff = thumb("second_toe", kept(cmc=Joint(mobile=Finding.NO)))
    assert [hinge.moves for hinge in stiff.hinges[:2]] == [False, False]
    assert not stiff.hinges[4].moves


@pytest.mark.parametrize(
    ("changes", "by_hand_deg"),
    [
        ({"first_web_span_deg": 42.0}, 42.0),
        ({"first_web_contracture": WebContracture.SEVERE}, 25.0),
        ({"first_web_contracture": WebContracture.NONE}, 53.4),
    ],
)
def test_the_web_opens_as_far_as_was_found(changes: dict[str, object], by_hand_deg: float) -> None:
    from thumbwright.core.case.examined import NOT_EXAMINED

    found = {"first_web_span_deg": NOT_EXAMINED, **changes}
    assert thumb("second_toe", kept(**found)).web_deg == by_hand_deg


def test_a_finger_that_is_moved_is_no_longer_there_to_be_met() -> None:
    assert finger_uses(BY_KEY["pollicization"], GIRL)[Digit.INDEX] is Use.GONE
    assert finger_uses(None, GIRL)[Digit.INDEX] is Use.FULL
    fingers = replace(GIRL.case.fingers, ring=FingerState.STIFF, little=FingerState.PARTLY_LOST)
    other = replace(GIRL, case=replace(GIRL.case, fingers=fingers))
    assert finger_uses(None, other)[Digit.LITTLE] is Use.SHORT
    assert finger_uses(BY_KEY["damaged_finger_transfer"], other)[Digit.RING] is Use.GONE


def test_an_unknown_length_leaves_the_thumb_unknown() -> None:
    found = resulting_thumb(BY_KEY["damaged_finger_transfer"], GIRL, LENGTHS)
    assert isinstance(found, Unknown)
    assert "length is unknown" in found.reason


def test_an_unknown_level_leaves_the_thumb_unknown() -> None:
    lost = replace(GIRL, level_prob=Unknown(reason="nobody looked"), plausible_levels=tuple(Level))
    found = resulting_thumb(BY_KEY["second_toe"], lost, LENGTHS)
    assert isinstance(found, Unknown)
    assert "level is unknown" in found.reason


@pytest.mark.parametrize("technique", CATALOGUE, ids=lambda one: one.key)
def test_every_technique_leaves_a_thumb_or_says_why_not(technique: object) -> None:
    found = resulting_thumb(technique, GIRL, LENGTHS)  # type: ignore[arg-type]
    if isinstance(found, Unknown):
        assert found.reason
    else:
        assert found.length_mm > 0
        assert all(hinge.statement.text for hinge in found.hinges)
        assert all(hinge.statement.basis.provenance in Provenance for hinge in found.hinges)


def test_every_open_technique_has_its_reach_and_like_thumbs_are_alike() -> None:
    options = eligible_all(CATALOGUE, GIRL)
    found = reaches(options, GIRL, LENGTHS, seed=2, draws=80)
    keys = {one.key for one in found.reaches}
    assert {"second_toe", "staged_osteoplastic", "no_operation"} <= keys
    assert found.whole.opposition.highest == 10
    one, other = found.of("staged_osteoplastic"), found.of("prosthesis")
    assert not isinstance(one, Unknown)
    assert not isinstance(other, Unknown)
    assert one.opposition == other.opposition
    assert isinstance(found.of("no such key"), Unknown)
