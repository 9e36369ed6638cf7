"""Published ranges of joints, the frame of the trapezium, and where the range lies in it."""

from collections.abc import Mapping

from thumbwright.core.foundations.sources import Basis, Provenance, Published, Statement
from thumbwright.core.reach.proportions import (
    METACARPAL_HAND_MM,
    SKIN_BEYOND_THUMB,
    THUMB_SHARES,
)
from thumbwright.core.reach.skeleton import Digit, Hinge

_COONEY = Basis(provenance=Provenance.READ, source="cooney-1981", locator="abstract")
_CHANG = Basis(provenance=Provenance.READ, source="chang-pollard-2008", locator="abstract")
_TEXTBOOK = Basis(provenance=Provenance.READ, source="hand-range-table", locator="table of joints")
_SPREAD = Basis(provenance=Provenance.READ, source="chatzioglou-2024", locator="table of angles")
_ASSUMED = Basis(provenance=Provenance.ASSUMED)


def _angle(value: float, basis: Basis, uncertainty: float | None = None) -> Published:
    return Published(value=value, uncertainty=uncertainty, unit="deg", basis=basis)


TRAPEZIUM_FLEXION = _angle(48.0, _COONEY)
TRAPEZIUM_ABDUCTION = _angle(38.0, _COONEY)
TRAPEZIUM_PRONATION = _angle(80.0, _COONEY)
"""Medians of 10 cadavers, to the third metacarpal."""
AXIS_SCATTER = Published(
    value=7.2,
    unit="deg",
    basis=Basis(
        provenance=Provenance.DERIVED,
        source="chang-pollard-2008",
        locator="abstract: flexion axes lie 9 degrees from their mean",
    ),
)
"""Of each angle of the frame between people: 9 over the square root of pi / 2 (two directions)."""
AXES_APART = Published(value=4.6, unit="mm", basis=_CHANG)
"""The abduction axis lies so far towards the tip from the flexion axis."""
AXES_SKEW = _angle(87.0, _CHANG)
CMC_FLEXION_TOTAL = _angle(76.0, _CHANG)
CMC_ABDUCTION_TOTAL = _angle(43.0, _CHANG)
CMC_ROTATION_TOTAL = _angle(23.0, _CHANG)
"""Turn of the metacarpal about itself; held at the middle, since no posture of it was read."""
ABDUCTION_BEYOND_FRAME = _angle(3.0, _ASSUMED)
"""How much of the abduction lies beyond the printed frame of the trapezium; the rest before it.
So chosen that an adducted thumb comes to lie beside the index."""
FLEXION_BEYOND_FRAME = _angle(46.0, _ASSUMED)
"""The same of flexion. So chosen that abduction in the plane of the palm ends at 60 degrees."""
RANGE_DOUBT = _angle(6.0, _ASSUMED)
"""Standard deviation of one end of a range between people, where print gives none."""
TEXTBOOK_ABDUCTION = _angle(45.0, _TEXTBOOK)
"""Palmar abduction from the thumb beside the index."""
ADULT_THUMB_MM = 102.5
"""CMC joint to bony tip: three mean bones and two joint spaces of adults [mm]."""
MCP_FLEXION = _angle(
    59.1,
    Basis(provenance=Provenance.READ, source="thumb-mcp-300", locator="abstract"),
    12.8,
)
"""Mean of 300 thumbs, 16 to 90; the spread is that range over 5.8 (300 normal draws)."""
MCP_EXTENSION = _angle(
    -7.9,
    Basis(provenance=Provenance.READ, source="thumb-mcp-300", locator="abstract"),
    15.5,
)
IP_RANGE = (_angle(-15.0, _TEXTBOOK), _angle(80.0, _TEXTBOOK))
WEB = _angle(53.4, _SPREAD, 6.5)
"""Greatest angle between thumb and index, 51 people."""
FINGER_SPREADS: Mapping[tuple[Digit, Digit], Published] = {
    (Digit.INDEX, Digit.MIDDLE): _angle(17.2, _SPREAD, 2.6),
    (Digit.MIDDLE, Digit.RING): _angle(14.3, _SPREAD, 2.3),
    (Digit.RING, Digit.LITTLE): _angle(32.1, _SPREAD, 7.0),
}
SHARE_OF_SPREAD = Published(value=0.5, unit="-", basis=_ASSUMED)
"""The planes in which fingers bend are spread by this share of the greatest spread."""
FINGER_MCP = (_angle(0.0, _TEXTBOOK), _angle(90.0, _TEXTBOOK))
FINGER_PIP = (_angle(0.0, _TEXTBOOK), _angle(100.0, _TEXTBOOK))
DIP_OVER_PIP = Published(
    value=2 / 3,
    unit="-",
    basis=Basis(provenance=Provenance.RECALLED, locator="used in many models of the hand"),
)
METACARPAL_BEND: Mapping[Digit, Published] = {
    Digit.RING: _angle(
        20.0, Basis(provenance=Provenance.READ, source="el-shennawy-2001", locator="abstract")
    ),
    Digit.LITTLE: _angle(
        27.0, Basis(provenance=Provenance.READ, source="el-shennawy-2001", locator="abstract")
    ),
}
STIFF_FINGER = (_angle(30.0, _ASSUMED), _angle(40.0, _ASSUMED))
"""MCP and PIP of a finger that is called stiff."""
IP_FUSED = _angle(
    20.0, Basis(provenance=Provenance.READ, source="ip-fusion-2016", locator="abstract: 15 to 30")
)
MCP_FUSED = _angle(
    15.0, Basis(provenance=Provenance.RECALLED, locator="custom: 10 to 20 degrees of flexion")
)
CMC_STIFF_FLEXION = _angle(25.0, _ASSUMED)
CMC_STIFF_ABDUCTION = _angle(-18.0, _ASSUMED)
"""A CMC joint that is stiff is taken to stand in mid-opposition, as one would set it."""


def cmc_flexion() -> Hinge:
    """Return the normal hinge of CMC flexion."""
    high = FLEXION_BEYOND_FRAME.value
    return Hinge(
        low_deg=high - CMC_FLEXION_TOTAL.value,
        high_deg=high,
        low_doubt_deg=RANGE_DOUBT.value,
        high_doubt_deg=RANGE_DOUBT.value,
        statement=Statement(text="CMC flexion moves through 76° in 24 thumbs.", basis=_CHANG),
    )


def cmc_abduction() -> Hinge:
    """Return the normal hinge of CMC abduction."""
    high = ABDUCTION_BEYOND_FRAME.value
    return Hinge(
        low_deg=high - CMC_ABDUCTION_TOTAL.value,
        high_deg=high,
        low_doubt_deg=RANGE_DOUBT.value,
        high_doubt_deg=RANGE_DOUBT.value,
        statement=Statement(text="CMC abduction moves through 43° in 24 thumbs.", basis=_CHANG),
    )


def cmc_rotation() -> Hinge:
    """Return the turn that the CMC joint allows about the metacarpal, pronation positive."""
    return Hinge(
        low_deg=0.0,
        high_deg=CMC_ROTATION_TOTAL.value,
        statement=Statement(text="The metacarpal turns by 23° in 24 thumbs.", basis=_CHANG),
    )


def mcp_flexion() -> Hinge:
    """Return the normal hinge of the MCP joint."""
    return Hinge(
        low_deg=MCP_EXTENSION.value,
        high_deg=MCP_FLEXION.value,
        low_doubt_deg=MCP_EXTENSION.uncertainty or 0.0,
        high_doubt_deg=MCP_FLEXION.uncertainty or 0.0,
        statement=Statement(
            text="The MCP joint moves from −8° to 59° in 300 thumbs.", basis=MCP_FLEXION.basis
        ),
    )


def ip_flexion() -> Hinge:
    """Return the normal hinge of the IP joint."""
    low, high = IP_RANGE
    return Hinge(
        low_deg=low.value,
        high_deg=high.value,
        low_doubt_deg=RANGE_DOUBT.value,
        high_doubt_deg=RANGE_DOUBT.value,
        statement=Statement(text="The IP joint moves from −15° to 80°.", basis=_TEXTBOOK),
    )


NORMAL_WEB = Statement(
    text="The web between thumb and index opens to 53° (SD 6.5) in 51 people.", basis=_SPREAD
)


def normal_hinges() -> tuple[Hinge, Hinge, Hinge, Hinge, Hinge]:
    """Return the hinges of a normal thumb, in their order."""
    return cmc_flexion(), cmc_abduction(), mcp_flexion(), ip_flexion(), cmc_rotation()


def skin_beyond(thumb_mm: float) -> float:
    """Return the skin beyond the bone of a thumb, which grows with it [mm].

    Parameters
    ----------
    thumb_mm
        CMC joint to bony tip of the whole thumb. [mm]
    """
    bones = sum(share.value for share in THUMB_SHARES.values()) * METACARPAL_HAND_MM
    return SKIN_BEYOND_THUMB.value * thumb_mm / (bones - SKIN_BEYOND_THUMB.value)


def fixed(at: Published, words: str) -> Hinge:
    """Return a hinge that does not move."""
    return Hinge(
        low_deg=at.value,
        high_deg=at.value,
        statement=Statement(text=words, basis=at.basis),
    )
