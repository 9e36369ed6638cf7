"""Stature for age and sex by the LMS method, as a clock of growth for hand and foot.

The table speaks of 24 to 240 months. Below 24 months nothing is said: the table of infants gives
length lying down, which is another measure, and the multipliers that were read for that age do
not agree with this table.
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from thumbwright.core.case.patient import Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance

Floats = NDArray[np.float64]

SOURCE = Basis(
    provenance=Provenance.READ, source="cdc-growth-2000", locator="stature-for-age LMS table"
)
FIRST_YEARS, LAST_YEARS = 2.0, 20.0
"""First and last age of the table [years]; growth is taken as ended at the last."""
_COLUMNS = ("sex", "age_months", "l", "m_cm", "s")
_SLOPE_YEARS = 0.25
"""Over which the slope below the first age is taken [years]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StatureCurve:
    """The parameters of one sex by age; every array has one value per row and is read-only."""

    age_years: Floats
    skewness: Floats
    """Power of the Box-Cox transformation, L. [-]"""
    median_cm: Floats
    """M."""
    spread: Floats
    """Coefficient of variation, S. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class StatureTable:
    """Both curves."""

    curves: Mapping[Sex, StatureCurve]


def read_stature(text: str) -> StatureTable:
    """Read the table from the text of its CSV file.

    Raises
    ------
    KnowledgeError
        If columns or rows are missing, or ages of a sex do not run from 24 to 240 months upwards.
    """
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    if not rows or set(_COLUMNS) - set(rows[0]):
        raise _unreadable(f"the columns {lines[0] if lines else 'none'}")
    try:
        return StatureTable(curves={sex: _curve(sex, rows) for sex in Sex})
    except (TypeError, ValueError) as fault:
        raise _unreadable(str(fault)) from fault


def _curve(sex: Sex, rows: list[dict[str, str]]) -> StatureCurve:
    found = np.array(
        [[float(row[name]) for name in _COLUMNS[1:]] for row in rows if row["sex"] == sex.value]
    )
    months = found[:, 0] if found.ndim == 2 else np.zeros(0)
    ends = (FIRST_YEARS * 12, LAST_YEARS * 12)
    if len(months) < 2 or (months[0], months[-1]) != ends or np.any(np.diff(months) <= 0):
        raise _unreadable(f"{len(months)} ages for {sex.value}")
    found.setflags(write=False)
    ages = months / 12
    ages.setflags(write=False)
    return StatureCurve(
        age_years=ages, skewness=found[:, 1], median_cm=found[:, 2], spread=found[:, 3]
    )


def _unreadable(given: str) -> KnowledgeError:
    return KnowledgeError(
        f"the table of stature for age was given with {given}; allowed are the columns "
        f"{', '.join(_COLUMNS)} with ages from 24 to 240 months upwards for either sex; mend "
        "cdc_stature_for_age.csv"
    )


def median_cm(table: StatureTable, sex: Sex, age_years: float) -> float | Unknown:
    """Return the median stature at an age [cm].

    Returns
    -------
    float | Unknown
        Unknown below two years; at the value of 20 years from there on.

    Notes
    -----
    Grown over present medians were held against [garn-multipliers]_: they agree to 0.025 from 3
    years on; at 2 years those of girls differ by 0.09. The differences are not absorbed.
    """
    if age_years < FIRST_YEARS:
        return _too_young(age_years)
    curve = table.curves[sex]
    return float(np.interp(age_years, curve.age_years, curve.median_cm))


def stature_cm(table: StatureTable, sex: Sex, age_years: float, share: float) -> float | Unknown:
    """Return the stature below which a share of children of that age and sex stands [cm].

    Notes
    -----
    ``M (1 + L S z)^(1/L)``, or ``M exp(S z)`` where ``L`` is zero, with ``z`` the normal
    deviate of the share; parameters between two ages linearly, of [cdc-growth-2000]_.
    """
    if age_years < FIRST_YEARS:
        return _too_young(age_years)
    curve = table.curves[sex]
    power, median, spread = (
        float(np.interp(age_years, curve.age_years, column))
        for column in (curve.skewness, curve.median_cm, curve.spread)
    )
    deviate = float(ndtri(share))
    if abs(power) < 1e-9:
        return float(median * np.exp(spread * deviate))
    return float(median * (1 + power * spread * deviate) ** (1 / power))


def log_median(curve: StatureCurve, age_years: Floats) -> Floats:
    """Return the logarithm of the median stature, for draws of any age [-].

    Notes
    -----
    Below two years the slope of the first quarter year is carried on, because some draws of a
    doubtful age fall there; beyond 20 years growth has ended.
    """
    first = np.log(np.interp(FIRST_YEARS, curve.age_years, curve.median_cm))
    next_one = np.log(np.interp(FIRST_YEARS + _SLOPE_YEARS, curve.age_years, curve.median_cm))
    slope = (next_one - first) / _SLOPE_YEARS
    inside = np.log(np.interp(age_years, curve.age_years, curve.median_cm))
    below: Floats = np.minimum(age_years - FIRST_YEARS, 0.0) * slope
    found: Floats = inside + below
    return found


def _too_young(age_years: float) -> Unknown:
    return Unknown(
        reason=f"the table of stature begins at {FIRST_YEARS:.0f} years; given is {age_years:.1f}",
        needed=("the same question from the second birthday on",),
    )
