"""The five invented people: how large they are and where the thumb ends.

Everything here is invented; no plan of a real person may rest on it.
"""

from dataclasses import dataclass
from datetime import date

from thumbwright.core.case.examined import Side
from thumbwright.phantom.sizes import PersonSize, adult, child

DAY = date(2026, 11, 20)
"""Day of their plans where no other is given: after every examination, whatever the clock says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """One invented person, as the phantom needs them."""

    key: str
    size: PersonSize
    injured: Side
    kept_share: float
    """Share of the thumb's bones that is kept. [-]"""
    soft_beyond_mm: float
    cmc_kept: bool = True
    seed: int
    """Start of chance for films and placements."""


PEOPLE = (
    Person(
        key="joiner",
        size=adult(1.04),
        injured=Side.RIGHT,
        kept_share=0.71,
        soft_beyond_mm=5.0,
        seed=41,
    ),
    Person(
        key="girl", size=child(7.5), injured=Side.LEFT, kept_share=0.47, soft_beyond_mm=4.0, seed=7
    ),
    Person(
        key="farmer",
        size=adult(1.02),
        injured=Side.RIGHT,
        kept_share=0.2,
        soft_beyond_mm=7.0,
        seed=58,
    ),
    Person(
        key="fitter",
        size=adult(0.96),
        injured=Side.LEFT,
        kept_share=0.035,
        soft_beyond_mm=8.0,
        cmc_kept=False,
        seed=29,
    ),
    Person(
        key="violinist",
        size=adult(0.94),
        injured=Side.LEFT,
        kept_share=0.9,
        soft_beyond_mm=3.0,
        seed=33,
    ),
)
