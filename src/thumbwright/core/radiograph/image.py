"""One film: grey values, what its header says, and which way round it is."""

from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import FilmError


class Region(Enum):
    """What was filmed."""

    HAND = "hand"
    FOOT = "foot"


class View(Enum):
    """How the beam passed."""

    POSTEROANTERIOR = "posteroanterior"
    ANTEROPOSTERIOR = "anteroposterior"
    DORSOPLANTAR = "dorsoplantar"
    OBLIQUE = "oblique"
    LATERAL = "lateral"


class SpacingKind(Enum):
    """What Pixel Spacing Calibration Type (0028,0A02) says."""

    FIDUCIAL = "FIDUCIAL"
    GEOMETRY = "GEOMETRY"
    ABSENT = "absent"


class BurnedIn(Enum):
    """Whether writing is part of the pixels: (0028,0301), or not stated."""

    YES = "yes"
    NO = "no"
    NOT_STATED = "not_stated"


class BeamScale(Enum):
    """To what grey values are proportional: (0028,1040), or not stated."""

    LINEAR = "linear"
    """To the beam that arrives."""
    LOGARITHMIC = "logarithmic"
    """To its logarithm."""
    NOT_STATED = "not_stated"


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaderSpacing:
    """Everything a DICOM header says of size; pairs are (between rows, between columns) [mm].

    Notes
    -----
    The first number of each pair is the distance between the centres of adjacent rows
    (vertical), the second between columns: PS3.3, 10.7.1.3 of [dicom-ps3-3]_.
    """

    pixel_spacing_mm: tuple[float, float] | None = None
    imager_pixel_spacing_mm: tuple[float, float] | None = None
    nominal_scanned_spacing_mm: tuple[float, float] | None = None
    kind: SpacingKind = SpacingKind.ABSENT
    description: str = ""
    source_to_detector_mm: float | None = None
    source_to_patient_mm: float | None = None
    magnification_factor: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmHeader:
    """What the file itself says of the film, nothing of the person."""

    region: Region | None = None
    side: Side | None = None
    view: View | None = None
    other_body_part: str = ""
    """What the header says was filmed, if that is clearly neither hand nor foot."""
    burned_in: BurnedIn = BurnedIn.NOT_STATED
    beam_scale: BeamScale = BeamScale.NOT_STATED
    spacing: HeaderSpacing = field(default_factory=HeaderSpacing)
    remarks: tuple[str, ...] = ()
    """Oddities of the file that a reader of the plan should know, each a sentence."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Film:
    """One film in memory.

    Pixel coordinates are (column, row), both counted from 0 at the centre of the upper left
    pixel, column to the right, row downwards, as stored.
    """

    name: str
    """File name without folder."""
    sha256: str
    """Of the file's bytes, in hexadecimal."""
    values: NDArray[np.uint16]
    """(rows, columns), read-only; larger is lighter on the film, so bone is large."""
    shown: NDArray[np.uint8]
    """(rows, columns), read-only; the same, windowed as the header asks, for looking at."""
    header: FilmHeader

    def __post_init__(self) -> None:
        """Demand two equal grids and freeze them."""
        if self.values.ndim != 2 or self.values.shape != self.shown.shape:
            msg = (
                f"film {self.name} was given with grids of shape {self.values.shape} and "
                f"{self.shown.shape}; allowed are two equal grids (rows, columns); read it anew"
            )
            raise FilmError(msg)
        self.values.setflags(write=False)
        self.shown.setflags(write=False)
