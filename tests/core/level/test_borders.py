"""Where one level ends and the next begins."""

import pytest
from tests.core.level.pattern_thumb import CMC_MM, IP_MM, mm, pattern

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Provenance
from thumbwright.core.level.borders import BORDER_DOUBT, borders, margin
from thumbwright.core.level.levels import Level
from thumbwright.core.radiograph.transposition import JointHeight


def test_the_borders_are_the_outer_joints_and_the_middles_of_two_bones() -> None:
    found = borders(pattern())
    assert not isinstance(found, Unknown)
    by_hand_mm = {
        Level.TERMINAL_PHALANX: IP_MM,
        Level.PROXIMAL_PHALANX: (22.0 + 54.0) / 2,
        Level.MCP_JOINT: (54.0 + 100.0) / 2,
        Level.METACARPAL: CMC_MM,
    }
    assert {line.beyond: line.from_tip.value for line in found} == pytest.approx(by_hand_mm)


def test_only_the_borders_drawn_by_judgement_carry_a_doubt_of_judgement() -> None:
    found = borders(pattern())
    assert not isinstance(found, Unknown)
    assert [line.from_tip.uncertainty for line in found] == [0.0, 2.0, 2.0, 0.0]
    assert BORDER_DOUBT.basis.provenance is Provenance.ASSUMED


def test_a_middle_takes_half_the_doubt_of_each_joint_and_all_of_the_doubt_they_share() -> None:
    found = borders(pattern(0.6, shared=0.01))
    assert not isinstance(found, Unknown)
    # sqrt((0.6 / 2)^2 + (0.6 / 2)^2 + 2^2 + (0.01 x 38)^2)
    by_hand_mm = 2.0795
    assert found[1].from_tip.uncertainty == pytest.approx(by_hand_mm, abs=1e-4)


def test_a_scale_shared_by_border_and_missing_length_cancels_from_their_distance() -> None:
    found = borders(pattern(shared=0.01))
    assert not isinstance(found, Unknown)
    gap = margin(found[0], mm(20.0, shared=0.01))
    assert gap.value == pytest.approx(2.0)
    by_hand_mm = 0.01 * (22.0 - 20.0)
    assert gap.uncertainty == pytest.approx(by_hand_mm)


@pytest.mark.parametrize("lacking", ["CMC joint", "MCP joint", "IP joint"])
def test_without_a_joint_of_the_pattern_no_border_is_drawn_and_the_joint_is_named(
    lacking: str,
) -> None:
    joints = [
        JointHeight(name=joint.name, from_tip=Unknown(reason="not placed"))
        if joint.name == lacking
        else joint
        for joint in pattern()
    ]
    found = borders(joints)
    assert isinstance(found, Unknown)
    assert lacking in found.reason
    assert "film" in found.needed[0]
