"""PNG, JPEG and TIFF films."""

import struct
import zlib
from io import BytesIO

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.image import BurnedIn, FilmHeader
from thumbwright.interchange import films_limits
from thumbwright.interchange.films import read_film

GREY_8: NDArray[np.uint8] = np.arange(240, dtype=np.uint8).reshape(12, 20)
GREY_16: NDArray[np.uint16] = (np.arange(240, dtype=np.uint16) * 200 + 1000).reshape(12, 20)


def saved(pixels: NDArray[np.generic], kind: str, **options: object) -> bytes:
    target = BytesIO()
    Image.fromarray(pixels).save(target, format=kind, **options)
    return target.getvalue()


def tiff_of(pixels: NDArray[np.uint16], photometric: int) -> bytes:
    """Return an uncompressed TIFF of 16 bits written by hand (TIFF 6.0, section 3)."""
    rows, columns = pixels.shape
    entries = [
        (256, 3, columns),
        (257, 3, rows),
        (258, 3, 16),
        (259, 3, 1),
        (262, 3, photometric),
        (273, 4, 8),
        (277, 3, 1),
        (278, 3, rows),
        (279, 4, pixels.nbytes),
    ]
    directory = struct.pack("<H", len(entries))
    directory += b"".join(struct.pack("<HHLL", tag, kind, 1, value) for tag, kind, value in entries)
    body = pixels.astype("<u2").tobytes()
    return struct.pack("<2sHL", b"II", 42, 8 + len(body)) + body + directory + b"\0\0\0\0"


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
@pytest.mark.parametrize("pixels", [GREY_8, GREY_16])
def test_grey_pictures_are_read_exactly(kind: str, pixels: NDArray[np.unsignedinteger]) -> None:
    film = read_film(saved(pixels, kind), "f")
    assert np.array_equal(film.values, pixels)


@pytest.mark.parametrize("compression", ["tiff_deflate", "tiff_lzw", "packbits"])
def test_compressed_tiff_is_read_exactly(compression: str) -> None:
    # A private tag (33550) and a comment must not count as a complaint of the decoder.
    data = saved(GREY_16, "TIFF", compression=compression, tiffinfo={33550: "x", 270: "a film"})
    film = read_film(data, "f")
    assert np.array_equal(film.values, GREY_16)


def test_jpeg_agrees_with_the_picture_library() -> None:
    data = saved(GREY_8, "JPEG")
    independent_pixels = np.asarray(Image.open(BytesIO(data)))
    assert np.array_equal(read_film(data, "f").values, independent_pixels)


def test_8_bits_are_shown_as_they_are_and_16_over_their_own_range() -> None:
    assert np.array_equal(read_film(saved(GREY_8, "PNG"), "f").shown, GREY_8)
    shown = read_film(saved(GREY_16, "PNG"), "f").shown
    assert (shown.min(), shown.max()) == (0, 255)


def test_a_tiff_whose_zero_is_white_is_turned_round_once() -> None:
    # TIFF 6.0, PhotometricInterpretation: 0 is WhiteIsZero, 1 is BlackIsZero.
    plain = read_film(tiff_of(GREY_16, photometric=1), "f")
    turned = read_film(tiff_of(GREY_16, photometric=0), "f")
    assert np.array_equal(plain.values, GREY_16)
    assert np.array_equal(turned.values, 65_535 - GREY_16)
    inverted = Image.fromarray(255 - GREY_8)
    target = BytesIO()
    inverted.save(target, format="TIFF", tiffinfo={262: 0})
    with Image.open(BytesIO(target.getvalue())) as again:
        independent_pixels = np.asarray(again)
    assert np.array_equal(read_film(target.getvalue(), "f").values, independent_pixels)


@pytest.mark.parametrize(
    ("mode", "kind"),
    [
        *((mode, kind) for mode in ("RGB", "RGBA", "LA", "P") for kind in ("PNG", "TIFF")),
        ("CMYK", "TIFF"),
    ],
)
def test_grey_dressed_as_colour_keeps_its_greys_and_that_is_said(mode: str, kind: str) -> None:
    target = BytesIO()
    Image.fromarray(GREY_8).convert(mode).save(target, format=kind)
    film = read_film(target.getvalue(), "f")
    assert np.array_equal(film.values, GREY_8)
    assert any("coloured or has a see-through layer" in one for one in film.header.remarks)


@pytest.mark.parametrize(
    ("kind", "orientation", "word"),
    [
        ("PNG", 6, "turn"),
        ("JPEG", 6, "turn"),
        ("JPEG", 2, "mirror"),
        # TIFF is turned by the library and has to be turned back, so every way is tried.
        *(("TIFF", way, "mirror" if way in {2, 4, 5, 7} else "turn") for way in range(2, 9)),
    ],
)
def test_a_wish_to_be_turned_is_not_followed_and_that_is_said(
    kind: str, orientation: int, word: str
) -> None:
    exif = Image.Exif()
    exif[0x0112] = orientation
    turned = read_film(saved(GREY_8, kind, exif=exif), "f")
    plain = read_film(saved(GREY_8, kind), "f")
    assert np.array_equal(turned.values, plain.values)
    assert any(f"asks viewers to {word} the picture" in one for one in turned.header.remarks)
    assert not any("asks viewers" in one for one in plain.header.remarks)


def test_a_picture_file_says_nothing_of_the_film() -> None:
    header = read_film(saved(GREY_8, "PNG", dpi=(300, 300)), "f").header
    assert header == FilmHeader(remarks=header.remarks)
    assert header.burned_in is BurnedIn.NOT_STATED
    assert "a person must look at the film" in header.remarks[0]


def test_what_claims_to_be_huge_is_refused_before_it_is_unpacked() -> None:
    data = bytearray(saved(GREY_8, "PNG"))
    data[16:24] = struct.pack(">LL", 50_000, 50_000)
    data[29:33] = struct.pack(">L", zlib.crc32(bytes(data[12:29])))
    with pytest.raises(FilmError):
        read_film(bytes(data), "f")
    data[16:24] = struct.pack(">LL", 8_000, 8_000)
    data[29:33] = struct.pack(">L", zlib.crc32(bytes(data[12:29])))
    with pytest.raises(FilmError, match=r"8000 rows and 8000 columns.*at most 40,000,000 pixels"):
        read_film(bytes(data), "f")


def test_several_pages_are_refused() -> None:
    target = BytesIO()
    page = Image.fromarray(GREY_8)
    page.save(target, format="TIFF", save_all=True, append_images=[page])
    with pytest.raises(FilmError, match="a file of 2 pictures; allowed is one film"):
        read_film(target.getvalue(), "f")


def test_numbers_that_are_no_greys_are_refused() -> None:
    with pytest.raises(FilmError, match="numbers are of the kind F; allowed are grey of 8 or 16"):
        read_film(saved(GREY_8.astype(np.float32), "TIFF"), "f")


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
def test_a_picture_that_breaks_off_is_refused_without_a_sound(
    kind: str, capfd: pytest.CaptureFixture[str]
) -> None:
    options = {"compression": "tiff_deflate"} if kind == "TIFF" else {}
    noise = np.random.default_rng(1).integers(0, 255, (60, 60)).astype(np.uint8)
    data = saved(noise, kind, **options)
    with pytest.raises(FilmError, match=r"allowed is a whole, undamaged film"):
        read_film(data[: len(data) // 2], "f")
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize(
    "data", [b"GIF89a" + b"\0" * 200, b"%PDF-1.7 ...", b"PK\3\4", b"\0" * 500, "fön".encode()]
)
def test_what_is_no_film_is_refused(data: bytes) -> None:
    with pytest.raises(FilmError, match="allowed are DICOM, PNG, JPEG and TIFF; export the film"):
        read_film(data, "f")


def test_an_empty_file_is_refused() -> None:
    with pytest.raises(FilmError, match="given an empty file"):
        read_film(b"", "f")


def test_words_of_a_library_that_may_quote_the_file_are_dropped() -> None:
    quoted = "Kettlewell^Una"

    def fail() -> None:
        raise ValueError(quoted)

    with (
        pytest.raises(FilmError, match=r"broke down while it was tried \(ValueError\)") as caught,
        films_limits.foreign_code("f", "it was tried"),
    ):
        fail()
    assert quoted not in str(caught.value)
