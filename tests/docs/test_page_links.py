"""Every page can be reached, and every link leads somewhere."""

import re
from pathlib import Path

import pytest
from tests.docs.pages import DOCS, PAGES, ROOT, anchors, links, name_of, text_of

WEB = ("http://", "https://")
ALLOWED_ON_THE_WEB = {"https://toml.io"}
CITATIONS = DOCS / "references.md"
MACHINE = re.compile(r"(?<![\w.])/(?:home|usr|etc|var|opt)/|\b[A-Z]:\\|\b[\w-]+\.(?:local|lan)\b")


def targets(page: Path) -> list[tuple[Path, str]]:
    """Return file and heading of each relative link of a page."""
    found = []
    for link in links(page.read_text("utf-8")):
        if not link.startswith(WEB):
            file, _, heading = link.partition("#")
            found.append(((page.parent / file).resolve() if file else page, heading))
    return found


def test_there_are_pages_with_links() -> None:
    assert len(PAGES) > 30
    assert sum(len(targets(page)) for page in PAGES) > 100


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_every_relative_link_leads_to_a_file_and_a_heading(page: Path) -> None:
    broken = [
        f"{file.name}#{heading}"
        for file, heading in targets(page)
        if not file.is_file() or (heading and heading not in anchors(file.read_text("utf-8")))
    ]
    assert broken == []


@pytest.mark.parametrize("page", [page for page in PAGES if page != CITATIONS], ids=name_of)
def test_a_page_sends_nobody_to_the_web_or_into_a_machine(page: Path) -> None:
    text = page.read_text("utf-8")
    web = {link for link in links(text) if link.startswith(WEB)}
    assert web <= ALLOWED_ON_THE_WEB
    assert MACHINE.findall(text) == []


def test_every_page_can_be_reached_from_the_first() -> None:
    reached, ahead = set[Path](), [ROOT / "README.md"]
    while ahead:
        page = ahead.pop()
        if page.suffix == ".md" and page.is_file() and page not in reached:
            reached.add(page)
            ahead += [file for file, _ in targets(page)]
    assert sorted(name_of(page) for page in set(PAGES) - reached) == []


def test_the_first_page_shows_its_picture_and_says_what_it_shows() -> None:
    found = re.findall(r"!\[([^\]]+)\]\(([^)]+)\)", text_of("README.md"))
    assert [Path(file).name for _, file in found] == ["plan.png"]
    assert all(len(words) > 40 for words, _ in found)
    assert all((ROOT / file).stat().st_size < 300_000 for _, file in found)
