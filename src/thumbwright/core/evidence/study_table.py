"""Reads the table of studies from its text, and refuses any fault in it with the line."""

import csv
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import TypeVar

from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.study import (
    FREE_FLAPS,
    Averaged,
    Cause,
    Counted,
    Population,
    StudyArm,
)
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance, Source

Member = TypeVar("Member", bound=Enum)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of a table of the room, with its number in the file."""

    table: str
    number: int
    cells: Mapping[str, str]

    def fault(self, given: str, allowed: str) -> KnowledgeError:
        """Return the error that says what is wrong in this line."""
        return KnowledgeError(
            f"{self.table} has {given} in line {self.number}; allowed is {allowed}; mend it there"
        )

    def text(self, column: str) -> str:
        """Return a cell that must not be empty."""
        if not self.cells[column]:
            raise self.fault(f"nothing under '{column}'", "a text")
        return self.cells[column]

    def member(self, column: str, kind: type[Member]) -> Member:
        """Return a cell as a member of a closed list."""
        try:
            return kind(self.cells[column])
        except ValueError as fault:
            allowed = ", ".join(str(one.value) for one in kind)
            raise self.fault(f"'{self.cells[column]}' under '{column}'", allowed) from fault

    def number_or_none(self, column: str) -> float | None:
        """Return a cell as a number; None if it is empty."""
        words = self.cells[column]
        try:
            value = float(words) if words else None
        except ValueError as fault:
            raise self.fault(f"'{words}' under '{column}'", "a number") from fault
        if value is not None and not -1e6 < value < 1e6:
            raise self.fault(f"'{words}' under '{column}'", "a finite number")
        return value

    def count_or_none(self, column: str) -> int | None:
        """Return a cell as a whole number from 0 upwards; None if it is empty."""
        words = self.cells[column]
        if words and not (words.isascii() and words.isdigit()):
            raise self.fault(f"'{words}' under '{column}'", "a whole number from 0 upwards")
        return int(words) if words else None

    def keys(self, column: str, allowed: Collection[str] | None) -> tuple[str, ...]:
        """Return the words of a cell, each one of those allowed."""
        given = tuple(self.cells[column].split())
        wrong = [key for key in given if allowed is not None and key not in allowed]
        if wrong or len(set(given)) != len(given):
            known = ", ".join(sorted(allowed or ()))
            raise self.fault(f"'{self.cells[column]}' under '{column}'", f"each once, of {known}")
        return given

    def basis(self, bibliography: Mapping[str, Source] | None) -> Basis:
        """Return what the line rests on."""
        source, provenance = self.cells["source"], self.member("provenance", Provenance)
        if provenance is not Provenance.ASSUMED and not source:
            raise self.fault("no source", "a key of the bibliography")
        if bibliography is not None and source and source not in bibliography:
            raise self.fault(f"the source '{source}'", "a key of the bibliography")
        return Basis(provenance=provenance, source=source, locator=self.cells["locator"])


def read_lines(text: str, table: str, columns: tuple[str, ...]) -> tuple[Line, ...]:
    """Read the lines of a table; lines that begin with ``#`` are remarks.

    Raises
    ------
    KnowledgeError
        If the columns are not those of the table, or a line has more or fewer cells.
    """
    lines: list[Line] = []
    header: tuple[str, ...] = ()
    for at, raw in enumerate(text.splitlines(), start=1):
        if not raw.strip() or raw.startswith("#"):
            continue
        cells = tuple(cell.strip() for cell in next(csv.reader([raw])))
        line = Line(table=table, number=at, cells=dict(zip(columns, cells, strict=False)))
        if not header:
            header = cells
            if header != columns:
                raise line.fault(f"the columns {', '.join(header)}", ", ".join(columns))
        elif len(cells) != len(columns):
            raise line.fault(f"{len(cells)} cells", f"{len(columns)}, one for each column")
        else:
            lines.append(line)
    return tuple(lines)


COLUMNS = (
    *("key", "techniques", "widely", "outcome", "events", "mean", "median", "sd", "low", "high"),
    *("total", "population", "cause", "years", "review", "overlap_group", "provenance"),
    *("source", "locator", "note"),
)
"""Columns of the table of studies."""


def read_studies(
    text: str,
    techniques: Collection[str] | None = None,
    bibliography: Mapping[str, Source] | None = None,
) -> tuple[StudyArm, ...]:
    """Read the table of studies.

    Parameters
    ----------
    text
        The text of the CSV file.
    techniques
        Keys of the catalogue; if given, a line that names another is refused.
    bibliography
        The sources; if given, a line that names another is refused.

    Raises
    ------
    KnowledgeError
        With the line and what is allowed there.
    """
    lines = read_lines(text, "the table of studies", COLUMNS)
    allowed = None if techniques is None else {*techniques, FREE_FLAPS}
    arms = tuple(_arm(line, allowed, bibliography) for line in lines)
    seen: set[str] = set()
    for arm, line in zip(arms, lines, strict=True):
        if arm.key in seen:
            raise line.fault(f"the key '{arm.key}' twice", "each key once")
        seen.add(arm.key)
    return arms


def _arm(
    line: Line, allowed: Collection[str] | None, bibliography: Mapping[str, Source] | None
) -> StudyArm:
    pure, widely = line.keys("techniques", allowed), line.keys("widely", allowed)
    if set(pure) & set(widely) or not pure + widely:
        raise line.fault(
            "a technique under both 'techniques' and 'widely', or none at all",
            "at least one technique, under one of both",
        )
    outcome = line.member("outcome", Outcome)
    return StudyArm(
        key=line.text("key"),
        techniques=pure,
        widely=widely,
        outcome=outcome,
        result=_result(line, outcome),
        population=line.member("population", Population),
        cause=line.member("cause", Cause),
        years=line.cells["years"],
        is_review=_is_yes(line, "review"),
        overlap_group=line.cells["overlap_group"],
        basis=line.basis(bibliography),
        note=line.cells["note"],
    )


def _result(line: Line, outcome: Outcome) -> Counted | Averaged:
    events, total = line.count_or_none("events"), line.count_or_none("total")
    mean, median = line.number_or_none("mean"), line.number_or_none("median")
    middle = median if mean is None else mean
    try:
        if outcome.is_counted and events is not None and total is not None and middle is None:
            return Counted(events=events, total=total)
        if not outcome.is_counted and middle is not None and events is None:
            return Averaged(
                mean=middle,
                unit=outcome.unit,
                sd=line.number_or_none("sd"),
                low=line.number_or_none("low"),
                high=line.number_or_none("high"),
                total=total,
                is_median=mean is None,
            )
    except KnowledgeError as fault:
        raise line.fault(f"impossible numbers ({fault})", "numbers that can be") from fault
    wanted = "events and total" if outcome.is_counted else "a mean or median, and no events"
    raise line.fault(f"numbers that do not fit '{outcome.value}'", wanted)


def _is_yes(line: Line, column: str) -> bool:
    if line.cells[column] not in {"", "yes"}:
        raise line.fault(f"'{line.cells[column]}' under '{column}'", "yes, or nothing")
    return line.cells[column] == "yes"
