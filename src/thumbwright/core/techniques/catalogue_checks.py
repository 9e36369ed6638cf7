"""What a technique of the catalogue may not leave out, and where it would contradict itself."""

from thumbwright.core.case.goals import Goal
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.catalogue_place import Place
from thumbwright.core.techniques.technique import Take, Technique

_TOE_PARTS = {
    Take.GREAT_TOE,
    Take.PART_OF_GREAT_TOE,
    Take.SECOND_TOE,
    Take.PART_OF_SECOND_TOE,
}
_MICROSURGERY = {"unit_has_microsurgery", "unit_can_watch_a_flap"}
_TOES = {"foot_vessels_are_patent", "donor_foot_is_healthy", "foot_can_spare_it"}


def check_technique(technique: Technique, place: Place) -> None:
    """Refuse a technique that leaves out what it needs, or contradicts itself.

    Raises
    ------
    KnowledgeError
        With the first fault.
    """
    _check_levels(technique, place)
    _check_grades(technique, place)
    _check_rules(technique, place)
    _check_takes(technique, place)


def _check_levels(technique: Technique, place: Place) -> None:
    every = set(Level)
    tables = [("levels", every - set(technique.levels))]
    tables += [
        (f"joints.{joint.value}", every - set(gifts)) for joint, gifts in technique.joints.items()
    ]
    tables += [
        (f"grades.{goal.value}", set(technique.done_at) - set(graded))
        for goal, graded in technique.grades.items()
    ]
    for name, missing in tables:
        if missing:
            first = min(level.value for level in missing)
            raise place.fault(
                f"no level {first} in '{name}'",
                "every level; in 'grades' every level at which the technique may be done",
            )


def _check_grades(technique: Technique, place: Place) -> None:
    for goal, graded in technique.grades.items():
        if goal is not Goal.FEELING and any(one.of_the_stump for one in graded.values()):
            raise place.fault(
                f"the grade of the stump in 'grades.{goal.value}'",
                "the grade of the stump for feeling only, which is what is examined there",
            )


def _check_rules(technique: Technique, place: Place) -> None:
    needed = {"level_suits"}
    if technique.is_operation:
        needed |= {"patient_has_not_refused_it", "patient_bears_the_operation"}
    if technique.takes:
        needed.add("patient_has_not_refused_it")
    if technique.needs_microsurgery:
        needed |= _MICROSURGERY
    if technique.donor_toes:
        needed |= _TOES
    for name in sorted(needed - set(technique.rules)):
        raise place.fault(f"no rule '{name}'", "a list of rules that fits what it needs and takes")
    if not technique.needs_microsurgery and _MICROSURGERY & set(technique.rules):
        raise place.fault(
            "a rule on microsurgery for a technique that does without",
            "such a rule where needs_microsurgery is true",
        )


def _check_takes(technique: Technique, place: Place) -> None:
    if bool(technique.donor_toes) != bool(_TOE_PARTS & set(technique.takes)):
        raise place.fault(
            "donor_toes and takes that do not agree", "a donor toe exactly where a toe is taken"
        )
    if technique.is_operation == (technique.stages == 0):
        raise place.fault(f"stages = {technique.stages}", "0 without an operation, else 1 or more")
