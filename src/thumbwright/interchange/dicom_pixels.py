"""The pixels of a DICOM film as bit patterns, by every transfer syntax that can be read."""

from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from pydicom import uid
from pydicom.encaps import get_frame, parse_basic_offsets

from thumbwright.core.foundations.errors import FilmError
from thumbwright.interchange.dicom_codestream import StreamShape, stream_shape
from thumbwright.interchange.dicom_file import DicomFile, syntax_in_words
from thumbwright.interchange.dicom_grid import Grid
from thumbwright.interchange.dicom_rle import unpacked_rle
from thumbwright.interchange.films_decoding import Decoder, decoded
from thumbwright.interchange.films_limits import foreign_code, refusal

Patterns = NDArray[np.uint16]

PLAIN = (
    uid.ImplicitVRLittleEndian,
    uid.ExplicitVRLittleEndian,
    uid.DeflatedExplicitVRLittleEndian,
    uid.ExplicitVRBigEndian,
)
LOSSY_JPEG = (uid.JPEGBaseline8Bit, uid.JPEGExtended12Bit)
STREAMS = {
    uid.JPEGLossless: Decoder.JPEG_LOSSLESS,
    uid.JPEGLosslessSV1: Decoder.JPEG_LOSSLESS,
    uid.JPEGLSLossless: Decoder.JPEG_LS,
    uid.JPEGLSNearLossless: Decoder.JPEG_LS,
    uid.JPEG2000Lossless: Decoder.JPEG_2000,
    uid.JPEG2000: Decoder.JPEG_2000,
    uid.HTJ2KLossless: Decoder.JPEG_2000,
    uid.HTJ2KLosslessRPCL: Decoder.JPEG_2000,
    uid.HTJ2K: Decoder.JPEG_2000,
}
READABLE = (*PLAIN, uid.RLELossless, *LOSSY_JPEG, *STREAMS)


def pixel_patterns(file: DicomFile, grid: Grid, remarks: list[str]) -> Patterns:
    """Return every pixel as the bit pattern in which it is stored, (rows, columns).

    Parameters
    ----------
    file
        The opened file.
    grid
        What its header says of the pixels.
    remarks
        Taken on to, where the pixels give rise to a remark.

    Raises
    ------
    FilmError
        If the transfer syntax cannot be read, or the pixels are fewer, other or damaged.
    """
    if file.transfer_syntax not in READABLE:
        raise refusal(
            file.name,
            given=f"a film written as {syntax_in_words(file.transfer_syntax)}",
            allowed=f"are {', '.join(one.name for one in READABLE)}",
            advice="export it uncompressed",
        )
    with foreign_code(file.name, "its pixels were read") as oddities:
        if file.transfer_syntax in PLAIN:
            patterns = _plain(file, grid, remarks)
        else:
            patterns = _compressed(file, grid)
    remarks.extend(oddities)
    return patterns


def _plain(file: DicomFile, grid: Grid, remarks: list[str]) -> Patterns:
    element = file.dataset["PixelData"]
    data = bytes(element.value)
    # One byte of padding makes the length even.
    surplus = len(data) - grid.bytes
    if surplus < 0:
        raise _too_short(file.name, len(data), grid)
    if surplus > 1:
        remarks.append(f"{surplus:,} bytes follow the pixels; they were left out.")
    big = file.transfer_syntax == uid.ExplicitVRBigEndian
    if grid.bits_allocated == 16:
        kind = np.dtype(">u2" if big else "<u2")
        pixels = np.frombuffer(data, dtype=kind, count=grid.rows * grid.columns)
        return pixels.astype(np.uint16, copy=False).reshape(grid.rows, grid.columns)
    if big and element.VR == "OW":
        # Two pixels share a word there, and the word is turned round: PS3.5, annex A.3.
        data = np.frombuffer(data[: len(data) // 2 * 2], dtype=">u2").astype("<u2").tobytes()
    pixels = np.frombuffer(data, dtype=np.uint8, count=grid.rows * grid.columns)
    return pixels.astype(np.uint16).reshape(grid.rows, grid.columns)


def _compressed(file: DicomFile, grid: Grid) -> Patterns:
    stream = _only_frame(file.dataset, file.name)
    if file.transfer_syntax == uid.RLELossless:
        return unpacked_rle(stream, grid, file.name)
    shape = stream_shape(stream)
    _demand_agreement(shape, grid, file)
    if file.transfer_syntax in LOSSY_JPEG:
        return _lossy_jpeg(stream)
    facts = {
        "rows": grid.rows,
        "columns": grid.columns,
        "bits_allocated": grid.bits_allocated,
        "bits_stored": grid.stored.bits,
        "signed": int(grid.stored.signed),
    }
    pixels = decoded(
        stream,
        STREAMS[uid.UID(file.transfer_syntax)],
        shape=(grid.rows, grid.columns),
        facts=facts,
        name=file.name,
    )
    return _within_stored_bits(pixels, shape, grid, file.name)


def _only_frame(dataset: Any, name: str) -> bytes:  # noqa: ANN401  pydicom carries no types
    """Put the fragments of the one frame together."""
    data = dataset.PixelData
    if len(parse_basic_offsets(data)) > 1:
        raise refusal(
            name,
            given="several compressed frames",
            allowed="is a single frame",
            advice="export the one film that is meant",
        )
    return bytes(get_frame(data, 0, number_of_frames=1))


def _demand_agreement(shape: StreamShape | None, grid: Grid, file: DicomFile) -> None:
    """Refuse a stream that is not the picture which the header describes."""
    given = "a compressed picture of unknown kind"
    if shape is not None:
        given = (
            f"a compressed picture of {shape.rows} rows, {shape.columns} columns, "
            f"{shape.components} components and {shape.bits} bits"
        )
        same_size = (shape.rows, shape.columns, shape.components) == (grid.rows, grid.columns, 1)
        readable = file.transfer_syntax not in LOSSY_JPEG or shape.bits == 8
        if same_size and shape.bits <= grid.bits_allocated and readable:
            return
        if same_size and not readable:
            raise refusal(
                file.name,
                given=f"{given}, written as {syntax_in_words(file.transfer_syntax)}",
                allowed="are 8 bits in this way of writing; no free decoder reads more",
                advice="export the film uncompressed or as JPEG Lossless",
            )
    raise refusal(
        file.name,
        given=given,
        allowed=(
            f"are {grid.rows} rows, {grid.columns} columns, 1 component and at most "
            f"{grid.bits_allocated} bits, as the header says"
        ),
        advice="copy or export the film again",
    )


def _lossy_jpeg(stream: bytes) -> Patterns:
    with Image.open(BytesIO(stream), formats=("JPEG",)) as picture:
        return np.asarray(picture.convert("L")).astype(np.uint16)


def _within_stored_bits(
    pixels: NDArray[np.integer], shape: StreamShape | None, grid: Grid, name: str
) -> Patterns:
    """Return patterns of the stored width, and refuse numbers that need more bits.

    A stream may call its samples unsigned although the header says signed, or the reverse.
    The header counts, with the sign at the top of the stream's own bits.
    """
    bits = shape.bits if shape else grid.stored.bits
    numbers = pixels.astype(np.int32) & (2**bits - 1)
    if grid.stored.signed:
        numbers -= (numbers >> (bits - 1)) << bits
    low = -(2 ** (grid.stored.bits - 1)) if grid.stored.signed else 0
    high = low + 2**grid.stored.bits - 1
    if numbers.min() < low or numbers.max() > high:
        raise refusal(
            name,
            given=f"pixels from {numbers.min()} to {numbers.max()}",
            allowed=f"are {low} to {high} in the {grid.stored.bits} bits that the header states",
            advice="export the film again",
        )
    patterns: Patterns = (numbers & (2**grid.stored.bits - 1)).astype(np.uint16)
    return patterns


def _too_short(name: str, given: int, grid: Grid) -> FilmError:
    return refusal(
        name,
        given=f"{given:,} bytes of pixels",
        allowed=f"are {grid.bytes:,} for {grid.rows} rows and {grid.columns} columns",
        advice="the file breaks off; copy it again",
    )
