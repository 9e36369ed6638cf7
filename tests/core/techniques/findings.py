"""Turns a column of findings in a table of short cases into a situation.

A finding is written as in a case document: ``kept.cmc.mobile=no``, several joined by ``; ``.
``feet.both.`` speaks of either foot, a list is joined by ``+``, ``acute`` means a loss on the
day of the examination with the part kept cool. Words without a dot are worked out elsewhere:
``level=unknown``, ``plausible=2+3``, ``level_prob=3:0.5+4:0.5``, ``growing=yes``,
``metacarpal_left_mm=28`` (with a standard uncertainty of 1 mm), each of which may be *unknown*.
"""

import csv
from collections.abc import Iterator, Mapping
from enum import Enum
from pathlib import Path

from tests.core.techniques.worked_situations import (
    ACUTE,
    ACUTE_DAYS,
    UNKNOWN_LEVEL,
    at,
    changed,
    measured_mm,
    situation,
)

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import NOT_EXAMINED
from thumbwright.core.case.goals import Goal, Refusal
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.situation import Situation

_UNKNOWN = Unknown(reason="nobody measured it", needed=("a film",))


def rows_of(table: Path) -> list[Mapping[str, str]]:
    """Read a table of short cases."""
    with table.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def goals_of(words: str) -> tuple[Goal, ...]:
    """Read goals joined by a plus sign."""
    return tuple(Goal(word) for word in words.split("+")) if words else ()


def situation_of(
    findings: str, *, level: int = 3, age_years: int = 30, goals: str = ""
) -> Situation:
    """Build the situation that a row of a table describes."""
    built = situation(Level(level), age_years=age_years, goals=goals_of(goals))
    for finding in filter(None, findings.split("; ")):
        if finding == "acute":
            built = _acute(built)
            continue
        path, _, word = finding.partition("=")
        if "." in path:
            built = changed(built, "case", _with(built.case, path, word))
        else:
            for name, value in _worked_out(path, word):
                built = changed(built, name, value)
    return built


def _acute(built: Situation) -> Situation:
    for path, value in ACUTE.items():
        built = changed(built, f"case.{path}", value)
    for name, value in ACUTE_DAYS.items():
        built = changed(built, name, value)
    return built


def _with(case: Case, path: str, word: str) -> Case:
    paths = [path.replace("both", side) for side in ("left", "right")] if "both" in path else [path]
    for one in paths:
        case = changed(case, one, _value(at(case, one), path, word))
    return case


def _value(before: object, path: str, word: str) -> object:
    if path == "wishes.refusals":
        return tuple(Refusal(one) for one in word.split("+"))
    if isinstance(before, Enum) and before is not NOT_EXAMINED:
        return type(before)(word)
    if word == "not_examined":
        return NOT_EXAMINED
    return int(word) if path == "patient.asa_class" else float(word)


def _worked_out(name: str, word: str) -> Iterator[tuple[str, object]]:
    match name, word:
        case "level", "unknown":
            yield from UNKNOWN_LEVEL.items()
        case "plausible", _:
            yield "plausible_levels", tuple(Level(int(one)) for one in word.split("+"))
        case "level_prob", _:
            pairs = (one.split(":") for one in word.split("+"))
            yield "level_prob", {Level(int(level)): float(prob) for level, prob in pairs}
        case _, "unknown":
            yield name, _UNKNOWN
        case "growing", _:
            yield name, word == "yes"
        case (("metacarpal_left_mm" | "missing_length_mm"), _):
            yield name, measured_mm(float(word), 1.0)
        case _:
            yield name, float(word)
