"""All dimensions of one technique: bone, skin, vessels, patterns, and what is still open."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from thumbwright.core.case.examined import NotExamined, Side
from thumbwright.core.dimensions.bone import BoneCut, Wedge
from thumbwright.core.dimensions.bone_sections import (
    cut_of,
    cut_section,
    finger_section,
    graft_of,
    graft_section,
    oblique_of,
    oblique_section,
)
from thumbwright.core.dimensions.distraction_sections import distraction_section
from thumbwright.core.dimensions.parts import PlanParts, SidedPattern
from thumbwright.core.dimensions.sections import Section, common, every_question
from thumbwright.core.dimensions.settings import DimensionSettings
from thumbwright.core.dimensions.skin_sections import SkinPart, toe_part, tube_part, wrap_part
from thumbwright.core.dimensions.structures import Structure, structures_of
from thumbwright.core.dimensions.vessel_sections import vessel_section
from thumbwright.core.dimensions.web_sections import pulp_part, web_part
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import UnitError
from thumbwright.core.radiograph.lengths import RayLengths
from thumbwright.core.techniques.technique import Family, Technique, Toe


@dataclass(frozen=True, slots=True, kw_only=True)
class DimensionPlan:
    """Sizes for one technique; it decides nothing and asks where only the surgeon can say."""

    technique: Technique
    injured: Side
    donor: str
    """``second toe of the LEFT foot``; empty where no toe is taken."""
    toe_bones: RayLengths | Unknown
    """The donor toe by film."""
    cut: BoneCut | Unknown
    """Where it is sawn."""
    oblique: Wedge | Unknown
    """The oblique cut, where the MTP joint is taken along and the angle was set."""
    sections: tuple[Section, ...]
    patterns: tuple[SidedPattern, ...]
    structures: tuple[Structure, ...]
    questions: tuple[str, ...]
    """What must be decided or measured before every size is known."""


_NOT_SAWN = Unknown(reason="no toe is sawn")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    technique: Technique
    side: Side
    toe: Toe
    parts: PlanParts
    settings: DimensionSettings


def dimension(
    technique: Technique,
    side: Side,
    toe: Toe | None,
    parts: PlanParts,
    settings: DimensionSettings,
) -> DimensionPlan:
    """Work out every size that one technique asks for.

    Parameters
    ----------
    technique
        Plan A, or the fallback.
    side
        Foot of the donor toe; of no meaning where no toe is taken.
    toe
        The donor toe; None for a technique that takes none.
    parts, settings
        What was measured and typed; allowances and choices of the surgeon.

    Returns
    -------
    DimensionPlan
        What cannot be said stands in it as Unknown, with what to measure or decide.

    Raises
    ------
    UnitError
        If the technique takes a toe and none was named, or another than it takes.
    """
    _demand_toe(technique, toe)
    asked = _Asked(
        technique=technique,
        side=side,
        toe=toe if toe is not None else Toe.GREAT,
        parts=parts,
        settings=settings,
    )
    is_sawn = technique.family is Family.TOE
    cut = cut_of(parts, side, asked.toe, settings.allowances) if is_sawn else _NOT_SAWN
    found = [*_BY_FAMILY.get(technique.family, _nothing)(asked), *_web(asked)]
    sections = tuple(part.section for part in found)
    return DimensionPlan(
        technique=technique,
        injured=parts.case.injury.side,
        donor=f"{toe.value} toe of the {side.value.upper()} foot" if toe is not None else "",
        toe_bones=parts.ray(side, asked.toe) if is_sawn else _NOT_SAWN,
        cut=cut,
        oblique=cut
        if isinstance(cut, Unknown)
        else oblique_of(cut, parts, side, asked.toe, settings),
        sections=sections,
        patterns=tuple(pattern for part in found for pattern in part.patterns),
        structures=structures_of(technique.key),
        questions=every_question(sections),
    )


def _demand_toe(technique: Technique, toe: Toe | None) -> None:
    allowed = technique.donor_toes
    if (toe is None and not allowed) or toe in allowed:
        return
    names = " or ".join(f"the {one.value} toe" for one in allowed) or "no toe"
    given = "no toe" if toe is None else f"the {toe.value} toe"
    msg = (
        f"{given} was named for {technique.short_name}; allowed is {names}; name the donor that "
        "the plan offers"
    )
    raise UnitError(msg)


def _plain(*sections: Section | Unknown) -> list[SkinPart]:
    return [SkinPart(section=one) for one in sections if isinstance(one, Section)]


def _toe(asked: _Asked) -> list[SkinPart]:
    where = (asked.parts, asked.side, asked.toe, asked.settings)
    return [
        *_plain(cut_section(asked.technique, *where), oblique_section(*where)),
        toe_part(asked.technique, *where),
        *_plain(vessel_section(*where)),
    ]


def _part_of_toe(asked: _Asked) -> list[SkinPart]:
    where = (asked.parts, asked.side, asked.toe, asked.settings)
    vessels = _plain(vessel_section(*where))
    if asked.technique.key == "great_toe_wrap_around":
        graft = graft_section(asked.technique, asked.parts, asked.settings)
        return [*_plain(graft), wrap_part(*where), *vessels]
    if asked.technique.key == "toe_pulp_flap":
        return [pulp_part(asked.parts, asked.settings), *vessels]
    return [toe_part(asked.technique, *where), *vessels]


def _osteoplastic(asked: _Asked) -> list[SkinPart]:
    graft = graft_of(asked.technique, asked.parts, asked.settings)
    return [
        *_plain(graft_section(asked.technique, asked.parts, asked.settings)),
        tube_part(asked.technique, asked.parts, graft, asked.settings),
    ]


def _lengthening(asked: _Asked) -> list[SkinPart]:
    return _plain(distraction_section(asked.technique, asked.parts, asked.settings))


def _finger(asked: _Asked) -> list[SkinPart]:
    return _plain(finger_section(asked.parts, asked.settings))


def _skin(asked: _Asked) -> list[SkinPart]:
    return [pulp_part(asked.parts, asked.settings)]


def _only_web(_asked: _Asked) -> list[SkinPart]:
    return []


def _nothing(asked: _Asked) -> list[SkinPart]:
    text = f"No size is worked out for {asked.technique.short_name}; the surgeon fits it by eye."
    return _plain(Section(title="Sizes", statements=(common(text),)))


_BY_FAMILY: Mapping[Family, Callable[[_Asked], list[SkinPart]]] = {
    Family.TOE: _toe,
    Family.PART_OF_TOE: _part_of_toe,
    Family.OSTEOPLASTIC: _osteoplastic,
    Family.LENGTHENING: _lengthening,
    Family.FINGER: _finger,
    Family.WEB: _only_web,
    Family.LOCAL_FLAP: _skin,
    Family.SKIN: _skin,
}


def _web(asked: _Asked) -> list[SkinPart]:
    """Return the web where the technique works on it or the surgeon named a span to reach."""
    is_wished = not isinstance(asked.settings.choices.web_span_wanted_mm, NotExamined)
    is_part = asked.technique.family in {Family.WEB, Family.LENGTHENING}
    if is_part or (is_wished and asked.technique.family.rebuilds):
        return [web_part(asked.parts, asked.settings)]
    return []
