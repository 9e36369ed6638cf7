"""How long the thumb should be: as the other thumb, or by published proportions."""

from collections.abc import Mapping
from dataclasses import dataclass

from thumbwright.core.case.hand import OtherThumb
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term, ratio, total
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.radiograph.landmarks import THUMB, Bone, FilmNote, Landmark
from thumbwright.core.radiograph.measurement import Station, along, stations
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.core.radiograph.transposition import JointHeight, joint_heights

_RECALLED = Basis(
    provenance=Provenance.RECALLED,
    source="buryanov-kotiuk-2010",
    locator="table of bone lengths, values from memory",
)
THUMB_BONES: Mapping[str, Published] = {
    "first metacarpal": Published(value=46.22, uncertainty=3.94, unit="mm", basis=_RECALLED),
    "proximal phalanx": Published(value=31.57, uncertainty=3.13, unit="mm", basis=_RECALLED),
    "distal phalanx": Published(value=21.67, uncertainty=1.60, unit="mm", basis=_RECALLED),
}
"""Mean and standard deviation of adult thumb bones on films."""
INDEX_METACARPAL = Published(value=68.12, uncertainty=6.27, unit="mm", basis=_RECALLED)
JOINT_SPACE = Published(
    value=1.5,
    uncertainty=0.5,
    unit="mm",
    basis=Basis(provenance=Provenance.RECALLED, locator="MCP joint space 1.5 to 2.0 mm"),
)
"""Space of a thumb joint on a film; two of them lie between the three bones."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedLength:
    """The length a whole thumb has, from the CMC joint to the bony tip."""

    length: Measured | Unknown
    joints: tuple[JointHeight, ...]
    """Joints of the pattern thumb, from its bony tip; empty if it was not filmed."""
    basis: Basis
    words: str
    """How it was come by, a sentence."""


def wanted_from_other(placed: PlacedPoints, note: FilmNote, state: OtherThumb) -> WantedLength:
    """Measure the other thumb as the pattern, joint by joint.

    Notes
    -----
    A joint that was not marked makes the length unknown: the way would cut the corner where
    the thumb is bent there, by 1 mm at 20 degrees.
    """
    path = stations(THUMB, placed)
    marked = {station.name for station in path}
    ends = (*THUMB.joints, THUMB.bones[-1].head.words)
    absent = " and ".join(end for end in ends if end not in marked)
    length = (
        Unknown(
            reason=f"the {absent} of the other thumb was not marked on film {placed.film}",
            needed=(f"the points of the {absent} on film {placed.film}",),
        )
        if absent
        else along(placed, note, THUMB, path, name="other thumb, CMC joint to bony tip")
    )
    doubt = (
        " Whether that thumb is sound was not examined." if state is OtherThumb.NOT_EXAMINED else ""
    )
    return WantedLength(
        length=length,
        joints=joint_heights(placed, note, THUMB),
        basis=Basis(provenance=Provenance.COMMON_PRACTICE),
        words=f"The other thumb on film {placed.film} is the pattern.{doubt}",
    )


def wanted_from_proportions(placed: PlacedPoints | None, note: FilmNote | None) -> WantedLength:
    """Scale a whole thumb from a bone that is left, by published adult proportions.

    Notes
    -----
    Length = bone measured x (sum of mean thumb bones + two joint spaces) / mean of that bone.
    Its doubt takes the spreads of different bones as independent, which is more than people
    show; the first metacarpal's own spread stands in both the sum and the bone.
    """
    ends = {
        "first metacarpal": (Landmark.METACARPAL_BASE, Landmark.METACARPAL_HEAD),
        "index metacarpal": (Landmark.INDEX_METACARPAL_BASE, Landmark.INDEX_METACARPAL_HEAD),
    }
    for name, (base, head) in ends.items():
        if placed and note and base in placed.points and head in placed.points:
            bone = Bone(name=name, base=base, head=head)
            return _scaled_from(placed, note, bone)
    return WantedLength(
        length=Unknown(
            reason="there is no other thumb to measure and no whole metacarpal was marked",
            needed=("the ends of the thumb's or the index metacarpal on the film of the hand",),
        ),
        joints=(),
        basis=_RECALLED,
        words="No pattern for the length was found.",
    )


def proportion(bone: str) -> Published:
    """Return a whole thumb over one bone, by published adult means [-].

    Parameters
    ----------
    bone
        ``first metacarpal`` or ``index metacarpal``.

    Examples
    --------
    >>> round(proportion("first metacarpal").value, 3)
    2.217
    """
    spaces = {f"{joint} space": JOINT_SPACE for joint in THUMB.joints[1:]}
    parts = {
        name: _spread(name, published) for name, published in {**THUMB_BONES, **spaces}.items()
    }
    part = parts.get(bone) or _spread(bone, INDEX_METACARPAL)
    share = ratio(total(parts.values(), origin="whole thumb"), part, origin="proportion")
    return Published(value=share.value, uncertainty=share.uncertainty, unit="-", basis=_RECALLED)


def _spread(name: str, published: Published) -> Measured:
    """Return an adult mean whose doubt is the spread between people [mm]."""
    between = Input(
        key=f"adult {name}",
        name=f"{name} between people",
        standard_uncertainty=published.uncertainty or 0.0,
        unit=published.unit,
    )
    return Measured(
        value=published.value,
        unit=published.unit,
        origin="adult mean",
        terms=(Term(input=between, sensitivity=1.0),),
    )


def _scaled_from(placed: PlacedPoints, note: FilmNote, bone: Bone) -> WantedLength:
    path = tuple(Station(name=end.words, landmarks=(end,)) for end in (bone.base, bone.head))
    measured = along(placed, note, THUMB, path, name=bone.name)
    factor = proportion(bone.name)
    if isinstance(measured, Measured):
        spread = Term(
            input=Input(
                key=f"proportion {bone.name}",
                name=f"whole thumb over {bone.name}, between people",
                standard_uncertainty=factor.uncertainty or 0.0,
                unit="-",
                basis="adult means and spreads, from memory, unverified",
            ),
            sensitivity=measured.value,
        )
        measured = Measured(
            value=measured.value * factor.value,
            unit="mm",
            origin=f"{bone.name} on film {placed.film} times a published proportion",
            terms=(
                *(
                    Term(input=term.input, sensitivity=term.sensitivity * factor.value)
                    for term in measured.terms
                ),
                spread,
            ),
        )
    return WantedLength(
        length=measured,
        joints=(),
        basis=_RECALLED,
        words=(
            f"There is no other thumb to go by, so the {bone.name} was multiplied by "
            f"{factor.value:.2f}, from adult proportions (from memory, unverified)."
        ),
    )
