"""Reads the values of the catalogue that are more than a text or a number."""

from collections.abc import Callable, Mapping
from typing import TypeVar

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.catalogue_place import Place
from thumbwright.core.techniques.technique import (
    Gift,
    Grade,
    Graded,
    JointGift,
    LevelFit,
    Span,
    Suitability,
)

Value = TypeVar("Value")

_OF_THE_STUMP = "stump"
_COMMON = Basis(provenance=Provenance.COMMON_PRACTICE)
_PLAIN_GIFTS = {
    Gift.KEPT: Statement(text="The patient's own joint is kept and used.", basis=_COMMON),
    Gift.NOT_AFFECTED: Statement(text="The patient's own joint is left as it is.", basis=_COMMON),
    Gift.NONE: Statement(text="No joint moves there afterwards.", basis=_COMMON),
}


def spread_over_levels(place: Place, read: Callable[[Place], Value]) -> Mapping[Level, Value]:
    """Read a table whose keys are levels or spans of levels, in order of the levels."""
    spread: dict[Level, Value] = {}
    for key in place.entries():
        value = read(place.at(key))
        for level in _levels(key, place):
            if level in spread:
                raise place.fault(f"level {level.value} twice", "each level once")
            spread[level] = value
    return dict(sorted(spread.items(), key=lambda item: item[0].value))


def read_fit(place: Place) -> LevelFit:
    """Read how well the technique suits a level."""
    return LevelFit(
        suitability=_first(place).member(Suitability), statement=place.statement(after=1)
    )


def read_grade(place: Place) -> Graded:
    """Read a grade and its statement; *stump* stands for the grade of the stump itself."""
    if place.items()[:1] == (_OF_THE_STUMP,):
        return Graded(grade=Grade.GOOD, statement=place.statement(after=1), of_the_stump=True)
    return Graded(grade=_first(place).member(Grade), statement=place.statement(after=1))


def read_gift(place: Place) -> JointGift:
    """Read what becomes of a joint; only a joint that is given has a grade of its own."""
    gift = _first(place).member(Gift)
    if gift is Gift.GIVEN:
        grade = place.with_value(dict(enumerate(place.items())).get(1)).member(Grade)
        return JointGift(gift=gift, grade=grade, statement=place.statement(after=2))
    statement = _PLAIN_GIFTS[gift] if len(place.items()) == 1 else place.statement(after=1)
    grade = Grade.NONE if gift is Gift.NONE else Grade.GOOD
    return JointGift(gift=gift, grade=grade, statement=statement)


def read_span(place: Place, unit: str) -> Span | Unknown:
    """Read a span of numbers with its statement, or why it is not known."""
    parts = place.items()
    if parts[:1] == ("unknown",):
        reason, *needed = (place.with_value(part).text() for part in parts[1:] or ("",))
        return Unknown(reason=reason, needed=tuple(needed))
    low = _first(place).number()
    high = place.with_value(dict(enumerate(parts)).get(1)).number()
    if low > high:
        raise place.fault(f"{low:g} before {high:g}", "the lower number first")
    return Span(low=low, high=high, unit=unit, statement=place.statement(after=2))


def _first(place: Place) -> Place:
    return place.with_value(next(iter(place.items()), None))


def _levels(key: str, place: Place) -> tuple[Level, ...]:
    low, _, high = key.partition("-")
    numbers = {str(level.value): level.value for level in Level}
    if low not in numbers or (high or low) not in numbers or numbers[low] > numbers[high or low]:
        raise place.fault(f"the key '{key}'", "a level '1' to '5', or a span such as '2-3'")
    return tuple(level for level in Level if numbers[low] <= level.value <= numbers[high or low])
