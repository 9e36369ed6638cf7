"""Small films made for the occasion."""

import warnings
from collections.abc import Callable
from io import BytesIO
from typing import Any

import numpy as np
import pytest
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.encaps import encapsulate
from pydicom.uid import UID, ComputedRadiographyImageStorage, ExplicitVRLittleEndian

MakeDicom = Callable[..., bytes]


def made_dicom(
    pixels: Any = None,  # noqa: ANN401  an array, or bytes that are no picture
    *,
    syntax: str = ExplicitVRLittleEndian,
    stream: bytes | None = None,
    **attributes: Any,  # noqa: ANN401  pydicom's values have any type
) -> bytes:
    """Return a computed radiograph; an attribute given as None is left out."""
    grid = np.arange(48, dtype=np.uint16).reshape(6, 8) * 80 if pixels is None else pixels
    film = Dataset()
    film.SOPClassUID, film.SOPInstanceUID = ComputedRadiographyImageStorage, "1.2.3.4"
    film.StudyInstanceUID, film.SeriesInstanceUID = "1.2.3", "1.2.3.1"
    film.Modality, film.PhotometricInterpretation = "CR", "MONOCHROME2"
    film.SamplesPerPixel, film.BitsAllocated, film.PixelRepresentation = 1, 16, 0
    film.BitsStored, film.HighBit = 12, 11
    film.WindowCenter, film.WindowWidth = 2048, 4096
    if not isinstance(grid, bytes):
        film.Rows, film.Columns = grid.shape
        film.BitsAllocated = grid.dtype.itemsize * 8
        film.PixelRepresentation = int(grid.dtype.kind == "i")
        if film.BitsAllocated == 8:
            film.BitsStored, film.HighBit = 8, 7
            film.WindowCenter, film.WindowWidth = 128, 256
        grid = grid.tobytes()
    film.PixelData = encapsulate([stream]) if stream else grid + b"\0" * (len(grid) % 2)
    film["PixelData"].VR = "OB" if stream or film.BitsAllocated == 8 else "OW"
    with warnings.catch_warnings():
        # Some films break rules on purpose.
        warnings.simplefilter("ignore")
        for keyword, value in attributes.items():
            if value is None:
                delattr(film, keyword)
            else:
                setattr(film, keyword, value)
    return written(film, syntax)


def written(film: Dataset, syntax: str) -> bytes:
    """Return a data set as a file."""
    film.file_meta = FileMetaDataset()
    film.file_meta.TransferSyntaxUID = UID(syntax)
    film.file_meta.MediaStorageSOPClassUID = UID(film.get("SOPClassUID") or "1.2")
    film.file_meta.MediaStorageSOPInstanceUID = UID(film.get("SOPInstanceUID") or "1.2.3.4")
    target = BytesIO()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        film.save_as(target, enforce_file_format=True)
    return target.getvalue()


@pytest.fixture(name="make_dicom", scope="session")
def fixture_make_dicom() -> MakeDicom:
    """Return the maker of DICOM films."""
    return made_dicom
