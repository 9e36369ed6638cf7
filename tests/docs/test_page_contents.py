"""What pages quote, compute and generate is what the program says and does today."""

import ast
import re
import runpy
from collections.abc import Iterator
from io import BytesIO
from math import hypot, radians
from pathlib import Path
from textwrap import dedent
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image
from tests.docs.pages import ROOT, blocks, commands_in, rows, text_of

from thumbwright.cli.commands import commands
from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph.calibration import calibrate
from thumbwright.core.radiograph.image import Film, FilmHeader, Region, View
from thumbwright.core.radiograph.landmarks import SECOND_TOE, THUMB, Ball, FilmNote, Landmark
from thumbwright.core.radiograph.marker import MarkerFound
from thumbwright.core.radiograph.measurement import bone_lengths
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.interchange.case_file import read_case
from thumbwright.interchange.films_list import read_film_notes

PACKAGE = ROOT / "src" / "thumbwright"
REFERENCES = runpy.run_path(str(ROOT / "tools" / "write_references.py"))
PICTURES = runpy.run_path(str(ROOT / "tools" / "write_pictures.py"))
STOPS = ("Nothing was written", "Stops on the first page", "Unknown")
NEARER = "one end nearer, beside the central ray too"
EXAMPLE = "An example, worked by hand"


def test_the_list_of_sources_is_that_of_the_bibliography() -> None:
    assert text_of("docs/references.md") == REFERENCES["references_text"](), "run make docs"


@pytest.mark.parametrize("page", sorted(REFERENCES["GENERATED"]))
def test_the_generated_parts_of_a_page_are_those_of_the_code(page: str) -> None:
    text = text_of(f"docs/{page}")
    assert text == REFERENCES["page_text"](page, text), "run make docs"


def test_a_page_that_lost_its_marks_is_refused() -> None:
    with pytest.raises(ValueError, match="allowed are both"):
        REFERENCES["page_text"]("start.md", "no marks")
    with pytest.raises(ValueError, match="allowed are both"):
        PICTURES["page_text"]("no marks", {"walk": ""})


def test_the_pages_show_what_comes_out_for_the_invented_girl(tmp_path: Path) -> None:
    shown = PICTURES["shown"](tmp_path)
    for page, parts in PICTURES["parts"](shown).items():
        text = text_of(page)
        assert text == PICTURES["page_text"](text, parts), "run make docs"
    with Image.open(BytesIO(PICTURES["picture"](shown.demo))) as fresh:
        snapshot = np.asarray(fresh.convert("L"), dtype=float)
    with Image.open(PICTURES["PICTURE"]) as kept:
        stored = np.asarray(kept.convert("L"), dtype=float)
    assert stored.shape == snapshot.shape, "run make docs"
    assert float(np.abs(stored - snapshot).mean()) < 1.0, "run make docs"
    offered = said_by(next(proposals()), tmp_path / "girl" / "films")
    assert [point.value for point in points_of_second_toe() if point.value not in offered] == []


def proposals() -> Iterator[list[str]]:
    """Yield the calls of propose that the first page shows."""
    yield from (call for call in commands_in(text_of("README.md")) if call[0] == "propose")


def said_by(call: list[str], films: Path) -> str:
    """Run a call of a page on another folder of films and return what it prints."""
    words = [str(films) if word == "mycase/films" else word for word in call]
    done = CliRunner().invoke(commands, words)
    assert done.exception is None, done.output
    return done.output


def points_of_second_toe() -> tuple[Landmark, ...]:
    return tuple(point for bone in SECOND_TOE.bones for point in (bone.base, bone.head))


def test_the_short_case_of_the_first_page_is_a_case() -> None:
    (case,) = blocks(text_of("README.md"), "toml")
    assert read_case(dedent(case).encode(), "README.md").case_id == "2026-07"


def test_the_list_of_films_in_the_start_places_the_stump_three_times() -> None:
    notes = read_film_notes(PICTURES["example_list"](text_of("docs/start.md")))
    stump = next(note for note in notes.films if note.side is Side.LEFT)
    assert len(stump.placements) == 3
    assert all(Landmark.STUMP_BONE_END in each.points for each in stump.placements)
    assert [note.ball.above_bone_tolerance_mm for note in notes.films if note.ball] == [3, 3, 3]


@pytest.fixture(scope="module")
def spoken() -> str:
    """Return all texts of the program, one below the other."""
    parts = (
        node.value
        for path in sorted(PACKAGE.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    )
    return "\n".join(parts)


QUOTES = [
    words
    for heading in STOPS
    for row in rows(text_of("docs/start.md"), heading)
    for words in re.findall(r"`([^`]+)`", row[0])
]


def test_the_start_explains_stops() -> None:
    assert len(QUOTES) > 15


@pytest.mark.parametrize("words", QUOTES)
def test_a_stop_that_is_explained_is_one_that_the_program_can_say(words: str, spoken: str) -> None:
    assert words in spoken


def film_and_note() -> tuple[Film, FilmNote]:
    """Return a film that knows nothing of size, and a ball beside the thumb as in the example."""
    grid = np.zeros((40, 40))
    film = Film(
        name="hand",
        sha256="",
        values=grid.astype(np.uint16),
        shown=grid.astype(np.uint8),
        header=FilmHeader(),
    )
    note = FilmNote(
        file="hand",
        region=Region.HAND,
        side=Side.LEFT,
        view=View.ANTEROPOSTERIOR,
        ball=Ball(diameter_mm=20, diameter_tolerance_mm=0.05, above_bone_tolerance_mm=3),
        tilt_limit_deg=6,
    )
    return film, note


def effects_of_the_example_mm() -> dict[str, float]:
    """Return the effect of each kind of input on the bone of the example, by the program [mm]."""
    film, note = film_and_note()
    marker = cast("MarkerFound", SimpleNamespace(diameter_px=138.0, diameter_uncertainty_px=0.35))
    scale = calibrate(film, note, marker)
    assert not isinstance(scale, Unknown)
    seen_mm = 50 / (1 + radians(6) ** 2 / 6)
    centre_mm = scale.to_mm(scale.centre)
    ends = {
        point: scale.to_px((centre_mm[0] + along_mm, centre_mm[1]))
        for point, along_mm in (
            (Landmark.METACARPAL_BASE, 50 - seen_mm / 2),
            (Landmark.METACARPAL_HEAD, 50 + seen_mm / 2),
        )
    }
    placed = PlacedPoints(
        film="hand",
        scale=scale,
        points=ends,
        repeats=dict.fromkeys(ends, 3),
        scatter_mm=0.30,
        degrees_of_freedom=8,
    )
    (bone,) = bone_lengths(placed, note, THUMB)
    assert bone.length.value == pytest.approx(50)
    kinds = {
        "diameter of the ball": ("diameter of the ball",),
        "edge of its shadow": ("edge of",),
        "height of the ball": ("height of",),
        "two placings": ("placing of",),
        "pixels at both ends": ("pixel at",),
        "foreshortening": ("obliquity, foreshortening", "flexion short of the metacarpal head"),
        NEARER: (),
    }
    found = dict.fromkeys(kinds, 0.0)
    for term in bone.length.budget:
        name = term.input.name
        nearer = name.endswith(("one end nearer", "beside the central ray"))
        kind = next(
            (
                each
                for each, begins in kinds.items()
                if nearer == (each == NEARER) and (nearer or name.startswith(begins))
            ),
            None,
        )
        if kind is None:
            assert term.effect == 0, name
            continue
        found[kind] = hypot(found[kind], term.effect)
    return found | {"**together**": bone.length.uncertainty}


def test_the_example_of_the_budget_is_what_the_program_computes() -> None:
    by_hand_mm = {
        re.sub(r":.*", "", row[0]): float(row[1].strip("*"))
        for row in rows(text_of("docs/films-and-landmarks.md"), EXAMPLE)
    }
    found_mm = effects_of_the_example_mm()
    assert set(by_hand_mm) == set(found_mm)
    for name, effect_mm in by_hand_mm.items():
        assert found_mm[name] == pytest.approx(effect_mm, abs=0.0006), name
