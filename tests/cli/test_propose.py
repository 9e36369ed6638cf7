"""The command that proposes points along a rough line, for a person to look at."""

import re
from collections.abc import Callable
from dataclasses import replace
from math import dist
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from tests.pathway.five_cases import PITCH_MM, Built

from thumbwright.core.radiograph.landmarks import FilmNotes, Landmark
from thumbwright.interchange.films_list import write_film_notes
from thumbwright.phantom.truth import Truth

Start = Callable[..., Any]
ROW = re.compile(r"^  (\w+) +column +([\d.]+) +row +([\d.]+) +confidence (\d+)%$", re.MULTILINE)


def line_of(truth: Truth, start: Landmark, end: Landmark) -> tuple[str, ...]:
    """Return a line some millimetres off both ends, as a person draws it."""
    (column, row), (other_column, other_row) = truth.pixel(start), truth.pixel(end)
    off = 3.0 / PITCH_MM
    return tuple(f"{x:.0f}" for x in (column + off, row, other_column, other_row + off))


def test_points_are_proposed_near_where_they_are_and_wait_for_a_person(
    start: Start, five: dict[str, Built]
) -> None:
    built = five["joiner"]
    truth = built.pictures["foot_left.dcm"].truth
    line = line_of(truth, Landmark.SECOND_METATARSAL_BASE, Landmark.SECOND_DISTAL_TIP)
    said = start(
        "propose", "foot_left.dcm", "--films", built.films, "--ray", "second toe", "--line", *line
    )
    assert said.code == 0
    assert "a person looks at each point before it counts" in said.out
    found = {name: (float(column), float(row)) for name, column, row, _ in ROW.findall(said.out)}
    assert len(found) >= 8
    near = [
        name
        for name, place in found.items()
        if dist(place, truth.pixel(Landmark(name))) * PITCH_MM < 3.0
    ]
    assert len(near) >= 6


def test_a_stump_is_asked_for_by_the_bones_that_are_left(
    start: Start, five: dict[str, Built]
) -> None:
    built = five["joiner"]
    truth = built.pictures["hand_right.dcm"].truth
    line = line_of(truth, Landmark.METACARPAL_BASE, Landmark.STUMP_BONE_END)
    words = ("propose", "hand_right.dcm", "--films", built.films, "--ray", "thumb")
    said = start(*words, "--bones", 2, "--line", *line)
    assert said.code == 0
    assert "stump_bone_end" in said.out
    assert "distal_phalanx_tip" not in said.out


@pytest.mark.parametrize(
    ("film", "ray", "more", "words"),
    [
        ("none.dcm", "thumb", (), "the list holds hand_right.dcm, hand_left.dcm, foot_left.dcm"),
        ("hand_left.dcm", "great toe", (), "allowed is a film of a foot"),
        ("foot_left.dcm", "thumb", (), "allowed is a film of a hand"),
        ("hand_left.dcm", "thumb", ("--bones", "4"), "allowed are 1 to 3"),
    ],
)
def test_what_cannot_be_proposed_is_said(
    start: Start,
    five: dict[str, Built],
    film: str,
    ray: str,
    more: tuple[str, ...],
    words: str,
) -> None:
    films = five["joiner"].films
    said = start(
        "propose", film, "--films", films, "--ray", ray, "--line", 100, 100, 200, 300, *more
    )
    assert said.code == 2
    assert words in said.err
    assert said.out == ""


@pytest.mark.parametrize(
    "line",
    [("-5", "10", "90", "90"), ("10", "10", "90", "99999"), ("nan", "10", "90", "90")],
)
def test_a_line_that_leaves_the_film_is_refused_with_the_size_of_the_film(
    start: Start, five: dict[str, Built], line: tuple[str, ...]
) -> None:
    built = five["joiner"]
    rows, columns = built.intake.films["hand_left.dcm"].values.shape
    words = ("propose", "hand_left.dcm", "--films", built.films, "--ray", "thumb", "--line")
    said = start(*words, *line)
    assert said.code == 2
    assert f"columns 0 to {columns - 1} and rows 0 to {rows - 1}" in said.err


def test_without_millimetres_nothing_is_proposed_and_the_reason_is_given(
    start: Start, five: dict[str, Built], tmp_path: Path
) -> None:
    film = five["joiner"].intake.films["hand_left.dcm"]
    note = next(one for one in five["joiner"].intake.notes.films if one.file == "hand_left.dcm")
    Image.fromarray(film.shown).save(tmp_path / "photograph.png")
    bare = replace(note, file="photograph.png", ball=None)
    text = write_film_notes(FilmNotes(films=(bare,)))
    (tmp_path / "films.json").write_text(text, "utf-8")
    said = start(
        *("propose", "photograph.png", "--films", tmp_path, "--ray", "thumb"),
        *("--line", 100, 100, 200, 300),
    )
    assert said.code == 2
    assert "no point can be proposed on photograph.png: unknown, because" in said.err
