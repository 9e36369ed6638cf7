"""Techniques by criteria by draws: everything that is weighed, with its labels and bases."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.criteria_data import Criteria
from thumbwright.core.comparison.criterion import Criterion, CriterionKey
from thumbwright.core.comparison.performance import (
    Drawn,
    JudgedGrade,
    NotKnown,
    Performance,
    shares_of,
)
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.foundations.sources import Basis

Cell = tuple[str, CriterionKey]
"""A technique by its key, and what it is weighed by."""
Performances = Mapping[Cell, Performance]


@dataclass(frozen=True, slots=True, kw_only=True)
class PerformanceTable:
    """What each technique gives of each criterion, on one scale from worst to best."""

    techniques: tuple[str, ...]
    names: tuple[str, ...]
    """As inside a sentence: "the second toe"."""
    criteria: tuple[Criterion, ...]
    performances: Performances
    value_share: NDArray[np.float32]
    """By draw, technique and criterion; read-only. [-]"""

    def __post_init__(self) -> None:
        """Refuse values that do not fit the labels or leave the scale."""
        shape = self.value_share.shape
        sizes = (len(self.techniques), len(self.criteria))
        is_whole = len(shape) == 3 and shape[1:] == sizes and shape[0] > 0 and min(sizes) > 0
        if not is_whole or len(set(self.techniques)) < sizes[0] or len(self.names) != sizes[0]:
            raise PlanError(
                f"a table of {sizes[0]} techniques and {sizes[1]} criteria was given values of the "
                f"shape {shape}; allowed is (draws, techniques, criteria), none of them 0, each "
                "technique once; build the table with table_of"
            )
        if not (self.value_share.min() >= 0 and self.value_share.max() <= 1):
            raise PlanError(
                f"a table was given values from {self.value_share.min()} to "
                f"{self.value_share.max()}; allowed are 0 to 1; use a value function"
            )
        self.value_share.setflags(write=False)

    @property
    def draws(self) -> int:
        """Return the number of draws [-]."""
        return int(self.value_share.shape[0])

    @property
    def keys(self) -> tuple[CriterionKey, ...]:
        """Return what the techniques are weighed by, in order."""
        return tuple(criterion.key for criterion in self.criteria)

    @property
    def mean_share(self) -> NDArray[np.float64]:
        """Return the expected values by technique and criterion [-]."""
        return np.asarray(self.value_share.mean(axis=0, dtype=np.float64))

    @property
    def unknown(self) -> Mapping[Cell, Unknown]:
        """Return every cell of which nothing is known."""
        return {
            cell: given.unknown
            for cell, given in self.performances.items()
            if isinstance(given, NotKnown)
        }

    def basis_of(self, technique: str, key: CriterionKey) -> Basis | None:
        """Return what a cell rests on; None where it was computed in this case or is unknown."""
        given = self.performances[technique, key]
        return None if isinstance(given, NotKnown) else given.basis

    def name_of(self, technique: str) -> str:
        """Return what a technique is called inside a sentence."""
        return self.names[self.techniques.index(technique)]

    def of(self, techniques: Iterable[str]) -> "PerformanceTable":
        """Return the table of some of its techniques, in the order of this table."""
        kept = set(techniques)
        places = [place for place, key in enumerate(self.techniques) if key in kept]
        return replace(
            self,
            techniques=tuple(self.techniques[place] for place in places),
            names=tuple(self.names[place] for place in places),
            performances={cell: one for cell, one in self.performances.items() if cell[0] in kept},
            value_share=self.value_share[:, places, :],
        )


def table_of(
    names: Mapping[str, str],
    criteria: Criteria,
    performances: Performances,
    *,
    draws: int,
    rng: np.random.Generator,
) -> PerformanceTable:
    """Draw a table from what is known of each technique and criterion.

    Parameters
    ----------
    names
        What each technique is called inside a sentence, by its key, in the order of the table.
    criteria
        Every criterion; those of which no technique has a performance are left out.
    performances
        What each technique gives; one for every technique and criterion that is used.
    draws
        Number of draws; that of the numeric draws that are handed in. [-]
    rng
        Source of chance for judgements and for what is not known.

    Raises
    ------
    PlanError
        If a technique lacks a performance that another has, or draws differ in number.
    """
    used = {key for _, key in performances}
    kept = tuple(criteria[key] for key in criteria if key in used)
    cells = [(technique, one.key) for technique in names for one in kept]
    missing = sorted(
        f"{technique} {key.value}" for technique, key in set(cells) - set(performances)
    )
    if missing:
        raise PlanError(
            f"nothing was given of {', '.join(missing[:6])}; allowed is a performance for every "
            "technique and criterion; give Unknown where nothing is known"
        )
    values = np.empty((draws, len(names), len(kept)), dtype=np.float32)
    chances: dict[str, NDArray[np.float64]] = {}
    for row, technique in enumerate(names):
        for column, criterion in enumerate(kept):
            given = performances[technique, criterion.key]
            chance = _chance(given, criterion.key, chances, draws, rng)
            values[:, row, column] = shares_of(given, criterion, chance)
    return PerformanceTable(
        techniques=tuple(names),
        names=tuple(names.values()),
        criteria=kept,
        performances={cell: performances[cell] for cell in cells},
        value_share=values,
    )


def _chance(
    given: Performance,
    key: CriterionKey,
    chances: dict[str, NDArray[np.float64]],
    draws: int,
    rng: np.random.Generator,
) -> NDArray[np.float64]:
    """Return the chances of a cell: its own, or those of all that hang together with it."""
    is_sure = isinstance(given, Drawn) or (
        isinstance(given, JudgedGrade) and given.half_width_share == 0
    )
    if is_sure:
        return np.zeros(draws)
    if not given.shared:
        return rng.random(draws)
    return chances.setdefault(f"{key.value}|{given.shared}", rng.random(draws))
