"""What lies ahead with each technique: chance of a useful thumb, burden and cost, with doubt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.risk import PatientRisk
from thumbwright.core.evidence.study import StudyArm
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.outlook.chances import Chance, Chances, chances_of
from thumbwright.core.outlook.consequences import Consequences, Event
from thumbwright.core.outlook.course import (
    MEASURES,
    Courses,
    Expected,
    Probabilities,
    folded_back,
    probabilities,
    simulate,
)
from thumbwright.core.outlook.planned import Planned, planned_course
from thumbwright.core.outlook.prices import Cost, PriceList, cost_of, priced
from thumbwright.core.outlook.spread import Numbers
from thumbwright.core.techniques.technique import Technique

DRAWS = 4000
"""Patients sent down each tree: the Monte-Carlo error of a share is below 0.008. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareAhead:
    """A probability with the doubt of the series and the error of the simulation."""

    prob: float
    """[-]"""
    low_prob: float
    """2.5 % point over the doubt. [-]"""
    high_prob: float
    """97.5 % point. [-]"""
    monte_carlo_error_prob: float
    """Standard error of ``prob`` from the number of draws. [-]"""

    @property
    def of_hundred(self) -> int:
        """Return it as a natural frequency."""
        return round(100 * self.prob)


@dataclass(frozen=True, slots=True, kw_only=True)
class BurdenAhead:
    """One burden: what to expect, and what nine in ten stay below."""

    mean: float
    """[of the burden]"""
    p90: float
    """[of the burden]"""
    monte_carlo_error: float
    """Standard error of the mean from the number of draws. [of the burden]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What lies ahead with one technique."""

    technique: str
    fallback: str | None
    """Key of the technique that follows a loss; None where none is counted."""
    lives: ShareAhead | Unknown
    """The first attempt lives. [-]"""
    lives_with_fallback: ShareAhead | Unknown
    """A living thumb at the end, the fallback counted. [-]"""
    lives_if_late: ShareAhead | Unknown
    """The first attempt lives, had nobody been at hand to reopen vessels in time. [-]"""
    useful: ShareAhead | Unknown
    """A living thumb at the end that reaches a pinch, the fallback counted. [-]"""
    loss_in_series: Chance | Unknown
    """Loss as series counted it, to hold against the tree."""
    events: Mapping[Event, ShareAhead]
    """Each event at least once. [-]"""
    burden: Mapping[str, BurdenAhead]
    """Operations [-], hours [h], days [days], weeks [weeks], visits [-]."""
    cost: Cost | Unknown
    not_counted: tuple[str, ...]
    """What no series counted and no figure is known of; everything above leaves it out."""
    chances: Chances
    planned: Planned
    expected: Expected
    """By folding the tree back; agrees with the simulation within its error."""
    samples: Mapping[str, Numbers]
    """For whom weighs on: loss [-], where it is known, each burden as above, and its price
    [currency], where the unit entered prices; shape (draws,), read-only.
    """
    draws: int
    seed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tree:
    chances: Chances
    planned: Planned
    given: Probabilities
    courses: Courses
    expected: Expected


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownAhead:
    """What is known beside the case: series, consequences of events, prices of the unit."""

    arms: tuple[StudyArm, ...]
    consequences: Consequences
    prices: PriceList


def foresee(
    techniques: Sequence[Technique],
    known: KnownAhead,
    risks: Mapping[str, Mapping[Outcome, PatientRisk]],
    pinch_prob: Mapping[str, float],
    fallback: str | None,
    seed: int,
    draws: int = DRAWS,
) -> tuple[Outlook, ...]:
    """Look ahead for each technique of a case.

    Parameters
    ----------
    techniques
        Those that are open; the fallback among them if there is one.
    known
        What series counted, what events cost, what the unit charges.
    risks
        What facts of this patient do, by technique and outcome.
    pinch_prob
        By technique, how probably its thumb reaches a pinch at all. [-]
    fallback
        Key of the technique that follows a loss of any other.
    seed, draws
        Of the simulation; the same for the same technique whatever else is open.
    """
    trees: dict[str, _Tree] = {}

    def after(technique: Technique) -> _Tree | None:
        follows = technique.is_operation and technique.key != fallback
        return trees.get(fallback or "") if follows else None

    for technique in sorted(techniques, key=lambda one: one.key != fallback):
        chances = chances_of(
            technique, known.arms, known.consequences, risks.get(technique.key, {})
        )
        rng = np.random.default_rng([seed, *technique.key.encode()])
        trees[technique.key] = _grow(
            technique, chances, known.consequences, after(technique), rng, draws
        )
    return tuple(
        _outlook(one, trees[one.key], after(one), known.prices, pinch_prob, seed)
        for one in techniques
    )


def _grow(
    technique: Technique,
    chances: Chances,
    consequences: Consequences,
    after: _Tree | None,
    rng: np.random.Generator,
    draws: int,
) -> _Tree:
    planned = planned_course(technique, consequences)
    given = probabilities(chances, consequences, rng, draws)
    fallen = after.courses if after else None
    courses = simulate(given, planned, consequences, rng, fallen)
    mean = folded_back(given, planned, consequences, after.expected if after else None)
    return _Tree(chances=chances, planned=planned, given=given, courses=courses, expected=mean)


def _outlook(
    technique: Technique,
    tree: _Tree,
    after: _Tree | None,
    prices: PriceList,
    pinch_prob: Mapping[str, float],
    seed: int,
) -> Outlook:
    courses = tree.courses
    lives, in_the_end, useful = _living(technique, tree, after, pinch_prob)
    return Outlook(
        technique=technique.key,
        fallback=after.chances.technique if after else None,
        lives=lives,
        lives_with_fallback=in_the_end,
        lives_if_late=lives if isinstance(lives, Unknown) else _share(1 - tree.given.loss_if_late),
        useful=useful,
        loss_in_series=tree.chances.loss,
        events={event: _counted(flags) for event, flags in courses.happened.items()},
        burden={name: _burden(courses.burden[name]) for name in MEASURES},
        cost=cost_of(technique.key, courses, prices),
        not_counted=(*tree.planned.not_counted, *tree.chances.not_counted),
        chances=tree.chances,
        planned=tree.planned,
        expected=tree.expected,
        samples=_samples(technique, tree, prices),
        draws=tree.given.loss.size,
        seed=seed,
    )


def _living(
    technique: Technique, tree: _Tree, after: _Tree | None, pinch_prob: Mapping[str, float]
) -> tuple[ShareAhead | Unknown, ShareAhead | Unknown, ShareAhead | Unknown]:
    """Return the chance of a living thumb, the same with the fallback, and of a useful one."""
    unknown = _why_not(tree)
    if unknown is not None:
        return unknown, unknown, unknown
    given = tree.given
    lives = 1 - given.loss
    again = np.zeros(lives.size)
    if after is not None and _why_not(after) is None:
        again = given.loss * given.goes_on * (1 - after.given.loss)
    fallback = after.chances.technique if after else technique.key
    lacking = {technique.key, fallback} - set(pinch_prob)
    if lacking:
        return (
            _share(lives),
            _share(lives + again),
            Unknown(
                reason=f"whether it reaches a pinch is not known for {', '.join(sorted(lacking))}",
                needed=("lengths and joints of the hand",),
            ),
        )
    useful = lives * pinch_prob[technique.key] + again * pinch_prob[fallback]
    return _share(lives), _share(lives + again), _share(useful)


def _samples(technique: Technique, tree: _Tree, prices: PriceList) -> dict[str, Numbers]:
    found = {name: tree.courses.burden[name] for name in MEASURES}
    if not tree.chances.can_be_lost:
        found["loss"] = np.zeros(tree.given.loss.size)
    elif _why_not(tree) is None:
        found["loss"] = tree.given.loss
    if not prices.lacking:
        found["cost"] = priced(tree.courses.burden, prices) + prices.devices.get(technique.key, 0.0)
    for values in found.values():
        values.setflags(write=False)
    return found


def _why_not(tree: _Tree) -> Unknown | None:
    if not tree.chances.can_be_lost:
        return Unknown(reason="nothing is moved that could be lost")
    found = tree.chances.is_lost
    return found if isinstance(found, Unknown) else None


def _share(probs: Numbers) -> ShareAhead:
    low, high = np.quantile(probs, [0.025, 0.975])
    return ShareAhead(
        prob=float(np.mean(probs)),
        low_prob=float(low),
        high_prob=float(high),
        monte_carlo_error_prob=float(np.std(probs) / np.sqrt(probs.size)),
    )


def _counted(flags: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> ShareAhead:
    """Return how often an event happened, with the interval of the simulation alone."""
    share, count = float(np.mean(flags)), flags.size
    error = float(np.sqrt(share * (1 - share) / count))
    return ShareAhead(
        prob=share,
        low_prob=max(0.0, share - 1.96 * error),
        high_prob=min(1.0, share + 1.96 * error),
        monte_carlo_error_prob=error,
    )


def _burden(values: Numbers) -> BurdenAhead:
    return BurdenAhead(
        mean=float(np.mean(values)),
        p90=float(np.quantile(values, 0.9)),
        monte_carlo_error=float(np.std(values) / np.sqrt(values.size)),
    )
