"""Published classifications of thumb loss, as far as the case can be placed in them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Quality
from thumbwright.core.case.hand import FingerState, StumpSkin
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.level.levels import Level
from thumbwright.core.radiograph.measurement import NamedLength

ADULT_FROM_YEARS = 18.0
USEFUL_PHALANX_MM = 20.0
"""Least useful length of proximal phalanx [mm]: [thumb-rehabilitation-chapter]_."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SchemeFinding:
    """Where a case stands in one published scheme."""

    scheme: str
    group: str | Unknown
    words: str
    """What the group means, or why the scheme does not apply."""
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class LossFacts:
    """What the schemes need to know."""

    case: Case
    age_years: float
    level: Level
    stump_phalanx_mm: Measured | Unknown
    """What is left of the proximal phalanx. [mm]"""


def in_published_schemes(
    case: Case,
    age_years: float,
    level: Level | Unknown,
    stump_phalanx_mm: Measured | Unknown,
) -> tuple[SchemeFinding, ...]:
    """Place a case in each published scheme.

    Parameters
    ----------
    case, age_years
        The facts and the age [years].
    level
        Level in the trade's scheme; if it is unknown, so is every other.
    stump_phalanx_mm
        What is left of the proximal phalanx. [mm]

    Notes
    -----
    The borders of most schemes are from memory and unverified; each finding says so.
    """
    if isinstance(level, Unknown):
        return tuple(
            SchemeFinding(
                scheme=name,
                group=Unknown(reason="the level is unknown", needed=level.needed),
                words="",
                basis=basis,
            )
            for name, basis, _ in _SCHEMES
        )
    facts = LossFacts(
        case=case, age_years=age_years, level=level, stump_phalanx_mm=stump_phalanx_mm
    )
    found = []
    for name, basis, place in _SCHEMES:
        group, words = place(facts)
        found.append(SchemeFinding(scheme=name, group=group, words=words, basis=basis))
    return tuple(found)


def stump_phalanx(
    level: Level | Unknown, bones: Sequence[NamedLength], stump: Measured | Unknown
) -> Measured | Unknown:
    """Return what is left of the proximal phalanx [mm].

    Parameters
    ----------
    level
        Level of loss.
    bones
        Whole bones measured on the injured hand.
    stump
        From the MCP joint to the end of the stump. [mm]
    """
    whole = [bone.length for bone in bones if bone.name == "proximal phalanx"]
    if whole:
        return whole[0]
    if level in {Level.PROXIMAL_PHALANX, Level.MCP_JOINT}:
        return stump
    return Unknown(reason="the proximal phalanx was not measured", needed=())


def _thirds(facts: LossFacts) -> tuple[str | Unknown, str]:
    return {
        Level.TERMINAL_PHALANX: ("distal third", "beyond the IP joint"),
        Level.PROXIMAL_PHALANX: ("middle third", "IP joint to metacarpal neck"),
        Level.MCP_JOINT: ("middle third", "IP joint to metacarpal neck"),
        Level.METACARPAL: ("proximal third", "metacarpal to CMC joint"),
        Level.CMC_JOINT: ("proximal third", "metacarpal to CMC joint"),
    }[facts.level]


def _compensated(facts: LossFacts) -> tuple[str | Unknown, str]:
    if facts.level is Level.TERMINAL_PHALANX:
        return "compensated", "loss beyond the IP joint, with little loss of function"
    return "not compensated", "the loss reaches the IP joint or more"


def _long_enough(facts: LossFacts) -> bool | Unknown:
    if facts.level is Level.TERMINAL_PHALANX:
        return True
    left = facts.stump_phalanx_mm
    return left if isinstance(left, Unknown) else left.value >= USEFUL_PHALANX_MM


def _four_groups(facts: LossFacts) -> tuple[str | Unknown, str]:
    if facts.level is Level.CMC_JOINT:
        return "4", "at or near the CMC joint"
    if facts.level is Level.METACARPAL:
        thenar = facts.case.kept.thenar_function
        if thenar is Quality.NOT_EXAMINED:
            return Unknown(
                reason="thenar function was not examined", needed=("thenar function",)
            ), "through the metacarpal"
        return (
            ("4", "through the metacarpal, no thenar muscle left")
            if thenar is Quality.ABSENT
            else ("3", "through the metacarpal, some thenar muscle kept")
        )
    enough = _long_enough(facts)
    if isinstance(enough, Unknown):
        return enough, "groups 1 and 2 differ by the length of the stump"
    if enough and facts.level is not Level.MCP_JOINT:
        return "1", "beyond the MCP joint with a stump long enough"
    return "2", "beyond or through the MCP joint, stump too short"


def _four_stages(facts: LossFacts) -> tuple[str | Unknown, str]:
    if facts.level is Level.CMC_JOINT:
        return "IV", "total loss, basal joint lost"
    if facts.level is Level.METACARPAL or facts.level is Level.MCP_JOINT:
        return "III", "total loss, basal joint kept"
    enough = _long_enough(facts)
    if isinstance(enough, Unknown):
        return enough, "stages I and II differ by length and cover"
    if not enough:
        return "II", "subtotal loss, length doubtful"
    if facts.case.kept.stump_skin is StumpSkin.SOUND:
        return "I", "length acceptable; cover is sound by examination"
    return "I", "length acceptable, cover poor or not examined"


def _six_degrees(facts: LossFacts) -> tuple[str | Unknown, str]:
    return {
        Level.TERMINAL_PHALANX: ("1 to 2", "terminal phalanx to IP joint"),
        Level.PROXIMAL_PHALANX: ("3", "proximal phalanx"),
        Level.MCP_JOINT: ("4", "MCP joint"),
        Level.METACARPAL: ("5", "metacarpal"),
        Level.CMC_JOINT: ("6", "CMC joint"),
    }[facts.level]


def _children(facts: LossFacts) -> tuple[str | Unknown, str]:
    if facts.age_years >= ADULT_FROM_YEARS:
        return Unknown(reason="the scheme is for children"), "not for adults"
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
_SCHEMES: tuple[tuple[str, Basis, Callable[[LossFacts], tuple[str | Unknown, str]]], ...] = (
    (
        "thirds of the thumb",
        Basis(
            provenance=_MEMORY,
            source="thumb-rehabilitation-chapter",
            locator="use of the thirds read; borders from memory",
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
        Basis(provenance=_MEMORY, source="wang-1997", locator="use read; borders from memory"),
        _six_degrees,
    ),
    (
        "Jones R1 to R5 (children)",
        Basis(
            provenance=_MEMORY,
            source="toe-to-thumb-children-abstract",
            locator="R1 and R2 to R5 together read; their split from memory",
        ),
        _children,
    ),
)
