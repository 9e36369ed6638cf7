"""Statements that cannot both hold are found; what can hold, however odd, is left alone."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thumbwright.core.case import contradictions as room
from thumbwright.core.case.case import Case
from thumbwright.core.case.contradictions import contradictions
from thumbwright.core.case.examined import NOT_EXAMINED, Finding, Pulse, Quality, Side
from thumbwright.core.case.feet import ToeArtery
from thumbwright.core.case.goals import Goal, Refusal
from thumbwright.core.case.growth_checks import GrowthCheck
from thumbwright.core.case.hand import (
    AllenTest,
    Nail,
    Neuroma,
    OtherThumb,
    Tendon,
    VesselImaging,
    WebContracture,
)
from thumbwright.core.case.injury import Injury, Mechanism, PartState
from thumbwright.core.case.patient import DominantHand, Patient, Sex, Smoking

YES, NO, UNSEEN = Finding.YES, Finding.NO, Finding.NOT_EXAMINED
EXAMINED_ON = date(2026, 11, 2)
NOBODY_LOOKED = Case(
    case_id="1",
    examined_on=EXAMINED_ON,
    patient=Patient(pseudonym="A", birth_date=date(1985, 3, 9), sex=Sex.MALE),
    injury=Injury(side=Side.RIGHT, mechanism=Mechanism.SHARP),
)
CHILD_BORN = date(2019, 5, 14)


def stated(changes: dict[str, Any], case: Any = NOBODY_LOOKED) -> Any:  # noqa: ANN401
    """Return the case with other statements at dotted paths."""
    for path, value in changes.items():
        name, _, rest = path.partition(".")
        inner = stated({rest: value}, getattr(case, name)) if rest else value
        case = replace(case, **{name: inner})
    return case


def days_before(days: int) -> date:
    return EXAMINED_ON - timedelta(days=days)


@dataclass(frozen=True)
class Clash:
    """Statements that break one rule, and a change that makes them possible again."""

    rule: str
    changes: dict[str, Any]
    mended: dict[str, Any]


CLASHES = [
    Clash(
        "birth_comes_before_examination",
        {"patient.birth_date": date(2026, 11, 3)},
        {"patient.birth_date": EXAMINED_ON},
    ),
    Clash(
        "age_is_of_a_living_person",
        {"patient.birth_date": date(1885, 3, 9)},
        {"patient.birth_date": date(1925, 3, 9)},
    ),
    Clash(
        "cigarettes_are_of_a_smoker",
        {"patient.smoking": Smoking.NEVER, "patient.cigarettes_per_day": 10.0},
        {"patient.cigarettes_per_day": 0.0},
    ),
    Clash(
        "cigarettes_are_of_a_smoker",
        {"patient.smoking": Smoking.FORMER, "patient.cigarettes_per_day": 10.0},
        {"patient.smoking": Smoking.CURRENT},
    ),
    Clash(
        "small_children_do_not_smoke",
        {"patient.birth_date": date(2022, 1, 1), "patient.smoking": Smoking.CURRENT},
        {"patient.birth_date": date(2010, 1, 1)},
    ),
    Clash(
        "handedness_shows_in_time",
        {"patient.dominant_hand": DominantHand.NOT_YET},
        {"patient.birth_date": date(2023, 1, 1)},
    ),
    Clash(
        "diabetes_is_a_disease",
        {"patient.asa_class": 1, "patient.diabetes": YES},
        {"patient.asa_class": 2},
    ),
    Clash(
        "bone_age_is_of_the_growing",
        {"patient.bone_age_years": 18.0},
        {"patient.birth_date": date(2008, 1, 1)},
    ),
    Clash(
        "bone_age_is_near_the_age",
        {"patient.birth_date": CHILD_BORN, "patient.bone_age_years": 15.0},
        {"patient.bone_age_years": 9.0},
    ),
    Clash(
        "height_fits_the_age",
        {"patient.birth_date": CHILD_BORN, "patient.height_cm": 185.0},
        {"patient.height_cm": 124.0},
    ),
    Clash(
        "height_fits_the_age",
        {"patient.height_cm": 60.0},
        {"patient.height_cm": 95.0},
    ),
    Clash(
        "weight_fits_the_age",
        {"patient.birth_date": CHILD_BORN, "patient.weight_kg": 124.0},
        {"patient.weight_kg": 60.0},
    ),
    Clash(
        "weight_fits_the_height",
        {"patient.height_cm": 92.0, "patient.weight_kg": 178.0},
        {"patient.height_cm": 178.0, "patient.weight_kg": 92.0},
    ),
    Clash(
        "each_goal_stands_once",
        {"wishes.goals": (Goal.LENGTH, Goal.LOOKS, Goal.LENGTH)},
        {"wishes.goals": (Goal.LENGTH, Goal.LOOKS)},
    ),
    Clash(
        "each_refusal_stands_once",
        {"wishes.refusals": (Refusal.ANY_TOE, Refusal.ANY_TOE)},
        {"wishes.refusals": (Refusal.ANY_TOE, Refusal.GREAT_TOE)},
    ),
    Clash(
        "growth_is_wanted_by_the_growing",
        {"wishes.goals": (Goal.GROWTH,)},
        {"patient.birth_date": CHILD_BORN},
    ),
    Clash(
        "microsurgery_has_a_microscope",
        {"facility.microsurgery": YES, "facility.microscope": NO},
        {"facility.microsurgery": NO},
    ),
    Clash(
        "each_goal_of_others_stands_once",
        {"wishes.guardian_goals": (Goal.LOOKS, Goal.FEELING, Goal.LOOKS)},
        {"wishes.guardian_goals": (Goal.LOOKS, Goal.FEELING)},
    ),
    Clash(
        "some_swing_matters",
        {"wishes.patient_points.length": 0.0},
        {"wishes.patient_points.looks": 100.0},
    ),
    Clash(
        "the_first_goal_has_the_most_points",
        {
            "wishes.surgeon_goals": (Goal.LENGTH, Goal.LOOKS),
            "wishes.surgeon_points.length": 40.0,
            "wishes.surgeon_points.looks": 100.0,
        },
        {"wishes.surgeon_goals": (Goal.LOOKS, Goal.LENGTH)},
    ),
    Clash(
        "growth_is_weighed_by_the_growing",
        {"wishes.guardian_goals": (Goal.GROWTH,)},
        {"patient.birth_date": CHILD_BORN},
    ),
    Clash(
        "growth_is_weighed_by_the_growing",
        {"wishes.patient_points.growth": 100.0},
        {"patient.birth_date": CHILD_BORN},
    ),
    Clash(
        "loss_comes_before_examination",
        {"injury.happened_on": date(2026, 11, 3)},
        {"injury.happened_on": EXAMINED_ON},
    ),
    Clash(
        "loss_comes_after_birth",
        {"injury.happened_on": date(1984, 3, 9)},
        {"injury.happened_on": date(1985, 3, 9)},
    ),
    Clash(
        "congenital_loss_dates_from_birth",
        {"injury.mechanism": Mechanism.CONGENITAL, "injury.happened_on": date(2020, 1, 1)},
        {"injury.happened_on": date(1985, 3, 9)},
    ),
    Clash(
        "congenital_loss_severs_nothing",
        {
            "injury.mechanism": Mechanism.CONGENITAL,
            "injury.lost_part.state": PartState.KEPT_COOL,
        },
        {"injury.lost_part.state": PartState.NONE},
    ),
    Clash(
        "high_voltage_is_electrical",
        {"injury.high_voltage": YES},
        {"injury.mechanism": Mechanism.ELECTRICAL},
    ),
    Clash(
        "hours_are_of_a_part_that_exists",
        {"injury.lost_part.state": PartState.LOST, "injury.lost_part.warm_hours": 3.0},
        {"injury.lost_part.state": PartState.RUINED},
    ),
    Clash(
        "hours_pass_since_the_loss",
        {
            "injury.happened_on": days_before(1),
            "injury.lost_part.warm_hours": 20.0,
            "injury.lost_part.cool_hours": 30.0,
        },
        {"injury.lost_part.cool_hours": 28.0},
    ),
    Clash(
        "a_part_does_not_keep_for_weeks",
        {
            "injury.happened_on": days_before(60),
            "injury.lost_part.state": PartState.KEPT_WARM,
        },
        {"injury.happened_on": days_before(1)},
    ),
    Clash(
        "a_neuroma_takes_time",
        {"injury.happened_on": days_before(2), "kept.neuroma": Neuroma.PAINFUL},
        {"injury.earlier_operations": ("Stump shortened in 2019",)},
    ),
    Clash(
        "something_was_lost",
        {
            "kept.cmc.present": YES,
            "kept.mcp.present": YES,
            "kept.ip.present": YES,
            "kept.nail": Nail.KEPT,
            "kept.pulp_lost_share": 0.0,
        },
        {"injury.mechanism": Mechanism.CONGENITAL},
    ),
    Clash(
        "a_joint_stands_on_the_one_before",
        {"kept.ip.present": YES, "kept.mcp.present": NO},
        {"injury.several_levels": YES},
    ),
    Clash(
        "a_joint_stands_on_the_one_before",
        {"kept.mcp.present": YES, "kept.cmc.present": NO},
        {"injury.mechanism": Mechanism.CONGENITAL},
    ),
    Clash(
        "a_joint_stands_on_the_one_before",
        {"kept.ip.present": YES, "kept.cmc.present": NO},
        {"injury.earlier_operations": ("Basal joint removed for arthritis",)},
    ),
    Clash(
        "an_absent_joint_does_nothing",
        {"kept.ip.present": NO, "kept.ip.mobile": YES},
        {"kept.ip.mobile": NO},
    ),
    Clash(
        "an_absent_joint_does_nothing",
        {"kept.cmc.present": NO, "kept.cmc.stable": YES},
        {"kept.cmc.stable": NO},
    ),
    Clash(
        "an_absent_joint_does_nothing",
        {"kept.mcp.present": NO, "kept.mcp.range_to_deg": 30.0},
        {"kept.mcp.present": YES},
    ),
    Clash(
        "a_range_runs_upwards",
        {"kept.mcp.range_from_deg": 40.0, "kept.mcp.range_to_deg": 10.0},
        {"kept.mcp.range_from_deg": 10.0, "kept.mcp.range_to_deg": 40.0},
    ),
    Clash(
        "a_range_fits_its_mobility",
        {
            "kept.mcp.mobile": NO,
            "kept.mcp.range_from_deg": 0.0,
            "kept.mcp.range_to_deg": 40.0,
        },
        {"kept.mcp.range_to_deg": 10.0},
    ),
    Clash(
        "a_range_fits_its_mobility",
        {
            "kept.ip.mobile": YES,
            "kept.ip.range_from_deg": 20.0,
            "kept.ip.range_to_deg": 20.0,
        },
        {"kept.ip.mobile": NO},
    ),
    Clash(
        "a_range_is_of_a_thumb",
        {"kept.ip.range_to_deg": 170.0},
        {"kept.ip.range_to_deg": 95.0},
    ),
    Clash(
        "a_nail_stands_beyond_every_joint",
        {"kept.nail": Nail.PARTLY_KEPT, "kept.ip.present": NO},
        {"injury.mechanism": Mechanism.TUMOUR},
    ),
    Clash(
        "a_nail_stands_beyond_every_joint",
        {"kept.nail": Nail.KEPT, "kept.mcp.present": NO},
        {"kept.nail": Nail.LOST},
    ),
    Clash(
        "the_pulp_goes_with_the_ip_joint",
        {"kept.pulp_lost_share": 0.0, "kept.ip.present": NO},
        {"kept.pulp_lost_share": 1.0},
    ),
    Clash(
        "a_pulp_defect_is_a_loss_of_pulp",
        {"kept.pulp_defect_mm": 12.0, "kept.pulp_lost_share": 0.0},
        {"kept.pulp_lost_share": 0.3},
    ),
    Clash(
        "two_points_need_feeling",
        {"kept.two_point_mm": 6.0, "kept.stump_feeling": Quality.ABSENT},
        {"kept.stump_feeling": Quality.WEAK},
    ),
    Clash(
        "two_points_need_feeling",
        {"kept.two_point_mm": 30.0, "kept.stump_feeling": Quality.GOOD},
        {"kept.two_point_mm": 8.0},
    ),
    Clash(
        "the_ip_joint_bends_by_the_long_flexor",
        {
            "kept.ip.range_from_deg": 0.0,
            "kept.ip.range_to_deg": 60.0,
            "kept.tendons.long_flexor": Tendon.LOST,
        },
        {"injury.earlier_operations": ("Ring flexor moved to the thumb",)},
    ),
    Clash(
        "a_web_span_is_of_a_hand",
        {"kept.first_web_span_deg": -20.0},
        {"kept.first_web_span_deg": 20.0},
    ),
    Clash(
        "a_web_span_is_of_a_hand",
        {"kept.first_web_span_mm": 380.0},
        {"kept.first_web_span_mm": 90.0},
    ),
    Clash(
        "a_contracture_narrows_the_web",
        {
            "kept.first_web_span_deg": 85.0,
            "kept.first_web_contracture": WebContracture.SEVERE,
        },
        {"kept.first_web_span_deg": 25.0},
    ),
    Clash(
        "a_contracture_narrows_the_web",
        {"kept.first_web_span_deg": 5.0, "kept.first_web_contracture": WebContracture.NONE},
        {"kept.first_web_contracture": WebContracture.SEVERE},
    ),
    Clash(
        "a_filling_artery_has_a_pulse",
        {
            "recipient_vessels.allen_test": AllenTest.RADIAL_ONLY,
            "recipient_vessels.radial_pulse": Pulse.ABSENT,
        },
        {"recipient_vessels.allen_test": AllenTest.ULNAR_ONLY},
    ),
    Clash(
        "a_filling_artery_has_a_pulse",
        {
            "recipient_vessels.allen_test": AllenTest.BOTH_FILL,
            "recipient_vessels.ulnar_pulse": Pulse.ABSENT,
        },
        {"recipient_vessels.ulnar_pulse": Pulse.WEAK},
    ),
    Clash(
        "a_normal_angiogram_shows_both_arteries",
        {
            "recipient_vessels.imaging": VesselImaging.NORMAL,
            "recipient_vessels.ulnar_pulse": Pulse.ABSENT,
        },
        {"recipient_vessels.imaging": VesselImaging.ABNORMAL},
    ),
    Clash(
        "a_toe_artery_sounds_in_the_web",
        {
            "feet.left.first_web_doppler": Pulse.ABSENT,
            "feet.left.dominant_artery": ToeArtery.DORSAL,
        },
        {"feet.left.dominant_artery": ToeArtery.ABSENT},
    ),
    Clash(
        "a_toe_artery_sounds_in_the_web",
        {
            "feet.right.first_web_doppler": Pulse.STRONG,
            "feet.right.dominant_artery": ToeArtery.ABSENT,
        },
        {"feet.right.first_web_doppler": Pulse.NOT_EXAMINED},
    ),
    Clash(
        "checks_stand_beside_the_case",
        {
            "growth_checks": (
                GrowthCheck(
                    measured_on=EXAMINED_ON + timedelta(days=300),
                    side=Side.RIGHT,
                    thumb_mm=80.0,
                    other_thumb_mm=82.0,
                ),
            ),
            "other_thumb": OtherThumb.LOST,
        },
        {"other_thumb": OtherThumb.SOUND},
    ),
]
EACH = pytest.mark.parametrize("clash", CLASHES, ids=lambda clash: clash.rule)


def broken_rules(case: Case) -> set[str]:
    return {rule.__name__ for rule in room.RULES if tuple(rule(case))}


@EACH
def test_statements_that_cannot_both_hold_break_their_rule_and_no_other(clash: Clash) -> None:
    assert broken_rules(stated(clash.changes)) == {clash.rule}


@EACH
def test_one_change_makes_the_statements_possible_again(clash: Clash) -> None:
    assert broken_rules(stated(clash.changes | clash.mended)) == set()


@EACH
def test_a_message_names_every_place_that_clashes_and_what_stands_there(clash: Clash) -> None:
    for fault in contradictions(stated(clash.changes)):
        assert set(fault.path.split(" and ")) & set(clash.changes)
        assert len(fault.given.split(" and ")) == len(fault.path.split(" and "))
        assert fault.allowed
        assert fault.advice


@EACH
def test_what_is_not_examined_contradicts_nothing(clash: Clash) -> None:
    nobody_looked: dict[type, object] = {
        Finding: UNSEEN,
        Pulse: Pulse.NOT_EXAMINED,
        Quality: Quality.NOT_EXAMINED,
        Nail: Nail.NOT_EXAMINED,
        Neuroma: Neuroma.NOT_EXAMINED,
        PartState: PartState.NOT_EXAMINED,
        Smoking: Smoking.NOT_EXAMINED,
        DominantHand: DominantHand.NOT_EXAMINED,
        AllenTest: AllenTest.NOT_EXAMINED,
        VesselImaging: VesselImaging.NOT_EXAMINED,
        WebContracture: WebContracture.NOT_EXAMINED,
        ToeArtery: ToeArtery.NOT_EXAMINED,
        Tendon: Tendon.NOT_EXAMINED,
        tuple: (),
    }
    for path, value in clash.changes.items():
        if path in {"patient.birth_date", "injury.mechanism"}:
            continue
        unseen = nobody_looked.get(type(value), NOT_EXAMINED)
        assert broken_rules(stated(clash.changes | {path: unseen})) == set()


def test_every_rule_has_statements_that_break_it() -> None:
    assert {clash.rule for clash in CLASHES} == {rule.__name__ for rule in room.RULES}


def test_all_contradictions_of_a_case_are_reported_together() -> None:
    case = stated(
        {
            "injury.happened_on": date(2026, 12, 1),
            "patient.smoking": Smoking.NEVER,
            "patient.cigarettes_per_day": 5.0,
            "kept.ip.present": NO,
            "kept.nail": Nail.KEPT,
        }
    )
    assert [fault.path for fault in contradictions(case)] == [
        "patient.smoking and patient.cigarettes_per_day",
        "injury.happened_on and examined_on",
        "kept.nail and kept.ip.present",
    ]


def test_a_long_list_is_counted_and_not_repeated() -> None:
    (fault,) = contradictions(stated({"wishes.goals": (Goal.LOOKS,) * 1000}))
    assert fault.given == "a list of 1000"


POSSIBLE = {
    "a painful neuroma under skin without feeling": {
        "kept.neuroma": Neuroma.PAINFUL,
        "kept.stump_feeling": Quality.ABSENT,
    },
    "a working thenar without a basal joint": {
        "kept.thenar_function": Quality.GOOD,
        "kept.cmc.present": NO,
    },
    "a kept nail over a pulp that is wholly lost": {
        "kept.nail": Nail.KEPT,
        "kept.pulp_lost_share": 1.0,
    },
    "any toe refused, and the great toe named as well": {
        "wishes.refusals": (Refusal.ANY_TOE, Refusal.GREAT_TOE)
    },
    "a snuffbox filled from the palm without a radial pulse": {
        "recipient_vessels.snuffbox_doppler": Pulse.STRONG,
        "recipient_vessels.radial_pulse": Pulse.ABSENT,
    },
    "a pipe smoker": {"patient.smoking": Smoking.CURRENT, "patient.cigarettes_per_day": 0.0},
    "a toe lost without an injury of the foot": {"feet.left.earlier_injury": NO},
    "a floating thumb of birth with a nail and without a basal joint": {
        "injury.mechanism": Mechanism.CONGENITAL,
        "kept.cmc.present": NO,
        "kept.mcp.present": YES,
        "kept.ip.present": YES,
        "kept.nail": Nail.KEPT,
    },
    "a fused joint": {"kept.ip.present": YES, "kept.ip.mobile": NO, "kept.ip.stable": YES},
}


@pytest.mark.parametrize("statements", POSSIBLE.values(), ids=POSSIBLE)
def test_odd_but_possible_findings_raise_no_alarm(statements: dict[str, Any]) -> None:
    assert broken_rules(stated(statements)) == set()


@given(case=st.builds(Case, examined_on=st.dates(), injury=st.from_type(Injury)))
@settings(max_examples=60, deadline=None)
def test_any_case_is_judged_without_failure(case: Case) -> None:
    assert all(fault.path and fault.given for fault in contradictions(case))
