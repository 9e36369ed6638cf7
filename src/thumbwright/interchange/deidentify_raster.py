"""A picture file without anything but its picture."""

from io import BytesIO

import numpy as np
from PIL import Image

from thumbwright.interchange.films_limits import foreign_code, refusal
from thumbwright.interchange.raster_films import raster_kind, read_picture

PNG_START = b"\x89PNG\r\n\x1a\n"
PNG_KEPT = (b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND")
"""Chunks that make up the picture; all others are words, dates or advice on colour."""
JFIF = b"\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"
"""The shortest JFIF header: no size, no small preview."""
ADOBE = b"Adobe"
ADOBE_BYTES = 12
JPEG_START, JPEG_END = b"\xff\xd8", b"\xff\xd9"


def stripped_picture(data: bytes, name: str) -> bytes:
    """Return a PNG, JPEG or TIFF file of the same pixels, without words, dates or previews.

    Notes
    -----
    PNG and JPEG keep their compressed pixels byte for byte. A TIFF file is written anew, in
    grey, from the pixels as they are read here, since its parts may lie anywhere in the file.

    Raises
    ------
    FilmError
        If it is none of these, or damaged.
    """
    kind = raster_kind(data)
    if kind is None:
        raise refusal(
            name,
            given="a file that begins as none of these",
            allowed="are DICOM, PNG, JPEG and TIFF",
            advice="export the film in one of them",
        )
    with foreign_code(name, "its copy was made"):
        picture = read_picture(data, kind, name)
        if kind == "PNG":
            return _png(data)
        if kind == "JPEG":
            return _jpeg(data)
        target = BytesIO()
        pixels = picture.grey if picture.bits == 16 else picture.grey.astype(np.uint8)
        Image.fromarray(pixels).save(target, format="TIFF")
        return target.getvalue()


def _png(data: bytes) -> bytes:
    kept, at = [PNG_START], len(PNG_START)
    while at + 12 <= len(data):
        length = int.from_bytes(data[at : at + 4], "big")
        chunk, kind = data[at : at + 12 + length], data[at + 4 : at + 8]
        if kind in PNG_KEPT:
            kept.append(chunk)
        if kind == b"IEND":
            break
        at += 12 + length
    return b"".join(kept)


def _jpeg(data: bytes) -> bytes:
    """Drop application segments and comments, wherever between the scans they stand."""
    kept, at = [JPEG_START], len(JPEG_START)
    while at + 4 <= len(data):
        marker = data[at + 1]
        if marker == 0xD9:
            break
        if marker == 0xFF:
            at += 1
            continue
        length = int.from_bytes(data[at + 2 : at + 4], "big")
        end = _scan_end(data, at + 2 + length) if marker == 0xDA else at + 2 + length
        kept.append(_kept_segment(marker, data[at:end]))
        at = end
    return b"".join([*kept, JPEG_END])


def _kept_segment(marker: int, segment: bytes) -> bytes:
    body = segment[4:]
    if marker == 0xE0:
        return JFIF if body.startswith(b"JFIF") else b""
    if marker == 0xEE and body.startswith(ADOBE):
        # Tells how colours were mixed; nothing may follow its 12 bytes.
        return b"\xff\xee" + (ADOBE_BYTES + 2).to_bytes(2, "big") + body[:ADOBE_BYTES]
    is_application, is_comment = 0xE0 <= marker <= 0xEF, marker == 0xFE
    return b"" if is_application or is_comment else segment


def _scan_end(data: bytes, at: int) -> int:
    """Return where the compressed pixels end: at the next marker that is no part of them."""
    while (at := data.find(b"\xff", at)) >= 0 and at + 1 < len(data):
        if data[at + 1] not in {0x00, *range(0xD0, 0xD8)}:
            return at
        at += 2
    return len(data)
