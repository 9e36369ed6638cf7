"""Invented people: what varies, how far, and that the films show what they should."""

from math import dist

import numpy as np
import pytest

from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import Landmark, RayName
from thumbwright.phantom.bones import PlateEnd
from thumbwright.phantom.notes import film_note, placed_by_hand
from thumbwright.phantom.random_cases import (
    PlannedFilm,
    Protocol,
    StudyPlan,
    random_plan,
    random_study,
    random_tilts,
)

PROTOCOLS = (Protocol(), Protocol(age_years=4.0), Protocol(toe=RayName.GREAT_TOE))


def plans(count: int, protocol: Protocol) -> list[StudyPlan]:
    rng = np.random.default_rng(21)
    return [random_plan(rng, protocol) for _ in range(count)]


def films(plan: StudyPlan) -> tuple[PlannedFilm, PlannedFilm, PlannedFilm]:
    return plan.injured, plan.other, plan.foot


@pytest.mark.parametrize("protocol", PROTOCOLS)
def test_every_named_point_and_the_whole_ball_lie_on_the_film(protocol: Protocol) -> None:
    for plan in plans(30, protocol):
        for film in films(plan):
            truth, geometry = film.truth, film.geometry
            limits = np.array([geometry.columns - 1, geometry.rows - 1])
            for point in truth.points.values():
                assert np.all(np.array(point.pixel) > 5)
                assert np.all(np.array(point.pixel) < limits - 5)
            shadow = truth.balls[0].shadow
            assert np.all(np.array(shadow.centre) > shadow.semi_major_px + 20)
            assert np.all(np.array(shadow.centre) < limits - shadow.semi_major_px - 20)


def test_hands_are_a_pair_and_only_the_injured_one_has_a_loss() -> None:
    for plan in plans(20, Protocol()):
        assert plan.injured.scene.side is plan.injured_side
        assert plan.other.scene.side is plan.injured_side.other
        assert Landmark.STUMP_BONE_END in plan.injured.truth.points
        assert Landmark.DISTAL_PHALANX_TIP in plan.other.truth.points
        assert plan.foot.scene.region is Region.FOOT


def test_losses_lie_between_the_neck_of_the_metacarpal_and_the_ip_joint() -> None:
    kinds = set()
    for plan in plans(60, Protocol()):
        truth = plan.injured.truth
        kept = truth.length_to_tip_mm(RayName.THUMB, Landmark.METACARPAL_BASE)
        metacarpal, phalanx = plan.injured.scene.sizes[0].bones[:2]
        assert kept > 0.5 * metacarpal.length_mm
        assert kept < metacarpal.length_mm + phalanx.length_mm + 4.0
        assert Landmark.DISTAL_PHALANX_BASE not in truth.points
        kinds.add(len(truth.rays[RayName.THUMB].landmarks))
    assert len(kinds) == 3


def test_a_ball_lies_within_the_tolerance_of_the_height_of_the_bones() -> None:
    heights = [
        film.truth.balls[0].above_ray_mm[ray]
        for plan in plans(80, Protocol())
        for film, ray in ((plan.other, RayName.THUMB), (plan.foot, RayName.SECOND_TOE))
    ]
    by_hand_limit_mm, by_hand_sd_mm = 5.0, 5.0 / 3**0.5
    assert max(np.abs(heights)) <= by_hand_limit_mm
    assert np.std(heights) == pytest.approx(by_hand_sd_mm, rel=0.15)


def test_a_ball_touches_neither_bone_nor_soft_shadow() -> None:
    for plan in plans(12, Protocol()):
        for film in films(plan):
            ray = next(iter(film.truth.rays.values()))
            ball = film.truth.balls[0]
            for bone in ray.bones:
                for point in (bone.base, bone.end):
                    assert dist(point.place_mm[:2], ball.centre_mm[:2]) > ball.diameter_mm / 2 + 8


@pytest.mark.parametrize("shared", [0.0, 0.5, 0.9, 1.0])
def test_each_tilt_is_even_within_the_limit_and_tilts_hang_together_as_asked(
    shared: float,
) -> None:
    rng = np.random.default_rng(3)
    tilts = np.array([random_tilts(rng, 3, 6.0, shared) for _ in range(4000)])
    by_hand_sd_deg = 6.0 / 3**0.5
    assert np.abs(tilts).max() <= 6.0
    assert tilts.std(axis=0) == pytest.approx(np.full(3, by_hand_sd_deg), rel=0.03)
    quarters = np.quantile(tilts[:, 1], [0.25, 0.5, 0.75])
    by_hand_quarters = np.array([-3.0, 0.0, 3.0])
    assert quarters == pytest.approx(by_hand_quarters, abs=0.3)
    # Spearman's rank correlation of two normal numbers, by the arcsine law.
    by_hand_correlation = 6 / np.pi * np.arcsin(shared / 2)
    assert np.corrcoef(tilts[:, 0], tilts[:, 2])[0, 1] == pytest.approx(
        by_hand_correlation, abs=0.04
    )


def test_a_child_is_smaller_and_its_plates_are_open() -> None:
    adult, young = plans(1, Protocol())[0], plans(1, Protocol(age_years=4.0))[0]
    assert young.other.scene.factor < 0.8 * adult.other.scene.factor
    assert young.other.scene.sizes[0].bones[0].plate is PlateEnd.BASE
    assert adult.other.scene.sizes[0].bones[0].plate is None


def test_the_same_start_of_chance_gives_the_same_study() -> None:
    protocol = Protocol(pitch_mm=(0.5,))
    one, again = (random_study(np.random.default_rng(9), protocol) for _ in range(2))
    for film, twin in ((one.injured, again.injured), (one.foot, again.foot)):
        assert np.array_equal(film.values, twin.values)
        assert film.truth.points == twin.truth.points


def test_a_study_is_exposed_as_it_was_planned() -> None:
    study = random_study(np.random.default_rng(9), Protocol(pitch_mm=(0.5,)))
    assert study.other.truth.points == study.plan.other.truth.points
    assert study.foot.scene is study.plan.foot.scene


def test_a_note_says_what_is_known_and_not_where_the_ball_truly_lay() -> None:
    study = random_study(np.random.default_rng(9), Protocol(pitch_mm=(0.5,)))
    note = film_note(study.foot, "foot.dcm")
    assert note.ball is not None
    assert note.ball.diameter_mm == study.foot.truth.balls[0].diameter_mm
    assert note.ball.above_bone_mm == 0.0
    assert (note.region, note.side) == (Region.FOOT, study.foot.truth.side)


def test_points_placed_by_hand_scatter_about_the_truth() -> None:
    truth = plans(1, Protocol())[0].other.truth
    rng = np.random.default_rng(2)
    gaps = [
        np.subtract(placed.points[name], point.pixel)
        for placed in (
            placed_by_hand(truth, rng, observer="ab", scatter_px=2.0) for _ in range(200)
        )
        for name, point in truth.points.items()
    ]
    by_hand_px = 2.0
    assert np.std(gaps) == pytest.approx(by_hand_px, rel=0.05)
    assert np.mean(gaps) == pytest.approx(0.0, abs=0.15)


def test_only_the_points_that_were_asked_for_are_placed() -> None:
    truth = plans(1, Protocol())[0].other.truth
    wanted = (Landmark.SKIN_TIP,)
    placed = placed_by_hand(
        truth, np.random.default_rng(2), observer="ab", scatter_px=0.0, landmarks=wanted
    )
    assert placed.points == {Landmark.SKIN_TIP: truth.pixel(Landmark.SKIN_TIP)}


def test_a_correlation_that_is_none_is_refused() -> None:
    with pytest.raises(FilmError, match="allowed is 0 to 1"):
        Protocol(tilt_shared=1.2)
