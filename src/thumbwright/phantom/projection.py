"""The cone beam: where a point in space falls on the detector, and how wide a ball's shadow is.

Frame of the detector: the detector is the plane ``z = 0``; ``x`` grows with the column, ``y``
with the row (downwards on the picture), ``z`` towards the source. The origin is the centre of
the upper left pixel. Seen from the source, the picture is as it is stored; with ``z`` towards
the viewer the frame is therefore left-handed.
"""

from dataclasses import dataclass
from math import cos, hypot, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.landmarks import Point

Place = tuple[float, float, float]
"""A point in space (x, y, z) in the frame of the detector. [mm]"""
Vector = NDArray[np.float64]
"""Three numbers: a place or a direction."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """Detector and source."""

    rows: int
    columns: int
    row_pitch_mm: float
    """From one row to the next."""
    column_pitch_mm: float
    """From one column to the next."""
    source_mm: tuple[float, float]
    """Foot of the perpendicular from the source (x, y)."""
    source_to_detector_mm: float

    def __post_init__(self) -> None:
        """Refuse a detector or a source that cannot be."""
        size = min(self.rows, self.columns) >= 16 and max(self.rows, self.columns) <= 6000
        if not (size and min(self.row_pitch_mm, self.column_pitch_mm) > 0):
            msg = (
                f"a detector was given with {self.rows} rows of {self.row_pitch_mm} mm and "
                f"{self.columns} columns of {self.column_pitch_mm} mm; allowed are 16 to 6,000 "
                "of each and a pitch above 0; choose a coarser or finer pitch"
            )
            raise FilmError(msg)
        if not 300 <= self.source_to_detector_mm <= 4000:
            msg = (
                f"the source was set {self.source_to_detector_mm} mm from the detector; allowed "
                "are 300 to 4,000 mm; give the distance in mm"
            )
            raise FilmError(msg)

    def project(self, place: Place) -> tuple[float, float]:
        """Return where the shadow of a point falls on the detector (x, y) [mm].

        Notes
        -----
        ``source + (point - source) * SID / (SID - z)``, plain geometry.
        """
        magnification = self.magnification(place[2])
        return (
            self.source_mm[0] + (place[0] - self.source_mm[0]) * magnification,
            self.source_mm[1] + (place[1] - self.source_mm[1]) * magnification,
        )

    def pixel_of(self, place: Place) -> Point:
        """Return the pixel (column, row), with fractions, on which a point's shadow falls."""
        x_mm, y_mm = self.project(place)
        return x_mm / self.column_pitch_mm, y_mm / self.row_pitch_mm

    def magnification(self, height_mm: float) -> float:
        """Return the enlargement of things at a height over the detector [-]."""
        left = self.source_to_detector_mm - height_mm
        if left <= 0:
            msg = (
                f"a point was set {height_mm} mm over the detector; allowed is less than the "
                f"{self.source_to_detector_mm} mm of the source; lower it"
            )
            raise FilmError(msg)
        return self.source_to_detector_mm / left

    @property
    def size_mm(self) -> tuple[float, float]:
        """Return width and height between the centres of the outermost pixels [mm]."""
        return (self.columns - 1) * self.column_pitch_mm, (self.rows - 1) * self.row_pitch_mm

    @property
    def columns_mm(self) -> Vector:
        """Return x of every column [mm]."""
        return np.arange(self.columns, dtype=np.float64) * self.column_pitch_mm

    @property
    def rows_mm(self) -> Vector:
        """Return y of every row [mm]."""
        return np.arange(self.rows, dtype=np.float64) * self.row_pitch_mm


def centred_geometry(
    *,
    field_mm: tuple[float, float] = (190.0, 245.0),
    pitch_mm: tuple[float, float] = (0.15, 0.15),
    source_to_detector_mm: float = 1000.0,
    off_centre_mm: tuple[float, float] = (0.0, 0.0),
) -> Geometry:
    """Return a detector with the source over its middle, or off it.

    Parameters
    ----------
    field_mm
        Width and height of the film. [mm]
    pitch_mm
        From row to row, and from column to column, as in DICOM. [mm]
    source_to_detector_mm
        Distance from source to detector. [mm]
    off_centre_mm
        How far the source stands off the middle, to the right and downwards. [mm]
    """
    columns, rows = round(field_mm[0] / pitch_mm[1]), round(field_mm[1] / pitch_mm[0])
    return Geometry(
        rows=rows,
        columns=columns,
        row_pitch_mm=pitch_mm[0],
        column_pitch_mm=pitch_mm[1],
        source_mm=(
            (columns - 1) * pitch_mm[1] / 2 + off_centre_mm[0],
            (rows - 1) * pitch_mm[0] / 2 + off_centre_mm[1],
        ),
        source_to_detector_mm=source_to_detector_mm,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class BallShadow:
    """The exact ellipse that a ball throws on the detector."""

    centre: Point
    """Middle of the ellipse; not quite the shadow of the ball's middle."""
    ball_centre: Point
    """Shadow of the ball's middle."""
    semi_major_px: float
    semi_minor_px: float
    major_axis_deg: float
    """From the direction of growing columns towards growing rows, -90 to 90."""
    semi_major_mm: float
    """On the detector, in millimetres; the two pitches of a pixel may differ."""
    semi_minor_mm: float


def ball_shadow(geometry: Geometry, centre_mm: Place, diameter_mm: float) -> BallShadow:
    """Return the shadow of a ball.

    Notes
    -----
    A ball of radius ``r`` whose middle lies ``D`` from the source fills a cone of half angle
    ``a`` with ``sin a = r / D``; the cone's axis leans by ``t`` from the perpendicular, with
    ``cos t = (SID - z) / D``. On the detector the cone reaches from ``SID tan(t - a)`` to
    ``SID tan(t + a)`` along the line away from the source's foot. Across that line the half
    width is ``SID r / sqrt((SID - z)^2 - r^2)``, wherever the ball lies. Plain geometry of a
    cone cut by a plane.
    """
    source = geometry.source_to_detector_mm
    across = (centre_mm[0] - geometry.source_mm[0], centre_mm[1] - geometry.source_mm[1])
    off, depth, radius = hypot(*across), source - centre_mm[2], diameter_mm / 2
    distance = hypot(off, depth)
    sine, lean = radius / distance, off / distance
    away = (across[0] / off, across[1] / off) if off > 0 else (1.0, 0.0)
    room = depth**2 / distance**2 - sine**2
    major = source * sine * sqrt(1 - sine**2) / room
    minor = source * radius / sqrt(depth**2 - radius**2)
    middle = source * lean * (depth / distance) / room
    x_mm = geometry.source_mm[0] + middle * away[0]
    y_mm = geometry.source_mm[1] + middle * away[1]
    long_px, short_px, turn_deg = _in_pixels(geometry, away, major, minor)
    return BallShadow(
        centre=(x_mm / geometry.column_pitch_mm, y_mm / geometry.row_pitch_mm),
        ball_centre=geometry.pixel_of(centre_mm),
        semi_major_px=long_px,
        semi_minor_px=short_px,
        major_axis_deg=turn_deg,
        semi_major_mm=major,
        semi_minor_mm=minor,
    )


def _in_pixels(
    geometry: Geometry, away: tuple[float, float], major_mm: float, minor_mm: float
) -> tuple[float, float, float]:
    """Return the half axes [px] and the turn [deg] on a grid whose pitches may differ."""
    turn = np.array([[away[0], -away[1]], [away[1], away[0]]])
    scale = np.diag([1 / geometry.column_pitch_mm, 1 / geometry.row_pitch_mm])
    half = scale @ turn @ np.diag([major_mm, minor_mm])
    shares, axes = np.linalg.eigh(half @ half.T)
    turn_deg = float(np.degrees(np.arctan2(axes[1, 1], axes[0, 1])))
    turn_deg = (turn_deg + 90.0) % 180.0 - 90.0
    return float(np.sqrt(shares[1])), float(np.sqrt(shares[0])), turn_deg


def leaning(direction_deg: float, tilt_deg: float, roll_deg: float) -> NDArray[np.float64]:
    """Return the three axes (across, through, along) of a bone as rows, in the body's frame.

    Parameters
    ----------
    direction_deg
        Turn in the plane of the film, from distal (+Y) towards +X. [deg]
    tilt_deg
        Rise of the far end towards the source, about an axis across the bone. [deg]
    roll_deg
        Turn about the bone's own axis. [deg]
    """
    turn, tilt, roll = np.radians([direction_deg, tilt_deg, roll_deg])
    flat_along = np.array([sin(turn), cos(turn), 0.0])
    flat_across = np.array([cos(turn), -sin(turn), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    along = cos(tilt) * flat_along + sin(tilt) * up
    through = cos(tilt) * up - sin(tilt) * flat_along
    across = cos(roll) * flat_across + sin(roll) * through
    thick = cos(roll) * through - sin(roll) * flat_across
    return np.array([across, thick, along])
