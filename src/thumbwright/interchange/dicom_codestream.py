"""What a compressed stream says of its own size, read before it is unpacked.

A header may promise 100 by 100 pixels while the stream behind it asks for 60,000 by 60,000;
only the stream's own word bounds the memory that unpacking takes.
"""

from dataclasses import dataclass
from struct import Struct

JPEG_START = b"\xff\xd8"
JPEG_2000_START = b"\xff\x4f\xff\x51"
JPEG_2000_BOX = b"\x00\x00\x00\x0cjP  "

_SIZ = Struct(">HHIIIIIIIIHB")
_LS_FRAME = 0xF7
_FRAMES = {*range(0xC0, 0xD0), _LS_FRAME} - {0xC4, 0xC8, 0xCC}
_STANDALONE = {0x01, *range(0xD0, 0xD9)}
_SCAN, _END = 0xDA, 0xD9


@dataclass(frozen=True, slots=True, kw_only=True)
class StreamShape:
    """Size of the picture inside a stream."""

    rows: int
    columns: int
    components: int
    bits: int
    """Bits of a sample."""


def stream_shape(stream: bytes) -> StreamShape | None:
    """Return the size that a JPEG, JPEG-LS or JPEG 2000 stream states, or None.

    Notes
    -----
    Frame headers: ITU-T T.81, B.2.2, and T.87, C.2.2; image and tile size: ITU-T T.800,
    A.5.1, recalled.
    """
    if stream.startswith(JPEG_START):
        return _jpeg_shape(stream)
    at = 0
    if stream.startswith(JPEG_2000_BOX):
        at = stream.find(JPEG_2000_START)
    if at >= 0 and stream.startswith(JPEG_2000_START, at):
        return _jpeg_2000_shape(stream, at + len(JPEG_2000_START))
    return None


def _jpeg_shape(stream: bytes) -> StreamShape | None:
    at = len(JPEG_START)
    while at + 4 <= len(stream) and stream[at] == 0xFF:
        marker = stream[at + 1]
        if marker in _FRAMES:
            body = stream[at + 4 : at + 10]
            if len(body) < 6:
                return None
            return StreamShape(
                bits=body[0],
                rows=int.from_bytes(body[1:3], "big"),
                columns=int.from_bytes(body[3:5], "big"),
                components=body[5],
            )
        if marker in {_SCAN, _END}:
            return None
        filler = marker == 0xFF
        length = int.from_bytes(stream[at + 2 : at + 4], "big")
        at += 1 if filler else 2 if marker in _STANDALONE else 2 + length
    return None


def _jpeg_2000_shape(stream: bytes, at: int) -> StreamShape | None:
    if len(stream) < at + _SIZ.size:
        return None
    _, _, right, bottom, left, top, _, _, _, _, components, depth = _SIZ.unpack_from(stream, at)
    return StreamShape(
        rows=bottom - top, columns=right - left, components=components, bits=(depth & 0x7F) + 1
    )
