"""The facts of the case as rows of the paper: what was found, and what was not examined."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import NotExamined
from thumbwright.documents.plan_content import FindingRow, NotExaminedRow

_UNITS = {
    "_mm": "mm",
    "_deg": "°",
    "_cm": "cm",
    "_kg": "kg",
    "_years": "years",
    "_hours": "hours",
    "_share": "",
    "_per_day": "a day",
}
_GROUPS = (
    ("patient", "patient"),
    ("injury", "injury"),
    ("kept", "injured thumb"),
    ("other_thumb", "other thumb"),
    ("fingers", "other fingers of the injured hand"),
    ("recipient_vessels", "vessels of the injured hand"),
    ("feet", "feet as donors"),
    ("facility", "what the unit offers"),
    ("wishes", "wishes, in the patient's order"),
)
_ABBREVIATIONS = {
    "cmc": "CMC joint",
    "mcp": "MCP joint",
    "ip": "IP joint",
    "asa class": "ASA class",
}
_PERSONAL = frozenset({"pseudonym"})
"""Stands in the head of every page already."""


def findings(case: Case) -> tuple[FindingRow, ...]:
    """Return everything that was found, a row each, in the order of the case document."""
    return tuple(
        FindingRow(group=group, name=name, found=_in_words(value, unit))
        for group, name, unit, value in _entries(case)
        if not _is_not_examined(value) and _says_something(value)
    )


def not_examined(case: Case) -> tuple[NotExaminedRow, ...]:
    """Return what nobody looked at, by group."""
    names: dict[str, list[str]] = defaultdict(list)
    for group, name, _, value in _entries(case):
        if _is_not_examined(value):
            names[group].append(name)
    return tuple(NotExaminedRow(group=group, names=tuple(found)) for group, found in names.items())


def _entries(case: Case) -> Iterator[tuple[str, str, str, object]]:
    for attribute, group in _GROUPS:
        value = getattr(case, attribute)
        if is_dataclass(value):
            for name, unit, found in _leaves(value, ""):
                yield group, name, unit, found
        else:
            yield group, group, "", value


def _leaves(record: object, before: str) -> Iterator[tuple[str, str, object]]:
    """Yield every field of a record with its name in words, records within records too."""
    for field in fields(record):  # type: ignore[arg-type]  # only called with dataclasses
        if field.name in _PERSONAL:
            continue
        value = getattr(record, field.name)
        name, unit = _name_and_unit(field.name)
        joined = f"{before}, {name}" if before else name
        if is_dataclass(value):
            yield from _leaves(value, joined)
        else:
            yield joined, unit, value


def _name_and_unit(field_name: str) -> tuple[str, str]:
    suffix = next((ending for ending in _UNITS if field_name.endswith(ending)), "")
    words = field_name.removesuffix(suffix).replace("_", " ")
    return _ABBREVIATIONS.get(words, words), _UNITS.get(suffix, "")


def _is_not_examined(value: object) -> bool:
    return isinstance(value, Enum) and value.value == NotExamined.NOT_EXAMINED.value


def _says_something(value: object) -> bool:
    return value not in ((), "")


def _in_words(value: object, unit: str) -> str:
    if isinstance(value, Enum):
        return str(value.value).replace("_", " ")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return "; ".join(_in_words(each, unit) for each in value)
    if isinstance(value, float | int):
        return f"{value:g}{unit}" if unit == "°" else f"{value:g} {unit}".strip()
    return str(value)
