"""Whether the hand still grows, by age and sex; a film of the growth plates says it better."""

from thumbwright.core.case.examined import NotExamined
from thumbwright.core.case.patient import Patient, Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance, Published

_UNION = Basis(
    provenance=Provenance.READ, source="cardoso-severino-2010", locator="abstract, hand bones"
)
UNION_FROM_YEARS = {
    Sex.FEMALE: Published(value=12.0, unit="years", basis=_UNION),
    Sex.MALE: Published(value=16.0, unit="years", basis=_UNION),
}
"""Youngest age at which union was seen in metacarpals and hand phalanges of dry bones."""
UNION_BY_YEARS = Published(value=18.0, unit="years", basis=_UNION)
"""Oldest age at which it was still incomplete."""


def is_growing(patient: Patient, age_years: float) -> bool | Unknown:
    """Tell whether the hand still grows.

    Parameters
    ----------
    patient
        Sex, and bone age where a film was read for it.
    age_years
        Age by the calendar. [years]

    Returns
    -------
    bool | Unknown
        Unknown at the ages at which growth plates were seen open in some and closed in others.

    Examples
    --------
    >>> from datetime import date
    >>> girl = Patient(pseudonym="A", birth_date=date(2019, 6, 1), sex=Sex.FEMALE)
    >>> is_growing(girl, 7.4)
    True
    """
    bone_age = patient.bone_age_years
    if isinstance(bone_age, NotExamined):
        years, of, needed = (
            age_years,
            "an age",
            "growth plates of the hand on the film, or a bone age",
        )
    else:
        years, of, needed = bone_age, "a bone age", "growth plates of the hand on the film"
    if years >= UNION_BY_YEARS.value:
        return False
    if years < UNION_FROM_YEARS[patient.sex].value:
        return True
    return Unknown(
        reason=f"at {of} of {int(years)} years growth plates of the hand may be open or closed",
        needed=(needed,),
    )
