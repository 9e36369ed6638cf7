"""Where toe and stump are sawn, so that the joined bone has the wanted length; grafts of bone."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import radians, tan

from scipy.special import stdtrit

from thumbwright.core.case.examined import NotExamined
from thumbwright.core.dimensions.settings import Allowances, Choices, GraftSite
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term, difference, scaled, total
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.radiograph.landmarks import Ray
from thumbwright.core.radiograph.transposition import AT_JOINT_MM, ToeCut
from thumbwright.core.radiograph.width_match import WidthMatch

ILIAC_WIDTH_LOSS = Published(
    value=0.33,
    unit="-",
    basis=Basis(provenance=Provenance.READ, source="zhong-2023", locator="abstract, 23 children"),
)
"""Share of its width that an iliac graft lost as a first metacarpal."""
ILIAC_LENGTH_LOSS = Published(
    value=2.3,
    uncertainty=1.6,
    unit="mm",
    basis=Basis(
        provenance=Provenance.DERIVED,
        source="zhong-2023",
        locator="11 of 20 shortened by 2.3 mm (0.1 to 5.6); the range taken as even",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoneCut:
    """The saw's way through toe and stump."""

    joint: str
    bone: str
    """In which the cut falls, once the allowances are added."""
    is_at_joint: bool
    piece: Measured
    """Bone to take, from the bony tip of the toe. [mm]"""
    on_toe: Measured
    """Edge of the piece minus joint line: positive is nearer the body. [mm]"""
    first_cut: Measured
    """The same for a first cut that leaves the piece long. [mm]"""
    left_long_mm: float
    far_edge: Measured
    """The saw's other edge, on the foot. [mm]"""
    off_stump: Measured
    """Bone taken off the end of the stump, slot included. [mm]"""


def cut_levels(cut: ToeCut, allowances: Allowances) -> BoneCut:
    """Add to the missing length what freshening and fixation take, and say where to saw.

    Parameters
    ----------
    cut
        Where the toe alone supplies the missing length.
    allowances
        Slot of the saw, freshening, fixation, and how surely the piece must be long enough.

    Notes
    -----
    Piece = missing + taken off the stump + given up at the junction. The saw runs beside the
    line, on the foot's side, so that its slot costs the piece nothing. The first cut lies
    farther towards the body by t u, with u the standard uncertainty of the level and t
    Student's one-sided quantile for its degrees of freedom: bone can be taken off, not added.
    """
    added = total(
        (allowances.freshening.measured("freshening"), allowances.fixation.measured("fixation")),
        origin="freshening and fixation",
    )
    on_toe = total((cut.from_joint, added), origin="edge of the piece")
    freedom = min(on_toe.degrees_of_freedom, 1e9)
    quantile = float(stdtrit(freedom, allowances.left_long_prob.value))
    long_mm = max(0.0, quantile * on_toe.uncertainty)
    return BoneCut(
        joint=cut.joint,
        bone=bone_at(cut.ray, cut.joint, on_toe.value),
        is_at_joint=abs(on_toe.value) <= AT_JOINT_MM,
        piece=total((cut.wanted, added), origin="piece to take"),
        on_toe=on_toe,
        first_cut=_shifted(on_toe, long_mm, "first cut, left long"),
        left_long_mm=long_mm,
        far_edge=total(
            (on_toe, allowances.kerf.measured("kerf")), origin="far edge of the saw's slot"
        ),
        off_stump=allowances.freshening.measured("freshening"),
    )


def bone_at(ray: Ray, joint: str, from_joint_mm: float) -> str:
    """Return the bone on the body's side of a joint for a cut nearer the body, else the other.

    Examples
    --------
    >>> from thumbwright.core.radiograph.landmarks import SECOND_TOE
    >>> bone_at(SECOND_TOE, "MTP joint", 4.6), bone_at(SECOND_TOE, "MTP joint", -4.6)
    ('second metatarsal', 'proximal phalanx')
    """
    place = ray.joints.index(joint)
    return ray.bones[max(0, place - 1) if from_joint_mm > 0 else place].name


def _shifted(measured: Measured, by_mm: float, origin: str) -> Measured:
    exact = Measured(value=by_mm, unit="mm", origin=origin)
    return total((measured, exact), origin=origin)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wedge:
    """An oblique cut that tilts the toe towards the palm."""

    angle_deg: float
    height: Measured
    """Of the bone at the cut, back to sole. [mm]"""
    span: Measured
    """How much farther the cut runs on the back than on the sole. [mm]"""
    on_back: Measured
    """Cut on the back of the bone minus joint line: positive is nearer the body. [mm]"""
    on_sole: Measured
    """The same on the sole. [mm]"""


def oblique_cut(
    bone: BoneCut, widths: WidthMatch | Unknown, allowances: Allowances, choices: Choices
) -> Wedge | Unknown:
    """Tilt the cut so that the toe, fully extended, stands straight on the thumb.

    Returns
    -------
    Wedge | Unknown
        Unknown until the surgeon has set the angle and the height of the bone is known.

    Notes
    -----
    One plane through the axis at the nominal level, tilted by a: over a bone of height h it
    spans h tan a, half of it to either side of the level, so that the length along the axis
    stays. The sole is the short side: laid on a square stump, the piece tilts to the palm by a.
    """
    angle = choices.mtp_correction_deg
    if isinstance(angle, NotExamined):
        return Unknown(
            reason="the angle is the surgeon's and was not set",
            needed=("the angle by which full extension of the toe is to become straight",),
        )
    height = _height(widths, allowances, choices)
    if isinstance(height, Unknown):
        return height
    span = scaled(height, tan(radians(angle)))
    half = scaled(span, 0.5)
    return Wedge(
        angle_deg=angle,
        height=height,
        span=span,
        on_back=total((bone.on_toe, half), origin="cut on the back of the bone"),
        on_sole=difference(bone.on_toe, half, origin="cut on the sole of the bone"),
    )


def _height(
    widths: WidthMatch | Unknown, allowances: Allowances, choices: Choices
) -> Measured | Unknown:
    typed = choices.bone_height_mm
    if not isinstance(typed, NotExamined):
        return Measured(value=typed, unit="mm", origin="height of the bone, given by the surgeon")
    if isinstance(widths, Unknown):
        return Unknown(
            reason=f"the bone's width at the cut is unknown ({widths.reason})",
            needed=("the height of the bone at the cut from a side view of the foot",),
        )
    share = allowances.roundness.measured("roundness")
    return product(widths.toe, share, origin="width on the film times height over width")


def product(one: Measured, share: Measured, *, origin: str) -> Measured:
    """Multiply a length by a bare number that is independent of it, to first order [mm]."""
    return Measured(
        value=one.value * share.value,
        unit=one.unit,
        origin=origin,
        terms=(
            *scaled(one, share.value).terms,
            *_spread(share.terms, one.value),
        ),
    )


def _spread(terms: Iterable[Term], factor: float) -> tuple[Term, ...]:
    return tuple(Term(input=term.input, sensitivity=term.sensitivity * factor) for term in terms)


@dataclass(frozen=True, slots=True, kw_only=True)
class Graft:
    """A piece of bone to be taken for a core."""

    site: GraftSite
    length: Measured | Unknown
    """[mm]"""
    width: Measured | Unknown
    """[mm]"""
    resorption: tuple[Basis, ...]


def graft_size(
    missing: Measured | Unknown, site: GraftSite, allowances: Allowances, choices: Choices
) -> Graft | Unknown:
    """Say how long and wide a graft is cut, with what it will lose.

    Parameters
    ----------
    missing
        Bone that is missing. [mm]
    site
        Where it is taken; print gives a loss for the iliac crest only.
    allowances, choices
        Freshening and peg inside the stump; the width wanted in the end.

    Notes
    -----
    Length = missing + taken off the stump + peg inside it + 2.3 mm of loss. Width = wanted
    width over (1 - 0.33). Both losses from [zhong-2023]_, iliac grafts as first metacarpals
    of children.
    """
    if site is GraftSite.NOT_DECIDED:
        return Unknown(
            reason="where the bone is taken was not decided",
            needed=("iliac crest or ulna as the source of the graft",),
        )
    if site is GraftSite.ULNA:
        none_read = Unknown(
            reason="no figure was read for how much a graft of the ulna loses",
            needed=("the allowance that the surgeon makes for its resorption",),
        )
        return Graft(site=site, length=none_read, width=none_read, resorption=())
    return Graft(
        site=site,
        length=_graft_length(missing, allowances),
        width=_graft_width(choices),
        resorption=(ILIAC_LENGTH_LOSS.basis, ILIAC_WIDTH_LOSS.basis),
    )


def _graft_length(missing: Measured | Unknown, allowances: Allowances) -> Measured | Unknown:
    if isinstance(missing, Unknown):
        return missing
    loss = Input(
        key="iliac graft shortens",
        name="loss of length of an iliac graft, between people",
        standard_uncertainty=ILIAC_LENGTH_LOSS.uncertainty or 0.0,
        unit="mm",
        basis=ILIAC_LENGTH_LOSS.basis.locator,
    )
    lost = Measured(
        value=ILIAC_LENGTH_LOSS.value,
        unit="mm",
        origin="loss of length of an iliac graft",
        terms=(Term(input=loss, sensitivity=1.0),),
    )
    parts = (
        missing,
        allowances.freshening.measured("freshening"),
        allowances.peg.measured("peg"),
        lost,
    )
    return total(parts, origin="length of the graft")


def _graft_width(choices: Choices) -> Measured | Unknown:
    wanted = choices.graft_width_mm
    if isinstance(wanted, NotExamined):
        return Unknown(
            reason="the width wanted in the end was not given",
            needed=("the width of bone wanted in the end, as the other thumb's proximal phalanx",),
        )
    return Measured(
        value=wanted / (1 - ILIAC_WIDTH_LOSS.value), unit="mm", origin="width of the graft"
    )
