"""Grey values of DICOM films: against the standard's rules and against pydicom's own functions."""

from collections.abc import Callable
from io import BytesIO

import numpy as np
import pydicom
import pytest
from pydicom.dataset import Dataset
from pydicom.pixels.processing import apply_modality_lut, apply_voi_lut

from thumbwright.interchange.films import read_film

MakeDicom = Callable[..., bytes]
ALL_12_BIT = np.arange(4096, dtype=np.uint16).reshape(64, 64)


def table(first: int, outputs: list[int], bits: int) -> Dataset:
    item = Dataset()
    item.LUTDescriptor = [len(outputs), first, bits]
    item["LUTDescriptor"].VR = "SS" if first < 0 else "US"
    item.LUTData = outputs
    item["LUTData"].VR = "US"
    return item


def peer_shades(data: bytes, highest: int) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Return pydicom's shades on the scale 0 to 255, not rounded."""
    dataset = pydicom.dcmread(BytesIO(data))
    values = apply_modality_lut(dataset.pixel_array, dataset)
    shades = apply_voi_lut(values, dataset).astype(np.float64) * (255 / highest)
    return 255 - shades if dataset.PhotometricInterpretation == "MONOCHROME1" else shades


@pytest.mark.parametrize("photometric", ["MONOCHROME1", "MONOCHROME2"])
@pytest.mark.parametrize("function", ["LINEAR", "LINEAR_EXACT", "SIGMOID"])
@pytest.mark.parametrize(("centre", "width"), [(2048, 4096), (700, 900), (100.5, 33.25)])
def test_windows_agree_with_pydicom(
    make_dicom: MakeDicom, photometric: str, function: str, centre: float, width: float
) -> None:
    data = make_dicom(
        ALL_12_BIT,
        PhotometricInterpretation=photometric,
        VOILUTFunction=function,
        WindowCenter=centre,
        WindowWidth=width,
    )
    independent_shades = peer_shades(data, 4095)
    # Half a step is rounding.
    assert np.abs(read_film(data, "f").shown - independent_shades).max() <= 0.5 + 1e-9


@pytest.mark.parametrize(("slope", "intercept"), [(1, 0), (2, -1000), (-1, 4095), (0.25, 10)])
def test_rescaling_before_the_window_agrees_with_pydicom(
    make_dicom: MakeDicom, slope: float, intercept: float
) -> None:
    data = make_dicom(
        ALL_12_BIT,
        RescaleSlope=slope,
        RescaleIntercept=intercept,
        WindowCenter=500,
        WindowWidth=1500,
    )
    independent_values = apply_modality_lut(ALL_12_BIT, pydicom.dcmread(BytesIO(data)))
    low, high = independent_values.min(), independent_values.max()
    independent_shares = np.clip(
        ((independent_values - 499.5) / 1499 + 0.5), 0, 1
    )  # LINEAR, C.11.2.1.2.1, written out
    film = read_film(data, "f")
    assert np.abs(film.shown - independent_shares * 255).max() <= 0.5 + 1e-9
    order = (film.values.astype(float) - film.values.min()) / np.ptp(film.values.astype(float))
    assert np.abs(order - (independent_values - low) / (high - low)).max() < 1e-4


@pytest.mark.parametrize("photometric", ["MONOCHROME1", "MONOCHROME2"])
def test_a_voi_table_is_preferred_to_a_window_and_agrees_with_pydicom(
    make_dicom: MakeDicom, photometric: str
) -> None:
    curve = (1023 * (np.arange(1000) / 999) ** 0.7).astype(int).tolist()
    data = make_dicom(
        ALL_12_BIT, PhotometricInterpretation=photometric, VOILUTSequence=[table(500, curve, 10)]
    )
    independent_shades = peer_shades(data, 1023)
    assert np.abs(read_film(data, "f").shown - independent_shades).max() <= 0.5 + 1e-9


def test_a_modality_table_of_signed_numbers_agrees_with_pydicom(make_dicom: MakeDicom) -> None:
    signed = (ALL_12_BIT.astype(np.int32) - 2048).astype(np.int16)
    outputs = (np.arange(4096)[::-1] * 16).tolist()
    data = make_dicom(
        signed,
        ModalityLUTSequence=[table(-2048, outputs, 16)],
        WindowCenter=32768,
        WindowWidth=65536,
    )
    dataset = pydicom.dcmread(BytesIO(data))
    independent_values = apply_modality_lut(dataset.pixel_array, dataset)
    assert np.array_equal(read_film(data, "f").values, independent_values)


def test_a_table_of_bytes_in_words_is_unpacked(make_dicom: MakeDicom) -> None:
    item = table(0, [0] * 256, 8)
    by_hand_outputs = np.arange(255, -1, -1, dtype=np.uint8)
    item.add_new("LUTData", "OW", by_hand_outputs.tobytes())
    data = make_dicom(np.arange(256, dtype=np.uint8).reshape(16, 16), VOILUTSequence=[item])
    assert np.array_equal(read_film(data, "f").shown.ravel(), by_hand_outputs)


def test_a_malformed_table_is_left_out_and_that_is_said(make_dicom: MakeDicom) -> None:
    short = table(0, [1, 2, 3], 8)
    short.LUTDescriptor = [4000, 0, 12]
    film = read_film(make_dicom(ALL_12_BIT, VOILUTSequence=[short]), "f")
    assert any("VOI LUT Sequence (0028,3010) is malformed" in one for one in film.header.remarks)
    assert (film.shown[0, 0], film.shown[-1, -1]) == (0, 255)


@pytest.mark.parametrize(
    ("attributes", "words"),
    [
        ({"WindowWidth": 0}, "window of centre 2048 and width 0 cannot be"),
        ({"WindowWidth": None}, "asks for no window"),
        ({"VOILUTFunction": "CUBIC"}, "is none of LINEAR, LINEAR_EXACT and SIGMOID"),
        ({"RescaleSlope": 0, "RescaleIntercept": 1}, "rescale of slope 0 and intercept 1 cannot"),
        ({"PixelPaddingValue": 5000}, "Pixel Padding Value (0028,0120) lies outside"),
        ({"PresentationIntentType": "FOR PROCESSING"}, "its greys are raw"),
    ],
)
def test_settings_that_cannot_be_are_left_out_and_that_is_said(
    make_dicom: MakeDicom, attributes: dict[str, object], words: str
) -> None:
    film = read_film(make_dicom(ALL_12_BIT, **attributes), "f")
    assert any(words in remark for remark in film.header.remarks)
    assert np.all(np.diff(film.shown.ravel().astype(int)) >= 0)


def test_without_a_window_the_range_of_the_film_itself_is_shown(make_dicom: MakeDicom) -> None:
    middle = np.linspace(1000, 1100, 64).astype(np.uint16).reshape(8, 8)
    film = read_film(make_dicom(middle, WindowCenter=None, WindowWidth=None), "f")
    assert (film.shown.min(), film.shown.max()) == (0, 255)


def test_padding_is_dark_and_does_not_count_for_the_range(make_dicom: MakeDicom) -> None:
    pixels = np.linspace(1000, 1100, 64).astype(np.uint16).reshape(8, 8)
    pixels[:2] = 4095
    film = read_film(
        make_dicom(pixels, WindowCenter=None, WindowWidth=None, PixelPaddingValue=4095), "f"
    )
    assert (film.shown[:2].max(), film.values[:2].max()) == (0, 0)
    assert film.shown[2:].max() == 255


@pytest.mark.parametrize(
    ("photometric", "shape", "is_contradiction"),
    [
        ("MONOCHROME1", "INVERSE", False),
        ("MONOCHROME1", "IDENTITY", True),
        ("MONOCHROME2", "IDENTITY", False),
        ("MONOCHROME2", "INVERSE", True),
    ],
)
def test_photometric_interpretation_alone_turns_the_film_round(
    make_dicom: MakeDicom, photometric: str, shape: str, *, is_contradiction: bool
) -> None:
    with_shape = read_film(
        make_dicom(ALL_12_BIT, PhotometricInterpretation=photometric, PresentationLUTShape=shape),
        "f",
    )
    without = read_film(make_dicom(ALL_12_BIT, PhotometricInterpretation=photometric), "f")
    assert np.array_equal(with_shape.shown, without.shown)
    assert np.array_equal(with_shape.values, without.values)
    first, last = with_shape.values[0, 0], with_shape.values[-1, -1]
    assert bool(first > last) is (photometric == "MONOCHROME1")
    said = any("contradicts" in remark for remark in with_shape.header.remarks)
    assert said is is_contradiction


def test_unused_upper_bits_are_no_part_of_the_film(make_dicom: MakeDicom) -> None:
    clean = read_film(make_dicom(ALL_12_BIT), "f")
    drawn_on = read_film(make_dicom(ALL_12_BIT | np.uint16(0x8000)), "f")
    assert np.array_equal(clean.values, drawn_on.values)
    assert np.array_equal(clean.shown, drawn_on.shown)


def test_bytes_in_words_of_big_endian_agree_with_pydicom(make_dicom: MakeDicom) -> None:
    stored = np.arange(64, dtype=np.uint8).reshape(8, 8)
    for vr in ("OB", "OW"):
        data = make_dicom(stored, syntax="1.2.840.10008.1.2.2")
        dataset = pydicom.dcmread(BytesIO(data))
        dataset["PixelData"].VR = vr
        target = BytesIO()
        dataset.save_as(target)
        independent_pixels = pydicom.dcmread(BytesIO(target.getvalue())).pixel_array
        assert np.array_equal(read_film(target.getvalue(), "f").values, independent_pixels)
