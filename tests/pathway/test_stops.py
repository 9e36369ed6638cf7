"""What stops a plan, and what is said then."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from tests.pathway.five_cases import DAY, Built

from thumbwright.bootstrap import knowledge, take_in
from thumbwright.core.case.examined import Finding, Side
from thumbwright.core.foundations.errors import (
    CaseFileError,
    FilmMismatchError,
    FilmsFileError,
    PlanError,
)
from thumbwright.core.radiograph.image import Region, View
from thumbwright.pathway.plan_case import plan_case
from thumbwright.phantom.dicom_writer import Labelling, write_dicom

RIGHT_HAND = Labelling(side=Side.RIGHT, region=Region.HAND, view=View.POSTEROANTERIOR)


def test_a_contradiction_stops_the_plan_before_any_film_is_looked_at(
    five: dict[str, Built],
) -> None:
    case = five["joiner"].intake.case
    later = replace(case.injury, happened_on=case.examined_on + timedelta(days=3))
    gone = replace(case.kept, cmc=replace(case.kept.cmc, present=Finding.NO))
    told: list[str] = []
    with pytest.raises(CaseFileError) as stopped:
        plan_case(
            replace(case, injury=later, kept=gone),
            {},
            five["joiner"].intake.notes,
            knowledge(),
            DAY,
            told.append,
        )
    paths = " ".join(fault.path for fault in stopped.value.faults)
    assert "injury.happened_on" in paths
    assert "kept.cmc.present" in paths
    assert told == []


def test_a_day_before_the_examination_stops_the_plan(five: dict[str, Built]) -> None:
    examined_on = five["joiner"].intake.case.examined_on
    with pytest.raises(CaseFileError, match=r"given 1980-01-01 and 2026-.*on the day of the exam"):
        five["joiner"].planned(day=date(1980, 1, 1))
    assert five["joiner"].planned(day=examined_on).made_on == examined_on


@pytest.mark.parametrize(
    ("changed", "header_says", "list_says"),
    [
        ({"side": Side.LEFT}, "left", "right"),
        ({"region": Region.FOOT, "view": View.DORSOPLANTAR}, "foot", "hand"),
        ({"view": View.LATERAL}, "lateral", "posteroanterior"),
    ],
)
def test_a_film_whose_header_says_otherwise_stops_the_plan_and_is_named(
    five: dict[str, Built],
    tmp_path: Path,
    changed: dict[str, Side | Region | View],
    header_says: str,
    list_says: str,
) -> None:
    built = five["joiner"]
    for name in ("films.json", "hand_left.dcm", "foot_left.dcm", "foot_right.dcm"):
        (tmp_path / name).write_bytes((built.films / name).read_bytes())
    lying = replace(RIGHT_HAND, **changed)  # type: ignore[arg-type]  # fields of three types
    write_dicom(built.pictures["hand_right.dcm"], tmp_path / "hand_right.dcm", labelling=lying)
    with pytest.raises(FilmsFileError) as stopped:
        take_in(built.case_file, tmp_path, lambda _: None)
    (fault,) = stopped.value.faults
    assert "hand_right.dcm" in fault.given
    assert f"the header says {header_says}, the list {list_says}" in fault.given
    assert "before going on" in fault.advice


def test_the_pathway_itself_refuses_a_film_of_the_other_side(five: dict[str, Built]) -> None:
    intake = five["joiner"].intake
    film = intake.films["foot_left.dcm"]
    turned = replace(film, header=replace(film.header, side=Side.RIGHT))
    films = {**intake.films, "foot_left.dcm": turned}
    with pytest.raises(FilmMismatchError, match=r"film foot_left\.dcm: .*right.*left"):
        plan_case(intake.case, films, intake.notes, knowledge(), DAY)


def test_every_stop_is_an_error_that_a_user_may_be_shown() -> None:
    assert issubclass(CaseFileError, PlanError)
    assert issubclass(FilmsFileError, PlanError)
    assert issubclass(FilmMismatchError, PlanError)


def test_what_is_done_is_told_in_order(five: dict[str, Built]) -> None:
    intake, told = five["violinist"].intake, list[str]()
    plan_case(intake.case, intake.films, intake.notes, knowledge(), DAY, told.append)
    assert told == [
        "calibrating the films",
        "measuring the bones",
        "naming the level",
        "weighing the techniques",
    ]
