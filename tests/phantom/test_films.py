"""Whole films: sides, chance, magnification, the ball's shadow, and metal in the way."""

from dataclasses import replace

import numpy as np
import pytest

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.image import Region, View
from thumbwright.core.radiograph.landmarks import Landmark
from thumbwright.phantom.films import PhantomFilm, expose, passage_of
from thumbwright.phantom.objects import LeadLetter, MetalBall, MetalRuler, Ring, Screw
from thumbwright.phantom.physics import Exposure, Photometric, Response
from thumbwright.phantom.poses import Loss
from thumbwright.phantom.projection import centred_geometry
from thumbwright.phantom.scene import Scene, Stance, foot_scene, hand_scene

COARSE = centred_geometry(pitch_mm=(0.4, 0.4))
CLEAN = Exposure(noisy=False, grain_share=0.0, heel_share=0.0, response=Response.LINEAR, bits=16)


def rng() -> np.random.Generator:
    return np.random.default_rng(12)


def mirrored_pair(scene: Scene) -> tuple[Scene, Scene]:
    """Return a scene and its mirror image about the middle of the film."""
    width, (x_mm, y_mm) = COARSE.size_mm[0], scene.stance.origin_mm
    mirror = Stance(side=scene.side.other, origin_mm=(width - x_mm, y_mm), turned_deg=3.0)
    return replace(scene, stance=replace(scene.stance, turned_deg=3.0)), replace(
        scene, stance=mirror
    )


@pytest.mark.parametrize(
    "scene",
    [
        hand_scene(
            side=Side.RIGHT,
            loss=Loss(kept_share=0.6),
            balls=(MetalBall(diameter_mm=20.0, centre_mm=(-80.0, -25.0, 25.0)),),
        ),
        foot_scene(side=Side.RIGHT),
    ],
    ids=["hand", "foot"],
)
def test_a_left_film_is_the_mirror_image_of_a_right_one(scene: Scene) -> None:
    # The coarse grid of the scatter begins at the left edge, so it is left out here.
    exposure = replace(CLEAN, scatter_to_primary=0.0)
    right, left = (expose(one, COARSE, exposure, rng()) for one in mirrored_pair(scene))
    gap = right.values.astype(int) - left.values[:, ::-1].astype(int)
    assert np.abs(gap).max() <= 2
    for name, point in right.truth.points.items():
        column, row = left.truth.pixel(name)
        assert (COARSE.columns - 1 - column, row) == pytest.approx(point.pixel, abs=1e-9)


def test_a_right_hand_has_its_thumb_to_the_left_and_its_tips_up(hand: PhantomFilm) -> None:
    thumb, index = (
        hand.truth.pixel(name)
        for name in (Landmark.METACARPAL_HEAD, Landmark.INDEX_METACARPAL_HEAD)
    )
    assert thumb[0] < index[0]
    assert index[1] < hand.truth.pixel(Landmark.INDEX_METACARPAL_BASE)[1]


def test_a_left_foot_has_its_great_toe_to_the_right(foot: PhantomFilm) -> None:
    great, second = Landmark.GREAT_DISTAL_TIP, Landmark.SECOND_DISTAL_TIP
    assert foot.truth.pixel(great)[0] > foot.truth.pixel(second)[0]


def test_the_same_start_of_chance_gives_the_same_film_and_another_start_another() -> None:
    scene = hand_scene(side=Side.LEFT)
    first, again, other = (
        expose(scene, COARSE, Exposure(), np.random.default_rng(start)).values
        for start in (1, 1, 2)
    )
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


def test_bone_is_lighter_than_soft_tissue_and_soft_tissue_than_air(hand: PhantomFilm) -> None:
    base, head = (
        np.array(hand.truth.pixel(name))
        for name in (Landmark.INDEX_METACARPAL_BASE, Landmark.INDEX_METACARPAL_HEAD)
    )
    column, row = np.rint((base + head) / 2).astype(int)
    bone, soft, air = hand.light[row, column], hand.light[row, column + 22], hand.light[row, -3]
    assert bone > soft > air


@pytest.mark.parametrize("photometric", list(Photometric))
def test_light_values_do_not_depend_on_what_a_large_stored_number_means(
    photometric: Photometric,
) -> None:
    scene = foot_scene(side=Side.RIGHT)
    plain = expose(scene, COARSE, CLEAN, rng())
    found = expose(scene, COARSE, replace(CLEAN, photometric=photometric), rng())
    assert np.array_equal(found.light, plain.light)
    centre, width = found.window()
    stored = found.values.astype(float)
    share = np.clip((stored - centre) / width + 0.5, 0, 1)
    shown = 1 - share if photometric is Photometric.MONOCHROME1 else share
    assert np.abs(255 * shown - found.shown()).max() <= 0.51


def ball_area_px(film: PhantomFilm) -> tuple[float, tuple[float, float]]:
    """Return area and middle of what metal hides, counted pixel by pixel on the film."""
    hidden = 1 - passage_of(film.scene, film.geometry).metal_share.astype(float)
    rows, columns = np.indices(hidden.shape)
    total = float(hidden.sum())
    return total, (float((columns * hidden).sum()) / total, float((rows * hidden).sum()) / total)


def test_the_balls_shadow_on_the_film_is_the_ellipse_that_is_told(hand: PhantomFilm) -> None:
    area, middle = ball_area_px(hand)
    shadow = hand.truth.balls[0].shadow
    by_hand_px2 = np.pi * shadow.semi_major_px * shadow.semi_minor_px
    # Metal lets a little through where the way is short, so the area is a trace smaller.
    assert area == pytest.approx(by_hand_px2, rel=2e-3)
    assert area < by_hand_px2
    assert middle == pytest.approx(shadow.centre, abs=0.01)


def test_a_thing_twice_as_high_is_enlarged_accordingly() -> None:
    def width_px(height_mm: float) -> float:
        ball = MetalBall(diameter_mm=20.0, centre_mm=(-80.0, -25.0, height_mm))
        scene = hand_scene(side=Side.RIGHT, balls=(ball,))
        return float(np.sqrt(ball_area_px(expose(scene, COARSE, CLEAN, rng()))[0]))

    by_hand = (1000.0 - 25.0) / (1000.0 - 75.0)
    assert width_px(75.0) / width_px(25.0) == pytest.approx(by_hand, rel=1e-3)


def test_metal_hides_the_beam_and_leaves_the_rest_of_the_film_alone() -> None:
    things = (
        LeadLetter(letter="R", centre_mm=(-75.0, 140.0, 5.0)),
        MetalRuler(start_mm=(70.0, -20.0), direction_deg=0.0, height_mm=5.0),
        Ring(finger=3),
        Screw(finger=2),
    )
    plain = passage_of(hand_scene(side=Side.RIGHT), COARSE)
    found = passage_of(hand_scene(side=Side.RIGHT, things=things), COARSE)
    assert float(plain.metal_share.min()) == 1.0
    assert float(found.metal_share.min()) < 0.01
    assert np.array_equal(found.weakening, plain.weakening)
    assert 0.005 < float((found.metal_share < 0.5).mean()) < 0.03


def test_a_letter_reads_rightly_on_both_sides() -> None:
    letter = LeadLetter(letter="L", centre_mm=(-70.0, 140.0, 5.0))
    for side in Side:
        scene = hand_scene(side=side, things=(letter,))
        hidden = passage_of(scene, COARSE).metal_share < 0.5
        rows, columns = np.nonzero(hidden)
        left, lowest = columns.min(), rows.max()
        assert hidden[rows.min() : lowest, left + 1].all()
        assert hidden[lowest - 1, left : columns.max()].all()


def test_soft_tissue_alone_weakens_by_its_thickness(hand: PhantomFilm) -> None:
    passage = passage_of(hand.scene, hand.geometry)
    column, row = hand.truth.pixel(Landmark.SKIN_TIP)
    end, tip = np.array([column, row]), np.array(hand.truth.pixel(Landmark.DISTAL_PHALANX_TIP))
    place = np.rint(end + (tip - end) / 2).astype(int)
    weakening = float(passage.weakening[place[1], place[0]])
    by_hand_thickest = 0.030 * 0.9 * 21.5
    assert 0.3 * by_hand_thickest < weakening < by_hand_thickest
    assert passage.spongy_mm[place[1], place[0]] == 0.0


def test_a_phantom_film_becomes_the_programs_own_film(foot: PhantomFilm) -> None:
    film = foot.as_film("foot.dcm")
    assert np.array_equal(film.values, foot.light)
    assert (film.header.region, film.header.side) == (Region.FOOT, Side.LEFT)
    assert film.header.view is View.DORSOPLANTAR
    by_hand_mm = (0.4, 0.4)
    assert film.header.spacing.imager_pixel_spacing_mm == by_hand_mm
    assert film.header.spacing.source_to_detector_mm == foot.geometry.source_to_detector_mm


def test_a_scene_without_five_rays_is_refused() -> None:
    scene = hand_scene(side=Side.LEFT)
    with pytest.raises(FilmError, match="five of each"):
        replace(scene, sizes=scene.sizes[:4])


def test_a_lost_toe_is_refused() -> None:
    with pytest.raises(FilmError, match="losses of the thumb"):
        replace(foot_scene(side=Side.LEFT), loss=Loss(kept_share=0.5))
