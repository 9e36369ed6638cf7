"""All lengths of one case: what is left, what is wanted, what is missing, where to cut."""

from collections.abc import Sequence
from dataclasses import dataclass

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Finding, Side
from thumbwright.core.case.hand import OtherThumb
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured, difference
from thumbwright.core.radiograph.film_reading import FilmReading
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import GREAT_TOE, RAYS, SECOND_TOE, THUMB, Landmark, Ray
from thumbwright.core.radiograph.measurement import (
    NamedLength,
    Station,
    along,
    bone_lengths,
    stations,
)
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.core.radiograph.transposition import JointHeight, ToeCut, transpose
from thumbwright.core.radiograph.wanted_length import (
    WantedLength,
    wanted_from_other,
    wanted_from_proportions,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RayLengths:
    """The bones of one ray on one film."""

    film: str
    side: Side
    ray: Ray
    bones: tuple[NamedLength, ...]
    whole: Measured | Unknown
    """Along the ray, first marked place to last. [mm]"""
    skin_beyond_bone: Measured | Unknown
    """Soft shadow beyond the last bone. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class DonorToe:
    """One toe and where it would be cut."""

    side: Side
    ray: Ray
    cut: ToeCut | Unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class Lengths:
    """Every length of a case, in millimetres."""

    rays: tuple[RayLengths, ...]
    wanted: WantedLength
    stump: Measured | Unknown
    """CMC joint to the bone end of the stump."""
    stump_beyond_mcp: Measured | Unknown
    """MCP joint to the bone end of the stump."""
    metacarpal_left: Measured | Unknown
    missing: Measured | Unknown
    """Wanted less stump."""
    lost_joints: tuple[JointHeight, ...]
    toes: tuple[DonorToe, ...]
    remarks: tuple[str, ...]


def measure(case: Case, readings: Sequence[FilmReading]) -> Lengths:
    """Measure stump, pattern and toes, and carry the missing length over to each toe.

    Parameters
    ----------
    case
        The facts: which hand, whether the CMC joint is there, whether the other thumb is sound.
    readings
        The films, calibrated, with their confirmed points.
    """
    hand, hand_remark = film_of(readings, Region.HAND, case.injury.side)
    other, other_remark = film_of(readings, Region.HAND, case.injury.side.other)
    wanted = _wanted(case, hand, other)
    stump = _stump(case, hand)
    missing = _missing(wanted.length, stump)
    lost = _lost(wanted.joints, missing)
    return Lengths(
        rays=tuple(length for reading in readings for length in _rays(reading)),
        wanted=wanted,
        stump=stump,
        stump_beyond_mcp=_stump_from(hand, "MCP joint"),
        metacarpal_left=_metacarpal_left(case, hand),
        missing=missing,
        lost_joints=lost,
        toes=tuple(_toe(readings, side, ray, missing, lost) for side in Side for ray in TOES),
        remarks=tuple(
            remark for remark in (hand_remark, other_remark, _views(hand, other)) if remark
        ),
    )


TOES = (SECOND_TOE, GREAT_TOE)


def film_of(
    readings: Sequence[FilmReading], region: Region, side: Side
) -> tuple[FilmReading | Unknown, str]:
    """Return the film to measure a part on, and a remark if there was a choice."""
    films = [each for each in readings if (each.note.region, each.note.side) == (region, side)]
    if not films:
        part = f"{side.value} {region.value}"
        return Unknown(
            reason=f"there is no film of the {part}", needed=(f"a film of the {part}",)
        ), ""
    usable = [each for each in films if each.measures]
    chosen = usable[0] if usable else films[0]
    remark = ""
    if len(usable) > 1:
        others = ", ".join(each.note.file for each in usable[1:])
        remark = f"Measured on {chosen.note.file}; {others} shows the same part and was not used."
    return chosen, remark


def _points(reading: FilmReading | Unknown) -> PlacedPoints | Unknown:
    return reading if isinstance(reading, Unknown) else reading.placed


def _views(hand: FilmReading | Unknown, other: FilmReading | Unknown) -> str:
    if isinstance(hand, Unknown) or isinstance(other, Unknown):
        return ""
    if hand.note.view is other.note.view:
        return ""
    return (
        f"The two hands were filmed in different views ({hand.note.view.value} and "
        f"{other.note.view.value}); like views compare better."
    )


def _wanted(case: Case, hand: FilmReading | Unknown, other: FilmReading | Unknown) -> WantedLength:
    if case.other_thumb in {OtherThumb.LOST, OtherThumb.DAMAGED}:
        placed = _points(hand)
        if isinstance(placed, PlacedPoints) and isinstance(hand, FilmReading):
            return wanted_from_proportions(placed, hand.note)
        return wanted_from_proportions(None, None)
    placed = _points(other)
    if isinstance(placed, PlacedPoints) and isinstance(other, FilmReading):
        return wanted_from_other(placed, other.note, case.other_thumb)
    reason = placed if isinstance(placed, Unknown) else Unknown(reason="it was not filmed")
    pattern = wanted_from_proportions(None, None)
    return WantedLength(
        length=reason, joints=(), basis=pattern.basis, words="The other thumb was not measured."
    )


def _stump(case: Case, hand: FilmReading | Unknown) -> Measured | Unknown:
    placed = _points(hand)
    marked = isinstance(placed, PlacedPoints) and Landmark.METACARPAL_BASE in placed.points
    if case.kept.cmc.present is Finding.NO and not marked:
        return Measured(
            value=0.0, unit="mm", origin="nothing of the ray is left beyond the CMC joint"
        )
    return _stump_from(hand, "CMC joint")


def _stump_path(placed: PlacedPoints) -> tuple[Station, ...]:
    return stations(THUMB, placed, end=Landmark.STUMP_BONE_END)


def _stump_from(hand: FilmReading | Unknown, joint: str) -> Measured | Unknown:
    """Measure from a joint of the injured thumb to the bone end of its stump [mm]."""
    placed = _points(hand)
    if isinstance(placed, Unknown) or isinstance(hand, Unknown):
        return placed if isinstance(placed, Unknown) else Unknown(reason="there is no film")
    path = _stump_path(placed)
    names = [station.name for station in path]
    if joint not in names or Landmark.STUMP_BONE_END not in placed.points:
        return Unknown(
            reason=f"the stump was not marked from its {joint} to its bone end on {placed.film}",
            needed=(f"{joint} and stump bone end on film {placed.film}",),
        )
    left_out = _left_out(names[names.index(joint) :])
    if left_out:
        return Unknown(
            reason=f"the {left_out} of the stump was not marked on {placed.film}",
            needed=(f"the points of the {left_out} on film {placed.film}",),
        )
    return along(
        placed, hand.note, THUMB, path[names.index(joint) :], name=f"stump from its {joint}"
    )


def _left_out(names: Sequence[str]) -> str:
    """Return the joints passed over between the first and the last that were marked."""
    marked = [at for at, joint in enumerate(THUMB.joints) if joint in names]
    return " and ".join(THUMB.joints[at] for at in range(marked[0], marked[-1]) if at not in marked)


def _metacarpal_left(case: Case, hand: FilmReading | Unknown) -> Measured | Unknown:
    """Return the length of metacarpal that is left, from the CMC joint [mm]."""
    placed = _points(hand)
    if isinstance(placed, PlacedPoints) and isinstance(hand, FilmReading):
        for bone in bone_lengths(placed, hand.note, THUMB):
            if bone.name == "first metacarpal":
                return bone.length
        beyond = {Landmark.METACARPAL_HEAD, Landmark.PROXIMAL_PHALANX_BASE}
        if beyond & set(placed.points) or case.kept.mcp.present is Finding.YES:
            return Unknown(
                reason=f"the metacarpal was not marked at both ends on film {placed.film}",
                needed=(f"metacarpal base and head on film {placed.film}",),
            )
    return _stump(case, hand)


def _missing(wanted: Measured | Unknown, stump: Measured | Unknown) -> Measured | Unknown:
    if isinstance(wanted, Unknown):
        return Unknown(
            reason=f"the wanted length is unknown ({wanted.reason})", needed=wanted.needed
        )
    if isinstance(stump, Unknown):
        return Unknown(reason=f"the stump is unknown ({stump.reason})", needed=stump.needed)
    return difference(wanted, stump, origin="wanted length less stump")


def _lost(joints: Sequence[JointHeight], missing: Measured | Unknown) -> tuple[JointHeight, ...]:
    if isinstance(missing, Unknown):
        return ()
    return tuple(
        joint
        for joint in joints
        if isinstance(joint.from_tip, Measured) and joint.from_tip.value <= missing.value
    )


def _toe(
    readings: Sequence[FilmReading],
    side: Side,
    ray: Ray,
    missing: Measured | Unknown,
    lost: Sequence[JointHeight],
) -> DonorToe:
    foot, _ = film_of(readings, Region.FOOT, side)
    placed = _points(foot)
    cut: ToeCut | Unknown
    if isinstance(missing, Unknown):
        cut = Unknown(
            reason=f"the missing length is unknown ({missing.reason})", needed=missing.needed
        )
    elif isinstance(placed, PlacedPoints) and isinstance(foot, FilmReading):
        cut = transpose(placed, foot.note, ray, missing, lost)
    else:
        cut = placed if isinstance(placed, Unknown) else Unknown(reason="there is no film")
    return DonorToe(side=side, ray=ray, cut=cut)


def _rays(reading: FilmReading) -> tuple[RayLengths, ...]:
    placed = reading.placed
    if isinstance(placed, Unknown):
        return ()
    found = []
    for ray in RAYS.values():
        path = (
            _stump_path(placed)
            if Landmark.STUMP_BONE_END in placed.points and ray is THUMB
            else stations(ray, placed)
        )
        if ray.region is not reading.note.region or len(path) < 2:
            continue
        name = f"{reading.note.side.value} {ray.name.value}, {path[0].name} to {path[-1].name}"
        found.append(
            RayLengths(
                film=placed.film,
                side=reading.note.side,
                ray=ray,
                bones=bone_lengths(placed, reading.note, ray),
                whole=along(placed, reading.note, ray, path, name=name),
                skin_beyond_bone=_skin(placed, reading, ray),
            )
        )
    return tuple(found)


def _skin(placed: PlacedPoints, reading: FilmReading, ray: Ray) -> Measured | Unknown:
    pairs = (
        (ray.bones[-1].head, ray.skin_tip),
        (Landmark.STUMP_BONE_END, Landmark.STUMP_SKIN_END),
    )
    for bone_end, skin_end in pairs:
        if bone_end in placed.points and skin_end in placed.points:
            ends = tuple(
                Station(name=point.words, landmarks=(point,)) for point in (bone_end, skin_end)
            )
            return along(
                placed, reading.note, ray, ends, name=f"{ray.name.value}, skin beyond bone"
            )
    is_stump = Landmark.STUMP_BONE_END in placed.points
    end = Landmark.STUMP_SKIN_END if is_stump else ray.skin_tip
    return Unknown(
        reason=f"the end of the skin was not placed on film {placed.film}",
        needed=(f"the {end.words} on film {placed.film}",),
    )
