"""The groups of each published classification of thumb loss, and what places a loss in them."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Finding, Quality
from thumbwright.core.case.hand import FingerState, StumpSkin
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.level.levels import Level

Placed = tuple[str | Unknown, str]
"""The group, and what it means or why the scheme does not apply."""
ADULT_FROM_YEARS = 18.0
USEFUL_PHALANX = Published(
    value=20.0,
    unit="mm",
    basis=Basis(provenance=Provenance.READ, source="thumb-rehabilitation-chapter", locator="text"),
)
"""Least useful length of proximal phalanx."""
AT_MCP_MM = 3.0
"""A stump that ends this little short of the MCP joint is not called through the metacarpal [mm];
assumed."""
NOT_FOR_THIS = "does not apply"


@dataclass(frozen=True, slots=True, kw_only=True)
class LossFacts:
    """What the schemes need to know."""

    case: Case
    age_years: float
    level: Level
    stump_phalanx_mm: Measured | Unknown
    """What is left of the proximal phalanx. [mm]"""
    beyond_mcp_mm: Measured | Unknown
    """How far the stump ends beyond the MCP joint of the pattern thumb. [mm]"""


class Part(Enum):
    """What a loss goes through; finer than the level about the MCP joint."""

    TERMINAL = "terminal phalanx or IP joint"
    PHALANX = "proximal phalanx"
    MCP = "MCP joint"
    METACARPAL = "metacarpal"
    CMC = "CMC joint"


def _part(facts: LossFacts) -> Part:
    """Return what the loss goes through; level 3 reaches from phalanx to metacarpal."""
    if facts.level is not Level.MCP_JOINT:
        return {
            Level.TERMINAL_PHALANX: Part.TERMINAL,
            Level.PROXIMAL_PHALANX: Part.PHALANX,
            Level.METACARPAL: Part.METACARPAL,
            Level.CMC_JOINT: Part.CMC,
        }[facts.level]
    if facts.case.kept.mcp.present is Finding.YES:
        return Part.PHALANX
    beyond = facts.beyond_mcp_mm
    short = isinstance(beyond, Measured) and beyond.value < -AT_MCP_MM
    return Part.METACARPAL if short else Part.MCP


def _thirds(facts: LossFacts) -> Placed:
    part = _part(facts)
    if part is Part.METACARPAL and facts.level is Level.MCP_JOINT:
        return (
            "middle or proximal third",
            "the border is the neck of the metacarpal, which was not marked",
        )
    return {
        Part.TERMINAL: ("distal third", "beyond the IP joint"),
        Part.PHALANX: ("middle third", "IP joint to metacarpal neck"),
        Part.MCP: ("middle third", "IP joint to metacarpal neck"),
        Part.METACARPAL: ("proximal third", "metacarpal to CMC joint"),
        Part.CMC: ("proximal third", "metacarpal to CMC joint"),
    }[part]


def _compensated(facts: LossFacts) -> Placed:
    if facts.level is Level.TERMINAL_PHALANX:
        return "compensated", "loss beyond the IP joint, with little loss of function"
    return "not compensated", "the loss reaches the IP joint or more"


def _long_enough(facts: LossFacts) -> bool | Unknown:
    """Tell whether the stump is of useful length; unknown if its doubt reaches over the border."""
    if facts.level is Level.TERMINAL_PHALANX:
        return True
    left, least = facts.stump_phalanx_mm, USEFUL_PHALANX.value
    if isinstance(left, Unknown):
        return left
    within = left.interval()
    if within.low < least <= within.high:
        return Unknown(
            reason=f"{within.low:.1f} to {within.high:.1f} mm of the proximal phalanx are left, "
            f"and {least:.0f} mm are the border",
            needed=("the phalanx of the stump measured on the bone",),
        )
    return left.value >= least


def _four_groups(facts: LossFacts) -> Placed:
    part = _part(facts)
    if part is Part.CMC:
        return "4", "at or near the CMC joint"
    if part is Part.METACARPAL:
        return _through_the_metacarpal(facts.case.kept.thenar_function)
    if part is Part.MCP:
        return "2", "through the MCP joint, stump too short"
    enough = _long_enough(facts)
    if isinstance(enough, Unknown):
        return enough, "groups 1 and 2 differ by the length of the stump"
    if enough:
        return "1", "beyond the MCP joint with a stump long enough"
    return "2", "beyond the MCP joint, stump too short"


def _through_the_metacarpal(thenar: Quality) -> Placed:
    if thenar is Quality.NOT_EXAMINED:
        return Unknown(
            reason="thenar function was not examined", needed=("thenar function",)
        ), "through the metacarpal"
    if thenar is Quality.ABSENT:
        return "4", "through the metacarpal, no thenar muscle left"
    return "3", "through the metacarpal, some thenar muscle kept"


def _four_stages(facts: LossFacts) -> Placed:
    part = _part(facts)
    if part is Part.CMC:
        return "IV", "total loss, basal joint lost"
    if part in {Part.METACARPAL, Part.MCP}:
        return "III", "total loss, basal joint kept"
    enough = _long_enough(facts)
    if isinstance(enough, Unknown):
        return enough, "stages I and II differ by length and cover"
    if not enough:
        return "II", "subtotal loss, length doubtful"
    return _length_acceptable(facts.case.kept.stump_skin)


def _length_acceptable(skin: StumpSkin) -> Placed:
    if skin is StumpSkin.NOT_EXAMINED:
        return Unknown(
            reason="the skin of the stump was not examined", needed=("skin of the stump",)
        ), "length acceptable; stage I asks for poor cover"
    if skin is StumpSkin.SOUND:
        return NOT_FOR_THIS, "length acceptable and cover sound; stage I asks for poor cover"
    return "I", "length acceptable, cover poor"


def _six_degrees(facts: LossFacts) -> Placed:
    return {
        Part.TERMINAL: ("1 to 2", "terminal phalanx to IP joint"),
        Part.PHALANX: ("3", "proximal phalanx"),
        Part.MCP: ("4", "MCP joint"),
        Part.METACARPAL: ("5", "metacarpal"),
        Part.CMC: ("6", "CMC joint"),
    }[_part(facts)]


def _children(facts: LossFacts) -> Placed:
    if facts.age_years >= ADULT_FROM_YEARS:
        return NOT_FOR_THIS, "the scheme is for children"
    fingers = facts.case.fingers
    states = (fingers.index, fingers.middle, fingers.ring, fingers.little)
    if FingerState.NOT_EXAMINED in states:
        return Unknown(
            reason="not every finger was examined", needed=("index to little finger",)
        ), "counts the fingers lost with the thumb"
    lost = sum(state in {FingerState.LOST, FingerState.PARTLY_LOST} for state in states)
    words = "thumb alone" if lost == 0 else f"thumb and {lost} of the fingers"
    return f"R{1 + lost}", words


_MEMORY = Provenance.RECALLED
SCHEMES: tuple[tuple[str, Basis, Callable[[LossFacts], Placed]], ...] = (
    (
        "thirds of the thumb",
        Basis(
            provenance=_MEMORY,
            source="thumb-rehabilitation-chapter",
            locator="use of the thirds read, not their borders",
        ),
        _thirds,
    ),
    (
        "compensated amputation",
        Basis(
            provenance=Provenance.READ,
            source="thumb-treatment-overview",
            locator="section on level of loss",
        ),
        _compensated,
    ),
    ("Campbell-Reid 1 to 4", Basis(provenance=_MEMORY, locator="groups"), _four_groups),
    ("Lister I to IV", Basis(provenance=_MEMORY, locator="stages"), _four_stages),
    (
        "Chinese degrees 1 to 6",
        Basis(
            provenance=_MEMORY,
            source="wang-1997",
            locator="use of the degrees read, not their borders",
        ),
        _six_degrees,
    ),
    (
        "Jones R1 to R5 (children)",
        Basis(
            provenance=_MEMORY,
            source="toe-to-thumb-children-abstract",
            locator="R1 and R2 to R5 together read, not their split",
        ),
        _children,
    ),
)
