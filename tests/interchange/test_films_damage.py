"""Whatever happens to a file, the answer is a film or a message, never anything else."""

import logging
from collections.abc import Callable
from contextlib import suppress
from io import BytesIO, StringIO

import jpeg_ls  # type: ignore[import-untyped]
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image
from pydicom import uid
from pydicom.dataset import Dataset
from pydicom.sr.codedict import codes

from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.image import Film
from thumbwright.interchange.films import read_film

MakeDicom = Callable[..., bytes]
NOISE: NDArray[np.uint8] = np.random.default_rng(5).integers(0, 255, (16, 12)).astype(np.uint8)
MANY = settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
FEW = settings(MANY, max_examples=12)


@st.composite
def damage(draw: st.DrawFn) -> Callable[[bytes], bytes]:
    """Change some bytes, take some away, put some in, or break the file off."""
    kind = draw(st.sampled_from(["change", "change", "break off", "take away", "put in"]))
    places = draw(st.lists(st.floats(0, 1), min_size=1, max_size=6))
    news = draw(st.binary(min_size=6, max_size=40))

    def apply(data: bytes) -> bytes:
        at = sorted(int(place * (len(data) - 1)) for place in places)
        if kind == "break off":
            return data[: at[0]]
        if kind == "take away":
            return data[: at[0]] + data[at[0] + 1 + at[-1] % 40 :]
        if kind == "put in":
            return data[: at[0]] + news + data[at[0] :]
        changed = bytearray(data)
        for place, new in zip(at, news, strict=False):
            changed[place] = new
        return bytes(changed)

    return apply


def answer(data: bytes) -> Film | None:
    with suppress(FilmError):
        return read_film(data, "f")
    return None


def rich_dicom(make_dicom: MakeDicom, syntax: str = uid.ExplicitVRLittleEndian) -> bytes:
    """Return a film with sequences, tables and everything that is read of a header."""
    table, region, side = Dataset(), Dataset(), Dataset()
    table.LUTDescriptor, table.LUTData = [8, 0, 16], list(range(0, 64, 8))
    table["LUTDescriptor"].VR = table["LUTData"].VR = "US"
    for item, code in ((region, codes.SCT.Hand), (side, codes.SCT.Right)):
        item.CodeValue, item.CodingSchemeDesignator = code.value, code.scheme_designator
        item.CodeMeaning = code.meaning
    region.AnatomicRegionModifierSequence = [side]
    return make_dicom(
        syntax=syntax,
        VOILUTSequence=[table],
        ModalityLUTSequence=[table],
        AnatomicRegionSequence=[region],
        PixelSpacing=[0.15, 0.15],
        PixelPaddingValue=7,
        PatientName="Kettlewell^Una",
        DistanceSourceToDetector=1000,
    )


@MANY
@given(damage())
@pytest.mark.parametrize(
    "syntax",
    [
        uid.ExplicitVRLittleEndian,
        uid.ImplicitVRLittleEndian,
        uid.DeflatedExplicitVRLittleEndian,
        uid.ExplicitVRBigEndian,
    ],
)
def test_a_damaged_dicom_film_is_read_or_refused(
    make_dicom: MakeDicom, syntax: str, harm: Callable[[bytes], bytes]
) -> None:
    film = answer(harm(rich_dicom(make_dicom, syntax)))
    assert film is None or "Kettlewell" not in repr(film.header.remarks)


@MANY
@given(damage())
@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_damaged_picture_is_read_or_refused(kind: str, harm: Callable[[bytes], bytes]) -> None:
    target = BytesIO()
    Image.fromarray(NOISE).save(target, format=kind)
    answer(harm(target.getvalue()))


@MANY
@given(damage())
def test_damaged_run_lengths_are_read_or_refused(
    make_dicom: MakeDicom, harm: Callable[[bytes], bytes]
) -> None:
    plane = b"\x7f" + NOISE.tobytes()[:128] + b"\x3f" + NOISE.tobytes()[128:]
    frame = (b"\1\0\0\0\x40\0\0\0".ljust(64, b"\0") + plane).ljust(260, b"\x80")
    whole = make_dicom(NOISE, syntax=uid.RLELossless, stream=frame)
    film = read_film(whole, "f")
    assert np.array_equal(film.values, NOISE)
    answer(harm(whole))


@FEW
@given(damage())
@pytest.mark.parametrize("kind", ["JPEG-LS", "TIFF"])
def test_a_damaged_stream_in_the_decoders_own_process_is_read_or_refused(
    make_dicom: MakeDicom, kind: str, harm: Callable[[bytes], bytes]
) -> None:
    if kind == "TIFF":
        target = BytesIO()
        Image.fromarray(NOISE).save(target, format=kind, compression="tiff_lzw")
        answer(harm(target.getvalue()))
    else:
        stream = harm(bytes(jpeg_ls.encode_array(NOISE)))
        answer(make_dicom(NOISE, syntax=uid.JPEGLSLossless, stream=stream or b"\0\0"))


@MANY
@given(st.binary(max_size=400))
def test_noise_behind_the_mark_of_dicom_is_refused(noise: bytes) -> None:
    assert answer(bytes(128) + b"DICM" + noise) is None


def test_sequences_within_sequences_without_end_are_refused(make_dicom: MakeDicom) -> None:
    start = bytes.fromhex("0800 1511 5351 0000 ffffffff feff 00e0 ffffffff")
    film = make_dicom()
    at = (
        film.index(b"\x10\x00\x20\x00")
        if b"\x10\x00\x20\x00" in film
        else film.index(b"\x08\0\x60\0")
    )
    with pytest.raises(FilmError, match="broke down while its header was read"):
        read_film(film[:at] + start * 5_000 + film[at:], "f")


def test_warnings_of_the_library_become_one_remark_without_its_words(
    make_dicom: MakeDicom,
) -> None:
    data = make_dicom(
        BodyPartExamined="HAND",
        SpecificCharacterSet="KETTLEWELL",
        PixelSpacingCalibrationDescription="ball",
    )
    heard = StringIO()
    listener = logging.StreamHandler(heard)
    logging.getLogger().addHandler(listener)
    film = read_film(data, "f")
    logging.getLogger().removeHandler(listener)
    assert "The file breaks a rule of its format; it was read all the same." in film.header.remarks
    assert "kettlewell" not in repr(film.header).lower()
    assert heard.getvalue() == ""
