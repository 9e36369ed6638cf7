"""Trees with sure probabilities, and the packaged table of consequences."""

from collections.abc import Mapping
from importlib.resources import files

import numpy as np

from thumbwright.core.foundations.sources import (
    Basis,
    Provenance,
    Source,
    Statement,
    read_bibliography,
)
from thumbwright.core.outlook.consequences import Consequences, Event, read_consequences
from thumbwright.core.outlook.course import Probabilities
from thumbwright.core.outlook.planned import Planned
from thumbwright.core.outlook.spread import Spread

CORE = files("thumbwright") / "core"
TABLE = (CORE / "outlook" / "consequences.toml").read_text("utf-8")
BIBLIOGRAPHY: Mapping[str, Source] = read_bibliography(
    (CORE / "foundations" / "bibliography.toml").read_text("utf-8")
)
CONSEQUENCES: Consequences = read_consequences(TABLE, BIBLIOGRAPHY)
DRAWS = 60_000


def spread(low: float, high: float, unit: str) -> Spread:
    basis = Basis(provenance=Provenance.ASSUMED)
    return Spread(low=low, high=high, unit=unit, statement=Statement(text="for tests", basis=basis))


def planned_course_of_two_stages() -> Planned:
    return Planned(
        operations=2,
        hours=spread(4, 9, "h"),
        days=spread(5, 12, "days"),
        weeks=spread(8, 14, "weeks"),
        visits=spread(10, 30, "-"),
    )


LATER = Planned(
    operations=3,
    hours=spread(3, 6, "h"),
    days=spread(10, 20, "days"),
    weeks=spread(12, 30, "weeks"),
    visits=spread(15, 30, "-"),
)


def sure(
    loss: float, trouble: float, events: Mapping[Event, float], goes_on: float
) -> Probabilities:
    """Probabilities without doubt, for many patients."""
    return Probabilities(
        loss=np.full(DRAWS, loss),
        loss_if_late=np.full(DRAWS, trouble),
        reexploration=np.full(DRAWS, trouble),
        events={event: np.full(DRAWS, prob) for event, prob in events.items()},
        goes_on=np.full(DRAWS, goes_on),
    )
