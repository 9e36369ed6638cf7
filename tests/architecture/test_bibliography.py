"""Every source that is named resolves, and every entry of the bibliography is used."""

import ast
import csv
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from thumbwright.core.foundations.sources import Provenance, read_bibliography

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "thumbwright"
BIBLIOGRAPHY = PACKAGE / "core" / "foundations" / "bibliography.toml"
STATEMENT = ("text", "provenance", "source", "locator")
PROVENANCES = {one.value for one in Provenance}
IN_DOCSTRING = re.compile(r"\[([a-z0-9]+(?:-[a-z0-9]+)+)\]_")


@pytest.fixture(scope="module")
def known() -> set[str]:
    return set(read_bibliography(BIBLIOGRAPHY.read_text("utf-8")))


def named_in_code() -> Iterator[tuple[str, str]]:
    """Yield each key named in a docstring, as ``source=...`` or in ``read_at(...)``."""
    for path in sorted(PACKAGE.rglob("*.py")):
        text = path.read_text("utf-8")
        for key in IN_DOCSTRING.findall(text):
            yield path.name, key
        for node in ast.walk(ast.parse(text)):
            value = source_of(node)
            if isinstance(value, ast.Constant) and isinstance(value.value, str) and value.value:
                yield path.name, value.value


def source_of(node: ast.AST) -> ast.AST | None:
    if isinstance(node, ast.keyword) and node.arg == "source":
        return node.value
    is_read_at = isinstance(node, ast.Call) and ast.unparse(node.func) == "read_at"
    return node.args[0] if is_read_at and isinstance(node, ast.Call) else None


def source_of_statement(parts: list[Any]) -> Iterator[str]:
    """Yield the source of a list that ends in provenance, source and locator."""
    *_, provenance, source, _ = parts if len(parts) >= len(STATEMENT) else (None,) * 3
    if isinstance(provenance, str) and provenance in PROVENANCES and isinstance(source, str):
        yield source


def sources_in(value: Any) -> Iterator[str]:  # noqa: ANN401
    if isinstance(value, dict):
        source = value.get("source")
        if isinstance(source, str) and source:
            yield source
        for inner in value.values():
            yield from sources_in(inner)
    elif isinstance(value, list):
        yield from source_of_statement(value)
        for inner in value:
            yield from sources_in(inner)


def named_in_data() -> Iterator[tuple[str, str]]:
    """Yield each ``source = "key"``, each statement's source and each source in a table."""
    for path in sorted(PACKAGE.rglob("*.toml")):
        if path != BIBLIOGRAPHY:
            for key in sources_in(tomllib.loads(path.read_text("utf-8"))):
                yield path.name, key
    for path in sorted(PACKAGE.rglob("*.csv")):
        lines = path.read_text("utf-8").splitlines()
        for row in csv.DictReader(line for line in lines if not line.startswith("#")):
            if row.get("source"):
                yield path.name, row["source"]


def test_every_named_source_is_in_the_bibliography(known: set[str]) -> None:
    named = {*named_in_code(), *named_in_data()}
    assert sorted(f"{place}: {key}" for place, key in named if key not in known) == []


def test_no_entry_of_the_bibliography_is_orphaned(known: set[str]) -> None:
    named = {key for _, key in (*named_in_code(), *named_in_data())}
    assert sorted(known - named) == []


def test_the_sources_of_rules_and_of_the_catalogue_are_found() -> None:
    assert ("rules_of_the_part.py", "fijany-2024") in named_in_code()
    assert ("catalogue.toml", "wang-1997") in named_in_data()
    assert ("studies.csv", "yim-2004") in named_in_data()
    assert list(sources_in(["indicated", "So.", "read", "a-key", "text"])) == ["a-key"]
    assert list(sources_in(["So.", "common_practice"])) == []
