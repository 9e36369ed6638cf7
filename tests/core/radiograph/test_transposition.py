"""From the missing length to the cut on the toe: which bone, from which joint, with what doubt."""

from math import hypot, sqrt

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.core.radiograph.by_hand import (
    GREAT_TOE_MARKS,
    SECOND_TOE_MARKS,
    in_a_row,
    note,
    placed,
    scale_of,
)

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term
from thumbwright.core.foundations.sources import Provenance
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import (
    GREAT_TOE,
    SECOND_TOE,
    FilmNote,
    Landmark,
    Point,
    Ray,
)
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.core.radiograph.transposition import (
    AT_JOINT_MM,
    MATCH_MM,
    JointHeight,
    Place,
    ToeCut,
    joint_heights,
    transpose,
)

SECOND_LADDER_MM = {
    "tarsometatarsal joint": 120.0,
    "MTP joint": 50.0,
    "PIP joint": 23.0,
    "DIP joint": 10.0,
}
"""How far each joint of the second toe made by hand lies from its tip."""
GREAT_LADDER_MM = {"tarsometatarsal joint": 118.0, "MTP joint": 54.0, "IP joint": 22.0}
TIP_ROW, COLUMN = 100.0, 300.0


def mm(value: float, doubt_mm: float = 0.0, key: str = "missing") -> Measured:
    doubt = Input(key=key, name=key, standard_uncertainty=doubt_mm, unit="mm")
    return Measured(value=value, unit="mm", origin=key, terms=(Term(input=doubt, sensitivity=1.0),))


def toe(
    *left_out: Landmark, ray: Ray = SECOND_TOE, row_mm: float = 0.1, scatter_mm: float = 0.0
) -> PlacedPoints:
    marks = SECOND_TOE_MARKS if ray is SECOND_TOE else GREAT_TOE_MARKS
    points = in_a_row([mark for mark in marks if mark[0] not in left_out], mm_per_px=row_mm)
    return placed(points, scale_of(0.1, row_mm, name="foot.dcm"), scatter_mm=scatter_mm)


FOOT = note(file="foot.dcm", region=Region.FOOT, side=Side.LEFT)


def cut_of(
    wanted: Measured,
    points: PlacedPoints | None = None,
    *,
    ray: Ray = SECOND_TOE,
    lost: tuple[JointHeight, ...] = (),
    film_note: FilmNote = FOOT,
) -> ToeCut:
    cut = transpose(points or toe(ray=ray), film_note, ray, wanted, lost)
    assert isinstance(cut, ToeCut), str(cut)
    return cut


def no_cut(wanted: Measured, points: PlacedPoints) -> Unknown:
    unknown = transpose(points, FOOT, SECOND_TOE, wanted, ())
    assert isinstance(unknown, Unknown)
    return unknown


# --- the ladder of joints


@pytest.mark.parametrize(
    ("ray", "by_hand_ladder_mm"), [(SECOND_TOE, SECOND_LADDER_MM), (GREAT_TOE, GREAT_LADDER_MM)]
)
def test_the_joints_of_a_toe_are_as_far_from_its_tip_as_they_were_drawn(
    ray: Ray, by_hand_ladder_mm: dict[str, float]
) -> None:
    heights = joint_heights(toe(ray=ray), FOOT, ray)
    assert [height.name for height in heights] == list(by_hand_ladder_mm)
    for height in heights:
        assert isinstance(height.from_tip, Measured)
        assert height.from_tip.value == pytest.approx(by_hand_ladder_mm[height.name])


def test_without_its_tip_no_joint_of_a_toe_has_a_height() -> None:
    heights = joint_heights(toe(Landmark.SECOND_DISTAL_TIP), FOOT, SECOND_TOE)
    assert [height.name for height in heights] == list(SECOND_TOE.joints)
    for height in heights:
        assert isinstance(height.from_tip, Unknown)
        assert height.from_tip.needed == ("the second distal tip on film foot.dcm",)


# --- where the cut falls


@pytest.mark.parametrize(
    ("wanted_mm", "bone", "joint", "by_hand_from_joint_mm", "place", "takes"),
    [
        (5.0, "distal phalanx", "DIP joint", -5.0, Place.SHAFT, ()),
        (9.0, "distal phalanx", "DIP joint", -1.0, Place.JOINT, ()),
        (16.0, "middle phalanx", "DIP joint", 6.0, Place.SHAFT, ("DIP joint",)),
        (25.9, "proximal phalanx", "PIP joint", 2.9, Place.JOINT, ("DIP joint",)),
        (26.1, "proximal phalanx", "PIP joint", 3.1, Place.SHAFT, ("PIP joint", "DIP joint")),
        (40.0, "proximal phalanx", "MTP joint", -10.0, Place.SHAFT, ("PIP joint", "DIP joint")),
        (50.0, "proximal phalanx", "MTP joint", 0.0, Place.JOINT, ("PIP joint", "DIP joint")),
        (
            60.0,
            "second metatarsal",
            "MTP joint",
            10.0,
            Place.SHAFT,
            ("MTP joint", "PIP joint", "DIP joint"),
        ),
        (
            110.0,
            "second metatarsal",
            "tarsometatarsal joint",
            -10.0,
            Place.SHAFT,
            ("MTP joint", "PIP joint", "DIP joint"),
        ),
    ],
)
def test_the_cut_is_named_from_the_nearest_joint_line(
    wanted_mm: float,
    bone: str,
    joint: str,
    by_hand_from_joint_mm: float,
    place: Place,
    takes: tuple[str, ...],
) -> None:
    cut = cut_of(mm(wanted_mm))
    assert (cut.bone, cut.joint, cut.place, cut.takes_joints) == (bone, joint, place, takes)
    assert cut.from_joint.value == pytest.approx(by_hand_from_joint_mm, abs=1e-9)
    assert (cut.side, cut.film) == (Side.LEFT, "foot.dcm")


@pytest.mark.parametrize("wanted_mm", [5.0, 16.0, 40.0, 60.0, 119.9])
@pytest.mark.parametrize("row_mm", [0.1, 0.2])
def test_the_cut_lies_on_the_axis_so_far_from_the_tip(wanted_mm: float, row_mm: float) -> None:
    cut = cut_of(mm(wanted_mm), toe(row_mm=row_mm))
    by_hand_pixel = (COLUMN, TIP_ROW + wanted_mm / row_mm)
    assert cut.at == pytest.approx(by_hand_pixel)
    assert cut.along == pytest.approx((0.0, -1.0), abs=1e-12)


def test_a_cut_on_a_bent_toe_follows_the_bend() -> None:
    """Lay the proximal phalanx along the columns and the metatarsal along the rows."""
    points: dict[Landmark, Point] = {
        Landmark.SECOND_DISTAL_TIP: (1000.0, 500.0),
        Landmark.SECOND_PROXIMAL_BASE: (600.0, 500.0),
        Landmark.SECOND_MIDDLE_BASE: (800.0, 500.0),
        Landmark.SECOND_DISTAL_BASE: (900.0, 500.0),
        Landmark.SECOND_METATARSAL_BASE: (600.0, 1200.0),
    }
    cut = cut_of(mm(55.0), placed(points, scale_of(0.1, name="foot.dcm")))
    by_hand_pixel = (600.0, 650.0)
    assert cut.at == pytest.approx(by_hand_pixel)
    assert cut.along == pytest.approx((0.0, -1.0))


def test_tilt_that_lengthens_the_toe_does_not_move_the_share_of_the_cut() -> None:
    """Want half of a toe that is corrected for tilt: the cut stays at half of its picture."""
    tilted = note(file="foot.dcm", region=Region.FOOT, tilt_limit_deg=20.0)
    points: dict[Landmark, Point] = {
        Landmark.GREAT_DISTAL_TIP: (500.0, 100.0),
        Landmark.GREAT_DISTAL_BASE: (500.0, 500.0),
    }
    whole = placed(points, scale_of(0.1, name="foot.dcm"))
    height = joint_heights(whole, tilted, GREAT_TOE)[0].from_tip
    assert isinstance(height, Measured)
    assert height.value > 40.5
    cut = cut_of(mm(height.value / 2), whole, ray=GREAT_TOE, film_note=tilted)
    by_hand_pixel = (500.0, 300.0)
    assert cut.at == pytest.approx(by_hand_pixel)


def test_the_doubt_of_the_cut_holds_that_of_the_wanted_length_and_of_the_toe() -> None:
    cut = cut_of(mm(40.0, 0.8), toe(scatter_mm=0.3))
    placing_mm2 = 0.3**2 + 0.1**2 / 12
    by_hand_doubt_mm = sqrt(0.8**2 + placing_mm2 * (1 + 1 / 2))
    assert cut.from_joint.uncertainty == pytest.approx(by_hand_doubt_mm, rel=1e-6)


# --- no cut


def test_where_no_bone_is_missing_none_is_cut() -> None:
    for nothing in (0.0, -2.0):
        assert no_cut(mm(nothing), toe()).reason == "no bone is missing"


def test_a_toe_that_is_marked_too_short_gives_no_cut() -> None:
    unknown = no_cut(mm(130.0), toe())
    assert unknown.reason == (
        "the second toe is marked over 120.0 mm from its tip, and 130.0 mm are wanted"
    )
    assert unknown.needed
    short = toe(Landmark.SECOND_METATARSAL_BASE)
    assert "marked over 50.0 mm" in no_cut(mm(51.0), short).reason


def test_a_toe_that_was_not_marked_gives_no_cut() -> None:
    unknown = no_cut(mm(30.0), toe(ray=GREAT_TOE))
    assert unknown.reason == "the second toe was not marked on film foot.dcm"
    assert unknown.needed == ("the points of the second toe on film foot.dcm",)


WITHOUT_MTP = (Landmark.SECOND_METATARSAL_HEAD, Landmark.SECOND_PROXIMAL_BASE)
WITHOUT_DIP = (Landmark.SECOND_MIDDLE_HEAD, Landmark.SECOND_DISTAL_BASE)


def test_a_cut_beside_a_joint_that_was_not_marked_falls_in_no_known_bone() -> None:
    unknown = no_cut(mm(40.0), toe(*WITHOUT_MTP))
    assert "beside the MTP joint" in unknown.reason
    assert unknown.needed == ("the points of the MTP joint on film foot.dcm",)
    assert "beside the DIP joint" in no_cut(mm(8.0), toe(*WITHOUT_DIP)).reason


def test_a_joint_that_was_not_marked_beyond_the_cut_goes_with_the_toe() -> None:
    cut = cut_of(mm(40.0), toe(*WITHOUT_DIP))
    assert (cut.bone, cut.takes_joints) == ("proximal phalanx", ("PIP joint", "DIP joint"))
    away = cut_of(mm(16.0), toe(*WITHOUT_MTP))
    assert (away.bone, away.takes_joints) == ("middle phalanx", ("DIP joint",))


# --- which joint comes to stand for which


def lost(*joints: tuple[str, float]) -> tuple[JointHeight, ...]:
    return tuple(JointHeight(name=name, from_tip=mm(at, key=name)) for name, at in joints)


def pairs_of(cut: ToeCut) -> dict[str, tuple[str, float]]:
    return {
        match.thumb_joint: (match.toe_joint, round(match.offset.value, 6)) for match in cut.matches
    }


def test_each_lost_joint_is_paired_with_the_nearest_joint_that_is_taken() -> None:
    cut = cut_of(mm(60.0), lost=lost(("MCP joint", 54.0), ("IP joint", 22.0)))
    by_hand_pairs = {"MCP joint": ("MTP joint", -4.0), "IP joint": ("PIP joint", 1.0)}
    assert pairs_of(cut) == by_hand_pairs
    assert [match.thumb_joint for match in cut.matches] == ["MCP joint", "IP joint"]


def test_a_joint_that_stays_on_the_foot_stands_for_none() -> None:
    cut = cut_of(mm(45.0), lost=lost(("MCP joint", 44.0)))
    assert cut.takes_joints == ("PIP joint", "DIP joint")
    assert cut.matches == ()


@pytest.mark.parametrize(("at_mm", "is_paired"), [(50.0 + MATCH_MM, True), (65.2, False)])
def test_a_joint_too_far_away_stands_for_none(at_mm: float, *, is_paired: bool) -> None:
    cut = cut_of(mm(80.0), lost=lost(("MCP joint", at_mm)))
    assert bool(cut.matches) is is_paired


def test_one_joint_of_the_toe_stands_for_one_joint_of_the_thumb() -> None:
    """Lose joints at 19 and 30 mm where DIP (10) and PIP (23) are taken: the nearer has it."""
    cut = cut_of(mm(32.0), lost=lost(("MCP joint", 30.0), ("IP joint", 19.0)))
    by_hand_pairs = {"IP joint": ("PIP joint", 4.0)}
    assert pairs_of(cut) == by_hand_pairs
    further = cut_of(mm(60.0), lost=lost(("MCP joint", 36.0), ("IP joint", 24.0)))
    by_hand_further = {"MCP joint": ("MTP joint", 14.0), "IP joint": ("PIP joint", -1.0)}
    assert pairs_of(further) == by_hand_further


def test_a_lost_joint_of_unknown_height_is_not_paired() -> None:
    unknown = JointHeight(name="MCP joint", from_tip=Unknown(reason="not filmed"))
    assert cut_of(mm(60.0), lost=(unknown,)).matches == ()


# --- what has to be said


@pytest.mark.parametrize("ray", [SECOND_TOE, GREAT_TOE])
def test_a_cut_short_of_the_joint_at_the_foot_needs_no_word(ray: Ray) -> None:
    ladder = SECOND_LADDER_MM if ray is SECOND_TOE else GREAT_LADDER_MM
    assert cut_of(mm(ladder["MTP joint"] - AT_JOINT_MM - 0.1), ray=ray).remarks == ()


@pytest.mark.parametrize("off_mm", [-2.9, 0.0, 2.9])
def test_a_cut_at_the_joint_of_the_foot_says_how_that_joint_moves(off_mm: float) -> None:
    (remark,) = cut_of(mm(50.0 + off_mm)).remarks
    assert "extends more than it bends" in remark.text
    assert remark.basis.provenance is Provenance.COMMON_PRACTICE


def test_a_cut_in_the_second_metatarsal_names_the_study_of_the_second_metatarsal() -> None:
    remark = cut_of(mm(50.0 + AT_JOINT_MM + 0.1)).remarks[-1]
    assert "second metatarsal" in remark.text
    assert (remark.basis.provenance, remark.basis.source) == (
        Provenance.READ,
        "plantar-pressure-2016",
    )


def test_a_cut_in_the_first_metatarsal_does_not_borrow_the_study_of_the_second() -> None:
    remark = cut_of(mm(70.0), ray=GREAT_TOE).remarks[-1]
    assert "first metatarsal" in remark.text
    assert (remark.basis.provenance, remark.basis.source) == (Provenance.COMMON_PRACTICE, "")


# --- what must always hold


@settings(deadline=None)
@given(st.floats(0.1, 119), st.floats(0.0, 119))
def test_the_more_is_missing_the_nearer_the_body_the_toe_is_cut(
    wanted_mm: float, more_mm: float
) -> None:
    less, more = cut_of(mm(wanted_mm)), cut_of(mm(min(120.0, wanted_mm + more_mm)))
    assert more.at[1] >= less.at[1] - 1e-6
    assert set(less.takes_joints) <= set(more.takes_joints)
    assert SECOND_TOE.joints.index(more.joint) <= SECOND_TOE.joints.index(less.joint)


places = st.lists(st.tuples(st.floats(0, 2000), st.floats(0, 2000)), min_size=8, max_size=8)


@settings(deadline=None)
@given(places, st.floats(0.001, 0.999))
def test_cut_from_its_joint_and_joint_from_the_tip_add_to_what_is_wanted(
    spots: list[Point], share: float
) -> None:
    points = dict(zip((mark for mark, _ in SECOND_TOE_MARKS), spots, strict=True))
    foot = placed(points, scale_of(0.1, name="foot.dcm"))
    heights = {each.name: each.from_tip for each in joint_heights(foot, FOOT, SECOND_TOE)}
    whole = heights["tarsometatarsal joint"]
    assert isinstance(whole, Measured)
    assume(whole.value > 1.0)
    wanted = mm(whole.value * share)
    cut = cut_of(wanted, foot)
    reach = heights[cut.joint]
    assert isinstance(reach, Measured)
    assert cut.from_joint.value + reach.value == pytest.approx(wanted.value)
    assert hypot(*cut.along) == pytest.approx(1.0)


@settings(deadline=None)
@given(places, st.floats(0.05, 0.95))
def test_the_mirrored_foot_is_cut_at_the_mirrored_place(spots: list[Point], share: float) -> None:
    points = dict(zip((mark for mark, _ in SECOND_TOE_MARKS), spots, strict=True))
    mirrored = {mark: (1999.0 - at[0], at[1]) for mark, at in points.items()}
    film = scale_of(0.1, name="foot.dcm", centre=(999.5, 999.5))
    height = joint_heights(placed(points, film), FOOT, SECOND_TOE)[0].from_tip
    assert isinstance(height, Measured)
    assume(height.value > 1.0)
    wanted = mm(height.value * share)
    one, other = (cut_of(wanted, placed(each, film)) for each in (points, mirrored))
    assert other.at == pytest.approx((1999.0 - one.at[0], one.at[1]), abs=1e-5)
    assert other.bone == one.bone
    assert np.allclose(other.along, (-one.along[0], one.along[1]))
