"""All lengths of one case: which film, what is left, what is wanted, what is missing."""

from dataclasses import replace
from datetime import date
from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.radiograph.by_hand import (
    GREAT_TOE_MARKS,
    SECOND_TOE_MARKS,
    THUMB_MARKS,
    film,
    in_a_row,
    note,
    placed,
    scale_of,
)

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Finding, Side
from thumbwright.core.case.hand import Joint, Kept, OtherThumb
from thumbwright.core.case.injury import Injury, Mechanism
from thumbwright.core.case.patient import Patient, Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Provenance
from thumbwright.core.radiograph.film_reading import FilmReading
from thumbwright.core.radiograph.image import Region, View
from thumbwright.core.radiograph.landmarks import GREAT_TOE, SECOND_TOE, Landmark, Point
from thumbwright.core.radiograph.lengths import Lengths, film_of, measure
from thumbwright.core.radiograph.transposition import ToeCut

GONE = Kept(cmc=Joint(present=Finding.NO))
SLANTED = Unknown(reason="film b.dcm is an oblique view", needed=("a straight film",))


def case(
    *, other: OtherThumb = OtherThumb.SOUND, kept: Kept | None = None, side: Side = Side.RIGHT
) -> Case:
    return Case(
        case_id="1",
        examined_on=date(2026, 11, 1),
        patient=Patient(pseudonym="Ada", birth_date=date(1990, 1, 1), sex=Sex.FEMALE),
        injury=Injury(side=side, mechanism=Mechanism.SHARP),
        kept=kept or Kept(),
        other_thumb=other,
    )


def reading(
    points: dict[Landmark, Point] | Unknown,
    *,
    file: str,
    region: Region = Region.HAND,
    side: Side = Side.RIGHT,
    view: View | None = None,
) -> FilmReading:
    scale = scale_of(0.1, name=file, share=0.002)
    return FilmReading(
        film=film(name=file),
        note=note(file=file, region=region, side=side, view=view),
        scale=scale,
        placed=points if isinstance(points, Unknown) else placed(points, scale, scatter_mm=0.3),
        remarks=(),
    )


STUMP_MARKS = (
    (Landmark.METACARPAL_BASE, 100.0),
    (Landmark.METACARPAL_HEAD, 55.0),
    (Landmark.PROXIMAL_PHALANX_BASE, 53.0),
    (Landmark.STUMP_BONE_END, 40.0),
    (Landmark.STUMP_SKIN_END, 35.0),
)
"""A stump of 60 mm, cut 14 mm beyond its MCP joint; the thumb had 100 mm."""


def stump(*left_out: Landmark) -> FilmReading:
    marks = [mark for mark in STUMP_MARKS if mark[0] not in left_out]
    return reading(in_a_row(marks), file="hand.dcm")


def other_thumb(marks: tuple[tuple[Landmark, float], ...] = THUMB_MARKS) -> FilmReading:
    return reading(in_a_row(marks), file="other.dcm", side=Side.LEFT)


def foot(side: Side = Side.LEFT, *, file: str = "foot.dcm") -> FilmReading:
    both = in_a_row(SECOND_TOE_MARKS) | in_a_row(GREAT_TOE_MARKS, column=100.0)
    return reading(both, file=file, region=Region.FOOT, side=side)


def known(length: Measured | Unknown) -> Measured:
    assert isinstance(length, Measured), str(length)
    return length


def unknown(length: object) -> Unknown:
    assert isinstance(length, Unknown)
    return length


def cuts(lengths: Lengths) -> dict[tuple[Side, str], ToeCut | Unknown]:
    return {(toe.side, toe.ray.name.value): toe.cut for toe in lengths.toes}


# --- the whole way


def test_what_is_missing_is_the_other_thumb_less_the_stump() -> None:
    lengths = measure(case(), (stump(), other_thumb(), foot()))
    by_hand_lengths_mm = (100.0, 60.0, 14.0, 45.0, 40.0)
    found = (
        lengths.wanted.length,
        lengths.stump,
        lengths.stump_beyond_mcp,
        lengths.metacarpal_left,
        lengths.missing,
    )
    assert tuple(known(length).value for length in found) == pytest.approx(by_hand_lengths_mm)


def test_films_of_two_hands_doubt_independently_and_so_does_what_is_missing() -> None:
    lengths = measure(case(), (stump(), other_thumb()))
    placing_mm2 = 2 * (0.3**2 + 0.1**2 / 12)
    by_hand_doubt_mm = sqrt((0.002 * 100) ** 2 + (0.002 * 60) ** 2 + 2 * placing_mm2)
    assert known(lengths.missing).uncertainty == pytest.approx(by_hand_doubt_mm, rel=1e-6)


def test_joints_nearer_the_tip_than_what_is_missing_are_lost() -> None:
    lengths = measure(case(), (stump(), other_thumb()))
    assert [joint.name for joint in lengths.lost_joints] == ["IP joint"]
    longer = [*STUMP_MARKS[:1], (Landmark.STUMP_BONE_END, 70.0)]
    short = reading(in_a_row(longer), file="hand.dcm")
    lengths = measure(case(), (short, other_thumb()))
    assert [joint.name for joint in lengths.lost_joints] == ["MCP joint", "IP joint"]


def test_both_toes_of_both_feet_are_looked_at_and_the_filmed_foot_is_cut() -> None:
    lengths = measure(case(), (stump(), other_thumb(), foot()))
    found = cuts(lengths)
    assert set(found) == {
        (side, ray.name.value) for side in Side for ray in (SECOND_TOE, GREAT_TOE)
    }
    second, great = found[Side.LEFT, "second toe"], found[Side.LEFT, "great toe"]
    assert isinstance(second, ToeCut)
    assert isinstance(great, ToeCut)
    # 40 mm: 10 short of the MTP joint of the second toe, 14 short of that of the great toe.
    assert second.joint == great.joint == "MTP joint"
    by_hand_from_joint_mm = (-10.0, -14.0)
    found_mm = (second.from_joint.value, great.from_joint.value)
    assert found_mm == pytest.approx(by_hand_from_joint_mm)
    right = unknown(found[Side.RIGHT, "second toe"])
    assert right.reason == "there is no film of the right foot"
    assert right.needed == ("a film of the right foot",)


def test_every_ray_that_was_marked_is_listed_with_its_bones() -> None:
    lengths = measure(case(), (stump(), other_thumb(), foot()))
    by_hand_wholes_mm = {
        ("hand.dcm", "thumb"): 60.0,
        ("other.dcm", "thumb"): 100.0,
        ("foot.dcm", "great toe"): 118.0,
        ("foot.dcm", "second toe"): 120.0,
    }
    wholes = {(each.film, each.ray.name.value): known(each.whole).value for each in lengths.rays}
    assert wholes == pytest.approx(by_hand_wholes_mm)
    bones = {each.film: [bone.name for bone in each.bones] for each in lengths.rays[:2]}
    assert bones == {
        "hand.dcm": ["first metacarpal"],
        "other.dcm": ["first metacarpal", "proximal phalanx", "distal phalanx"],
    }


def test_skin_beyond_the_bone_is_measured_where_its_end_was_placed() -> None:
    (ray,) = measure(case(), (stump(),)).rays
    by_hand_skin_mm = 5.0
    assert known(ray.skin_beyond_bone).value == pytest.approx(by_hand_skin_mm)
    (ray,) = measure(case(), (stump(Landmark.STUMP_SKIN_END),)).rays
    assert unknown(ray.skin_beyond_bone).needed == ("the stump skin end on film hand.dcm",)
    (ray,) = measure(case(), (other_thumb(),)).rays
    assert unknown(ray.skin_beyond_bone).needed == ("the skin tip on film other.dcm",)


def test_bone_that_lies_bare_at_its_end_has_no_skin_beyond_it() -> None:
    marks = [*STUMP_MARKS[:-1], (Landmark.STUMP_SKIN_END, 40.0)]
    (ray,) = measure(case(), (reading(in_a_row(marks), file="hand.dcm"),)).rays
    assert known(ray.skin_beyond_bone).value == 0.0


# --- the stump


def test_where_the_basal_joint_is_gone_the_stump_is_nothing_and_certainly_so() -> None:
    bare = reading(Unknown(reason="the points were not placed"), file="hand.dcm")
    lengths = measure(case(kept=GONE), (bare, other_thumb()))
    assert (known(lengths.stump).value, known(lengths.stump).uncertainty) == (0.0, 0.0)
    assert known(lengths.missing).value == pytest.approx(100.0)
    assert known(lengths.metacarpal_left).value == 0.0


def test_a_basal_joint_that_was_marked_is_there_whatever_was_said() -> None:
    lengths = measure(case(kept=GONE), (stump(), other_thumb()))
    assert known(lengths.stump).value == pytest.approx(60.0)


@pytest.mark.parametrize("left_out", [Landmark.METACARPAL_BASE, Landmark.STUMP_BONE_END])
def test_a_stump_without_one_of_its_ends_is_unknown_and_so_is_what_is_missing(
    left_out: Landmark,
) -> None:
    lengths = measure(case(), (stump(left_out), other_thumb(), foot()))
    needed = ("CMC joint and stump bone end on film hand.dcm",)
    assert unknown(lengths.stump).needed == needed
    assert unknown(lengths.missing).needed == needed
    assert unknown(lengths.missing).reason.startswith("the stump is unknown (")
    cut = unknown(cuts(lengths)[Side.LEFT, "second toe"])
    assert cut.reason.startswith("the missing length is unknown (")
    assert cut.needed == needed
    assert lengths.lost_joints == ()


def test_a_stump_that_skips_a_joint_is_unknown() -> None:
    marks = (
        (Landmark.METACARPAL_BASE, 100.0),
        (Landmark.DISTAL_PHALANX_BASE, 21.0),
        (Landmark.STUMP_BONE_END, 12.0),
    )
    lengths = measure(case(), (reading(in_a_row(marks), file="hand.dcm"), other_thumb()))
    assert unknown(lengths.stump).reason == "the MCP joint of the stump was not marked on hand.dcm"
    assert unknown(lengths.stump).needed == ("the points of the MCP joint on film hand.dcm",)


def test_of_a_cut_metacarpal_what_is_left_is_the_stump() -> None:
    marks = ((Landmark.METACARPAL_BASE, 100.0), (Landmark.STUMP_BONE_END, 70.0))
    lengths = measure(case(), (reading(in_a_row(marks), file="hand.dcm"),))
    by_hand_left_mm = 30.0
    assert known(lengths.metacarpal_left).value == pytest.approx(by_hand_left_mm)
    assert isinstance(lengths.stump_beyond_mcp, Unknown)


@pytest.mark.parametrize(
    ("left_out", "kept"),
    [
        ((Landmark.METACARPAL_HEAD,), Kept()),
        (
            (Landmark.METACARPAL_HEAD, Landmark.PROXIMAL_PHALANX_BASE),
            Kept(mcp=Joint(present=Finding.YES)),
        ),
        ((Landmark.METACARPAL_BASE,), Kept()),
    ],
)
def test_a_metacarpal_that_is_whole_but_not_marked_at_both_ends_is_unknown(
    left_out: tuple[Landmark, ...], kept: Kept
) -> None:
    left = unknown(measure(case(kept=kept), (stump(*left_out),)).metacarpal_left)
    assert left.needed == ("metacarpal base and head on film hand.dcm",)


def test_a_stump_that_ends_at_the_metacarpal_head_is_the_metacarpal() -> None:
    marks = [*STUMP_MARKS[:2], (Landmark.STUMP_BONE_END, 55.0)]
    lengths = measure(case(), (reading(in_a_row(marks), file="hand.dcm"), other_thumb()))
    assert known(lengths.stump).value == pytest.approx(45.0)
    assert known(lengths.metacarpal_left).value == pytest.approx(45.0)
    assert isinstance(lengths.stump_beyond_mcp, Unknown)


# --- the pattern


@pytest.mark.parametrize("state", [OtherThumb.LOST, OtherThumb.DAMAGED])
def test_a_thumb_that_is_lost_or_damaged_is_no_pattern_even_if_it_was_filmed(
    state: OtherThumb,
) -> None:
    lengths = measure(case(other=state), (stump(), other_thumb()))
    by_hand_wanted_mm = 45.0 * 102.46 / 46.22
    assert known(lengths.wanted.length).value == pytest.approx(by_hand_wanted_mm)
    assert lengths.wanted.basis.provenance is Provenance.RECALLED
    sound = measure(case(), (stump(), other_thumb()))
    assert known(lengths.missing).uncertainty > 5 * known(sound.missing).uncertainty
    assert lengths.lost_joints == ()


def test_the_metacarpal_that_is_scaled_up_and_the_stump_share_their_film() -> None:
    """Count the scale of the one film once: it acts on (factor x 45 - 60) mm."""
    lengths = measure(case(other=OtherThumb.LOST), (stump(),))
    scale = [term for term in known(lengths.missing).budget if term.input.key == "scale hand.dcm"]
    by_hand_effect_mm = 0.002 * (102.46 / 46.22 * 45.0 - 60.0)
    assert [term.effect for term in scale] == pytest.approx([by_hand_effect_mm])


def test_a_pattern_that_nobody_examined_is_used() -> None:
    lengths = measure(case(other=OtherThumb.NOT_EXAMINED), (stump(), other_thumb()))
    assert known(lengths.missing).value == pytest.approx(40.0)
    assert "was not examined" in lengths.wanted.words


def test_without_any_film_everything_is_unknown_and_asks_for_films() -> None:
    lengths = measure(case(), ())
    assert lengths.rays == ()
    assert unknown(lengths.stump).needed == ("a film of the right hand",)
    assert unknown(lengths.wanted.length).needed == ("a film of the left hand",)
    assert unknown(lengths.missing).needed == ("a film of the left hand",)
    assert {unknown(cut).needed for cut in cuts(lengths).values()} == {("a film of the left hand",)}
    lost = measure(case(other=OtherThumb.LOST), ())
    assert "metacarpal" in unknown(lost.wanted.length).needed[0]


# --- which film


def test_of_several_films_the_first_that_can_be_measured_is_taken_and_that_is_said() -> None:
    slanted = reading(SLANTED, file="b.dcm", view=View.OBLIQUE)
    second = replace(stump(), note=replace(stump().note, file="second.dcm"))
    chosen, remark = film_of((slanted, stump(), second), Region.HAND, Side.RIGHT)
    assert isinstance(chosen, FilmReading)
    assert chosen.note.file == "hand.dcm"
    assert remark == ("Measured on hand.dcm; second.dcm shows the same part and was not used.")


def test_one_film_that_can_be_measured_needs_no_word() -> None:
    chosen, remark = film_of((reading(SLANTED, file="b.dcm"), stump()), Region.HAND, Side.RIGHT)
    assert isinstance(chosen, FilmReading)
    assert (chosen.note.file, remark) == ("hand.dcm", "")


def test_if_none_can_be_measured_the_first_says_why() -> None:
    slanted = reading(SLANTED, file="b.dcm", view=View.OBLIQUE)
    lengths = measure(case(), (slanted, other_thumb()))
    assert unknown(lengths.stump) == SLANTED
    assert unknown(lengths.missing).needed == SLANTED.needed


@pytest.mark.parametrize(("region", "side"), [(Region.FOOT, Side.RIGHT), (Region.HAND, Side.LEFT)])
def test_a_film_of_another_part_or_side_is_never_taken(region: Region, side: Side) -> None:
    none, remark = film_of((stump(),), region, side)
    assert unknown(none).needed == (f"a film of the {side.value} {region.value}",)
    assert remark == ""


def test_two_hands_in_different_views_are_remarked_on() -> None:
    other = other_thumb()
    turned = replace(other, note=replace(other.note, view=View.ANTEROPOSTERIOR))
    (remark,) = measure(case(), (stump(), turned)).remarks
    assert remark.startswith("The two hands were filmed in different views (posteroanterior and")
    assert measure(case(), (stump(), other)).remarks == ()


# --- what must always hold


def swapped(one: FilmReading) -> FilmReading:
    """Return the mirrored film of the other side."""
    assert not isinstance(one.placed, Unknown)
    points = {mark: (999.0 - at[0], at[1]) for mark, at in one.placed.points.items()}
    return replace(
        one,
        note=replace(one.note, side=one.note.side.other),
        placed=replace(one.placed, points=points),
    )


def test_a_left_thumb_is_planned_as_a_right_one() -> None:
    films = (stump(), other_thumb(), foot())
    right, left = (
        measure(case(side=side), one)
        for side, one in ((Side.RIGHT, films), (Side.LEFT, tuple(map(swapped, films))))
    )
    assert known(left.missing).value == pytest.approx(known(right.missing).value)
    assert known(left.missing).uncertainty == pytest.approx(known(right.missing).uncertainty)
    one, other = (
        cuts(right)[Side.LEFT, "second toe"],
        cuts(left)[Side.RIGHT, "second toe"],
    )
    assert isinstance(one, ToeCut)
    assert isinstance(other, ToeCut)
    assert other.from_joint.value == pytest.approx(one.from_joint.value)


def test_the_order_in_which_films_are_listed_changes_no_length() -> None:
    there = measure(case(), (stump(), other_thumb(), foot()))
    back = measure(case(), (foot(), other_thumb(), stump()))
    assert there.missing == back.missing
    assert there.toes == back.toes


@settings(deadline=None, max_examples=40)
@given(st.floats(4.5, 50), st.floats(0.1, 2))
def test_the_shorter_the_stump_the_more_is_missing_millimetre_by_millimetre(
    beyond_mm: float, shorter_mm: float
) -> None:
    missing = []
    for length in (beyond_mm, beyond_mm + shorter_mm):
        marks = ((Landmark.METACARPAL_BASE, 100.0), (Landmark.STUMP_BONE_END, 90.0 - length))
        one = reading(in_a_row(marks), file="hand.dcm")
        missing.append(known(measure(case(), (one, other_thumb())).missing))
    assert missing[0].value - missing[1].value == pytest.approx(shorter_mm)
    assert missing[0].value == pytest.approx(90.0 - beyond_mm)
