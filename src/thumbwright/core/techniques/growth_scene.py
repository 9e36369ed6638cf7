"""What all techniques share in one case: the same child, and the same errors of length."""

from dataclasses import dataclass
from math import floor

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.growth.allometry import Limb
from thumbwright.core.growth.forecast import DrawnChild, DrawnInputs, draw_child, growth_factors
from thumbwright.core.growth.maturity import Maturity, maturity_of
from thumbwright.core.growth.stature import LAST_YEARS, Floats, StatureTable
from thumbwright.core.growth.transfer import draw_plate_end_share
from thumbwright.core.radiograph.lengths import Lengths
from thumbwright.core.techniques.situation import Situation

DRAWS = 2000
"""Draws of a forecast where none are named [-]."""
WAITS_YEARS = (0.0, 1.0, 2.0, 4.0, 6.0, 8.0)
"""How long an operation might be put off [years]; and until growth has ended."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """What all techniques share in one case: the same child, the same errors of length."""

    situation: Situation
    lengths: Lengths
    child: DrawnChild
    maturity: Maturity
    ages_years: tuple[float, ...]
    hand: Floats
    """Growth of bones of the hand from now, one row per draw, one column per age. [-]"""
    foot: Floats
    """The same of bones of the foot. [-]"""
    known_years: tuple[float, ...]
    """Ages at which an operation may be done, and 20 years: worked out once for all."""
    known_hand: Floats
    """Growth of the hand at these. [-]"""
    known_foot: Floats
    """Growth of the foot at these. [-]"""
    plate_end_share: Floats
    """Share of a bone's growth that comes from the end of its plate. [-]"""
    stump: Floats
    """CMC joint to bone end now. [mm]"""
    other: Floats
    """The other thumb now. [mm]"""
    inputs: DrawnInputs
    seed: int


def set_scene(
    situation: Situation, lengths: Lengths, stature: StatureTable, *, seed: int, draws: int = DRAWS
) -> Scene | Unknown:
    """Draw what all techniques share.

    Returns
    -------
    Scene | Unknown
        Unknown if a thumb has no measured length, or the child is under two years of age.
    """
    wanted = lengths.wanted.length
    if isinstance(wanted, Unknown):
        return Unknown(
            reason=f"the wanted length is unknown ({wanted.reason})", needed=wanted.needed
        )
    if isinstance(lengths.stump, Unknown):
        return Unknown(
            reason=f"the stump is unknown ({lengths.stump.reason})", needed=lengths.stump.needed
        )
    rng = np.random.default_rng(seed)
    maturity = maturity_of(situation.case.patient, situation.age_years)
    child = draw_child(maturity, stature, situation.growing, rng, draws)
    if isinstance(child, Unknown):
        return child
    ages = ages_to_speak_of(situation.age_years)
    known = operation_years(situation.age_years)
    inputs = DrawnInputs(rng, draws)
    return Scene(
        situation=situation,
        lengths=lengths,
        child=child,
        maturity=maturity,
        ages_years=ages,
        hand=growth_factors(child, Limb.HAND, ages),
        foot=growth_factors(child, Limb.FOOT, ages),
        known_years=known,
        known_hand=growth_factors(child, Limb.HAND, known),
        known_foot=growth_factors(child, Limb.FOOT, known),
        plate_end_share=draw_plate_end_share(rng, draws),
        stump=inputs.of(lengths.stump),
        other=inputs.of(wanted),
        inputs=inputs,
        seed=seed,
    )


def ages_to_speak_of(age_years: float) -> tuple[float, ...]:
    """Return the age now, each birthday to come, and 20 years, when growth has ended [years].

    Examples
    --------
    >>> ages_to_speak_of(17.4)
    (17.4, 18.0, 19.0, 20.0)
    """
    birthdays = range(floor(age_years) + 1, int(LAST_YEARS))
    last = (LAST_YEARS,) if age_years < LAST_YEARS else (age_years + 1.0,)
    return (age_years, *(float(year) for year in birthdays), *last)


def operation_years(age_years: float) -> tuple[float, ...]:
    """Return the ages at which an operation is weighed: now, later, and when grown [years].

    Examples
    --------
    >>> operation_years(16.5)
    (16.5, 17.5, 18.5, 20.0)
    """
    end = max(LAST_YEARS, age_years)
    return (*(age_years + wait for wait in WAITS_YEARS if age_years + wait < end - 1), end)
