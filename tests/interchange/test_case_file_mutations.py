"""Whatever is done to a case document, the reader gives a case or says what is wrong."""

import json
import tomllib
from dataclasses import fields, replace
from datetime import date
from importlib.resources import files
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from thumbwright.core.case.case import Case
from thumbwright.core.case.contradictions import contradictions
from thumbwright.core.foundations.errors import CaseFileError, Fault
from thumbwright.interchange.case_file import CASE, read_case, write_case
from thumbwright.interchange.schemas import schema_of
from thumbwright.interchange.validation import check_document

CASES = files("thumbwright") / "demo" / "cases"
TEXTS = [
    (CASES / f"{name}.toml").read_text(encoding="utf-8")
    for name in ("farmer", "fitter", "girl", "joiner", "violinist")
]
SCHEMA = Draft202012Validator(schema_of(CASE.model, "case-1"))
WILD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(),
    st.sampled_from(["yes", "no", "not_examined", "lost", "2026-11-02", "0", "left", ""]),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(), st.integers(), max_size=3),
)
QUICK = settings(max_examples=150, deadline=None)


def places_of(value: Any, place: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:  # noqa: ANN401
    """Return every place of a tree but its root."""
    if isinstance(value, dict):
        inner = list(value.items())
    else:
        inner = list(enumerate(value)) if isinstance(value, list) else []
    return [
        found for key, part in inner for found in ((*place, key), *places_of(part, (*place, key)))
    ]


def changed(tree: Any, place: tuple[Any, ...], value: object, how: str) -> None:  # noqa: ANN401
    *way, last = place
    for step in way:
        tree = tree[step]
    if how == "drop":
        del tree[last]
    elif how == "rename" and isinstance(tree, dict):
        tree[f"{last}x"] = tree.pop(last)
    else:
        tree[last] = value


@st.composite
def mutated(draw: st.DrawFn) -> dict[str, Any]:
    """Draw a demo case with some entries dropped, renamed or replaced."""
    tree = tomllib.loads(draw(st.sampled_from(TEXTS)))
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.sampled_from(places_of(tree)))
        how = draw(st.sampled_from(["drop", "rename", "replace", "replace"]))
        changed(tree, place, draw(WILD), how)
        if not tree:
            break
    return tree


def is_case_or_says_why(document: str | bytes) -> bool:
    try:
        return isinstance(read_case(document, "case"), Case)
    except CaseFileError as refused:
        return bool(refused.faults) and all(str(refused).encode() for _ in refused.faults)


@given(tree=mutated())
@QUICK
def test_a_mutated_case_is_a_case_or_says_why(tree: dict[str, Any]) -> None:
    assert is_case_or_says_why(json.dumps(tree, default=date.isoformat))


@given(tree=mutated())
@QUICK
def test_what_the_reader_takes_the_published_schema_takes(tree: dict[str, Any]) -> None:
    text = json.dumps(tree, default=date.isoformat)
    if check_document(text, CASE).document is not None:
        SCHEMA.validate(json.loads(text))


@given(text=st.sampled_from(TEXTS), at=st.integers(0, 5000), cut=st.integers(0, 40), put=st.text())
@QUICK
def test_a_torn_text_is_a_case_or_says_why(text: str, at: int, cut: int, put: str) -> None:
    assert is_case_or_says_why(text[:at] + put + text[at + cut :])


@given(data=st.binary(max_size=300))
@QUICK
def test_any_bytes_say_why_they_are_no_case(data: bytes) -> None:
    assert is_case_or_says_why(data)


@given(case=st.from_type(Case))
@settings(max_examples=60, deadline=None)
def test_every_case_in_plain_letters_is_written_and_read_back(case: Case) -> None:
    patient = replace(case.patient, pseudonym="A", work="", needs=("Tie a knot",))
    feet = replace(case.feet, footwear="")
    injury = replace(case.injury, earlier_operations=())
    plain = replace(case, case_id="7", patient=patient, feet=feet, injury=injury)
    assert case_in(write_case(plain)) == plain


CLASHING = """
thumbwright_case = 1
case_id = "7"
examined_on = 2026-11-02
[patient]
pseudonym = "A"
birth_date = 2030-03-09
sex = "male"
smoking = "never"
cigarettes_per_day = 10
bone_age_years = 9
[injury]
side = "right"
mechanism = "sharp"
happened_on = 2027-01-01
high_voltage = "yes"
several_levels = "no"
earlier_operations = []
[injury.lost_part]
state = "none"
warm_hours = 4
[kept]
nail = "kept"
pulp_lost_share = 0.0
neuroma = "painful"
[kept.ip]
present = "yes"
[kept.mcp]
present = "no"
mobile = "yes"
[wishes]
goals = ["growth", "growth"]
"""


@given(text=st.sampled_from([*TEXTS, CLASHING]), data=st.data())
@QUICK
def test_a_fault_never_makes_contradictions_that_were_not_there(
    text: str, data: st.DataObject
) -> None:
    tree = tomllib.loads(text)
    there = {str(fault) for fault in contradictions_of(text)}
    place = data.draw(st.sampled_from(places_of(tree)))
    changed(tree, place, {"odd": 1}, data.draw(st.sampled_from(["rename", "replace"])))
    document = json.dumps(tree, default=date.isoformat)
    faults = {str(fault) for _, fault in check_document(document, CASE).faults}
    with pytest.raises(CaseFileError) as refused:
        read_case(document, "case")
    assert faults
    assert {str(fault) for fault in refused.value.faults} <= faults | there


def test_a_fault_leaves_the_contradictions_elsewhere_standing() -> None:
    there = contradictions_of(CLASHING)
    with pytest.raises(CaseFileError) as refused:
        read_case(CLASHING.replace('"male"', '"man"'), "case")
    assert refused.value.faults[1:] == there
    assert len(there) >= 8


def case_in(text: str) -> Case:
    document = check_document(text, CASE).document
    assert document is not None
    return Case(**{f.name: getattr(document, f.name) for f in fields(Case)})


def contradictions_of(text: str) -> tuple[Fault, ...]:
    return contradictions(case_in(text))
