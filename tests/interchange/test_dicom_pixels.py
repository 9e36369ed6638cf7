"""Pixels by every transfer syntax, and files that promise what they do not hold."""

import subprocess
import sys
from collections.abc import Callable
from io import BytesIO
from typing import Any

import jpeg_ls  # type: ignore[import-untyped]
import numpy as np
import pydicom
import pytest
from numpy.typing import NDArray
from openjpeg.utils import encode_pixel_data
from PIL import Image
from pydicom import uid
from pydicom.encaps import encapsulate
from pydicom.pixels.encoders.base import get_encoder

from thumbwright.core.foundations.errors import FilmError
from thumbwright.interchange import dicom_file, films_decoding, films_limits
from thumbwright.interchange.dicom_codestream import stream_shape
from thumbwright.interchange.films import read_film

MakeDicom = Callable[..., bytes]
RNG = np.random.default_rng(20)
PIXELS: NDArray[np.uint16] = (
    np.linspace(0, 3800, 64 * 48).reshape(64, 48) + RNG.integers(0, 250, (64, 48))
).astype(np.uint16)
SIGNED = (PIXELS.astype(np.int32) - 2048).astype(np.int16)


def jpeg_2000(pixels: NDArray[np.generic], bits: int) -> bytes:
    return bytes(
        encode_pixel_data(
            pixels.tobytes(),
            columns=pixels.shape[1],
            rows=pixels.shape[0],
            samples_per_pixel=1,
            bits_allocated=16,
            bits_stored=bits,
            pixel_representation=int(pixels.dtype.kind == "i"),
            photometric_interpretation="MONOCHROME2",
        )
    )


def jpeg(pixels: NDArray[np.uint8]) -> bytes:
    target = BytesIO()
    Image.fromarray(pixels).save(target, format="JPEG", quality=95)
    return target.getvalue()


def run_length(pixels: NDArray[np.generic]) -> bytes:
    return get_encoder(uid.RLELossless).encode(
        pixels,
        rows=pixels.shape[0],
        columns=pixels.shape[1],
        samples_per_pixel=1,
        bits_allocated=pixels.dtype.itemsize * 8,
        bits_stored=pixels.dtype.itemsize * 8,
        pixel_representation=0,
        photometric_interpretation="MONOCHROME2",
        number_of_frames=1,
    )


@pytest.mark.parametrize(
    "syntax",
    [
        uid.ImplicitVRLittleEndian,
        uid.ExplicitVRLittleEndian,
        uid.DeflatedExplicitVRLittleEndian,
    ],
)
def test_uncompressed_films_are_read_exactly(make_dicom: MakeDicom, syntax: str) -> None:
    assert np.array_equal(read_film(make_dicom(PIXELS, syntax=syntax), "f").values, PIXELS)


def test_films_of_big_endian_are_read_exactly(make_dicom: MakeDicom) -> None:
    data = make_dicom(PIXELS.astype(">u2"), syntax=uid.ExplicitVRBigEndian)
    assert np.array_equal(read_film(data, "f").values, PIXELS)


@pytest.mark.parametrize("pixels", [PIXELS, (PIXELS >> 4).astype(np.uint8)])
def test_run_lengths_are_unpacked_exactly(
    make_dicom: MakeDicom, pixels: NDArray[np.unsignedinteger]
) -> None:
    data = make_dicom(pixels, syntax=uid.RLELossless, stream=run_length(pixels))
    assert np.array_equal(read_film(data, "f").values, pixels)


def test_jpeg_ls_is_unpacked_exactly(make_dicom: MakeDicom) -> None:
    stream = bytes(jpeg_ls.encode_array(PIXELS))
    data = make_dicom(PIXELS, syntax=uid.JPEGLSLossless, stream=stream)
    assert np.array_equal(read_film(data, "f").values, PIXELS)


@pytest.mark.parametrize("pixels", [PIXELS, SIGNED])
def test_jpeg_2000_is_unpacked_exactly(make_dicom: MakeDicom, pixels: NDArray[np.integer]) -> None:
    data = make_dicom(pixels, syntax=uid.JPEG2000Lossless, stream=jpeg_2000(pixels, 12))
    assert np.array_equal(read_film(data, "f").values, PIXELS)


def test_jpeg_2000_whose_own_sign_contradicts_the_header_follows_the_header(
    make_dicom: MakeDicom,
) -> None:
    # The same 12-bit patterns, called unsigned by the stream and signed by the header.
    patterns = (SIGNED & 0x0FFF).astype(np.uint16)
    data = make_dicom(SIGNED, syntax=uid.JPEG2000Lossless, stream=jpeg_2000(patterns, 12))
    independent_pixels = pydicom.dcmread(BytesIO(data)).pixel_array
    assert np.array_equal(read_film(data, "f").values, independent_pixels.astype(int) + 2048)


@pytest.mark.parametrize("syntax", [uid.JPEGBaseline8Bit, uid.JPEGExtended12Bit])
def test_jpeg_of_8_bits_agrees_with_pydicom(make_dicom: MakeDicom, syntax: str) -> None:
    grey = (PIXELS >> 4).astype(np.uint8)
    data = make_dicom(grey, syntax=syntax, stream=jpeg(grey))
    independent_pixels = pydicom.dcmread(BytesIO(data)).pixel_array
    assert np.array_equal(read_film(data, "f").values, independent_pixels)


def test_jpeg_of_12_bits_is_refused_with_what_to_do(make_dicom: MakeDicom) -> None:
    # A frame header (SOF1) of 12 bits, 64 rows, 48 columns, 1 component.
    stream = bytes.fromhex("ffd8 ffc1 000b 0c 0040 0030 01 011100 ffd9")
    data = make_dicom(PIXELS, syntax=uid.JPEGExtended12Bit, stream=stream)
    with pytest.raises(FilmError, match=r"12 bits.*export the film uncompressed or as JPEG Loss"):
        read_film(data, "f")


def test_a_transfer_syntax_that_no_decoder_reads_is_named(make_dicom: MakeDicom) -> None:
    data = make_dicom(PIXELS, syntax=uid.MPEG2MPML, stream=b"\0\0\1\xb3" * 8)
    with pytest.raises(FilmError, match=r"written as MPEG2 Main Profile.*export it uncompressed"):
        read_film(data, "f")


@pytest.mark.parametrize(
    ("stream", "by_hand_shape"),
    [
        # SOF0 (T.81, B.2.2) behind an application segment and fill bytes.
        ("ffd8 ffe0 0004 0000 ffff c0 000b 08 0028 001e 01 011100", (40, 30, 1, 8)),
        # SOF55 (T.87, C.2.2).
        ("ffd8 fff7 000b 10 0064 0032 01 011100", (100, 50, 1, 16)),
        # SIZ (T.800, A.5.1): 50 by 100 with an offset of 10, 12 bits signed.
        (
            f"ff4f ff51 0029 0000 0000003c 0000006e 0000000a 0000000a {'00' * 16} 0001 8b 01 01",
            (100, 50, 1, 12),
        ),
        ("ffd8 ffda 0008 0000 0000 0000", None),
        ("ffd8 ffc0 000b 08", None),
        ("ff4f ff51 0029", None),
        ("1234", None),
    ],
)
def test_streams_say_their_size_before_they_are_unpacked(
    stream: str, by_hand_shape: tuple[int, int, int, int] | None
) -> None:
    shape = stream_shape(bytes.fromhex(stream))
    found = shape and (shape.rows, shape.columns, shape.components, shape.bits)
    assert found == by_hand_shape


def test_a_stream_larger_than_its_header_is_never_unpacked(
    make_dicom: MakeDicom, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unpack(*_: object, **__: object) -> None:
        pytest.fail("the stream was unpacked")

    monkeypatch.setattr(subprocess, "run", unpack)
    stream = bytearray(jpeg_2000(PIXELS, 12))
    at = stream.find(b"\xff\x51") + 6
    stream[at : at + 8] = (60_000).to_bytes(4, "big") * 2
    data = make_dicom(PIXELS, syntax=uid.JPEG2000Lossless, stream=bytes(stream))
    with pytest.raises(FilmError, match=r"60000 rows, 60000 columns.*allowed are 64 rows, 48 col"):
        read_film(data, "f")


def test_a_stream_that_needs_more_bits_than_stated_is_refused(make_dicom: MakeDicom) -> None:
    wide = (PIXELS * 16).astype(np.uint16)
    stream = bytes(jpeg_ls.encode_array(wide))
    data = make_dicom(PIXELS, syntax=uid.JPEGLSLossless, stream=stream)
    with pytest.raises(FilmError, match="allowed are 0 to 4095 in the 12 bits"):
        read_film(data, "f")


def test_a_damaged_stream_ends_the_decoder_but_not_the_program(
    make_dicom: MakeDicom, capfd: pytest.CaptureFixture[str]
) -> None:
    # A lossless JPEG frame (SOF3) followed by an impossible table stops the library outright.
    stream = bytes.fromhex(
        "ffd8 ffc3 000b 0c 0040 0030 01 011100 ffc4 0015 00 ffffffffffffffffffffffffffffffff 00 00"
        "ffda 0008 01 0100 01 0000 1234 ffd9"
    )
    data = make_dicom(PIXELS, syntax=uid.JPEGLosslessSV1, stream=stream)
    with pytest.raises(FilmError, match=r"cannot be unpacked.*export it uncompressed"):
        read_film(data, "f")
    assert capfd.readouterr() == ("", "")


def test_pixels_that_a_decoder_made_up_are_refused(
    make_dicom: MakeDicom, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = subprocess.run

    def complain(*given: Any, **options: Any) -> subprocess.CompletedProcess[bytes]:  # noqa: ANN401
        answer = run(*given, **options)
        answer.stderr = b"Corrupt JPEG data: premature end of data segment"
        return answer

    monkeypatch.setattr(subprocess, "run", complain)
    data = make_dicom(PIXELS, syntax=uid.JPEGLSLossless, stream=bytes(jpeg_ls.encode_array(PIXELS)))
    with pytest.raises(FilmError, match="its decoder calls damaged"):
        read_film(data, "f")


def test_a_process_that_cannot_be_started_is_a_refusal(
    make_dicom: MakeDicom, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    data = make_dicom(PIXELS, syntax=uid.JPEGLSLossless, stream=bytes(jpeg_ls.encode_array(PIXELS)))
    with pytest.raises(FilmError, match="no process could be started"):
        read_film(data, "f")


def test_a_decoder_that_does_not_end_is_stopped(
    make_dicom: MakeDicom, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(films_decoding, "SECONDS", 0.001)
    data = make_dicom(PIXELS, syntax=uid.JPEGLSLossless, stream=bytes(jpeg_ls.encode_array(PIXELS)))
    with pytest.raises(FilmError, match="took longer than"):
        read_film(data, "f")


@pytest.mark.parametrize(
    ("attributes", "words"),
    [
        ({"Rows": 65}, r"given 6,144 bytes of pixels; allowed are 6,240"),
        ({"Rows": 0}, r"0 rows and 48 columns"),
        ({"Rows": 60_000, "Columns": 60_000}, r"at most 40,000,000 pixels"),
        ({"Rows": None}, r"no usable Rows \(0028,0010\)"),
        ({"BitsStored": 17, "HighBit": 16}, r"17 bits stored in 16 allocated"),
        ({"HighBit": 15}, r"high bit 15"),
        ({"BitsAllocated": 32}, r"12 bits stored in 32 allocated"),
        ({"PixelRepresentation": 2}, r"pixel representation 2"),
        ({"NumberOfFrames": 2}, r"given 2 frames; allowed is a single frame"),
        ({"SamplesPerPixel": 3, "PhotometricInterpretation": "RGB"}, r"export the grey original"),
        ({"PhotometricInterpretation": "PALETTE COLOR"}, r"1 samples per pixel as nothing"),
        ({"PixelData": None}, r"without Pixel Data"),
    ],
)
def test_a_header_that_contradicts_its_pixels_is_refused(
    make_dicom: MakeDicom, attributes: dict[str, object], words: str
) -> None:
    data = make_dicom(PIXELS, **attributes)
    with pytest.raises(FilmError, match=words):
        read_film(data, "f")


def test_bytes_behind_the_pixels_are_left_out_and_that_is_said(make_dicom: MakeDicom) -> None:
    data = make_dicom(PIXELS, PixelData=PIXELS.tobytes() + b"\0" * 10)
    film = read_film(data, "f")
    assert np.array_equal(film.values, PIXELS)
    assert "10 bytes follow the pixels; they were left out." in film.header.remarks


def test_several_compressed_frames_are_refused(make_dicom: MakeDicom) -> None:
    frame = run_length(PIXELS)
    data = make_dicom(
        PIXELS,
        syntax=uid.RLELossless,
        stream=frame,
        PixelData=encapsulate([frame, frame], has_bot=True),
    )
    with pytest.raises(FilmError, match="several compressed frames"):
        read_film(data, "f")


@pytest.mark.parametrize(
    ("frame", "words"),
    [
        (b"\1\0\0\0" + b"\0" * 60, "1 byte planes; allowed are 2"),
        (b"\2\0\0\0" + b"\x40\0\0\0" * 15, "run-length plane of 0 bytes"),
        # Two planes of endless runs: unpacked no further than the picture is large.
        (
            b"\2\0\0\0\x40\0\0\0\x84\x9c\0\0".ljust(64, b"\0")
            + b"\x81\7" * 20_002
            + b"\x81\1" * 30,
            "",
        ),
    ],
)
def test_run_lengths_that_lie_are_refused_or_cut_off(
    make_dicom: MakeDicom, frame: bytes, words: str
) -> None:
    data = make_dicom(PIXELS, syntax=uid.RLELossless, stream=frame)
    if words:
        with pytest.raises(FilmError, match=words):
            read_film(data, "f")
    else:
        # The first byte is the upper one, of which 12 stored bits keep the lower half.
        assert set(read_film(data, "f").values[0, :5]) == {0x701}


def test_a_packed_file_is_unpacked_no_further_than_the_limit(
    make_dicom: MakeDicom, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = make_dicom(PIXELS, syntax=uid.DeflatedExplicitVRLittleEndian)
    monkeypatch.setattr(dicom_file, "LARGEST_FILE_BYTES", 2_000)
    with pytest.raises(FilmError, match="a packed file of more than 2,000 bytes when unpacked"):
        read_film(data, "f")


def test_a_file_too_large_is_refused_unread(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(films_limits, "LARGEST_FILE_BYTES", 100)
    with pytest.raises(FilmError, match="a file of 101 bytes; allowed is a file of 1 to 100"):
        read_film(b"x" * 101, "f")
