"""The published schema and guide say what the types say."""

import json
import re
import runpy
import tomllib
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from thumbwright.core.case.growth_checks import PlatesSeen
from thumbwright.core.foundations.errors import CaseFileError
from thumbwright.interchange.case_file import read_case

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
TOOL = runpy.run_path(str(ROOT / "tools" / "write_schemas.py"))
CASES = files("thumbwright") / "demo" / "cases"
DEMOS = ("farmer", "fitter", "girl", "joiner", "violinist")


def published(name: str) -> Any:  # noqa: ANN401
    return json.loads((DOCS / "schemas" / f"{name}.schema.json").read_text("utf-8"))


def as_json(document: str) -> Any:  # noqa: ANN401
    return json.loads(json.dumps(tomllib.loads(document), default=date.isoformat))


def test_every_schema_file_is_what_the_types_give_today() -> None:
    names = {path.name for path in (DOCS / "schemas").iterdir()}
    assert names == {f"{name}.schema.json" for name in TOOL["DOCUMENTS"]}
    for name in TOOL["DOCUMENTS"]:
        text = (DOCS / "schemas" / f"{name}.schema.json").read_text("utf-8")
        assert text == TOOL["schema_text"](name), "run tools/write_schemas.py"


def test_every_guide_has_the_keys_of_today() -> None:
    for name in TOOL["GUIDES"]:
        text = (DOCS / name).read_text("utf-8")
        assert text == TOOL["guide_text"](name, text), "run tools/write_schemas.py"


def test_the_case_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(published("case-1"))


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_case_fits_the_published_schema(name: str) -> None:
    document = as_json((CASES / f"{name}.toml").read_text(encoding="utf-8"))
    Draft202012Validator(published("case-1")).validate(document)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("thumbwright_case = 1", "thumbwright_case = 2"),
        ('nail = "lost"', 'nial = "lost"'),
        ('nail = "lost"', 'nail = "gone"'),
        ("range_to_deg = 50", "range_to_deg = 300"),
        ('sex = "male"', ""),
    ],
)
def test_what_the_published_schema_refuses_the_reader_refuses(before: str, after: str) -> None:
    document = (CASES / "joiner.toml").read_text(encoding="utf-8").replace(before, after)
    validator = Draft202012Validator(published("case-1"))
    assert not validator.is_valid(as_json(document))
    with pytest.raises(CaseFileError):
        read_case(document, "joiner.toml")


def test_the_short_example_of_the_guide_is_a_case() -> None:
    text = (DOCS / "case-file.md").read_text("utf-8")
    example, *_ = re.findall(r"```toml\n(.*?)```", text, flags=re.DOTALL)
    assert read_case(example, "example").patient.pseudonym == "Joiner 41"


def test_the_further_examples_of_the_guide_go_on_with_the_short_one() -> None:
    text = (DOCS / "case-file.md").read_text("utf-8")
    case = read_case("\n".join(re.findall(r"```toml\n(.*?)```", text, flags=re.DOTALL)), "all")
    assert case.girths.left_foot.great.nail_mm == 78
    assert case.vessel_ways.stump_to_artery_mm == 45
    (check,) = case.growth_checks
    assert (check.thumb_mm, check.plates) == (61.5, PlatesSeen.OPEN)


def test_the_messages_in_the_guide_are_those_of_the_reader() -> None:
    text = (DOCS / "case-file.md").read_text("utf-8")
    (message,) = re.findall(r"```text\n(.*?)\n```", text, flags=re.DOTALL)
    example, *_ = re.findall(r"```toml\n(.*?)```", text, flags=re.DOTALL)
    document = example.replace("range_to_deg = 50", "range_to_deg = 300")
    with pytest.raises(CaseFileError) as refused:
        read_case(document.replace('"current"', '"never"'), "joiner.toml")
    assert str(refused.value) == message
