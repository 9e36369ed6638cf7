"""The part of a film that is shown, as a JPEG small enough for paper and page."""

from collections.abc import Iterable
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.landmarks import Point

QUALITY = 85
"""JPEG quality: no artefact to be seen at 300 dots per inch."""
LONGEST_PX = 1100
"""Longest side of the JPEG: 300 dots per inch at 93 mm. [px]"""
NARROWEST_SHARE, WIDEST_SHARE = 0.5, 1.3
"""Width over height of the window: between a single ray and a whole hand. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The part of a film that is shown, in whole pixels."""

    left: int
    top: int
    width: int
    height: int


def window_around(
    points: Iterable[Point], *, film_width: int, film_height: int, margin_share: float = 0.15
) -> Window:
    """Return the part of a film that holds all points with room around them.

    Parameters
    ----------
    points
        Everything that must be seen. [px]
    film_width, film_height
        Size of the film. [px]
    margin_share
        Room on each side over the longer side of the box around the points. [-]

    Returns
    -------
    Window
        Widened to a shape that prints well, and held inside the film; the whole film where
        no point is given.
    """
    places = list(points)
    if not places:
        return Window(left=0, top=0, width=film_width, height=film_height)
    columns, rows = [place[0] for place in places], [place[1] for place in places]
    margin = margin_share * max(max(columns) - min(columns), max(rows) - min(rows), 40.0)
    width = max(columns) - min(columns) + 2 * margin
    height = max(rows) - min(rows) + 2 * margin
    width, height = max(width, NARROWEST_SHARE * height), max(height, width / WIDEST_SHARE)
    left, width_px = _held((max(columns) + min(columns)) / 2, width, film_width)
    top, height_px = _held((max(rows) + min(rows)) / 2, height, film_height)
    return Window(left=left, top=top, width=width_px, height=height_px)


def film_jpeg(shown: NDArray[np.uint8], window: Window) -> bytes:
    """Return the window of a film as a grey JPEG, the same bytes each time.

    Parameters
    ----------
    shown
        (rows, columns), as the film is meant to be looked at.
    window
        The part to be shown.

    Raises
    ------
    FilmError
        If the window reaches over the edge of the film.
    """
    rows, columns = shown.shape
    inside = window.left >= 0 and window.top >= 0 and window.width > 0 and window.height > 0
    if not inside or window.left + window.width > columns or window.top + window.height > rows:
        msg = (
            f"a picture of {window} was asked for; allowed is a window inside the film of "
            f"{columns} by {rows} pixels; take it from window_around"
        )
        raise FilmError(msg)
    part = shown[window.top : window.top + window.height, window.left : window.left + window.width]
    image = Image.fromarray(np.ascontiguousarray(part))
    shrink = min(1.0, LONGEST_PX / max(image.size))
    if shrink < 1.0:
        size = (max(1, round(image.width * shrink)), max(1, round(image.height * shrink)))
        image = image.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)
    stream = BytesIO()
    image.save(stream, format="JPEG", quality=QUALITY, optimize=False, progressive=False)
    return stream.getvalue()


def _held(middle: float, length: float, film_length: int) -> tuple[int, int]:
    length_px = min(film_length, max(1, round(length)))
    start = min(max(0, round(middle - length_px / 2)), film_length - length_px)
    return start, length_px
