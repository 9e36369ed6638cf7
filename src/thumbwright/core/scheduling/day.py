"""The day of an operation played many times: when it ends, what delays it, how long cuffs stay on.

Each draw walks the network once, all draws side by side: a step begins when those before it and
its team are done. A step is critical in a draw if the day would end later by any delay of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np

from thumbwright.core.foundations.errors import ScheduleError
from thumbwright.core.scheduling.aims import Job, Network
from thumbwright.core.scheduling.day_plan import DayPlan, DayStep, Lane, Stretch
from thumbwright.core.scheduling.durations import drawn
from thumbwright.core.scheduling.solver import shortest

Draws = np.ndarray[Any, np.dtype[np.float64]]
_NO_SLACK_MINUTES = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantiles:
    """Median and upper tenth of a time."""

    median_minutes: float
    ninety_minutes: float
    """Kept to in nine of ten cases."""
    median_error_minutes: float
    """Standard error of the median from the number of draws."""
    ninety_error_minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StepForecast:
    """When a step begins and ends on a middling day, and how often it decides the end."""

    step: DayStep
    begins_minutes: float
    """Median, from the start of the day."""
    ends_minutes: float
    """Median."""
    ends_late_minutes: float
    """Kept to in nine of ten cases."""
    critical_prob: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StretchForecast:
    """How long a cuff stays on, or a part is without blood."""

    stretch: Stretch
    length: Quantiles
    begins_minutes: float
    """Median, from the start of the day."""
    over_flag_prob: float
    over_limit_prob: float

    @property
    def words(self) -> str:
        """Return it as a sentence."""
        return (
            f"{self.stretch.name[:1].upper()}{self.stretch.name[1:]}: "
            f"{self.length.median_minutes:.0f} minutes, in nine of ten cases within "
            f"{self.length.ninety_minutes:.0f}; over the limit of "
            f"{self.stretch.limit_minutes:.0f} minutes with a probability of "
            f"{self.over_limit_prob:.0%}."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DayForecast:
    """How the day will probably go."""

    plan: DayPlan
    teams: int
    ends: Quantiles
    mean_minutes: float
    steps: tuple[StepForecast, ...]
    stretches: tuple[StretchForecast, ...]
    draws: int
    seed: str


def foresee_day(
    plan: DayPlan, *, teams: int, rng: np.random.Generator, draws: int = 20_000
) -> DayForecast:
    """Play the day many times.

    Parameters
    ----------
    plan
        The network.
    teams
        1 or 2: with two, hand and foot are worked at side by side.
    rng
        Source of chance.
    draws
        How often the day is played. [-]

    Raises
    ------
    ScheduleError
        If there is another number of teams, or fewer than 100 draws.
    """
    if teams not in {1, 2} or draws < 100:
        msg = (
            f"a day with {teams} teams and {draws} draws was asked for; allowed are 1 or 2 teams "
            "and 100 draws or more; correct it"
        )
        raise ScheduleError(msg)
    seed = str(getattr(rng.bit_generator.seed_seq, "entropy", "not known"))
    lengths = drawn([step.length for step in plan.steps], rng, draws)
    begins, waits = walked(plan, lengths, teams)
    finish = begins + lengths
    ends = finish.max(axis=1)
    critical = _critical(begins, lengths, waits, ends)
    return DayForecast(
        plan=plan,
        teams=teams,
        ends=quantiles(ends),
        mean_minutes=float(ends.mean()),
        steps=tuple(
            StepForecast(
                step=step,
                begins_minutes=float(np.median(begins[:, place])),
                ends_minutes=float(np.median(finish[:, place])),
                ends_late_minutes=float(np.quantile(finish[:, place], 0.9)),
                critical_prob=float(critical[:, place].mean()),
            )
            for place, step in enumerate(plan.steps)
        ),
        stretches=tuple(_stretch(one, plan, begins, finish) for one in plan.stretches),
        draws=draws,
        seed=seed,
    )


def walked(plan: DayPlan, lengths: Draws, teams: int) -> tuple[Draws, list[list[int]]]:
    """Return when each step begins in each draw [min], and for which steps it waits."""
    places = {step.key: place for place, step in enumerate(plan.steps)}
    begins = np.zeros_like(lengths)
    last_of: dict[Lane, int] = {}
    waits: list[list[int]] = []
    for place, step in enumerate(plan.steps):
        used = step.lane.teams if teams == 2 else step.lane.teams[:1] and (Lane.BOTH,)
        before = {places[key] for key in step.after} | {
            last_of[team] for team in used if team in last_of
        }
        for other in before:
            begins[:, place] = np.maximum(begins[:, place], begins[:, other] + lengths[:, other])
        last_of |= dict.fromkeys(used, place)
        waits.append(sorted(before))
    return begins, waits


def quantiles(times: Draws) -> Quantiles:
    """Return median and upper tenth with their error from the number of draws."""
    median, ninety = (float(np.quantile(times, share)) for share in (0.5, 0.9))
    return Quantiles(
        median_minutes=median,
        ninety_minutes=ninety,
        median_error_minutes=_error(times, 0.5),
        ninety_error_minutes=_error(times, 0.9),
    )


def _error(times: Draws, share: float) -> float:
    """Return half the distance between the quantiles one standard error of the rank away."""
    off = sqrt(share * (1 - share) / len(times))
    low, high = np.quantile(times, [max(0.0, share - off), min(1.0, share + off)])
    return float(high - low) / 2


def _critical(
    begins: Draws, lengths: Draws, waits: Sequence[Sequence[int]], ends: Draws
) -> np.ndarray[Any, np.dtype[np.bool_]]:
    latest = np.repeat(ends[:, None], begins.shape[1], axis=1)
    for place in range(begins.shape[1] - 1, -1, -1):
        start = latest[:, place] - lengths[:, place]
        for other in waits[place]:
            latest[:, other] = np.minimum(latest[:, other], start)
    found: np.ndarray[Any, np.dtype[np.bool_]] = (
        latest - lengths - begins < _NO_SLACK_MINUTES * np.maximum(1.0, ends[:, None])
    )
    return found


def _stretch(one: Stretch, plan: DayPlan, begins: Draws, finish: Draws) -> StretchForecast:
    places = {step.key: place for place, step in enumerate(plan.steps)}
    on = begins[:, places[one.first]]
    lasts = finish[:, places[one.last]] - on
    return StretchForecast(
        stretch=one,
        length=quantiles(lasts),
        begins_minutes=float(np.median(on)),
        over_flag_prob=float((lasts > one.flag_minutes).mean()),
        over_limit_prob=float((lasts > one.limit_minutes).mean()),
    )


def shortest_day(plan: DayPlan, *, teams: int, microscopes: int = 1) -> Network:
    """Return the shortest day if every step takes its mean, in any order that the network allows.

    Parameters
    ----------
    plan
        The network.
    teams, microscopes
        How many there are. With one team, a step for both is done by one.
    """
    followers: dict[str, list[str]] = {step.key: [] for step in plan.steps}
    for step in plan.steps:
        for key in step.after:
            followers[key].append(step.key)
    jobs = [
        Job(
            key=step.key,
            length=round(step.length.mean_minutes),
            demands=(
                min(teams, len(step.lane.teams)),
                int(step.microscope),
                int(step.lane is Lane.ANAESTHESIA),
            ),
            followers=tuple(followers[step.key]),
        )
        for step in plan.steps
    ]
    return shortest(jobs, (teams, microscopes, 1))
