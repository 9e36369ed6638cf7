"""Where one level of loss ends and the next begins, along a whole thumb."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term, difference, scaled, total
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.level.levels import Level
from thumbwright.core.radiograph.transposition import JointHeight

BORDER_DOUBT = Published(
    value=2.0,
    unit="mm",
    basis=Basis(
        provenance=Provenance.ASSUMED, locator="how exactly two surgeons would draw the border"
    ),
)
MIDDLE = 0.5
"""Where along the bone the borders of levels 2 and 3, and of 3 and 4, are drawn [-]; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Border:
    """The line between two levels, from the bony tip of a whole thumb."""

    beyond: Level
    """The level of a loss that ends farther out than this line."""
    from_tip: Measured
    """[mm]"""
    words: str


def borders(joints: Sequence[JointHeight]) -> tuple[Border, ...] | Unknown:
    """Draw the four borders on the pattern thumb.

    Parameters
    ----------
    joints
        CMC, MCP and IP joint of the pattern thumb, from its bony tip.

    Notes
    -----
    The five levels are the trade's (common practice, no source) and have no borders in
    millimetres. Here: the IP joint between 1 and 2, the middle of the proximal phalanx
    between 2 and 3, the middle of the metacarpal between 3 and 4, the CMC joint between 4 and
    5. The two middles carry a doubt of judgement of their own.
    """
    known: Mapping[str, Measured] = {
        joint.name: joint.from_tip for joint in joints if isinstance(joint.from_tip, Measured)
    }
    missing = [name for name in ("CMC joint", "MCP joint", "IP joint") if name not in known]
    if missing:
        return Unknown(
            reason=f"no pattern thumb was marked at its {', '.join(missing)}",
            needed=("the joints of a whole thumb, marked on its film as a pattern",),
        )
    cmc, mcp, ip = known["CMC joint"], known["MCP joint"], known["IP joint"]
    return (
        Border(beyond=Level.TERMINAL_PHALANX, from_tip=ip, words="the IP joint"),
        Border(
            beyond=Level.PROXIMAL_PHALANX,
            from_tip=_between(ip, mcp, "2 and 3"),
            words="the middle of the proximal phalanx",
        ),
        Border(
            beyond=Level.MCP_JOINT,
            from_tip=_between(mcp, cmc, "3 and 4"),
            words="the middle of the metacarpal",
        ),
        Border(beyond=Level.METACARPAL, from_tip=cmc, words="the CMC joint"),
    )


def _between(far: Measured, near: Measured, levels: str) -> Measured:
    place = total(
        (scaled(far, 1 - MIDDLE), scaled(near, MIDDLE)), origin=f"border of levels {levels}"
    )
    judgement = Term(
        input=Input(
            key=f"border {levels}",
            name=f"where the border of levels {levels} is drawn",
            standard_uncertainty=BORDER_DOUBT.value,
            unit="mm",
            basis=BORDER_DOUBT.basis.locator,
        ),
        sensitivity=1.0,
    )
    return Measured(
        value=place.value,
        unit=place.unit,
        origin=place.origin,
        terms=(*place.terms, judgement),
    )


def margin(border: Border, missing: Measured) -> Measured:
    """Return how much farther the border lies from the tip than the end of the stump [mm]."""
    return difference(border.from_tip, missing, origin=f"distance to {border.words}")
