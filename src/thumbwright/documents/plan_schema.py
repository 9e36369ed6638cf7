"""The JSON schema of the plan report, produced from its types."""

import ast
from inspect import getdoc, getsource, isclass
from itertools import pairwise
from typing import Any

from pydantic import TypeAdapter

from thumbwright.core.foundations import answer, sources
from thumbwright.documents import measured_rows, paper_parts, plan_content
from thumbwright.documents.plan_content import FORMAT, PlanPaper

_MODULES = (plan_content, measured_rows, paper_parts, answer, sources)


def plan_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of the plan report.

    Returns
    -------
    dict
        The schema; descriptions are the docstrings of the types and of their fields, and no
        field may stand in the document that is not named.
    """
    schema: dict[str, Any] = TypeAdapter(PlanPaper).json_schema(mode="serialization")
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"Plan report, {FORMAT}",
        **{key: value for key, value in schema.items() if key != "title"},
    }
    _describe(schema, "PlanPaper")
    for name, part in schema["$defs"].items():
        _describe(part, name)
    return schema


def _describe(part: dict[str, Any], name: str) -> None:
    part["description"] = _class_words(name)
    if part.get("type") != "object":
        return
    part["additionalProperties"] = False
    part["required"] = list(part["properties"])
    words = _field_words(name)
    for field, described in part["properties"].items():
        described.pop("title", None)
        described.pop("default", None)
        if field in words:
            described["description"] = words[field]


def _class_words(name: str) -> str:
    for module in _MODULES:
        found = getattr(module, name, None)
        if isclass(found):
            return (getdoc(found) or "").split("\n\n")[0].replace("\n", " ")
    return ""


def _field_words(name: str) -> dict[str, str]:
    """Return the docstring under each field, as written in the source."""
    for module in _MODULES:
        for node in ast.parse(getsource(module)).body:
            if isinstance(node, ast.ClassDef) and node.name == name:
                return _documented(node.body)
    return {}


def _documented(body: list[ast.stmt]) -> dict[str, str]:
    words = {}
    for field, after in pairwise(body):
        if (
            isinstance(field, ast.AnnAssign)
            and isinstance(field.target, ast.Name)
            and isinstance(after, ast.Expr)
            and isinstance(after.value, ast.Constant)
        ):
            text = " ".join(str(after.value.value).split())
            words[field.target.id] = text.replace("None", "null").replace("``", "`")
    return words
