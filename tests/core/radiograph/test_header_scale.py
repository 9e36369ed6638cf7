"""What the header says of size: rows first, what was corrected for enlargement and what not."""

from dataclasses import replace
from math import hypot, sqrt

import numpy as np
import pytest
from tests.core.radiograph.by_hand import Beam, film, note

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph.calibration import Scale, ScaleMethod, calibrate
from thumbwright.core.radiograph.header_scale import (
    DEPTH_SHARE,
    DETECTOR_EXCESS,
    DETECTOR_EXCESS_SHARE,
    GUESSED_DEPTH_SHARE,
    HeaderScale,
    header_scale,
)
from thumbwright.core.radiograph.image import HeaderSpacing, SpacingKind

PITCH = (0.15, 0.15)
NO_BALL = Unknown(reason="no ball was laid beside the digit")


def found(given: HeaderScale | Unknown) -> HeaderScale:
    assert isinstance(given, HeaderScale), str(given)
    return given


@pytest.mark.parametrize(
    ("spacing", "seen_px", "by_hand_mm"),
    [
        # 1000 / 970 = 1.0309; 300 x 0.15 / 1.0309
        (
            HeaderSpacing(
                imager_pixel_spacing_mm=PITCH,
                source_to_detector_mm=1000.0,
                source_to_patient_mm=970.0,
            ),
            300.0,
            43.65,
        ),
        # the stated factor 1.05 goes before the distances; 200 x 0.15 / 1.05
        (
            HeaderSpacing(
                imager_pixel_spacing_mm=PITCH,
                source_to_detector_mm=1000.0,
                source_to_patient_mm=950.0,
                magnification_factor=1.05,
            ),
            200.0,
            28.571,
        ),
        # the pitch alone: 300 x 0.15 / 1.031
        (HeaderSpacing(imager_pixel_spacing_mm=PITCH), 300.0, 43.647),
        # already corrected: 300 x 0.1455
        (
            HeaderSpacing(imager_pixel_spacing_mm=PITCH, pixel_spacing_mm=(0.1455, 0.1455)),
            300.0,
            43.65,
        ),
    ],
)
def test_a_bone_is_as_long_as_the_header_makes_it(
    spacing: HeaderSpacing, seen_px: float, by_hand_mm: float
) -> None:
    assert found(header_scale(spacing, note())).column_mm * seen_px == pytest.approx(
        by_hand_mm, abs=0.001
    )


def test_distances_of_the_header_give_a_bone_its_true_length() -> None:
    beam = Beam(source_to_detector_mm=1000.0)
    base, tip = beam.pixel((40.0, 60.0, 30.0)), beam.pixel((90.0, 60.0, 30.0))
    independent_length_mm = 50.0
    spacing = HeaderSpacing(
        imager_pixel_spacing_mm=PITCH, source_to_detector_mm=1000.0, source_to_patient_mm=970.0
    )
    seen = (tip[0] - base[0]) * found(header_scale(spacing, note())).column_mm
    assert seen == pytest.approx(independent_length_mm)


# --- which attribute


def test_a_spacing_calibrated_on_an_object_is_taken_as_it_stands() -> None:
    spacing = HeaderSpacing(
        pixel_spacing_mm=(0.14, 0.14),
        imager_pixel_spacing_mm=PITCH,
        kind=SpacingKind.FIDUCIAL,
        description="25 mm ball",
    )
    scale = found(header_scale(spacing, note()))
    assert (scale.column_mm, scale.relative_uncertainty) == (0.14, DEPTH_SHARE)
    assert scale.remarks == ("The header says: 25 mm ball.",)


@pytest.mark.parametrize("detector", [PITCH, None])
def test_a_spacing_corrected_for_an_assumed_depth_is_taken_with_more_doubt(
    detector: tuple[float, float] | None,
) -> None:
    spacing = HeaderSpacing(
        pixel_spacing_mm=(0.1455, 0.1455),
        imager_pixel_spacing_mm=detector,
        kind=SpacingKind.GEOMETRY,
    )
    scale = found(header_scale(spacing, note()))
    assert (scale.column_mm, scale.relative_uncertainty) == (0.1455, GUESSED_DEPTH_SHARE)
    assert "no word on the depth assumed" in scale.remarks[0]


@pytest.mark.parametrize("spaced", [(0.15, 0.15), (0.149999, 0.150001), (0.15004, 0.15004)])
def test_a_spacing_equal_to_the_pitch_but_for_rounding_was_not_corrected(
    spaced: tuple[float, float],
) -> None:
    spacing = HeaderSpacing(pixel_spacing_mm=spaced, imager_pixel_spacing_mm=PITCH)
    scale = found(header_scale(spacing, note()))
    by_hand_mm_per_px = 0.15 / 1.031
    assert scale.column_mm == pytest.approx(by_hand_mm_per_px)
    assert scale.relative_uncertainty == DETECTOR_EXCESS_SHARE


@pytest.mark.parametrize("spaced", [0.3, 0.16, 0.12])
@pytest.mark.parametrize("kind", SpacingKind)
def test_a_spacing_that_no_enlargement_explains_is_not_used(
    spaced: float, kind: SpacingKind
) -> None:
    spacing = HeaderSpacing(
        pixel_spacing_mm=(spaced, spaced), imager_pixel_spacing_mm=PITCH, kind=kind
    )
    unknown = header_scale(spacing, note())
    assert isinstance(unknown, Unknown)
    assert f"an enlargement of {0.15 / spaced:.3f}" in unknown.reason
    assert unknown.needed == ("a ball or ruler of known size beside the digit",)


def test_a_plate_scanned_afterwards_counts_as_the_detector() -> None:
    scale = found(header_scale(HeaderSpacing(nominal_scanned_spacing_mm=(0.1, 0.1)), note()))
    assert scale.column_mm == pytest.approx(0.1 / DETECTOR_EXCESS)


def test_the_detectors_own_pitch_goes_before_that_of_a_scanner() -> None:
    spacing = HeaderSpacing(imager_pixel_spacing_mm=PITCH, nominal_scanned_spacing_mm=(0.1, 0.1))
    assert found(header_scale(spacing, note())).column_mm == pytest.approx(0.15 / DETECTOR_EXCESS)


def test_a_spacing_that_stands_alone_tells_nothing() -> None:
    unknown = header_scale(HeaderSpacing(pixel_spacing_mm=(0.14, 0.14)), note())
    assert isinstance(unknown, Unknown)
    assert "stands alone" in unknown.reason


def test_a_silent_header_tells_nothing() -> None:
    unknown = header_scale(HeaderSpacing(source_to_detector_mm=1000.0), note())
    assert isinstance(unknown, Unknown)
    assert unknown.reason == "the header gives no size of a pixel"


@pytest.mark.parametrize(
    "spacing",
    [
        HeaderSpacing(imager_pixel_spacing_mm=(0.2, 0.1), magnification_factor=1.05),
        HeaderSpacing(pixel_spacing_mm=(0.2 / 1.05, 0.1 / 1.05), kind=SpacingKind.GEOMETRY),
    ],
)
def test_the_first_number_of_a_pair_is_the_height_of_a_pixel(spacing: HeaderSpacing) -> None:
    scale = found(header_scale(spacing, note()))
    assert (scale.row_mm, scale.column_mm) == pytest.approx((0.2 / 1.05, 0.1 / 1.05))


# --- how much the detector enlarges


def test_measured_heights_go_before_what_the_header_estimates() -> None:
    spacing = HeaderSpacing(imager_pixel_spacing_mm=PITCH, magnification_factor=1.1)
    said = replace(note(), source_to_detector_mm=1000.0, bone_above_detector_mm=20.0)
    scale = found(header_scale(spacing, said))
    by_hand_mm_per_px = 0.15 * 980 / 1000
    assert scale.column_mm == pytest.approx(by_hand_mm_per_px)


def test_the_doubt_of_measured_heights_is_what_small_changes_of_them_make() -> None:
    spacing = HeaderSpacing(imager_pixel_spacing_mm=PITCH, source_to_detector_mm=1000.0)
    scale = found(header_scale(spacing, replace(note(), bone_above_detector_mm=40.0)))
    # 5 mm of doubt in the height, 10 mm in the distance of the source, as for a ball.
    by_height = 1000 / (1000 - 45.0) / (1000 / 960) - 1
    by_source = 1010 / 970 / (1000 / 960) - 1
    independent_share = hypot(by_height, by_source)
    assert scale.relative_uncertainty == pytest.approx(independent_share, rel=0.02)


def test_the_usual_enlargement_is_that_of_bones_one_to_five_centimetres_up() -> None:
    heights = np.linspace(10, 50, 10_001)
    independent = 1000 / (1000 - heights)
    assert pytest.approx(float(independent.mean()), abs=0.001) == DETECTOR_EXCESS
    assert pytest.approx(float(independent.std()), abs=0.0005) == DETECTOR_EXCESS_SHARE
    by_hand_share = 0.04 / sqrt(12)
    assert pytest.approx(by_hand_share, abs=0.0005) == DETECTOR_EXCESS_SHARE


@pytest.mark.parametrize("factor", [0.9, 1.25, 1.6])
def test_an_enlargement_that_no_hand_or_foot_has_is_said_and_not_used(factor: float) -> None:
    spacing = HeaderSpacing(imager_pixel_spacing_mm=PITCH, magnification_factor=factor)
    scale = found(header_scale(spacing, note()))
    assert scale.column_mm == pytest.approx(0.15 / DETECTOR_EXCESS)
    assert f"states an enlargement of {factor:.3f}, which no hand or foot" in scale.remarks[0]


def test_an_enlargement_of_exactly_one_is_taken_for_a_default() -> None:
    spacing = HeaderSpacing(imager_pixel_spacing_mm=PITCH, magnification_factor=1.0)
    scale = found(header_scale(spacing, note()))
    assert scale.column_mm == pytest.approx(0.15 / DETECTOR_EXCESS)
    assert "exactly 1" in scale.remarks[0]


@pytest.mark.parametrize(("patient_mm", "is_said"), [(952.0, False), (930.0, True)])
def test_a_factor_and_distances_that_disagree_are_remarked_on(
    patient_mm: float, *, is_said: bool
) -> None:
    spacing = HeaderSpacing(
        imager_pixel_spacing_mm=PITCH,
        source_to_detector_mm=1000.0,
        source_to_patient_mm=patient_mm,
        magnification_factor=1.05,
    )
    scale = found(header_scale(spacing, note()))
    assert any("disagree" in remark for remark in scale.remarks) is is_said
    assert scale.column_mm == pytest.approx(0.15 / 1.05)


def test_the_pitch_alone_is_remarked_on() -> None:
    scale = found(header_scale(HeaderSpacing(imager_pixel_spacing_mm=PITCH), note()))
    assert "A ball beside the digit is better" in scale.remarks[-1]


# --- as a scale


def test_a_scale_by_the_header_carries_the_headers_doubt_and_words() -> None:
    spacing = HeaderSpacing(imager_pixel_spacing_mm=PITCH)
    scale = calibrate(film(spacing), note(), NO_BALL)
    assert isinstance(scale, Scale)
    assert scale.method is ScaleMethod.HEADER
    assert scale.relative_uncertainty == pytest.approx(DETECTOR_EXCESS_SHARE)
    assert "working assumption" in scale.relative[0].input.basis
    assert "A ball beside the digit is better" in scale.remarks[-1]
