"""Several placements of the named points on one film, drawn together, with the observer's doubt."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot, inf, sqrt

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Evaluation, Input
from thumbwright.core.radiograph.calibration import READING, Scale
from thumbwright.core.radiograph.landmarks import FilmNote, Landmark, Point

PIXEL_SHARE = 1 / sqrt(12)
"""Doubt of reading a place to the nearest pixel [px]: F.2.2.1 of [jcgm-100-2008]_."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPoints:
    """The confirmed points of one film in millimetres on the plane of the bones."""

    film: str
    scale: Scale
    points: Mapping[Landmark, Point]
    """Mean place of each point (column, row). [px]"""
    repeats: Mapping[Landmark, int]
    """How often each point was placed."""
    scatter_mm: float
    """Standard deviation of one placement along one direction. [mm]"""
    degrees_of_freedom: float
    """Of the scatter; infinite where it was assumed. [-]"""

    @property
    def observed(self) -> bool:
        """Tell whether the scatter comes from repeats on this film."""
        return self.degrees_of_freedom < inf

    def place(self, landmark: Landmark) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        """Return the place of a point as (right, down) on the plane of the bones [mm]."""
        return np.array(self.scale.to_mm(self.points[landmark]))

    def placing(self, landmark: Landmark) -> Input:
        """Return the doubt of one point's place along a direction, from the observer [mm]."""
        basis = (
            f"scatter of repeated placements on this film, {self.scatter_mm:.2f} mm each"
            if self.observed
            else f"{READING.value} mm a placement, {READING.basis.provenance.label}"
        )
        return Input(
            key=f"observer {self.film}|{landmark.value}",
            name=f"placing of the {landmark.words}",
            standard_uncertainty=self.scatter_mm / sqrt(self.repeats[landmark]),
            unit="mm",
            evaluation=Evaluation.TYPE_A if self.observed else Evaluation.TYPE_B,
            degrees_of_freedom=self.degrees_of_freedom,
            basis=basis,
        )

    def pixel(self, landmark: Landmark) -> Input:
        """Return the doubt of one point's place from the size of a pixel [mm]."""
        return Input(
            key=f"pixel {self.film} {landmark.value}",
            name=f"pixel at the {landmark.words}",
            standard_uncertainty=PIXEL_SHARE * max(self.scale.column_mm, self.scale.row_mm),
            unit="mm",
            basis="half a pixel either way, taken as even",
        )


def gather(note: FilmNote, scale: Scale) -> PlacedPoints | Unknown:
    """Average the confirmed placements of one film and find the observer's scatter.

    Returns
    -------
    PlacedPoints | Unknown
        Unknown where no placement is confirmed: what the program proposed and nobody looked
        at is never used.

    Notes
    -----
    The scatter is pooled over all points placed more than once, both directions taken as
    alike: the pooled estimate of H.3.6 and 4.2.4 of [jcgm-100-2008]_, degrees of freedom two for
    each repeat beyond the first. A scatter below what a pixel allows is raised to it,
    because points that agree to the pixel were copied and not placed anew.
    """
    confirmed = [placement for placement in note.placements if placement.confirmed]
    if not confirmed:
        waiting = bool(note.placements)
        return Unknown(
            reason=f"the points on film {note.file} were "
            + ("proposed by the program and not confirmed" if waiting else "not placed"),
            needed=(f"a person who places and confirms the points on film {note.file}",),
        )
    places: dict[Landmark, list[Point]] = defaultdict(list)
    for placement in confirmed:
        for landmark, point in placement.points.items():
            places[landmark].append(point)
    scatter, freedom = _pooled_scatter_mm(places, scale)
    return PlacedPoints(
        film=note.file,
        scale=scale,
        points={landmark: _mean(points) for landmark, points in places.items()},
        repeats={landmark: len(points) for landmark, points in places.items()},
        scatter_mm=scatter,
        degrees_of_freedom=freedom,
    )


def _mean(points: list[Point]) -> Point:
    column, row = np.mean(points, axis=0)
    return float(column), float(row)


def _pooled_scatter_mm(places: Mapping[Landmark, list[Point]], scale: Scale) -> tuple[float, float]:
    squares, freedom = 0.0, 0
    for points in places.values():
        off = (np.array(points) - np.mean(points, axis=0)) * (scale.column_mm, scale.row_mm)
        squares += float(np.sum(off**2))
        freedom += 2 * (len(points) - 1)
    if freedom == 0:
        return READING.value, inf
    floor = PIXEL_SHARE * hypot(scale.column_mm, scale.row_mm) / sqrt(2)
    return max(sqrt(squares / freedom), floor), float(freedom)
