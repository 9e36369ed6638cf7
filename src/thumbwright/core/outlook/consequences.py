"""What an event costs beside the planned course; read from a table that a unit can make its own."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance, Source, Statement
from thumbwright.core.outlook.spread import Spread
from thumbwright.core.techniques.technique import Family


class Event(Enum):
    """Something that may happen on the way."""

    REEXPLORATION = "reexploration"
    LOSS = "loss"
    INFECTION = "infection"
    NON_UNION = "non_union"
    DONOR_TROUBLE = "donor_trouble"
    SECONDARY_OPERATION = "secondary_operation"


@dataclass(frozen=True, slots=True, kw_only=True)
class Consequence:
    """What one event costs each time it happens."""

    name: str
    operations: float
    """Operations for each time; below 1 where only some need one. [-]"""
    hours: Spread
    """In theatre, for each operation. [h]"""
    days: Spread
    """In hospital beyond the planned ones. [days]"""
    weeks: Spread
    """Until light use, beyond the planned ones. [weeks]"""
    visits: Spread
    """Of therapy and review. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedStay:
    """Planned days in hospital and visits of a family of techniques, all stages together."""

    days: Spread
    visits: Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Consequences:
    """The whole table."""

    events: Mapping[Event, Consequence]
    stays: Mapping[Family, PlannedStay]
    goes_on: Spread
    """Share of those who lost the first that goes on to the fallback. [-]"""
    bone_not_joined: frozenset[str]
    """Keys of techniques that join no bone to bone although others of their family do."""
    nothing_to_lose: frozenset[str]
    """Keys of techniques that move nothing which could be lost."""

    def statements(self) -> Iterator[Statement]:
        """Yield every statement of the table."""
        yield self.goes_on.statement
        for event in self.events.values():
            yield from (
                one.statement for one in (event.hours, event.days, event.weeks, event.visits)
            )
        for stay in self.stays.values():
            yield from (stay.days.statement, stay.visits.statement)


def read_consequences(text: str, bibliography: Mapping[str, Source]) -> Consequences:
    """Read the table of consequences from the text of its TOML file.

    Raises
    ------
    KnowledgeError
        If an event or a family is missing, a number cannot be, or a source is not in the
        bibliography.
    """
    try:
        table = tomllib.loads(text)
        found = Consequences(
            events={event: _consequence(table["events"][event.value]) for event in Event},
            stays={
                family: PlannedStay(
                    days=_spread(table["families"][family.value]["days"], "days"),
                    visits=_spread(table["families"][family.value]["visits"], "-"),
                )
                for family in Family
            },
            goes_on=_spread(table["fallback"]["goes_on"], "-"),
            bone_not_joined=frozenset(table["exceptions"]["bone_not_joined"]),
            nothing_to_lose=frozenset(table["exceptions"]["nothing_to_lose"]),
        )
    except (tomllib.TOMLDecodeError, KeyError, TypeError, ValueError, IndexError) as fault:
        msg = (
            f"the table of consequences could not be read ({fault!r}); allowed are all events and "
            "families with [low, high, statement, provenance]; mend consequences.toml"
        )
        raise KnowledgeError(msg) from fault
    unheard = {one.basis.source for one in found.statements() if one.basis.source} - set(
        bibliography
    )
    if unheard:
        msg = (
            f"the table of consequences names the sources {', '.join(sorted(unheard))}; allowed "
            "are keys of the bibliography; add them there or mend consequences.toml"
        )
        raise KnowledgeError(msg)
    return found


def _consequence(entry: Mapping[str, object]) -> Consequence:
    return Consequence(
        name=str(entry["name"]),
        operations=float(str(entry["operations"])),
        hours=_spread(entry["hours"], "h"),
        days=_spread(entry["days"], "days"),
        weeks=_spread(entry["weeks"], "weeks"),
        visits=_spread(entry["visits"], "-"),
    )


def _spread(entry: object, unit: str) -> Spread:
    if not isinstance(entry, list):
        msg = f"a spread was given as {entry!r}"
        raise TypeError(msg)
    low, high, text, provenance, *rest = entry
    source, locator = [*rest, "", ""][:2]
    return Spread(
        low=float(low),
        high=float(high),
        unit=unit,
        statement=Statement(
            text=str(text),
            basis=Basis(provenance=Provenance(provenance), source=source, locator=locator),
        ),
    )
