"""Whether the bone of the toe is as wide at the cut as the bone of the stump."""

from dataclasses import dataclass

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term, ratio
from thumbwright.core.radiograph.bone_width import BoneWidth, width_across
from thumbwright.core.radiograph.calibration import Scale
from thumbwright.core.radiograph.film_reading import SQUARE_SHARE, FilmReading
from thumbwright.core.radiograph.landmarks import THUMB, Landmark, Point
from thumbwright.core.radiograph.measurement import stations
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.core.radiograph.transposition import ToeCut

BACK_FROM_END_MM = 3.0
"""How far from the end of the stump its width is read, where the bone is still whole [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WidthMatch:
    """Widths at the cut and at the stump, and the one over the other."""

    toe: Measured
    stump: Measured
    toe_over_stump: Measured


def match_widths(
    hand: FilmReading | Unknown, foot: FilmReading | Unknown, cut: ToeCut
) -> WidthMatch | Unknown:
    """Compare the toe's bone at the cut with the bone at the end of the stump.

    Returns
    -------
    WidthMatch | Unknown
        Unknown where an edge of either bone cannot be told from the film.
    """
    if isinstance(hand, Unknown) or isinstance(foot, Unknown):
        return hand if isinstance(hand, Unknown) else _missing(foot)
    end = _stump_end(hand)
    if isinstance(end, Unknown):
        return end
    stump = _width(hand, *end, "stump")
    toe = _width(foot, cut.at, cut.along, cut.ray.name.value)
    if isinstance(stump, Unknown):
        return stump
    if isinstance(toe, Unknown):
        return toe
    return WidthMatch(
        toe=toe, stump=stump, toe_over_stump=ratio(toe, stump, origin="toe width over stump width")
    )


def _missing(reading: FilmReading | Unknown) -> Unknown:
    return reading if isinstance(reading, Unknown) else Unknown(reason="there is no film")


def _stump_end(hand: FilmReading) -> tuple[Point, tuple[float, float]] | Unknown:
    """Return a place on the stump's bone shortly before its end, and the bone's direction."""
    placed = hand.placed
    if isinstance(placed, Unknown):
        return placed
    path = stations(THUMB, placed, end=Landmark.STUMP_BONE_END)
    if len(path) < 2 or Landmark.STUMP_BONE_END not in placed.points:
        return Unknown(
            reason="the bone end of the stump was not placed",
            needed=(f"the stump bone end on film {placed.film}",),
        )
    start, end = (_pixel(placed, station.landmarks) for station in path[-2:])
    length_px = float(np.hypot(*(end - start)))
    axis = (end - start) / length_px
    back_px = min(BACK_FROM_END_MM / placed.scale.column_mm, length_px / 2)
    place = end - back_px * axis
    return (float(place[0]), float(place[1])), (float(axis[0]), float(axis[1]))


def _pixel(
    placed: PlacedPoints, landmarks: tuple[Landmark, ...]
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    places = np.array([placed.points[point] for point in landmarks])
    middle: np.ndarray[tuple[int], np.dtype[np.float64]] = places.mean(axis=0)
    return middle


def _width(
    reading: FilmReading, at: Point, axis: tuple[float, float], name: str
) -> Measured | Unknown:
    scale = reading.scale
    if isinstance(scale, Unknown):
        return scale
    if abs(scale.row_mm / scale.column_mm - 1) > SQUARE_SHARE:
        return Unknown(
            reason=f"pixels of film {scale.film} are not square; widths need square ones",
            needed=(f"the width of the bone measured by hand on film {scale.film}",),
        )
    found = width_across(reading.film.values, at, axis, mm_per_px=scale.column_mm)
    if isinstance(found, Unknown):
        return found
    return _in_mm(found, scale, name)


def _in_mm(found: BoneWidth, scale: Scale, name: str) -> Measured:
    edge = Input(
        key=f"width {scale.film} {name}",
        name=f"edges of the {name}'s bone",
        standard_uncertainty=found.standard_uncertainty_px * scale.column_mm,
        unit="mm",
        basis="proposed by the program from the grey values; to be looked at",
    )
    width = found.width_px * scale.column_mm
    return Measured(
        value=width,
        unit="mm",
        origin=f"width on film {scale.film}",
        terms=(
            Term(input=edge, sensitivity=1.0),
            *(
                Term(input=term.input, sensitivity=term.sensitivity * width)
                for term in scale.relative
            ),
        ),
    )
