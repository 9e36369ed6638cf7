"""What is said to be true agrees with the solids, with the film, and with itself."""

from dataclasses import replace
from math import dist

import numpy as np
import pytest
from scipy import ndimage

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import LandmarkError
from thumbwright.core.radiograph.landmarks import RAYS, Landmark, Point, RayName
from thumbwright.phantom.films import PhantomFilm, expose
from thumbwright.phantom.objects import MetalBall, MetalRuler
from thumbwright.phantom.physics import Exposure, Response
from thumbwright.phantom.poses import Loss
from thumbwright.phantom.projection import centred_geometry
from thumbwright.phantom.scene import foot_scene, hand_scene
from thumbwright.phantom.truth import Truth, truth_of

GEOMETRY = centred_geometry()


def with_tilts(*tilts_deg: float, loss: Loss | None = None, side: Side = Side.LEFT) -> Truth:
    scene = hand_scene(side=side, loss=loss)
    thumb = replace(scene.poses[0], tilts_deg=tilts_deg)
    return truth_of(replace(scene, poses=(thumb, *scene.poses[1:])), GEOMETRY)


def test_a_whole_hand_has_every_point_of_the_thumb_and_the_index_metacarpal() -> None:
    points = set(truth_of(hand_scene(side=Side.RIGHT), GEOMETRY).points)
    thumb = RAYS[RayName.THUMB]
    expected = {point for bone in thumb.bones for point in (bone.base, bone.head)}
    index = {Landmark.INDEX_METACARPAL_BASE, Landmark.INDEX_METACARPAL_HEAD}
    assert points == expected | index | {Landmark.SKIN_TIP}


def test_a_foot_has_every_point_of_great_and_second_toe() -> None:
    points = set(truth_of(foot_scene(side=Side.RIGHT), GEOMETRY).points)
    expected: set[Landmark] = set()
    for name in (RayName.GREAT_TOE, RayName.SECOND_TOE):
        ray = RAYS[name]
        expected |= {point for bone in ray.bones for point in (bone.base, bone.head)}
        expected.add(ray.skin_tip)
    assert points == expected


def test_a_thumb_cut_through_its_proximal_phalanx_ends_in_a_stump() -> None:
    truth = with_tilts(0, 0, 0, loss=Loss(kept_share=0.6, soft_beyond_mm=6.0))
    assert truth.rays[RayName.THUMB].landmarks == (
        Landmark.METACARPAL_BASE,
        Landmark.METACARPAL_HEAD,
        Landmark.PROXIMAL_PHALANX_BASE,
        Landmark.STUMP_BONE_END,
    )
    by_hand_mm = 6.0
    bone, skin = Landmark.STUMP_BONE_END, Landmark.STUMP_SKIN_END
    assert truth.length_mm(RayName.THUMB, bone, skin) == pytest.approx(by_hand_mm)
    assert Landmark.SKIN_TIP not in truth.points


def test_a_thumb_lost_through_the_mcp_joint_ends_at_the_head_of_its_metacarpal() -> None:
    truth = with_tilts(0, 0, 0, loss=Loss(kept_share=0.455))
    head, stump = Landmark.METACARPAL_HEAD, Landmark.STUMP_BONE_END
    assert truth.place_mm(head) == truth.place_mm(stump)
    assert truth.length_mm(RayName.THUMB, head, stump) == 0.0


def test_lengths_do_not_change_with_tilt_turn_or_side() -> None:
    by_hand_mm = 46.2 + 1.8 + 31.6 + 1.5 + 21.7
    for truth in (with_tilts(0, 0, 0), with_tilts(6, -3, 5), with_tilts(1, 2, 3, side=Side.RIGHT)):
        found = truth.length_to_tip_mm(RayName.THUMB, Landmark.METACARPAL_BASE)
        assert found == pytest.approx(by_hand_mm)


def test_the_order_of_two_points_does_not_matter() -> None:
    truth = with_tilts(4, 4, 4)
    one, other = Landmark.METACARPAL_HEAD, Landmark.DISTAL_PHALANX_TIP
    lengths = {truth.length_mm(RayName.THUMB, *pair) for pair in ((one, other), (other, one))}
    assert len(lengths) == 1


def test_a_length_from_a_joint_begins_in_the_middle_of_its_gap() -> None:
    truth = with_tilts(2, 0, -1)
    by_hand_mcp_mm = 1.8 / 2 + 31.6 + 1.5 + 21.7
    by_hand_cmc_mm = 1.7 / 2 + 46.2 + 1.8 + 31.6 + 1.5 + 21.7
    assert truth.length_to_tip_mm(RayName.THUMB, "MCP joint") == pytest.approx(by_hand_mcp_mm)
    assert truth.length_to_tip_mm(RayName.THUMB, "CMC joint") == pytest.approx(by_hand_cmc_mm)


def test_the_centre_of_a_joint_is_the_middle_between_head_and_base() -> None:
    truth = with_tilts(5, 2, -1)
    phalanx = truth.rays[RayName.THUMB].bones[1]
    head = np.array(truth.place_mm(Landmark.METACARPAL_HEAD))
    base = np.array(truth.place_mm(Landmark.PROXIMAL_PHALANX_BASE))
    assert phalanx.joint == "MCP joint"
    assert phalanx.joint_centre.place_mm == pytest.approx((head + base) / 2)


def test_tilts_are_told_as_they_were_set() -> None:
    bones = with_tilts(5, 2, -1).rays[RayName.THUMB].bones
    by_hand_deg = [5.0, 2.0, -1.0]
    assert [bone.tilt_deg for bone in bones] == pytest.approx(by_hand_deg)


def test_pixels_are_the_projections_of_places() -> None:
    for point in with_tilts(5, 2, -1).points.values():
        assert point.pixel == pytest.approx(GEOMETRY.pixel_of(point.place_mm))


def test_a_balls_height_is_told_over_each_ray() -> None:
    ball = MetalBall(diameter_mm=15.0, centre_mm=(-60.0, 60.0, 34.0))
    truth = truth_of(foot_scene(side=Side.RIGHT, height_mm=30.0, balls=(ball,)), GEOMETRY)
    by_hand = {RayName.GREAT_TOE: 4.0, RayName.SECOND_TOE: 4.0}
    assert truth.balls[0].above_ray_mm == pytest.approx(by_hand)


def test_a_rulers_ticks_lie_as_far_apart_as_it_says() -> None:
    ruler = MetalRuler(start_mm=(-70.0, -40.0), direction_deg=12.0, height_mm=8.0)
    truth = truth_of(hand_scene(side=Side.LEFT, things=(ruler,)), GEOMETRY)
    by_hand_mm = 100.0
    start, end = truth.rulers[0].start, truth.rulers[0].end
    assert truth.rulers[0].length_mm == by_hand_mm
    assert dist(start.place_mm, end.place_mm) == pytest.approx(by_hand_mm)


def test_a_point_that_is_not_there_is_refused_with_those_that_are() -> None:
    truth = with_tilts(0, 0, 0, loss=Loss(kept_share=0.6))
    with pytest.raises(LandmarkError, match="this phantom has metacarpal base"):
        truth.pixel(Landmark.DISTAL_PHALANX_TIP)
    with pytest.raises(LandmarkError, match="on the thumb of this phantom there are"):
        truth.length_to_tip_mm(RayName.THUMB, Landmark.DISTAL_PHALANX_BASE)
    with pytest.raises(LandmarkError, match="there are CMC joint, MCP joint"):
        truth.length_to_tip_mm(RayName.THUMB, "IP joint")


def sharp(scene_loss: Loss | None, tilts_deg: tuple[float, ...]) -> PhantomFilm:
    scene = hand_scene(side=Side.RIGHT, loss=scene_loss)
    thumb = replace(scene.poses[0], tilts_deg=tilts_deg)
    exposure = Exposure(
        noisy=False, grain_share=0.0, scatter_to_primary=0.0, response=Response.LINEAR, bits=16
    )
    scene = replace(scene, poses=(thumb, *scene.poses[1:]))
    return expose(scene, GEOMETRY, exposure, np.random.default_rng(1))


def edge_from_truth_px(film: PhantomFilm, base: Point, end: Point) -> float:
    """Return how far beyond the truth the steepest fall of the grey value lies [px]."""
    along = np.subtract(end, base) / dist(base, end)
    steps = np.arange(-6.0, 6.0, 0.05)
    columns, rows = np.array(end)[:, None] + along[:, None] * steps
    profile = ndimage.map_coordinates(film.light.astype(float), [rows, columns], order=1)
    slope = np.gradient(ndimage.gaussian_filter1d(profile, 6.0))
    return float(steps[np.argmin(slope)])


@pytest.mark.parametrize("tilts_deg", [(0.0, 0.0, 0.0), (6.0, 6.0, 6.0), (-6.0, -4.0, -5.0)])
def test_the_tip_of_the_bone_lies_within_a_pixel_of_its_edge_on_the_film(
    tilts_deg: tuple[float, ...],
) -> None:
    film = sharp(None, tilts_deg)
    base = film.truth.pixel(Landmark.DISTAL_PHALANX_BASE)
    end = film.truth.pixel(Landmark.DISTAL_PHALANX_TIP)
    assert abs(edge_from_truth_px(film, base, end)) < 1.0


@pytest.mark.parametrize("kept_share", [0.4, 0.6, 0.7])
def test_the_end_of_a_stump_lies_within_a_pixel_of_its_edge_on_the_film(kept_share: float) -> None:
    film = sharp(Loss(kept_share=kept_share), (5.0, 4.0, 4.0))
    bone = film.truth.rays[RayName.THUMB].bones[-1]
    assert abs(edge_from_truth_px(film, bone.base.pixel, bone.end.pixel)) < 1.0


def test_the_skin_ends_where_the_film_turns_from_air_to_soft_tissue() -> None:
    for loss, landmark in (
        (None, Landmark.SKIN_TIP),
        (Loss(kept_share=0.6), Landmark.STUMP_SKIN_END),
    ):
        film = sharp(loss, (3.0, 3.0, 3.0))
        bone = film.truth.rays[RayName.THUMB].bones[-1]
        assert abs(edge_from_truth_px(film, bone.base.pixel, film.truth.pixel(landmark))) < 1.0
