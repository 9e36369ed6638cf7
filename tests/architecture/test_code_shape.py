"""Modules and functions stay small, documented and pure."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "thumbwright"
MOST_MODULE_LINES = 400
MOST_BODY_LINES = 40
MODULES = sorted(PACKAGE.rglob("*.py"))
PURE = [path for path in MODULES if path.relative_to(PACKAGE).parts[0] in {"core", "pathway"}]
SMALL = [*MODULES, *sorted((ROOT / "tools").rglob("*.py"))]
NO_BUSINESS_OF_THE_CORE = {"open", "print", "input", "exec", "eval"}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


def body_lines(function: Function) -> int:
    body = function.body
    if ast.get_docstring(function) and len(body) > 1:
        body = body[1:]
    return (body[-1].end_lineno or body[-1].lineno) - body[0].lineno + 1


def public_parts(node: ast.AST, prefix: str = "") -> Iterator[tuple[str, ast.AST]]:
    """Yield public classes and functions with their names, into classes but not functions."""
    for part in ast.iter_child_nodes(node):
        if isinstance(part, Function | ast.ClassDef) and not part.name.startswith("_"):
            yield f"{prefix}{part.name}", part
            if isinstance(part, ast.ClassDef):
                yield from public_parts(part, f"{part.name}.")


def test_there_are_modules_to_judge() -> None:
    assert len(MODULES) > 20
    assert len(PURE) > 10


@pytest.mark.parametrize("path", SMALL, ids=name_of)
def test_a_module_fits_in_four_hundred_lines(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= MOST_MODULE_LINES


@pytest.mark.parametrize("path", SMALL, ids=name_of)
def test_a_function_fits_in_forty_lines(path: Path) -> None:
    functions = [node for node in ast.walk(tree_of(path)) if isinstance(node, Function)]
    long = {node.name: body_lines(node) for node in functions if body_lines(node) > MOST_BODY_LINES}
    assert long == {}


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_everything_public_says_what_it_is(path: Path) -> None:
    tree = tree_of(path)
    silent = [
        name
        for name, part in public_parts(tree)
        if isinstance(part, Function | ast.ClassDef) and not ast.get_docstring(part)
    ]
    assert ast.get_docstring(tree)
    assert silent == []


@pytest.mark.parametrize("path", PURE, ids=name_of)
def test_the_core_and_the_walk_open_and_print_nothing(path: Path) -> None:
    calls = [node for node in ast.walk(tree_of(path)) if isinstance(node, ast.Call)]
    names = {call.func.id for call in calls if isinstance(call.func, ast.Name)}
    assert names & NO_BUSINESS_OF_THE_CORE == set()


@pytest.mark.parametrize(
    "path", [path for path in MODULES if path.name == "__init__.py"], ids=name_of
)
def test_the_front_of_a_package_holds_no_code(path: Path) -> None:
    tree = tree_of(path)
    front = (ast.Import, ast.ImportFrom, ast.Assign, ast.Expr)
    assert [type(node).__name__ for node in tree.body if not isinstance(node, front)] == []
    assigned = [
        target.id
        for node in tree.body
        if isinstance(node, ast.Assign)
        for target in node.targets
        if isinstance(target, ast.Name)
    ]
    assert set(assigned) <= {"__all__", "__version__"}
