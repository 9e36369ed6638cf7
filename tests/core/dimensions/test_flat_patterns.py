"""Patterns against exact areas, a surface integrated in space, and hand-drawn corners."""

import csv
from collections.abc import Sequence
from itertools import pairwise
from math import cos, hypot, pi, radians, sin
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thumbwright.core.dimensions.flat_patterns import (
    FlatPattern,
    area_mm2,
    cone,
    cone_area_mm2,
    cylinder,
    enlarged,
    mirrored,
    side_factor,
    slant_mm,
    triangle,
    wrap_around,
    z_gain_share,
    z_plasty,
)
from thumbwright.core.dimensions.web_release import PLASTIES
from thumbwright.core.foundations.errors import UnitError

PUBLISHED = Path(__file__).parents[2] / "published" / "dimensions"
GIRTHS = st.floats(30, 120)
LENGTHS = st.floats(20, 120)


def rows(name: str) -> list[dict[str, str]]:
    lines = (PUBLISHED / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def surface_in_space_mm2(base_mm: float, tip_mm: float, length_mm: float) -> float:
    """Add up small flat triangles on the cone as it stands in space."""
    turns = np.linspace(0, 2 * pi, 721)
    heights = np.linspace(0, length_mm, 121)
    radius = (base_mm + (tip_mm - base_mm) * heights / length_mm) / (2 * pi)
    points = np.stack(
        [
            radius[:, None] * np.cos(turns),
            radius[:, None] * np.sin(turns),
            np.repeat(heights[:, None], turns.size, axis=1),
        ],
        axis=-1,
    )
    along, around = np.diff(points, axis=0), np.diff(points, axis=1)
    lower = np.cross(along[:, :-1], around[:-1])
    upper = np.cross(along[:, 1:], around[1:])
    return float((np.linalg.norm(lower, axis=-1).sum() + np.linalg.norm(upper, axis=-1).sum()) / 2)


@pytest.mark.parametrize(("base", "tip", "length"), [(66, 62, 45), (97, 60, 80), (50, 50, 30)])
def test_the_skin_of_a_cone_is_that_of_the_surface_in_space(
    base: float, tip: float, length: float
) -> None:
    independent_mm2 = surface_in_space_mm2(base, tip, length)
    assert cone_area_mm2(base, tip, length) == pytest.approx(independent_mm2, rel=1e-4)


@given(base=GIRTHS, share=st.floats(0.4, 1.0), length=LENGTHS)
def test_an_unrolled_cone_covers_the_cone(base: float, share: float, length: float) -> None:
    pattern = cone("tube", base_girth_mm=base, tip_girth_mm=base * share, length_mm=length)
    assert area_mm2(pattern.outline) == pytest.approx(
        cone_area_mm2(base, base * share, length), rel=1e-3
    )


def edge_mm(corners: Sequence[tuple[float, float]]) -> float:
    return sum(hypot(u - x, v - y) for (x, y), (u, v) in pairwise(corners))


def test_the_edges_of_an_unrolled_cone_are_as_long_as_its_girths() -> None:
    pattern = cone("tube", base_girth_mm=90, tip_girth_mm=60, length_mm=50)
    lower = [corner for corner in pattern.outline if corner[1] < 25]
    upper = [corner for corner in pattern.outline if corner[1] >= 25]
    assert edge_mm(lower) == pytest.approx(90, abs=0.05)
    assert edge_mm(upper) == pytest.approx(60, abs=0.05)
    assert hypot(lower[-1][0] - upper[0][0], lower[-1][1] - upper[0][1]) == pytest.approx(
        slant_mm(90, 60, 50)
    )


def test_a_tube_is_a_rectangle_with_its_seam_beside_it() -> None:
    pattern = cylinder("tube", girth_mm=65, length_mm=55, seam_mm=3)
    by_hand_mm2 = 68 * 55
    assert area_mm2(pattern.outline) == by_hand_mm2
    assert (pattern.width_mm, pattern.height_mm) == (68, 55)
    assert [line.words for line in pattern.lines] == ["seam"]


def test_the_seam_of_a_cone_adds_a_strip_as_long_as_its_slant() -> None:
    bare = cone("tube", base_girth_mm=90, tip_girth_mm=60, length_mm=50)
    sewn = cone("tube", base_girth_mm=90, tip_girth_mm=60, length_mm=50, seam_mm=4)
    by_hand_mm2 = 4 * slant_mm(90, 60, 50)
    assert area_mm2(sewn.outline) - area_mm2(bare.outline) == pytest.approx(by_hand_mm2)


def test_a_wrap_around_flap_is_a_row_of_trapezes() -> None:
    pattern = wrap_around("flap", [(0, 70), (20, 66), (40, 62)])
    by_hand_mm2 = 20 * (70 + 66) / 2 + 20 * (66 + 62) / 2
    assert area_mm2(pattern.outline) == pytest.approx(by_hand_mm2)


def test_a_triangle_is_half_of_base_times_height() -> None:
    assert area_mm2(triangle("back", base_mm=22.5, height_mm=40).outline) == 450


@given(area=st.floats(100, 9000), lost=st.floats(0, 0.7))
def test_skin_that_was_cut_larger_draws_together_to_the_wanted_area(
    area: float, lost: float
) -> None:
    cut_mm2 = area * side_factor(lost) ** 2
    assert cut_mm2 * (1 - lost) == pytest.approx(area)


def all_kinds() -> list[FlatPattern]:
    return [
        cylinder("tube", girth_mm=65, length_mm=55, seam_mm=3),
        cone("cone", base_girth_mm=90, tip_girth_mm=60, length_mm=50, seam_mm=3),
        wrap_around("flap", [(0, 70), (20, 66), (40, 62)]),
        triangle("back", base_mm=22.5, height_mm=40),
        z_plasty("web", limb_mm=20, angle_deg=60),
    ]


@pytest.mark.parametrize("pattern", all_kinds(), ids=lambda pattern: pattern.name)
def test_a_pattern_for_the_right_is_the_left_one_turned_over(pattern: FlatPattern) -> None:
    turned = mirrored(pattern)
    assert area_mm2(turned.outline) == pytest.approx(area_mm2(pattern.outline))
    assert set(turned.outline) == {(-x, y) for x, y in pattern.outline}
    assert turned.is_mirrored
    assert mirrored(turned) == pattern


@pytest.mark.parametrize("pattern", all_kinds(), ids=lambda pattern: pattern.name)
def test_an_enlarged_pattern_has_every_side_enlarged(pattern: FlatPattern) -> None:
    assert enlarged(pattern, 1.1).width_mm == pytest.approx(1.1 * pattern.width_mm)
    assert area_mm2(enlarged(pattern, 1.1).outline) == pytest.approx(
        1.21 * area_mm2(pattern.outline)
    )


@pytest.mark.parametrize("angle", [30, 45, 60, 75])
def test_a_z_gains_what_its_exchanged_corners_lie_apart(angle: float) -> None:
    """The tips of the flaps, which become the ends of the new middle limb, drawn by hand."""
    tip = (cos(radians(angle)), sin(radians(angle)))
    other = (1 - cos(radians(angle)), -sin(radians(angle)))
    by_hand_share = hypot(tip[0] - other[0], tip[1] - other[1]) - 1
    assert z_gain_share(angle) == pytest.approx(by_hand_share)


def test_the_corners_of_a_drawn_z_lie_as_far_apart_as_it_gains() -> None:
    pattern = z_plasty("web", limb_mm=20, angle_deg=60)
    assert pattern.width_mm == pytest.approx(20 * 3**0.5)
    assert 1 + z_gain_share(60) == pytest.approx(3**0.5)


@pytest.mark.parametrize("row", rows("z_plasty_gains.csv"), ids=lambda row: row["name"])
def test_the_gains_of_a_z_are_those_of_print(row: dict[str, str]) -> None:
    published_share = float(row["gain_percent"]) / 100
    plasty = next(one for one in PLASTIES if one.name == row["name"])
    assert plasty.gain.value == published_share
    assert plasty.gain.basis.source == row["source"]
    if plasty.flaps == 2:
        assert z_gain_share(plasty.angle_deg) == pytest.approx(published_share, abs=0.035)


@pytest.mark.parametrize("girths", [(50, 60), (0, 0), (-3, -4)])
def test_a_cone_that_cannot_be_is_refused(girths: tuple[float, float]) -> None:
    with pytest.raises(UnitError, match="base not smaller than the tip"):
        cone("tube", base_girth_mm=girths[0], tip_girth_mm=girths[1], length_mm=40)
