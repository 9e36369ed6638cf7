"""The header's word against the list's: a contradiction stops the plan, silence is remarked on."""

import numpy as np
import pytest

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import FilmMismatchError
from thumbwright.core.radiograph.image import Film, FilmHeader, Region, View
from thumbwright.core.radiograph.landmarks import FilmNote
from thumbwright.core.radiograph.orientation import check_against_note, mismatches

HAND = FilmNote(file="a.dcm", region=Region.HAND, side=Side.RIGHT, view=View.POSTEROANTERIOR)
FOOT = FilmNote(file="a.dcm", region=Region.FOOT, side=Side.LEFT, view=View.DORSOPLANTAR)


def film(header: FilmHeader) -> Film:
    return Film(
        name="a.dcm",
        sha256="0",
        values=np.zeros((2, 2), dtype=np.uint16),
        shown=np.zeros((2, 2), dtype=np.uint8),
        header=header,
    )


def test_a_header_that_says_the_same_raises_no_remark() -> None:
    header = FilmHeader(region=Region.HAND, side=Side.RIGHT, view=View.POSTEROANTERIOR)
    assert check_against_note(film(header), HAND) == ()


@pytest.mark.parametrize(
    ("header", "words"),
    [
        (FilmHeader(side=Side.LEFT), "the header says left, the list right"),
        (FilmHeader(region=Region.FOOT), "the header says foot, the list hand"),
        (FilmHeader(view=View.LATERAL), "the header says lateral, the list posteroanterior"),
        (FilmHeader(view=View.ANTEROPOSTERIOR), "says anteroposterior, the list posteroanterior"),
        (FilmHeader(other_body_part="CHEST"), "the header says CHEST, the list hand"),
    ],
)
def test_a_contradiction_stops_the_plan(header: FilmHeader, words: str) -> None:
    with pytest.raises(FilmMismatchError, match=words):
        check_against_note(film(header), HAND)


def test_all_contradictions_are_told_at_once() -> None:
    header = FilmHeader(region=Region.FOOT, side=Side.LEFT, view=View.LATERAL)
    assert len(mismatches(film(header), HAND)) == 3


@pytest.mark.parametrize("view", [View.ANTEROPOSTERIOR, View.DORSOPLANTAR])
def test_from_back_to_sole_is_from_front_to_back_of_a_foot(view: View) -> None:
    header = FilmHeader(region=Region.FOOT, side=Side.LEFT, view=view)
    assert check_against_note(film(header), FOOT) == ()


def test_the_other_views_of_a_foot_are_not_one() -> None:
    assert mismatches(film(FilmHeader(view=View.POSTEROANTERIOR)), FOOT) != ()
    assert mismatches(film(FilmHeader(view=View.LATERAL)), FOOT) != ()


def test_a_silent_header_leaves_the_word_to_the_list_and_that_is_said() -> None:
    (remark,) = check_against_note(film(FilmHeader()), HAND)
    assert "names no body part and no side and no view" in remark
    assert "hand and right and posteroanterior are taken from the list of films only" in remark
    (remark,) = check_against_note(
        film(FilmHeader(region=Region.HAND, view=View.POSTEROANTERIOR)), HAND
    )
    assert remark == (
        "The header of a.dcm names no side: right is taken from the list of films only."
    )
