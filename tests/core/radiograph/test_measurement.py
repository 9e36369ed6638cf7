"""Lengths along a ray: foreshortening, perspective, shared doubts, joints and stumps."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import cos, hypot, inf, log, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.radiograph.by_hand import (
    FLAT_DEG,
    SECOND_TOE_MARKS,
    THUMB_MARKS,
    Beam,
    in_a_row,
    note,
    placed,
    scale_of,
)

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.radiograph.landmarks import SECOND_TOE, THUMB, Landmark, Point, Ray
from thumbwright.core.radiograph.measurement import (
    BEAM_CENTRE_DOUBT_MM,
    SHORTEST_SEGMENT_MM,
    TILT_CORRELATION,
    Station,
    along,
    bone_lengths,
    stations,
)
from thumbwright.core.radiograph.placements import PlacedPoints

MARKS = [mark for mark, _ in THUMB_MARKS]


def whole(points: PlacedPoints, *, tilt_limit_deg: float = FLAT_DEG, ray: Ray = THUMB) -> Measured:
    measured = along(
        points,
        note(tilt_limit_deg=tilt_limit_deg),
        ray,
        stations(ray, points),
        name="whole ray",
    )
    assert isinstance(measured, Measured), str(measured)
    return measured


def effects(measured: Measured, start: str) -> list[float]:
    return [term.effect for term in measured.budget if term.input.key.startswith(start)]


# --- joints and stations


def test_a_thumb_is_measured_from_joint_to_joint() -> None:
    points = placed(in_a_row(THUMB_MARKS), scale_of())
    path = stations(THUMB, points)
    assert [station.name for station in path] == [
        "CMC joint",
        "MCP joint",
        "IP joint",
        "distal phalanx tip",
    ]
    assert [len(station.landmarks) for station in path] == [1, 2, 2, 1]
    by_hand_length_mm = 100.0
    assert whole(points).value == pytest.approx(by_hand_length_mm)


def test_a_joint_lies_half_way_between_head_and_base() -> None:
    points = placed(in_a_row(THUMB_MARKS), scale_of())
    path = stations(THUMB, points)[1:]
    measured = along(points, note(), THUMB, path, name="MCP joint to tip")
    assert isinstance(measured, Measured)
    by_hand_length_mm = 54.0
    assert measured.value == pytest.approx(by_hand_length_mm)


def test_a_joint_of_which_one_side_was_placed_lies_there() -> None:
    marks = [mark for mark in THUMB_MARKS if mark[0] is not Landmark.METACARPAL_HEAD]
    points = placed(in_a_row(marks), scale_of())
    measured = along(points, note(), THUMB, stations(THUMB, points)[1:], name="MCP joint to tip")
    assert isinstance(measured, Measured)
    by_hand_length_mm = 53.0
    assert measured.value == pytest.approx(by_hand_length_mm)


def test_a_second_toe_has_four_joints() -> None:
    points = placed(in_a_row(SECOND_TOE_MARKS), scale_of())
    assert [station.name for station in stations(SECOND_TOE, points)][:-1] == list(
        SECOND_TOE.joints
    )
    assert whole(points, ray=SECOND_TOE).value == pytest.approx(120.0)


def test_one_place_is_no_length() -> None:
    points = placed({Landmark.METACARPAL_BASE: (1.0, 1.0)}, scale_of())
    unknown = along(points, note(), THUMB, stations(THUMB, points), name="thumb")
    assert isinstance(unknown, Unknown)
    assert unknown.reason == "the thumb needs two places on film a.dcm and has 1"
    assert unknown.needed == ("the points of the thumb on film a.dcm",)


def test_each_bone_of_which_both_ends_were_placed_is_measured_from_end_to_end() -> None:
    marks = [mark for mark in THUMB_MARKS if mark[0] is not Landmark.PROXIMAL_PHALANX_HEAD]
    found = bone_lengths(placed(in_a_row(marks), scale_of()), note(), THUMB)
    by_hand_lengths_mm = {"first metacarpal": 45.0, "distal phalanx": 21.0}
    assert {bone.name: bone.length.value for bone in found} == pytest.approx(by_hand_lengths_mm)


# --- stumps


def stump(*, end_below_tip_mm: float, marks: Sequence[Landmark]) -> PlacedPoints:
    below = [*((m, b) for m, b in THUMB_MARKS if m in marks)]
    return placed(
        in_a_row([*below, (Landmark.STUMP_BONE_END, end_below_tip_mm)]),
        scale_of(),
        scatter_mm=0.3,
    )


def stump_length(points: PlacedPoints) -> tuple[list[str], float]:
    path = stations(THUMB, points, end=Landmark.STUMP_BONE_END)
    measured = along(points, note(), THUMB, path, name="stump")
    assert isinstance(measured, Measured)
    return [station.name for station in path], measured.value


def test_a_stump_ends_at_its_bone_end_and_runs_through_the_joints_that_are_left() -> None:
    points = stump(
        end_below_tip_mm=40.0,
        marks=(
            Landmark.METACARPAL_BASE,
            Landmark.METACARPAL_HEAD,
            Landmark.PROXIMAL_PHALANX_BASE,
        ),
    )
    names, length_mm = stump_length(points)
    assert names == ["CMC joint", "MCP joint", "stump bone end"]
    assert length_mm == pytest.approx(60.0)


@pytest.mark.parametrize("off_mm", [0.0, 1.0, 3.9])
def test_a_head_at_which_the_stump_ends_is_no_joint_any_more(off_mm: float) -> None:
    points = stump(
        end_below_tip_mm=55.0 - off_mm,
        marks=(Landmark.METACARPAL_BASE, Landmark.METACARPAL_HEAD),
    )
    names, length_mm = stump_length(points)
    assert names == ["CMC joint", "stump bone end"]
    assert length_mm == pytest.approx(45.0 + off_mm)


def test_a_stump_that_reaches_beyond_the_joint_keeps_it() -> None:
    points = stump(
        end_below_tip_mm=54.0 - SHORTEST_SEGMENT_MM - 0.1,
        marks=(
            Landmark.METACARPAL_BASE,
            Landmark.METACARPAL_HEAD,
            Landmark.PROXIMAL_PHALANX_BASE,
        ),
    )
    assert stump_length(points)[0] == ["CMC joint", "MCP joint", "stump bone end"]


def test_two_points_in_one_place_are_nothing_apart_and_still_doubted() -> None:
    points = placed(
        {Landmark.STUMP_BONE_END: (9.0, 9.0), Landmark.STUMP_SKIN_END: (9.0, 9.0)},
        scale_of(),
        scatter_mm=0.3,
    )
    ends = tuple(
        Station(name=mark.words, landmarks=(mark,))
        for mark in (Landmark.STUMP_BONE_END, Landmark.STUMP_SKIN_END)
    )
    measured = along(points, note(tilt_limit_deg=6.0), THUMB, ends, name="skin beyond bone")
    assert isinstance(measured, Measured)
    assert measured.value == 0.0
    by_hand_doubt_mm = sqrt(2 * (0.3**2 + 0.1**2 / 12))
    assert measured.uncertainty == pytest.approx(by_hand_doubt_mm)


# --- foreshortening


@pytest.mark.parametrize("limit_deg", [3.0, 6.0, 10.0, 15.0])
def test_the_mean_foreshortening_of_an_even_tilt_is_put_back(limit_deg: float) -> None:
    """Compare with the exact mean of 1 / cos over an even tilt: ln tan(45 deg + T / 2) / T."""
    limit = radians(limit_deg)
    points = placed(in_a_row(THUMB_MARKS), scale_of())
    independent_length_mm = 100.0 * log(tan(pi / 4 + limit / 2)) / limit
    length = whole(points, tilt_limit_deg=limit_deg)
    assert length.value == pytest.approx(independent_length_mm, rel=3e-4)
    by_hand_share = 1 + limit**2 / 6
    assert length.value == pytest.approx(100.0 * by_hand_share)


def test_what_tilt_takes_off_a_bone_doubts_as_drawn_tilts_do() -> None:
    limit = radians(6.0)
    tilts = np.random.default_rng(1).uniform(-limit, limit, 400_000)
    independent_doubt_mm = float(np.std(45.0 * (1 - np.cos(tilts))))
    points = placed(in_a_row(THUMB_MARKS), scale_of(source_to_bone_mm=1e9))
    metacarpal = bone_lengths(points, note(tilt_limit_deg=6.0), THUMB)[0].length
    loss = hypot(*effects(metacarpal, "obliquity"), *effects(metacarpal, "flexion"))
    assert loss == pytest.approx(independent_doubt_mm, rel=0.01)


def test_tilted_bones_of_one_ray_lose_together_by_the_square_of_their_correlation() -> None:
    points = placed(in_a_row(THUMB_MARKS), scale_of(source_to_bone_mm=1e9))
    thumb = whole(points, tilt_limit_deg=6.0)
    loss = radians(6.0) ** 2 / sqrt(45) * (1 + radians(6.0) ** 2 / 6)
    parts_mm = (46.0, 32.0, 22.0)
    by_hand_doubt_mm = loss * sqrt(
        sum(a * b * (1.0 if a == b else TILT_CORRELATION**2) for a in parts_mm for b in parts_mm)
    )
    assert hypot(*effects(thumb, "obliquity"), *effects(thumb, "flexion")) == pytest.approx(
        by_hand_doubt_mm
    )


# --- perspective


def tilted_seen_mm(
    tilt: float, *, ends_mm: Sequence[float], side_mm: float, turn: float, height_mm: float = 30.0
) -> list[float]:
    """Project places along one straight ray that tilts about its middle; return seen lengths.

    The ray lies in the plane of the bones, turned by ``turn`` on the film and ``side_mm``
    beside the central ray; places along it count from the foot of the perpendicular.
    """
    beam = Beam(pitch_mm=1.0)
    middle = (ends_mm[0] + ends_mm[-1]) / 2
    shadows = []
    for end in ends_mm:
        out, up = middle + (end - middle) * cos(tilt), (end - middle) * sin(tilt)
        place = (
            out * cos(turn) - side_mm * sin(turn),
            out * sin(turn) + side_mm * cos(turn),
            height_mm + up,
        )
        shadows.append(beam.pixel(place))
    share = beam.bone_mm_per_px(height_mm)
    return [share * hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(shadows)]


def ray_at(ends_mm: Sequence[float], *, side_mm: float, turn: float) -> PlacedPoints:
    """Place the same ray, flat, on a film whose middle is the foot of the central ray."""
    pixels: list[Point] = [
        (
            2000 + 10 * (end * cos(turn) - side_mm * sin(turn)),
            2000 + 10 * (end * sin(turn) + side_mm * cos(turn)),
        )
        for end in ends_mm
    ]
    base, mcp, ip, tip = pixels
    return placed(
        {
            Landmark.METACARPAL_BASE: base,
            Landmark.PROXIMAL_PHALANX_BASE: mcp,
            Landmark.DISTAL_PHALANX_BASE: ip,
            Landmark.DISTAL_PHALANX_TIP: tip,
        },
        scale_of(0.1, centre=(2000.0, 2000.0), source_to_bone_mm=970.0),
    )


@pytest.mark.parametrize("start_mm", [-120.0, -50.0, 0.0, 60.0])
@pytest.mark.parametrize("side_mm", [0.0, 70.0])
@pytest.mark.parametrize("turn_deg", [0.0, 35.0, 160.0])
def test_a_small_tilt_changes_a_ray_off_the_central_ray_as_exact_projection_says(
    start_mm: float, side_mm: float, turn_deg: float
) -> None:
    ends_mm, turn = [start_mm + at for at in (0.0, 46.0, 78.0, 100.0)], radians(turn_deg)
    small = 1e-4
    up, down = (
        sum(tilted_seen_mm(tilt, ends_mm=ends_mm, side_mm=side_mm, turn=turn))
        for tilt in (small, -small)
    )
    independent_slope_mm_per_rad = (up - down) / (2 * small)
    thumb = whole(ray_at(ends_mm, side_mm=side_mm, turn=turn))
    (tilt,) = (term for term in thumb.budget if term.input.key.startswith("tilt "))
    assert tilt.sensitivity == pytest.approx(independent_slope_mm_per_rad, abs=1e-3)


def test_a_single_bone_of_the_ray_is_lifted_as_exact_projection_says() -> None:
    """Measure MCP joint to tip: the ray that tilts is then that part alone."""
    ends_mm, small = [-20.0, 26.0, 58.0, 80.0], 1e-4
    up, down = (
        tilted_seen_mm(tilt, ends_mm=ends_mm[1:], side_mm=0.0, turn=0.0) for tilt in (small, -small)
    )
    independent_slope_mm_per_rad = (sum(up) - sum(down)) / (2 * small)
    points = ray_at(ends_mm, side_mm=0.0, turn=0.0)
    part = along(points, note(), THUMB, stations(THUMB, points)[1:], name="MCP joint to tip")
    assert isinstance(part, Measured)
    (tilt,) = (term for term in part.budget if term.input.key.startswith("tilt "))
    assert tilt.sensitivity == pytest.approx(independent_slope_mm_per_rad, abs=1e-3)


BONES_MM = (46.0, 32.0, 22.0)


def seen_with_one_bone_tilted_mm(bone: int, tilt: float, start_mm: float) -> float:
    """Tilt one bone of a straight ray on the central line and return the length of all, seen.

    The bones hang together, and first base and last tip keep the ray's middle height.
    """
    tilts = [tilt if at == bone else 0.0 for at in range(3)]
    out = np.concatenate([[0.0], np.cumsum(np.multiply(BONES_MM, np.cos(tilts)))]) + start_mm
    up = np.concatenate([[0.0], np.cumsum(np.multiply(BONES_MM, np.sin(tilts)))])
    shadows = out * 970.0 / (970.0 - (up - (up[0] + up[-1]) / 2))
    return float(shadows[-1] - shadows[0])


@pytest.mark.parametrize("start_mm", [-130.0, -50.0, 20.0])
@pytest.mark.parametrize("bone", [0, 1, 2])
def test_a_bone_that_tilts_alone_changes_the_ray_as_exact_projection_says(
    start_mm: float, bone: int
) -> None:
    small = 1e-4
    up, down = (seen_with_one_bone_tilted_mm(bone, tilt, start_mm) for tilt in (small, -small))
    independent_slope_mm_per_rad = abs(up - down) / (2 * small)
    thumb = whole(ray_at([start_mm + at for at in (0.0, 46.0, 78.0, 100.0)], side_mm=0.0, turn=0.0))
    ends = ("MCP joint", "IP joint", "distal phalanx tip")
    (bend,) = (term for term in thumb.budget if term.input.key == f"bend a.dcm thumb {ends[bone]}")
    beside = BONES_MM[bone] * BEAM_CENTRE_DOUBT_MM / 970.0
    by_tilt = sqrt(bend.sensitivity**2 - beside**2)
    assert by_tilt == pytest.approx(independent_slope_mm_per_rad, abs=1e-3)


def test_a_bent_ray_whose_bones_all_tilt_changes_as_exact_projection_says() -> None:
    """Bend the joints by 25 and 40 degrees on the film and raise each bone along itself."""
    turns, small = np.radians([10.0, 35.0, 75.0]), 1e-4
    flat = np.array([np.cos(turns), np.sin(turns)]).T
    beam, start = Beam(pitch_mm=1.0), np.array([30.0, -60.0])

    def corners_mm(tilt: float) -> np.ndarray:
        steps = np.array(
            [
                [*(length * cos(tilt) * way), length * sin(tilt)]
                for length, way in zip(BONES_MM, flat, strict=True)
            ]
        )
        places = np.concatenate([[[0.0, 0.0, 0.0]], np.cumsum(steps, axis=0)])
        places[:, :2] += start
        places[:, 2] += 30.0 - (places[0, 2] + places[-1, 2]) / 2
        return np.array([beam.pixel(place) for place in places]) * beam.bone_mm_per_px(30.0)

    def seen_mm(tilt: float) -> float:
        return float(np.hypot(*np.diff(corners_mm(tilt), axis=0).T).sum())

    independent_slope_mm_per_rad = (seen_mm(small) - seen_mm(-small)) / (2 * small)
    marks = (
        Landmark.METACARPAL_BASE,
        Landmark.PROXIMAL_PHALANX_BASE,
        Landmark.DISTAL_PHALANX_BASE,
        Landmark.DISTAL_PHALANX_TIP,
    )
    pixels: dict[Landmark, Point] = {
        mark: (2000 + 10 * float(at[0]), 2000 + 10 * float(at[1]))
        for mark, at in zip(marks, corners_mm(0.0), strict=True)
    }
    film = scale_of(0.1, centre=(2000.0, 2000.0), source_to_bone_mm=970.0)
    (tilt,) = (t for t in whole(placed(pixels, film)).budget if t.input.key.startswith("tilt "))
    assert tilt.sensitivity == pytest.approx(independent_slope_mm_per_rad, abs=1e-3)


def test_a_central_ray_beside_the_middle_lifts_all_bones_alike() -> None:
    """Lay the ray evenly about the middle of the film, where the parts may not cancel."""
    thumb = whole(ray_at([-50.0, -4.0, 28.0, 50.0], side_mm=0.0, turn=0.0), tilt_limit_deg=6.0)
    one_rad = radians(6.0) / sqrt(3) * sqrt(TILT_CORRELATION)
    by_hand_effect_mm = one_rad * 100.0 * BEAM_CENTRE_DOUBT_MM / 970.0
    assert effects(thumb, "beam") == pytest.approx([by_hand_effect_mm], rel=0.01)


def test_a_flat_ray_anywhere_on_the_film_has_its_true_length() -> None:
    beam = Beam(foot_mm=(70.0, 90.0))
    true = [(20.0, 160.0, 30.0), (50.0, 130.0, 30.0), (70.0, 100.0, 30.0), (90.0, 80.0, 30.0)]
    independent_length_mm = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(true))
    marks = (
        Landmark.METACARPAL_BASE,
        Landmark.PROXIMAL_PHALANX_BASE,
        Landmark.DISTAL_PHALANX_BASE,
        Landmark.DISTAL_PHALANX_TIP,
    )
    pixels = {mark: beam.pixel(place) for mark, place in zip(marks, true, strict=True)}
    thumb = whole(placed(pixels, scale_of(beam.bone_mm_per_px(30.0))))
    assert thumb.value == pytest.approx(independent_length_mm)


def drawn_ray(rng: np.random.Generator, limit: float, start_mm: float) -> tuple[float, float]:
    """Return true and seen length of a ray whose bones tilt by correlated even tilts."""
    normal = sqrt(TILT_CORRELATION) * rng.standard_normal() + sqrt(
        1 - TILT_CORRELATION
    ) * rng.standard_normal(3)
    # Even tilts whose normal scores are correlated.
    tilts = limit * (2 * np.array([_normal_share(each) for each in normal]) - 1)
    bones = np.array([46.0, 32.0, 22.0])
    out = np.concatenate([[0.0], np.cumsum(bones * np.cos(tilts))])
    up = np.concatenate([[0.0], np.cumsum(bones * np.sin(tilts))])
    out = out + start_mm + (100.0 - out[-1]) / 2
    up = up - (up[0] + up[-1]) / 2
    foot = rng.normal(0.0, BEAM_CENTRE_DOUBT_MM)
    shadows = foot + (out - foot) * 970.0 / (970.0 - up)
    return 100.0, float(shadows[-1] - shadows[0])


def _normal_share(score: float) -> float:
    from math import erf

    return (1 + erf(score / sqrt(2))) / 2


@pytest.mark.parametrize(("start_mm", "limit_deg"), [(-50.0, 6.0), (40.0, 6.0), (-140.0, 12.0)])
def test_the_doubt_by_tilt_is_that_of_drawn_rays_in_an_exact_beam(
    start_mm: float, limit_deg: float
) -> None:
    rng, limit = np.random.default_rng(11), radians(limit_deg)
    draws = [drawn_ray(rng, limit, start_mm) for _ in range(6000)]
    errors = np.array([seen * (1 + limit**2 / 6) - true for true, seen in draws])
    independent_doubt_mm = float(errors.std())
    points = ray_at([start_mm + at for at in (0.0, 46.0, 78.0, 100.0)], side_mm=0.0, turn=0.0)
    thumb = whole(points, tilt_limit_deg=limit_deg)
    kinds = ("obliquity", "tilt", "beam", "flexion", "bend")
    of_tilt = hypot(*(effect for kind in kinds for effect in effects(thumb, kind)))
    assert of_tilt == pytest.approx(independent_doubt_mm, rel=0.05)
    assert abs(float(errors.mean())) < 0.1 * independent_doubt_mm


# --- what the parts share


def test_the_scale_of_a_film_doubts_all_its_parts_together() -> None:
    points = placed(in_a_row(THUMB_MARKS), scale_of(share=0.01))
    by_hand_doubt_mm = 0.01 * 100.0
    assert effects(whole(points), "scale") == pytest.approx([by_hand_doubt_mm])


def test_on_a_straight_ray_the_joints_between_cost_nothing() -> None:
    points = placed(in_a_row(THUMB_MARKS), scale_of(), scatter_mm=0.3)
    by_hand_doubt_mm = sqrt(2 * (0.3**2 + 0.1**2 / 12))
    assert whole(points).uncertainty == pytest.approx(by_hand_doubt_mm, rel=1e-6)


def test_a_joint_at_the_end_is_doubted_as_the_mean_of_its_two_points() -> None:
    points = placed(in_a_row(THUMB_MARKS), scale_of(), scatter_mm=0.3)
    part = along(points, note(), THUMB, stations(THUMB, points)[1:], name="MCP joint to tip")
    assert isinstance(part, Measured)
    one_mm2 = 0.3**2 + 0.1**2 / 12
    by_hand_doubt_mm = sqrt(one_mm2 / 2 + one_mm2)
    assert part.uncertainty == pytest.approx(by_hand_doubt_mm, rel=1e-6)


def test_placing_doubts_a_length_as_drawn_placings_do() -> None:
    rng, true = np.random.default_rng(5), in_a_row(THUMB_MARKS)
    points = placed(true, scale_of(), scatter_mm=0.3)
    lengths = []
    for _ in range(2000):
        moved: dict[Landmark, Point] = {
            mark: (at[0] + 3.0 * rng.standard_normal(), at[1] + 3.0 * rng.standard_normal())
            for mark, at in true.items()
        }
        lengths.append(whole(replace(points, points=moved)).value)
    independent_doubt_mm = float(np.std(lengths))
    seen = hypot(*effects(whole(points), "observer"))
    assert seen == pytest.approx(independent_doubt_mm, rel=5 / sqrt(2 * 2000))


def test_repeats_of_one_film_give_a_length_the_freedom_of_their_pool() -> None:
    exact = scale_of(1e-9)  # pixels too small to doubt anything
    marks = in_a_row(THUMB_MARKS, mm_per_px=1e-9)
    points = placed(marks, exact, scatter_mm=0.3, freedom=24.0, repeats=3)
    assert whole(points).degrees_of_freedom == pytest.approx(24.0, rel=1e-6)
    assert whole(replace(points, degrees_of_freedom=inf)).degrees_of_freedom == inf


# --- what must always hold


@settings(deadline=None)
@given(st.floats(-60, 60), st.floats(-60, 60))
def test_a_bend_in_the_plane_of_the_film_costs_nothing(mcp_deg: float, ip_deg: float) -> None:
    turns = np.cumsum([0.0, radians(mcp_deg), radians(ip_deg)])
    bones = zip((460, 320, 220), turns, strict=True)
    steps = [bone * np.array([sin(turn), -cos(turn)]) for bone, turn in bones]
    base, mcp, ip, tip = np.array([500.0, 1100.0]) + np.concatenate([[[0, 0]], np.cumsum(steps, 0)])
    points = {
        Landmark.METACARPAL_BASE: tuple(base),
        Landmark.PROXIMAL_PHALANX_BASE: tuple(mcp),
        Landmark.DISTAL_PHALANX_BASE: tuple(ip),
        Landmark.DISTAL_PHALANX_TIP: tuple(tip),
    }
    by_hand_length_mm = 100.0
    assert whole(placed(points, scale_of())).value == pytest.approx(by_hand_length_mm)


spots = st.tuples(st.floats(0, 2000), st.floats(0, 2000))
rays = st.tuples(*[spots] * len(MARKS))


@settings(deadline=None)
@given(rays, st.floats(0.2, 5.0))
def test_a_film_scanned_finer_or_coarser_gives_the_same_lengths(
    at: tuple[Point, ...], factor: float
) -> None:
    points = dict(zip(MARKS, at, strict=True))
    scaled = {mark: (spot[0] * factor, spot[1] * factor) for mark, spot in points.items()}
    one, other = whole(placed(points, scale_of(0.1))), whole(placed(scaled, scale_of(0.1 / factor)))
    assert other.value == pytest.approx(one.value)


@settings(deadline=None)
@given(rays, st.floats(0.2, 5.0))
def test_a_scale_twice_as_large_makes_lengths_twice_as_long(
    at: tuple[Point, ...], factor: float
) -> None:
    points = dict(zip(MARKS, at, strict=True))
    one, other = whole(placed(points, scale_of(0.1))), whole(placed(points, scale_of(0.1 * factor)))
    assert other.value == pytest.approx(one.value * factor)


@settings(deadline=None)
@given(rays, st.floats(0.01, 20))
def test_left_and_right_are_measured_alike(at: tuple[Point, ...], limit_deg: float) -> None:
    points = dict(zip(MARKS, at, strict=True))
    mirrored = {mark: (1999.0 - spot[0], spot[1]) for mark, spot in points.items()}
    film = scale_of(0.1, centre=(999.5, 999.5), share=0.01)
    one, other = (
        whole(placed(each, film, scatter_mm=0.3), tilt_limit_deg=limit_deg)
        for each in (points, mirrored)
    )
    assert other.value == pytest.approx(one.value)
    assert other.uncertainty == pytest.approx(one.uncertainty)


@settings(deadline=None)
@given(rays)
def test_a_way_over_the_joints_is_never_shorter_than_the_straight_one(
    at: tuple[Point, ...],
) -> None:
    points = dict(zip(MARKS, at, strict=True))
    ends = {mark: points[mark] for mark in (Landmark.METACARPAL_BASE, Landmark.DISTAL_PHALANX_TIP)}
    film = scale_of()
    assert whole(placed(points, film)).value >= whole(placed(ends, film)).value - 1e-6
