"""RLE Lossless, unpacked no further than the picture is large: PS3.5, annex G."""

from itertools import pairwise
from struct import unpack_from

import numpy as np
from numpy.typing import NDArray

from thumbwright.interchange.dicom_grid import Grid
from thumbwright.interchange.films_limits import refusal

HEADER_BYTES = 64


def unpacked_rle(frame: bytes, grid: Grid, name: str) -> NDArray[np.uint16]:
    """Return the pixels of one RLE frame as bit patterns, (rows, columns).

    Raises
    ------
    FilmError
        If the frame has another number of byte planes than the pixels, or too few bytes.
    """
    planes = grid.bits_allocated // 8
    counts = unpack_from("<16L", frame.ljust(HEADER_BYTES, b"\0"))
    if counts[0] != planes:
        raise refusal(
            name,
            given=f"a run-length picture of {counts[0]} byte planes",
            allowed=f"{'is' if planes == 1 else 'are'} {planes} for {grid.bits_allocated} bits",
            advice="copy or export the film again",
        )
    starts = [*counts[1 : 1 + planes], len(frame)]
    size = grid.rows * grid.columns
    pixels: NDArray[np.uint16] = np.zeros(size, dtype=np.uint16)
    for start, end in pairwise(starts):
        plane = _unpacked(frame[start:end], size)
        if len(plane) < size:
            raise refusal(
                name,
                given=f"a run-length plane of {len(plane):,} bytes",
                allowed=f"are {size:,}",
                advice="the file breaks off; copy it again",
            )
        # The most significant byte comes first.
        pixels <<= 8
        pixels |= np.frombuffer(plane, dtype=np.uint8, count=size)
    return pixels.reshape(grid.rows, grid.columns)


def _unpacked(segment: bytes, size: int) -> bytearray:
    """Unpack runs until the plane is full: G.3.2."""
    plane = bytearray()
    at = 0
    while at < len(segment) and len(plane) < size:
        control = segment[at]
        if control < 128:
            plane += segment[at + 1 : at + 2 + control]
            at += 2 + control
        elif control > 128:
            plane += segment[at + 1 : at + 2] * (257 - control)
            at += 2
        else:
            at += 1
    return plane
