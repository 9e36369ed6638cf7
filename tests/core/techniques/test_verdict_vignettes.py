"""Short cases and what a hand surgeon would say of one technique in each.

Every row names where its expectation comes from; "common practice" means common practice, no
source. All people are invented.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import pytest

from tests.core.techniques.worked_situations import (
    ACUTE,
    ACUTE_DAYS,
    BY_KEY,
    UNKNOWN_LEVEL,
    measured_mm,
    situation,
    unexamined,
)
from thumbwright.core.case.examined import NOT_EXAMINED, Finding, Pulse, Quality
from thumbwright.core.case.feet import ToeState
from thumbwright.core.case.goals import Refusal
from thumbwright.core.case.hand import FingerState, Nail, StumpSkin, VesselImaging
from thumbwright.core.case.injury import Mechanism
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.eligibility import Verdict, eligible

OPEN, CLOSED, UNKNOWN = Verdict.OPEN, Verdict.CLOSED, Verdict.UNKNOWN
COMMON = "common practice"


@dataclass(frozen=True, kw_only=True)
class Vignette:
    """One case, one technique, one expected verdict."""

    title: str
    level: int
    age: int
    technique: str
    verdict: Verdict
    source: str = COMMON
    changes: Mapping[str, object] = field(default_factory=dict)
    situation_changes: Mapping[str, object] = field(default_factory=dict)
    advised_against: bool = False


VIGNETTES = (
    Vignette(title="tip of the thumb, acute, part cooled", level=1, age=34, technique="replantation", verdict=OPEN, source="thumb-treatment-overview", changes=ACUTE, situation_changes=ACUTE_DAYS),
    Vignette(title="tip, pulp defect of 14 mm", level=1, age=34, technique="palmar_advancement_flap", verdict=OPEN, source="wheeless-palmar-advancement"),
    Vignette(title="tip, pulp defect of 25 mm", level=1, age=34, technique="palmar_advancement_flap", verdict=CLOSED, source="wheeless-palmar-advancement", changes={"kept.pulp_defect_mm": 25.0}),
    Vignette(title="tip, four fifths of the pulp lost", level=1, age=60, technique="innervated_cross_finger_flap", verdict=OPEN, source="wheeless-thumb-defects"),
    Vignette(title="tip, nail lost, appearance matters", level=1, age=22, technique="partial_great_toe", verdict=OPEN, source="muzaffar-2005"),
    Vignette(title="tip, nail kept", level=1, age=22, technique="partial_great_toe", verdict=CLOSED, changes={"kept.nail": Nail.KEPT}),
    Vignette(title="tip, whole toe for length", level=1, age=22, technique="second_toe", verdict=CLOSED, source="thumb-rehabilitation-chapter"),
    Vignette(title="tip, healed long ago and sound", level=1, age=40, technique="skin_graft", verdict=CLOSED, changes={"kept.pulp_defect_mm": 0.0, "kept.pulp_lost_share": 0.0}),
    Vignette(title="child's tip, small defect", level=1, age=4, technique="second_intention", verdict=OPEN, changes={"kept.pulp_defect_mm": 7.0}),
    Vignette(title="proximal phalanx, adult, looks matter", level=2, age=28, technique="great_toe_wrap_around", verdict=OPEN, source="de-vos-2017"),
    Vignette(title="proximal phalanx, child of 6", level=2, age=6, technique="great_toe_wrap_around", verdict=OPEN, source="microsurgery-handbook-wrap-around", advised_against=True),
    Vignette(title="proximal phalanx, supple web", level=2, age=50, technique="first_web_deepening", verdict=OPEN, source="first-web-contracture"),
    Vignette(title="proximal phalanx, weak thenar muscles", level=2, age=28, technique="great_toe_wrap_around", verdict=OPEN, source="hand-clinics-1992", changes={"kept.thenar_function": Quality.WEAK}, advised_against=True),
    Vignette(title="proximal phalanx, no thenar muscles", level=2, age=28, technique="great_toe_wrap_around", verdict=CLOSED, source="hand-clinics-1992", changes={"kept.thenar_function": Quality.ABSENT}),
    Vignette(title="MCP joint, child of 7", level=3, age=7, technique="second_toe", verdict=OPEN, source="toe-to-thumb-children-abstract"),
    Vignette(title="MCP joint, child of 7, trimmed great toe", level=3, age=7, technique="trimmed_great_toe", verdict=OPEN, advised_against=True),
    Vignette(title="MCP joint, child of 7, no microsurgery", level=3, age=7, technique="second_toe", verdict=CLOSED, changes={"facility.microsurgery": Finding.NO}),
    Vignette(title="MCP joint, no microsurgery", level=3, age=7, technique="staged_osteoplastic", verdict=OPEN, source="osteoplastic-mcp-13", changes={"facility.microsurgery": Finding.NO}),
    Vignette(title="MCP joint, CMC joint stiff", level=3, age=35, technique="staged_osteoplastic", verdict=CLOSED, source="osteoplastic-mcp-13", changes={"kept.cmc.mobile": Finding.NO}),
    Vignette(title="MCP joint, CMC joint never examined", level=3, age=35, technique="second_toe", verdict=UNKNOWN, changes={"kept.cmc.mobile": Finding.NOT_EXAMINED}),
    Vignette(title="MCP joint, high voltage, not imaged", level=3, age=35, technique="second_toe", verdict=UNKNOWN, changes={"injury.mechanism": Mechanism.ELECTRICAL, "injury.high_voltage": Finding.YES}),
    Vignette(title="MCP joint, high voltage, imaged and normal", level=3, age=35, technique="second_toe", verdict=OPEN, source="kim-2012", changes={"injury.mechanism": Mechanism.ELECTRICAL, "injury.high_voltage": Finding.YES, "recipient_vessels.imaging": VesselImaging.NORMAL}),
    Vignette(title="MCP joint, second toes lost on both feet", level=3, age=35, technique="second_toe", verdict=CLOSED, changes={"feet.left.toes.second": ToeState.LOST, "feet.right.toes.second": ToeState.LOST}),
    Vignette(title="MCP joint, one second toe lost", level=3, age=35, technique="second_toe", verdict=OPEN, changes={"feet.left.toes.second": ToeState.LOST}),
    Vignette(title="MCP joint, diseased arteries", level=3, age=66, technique="second_toe", verdict=OPEN, source="lese-2020", changes={"patient.vascular_disease": Finding.YES}, advised_against=True),
    Vignette(title="MCP joint, ASA class 4", level=3, age=72, technique="second_toe", verdict=CLOSED, changes={"patient.asa_class": 4}),
    Vignette(title="MCP joint, toe refused", level=3, age=45, technique="second_toe", verdict=CLOSED, changes={"wishes.refusals": (Refusal.ANY_TOE,)}),
    Vignette(title="MCP joint, over 50, groin flap", level=3, age=58, technique="staged_osteoplastic", verdict=OPEN, source="groin-morbidity-44", advised_against=True),
    Vignette(title="MCP joint, metacarpal of 45 mm", level=3, age=30, technique="metacarpal_distraction", verdict=OPEN, source="saleem-2019"),
    Vignette(title="MCP joint, local flap", level=3, age=30, technique="palmar_advancement_flap", verdict=CLOSED),
    Vignette(title="MCP joint, crushed, part warm for 20 h", level=3, age=30, technique="replantation", verdict=CLOSED, source="fijany-2024", changes={**ACUTE, "injury.lost_part.warm_hours": 20.0}, situation_changes=ACUTE_DAYS),
    Vignette(title="metacarpal, stump of 15 mm", level=4, age=30, technique="metacarpal_distraction", verdict=CLOSED, source="callus-distraction-2003", situation_changes={"metacarpal_left_mm": measured_mm(15.0, 1.0)}),
    Vignette(title="metacarpal, scarred stump", level=4, age=30, technique="metacarpal_distraction", verdict=OPEN, source="callus-distraction-2003", changes={"kept.stump_skin": StumpSkin.SCARRED}, advised_against=True),
    Vignette(title="metacarpal, second toe with its joint", level=4, age=30, technique="second_toe_with_mtp_joint", verdict=OPEN, source="wang-1997"),
    Vignette(title="metacarpal, sound fingers", level=4, age=30, technique="pollicization", verdict=OPEN, source="pollicization-adult-school"),
    Vignette(title="metacarpal, child, great toe", level=4, age=9, technique="great_toe", verdict=OPEN),
    Vignette(title="CMC joint lost, toe", level=5, age=30, technique="second_toe_with_mtp_joint", verdict=CLOSED, source="hand-clinics-1992"),
    Vignette(title="CMC joint lost, sound index", level=5, age=30, technique="pollicization", verdict=OPEN, source="ishida-2006"),
    Vignette(title="CMC joint lost, stiff index", level=5, age=30, technique="pollicization", verdict=CLOSED, source="pollicization-adult-school", changes={"fingers.index": FingerState.STIFF}),
    Vignette(title="CMC joint lost, stiff index moved", level=5, age=30, technique="damaged_finger_transfer", verdict=OPEN, source="bravo-damaged-index", changes={"fingers.index": FingerState.STIFF}),
    Vignette(title="CMC joint lost, born so, age 2", level=5, age=2, technique="pollicization", verdict=OPEN, changes={"injury.mechanism": Mechanism.CONGENITAL}),
    Vignette(title="CMC joint lost, two fingers left", level=5, age=30, technique="pollicization", verdict=CLOSED, source="pollicization-adult-school", changes={"fingers.ring": FingerState.LOST, "fingers.little": FingerState.LOST}),
    Vignette(title="level unknown, prosthesis", level=3, age=30, technique="prosthesis", verdict=OPEN, situation_changes=UNKNOWN_LEVEL),
    Vignette(title="level unknown, toe", level=3, age=30, technique="second_toe", verdict=UNKNOWN, situation_changes=UNKNOWN_LEVEL),
)  # fmt: skip


@pytest.mark.parametrize("vignette", VIGNETTES, ids=lambda one: f"{one.title} {one.technique}")
def test_the_verdict_is_that_of_a_hand_surgeon(vignette: Vignette) -> None:
    found = eligible(
        BY_KEY[vignette.technique],
        situation(
            Level(vignette.level),
            age_years=vignette.age,
            changes=vignette.changes,
            situation_changes=vignette.situation_changes,
        ),
    )
    assert found.verdict is vignette.verdict
    if found.verdict is OPEN:
        assert found.is_advised_against is vignette.advised_against


def test_the_vignettes_cover_every_level_and_both_ages_of_life() -> None:
    assert {one.level for one in VIGNETTES} == {1, 2, 3, 4, 5}
    for level in range(1, 6):
        ages = {one.age < 14 for one in VIGNETTES if one.level == level}
        assert ages == {True, False}


def test_closed_beats_unknown_and_all_reasons_are_still_given() -> None:
    found = eligible(
        BY_KEY["second_toe"],
        situation(
            changes={
                "facility.microsurgery": Finding.NO,
                "kept.cmc.stable": Finding.NOT_EXAMINED,
                "wishes.refusals": (Refusal.ANY_TOE,),
            }
        ),
    )
    assert found.verdict is CLOSED
    assert {one.rule for one in found.closed_by} >= {
        "unit_has_microsurgery",
        "patient_has_not_refused_it",
    }
    assert {one.rule for one in found.reasons} == set(BY_KEY["second_toe"].rules)
    assert found.would_settle == ()


def test_what_is_needed_for_a_verdict_is_named_once() -> None:
    known = situation()
    blind = situation(situation_changes={"case": unexamined(known.case)})
    found = eligible(BY_KEY["second_toe"], blind)
    assert found.verdict is UNKNOWN
    assert len(set(found.would_settle)) == len(found.would_settle)
    assert "the ASA class" in found.would_settle
    assert "the CMC joint (whether it is there, mobile and stable)" in found.would_settle


def test_the_donor_toes_of_both_feet_are_weighed_one_by_one() -> None:
    found = eligible(
        BY_KEY["second_toe"],
        situation(
            changes={
                "feet.left.first_web_doppler": Pulse.ABSENT,
                "feet.right.earlier_injury": Finding.YES,
            }
        ),
    )
    right, left = found.donors
    assert (right.words, left.words) == (
        "second toe of the right foot",
        "second toe of the left foot",
    )
    assert right.is_possible
    assert left.is_ruled_out
    assert left.would_settle == ()
    assert any("arteriogram" in answer.reason for answer in right.answers)
    assert right.remark_on_side.text.startswith("Same side as")
    assert left.remark_on_side.basis.source == "wheeless-second-toe"


def test_a_toe_that_is_refused_is_no_choice() -> None:
    found = eligible(
        BY_KEY["toe_pulp_flap"],
        situation(Level.TERMINAL_PHALANX, changes={"wishes.refusals": (Refusal.GREAT_TOE,)}),
    )
    assert found.verdict is OPEN
    assert {choice.toe.value for choice in found.donors} == {"second"}


def test_a_foot_that_nobody_looked_at_says_what_is_wanted() -> None:
    found = eligible(
        BY_KEY["great_toe"],
        situation(
            changes={
                "feet.left.toes.great": ToeState.NOT_EXAMINED,
                "feet.right.toes.great": ToeState.LOST,
                "kept.pulp_lost_share": NOT_EXAMINED,
            }
        ),
    )
    assert found.verdict is UNKNOWN
    assert found.would_settle == ("the state of the great toe of the left foot",)
