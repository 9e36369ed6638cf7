"""The plans of the five invented cases on paper, and of one of them with less than everything."""

import json
from dataclasses import replace
from typing import Any

import pytest
from tests.pathway.five_cases import Built, five_cases

from thumbwright.bootstrap import knowledge, versions
from thumbwright.core.case.hand import OtherThumb
from thumbwright.core.radiograph.landmarks import FilmNotes
from thumbwright.documents.compose import compose
from thumbwright.documents.plan_report import write_json
from thumbwright.pathway.plan_case import Plan

Json = Any
"""What a JSON document holds."""
PEOPLE = ("joiner", "girl", "farmer", "fitter", "violinist")
_PLANS: dict[str, Plan] = {}
_SHEETS: dict[str, Json] = {}


def plans_of(scratch: pytest.TempPathFactory) -> dict[str, Plan]:
    """Return the five plans, and some of the joiner with less than everything."""
    if not _PLANS:
        _PLANS.update(_made(five_cases(scratch)))
    return _PLANS


def sheets_of(scratch: pytest.TempPathFactory) -> dict[str, Json]:
    """Return each plan as the JSON that is written of it."""
    if not _SHEETS:
        for key, plan in plans_of(scratch).items():
            paper, _ = compose(plan, knowledge(), (), versions())
            _SHEETS[key] = json.loads(write_json(paper))
    return _SHEETS


def _made(five: dict[str, Built]) -> dict[str, Plan]:
    joiner = five["joiner"]
    case, notes = joiner.intake.case, joiner.intake.notes
    unconfirmed = tuple(
        replace(note, placements=tuple(replace(one, confirmed=False) for one in note.placements))
        for note in notes.films
    )
    bare = replace(case, kept=type(case.kept)(), feet=type(case.feet)())
    no_feet = joiner.notes_without("foot_left.dcm", "foot_right.dcm")
    return {
        **{key: five[key].plan for key in PEOPLE},
        "other thumb lost": joiner.planned(case=replace(case, other_thumb=OtherThumb.LOST)),
        "nothing confirmed": joiner.planned(notes=FilmNotes(films=unconfirmed)),
        "no foot films": joiner.planned(notes=no_feet),
        "hardly examined": joiner.planned(case=bare),
        "other hand not filmed": joiner.planned(notes=joiner.notes_without("hand_left.dcm")),
    }
