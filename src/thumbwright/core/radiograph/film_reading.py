"""One film from grey values to millimetres: ball, scale, confirmed points."""

from dataclasses import dataclass, replace

from scipy.ndimage import zoom

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph.calibration import Scale, calibrate, row_over_column
from thumbwright.core.radiograph.image import Film, Region, View
from thumbwright.core.radiograph.landmarks import FilmNote
from thumbwright.core.radiograph.marker import MarkerFound, find_marker
from thumbwright.core.radiograph.orientation import check_against_note
from thumbwright.core.radiograph.placements import PlacedPoints, gather

SQUARE_SHARE = 0.001
"""A pixel whose height and width differ by less is taken as square [-]."""
SEEN_PX = (12.0, 4000.0)
"""Diameters of a ball's shadow that the search for it takes [px]."""
ALONG_THE_FILM = {
    Region.HAND: (View.ANTEROPOSTERIOR, View.POSTEROANTERIOR),
    Region.FOOT: (View.DORSOPLANTAR, View.ANTEROPOSTERIOR),
}
"""Views in which the bones lie along the film, so that lengths mean something."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmReading:
    """What one film gives."""

    film: Film
    note: FilmNote
    scale: Scale | Unknown
    placed: PlacedPoints | Unknown
    remarks: tuple[str, ...]

    @property
    def measures(self) -> bool:
        """Tell whether lengths can be read from it."""
        return isinstance(self.placed, PlacedPoints)


def read_out(film: Film, note: FilmNote, ball: MarkerFound | Unknown | None = None) -> FilmReading:
    """Calibrate one film and gather its confirmed points.

    Parameters
    ----------
    film, note
        The film, and what is said of it.
    ball
        What the search for the ball gave, where it was done before; searched for if not given.

    Raises
    ------
    FilmMismatchError
        If side, body part or view of the header contradict the list of films.
    """
    remarks = list(check_against_note(film, note)) + list(film.header.remarks)
    scale = calibrate(film, note, look_for_ball(film, note) if ball is None else ball)
    if not isinstance(scale, Unknown):
        remarks += scale.remarks
    placed = _placed(note, scale)
    return FilmReading(film=film, note=note, scale=scale, placed=placed, remarks=tuple(remarks))


def with_points(reading: FilmReading, note: FilmNote) -> FilmReading:
    """Return a reading with other points, without searching for the ball again.

    Parameters
    ----------
    reading
        The film, calibrated.
    note
        The same note but for its placements.
    """
    return replace(reading, note=note, placed=_placed(note, reading.scale))


def _placed(note: FilmNote, scale: Scale | Unknown) -> PlacedPoints | Unknown:
    if isinstance(scale, Unknown):
        return scale
    if note.view not in ALONG_THE_FILM[note.region]:
        return Unknown(
            reason=f"film {note.file} is a {note.view.value} view, which shows bones at a slant",
            needed=(f"a film of the same {note.region.value} with the bones along the film",),
        )
    return gather(note, scale)


def look_for_ball(film: Film, note: FilmNote) -> MarkerFound | Unknown:
    """Look for the ball on a grid of square pixels; its diameters count columns."""
    if note.ball is None:
        return Unknown(reason="no ball was laid beside the digit")
    expected = _expected_px(film, note)
    if expected and not SEEN_PX[0] <= expected[0] < expected[1] <= SEEN_PX[1]:
        return Unknown(
            reason=(
                f"a ball of {note.ball.diameter_mm:g} mm would be {expected[0]:.0f} to "
                f"{expected[1]:.0f} px wide, and {SEEN_PX[0]:g} to {SEEN_PX[1]:g} px can be found"
            ),
            needed=("the true size of the ball, or a ball of 10 to 30 mm",),
        )
    aspect = row_over_column(film)
    if abs(aspect - 1) < SQUARE_SHARE:
        return find_marker(
            film.values, diameter_px_range=expected, beam_scale=film.header.beam_scale
        )
    square = zoom(film.values, (aspect, 1.0), order=1)
    found = find_marker(square, diameter_px_range=expected, beam_scale=film.header.beam_scale)
    if isinstance(found, Unknown):
        return found
    stretch = (square.shape[0] - 1) / (film.values.shape[0] - 1)
    return replace(found, centre=(found.centre[0], found.centre[1] / stretch))


def _expected_px(film: Film, note: FilmNote) -> tuple[float, float] | None:
    """Return between which diameters the named ball must appear, where the pitch is known [px]."""
    spacing = film.header.spacing
    pair = (
        spacing.imager_pixel_spacing_mm
        or spacing.pixel_spacing_mm
        or spacing.nominal_scanned_spacing_mm
    )
    if pair is None or note.ball is None:
        return None
    seen = note.ball.diameter_mm / pair[1]
    return 0.9 * seen, 1.35 * seen
