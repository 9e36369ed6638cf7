"""Millimetres per pixel: two planes under one beam, the order of trust, and what contradicts."""

from dataclasses import replace
from math import hypot, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.radiograph.by_hand import Beam, ball_of, film, note

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import CalibrationError
from thumbwright.core.radiograph.calibration import (
    BONE_HEIGHT,
    SOURCE_TO_DETECTOR,
    Scale,
    ScaleMethod,
    calibrate,
    row_over_column,
)
from thumbwright.core.radiograph.image import HeaderSpacing, SpacingKind
from thumbwright.core.radiograph.landmarks import Ball, FilmNote, Ruler
from thumbwright.core.radiograph.marker import MarkerFound

NO_BALL = Unknown(reason="no round metal shadow with its whole edge is on the film")
DETECTOR = HeaderSpacing(imager_pixel_spacing_mm=(0.15, 0.15), source_to_detector_mm=1000.0)


def found(given: Scale | Unknown) -> Scale:
    assert isinstance(given, Scale), str(given)
    return given


def with_ball(*, above_bone_mm: float = 0.0, diameter_mm: float = 20.0) -> FilmNote:
    return replace(
        note(),
        ball=Ball(diameter_mm=diameter_mm, above_bone_mm=above_bone_mm),
        source_to_detector_mm=1000.0,
        bone_above_detector_mm=30.0,
    )


def ball_shadow_px(beam: Beam, height_mm: float, diameter_mm: float) -> float:
    """Return the short axis of a ball's shadow: the cone of tangents cut by the detector."""
    depth, radius = beam.source_to_detector_mm - height_mm, diameter_mm / 2
    shadow_mm = 2 * beam.source_to_detector_mm * radius / sqrt(depth**2 - radius**2)
    return shadow_mm / beam.pitch_mm


# --- two planes


@pytest.mark.parametrize("source_mm", [700.0, 1000.0, 1100.0])
@pytest.mark.parametrize("above_mm", [-20.0, -5.0, 0.0, 10.0, 40.0])
def test_a_ball_over_or_under_the_bones_gives_the_bones_their_true_length(
    source_mm: float, above_mm: float
) -> None:
    beam, bone_height_mm, diameter_mm = Beam(source_to_detector_mm=source_mm), 35.0, 20.0
    base, tip = (beam.pixel((x, 80.0, bone_height_mm)) for x in (40.0, 100.0))
    independent_length_mm = 60.0
    said = replace(
        with_ball(above_bone_mm=above_mm, diameter_mm=diameter_mm),
        source_to_detector_mm=source_mm,
        bone_above_detector_mm=bone_height_mm,
    )
    shadow_px = ball_shadow_px(beam, bone_height_mm + above_mm, diameter_mm)
    scale = found(calibrate(film(), said, ball_of(shadow_px)))
    seen = (tip[0] - base[0]) * scale.column_mm
    # A ball is not a disc: its shadow is wider by r^2 / 2 D^2, one part in ten thousand here.
    assert seen == pytest.approx(independent_length_mm, rel=1.5e-4)
    assert scale.column_mm == pytest.approx(beam.bone_mm_per_px(bone_height_mm), rel=1.5e-4)
    assert scale.source_to_bone_mm == pytest.approx(source_mm - bone_height_mm)


def test_a_ruler_over_the_bones_is_carried_down_to_their_plane() -> None:
    beam, bone_height_mm, above_mm = Beam(), 30.0, 15.0
    start, end = (beam.pixel((x, 20.0, bone_height_mm + above_mm)) for x in (10.0, 110.0))
    ruler = Ruler(start=start, end=end, length_mm=100.0, above_bone_mm=above_mm)
    said = replace(
        note(), ruler=ruler, source_to_detector_mm=1000.0, bone_above_detector_mm=bone_height_mm
    )
    scale = found(calibrate(film(), said, NO_BALL))
    independent_mm_per_px = 0.15 * 970 / 1000
    assert scale.method is ScaleMethod.RULER
    assert scale.column_mm == pytest.approx(independent_mm_per_px)


def test_the_doubt_of_a_ball_is_made_of_its_four_inputs() -> None:
    said = replace(with_ball(above_bone_mm=10.0), ball=Ball(diameter_mm=20.0, above_bone_mm=10.0))
    scale = found(calibrate(film(), said, ball_of(140.0, uncertainty_px=0.2)))
    by_hand_shares = {
        "scale a.dcm ball": 0.05 / sqrt(3) / 20.0,
        "scale a.dcm edge": -0.2 / 140.0,
        "plane a.dcm": 5.0 / sqrt(3) / (970.0 - 10.0),
        "source a.dcm": -hypot(10.0, 5.0) * 10.0 / (970.0 * 960.0),
    }
    shares = {term.input.key: term.effect for term in scale.relative}
    assert shares == pytest.approx(by_hand_shares)
    by_hand_together = sqrt(sum(share**2 for share in by_hand_shares.values()))
    assert scale.relative_uncertainty == pytest.approx(by_hand_together)


def test_each_share_of_the_doubt_is_what_a_small_change_of_its_input_makes() -> None:
    """Step each input a little in the formula written out anew."""

    def mm_per_px(
        diameter: float = 20.0, seen: float = 140.0, distance: float = 970.0, above: float = 12.0
    ) -> float:
        """Two planes by similar triangles: pitch seen at the ball, over pitch at the bone."""
        at_ball = diameter / seen
        return at_ball * distance / (distance - above)

    scale = found(calibrate(film(), with_ball(above_bone_mm=12.0), ball_of(140.0)))
    step = 1e-4
    independent_slopes = {
        "scale a.dcm ball": (mm_per_px(diameter=20 + step) - mm_per_px()) / step / mm_per_px(),
        "scale a.dcm edge": (mm_per_px(seen=140 + step) - mm_per_px()) / step / mm_per_px(),
        "plane a.dcm": (mm_per_px(above=12 + step) - mm_per_px()) / step / mm_per_px(),
        "source a.dcm": (mm_per_px(distance=970 + step) - mm_per_px()) / step / mm_per_px(),
    }
    slopes = {term.input.key: term.sensitivity for term in scale.relative}
    assert slopes == pytest.approx(independent_slopes, rel=1e-4)


def test_a_ruler_read_twice_doubts_by_both_its_ends() -> None:
    ruler = Ruler(start=(100.0, 100.0), end=(100.0, 500.0), length_mm=60.0)
    scale = found(calibrate(film(), replace(note(), ruler=ruler), NO_BALL))
    by_hand_ends = 0.3 * sqrt(2) / 60.0
    effects = {term.input.name: term.effect for term in scale.relative}
    assert effects["the two ends read on the ruler"] == pytest.approx(by_hand_ends)
    assert effects["distance from source to bones"] == 0.0


def test_without_stated_distances_the_usual_ones_are_taken_and_doubted() -> None:
    said = replace(note(), ball=Ball(diameter_mm=20.0, above_bone_mm=10.0))
    scale = found(calibrate(film(), said, ball_of(140.0)))
    assert scale.source_to_bone_mm == SOURCE_TO_DETECTOR.value - BONE_HEIGHT.value == 970.0
    by_hand_doubt_mm = hypot(50.0, 12.0)
    (source,) = (term for term in scale.relative if term.input.key == "source a.dcm")
    assert source.input.standard_uncertainty == pytest.approx(by_hand_doubt_mm)


# --- the order of trust


RULER = Ruler(start=(100.0, 100.0), end=(100.0, 500.0), length_mm=58.2)
EVERYTHING = replace(with_ball(), ruler=RULER)


def test_a_ball_is_trusted_before_a_ruler_and_a_ruler_before_the_header() -> None:
    seen = ball_of(20.0 / 0.1455)
    by_ball = found(calibrate(film(DETECTOR), EVERYTHING, seen))
    assert by_ball.method is ScaleMethod.BALL
    assert by_ball.marker is seen
    by_ruler = found(calibrate(film(DETECTOR), replace(EVERYTHING, ball=None), seen))
    assert by_ruler.method is ScaleMethod.RULER
    assert by_ruler.marker is None
    by_header = found(calibrate(film(DETECTOR), replace(EVERYTHING, ball=None, ruler=None), seen))
    assert by_header.method is ScaleMethod.HEADER


def test_a_ball_that_was_not_found_gives_way_and_that_is_said() -> None:
    by_ruler = found(calibrate(film(DETECTOR), EVERYTHING, NO_BALL))
    assert by_ruler.method is ScaleMethod.RULER
    assert "The ball was not found (no round metal shadow" in by_ruler.remarks[0]
    by_header = found(calibrate(film(DETECTOR), replace(EVERYTHING, ruler=None), NO_BALL))
    assert by_header.method is ScaleMethod.HEADER
    assert "The ball was not found" in by_header.remarks[0]


def test_without_ball_ruler_and_header_nothing_is_measured() -> None:
    unknown = calibrate(film(), note(), NO_BALL)
    assert isinstance(unknown, Unknown)
    assert unknown.reason == "the header gives no size of a pixel"
    assert unknown.needed == ("a ball or ruler of known size beside the digit",)


def test_a_ball_not_found_under_a_silent_header_gives_both_reasons_in_one_sentence() -> None:
    unknown = calibrate(film(), with_ball(), NO_BALL)
    assert isinstance(unknown, Unknown)
    assert unknown.reason == (
        "the ball was not found (no round metal shadow with its whole edge is on the film), and "
        "the header gives no size of a pixel"
    )


# --- ball against detector


def ball_with_enlargement(enlargement: float) -> MarkerFound:
    """Return a 20 mm ball at the height of the bones on the detector of 0.15 mm."""
    return ball_of(20.0 * enlargement / 0.15)


@pytest.mark.parametrize("enlargement", [0.99, 1.21, 1.5, 0.6])
def test_a_ball_of_another_size_than_said_contradicts_the_detector_and_is_refused(
    enlargement: float,
) -> None:
    unknown = calibrate(film(DETECTOR), with_ball(), ball_with_enlargement(enlargement))
    assert isinstance(unknown, Unknown)
    assert f"an enlargement of {enlargement:.3f} against" in unknown.reason
    assert "pitch of 0.15 mm" in unknown.reason
    assert unknown.needed == ("the true size of the ball on film a.dcm",)


@pytest.mark.parametrize("enlargement", [1.0, 1.03, 1.19])
def test_a_ball_that_can_be_true_is_not_refused(enlargement: float) -> None:
    scale = found(calibrate(film(DETECTOR), with_ball(), ball_with_enlargement(enlargement)))
    by_hand_mm_per_px = 0.15 / enlargement
    assert scale.column_mm == pytest.approx(by_hand_mm_per_px)


def test_a_ruler_read_wrongly_contradicts_the_detector_too() -> None:
    ruler = replace(RULER, length_mm=100.0)
    unknown = calibrate(film(DETECTOR), replace(note(), ruler=ruler), NO_BALL)
    assert isinstance(unknown, Unknown)
    assert unknown.needed == ("the true size of the ruler on film a.dcm",)


def test_ball_and_header_that_disagree_beyond_their_doubt_are_remarked_on() -> None:
    calm = calibrate(film(DETECTOR), with_ball(), ball_with_enlargement(1.031))
    loud = calibrate(film(DETECTOR), with_ball(), ball_with_enlargement(1.09))
    assert found(calm).remarks == ()
    (remark,) = found(loud).remarks
    # 1000 / 970 by the heights against 1.09 by the ball: the ball's pixel is 5.4 % smaller.
    assert remark.startswith("The ball and the header differ by -5.4% in the size of a pixel")


# --- pixels that are not square


@pytest.mark.parametrize(
    ("spacing", "by_hand_aspect"),
    [
        (HeaderSpacing(imager_pixel_spacing_mm=(0.2, 0.1)), 2.0),
        (HeaderSpacing(pixel_spacing_mm=(0.1, 0.2), kind=SpacingKind.FIDUCIAL), 0.5),
        (HeaderSpacing(nominal_scanned_spacing_mm=(0.3, 0.1)), 3.0),
        (HeaderSpacing(), 1.0),
    ],
)
def test_the_first_number_of_a_pair_is_from_row_to_row(
    spacing: HeaderSpacing, by_hand_aspect: float
) -> None:
    assert row_over_column(film(spacing)) == pytest.approx(by_hand_aspect)


def test_on_pixels_that_are_not_square_rows_and_columns_have_sizes_of_their_own() -> None:
    tall = HeaderSpacing(imager_pixel_spacing_mm=(0.2, 0.15))
    header = found(calibrate(film(tall), note(), NO_BALL))
    assert (header.row_mm, header.column_mm) == pytest.approx((0.2 / 1.031, 0.15 / 1.031))
    ball = found(calibrate(film(tall), with_ball(), ball_of(20.0 / 0.1455)))
    assert (ball.row_mm, ball.column_mm) == pytest.approx((0.1455 * 4 / 3, 0.1455))
    assert ball.to_mm((10.0, 10.0)) == pytest.approx((1.455, 1.94))


def test_a_slanting_ruler_on_pixels_that_are_not_square_reads_its_true_length() -> None:
    """Lay 50 mm as 30 mm across and 40 mm down on pixels 0.1 mm wide and 0.2 mm high."""
    tall = HeaderSpacing(imager_pixel_spacing_mm=(0.2, 0.1), source_to_detector_mm=1000.0)
    ruler = Ruler(start=(100.0, 50.0), end=(400.0, 250.0), length_mm=50.0)
    scale = found(calibrate(film(tall), replace(note(), ruler=ruler), NO_BALL))
    by_hand_column_mm, by_hand_row_mm = 0.1, 0.2
    assert (scale.column_mm, scale.row_mm) == pytest.approx((by_hand_column_mm, by_hand_row_mm))


def test_a_scale_leads_there_and_back() -> None:
    scale = found(calibrate(film(DETECTOR), with_ball(), ball_of(137.0)))
    assert scale.to_px(scale.to_mm((321.5, 77.25))) == pytest.approx((321.5, 77.25))


def test_the_middle_of_the_film_lies_between_its_outermost_pixels() -> None:
    scale = found(calibrate(film(DETECTOR, shape=(1201, 1001)), with_ball(), ball_of(137.0)))
    assert scale.centre == (500.0, 600.0)


# --- what cannot be


def test_a_ruler_with_both_ends_in_one_place_is_refused() -> None:
    ruler = Ruler(start=(100.0, 100.0), end=(100.0, 100.0), length_mm=50.0)
    with pytest.raises(CalibrationError, match=r"both ends.*in one place.*place both ends anew"):
        calibrate(film(), replace(note(), ruler=ruler), NO_BALL)


def test_a_ball_said_to_hang_at_or_beyond_the_source_is_refused() -> None:
    said = replace(
        with_ball(above_bone_mm=80.0), source_to_detector_mm=360.0, bone_above_detector_mm=290.0
    )
    with pytest.raises(CalibrationError, match=r"80 mm over the bones.*70 mm.*correct the height"):
        calibrate(film(), said, ball_of(140.0))


def test_bones_said_to_lie_at_the_source_are_refused() -> None:
    said = replace(with_ball(), source_to_detector_mm=301.0, bone_above_detector_mm=300.0)
    near = replace(DETECTOR, source_to_detector_mm=300.0)
    with pytest.raises(CalibrationError, match=r"300 mm from the detector and the bones 300 mm"):
        calibrate(film(near), said, ball_of(140.0))
    with pytest.raises(CalibrationError, match="allowed are bones nearer than the source"):
        calibrate(film(near), replace(said, ball=None), NO_BALL)


# --- what must always hold


@settings(deadline=None)
@given(st.floats(0.2, 5.0), st.floats(-50, 50))
def test_coarser_pixels_change_the_scale_and_no_length(factor: float, above_mm: float) -> None:
    said = with_ball(above_bone_mm=above_mm)
    fine = found(calibrate(film(), said, ball_of(140.0)))
    coarse = found(calibrate(film(), said, ball_of(140.0 / factor)))
    assert coarse.column_mm == pytest.approx(fine.column_mm * factor)
    assert coarse.to_mm((300.0 / factor, 0.0))[0] == pytest.approx(fine.to_mm((300.0, 0.0))[0])


@settings(deadline=None)
@given(st.floats(-60, 60), st.floats(0.1, 30))
def test_the_higher_the_ball_is_said_to_lie_the_larger_the_bones(
    above_mm: float, more_mm: float
) -> None:
    low = found(calibrate(film(), with_ball(above_bone_mm=above_mm), ball_of(140.0)))
    high = found(calibrate(film(), with_ball(above_bone_mm=above_mm + more_mm), ball_of(140.0)))
    assert high.column_mm > low.column_mm
