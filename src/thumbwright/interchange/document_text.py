"""From the bytes of a TOML or JSON document to plain tables, with every fault of the text."""

import json
import re
import tomllib
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime, time
from math import isfinite
from typing import TypeAlias

from thumbwright.core.foundations.errors import Fault

Value: TypeAlias = "dict[str, Value] | list[Value] | str | int | float | bool | None"
Table: TypeAlias = dict[str, Value]
Place: TypeAlias = tuple[str | int, ...]

WHOLE = "the whole document"
LARGEST_BYTES = 1_000_000
DEEPEST = 20
LARGEST_NUMBER = 2**53
MOST_DOTS = 100
LONGEST_SHOWN = 60
_BETWEEN_KEYS = re.compile(r"[=,\[\]{}\n#]|\.\s*\.")
_KIND = "a TOML or JSON document in UTF-8"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What could be read of a text, and what was wrong with it."""

    table: Table | None
    """None where nothing could be read at all."""
    faults: tuple[tuple[Place, Fault], ...] = ()


@dataclass(slots=True)
class _Cleaner:
    """Turns parsed values into plain ones; what cannot stand becomes None, with a fault."""

    faults: list[tuple[Place, Fault]] = field(default_factory=list)

    def clean(self, value: object, place: Place) -> Value:
        if isinstance(value, datetime | date | time):
            return value.isoformat()
        if problem := _problem_of(value, len(place)):
            given, advice = problem
            self.add(place, given, advice)
            return None
        if isinstance(value, dict):
            return {
                key: self.clean(inner, (*place, key))
                for key, inner in value.items()
                if self._is_plain_key(key, place)
            }
        if isinstance(value, list):
            return [self.clean(inner, (*place, at)) for at, inner in enumerate(value)]
        return value if isinstance(value, str | int | float) else None

    def add(self, place: Place, given: str, advice: str) -> None:
        fault = Fault(path=path_of(place), given=given, allowed=_KIND, advice=advice)
        self.faults.append((place, fault))

    def _is_plain_key(self, key: str, place: Place) -> bool:
        if not _is_plain(key):
            self.add((*place, key), "a key with control characters", "rename it")
        return _is_plain(key)


def _problem_of(value: object, depth: int) -> tuple[str, str] | None:
    """Return what is wrong with a value whatever its place, and what to do; None if nothing."""
    if isinstance(value, dict | list) and depth > DEEPEST:
        return "a nest of tables", f"nest at most {DEEPEST} tables in each other"
    if isinstance(value, float) and not isfinite(value):
        return str(value), "write a finite number"
    if isinstance(value, int) and abs(value) > LARGEST_NUMBER:
        return "an enormous number", "check its digits"
    if isinstance(value, str) and not _is_plain(value):
        return shown(value), "remove the control characters"
    return None


def read_text(data: bytes | str) -> Reading:
    """Read a document as JSON if it begins with a brace, else as TOML.

    Parameters
    ----------
    data
        The document; bytes are taken as UTF-8, with or without a byte order mark.

    Returns
    -------
    Reading
        Tables of text, numbers, truth values and lists; dates as ISO text.
    """
    text = _decoded(data)
    if isinstance(text, Fault):
        return Reading(table=None, faults=(((), text),))
    parsed = _parsed_json(text) if text.lstrip().startswith("{") else _parsed_toml(text)
    if isinstance(parsed, Fault):
        return Reading(table=None, faults=(((), parsed),))
    cleaner = _Cleaner()
    table = cleaner.clean(parsed, ())
    return Reading(table=table if isinstance(table, dict) else {}, faults=tuple(cleaner.faults))


def path_of(place: Place) -> str:
    """Return a place as a user would look for it: ``films[2].points.skin_tip``."""
    path = ""
    for step in place:
        if isinstance(step, int):
            path += f"[{step}]"
        else:
            name = step if step.replace("_", "a").replace("-", "a").isalnum() else shown(step)
            path += f".{_shortened(name)}" if path else _shortened(name)
    return path or WHOLE


def shown(value: object) -> str:
    """Return a given value as it is quoted in a message, shortened."""
    if isinstance(value, dict):
        return f"a table of {len(value)} keys"
    if isinstance(value, list) and len(value) > 4:
        return f"a list of {len(value)}"
    return _shortened(json.dumps(value, ensure_ascii=not _is_plain(str(value)), default=str))


def _shortened(text: str) -> str:
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."


def _is_plain(text: str) -> bool:
    return all(
        sign in "\n\t"
        or not (sign < " " or "\x7f" <= sign <= "\x9f" or "\ud800" <= sign <= "\udfff")
        for sign in text
    )


def _decoded(data: bytes | str) -> str | Fault:
    if len(data) > LARGEST_BYTES:
        return Fault(
            path=WHOLE,
            given=f"{len(data):,} bytes",
            allowed=f"at most {LARGEST_BYTES:,} bytes",
            advice="check that this is the document and not a film",
        )
    if isinstance(data, str):
        return data.removeprefix("\ufeff")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        return Fault(
            path=WHOLE,
            given=f"the byte {data[fault.start]:#04x} at position {fault.start + 1}, "
            "which is not UTF-8 text",
            allowed=_KIND,
            advice="save it as UTF-8 text",
        )


def _parsed_toml(text: str) -> object:
    # The parser's memory grows with the square of the parts of one dotted key.
    if any(piece.count(".") > MOST_DOTS for piece in _BETWEEN_KEYS.split(text)):
        return Fault(
            path=WHOLE,
            given=f"a key of more than {MOST_DOTS} parts joined by dots",
            allowed=f"at most {DEEPEST} tables in each other",
            advice="shorten it",
        )
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as fault:
        advice = "mend that place; words stand in quotes, dates as 2026-11-25"
        return _unparsed("TOML", fault, advice)


def _parsed_json(text: str) -> object:
    repeated: list[str] = []

    def unique(pairs: list[tuple[str, object]]) -> dict[str, object]:
        table = dict(pairs)
        if len(table) < len(pairs):
            times = Counter(key for key, _ in pairs)
            repeated.extend(key for key in table if times[key] > 1)
        return table

    try:
        parsed: object = json.loads(text, object_pairs_hook=unique)
    except (ValueError, RecursionError) as fault:
        return _unparsed("JSON", fault, "mend that place")
    if not repeated:
        return parsed
    return Fault(
        path=path_of((repeated[0],)),
        given="the key more than once in one table",
        allowed="each key once",
        advice="remove all but one",
    )


def _unparsed(language: str, fault: Exception, advice: str) -> Fault:
    match fault:
        case json.JSONDecodeError():
            what = f"{fault.msg} (at line {fault.lineno}, column {fault.colno})"
        case tomllib.TOMLDecodeError():
            what = str(fault)
        case RecursionError():
            what = "tables or lists in each other without end"
        case _:
            what = "a number with thousands of digits"
    return Fault(
        path=WHOLE, given=f"text that is no {language}: {what}", allowed=_KIND, advice=advice
    )
