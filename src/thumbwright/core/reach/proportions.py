"""How large a hand is and where its joints stand, from what was measured or by proportion."""

from collections.abc import Mapping

from thumbwright.core.foundations.sources import Basis, Provenance, Published, Statement
from thumbwright.core.reach.skeleton import Digit, HandSize

_BUCHHOLZ = Basis(
    provenance=Provenance.RECALLED,
    source="buchholz-1992",
    locator="tables of coefficients, values from memory",
)


def _share(value: float, uncertainty: float | None = None) -> Published:
    return Published(value=value, uncertainty=uncertainty, unit="-", basis=_BUCHHOLZ)


THUMB_SHARES: Mapping[str, Published] = {
    "metacarpal": _share(0.251),
    "proximal": _share(0.196),
    "distal": _share(0.158),
}
"""Links of the thumb over the length of the hand; the last one reaches to the end of the skin."""
FINGER_SHARES: Mapping[Digit, tuple[Published, Published, Published]] = {
    Digit.INDEX: (_share(0.245), _share(0.143), _share(0.097)),
    Digit.MIDDLE: (_share(0.266), _share(0.170), _share(0.108)),
    Digit.RING: (_share(0.244), _share(0.165), _share(0.107)),
    Digit.LITTLE: (_share(0.204), _share(0.117), _share(0.093)),
}
"""Proximal, middle and distal link over the length of the hand."""
KNUCKLE_PLACES: Mapping[Digit, tuple[Published, Published]] = {
    Digit.INDEX: (_share(0.447), _share(0.251)),
    Digit.MIDDLE: (_share(0.446), _share(0.0)),
    Digit.RING: (_share(0.409), _share(-0.206)),
    Digit.LITTLE: (_share(0.368), _share(-0.402)),
}
"""MCP joint from the wrist crease over hand length; to the thumb's side over hand breadth."""
CMC_PLACE = (_share(0.073), _share(0.196))
"""The same of the thumb's CMC joint."""
BREADTH_OVER_LENGTH = Published(
    value=0.444,
    unit="-",
    basis=Basis(provenance=Provenance.DERIVED, source="ibeachu-2011", locator="means of 300 hands"),
)
"""Mean of 85.8 / 190.2 in men and 76.9 / 176.2 in women."""
FINGER_METACARPALS: Mapping[Digit, Published] = {
    digit: Published(value=value, unit="mm", basis=basis)
    for digit, value, basis in (
        (Digit.RING, 58.0, Basis(provenance=Provenance.READ, source="rothman-metacarpals-2024")),
        (Digit.LITTLE, 52.3, Basis(provenance=Provenance.READ, source="rothman-metacarpals-2024")),
    )
}
"""Adult means; they only say how far a knuckle sinks when the metacarpal bends."""
METACARPAL_HAND_MM = 185.0
"""Length of the adult hand to which the lengths in this file that are not shares belong [mm]."""

_ASSUMED = Basis(provenance=Provenance.ASSUMED)


def _adult(value_mm: float) -> Published:
    return Published(value=value_mm, unit="mm", basis=_ASSUMED)


CMC_DEPTH = _adult(6.0)
"""The CMC joint of the thumb lies in front of the plane of the other metacarpals."""
FINGER_PAD_DEPTH = _adult(6.0)
"""From the axis of a finger to the skin of its pulp."""
FINGER_HALF_WIDTH = _adult(8.0)
"""From the axis of a finger to the skin at its side."""
THUMB_PAD_DEPTH = _adult(7.0)
PALM_DEPTH = _adult(13.0)
"""From the middle of a knuckle to the skin of the palm."""
CREASE_BEFORE_KNUCKLE = _adult(6.0)
"""The distal palmar crease lies nearer the wrist than the knuckle of the little finger."""
TOUCHING = _adult(6.0)
"""Nearer than this counts as touching: about half the breadth of a pulp."""
SKIN_BEYOND_THUMB = Published(
    value=5.67,
    uncertainty=0.61,
    unit="mm",
    basis=Basis(
        provenance=Provenance.RECALLED,
        source="buryanov-kotiuk-2010",
        locator="table of soft tissue, values from memory",
    ),
)
SHARE_DOUBT = Published(value=0.06, unit="-", basis=_ASSUMED)
"""How far the proportions of people differ: relative standard deviation of each length."""
SIDEWAYS_DOUBT = Published(value=0.10, unit="-", basis=_ASSUMED)
"""The same of sideways places, which breadth explains by 30 to 74 % only."""


def hand_by_thumb(thumb_mm: float, doubt_mm: float, words: str) -> HandSize:
    """Return the size of a hand whose whole thumb is known.

    Parameters
    ----------
    thumb_mm, doubt_mm
        CMC joint to bony tip of a whole thumb, and its standard uncertainty. [mm]
    words
        Where that length comes from.

    Notes
    -----
    Hand length = (thumb + skin beyond its bone) / sum of the three shares of [buchholz-1992]_. The
    skin is scaled with the hand: it is 5.67 mm in a hand of 185 mm.

    Examples
    --------
    >>> round(hand_by_thumb(102.5, 0.4, "the other thumb").length_mm)
    178
    """
    shares = sum(share.value for share in THUMB_SHARES.values())
    length_mm = thumb_mm / (shares - SKIN_BEYOND_THUMB.value / METACARPAL_HAND_MM)
    spread = SHARE_DOUBT.value / 3**0.5
    return HandSize(
        length_mm=length_mm,
        length_doubt_mm=length_mm * ((doubt_mm / thumb_mm) ** 2 + spread**2) ** 0.5,
        statement=Statement(
            text=f"The hand is taken as {length_mm:.0f} mm long, by proportion to {words}.",
            basis=_BUCHHOLZ,
        ),
    )


def scale_of(hand_mm: float) -> float:
    """Return how large a hand is against the adult one [-]."""
    return hand_mm / METACARPAL_HAND_MM
