"""Rules of counting, of hands that lack a finger, and of numbers that are refused."""

from dataclasses import replace

import numpy as np
import pytest
from tests.core.reach.hands import ADULT, SPEC, adult_reach, no_doubt

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import UnitError
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.reach.draws import chance, drawn_hand
from thumbwright.core.reach.proportions import hand_by_thumb
from thumbwright.core.reach.reach import reach_of
from thumbwright.core.reach.results import PinchKind, Probability
from thumbwright.core.reach.skeleton import Digit, Hinge, Use
from thumbwright.core.reach.stages import STAGES, counted, highest, stage_places
from thumbwright.core.reach.standing import stand
from thumbwright.core.reach.targets import postures
from thumbwright.core.reach.variants import longer

NOTE = Statement(text="assumed", basis=Basis(provenance=Provenance.ASSUMED))


def test_a_stage_counts_only_with_those_before_it() -> None:
    touched = {
        0: np.array([False, False, True]),
        1: np.array([True, True, False]),
        2: np.array([True, False, True]),
        3: np.array([True, True, True]),
    }
    by_hand = {1: [True, True, False], 2: [True, False, False], 3: [True, False, False]}
    found = counted(touched)
    assert {number: list(found[number]) for number in by_hand} == by_hand
    assert list(highest(found)) == [3, 1, 0]


def test_both_wordings_of_the_early_stages_are_kept() -> None:
    one, two = STAGES[1], STAGES[2]
    assert "middle phalanx" in one.words
    assert "distal phalanx" in two.words
    assert "proximal phalanx" in one.in_shifted_tables
    assert "middle phalanx" in two.in_shifted_tables
    assert [stage.number for stage in STAGES] == list(range(11))


@pytest.mark.parametrize("lost", [Digit.INDEX, Digit.LITTLE])
def test_a_lost_finger_is_no_target(lost: Digit) -> None:
    uses = {**SPEC.uses, lost: Use.GONE}
    standing = stand(replace(SPEC, uses=uses), ADULT, seed=1, draws=60)
    reach = reach_of(ADULT, standing)
    assert isinstance(reach.pinch(PinchKind.TIP, lost), Unknown)
    untested = {rule.number for rule in STAGES if rule.digit is lost}
    for stage in reach.opposition.stages:
        assert isinstance(stage.touched, Unknown) is (stage.number in untested)
    key = next(one for one in reach.pinches if one.kind is PinchKind.KEY)
    assert key.digit is (Digit.MIDDLE if lost is Digit.INDEX else Digit.INDEX)


def test_a_hand_without_fingers_has_nothing_to_meet() -> None:
    bare = replace(SPEC, uses=dict.fromkeys(Digit, Use.GONE))
    reach = reach_of(ADULT, stand(bare, ADULT, seed=1, draws=60))
    assert reach.pinches == ()
    assert isinstance(reach.opposition.highest, Unknown)
    assert reach.workspace_share == 0.0


def test_a_stiff_finger_has_one_posture_and_a_short_one_no_last_phalanx() -> None:
    uses = {**SPEC.uses, Digit.INDEX: Use.STIFF, Digit.MIDDLE: Use.SHORT}
    hand = drawn_hand(replace(SPEC, uses=uses), no_doubt())
    assert len(postures(hand.finger(Digit.INDEX))) == 1
    assert hand.finger(Digit.MIDDLE).links_mm[2, 0] == 0
    assert len(stage_places(hand)) == 11


def test_the_same_draws_give_the_same_reach() -> None:
    again = stand(SPEC, ADULT, seed=3, draws=50)
    assert reach_of(ADULT, again) == reach_of(ADULT, stand(SPEC, ADULT, seed=3, draws=50))
    assert not np.array_equal(chance(3, 50).normals, chance(4, 50).normals)


def test_a_probability_tells_the_error_of_chance() -> None:
    by_hand_error = (0.5 * 0.5 / 2000) ** 0.5
    assert Probability(prob=0.5, draws=2000).error_prob == pytest.approx(by_hand_error)
    assert Probability(prob=1.0, draws=2000).error_prob > 0


def test_length_is_given_beyond_the_last_joint_that_is_there() -> None:
    by_hand_mm = ADULT.length_mm + 10
    assert longer(ADULT, 10.0).length_mm == pytest.approx(by_hand_mm)
    assert longer(ADULT, 10.0).metacarpal_mm == ADULT.metacarpal_mm
    stump = replace(ADULT, proximal_mm=0.0, distal_mm=0.0)
    assert longer(stump, -10.0).metacarpal_mm == pytest.approx(ADULT.metacarpal_mm - 10)


def test_the_size_of_a_hand_follows_its_thumb() -> None:
    small, large = (hand_by_thumb(length, 0.5, "a film") for length in (70.0, 105.0))
    by_hand_ratio = 105 / 70
    assert large.length_mm / small.length_mm == pytest.approx(by_hand_ratio)
    assert small.length_doubt_mm > 0.5


def test_a_shorter_thumb_without_its_last_joints_reaches_less() -> None:
    stump = adult_reach(replace(ADULT, proximal_mm=0.0, distal_mm=0.0))
    assert stump.workspace_share < 0.1
    assert isinstance(stump.opposition.highest, Unknown)
    assert stump.widest_grasp.middle_mm < adult_reach().widest_grasp.middle_mm


def test_a_range_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(UnitError, match="allowed is a range from low to high"):
        Hinge(low_deg=10, high_deg=0, statement=NOTE)


def test_a_thumb_of_less_than_no_length_is_refused() -> None:
    with pytest.raises(UnitError, match="allowed are 0 or more"):
        replace(ADULT, distal_mm=-1.0)
