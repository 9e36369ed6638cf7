"""Millimetres per pixel in the plane of the bones, from ball, ruler or header, with the doubt.

The order of trust is fixed: a ball seen in the film, a ruler seen in the film, the header.
Whichever is used, the plane of the bones is not exactly the plane for which the millimetres
were found, and that is the largest doubt of all three.
"""

from dataclasses import dataclass, replace
from enum import Enum
from math import hypot, sqrt

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import CalibrationError
from thumbwright.core.foundations.measured import Input, Term
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.radiograph.header_scale import (
    STATED_HEIGHT_DOUBT_MM,
    STATED_SOURCE_DOUBT_MM,
    HeaderScale,
    header_scale,
)
from thumbwright.core.radiograph.image import Film
from thumbwright.core.radiograph.landmarks import Ball, FilmNote, Point, Ruler
from thumbwright.core.radiograph.marker import MarkerFound

READING = Published(
    value=0.3,
    unit="mm",
    basis=Basis(
        provenance=Provenance.ASSUMED,
        locator="one point placed once by hand, until repeats of this film tell",
    ),
)
"""Standard uncertainty of one placement along one direction, used without repeats."""

SOURCE_TO_DETECTOR = Published(
    value=1000.0,
    uncertainty=50.0,
    unit="mm",
    basis=Basis(
        provenance=Provenance.RECALLED, locator="usual for hand and foot films: 1,000 to 1,100 mm"
    ),
)
BONE_HEIGHT = Published(
    value=30.0,
    uncertainty=12.0,
    unit="mm",
    basis=Basis(
        provenance=Provenance.ASSUMED,
        locator="bones lie 10 mm (cassette) to 50 mm (detector in a table tray) over the detector",
    ),
)
PLAUSIBLE_MAGNIFICATION = (0.995, 1.20)
"""Enlargement at the bones that a hand or foot film can have [-]; common practice, no source."""


class ScaleMethod(Enum):
    """How millimetres were found."""

    BALL = "ball"
    RULER = "ruler"
    HEADER = "header"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Millimetres per pixel in the plane of the bones of one film."""

    film: str
    method: ScaleMethod
    column_mm: float
    """From one column to the next. [mm]"""
    row_mm: float
    """From one row to the next. [mm]"""
    relative: tuple[Term, ...]
    """Doubt of the scale; sensitivities are shares of the scale per unit of the input."""
    source_to_bone_mm: float
    centre: Point
    """Middle of the film, where the central ray is taken to fall."""
    marker: MarkerFound | None = None
    remarks: tuple[str, ...] = ()

    def to_mm(self, point: Point) -> tuple[float, float]:
        """Return the place of a pixel on the plane of the bones (to the right, down) [mm]."""
        return point[0] * self.column_mm, point[1] * self.row_mm

    def to_px(self, place_mm: tuple[float, float]) -> Point:
        """Return the pixel (column, row) of a place on the plane of the bones."""
        return place_mm[0] / self.column_mm, place_mm[1] / self.row_mm

    @property
    def relative_uncertainty(self) -> float:
        """Return the standard uncertainty of the scale as a share of it [-]."""
        return hypot(*(term.effect for term in self.relative))


def calibrate(film: Film, note: FilmNote, marker: MarkerFound | Unknown) -> Scale | Unknown:
    """Find millimetres per pixel in the plane of the bones by the most trusted means there is.

    Parameters
    ----------
    film
        The film with its header.
    note
        What is said of it: ball, ruler, heights, source to detector.
    marker
        What the search for the ball gave; ignored if the note names no ball.

    Returns
    -------
    Scale | Unknown
        Unknown if there is no ball, ruler or usable header, or if the ball contradicts the
        detector's own pitch, which means that another ball lay there than the note says.

    Raises
    ------
    CalibrationError
        If both ends of the ruler lie in one place, or bones, ball or ruler are said to lie at
        the source or beyond it.

    Notes
    -----
    Between two planes parallel to the detector the scale changes as their distances from
    the source: a ball of diameter ``D`` at height ``a`` over the bones, seen as ``d`` pixels,
    gives ``(D / d) * H / (H - a)`` with ``H`` the distance from source to bones.
    """
    header = header_scale(film.header.spacing, note)
    lost = _lost_ball(note, marker)
    scale = _by_ball(film, note, marker)
    if scale is None and note.ruler is not None:
        scale = _by_ruler(film, note, note.ruler)
    if scale is None:
        return _by_header(film, note, header, lost)
    doubtful = _against_detector(film, scale)
    if doubtful is not None:
        return doubtful
    remarks = (*_gave_way(lost), *_compared_with_header(scale, header))
    return replace(scale, remarks=remarks)


def _lost_ball(note: FilmNote, marker: MarkerFound | Unknown) -> str:
    """Return why the ball that the note names was not found; empty if it was, or none is named."""
    return marker.reason if note.ball is not None and isinstance(marker, Unknown) else ""


def _gave_way(lost: str) -> tuple[str, ...]:
    return (f"The ball was not found ({lost}); the next best means was taken.",) if lost else ()


def _by_ball(film: Film, note: FilmNote, marker: MarkerFound | Unknown) -> Scale | None:
    if note.ball is None or isinstance(marker, Unknown):
        return None
    ball = note.ball
    distance, inputs = _distance_terms(film, note, ball)
    column = ball.diameter_mm / marker.diameter_px * distance / (distance - ball.above_bone_mm)
    return Scale(
        film=film.name,
        method=ScaleMethod.BALL,
        column_mm=column,
        row_mm=column * row_over_column(film),
        relative=(*_ball_terms(film, ball, marker), *inputs),
        source_to_bone_mm=distance,
        centre=_centre(film),
        marker=marker,
    )


def _ball_terms(film: Film, ball: Ball, marker: MarkerFound) -> tuple[Term, Term]:
    key = f"scale {film.name}"
    return (
        Term(
            input=Input(
                key=f"{key} ball",
                name="diameter of the ball",
                standard_uncertainty=ball.diameter_tolerance_mm / sqrt(3),
                unit="mm",
                basis="tolerance stated for the ball, taken as even",
            ),
            sensitivity=1 / ball.diameter_mm,
        ),
        Term(
            input=Input(
                key=f"{key} edge",
                name="edge of the ball's shadow",
                standard_uncertainty=marker.diameter_uncertainty_px,
                unit="px",
                basis="scatter of the fit of the ball's edge",
            ),
            sensitivity=-1 / marker.diameter_px,
        ),
    )


def _by_ruler(film: Film, note: FilmNote, ruler: Ruler) -> Scale:
    if ruler.start == ruler.end:
        msg = (
            f"both ends of the ruler on film {film.name} were placed in one place; allowed are two "
            "places apart; place both ends anew"
        )
        raise CalibrationError(msg)
    distance, inputs = _distance_terms(film, note, ruler)
    aspect = row_over_column(film)
    columns = ruler.end[0] - ruler.start[0]
    rows = (ruler.end[1] - ruler.start[1]) * aspect
    column = ruler.length_mm / hypot(columns, rows) * distance / (distance - ruler.above_bone_mm)
    reading = Term(
        input=Input(
            key=f"scale {film.name} ruler ends",
            name="the two ends read on the ruler",
            standard_uncertainty=READING.value * sqrt(2),
            unit="mm",
            basis=f"{READING.value} mm a point, {READING.basis.provenance.label}",
        ),
        sensitivity=1 / ruler.length_mm,
    )
    return Scale(
        film=film.name,
        method=ScaleMethod.RULER,
        column_mm=column,
        row_mm=column * aspect,
        relative=(reading, *inputs),
        source_to_bone_mm=distance,
        centre=_centre(film),
    )


def _by_header(
    film: Film, note: FilmNote, header: HeaderScale | Unknown, lost: str
) -> Scale | Unknown:
    if isinstance(header, Unknown):
        before = f"the ball was not found ({lost}), and " if lost else ""
        return Unknown(reason=before + header.reason, needed=header.needed)
    distance, _ = _source_to_bone(film, note)
    scale = Scale(
        film=film.name,
        method=ScaleMethod.HEADER,
        column_mm=header.column_mm,
        row_mm=header.row_mm,
        relative=(
            Term(
                input=Input(
                    key=f"scale {film.name} header",
                    name="pixel size by the header, at the depth of the bones",
                    standard_uncertainty=header.relative_uncertainty,
                    unit="-",
                    basis=header.basis,
                ),
                sensitivity=1.0,
            ),
        ),
        source_to_bone_mm=distance,
        centre=_centre(film),
    )
    return replace(scale, remarks=(*_gave_way(lost), *header.remarks))


def _distance_terms(
    film: Film, note: FilmNote, thing: Ball | Ruler
) -> tuple[float, tuple[Term, ...]]:
    """Return source to bone [mm], and the doubt that the thing's height brings to the scale."""
    distance, distance_doubt = _source_to_bone(film, note)
    left = distance - thing.above_bone_mm
    if left <= 0:
        msg = (
            f"the marker on film {film.name} was said to lie {thing.above_bone_mm:g} mm over the "
            f"bones, and the source {distance:g} mm; allowed is a marker nearer than the source; "
            "correct the height or the distance of the source"
        )
        raise CalibrationError(msg)
    height = Term(
        input=Input(
            key=f"plane {film.name}",
            name="height of the marker over the bones",
            standard_uncertainty=thing.above_bone_tolerance_mm / sqrt(3),
            unit="mm",
            basis="tolerance stated for the height, taken as even",
        ),
        sensitivity=1 / left,
    )
    source = Term(
        input=Input(
            key=f"source {film.name}",
            name="distance from source to bones",
            standard_uncertainty=distance_doubt,
            unit="mm",
            basis="header or note where stated, else the usual distances",
        ),
        sensitivity=-thing.above_bone_mm / (distance * left),
    )
    return distance, (height, source)


def _source_to_bone(film: Film, note: FilmNote) -> tuple[float, float]:
    """Return the distance from source to bones and its standard uncertainty [mm]."""
    stated = film.header.spacing.source_to_detector_mm or note.source_to_detector_mm
    source = stated or SOURCE_TO_DETECTOR.value
    source_doubt = STATED_SOURCE_DOUBT_MM if stated else (SOURCE_TO_DETECTOR.uncertainty or 0.0)
    measured = note.bone_above_detector_mm
    height = measured or BONE_HEIGHT.value
    height_doubt = STATED_HEIGHT_DOUBT_MM if measured else (BONE_HEIGHT.uncertainty or 0.0)
    if source <= height:
        msg = (
            f"on film {film.name} the source was said to be {source:g} mm from the detector and "
            f"the bones {height:g} mm; allowed are bones nearer than the source; correct both"
        )
        raise CalibrationError(msg)
    return source - height, hypot(source_doubt, height_doubt)


def row_over_column(film: Film) -> float:
    """Return how much higher than wide a pixel is, by the header; 1 where it is silent."""
    spacing = film.header.spacing
    pair = (
        spacing.imager_pixel_spacing_mm
        or spacing.pixel_spacing_mm
        or spacing.nominal_scanned_spacing_mm
    )
    return pair[0] / pair[1] if pair else 1.0


def _centre(film: Film) -> Point:
    rows, columns = film.values.shape
    return (columns - 1) / 2, (rows - 1) / 2


def _against_detector(film: Film, scale: Scale) -> Unknown | None:
    """Return why the marker cannot be the one named, if the detector's pitch forbids it."""
    pitch = film.header.spacing.imager_pixel_spacing_mm
    if pitch is None:
        return None
    enlargement = pitch[1] / scale.column_mm
    low, high = PLAUSIBLE_MAGNIFICATION
    if low <= enlargement <= high:
        return None
    return Unknown(
        reason=(
            f"the {scale.method.value} on film {film.name} would mean an enlargement of "
            f"{enlargement:.3f} against the detector's own pixel pitch of {pitch[1]:g} mm, and a "
            f"hand or foot film has {low:g} to {high:g}"
        ),
        needed=(f"the true size of the {scale.method.value} on film {film.name}",),
    )


def _compared_with_header(scale: Scale, header: HeaderScale | Unknown) -> list[str]:
    if isinstance(header, Unknown):
        return []
    gap = scale.column_mm / header.column_mm - 1
    doubt = hypot(scale.relative_uncertainty, header.relative_uncertainty)
    if abs(gap) <= 3 * doubt:
        return []
    what = scale.method.value
    remark = (
        f"The {what} and the header differ by {gap:+.1%} in the size of a pixel, more than three "
        f"times the doubt of both; check the size of the {what} and where it lay."
    )
    return [remark]
