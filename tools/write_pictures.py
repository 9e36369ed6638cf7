"""Write what the invented girl of the demonstration shows: one picture, and what is printed.

The picture sets two drawings of her plan side by side: a film with its cut, and the bones to
one scale. The printed parts stand in pages between two marks. Run it after changing anything
that alters her plan: ``make docs``.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

import click
import typst
from PIL import Image

from thumbwright.bootstrap import Issued, issue, knowledge
from thumbwright.cli.planning import summary
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.demo.making import make_case
from thumbwright.demo.people import DAY, PEOPLE
from thumbwright.documents.compose import compose
from thumbwright.documents.paper_parts import PrintedNumber
from thumbwright.documents.plan_content import OptionState, PlanPaper
from thumbwright.documents.plan_figures import scale_drawing
from thumbwright.documents.printer import font_folder

ROOT = Path(__file__).resolve().parents[1]
PICTURE = ROOT / "docs" / "pictures" / "plan.png"
START = ROOT / "docs" / "start.md"
BY = "written by tools/write_pictures.py"
PERSON = "girl"
FILM = "foot_left.dcm"
PPI = 150.0
"""Of the picture; some 1,400 pixels wide."""
SHADES = 256
"""Greys and colours kept, so that the file stays small."""
PAGE = """
#set page(width: 240mm, height: auto, margin: 4mm, fill: white)
#set text(font: "Noto Sans", size: 9pt)
#grid(
  columns: (96mm, 1fr),
  column-gutter: 6mm,
  align: horizon,
  image("film.svg"),
  image("scale.svg"),
)
"""
EXAMPLE = re.compile(r"```toml\n(thumbwright_films = 1\n.*?)```", flags=re.DOTALL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """Her plan as the demonstration makes it, and as the example of the start makes it."""

    demo: Issued
    example: Issued


def shown(scratch: Path) -> Shown:
    """Make the invented case in a folder and plan it twice."""
    person = next(one for one in PEOPLE if one.key == PERSON)
    films = make_case(person, scratch / PERSON, lambda _: None)
    case = scratch / PERSON / "case.toml"
    demo = issue(case, films, scratch / "plans", DAY, lambda _: None)
    (films / "films.json").unlink()
    (films / "films.toml").write_text(example_list(START.read_text("utf-8")), encoding="utf-8")
    return Shown(demo=demo, example=issue(case, films, scratch / "example", DAY, lambda _: None))


def example_list(page: str) -> str:
    """Return the list of films that stands as an example in a page.

    Raises
    ------
    ValueError
        If the page has not exactly one.
    """
    found = EXAMPLE.findall(page)
    if len(found) != 1:
        msg = f"{len(found)} lists of films stand in {START.name}; allowed is one; mend the page"
        raise ValueError(msg)
    return str(found[0])


# --- The picture


def picture(issued: Issued) -> bytes:
    """Return the picture as PNG, the same bytes each time."""
    film, scale = _drawings(issued)
    # The stubs of typst do not list several files in memory; the code and its README do.
    made: bytes = typst.compile(  # type: ignore[call-overload]
        {"main.typ": PAGE.encode(), "film.svg": film, "scale.svg": scale},
        font_paths=typst.Fonts(
            include_system_fonts=False,
            include_embedded_fonts=True,
            font_paths=[str(font_folder())],
        ),
        format="png",
        ppi=PPI,
    )
    with Image.open(BytesIO(made)) as whole:
        few = whole.convert("RGB").quantize(SHADES, dither=Image.Dither.NONE)
    stream = BytesIO()
    few.save(stream, format="PNG", optimize=True)
    return stream.getvalue()


def _drawings(issued: Issued) -> tuple[bytes, bytes]:
    """Return the film with the cut, and the bones to one scale.

    Raises
    ------
    KnowledgeError
        If the plan does not give both.
    """
    paper, pictures = compose(issued.plan, knowledge(), issued.paper.inputs, issued.paper.versions)
    films = () if isinstance(paper.films, Unknown) else paper.films
    found = [film.picture for film in films if film.name == FILM]
    names = [each.name for each in found if not isinstance(each, Unknown)]
    if not names or isinstance(paper.scale, Unknown):
        msg = (
            f"{PERSON} gave no drawings; allowed is a case with the film {FILM} and a cut; mend it"
        )
        raise KnowledgeError(msg)
    return pictures[names[0]], scale_drawing(paper.scale, title="to scale").encode()


# --- What is printed


def printed(issued: Issued, folder: str) -> str:
    """Return the summary as it stands on the screen, with papers in a folder of that name."""
    words = click.unstyle(summary(issued))
    for place in (issued.pdf, issued.json):
        words = words.replace(str(place), f"{folder}/{place.name}")
    return f"```text\n{words}\n```\n"


def walk_table(paper: PlanPaper) -> str:
    """Return what came out of each room."""
    rows = (
        ("millimetres", "; ".join(_films(paper))),
        ("stump, wanted, missing", "; ".join(_lengths(paper))),
        ("cut", "; ".join(_cuts(paper))),
        ("level", f"{paper.glance.level}, probability {_words(paper.glance.level_prob)}"),
        ("techniques", _options(paper)),
        ("plan A", paper.glance.plan_a),
        ("fallback", paper.glance.fallback),
    )
    lines = [f"| {name} | {words} |" for name, words in rows]
    return "\n".join(["| result | |", "|---|---|", *lines]) + "\n"


def _words(given: PrintedNumber | Unknown) -> str:
    return str(given) if isinstance(given, Unknown) else given.words


def _films(paper: PlanPaper) -> list[str]:
    films = () if isinstance(paper.films, Unknown) else paper.films
    return [f"{film.side} {_words(film.mm_per_pixel)}" for film in films]


def _lengths(paper: PlanPaper) -> list[str]:
    rows = () if isinstance(paper.lengths, Unknown) else paper.lengths
    wanted = ("stump", "wanted", "missing")
    return [
        f"{row.name} {_words(row.length)}"
        for row in rows
        if row.ray == "result" and row.name.startswith(wanted)
    ]


def _cuts(paper: PlanPaper) -> list[str]:
    cuts = () if isinstance(paper.cuts, Unknown) else paper.cuts
    return [f"{cut.donor} {_words(cut.cut)} {cut.measured_from}" for cut in cuts]


def _options(paper: PlanPaper) -> str:
    options = () if isinstance(paper.options, Unknown) else paper.options
    states = [option.state for option in options]
    counted = ", ".join(f"{states.count(state)} {state.value}" for state in OptionState)
    return f"{len(states)} looked at: {counted}"


# --- Pages of which parts are generated


def parts(of: Shown) -> Mapping[str, Mapping[str, str]]:
    """Return the generated parts by page and mark."""
    return {
        "README.md": {"summary": printed(of.demo, "out/plans")},
        "docs/start.md": {"example": printed(of.example, "mycase/plans")},
        "docs/the-walk.md": {"walk": walk_table(of.demo.paper)},
    }


def page_text(text: str, written: Mapping[str, str]) -> str:
    """Return a page with its generated parts written anew.

    Raises
    ------
    ValueError
        If the page lacks a mark.
    """
    for part, content in written.items():
        begin, end = (f"<!-- {BY}: {part}, {where} -->\n" for where in ("begin", "end"))
        before, found, rest = text.partition(begin)
        _, found_end, after = rest.partition(end)
        if not (found and found_end):
            msg = f"a page was given without {begin}or {end}; allowed are both, once; put them in"
            raise ValueError(msg)
        text = f"{before}{begin}{content}{end}{after}"
    return text


def main() -> None:
    """Write the picture and the printed parts."""
    with TemporaryDirectory() as scratch:
        of = shown(Path(scratch))
    PICTURE.parent.mkdir(parents=True, exist_ok=True)
    PICTURE.write_bytes(picture(of.demo))
    for page, written in parts(of).items():
        text = page_text((ROOT / page).read_text("utf-8"), written)
        (ROOT / page).write_text(text, encoding="utf-8", newline="\n")
        print(page)


if __name__ == "__main__":
    main()
