"""The words of the examination: pages, sections, labels and choices; no code."""

from typing import TypeAlias

from thumbwright.web.exam_words_of_wishes import WISHES

Line: TypeAlias = tuple[str, ...]
"""Dotted path, label, and perhaps a hint in place of the description of the type."""
SectionText: TypeAlias = tuple[str, str, tuple[Line, ...]]
"""Legend, hint, lines."""
PageText: TypeAlias = tuple[str, str, tuple[SectionText, ...]]
"""Key, title, sections."""


def _joint(path: str, legend: str) -> SectionText:
    ends = "Abduction" if path == "kept.cmc" else "Flexion"
    return (
        legend,
        "A fused joint is present and not mobile.",
        (
            (f"{path}.present", "Joint is present"),
            (f"{path}.mobile", "Joint moves"),
            (f"{path}.stable", "Joint is stable"),
            (
                f"{path}.range_from_deg",
                "Active range, from",
                "Straight is 0; beyond straight is negative, such as -10.",
            ),
            (f"{path}.range_to_deg", "Active range, to", f"{ends}, as far as the patient moves."),
        ),
    )


def _foot_vessels(path: str) -> tuple[Line, ...]:
    return (
        (f"{path}.dorsal_pedal_pulse", "Dorsal pedal pulse", "Felt on the back of the foot."),
        (
            f"{path}.posterior_tibial_pulse",
            "Posterior tibial pulse",
            "Felt behind the inner ankle.",
        ),
        (f"{path}.first_web_doppler", "Doppler signal in the first web of the foot"),
        (
            f"{path}.dominant_artery",
            "Artery that feeds the first web",
            "First metatarsal artery that is larger, by Doppler or imaging.",
        ),
    )


def _girths_of_toe(path: str, toe: str, joint: str) -> tuple[Line, ...]:
    return (
        (f"{path}.nail_mm", f"{toe}, at the base of the nail", ""),
        (f"{path}.joint_mm", f"{toe}, round the {joint}", ""),
        (f"{path}.base_mm", f"{toe}, round its base", ""),
    )


def _foot(side: str) -> tuple[SectionText, ...]:
    path, foot = f"feet.{side}", f"{side.capitalize()} foot"
    return (
        (
            f"{foot}, toes",
            "Each toe as a donor.",
            tuple(
                (f"{path}.toes.{toe}", f"{toe.capitalize()} toe")
                for toe in ("great", "second", "third", "fourth", "fifth")
            ),
        ),
        (
            f"{foot}, girths of toes",
            "Taped on the skin, where the toe may become a thumb.",
            (
                *_girths_of_toe(f"girths.{side}_foot.great", "Great toe", "end joint (IP)"),
                *_girths_of_toe(f"girths.{side}_foot.second", "Second toe", "middle joint (PIP)"),
            ),
        ),
        (f"{foot}, pulses and Doppler", "", _foot_vessels(path)),
        (
            f"{foot}, skin and earlier injury",
            "",
            (
                (f"{path}.earlier_injury", "Earlier injury or operation"),
                (f"{path}.infection_or_ulcer", "Infection or ulcer"),
                (f"{path}.loss_of_feeling", "Loss of feeling"),
            ),
        ),
    )


_HAND: PageText = (
    "hand",
    "Injured hand",
    (
        (
            "Skin",
            "Stump, nail and pulp of the injured thumb.",
            (
                ("kept.stump_skin", "Skin over the stump"),
                ("kept.nail", "Nail"),
                (
                    "kept.pulp_lost_share",
                    "Share of the pulp that is lost",
                    "From 0, nothing lost, to 1, all lost; a half is 0.5.",
                ),
                (
                    "kept.pulp_defect_mm",
                    "Open skin defect on the palm side",
                    "Greatest length of a defect that is still open; 0 if there is none.",
                ),
            ),
        ),
        (
            "First web",
            "Between thumb and index finger.",
            (
                (
                    "kept.first_web_span_deg",
                    "Widest angle",
                    "Between the first and second metacarpal.",
                ),
                ("kept.first_web_span_mm", "Widest span"),
                ("kept.first_web_contracture", "Contracture", "How tight the first web is."),
            ),
        ),
        _joint("kept.cmc", "Basal joint of the thumb (CMC)"),
        _joint("kept.mcp", "Middle joint of the thumb (MCP)"),
        _joint("kept.ip", "End joint of the thumb (IP)"),
        (
            "Tendons and muscles",
            "Against resistance, each alone.",
            (
                ("kept.tendons.long_flexor", "Long flexor (FPL)"),
                ("kept.tendons.long_extensor", "Long extensor (EPL)"),
                ("kept.tendons.short_extensor", "Short extensor (EPB)"),
                ("kept.tendons.long_abductor", "Long abductor (APL)"),
                ("kept.tendons.adductor", "Adductor"),
                ("kept.thenar_function", "Thenar muscles", "Opposition and short abduction."),
            ),
        ),
        (
            "Nerves",
            "",
            (
                ("kept.stump_feeling", "Feeling at the stump"),
                (
                    "kept.two_point_mm",
                    "Two-point discrimination at the stump",
                    "Static; the least distance at which two points are told apart.",
                ),
                ("kept.neuroma", "Neuroma"),
            ),
        ),
        (
            "Vessels of hand and forearm",
            "",
            (
                ("recipient_vessels.radial_pulse", "Radial pulse"),
                ("recipient_vessels.ulnar_pulse", "Ulnar pulse"),
                ("recipient_vessels.snuffbox_doppler", "Doppler signal in the snuffbox"),
                ("recipient_vessels.allen_test", "Allen test", "Which arteries fill the hand."),
                ("recipient_vessels.superficial_veins", "Superficial veins"),
                ("recipient_vessels.imaging", "Imaging of the vessels", "By whichever means."),
            ),
        ),
        (
            "Ways to the vessels of the hand",
            "Taped along the skin, for a transfer from the foot.",
            (
                ("vessel_ways.stump_to_artery_mm", "From the end of the stump to the artery"),
                ("vessel_ways.stump_to_vein_mm", "From the end of the stump to the vein"),
                (
                    "vessel_ways.hand_artery_calibre_mm",
                    "Outer width of the artery of the hand",
                    "Where it is to be joined.",
                ),
            ),
        ),
    ),
)

_FINGERS: PageText = (
    "fingers",
    "Other fingers and other thumb",
    (
        (
            "Fingers of the injured hand",
            "",
            tuple(
                (f"fingers.{name}", f"{name.capitalize()} finger")
                for name in ("index", "middle", "ring", "little")
            ),
        ),
        (
            "Other hand",
            "",
            (("other_thumb", "Thumb of the other hand", "It shows the length that is wanted."),),
        ),
        (
            "Girths of the other thumb",
            "Taped on the skin; the pattern for the girth of a new thumb.",
            (
                ("girths.other_thumb.nail_mm", "At the base of the nail", ""),
                ("girths.other_thumb.joint_mm", "Round the end joint (IP)", ""),
                ("girths.other_thumb.base_mm", "Round the middle of the proximal phalanx", ""),
                (
                    "girths.tape_tolerance_mm",
                    "Tolerance of the tape",
                    "Half width within which every girth is true, toes too. Empty counts as 1.5.",
                ),
            ),
        ),
    ),
)

_FEET: PageText = (
    "feet",
    "Feet",
    (
        *_foot("left"),
        *_foot("right"),
        (
            "Ways to the vessels of the toe",
            "Of the toe that is thought of, on either foot; ways are taped along the skin.",
            (
                ("vessel_ways.toe_artery_mm", "From the cut on the toe to the end of its artery"),
                ("vessel_ways.toe_vein_mm", "From the cut on the toe to the end of its vein"),
                (
                    "vessel_ways.toe_artery_calibre_mm",
                    "Outer width of the artery of the toe",
                    "Where it is to be divided.",
                ),
            ),
        ),
        (
            "Both feet, use and footwear",
            "",
            (
                ("feet.barefoot_or_thong_need", "Barefoot or thong sandals"),
                ("feet.high_foot_demand", "High demand on the foot"),
                ("feet.footwear", "Footwear, in words", "What is worn at work and at home."),
            ),
        ),
    ),
)

_GENERAL: PageText = (
    "general",
    "Patient, injury and unit",
    (
        (
            "Case",
            "",
            (("case_id", "Case number or word"), ("examined_on", "Day of the examination", "")),
        ),
        (
            "Patient",
            "",
            (
                ("patient.pseudonym", "Pseudonym"),
                ("patient.birth_date", "Date of birth", ""),
                ("patient.sex", "Sex", "As growth tables need it."),
                ("patient.dominant_hand", "Leading hand"),
                ("patient.work", "Work", "Occupation, schooling or play, in words."),
                (
                    "patient.needs",
                    "What the patient must do again",
                    "In words, one need on each line.",
                ),
            ),
        ),
        (
            "Health",
            "",
            (
                ("patient.smoking", "Smoking"),
                ("patient.cigarettes_per_day", "Cigarettes", "If smoking."),
                ("patient.diabetes", "Diabetes"),
                ("patient.vascular_disease", "Vascular disease"),
                ("patient.clotting_disorder", "Bleeding or clotting disorder"),
                ("patient.asa_class", "ASA class", "ASA physical status, a whole number 1 to 5."),
                ("patient.height_cm", "Height"),
                ("patient.weight_kg", "Weight"),
                ("patient.bone_age_years", "Bone age"),
            ),
        ),
        (
            "Injury",
            "",
            (
                ("injury.side", "Side of the lost thumb", ""),
                ("injury.mechanism", "Mechanism"),
                ("injury.happened_on", "Date of loss", "For a congenital loss, the date of birth."),
                ("injury.high_voltage", "High voltage"),
                ("injury.several_levels", "Several levels"),
                (
                    "injury.earlier_operations",
                    "Earlier operations",
                    "On this thumb or hand, in words, one operation on each line.",
                ),
            ),
        ),
        (
            "Lost part",
            "For the fresh injury only.",
            (
                ("injury.lost_part.state", "What became of the severed part"),
                ("injury.lost_part.warm_hours", "Time without cooling", "Since the loss."),
                ("injury.lost_part.cool_hours", "Time cooled", "Since the loss."),
            ),
        ),
        (
            "Unit and partners",
            "What can be offered, here or at a partner.",
            (
                ("facility.microsurgery", "Microsurgery"),
                ("facility.two_teams", "Two teams at once"),
                ("facility.microscope", "Operating microscope"),
                ("facility.intensive_observation", "Close observation of a flap, day and night"),
                ("facility.hand_therapy", "Hand therapy"),
            ),
        ),
    ),
)

PAGE_TEXTS: tuple[PageText, ...] = (_HAND, _FINGERS, _FEET, _GENERAL, WISHES)

CHOICE_WORDS: dict[tuple[str | int, str], str] = {
    ("", "cmc_motion"): "Motion of the basal joint (CMC)",
    ("", "mcp_motion"): "Motion of the middle joint (MCP)",
    ("", "ip_motion"): "Motion of the end joint (IP)",
    ("", "growth"): "Growth with the child",
    ("", "spare_donor_site"): "Sparing the donor site",
    ("mechanism", "sharp"): "Sharp cut",
    ("mechanism", "avulsion"): "Avulsion (torn off)",
    ("mechanism", "thermal"): "Thermal (burn or frost)",
    ("mechanism", "congenital"): "Congenital (from birth)",
    ("dominant_hand", "not_yet"): "None leads yet",
    ("state", "ruined"): "Ruined, cannot be used",
    ("state", "none"): "No part was severed",
    ("allen_test", "both_fill"): "Both arteries fill the hand",
    ("allen_test", "radial_only"): "Radial artery only",
    ("allen_test", "ulnar_only"): "Ulnar artery only",
    ("allen_test", "neither"): "Neither artery",
    ("dominant_artery", "dorsal"): "Dorsal artery",
    ("dominant_artery", "plantar"): "Plantar artery",
    ("dominant_artery", "equal"): "Both equally",
    ("dominant_artery", "absent"): "Neither is there",
}
