"""The rules of eligibility by name; the catalogue says which of them apply to a technique.

Each rule is a sentence that can be printed with yes, no or unknown. It takes the technique and
the situation and answers with a reason and what the reason rests on. *Not examined* is never
normal: where the finding could close the technique the answer is unsettled, and where it could
only bring a warning the warning says that it was not looked for.
"""

from collections.abc import Mapping

from thumbwright.core.techniques import (
    rules_of_the_defect,
    rules_of_the_feet,
    rules_of_the_fingers,
    rules_of_the_length,
    rules_of_the_level,
    rules_of_the_part,
    rules_of_the_patient,
    rules_of_the_stump,
    rules_of_the_unit,
    rules_of_the_vessels,
)
from thumbwright.core.techniques.rule_answers import Rule

_IN_ORDER: tuple[Rule, ...] = (
    rules_of_the_level.level_suits,
    rules_of_the_level.other_plausible_levels_suit,
    rules_of_the_patient.patient_has_not_refused_it,
    rules_of_the_patient.patient_bears_the_operation,
    rules_of_the_unit.unit_has_microsurgery,
    rules_of_the_unit.unit_can_watch_a_flap,
    rules_of_the_part.part_is_fit_for_replantation,
    rules_of_the_part.lost_part_was_soon_cooled,
    rules_of_the_part.part_can_be_joined_again,
    rules_of_the_stump.cmc_joint_is_sound,
    rules_of_the_stump.thenar_muscles_are_strong,
    rules_of_the_stump.thenar_muscles_can_oppose,
    rules_of_the_stump.tendons_are_there_to_move_it,
    rules_of_the_stump.stump_is_closed,
    rules_of_the_stump.skin_bears_stretching,
    rules_of_the_stump.web_bears_lengthening,
    rules_of_the_stump.web_skin_is_supple,
    rules_of_the_stump.nail_is_lost_or_damaged,
    rules_of_the_defect.there_is_a_defect_to_cover,
    rules_of_the_defect.defect_is_small_enough_to_advance_over,
    rules_of_the_defect.defect_is_small_enough_to_heal_by_itself,
    rules_of_the_defect.pulp_loss_is_large,
    rules_of_the_fingers.index_is_sound_for_pollicization,
    rules_of_the_fingers.enough_fingers_remain,
    rules_of_the_fingers.no_damaged_finger_could_serve_instead,
    rules_of_the_fingers.some_finger_is_damaged_but_of_use,
    rules_of_the_fingers.a_finger_is_left_to_pinch_against,
    rules_of_the_fingers.index_skin_can_be_given,
    rules_of_the_fingers.a_finger_can_give_its_side,
    rules_of_the_fingers.a_finger_can_feed_an_island_flap,
    rules_of_the_feet.second_toe_is_sound_on_some_foot,
    rules_of_the_feet.great_toe_is_sound_on_some_foot,
    rules_of_the_feet.great_or_second_toe_is_sound_on_some_foot,
    rules_of_the_feet.foot_vessels_are_patent,
    rules_of_the_feet.donor_foot_is_healthy,
    rules_of_the_feet.foot_can_spare_it,
    rules_of_the_vessels.recipient_vessels_are_patent,
    rules_of_the_vessels.ulnar_artery_can_feed_the_hand,
    rules_of_the_vessels.vessels_imaged_after_high_voltage,
    rules_of_the_vessels.vessels_imaged_in_a_congenital_hand,
    rules_of_the_length.metacarpal_is_long_enough_to_lengthen,
    rules_of_the_length.technique_gives_the_missing_length,
    rules_of_the_level.growth_wanted_and_technique_grows,
    rules_of_the_level.growth_plates_are_closed_for_a_wrap_around,
    rules_of_the_level.no_growth_plate_is_cut_lengthwise,
    rules_of_the_patient.smoking_is_no_burden,
    rules_of_the_patient.diabetes_is_absent,
    rules_of_the_patient.arteries_are_healthy,
    rules_of_the_patient.blood_clots_normally,
    rules_of_the_patient.age_suits_a_groin_flap,
)

RULES: Mapping[str, Rule] = {rule.__name__: rule for rule in _IN_ORDER}
"""Every rule by its name, in the order in which the reasons are printed."""


def sentence(name: str) -> str:
    """Return a rule's name as a sentence.

    Examples
    --------
    >>> sentence("unit_has_microsurgery")
    'Unit has microsurgery'
    """
    words = name.replace("_", " ")
    return (words[0].upper() + words[1:]).replace("cmc", "CMC").replace("Cmc", "CMC")
