"""Beam, scatter, blur, noise and the detector's answer."""

from math import exp

import numpy as np
import pytest

from thumbwright.core.foundations.errors import FilmError
from thumbwright.phantom.chords import height_inside, rays_to, slant
from thumbwright.phantom.physics import (
    Exposure,
    Photometric,
    Response,
    blurred,
    counted,
    grain,
    open_beam,
    primary,
    scatter,
    stored,
)
from thumbwright.phantom.projection import centred_geometry, leaning
from thumbwright.phantom.solids import Frame, block

GEOMETRY = centred_geometry(field_mm=(48.0, 56.0), pitch_mm=(0.25, 0.2))
SIZE = (GEOMETRY.rows, GEOMETRY.columns)


def test_a_slab_lets_through_what_beer_and_lambert_say() -> None:
    slab = block(half_mm=(400.0, 6.0, 400.0))
    frame = Frame(origin=np.array([*GEOMETRY.source_mm, 20.0]), axes=leaning(0.0, 0.0, 0.0))
    across, down = GEOMETRY.columns_mm[None, :], GEOMETRY.rows_mm[:, None]
    way = height_inside(slab, rays_to(GEOMETRY, frame, across, down))
    way *= slant(GEOMETRY, across, down)
    passed = primary((0.17 * way).astype(np.float32), np.ones(SIZE, np.float32))
    off_mm = np.hypot(across - GEOMETRY.source_mm[0], down - GEOMETRY.source_mm[1])
    by_hand = np.exp(-0.17 * 12.0 * np.sqrt(1 + (off_mm / 1000.0) ** 2))
    assert passed == pytest.approx(by_hand, rel=1e-5)
    assert passed.max() == pytest.approx(exp(-0.17 * 12.0), rel=1e-5)


def test_the_open_beam_falls_with_the_cube_of_the_cosine() -> None:
    geometry = centred_geometry(source_to_detector_mm=500.0)
    beam = open_beam(geometry, Exposure(heel_share=0.0))
    off_mm = np.hypot(*geometry.source_mm)
    by_hand = (500.0 / np.hypot(500.0, off_mm)) ** 3
    assert beam[0, 0] == pytest.approx(by_hand, rel=1e-6)
    assert beam.max() == pytest.approx(1.0, abs=1e-6)


def test_the_heel_changes_the_beam_along_x_by_its_share_over_100_mm() -> None:
    plain = open_beam(GEOMETRY, Exposure(heel_share=0.0))
    heel = open_beam(GEOMETRY, Exposure(heel_share=0.08))
    by_hand = 1 + 0.08 * (GEOMETRY.columns_mm - GEOMETRY.source_mm[0]) / 100.0
    assert heel[7] / plain[7] == pytest.approx(by_hand, rel=1e-5)


def test_scatter_behind_an_even_body_is_its_share_of_the_primary() -> None:
    even = np.full(SIZE, 0.4, np.float32)
    found = scatter(even, GEOMETRY, Exposure(scatter_to_primary=0.2))
    by_hand = 0.2 * 0.4
    assert found == pytest.approx(np.full(SIZE, by_hand), rel=1e-5)


def test_scatter_is_far_smoother_than_the_primary() -> None:
    rng = np.random.default_rng(2)
    rough = rng.random(SIZE, dtype=np.float32)
    found = scatter(rough, GEOMETRY, Exposure(scatter_to_primary=1.0))
    assert float(found.std()) < 0.02 * float(rough.std())
    assert float(found.mean()) == pytest.approx(float(rough.mean()), rel=0.01)


def test_the_blur_spreads_a_point_by_its_standard_deviation_in_millimetres() -> None:
    point = np.zeros(SIZE, np.float32)
    point[100, 110] = 1.0
    spread = blurred(point, GEOMETRY, Exposure(blur_mm=0.5))
    rows, columns = np.indices(SIZE)
    by_hand_mm2 = 0.25
    assert float(spread.sum()) == pytest.approx(1.0, rel=1e-5)
    down = float((spread * (rows - 100) ** 2).sum()) * 0.25**2
    across = float((spread * (columns - 110) ** 2).sum()) * 0.2**2
    assert (down, across) == pytest.approx((by_hand_mm2, by_hand_mm2), rel=0.01)


def test_no_blur_leaves_the_image_as_it_is() -> None:
    image = np.random.default_rng(1).random(SIZE, dtype=np.float32)
    assert blurred(image, GEOMETRY, Exposure(blur_mm=0.0)) is image


def test_noise_has_the_variance_of_counting_and_of_the_electronics() -> None:
    exposure = Exposure(quanta_per_pixel=400.0, electronic_noise_quanta=8.0)
    even = np.full(SIZE, 0.5, np.float32)
    signal = counted(even, exposure, np.random.default_rng(4)).astype(np.float64)
    by_hand_mean, by_hand_variance = 200.0, 200.0 + 64.0
    count = signal.size
    assert signal.mean() == pytest.approx(by_hand_mean, abs=5 * (by_hand_variance / count) ** 0.5)
    assert signal.var() == pytest.approx(by_hand_variance, rel=5 * (2 / count) ** 0.5)


def test_a_film_without_noise_is_the_mean() -> None:
    even = np.full(SIZE, 0.5, np.float32)
    exposure = Exposure(quanta_per_pixel=400.0, noisy=False)
    by_hand = 200.0
    assert np.all(counted(even, exposure, np.random.default_rng(4)) == by_hand)


SIGNALS = np.array([[0.0, 2.0, 20.0, 200.0, 1500.0, 2000.0, 1e6]], np.float32)


@pytest.mark.parametrize("response", list(Response))
@pytest.mark.parametrize("bits", [12, 14, 16])
def test_stored_numbers_grow_with_the_dose_when_large_is_dark_and_fall_when_it_is_light(
    response: Response, bits: int
) -> None:
    dark = Exposure(response=response, bits=bits, photometric=Photometric.MONOCHROME1)
    light = Exposure(response=response, bits=bits, photometric=Photometric.MONOCHROME2)
    growing = stored(SIGNALS, dark).astype(int)[0]
    falling = stored(SIGNALS, light).astype(int)[0]
    by_hand_sum = 2**bits - 1
    assert np.all(growing + falling == by_hand_sum)
    assert np.all(np.diff(growing) >= 0)
    assert (growing[0], growing[-1]) == (0, by_hand_sum)


def test_a_logarithmic_detector_gives_equal_steps_for_equal_factors() -> None:
    exposure = Exposure(response=Response.LOGARITHMIC, bits=16, photometric=Photometric.MONOCHROME1)
    steps = np.diff(stored(np.array([[50.0, 100.0, 200.0, 400.0]]), exposure).astype(int)[0])
    by_hand_step = np.log10(2.0) / exposure.decades * 65535
    assert steps == pytest.approx(np.full(3, by_hand_step), abs=1.0)


def test_a_linear_detector_doubles_its_number_with_the_dose() -> None:
    exposure = Exposure(response=Response.LINEAR, bits=16, photometric=Photometric.MONOCHROME1)
    one, two = stored(np.array([[600.0, 1200.0]], np.float32), exposure).astype(int)[0]
    assert two == pytest.approx(2 * one, abs=1)


def test_grain_has_mean_nought_and_standard_deviation_one() -> None:
    field = grain(GEOMETRY, np.random.default_rng(3))
    assert field.shape == SIZE
    assert float(field.mean()) == pytest.approx(0.0, abs=1e-5)
    assert float(field.std()) == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("wrong", [{"bits": 7}, {"bits": 17}, {"quanta_per_pixel": 0.0}])
def test_a_detector_that_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(FilmError, match="8 to 16 bits"):
        Exposure(**wrong)  # type: ignore[arg-type]
