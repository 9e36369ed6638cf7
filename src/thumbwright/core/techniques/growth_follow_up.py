"""What later measurements make of a forecast: draws that foretold them count for more."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from thumbwright.core.case.examined import NotExamined
from thumbwright.core.case.growth_checks import GrowthCheck, PlatesSeen
from thumbwright.core.case.patient import age_years
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.growth.stature import Floats, StatureTable
from thumbwright.core.radiograph.lengths import Lengths
from thumbwright.core.techniques.growing_thumb import summed_up
from thumbwright.core.techniques.growth_outlook import ThumbForecast
from thumbwright.core.techniques.growth_scene import set_scene
from thumbwright.core.techniques.length_reached import length_reached
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique
from thumbwright.core.techniques.thumb_draws import Drafted, DrawnThumb
from thumbwright.core.techniques.thumb_parts import added_parts, own_parts

FOLLOW_UP_DRAWS = 20_000
"""More than of a first forecast, because most of them will count for little [-]."""
FEWEST_EFFECTIVE = 100.0
"""Fewer effective draws than this carry no forecast [-]; working assumption."""
_MISREAD_PROB = 0.05
"""Chance that a plate is called open or closed wrongly [-]; working assumption."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FollowUp:
    """A forecast before and after later measurements."""

    key: str
    name: str
    checks: tuple[GrowthCheck, ...]
    """Those that were used: made after the lengths of the plan."""
    prior: ThumbForecast
    updated: ThumbForecast | Unknown
    """Unknown where hardly any draw foretold what was measured."""
    effective_draws_ratio: float
    """Draws that count, over all."""
    words: str
    seed: int
    draws: int
    """[-]"""

    @property
    def is_degenerate(self) -> bool:
        """Tell whether what was measured lies outside what was forecast."""
        return isinstance(self.updated, Unknown)


def follow_up(
    technique: Technique,
    situation: Situation,
    lengths: Lengths,
    stature: StatureTable,
    checks: Sequence[GrowthCheck],
    *,
    seed: int,
    draws: int = FOLLOW_UP_DRAWS,
) -> FollowUp | Unknown:
    """Update the forecast of the technique that was done by what was measured since.

    Parameters
    ----------
    technique
        What was done; the operation is taken to have been on the day of the plan.
    situation, lengths
        The case and the lengths of its plan.
    stature
        Stature for age.
    checks
        What was measured since; checks before the plan are left out.
    seed, draws
        Start of chance and number of draws.

    Returns
    -------
    FollowUp | Unknown
        Unknown without a check after the plan, or where there was no forecast to begin with.

    Notes
    -----
    Each draw is weighed by the probability of what was measured, given that draw: normal for
    the lengths, 95 % for the plates; then draws are drawn anew by their weights (systematic
    resampling). Effective draws: ``(sum w)**2 / sum w**2``.
    """
    plan = _drafted(technique, situation, lengths, stature, (seed, draws))
    used = _later(checks, situation)
    if isinstance(plan, Unknown):
        return plan
    if isinstance(used, Unknown):
        return used
    ages, patient = plan.scene.ages_years, situation.case.patient
    whole = plan.drawn(ages)
    seen = plan.drawn(tuple(age_years(patient, check.measured_on) for check in used))
    weights = _weights(seen, used)
    effective = float(1 / np.sum(weights**2))
    updated: ThumbForecast | Unknown
    if effective < FEWEST_EFFECTIVE:
        updated = Unknown(
            reason="what was measured lies outside what was forecast",
            needed=("the measurements anew", "what happened to the thumb since"),
        )
    else:
        kept = _resampled(weights, np.random.default_rng([seed, 1]))
        chosen = DrawnThumb(
            thumb=whole.thumb[kept], other=whole.other[kept], has_closed=whole.has_closed[kept]
        )
        updated = summed_up(chosen, ages, effective)
    return FollowUp(
        key=technique.key,
        name=technique.name,
        checks=used,
        prior=summed_up(whole, ages),
        updated=updated,
        effective_draws_ratio=effective / draws,
        words=_words(len(used), effective, draws, updated),
        seed=seed,
        draws=draws,
    )


def _drafted(
    technique: Technique,
    situation: Situation,
    lengths: Lengths,
    stature: StatureTable,
    chance: tuple[int, int],
) -> Drafted | Unknown:
    seed, draws = chance
    scene = set_scene(situation, lengths, stature, seed=seed, draws=draws)
    own = own_parts(lengths)
    reached = length_reached(technique, situation, lengths)
    added = added_parts(technique, situation, lengths, reached)
    if isinstance(scene, Unknown):
        return scene
    if isinstance(own, Unknown):
        return own
    if isinstance(added, Unknown):
        return added
    return Drafted(technique=technique, reached=reached, parts=(*own, *added), scene=scene)


def _later(
    checks: Sequence[GrowthCheck], situation: Situation
) -> tuple[GrowthCheck, ...] | Unknown:
    """Return the checks that were made after the plan."""
    patient, now = situation.case.patient, situation.age_years
    used = tuple(one for one in checks if age_years(patient, one.measured_on) > now)
    if used:
        return used
    return Unknown(
        reason="no growth was measured after the plan",
        needed=("a length of both thumbs at a later visit",),
    )


def _weights(seen: DrawnThumb, checks: tuple[GrowthCheck, ...]) -> Floats:
    """Return the weight of each draw; they add up to one [-]."""
    logs: Floats = np.zeros(len(seen.thumb))
    for at, check in enumerate(checks):
        for drawn, given, doubt_mm in (
            (seen.thumb[:, at], check.thumb_mm, check.thumb_doubt_mm),
            (seen.other[:, at], check.other_thumb_mm, check.other_thumb_doubt_mm),
        ):
            if not isinstance(given, NotExamined):
                logs = logs - 0.5 * ((drawn - given) / doubt_mm) ** 2
        if check.plates is not PlatesSeen.NOT_EXAMINED:
            agrees = seen.has_closed == (check.plates is PlatesSeen.CLOSED)
            logs = logs + np.log(np.where(agrees, 1 - _MISREAD_PROB, _MISREAD_PROB))
    raw = np.exp(logs - np.max(logs))
    found: Floats = raw / np.sum(raw)
    return found


def _resampled(
    weights: Floats, rng: np.random.Generator
) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    count = len(weights)
    places = (rng.random() + np.arange(count)) / count
    return np.minimum(np.searchsorted(np.cumsum(weights), places), count - 1)


def _words(checks: int, effective: float, draws: int, updated: ThumbForecast | Unknown) -> str:
    visits = "visit" if checks == 1 else "visits"
    counted = f"{checks} {visits}: {effective:.0f} of {draws} draws count."
    if isinstance(updated, Unknown):
        return f"{counted} Hardly any of them foretold what was measured; look again at both."
    return f"{counted} The forecast after them stands beside the one before."
