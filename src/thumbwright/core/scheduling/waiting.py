"""Those who wait for an operation, why they should not wait long, and the lists there are."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import Enum

from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.scheduling.clocks import STEP_MINUTES, Grid
from thumbwright.core.scheduling.durations import LogNormal, add_up, from_mean_and_deviation
from thumbwright.core.scheduling.resources import Clinic
from thumbwright.core.scheduling.rules import RESERVE_HOURS
from thumbwright.core.scheduling.spans import met, without

TURNOVER = Published(
    value=36.0,
    unit="min",
    uncertainty=10.0,
    basis=Basis(provenance=Provenance.READ, source="turnover-1994", locator="abstract"),
)
"""From one patient leaving a theatre to the next entering; its scatter is assumed."""
BETWEEN = from_mean_and_deviation(TURNOVER.value, TURNOVER.uncertainty or 0.0)


class Reason(Enum):
    """Why an operation should not wait; weights and weeks are working assumptions."""

    OPEN_WOUND = "open wound"
    CONTRACTURE = "contracture that grows"
    GROWTH = "growth that is lost"
    FUNCTION = "function"

    @property
    def weight(self) -> int:
        """Return what one day of waiting counts."""
        return {"open wound": 12, "contracture that grows": 5, "growth that is lost": 3}.get(
            self.value, 1
        )

    @property
    def target_days(self) -> int:
        """Return within how many days the operation should be done."""
        return {"open wound": 10, "contracture that grows": 42, "growth that is lost": 84}.get(
            self.value, 120
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """One patient who waits for one operation."""

    key: str
    operation: str
    reason: Reason
    length: LogNormal
    since: date
    """Day on which the operation was agreed."""
    not_before: date | None = None
    joins_vessels: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ListDay:
    """One list on one day."""

    key: str
    name: str
    day: date
    room_minutes: float
    """Longest stretch that is free."""
    microsurgery: bool
    reserve: bool
    """Whether a reserve can be held for 72 hours after its end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A patient on a list, or on none."""

    waiting: Waiting
    on: ListDay | None

    @property
    def waits_days(self) -> int | None:
        """Return how long the patient waits in all; None while there is no list."""
        return None if self.on is None else (self.on.day - self.waiting.since).days

    @property
    def late_days(self) -> int:
        """Return by how much the wait exceeds what it should be; 0 where it does not."""
        days = self.waits_days
        return 0 if days is None else max(0, days - self.waiting.reason.target_days)


def list_days(clinic: Clinic, grid: Grid) -> tuple[ListDay, ...]:
    """Return every list of a unit on every day on which its theatre and surgeon are free."""
    reserve = clinic.reserve(grid)
    held = round(RESERVE_HOURS.value * 60 / STEP_MINUTES)
    found = []
    for one in clinic.lists:
        theatre, surgeon = clinic.named(one.theatre), clinic.named(one.surgeon)
        free = without(met(theatre.free(grid), surgeon.free(grid)), one.calendar.booked(grid))
        for opening in one.calendar.occurrences(grid):
            stretches = met((opening,), free)
            if not stretches:
                continue
            begin, end = max(stretches, key=lambda span: span[1] - span[0])
            after = ((end, end + held),)
            found.append(
                ListDay(
                    key=f"{one.key} {grid.local(begin, clinic.zone):%Y-%m-%d}",
                    name=one.name,
                    day=grid.local(begin, clinic.zone).date(),
                    room_minutes=float((end - begin) * STEP_MINUTES),
                    microsurgery=surgeon.microsurgery,
                    reserve=met(reserve, after) == after,
                )
            )
    return tuple(sorted(found, key=lambda one: (one.day, one.key)))


def in_time(lengths: Sequence[LogNormal], room_minutes: float) -> float:
    """Return the probability that operations with their turnovers end in time [-]."""
    if not lengths:
        return 1.0
    if len(lengths) == 1:
        return lengths[0].done_within_prob(room_minutes)
    return add_up([*lengths, *[BETWEEN] * (len(lengths) - 1)]).done_within_prob(room_minutes)
