"""The table of stature refuses what it cannot be; skeletal age weighs what was read."""

from datetime import date
from math import sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.growing_people import STATURE

import thumbwright.core.growth.stature as stature_module
from thumbwright.core.case.examined import NOT_EXAMINED, NotExamined
from thumbwright.core.case.patient import Patient, Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.growth.allometry import Limb
from thumbwright.core.growth.maturity import (
    PlateState,
    maturity_of,
    open_prob,
    plate_of,
    plate_state,
)
from thumbwright.core.growth.stature import log_median, median_cm, read_stature, stature_cm

TEXT = (Path(stature_module.__file__).parent / "cdc_stature_for_age.csv").read_text("utf-8")


def patient(bone_age_years: float | NotExamined = NOT_EXAMINED) -> Patient:
    return Patient(
        pseudonym="A",
        birth_date=date(2019, 1, 1),
        sex=Sex.FEMALE,
        bone_age_years=bone_age_years,
    )


@pytest.mark.parametrize(
    "text",
    [
        "",
        "sex,age_months,l,m_cm\nfemale,24,1,85",
        TEXT.replace("female,24,", "female,25,"),
        TEXT.replace("84.97555512", "tall"),
        "\n".join(line for line in TEXT.splitlines() if not line.startswith("male")),
    ],
)
def test_a_damaged_table_is_refused(text: str) -> None:
    with pytest.raises(KnowledgeError, match="stature for age"):
        read_stature(text)


def test_nothing_is_said_of_stature_under_two_years() -> None:
    assert isinstance(median_cm(STATURE, Sex.MALE, 1.9), Unknown)
    assert isinstance(stature_cm(STATURE, Sex.MALE, 1.9, 0.5), Unknown)


def test_growth_has_ended_at_twenty() -> None:
    assert median_cm(STATURE, Sex.MALE, 31.0) == median_cm(STATURE, Sex.MALE, 20.0)


def test_the_slope_below_the_table_is_that_of_its_first_months() -> None:
    curve = STATURE.curves[Sex.FEMALE]
    two, quarter_on, quarter_before = log_median(curve, np.array([2.0, 2.25, 1.75]))
    assert two - quarter_before == pytest.approx(quarter_on - two)


def test_the_columns_of_the_table_cannot_be_changed() -> None:
    for curve in STATURE.curves.values():
        for column in (curve.age_years, curve.skewness, curve.median_cm, curve.spread):
            with pytest.raises(ValueError, match="read-only"):
                column[0] = 1.0


def test_a_bone_age_is_weighed_against_the_age() -> None:
    found = maturity_of(patient(8.0), 10.0)
    # spread between children 0.08 x 10 = 0.8, doubt of the reading 0.6: weight 0.64 / (0.64 + 0.36)
    by_hand_years, by_hand_doubt = 10.0 - 0.64 * 2.0, 0.8 * 0.6 / sqrt(0.8**2 + 0.6**2)
    assert found.effective_years == pytest.approx(by_hand_years)
    assert found.doubt_years == pytest.approx(by_hand_doubt)
    assert found.is_bone_age


def test_without_a_bone_age_the_doubt_is_wider() -> None:
    without, with_one = maturity_of(patient(), 10.0), maturity_of(patient(10.0), 10.0)
    assert not without.is_bone_age
    assert without.doubt_years > with_one.doubt_years
    assert without.effective_years == 10.0


@given(st.sampled_from(list(Sex)), st.sampled_from(list(Limb)), st.floats(2, 25))
def test_a_plate_is_the_less_probably_open_the_older_the_bones(
    sex: Sex, limb: Limb, years: float
) -> None:
    assert 0 <= open_prob(sex, years + 0.5, limb) <= open_prob(sex, years, limb) <= 1


def test_plates_of_the_foot_close_no_sooner_than_those_of_the_hand() -> None:
    assert open_prob(Sex.MALE, 16.5, Limb.FOOT) > open_prob(Sex.MALE, 16.5, Limb.HAND)


@pytest.mark.parametrize(
    ("years", "state"),
    [(7.0, PlateState.OPEN), (14.0, PlateState.UNKNOWN), (18.5, PlateState.CLOSED)],
)
def test_plates_are_open_closed_or_either_by_age(years: float, state: PlateState) -> None:
    assert plate_state(Sex.FEMALE, years) is state


def test_a_bone_that_is_not_planned_with_has_no_plate_here() -> None:
    with pytest.raises(KnowledgeError, match="radius"):
        plate_of(Limb.HAND, "radius")
