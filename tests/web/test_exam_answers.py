"""Answers become edits or faults; nothing that was typed is lost, and nothing raises."""

import json
from dataclasses import replace
from datetime import date
from importlib.resources import files
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from thumbwright.core.case.case import Case
from thumbwright.core.case.feet import Feet
from thumbwright.core.case.girths import Girths, VesselWays
from thumbwright.core.case.goals import Wishes
from thumbwright.core.case.hand import Fingers, Kept
from thumbwright.core.case.injury import Injury
from thumbwright.core.case.patient import Patient
from thumbwright.interchange.case_file import CASE, read_case, write_case
from thumbwright.interchange.validation import check_document
from thumbwright.storage.documents import with_value
from thumbwright.web.exam_answers import (
    Answered,
    answers_to_edits,
    by_field,
    field_name,
    form_values,
    places_in_words,
)
from thumbwright.web.exam_sections import exam_pages, page_of

CASES = files("thumbwright") / "demo" / "cases"
DEMOS = ("farmer", "fitter", "girl", "joiner", "violinist")
PAGES = [page.key for page in exam_pages()]
NAMES = [entry.name for page in exam_pages() for entry in page.entries]

texts = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=40)
cases = st.builds(
    Case,
    case_id=texts.filter(bool),
    examined_on=st.dates(),
    patient=st.from_type(Patient),
    injury=st.from_type(Injury),
    kept=st.from_type(Kept),
    fingers=st.from_type(Fingers),
    feet=st.from_type(Feet),
    wishes=st.from_type(Wishes),
    girths=st.from_type(Girths),
    vessel_ways=st.from_type(VesselWays),
)
odd_values = st.lists(
    st.one_of(
        st.text(st.characters(), max_size=30),
        st.sampled_from(["", "not_examined", "yes", "1e999", "-0", "−3,5", "1,2,3", "0x1", "nan"]),
        st.floats().map(str),
    ),
    max_size=4,
)


def table_of(name: str) -> dict[str, Any]:
    case = read_case((CASES / f"{name}.toml").read_bytes(), name)
    table: dict[str, Any] = json.loads(write_case(case))
    return table


def values(answered: Answered) -> dict[str, object]:
    return {".".join(map(str, edit.path)): edit.value for edit in answered.edits}


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("page", PAGES)
def test_a_page_that_nobody_touched_changes_nothing(name: str, page: str) -> None:
    table = table_of(name)
    answered = answers_to_edits(page, form_values(page, table), table)
    assert answered.edits == ()
    assert answered.faults == ()
    assert answered.warnings == ()


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(case=cases, lines=st.lists(texts.filter(bool), max_size=3), text=texts)
def test_any_case_written_into_the_forms_reads_back_unchanged(
    case: Case, lines: list[str], text: str
) -> None:
    named = replace(case.patient, pseudonym=text or " ", work=text, needs=tuple(lines))
    operated = replace(case.injury, earlier_operations=("a  b", " c\nd", *lines))
    shod = replace(case.feet, footwear=f"{text}\n shoes")
    table = json.loads(write_case(replace(case, patient=named, injury=operated, feet=shod)))
    for page in PAGES:
        answered = answers_to_edits(page, form_values(page, table), table)
        assert (answered.edits, answered.faults) == ((), ())


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(case=cases)
def test_the_forms_of_a_case_fill_an_empty_document_with_the_same_case(case: Case) -> None:
    clean = replace(case, case_id="7", patient=replace(case.patient, pseudonym="A", work=""))
    clean = replace(clean, patient=replace(clean.patient, needs=("to write",)))
    clean = replace(clean, injury=replace(clean.injury, earlier_operations=()))
    clean = replace(clean, feet=replace(clean.feet, footwear="boots"))
    clean = replace(clean, wishes=replace(clean.wishes, refusals=()))
    table = json.loads(write_case(clean))
    filled: dict[str, Any] = {"thumbwright_case": 1}
    for page in PAGES:
        for edit in answers_to_edits(page, form_values(page, table), filled).edits:
            filled = with_value(filled, edit.path, edit.value)
    again = check_document(json.dumps(filled), CASE)
    assert again.faults == ()
    assert again.document == check_document(write_case(clean), CASE).document


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(form=st.dictionaries(st.sampled_from(NAMES), odd_values, max_size=12))
def test_strange_answers_never_raise_and_never_reach_the_document(
    form: dict[str, list[str]],
) -> None:
    for page in PAGES:
        answered = answers_to_edits(page, form, {})
        filled: dict[str, Any] = {"thumbwright_case": 1}
        for edit in answered.edits:
            filled = with_value(filled, edit.path, edit.value)
        found = check_document(json.dumps(filled), CASE).faults
        assert all(fault.given == "nothing" for _, fault in found)
        on_page = {entry.name for entry in page_of(page).entries}
        assert {field_name(fault) for fault in answered.faults} <= on_page


@pytest.mark.parametrize(
    ("typed", "by_hand_mm"), [("6,5", 6.5), ("6.5", 6.5), (" 7 ", 7.0), ("1e1", 10.0)]
)
def test_a_number_takes_a_comma_or_a_point(typed: str, by_hand_mm: float) -> None:
    answered = answers_to_edits("hand", {"kept.two_point_mm": [typed]}, {})
    assert values(answered) == {"kept.two_point_mm": by_hand_mm}


def test_a_typographic_minus_is_a_minus() -> None:
    answered = answers_to_edits("hand", {"kept.ip.range_from_deg": ["−10"]}, {})
    assert values(answered) == {"kept.ip.range_from_deg": -10}


@pytest.mark.parametrize("nothing", ["", "  ", "not_examined"])
@pytest.mark.parametrize(
    ("name", "value"), [("nail", "kept"), ("two_point_mm", 6), ("stump_skin", "thin")]
)
def test_nothing_takes_the_entry_out(name: str, value: object, nothing: str) -> None:
    table: dict[str, Any] = {"kept": {name: value}}
    answered = answers_to_edits("hand", {f"kept.{name}": [nothing]}, table)
    assert values(answered) == {f"kept.{name}": None}
    assert answered.faults == ()


def test_what_was_not_posted_stays() -> None:
    table = table_of("joiner")
    assert answers_to_edits("hand", {}, table).edits == ()
    assert answers_to_edits("wishes", {"wishes.refusals": [""]}, {}).edits == ()


def test_every_fault_is_told_at_once_and_the_sound_answers_are_kept() -> None:
    form = {
        "kept.two_point_mm": ["abc"],
        "kept.nail": ["kpt"],
        "kept.pulp_lost_share": ["1.5"],
        "kept.stump_skin": ["thin"],
    }
    answered = answers_to_edits("hand", form, {})
    assert set(by_field(answered.faults)) == {
        "kept.two_point_mm",
        "kept.nail",
        "kept.pulp_lost_share",
    }
    assert values(answered) == {"kept.stump_skin": "thin"}
    assert {name: list(answered.values[name]) for name in form} == form


def test_a_fault_says_what_was_given_what_is_allowed_and_what_to_do() -> None:
    (fault,) = answers_to_edits("hand", {"kept.two_point_mm": ["0,5"]}, {}).faults
    assert fault.path == "kept.two_point_mm"
    assert fault.given == '"0,5"'
    assert fault.allowed == "a number from 1 to 40 [mm], or not examined"
    assert "comma" in fault.advice
    assert places_in_words(fault) == "Nerves: Two-point discrimination at the stump [mm]"


@pytest.mark.parametrize(
    ("name", "typed", "stored"),
    [
        ("patient.asa_class", "2,5", 2.5),
        ("patient.asa_class", "6", 6),
        ("patient.birth_date", "0", "0"),
        ("patient.birth_date", "9.3.1985", "9.3.1985"),
        ("patient.sex", "not_examined", "not_examined"),
        ("injury.happened_on", "2026-02-30", "2026-02-30"),
        ("case_id", "x" * 41, "x" * 41),
        ("patient.pseudonym", "a\x07b", "a\x07b"),
        ("patient.height_cm", "1,75", 1.75),
    ],
)
def test_forms_refuse_what_files_refuse(name: str, typed: str, stored: Any) -> None:  # noqa: ANN401
    (fault,) = answers_to_edits("general", {name: [typed]}, {}).faults
    table = with_value({"thumbwright_case": 1}, name.split("."), stored)
    faults = check_document(json.dumps(table), CASE).faults
    of_file = [of_file for place, of_file in faults if ".".join(map(str, place)) == name]
    assert [of_file.path for of_file in of_file] == [fault.path]


def test_one_line_too_many_letters_is_told_by_its_place() -> None:
    form = {"patient.needs": ["to write\r\n\r\n" + "x" * 201]}
    (fault,) = answers_to_edits("general", form, {}).faults
    assert fault.path == "patient.needs[1]"
    assert field_name(fault) == "patient.needs"


def test_lines_become_a_list_and_blank_ones_go() -> None:
    answered = answers_to_edits("general", {"patient.needs": ["to write\r\n\r\n to cook "]}, {})
    assert values(answered) == {"patient.needs": ["to write", "to cook"]}


def test_goals_keep_the_order_of_the_patient_and_gaps_close() -> None:
    answered = answers_to_edits("wishes", {"wishes.goals": ["looks", "", "length"]}, {})
    assert values(answered) == {"wishes.goals": ["looks", "length"]}


def test_the_order_of_refusals_says_nothing_and_that_of_goals_does() -> None:
    table: dict[str, Any] = {
        "wishes": {"refusals": ["prosthesis", "any_toe"], "goals": ["looks", "length"]}
    }
    form = {
        "wishes.refusals": ["", "any_toe", "prosthesis"],
        "wishes.goals": ["length", "looks"],
    }
    assert values(answers_to_edits("wishes", form, table)) == {"wishes.goals": ["length", "looks"]}


def test_a_goal_at_two_ranks_is_a_warning_and_can_be_saved() -> None:
    answered = answers_to_edits("wishes", {"wishes.goals": ["length", "length"]}, {})
    assert answered.faults == ()
    assert answered.edits
    assert list(by_field(answered.warnings)) == ["wishes.goals"]


def test_a_contradiction_in_a_half_filled_case_is_a_warning_beside_both_fields() -> None:
    form = {"kept.cmc.present": ["no"], "kept.cmc.mobile": ["yes"]}
    answered = answers_to_edits("hand", form, {})
    assert len(answered.edits) == 2
    assert answered.faults == ()
    assert set(by_field(answered.warnings)) == {"kept.cmc.present", "kept.cmc.mobile"}
    assert "(CMC): Joint moves: no and yes" in answered.warnings[0].given


def test_what_is_still_missing_is_no_contradiction() -> None:
    assert answers_to_edits("general", {}, {}).warnings == ()


def test_a_contradiction_of_another_page_is_not_shown() -> None:
    table: dict[str, Any] = {"kept": {"cmc": {"present": "no", "mobile": "yes"}}}
    assert answers_to_edits("fingers", {}, table).warnings == ()


def test_an_endless_answer_is_refused_without_being_read() -> None:
    answered = answers_to_edits("feet", {"feet.footwear": ["x" * 1_000_000]}, {})
    assert answered.edits == ()
    assert [fault.path for fault in answered.faults] == ["feet.footwear"]


def test_a_document_that_has_no_table_there_is_a_fault_in_words() -> None:
    broken: dict[str, Any] = {"patient": "Ada"}
    answered = answers_to_edits("general", {"patient.work": ["joiner"]}, broken)
    assert answered.edits == ()
    assert "patient is no table" in answered.faults[0].given


def test_a_first_case_can_be_filled_from_nothing() -> None:
    form = {
        "case_id": ["7"],
        "examined_on": ["2026-11-02"],
        "patient.pseudonym": ["A"],
        "patient.birth_date": ["1985-03-09"],
        "patient.sex": ["male"],
        "injury.side": ["right"],
        "injury.mechanism": ["sharp"],
    }
    filled: dict[str, Any] = {"thumbwright_case": 1}
    for edit in answers_to_edits("general", form, {}).edits:
        filled = with_value(filled, edit.path, edit.value)
    assert read_case(json.dumps(filled), "case").examined_on == date(2026, 11, 2)
