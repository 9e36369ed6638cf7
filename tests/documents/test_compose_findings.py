"""The facts of a case in rows: what was found apart from what nobody looked at."""

from dataclasses import replace
from datetime import date

import pytest

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Finding, Pulse, Side
from thumbwright.core.case.feet import Feet, Foot, Toes, ToeState
from thumbwright.core.case.goals import Goal, Wishes
from thumbwright.core.case.hand import Joint, Kept
from thumbwright.core.case.injury import Injury, LostPart, Mechanism, PartState
from thumbwright.core.case.patient import Patient, Sex, Smoking
from thumbwright.documents.compose_findings import findings, not_examined

BARE = Case(
    case_id="bare",
    examined_on=date(2026, 11, 1),
    patient=Patient(pseudonym="Heron", birth_date=date(1990, 1, 1), sex=Sex.MALE),
    injury=Injury(side=Side.RIGHT, mechanism=Mechanism.SHARP),
)


def found(case: Case) -> dict[tuple[str, str], str]:
    return {(row.group, row.name): row.found for row in findings(case)}


def missing(case: Case) -> set[tuple[str, str]]:
    return {(row.group, name) for row in not_examined(case) for name in row.names}


def test_a_bare_case_has_only_what_it_must_state() -> None:
    assert found(BARE) == {
        ("patient", "sex"): "male",
        ("injury", "side"): "right",
        ("injury", "mechanism"): "sharp",
        ("wishes, in the patient's order", "goals"): "none stated",
    }
    assert len(missing(BARE)) > 60


def test_what_is_found_leaves_the_list_of_what_was_not_examined() -> None:
    seen = replace(BARE, patient=replace(BARE.patient, smoking=Smoking.NEVER))
    assert ("patient", "smoking") in missing(BARE)
    assert missing(seen) == missing(BARE) - {("patient", "smoking")}
    assert found(seen)["patient", "smoking"] == "never"


def test_nothing_stands_both_as_found_and_as_not_examined() -> None:
    feet = Feet(left=Foot(toes=Toes(great=ToeState.SOUND), dorsal_pedal_pulse=Pulse.WEAK))
    case = replace(BARE, feet=feet, kept=Kept(cmc=Joint(present=Finding.YES)))
    assert set(found(case)) & missing(case) == set()
    assert found(case)["LEFT foot", "great toe"] == "sound"
    assert ("LEFT foot", "great toe") not in missing(case)
    assert ("RIGHT foot", "great toe") in missing(case)


def test_the_word_normal_is_never_printed() -> None:
    rows = [*findings(BARE), *not_examined(BARE)]
    assert not any("normal" in str(row) for row in rows)


@pytest.mark.parametrize(
    ("joint", "words", "not_seen"),
    [
        (Joint(present=Finding.NO), "lost", set()),
        (
            Joint(
                present=Finding.YES,
                mobile=Finding.YES,
                stable=Finding.YES,
                range_from_deg=-10,
                range_to_deg=62.5,
            ),
            "there, mobile, stable, −10° to 62.5°",
            set(),
        ),
        (
            Joint(present=Finding.YES, mobile=Finding.NO, stable=Finding.NO),
            "there, stiff, unstable",
            {"range of the MCP joint"},
        ),
        (
            Joint(present=Finding.YES),
            "there",
            {"motion of the MCP joint", "stability of the MCP joint", "range of the MCP joint"},
        ),
    ],
)
def test_a_joint_is_one_finding_and_a_lost_one_has_nothing_left_to_examine(
    joint: Joint, words: str, not_seen: set[str]
) -> None:
    case = replace(BARE, kept=Kept(mcp=joint))
    assert found(case)["injured thumb", "MCP joint"] == words
    assert {name for _, name in missing(case) if "MCP" in name} == not_seen


def test_a_joint_that_nobody_examined_is_not_found_and_wholly_missing() -> None:
    assert ("injured thumb", "MCP joint") not in found(BARE)
    assert len([name for _, name in missing(BARE) if "MCP" in name]) == 4


def test_units_stand_beside_numbers_and_shares_are_percentages() -> None:
    kept = Kept(pulp_lost_share=0.7, two_point_mm=7.0, first_web_span_deg=42.0)
    patient = replace(BARE.patient, height_cm=181.0, cigarettes_per_day=20.0, asa_class=2)
    rows = found(replace(BARE, kept=kept, patient=patient))
    assert rows["injured thumb", "pulp lost"] == "70 %"
    assert rows["injured thumb", "two-point discrimination"] == "7 mm"
    assert rows["injured thumb", "angle of the first web"] == "42°"
    assert rows["patient", "height"] == "181 cm"
    assert rows["patient", "cigarettes"] == "20 a day"
    assert rows["patient", "ASA class"] == "2"


def test_neither_birth_date_nor_pseudonym_is_a_finding() -> None:
    assert not any("Heron" in row.found or "1990" in row.found for row in findings(BARE))


def test_goals_keep_the_order_of_the_patient() -> None:
    wishes = Wishes(goals=(Goal.LOOKS, Goal.MCP_MOTION, Goal.LENGTH))
    rows = found(replace(BARE, wishes=wishes))
    assert (
        rows["wishes, in the patient's order", "goals"] == "looks; motion of the MCP joint; length"
    )


def test_what_cannot_matter_is_not_asked_for() -> None:
    asked = {name for _, name in missing(BARE)}
    assert "high voltage" not in asked
    assert "bone age" not in asked
    burnt = replace(BARE, injury=replace(BARE.injury, mechanism=Mechanism.ELECTRICAL))
    child = replace(BARE, patient=replace(BARE.patient, birth_date=date(2019, 1, 1)))
    assert "high voltage" in {name for _, name in missing(burnt)}
    assert "bone age" in {name for _, name in missing(child)}


def test_hours_without_blood_are_asked_for_only_while_the_part_could_serve() -> None:
    hours = {"lost part uncooled for", "lost part cooled for"}
    for state, asked in ((PartState.KEPT_COOL, hours), (PartState.RUINED, set())):
        injury = replace(BARE.injury, lost_part=LostPart(state=state))
        names = {name for _, name in missing(replace(BARE, injury=injury))}
        assert names & hours == asked
