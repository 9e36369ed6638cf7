"""Dimensions of bone as sections: the cuts, the oblique cut, the graft, the distraction."""

from collections.abc import Sequence

from thumbwright.core.case.examined import NotExamined, Side
from thumbwright.core.dimensions.bone import (
    BoneCut,
    Graft,
    Wedge,
    cut_levels,
    graft_size,
    oblique_cut,
)
from thumbwright.core.dimensions.parts import PlanParts
from thumbwright.core.dimensions.sections import (
    Dimension,
    Section,
    assumed,
    common,
    from_memory,
    read,
    words_of,
)
from thumbwright.core.dimensions.settings import (
    Allowances,
    DimensionSettings,
    GraftSite,
)
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import total
from thumbwright.core.foundations.sources import Statement
from thumbwright.core.radiograph.width_match import WidthMatch
from thumbwright.core.techniques.technique import Take, Technique, Toe

LONG_LOSS_MM = 10.0
"""So far beyond the MCP joint towards the body, the length to build is asked for [mm]; assumed."""
_TILT = from_memory("45 to 60 degrees are often named; the angle is the surgeon's decision.")
_BACK_OR_SOLE = assumed(
    "The sole is the short side of the cut, so that the toe tilts towards the palm: plain geometry."
)


def cut_of(parts: PlanParts, side: Side, toe: Toe, allowances: Allowances) -> BoneCut | Unknown:
    """Return the cut with its allowances, or why there is none."""
    found = parts.cut(side, toe)
    return found if isinstance(found, Unknown) else cut_levels(found, allowances)


def cut_section(
    technique: Technique, parts: PlanParts, side: Side, toe: Toe, settings: DimensionSettings
) -> Section:
    """Return where toe and stump are sawn."""
    allowances = settings.allowances
    cut = cut_of(parts, side, toe, allowances)
    if isinstance(cut, Unknown):
        nothing = Dimension(key="piece", name="bone to take", value=cut)
        return Section(title="Bone", dimensions=(nothing,))
    widths = parts.width(side, toe)
    return Section(
        title="Bone",
        dimensions=(*_cut_dimensions(cut, allowances), _width(widths)),
        statements=_cut_statements(technique, cut, allowances),
    )


def side_words(value: float, joint: str) -> str:
    """Say on which side of a joint line a level lies.

    Examples
    --------
    >>> side_words(-1.0, "MTP joint")
    'distal to the line of the MTP joint'
    """
    return f"{'proximal' if value > 0 else 'distal'} to the line of the {joint}"


def _cut_dimensions(cut: BoneCut, allowances: Allowances) -> Sequence[Dimension]:
    added = (*allowances.freshening.bases, *allowances.fixation.bases)
    fresh, fixed = allowances.freshening.value, allowances.fixation.value
    given_up = f"{fresh:.1f} (freshening) + {fixed:.1f} (fixation)"
    missing, plain = cut.piece.value - fresh - fixed, cut.on_toe.value - fresh - fixed
    return (
        Dimension(
            key="piece",
            name="bone to take, from the bony tip of the toe",
            value=cut.piece,
            arithmetic=f"{missing:.1f} (missing) + {given_up}",
            bases=added,
        ),
        Dimension(
            key="on_toe",
            name=f"edge of the piece on the toe, + is proximal to the line of the {cut.joint}",
            value=cut.on_toe,
            arithmetic=f"{plain:.1f} (missing length laid on the toe) + {given_up}".replace(
                "-", "−"
            ),
            bases=added,
        ),
        *_saw_dimensions(cut, allowances),
    )


def _saw_dimensions(cut: BoneCut, allowances: Allowances) -> Sequence[Dimension]:
    edge = f"{cut.on_toe.value:.1f}".replace("-", "−")
    return (
        Dimension(
            key="first_cut",
            name="the same for a first cut that leaves the piece long",
            value=cut.first_cut,
            arithmetic=f"{edge} + {cut.left_long_mm:.1f}",
            bases=allowances.left_long_prob.bases,
        ),
        Dimension(
            key="far_edge",
            name="other edge of the saw's slot, on the foot",
            value=cut.far_edge,
            arithmetic=f"{edge} + {allowances.kerf.value:.1f}",
            bases=allowances.kerf.bases,
        ),
        Dimension(
            key="off_stump",
            name="bone off the end of the stump, the saw's slot within it",
            value=cut.off_stump,
            bases=allowances.freshening.bases,
        ),
    )


def _width(widths: WidthMatch | Unknown) -> Dimension:
    value = widths if isinstance(widths, Unknown) else widths.toe_over_stump
    return Dimension(
        key="width_match",
        name="width of the toe's bone over the stump's",
        value=value,
        arithmetic=""
        if isinstance(widths, Unknown)
        else f"{widths.toe.value:.1f} / {widths.stump.value:.1f}",
    )


def _cut_statements(
    technique: Technique, cut: BoneCut, allowances: Allowances
) -> tuple[Statement, ...]:
    sure = allowances.left_long_prob.value
    said = [
        assumed(
            f"The first cut leaves the piece {cut.left_long_mm:.1f} mm long, so that it is long "
            f"enough with a probability of {sure:.0%}; bone can be taken off, not added."
        ),
        common("The saw runs on the foot's side of the line, so that its slot costs no length."),
    ]
    if cut.is_at_joint:
        through = abs(cut.on_toe.value)
        sense = "short" if cut.on_toe.value > 0 else "long"
        said.append(
            assumed(
                f"The edge lies within 3 mm of the line of the {cut.joint}: taken through that "
                f"joint, the thumb becomes {through:.1f} mm too {sense}."
            )
        )
    elif _beyond_technique(technique, cut):
        said.append(
            common(
                f"This technique stops at the MTP joint; taken there, the thumb stays "
                f"{cut.on_toe.value:.1f} mm short."
            )
        )
    return tuple(said)


def _beyond_technique(technique: Technique, cut: BoneCut) -> bool:
    is_proximal = cut.joint == "MTP joint" and cut.on_toe.value > 0
    return is_proximal and Take.METATARSAL_HEAD not in technique.takes


def oblique_of(
    cut: BoneCut, parts: PlanParts, side: Side, toe: Toe, settings: DimensionSettings
) -> Wedge | Unknown:
    """Return the oblique cut; Unknown where the MTP joint stays on the foot."""
    if "metatarsal" not in cut.bone:
        return Unknown(reason="the MTP joint stays on the foot")
    return oblique_cut(cut, parts.width(side, toe), settings.allowances, settings.choices)


def oblique_section(
    parts: PlanParts, side: Side, toe: Toe, settings: DimensionSettings
) -> Section | Unknown:
    """Return the oblique cut as a section; Unknown where the MTP joint is not taken along."""
    cut = cut_of(parts, side, toe, settings.allowances)
    if isinstance(cut, Unknown):
        return cut
    wedge = oblique_of(cut, parts, side, toe, settings)
    title = "Oblique cut for the MTP joint"
    if isinstance(wedge, Unknown):
        if not wedge.needed:
            return wedge
        span = Dimension(key="oblique_span", name="span of the oblique cut", value=wedge)
        return Section(title=title, dimensions=(span,), statements=(_TILT,))
    return Section(
        title=title,
        dimensions=_wedge_dimensions(wedge, settings),
        statements=(_TILT, _BACK_OR_SOLE),
    )


def _wedge_dimensions(wedge: Wedge, settings: DimensionSettings) -> tuple[Dimension, ...]:
    height = words_of(wedge.height)
    return (
        Dimension(
            key="bone_height",
            name="height of the bone at the cut, back to sole",
            value=wedge.height,
            bases=settings.allowances.roundness.bases,
        ),
        Dimension(
            key="oblique_span",
            name=f"span of a cut tilted by {wedge.angle_deg:g} degrees",
            value=wedge.span,
            arithmetic=f"{height} × tan {wedge.angle_deg:g}°",
        ),
        Dimension(
            key="oblique_back",
            name="cut on the back of the bone, + is proximal to the joint line",
            value=wedge.on_back,
        ),
        Dimension(
            key="oblique_sole",
            name="cut on the sole of the bone, + is proximal to the joint line",
            value=wedge.on_sole,
        ),
    )


def site_of(technique: Technique, settings: DimensionSettings) -> GraftSite:
    """Return where bone is taken: as the surgeon chose, or as the technique says."""
    chosen = settings.choices.graft_site
    if chosen is GraftSite.NOT_DECIDED and Take.ILIAC_BONE in technique.takes:
        return GraftSite.ILIAC
    return chosen


def graft_of(
    technique: Technique, parts: PlanParts, settings: DimensionSettings
) -> Graft | Unknown:
    """Return the graft of bone that a technique needs."""
    site = site_of(technique, settings)
    return graft_size(parts.to_build(settings.choices), site, settings.allowances, settings.choices)


def graft_section(technique: Technique, parts: PlanParts, settings: DimensionSettings) -> Section:
    """Return the size of the graft of bone."""
    graft = graft_of(technique, parts, settings)
    title = "Graft of bone"
    if isinstance(graft, Unknown):
        return Section(
            title=title, dimensions=(Dimension(key="graft_length", name="length", value=graft),)
        )
    allowances = settings.allowances
    missing = words_of(parts.to_build(settings.choices))
    return Section(
        title=title,
        questions=_length_asked(parts, settings),
        dimensions=(
            Dimension(
                key="graft_length",
                name=f"length of the graft ({graft.site.value})",
                value=graft.length,
                arithmetic=(
                    f"{missing} (to build) + {allowances.freshening.value:.1f} (freshening) + "
                    f"{allowances.peg.value:.1f} (inside the stump) + 2.3 (loss)"
                ),
                bases=(*graft.resorption[:1], *allowances.peg.bases),
            ),
            Dimension(
                key="graft_width",
                name="width of the graft when it is cut",
                value=graft.width,
                arithmetic="width wanted in the end / (1 − 0.33)",
                bases=graft.resorption[1:],
            ),
        ),
        statements=(
            read(
                "Of 23 iliac grafts in children 13 % resorbed, and their width fell by 33 %; 11 of "
                "20 became shorter by 2.3 mm, 9 longer by 4.2 mm.",
                source="zhong-2023",
            ),
        ),
    )


def _length_asked(parts: PlanParts, settings: DimensionSettings) -> tuple[str, ...]:
    """Ask for the length to build where the loss reaches well into the metacarpal."""
    missing = parts.lengths.missing
    heights = [one.from_tip for one in parts.lengths.wanted.joints if one.name == "MCP joint"]
    is_set = not isinstance(settings.choices.build_length_mm, NotExamined)
    if is_set or isinstance(missing, Unknown) or not heights or isinstance(heights[0], Unknown):
        return ()
    if missing.value - heights[0].value <= LONG_LOSS_MM:
        return ()
    asked = (
        f"the length that the surgeon means to build; all that is missing ({missing.value:.0f} mm) "
        "is seldom built with a graft"
    )
    return (asked,)


def finger_section(parts: PlanParts, settings: DimensionSettings) -> Section:
    """Return how much of a finger must stand beyond the stump of the thumb."""
    allowances = settings.allowances
    missing = parts.lengths.missing
    given_up = (
        allowances.freshening.measured("freshening"),
        allowances.fixation.measured("fixation"),
    )
    wanted = (
        missing
        if isinstance(missing, Unknown)
        else total((missing, *given_up), origin="bone of the finger")
    )
    return Section(
        title="Bone",
        dimensions=(
            Dimension(
                key="finger_piece",
                name="bone of the finger to carry over, from its bony tip",
                value=wanted,
                arithmetic=(
                    f"{words_of(missing)} (missing) + {allowances.freshening.value:.1f} "
                    f"(freshening) + {allowances.fixation.value:.1f} (fixation)"
                ),
                bases=(*allowances.freshening.bases, *allowances.fixation.bases),
            ),
        ),
        statements=(
            common("What is left of the finger may be shorter; then the thumb stays shorter too."),
            common(
                "Where the basal joint is lost, the head of the finger's metacarpal takes its "
                "place and the surgeon sets the level."
            ),
        ),
    )
