"""One statement against another: how a contradiction is put into words."""

from datetime import date
from enum import Enum

from thumbwright.core.case.case import Case
from thumbwright.core.foundations.errors import Fault

_MOST_SHOWN = 12


def clash(case: Case, *places: str, allowed: str, advice: str) -> Fault:
    """Put two or more statements of a case that cannot all hold into one fault.

    Parameters
    ----------
    case
        The case.
    places
        Where the statements stand, as dotted paths into the case.
    allowed
        What can be.
    advice
        What to do about it.

    Returns
    -------
    Fault
        Its path names every place, joined by "and", and its given value what stands there.
    """
    return Fault(
        path=" and ".join(places),
        given=" and ".join(_words(_at(case, place)) for place in places),
        allowed=allowed,
        advice=advice,
    )


def _at(case: Case, place: str) -> object:
    value: object = case
    for name in place.split("."):
        value = getattr(value, name)
    return value


def _words(value: object) -> str:
    match value:
        case Enum():
            return str(value.value)
        case date():
            return value.isoformat()
        case float():
            return f"{value:g}"
        case tuple() if len(value) > _MOST_SHOWN:
            return f"a list of {len(value)}"
        case tuple():
            return f"[{', '.join(_words(part) for part in value)}]"
        case _:
            return str(value)
