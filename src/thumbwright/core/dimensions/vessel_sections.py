"""Vessels as a section: reach of artery and vein, calibre, what the dominant artery means."""

from thumbwright.core.case.examined import Side
from thumbwright.core.dimensions.parts import PlanParts
from thumbwright.core.dimensions.sections import Dimension, Section
from thumbwright.core.dimensions.settings import DimensionSettings
from thumbwright.core.dimensions.vessels import (
    Reach,
    artery_reach,
    artery_statements,
    calibre_match,
    pedicle_of,
    vein_reach,
)
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.techniques.technique import Toe


def vessel_section(parts: PlanParts, side: Side, toe: Toe, settings: DimensionSettings) -> Section:
    """Return how likely a vein graft is, and what is known of the arteries."""
    dominant = parts.case.feet.of(side).dominant_artery
    pedicle = pedicle_of(settings.choices.pedicle, dominant)
    artery = artery_reach(
        parts.lengths.stump,
        parts.beyond_cut(side, toe, parts.lengths.missing),
        pedicle,
        parts.ways,
        settings.allowances,
    )
    vein = vein_reach(parts.ways, settings.allowances)
    return Section(
        title="Vessels",
        dimensions=(
            *_reach_dimensions(artery),
            *_reach_dimensions(vein),
            Dimension(
                key="calibre",
                name="artery of the toe over artery of the hand, outer widths",
                value=calibre_match(parts.ways),
            ),
        ),
        statements=artery_statements(dominant),
    )


def _reach_dimensions(reach: Reach) -> tuple[Dimension, ...]:
    chance = reach.graft_prob
    value = (
        chance
        if isinstance(chance, Unknown)
        else Measured(value=chance, unit="-", origin="probability that the vessel is too short")
    )
    name = reach.vessel
    return (
        Dimension(
            key=f"{name}_needed",
            name=f"{name}: length needed",
            value=reach.needed,
            arithmetic=reach.arithmetic,
            bases=reach.bases,
        ),
        Dimension(
            key=f"{name}_available",
            name=f"{name}: length available",
            value=reach.available,
            bases=reach.bases,
        ),
        Dimension(
            key=f"{name}_graft_prob",
            name=f"{name}: probability that a vein graft is needed",
            value=value,
            bases=reach.bases,
        ),
    )
