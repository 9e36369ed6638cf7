"""The day of an operation as a network of steps, read from the text of its TOML file."""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any

from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance, Source, Statement
from thumbwright.core.scheduling.durations import LogNormal, from_mean_and_deviation


class Lane(Enum):
    """Where a step is done, and by whom."""

    ANAESTHESIA = "anaesthesia"
    HAND = "hand"
    FOOT = "foot"
    BOTH = "both"

    @property
    def teams(self) -> tuple["Lane", ...]:
        """Return the teams that it takes, where there are two."""
        if self is Lane.BOTH:
            return (Lane.HAND, Lane.FOOT)
        return () if self is Lane.ANAESTHESIA else (self,)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayStep:
    """One step of the day."""

    key: str
    name: str
    lane: Lane
    after: tuple[str, ...]
    length: LogNormal
    microscope: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A time that must not grow long: a cuff, or a part without blood."""

    name: str
    first: str
    """Key of the step with whose start it begins."""
    last: str
    """Key of the step with whose end it ends."""
    flag_minutes: float
    """When the surgeon is told."""
    limit_minutes: float
    statement: Statement


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlan:
    """The steps of one day, in the order in which a team does them."""

    key: str
    name: str
    steps: tuple[DayStep, ...]
    stretches: tuple[Stretch, ...]
    times: Statement

    def __post_init__(self) -> None:
        """Refuse steps that wait for a later one, and stretches that name no step."""
        seen: set[str] = set()
        for step in self.steps:
            if set(step.after) - seen or step.key in seen:
                raise _fault(self.key, f"the step '{step.key}'", "each once, after those before it")
            seen.add(step.key)
        for one in self.stretches:
            if {one.first, one.last} - seen:
                raise _fault(self.key, f"the stretch '{one.name}'", "from one step to another")


def read_day_plans(text: str, bibliography: Mapping[str, Source]) -> Mapping[str, DayPlan]:
    """Read every day plan.

    Raises
    ------
    KnowledgeError
        If the text is no TOML, an entry is missing or of the wrong kind, a source is not known,
        or steps are out of order.
    """
    try:
        tables = tomllib.loads(text)
        return {key: _plan(key, table, bibliography) for key, table in tables.items()}
    except (tomllib.TOMLDecodeError, KeyError, TypeError, ValueError) as fault:
        raise _fault("its tables", f"a fault ({fault})", "plans as its head says") from fault


def _fault(path: str, given: str, allowed: str) -> KnowledgeError:
    return KnowledgeError(
        f"the day plans have {given} at {path}; allowed is {allowed}; mend day_plans.toml there"
    )


def _plan(key: str, table: Mapping[str, Any], bibliography: Mapping[str, Source]) -> DayPlan:
    stretches = [_stretch(cuff, key, bibliography) for cuff in table.get("cuffs", ())]
    if "no_blood" in table:
        one = table["no_blood"]
        named = {
            "name": "without blood",
            "first": one["from"],
            "last": one["until"],
            "flag_minutes": one["limit_minutes"],
        }
        stretches.append(_stretch({**one, **named}, key, bibliography))
    return DayPlan(
        key=key,
        name=table["name"],
        steps=tuple(_step(step) for step in table["steps"]),
        stretches=tuple(stretches),
        times=_statement(table["times"], key, bibliography),
    )


def _step(entries: Mapping[str, Any]) -> DayStep:
    mean, deviation = entries["minutes"]
    return DayStep(
        key=entries["key"],
        name=entries["name"],
        lane=Lane(entries["lane"]),
        after=tuple(entries["after"]),
        length=from_mean_and_deviation(float(mean), float(deviation)),
        microscope=bool(entries["microscope"]),
    )


def _stretch(entries: Mapping[str, Any], key: str, bibliography: Mapping[str, Source]) -> Stretch:
    return Stretch(
        name=entries["name"],
        first=entries["first"],
        last=entries["last"],
        flag_minutes=float(entries["flag_minutes"]),
        limit_minutes=float(entries["limit_minutes"]),
        statement=_statement(entries["statement"], key, bibliography),
    )


def _statement(parts: Sequence[str], key: str, bibliography: Mapping[str, Source]) -> Statement:
    text, provenance, source, locator = (*parts, "", "")[:4]
    if source and source not in bibliography:
        raise _fault(key, f"the source '{source}'", "a key of the bibliography")
    basis = Basis(provenance=Provenance(provenance), source=source, locator=locator)
    return Statement(text=text, basis=basis)
