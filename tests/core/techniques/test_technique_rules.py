"""Each rule of eligibility, by the finding that it turns on; the rows stand in a table.

The column *source* names where the expectation comes from; "common practice" means common
practice, no source, and "working assumption" a limit that this program sets itself.
"""

from collections.abc import Mapping
from pathlib import Path

import pytest
from tests.core.techniques.findings import rows_of, situation_of
from tests.core.techniques.worked_situations import (
    BIBLIOGRAPHY,
    BY_KEY,
    TECHNIQUES,
    changed,
    unexamined,
)

from thumbwright.core.techniques.eligibility import eligible
from thumbwright.core.techniques.rule_answers import Advice, Met, NotMet, RuleAnswer, Unsettled
from thumbwright.core.techniques.rules import RULES, sentence

ROWS = rows_of(Path(__file__).with_name("rule_answers.csv"))
_OWN_SOURCES = {"common practice", "working assumption"}


def _kind(answer: RuleAnswer) -> str:
    match answer:
        case Met():
            return "met"
        case NotMet():
            return "not_met"
        case Unsettled():
            return "unsettled"
        case Advice(grave=grave):
            return "grave_advice" if grave else "advice"


@pytest.mark.parametrize(
    "row", ROWS, ids=lambda row: f"{row['rule']} {row['technique']} {row['findings']}"
)
def test_a_rule_turns_on_what_was_found(row: Mapping[str, str]) -> None:
    answer = RULES[row["rule"]](BY_KEY[row["technique"]], situation_of(row["findings"]))
    assert _kind(answer) == row["answer"]


def test_every_rule_stands_in_the_table_with_more_than_one_answer() -> None:
    answers: dict[str, set[str]] = {}
    for row in ROWS:
        answers.setdefault(row["rule"], set()).add(row["answer"])
    assert set(answers) == set(RULES)
    one_sided = {rule for rule, given in answers.items() if len(given) == 1}
    assert not one_sided


def test_every_expectation_says_where_it_comes_from() -> None:
    assert {row["source"] for row in ROWS} <= set(BIBLIOGRAPHY) | _OWN_SOURCES


def test_every_rule_says_why_and_on_what_basis() -> None:
    bare = situation_of("")
    blind = changed(bare, "case", unexamined(bare.case))
    for technique in TECHNIQUES:
        for name in technique.rules:
            for one in (bare, blind):
                answer = RULES[name](technique, one)
                assert answer.reason.endswith("."), name
                assert not answer.basis.source or answer.basis.source in BIBLIOGRAPHY, name
                assert not isinstance(answer, Unsettled) or answer.needed, name


def test_smoking_cites_the_sources_that_disagree() -> None:
    smoker = situation_of("patient.smoking=current; patient.cigarettes_per_day=25")
    answer = RULES["smoking_is_no_burden"](BY_KEY["second_toe"], smoker)
    assert isinstance(answer, Advice)
    assert "25 cigarettes a day" in answer.reason
    assert {basis.source for basis in answer.further} >= {"zhu-2017", "ehrl-2018"}
    assert all(basis.source in BIBLIOGRAPHY for basis in answer.further)


def test_a_warning_names_the_other_level_at_which_the_technique_may_not_be_done() -> None:
    unsure = situation_of("level_prob=3:0.8+4:0.1+5:0.1; plausible=3+4+5")
    answer = RULES["other_plausible_levels_suit"](BY_KEY["second_toe"], unsure)
    assert "level 4" in answer.reason
    assert "level 5" in answer.reason
    assert "contraindicated" in answer.reason
    assert answer.basis.source == "hand-clinics-1992"


def test_what_a_metacarpal_gained_in_children_stands_beside_the_series_of_all_ages() -> None:
    published_pannier_children_mm = "8 to 21 mm in children"
    published_matev_2003_abstract_mm = "In people of all ages it added 20 to 45 mm."
    child = situation_of("growing=yes; missing_length_mm=40")
    answer = RULES["technique_gives_the_missing_length"](BY_KEY["metacarpal_distraction"], child)
    assert isinstance(answer, Advice)
    assert published_pannier_children_mm in answer.reason
    assert published_matev_2003_abstract_mm in answer.reason
    assert answer.basis.source == "pannier-children"
    assert [basis.source for basis in answer.further] == ["matev-2003"]


def test_the_length_that_is_missing_is_said_beside_what_is_added() -> None:
    one = situation_of("missing_length_mm=31")
    rule = RULES["technique_gives_the_missing_length"]
    answers = {
        key: rule(BY_KEY[key], one).reason
        for key in ("metacarpal_distraction", "proximal_phalanx_distraction", "first_web_deepening")
    }
    shorter = ", so the thumb stays shorter than the other."
    assert answers == {
        "metacarpal_distraction": "It adds 20 to 45 mm; 31 mm are missing.",
        "proximal_phalanx_distraction": f"It adds 18 to 26 mm; 31 mm are missing{shorter}",
        "first_web_deepening": f"It adds no bone; 31 mm are missing{shorter}",
    }


def test_what_footwear_means_depends_on_what_is_taken() -> None:
    barefoot = situation_of("feet.barefoot_or_thong_need=yes")
    rule = RULES["foot_can_spare_it"]
    assert "great toe is missed most" in rule(BY_KEY["great_toe"], barefoot).reason
    assert "a scar of the toe" in rule(BY_KEY["toe_pulp_flap"], barefoot).reason


def test_a_warning_that_two_rules_share_is_given_once() -> None:
    weak = situation_of("feet.both.dorsal_pedal_pulse=weak")
    warnings = [one.reason for one in eligible(BY_KEY["second_toe"], weak).warnings]
    assert len(warnings) == len(set(warnings)) == 1


def test_a_refused_toe_closes_by_the_refusal_alone() -> None:
    refused = eligible(BY_KEY["great_toe"], situation_of("wishes.refusals=great_toe"))
    assert [one.rule for one in refused.closed_by] == ["patient_has_not_refused_it"]


@pytest.mark.parametrize(
    ("rule", "technique", "findings", "needed"),
    [
        ("level_suits", "second_toe", "level=unknown", "a film of the injured hand"),
        (
            "metacarpal_is_long_enough_to_lengthen",
            "metacarpal_distraction",
            "metacarpal_left_mm=unknown",
            "a film",
        ),
    ],
)
def test_what_the_measurement_lacked_is_what_is_asked_for(
    rule: str, technique: str, findings: str, needed: str
) -> None:
    answer = RULES[rule](BY_KEY[technique], situation_of(findings))
    assert isinstance(answer, Unsettled)
    assert answer.needed == (needed,)


def test_a_rule_that_is_named_reads_as_a_sentence() -> None:
    assert sentence("cmc_joint_is_sound") == "CMC joint is sound"


@pytest.mark.parametrize(
    ("rule", "findings", "words"),
    [
        ("unit_has_microsurgery", "facility.microsurgery=no", "cannot offer microsurgery"),
        ("unit_has_microsurgery", "facility.microscope=no", "cannot offer a microscope"),
        ("patient_bears_the_operation", "patient.asa_class=4", "a long operation is not risked"),
        ("patient_bears_the_operation", "patient.asa_class=5", "5: an operation is not risked"),
        ("diabetes_is_absent", "patient.diabetes=yes", "odds ratio 1.35"),
        ("diabetes_is_absent", "patient.diabetes=not_examined", "not asked about"),
        ("arteries_are_healthy", "patient.vascular_disease=not_examined", "not asked about"),
        ("blood_clots_normally", "patient.clotting_disorder=not_examined", "not asked about"),
        ("smoking_is_no_burden", "patient.smoking=not_examined", "not asked about"),
        (
            "smoking_is_no_burden",
            "patient.smoking=current; patient.cigarettes_per_day=20",
            "The patient smokes. Necrosis",
        ),
        (
            "smoking_is_no_burden",
            "patient.smoking=current; patient.cigarettes_per_day=20.5",
            "The patient smokes, 20.5 cigarettes a day. Necrosis",
        ),
        ("stump_is_closed", "kept.stump_skin=not_examined", "was not examined"),
        ("web_skin_is_supple", "kept.stump_skin=open_wound", "is an open wound; deepening"),
        ("web_skin_is_supple", "kept.stump_skin=scarred", "is scarred; deepening"),
        ("pulp_loss_is_large", "kept.pulp_lost_share=0.75", "75% of the pulp is lost."),
        ("part_can_be_joined_again", "injury.mechanism=thermal", "Burnt vessels rarely"),
        (
            "other_plausible_levels_suit",
            "level_prob=4:0.8+3:0.2; plausible=3+4",
            "The loss may also be at level 3, at or about the MCP joint (indicated: For an",
        ),
        (
            "other_plausible_levels_suit",
            "level_prob=4:0.8+5:0.2; plausible=4+5",
            "It may be done at no other level that is plausible.",
        ),
        ("other_plausible_levels_suit", "", "No other level is plausible."),
        (
            "recipient_vessels_are_patent",
            "recipient_vessels.allen_test=ulnar_only",
            "a pulse at the wrist may be blood flowing back",
        ),
        (
            "recipient_vessels_are_patent",
            "recipient_vessels.radial_pulse=weak; recipient_vessels.snuffbox_doppler=absent",
            "The radial artery is weak at the wrist and not found in the snuff box.",
        ),
        ("recipient_vessels_are_patent", "recipient_vessels.allen_test=not_examined", "not tested"),
        (
            "no_damaged_finger_could_serve_instead",
            "fingers.ring=partly_lost",
            "The ring finger is partly lost; such a finger is preferred",
        ),
        ("foot_can_spare_it", "feet.barefoot_or_thong_need=yes", "one of the two that hold it"),
        (
            "a_finger_can_feed_an_island_flap",
            "fingers.middle=lost; fingers.ring=lost",
            "Without an island flap from one of them the new thumb feels little.",
        ),
        ("stump_is_closed", "kept.stump_skin=open_wound", "is not soundly covered"),
        ("thenar_muscles_can_oppose", "kept.thenar_function=absent", "muscles are lost"),
        (
            "tendons_are_there_to_move_it",
            "kept.tendons.long_flexor=lost",
            "The long flexor of the thumb is lost; another tendon",
        ),
        (
            "tendons_are_there_to_move_it",
            "kept.tendons.long_flexor=lost; kept.tendons.long_extensor=lost",
            "The long flexor and long extensor of the thumb are lost; another tendon",
        ),
        (
            "tendons_are_there_to_move_it",
            "kept.tendons.long_extensor=not_examined",
            "The long extensor of the thumb was not examined.",
        ),
        ("growth_plates_are_closed_for_a_wrap_around", "growing=yes", "Growth plates are open"),
        ("growth_plates_are_closed_for_a_wrap_around", "growing=unknown", "may be open"),
        ("no_growth_plate_is_cut_lengthwise", "growing=yes", "Growth plates are open"),
        ("no_growth_plate_is_cut_lengthwise", "growing=unknown", "may be open"),
        ("web_bears_lengthening", "kept.first_web_contracture=mild", "web is tight"),
        ("web_bears_lengthening", "kept.first_web_contracture=not_examined", "not examined"),
        (
            "vessels_imaged_after_high_voltage",
            "injury.mechanism=electrical; injury.high_voltage=yes",
            "they were not imaged",
        ),
        (
            "vessels_imaged_after_high_voltage",
            "injury.mechanism=electrical; injury.high_voltage=not_examined",
            "Whether the current was of high voltage is not stated",
        ),
        (
            "vessels_imaged_after_high_voltage",
            (
                "injury.mechanism=electrical; injury.high_voltage=yes; "
                "recipient_vessels.imaging=abnormal"
            ),
            "are damaged",
        ),
    ],
)
def test_the_reason_says_what_was_found(rule: str, findings: str, words: str) -> None:
    assert words in RULES[rule](BY_KEY["second_toe"], situation_of(findings)).reason
