"""The smallest change of one weight, or of one fact, that puts another technique first."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.performance_table import PerformanceTable
from thumbwright.core.foundations.errors import PlanError

_ROUNDING = 1e-9
_ALONE_SHARE = 0.95
"""From this weight on hardly anything else counts. [-]"""
_LOOKED_AT = 16
"""Places between now and the far end at which a fact is tried before the change is closed in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightTurn:
    """The nearest weight of one criterion at which another technique takes the lead."""

    key: CriterionKey
    now_share: float
    turn_share: float
    leader: str
    new_leader: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FactTurn:
    """The nearest value of one fact at which another technique takes the lead."""

    now: float
    turn: float
    unit: str
    leader: str
    new_leader: str
    words: str


class Reweigh(Protocol):
    """Weighs everything again with a changed fact."""

    def __call__(self, value: float, /) -> str:
        """Return the key of the technique that comes first if the fact has this value."""


def weight_turns(
    table: PerformanceTable,
    shares: NDArray[np.float64],
    tier: Sequence[int] | None = None,
    may_count: Collection[CriterionKey] | None = None,
) -> tuple[WeightTurn, ...]:
    r"""Return for each criterion the nearest weights at which another technique would lead.

    Parameters
    ----------
    table
        What each technique gives.
    shares
        The weights as they are, by criterion; together 1. [-]
    tier
        By technique; only those of the lowest tier can lead.
    may_count
        The criteria that could count for this patient; all where none are named.

    Returns
    -------
    tuple[WeightTurn, ...]
        The smallest change first; nothing for a criterion whose weight can go from 0 to 1
        without a change.

    Notes
    -----
    With weight x for criterion j and the other weights in proportion, the expected score of
    technique i is the straight line

    .. math:: s_i(x) = x v_{ij} + \frac{1 - x}{1 - w_j} \sum_{k \ne j} w_k v_{ik}

    so that the lead changes where the line of the leader crosses another. Where one weight is
    all there is, the others share what it gives up alike.
    """
    places = _of_lowest_tier(table, tier)
    values = table.mean_share[places]
    leader = int(np.argmax(values @ shares))
    found = [
        _turn(table, places, leader, one, float(shares[column]), column)
        for column, key in enumerate(table.keys)
        if may_count is None or key in may_count
        for one in _crossings(values, shares, column, leader)
    ]
    return tuple(sorted(found, key=lambda one: abs(one.turn_share - one.now_share)))


def fact_turn(
    reweigh: Reweigh,
    *,
    now: float,
    far: float,
    unit: str,
    fact: str,
    table: PerformanceTable,
    tolerance: float,
) -> FactTurn | None:
    """Find the value of one fact, nearest to the present one, that changes the first place.

    Parameters
    ----------
    reweigh
        Weighs everything again.
    now, far
        The fact as it is, and the farthest that it could be. [unit]
    unit
        Of the fact.
    fact
        In words: "the risk of loss".
    table
        Names the techniques.
    tolerance
        How closely the change is wanted, above 0. [unit]

    Returns
    -------
    FactTurn | None
        None where every place that was tried between the two ends has the same leader.

    Notes
    -----
    Sixteen places are tried from the present value outwards, and the first change is closed in
    by halving. A lead that is lost and regained between two places is not seen.
    """
    if tolerance <= 0 or now == far:
        raise PlanError(
            f"a turning point was asked for between {now} and {far} to within {tolerance} {unit}; "
            "allowed are two different ends and a tolerance above 0"
        )
    leader = reweigh(now)
    before = now
    for value in np.linspace(now, far, _LOOKED_AT + 1)[1:].tolist():
        if reweigh(value) != leader:
            turn, new_leader = _closed_in(reweigh, leader, before, value, tolerance)
            words = _fact_words(fact, turn, unit, table.name_of(new_leader), rises=turn > now)
            return FactTurn(
                now=now,
                turn=turn,
                unit=unit,
                leader=leader,
                new_leader=new_leader,
                words=words,
            )
        before = value
    return None


def leader_by_amount(
    table: PerformanceTable,
    shares: NDArray[np.float64],
    technique: str,
    key: CriterionKey,
    tier: Sequence[int] | None = None,
) -> Reweigh:
    """Return a way to weigh again with another amount of one thing for one technique.

    Parameters
    ----------
    table
        What each technique gives.
    shares
        The weights, by criterion. [-]
    technique, key
        Whose amount of what changes; the rest stays at its expected values.
    tier
        By technique; only those of the lowest tier can lead.
    """
    places = _of_lowest_tier(table, tier)
    row, column = table.techniques.index(technique), table.keys.index(key)

    def reweigh(value: float, /) -> str:
        values = table.mean_share.copy()
        values[row, column] = table.criteria[column].value.value_share(value)
        return table.techniques[places[int(np.argmax(values[places] @ shares))]]

    return reweigh


def _of_lowest_tier(table: PerformanceTable, tier: Sequence[int] | None) -> list[int]:
    tiers = [0] * len(table.techniques) if tier is None else list(tier)
    return [place for place, one in enumerate(tiers) if one == min(tiers)]


def _crossings(
    values: NDArray[np.float64], shares: NDArray[np.float64], column: int, leader: int
) -> Iterator[tuple[float, int]]:
    """Yield the nearest crossing below and above the present weight, with who takes the lead."""
    now = float(shares[column])
    rest = _rest(shares, column)
    at_zero, at_one = values @ rest, values[:, column]
    lead_zero, lead_one = at_zero[leader] - at_zero, at_one[leader] - at_one
    slope = lead_one - lead_zero
    crossing = -lead_zero / np.where(np.abs(slope) > _ROUNDING, slope, np.inf)
    for is_above in (False, True):
        turns = slope < -_ROUNDING if is_above else slope > _ROUNDING
        inside = (
            (crossing >= now) & (crossing < 1) if is_above else (crossing <= now) & (crossing > 0)
        )
        places = np.flatnonzero(turns & inside)
        if places.size:
            nearest = places[np.argmin(np.abs(crossing[places] - now))]
            yield float(crossing[nearest]), int(nearest)


def _rest(shares: NDArray[np.float64], column: int) -> NDArray[np.float64]:
    """Return the other weights in proportion, as if the one were 0."""
    rest = shares.copy()
    rest[column] = 0.0
    if rest.sum() <= _ROUNDING:
        rest = np.ones_like(shares)
        rest[column] = 0.0
    return np.asarray(rest / rest.sum())


def _turn(
    table: PerformanceTable,
    places: Sequence[int],
    leader: int,
    crossing: tuple[float, int],
    now_share: float,
    column: int,
) -> WeightTurn:
    turn_share, place = crossing
    name = table.names[places[place]]
    how = "more" if turn_share >= now_share else "less"
    what = table.criteria[column].name
    amounts = f"{turn_share:.0%} (now {now_share:.0%})"
    words = f"If {what} counted {how} than {amounts}, {name} would come first."
    if turn_share > max(_ALONE_SHARE, now_share):
        words = f"If hardly anything but {what} counted, {name} would come first."
    return WeightTurn(
        key=table.keys[column],
        now_share=now_share,
        turn_share=turn_share,
        leader=table.techniques[places[leader]],
        new_leader=table.techniques[places[place]],
        words=words,
    )


def _closed_in(
    reweigh: Reweigh, leader: str, same: float, other: float, tolerance: float
) -> tuple[float, str]:
    """Halve the stretch in which the lead changes until it is short enough."""
    new_leader = reweigh(other)
    while abs(other - same) > tolerance:
        middle = (same + other) / 2
        there = reweigh(middle)
        if there == leader:
            same = middle
        else:
            other, new_leader = middle, there
    return other, new_leader


def _fact_words(fact: str, turn: float, unit: str, name: str, *, rises: bool) -> str:
    amount = f"{turn:.0%}" if unit == "-" else f"{turn:.3g} {unit}"
    side = "above" if rises else "below"
    return f"If {fact} were {side} {amount}, {name} would come first."
