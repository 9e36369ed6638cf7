"""How the tests read the pages: blocks, links, headings, tables and commands."""

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
PAGES = (*sorted(ROOT.glob("*.md")), *sorted(DOCS.rglob("*.md")))
FENCE = re.compile(r"^ *```(\w*)\n(.*?)^ *```$", flags=re.DOTALL | re.MULTILINE)
INLINE = re.compile(r"`([^`\n]+)`")
LINK = re.compile(r"\]\(([^)\s]+)\)")
HEADING = re.compile(r"^#+ (.*)$", flags=re.MULTILINE)
PROGRAM = "python -m thumbwright"


def name_of(page: Path) -> str:
    """Return a page's name from the root of the project."""
    return page.relative_to(ROOT).as_posix()


def text_of(page: str) -> str:
    """Return a page by its name from the root of the project."""
    return (ROOT / page).read_text("utf-8")


def blocks(text: str, language: str) -> list[str]:
    """Return the fenced blocks of one language."""
    return [body for found, body in FENCE.findall(text) if found == language]


def outside_of_blocks(text: str) -> str:
    """Return a page without its fenced blocks."""
    return FENCE.sub("", text)


def links(text: str) -> list[str]:
    """Return the targets of all links."""
    return LINK.findall(outside_of_blocks(text))


def anchors(text: str) -> set[str]:
    """Return what the headings of a page are called in a link."""
    words = (heading.lower() for heading in HEADING.findall(outside_of_blocks(text)))
    return {re.sub(r"[^\w\- ]", "", heading).strip().replace(" ", "-") for heading in words}


def commands_in(text: str) -> Iterator[list[str]]:
    """Yield the words of each command line of the program that stands in a page."""
    lines = [line.strip() for block in blocks(text, "sh") for line in block.splitlines()]
    for line in lines + INLINE.findall(outside_of_blocks(text)):
        if line.startswith(PROGRAM):
            yield shlex.split(line.removeprefix(PROGRAM))


def make_targets_in(text: str) -> set[str]:
    """Return the targets of each call of make that stands in a page."""
    lines = [line.strip() for block in blocks(text, "sh") for line in block.splitlines()]
    called = [line.split()[1:] for line in lines + INLINE.findall(text) if line.startswith("make ")]
    return {word for words in called for word in words}


def rows(text: str, heading: str) -> list[list[str]]:
    """Return the cells of all tables below a heading, without the heads of the tables."""
    _, _, below = text.partition(f" {heading}\n")
    section = re.split(r"^#", below, maxsplit=1, flags=re.MULTILINE)[0]
    lines = [line for line in section.splitlines() if line.startswith("|")]
    rules = [at for at, line in enumerate(lines) if set(line) <= set("|-: ")]
    heads = {at - 1 for at in rules} | set(rules)
    kept = [line for at, line in enumerate(lines) if at not in heads]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in kept]
