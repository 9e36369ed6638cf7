"""How hand and foot follow stature: a power of it, with a clock that runs ahead of it.

A length of hand or foot is taken as ``stature(age + lead) ** exponent``. For every lead the
exponent is derived anew from the same published ratio of lengths, so that the ratio is met
whatever the lead. Multipliers of the lower limb are not used: they overstate the growth of a
finger by a quarter.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from thumbwright.core.case.patient import Sex
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.growth.stature import Floats, StatureTable, log_median


class Limb(Enum):
    """The part of the body whose bones grow together."""

    HAND = "hand"
    FOOT = "foot"


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthRatio:
    """How many times longer a part is at one age than at another."""

    ratio: Published
    from_years: float
    to_years: float


_FOOT_BASIS = Basis(
    provenance=Provenance.DERIVED,
    source="cheng-foot-1997",
    locator="means at 3 and 18 or 17 years; doubt from SD and an even share of 2829 children",
)
FINGER_RATIO = LengthRatio(
    ratio=Published(
        value=1.37,
        uncertainty=0.03,
        unit="-",
        basis=Basis(
            provenance=Provenance.READ,
            source="hohendorff-2010",
            locator="abstract; doubt derived from 160 children over 8 ages, spread assumed 7 %",
        ),
    ),
    from_years=3.0,
    to_years=10.0,
)
"""Length of fingers at 10 over that at 3 years, both sexes together."""
FOOT_RATIO: Mapping[Sex, LengthRatio] = {
    Sex.MALE: LengthRatio(
        ratio=Published(value=258 / 156, uncertainty=0.03, unit="-", basis=_FOOT_BASIS),
        from_years=3.0,
        to_years=18.0,
    ),
    Sex.FEMALE: LengthRatio(
        ratio=Published(value=234 / 153, uncertainty=0.03, unit="-", basis=_FOOT_BASIS),
        from_years=3.0,
        to_years=17.0,
    ),
}
"""Length of the foot when grown over that at 3 years."""
_LEAD_BASIS = Basis(
    provenance=Provenance.ASSUMED,
    source="foot-height-multiplier-2024",
    locator="foot at its plateau at 13 and 15 years, stature at 98 % of its own a year later",
)
LEAD_YEARS: Mapping[Limb, Published] = {
    Limb.HAND: Published(value=0.5, uncertainty=0.5, unit="years", basis=_LEAD_BASIS),
    Limb.FOOT: Published(value=1.0, uncertainty=0.5, unit="years", basis=_LEAD_BASIS),
}
"""By how much hand and foot are nearer to their end than stature is."""


def length_ratio(limb: Limb, sex: Sex) -> LengthRatio:
    """Return the published ratio that the growth of a part is fitted to."""
    return FINGER_RATIO if limb is Limb.HAND else FOOT_RATIO[sex]


def exponent(
    table: StatureTable, limb: Limb, sex: Sex, lead_years: Floats, ratio: Floats | None = None
) -> Floats:
    """Return the power of stature that meets the published ratio of lengths [-].

    Parameters
    ----------
    table
        Stature for age.
    limb, sex
        Part and sex; the ratio for fingers was printed for both sexes together, so the
        logarithms of both statures are averaged.
    lead_years
        By how much the part's clock runs ahead. [years]
    ratio
        Draws of the ratio; the printed one where none are given. [-]

    Notes
    -----
    ``b = ln(ratio) / ln(stature(to + lead) / stature(from + lead))``.
    """
    span = length_ratio(limb, sex)
    sexes = tuple(Sex) if limb is Limb.HAND else (sex,)
    rises = [
        log_median(table.curves[one], span.to_years + lead_years)
        - log_median(table.curves[one], span.from_years + lead_years)
        for one in sexes
    ]
    top = np.log(span.ratio.value if ratio is None else ratio)
    found: Floats = top / np.mean(rises, axis=0)
    return found
