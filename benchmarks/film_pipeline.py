"""Time from the bytes of a film of 3,000 by 2,400 pixels to a JPEG picture for looking.

Run as ``python benchmarks/film_pipeline.py``. The other way round is pydicom's own: its pixel
array, its apply_voi_lut, then scaling to 8 bits. Both are timed in turns in one run, so that
their ratio holds on any machine; the shortest of the turns counts. The run fails if our way
to the grey values, which also keeps the measuring grid and the fingerprint of the file, takes
longer than theirs.
"""

import sys
from collections.abc import Callable
from io import BytesIO
from time import perf_counter
from typing import Any

import numpy as np
import pydicom
from PIL import Image
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.pixels.processing import apply_voi_lut
from pydicom.uid import DigitalXRayImageStorageForPresentation, ExplicitVRLittleEndian, generate_uid

from thumbwright.interchange.films import read_film

ROWS, COLUMNS, BITS = 3000, 2400, 12
TURNS = 9


def main() -> None:
    """Print the times and their ratios; end with an error if we are slower than the peer."""
    data = made_film()
    steps: dict[str, Callable[[], Any]] = {
        "ours: bytes to grey": lambda: read_film(data, "bench").shown,
        "peer: bytes to grey": lambda: peer_grey(data),
        "ours: bytes to JPEG": lambda: as_jpeg(read_film(data, "bench").shown),
        "peer: bytes to JPEG": lambda: as_jpeg(peer_grey(data)),
    }
    times = shortest(steps)
    for name, seconds in times.items():
        print(f"{name:22} {seconds * 1000:7.1f} ms")
    for way in ("grey", "JPEG"):
        ratio = times[f"ours: bytes to {way}"] / times[f"peer: bytes to {way}"]
        print(f"ours / peer, to {way}   {ratio:6.2f}")
    difference = np.abs(peer_grey(data).astype(int) - read_film(data, "bench").shown)
    print(f"largest difference     {difference.max():4d} of 255 (both round)")
    if times["ours: bytes to grey"] > times["peer: bytes to grey"]:
        sys.exit("slower than the peer")


def shortest(steps: dict[str, Callable[[], Any]]) -> dict[str, float]:
    """Time every step in turns and return the shortest time of each [s]."""
    times = dict.fromkeys(steps, float("inf"))
    for _ in range(TURNS):
        for name, step in steps.items():
            start = perf_counter()
            step()
            times[name] = min(times[name], perf_counter() - start)
    return times


def peer_grey(data: bytes) -> np.ndarray[Any, np.dtype[np.uint8]]:
    """Return the windowed film by pydicom's own functions."""
    dataset = pydicom.dcmread(BytesIO(data))
    grey = apply_voi_lut(dataset.pixel_array, dataset)
    return np.asarray(np.rint(grey * (255.0 / (2**BITS - 1))), dtype=np.uint8)


def as_jpeg(grey: np.ndarray[Any, np.dtype[np.uint8]]) -> bytes:
    """Return the picture as it is sent to a page."""
    target = BytesIO()
    Image.fromarray(grey).save(target, format="JPEG", quality=92)
    return target.getvalue()


def made_film() -> bytes:
    """Return a film of smooth shadows and noise, uncompressed."""
    rows, columns = np.mgrid[0:ROWS, 0:COLUMNS]
    shadow = 2000 + 1500 * np.sin(rows / 400) * np.cos(columns / 300)
    noise = np.random.default_rng(1).normal(0, 20, (ROWS, COLUMNS))
    pixels = np.clip(shadow + noise, 0, 2**BITS - 1).astype(np.uint16)
    film = Dataset()
    film.SOPClassUID = DigitalXRayImageStorageForPresentation
    film.SOPInstanceUID = generate_uid()
    film.Modality, film.PhotometricInterpretation = "DX", "MONOCHROME2"
    film.Rows, film.Columns, film.SamplesPerPixel = ROWS, COLUMNS, 1
    film.BitsAllocated, film.BitsStored, film.HighBit = 16, BITS, BITS - 1
    film.PixelRepresentation = 0
    film.WindowCenter, film.WindowWidth = 2048, 4096
    film.PixelData = pixels.tobytes()
    film.file_meta = FileMetaDataset()
    film.file_meta.TransferSyntaxUID = ExplicitVRLittleEndian
    target = BytesIO()
    film.save_as(target, enforce_file_format=True)
    return target.getvalue()


if __name__ == "__main__":
    main()
