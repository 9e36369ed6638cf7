"""Dimensions of skin as sections, each with the patterns that go with it."""

from dataclasses import dataclass

from thumbwright.core.case.examined import Side
from thumbwright.core.dimensions.bone import Graft
from thumbwright.core.dimensions.parts import PlanParts, SidedPattern, sided
from thumbwright.core.dimensions.raw_areas import Closing, Closure, RawArea, closure, raw_area
from thumbwright.core.dimensions.sections import (
    Dimension,
    Section,
    assumed,
    common,
    from_memory,
    read,
)
from thumbwright.core.dimensions.settings import (
    Allowances,
    DimensionSettings,
    Setting,
    TrimSide,
)
from thumbwright.core.dimensions.skin import (
    DORSAL_BASE,
    DORSAL_LENGTH,
    Flap,
    Girths,
    ThumbShape,
    Trim,
    taped,
    thumb_shape,
    toe_triangles,
    trims,
    tube_flap,
    wrap_flap,
)
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured, difference
from thumbwright.core.foundations.sources import Statement
from thumbwright.core.techniques.technique import Technique, Toe


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinPart:
    """A section of skin and its patterns."""

    section: Section
    patterns: tuple[SidedPattern, ...] = ()


def girths_of(parts: PlanParts, side: Side, toe: Toe) -> tuple[Girths, Girths]:
    """Return the girths of the other thumb and of a toe."""
    tolerance = parts.girths.tape_tolerance_mm
    foot = parts.girths.foot(side)
    digit = foot.great if toe is Toe.GREAT else foot.second
    return (
        taped(parts.girths.other_thumb, tolerance, "the other thumb"),
        taped(digit, tolerance, f"the {side.value} {toe.value} toe"),
    )


def toe_part(
    technique: Technique, parts: PlanParts, side: Side, toe: Toe, settings: DimensionSettings
) -> SkinPart:
    """Return what is taken off a toe, or how it is let into the hand."""
    thumb, taped_toe = girths_of(parts, side, toe)
    is_cut = technique.key == "trimmed_great_toe"
    found = trims(thumb, taped_toe, settings.allowances, with_seam=is_cut)
    compared = tuple(_trim_dimension(trim, settings.allowances, is_cut=is_cut) for trim in found)
    if toe is Toe.SECOND:
        return _second_toe(compared, taped_toe["base"], side, settings.allowances)
    asks, said = _trim_words(technique, settings)
    section = Section(
        title="Skin of the great toe", dimensions=compared, statements=said, questions=asks
    )
    return SkinPart(section=section)


def _trim_dimension(trim: Trim, allowances: Allowances, *, is_cut: bool) -> Dimension:
    name = f"girth of the toe less that of the other thumb at the {trim.level}"
    if is_cut:
        name = f"width of the strip of skin to take off at the {trim.level}"
    bulk = allowances.toe_bulk_loss
    loss = bulk.bases if bulk.value else ()
    return Dimension(
        key=f"strip_{trim.level}",
        name=name,
        value=trim.to_take,
        arithmetic=trim.arithmetic,
        bases=(*allowances.seam.bases, *loss) if is_cut else loss,
    )


def _trim_words(
    technique: Technique, settings: DimensionSettings
) -> tuple[tuple[str, ...], tuple[Statement, ...]]:
    bulk = read(
        "A great toe loses up to a third of its bulk after transfer.", source="buncke-chapter-1"
    )
    if technique.key != "trimmed_great_toe":
        return (), (bulk,)
    said = (
        bulk,
        read(
            "Published for the trimmed toe: tissue is taken from its tibial (medial) side, with a "
            "lengthwise cut of the bone.",
            source="great-toe-refinement-2010",
            locator="text",
        ),
        from_memory("Of bone 4 to 6 mm are taken at the joint, 2 to 4 mm at the shafts."),
    )
    chosen = settings.choices.trim_side
    if chosen is TrimSide.NOT_DECIDED:
        return ("from which side of the toe skin and bone are taken, and by which rule",), said
    return (), (*said, common(f"The surgeon takes the strip from the {chosen.value} side."))


def _second_toe(
    compared: tuple[Dimension, ...],
    base: Measured | Unknown,
    side: Side,
    allowances: Allowances,
) -> SkinPart:
    triangles, sole = toe_triangles(base)
    back = Measured(value=DORSAL_BASE.value, unit="mm", origin="published")
    closed = closure("triangle on the back of the foot", back, allowances.foot_closes)
    section = Section(
        title="Skin of the second toe",
        dimensions=(
            *compared,
            Dimension(
                key="back_length",
                name="triangle on the back: length",
                value=Measured(value=DORSAL_LENGTH.value, unit="mm", origin="published"),
                bases=(DORSAL_LENGTH.basis,),
            ),
            Dimension(
                key="back_base",
                name="triangle on the back: base (20 to 25)",
                value=back,
                bases=(DORSAL_BASE.basis,),
            ),
            Dimension(
                key="sole_base",
                name="triangle on the sole: base",
                value=sole,
                arithmetic="girth of the toe at its base − base on the back",
            ),
        ),
        statements=(
            assumed("The triangle on the sole is drawn as long as that on the back."),
            _closing(closed),
            read(
                "A second toe can be made thicker by a strip from the outer side of the great toe.",
                source="second-toe-onestage-plasty",
            ),
        ),
    )
    return SkinPart(
        section=section, patterns=tuple(sided(one, side, "second toe") for one in triangles)
    )


def _closing(closed: Closure) -> Statement:
    if closed.bases:
        return Statement(text=closed.words, basis=closed.bases[0])
    return common(closed.words)


def shape_of(parts: PlanParts) -> ThumbShape | Unknown:
    """Return how thick the other thumb is from tip to base."""
    thumb = taped(parts.girths.other_thumb, parts.girths.tape_tolerance_mm, "the other thumb")
    return thumb_shape(thumb, parts.lengths.wanted.joints, parts.beyond_bone)


def wrap_part(parts: PlanParts, side: Side, toe: Toe, settings: DimensionSettings) -> SkinPart:
    """Return the wrap-around flap, the strip that stays on the toe, and the graft for the foot."""
    title = "Wrap-around flap"
    made_from = _made_from(parts, settings)
    if isinstance(made_from, Unknown):
        return unknown_flap(title, made_from)
    shape, missing, beyond = made_from
    flap = wrap_flap(shape, missing, beyond, settings.allowances, "wrap-around flap")
    _, taped_toe = girths_of(parts, side, toe)
    raw = raw_area(flap.pattern, "great toe under the flap", settings.allowances)
    section = Section(
        title=title,
        dimensions=(
            *_flap_dimensions(flap, settings.allowances.toe_flap_contraction),
            *_strips(flap, taped_toe),
            *raw_dimensions(raw, settings.allowances),
        ),
        statements=(
            *_too_long(flap, parts.beyond_mtp(side, toe), beyond),
            read(
                "The strip left on the toe was 14.5 mm wide (standard deviation 1.4 mm) and grew "
                "to 27.8 mm.",
                source="pan-2011",
            ),
            read(
                "A triangle of 15 to 20 mm left on the sole grew wider by 35 to 67 %.",
                source="plantar-strip-2016",
            ),
        ),
    )
    return SkinPart(section=section, patterns=(sided(flap.pattern, side, f"{toe.value} toe"),))


def _made_from(
    parts: PlanParts, settings: DimensionSettings
) -> tuple[ThumbShape, Measured, Measured] | Unknown:
    """Return the other thumb's shape, the missing bone and the skin beyond bone."""
    missing, beyond = parts.to_build(settings.choices), parts.beyond_bone
    shape = shape_of(parts)
    if isinstance(shape, Unknown):
        return shape
    if isinstance(missing, Unknown):
        return missing
    if isinstance(beyond, Unknown):
        return beyond
    if missing.value <= 0:
        return Unknown(reason="no bone is missing")
    return shape, missing, beyond


def unknown_flap(title: str, unknown: Unknown) -> SkinPart:
    """Return a section that says why there is no flap."""
    size = Dimension(key="flap_length", name="size of the flap", value=unknown)
    return SkinPart(section=Section(title=title, dimensions=(size,)))


def _too_long(flap: Flap, toe: Measured | Unknown, beyond_bone: Measured) -> tuple[Statement, ...]:
    """Warn where the flap is longer than the toe it is taken from."""
    if isinstance(toe, Unknown):
        return ()
    over = flap.length.value - toe.value - beyond_bone.value
    if over <= 0:
        return ()
    return (
        common(
            f"The flap is {over:.0f} mm longer than the toe from its MTP joint to the tip; it does "
            "not cover the whole length, or reaches onto the foot."
        ),
    )


def _flap_dimensions(flap: Flap, contraction: Setting) -> tuple[Dimension, ...]:
    bases = contraction.bases
    return (
        Dimension(
            key="flap_length",
            name="length of the flap",
            value=flap.length,
            arithmetic=flap.arithmetic,
            bases=bases,
        ),
        Dimension(
            key="flap_base",
            name="width of the flap at its base",
            value=flap.base_width,
            bases=bases,
        ),
        Dimension(
            key="flap_tip", name="width of the flap at its tip", value=flap.tip_width, bases=bases
        ),
    )


def _strips(flap: Flap, toe: Girths) -> tuple[Dimension, ...]:
    pairs = (("nail", toe["nail"], flap.tip_width), ("base", toe["base"], flap.base_width))
    return tuple(
        Dimension(
            key=f"left_{level}",
            name=f"strip of skin left on the toe at its {level}",
            value=girth
            if isinstance(girth, Unknown)
            else difference(girth, width, origin="girth of the toe less the flap"),
            arithmetic=""
            if isinstance(girth, Unknown)
            else f"{girth.value:.1f} − {width.value:.1f}",
        )
        for level, girth, width in pairs
    )


def raw_dimensions(raw: RawArea, allowances: Allowances) -> tuple[Dimension, ...]:
    """Return a raw area and the graft that covers it."""
    early, late = allowances.graft_early, allowances.graft_late
    return (
        Dimension(key="raw_area", name=f"raw area: {raw.name}", value=raw.raw),
        Dimension(
            key="graft_area",
            name="full-thickness graft to cut for it",
            value=raw.graft,
            arithmetic=(
                f"{raw.raw.value:.0f} / (1 − {early.value:g}); every side × {raw.side_ratio:.2f}"
            ),
            bases=early.bases,
        ),
        Dimension(
            key="graft_later",
            name="what is left of that cover after months",
            value=raw.later,
            arithmetic=f"{raw.raw.value:.0f} × (1 − {late.value:g})",
            bases=late.bases,
        ),
    )


def tube_part(
    technique: Technique, parts: PlanParts, graft: Graft | Unknown, settings: DimensionSettings
) -> SkinPart:
    """Return the flap that is rolled round a graft, and whether its donor site can be closed."""
    title, made_from = "Flap for a tube", _made_from(parts, settings)
    if isinstance(made_from, Unknown):
        return unknown_flap(title, made_from)
    shape, missing, beyond = made_from
    core = graft if isinstance(graft, Unknown) else graft.width
    flap = tube_flap(shape, missing, beyond, core, settings.allowances)
    is_groin = technique.key == "staged_osteoplastic"
    limit = settings.allowances.groin_closes if is_groin else settings.allowances.foot_closes
    place = "groin" if is_groin else "forearm"
    wide = Measured(
        value=flap.pattern.width_mm,
        unit="mm",
        origin="width of the paper",
        terms=flap.base_width.terms,
    )
    closed = closure(f"{place} donor site", wide, limit)
    raw = raw_area(flap.pattern, f"{place} under the flap", settings.allowances)
    is_covered = closed.closing is Closing.CLOSES
    section = Section(
        title=title,
        dimensions=(
            *_flap_dimensions(flap, settings.allowances.flap_contraction),
            *(() if is_covered else raw_dimensions(raw, settings.allowances)),
        ),
        statements=(
            _closing(closed),
            read(
                "Flaps lost 20 % of their area when they were raised; a flap is planned larger "
                "than the defect.",
                source="agarwal-2020",
            ),
            common("The pedicle, as far as it bridges to the hand, is added to the pattern."),
        ),
    )
    side = parts.case.injury.side
    return SkinPart(section=section, patterns=(sided(flap.pattern, side, place),))
