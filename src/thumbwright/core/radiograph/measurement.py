"""Lengths of bones and rays between confirmed points, each with its budget of doubt.

A ray is measured along the middles of its joints, so that a bend in the plane of the film
costs nothing. What the film cannot show is tilt out of its plane: its mean effect enters the
value, because a tilted bone looks shorter and never longer, and the rest enters the doubt.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, radians, sqrt

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term, total
from thumbwright.core.radiograph.landmarks import FilmNote, Landmark, Ray
from thumbwright.core.radiograph.placements import PlacedPoints

Vector = np.ndarray[tuple[int], np.dtype[np.float64]]

TILT_CORRELATION = 0.9
"""How strongly the tilts of the bones of one ray hang together [-]; working assumption."""
SHORTEST_SEGMENT_MM = 4.0
"""A joint nearer than this to the end of a stump is not measured to by itself [mm]; assumed."""
BEAM_CENTRE_DOUBT_MM = 15.0
"""How far the central ray may fall from the middle of the film, one deviation [mm]; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """One place along a ray: a bone end, or a joint given by the ends of both bones."""

    name: str
    landmarks: tuple[Landmark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedLength:
    """A length and what it is the length of."""

    name: str
    length: Measured


def stations(ray: Ray, placed: PlacedPoints, *, end: Landmark | None = None) -> tuple[Station, ...]:
    """Return the places of a ray that were marked, from body to tip.

    Parameters
    ----------
    ray
        The ray.
    placed
        The points that there are.
    end
        A point that ends the ray before its tip (the end of a stump).
    """
    found: list[Station] = []
    for index, bone in enumerate(ray.bones):
        sides = (*((ray.bones[index - 1].head,) if index else ()), bone.base)
        marked = tuple(point for point in sides if point in placed.points)
        station = Station(name=ray.joints[index], landmarks=marked)
        if marked and not _at_the_end(placed, station, end):
            found.append(station)
    last = end or ray.bones[-1].head
    if last in placed.points:
        found.append(Station(name=last.words, landmarks=(last,)))
    return tuple(found)


def _at_the_end(placed: PlacedPoints, station: Station, end: Landmark | None) -> bool:
    """Tell whether a joint is where the stump ends: the head is left and no joint any more."""
    if end is None or end not in placed.points:
        return False
    off = _place(placed, station) - placed.place(end)
    return float(hypot(*off)) < SHORTEST_SEGMENT_MM


def along(
    placed: PlacedPoints, note: FilmNote, ray: Ray, path: Sequence[Station], *, name: str
) -> Measured | Unknown:
    """Measure a path along a ray, station by station.

    Parameters
    ----------
    placed, note
        Points and scale of the film, and what is said of it.
    ray
        The ray to which the path belongs; it names what the segments share.
    path
        Stations from body to tip.
    name
        What is measured, in words.

    Returns
    -------
    Measured | Unknown
        The length [mm]; unknown with fewer than two stations.
    """
    if len(path) < 2:
        return Unknown(
            reason=f"the {name} needs two places on film {placed.film} and has {len(path)}",
            needed=(f"the points of the {ray.name.value} on film {placed.film}",),
        )
    steps = tuple(pairwise(path))
    seen = [_apart(placed, start, stop) for start, stop in steps]
    parts = [
        _segment(placed, note, ray, start, stop, (sum(seen[:at]) - sum(seen[at + 1 :])) / 2)
        for at, (start, stop) in enumerate(steps)
    ]
    return total(parts, origin=f"{name} on film {placed.film}")


def bone_lengths(placed: PlacedPoints, note: FilmNote, ray: Ray) -> tuple[NamedLength, ...]:
    """Measure every bone of a ray whose two ends were placed."""
    found = []
    for bone in ray.bones:
        if bone.base in placed.points and bone.head in placed.points:
            ends = (
                Station(name=bone.base.words, landmarks=(bone.base,)),
                Station(name=bone.head.words, landmarks=(bone.head,)),
            )
            length = along(placed, note, ray, ends, name=f"{ray.name.value}, {bone.name}")
            if isinstance(length, Measured):
                found.append(NamedLength(name=bone.name, length=length))
    return tuple(found)


def _place(placed: PlacedPoints, station: Station) -> Vector:
    places = np.array([placed.place(point) for point in station.landmarks])
    middle: Vector = places.mean(axis=0)
    return middle


def _apart(placed: PlacedPoints, start: Station, stop: Station) -> float:
    """Return how far apart two places are seen on the plane of the bones [mm]."""
    return float(hypot(*(_place(placed, stop) - _place(placed, start))))


def _segment(
    placed: PlacedPoints,
    note: FilmNote,
    ray: Ray,
    start: Station,
    stop: Station,
    from_middle_mm: float,
) -> Measured:
    """Measure one straight segment; its terms name the inputs that other segments share."""
    seen = _apart(placed, start, stop)
    limit = radians(note.tilt_limit_deg)
    value = seen * (1 + limit**2 / 6)
    off = _off_axis_mm(placed, start, stop)
    terms = (
        *(
            Term(input=term.input, sensitivity=term.sensitivity * value)
            for term in placed.scale.relative
        ),
        *_placing_terms(placed, start, -1.0),
        *_placing_terms(placed, stop, 1.0),
        *_foreshortening_terms(placed, ray, stop, limit, value),
        *_lift_terms(placed, ray, stop, limit, value, (off, off - from_middle_mm)),
    )
    return Measured(value=value, unit="mm", origin=f"film {placed.film}", terms=terms)


def _placing_terms(placed: PlacedPoints, station: Station, sign: float) -> tuple[Term, ...]:
    share = sign / len(station.landmarks)
    return tuple(
        Term(input=doubt, sensitivity=share)
        for point in station.landmarks
        for doubt in (placed.placing(point), placed.pixel(point))
    )


def _off_axis_mm(placed: PlacedPoints, start: Station, stop: Station) -> float:
    """Return how far beyond the central ray a segment's middle lies, counted along the segment.

    The central ray is taken to fall on the middle of the film.
    """
    here, there = _place(placed, start), _place(placed, stop)
    seen = float(hypot(*(there - here)))
    if seen == 0.0:  # Bone that lies bare: bone end and skin end in one place.
        return 0.0
    off = (here + there) / 2 - np.array(placed.scale.to_mm(placed.scale.centre))
    return float(np.dot(off, (there - here) / seen))


def _foreshortening_terms(
    placed: PlacedPoints, ray: Ray, stop: Station, limit: float, value: float
) -> tuple[Term, ...]:
    """Return what a tilt takes off a segment, once for the ray and once for the bone.

    Notes
    -----
    For a tilt even on ±T the loss is ``t^2 / 2`` with mean ``T^2 / 6`` (added to the value)
    and standard deviation ``T^2 / sqrt(45)``. It is split into a part that the bones of the
    ray share and a part of the bone's own, by the square of the correlation of the tilts.
    """
    whole, loss = f"{placed.film} {ray.name.value}", limit**2 / sqrt(45)
    shared, own = TILT_CORRELATION, sqrt(1 - TILT_CORRELATION**2)
    return (
        _by_tilt(f"obliquity {whole}", "obliquity, foreshortening", loss * shared, "-", value),
        _by_tilt(
            f"flexion {whole} {stop.name}",
            f"flexion short of the {stop.name}",
            loss * own,
            "-",
            value,
        ),
    )


def _lift_terms(
    placed: PlacedPoints,
    ray: Ray,
    stop: Station,
    limit: float,
    value: float,
    arms_mm: tuple[float, float],
) -> tuple[Term, ...]:
    """Return what perspective makes of a tilt to first order, for the ray and for the bone.

    Parameters
    ----------
    placed, ray, stop
        Points, ray, and the end of the segment, which names the bone.
    limit
        Largest tilt. [rad]
    value
        Length of the segment. [mm]
    arms_mm
        At which a tilt of the whole ray acts, and at which one of this bone alone. [mm]

    Notes
    -----
    A bone of length ``L`` that rises by ``t`` towards its far end, its middle ``x`` beyond the
    central ray along the bone, is seen longer by ``t L x / H``. It also raises the bones
    beyond it by ``t L / 2`` and lowers those before it as much, about the height for which the
    scale holds; each is enlarged by its height over ``H``. Over the ray this comes to
    ``t L (x - m) / H`` with ``m`` the bone's place along the ray, from the ray's middle; where
    all bones tilt alike the ``m`` cancel. A tilt even on ±T has ``T / sqrt(3)``, split by the
    correlation of the tilts. That the central ray may fall beside the middle of the film acts
    on all bones alike, and as a product of two unknowns it is an input of its own.
    """
    whole = f"{placed.film} {ray.name.value}"
    alike, alone, beside = (
        value * arm_mm / placed.scale.source_to_bone_mm
        for arm_mm in (*arms_mm, BEAM_CENTRE_DOUBT_MM)
    )
    shared, own = (
        limit / sqrt(3) * sqrt(part) for part in (TILT_CORRELATION, 1 - TILT_CORRELATION)
    )
    bone = f"flexion short of the {stop.name}, one end nearer"
    return (
        _by_tilt(f"tilt {whole}", "obliquity, one end nearer", shared, "rad", alike),
        _by_tilt(f"beam {whole}", "obliquity beside the central ray", shared, "rad", beside),
        _by_tilt(f"bend {whole} {stop.name}", bone, own, "rad", hypot(alone, beside)),
    )


def _by_tilt(key: str, name: str, doubt: float, unit: str, sensitivity: float) -> Term:
    return Term(
        input=Input(
            key=key,
            name=name,
            standard_uncertainty=doubt,
            unit=unit,
            basis="limit of tilt stated for the film, taken as even",
        ),
        sensitivity=sensitivity,
    )
