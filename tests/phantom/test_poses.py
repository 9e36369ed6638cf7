"""Bones one after the other, and where a lost thumb ends."""

from dataclasses import replace
from itertools import pairwise
from math import dist

import numpy as np
import pytest

from thumbwright.core.foundations.errors import FilmError
from thumbwright.phantom.poses import LEAST_KEPT_MM, Loss, RayPose, chain, ray_length_mm
from thumbwright.phantom.sizes import adult

THUMB = adult().hand[0]
POSE = RayPose(base_mm=(-29.0, -9.0), direction_deg=-42.0, height_mm=33.0)
BENT = replace(POSE, tilts_deg=(5.0, -2.0, 1.0), turns_deg=(0.0, 8.0, 14.0))


def test_a_straight_ray_is_as_long_as_its_bones_and_gaps() -> None:
    found = chain(THUMB, POSE)
    by_hand_mm = 46.2 + 1.8 + 31.6 + 1.5 + 21.7
    assert ray_length_mm(THUMB) == pytest.approx(by_hand_mm)
    assert dist(found.links[0].base, found.links[-1].end) == pytest.approx(by_hand_mm)


def test_gaps_keep_their_width_in_a_bent_ray() -> None:
    links = chain(THUMB, BENT).links
    gaps = [dist(one.end, other.base) for one, other in pairwise(links)]
    by_hand_mm = [1.8, 1.5]
    assert gaps == pytest.approx(by_hand_mm)


def test_the_height_of_a_ray_is_that_of_the_middle_between_its_ends() -> None:
    for loss in (None, Loss(kept_share=0.6)):
        links = chain(THUMB, BENT, loss).links
        assert (links[0].base[2] + links[-1].end[2]) / 2 == pytest.approx(33.0)


def test_a_tilt_lifts_the_far_end_by_its_sine() -> None:
    first = chain(THUMB, BENT).links[0]
    by_hand_mm = 46.2 * np.sin(np.radians(5.0))
    assert first.end[2] - first.base[2] == pytest.approx(by_hand_mm)


def test_a_cut_leaves_the_share_that_was_asked_for() -> None:
    kept = chain(THUMB, POSE, Loss(kept_share=0.6))
    by_hand_mm = 0.6 * (46.2 + 1.8 + 31.6 + 1.5 + 21.7)
    assert dist(kept.links[0].base, kept.links[-1].end) == pytest.approx(by_hand_mm)
    assert [link.cut_at_mm is None for link in kept.links] == [True, False]


def test_a_cut_through_a_joint_leaves_the_head_before_it_whole() -> None:
    share = (46.2 + 0.9) / ray_length_mm(THUMB)
    kept = chain(THUMB, POSE, Loss(kept_share=share))
    assert [link.cut_at_mm for link in kept.links] == [None]


def test_a_sliver_of_the_next_bone_is_not_left_behind() -> None:
    share = (46.2 + 1.8 + LEAST_KEPT_MM - 0.2) / ray_length_mm(THUMB)
    assert len(chain(THUMB, POSE, Loss(kept_share=share)).links) == 1


def test_the_skin_ends_beyond_the_bone_on_its_axis() -> None:
    kept = chain(THUMB, BENT, Loss(kept_share=0.6, soft_beyond_mm=7.0))
    by_hand_mm = 7.0
    assert dist(kept.skin_end, kept.links[-1].end) == pytest.approx(by_hand_mm)


@pytest.mark.parametrize(
    "wrong", [{"kept_share": 1.0}, {"kept_share": 0.0}, {"kept_share": 0.5, "soft_beyond_mm": 0.1}]
)
def test_a_loss_of_nothing_or_all_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(FilmError, match="choose another level"):
        Loss(**wrong)


def test_a_loss_that_leaves_less_than_a_sliver_of_the_metacarpal_is_refused() -> None:
    with pytest.raises(FilmError, match="choose a lower loss"):
        chain(THUMB, POSE, Loss(kept_share=0.025))


def test_angles_for_another_number_of_bones_are_refused() -> None:
    with pytest.raises(FilmError, match="one for each bone"):
        chain(THUMB, replace(POSE, tilts_deg=(1.0, 2.0)))
