"""The plan as JSON: the same content as the paper, checked by a schema made of the types."""

import json
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from pydantic import TypeAdapter

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.documents.plan_content import PlanPaper
from thumbwright.documents.plan_report import plain, write_json
from thumbwright.documents.plan_schema import plan_schema

DOCUMENT = Path(__file__).parents[2] / "docs" / "plan-json.md"


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    return plan_schema()


def test_two_runs_give_the_same_text(example: PlanPaper) -> None:
    assert write_json(example) == write_json(example)
    assert write_json(example).endswith("}\n")


def test_the_schema_accepts_the_plan(schema: dict[str, Any], example: PlanPaper) -> None:
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(json.loads(write_json(example)))


def test_the_schema_accepts_unknown_sections(schema: dict[str, Any], example: PlanPaper) -> None:
    why = Unknown(reason="no film was given", needed=("a film",))
    empty = replace(
        example, films=why, lengths=why, budgets=why, cuts=why, scale=why, options=why, criteria=why
    )
    jsonschema.Draft202012Validator(schema).validate(json.loads(write_json(empty)))


@pytest.mark.parametrize("fault", ["dropped", "added", "misnamed", "worded"])
def test_the_schema_refuses_what_is_not_the_plan(
    fault: str, schema: dict[str, Any], example: PlanPaper
) -> None:
    content = json.loads(write_json(example))
    if fault == "dropped":
        del content["glance"]["level"]
    elif fault == "added":
        content["mood"] = "good"
    elif fault == "misnamed":
        content["format"] = "thumbwright-plan/2"
    else:
        content["options"][0]["state"] = "ajar"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schema).validate(content)


def test_the_json_read_back_is_the_paper(example: PlanPaper) -> None:
    assert TypeAdapter(PlanPaper).validate_json(write_json(example)) == example


def test_hostile_letters_come_back_as_they_were(example: PlanPaper) -> None:
    name = '#panic() "\\ <script> \u202e ש \x00 漢'
    assert json.loads(write_json(replace(example, pseudonym=name)))["pseudonym"] == name


def test_half_a_letter_does_not_stop_the_plan(example: PlanPaper) -> None:
    text = write_json(replace(example, pseudonym="a\ud800b"))
    assert json.loads(text.encode())["pseudonym"] == "a?b"


def test_a_source_that_is_not_listed_is_refused(example: PlanPaper) -> None:
    with pytest.raises(KnowledgeError, match="which its list of sources does not hold"):
        write_json(replace(example, sources=()))


def test_what_is_no_part_of_a_paper_is_refused() -> None:
    with pytest.raises(KnowledgeError, match="allowed are text, numbers, dates"):
        plain(object(), str)


def test_every_part_and_field_of_the_schema_is_described(schema: dict[str, Any]) -> None:
    for name, part in [("PlanPaper", schema), *schema["$defs"].items()]:
        assert part["description"], name
        silent = [
            field
            for field, described in part.get("properties", {}).items()
            if "description" not in described and (name, field) != ("Basis", "provenance")
        ]
        assert silent == [], name


def test_the_handbook_names_every_field_of_every_part(
    schema: dict[str, Any], example: PlanPaper
) -> None:
    sections = {
        section.splitlines()[0].strip("# "): section
        for section in DOCUMENT.read_text("utf-8").replace("### ", "## ").split("\n## ")
    }
    for field in fields(example):
        assert f"| `{field.name}` |" in sections["The document"]
    for name, part in schema["$defs"].items():
        for field_name in part.get("properties", {}):
            assert f"| `{field_name}` |" in sections[name], (name, field_name)


def test_no_part_holds_what_json_cannot(example: PlanPaper) -> None:
    def kinds(part: object) -> set[type]:
        if is_dataclass(part):
            return set().union(*(kinds(getattr(part, field.name)) for field in fields(part)))
        if isinstance(part, tuple):
            return set().union(*(kinds(item) for item in part)) if part else set()
        return {Enum} if isinstance(part, Enum) else {type(part)}

    assert {kind.__name__ for kind in kinds(example)} <= {
        "str", "int", "float", "bool", "NoneType", "date", "Enum",
    }  # fmt: skip
