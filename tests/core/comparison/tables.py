"""Small tables of values for tests, with plain criteria from 0 to 1."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

import thumbwright.core.comparison.criterion as criterion_module
from thumbwright.core.comparison.criteria_data import read_criteria
from thumbwright.core.comparison.criterion import (
    Criterion,
    CriterionKey,
    Direction,
    ValueFunction,
)
from thumbwright.core.comparison.performance_table import PerformanceTable
from thumbwright.core.foundations.sources import Basis, Provenance

CRITERIA_TEXT = (Path(criterion_module.__file__).parent / "criteria.toml").read_text("utf-8")
CRITERIA = read_criteria(CRITERIA_TEXT)
KEYS = tuple(CriterionKey)
ASSUMED = Basis(provenance=Provenance.ASSUMED)


def plain(key: CriterionKey) -> Criterion:
    """Return a criterion whose amounts are its values."""
    return Criterion(
        key=key,
        name=key.value,
        plain_name=key.value,
        unit="-",
        direction=Direction.MORE_IS_BETTER,
        value=ValueFunction(points=((0.0, 0.0), (1.0, 1.0)), words="So."),
        basis=ASSUMED,
    )


def table(values: ArrayLike, names: Sequence[str] = ()) -> PerformanceTable:
    """Return a table from values by draw, technique and criterion, or of one draw."""
    array = np.array(values, dtype=np.float32)
    cube = array if array.ndim == 3 else array[np.newaxis]
    labels = tuple(names) or tuple("ABCDEFGHIJKLMNOP"[: cube.shape[1]])
    return PerformanceTable(
        techniques=labels,
        names=labels,
        criteria=tuple(plain(key) for key in KEYS[: cube.shape[2]]),
        performances={},
        value_share=cube,
    )
