"""What is left without skin: how large a graft is cut for it, and whether it can be closed."""

from dataclasses import dataclass
from enum import Enum

from thumbwright.core.dimensions.flat_patterns import FlatPattern, area_mm2, side_factor
from thumbwright.core.dimensions.settings import Allowances, Setting
from thumbwright.core.foundations.measured import Measured, difference
from thumbwright.core.foundations.sources import Basis

UNDECIDED_PROB = 0.05
"""Less sure than this on either side, a width is neither closed nor open (working assumption)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RawArea:
    """A place without skin, and the graft for it."""

    name: str
    raw: Measured
    """[mm2]"""
    graft: Measured
    """Skin to cut, which draws together at once. [mm2]"""
    side_ratio: float
    """Each side of the graft over that of the raw area."""
    later: Measured
    """Of the graft after months. [mm2]"""


class Closing(Enum):
    """Whether a donor site can be closed."""

    CLOSES = "is narrow enough to be closed"
    NEEDS_GRAFT = "is too wide to be closed; a graft is needed"
    DOUBTFUL = "is so near the limit that the pinch of skin decides"


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure:
    """Whether the edges of a donor site come together."""

    name: str
    width: Measured
    """[mm]"""
    limit: Setting
    closing: Closing

    @property
    def words(self) -> str:
        """Return the answer as it is printed."""
        return (
            f"The {self.name} of {self.width.value:.1f} mm {self.closing.value}; the limit is "
            f"{self.limit.value:.0f} mm ({self.limit.origin})."
        )

    @property
    def bases(self) -> tuple[Basis, ...]:
        """Return what the limit rests on."""
        return self.limit.bases


def raw_area(pattern: FlatPattern, name: str, allowances: Allowances) -> RawArea:
    """Return the area under a pattern and the full-thickness graft that covers it.

    Notes
    -----
    Skin to cut = area / (1 - early loss); what is left of it after months = area x (1 - late
    loss), if it was sewn in under its natural tension.
    """
    area = area_mm2(pattern.outline)
    early = allowances.graft_early.value
    return RawArea(
        name=name,
        raw=Measured(value=area, unit="mm2", origin="area of the pattern"),
        graft=Measured(value=area / (1 - early), unit="mm2", origin="skin to cut"),
        side_ratio=side_factor(early),
        later=Measured(
            value=area * (1 - allowances.graft_late.value), unit="mm2", origin="after months"
        ),
    )


def closure(name: str, width: Measured, limit: Setting) -> Closure:
    """Compare the width of a donor site with what can be closed there."""
    room = difference(limit.measured(f"closure of the {name}"), width, origin="limit less width")
    within = room.interval(1 - 2 * UNDECIDED_PROB)
    closing = Closing.CLOSES if room.value >= 0 else Closing.NEEDS_GRAFT
    if within.low < 0 < within.high:
        closing = Closing.DOUBTFUL
    return Closure(name=name, width=width, limit=limit, closing=closing)
