"""What is known of one case when techniques are weighed: the facts and what was made of them."""

from collections.abc import Mapping
from dataclasses import dataclass

from thumbwright.core.case.case import Case
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.level.levels import Level

PLAUSIBLE_FROM_PROB = 0.05
"""A level less probable than this is left out of account (working assumption)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """One case, with its level, lengths and time, each as far as it is known."""

    case: Case
    age_years: float
    growing: bool | Unknown
    plausible_levels: tuple[Level, ...]
    """Levels of a probability of 0.05 or more."""
    level_prob: Mapping[Level, float] | Unknown
    missing_length_mm: Measured | Unknown
    metacarpal_left_mm: Measured | Unknown
    days_since_loss: float | Unknown
    """From the loss to the day of the plan. [days]"""


def most_probable_level(situation: Situation) -> Level | Unknown:
    """Return the level that techniques are judged by.

    Returns
    -------
    Level | Unknown
        The most probable level; of two equally probable ones the greater loss, because a
        technique that serves the greater loss errs on the side of too much. Where no
        probabilities are known, the only plausible level, if there is only one.
    """
    if isinstance(situation.level_prob, Unknown):
        if len(situation.plausible_levels) == 1:
            return situation.plausible_levels[0]
        return situation.level_prob
    if not situation.level_prob:
        return Unknown(reason="no level was found", needed=("the level of loss",))
    return max(situation.level_prob.items(), key=lambda item: (item[1], item[0].value))[0]


def other_plausible_levels(situation: Situation) -> tuple[Level, ...]:
    """Return the plausible levels but the most probable one, in order of loss."""
    judged_by = most_probable_level(situation)
    return tuple(
        sorted(
            (level for level in situation.plausible_levels if level is not judged_by),
            key=lambda level: level.value,
        )
    )
