"""The rows of the plan that hold what was measured: films, lengths, doubt, cuts, the drawing."""

from dataclasses import dataclass
from typing import Literal

from thumbwright.core.foundations.answer import Unknown
from thumbwright.documents.paper_parts import Picture, PrintedNumber, Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmSection:
    """One film, how it was calibrated, and its picture with the lines drawn on it."""

    name: str
    """File name without folder."""
    side: str
    """Side and part in words, capitals for the side: "LEFT foot"."""
    view: str
    """How the beam passed: "dorsoplantar"."""
    calibration: str
    """How millimetres were found, in words."""
    mm_per_pixel: PrintedNumber | Unknown
    """In the plane of the bones."""
    remarks: tuple[Sentence, ...] = ()
    """What a reader of the plan should know of this film."""
    picture: Picture | Unknown
    """Bytes are handed to the printer under the picture's name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthRow:
    """One length measured on a film."""

    ray: str
    """Side and ray in words: "RIGHT thumb"; rows of a ray together."""
    name: str
    """The bone, or the whole: "proximal phalanx", "whole ray, bone"."""
    length: PrintedNumber | Unknown
    """[mm]"""
    film: str
    """File name of the film it was measured on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetRow:
    """One contribution to the doubt of a result."""

    contribution: str
    """The input whose doubt is passed on, in words."""
    standard_uncertainty: PrintedNumber
    """Of the input, in the input's unit."""
    sensitivity: PrintedNumber
    """Change of the result per unit of the input."""
    effect_mm: PrintedNumber
    """Sensitivity times standard uncertainty, with its sign. [mm]"""
    kind: Literal["A", "B"]
    """A: from repeats; B: from other knowledge."""
    degrees_of_freedom: float | None = None
    """None where infinite."""
    basis: Sentence
    """Where the standard uncertainty comes from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """What the doubt of one result consists of."""

    result: str
    """Name of the result: "missing length"."""
    value: PrintedNumber
    """With interval and combined standard uncertainty."""
    rows: tuple[BudgetRow, ...]
    """Those that matter, largest effect first; the last sums up the further ones."""
    further: tuple[BudgetRow, ...] = ()
    """The small ones one by one; in the JSON only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PixelPlace:
    """A place on a film, counted from 0 at the middle of the upper left pixel."""

    film: str
    """File name without folder."""
    column_px: float
    """To the right. [px]"""
    row_px: float
    """Downwards. [px]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToeCut:
    """Where one donor toe would be cut."""

    donor: str
    """Side and toe in words: "LEFT second toe"."""
    cut: PrintedNumber | Unknown
    """Distance from the joint line, with interval. [mm]"""
    measured_from: str
    """The joint line and the direction: "proximal to the line of the MTP joint"."""
    bone: str
    """The bone that is cut: "second metatarsal"."""
    place: str
    """Where in the bone: "shaft", "through the MTP joint"."""
    seen_at: PixelPlace | Unknown
    """Middle of the cut on the foot film."""
    joints: tuple[Sentence, ...]
    """Which joint of the toe would stand where which joint of the thumb was."""
    width_match: PrintedNumber | Unknown
    """Width of the toe's bone at the cut over that of the stump's bone end. [-]"""
    remarks: tuple[Sentence, ...] = ()
    """What a surgeon should know of this toe."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleBone:
    """One bone, or one missing stretch, in the picture to scale."""

    name: str
    """Full name of the bone."""
    label: str
    """Short name that stands in the bar: "proximal phalanx", "MC 1"."""
    length_mm: float
    """[mm]"""
    missing: bool = False
    """True for the stretch that is lost: drawn as an empty, dashed outline."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleColumn:
    """One row of bones from body to tip in the picture to scale."""

    title: str
    """"RIGHT stump", "LEFT thumb", "LEFT second toe"."""
    bones: tuple[ScaleBone, ...]
    """From body to tip."""
    offset_mm: float = 0.0
    """Where the base of the first bone stands over the common base line; a toe that is set on
    the stump begins so that its cut meets the bone end of the stump. [mm]"""
    cut_mm: float | None = None
    """Height of the cut over the common base line; None where nothing is cut. [mm]"""
    cut_low_mm: float | None = None
    """Lower end of the interval of the cut. [mm]"""
    cut_high_mm: float | None = None
    """Upper end of the interval of the cut. [mm]"""
