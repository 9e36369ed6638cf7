"""Every film-like file that the installed libraries bring along, read or refused, none crashes.

The files come from the installed packages pydicom and pydicom-data and are read from disk only.
"""

import warnings
from io import BytesIO
from pathlib import Path

import numpy as np
import pydicom
import pytest
from pydicom.pixels.processing import apply_modality_lut, apply_voi_lut

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.image import Film, HeaderSpacing, View
from thumbwright.interchange.dicom_elements import Elements
from thumbwright.interchange.dicom_file import open_dicom
from thumbwright.interchange.dicom_grid import pixel_grid
from thumbwright.interchange.dicom_pixels import pixel_patterns
from thumbwright.interchange.films import read_film

data_store = pytest.importorskip("data_store")
CORE = Path(pydicom.__file__).parent / "data"
STORE = Path(data_store.__file__).parent / "data"
FILES = sorted(
    path
    for folder in (CORE, STORE)
    for path in folder.rglob("*")
    if path.is_file() and path.suffix not in {".py", ".pyc"}
)
LARGE_BYTES = 1_000_000
"""Larger ones are compared as films already."""


def film_or_refusal(path: Path) -> Film | FilmError:
    try:
        return read_film(path.read_bytes(), path.name)
    except FilmError as refused:
        return refused


@pytest.fixture(name="films", scope="module")
def fixture_films() -> dict[str, Film]:
    found = {path.name: film_or_refusal(path) for path in FILES}
    assert len(found) > 200
    return {name: film for name, film in found.items() if isinstance(film, Film)}


def test_no_file_of_the_libraries_brings_anything_but_a_film_or_a_refusal(
    films: dict[str, Film],
) -> None:
    assert len(films) >= 26


def test_every_film_that_is_read_shows_what_pydicom_shows(films: dict[str, Film]) -> None:
    for path in FILES:
        film = films.get(path.name)
        dataset = pydicom.dcmread(path) if film else None
        if film is None or dataset is None or "WindowWidth" not in dataset:
            continue
        values = apply_modality_lut(dataset.pixel_array, dataset)
        shades = apply_voi_lut(values, dataset).astype(np.float64)
        # pydicom spreads a window over what the modality step can give.
        ends = np.array([0, 2**dataset.BitsStored - 1], dtype=np.uint16)
        low, high = sorted(apply_modality_lut(ends, dataset).tolist())
        independent_shades = (shades - low) * (255 / (high - low))
        if dataset.PhotometricInterpretation == "MONOCHROME1":
            independent_shades = 255 - independent_shades
        assert np.abs(film.shown - independent_shades).max() <= 0.5 + 1e-6, path.name


def test_every_grey_picture_has_the_pixels_that_pydicom_reads() -> None:
    """Below the question whether it is a film, so CT and the like count too."""
    compared = 0
    for path in FILES:
        data = path.read_bytes()
        if len(data) > LARGE_BYTES:
            continue
        try:
            file = open_dicom(data, path.name)
            grid = pixel_grid(Elements(file.dataset, []), path.name)
            patterns = pixel_patterns(file, grid, [])
        except FilmError:
            continue
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            independent_pixels = pydicom.dcmread(BytesIO(data), force=True).pixel_array
        # pydicom keeps unused upper bits of uncompressed pixels, which are no part of them.
        ours = grid.stored.all[patterns & (2**grid.stored.bits - 1)]
        theirs = independent_pixels.astype(np.int64)
        if not grid.stored.signed:
            theirs &= 2**grid.stored.bits - 1
        assert np.array_equal(ours, theirs), path.name
        compared += 1
    assert compared >= 60


def test_a_real_film_of_an_ankle_is_read_with_its_side_and_without_a_size(
    films: dict[str, Film],
) -> None:
    film = films["RG3_UNCR.dcm"]
    assert film.values.shape == (1760, 1760)
    assert (film.header.side, film.header.view) == (Side.RIGHT, View.ANTEROPOSTERIOR)
    assert film.header.region is None
    assert film.header.spacing == HeaderSpacing()
    # MONOCHROME1: the shaft of the shin bone is lighter than the air beside the leg.
    bone, air = film.shown[800, 850:880].mean(), film.shown[800, 520:560].mean()
    assert bone > air + 50
    assert film.values[800, 860] > film.values[800, 540]


@pytest.mark.parametrize("body", ["RG1", "RG3"])
@pytest.mark.parametrize("kind", ["R", "I"])
def test_one_film_in_two_ways_of_writing_is_one_film(
    films: dict[str, Film], body: str, kind: str
) -> None:
    plain, packed = films[f"{body}_UNC{kind}.dcm"], films[f"{body}_J2K{kind}.dcm"]
    assert np.array_equal(plain.values, packed.values)
    assert np.array_equal(plain.shown, packed.shown)


def test_a_spacing_of_zero_in_a_real_file_counts_as_absent(films: dict[str, Film]) -> None:
    header = films["RG1_UNCR.dcm"].header
    assert header.spacing.pixel_spacing_mm is None
    assert header.other_body_part == "CHEST"
    assert any("is given as 0 and 0 mm" in remark for remark in header.remarks)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("CT_small.dcm", "kind CT Image Storage"),
        ("JPEG-lossy.dcm", "modality NM"),
        ("SC_rgb_small_odd.dcm", "3 samples per pixel as RGB"),
        ("no_meta.dcm", "neither of the kinds that are read"),
        ("meta_missing_tsyntax.dcm", "does not say how it is written"),
        ("chrKoreanMulti.dcm", "without Pixel Data"),
        ("DICOMDIR", "kind unknown"),
    ],
)
def test_files_that_are_no_films_are_refused_for_the_right_reason(name: str, words: str) -> None:
    path = next(path for path in FILES if path.name == name)
    with pytest.raises(FilmError, match=words):
        read_film(path.read_bytes(), name)
