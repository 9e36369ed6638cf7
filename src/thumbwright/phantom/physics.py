r"""From weakening to grey values: beam, scatter, blur, noise, and the detector's answer.

.. math:: I = I_0 \, h(x) \, \cos^3\theta \, e^{-\sum \mu l}

with ``h`` the heel effect and ``theta`` the slant of the ray: ``cos^2`` for the distance, ``cos``
for the obliquity of the detector.
"""

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from thumbwright.core.foundations.errors import FilmError
from thumbwright.phantom.projection import Geometry

Image = NDArray[np.float32]
"""(rows, columns); signal in quanta, or a share of the open beam."""


class Response(Enum):
    """How the detector answers the dose."""

    LINEAR = "linear"
    LOGARITHMIC = "logarithmic"


class Photometric(Enum):
    """What a large stored number means."""

    MONOCHROME1 = "MONOCHROME1"
    """Large is dark: stored numbers grow with the dose."""
    MONOCHROME2 = "MONOCHROME2"
    """Large is light: stored numbers fall with the dose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """Beam and detector. All defaults are working assumptions, chosen for the eye."""

    quanta_per_pixel: float = 2000.0
    """Counted in the open beam below the source; sets the noise."""
    heel_share: float = 0.05
    """Change of the beam over 100 mm along x [-]."""
    scatter_to_primary: float = 0.15
    """Smooth scatter over the local mean of the primary [-]."""
    scatter_reach_mm: float = 18.0
    """Standard deviation over which scatter is spread."""
    blur_mm: float = 0.10
    """Standard deviation of the detector's Gaussian blur."""
    electronic_noise_quanta: float = 4.0
    noisy: bool = True
    """False leaves out both kinds of noise."""
    grain_share: float = 0.12
    """Standard deviation of the density of spongy bone about its mean [-]."""
    response: Response = Response.LOGARITHMIC
    bits: int = 12
    photometric: Photometric = Photometric.MONOCHROME2
    decades: float = 2.6
    """Range of a logarithmic detector below the open beam."""

    def __post_init__(self) -> None:
        """Refuse what no detector has."""
        if not (8 <= self.bits <= 16 and self.quanta_per_pixel > 0 and self.blur_mm >= 0):
            msg = (
                f"an exposure was given with {self.bits} bits, {self.quanta_per_pixel} quanta and "
                f"a blur of {self.blur_mm} mm; allowed are 8 to 16 bits, quanta above 0 and a "
                "blur from 0 mm; mend it"
            )
            raise FilmError(msg)

    @property
    def largest(self) -> int:
        """Return the largest stored number."""
        return int(2**self.bits - 1)


def open_beam(geometry: Geometry, exposure: Exposure) -> Image:
    """Return the beam with nothing in it, over the beam below the source [-]."""
    off_x = (geometry.columns_mm - geometry.source_mm[0])[None, :]
    off_y = (geometry.rows_mm - geometry.source_mm[1])[:, None]
    distance = geometry.source_to_detector_mm
    cosine = (1 + (off_x**2 + off_y**2) / distance**2) ** -0.5
    heel = np.maximum(1 + exposure.heel_share * off_x / 100.0, 0.0)
    return np.asarray(cosine**3 * heel, dtype=np.float32)


def primary(weakening: Image, beam: Image) -> Image:
    """Return what is left of the beam behind the body: Beer and Lambert."""
    return np.asarray(beam * np.exp(-weakening), dtype=np.float32)


def blurred(image: Image, geometry: Geometry, exposure: Exposure) -> Image:
    """Return the image with the detector's blur."""
    if exposure.blur_mm == 0:
        return image
    sigma = (exposure.blur_mm / geometry.row_pitch_mm, exposure.blur_mm / geometry.column_pitch_mm)
    return np.asarray(ndimage.gaussian_filter(image, sigma, mode="nearest"), dtype=np.float32)


def scatter(behind_body: Image, geometry: Geometry, exposure: Exposure) -> Image:
    """Return the scatter: a share of the primary behind the body, widely spread.

    Parameters
    ----------
    behind_body
        Primary where the beam went through the body, 0 elsewhere: air does not scatter.
    geometry, exposure
        Pitch, share and spread.

    Notes
    -----
    Spread on a grid eight times coarser, which changes nothing that so wide a blur can show.
    """
    if exposure.scatter_to_primary == 0:
        return np.zeros_like(behind_body)
    step = 8
    coarse = _coarse(behind_body, step)
    reach = exposure.scatter_reach_mm / step
    sigma = (reach / geometry.row_pitch_mm, reach / geometry.column_pitch_mm)
    wide = ndimage.gaussian_filter(coarse, sigma, mode="nearest")
    fine = _fine(wide, behind_body.shape, step)
    return np.asarray(exposure.scatter_to_primary * fine, dtype=np.float32)


def _coarse(image: Image, step: int) -> Image:
    """Return means of blocks; a rest at the far edges repeats the last pixel."""
    rows, columns = (-(-length // step) for length in image.shape)
    spare = ((0, rows * step - image.shape[0]), (0, columns * step - image.shape[1]))
    full = np.pad(image, spare, mode="edge")
    blocks = full.reshape(rows, step, columns, step)
    return np.asarray(blocks.mean(axis=(1, 3), dtype=np.float64), dtype=np.float32)


def _fine(coarse: NDArray[np.float32], shape: tuple[int, ...], step: int) -> Image:
    """Return a coarse grid drawn out by straight lines."""
    fine = coarse
    for axis, length in enumerate(shape):
        places = np.clip((np.arange(length) - (step - 1) / 2) / step, 0, coarse.shape[axis] - 1)
        low = np.minimum(places.astype(int), max(coarse.shape[axis] - 2, 0))
        high = np.minimum(low + 1, coarse.shape[axis] - 1)
        share = (places - low).astype(np.float32)
        share = share[:, None] if axis == 0 else share[None, :]
        fine = np.take(fine, low, axis) * (1 - share) + np.take(fine, high, axis) * share
    return fine


def counted(image: Image, exposure: Exposure, rng: np.random.Generator) -> Image:
    """Return the signal in quanta, with the noise of counting and of the electronics."""
    mean = image * np.float32(exposure.quanta_per_pixel)
    if not exposure.noisy:
        return mean
    signal = rng.poisson(mean).astype(np.float32)
    noise = rng.standard_normal(image.shape, dtype=np.float32)
    return signal + np.float32(exposure.electronic_noise_quanta) * noise


def stored(signal: Image, exposure: Exposure) -> NDArray[np.uint16]:
    """Return the stored numbers for a signal in quanta."""
    full = 1.25 * (1 + exposure.scatter_to_primary) * exposure.quanta_per_pixel
    if exposure.response is Response.LINEAR:
        share = signal / np.float32(full)
    else:
        floor = full * 10.0**-exposure.decades
        share = np.log10(np.maximum(signal, floor) / np.float32(floor))
        share /= np.float32(exposure.decades)
    level = np.rint(np.clip(share, 0, 1) * exposure.largest).astype(np.uint16)
    if exposure.photometric is Photometric.MONOCHROME1:
        return np.asarray(level)
    return np.asarray(exposure.largest - level, dtype=np.uint16)


def grain(geometry: Geometry, rng: np.random.Generator) -> Image:
    """Return a field of mean 0 and standard deviation 1 with the look of spongy bone."""
    coarse = (max(2, geometry.rows // 2), max(2, geometry.columns // 2))
    white = rng.standard_normal(coarse, dtype=np.float32)
    pitches = (2 * geometry.row_pitch_mm, 2 * geometry.column_pitch_mm)
    field = ndimage.gaussian_filter(white, [0.25 / pitch for pitch in pitches], mode="wrap")
    field -= ndimage.gaussian_filter(white, [0.7 / pitch for pitch in pitches], mode="wrap")
    fine = _fine(field, (geometry.rows, geometry.columns), 2)
    return np.asarray((fine - fine.mean()) / fine.std(), dtype=np.float32)
