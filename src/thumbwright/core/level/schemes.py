"""Published classifications of thumb loss, as far as the case can be placed in them."""

from collections.abc import Sequence
from dataclasses import dataclass

from thumbwright.core.case.case import Case
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Basis
from thumbwright.core.level.levels import Level
from thumbwright.core.level.scheme_groups import SCHEMES, LossFacts
from thumbwright.core.radiograph.measurement import NamedLength


@dataclass(frozen=True, slots=True, kw_only=True)
class SchemeFinding:
    """Where a case stands in one published scheme."""

    scheme: str
    group: str | Unknown
    words: str
    """What the group means, or why the scheme does not apply."""
    basis: Basis


def in_published_schemes(
    case: Case,
    age_years: float,
    level: Level | Unknown,
    stump_phalanx_mm: Measured | Unknown,
    beyond_mcp_mm: Measured | Unknown,
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
    beyond_mcp_mm
        How far the stump ends beyond the MCP joint of the pattern thumb; negative short of
        it. [mm]

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
            for name, basis, _ in SCHEMES
        )
    facts = LossFacts(
        case=case,
        age_years=age_years,
        level=level,
        stump_phalanx_mm=stump_phalanx_mm,
        beyond_mcp_mm=beyond_mcp_mm,
    )
    found = []
    for name, basis, place in SCHEMES:
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
