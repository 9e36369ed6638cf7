"""Each rule of eligibility, by the finding that it turns on.

Where no source stands beside a row, the expectation is common practice, no source.
"""

from collections.abc import Mapping
from datetime import date

import pytest

from tests.core.techniques.worked_situations import (
    BIBLIOGRAPHY,
    BY_KEY,
    TECHNIQUES,
    UNKNOWN_LEVEL,
    measured_mm,
    situation,
    unexamined,
)
from thumbwright.core.case.examined import NOT_EXAMINED, Finding, Pulse, Quality
from thumbwright.core.case.feet import ToeArtery, ToeState
from thumbwright.core.case.goals import Refusal
from thumbwright.core.case.hand import (
    AllenTest,
    FingerState,
    Nail,
    StumpSkin,
    Tendon,
    VesselImaging,
    WebContracture,
)
from thumbwright.core.case.injury import LostPart, Mechanism, PartState
from thumbwright.core.case.patient import Smoking
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.rule_answers import Advice, Met, NotMet, RuleAnswer, Unsettled
from thumbwright.core.techniques.rules import RULES, sentence

GRAVE = "grave"
"""An advice that is a relative contraindication."""
Expected = type[Met] | type[NotMet] | type[Unsettled] | type[Advice] | str
Changes = Mapping[str, object]

YES, NO, NOT_SEEN = Finding.YES, Finding.NO, Finding.NOT_EXAMINED


def _cool(warm: object, cool: object) -> Changes:
    part = LostPart(state=PartState.KEPT_COOL, warm_hours=warm, cool_hours=cool)  # type: ignore[arg-type]
    return {"injury.lost_part": part}


def _part(state: PartState) -> Changes:
    return {"injury.lost_part": LostPart(state=state)}


_BOTH_FEET = ("feet.left", "feet.right")


def _feet(path: str, value: object) -> Changes:
    return {f"{foot}.{path}": value for foot in _BOTH_FEET}


_ON_THE_CASE: tuple[tuple[str, str, Changes, Expected], ...] = (
    # --- refusals
    ("patient_has_not_refused_it", "second_toe", {}, Met),
    ("patient_has_not_refused_it", "second_toe", {"wishes.refusals": (Refusal.ANY_TOE,)}, NotMet),
    ("patient_has_not_refused_it", "second_toe", {"wishes.refusals": (Refusal.SECOND_TOE,)}, NotMet),
    ("patient_has_not_refused_it", "second_toe", {"wishes.refusals": (Refusal.GREAT_TOE,)}, Met),
    ("patient_has_not_refused_it", "great_toe_wrap_around", {"wishes.refusals": (Refusal.GREAT_TOE,)}, NotMet),
    ("patient_has_not_refused_it", "great_toe_wrap_around", {"wishes.refusals": (Refusal.ILIAC_BONE,)}, NotMet),
    ("patient_has_not_refused_it", "toe_pulp_flap", {"wishes.refusals": (Refusal.GREAT_TOE,)}, Met),
    ("patient_has_not_refused_it", "toe_pulp_flap", {"wishes.refusals": (Refusal.GREAT_TOE, Refusal.SECOND_TOE)}, NotMet),
    ("patient_has_not_refused_it", "second_toe", {"wishes.refusals": (Refusal.MICROSURGERY,)}, NotMet),
    ("patient_has_not_refused_it", "staged_osteoplastic", {"wishes.refusals": (Refusal.MICROSURGERY,)}, Met),
    ("patient_has_not_refused_it", "staged_osteoplastic", {"wishes.refusals": (Refusal.SEVERAL_STAGES,)}, NotMet),
    ("patient_has_not_refused_it", "single_stage_osteoplastic", {"wishes.refusals": (Refusal.SEVERAL_STAGES,)}, Met),
    ("patient_has_not_refused_it", "staged_osteoplastic", {"wishes.refusals": (Refusal.ABDOMINAL_OR_GROIN_FLAP,)}, NotMet),
    ("patient_has_not_refused_it", "single_stage_osteoplastic", {"wishes.refusals": (Refusal.FOREARM_SCAR,)}, NotMet),
    ("patient_has_not_refused_it", "metacarpal_distraction", {"wishes.refusals": (Refusal.EXTERNAL_FIXATOR,)}, NotMet),
    ("patient_has_not_refused_it", "pollicization", {"wishes.refusals": (Refusal.LOSS_OF_A_FINGER,)}, NotMet),
    ("patient_has_not_refused_it", "prosthesis", {"wishes.refusals": (Refusal.PROSTHESIS,)}, NotMet),
    ("patient_has_not_refused_it", "prosthesis", {"wishes.refusals": (Refusal.ANY_OPERATION,)}, Met),
    ("patient_has_not_refused_it", "skin_graft", {"wishes.refusals": (Refusal.ANY_OPERATION,)}, NotMet),
    # --- general state
    ("patient_bears_the_operation", "second_toe", {"patient.asa_class": 3}, Met),
    ("patient_bears_the_operation", "second_toe", {"patient.asa_class": 4}, NotMet),
    ("patient_bears_the_operation", "skin_graft", {"patient.asa_class": 4}, GRAVE),
    ("patient_bears_the_operation", "skin_graft", {"patient.asa_class": 5}, NotMet),
    ("patient_bears_the_operation", "second_toe", {"patient.asa_class": NOT_EXAMINED}, Unsettled),
    ("patient_bears_the_operation", "skin_graft", {"patient.asa_class": NOT_EXAMINED}, Advice),
    ("patient_bears_the_operation", "staged_osteoplastic", {"patient.asa_class": 4}, GRAVE),
    # risk_factors: smoking 3.48, diabetes 1.35, index 9.3
    ("smoking_is_no_burden", "second_toe", {"patient.smoking": Smoking.CURRENT}, Advice),
    ("smoking_is_no_burden", "second_toe", {"patient.smoking": Smoking.FORMER}, Met),
    ("smoking_is_no_burden", "second_toe", {"patient.smoking": Smoking.NOT_EXAMINED}, Advice),
    ("diabetes_is_absent", "second_toe", {"patient.diabetes": YES}, Advice),
    ("diabetes_is_absent", "second_toe", {"patient.diabetes": NOT_SEEN}, Advice),
    ("arteries_are_healthy", "second_toe", {"patient.vascular_disease": YES}, GRAVE),
    ("arteries_are_healthy", "second_toe", {"patient.vascular_disease": NOT_SEEN}, Advice),
    ("blood_clots_normally", "second_toe", {"patient.clotting_disorder": YES}, GRAVE),
    ("blood_clots_normally", "second_toe", {"patient.clotting_disorder": NOT_SEEN}, Advice),
    # --- unit
    ("unit_has_microsurgery", "second_toe", {"facility.microsurgery": NO}, NotMet),
    ("unit_has_microsurgery", "second_toe", {"facility.microscope": NO}, NotMet),
    ("unit_has_microsurgery", "second_toe", {"facility.microsurgery": NOT_SEEN}, Unsettled),
    ("unit_can_watch_a_flap", "second_toe", {"facility.intensive_observation": NO}, GRAVE),
    ("unit_can_watch_a_flap", "second_toe", {"facility.intensive_observation": NOT_SEEN}, Advice),
    ("unit_can_watch_a_flap", "second_toe", {"facility.two_teams": NO}, Advice),
    ("unit_can_watch_a_flap", "second_toe", {"facility.hand_therapy": NO}, Advice),
    # --- severed part; hours: fijany-2024 (12 and 24), delayed-replantation-2021 (6 and 12)
    ("part_is_fit_for_replantation", "replantation", _part(PartState.LOST), NotMet),
    ("part_is_fit_for_replantation", "replantation", _part(PartState.RUINED), NotMet),
    ("part_is_fit_for_replantation", "replantation", _part(PartState.NONE), NotMet),
    ("part_is_fit_for_replantation", "replantation", {"injury.mechanism": Mechanism.TUMOUR} | _part(PartState.KEPT_COOL), NotMet),
    ("part_is_fit_for_replantation", "replantation", {"injury.mechanism": Mechanism.CONGENITAL} | _part(PartState.KEPT_COOL), NotMet),
    ("lost_part_was_soon_cooled", "replantation", _cool(1.0, 4.0), Met),
    ("lost_part_was_soon_cooled", "replantation", _cool(6.0, 12.0), Met),
    ("lost_part_was_soon_cooled", "replantation", _cool(6.5, 0.0), Advice),
    ("lost_part_was_soon_cooled", "replantation", _cool(1.0, 12.5), Advice),
    ("lost_part_was_soon_cooled", "replantation", _cool(12.0, 24.0), Advice),
    ("lost_part_was_soon_cooled", "replantation", _cool(12.5, 0.0), NotMet),
    ("lost_part_was_soon_cooled", "replantation", _cool(1.0, 24.5), NotMet),
    ("lost_part_was_soon_cooled", "replantation", _cool(NOT_EXAMINED, 4.0), Unsettled),
    ("lost_part_was_soon_cooled", "replantation", _cool(1.0, NOT_EXAMINED), Unsettled),
    ("lost_part_was_soon_cooled", "replantation", _cool(12.5, NOT_EXAMINED), NotMet),
    ("part_can_be_joined_again", "replantation", {}, Met),
    ("part_can_be_joined_again", "replantation", {"injury.mechanism": Mechanism.CRUSH}, Advice),
    ("part_can_be_joined_again", "replantation", {"injury.mechanism": Mechanism.AVULSION}, Advice),
    ("part_can_be_joined_again", "replantation", {"injury.mechanism": Mechanism.THERMAL}, GRAVE),
    ("part_can_be_joined_again", "replantation", {"injury.several_levels": YES}, GRAVE),
    ("part_can_be_joined_again", "replantation", {"injury.several_levels": NOT_SEEN}, Advice),
    # --- stump; osteoplastic-mcp-13, hand-clinics-1992, callus-distraction-2003
    ("cmc_joint_is_sound", "second_toe", {}, Met),
    ("cmc_joint_is_sound", "second_toe", {"kept.cmc.present": NO}, NotMet),
    ("cmc_joint_is_sound", "second_toe", {"kept.cmc.mobile": NO}, NotMet),
    ("cmc_joint_is_sound", "second_toe", {"kept.cmc.stable": NO}, NotMet),
    ("cmc_joint_is_sound", "second_toe", {"kept.cmc.present": NOT_SEEN}, Unsettled),
    ("cmc_joint_is_sound", "second_toe", {"kept.cmc.mobile": NOT_SEEN}, Unsettled),
    ("cmc_joint_is_sound", "second_toe", {"kept.cmc.stable": NOT_SEEN}, Unsettled),
    ("cmc_joint_is_sound", "second_toe", {"kept.cmc.stable": NO, "kept.cmc.mobile": NOT_SEEN}, NotMet),
    ("thenar_muscles_are_strong", "great_toe_wrap_around", {"kept.thenar_function": Quality.WEAK}, GRAVE),
    ("thenar_muscles_are_strong", "great_toe_wrap_around", {"kept.thenar_function": Quality.ABSENT}, NotMet),
    ("thenar_muscles_are_strong", "great_toe_wrap_around", {"kept.thenar_function": Quality.NOT_EXAMINED}, Unsettled),
    ("thenar_muscles_can_oppose", "pollicization", {"kept.thenar_function": Quality.ABSENT}, Advice),
    ("thenar_muscles_can_oppose", "pollicization", {"kept.thenar_function": Quality.NOT_EXAMINED}, Advice),
    ("tendons_are_there_to_move_it", "second_toe", {"kept.tendons.long_flexor": Tendon.LOST}, Advice),
    ("tendons_are_there_to_move_it", "second_toe", {"kept.tendons.long_extensor": Tendon.NOT_EXAMINED}, Advice),
    ("stump_is_closed", "second_toe", {"kept.stump_skin": StumpSkin.OPEN_WOUND}, Advice),
    ("stump_is_closed", "second_toe", {"kept.stump_skin": StumpSkin.NOT_EXAMINED}, Advice),
    ("skin_bears_stretching", "metacarpal_distraction", {"kept.stump_skin": StumpSkin.SCARRED}, GRAVE),
    ("skin_bears_stretching", "metacarpal_distraction", {"kept.stump_skin": StumpSkin.UNSTABLE}, NotMet),
    ("skin_bears_stretching", "metacarpal_distraction", {"kept.stump_skin": StumpSkin.NOT_EXAMINED}, Unsettled),
    ("web_bears_lengthening", "metacarpal_distraction", {"kept.first_web_contracture": WebContracture.MILD}, Advice),
    ("web_bears_lengthening", "metacarpal_distraction", {"kept.first_web_contracture": WebContracture.NOT_EXAMINED}, Advice),
    ("web_skin_is_supple", "first_web_deepening", {"kept.first_web_contracture": WebContracture.SEVERE}, GRAVE),
    ("web_skin_is_supple", "first_web_deepening", {"kept.stump_skin": StumpSkin.SCARRED}, GRAVE),
    ("web_skin_is_supple", "first_web_deepening", {"kept.stump_skin": StumpSkin.NOT_EXAMINED}, Advice),
    ("nail_is_lost_or_damaged", "partial_great_toe", {"kept.nail": Nail.KEPT}, NotMet),
    ("nail_is_lost_or_damaged", "partial_great_toe", {"kept.nail": Nail.PARTLY_KEPT}, Met),
    ("nail_is_lost_or_damaged", "partial_great_toe", {"kept.nail": Nail.NOT_EXAMINED}, Unsettled),
    # --- defect; wheeless-palmar-advancement: 15 mm, at most 20 mm
    ("there_is_a_defect_to_cover", "skin_graft", {"kept.pulp_defect_mm": 4.0}, Met),
    ("there_is_a_defect_to_cover", "skin_graft", {"kept.pulp_defect_mm": 0.0, "kept.pulp_lost_share": 0.0}, NotMet),
    ("there_is_a_defect_to_cover", "skin_graft", {"kept.pulp_defect_mm": 0.0, "kept.pulp_lost_share": NOT_EXAMINED}, Unsettled),
    ("there_is_a_defect_to_cover", "skin_graft", {"kept.pulp_defect_mm": 0.0, "kept.pulp_lost_share": 0.0, "kept.stump_skin": StumpSkin.UNSTABLE}, Met),
    ("there_is_a_defect_to_cover", "skin_graft", {"kept.pulp_defect_mm": 0.0, "kept.pulp_lost_share": 0.0, "kept.stump_skin": StumpSkin.NOT_EXAMINED}, Unsettled),
    ("defect_is_small_enough_to_advance_over", "palmar_advancement_flap", {"kept.pulp_defect_mm": 15.0}, Met),
    ("defect_is_small_enough_to_advance_over", "palmar_advancement_flap", {"kept.pulp_defect_mm": 15.5}, GRAVE),
    ("defect_is_small_enough_to_advance_over", "palmar_advancement_flap", {"kept.pulp_defect_mm": 20.0}, GRAVE),
    ("defect_is_small_enough_to_advance_over", "palmar_advancement_flap", {"kept.pulp_defect_mm": 20.5}, NotMet),
    ("defect_is_small_enough_to_advance_over", "palmar_advancement_flap", {"kept.pulp_defect_mm": NOT_EXAMINED}, Unsettled),
    ("defect_is_small_enough_to_heal_by_itself", "second_intention", {"kept.pulp_defect_mm": 10.0}, Met),
    ("defect_is_small_enough_to_heal_by_itself", "second_intention", {"kept.pulp_defect_mm": 12.0}, GRAVE),
    ("defect_is_small_enough_to_heal_by_itself", "second_intention", {"kept.pulp_defect_mm": 16.0}, NotMet),
    ("pulp_loss_is_large", "toe_pulp_flap", {"kept.pulp_lost_share": 0.7}, Met),  # wheeless-thumb-defects: two thirds
    ("pulp_loss_is_large", "toe_pulp_flap", {"kept.pulp_lost_share": 0.6}, Advice),
    ("pulp_loss_is_large", "toe_pulp_flap", {"kept.pulp_lost_share": NOT_EXAMINED}, Advice),
    # --- fingers; pollicization-adult-school
    ("index_is_sound_for_pollicization", "pollicization", {"fingers.index": FingerState.STIFF}, NotMet),
    ("index_is_sound_for_pollicization", "pollicization", {"fingers.index": FingerState.NOT_EXAMINED}, Unsettled),
    ("enough_fingers_remain", "pollicization", {"fingers.little": FingerState.LOST}, Met),
    ("enough_fingers_remain", "pollicization", {"fingers.little": FingerState.LOST, "fingers.ring": FingerState.LOST}, NotMet),
    ("enough_fingers_remain", "pollicization", {"fingers.little": FingerState.LOST, "fingers.ring": FingerState.NOT_EXAMINED}, Unsettled),
    ("no_damaged_finger_could_serve_instead", "pollicization", {"fingers.ring": FingerState.DAMAGED}, GRAVE),
    ("some_finger_is_damaged_but_of_use", "damaged_finger_transfer", {"fingers.index": FingerState.STIFF}, Met),
    ("some_finger_is_damaged_but_of_use", "damaged_finger_transfer", {}, NotMet),
    ("some_finger_is_damaged_but_of_use", "damaged_finger_transfer", {"fingers.index": FingerState.LOST}, NotMet),
    ("some_finger_is_damaged_but_of_use", "damaged_finger_transfer", {"fingers.index": FingerState.NOT_EXAMINED}, Unsettled),
    ("a_finger_is_left_to_pinch_against", "second_toe", {"fingers.index": FingerState.LOST}, Met),
    ("a_finger_is_left_to_pinch_against", "second_toe", dict.fromkeys(("fingers.index", "fingers.middle", "fingers.ring", "fingers.little"), FingerState.LOST), GRAVE),
    ("a_finger_is_left_to_pinch_against", "second_toe", dict.fromkeys(("fingers.index", "fingers.middle", "fingers.ring", "fingers.little"), FingerState.NOT_EXAMINED), Advice),
    ("index_skin_can_be_given", "innervated_cross_finger_flap", {"fingers.index": FingerState.DAMAGED}, NotMet),
    ("index_skin_can_be_given", "innervated_cross_finger_flap", {"fingers.index": FingerState.NOT_EXAMINED}, Unsettled),
    ("a_finger_can_give_its_side", "neurovascular_island_flap", {"fingers.middle": FingerState.LOST}, Met),
    ("a_finger_can_give_its_side", "neurovascular_island_flap", {"fingers.middle": FingerState.LOST, "fingers.ring": FingerState.STIFF}, NotMet),
    ("a_finger_can_give_its_side", "neurovascular_island_flap", {"fingers.middle": FingerState.LOST, "fingers.ring": FingerState.NOT_EXAMINED}, Unsettled),
    # --- feet; buncke-chapter-1 for the veins after an injury and the plantar pedicle
    ("second_toe_is_sound_on_some_foot", "second_toe", _feet("toes.great", ToeState.LOST), Met),
    ("second_toe_is_sound_on_some_foot", "second_toe", {"feet.left.toes.second": ToeState.DEFORMED}, Met),
    ("second_toe_is_sound_on_some_foot", "second_toe", _feet("toes.second", ToeState.DEFORMED), NotMet),
    ("second_toe_is_sound_on_some_foot", "second_toe", {"feet.left.toes.second": ToeState.LOST, "feet.right.toes.second": ToeState.NOT_EXAMINED}, Unsettled),
    ("great_toe_is_sound_on_some_foot", "great_toe", _feet("toes.great", ToeState.LOST), NotMet),
    ("great_or_second_toe_is_sound_on_some_foot", "toe_pulp_flap", _feet("toes.great", ToeState.LOST), Met),
    ("great_or_second_toe_is_sound_on_some_foot", "toe_pulp_flap", _feet("toes.great", ToeState.LOST) | _feet("toes.second", ToeState.LOST), NotMet),
    ("foot_vessels_are_patent", "second_toe", {"feet.left.first_web_doppler": Pulse.ABSENT}, Met),
    ("foot_vessels_are_patent", "second_toe", _feet("first_web_doppler", Pulse.ABSENT), NotMet),
    ("foot_vessels_are_patent", "second_toe", _feet("posterior_tibial_pulse", Pulse.ABSENT), NotMet),
    ("foot_vessels_are_patent", "second_toe", _feet("dominant_artery", ToeArtery.ABSENT), NotMet),
    ("foot_vessels_are_patent", "second_toe", _feet("dominant_artery", ToeArtery.PLANTAR), Advice),
    ("foot_vessels_are_patent", "second_toe", _feet("dorsal_pedal_pulse", Pulse.ABSENT), Advice),
    ("foot_vessels_are_patent", "second_toe", _feet("dorsal_pedal_pulse", Pulse.WEAK), Advice),
    ("foot_vessels_are_patent", "second_toe", _feet("dorsal_pedal_pulse", Pulse.NOT_EXAMINED), Unsettled),
    ("foot_vessels_are_patent", "second_toe", _feet("posterior_tibial_pulse", Pulse.NOT_EXAMINED), Unsettled),
    ("foot_vessels_are_patent", "second_toe", _feet("first_web_doppler", Pulse.NOT_EXAMINED), Met),
    ("foot_vessels_are_patent", "second_toe", _feet("first_web_doppler", Pulse.NOT_EXAMINED) | _feet("dominant_artery", ToeArtery.NOT_EXAMINED), Unsettled),
    ("foot_vessels_are_patent", "second_toe", {"feet.left.toes.second": ToeState.LOST, "feet.right.first_web_doppler": Pulse.ABSENT}, NotMet),
    ("donor_foot_is_healthy", "second_toe", {"feet.left.infection_or_ulcer": YES}, Met),
    ("donor_foot_is_healthy", "second_toe", _feet("infection_or_ulcer", YES), NotMet),
    ("donor_foot_is_healthy", "second_toe", _feet("loss_of_feeling", YES), NotMet),
    ("donor_foot_is_healthy", "second_toe", _feet("loss_of_feeling", NOT_SEEN), Unsettled),
    ("donor_foot_is_healthy", "second_toe", _feet("earlier_injury", YES), Advice),
    ("donor_foot_is_healthy", "second_toe", _feet("earlier_injury", NOT_SEEN), Advice),
    ("donor_foot_is_healthy", "second_toe", {"feet.left.toes.second": ToeState.LOST, "feet.right.loss_of_feeling": YES}, NotMet),
    ("foot_can_spare_it", "great_toe", {"feet.high_foot_demand": YES}, GRAVE),
    ("foot_can_spare_it", "second_toe", {"feet.high_foot_demand": YES}, Advice),
    ("foot_can_spare_it", "second_toe_with_mtp_joint", {"feet.high_foot_demand": YES}, GRAVE),
    ("foot_can_spare_it", "great_toe", {"feet.barefoot_or_thong_need": YES}, GRAVE),
    ("foot_can_spare_it", "second_toe", {"feet.barefoot_or_thong_need": YES}, Advice),
    ("foot_can_spare_it", "second_toe", {"feet.barefoot_or_thong_need": NOT_SEEN}, Advice),
    # --- vessels of the hand
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.radial_pulse": Pulse.ABSENT}, Advice),
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.ulnar_pulse": Pulse.ABSENT}, Advice),
    ("recipient_vessels_are_patent", "second_toe", {}, Met),
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.radial_pulse": Pulse.ABSENT, "recipient_vessels.snuffbox_doppler": Pulse.NOT_EXAMINED}, Unsettled),
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.radial_pulse": Pulse.ABSENT, "recipient_vessels.snuffbox_doppler": Pulse.ABSENT}, Unsettled),
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.radial_pulse": Pulse.ABSENT, "recipient_vessels.snuffbox_doppler": Pulse.ABSENT, "recipient_vessels.ulnar_pulse": Pulse.ABSENT}, NotMet),
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.allen_test": AllenTest.NEITHER}, NotMet),
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.allen_test": AllenTest.RADIAL_ONLY}, Advice),
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.imaging": VesselImaging.ABNORMAL}, GRAVE),
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.superficial_veins": Quality.ABSENT}, Advice),
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.superficial_veins": Quality.NOT_EXAMINED}, Advice),
    ("recipient_vessels_are_patent", "second_toe", {"recipient_vessels.radial_pulse": Pulse.WEAK, "recipient_vessels.snuffbox_doppler": Pulse.WEAK}, Advice),
    ("ulnar_artery_can_feed_the_hand", "single_stage_osteoplastic", {}, Met),
    ("ulnar_artery_can_feed_the_hand", "single_stage_osteoplastic", {"recipient_vessels.allen_test": AllenTest.RADIAL_ONLY}, NotMet),
    ("ulnar_artery_can_feed_the_hand", "single_stage_osteoplastic", {"recipient_vessels.allen_test": AllenTest.ULNAR_ONLY}, NotMet),
    ("ulnar_artery_can_feed_the_hand", "single_stage_osteoplastic", {"recipient_vessels.allen_test": AllenTest.NOT_EXAMINED}, Unsettled),
    ("vessels_imaged_after_high_voltage", "second_toe", {"injury.mechanism": Mechanism.ELECTRICAL, "injury.high_voltage": NO}, Met),
    ("vessels_imaged_after_high_voltage", "second_toe", {"injury.mechanism": Mechanism.ELECTRICAL, "injury.high_voltage": YES}, Unsettled),
    ("vessels_imaged_after_high_voltage", "second_toe", {"injury.mechanism": Mechanism.ELECTRICAL, "injury.high_voltage": NOT_SEEN}, Unsettled),
    ("vessels_imaged_after_high_voltage", "second_toe", {"injury.mechanism": Mechanism.ELECTRICAL, "injury.high_voltage": YES, "recipient_vessels.imaging": VesselImaging.NORMAL}, Met),
    ("vessels_imaged_after_high_voltage", "second_toe", {"injury.mechanism": Mechanism.ELECTRICAL, "injury.high_voltage": YES, "recipient_vessels.imaging": VesselImaging.ABNORMAL}, Unsettled),
    ("vessels_imaged_in_a_congenital_hand", "second_toe", {"injury.mechanism": Mechanism.CONGENITAL}, Advice),
    ("vessels_imaged_in_a_congenital_hand", "second_toe", {"injury.mechanism": Mechanism.CONGENITAL, "recipient_vessels.imaging": VesselImaging.NORMAL}, Met),
)  # fmt: skip

_NOT_STATED = Unknown(reason="nobody measured it", needed=("a film",))
_GROWING: Changes = {"growing": True}
_GROWN: Changes = {"growing": False}
_MAYBE_GROWING: Changes = {"growing": _NOT_STATED}

_ON_THE_SITUATION: tuple[tuple[str, str, Changes, Expected], ...] = (
    ("part_is_fit_for_replantation", "replantation", {"days_since_loss": 0.0, "case.injury.lost_part": LostPart(state=PartState.KEPT_WARM)}, Met),
    ("part_is_fit_for_replantation", "replantation", {"days_since_loss": 3.0, "case.injury.lost_part": LostPart(state=PartState.KEPT_COOL)}, NotMet),
    ("part_is_fit_for_replantation", "replantation", {"days_since_loss": 0.0, "case.injury.lost_part": LostPart()}, Unsettled),
    ("part_is_fit_for_replantation", "replantation", {"days_since_loss": _NOT_STATED, "case.injury.lost_part": LostPart(state=PartState.KEPT_COOL)}, Met),
    ("level_suits", "second_toe", {}, Met),
    ("level_suits", "palmar_advancement_flap", {}, NotMet),
    ("level_suits", "second_toe", UNKNOWN_LEVEL, Unsettled),
    ("level_suits", "prosthesis", UNKNOWN_LEVEL, Met),
    ("level_suits", "second_toe", UNKNOWN_LEVEL | {"plausible_levels": (Level.PROXIMAL_PHALANX, Level.MCP_JOINT)}, Met),
    ("level_suits", "second_toe", UNKNOWN_LEVEL | {"plausible_levels": (Level.METACARPAL, Level.CMC_JOINT)}, NotMet),
    ("level_suits", "second_toe", UNKNOWN_LEVEL | {"plausible_levels": (Level.CMC_JOINT,)}, NotMet),
    ("level_suits", "second_toe", {"level_prob": {Level.MCP_JOINT: 0.5, Level.METACARPAL: 0.5}}, NotMet),
    ("other_plausible_levels_suit", "second_toe", {"plausible_levels": (Level.PROXIMAL_PHALANX, Level.MCP_JOINT)}, Met),
    ("other_plausible_levels_suit", "second_toe", {"plausible_levels": (Level.MCP_JOINT, Level.CMC_JOINT)}, Advice),
    ("metacarpal_is_long_enough_to_lengthen", "metacarpal_distraction", {"metacarpal_left_mm": measured_mm(28.0, 1.0)}, Met),
    ("metacarpal_is_long_enough_to_lengthen", "metacarpal_distraction", {"metacarpal_left_mm": measured_mm(26.0, 1.0)}, Unsettled),
    ("metacarpal_is_long_enough_to_lengthen", "metacarpal_distraction", {"metacarpal_left_mm": measured_mm(22.0, 1.0)}, NotMet),
    ("metacarpal_is_long_enough_to_lengthen", "metacarpal_distraction", {"metacarpal_left_mm": _NOT_STATED}, Unsettled),
    ("technique_gives_the_missing_length", "metacarpal_distraction", {"missing_length_mm": measured_mm(45.0, 1.0)}, Met),  # matev-2003
    ("technique_gives_the_missing_length", "metacarpal_distraction", {"missing_length_mm": measured_mm(46.0, 1.0)}, Advice),
    ("technique_gives_the_missing_length", "metacarpal_distraction", {"missing_length_mm": measured_mm(30.0, 1.0)} | _GROWING, Advice),  # pannier-children: 8 to 21
    ("technique_gives_the_missing_length", "metacarpal_distraction", {"missing_length_mm": measured_mm(20.0, 1.0)} | _GROWING, Met),
    ("technique_gives_the_missing_length", "metacarpal_distraction", {"missing_length_mm": _NOT_STATED}, Advice),
    ("growth_wanted_and_technique_grows", "second_toe", _GROWING, Met),
    ("growth_wanted_and_technique_grows", "staged_osteoplastic", _GROWING, Advice),
    ("growth_wanted_and_technique_grows", "staged_osteoplastic", _GROWN, Met),
    ("growth_wanted_and_technique_grows", "second_toe", _MAYBE_GROWING, Advice),
    ("growth_plates_are_closed_for_a_wrap_around", "great_toe_wrap_around", _GROWN, Met),
    ("growth_plates_are_closed_for_a_wrap_around", "great_toe_wrap_around", _GROWING, GRAVE),  # microsurgery-handbook-wrap-around
    ("growth_plates_are_closed_for_a_wrap_around", "great_toe_wrap_around", _MAYBE_GROWING, GRAVE),
    ("no_growth_plate_is_cut_lengthwise", "trimmed_great_toe", _GROWN, Met),
    ("no_growth_plate_is_cut_lengthwise", "trimmed_great_toe", _GROWING, GRAVE),
    ("age_suits_a_groin_flap", "staged_osteoplastic", {"age_years": 50.0}, Met),  # groin-morbidity-44
    ("age_suits_a_groin_flap", "staged_osteoplastic", {"age_years": 51.0}, GRAVE),
)  # fmt: skip


def _kind(answer: RuleAnswer) -> Expected:
    return GRAVE if isinstance(answer, Advice) and answer.grave else type(answer)


def _name(row: tuple[str, str, Changes, Expected]) -> str:
    rule, technique, changes, expected = row
    word = expected if isinstance(expected, str) else expected.__name__
    return f"{rule} {technique} {' '.join(changes)} {word}"


@pytest.mark.parametrize("row", _ON_THE_CASE, ids=_name)
def test_a_rule_turns_on_what_was_found(row: tuple[str, str, Changes, Expected]) -> None:
    rule, key, changes, expected = row
    answer = RULES[rule](BY_KEY[key], situation(changes=changes))
    assert _kind(answer) == expected


@pytest.mark.parametrize("row", _ON_THE_SITUATION, ids=_name)
def test_a_rule_turns_on_what_was_worked_out(row: tuple[str, str, Changes, Expected]) -> None:
    rule, key, changes, expected = row
    answer = RULES[rule](BY_KEY[key], situation(situation_changes=changes))
    assert _kind(answer) == expected


def test_every_rule_stands_in_one_of_the_tables() -> None:
    tested = {row[0] for row in (*_ON_THE_CASE, *_ON_THE_SITUATION)}
    assert tested == set(RULES)


def test_every_rule_says_why_and_on_what_basis() -> None:
    bare = situation()
    blind = situation(situation_changes={"case": unexamined(bare.case)})
    for technique in TECHNIQUES:
        for name in technique.rules:
            for one in (bare, blind):
                answer = RULES[name](technique, one)
                assert answer.reason.endswith("."), name
                assert not answer.basis.source or answer.basis.source in BIBLIOGRAPHY, name
                assert not isinstance(answer, Unsettled) or answer.needed, name


def test_smoking_cites_the_sources_that_disagree() -> None:
    smoker = situation(
        changes={"patient.smoking": Smoking.CURRENT, "patient.cigarettes_per_day": 25.0}
    )
    answer = RULES["smoking_is_no_burden"](BY_KEY["second_toe"], smoker)
    assert isinstance(answer, Advice)
    assert "25 cigarettes a day" in answer.reason
    assert {basis.source for basis in answer.further} >= {"zhu-2017", "ehrl-2018"}
    assert all(basis.source in BIBLIOGRAPHY for basis in answer.further)


def test_a_warning_names_the_other_level_at_which_the_technique_may_not_be_done() -> None:
    unsure = situation(
        situation_changes={
            "level_prob": {Level.MCP_JOINT: 0.8, Level.METACARPAL: 0.1, Level.CMC_JOINT: 0.1},
            "plausible_levels": (Level.MCP_JOINT, Level.METACARPAL, Level.CMC_JOINT),
        }
    )
    answer = RULES["other_plausible_levels_suit"](BY_KEY["second_toe"], unsure)
    assert "level 4" in answer.reason
    assert "level 5" in answer.reason
    assert "contraindicated" in answer.reason


def test_a_rule_that_is_named_reads_as_a_sentence() -> None:
    assert sentence("cmc_joint_is_sound") == "CMC joint is sound"


def test_a_loss_on_the_day_of_the_examination_is_acute() -> None:
    acute = situation(
        changes={
            "injury.happened_on": date(2026, 3, 1),
            "injury.lost_part": LostPart(state=PartState.KEPT_COOL),
        },
        situation_changes={"days_since_loss": 0.0},
    )
    answer = RULES["part_is_fit_for_replantation"](BY_KEY["replantation"], acute)
    assert isinstance(answer, Met)
