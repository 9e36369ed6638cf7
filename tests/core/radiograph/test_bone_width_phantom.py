"""Widths of shafts on films of whole feet, drawn at random: tubes with walls, not bars."""

import numpy as np
import pytest
from tests.core.radiograph.phantom_rays import COARSE_MM, KINDS, draw_film

from thumbwright.core.radiograph.bone_width import BoneWidth, width_across
from thumbwright.core.radiograph.landmarks import RayName
from thumbwright.phantom.bones import half_width_at
from thumbwright.phantom.films import PhantomFilm

SHAFTS = ((RayName.SECOND_TOE, 1, 0), (RayName.SECOND_TOE, 1, 1))
"""Second metatarsal and the phalanx after it: ray, its number, the bone's number."""


def _off_mm(
    film: PhantomFilm, name: RayName, ray: int, bone: int, share: float
) -> tuple[float, float]:
    """Return by how much a width is off, and its stated doubt [mm]."""
    true, size = film.truth.rays[name].bones[bone], film.scene.sizes[ray].bones[bone]
    base, end = np.array(true.base.pixel), np.array(true.end.pixel)
    height = (1 - share) * true.base.place_mm[2] + share * true.end.place_mm[2]
    geometry = film.geometry
    mm_per_px = geometry.column_pitch_mm * (1 - height / geometry.source_to_detector_mm)
    column, row = base + share * (end - base)
    way = end - base
    found = width_across(film.light, (column, row), (way[0], way[1]), mm_per_px=mm_per_px)
    assert isinstance(found, BoneWidth), str(found)
    by_hand_mm = 2 * half_width_at(size, share * size.length_mm)
    off_mm = found.width_px * mm_per_px - by_hand_mm
    return off_mm, found.standard_uncertainty_px * mm_per_px


def test_the_width_of_a_shaft_is_read_to_a_fifth_of_a_millimetre() -> None:
    for number in (0, 1):
        kind = KINDS[3 + 4 * number]
        film = draw_film(np.random.default_rng([51, number]), kind, COARSE_MM)
        for name, ray, bone in SHAFTS:
            for share in (0.4, 0.5, 0.6):
                off_mm, doubt_mm = _off_mm(film, name, ray, bone, share)
                assert off_mm == pytest.approx(0.0, abs=0.2)
                assert abs(off_mm) < 3 * doubt_mm
