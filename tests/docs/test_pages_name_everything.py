"""Every room, file, layer, command, option, target, source and decision has its place on a page."""

import importlib
import re
from fnmatch import fnmatch
from pathlib import Path

import click
import pytest
from tests.docs.pages import DOCS, PAGES, ROOT, commands_in, make_targets_in, name_of, rows, text_of

from thumbwright.cli.commands import commands
from thumbwright.core.foundations.sources import read_bibliography
from thumbwright.core.radiograph.landmarks import Landmark

PACKAGE = ROOT / "src" / "thumbwright"
CORE = PACKAGE / "core"
ROOMS = sorted(path.name for path in CORE.iterdir() if (path / "__init__.py").is_file())
LAYERS = sorted(
    path.stem
    for path in PACKAGE.iterdir()
    if path.suffix == ".py" or (path / "__init__.py").is_file()
)
MAKEFILE = (ROOT / "Makefile").read_text("utf-8")
TARGETS = set(re.findall(r"^([a-z-]+):.*##", MAKEFILE, flags=re.MULTILINE))
DECISIONS = sorted((DOCS / "decisions").glob("[0-9]*.md"))
UNITS = {"_mm": "mm", "_px": "px", "_deg": "deg", "_years": "years", "_prob": "-", "_share": "-"}
DATED = re.compile(
    r"^Date: \d{4}-\d{2}-\d{2}\. Status: (proposed|accepted|replaced by)", flags=re.MULTILINE
)
NAMED_FILES = re.compile(r"`([a-z_]+\*?(?:\.py|\.toml)?)`")


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_has_a_page_and_its_place_in_the_walk(room: str) -> None:
    page = DOCS / "rooms" / f"{room}.md"
    assert page.is_file()
    assert f"(rooms/{room}.md)" in text_of("docs/the-walk.md")


@pytest.mark.parametrize("room", ["foundations", "case", "radiograph", "level"])
def test_a_page_of_a_room_names_every_file_of_it(room: str) -> None:
    text = text_of(f"docs/rooms/{room}.md")
    _, _, holds = text.partition("## What it holds")
    names = [name.removesuffix(".py") for name in NAMED_FILES.findall(holds.partition("\n## ")[0])]
    files = [path.stem for path in (CORE / room).glob("*.py") if path.stem != "__init__"]
    assert [file for file in files if not any(fnmatch(file, name) for name in names)] == []
    missing = [name for name in names if not any(fnmatch(file, name) for file in files)]
    assert [name for name in missing if name != "bibliography.toml"] == []
    assert "## What it may not decide" in text


@pytest.mark.parametrize("layer", [layer for layer in LAYERS if layer != "__init__"])
def test_a_layer_has_its_line_in_the_walk(layer: str) -> None:
    assert re.search(rf"\b{layer}\b", text_of("docs/the-walk.md"))


def test_the_walk_names_files_that_exist() -> None:
    named = re.findall(
        r"`(?:src/thumbwright/)?([a-z_]+/[a-z_/]+\.(?:py|toml))`", text_of("docs/the-walk.md")
    )
    assert len(named) > 10
    assert [name for name in named if not (PACKAGE / name).is_file()] == []


@pytest.mark.parametrize("name", sorted(commands.commands))
def test_a_command_and_its_options_stand_in_the_start(name: str) -> None:
    text = text_of("docs/start.md")
    assert f"python -m thumbwright {name} " in text
    options = [each for each in commands.commands[name].params if isinstance(each, click.Option)]
    assert [opt for each in options for opt in each.opts if opt not in text] == []


CALLS = [(name_of(page), call) for page in PAGES for call in commands_in(page.read_text("utf-8"))]


@pytest.mark.parametrize(("page", "call"), CALLS, ids=[f"{p}: {' '.join(c)}" for p, c in CALLS])
def test_a_command_line_on_a_page_is_one_that_the_program_takes(page: str, call: list[str]) -> None:
    assert call[0] in commands.commands, page
    command = commands.commands[call[0]]
    context = command.make_context(call[0], list(call[1:]))
    assert context.command is command


def test_the_pages_show_every_command_but_the_demonstration_in_use() -> None:
    assert {call[0] for _, call in CALLS} | {"demo"} == set(commands.commands)


def test_what_is_made_on_a_page_can_be_made() -> None:
    called = {target for page in PAGES for target in make_targets_in(page.read_text("utf-8"))}
    assert called - TARGETS == set()
    assert {"run", "test"} <= called


def test_contributing_lists_every_target_of_make() -> None:
    assert make_targets_in(text_of("CONTRIBUTING.md")) | {"help"} == TARGETS


def test_every_source_stands_in_the_list_with_how_far_it_can_be_trusted() -> None:
    known = read_bibliography((CORE / "foundations" / "bibliography.toml").read_text("utf-8"))
    text = text_of("docs/references.md")
    listed = re.findall(r"^- `([^`]+)` \(([^)]+)\): ", text, flags=re.MULTILINE)
    assert dict(listed) == {key: source.provenance.label for key, source in known.items()}
    assert len(listed) == len(known)


def test_every_landmark_stands_in_the_table_of_points() -> None:
    listed = [row[0].strip("`") for row in rows(text_of("docs/films-and-landmarks.md"), "Points")]
    assert listed == [point.value for point in Landmark]


@pytest.mark.parametrize("row", rows(text_of("docs/nomenclature.md"), "Nomenclature"), ids=" ".join)
def test_a_quantity_is_in_the_code_under_the_name_and_unit_that_the_page_says(
    row: list[str],
) -> None:
    _, unit, meaning, place = row
    name = place.strip("`")
    assert meaning.endswith(".")
    assert resolved(f"thumbwright.{name}") is not None
    suffixes = [UNITS[suffix] for suffix in UNITS if name.endswith(suffix)]
    assert suffixes in ([], [unit])


def resolved(path: str) -> object:
    """Return what a dotted path names: a module, or something in one."""
    parts = path.split(".")
    for count in range(len(parts), 0, -1):
        try:
            found: object = importlib.import_module(".".join(parts[:count]))
        except ModuleNotFoundError:
            continue
        for part in parts[count:]:
            found = getattr(found, part)
        return found
    return None


def test_the_nomenclature_is_in_order() -> None:
    names = [row[0] for row in rows(text_of("docs/nomenclature.md"), "Nomenclature")]
    assert names == sorted(set(names))


def test_decisions_are_numbered_dated_and_listed() -> None:
    assert [int(path.name[:4]) for path in DECISIONS] == list(range(1, len(DECISIONS) + 1))
    assert len(DECISIONS) >= 14
    listed = text_of("docs/decisions/README.md")
    assert [path.name for path in DECISIONS if f"({path.name})" not in listed] == []


@pytest.mark.parametrize("path", DECISIONS, ids=name_of)
def test_a_decision_says_when_why_what_and_at_which_cost(path: Path) -> None:
    text = path.read_text("utf-8")
    assert text.startswith(f"# {path.name[:4]} ")
    assert DATED.search(text)
    assert all(f"**{part}.**" in text for part in ("Why", "What", "What it costs"))
