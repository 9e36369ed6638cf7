"""How long the thumb should be: the other thumb joint by joint, or recalled proportions."""

import csv
from math import hypot, sqrt
from pathlib import Path

import numpy as np
import pytest
from tests.core.radiograph.by_hand import THUMB_MARKS, in_a_row, note, placed, scale_of

from thumbwright.core.case.hand import OtherThumb
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Provenance, Published
from thumbwright.core.radiograph.landmarks import Landmark
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.core.radiograph.wanted_length import (
    INDEX_METACARPAL,
    JOINT_SPACE,
    THUMB_BONES,
    WantedLength,
    proportion,
    wanted_from_other,
    wanted_from_proportions,
)

TABLE = Path(__file__).parents[2] / "published" / "radiograph" / "thumb_bones_recalled.csv"


def recalled() -> dict[str, tuple[float, float]]:
    lines = (line for line in TABLE.read_text("utf-8").splitlines() if not line.startswith("#"))
    return {
        row["bone"]: (float(row["mean_mm"]), float(row["sd_mm"])) for row in csv.DictReader(lines)
    }


def thumb(*left_out: Landmark, share: float = 0.0, scatter_mm: float = 0.0) -> PlacedPoints:
    marks = [mark for mark in THUMB_MARKS if mark[0] not in left_out]
    return placed(in_a_row(marks), scale_of(share=share), scatter_mm=scatter_mm)


def metacarpals(*bones: str) -> PlacedPoints:
    """Place a thumb metacarpal of 45 mm, an index metacarpal of 66 mm, or both."""
    first = {Landmark.METACARPAL_BASE: (300.0, 1000.0), Landmark.METACARPAL_HEAD: (300.0, 550.0)}
    index = {
        Landmark.INDEX_METACARPAL_BASE: (500.0, 1000.0),
        Landmark.INDEX_METACARPAL_HEAD: (500.0, 340.0),
    }
    points = {"first": first, "index": index}
    chosen = {mark: at for bone in bones for mark, at in points[bone].items()}
    return placed(chosen, scale_of(share=0.005), scatter_mm=0.3)


def length_of(wanted: WantedLength) -> Measured:
    assert isinstance(wanted.length, Measured), str(wanted.length)
    return wanted.length


# --- the other thumb


def test_a_sound_other_thumb_is_the_pattern_from_cmc_joint_to_bony_tip() -> None:
    wanted = wanted_from_other(thumb(), note(), OtherThumb.SOUND)
    by_hand_length_mm, by_hand_heights_mm = 100.0, {"CMC": 100.0, "MCP": 54.0, "IP": 22.0}
    assert length_of(wanted).value == pytest.approx(by_hand_length_mm)
    heights = {
        joint.name.removesuffix(" joint"): joint.from_tip.value
        for joint in wanted.joints
        if isinstance(joint.from_tip, Measured)
    }
    assert heights == pytest.approx(by_hand_heights_mm)
    assert wanted.words == "The other thumb on film a.dcm is the pattern."


def test_a_pattern_that_nobody_examined_is_used_and_that_is_said() -> None:
    words = wanted_from_other(thumb(), note(), OtherThumb.NOT_EXAMINED).words
    assert words.endswith("Whether that thumb is sound was not examined.")


@pytest.mark.parametrize(
    ("left_out", "named"),
    [
        ((Landmark.METACARPAL_BASE,), "CMC joint"),
        ((Landmark.METACARPAL_HEAD, Landmark.PROXIMAL_PHALANX_BASE), "MCP joint"),
        ((Landmark.PROXIMAL_PHALANX_HEAD, Landmark.DISTAL_PHALANX_BASE), "IP joint"),
        ((Landmark.DISTAL_PHALANX_TIP,), "distal phalanx tip"),
        (
            (Landmark.METACARPAL_BASE, Landmark.DISTAL_PHALANX_TIP),
            "CMC joint and distal phalanx tip",
        ),
    ],
)
def test_a_pattern_without_one_of_its_joints_or_its_tip_is_none(
    left_out: tuple[Landmark, ...], named: str
) -> None:
    unknown = wanted_from_other(thumb(*left_out), note(), OtherThumb.SOUND).length
    assert isinstance(unknown, Unknown)
    assert unknown.reason == f"the {named} of the other thumb was not marked on film a.dcm"
    assert unknown.needed == (f"the points of the {named} on film a.dcm",)


def test_a_joint_marked_on_one_side_only_is_enough() -> None:
    wanted = wanted_from_other(thumb(Landmark.METACARPAL_HEAD), note(), OtherThumb.SOUND)
    assert length_of(wanted).value == pytest.approx(100.0)


# --- proportions


def published(name: str) -> Published:
    return INDEX_METACARPAL if name == "index metacarpal" else THUMB_BONES[name]


@pytest.mark.parametrize("bone", recalled())
def test_mean_bones_are_those_of_the_table_and_are_labelled_as_recalled(bone: str) -> None:
    published_mean_mm, published_sd_mm = recalled()[bone]
    assert published(bone).value == published_mean_mm
    assert published(bone).uncertainty == published_sd_mm
    assert published(bone).basis.provenance is Provenance.RECALLED
    assert published(bone).basis.source == "buryanov-kotiuk-2010"


def test_the_joint_space_is_labelled_as_recalled() -> None:
    assert (JOINT_SPACE.value, JOINT_SPACE.basis.provenance) == (1.5, Provenance.RECALLED)


@pytest.mark.parametrize(
    ("bone", "by_hand_factor"),
    [
        # 46.22 + 31.57 + 21.67 + 2 x 1.5 = 102.46
        ("first metacarpal", 102.46 / 46.22),
        ("index metacarpal", 102.46 / 68.12),
    ],
)
def test_a_whole_thumb_is_its_bones_and_two_joint_spaces(bone: str, by_hand_factor: float) -> None:
    assert proportion(bone).value == pytest.approx(by_hand_factor)
    assert proportion(bone).basis.provenance is Provenance.RECALLED


def test_the_spread_of_the_first_metacarpal_is_not_counted_twice_over() -> None:
    """Write the ratio as 1 + rest / metacarpal, whose two parts are independent."""
    rest_mm = 31.57 + 21.67 + 3.0
    rest_doubt_mm = sqrt(3.13**2 + 1.60**2 + 2 * 0.5**2)
    by_hand_doubt = rest_mm / 46.22 * hypot(rest_doubt_mm / rest_mm, 3.94 / 46.22)
    assert proportion("first metacarpal").uncertainty == pytest.approx(by_hand_doubt)


@pytest.mark.parametrize("bone", ["first metacarpal", "index metacarpal"])
def test_a_proportion_doubts_as_drawn_people_do(bone: str) -> None:
    rng, people = np.random.default_rng(2), 200_000
    drawn = {name: rng.normal(mean, sd, people) for name, (mean, sd) in recalled().items()}
    spaces = rng.normal(1.5, 0.5, (2, people)).sum(axis=0)
    whole = sum(drawn[name] for name in THUMB_BONES) + spaces
    independent_doubt = float(np.std(whole / drawn[bone]))
    # To first order: dividing by a bone that spreads by 9 % adds 3 % in the second.
    assert proportion(bone).uncertainty == pytest.approx(independent_doubt, rel=0.05)


def test_without_another_thumb_the_metacarpal_that_is_left_is_scaled_up() -> None:
    wanted = wanted_from_proportions(metacarpals("first", "index"), note())
    by_hand_length_mm = 45.0 * 102.46 / 46.22
    assert length_of(wanted).value == pytest.approx(by_hand_length_mm)
    assert wanted.basis.provenance is Provenance.RECALLED
    assert "the first metacarpal was multiplied by 2.22" in wanted.words
    assert "from memory, unverified" in wanted.words


def test_without_a_whole_first_metacarpal_the_index_metacarpal_is_scaled_up() -> None:
    wanted = wanted_from_proportions(metacarpals("index"), note())
    by_hand_length_mm = 66.0 * 102.46 / 68.12
    assert length_of(wanted).value == pytest.approx(by_hand_length_mm)
    assert "the index metacarpal was multiplied by 1.50" in wanted.words


def test_the_doubt_of_a_proportion_joins_that_of_the_bone() -> None:
    wanted = length_of(wanted_from_proportions(metacarpals("index"), note()))
    factor = proportion("index metacarpal")
    assert factor.uncertainty is not None
    bone_mm = sqrt((0.005 * 66.0) ** 2 + 2 * (0.3**2 + 0.1**2 / 12))
    by_hand_doubt_mm = hypot(factor.value * bone_mm, factor.uncertainty * 66.0)
    assert wanted.uncertainty == pytest.approx(by_hand_doubt_mm, rel=1e-6)
    assert "from memory, unverified" in wanted.budget[0].input.basis


def test_a_pattern_by_proportion_is_far_more_doubtful_than_a_thumb_that_was_measured() -> None:
    by_thumb = length_of(
        wanted_from_other(thumb(share=0.005, scatter_mm=0.3), note(), OtherThumb.SOUND)
    )
    for bone in ("first", "index"):
        by_bone = length_of(wanted_from_proportions(metacarpals(bone), note()))
        assert by_bone.uncertainty > 5 * by_thumb.uncertainty


@pytest.mark.parametrize("points", [None, thumb(Landmark.METACARPAL_HEAD)])
def test_without_thumb_and_metacarpals_no_length_is_wanted(points: PlacedPoints | None) -> None:
    wanted = wanted_from_proportions(points, note() if points else None)
    assert isinstance(wanted.length, Unknown)
    assert wanted.length.needed == (
        "the ends of the thumb's or the index metacarpal on the film of the hand",
    )
    assert wanted.joints == ()
