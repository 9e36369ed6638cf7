"""The forms ask for every fact of a case, once, in plain words."""

from collections import Counter
from dataclasses import dataclass

import pytest

from thumbwright.core.case.goals import Goal
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.interchange.case_file import CASE
from thumbwright.interchange.schemas import entries_of
from thumbwright.storage.records import Table
from thumbwright.web.exam_fields import (
    KEPT_ON_OTHER_PAGES,
    FieldKind,
    case_fields,
    field_at,
    fields_of,
)
from thumbwright.web.exam_sections import (
    Entry,
    document_progress,
    exam_pages,
    page_key_of,
    page_of,
)
from thumbwright.web.growth_visits import visit_page

ENTRIES = [entry for page in exam_pages() for entry in page.entries]


def test_every_fact_of_the_document_is_a_field() -> None:
    independent_names = {entry.path for entry in entries_of(CASE.model)} - {CASE.version_key}
    on_other_pages = {name for name in independent_names if "[]" in name}
    assert {field.name for field in case_fields()} == independent_names - on_other_pages
    assert {name.partition("[]")[0] for name in on_other_pages} == {*KEPT_ON_OTHER_PAGES}


def test_every_fact_of_a_growth_visit_is_a_field_of_its_own_page() -> None:
    paths = [entry.path for entry in entries_of(CASE.model)]
    independent_names = {
        path.removeprefix("growth_checks[].") for path in paths if path.startswith("growth_checks")
    }
    assert len(independent_names) == 7
    assert {entry.name for entry in visit_page().entries} == independent_names


def test_every_field_stands_on_exactly_one_page() -> None:
    times = Counter(entry.name for entry in ENTRIES)
    assert times == Counter(field.name for field in case_fields())


def test_the_pages_follow_the_clinician() -> None:
    assert [page.key for page in exam_pages()] == ["hand", "fingers", "feet", "general", "wishes"]


def test_the_left_foot_comes_before_the_right() -> None:
    names = [entry.name for entry in page_of("feet").entries]
    sides = [name.split(".")[1] for name in names if name.startswith(("feet.left", "feet.right"))]
    assert sides == sorted(sides)


def test_a_field_agrees_with_the_type_behind_it() -> None:
    by_hand_two_point = field_at("kept.two_point_mm")
    assert by_hand_two_point.kind is FieldKind.NUMBER
    assert by_hand_two_point.unit == "mm"
    assert by_hand_two_point.may_be_not_examined
    assert not by_hand_two_point.is_required
    assert by_hand_two_point.bounds is not None
    assert (by_hand_two_point.bounds.least, by_hand_two_point.bounds.most) == (1, 40)


def test_a_bound_that_is_itself_not_allowed_is_told_apart() -> None:
    span, share = field_at("kept.first_web_span_mm"), field_at("kept.pulp_lost_share")
    assert span.bounds is not None
    assert span.bounds.above_least
    assert share.bounds is not None
    assert not share.bounds.above_least


@pytest.mark.parametrize(
    ("name", "by_hand_kind"),
    [
        ("patient.birth_date", FieldKind.DATE),
        ("injury.happened_on", FieldKind.DATE),
        ("patient.asa_class", FieldKind.NUMBER),
        ("patient.needs", FieldKind.TEXTS),
        ("feet.footwear", FieldKind.TEXT),
        ("wishes.goals", FieldKind.CHOICES),
        ("kept.nail", FieldKind.CHOICE),
    ],
)
def test_the_kind_of_a_field_follows_from_its_type(name: str, by_hand_kind: FieldKind) -> None:
    assert field_at(name).kind is by_hand_kind


def test_only_what_has_no_default_is_required() -> None:
    by_hand_required = {
        "case_id",
        "examined_on",
        "patient.pseudonym",
        "patient.birth_date",
        "patient.sex",
        "injury.side",
        "injury.mechanism",
    }
    assert {field.name for field in case_fields() if field.is_required} == by_hand_required


def test_a_type_without_a_control_is_refused_by_name() -> None:
    @dataclass(frozen=True, kw_only=True)
    class Odd:
        spell: complex

    with pytest.raises(KnowledgeError, match="spell is of the type"):
        fields_of(Odd)


def test_an_unknown_field_or_page_is_refused_in_words() -> None:
    with pytest.raises(KnowledgeError, match=r"kept\.tail"):
        field_at("kept.tail")
    with pytest.raises(KnowledgeError, match="allowed are hand, fingers"):
        page_of("wings")


@pytest.mark.parametrize("entry", [*ENTRIES, *visit_page().entries], ids=lambda e: e.name)
def test_a_label_is_for_people(entry: Entry) -> None:
    assert entry.label[0].isupper()
    assert "_" not in entry.full_label + entry.hint
    assert not entry.field.unit or entry.field.unit in entry.label
    assert not entry.hint or entry.hint.endswith(".")
    assert all("_" not in words for _, words in entry.options)


def test_not_examined_comes_first_wherever_it_may_be_chosen() -> None:
    choices = [entry for entry in ENTRIES if entry.field.kind is FieldKind.CHOICE]
    for entry in choices:
        is_first = entry.options[0] == ("not_examined", "Not examined")
        assert is_first is entry.field.may_be_not_examined
    assert len(choices) > 60


def test_labels_and_ids_tell_fields_apart() -> None:
    assert max(Counter(entry.full_label for entry in ENTRIES).values()) == 1
    assert max(Counter(entry.element_id for entry in ENTRIES).values()) == 1


def test_an_empty_document_misses_everything_that_is_asked() -> None:
    done, total, missing = document_progress("fingers", {})
    by_hand_fingers, by_hand_other_thumb, by_hand_girths = 4, 1, 3
    assert (done, total) == (0, by_hand_fingers + by_hand_other_thumb + by_hand_girths)
    assert missing[0] == "Fingers of the injured hand: Index finger"


def test_a_written_not_examined_counts_as_missing() -> None:
    done, _, _ = document_progress("fingers", {"fingers": {"index": "not_examined"}})
    assert done == 0


def test_the_motion_of_a_lost_joint_is_not_missed() -> None:
    _, total, _ = document_progress("hand", {})
    done, total_without_ip, missing = document_progress("hand", {"kept": {"ip": {"present": "no"}}})
    assert (done, total - total_without_ip) == (1, 4)
    assert not any("(IP)" in label for label in missing)


def test_the_girths_of_a_lost_toe_are_not_missed() -> None:
    _, total, _ = document_progress("feet", {})
    lost: Table = {"feet": {"left": {"toes": {"second": "lost"}}}}
    done, total_without_toe, missing = document_progress("feet", lost)
    by_hand_girths = 3
    assert (done, total - total_without_toe) == (1, by_hand_girths)
    assert not any("Left foot, girths of toes: Second toe" in label for label in missing)


def test_goals_are_missed_and_refusals_are_not() -> None:
    assert document_progress("wishes", {}) == (0, 1, ("Goals: Goals in the patient's order",))
    assert document_progress("wishes", {"wishes": {"goals": ["length"]}}) == (1, 1, ())


def test_points_and_the_goals_of_others_are_asked_for_and_never_missed() -> None:
    names = [entry.name for entry in page_of("wishes").entries]
    by_hand_points = {f"wishes.{who}_points" for who in ("patient", "guardian", "surgeon")}
    assert {name.rpartition(".")[0] for name in names} == {"wishes", *by_hand_points}
    assert {"wishes.guardian_goals", "wishes.surgeon_goals"} <= set(names)
    assert [entry.name for entry in page_of("wishes").entries if entry.is_ordered] == [
        "wishes.goals",
        "wishes.guardian_goals",
        "wishes.surgeon_goals",
    ]
    given: Table = {"wishes": {"surgeon_points": {"looks": 100}, "guardian_goals": ["looks"]}}
    assert document_progress("wishes", given)[:2] == (0, 1)


def test_every_goal_can_be_given_points_within_bounds() -> None:
    for goal in Goal:
        field = field_at(f"wishes.guardian_points.{goal.value}")
        assert field.bounds is not None
        assert (field.bounds.least, field.bounds.most) == (0, 100)
        assert field.may_be_not_examined


def test_a_fact_knows_its_page() -> None:
    assert page_key_of("kept.nail") == "hand"
    assert page_key_of("girths.other_thumb.nail_mm") == "fingers"
    assert page_key_of("girths.right_foot.second.base_mm") == "feet"
    assert page_key_of("vessel_ways.stump_to_vein_mm") == "hand"
    assert page_key_of("vessel_ways.toe_vein_mm") == "feet"
    assert page_key_of("kept.tail") == ""
