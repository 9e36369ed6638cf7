"""Each film with its scale, its remarks, and the lines drawn on it."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Provenance
from thumbwright.core.radiograph.calibration import Scale, ScaleMethod
from thumbwright.core.radiograph.film_reading import FilmReading
from thumbwright.core.radiograph.image import BurnedIn
from thumbwright.core.radiograph.landmarks import RAYS, THUMB, Landmark, Point, Ray
from thumbwright.core.radiograph.measurement import Station, stations
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.core.radiograph.transposition import ToeCut
from thumbwright.documents.figures import (
    CircleMark,
    LineMark,
    Mark,
    PointMark,
    Role,
    ScaleBar,
    film_drawing,
)
from thumbwright.documents.film_picture import film_jpeg, window_around
from thumbwright.documents.measured_rows import FilmSection
from thumbwright.documents.paper_parts import Picture, Sentence, printed, said

FROM_MEMORY = f" The length behind the cut is {Provenance.RECALLED.label}."
HALF_LINE_MM = 11.0
"""Half length of a joint line or cut line as drawn. [mm]"""


def film_sections(
    readings: Sequence[FilmReading], cuts: Sequence[ToeCut], *, from_memory: bool = False
) -> tuple[tuple[FilmSection, ...], dict[str, bytes]]:
    """Return the films as sections, and their drawings by name.

    Parameters
    ----------
    readings
        Films with scale and points.
    cuts
        Every cut that was found; each is drawn on its own film.
    from_memory
        Whether the length behind the cuts is from memory.
    """
    sections, drawings = [], {}
    for number, reading in enumerate(readings, start=1):
        own = [cut for cut in cuts if cut.film == reading.film.name]
        name = f"film_{number}.svg"
        marks = tuple(_marks(reading, own))
        drawings[name] = _drawing(reading, marks).encode()
        caption = _caption(reading, own) + (FROM_MEMORY if own and from_memory else "")
        picture = Picture(name=name, alt=_alt(reading, marks, own), caption=caption)
        sections.append(_section(reading, picture))
    return tuple(sections), drawings


def side_in_words(reading: FilmReading) -> str:
    """Return side and part: ``LEFT foot``."""
    return f"{reading.note.side.value.upper()} {reading.note.region.value}"


def _section(reading: FilmReading, picture: Picture) -> FilmSection:
    scale = reading.scale
    return FilmSection(
        name=reading.film.name,
        side=side_in_words(reading),
        view=reading.note.view.value,
        calibration=_calibration(scale),
        mm_per_pixel=(
            scale
            if isinstance(scale, Unknown)
            else printed(
                Measured(
                    value=scale.column_mm,
                    unit="mm/px",
                    origin="scale",
                    terms=tuple(
                        type(term)(input=term.input, sensitivity=term.sensitivity * scale.column_mm)
                        for term in scale.relative
                    ),
                ),
                decimals=4,
            )
        ),
        remarks=(*said(*reading.remarks), *_unmarked(reading), *_burned_in(reading)),
        picture=picture,
    )


def _unmarked(reading: FilmReading) -> tuple[Sentence, ...]:
    if isinstance(reading.placed, PlacedPoints):
        return ()
    return said(f"Nothing is measured on it, because {reading.placed.reason}.")


def _burned_in(reading: FilmReading) -> tuple[Sentence, ...]:
    if reading.film.header.burned_in is not BurnedIn.YES:
        return ()
    return said(
        "The file says that writing is part of this picture; look whether it names the patient."
    )


def _calibration(scale: Scale | Unknown) -> str:
    if isinstance(scale, Unknown):
        return "no millimetres"
    return {
        ScaleMethod.BALL: "by the ball found in the film",
        ScaleMethod.RULER: "by the ruler in the film",
        ScaleMethod.HEADER: "by the header of the file alone",
    }[scale.method]


def _drawing(reading: FilmReading, marks: Sequence[Mark]) -> str:
    film = reading.film
    rows, columns = film.shown.shape
    # Where no ray was marked the whole film is shown: a ball alone tells nothing.
    shown = marks if any(isinstance(mark, LineMark) for mark in marks) else ()
    window = window_around(_extent(shown), film_width=columns, film_height=rows)
    return film_drawing(
        window,
        marks,
        side=side_in_words(reading),
        jpeg=film_jpeg(film.shown, window),
        title=f"{side_in_words(reading)}, film {film.name}",
    )


def _extent(marks: Sequence[Mark]) -> Iterator[Point]:
    for mark in marks:
        if isinstance(mark, LineMark):
            yield from (mark.start, mark.end)
        elif isinstance(mark, PointMark):
            yield mark.at
        elif isinstance(mark, CircleMark):
            column, row = mark.centre
            yield (column - mark.radius_px, row - mark.radius_px)
            yield (column + mark.radius_px, row + mark.radius_px)


def _marks(reading: FilmReading, cuts: Sequence[ToeCut]) -> Iterator[Mark]:
    placed, scale = reading.placed, reading.scale
    if isinstance(placed, PlacedPoints):
        for ray in RAYS.values():
            if ray.region is reading.note.region:
                yield from _ray_marks(placed, ray)
        for cut in cuts:
            yield _cut_mark(placed, cut)
    if isinstance(scale, Unknown):
        return
    if scale.marker is not None:
        yield CircleMark(
            centre=scale.marker.centre, radius_px=scale.marker.diameter_px / 2, label="ball"
        )
    yield ScaleBar(length_mm=20.0, mm_per_px=scale.column_mm)


def _ray_marks(placed: PlacedPoints, ray: Ray) -> Iterator[Mark]:
    end = Landmark.STUMP_BONE_END if ray is THUMB else None
    stump = end in placed.points if end else False
    path = stations(ray, placed, end=end if stump else None)
    if len(path) < 2:
        return
    centres = [_pixel(placed, station) for station in path]
    for (start, stop), station in zip(pairwise(centres), path[:-1], strict=True):
        yield LineMark(start=start, end=stop, role=Role.BONE_AXIS)
        if len(station.landmarks) == 2 or station is path[0]:
            yield _across(placed, start, stop, Role.JOINT_LINE, station.name)
    yield PointMark(at=centres[-1], label="stump, bone end" if stump else "bony tip")


def _pixel(placed: PlacedPoints, station: Station) -> Point:
    column, row = np.mean([placed.points[point] for point in station.landmarks], axis=0)
    return float(column), float(row)


def _across(
    placed: PlacedPoints, at: Point, towards: Point, role: Role, label: str, doubt_px: float = 0.0
) -> LineMark:
    axis = np.subtract(towards, at)
    axis = axis / np.hypot(*axis)
    half = HALF_LINE_MM / placed.scale.column_mm * np.array([-axis[1], axis[0]])
    start, end = at - half, at + half
    return LineMark(
        start=(float(start[0]), float(start[1])),
        end=(float(end[0]), float(end[1])),
        role=role,
        label=label,
        doubt_px=doubt_px,
    )


def _cut_mark(placed: PlacedPoints, cut: ToeCut) -> LineMark:
    half = cut.from_joint.coverage_factor() * cut.from_joint.uncertainty
    towards = (cut.at[0] + cut.along[0], cut.at[1] + cut.along[1])
    return _across(
        placed,
        cut.at,
        towards,
        Role.CUT_LINE,
        f"cut, {cut.ray.name.value}: {cut_in_words(cut)}",
        half / placed.scale.column_mm,
    )


def cut_in_words(cut: ToeCut) -> str:
    """Return where the cut lies from its joint: ``3.2 mm distal to the MTP joint``."""
    way = "proximal to" if cut.from_joint.value >= 0 else "distal to"
    return f"{abs(cut.from_joint.value):.1f} mm {way} the {cut.joint}"


def _alt(reading: FilmReading, marks: Sequence[Mark], cuts: Sequence[ToeCut]) -> str:
    axes = any(isinstance(mark, LineMark) for mark in marks)
    drawn = (
        "with the axes of the measured bones drawn on it" if axes else "on which no ray is marked"
    )
    words = f"Film of the {side_in_words(reading)} {drawn}"
    lines = "; ".join(f"cut of the {cut.ray.name.value} {cut_in_words(cut)}" for cut in cuts)
    return f"{words}; {lines}." if lines else f"{words}."


def _caption(reading: FilmReading, cuts: Sequence[ToeCut]) -> str:
    band = " The band along a cut is its 95 % interval." if cuts else ""
    return f"{side_in_words(reading)}, {reading.note.view.value} view, {reading.film.name}.{band}"
