"""Levels of the saw against sums by hand, turned points and drawn errors."""

from dataclasses import replace
from math import cos, radians, sin, tan

import numpy as np
import pytest
from tests.core.dimensions.worked_parts import NOT_KNOWN, cut_at, mm, parts

from thumbwright.core.case.examined import Side
from thumbwright.core.dimensions.bone import Graft, Wedge, cut_levels, graft_size, oblique_cut
from thumbwright.core.dimensions.settings import DEFAULTS, Choices, GraftSite, changed
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.techniques.technique import Toe

WIDTHS = parts().width(Side.LEFT, Toe.SECOND)


def test_the_piece_is_what_is_missing_and_what_is_given_up() -> None:
    cut = cut_levels(cut_at(-8.0), DEFAULTS)
    by_hand_piece_mm, by_hand_level_mm = 44.0 + 2.0 + 1.0, -8.0 + 2.0 + 1.0
    assert cut.piece.value == by_hand_piece_mm
    assert cut.on_toe.value == by_hand_level_mm
    assert cut.bone == "proximal phalanx"
    assert cut.far_edge.value - cut.on_toe.value == pytest.approx(DEFAULTS.kerf.value)


def test_a_cut_pushed_over_the_joint_falls_in_the_next_bone() -> None:
    assert cut_levels(cut_at(1.0), DEFAULTS).bone == "second metatarsal"
    assert cut_levels(cut_at(-1.0), DEFAULTS).is_at_joint


def test_the_joined_bone_has_the_wanted_length_whatever_is_taken_off() -> None:
    allowances = changed(DEFAULTS, {"freshening": 4.0, "fixation": 3.0, "kerf": 1.2})
    cut = cut_levels(cut_at(-8.0), allowances)
    joined_mm = (50.0 - 4.0) + (cut.piece.value - 3.0)
    assert joined_mm == 50.0 + 44.0


def test_the_first_cut_leaves_the_piece_long_enough_as_often_as_was_asked() -> None:
    cut = cut_levels(cut_at(-8.0, doubt_mm=0.8), DEFAULTS)
    errors = np.random.default_rng(5).normal(0.0, cut.on_toe.uncertainty, 40_000)
    independent_prob = float(np.mean(cut.first_cut.value >= cut.on_toe.value + errors))
    assert independent_prob == pytest.approx(DEFAULTS.left_long_prob.value, abs=0.005)


def test_an_oblique_cut_tilts_the_piece_to_the_palm_by_its_angle() -> None:
    """Turn the two ends of the cut about its middle: they must lie square to the axis."""
    choices = Choices(mtp_correction_deg=40.0, bone_height_mm=12.0)
    bone = cut_levels(cut_at(10.0), DEFAULTS)
    wedge = oblique_cut(bone, NOT_KNOWN, DEFAULTS, choices)
    assert isinstance(wedge, Wedge)
    assert wedge.span.value == pytest.approx(12.0 * tan(radians(40.0)))
    middle = bone.on_toe.value
    back, sole = (6.0, wedge.on_back.value - middle), (-6.0, wedge.on_sole.value - middle)
    turn = radians(-40.0)
    independent_mm = [x * sin(turn) + y * cos(turn) for x, y in (back, sole)]
    assert independent_mm == pytest.approx([0.0, 0.0])
    assert wedge.on_sole.value < middle < wedge.on_back.value


def test_without_a_side_view_the_bone_is_taken_as_round_with_a_doubt() -> None:
    bone = cut_levels(cut_at(10.0), DEFAULTS)
    wedge = oblique_cut(bone, WIDTHS, DEFAULTS, Choices(mtp_correction_deg=45.0))
    assert isinstance(wedge, Wedge)
    assert wedge.height.value == 10.0
    by_hand_doubt_mm = (0.2**2 + (10.0 * 0.15 / 3**0.5) ** 2) ** 0.5
    assert wedge.height.uncertainty == pytest.approx(by_hand_doubt_mm)


def test_the_angle_is_asked_for_and_never_put_in() -> None:
    bone = cut_levels(cut_at(10.0), DEFAULTS)
    wedge = oblique_cut(bone, WIDTHS, DEFAULTS, Choices())
    assert isinstance(wedge, Unknown)
    assert "angle" in wedge.needed[0]


def test_an_iliac_graft_is_cut_larger_by_what_it_loses() -> None:
    graft = graft_size(mm(40.0), GraftSite.ILIAC, DEFAULTS, Choices(graft_width_mm=14.0))
    assert isinstance(graft, Graft)
    assert isinstance(graft.length, Measured)
    assert isinstance(graft.width, Measured)
    published_loss_mm, published_loss_share = 2.3, 0.33  # zhong-2023, abstract
    assert graft.length.value == pytest.approx(40.0 + 2.0 + 10.0 + published_loss_mm)
    assert graft.width.value * (1 - published_loss_share) == pytest.approx(14.0)


def test_for_the_ulna_no_loss_is_made_up() -> None:
    graft = graft_size(mm(40.0), GraftSite.ULNA, DEFAULTS, Choices(graft_width_mm=14.0))
    assert isinstance(graft, Graft)
    assert isinstance(graft.length, Unknown)
    assert isinstance(graft.width, Unknown)


def test_a_missing_length_that_is_unknown_stays_so() -> None:
    graft = graft_size(NOT_KNOWN, GraftSite.ILIAC, DEFAULTS, Choices())
    assert isinstance(graft, Graft)
    assert graft.length == NOT_KNOWN
    undecided = graft_size(mm(40.0), GraftSite.NOT_DECIDED, DEFAULTS, replace(Choices()))
    assert isinstance(undecided, Unknown)
