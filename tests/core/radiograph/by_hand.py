"""Films, scales and points made by hand, and an exact beam of their own.

The beam here is similar triangles and nothing else; it shares no line with the phantom.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, inf, radians, sin

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.measured import Input, Term
from thumbwright.core.radiograph.calibration import Scale, ScaleMethod
from thumbwright.core.radiograph.image import Film, FilmHeader, HeaderSpacing, Region, View
from thumbwright.core.radiograph.landmarks import FilmNote, Landmark, Placement, Point
from thumbwright.core.radiograph.marker import MarkerFound
from thumbwright.core.radiograph.placements import PlacedPoints

FLAT_DEG = 1e-6
"""A limit of tilt so small that it changes no length that a test looks at."""
SHAPE = (1200, 1000)
"""Rows and columns of the films here."""


def film(
    spacing: HeaderSpacing | None = None, *, name: str = "a.dcm", shape: tuple[int, int] = SHAPE
) -> Film:
    return Film(
        name=name,
        sha256="0",
        values=np.zeros(shape, dtype=np.uint16),
        shown=np.zeros(shape, dtype=np.uint8),
        header=FilmHeader(spacing=spacing or HeaderSpacing()),
    )


def note(
    *placements: Placement,
    file: str = "a.dcm",
    region: Region = Region.HAND,
    side: Side = Side.RIGHT,
    tilt_limit_deg: float = FLAT_DEG,
    view: View | None = None,
) -> FilmNote:
    usual = View.POSTEROANTERIOR if region is Region.HAND else View.DORSOPLANTAR
    return FilmNote(
        file=file,
        region=region,
        side=side,
        view=view or usual,
        tilt_limit_deg=tilt_limit_deg,
        placements=placements,
    )


def ball_of(diameter_px: float, uncertainty_px: float = 0.2) -> MarkerFound:
    return MarkerFound(
        centre=(100.0, 100.0),
        diameter_px=diameter_px,
        major_diameter_px=diameter_px,
        direction_deg=0.0,
        diameter_uncertainty_px=uncertainty_px,
        major_uncertainty_px=uncertainty_px,
        centre_uncertainty_px=0.1,
        edge_share=1.0,
        residual_px=0.1,
        opacity=10.0,
        sphere_evidence=10.0,
        blur_px=1.0,
        saturated=False,
        confidence_prob=1.0,
    )


def scale_of(
    column_mm: float = 0.1,
    row_mm: float | None = None,
    *,
    share: float = 0.0,
    name: str = "a.dcm",
    source_to_bone_mm: float = 1000.0,
    centre: Point = (0.0, 0.0),
) -> Scale:
    """Return a scale whose relative doubt is one input of its own."""
    own = Input(key=f"scale {name}", name="scale", standard_uncertainty=share, unit="-")
    return Scale(
        film=name,
        method=ScaleMethod.BALL,
        column_mm=column_mm,
        row_mm=column_mm if row_mm is None else row_mm,
        relative=(Term(input=own, sensitivity=1.0),),
        source_to_bone_mm=source_to_bone_mm,
        centre=centre,
    )


def placed(
    points: Mapping[Landmark, Point],
    scale: Scale,
    *,
    scatter_mm: float = 0.0,
    freedom: float = inf,
    repeats: int = 1,
) -> PlacedPoints:
    return PlacedPoints(
        film=scale.film,
        scale=scale,
        points=dict(points),
        repeats=dict.fromkeys(points, repeats),
        scatter_mm=scatter_mm,
        degrees_of_freedom=freedom,
    )


def round_of(points: Mapping[Landmark, Point], *, observer: str = "a") -> Placement:
    return Placement(observer=observer, points=dict(points))


def in_a_row(
    marks: Sequence[tuple[Landmark, float]],
    *,
    mm_per_px: float = 0.1,
    column: float = 300.0,
    tip_row: float = 100.0,
) -> dict[Landmark, Point]:
    """Return points on one column, each so many millimetres below the tip."""
    return {mark: (column, tip_row + below / mm_per_px) for mark, below in marks}


THUMB_MARKS = (
    (Landmark.DISTAL_PHALANX_TIP, 0.0),
    (Landmark.DISTAL_PHALANX_BASE, 21.0),
    (Landmark.PROXIMAL_PHALANX_HEAD, 23.0),
    (Landmark.PROXIMAL_PHALANX_BASE, 53.0),
    (Landmark.METACARPAL_HEAD, 55.0),
    (Landmark.METACARPAL_BASE, 100.0),
)
"""A thumb of 100 mm: IP joint 22 mm from the tip, MCP joint 54 mm. [mm]"""
SECOND_TOE_MARKS = (
    (Landmark.SECOND_DISTAL_TIP, 0.0),
    (Landmark.SECOND_DISTAL_BASE, 9.0),
    (Landmark.SECOND_MIDDLE_HEAD, 11.0),
    (Landmark.SECOND_MIDDLE_BASE, 22.0),
    (Landmark.SECOND_PROXIMAL_HEAD, 24.0),
    (Landmark.SECOND_PROXIMAL_BASE, 49.0),
    (Landmark.SECOND_METATARSAL_HEAD, 51.0),
    (Landmark.SECOND_METATARSAL_BASE, 120.0),
)
"""A second toe: DIP joint 10 mm from the tip, PIP 23, MTP 50, tarsometatarsal 120. [mm]"""
GREAT_TOE_MARKS = (
    (Landmark.GREAT_DISTAL_TIP, 0.0),
    (Landmark.GREAT_DISTAL_BASE, 21.0),
    (Landmark.GREAT_PROXIMAL_HEAD, 23.0),
    (Landmark.GREAT_PROXIMAL_BASE, 53.0),
    (Landmark.FIRST_METATARSAL_HEAD, 55.0),
    (Landmark.FIRST_METATARSAL_BASE, 118.0),
)
"""A great toe: IP joint 22 mm from the tip, MTP 54, tarsometatarsal 118. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beam:
    """A source over a flat detector; places in space are (right, down, up) in mm."""

    source_to_detector_mm: float = 1000.0
    pitch_mm: float = 0.15
    foot_mm: tuple[float, float] = (0.0, 0.0)
    """Where the central ray meets the detector, from the centre of the first pixel."""

    def pixel(self, place: Sequence[float]) -> Point:
        """Return where a point in space falls, by similar triangles."""
        share = self.source_to_detector_mm / (self.source_to_detector_mm - place[2])
        shadow = [
            foot + (there - foot) * share
            for foot, there in zip(self.foot_mm, place[:2], strict=True)
        ]
        return shadow[0] / self.pitch_mm, shadow[1] / self.pitch_mm

    def bone_mm_per_px(self, height_mm: float) -> float:
        """Return the size of a pixel in a plane at a height over the detector."""
        return self.pitch_mm * (1 - height_mm / self.source_to_detector_mm)


BAR_MM_PER_PX = 0.15
BAR_LEVEL = 8000.0
"""Grey value of the soft parts about a drawn bar of bone."""
SHELL_MM = 1.5


def bar(
    width_mm: float,
    *,
    turn_deg: float = 0.0,
    seed: int = 1,
    middle: Point = (500.0, 600.0),
    noise: float = 60.0,
    blur_px: float = 1.0,
) -> NDArray[np.uint16]:
    """Draw a tube of bone in soft tissue: the way through an outer less an inner cylinder.

    It runs through ``middle``, turned clockwise from upright, with noise and blur.
    """
    rows, columns = np.mgrid[0 : SHAPE[0], 0 : SHAPE[1]].astype(np.float32)
    turn = radians(turn_deg)
    across = ((columns - middle[0]) * cos(turn) + (rows - middle[1]) * sin(turn)) * BAR_MM_PER_PX
    outer, inner = width_mm / 2, max(width_mm / 2 - SHELL_MM, 0.0)
    way = np.sqrt(np.clip(outer**2 - across**2, 0, None)) - 0.75 * np.sqrt(
        np.clip(inner**2 - across**2, 0, None)
    )
    grey = gaussian_filter(BAR_LEVEL + 900.0 * way, blur_px)
    grain = np.random.default_rng(seed).normal(0, noise, SHAPE)
    return np.asarray(np.clip(grey + grain, 0, 65535), dtype=np.uint16)


def upward(turn_deg: float, by_mm: float, middle: Point = (500.0, 600.0)) -> Point:
    """Return the pixel so many millimetres up a bar from its middle."""
    turn = radians(turn_deg)
    return (
        middle[0] + by_mm / BAR_MM_PER_PX * sin(turn),
        middle[1] - by_mm / BAR_MM_PER_PX * cos(turn),
    )
