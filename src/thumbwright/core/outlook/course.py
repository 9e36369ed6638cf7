"""The tree itself: what becomes of many patients alike, and what one may expect of them."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.outlook.chances import Chance, Chances
from thumbwright.core.outlook.consequences import Consequence, Consequences, Event
from thumbwright.core.outlook.planned import Planned
from thumbwright.core.outlook.spread import Numbers

Flags = NDArray[np.bool_]
MEASURES = ("operations", "hours", "days", "weeks", "visits")


@dataclass(frozen=True, slots=True, kw_only=True)
class Probabilities:
    """The probability at each fork, one draw of its doubt for each patient; shape (patients,).

    What no series counted is nought here and named as not counted.
    """

    loss: Numbers
    """[-]"""
    loss_if_late: Numbers
    """Had nobody been at hand to reopen in time. [-]"""
    reexploration: Numbers
    """[-]"""
    events: Mapping[Event, Numbers]
    """[-]"""
    goes_on: Numbers
    """To the fallback after a loss. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Courses:
    """What became of each patient; shape (patients,) each."""

    alive: Flags
    """A living thumb at the end, by the first attempt or by the fallback."""
    burden: Mapping[str, Numbers]
    """By name: operations [-], hours in theatre [h], days in hospital [days], weeks [weeks], visits
    [-]. Weeks run to light use or, after a loss, to the end of treatment.
    """
    planned: Mapping[str, Numbers]
    """The same for the same patients, had nothing happened."""
    happened: Mapping[Event, Flags]


def probabilities(
    chances: Chances, consequences: Consequences, rng: np.random.Generator, count: int
) -> Probabilities:
    """Draw the probability at each fork once for each patient.

    Notes
    -----
    Loss is as series counted it, because that is what most of them counted, and how many are
    rescued follows from it. Where none counted it, ``loss = trouble x (1 - in_time x rescued -
    (1 - in_time) x rescued_late)``. Had nobody been at hand to reopen in time, it would be
    ``trouble x (1 - rescued_late)``. Trouble is never rarer than loss.
    """
    none = np.zeros(count)

    def drawn(chance: Chance | Unknown | None) -> Numbers:
        return chance.draws(rng, count) if isinstance(chance, Chance) else none

    trouble = drawn(chances.trouble)
    in_time, late = drawn(chances.in_time), drawn(chances.rescued_late)
    saved = in_time * drawn(chances.rescued) + (1 - in_time) * late
    counted = isinstance(chances.loss, Chance)
    loss = drawn(chances.loss) if counted else trouble * (1 - saved)
    if isinstance(chances.trouble, Chance):
        trouble = np.maximum(trouble, loss)
    return Probabilities(
        loss=loss,
        loss_if_late=np.maximum(loss, trouble * (1 - late)),
        reexploration=trouble,
        events={event: drawn(chance) for event, chance in chances.events.items()},
        goes_on=np.minimum(consequences.goes_on.draws(rng, count), 1.0),
    )


def simulate(
    given: Probabilities,
    planned: Planned,
    consequences: Consequences,
    rng: np.random.Generator,
    fallback: Courses | None,
) -> Courses:
    """Send each patient down the tree once.

    Parameters
    ----------
    given
        Probabilities, one for each patient.
    planned
        What is planned without any event.
    consequences
        What each event costs.
    rng
        Chance.
    fallback
        Courses of the fallback for as many patients; None if there is none.
    """
    count = given.loss.size
    happened = _happened(given, rng)
    lost = happened[Event.LOSS]
    before = {name: planned.draws(name, rng, count) for name in MEASURES}
    burden = dict(before)
    for event, flags in happened.items():
        for name, each in _costs(consequences.events[event], rng, count).items():
            burden[name] = burden[name] + flags * each
    alive = ~lost
    if fallback is not None:
        again = lost & (rng.random(count) < given.goes_on)
        alive = alive | (again & fallback.alive)
        for name in MEASURES:
            burden[name] = burden[name] + again * fallback.burden[name]
    return Courses(alive=alive, happened=happened, burden=burden, planned=before)


def _happened(given: Probabilities, rng: np.random.Generator) -> dict[Event, Flags]:
    """Toss each fork; the loss of a transfer lies within its trouble, and ends its later events."""
    count = given.loss.size
    toss = rng.random(count)
    lost = toss < given.loss
    happened = {Event.REEXPLORATION: toss < given.reexploration, Event.LOSS: lost}
    for event, prob in given.events.items():
        met = rng.random(count) < prob
        happened[event] = met if event is Event.DONOR_TROUBLE else met & ~lost
    return happened


def _costs(event: Consequence, rng: np.random.Generator, count: int) -> dict[str, Numbers]:
    operated = (rng.random(count) < event.operations).astype(np.float64)
    return {
        "operations": operated,
        "hours": operated * event.hours.draws(rng, count),
        "days": event.days.draws(rng, count),
        "weeks": event.weeks.draws(rng, count),
        "visits": event.visits.draws(rng, count),
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What one may expect on average, by the tree itself without any toss."""

    alive_prob: float
    """[-]"""
    burden: Mapping[str, float]
    """By name: operations [-], hours [h], days [days], weeks [weeks], visits [-]."""


def folded_back(
    given: Probabilities,
    planned: Planned,
    consequences: Consequences,
    fallback: Expected | None,
) -> Expected:
    """Fold the tree back: probabilities times consequences, summed.

    Notes
    -----
    Forks are independent given their probabilities, and burdens add, so the expectation is a sum
    over events of probability times mean. The mean over the doubt is taken over the draws.
    """
    loss = given.loss
    lives = 1 - loss
    shares = {Event.REEXPLORATION: given.reexploration, Event.LOSS: loss}
    shares |= {
        event: prob if event is Event.DONOR_TROUBLE else prob * lives
        for event, prob in given.events.items()
    }
    again = float(np.mean(loss * given.goes_on))
    burden = {}
    for name in MEASURES:
        total = planned.mean(name)
        for event, share in shares.items():
            total += float(np.mean(share)) * _mean_cost(consequences.events[event], name)
        burden[name] = total + (again * fallback.burden[name] if fallback else 0.0)
    alive = float(np.mean(lives))
    if fallback:
        alive += again * fallback.alive_prob
    return Expected(alive_prob=alive, burden=burden)


def _mean_cost(event: Consequence, name: str) -> float:
    if name == "operations":
        return event.operations
    if name == "hours":
        return event.operations * event.hours.mean
    spread = {"days": event.days, "weeks": event.weeks, "visits": event.visits}[name]
    return spread.mean
