"""Two smaller parts of skin as sections: the pulp, and the first web of the hand."""

from thumbwright.core.case.examined import NotExamined
from thumbwright.core.dimensions.flat_patterns import cylinder, z_plasty
from thumbwright.core.dimensions.parts import PlanParts, sided
from thumbwright.core.dimensions.raw_areas import raw_area
from thumbwright.core.dimensions.sections import Dimension, Section, assumed, read
from thumbwright.core.dimensions.settings import DimensionSettings
from thumbwright.core.dimensions.skin_sections import (
    SkinPart,
    girths_of,
    raw_dimensions,
    unknown_flap,
)
from thumbwright.core.dimensions.web_release import Limb, limbs
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import scaled
from thumbwright.core.foundations.sources import Basis
from thumbwright.core.techniques.technique import Toe

LONGEST_DRAWN_MM = 80.0
"""A Z with a longer middle limb is not drawn: no web has room for it. [mm]"""
WEB_ANGLE_DEG = 60.0


def pulp_part(parts: PlanParts, settings: DimensionSettings) -> SkinPart:
    """Return a half sleeve for a defect of the pulp: half the girth by the defect's length."""
    girth = girths_of(parts, parts.case.injury.side, Toe.GREAT)[0]["nail"]
    length = parts.case.kept.pulp_defect_mm
    if isinstance(girth, Unknown):
        return unknown_flap("Skin for the pulp", girth)
    if isinstance(length, NotExamined) or length == 0:
        needed = Unknown(
            reason="no defect of the pulp was measured", needed=("length of the open defect",)
        )
        return unknown_flap("Skin for the pulp", needed)
    half = scaled(girth, 0.5)
    pattern = cylinder("half sleeve for the pulp", girth_mm=half.value, length_mm=length)
    raw = raw_area(pattern, "pulp", settings.allowances)
    section = Section(
        title="Skin for the pulp",
        dimensions=(
            Dimension(
                key="sleeve_width",
                name="width of the half sleeve",
                value=half,
                arithmetic=f"{girth.value:.1f} / 2",
            ),
            *raw_dimensions(raw, settings.allowances),
        ),
    )
    return SkinPart(section=section, patterns=(sided(pattern, parts.case.injury.side, "thumb"),))


def web_part(parts: PlanParts, settings: DimensionSettings) -> SkinPart:
    """Return the middle limb of each kind of Z that brings the wanted span of the first web."""
    kept = parts.case.kept
    found = limbs(kept.first_web_span_mm, settings.choices.web_span_wanted_mm)
    title = "First web"
    if isinstance(found, Unknown):
        limb = Dimension(key="web_limb", name="middle limb of the Z", value=found)
        return SkinPart(section=Section(title=title, dimensions=(limb,)))
    said = (
        assumed(
            "The gains are those of a flat sheet; skin, and scarred skin above all, gives less."
        ),
        read(
            "A middle limb is rarely longer than 30 mm for four flaps, 40 mm for five.",
            source="five-or-four-flaps",
        ),
    )
    section = Section(
        title=title, dimensions=tuple(_limb_dimension(one) for one in found), statements=said
    )
    simple = next(one for one in found if (one.plasty.flaps, one.plasty.angle_deg) == (2, 60))
    if simple.length.value > LONGEST_DRAWN_MM:
        return SkinPart(section=section)
    pattern = z_plasty(
        "Z of two flaps of 60 degrees", limb_mm=simple.length.value, angle_deg=WEB_ANGLE_DEG
    )
    side = parts.case.injury.side
    return SkinPart(section=section, patterns=(sided(pattern, side, "first web of the hand"),))


def _limb_dimension(limb: Limb) -> Dimension:
    long = ", longer than is usual" if limb.is_too_long else ""
    bases: list[Basis] = [limb.plasty.gain.basis]
    if limb.plasty.longest_limb is not None:
        bases.append(limb.plasty.longest_limb.basis)
    added = limb.length.value * limb.plasty.gain.value
    return Dimension(
        key=f"limb_{limb.plasty.name.replace(' ', '_')}",
        name=f"middle limb, {limb.plasty.name}{long}",
        value=limb.length,
        arithmetic=f"{added:.0f} / {limb.plasty.gain.value:g}",
        bases=tuple(bases),
    )
