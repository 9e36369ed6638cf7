"""What other rooms foretell of each technique, as amounts that can be weighed."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

import numpy as np

from thumbwright.core.comparison.criteria_data import Criteria
from thumbwright.core.comparison.criterion import CriterionKey, ValueFunction
from thumbwright.core.comparison.performance import Drawn, Performance
from thumbwright.core.comparison.performance_table import Cell, Performances
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.growth.forecast import Band
from thumbwright.core.outlook.foresee import Outlook
from thumbwright.core.outlook.prices import Cost
from thumbwright.core.reach.results import Reach
from thumbwright.core.reach.skeleton import Hinge
from thumbwright.core.techniques.growth_outlook import GrowthOutlook, ThumbForecast

_Z95 = 1.959963984540054
_DAYS_IN_A_WEEK = 7.0
_COMPUTED = Basis(provenance=Provenance.ASSUMED, locator="computed for this case")
_JOINTS = {CriterionKey.CMC_MOTION: 1, CriterionKey.MCP_MOTION: 2, CriterionKey.IP_MOTION: 3}
"""The place of each joint's main motion in the list of hinges."""


def foreseen_amounts(
    growth: Iterable[GrowthOutlook],
    reaches: Iterable[Reach],
    outlooks: Iterable[Outlook],
    *,
    draws: int,
    rng: np.random.Generator,
) -> Performances:
    """Turn forecasts into amounts to weigh.

    Parameters
    ----------
    growth, reaches, outlooks
        Of the techniques that are not closed.
    draws
        Number of draws of each amount. [-]
    rng
        Source of chance.

    Notes
    -----
    The length that counts is how far the thumb ends from the other one, too short or too long,
    when both are grown; its draws are normal through the band. The motion of a joint is the range
    between its ends. Loss, operations, days and cost are those of the tree, draw by draw.
    """
    found: dict[Cell, Performance] = {}
    for outlook in growth:
        if isinstance(outlook.forecast, ThumbForecast) and not outlook.is_worn:
            found[outlook.key, CriterionKey.LENGTH] = _length(outlook.forecast.grown, draws, rng)
    for reach in reaches:
        found |= {(reach.key, key): one for key, one in _motions(reach, draws, rng)}
    for ahead in outlooks:
        found |= {(ahead.technique, key): one for key, one in _burdens(ahead, draws)}
    return found


def with_scale_of_cost(criteria: Criteria, outlooks: Iterable[Outlook]) -> Criteria:
    """Return the criteria with the scale of cost from nought to the dearest course of this case.

    Notes
    -----
    A currency is the unit's own, so no scale of money can be packaged; who weighs cost is asked
    about the swing between nought and the dearest course here.
    """
    priced = [one for one in outlooks if "cost" in one.samples]
    if not priced:
        return criteria
    dearest = max(float(np.quantile(one.samples["cost"], 0.9)) for one in priced)
    currency = next(one.cost.currency for one in priced if isinstance(one.cost, Cost))
    words = f"All that is paid for the treatment, in {currency}; each unit of money counts alike."
    function = ValueFunction(points=((0.0, 1.0), (max(dearest, 1.0), 0.0)), words=words)
    scaled = replace(criteria[CriterionKey.COST], unit=currency, value=function)
    return {**criteria, CriterionKey.COST: scaled}


def _length(band: Band, draws: int, rng: np.random.Generator) -> Drawn:
    spread = (band.high_95_mm - band.low_95_mm) / (2 * _Z95)
    apart = np.abs(band.median_mm + spread * rng.standard_normal(draws))
    return Drawn(draws=apart, basis=_COMPUTED)


def _motions(
    reach: Reach, draws: int, rng: np.random.Generator
) -> Iterator[tuple[CriterionKey, Performance]]:
    for key, place in _JOINTS.items():
        hinge: Hinge = reach.thumb.hinges[place]
        low = hinge.low_deg + hinge.low_doubt_deg * rng.standard_normal(draws)
        high = hinge.high_deg + hinge.high_doubt_deg * rng.standard_normal(draws)
        yield (
            key,
            Drawn(
                draws=np.clip(high - low, 0.0, None),
                basis=hinge.statement.basis,
                shared=f"{key.value}: {hinge.statement.text}",
            ),
        )


def _burdens(ahead: Outlook, draws: int) -> Iterator[tuple[CriterionKey, Performance]]:
    named = {
        "loss": (CriterionKey.LOSS_RISK, 1.0),
        "operations": (CriterionKey.BURDEN_OPERATIONS, 1.0),
        "weeks": (CriterionKey.BURDEN_DAYS, _DAYS_IN_A_WEEK),
        "cost": (CriterionKey.COST, 1.0),
    }
    for name, (key, factor) in named.items():
        if name in ahead.samples:
            sample = np.resize(ahead.samples[name], draws)
            yield key, Drawn(draws=factor * sample, basis=_COMPUTED)
