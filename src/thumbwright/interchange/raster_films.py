"""A plain film out of a PNG, JPEG or TIFF file.

Such a file says nothing of side, view or size, so all of that comes from the list of films.
"""

from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image

from thumbwright.core.radiograph.grey_scale import (
    LIGHTEST,
    GreyPath,
    StoredNumbers,
    Window,
    grey_tables,
    look_up,
    whole_range,
)
from thumbwright.core.radiograph.image import Film, FilmHeader
from thumbwright.interchange.films_decoding import Decoder, decoded
from thumbwright.interchange.films_limits import (
    demand_fair_grid,
    demand_fair_size,
    foreign_code,
    refusal,
)
from thumbwright.interchange.raster_modes import GREY_16, taken_as

STARTS = {
    b"\x89PNG\r\n\x1a\n": "PNG",
    b"\xff\xd8\xff": "JPEG",
    b"II*\0": "TIFF",
    b"MM\0*": "TIFF",
}
UPRIGHT, MIRRORED = 1, (2, 4, 5, 7)
TIFF_COLUMNS, TIFF_ROWS = 256, 257
PHOTOMETRIC, WHITE_IS_ZERO = 262, 0
"""TIFF tag PhotometricInterpretation, and its value for "zero is white" (TIFF 6.0, section 8)."""
NOTHING_STATED = (
    "The picture file states neither side, view nor size, and not whether writing is part of the "
    "picture: a person must look at the film."
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """The pixels of a picture file."""

    grey: NDArray[np.uint16]
    """(rows, columns), larger is lighter."""
    bits: int
    """8 or 16."""
    remarks: list[str]


def raster_kind(data: bytes) -> str | None:
    """Return PNG, JPEG or TIFF by the first bytes of the file, or None."""
    return next((kind for start, kind in STARTS.items() if data.startswith(start)), None)


def read_raster_film(data: bytes, name: str) -> Film:
    """Read one film from a picture file.

    Pixels are taken as they are stored. A wish in the file that they be turned or mirrored for
    looking (EXIF Orientation) is *not* followed but remarked on: points are counted in stored
    pixels, and a viewer that turns the picture would count them otherwise.

    Raises
    ------
    FilmError
        If the file is damaged, too large, of several pages, or of numbers that are no greys.
    """
    demand_fair_size(data, name)
    kind = raster_kind(data)
    if kind is None:
        raise refusal(
            name,
            given="a file that begins as none of these",
            allowed="are PNG, JPEG and TIFF pictures",
            advice="export the film in one of them, or as DICOM",
        )
    with foreign_code(name, "its pixels were read") as oddities:
        picture = read_picture(data, kind, name)
    seen = whole_range(0, 255) if picture.bits == 8 else _whole_film(picture.grey)
    tables = grey_tables(
        GreyPath(stored=StoredNumbers(bits=picture.bits, signed=False), display=seen)
    )
    return Film(
        name=name,
        sha256=sha256(data).hexdigest(),
        values=look_up(tables.values, picture.grey),
        shown=look_up(tables.shown, picture.grey),
        header=FilmHeader(remarks=(NOTHING_STATED, *picture.remarks, *oddities)),
    )


def read_picture(data: bytes, kind: str, name: str) -> Picture:
    """Read the pixels of one picture file as grey.

    Raises
    ------
    FilmError
        If it is too large, of several pages, damaged, or of numbers that are no greys.
    """
    with Image.open(BytesIO(data), formats=(kind,)) as image:
        columns, rows = _stored_size(image)
        demand_fair_grid(rows, columns, name)
        _demand_one_page(image, name)
        target = taken_as(image.mode)
        if target is None:
            raise refusal(
                name,
                given=f"a picture whose numbers are of the kind {image.mode}",
                allowed="are grey of 8 or 16 bits, and colours of 8",
                advice="export the film again as a grey picture",
            )
        grid = _grid(image, target, data, name)
        if target in GREY_16 and _zero_is_white(image):
            # The library turns pictures of 8 bits round by itself, those of 16 it does not.
            grid = LIGHTEST - grid
        remarks = _orientation_remark(image)
    if target == "RGB":
        remarks.append(
            "The picture is coloured or has a see-through layer; it was turned into 8-bit grey. "
            "The grey original is better."
        )
    return Picture(grey=grid, bits=16 if target in GREY_16 else 8, remarks=remarks)


def _grid(image: Image.Image, target: str, data: bytes, name: str) -> NDArray[np.uint16]:
    """Return the pixels as grey; TIFF is unpacked in a process of its own."""
    columns, rows = _stored_size(image)
    pixels: NDArray[np.integer]
    if image.format == "TIFF":
        shape = (rows, columns, 3) if target == "RGB" else (rows, columns)
        pixels = decoded(data, Decoder.TIFF, shape=shape, facts={}, name=name)
    else:
        image.load()
        pixels = np.asarray(image if target == image.mode else image.convert(target))
    if target == "RGB":
        pixels = np.asarray(Image.fromarray(pixels).convert("L"))
    return pixels.astype(np.uint16)


def _stored_size(image: Image.Image) -> tuple[int, int]:
    """Return columns and rows as stored; of TIFF the library says how they would be turned."""
    tags = getattr(image, "tag_v2", None)
    return (tags[TIFF_COLUMNS], tags[TIFF_ROWS]) if tags else image.size


def _zero_is_white(image: Image.Image) -> bool:
    tags = getattr(image, "tag_v2", {})
    return bool(tags.get(PHOTOMETRIC) == WHITE_IS_ZERO)


def _demand_one_page(image: Image.Image, name: str) -> None:
    pages = getattr(image, "n_frames", 1)
    if pages != 1:
        raise refusal(
            name,
            given=f"a file of {pages} pictures",
            allowed="is one film in one file",
            advice="export the one film that is meant",
        )


def _orientation_remark(image: Image.Image) -> list[str]:
    orientation = image.getexif().get(ExifTags.Base.Orientation, UPRIGHT)
    if orientation in {UPRIGHT, 0}:
        return []
    change = "mirror" if orientation in MIRRORED else "turn"
    remark = (
        f"The file asks viewers to {change} the picture (EXIF Orientation {orientation}); that "
        "was not followed. Points are counted in the picture as it is stored: place them in a "
        "viewer that leaves it so."
    )
    return [remark]


def _whole_film(grey: NDArray[np.uint16]) -> Window:
    return whole_range(int(grey.min()), int(grey.max()))
