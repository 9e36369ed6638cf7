"""Who the patient is: age, sex, hand, work, and the health that matters to vessels and healing."""

from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from typing import Annotated

from annotated_types import Ge, Gt, Le, Len

from thumbwright.core.case.examined import NOT_EXAMINED, Finding, NotExamined


class Sex(Enum):
    """Sex, as growth tables need it."""

    FEMALE = "female"
    MALE = "male"


class DominantHand(Enum):
    """The hand that leads."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"
    NOT_YET = "not_yet"
    NOT_EXAMINED = "not_examined"


class Smoking(Enum):
    """Tobacco."""

    NEVER = "never"
    FORMER = "former"
    CURRENT = "current"
    NOT_EXAMINED = "not_examined"


@dataclass(frozen=True, slots=True, kw_only=True)
class Patient:
    """Facts about the person, under a pseudonym."""

    pseudonym: Annotated[str, Len(1, 60)] = field(
        metadata={"description": "A name that identifies nobody outside the unit."}
    )
    birth_date: date = field(metadata={"description": "Date of birth, year-month-day."})
    sex: Sex = field(metadata={"description": "Sex, as growth tables need it."})
    dominant_hand: DominantHand = DominantHand.NOT_EXAMINED
    work: Annotated[str, Len(0, 200)] = field(
        default="", metadata={"description": "Occupation, schooling or play, in words."}
    )
    needs: tuple[Annotated[str, Len(1, 200)], ...] = field(
        default=(), metadata={"description": "What the patient must do again, in words."}
    )
    smoking: Smoking = Smoking.NOT_EXAMINED
    cigarettes_per_day: Annotated[float, Ge(0), Le(120)] | NotExamined = field(
        default=NOT_EXAMINED, metadata={"description": "Cigarettes a day, if smoking."}
    )
    diabetes: Finding = Finding.NOT_EXAMINED
    vascular_disease: Finding = field(
        default=Finding.NOT_EXAMINED,
        metadata={"description": "Arterial disease, Raynaud or vasculitis, of hand or foot."},
    )
    clotting_disorder: Finding = field(
        default=Finding.NOT_EXAMINED,
        metadata={"description": "Bleeding or clotting disorder, or anticoagulants needed."},
    )
    asa_class: Annotated[int, Ge(1), Le(5)] | NotExamined = field(
        default=NOT_EXAMINED, metadata={"description": "ASA physical status, 1 to 5."}
    )
    height_cm: Annotated[float, Ge(40), Le(230)] | NotExamined = NOT_EXAMINED
    weight_kg: Annotated[float, Ge(2), Le(300)] | NotExamined = NOT_EXAMINED
    bone_age_years: Annotated[float, Gt(0), Le(20)] | NotExamined = field(
        default=NOT_EXAMINED, metadata={"description": "Bone age, where a film was read for it."}
    )


def age_years(patient: Patient, today: date) -> float:
    """Return the age in years, counted by days over the mean Gregorian year [years].

    Examples
    --------
    >>> girl = Patient(pseudonym="A", birth_date=date(2019, 6, 1), sex=Sex.FEMALE)
    >>> round(age_years(girl, date(2026, 6, 1)), 2)
    7.0
    """
    return (today - patient.birth_date).days / 365.2425
