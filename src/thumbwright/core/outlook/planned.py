"""What is planned with a technique before anything happens: stages, hours, days, weeks, visits."""

from dataclasses import dataclass

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.outlook.consequences import Consequences
from thumbwright.core.outlook.spread import Numbers, Spread
from thumbwright.core.techniques.technique import Span, Technique


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """The planned course of one technique, all stages together."""

    operations: int
    hours: Spread | Unknown
    """In theatre. [h]"""
    days: Spread
    """In hospital. [days]"""
    weeks: Spread | Unknown
    """From the first operation to light use. [weeks]"""
    visits: Spread
    """Of therapy and review. [-]"""

    def draws(self, name: str, rng: np.random.Generator, count: int) -> Numbers:
        """Return draws of one burden by its name; what is unknown is nought, and named."""
        if name == "operations":
            return np.full(count, float(self.operations))
        spread: Spread | Unknown = getattr(self, name)
        return np.zeros(count) if isinstance(spread, Unknown) else spread.draws(rng, count)

    def mean(self, name: str) -> float:
        """Return the mean of one burden by its name."""
        if name == "operations":
            return float(self.operations)
        spread: Spread | Unknown = getattr(self, name)
        return 0.0 if isinstance(spread, Unknown) else spread.mean

    @property
    def not_counted(self) -> tuple[str, ...]:
        """Return which burdens are not known, in words."""
        names = {"hours": "planned time in theatre", "weeks": "planned weeks to light use"}
        return tuple(
            words for name, words in names.items() if isinstance(getattr(self, name), Unknown)
        )


def planned_course(technique: Technique, consequences: Consequences) -> Planned:
    """Return what is planned with a technique."""
    stay = consequences.stays[technique.family]
    return Planned(
        operations=technique.stages if technique.is_operation else 0,
        hours=_spread(technique.hours),
        days=stay.days,
        weeks=_spread(technique.weeks),
        visits=stay.visits,
    )


def _spread(span: Span | Unknown) -> Spread | Unknown:
    if isinstance(span, Unknown):
        return span
    return Spread(low=span.low, high=span.high, unit=span.unit, statement=span.statement)
