"""Reads what techniques are weighed by from the text of its data file."""

import tomllib
from collections.abc import Mapping
from typing import Any

from thumbwright.core.comparison.criterion import (
    Criterion,
    CriterionKey,
    Direction,
    ValueFunction,
)
from thumbwright.core.foundations.errors import KnowledgeError, PlanError
from thumbwright.core.foundations.sources import Basis, Provenance

Criteria = Mapping[CriterionKey, Criterion]


def read_criteria(text: str) -> Criteria:
    """Read every criterion, in the order of the list of criteria.

    Parameters
    ----------
    text
        A TOML table for each criterion; the head of ``criteria.toml`` says how it is written.

    Raises
    ------
    KnowledgeError
        If the text is no TOML, a criterion is missing or not known, or a table is at fault.
    """
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise KnowledgeError(
            f"the criteria could not be read ({fault}); allowed is TOML; mend criteria.toml"
        ) from fault
    known = {key.value for key in CriterionKey}
    if set(tables) != known:
        raise KnowledgeError(
            f"the criteria {sorted(set(tables) ^ known)} are missing or not known; allowed is one "
            f"table for each of {sorted(known)}; mend criteria.toml"
        )
    return {key: _criterion(key, tables[key.value]) for key in CriterionKey}


def _criterion(key: CriterionKey, table: Mapping[str, Any]) -> Criterion:
    try:
        points = tuple((float(amount), float(share)) for amount, share in table["points"])
        rises = points[-1][1] > points[0][1]
        return Criterion(
            key=key,
            name=table["name"],
            plain_name=table["plain_name"],
            unit=table["unit"],
            direction=Direction.MORE_IS_BETTER if rises else Direction.LESS_IS_BETTER,
            value=ValueFunction(
                points=points, bend=float(table.get("bend", 0.0)), words=table["words"]
            ),
            basis=_basis(*table["basis"]),
        )
    except (KeyError, IndexError, TypeError, ValueError, PlanError) as fault:
        raise KnowledgeError(
            f"the criterion {key.value} could not be read ({fault}); allowed are name, "
            "plain_name, unit, points, words, basis and bend; mend criteria.toml"
        ) from fault


def _basis(provenance: str, source: str = "", locator: str = "") -> Basis:
    return Basis(provenance=Provenance(provenance), source=source, locator=locator)
