"""Patients and lists as numbers: costs, what may not go together, and plans that were mended.

That a list ends in time with the chosen probability is not linear in its operations. It is met
by limits that no good plan breaks: certain operations never share a list; the load of a list
stays below its room; and what a plan that overruns has taught.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, hypot

from thumbwright.core.scheduling.aims import Assignment, Limit
from thumbwright.core.scheduling.durations import from_mean_and_deviation
from thumbwright.core.scheduling.rules import RESERVE_HOURS
from thumbwright.core.scheduling.waiting import BETWEEN, TURNOVER, ListDay, Waiting, in_time

_LATE_DAYS_A_DOUBLING = 7
_BEYOND_DAYS = 28
_LOAD_SCALE = 100
_PASSES = 3
_SLACK = 0.97
"""The least share is sought on a grid and may lie a little lower between its points."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    """Patients and lists, seen as numbers."""

    waiting: tuple[Waiting, ...]
    lists: tuple[ListDay, ...]
    in_time_prob: float

    def suits(self, one: Waiting, on: ListDay) -> bool:
        """Tell whether a patient can be operated on by a list that has nobody else."""
        early = on.day < max(one.since, one.not_before or one.since)
        flap = one.joins_vessels and not (on.microsurgery and on.reserve)
        return not early and not flap and self._fits((one,), on.room_minutes)

    def costs(self) -> list[Mapping[int, int]]:
        """Return for each patient what each list that suits costs."""
        return [
            {
                place: _cost(one, (on.day - one.since).days)
                for place, on in enumerate(self.lists)
                if self.suits(one, on)
            }
            for one in self.waiting
        ]

    def costs_of_none(self) -> list[int]:
        """Return for each patient what it costs to have no list: four weeks after the last."""
        last = max(one.day for one in self.lists)
        return [_cost(one, (last - one.since).days + _BEYOND_DAYS) for one in self.waiting]

    def never_together(self) -> list[Limit]:
        """Return sets of which any two overrun a list, grown from each operation in turn."""
        found: list[Limit] = []
        by_length = sorted(
            range(len(self.waiting)), key=lambda n: -self.waiting[n].length.mean_minutes
        )
        for room in sorted({one.room_minutes for one in self.lists}):
            sets: set[tuple[int, ...]] = set()
            for first in by_length:
                clique = [first]
                for other in by_length:
                    if other != first and not any(self._share(other, n, room) for n in clique):
                        clique.append(other)
                if len(clique) > 1:
                    sets.add(tuple(sorted(clique)))
            found += [limit for one in sorted(sets) for limit in self._on_each(one, 1, room)]
        return found

    def by_reserve(self, most: int) -> list[Limit]:
        """Return that so many flaps at most fall within the hours of one reserve."""
        flaps = [n for n, one in enumerate(self.waiting) if one.joins_vessels]
        days = RESERVE_HOURS.value / 24
        found = []
        for one in self.lists:
            near = [p for p, on in enumerate(self.lists) if 0 <= (on.day - one.day).days <= days]
            found.append(Limit(pairs=tuple((n, p) for n in flaps for p in near), most=most))
        return found

    def overrun(self, answer: Assignment) -> list[Limit]:
        """Return what is learned from lists of a plan that would not end in time."""
        found: list[Limit] = []
        for place, on in enumerate(self.lists):
            members = [n for n, p in enumerate(answer.places) if p == place]
            if self._fits([self.waiting[n] for n in members], on.room_minutes):
                continue
            cover = self._thinned(members, on.room_minutes)
            longest = max(self.waiting[n].length.mean_minutes for n in cover)
            widest = max(self.waiting[n].length.deviation_minutes for n in cover)
            longer = [
                n
                for n, one in enumerate(self.waiting)
                if one.length.mean_minutes >= longest and one.length.deviation_minutes >= widest
            ]
            everyone = tuple(sorted({*cover, *longer}))
            found += self._on_each(everyone, len(cover) - 1, on.room_minutes)
        return found

    def by_load(self) -> list[Limit]:
        """Return that the load of a list stays below its room, which no good plan breaks.

        An operation loads a list with its mean, its turnover, and a share of its variance. The
        share is the least for which a list that ends in time can be so loaded at all.
        """
        shares = {room: self._variance_share(room) for room in {o.room_minutes for o in self.lists}}
        found = []
        for place, on in enumerate(self.lists):
            share = shares[on.room_minutes]
            loads = tuple(
                int(_LOAD_SCALE * (mean + share * deviation**2))
                for mean, deviation in map(_with_turnover, self.waiting)
            )
            spare = TURNOVER.value + share * (TURNOVER.uncertainty or 0.0) ** 2
            found.append(
                Limit(
                    pairs=tuple((n, place) for n in range(len(self.waiting))),
                    most=ceil(_LOAD_SCALE * (on.room_minutes + spare)),
                    loads=loads,
                )
            )
        return found

    def _variance_share(self, room_minutes: float) -> float:
        laws = [BETWEEN, *(one.length for one in self.waiting)]
        scatter = max(law.deviation_minutes / law.mean_minutes for law in laws)
        shares = []
        for part in range(120, 400):
            mean = room_minutes * part / 400
            low, high = 0.0, scatter * mean
            for _ in range(40):
                middle = (low + high) / 2
                law = from_mean_and_deviation(mean, middle)
                if law.done_within_prob(room_minutes) >= self.in_time_prob:
                    low = middle
                else:
                    high = middle
            shares.append((room_minutes - mean) / max(low, 1e-3) ** 2)
        return max(0.0, min(shares) * _SLACK)

    def mended(
        self, places: Sequence[int | None], costs: Sequence[Mapping[int, int]], flaps: int
    ) -> list[int | None]:
        """Return a plan in which each list ends in time: who is too much goes elsewhere."""
        kept: list[int | None] = [None] * len(places)
        by_weight = sorted(
            range(len(places)),
            key=lambda n: (
                -self.waiting[n].reason.weight * self.waiting[n].length.mean_minutes,
                n,
            ),
        )
        for n in by_weight:
            if places[n] is not None and self._has_room(n, places[n], kept, flaps):
                kept[n] = places[n]
        for _ in range(_PASSES):
            for n in by_weight:
                self._moved_up(n, kept, costs[n], flaps)
            self._swapped(kept, costs, flaps)
        return kept

    def _moved_up(
        self, n: int, kept: list[int | None], costs: Mapping[int, int], flaps: int
    ) -> None:
        """Put a patient on the cheapest list that has room."""
        was, kept[n] = kept[n], None
        for place in sorted(costs, key=lambda one: (costs[one], one)):
            if place == was or self._has_room(n, place, kept, flaps):
                kept[n] = place
                return
        kept[n] = was

    def _swapped(
        self, kept: list[int | None], costs: Sequence[Mapping[int, int]], flaps: int
    ) -> None:
        """Let two patients change places wherever that costs less."""
        for one in range(len(kept)):
            for other in range(one):
                here, there = kept[one], kept[other]
                if here is None or there is None or here == there:
                    continue
                if there not in costs[one] or here not in costs[other]:
                    continue
                gain = costs[one][here] + costs[other][there]
                if costs[one][there] + costs[other][here] >= gain:
                    continue
                kept[one] = kept[other] = None
                if self._has_room(one, there, kept, flaps):
                    kept[one] = there
                    if self._has_room(other, here, kept, flaps):
                        kept[other] = here
                        continue
                kept[one], kept[other] = here, there

    def _has_room(self, n: int, place: int | None, kept: Sequence[int | None], flaps: int) -> bool:
        if place is None:
            return False
        here = [self.waiting[other] for other, at in enumerate(kept) if at == place]
        if not self._fits([*here, self.waiting[n]], self.lists[place].room_minutes):
            return False
        if not self.waiting[n].joins_vessels:
            return True
        days = RESERVE_HOURS.value / 24
        held = [
            self.lists[at].day
            for other, at in enumerate(kept)
            if at is not None and self.waiting[other].joins_vessels
        ]
        held.append(self.lists[place].day)
        return all(
            sum(0 <= (other - one.day).days <= days for other in held) <= flaps
            for one in self.lists
        )

    def _share(self, one: int, other: int, room_minutes: float) -> bool:
        return self._fits((self.waiting[one], self.waiting[other]), room_minutes)

    def _fits(self, group: Sequence[Waiting], room_minutes: float) -> bool:
        return in_time([one.length for one in group], room_minutes) >= self.in_time_prob

    def _thinned(self, members: Sequence[int], room_minutes: float) -> list[int]:
        """Leave the shortest out as long as the rest still overruns."""
        kept = sorted(members, key=lambda n: self.waiting[n].length.mean_minutes)
        for number in list(kept):
            rest = [n for n in kept if n != number]
            if not self._fits([self.waiting[n] for n in rest], room_minutes):
                kept = rest
        return kept

    def _on_each(self, members: Sequence[int], most: int, room_minutes: float) -> list[Limit]:
        return [
            Limit(pairs=tuple((n, place) for n in members), most=most)
            for place, on in enumerate(self.lists)
            if on.room_minutes <= room_minutes
        ]


def _with_turnover(one: Waiting) -> tuple[float, float]:
    """Return mean and standard deviation of an operation with one turnover [min]."""
    spread = hypot(one.length.deviation_minutes, TURNOVER.uncertainty or 0.0)
    return one.length.mean_minutes + TURNOVER.value, spread


def _cost(one: Waiting, days: int) -> int:
    """Return what a wait costs: each day its weight, late days more the later they are.

    That the cost bends upwards is what makes the plan fair: two patients ten days late are
    better than one twenty days late.
    """
    late = max(0, days - one.reason.target_days)
    return one.reason.weight * (days + late * late // _LATE_DAYS_A_DOUBLING)
