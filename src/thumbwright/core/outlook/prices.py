"""What a course costs, from the unit's own price list; nothing is priced that was not entered."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.outlook.course import Courses
from thumbwright.core.outlook.spread import Numbers


class Item(Enum):
    """What a unit puts a price on."""

    THEATRE_HOUR = "theatre_hour"
    HOSPITAL_DAY = "hospital_day"
    OPERATION = "operation"
    VISIT = "visit"

    @property
    def words(self) -> str:
        """Return the item as it is printed."""
        return _WORDS[self]

    @property
    def burden(self) -> str:
        """Return the burden that it is counted by."""
        return _BURDENS[self]


_WORDS = {
    Item.THEATRE_HOUR: "an hour in theatre, staff and anaesthesia included",
    Item.HOSPITAL_DAY: "a day in hospital",
    Item.OPERATION: "what each operation costs whatever its length",
    Item.VISIT: "a visit for therapy or review",
}
_BURDENS = {
    Item.THEATRE_HOUR: "hours",
    Item.HOSPITAL_DAY: "days",
    Item.OPERATION: "operations",
    Item.VISIT: "visits",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceList:
    """Prices of one unit in one named currency; empty until entered."""

    currency: str = ""
    """As the unit writes it: "EUR", "INR"."""
    prices: Mapping[Item, float] = field(default_factory=dict)
    """[currency]"""
    devices: Mapping[str, float] = field(default_factory=dict)
    """By technique: implant, fixator, prosthesis, consumed instruments. [currency]"""

    def __post_init__(self) -> None:
        """Refuse prices below nought, and prices without a currency."""
        values = (*self.prices.values(), *self.devices.values())
        if any(not np.isfinite(value) or value < 0 for value in values) or (
            values and not self.currency.strip()
        ):
            msg = (
                f"prices were given as {sorted(values)} in the currency '{self.currency}'; allowed "
                "are numbers from 0 on, in a currency that is named; mend the price list"
            )
            raise KnowledgeError(msg)

    @property
    def lacking(self) -> tuple[str, ...]:
        """Return what has no price yet, in words."""
        return tuple(item.words for item in Item if item not in self.prices)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What a technique costs, with its complications and the fallback told apart."""

    currency: str
    planned: float
    """Mean of the planned course alone. [currency]"""
    complications: float
    """Mean of what events and the fallback add. [currency]"""
    complications_p90: float
    """Below it lie 90 in 100. [currency]"""
    total_p90: float
    """What the family should be prepared for: below it lie 90 in 100 whole courses. [currency]"""


def priced(burden: Mapping[str, Numbers], prices: PriceList) -> Numbers:
    """Return the price of each course [currency]; shape (patients,)."""
    parts = [price * burden[item.burden] for item, price in prices.prices.items()]
    return np.asarray(np.sum(parts, axis=0))


def cost_of(technique: str, courses: Courses, prices: PriceList) -> Cost | Unknown:
    """Return what a technique costs, or which prices are lacking.

    Parameters
    ----------
    technique
        Its key, for the price of its devices.
    courses
        With all events and the fallback, and as planned.
    prices
        The unit's.
    """
    if prices.lacking:
        return Unknown(
            reason=f"the unit's price list has no price for {'; '.join(prices.lacking)}",
            needed=("the unit's own price list",),
        )
    device = prices.devices.get(technique, 0.0)
    planned = priced(courses.planned, prices) + device
    whole = priced(courses.burden, prices) + device
    beyond = whole - planned
    return Cost(
        currency=prices.currency,
        planned=float(np.mean(planned)),
        complications=float(np.mean(beyond)),
        complications_p90=float(np.quantile(beyond, 0.9)),
        total_p90=float(np.quantile(whole, 0.9)),
    )
