"""Statements about the person, the wishes and the unit that cannot both hold.

Limits of age, height and weight are working assumptions of this program, set so wide that
they refuse slips of the pen and no living person.
"""

from collections.abc import Iterator

from thumbwright.core.case.case import Case
from thumbwright.core.case.clash import clash
from thumbwright.core.case.examined import Finding, NotExamined
from thumbwright.core.case.goals import Goal
from thumbwright.core.case.patient import DominantHand, Smoking, age_years
from thumbwright.core.foundations.errors import Fault

_OLDEST_YEARS = 120
_GROWN_YEARS = 20
_FURTHEST_BONE_AGE_YEARS = 6
_HANDEDNESS_SHOWN_YEARS = 10
_YOUNGEST_SMOKER_YEARS = 7
_AGE = ("patient.birth_date", "examined_on")


def _age(case: Case) -> float:
    return age_years(case.patient, case.examined_on)


def birth_comes_before_examination(case: Case) -> Iterator[Fault]:
    """Refuse an examination before birth."""
    if case.patient.birth_date > case.examined_on:
        yield clash(
            case,
            *_AGE,
            allowed="a birth on or before the day of the examination",
            advice="check the years",
        )


def age_is_of_a_living_person(case: Case) -> Iterator[Fault]:
    """Refuse an age that nobody reaches."""
    if _age(case) > _OLDEST_YEARS:
        yield clash(
            case, *_AGE, allowed=f"an age up to {_OLDEST_YEARS} years", advice="check the years"
        )


def cigarettes_are_of_a_smoker(case: Case) -> Iterator[Fault]:
    """Refuse cigarettes a day for one who does not smoke now."""
    patient = case.patient
    given = patient.cigarettes_per_day
    if isinstance(given, NotExamined) or given == 0:
        return
    if patient.smoking in {Smoking.NEVER, Smoking.FORMER}:
        yield clash(
            case,
            "patient.smoking",
            "patient.cigarettes_per_day",
            allowed="cigarettes a day only where smoking is current",
            advice="set cigarettes_per_day to 0, or smoking to current",
        )


def small_children_do_not_smoke(case: Case) -> Iterator[Fault]:
    """Refuse tobacco, now or earlier, in a small child."""
    smokes = case.patient.smoking in {Smoking.CURRENT, Smoking.FORMER}
    if smokes and 0 <= _age(case) < _YOUNGEST_SMOKER_YEARS:
        yield clash(
            case,
            "patient.smoking",
            *_AGE,
            allowed=f"smoking from {_YOUNGEST_SMOKER_YEARS} years of age upwards",
            advice="check both dates and smoking",
        )


def handedness_shows_in_time(case: Case) -> Iterator[Fault]:
    """Refuse a hand that does not lead yet in one who is long past that age."""
    undecided = case.patient.dominant_hand is DominantHand.NOT_YET
    if undecided and _age(case) > _HANDEDNESS_SHOWN_YEARS:
        yield clash(
            case,
            "patient.dominant_hand",
            *_AGE,
            allowed=f"not_yet up to {_HANDEDNESS_SHOWN_YEARS} years of age",
            advice="write left, right, both or not_examined",
        )


def diabetes_is_a_disease(case: Case) -> Iterator[Fault]:
    """Refuse ASA class 1, which is a person without any disease, beside diabetes."""
    if case.patient.asa_class == 1 and case.patient.diabetes is Finding.YES:
        yield clash(
            case,
            "patient.asa_class",
            "patient.diabetes",
            allowed="ASA class 2 or more where there is diabetes",
            advice="correct one of them",
        )


def bone_age_is_of_the_growing(case: Case) -> Iterator[Fault]:
    """Refuse a bone age in one whose bones have long closed."""
    given = case.patient.bone_age_years
    if not isinstance(given, NotExamined) and _age(case) > _GROWN_YEARS + 1:
        yield clash(
            case,
            "patient.bone_age_years",
            *_AGE,
            allowed=f"a bone age up to {_GROWN_YEARS} years of age",
            advice='write "not_examined"',
        )


def bone_age_is_near_the_age(case: Case) -> Iterator[Fault]:
    """Refuse a bone age that no disorder of growth explains."""
    given = case.patient.bone_age_years
    if isinstance(given, NotExamined) or not 0 <= _age(case) <= _GROWN_YEARS + 1:
        return
    if abs(given - _age(case)) > _FURTHEST_BONE_AGE_YEARS:
        yield clash(
            case,
            "patient.bone_age_years",
            *_AGE,
            allowed=f"a bone age within {_FURTHEST_BONE_AGE_YEARS} years of the age",
            advice="check both dates and the reading",
        )


def height_fits_the_age(case: Case) -> Iterator[Fault]:
    """Refuse a height that nobody has at that age."""
    age, given = _age(case), case.patient.height_cm
    if isinstance(given, NotExamined) or age < 0:
        return
    low_cm, high_cm = 40 + 3 * min(age, 16), 90 + 12 * age
    if not low_cm <= given <= high_cm:
        yield clash(
            case,
            "patient.height_cm",
            *_AGE,
            allowed=f"at this age {low_cm:.0f} to {min(high_cm, 230):.0f} cm",
            advice="check the height and both dates",
        )


def weight_fits_the_age(case: Case) -> Iterator[Fault]:
    """Refuse a weight that nobody has at that age."""
    age, given = _age(case), case.patient.weight_kg
    if isinstance(given, NotExamined) or age < 0:
        return
    low_kg, high_kg = 2 + min(age, 16), 15 + 12 * age
    if not low_kg <= given <= high_kg:
        yield clash(
            case,
            "patient.weight_kg",
            *_AGE,
            allowed=f"at this age {low_kg:.0f} to {min(high_kg, 300):.0f} kg",
            advice="check the weight and both dates",
        )


def weight_fits_the_height(case: Case) -> Iterator[Fault]:
    """Refuse height and weight that make no body."""
    height_cm, weight_kg = case.patient.height_cm, case.patient.weight_kg
    if isinstance(height_cm, NotExamined) or isinstance(weight_kg, NotExamined):
        return
    if not 7 <= weight_kg / (height_cm / 100) ** 2 <= 100:
        yield clash(
            case,
            "patient.height_cm",
            "patient.weight_kg",
            allowed="a body mass index from 7 to 100 kg per square metre",
            advice="check whether the two are exchanged or in other units",
        )


def each_goal_stands_once(case: Case) -> Iterator[Fault]:
    """Refuse a goal at two ranks."""
    if len(set(case.wishes.goals)) < len(case.wishes.goals):
        yield clash(
            case, "wishes.goals", allowed="each goal once", advice="keep the first of the two"
        )


def each_refusal_stands_once(case: Case) -> Iterator[Fault]:
    """Refuse a refusal that is said twice, because one of the two was meant otherwise."""
    if len(set(case.wishes.refusals)) < len(case.wishes.refusals):
        yield clash(case, "wishes.refusals", allowed="each refusal once", advice="remove one")


def growth_is_wanted_by_the_growing(case: Case) -> Iterator[Fault]:
    """Refuse the goal of growth in a grown person."""
    if Goal.GROWTH in case.wishes.goals and _age(case) > _GROWN_YEARS:
        yield clash(
            case,
            "wishes.goals",
            *_AGE,
            allowed=f"the goal growth up to {_GROWN_YEARS} years of age",
            advice="remove the goal, or check both dates",
        )


def microsurgery_has_a_microscope(case: Case) -> Iterator[Fault]:
    """Refuse microsurgery without a microscope."""
    offers = case.facility
    if offers.microsurgery is Finding.YES and offers.microscope is Finding.NO:
        yield clash(
            case,
            "facility.microsurgery",
            "facility.microscope",
            allowed="microsurgery only with a microscope, in the unit or at a partner",
            advice="correct one of them",
        )


RULES = (
    birth_comes_before_examination,
    age_is_of_a_living_person,
    cigarettes_are_of_a_smoker,
    small_children_do_not_smoke,
    handedness_shows_in_time,
    diabetes_is_a_disease,
    bone_age_is_of_the_growing,
    bone_age_is_near_the_age,
    height_fits_the_age,
    weight_fits_the_age,
    weight_fits_the_height,
    each_goal_stands_once,
    each_refusal_stands_once,
    growth_is_wanted_by_the_growing,
    microsurgery_has_a_microscope,
)
