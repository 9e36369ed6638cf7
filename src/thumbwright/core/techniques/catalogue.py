"""Reads the catalogue of techniques from the text of its TOML file, and refuses any fault in it."""

import tomllib
from collections.abc import Mapping

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Source
from thumbwright.core.techniques.catalogue_checks import check_technique
from thumbwright.core.techniques.catalogue_place import Place
from thumbwright.core.techniques.catalogue_values import (
    read_fit,
    read_gift,
    read_grade,
    read_span,
    spread_over_levels,
)
from thumbwright.core.techniques.rules import RULES
from thumbwright.core.techniques.technique import Family, Take, Technique, ThumbJoint, Toe

_TEXTS = ("name", "short_name")
_SWITCHES = ("needs_microsurgery", "is_operation")
_STATEMENTS = ("gives", "costs", "donor", "staging")
_SPANS = {"hours": "h", "weeks": "weeks", "length_mm": "mm"}
_IN_CHILDREN = "length_in_children_mm"
_FIELDS = {
    *_TEXTS,
    *_SWITCHES,
    *_STATEMENTS,
    *_SPANS,
    "family",
    "takes",
    "donor_toes",
    "stages",
    "levels",
    "joints",
    "grades",
    "rules",
}


def read_catalogue(text: str, bibliography: Mapping[str, Source]) -> tuple[Technique, ...]:
    """Read every technique of the catalogue.

    Parameters
    ----------
    text
        The text of the TOML file.
    bibliography
        The sources that its statements may name.

    Returns
    -------
    tuple[Technique, ...]
        The techniques in the order of the file.

    Raises
    ------
    KnowledgeError
        If the text is no TOML, a field is missing, unknown or of the wrong kind, a source or a
        rule is not known, or a technique contradicts itself; with the place in the file.
    """
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise KnowledgeError(
            f"the catalogue of techniques could not be read ({fault}); allowed is one TOML table "
            "per technique; mend catalogue.toml"
        ) from fault
    return tuple(
        _technique(key, Place(path=key, bibliography=bibliography).table(table))
        for key, table in tables.items()
    )


def _technique(key: str, place: Place) -> Technique:
    place.demand_exactly(_FIELDS, optional=(_IN_CHILDREN,))
    technique = Technique(
        key=key,
        name=place.at("name").text(),
        short_name=place.at("short_name").text(),
        family=place.at("family").member(Family),
        needs_microsurgery=place.at("needs_microsurgery").switch(),
        is_operation=place.at("is_operation").switch(),
        takes=place.at("takes").members(Take),
        donor_toes=place.at("donor_toes").members(Toe),
        stages=place.at("stages").whole_number(),
        gives=place.at("gives").statement(),
        costs=place.at("costs").statement(),
        donor=place.at("donor").statement(),
        staging=place.at("staging").statement(),
        hours=read_span(place.at("hours"), _SPANS["hours"]),
        weeks=read_span(place.at("weeks"), _SPANS["weeks"]),
        added_length=read_span(place.at("length_mm"), _SPANS["length_mm"]),
        added_length_in_children=(
            read_span(place.at(_IN_CHILDREN), _SPANS["length_mm"])
            if _IN_CHILDREN in place.entries()
            else Unknown(reason="no series of children was read")
        ),
        levels=spread_over_levels(place.at("levels"), read_fit),
        joints={
            joint: spread_over_levels(place.at("joints").at(joint.value), read_gift)
            for joint in ThumbJoint
        },
        grades={
            goal: spread_over_levels(place.at("grades").at(goal.value), read_grade)
            for goal in place.at("grades").goals_graded()
        },
        rules=_rules(place.at("rules")),
    )
    check_technique(technique, place)
    return technique


def _rules(place: Place) -> tuple[str, ...]:
    names = place.texts()
    for name in names:
        if name not in RULES:
            raise place.fault(f"the rule '{name}'", f"one of {', '.join(sorted(RULES))}")
    return names
