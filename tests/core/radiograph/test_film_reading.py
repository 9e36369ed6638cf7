"""From one film to millimetres: slanted views measure nothing, the ball is found where it lies."""

from dataclasses import replace

import numpy as np
import pytest
from tests.core.radiograph.by_hand import film, note, round_of

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import FilmMismatchError
from thumbwright.core.radiograph.calibration import Scale, ScaleMethod
from thumbwright.core.radiograph.film_reading import FilmReading, read_out
from thumbwright.core.radiograph.image import Film, FilmHeader, HeaderSpacing, Region, View
from thumbwright.core.radiograph.landmarks import Ball, FilmNote, Landmark
from thumbwright.core.radiograph.marker import MarkerFound
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.phantom.films import PhantomFilm, expose
from thumbwright.phantom.notes import film_note, placed_by_hand
from thumbwright.phantom.objects import MetalBall
from thumbwright.phantom.physics import Exposure
from thumbwright.phantom.projection import centred_geometry
from thumbwright.phantom.scene import hand_scene

DETECTOR = HeaderSpacing(imager_pixel_spacing_mm=(0.15, 0.15))
POINTS = round_of(
    {Landmark.METACARPAL_BASE: (100.0, 900.0), Landmark.METACARPAL_HEAD: (100.0, 600.0)}
)


def on(region: Region, view: View) -> tuple[Film, FilmNote]:
    header = FilmHeader(region=region, side=Side.RIGHT, view=view, spacing=DETECTOR)
    return replace(film(), header=header), note(POINTS, region=region, view=view)


@pytest.mark.parametrize(
    ("region", "view"),
    [
        (Region.HAND, View.POSTEROANTERIOR),
        (Region.HAND, View.ANTEROPOSTERIOR),
        (Region.FOOT, View.DORSOPLANTAR),
        (Region.FOOT, View.ANTEROPOSTERIOR),
    ],
)
def test_a_view_with_the_bones_along_the_film_is_measured(region: Region, view: View) -> None:
    reading = read_out(*on(region, view))
    assert reading.measures
    assert isinstance(reading.placed, PlacedPoints)
    assert reading.placed.film == "a.dcm"


@pytest.mark.parametrize("region", Region)
@pytest.mark.parametrize("view", [View.OBLIQUE, View.LATERAL])
def test_a_slanted_view_is_calibrated_and_not_measured(region: Region, view: View) -> None:
    reading = read_out(*on(region, view))
    assert not reading.measures
    assert isinstance(reading.scale, Scale)
    assert isinstance(reading.placed, Unknown)
    assert reading.placed.reason == (
        f"film a.dcm is a {view.value} view, which shows bones at a slant"
    )
    assert reading.placed.needed == (
        f"a film of the same {region.value} with the bones along the film",
    )


def test_a_film_without_millimetres_has_no_places_either() -> None:
    bare = replace(film(), header=FilmHeader(region=Region.HAND, side=Side.RIGHT))
    reading = read_out(bare, note(POINTS))
    assert isinstance(reading.scale, Unknown)
    assert reading.placed == reading.scale
    assert not reading.measures


def test_a_film_of_the_other_side_stops_the_plan() -> None:
    one, said = on(Region.HAND, View.POSTEROANTERIOR)
    with pytest.raises(FilmMismatchError, match="the header says right, the list left"):
        read_out(one, replace(said, side=Side.LEFT))


def test_remarks_of_file_and_scale_stand_with_the_film() -> None:
    one, said = on(Region.HAND, View.POSTEROANTERIOR)
    odd = replace(one, header=replace(one.header, remarks=("The file is odd.",)))
    remarks = read_out(odd, said).remarks
    assert "The file is odd." in remarks
    assert any("Only the pitch at the detector is known" in remark for remark in remarks)


@pytest.mark.parametrize("diameter_mm", [0.5, 1.5])
def test_a_ball_too_small_to_be_found_gives_way_in_words(diameter_mm: float) -> None:
    one, said = on(Region.HAND, View.POSTEROANTERIOR)
    reading = read_out(one, replace(said, ball=Ball(diameter_mm=diameter_mm)))
    assert isinstance(reading.scale, Scale)
    assert reading.scale.method is ScaleMethod.HEADER
    assert any(
        f"a ball of {diameter_mm:g} mm would be" in remark and "12 to 4000 px" in remark
        for remark in reading.remarks
    )


# --- on films of the phantom


def exposed(pitch_mm: tuple[float, float]) -> PhantomFilm:
    ball = MetalBall(diameter_mm=20.0, centre_mm=(-80.0, 40.0, 25.0))
    scene = hand_scene(side=Side.RIGHT, balls=(ball,))
    return expose(scene, centred_geometry(pitch_mm=pitch_mm), Exposure(), np.random.default_rng(1))


def read(one: PhantomFilm) -> FilmReading:
    by_hand = placed_by_hand(one.truth, np.random.default_rng(2), observer="a", scatter_px=0.0)
    return read_out(one.as_film("hand.dcm"), film_note(one, "hand.dcm", placements=(by_hand,)))


@pytest.fixture(scope="module", name="square")
def fixture_square() -> PhantomFilm:
    return exposed((0.15, 0.15))


@pytest.fixture(scope="module", name="tall")
def fixture_tall() -> PhantomFilm:
    return exposed((0.24, 0.16))


def marker_of(reading: FilmReading) -> MarkerFound:
    assert isinstance(reading.scale, Scale), str(reading.scale)
    assert reading.scale.marker is not None
    return reading.scale.marker


@pytest.mark.parametrize("name", ["square", "tall"])
def test_the_ball_is_found_where_its_shadow_lies(name: str, request: pytest.FixtureRequest) -> None:
    one: PhantomFilm = request.getfixturevalue(name)
    found, shadow = marker_of(read(one)), one.truth.balls[0].shadow
    independent_width_px = 2 * shadow.semi_minor_mm / one.geometry.column_pitch_mm
    assert found.centre == pytest.approx(shadow.centre, abs=0.5)
    # How exactly a width is read belongs to the tests of the marker; a wrong aspect errs by 50 %.
    assert found.diameter_px == pytest.approx(independent_width_px, rel=0.01)


@pytest.mark.parametrize("name", ["square", "tall"])
def test_a_film_with_a_ball_has_the_scale_of_the_plane_of_its_bones(
    name: str, request: pytest.FixtureRequest
) -> None:
    one: PhantomFilm = request.getfixturevalue(name)
    scale = read(one).scale
    assert isinstance(scale, Scale)
    independent_share = 1 - 25.0 / one.geometry.source_to_detector_mm
    assert scale.method is ScaleMethod.BALL
    assert scale.column_mm == pytest.approx(
        one.geometry.column_pitch_mm * independent_share, rel=0.01
    )
    assert scale.row_mm == pytest.approx(one.geometry.row_pitch_mm * independent_share, rel=0.01)
    off = abs(scale.column_mm / (one.geometry.column_pitch_mm * independent_share) - 1)
    assert off < 3 * scale.relative_uncertainty
