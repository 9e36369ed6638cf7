"""One film from grey values to millimetres: ball, scale, confirmed points."""

from dataclasses import dataclass

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


def read_out(film: Film, note: FilmNote) -> FilmReading:
    """Calibrate one film and gather its confirmed points.

    Raises
    ------
    FilmMismatchError
        If side, body part or view of the header contradict the list of films.
    """
    remarks = list(check_against_note(film, note)) + list(film.header.remarks)
    scale = calibrate(film, note, _ball(film, note))
    if isinstance(scale, Unknown):
        return FilmReading(film=film, note=note, scale=scale, placed=scale, remarks=tuple(remarks))
    remarks += scale.remarks
    placed: PlacedPoints | Unknown = gather(note, scale)
    if note.view not in ALONG_THE_FILM[note.region]:
        placed = Unknown(
            reason=f"film {note.file} is a {note.view.value} view, which shows bones at a slant",
            needed=(f"a film of the same {note.region.value} with the bones along the film",),
        )
    return FilmReading(film=film, note=note, scale=scale, placed=placed, remarks=tuple(remarks))


def _ball(film: Film, note: FilmNote) -> MarkerFound | Unknown:
    """Look for the ball on a grid of square pixels; its diameters count columns."""
    if note.ball is None:
        return Unknown(reason="no ball was laid beside the digit")
    aspect = row_over_column(film)
    if abs(aspect - 1) < SQUARE_SHARE:
        return find_marker(film.values, diameter_px_range=_expected_px(film, note))
    return find_marker(
        zoom(film.values, (aspect, 1.0), order=1), diameter_px_range=_expected_px(film, note)
    )


def _expected_px(film: Film, note: FilmNote) -> tuple[float, float] | None:
    """Return between which diameters the named ball must appear, where the pitch is known [px]."""
    spacing = film.header.spacing
    pair = spacing.imager_pixel_spacing_mm or spacing.pixel_spacing_mm
    if pair is None or note.ball is None:
        return None
    seen = note.ball.diameter_mm / pair[1]
    return 0.9 * seen, 1.35 * seen
