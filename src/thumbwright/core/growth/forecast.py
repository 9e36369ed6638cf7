"""How long bones of one child will be: the same child in every bone, draw by draw."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from zlib import crc32

import numpy as np

from thumbwright.core.case.patient import Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.growth.allometry import LEAD_YEARS, Limb, exponent, length_ratio
from thumbwright.core.growth.maturity import Maturity, open_probs
from thumbwright.core.growth.stature import (
    FIRST_YEARS,
    LAST_YEARS,
    Floats,
    StatureTable,
    log_median,
)

_ASSUMED = Basis(
    provenance=Provenance.ASSUMED,
    source="preece-baines-1978",
    locator="set so that the bands hold simulated children of that model",
)
BETWEEN_CHILDREN = Published(value=0.10, unit="-", basis=_ASSUMED)
"""Spread between children of equal maturity, over the logarithm of the growth still to come."""
HAND_WITH_FOOT = Published(value=0.7, unit="-", basis=_ASSUMED)
"""Correlation of that spread between hand and foot of one child."""
ENDS_PROB = (0.025, 0.25, 0.75, 0.975)
"""Ends of the bands of 95 and 50 % [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnChild:
    """One child as far as it is known: every array has one value per draw and is read-only."""

    sex: Sex
    age_years: float
    effective_years: Floats
    """Skeletal age now."""
    lead_years: Mapping[Limb, Floats]
    """By how much each part runs ahead of stature."""
    exponents: Mapping[Limb, Floats]
    """Power of stature, with what is of this child. [-]"""
    is_open: np.ndarray[tuple[int], np.dtype[np.bool_]]
    """Whether the plates of the hand are open now."""
    table: StatureTable

    @property
    def draws(self) -> int:
        """Return the number of draws [-]."""
        return len(self.effective_years)


def draw_child(
    maturity: Maturity,
    table: StatureTable,
    growing: bool | Unknown,
    rng: np.random.Generator,
    draws: int,
) -> DrawnChild | Unknown:
    """Draw what is not known of a child: tempo, timing of hand and foot, own growth.

    Parameters
    ----------
    maturity
        Age and skeletal age with its doubt.
    table
        Stature for age.
    growing
        Whether plates are open; where that is unknown they are open with the probability that
        age and sex give.
    rng
        Source of chance.
    draws
        Number of draws. [-]

    Returns
    -------
    DrawnChild | Unknown
        Unknown below two years, where the table does not begin yet.
    """
    if maturity.age_years < FIRST_YEARS:
        return Unknown(
            reason=f"growth is forecast from {FIRST_YEARS:.0f} years on, where the table begins",
            needed=("the same question from the second birthday on",),
        )
    years = np.maximum(rng.normal(maturity.effective_years, maturity.doubt_years, draws), 1.0)
    ahead = rng.standard_normal(draws)
    own = rng.standard_normal(draws)
    leads, powers = {}, {}
    for limb in Limb:
        lead = LEAD_YEARS[limb]
        leads[limb] = lead.value + (lead.uncertainty or 0.0) * ahead
        ratio = length_ratio(limb, maturity.sex).ratio
        met = rng.normal(ratio.value, ratio.uncertainty or 0.0, draws)
        power = exponent(table, limb, maturity.sex, leads[limb], met)
        tied = HAND_WITH_FOOT.value
        deviate = (
            own
            if limb is Limb.HAND
            else tied * own + np.sqrt(1 - tied**2) * (rng.standard_normal(draws))
        )
        powers[limb] = power * np.maximum(1 + BETWEEN_CHILDREN.value * deviate, 0.0)
    is_open = (
        rng.random(draws) < open_probs(maturity.sex, years)
        if isinstance(growing, Unknown)
        else np.full(draws, growing)
    )
    _lock(years, is_open, *leads.values(), *powers.values())
    return DrawnChild(
        sex=maturity.sex,
        age_years=maturity.age_years,
        effective_years=years,
        lead_years=leads,
        exponents=powers,
        is_open=is_open,
        table=table,
    )


def growth_factors(child: DrawnChild, limb: Limb, ages_years: Sequence[float]) -> Floats:
    """Return lengths at later ages over the length now, one row per draw [-].

    Parameters
    ----------
    child
        The child.
    limb
        Hand or foot.
    ages_years
        Ages by the calendar; from 20 years on growth has ended in every child. [years]

    Notes
    -----
    A child of another tempo runs through the same course at another speed: its skeletal age
    stays in proportion to its age. Where plates are closed the factor is 1.
    """
    curve = child.table.curves[child.sex]
    lead = child.lead_years[limb][:, None]
    ages = np.asarray(ages_years, dtype=np.float64)[None, :]
    tempo = (child.effective_years / child.age_years)[:, None]
    clock = np.where(ages >= LAST_YEARS, LAST_YEARS, tempo * ages)
    rise = log_median(curve, clock + lead) - log_median(
        curve, child.effective_years[:, None] + lead
    )
    grown: Floats = np.exp(child.exponents[limb][:, None] * np.maximum(rise, 0.0))
    factors: Floats = np.where(child.is_open[:, None], grown, 1.0)
    factors.setflags(write=False)
    return factors


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """What is forecast for one age."""

    age_years: float
    median_mm: float
    low_95_mm: float
    low_50_mm: float
    high_50_mm: float
    high_95_mm: float


def bands(ages_years: Sequence[float], lengths_mm: Floats) -> tuple[Band, ...]:
    """Return median and bands of draws, one per age.

    Parameters
    ----------
    ages_years
        The ages. [years]
    lengths_mm
        One row per draw, one column per age. [mm]
    """
    low, inner_low, inner_high, high = np.quantile(lengths_mm, ENDS_PROB, axis=0)
    median = np.median(lengths_mm, axis=0)
    return tuple(
        Band(
            age_years=float(age),
            median_mm=float(median[at]),
            low_95_mm=float(low[at]),
            low_50_mm=float(inner_low[at]),
            high_50_mm=float(inner_high[at]),
            high_95_mm=float(high[at]),
        )
        for at, age in enumerate(ages_years)
    )


class DrawnInputs:
    """Draws of measured numbers that keep what they share: each input is drawn once.

    An input's draws hang on its key and the start of chance alone, not on what was asked before.
    """

    def __init__(self, rng: np.random.Generator, draws: int) -> None:
        """Begin with nothing drawn."""
        self._start, self._draws = int(rng.integers(1 << 62)), draws
        self._known: dict[str, Floats] = {}

    def of(self, measured: Measured) -> Floats:
        """Return draws of one number, one per draw [its unit]."""
        found: Floats = np.full(self._draws, measured.value)
        for term in measured.budget:
            found = found + term.sensitivity * self._deviation(term.input)
        return found

    def _deviation(self, given: Input) -> Floats:
        if given.key not in self._known:
            rng = np.random.default_rng([self._start, crc32(given.key.encode())])
            self._known[given.key] = rng.normal(0.0, given.standard_uncertainty, self._draws)
        return self._known[given.key]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoneForecast:
    """One bone of one child."""

    limb: Limb
    years: tuple[Band, ...]
    draws: int
    """Number of draws. [-]"""


def forecast_bone(
    length: Measured,
    limb: Limb,
    child: DrawnChild,
    ages_years: Sequence[float],
    rng: np.random.Generator,
) -> BoneForecast:
    """Forecast one bone that keeps its plate and its place.

    Parameters
    ----------
    length
        Length now with its doubt. [mm]
    limb
        Hand or foot.
    child
        The child.
    ages_years
        Ages to speak of. [years]
    rng
        Source of chance for the doubt of the length.
    """
    now = DrawnInputs(rng, child.draws).of(length)[:, None]
    lengths = now * growth_factors(child, limb, ages_years)
    return BoneForecast(limb=limb, years=bands(ages_years, lengths), draws=child.draws)


def _lock(*arrays: np.ndarray[tuple[int], np.dtype[np.generic]]) -> None:
    for array in arrays:
        array.setflags(write=False)
