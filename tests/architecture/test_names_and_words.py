"""Names carry units and origins, and nothing in the project speaks of where it was written."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CORE = ROOT / "src" / "thumbwright" / "core"
CORE_MODULES = sorted(CORE.rglob("*.py"))
CORE_TESTS = sorted((ROOT / "tests" / "core").rglob("*.py"))

UNITS = tuple(
    f"_{unit}"
    for unit in (
        *("mm", "cm", "px", "deg", "rad", "share", "prob", "kg", "db", "grey", "per_day", "per_mm"),
        *("years", "months", "weeks", "days", "hours", "minutes", "seconds"),
    )
)
UNITLESS = ("_factor", "_ratio", "degrees_of_freedom")
IN_BRACKETS = re.compile(r"\[[^\]]+\]")
"""A unit at the end of the words under a field, which is enough where a suffix reads badly."""
ALIASES = {"Angle": "_deg", "Length": "_mm", "Hours": "_hours"}
OWN_WORDS = {
    "Term.sensitivity": "unit of the result per unit of the input, which its docstring says",
}

TEXT_FOLDERS = ("src", "tests", "tools", "docs", "examples", "benchmarks", "changes", ".ci")
TEXT_ENDINGS = {".py", ".md", ".toml", ".json", ".typ", ".txt", ".cfg", ".yml", ".yaml", ".csv"}
# Each is joined here, so that this file does not find itself.
FORBIDDEN = [
    "".join(parts)
    for parts in (
        ("/wo", "rk/"),
        ("/ro", "ot/"),
        ("/tm", "p/"),
        ("iss", "ue #"),
        ("DEVEL", "OPERS"),
        ("seed ", "document"),
        ("local", "host:"),
        ("helper", "_rules"),
    )
]
RESULT_NAMES = re.compile(r"^_?expected")


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def is_dataclass(node: ast.ClassDef) -> bool:
    return any("dataclass" in ast.unparse(decorator) for decorator in node.decorator_list)


def fields_of(node: ast.ClassDef) -> Iterator[tuple[str, set[str]]]:
    """Yield each field that does not say its unit in words, with the names in its annotation."""
    for part, below in zip(node.body, [*node.body[1:], ast.Pass()], strict=True):
        if isinstance(part, ast.AnnAssign) and isinstance(part.target, ast.Name):
            names = {n.id for n in ast.walk(part.annotation) if isinstance(n, ast.Name)}
            is_said = isinstance(below, ast.Expr) and IN_BRACKETS.search(ast.unparse(below))
            yield part.target.id, set() if is_said else names


def unit_is_said(field: str, kinds: set[str], siblings: set[str]) -> bool:
    aliased = [suffix for alias, suffix in ALIASES.items() if alias in kinds]
    if aliased:
        return field.endswith(tuple(aliased))
    has_suffix = field.endswith((*UNITS, *UNITLESS))
    return "float" not in kinds or has_suffix or "unit" in siblings


@pytest.mark.parametrize("path", CORE_MODULES, ids=name_of)
def test_a_number_in_a_type_of_the_core_says_its_unit(path: Path) -> None:
    silent = []
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ClassDef) and is_dataclass(node):
            fields = dict(fields_of(node))
            silent += [
                f"{node.name}.{field}"
                for field, kinds in fields.items()
                if not unit_is_said(field, kinds, set(fields))
            ]
    assert [name for name in silent if name not in OWN_WORDS] == []


@pytest.mark.parametrize(
    ("field", "kind", "is_said"),
    [
        ("length", "float", False),
        ("length_mm", "float", True),
        ("length", "Length", False),
        ("span_mm", "Angle", False),
        ("span_deg", "Angle", True),
        ("name", "str", True),
    ],
)
def test_a_bare_number_is_found(field: str, kind: str, *, is_said: bool) -> None:
    assert unit_is_said(field, {kind}, {field}) is is_said
    assert unit_is_said(field, {"float"}, {field, "unit"})


@pytest.mark.parametrize("path", CORE_TESTS, ids=name_of)
def test_a_number_to_compare_with_is_named_by_its_origin(path: Path) -> None:
    tree = ast.parse(path.read_text("utf-8"))
    names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    names |= {node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)}
    nameless = {name for name in names if RESULT_NAMES.match(name.lower())}
    assert nameless == set()


@pytest.mark.parametrize("path", CORE_TESTS, ids=name_of)
def test_science_is_not_compared_with_its_own_output(path: Path) -> None:
    assert "snapshot_" not in path.read_text("utf-8")


def texts() -> Iterator[Path]:
    for folder in TEXT_FOLDERS:
        found = sorted((ROOT / folder).rglob("*"))
        yield from (path for path in found if path.suffix in TEXT_ENDINGS and path.is_file())
    yield from (path for path in sorted(ROOT.glob("*")) if path.suffix in TEXT_ENDINGS)


def test_nothing_speaks_of_where_or_why_it_was_written() -> None:
    found = [
        f"{name_of(path)}: {word}"
        for path in texts()
        for word in FORBIDDEN
        if word.casefold() in path.read_text("utf-8").casefold()
    ]
    assert found == []


def test_the_search_for_words_reads_the_project() -> None:
    assert sum(1 for _ in texts()) > 40
