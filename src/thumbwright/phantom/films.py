"""Expose a film of a scene: grey values as a detector stores them, and the truth beside them."""

from dataclasses import dataclass, field
from hashlib import sha256

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.radiograph.image import (
    BeamScale,
    BurnedIn,
    Film,
    FilmHeader,
    HeaderSpacing,
    Region,
    View,
)
from thumbwright.phantom import chords, physics
from thumbwright.phantom.assembly import Assembly, assembled
from thumbwright.phantom.bones import Part
from thumbwright.phantom.physics import Exposure, Image, Photometric
from thumbwright.phantom.projection import Geometry
from thumbwright.phantom.scene import Scene
from thumbwright.phantom.tissues import WEAKENING_PER_MM, Tissue, excess_per_mm
from thumbwright.phantom.truth import Truth, truth_of

SUBPIXELS = 5
"""Rays along each side of a pixel behind metal, whose edge is sharper than a pixel."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhantomFilm:
    """An exposed film."""

    values: NDArray[np.uint16]
    """Stored numbers (rows, columns), as the exposure's photometric word says."""
    truth: Truth
    scene: Scene
    geometry: Geometry
    exposure: Exposure
    window_light: tuple[float, float]
    """Range of :attr:`light` from air to dense bone, metal left out."""

    @property
    def light(self) -> NDArray[np.uint16]:
        """Return the numbers turned so that larger is lighter: bone and metal are large."""
        if self.exposure.photometric is Photometric.MONOCHROME2:
            return self.values
        return np.asarray(self.exposure.largest - self.values, dtype=np.uint16)

    @property
    def view(self) -> View:
        """Return how the beam passed."""
        return View.POSTEROANTERIOR if self.scene.region is Region.HAND else View.DORSOPLANTAR

    def window(self) -> tuple[float, float]:
        """Return centre and width of a window of stored numbers that shows body and bone."""
        low, high = self.window_light
        if self.exposure.photometric is Photometric.MONOCHROME1:
            low, high = self.exposure.largest - high, self.exposure.largest - low
        return (low + high) / 2, high - low

    def shown(self) -> NDArray[np.uint8]:
        """Return the film as it is looked at, bone light."""
        low, high = self.window_light
        share = (self.light.astype(np.float32) - np.float32(low)) / np.float32(high - low)
        return np.asarray(np.rint(255 * np.clip(share, 0, 1)), dtype=np.uint8)

    def as_film(self, name: str) -> Film:
        """Return it as the program's own film, as if read from a file with an honest header."""
        pitch = (self.geometry.row_pitch_mm, self.geometry.column_pitch_mm)
        return Film(
            name=name,
            sha256=sha256(self.values.tobytes()).hexdigest(),
            values=self.light.copy(),
            shown=self.shown(),
            header=FilmHeader(
                region=self.scene.region,
                side=self.scene.side,
                view=self.view,
                burned_in=BurnedIn.NO,
                beam_scale=BeamScale(self.exposure.response.value),
                spacing=HeaderSpacing(
                    imager_pixel_spacing_mm=pitch,
                    source_to_detector_mm=self.geometry.source_to_detector_mm,
                ),
            ),
        )


def expose(
    scene: Scene, geometry: Geometry, exposure: Exposure, rng: np.random.Generator
) -> PhantomFilm:
    """Expose one film.

    Parameters
    ----------
    scene
        What lies on the detector.
    geometry
        Detector and source.
    exposure
        Beam, noise and the detector's answer.
    rng
        Chance, for the grain of spongy bone and the noise; the same start gives the same film.

    Returns
    -------
    PhantomFilm
        Stored numbers and truth.
    """
    passage = passage_of(scene, geometry)
    weakening = passage.weakening
    if exposure.grain_share > 0:
        spongy = excess_per_mm(Tissue.CANCELLOUS, Tissue.SOFT) * passage.spongy_mm
        uneven = exposure.grain_share * physics.grain(geometry, rng)
        weakening = weakening + np.asarray(spongy * uneven, dtype=np.float32)
    image = physics.primary(weakening, physics.open_beam(geometry, exposure)) * passage.metal_share
    image += physics.scatter(image * (weakening > 0), geometry, exposure)
    signal = physics.counted(physics.blurred(image, geometry, exposure), exposure, rng)
    values = physics.stored(signal, exposure)
    return PhantomFilm(
        values=values,
        truth=truth_of(scene, geometry),
        scene=scene,
        geometry=geometry,
        exposure=exposure,
        window_light=_window(values, passage, exposure),
    )


def _window(
    values: NDArray[np.uint16], passage: "Passage", exposure: Exposure
) -> tuple[float, float]:
    """Return the range of grey values from air to dense bone, metal left out."""
    sample = values[::4, ::4][passage.metal_share[::4, ::4] > 0.99].astype(np.float64)
    if exposure.photometric is Photometric.MONOCHROME1:
        sample = exposure.largest - sample
    low, high = np.percentile(sample, [1.0, 99.7])
    return float(low), max(float(high), float(low) + 16.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Passage:
    """What every ray of a film passes through (rows, columns)."""

    weakening: Image
    """Sum of coefficient times way, metal left out [-]."""
    spongy_mm: Image
    """Way through spongy bone [mm]."""
    metal_share: Image = field(repr=False)
    """Share of the beam that metal lets through, averaged over each pixel [-]."""


def passage_of(scene: Scene, geometry: Geometry) -> Passage:
    """Return what every ray passes through."""
    whole = assembled(scene)
    size = (geometry.rows, geometry.columns)
    weakening = WEAKENING_PER_MM[Tissue.SOFT] * _soft_height(whole, geometry)
    spongy = np.zeros(size, np.float32)
    metal = np.ones(size, np.float32)
    for part in whole.parts:
        window = chords.window_of(geometry, part.frame, part.shape)
        if window is None:
            continue
        if part.metal:
            metal[window] *= _metal_share(part, geometry, window)
            continue
        rays = chords.rays_of(geometry, part.frame, window)
        height = chords.height_inside(part.shape, rays)
        weakening[window] += part.excess_per_mm * height
        if part.grainy:
            spongy[window] += height
    slant = chords.slant(geometry, geometry.columns_mm[None, :], geometry.rows_mm[:, None])
    lean = slant.astype(np.float32)
    return Passage(weakening=weakening * lean, spongy_mm=spongy * lean, metal_share=metal)


def _soft_height(whole: Assembly, geometry: Geometry) -> Image:
    union = chords.Union(geometry)
    for member in whole.members:
        window = chords.window_of(geometry, member.frame, member.shape)
        if window is not None:
            rays = chords.rays_of(geometry, member.frame, window)
            ((_, stretch),) = chords.stretches(member.shape, rays)
            union.add(window, stretch)
    return union.height_inside()


def _metal_share(part: Part, geometry: Geometry, window: chords.Window) -> Image:
    """Return the mean of what passes over the area of each pixel."""
    inside = (np.arange(SUBPIXELS) + 0.5) / SUBPIXELS - 0.5
    x_mm = (geometry.columns_mm[window[1]][:, None] + inside * geometry.column_pitch_mm).ravel()
    y_mm = (geometry.rows_mm[window[0]][:, None] + inside * geometry.row_pitch_mm).ravel()
    across, down = x_mm[None, :], y_mm[:, None]
    rays = chords.rays_to(geometry, part.frame, across, down)
    way = chords.height_inside(part.shape, rays) * chords.slant(geometry, across, down)
    passed = np.exp(-part.excess_per_mm * way)
    rows, columns = len(y_mm) // SUBPIXELS, len(x_mm) // SUBPIXELS
    blocks = passed.reshape(rows, SUBPIXELS, columns, SUBPIXELS)
    return np.asarray(blocks.mean(axis=(1, 3)), dtype=np.float32)
