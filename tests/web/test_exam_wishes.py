"""The page of wishes takes the goals and points of three voices, each for itself."""

from thumbwright.web.exam_answers import answers_to_edits, form_values
from thumbwright.web.exam_sections import entry_named


def test_points_and_goals_of_a_voice_become_facts() -> None:
    answered = answers_to_edits(
        "wishes",
        {
            "wishes.surgeon_points.stability": ["100"],
            "wishes.surgeon_points.looks": ["12,5"],
            "wishes.guardian_goals": ["growth", "", "spare_donor_site"],
        },
        {},
    )
    assert answered.faults == ()
    edits = {edit.path: edit.value for edit in answered.edits}
    by_hand_edits = {
        ("wishes", "surgeon_points", "stability"): 100.0,
        ("wishes", "surgeon_points", "looks"): 12.5,
        ("wishes", "guardian_goals"): ["growth", "spare_donor_site"],
    }
    assert edits == by_hand_edits


def test_more_than_a_hundred_points_are_refused_with_what_is_allowed() -> None:
    answered = answers_to_edits("wishes", {"wishes.patient_points.length": ["101"]}, {})
    (fault,) = answered.faults
    assert fault.path == "wishes.patient_points.length"
    assert "a number from 0 to 100" in fault.allowed
    assert answered.values["wishes.patient_points.length"] == ("101",)


def test_points_that_put_another_goal_first_are_a_warning_beside_both_and_can_be_saved() -> None:
    answered = answers_to_edits(
        "wishes",
        {
            "wishes.goals": ["length", "looks"],
            "wishes.patient_points.length": ["40"],
            "wishes.patient_points.looks": ["100"],
        },
        {},
    )
    (warning,) = answered.warnings
    assert warning.path.split(" and ") == [
        "wishes.goals",
        "wishes.patient_points.length",
        "wishes.patient_points.looks",
    ]
    assert "Points of the patient: Looks [points]" in warning.given
    assert len(answered.edits) == 3


def test_a_goal_reads_alike_in_every_order() -> None:
    for name in ("wishes.goals", "wishes.guardian_goals", "wishes.surgeon_goals"):
        entry = entry_named(name)
        assert entry is not None
        assert entry.words_of("spare_donor_site") == "Sparing the donor site"
        assert entry.words_of("growth") == "Growth with the child"


def test_points_stand_in_the_form_as_they_were_recorded() -> None:
    values = form_values("wishes", {"wishes": {"patient_points": {"feeling": 70.0}}})
    assert values["wishes.patient_points.feeling"] == ("70",)
    assert values["wishes.patient_points.looks"] == ("",)
