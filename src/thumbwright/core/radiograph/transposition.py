"""From the missing length to the place on the toe where the bone is cut."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured, difference
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.radiograph.landmarks import SECOND_TOE, FilmNote, Point, Ray
from thumbwright.core.radiograph.measurement import Station, along, stations
from thumbwright.core.radiograph.placements import PlacedPoints

AT_JOINT_MM = 3.0
"""Within this of a joint line a cut is called a cut at the joint [mm]; working assumption."""
MATCH_MM = 15.0
"""Farther apart than this, a toe joint is not said to stand for a thumb joint [mm]; assumed."""

MTP_EXTENDS = Statement(
    text=(
        "The MTP joint of a toe extends more than it bends; the angle at which it is set is the "
        "surgeon's decision."
    ),
    basis=Basis(provenance=Provenance.COMMON_PRACTICE),
)
SECOND_HEAD_GOES = Statement(
    text=(
        "The cut falls in the second metatarsal, so its head goes with the toe. In 12 cadaver "
        "feet the load of the forefoot shifted when the far third of the second metatarsal was "
        "taken and not when the toe alone was."
    ),
    basis=Basis(provenance=Provenance.READ, source="plantar-pressure-2016", locator="abstract"),
)

FIRST_HEAD_GOES = Statement(
    text=(
        "The cut falls in the first metatarsal, so its head goes with the toe, and with it much "
        "of the push-off of the foot."
    ),
    basis=Basis(provenance=Provenance.COMMON_PRACTICE),
)


class Place(Enum):
    """Where along a bone the cut falls."""

    JOINT = "at the joint"
    SHAFT = "in the shaft"


@dataclass(frozen=True, slots=True, kw_only=True)
class JointHeight:
    """How far a joint of a ray lies from the bony tip."""

    name: str
    from_tip: Measured | Unknown
    """[mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointMatch:
    """Which joint of the toe comes to stand where a lost joint of the thumb was."""

    toe_joint: str
    thumb_joint: str
    offset: Measured
    """Toe joint minus thumb joint, from the tip: positive is nearer the body. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToeCut:
    """Where one toe is cut so that the missing length is supplied."""

    ray: Ray
    side: Side
    film: str
    wanted: Measured
    """Bone to take, from the bony tip of the toe. [mm]"""
    place: Place
    bone: str
    joint: str
    """The joint from whose line the cut is measured."""
    from_joint: Measured
    """Cut minus joint line along the ray: positive is nearer the body. [mm]"""
    at: Point
    """The cut on the ray's axis. [px]"""
    along: tuple[float, float]
    """Unit vector of the axis there, towards the tip (right, down). [-]"""
    takes_joints: tuple[str, ...]
    """Joints that go with the toe, nearest the body first."""
    matches: tuple[JointMatch, ...]
    remarks: tuple[Statement, ...] = ()


def joint_heights(placed: PlacedPoints, note: FilmNote, ray: Ray) -> tuple[JointHeight, ...]:
    """Measure how far each marked joint of a ray lies from its bony tip, body first."""
    path = stations(ray, placed)
    if not path or path[-1].landmarks[0] is not ray.bones[-1].head:
        missing = Unknown(
            reason=f"the bony tip of the {ray.name.value} was not placed on film {placed.film}",
            needed=(f"the {ray.bones[-1].head.words} on film {placed.film}",),
        )
        return tuple(JointHeight(name=joint, from_tip=missing) for joint in ray.joints)
    return tuple(
        JointHeight(
            name=station.name,
            from_tip=along(placed, note, ray, path[at:], name=f"{station.name} to tip"),
        )
        for at, station in enumerate(path[:-1])
    )


def transpose(
    placed: PlacedPoints,
    note: FilmNote,
    ray: Ray,
    wanted: Measured,
    lost: Sequence[JointHeight],
) -> ToeCut | Unknown:
    """Find where a toe is cut so that it brings the wanted length of bone.

    Parameters
    ----------
    placed, note
        Points and scale of the foot film, and what is said of it.
    ray
        The toe.
    wanted
        Length of bone to bring, tip to cut. [mm]
    lost
        Joints of the thumb that are gone, with their distance from the thumb's bony tip.

    Returns
    -------
    ToeCut | Unknown
        Unknown if the toe was not marked from its tip to beyond the cut, or if a joint was
        left out where the cut falls, so that nobody can tell in which bone.

    Notes
    -----
    The cut is stated from the nearest joint line, since that is what the surgeon sees. Its
    doubt therefore holds the doubt of the wanted length and that of the toe's own length from
    the joint line to its tip, which lies on another film.
    """
    known = [
        (height.name, height.from_tip)
        for height in joint_heights(placed, note, ray)
        if isinstance(height.from_tip, Measured)
    ]
    obstacle = _obstacle(placed, ray, wanted, known)
    if obstacle is not None:
        return obstacle
    name, height = min(known, key=lambda pair: abs(wanted.value - pair[1].value))
    at, direction, bone = _on_film(placed, ray, stations(ray, placed), known, wanted.value)
    from_joint = difference(wanted, height, origin=f"cut on the {ray.name.value}")
    taken = _taken(ray, known, wanted.value)
    return ToeCut(
        ray=ray,
        side=note.side,
        film=placed.film,
        wanted=wanted,
        place=Place.JOINT if abs(from_joint.value) <= AT_JOINT_MM else Place.SHAFT,
        bone=bone,
        joint=name,
        from_joint=from_joint,
        at=at,
        along=direction,
        takes_joints=taken,
        matches=_matches(known, lost, taken),
        remarks=_remarks(ray, known, wanted),
    )


def _obstacle(
    placed: PlacedPoints, ray: Ray, wanted: Measured, known: Sequence[tuple[str, Measured]]
) -> Unknown | None:
    """Return why no cut can be placed, if so."""
    if wanted.value <= 0:
        return Unknown(reason="no bone is missing")
    if not known:
        return Unknown(
            reason=f"the {ray.name.value} was not marked on film {placed.film}",
            needed=(f"the points of the {ray.name.value} on film {placed.film}",),
        )
    marked = known[0][1].value
    if wanted.value > marked:
        return Unknown(
            reason=(
                f"the {ray.name.value} is marked over {marked:.1f} mm from its tip, and "
                f"{wanted.value:.1f} mm are wanted"
            ),
            needed=("another source of length (bone graft, the metatarsal's points)",),
        )
    left_out = _left_out(ray, known, wanted.value)
    if not left_out:
        return None
    joints = " and ".join(left_out)
    return Unknown(
        reason=(
            f"the cut falls beside the {joints} of the {ray.name.value}, not marked on film "
            f"{placed.film}, so it cannot be told in which bone"
        ),
        needed=(f"the points of the {joints} on film {placed.film}",),
    )


def _body_side(known: Sequence[tuple[str, Measured]], wanted_mm: float) -> int:
    """Return which of the marked joints is the next one from the cut towards the body."""
    return max(at for at, (_, reach) in enumerate(known) if reach.value >= wanted_mm)


def _left_out(ray: Ray, known: Sequence[tuple[str, Measured]], wanted_mm: float) -> tuple[str, ...]:
    """Return the joints that were not marked between the two marked places about the cut."""
    body = _body_side(known, wanted_mm)
    names = [name for name, _ in known[body : body + 2]]
    start = ray.joints.index(names[0]) + 1
    stop = ray.joints.index(names[1]) if len(names) > 1 else len(ray.joints)
    return ray.joints[start:stop]


def _taken(ray: Ray, known: Sequence[tuple[str, Measured]], wanted_mm: float) -> tuple[str, ...]:
    """Return the joints that go with the toe; one that was not marked goes if it lies beyond."""
    reaches = {name: reach.value for name, reach in known}
    body = ray.joints.index(known[_body_side(known, wanted_mm)][0])
    return tuple(
        joint
        for at, joint in enumerate(ray.joints)
        if (reaches[joint] < wanted_mm - AT_JOINT_MM if joint in reaches else at > body)
    )


def _on_film(
    placed: PlacedPoints,
    ray: Ray,
    path: Sequence[Station],
    known: Sequence[tuple[str, Measured]],
    wanted_mm: float,
) -> tuple[Point, tuple[float, float], str]:
    """Return the cut's pixel, the axis there, and the bone it falls in.

    The joints' distances are corrected for tilt, so the cut is found as a share of its segment
    and not by laying millimetres on the picture.
    """
    reaches = [reach.value for _, reach in known] + [0.0]
    body = _body_side(known, wanted_mm)
    share = (reaches[body] - wanted_mm) / (reaches[body] - reaches[body + 1])
    start, stop = (
        np.mean([placed.points[point] for point in station.landmarks], axis=0)
        for station in (path[body], path[body + 1])
    )
    cut = start + share * (stop - start)
    axis = (stop - start) / float(np.hypot(*(stop - start)))
    bone = ray.bones[ray.joints.index(known[body][0])].name
    return (float(cut[0]), float(cut[1])), (float(axis[0]), float(axis[1])), bone


def _matches(
    known: Sequence[tuple[str, Measured]], lost: Sequence[JointHeight], taken: Sequence[str]
) -> tuple[JointMatch, ...]:
    """Pair lost joints with joints that are taken, the nearest pair first, each joint once."""
    pairs = [
        JointMatch(
            toe_joint=name,
            thumb_joint=joint.name,
            offset=difference(reach, joint.from_tip, origin="toe joint against thumb joint"),
        )
        for joint in lost
        for name, reach in known
        if isinstance(joint.from_tip, Measured) and name in taken
    ]
    found: dict[str, JointMatch] = {}
    for pair in sorted(pairs, key=lambda pair: abs(pair.offset.value)):
        is_spoken_for = pair.toe_joint in {other.toe_joint for other in found.values()}
        if abs(pair.offset.value) <= MATCH_MM and not is_spoken_for:
            found.setdefault(pair.thumb_joint, pair)
    return tuple(found[joint.name] for joint in lost if joint.name in found)


def _remarks(
    ray: Ray, known: Sequence[tuple[str, Measured]], wanted: Measured
) -> tuple[Statement, ...]:
    mtp = dict(known).get("MTP joint")
    if mtp is None or wanted.value <= mtp.value - AT_JOINT_MM:
        return ()
    if wanted.value <= mtp.value + AT_JOINT_MM:
        return (MTP_EXTENDS,)
    return (MTP_EXTENDS, SECOND_HEAD_GOES if ray is SECOND_TOE else FIRST_HEAD_GOES)
