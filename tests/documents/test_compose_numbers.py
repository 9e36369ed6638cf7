"""The numbers on paper: lengths, cuts, doubt and drawing, against a calculator."""

import json
import sys
from itertools import pairwise
from math import hypot, radians, sqrt
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

PEOPLE = ("joiner", "girl", "farmer", "fitter", "violinist")
Json = Any


@pytest.fixture(scope="module", name="papers")
def fixture_papers() -> ModuleType:
    """Return the maker of the papers, which is found from the root of the project."""
    root = str(Path(__file__).parents[2])
    if root not in sys.path:
        sys.path.insert(0, root)
    from tests.pathway import papers

    return papers


@pytest.fixture(scope="module", name="sheets")
def fixture_sheets(papers: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Json]:
    """Return each plan as the JSON that is written of it."""
    sheets: dict[str, Json] = papers.sheets_of(tmp_path_factory)
    return sheets


def test_every_length_that_follows_from_memory_says_so_in_the_json(
    sheets: dict[str, Json],
) -> None:
    sheet = sheets["other thumb lost"]
    rows = {row["name"]: row["length"] for row in sheet["lengths"] if row["ray"] == "result"}
    follow = [
        sheet["glance"]["missing_length"],
        rows["wanted, CMC joint to bony tip"],
        rows["missing"],
        *(budget["value"] for budget in sheet["budgets"]),
        *(cut["cut"] for cut in sheet["cuts"]),
    ]
    assert len(follow) >= 8
    assert {number["basis"]["provenance"] for number in follow} == {"recalled"}
    feet = [film for film in sheet["films"] if "cut of" in film["picture"]["alt"]]
    assert len(feet) == 2
    assert all("from memory, unverified" in film["picture"]["caption"] for film in feet)
    assert "missing, from memory" in {bone["label"] for bone in sheet["scale"][0]["bones"]}
    assert rows["stump, CMC joint to bone end"]["basis"] is None
    assert sheets["joiner"]["glance"]["missing_length"]["basis"] is None


def test_every_length_names_the_films_it_was_read_from(sheets: dict[str, Json]) -> None:
    rows = {row["name"]: row["film"] for row in sheets["joiner"]["lengths"]}
    assert rows["stump, CMC joint to bone end"] == "hand_right.dcm"
    assert rows["wanted, CMC joint to bony tip"] == "hand_left.dcm"
    assert rows["missing"] == "hand_right.dcm and hand_left.dcm"


def test_no_two_contributions_of_a_budget_have_one_name(sheets: dict[str, Json]) -> None:
    for key in PEOPLE:
        for budget in sheets[key]["budgets"]:
            names = [row["contribution"] for row in budget["rows"]]
            assert len(set(names)) == len(names), key


def test_a_budget_adds_up_to_the_standard_uncertainty_beside_it(sheets: dict[str, Json]) -> None:
    for key in PEOPLE:
        for budget in sheets[key]["budgets"]:
            effects = [row["effect_mm"]["value"] for row in budget["rows"]]
            by_hand_mm = sqrt(sum(effect**2 for effect in effects))
            stated_mm = budget["value"]["standard_uncertainty"]
            assert by_hand_mm == pytest.approx(stated_mm, rel=1e-9), key
            for row in budget["rows"][:-1]:
                product = row["standard_uncertainty"]["value"] * row["sensitivity"]["value"]
                assert row["effect_mm"]["value"] == pytest.approx(product)


def test_lengths_and_cut_are_what_a_calculator_gives_from_the_placed_points(
    papers: ModuleType,
    tmp_path_factory: pytest.TempPathFactory,
    sheets: dict[str, Json],
) -> None:
    sheet = sheets["joiner"]
    films = papers.five_cases(tmp_path_factory)["joiner"].films
    listed = json.loads((films / "films.json").read_text("utf-8"))
    notes = {note["file"]: note for note in listed["films"]}
    scale = {film["name"]: film["mm_per_pixel"]["value"] for film in sheet["films"]}
    # Mean stretch for a tilt that is even within the limit of 6 degrees: 1 + T^2 / 6.
    stretch = 1 + radians(6.0) ** 2 / 6

    def at(film: str, *points: str) -> tuple[float, float]:
        rounds = [one["points"][point] for one in notes[film]["placements"] for point in points]
        return sum(x for x, _ in rounds) / len(rounds), sum(y for _, y in rounds) / len(rounds)

    def along(film: str, *places: tuple[float, float]) -> float:
        pixels = sum(hypot(a[0] - b[0], a[1] - b[1]) for a, b in pairwise(places))
        return float(pixels * scale[film] * stretch)

    whole, stump, foot = "hand_left.dcm", "hand_right.dcm", "foot_left.dcm"
    mcp = ("metacarpal_head", "proximal_phalanx_base")
    ip = ("proximal_phalanx_head", "distal_phalanx_base")
    by_hand_wanted = along(
        whole,
        *(at(whole, "metacarpal_base"), at(whole, *mcp), at(whole, *ip)),
        at(whole, "distal_phalanx_tip"),
    )
    by_hand_stump = along(
        stump, at(stump, "metacarpal_base"), at(stump, *mcp), at(stump, "stump_bone_end")
    )
    by_hand_toe = along(
        foot,
        *(at(foot, "second_proximal_head", "second_middle_base"),),
        *(at(foot, "second_middle_head", "second_distal_base"), at(foot, "second_distal_tip")),
    )
    by_hand_missing = by_hand_wanted - by_hand_stump
    assert sheet["glance"]["missing_length"]["value"] == pytest.approx(by_hand_missing, abs=1e-6)
    cut = next(row for row in sheet["cuts"] if row["donor"] == "LEFT second toe")
    assert cut["measured_from"] == "proximal to the line of the PIP joint"
    assert cut["cut"]["value"] == pytest.approx(by_hand_missing - by_hand_toe, abs=1e-6)


def test_the_drawing_to_scale_shows_the_lengths_of_the_table(sheets: dict[str, Json]) -> None:
    for key in PEOPLE:
        sheet = sheets[key]
        table = {(row["ray"], row["name"]): row["length"] for row in sheet["lengths"]}
        drawn = 0
        for column in sheet["scale"]:
            for bone in column["bones"]:
                length = table.get((column["title"], bone["name"]))
                if length is not None:
                    drawn += 1
                    assert bone["length_mm"] == pytest.approx(length["value"])
            if (column["title"], "whole, as marked") in table and "stump" not in column["title"]:
                whole = table[column["title"], "whole, as marked"]["value"]
                assert sum(bone["length_mm"] for bone in column["bones"]) == pytest.approx(whole)
        assert drawn >= 3


def test_a_toe_that_is_refused_is_cut_on_no_film_and_marked_in_the_table(
    sheets: dict[str, Json],
) -> None:
    sheet = sheets["girl"]
    for film in sheet["films"]:
        assert "great toe" not in film["picture"]["alt"]
    feet = [film for film in sheet["films"] if film["name"].startswith("foot")]
    assert all("cut of the second toe" in film["picture"]["alt"] for film in feet)
    remarks = {
        row["donor"]: " ".join(remark["text"] for remark in row["remarks"]) for row in sheet["cuts"]
    }
    assert "for comparison only" in remarks["LEFT great toe"]
    assert "for comparison only" not in remarks["LEFT second toe"]
    assert {column["title"] for column in sheet["scale"]} == {
        *("LEFT stump", "RIGHT thumb", "LEFT second toe", "RIGHT second toe"),
    }


def test_without_a_toe_in_question_no_cut_is_drawn_and_none_is_budgeted(
    sheets: dict[str, Json],
) -> None:
    sheet = sheets["fitter"]
    assert not any("cut of" in film["picture"]["alt"] for film in sheet["films"])
    assert [budget["result"] for budget in sheet["budgets"]] == ["missing length"]
    assert len(sheet["scale"]) == 2
