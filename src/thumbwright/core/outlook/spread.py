"""A number that lies somewhere between two ends, to draw from: hours, days, weeks, visits."""

from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Statement

Numbers = NDArray[np.float64]

_Z90 = 1.6448536269514722
"""Standard normal deviate below which 95 % lie. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Nine in ten lie between low and high; a statement says where that is from.

    Examples
    --------
    >>> from thumbwright.core.foundations.sources import Basis, Provenance
    >>> practice = Statement(text="…", basis=Basis(provenance=Provenance.COMMON_PRACTICE))
    >>> hours = Spread(low=6.0, high=14.0, unit="h", statement=practice)
    >>> round(hours.mean, 2)
    9.47
    """

    low: float
    """Below it lie 5 in 100. [as the unit says]"""
    high: float
    """Above it lie 5 in 100. [as the unit says]"""
    unit: str
    statement: Statement

    def __post_init__(self) -> None:
        """Refuse ends that cannot be."""
        if not 0 <= self.low <= self.high:
            msg = (
                f"a spread was given from {self.low:g} to {self.high:g} {self.unit}; allowed is "
                "from 0 on, the lower number first; mend the table of consequences"
            )
            raise KnowledgeError(msg)

    @property
    def mean(self) -> float:
        """Return the mean [as the unit says].

        Notes
        -----
        Log-normal, as durations in theatre are taken to be (common practice); even where the low
        end is nought, for which a log-normal has no place.
        """
        if self.low == 0:
            return self.high / 2
        return exp(self._middle + self._sd**2 / 2)

    @property
    def _middle(self) -> float:
        return (log(self.low) + log(self.high)) / 2

    @property
    def _sd(self) -> float:
        return (log(self.high) - log(self.low)) / (2 * _Z90)

    def draws(self, rng: np.random.Generator, count: int) -> Numbers:
        """Return draws [as the unit says]; shape (count,)."""
        if self.low == 0:
            return rng.uniform(0.0, self.high, count)
        return rng.lognormal(self._middle, self._sd, count)
