"""Who and what an operation needs: theatre lists, people, microscopes, beds, each with hours."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.calendars import Calendar, DaysOff, Taken
from thumbwright.core.scheduling.clocks import Grid
from thumbwright.core.scheduling.spans import Spans, joined, met, without


class Kind(Enum):
    """What something is, for a booking."""

    THEATRE = "theatre"
    SURGEON = "surgeon"
    SECOND_TEAM = "second team"
    ANAESTHETIST = "anaesthetist"
    LONG_CASE_ANAESTHETIST = "anaesthetist for long cases"
    MICROSCOPE = "microscope"
    INSTRUMENTS = "microsurgical instruments"
    BED = "observation bed"
    CLINIC = "clinic"
    IMAGING = "imaging"
    THERAPIST = "hand therapist"
    WARD = "ward"


RESERVE = (Kind.SURGEON, Kind.THEATRE, Kind.INSTRUMENTS)
"""What a flap in trouble needs at once: a microsurgeon, a theatre, the instruments."""


class Who(Enum):
    """Whose time an appointment takes beside the unit's."""

    PATIENT = "the patient"
    GUARDIAN = "the guardian"


@dataclass(frozen=True, slots=True, kw_only=True)
class Resource:
    """One person, room or thing that can be booked."""

    key: str
    name: str
    kind: Kind
    calendar: Calendar
    reachable: Calendar | None = None
    """When it can be called in beyond its hours; None where it cannot."""
    away: tuple[DaysOff, ...] = ()
    """Days on which it is neither there nor within call: leave, illness, repair."""
    microsurgery: bool = False
    """Whether a surgeon joins vessels under the microscope."""

    def free(self, grid: Grid) -> Spans:
        """Return when it is in the house and not booked [steps]."""
        return without(self.calendar.open(grid), self._away(grid))

    def at_hand(self, grid: Grid) -> Spans:
        """Return when it is in the house or can be called in, and not booked [steps]."""
        called = self.reachable.open(grid) if self.reachable else ()
        hours = joined((*self.calendar.occurrences(grid), *called))
        return without(without(hours, self.calendar.booked(grid)), self._away(grid))

    def _away(self, grid: Grid) -> Spans:
        ends = (one.on(self.calendar.zone) for one in self.away)
        return joined((grid.floor(begins), grid.ceiling(last)) for begins, last in ends)


@dataclass(frozen=True, slots=True, kw_only=True)
class TheatreList:
    """A list that is held again and again: a theatre with a surgeon, at stated hours."""

    key: str
    name: str
    theatre: str
    """Key of the theatre."""
    surgeon: str
    """Key of the surgeon whose list it is."""
    calendar: Calendar


@dataclass(frozen=True, slots=True, kw_only=True)
class Engagement:
    """Something else that the patient or the guardian has to do, or wants to do."""

    name: str
    """As it ends the sentence "because of ...": "school", "the harvest"."""
    who: Who
    busy: Calendar
    price: int | None = None
    """What giving it up costs, from 1 to 100; None where it cannot be given up."""
    only_appointments: bool = False
    """Whether it clashes with appointments alone and not with a stay in hospital."""

    def __post_init__(self) -> None:
        """Refuse a price that cannot be weighed."""
        if self.price is not None and not 1 <= self.price <= 100:
            msg = (
                f"the price {self.price} was given for {self.name}; allowed is a whole number from "
                "1 to 100, or none where it cannot be given up; correct it"
            )
            raise ScheduleError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clinic:
    """Everything that can be booked in one unit."""

    zone: str
    """Time zone of the unit, in which its letters are written."""
    resources: tuple[Resource, ...]
    lists: tuple[TheatreList, ...]

    def __post_init__(self) -> None:
        """Refuse lists without a theatre or surgeon, and keys that name two things."""
        keys = [*(one.key for one in self.resources), *(one.key for one in self.lists)]
        twice = sorted({key for key in keys if keys.count(key) > 1})
        kinds = {one.key: one.kind for one in self.resources}
        lost = [
            one.key
            for one in self.lists
            if (kinds.get(one.theatre), kinds.get(one.surgeon)) != (Kind.THEATRE, Kind.SURGEON)
        ]
        if twice or lost:
            msg = (
                f"a unit was given with the keys {twice} twice and the lists {lost} without a "
                "theatre or a surgeon of the unit; allowed is one key for each thing, and lists "
                "that name a theatre and a surgeon; correct them"
            )
            raise ScheduleError(msg)

    def of_kind(self, kind: Kind, *, microsurgery: bool = False) -> tuple[Resource, ...]:
        """Return everything of one kind; of surgeons, on demand only microsurgeons."""
        return tuple(
            one
            for one in self.resources
            if one.kind is kind and (one.microsurgery or not microsurgery)
        )

    def named(self, key: str) -> Resource:
        """Return a resource by its key."""
        return next(one for one in self.resources if one.key == key)

    def reserve(self, grid: Grid, *, on_site: bool = False) -> Spans:
        """Return when a microsurgeon, a theatre and the instruments are all at hand [steps].

        Parameters
        ----------
        grid
            The steps of the booking.
        on_site
            Whether they must be in the house, not merely within call.
        """
        spans: Spans = ((0, grid.steps),)
        for kind in RESERVE:
            found = self.of_kind(kind, microsurgery=kind is Kind.SURGEON)
            spans = met(spans, joined(_all_spans(found, grid, on_site=on_site)))
        return spans


def _all_spans(
    found: tuple[Resource, ...], grid: Grid, *, on_site: bool
) -> Iterable[tuple[int, int]]:
    for one in found:
        yield from one.free(grid) if on_site else one.at_hand(grid)


def with_bookings(clinic: Clinic, taken: dict[str, tuple[Taken, ...]]) -> Clinic:
    """Return the unit with more of its resources or lists booked, by key."""

    def booked(one: Calendar, key: str) -> Calendar:
        return replace(one, taken=(*one.taken, *taken.get(key, ())))

    return replace(
        clinic,
        resources=tuple(
            replace(one, calendar=booked(one.calendar, one.key)) for one in clinic.resources
        ),
        lists=tuple(replace(one, calendar=booked(one.calendar, one.key)) for one in clinic.lists),
    )
