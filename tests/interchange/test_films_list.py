"""The list of films: read from TOML or JSON, or refused with every fault at once."""

import json
import tomllib
from typing import Any

import pytest

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import FilmsFileError
from thumbwright.core.radiograph.image import Region, View
from thumbwright.core.radiograph.landmarks import (
    Ball,
    FilmNote,
    FilmNotes,
    Landmark,
    Placement,
    Ruler,
)
from thumbwright.interchange.films_list import FILMS, points_of, read_film_notes
from thumbwright.interchange.schemas import schema_of

TEXT = """
thumbwright_films = 1

[[films]]
file = "right hand.dcm"
region = "hand"
side = "right"
view = "posteroanterior"
ball = { diameter_mm = 25.0, above_bone_mm = 5.0 }

[[films.placements]]
observer = "AB"
points = { metacarpal_base = [100.5, 200.0], metacarpal_head = [110.0, 340] }

[[films.placements]]
observer = "the program"
confirmed = false
points = { metacarpal_base = [101.0, 201.0] }

[[films]]
file = "left foot.png"
region = "foot"
side = "left"
view = "dorsoplantar"
source_to_detector_mm = 1000.0
ruler = { start = [10.0, 10.0], end = [10.0, 510.0], length_mm = 100.0 }
"""
NOTES = FilmNotes(
    films=(
        FilmNote(
            file="right hand.dcm",
            region=Region.HAND,
            side=Side.RIGHT,
            view=View.POSTEROANTERIOR,
            ball=Ball(diameter_mm=25.0, above_bone_mm=5.0),
            placements=(
                Placement(
                    observer="AB",
                    points={
                        Landmark.METACARPAL_BASE: (100.5, 200.0),
                        Landmark.METACARPAL_HEAD: (110.0, 340.0),
                    },
                ),
                Placement(
                    observer="the program",
                    confirmed=False,
                    points={Landmark.METACARPAL_BASE: (101.0, 201.0)},
                ),
            ),
        ),
        FilmNote(
            file="left foot.png",
            region=Region.FOOT,
            side=Side.LEFT,
            view=View.DORSOPLANTAR,
            source_to_detector_mm=1000.0,
            ruler=Ruler(start=(10.0, 10.0), end=(10.0, 510.0), length_mm=100.0),
        ),
    )
)


def hand(**changes: Any) -> dict[str, Any]:  # noqa: ANN401  any value may be tried
    film = {"file": "a.dcm", "region": "hand", "side": "right", "view": "posteroanterior"}
    return film | changes


def faults_of(*films: Any, **more: Any) -> list[str]:  # noqa: ANN401  any value may be tried
    document = {"thumbwright_films": 1, "films": list(films)} | more
    with pytest.raises(FilmsFileError) as caught:
        read_film_notes(json.dumps(document))
    return [str(fault) for fault in caught.value.faults]


def test_a_list_is_read_from_toml_and_from_json() -> None:
    assert read_film_notes(TEXT) == NOTES
    assert read_film_notes(json.dumps(tomllib.loads(TEXT))) == NOTES


def test_the_published_schema_describes_the_meanings() -> None:
    schema = json.dumps(schema_of(FILMS.model, "films"))
    assert "File name in the folder of films." in schema
    assert "metacarpal_base" in schema


def test_hand_and_foot_share_no_points() -> None:
    hands, feet = points_of(Region.HAND), points_of(Region.FOOT)
    assert hands & feet == frozenset()
    assert hands | feet == frozenset(Landmark)
    assert Landmark.STUMP_BONE_END in hands
    assert Landmark.SECOND_SKIN_TIP in feet


def test_every_fault_of_form_and_of_content_is_told_at_once_in_order() -> None:
    faults = faults_of(
        hand(file="../a.dcm", side="Right"),
        hand(file="b.dcm", placements=[{"observer": "AB", "points": {"great_skin_tip": [1, 2]}}]),
        hand(file="B.DCM", ball={"diameter_mm": 0}),
        hand(file="b.dcm"),
    )
    assert [fault.partition(":")[0] for fault in faults] == [
        "films[0].side",
        "films[1].placements[0].points.great_skin_tip",
        "films[2].ball.diameter_mm",
        "films[3].file",
    ]


@pytest.mark.parametrize(
    ("film", "path", "words"),
    [
        (hand(file="../a.dcm"), "films[0].file", "without its folder"),
        (hand(file="C:\\films\\a.dcm"), "films[0].file", "without its folder"),
        (hand(file=".."), "films[0].file", "without its folder"),
        (hand(file="a\u0000.dcm"), "films[0].file", "remove the control characters"),
        (hand(file=" a.dcm"), "films[0].file", "without its folder"),
        (hand(view="dorsoplantar"), "films[0].view", "a view of a foot"),
        (
            hand(ruler={"start": [1.0, 2.0], "end": [1.0, 2.0], "length_mm": 50.0}),
            "films[0].ruler",
            "two points apart",
        ),
        (
            hand(ruler={"start": [-1.0, 2.0], "end": [1.0, 2.0], "length_mm": 50.0}),
            "films[0].ruler.start",
            "columns 0 to the last",
        ),
        (
            hand(placements=[{"observer": "AB", "points": {}}]),
            "films[0].placements[0].points",
            "at least one point",
        ),
        (
            hand(placements=[{"observer": "AB", "points": {"skin_tip": [5.0, -2.0]}}]),
            "films[0].placements[0].points.skin_tip",
            "rows 0 to the last",
        ),
        (
            hand(placements=[{"observer": "AB", "points": {"second_skin_tip": [5.0, 2.0]}}]),
            "films[0].placements[0].points.second_skin_tip",
            "a point of a foot on a film of a hand",
        ),
        (hand(side="both"), "films[0].side", "left"),
        (hand(sides="left"), "films[0].sides", "an unknown key"),
        (hand(tilt_limit_deg="6"), "films[0].tilt_limit_deg", "number"),
    ],
)
def test_a_fault_is_told_with_its_place(film: dict[str, Any], path: str, words: str) -> None:
    (fault,) = faults_of(film)
    assert fault.startswith(f"{path}: given ")
    assert words in fault


def test_an_empty_list_is_refused() -> None:
    (fault,) = faults_of()
    assert fault.startswith("films: given an empty list; allowed: at least one film")


def test_a_case_document_is_not_taken_for_a_list_of_films() -> None:
    with pytest.raises(FilmsFileError, match="a document of another kind"):
        read_film_notes("thumbwright_case = 1\n")


@pytest.mark.parametrize("text", ["", "films = [", "{", "\0", "[[films]]\nfile = 'a'\n" * 3])
def test_what_is_no_list_is_refused(text: str) -> None:
    with pytest.raises(FilmsFileError, match="has"):
        read_film_notes(text)


def test_points_at_the_rim_of_the_first_pixel_are_on_the_film() -> None:
    film = hand(placements=[{"observer": "AB", "points": {"skin_tip": [-0.5, -0.5]}}])
    document = json.dumps({"thumbwright_films": 1, "films": [film]})
    assert read_film_notes(document).films[0].placements[0].points == {
        Landmark.SKIN_TIP: (-0.5, -0.5)
    }
