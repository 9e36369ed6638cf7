"""Whether the hand still grows: by bone age where there is one, else by the calendar."""

from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest

from thumbwright.core.case.growing import UNION_BY_YEARS, UNION_FROM_YEARS, is_growing
from thumbwright.core.case.patient import Patient, Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Provenance

GIRL = Patient(pseudonym="A", birth_date=date(2015, 6, 1), sex=Sex.FEMALE)
BOY = replace(GIRL, sex=Sex.MALE)

# Cardoso and Severino, abstract, hand bones of 49 girls and 43 boys: partial union seen from 12
# years in girls and 16 in boys, and until 18 in both.
PUBLISHED_UNION_YEARS = {Sex.FEMALE: (12.0, 18.0), Sex.MALE: (16.0, 18.0)}


def test_the_ages_of_union_are_those_of_the_source_and_say_that_they_were_read() -> None:
    stated = {sex: (since.value, UNION_BY_YEARS.value) for sex, since in UNION_FROM_YEARS.items()}
    assert stated == PUBLISHED_UNION_YEARS
    for number in (*UNION_FROM_YEARS.values(), UNION_BY_YEARS):
        assert number.basis.provenance is Provenance.READ
        assert number.basis.source == "cardoso-severino-2010"


@pytest.mark.parametrize(
    ("patient", "age_years", "grows"),
    [
        (GIRL, 0.4, True),
        (GIRL, 7.5, True),
        (GIRL, 11.99, True),
        (BOY, 15.99, True),
        (GIRL, 18.0, False),
        (BOY, 18.0, False),
        (BOY, 71.0, False),
    ],
)
def test_before_any_union_was_seen_the_hand_grows_and_after_the_last_it_does_not(
    patient: Patient, age_years: float, grows: bool
) -> None:
    assert is_growing(patient, age_years) is grows


@pytest.mark.parametrize(
    ("patient", "age_years"), [(GIRL, 12.0), (GIRL, 17.9), (BOY, 16.0), (BOY, 17.9)]
)
def test_between_them_it_is_unknown_and_a_film_or_a_bone_age_would_settle_it(
    patient: Patient, age_years: float
) -> None:
    answer = is_growing(patient, age_years)
    assert isinstance(answer, Unknown)
    assert f"of {int(age_years)} years" in answer.reason
    assert "bone age" in answer.needed[0]


def test_a_bone_age_goes_before_the_calendar() -> None:
    assert is_growing(replace(GIRL, bone_age_years=10.5), 12.5) is True
    assert is_growing(replace(BOY, bone_age_years=18.5), 15.0) is False


def test_a_bone_age_that_settles_nothing_is_not_asked_for_again() -> None:
    answer = is_growing(replace(GIRL, bone_age_years=13.5), 11.0)
    assert isinstance(answer, Unknown)
    assert "a bone age of 13 years" in answer.reason
    assert answer.needed == ("growth plates of the hand on the film",)


@pytest.mark.parametrize("patient", [GIRL, BOY])
def test_nobody_begins_to_grow_again(patient: Patient) -> None:
    order = {True: 0, None: 1, False: 2}
    answers = [is_growing(patient, tenths / 10) for tenths in range(250)]
    stages = [order[None if isinstance(one, Unknown) else one] for one in answers]
    assert {0, 1, 2} == set(stages)
    assert all(before <= after for before, after in pairwise(stages))
