"""The bone of the toe against the bone of the stump, on bars of known width and on a phantom."""

from dataclasses import replace
from math import hypot

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.core.radiograph.by_hand import (
    BAR_LEVEL,
    BAR_MM_PER_PX,
    SHAPE,
    bar,
    film,
    note,
    placed,
    scale_of,
    upward,
)
from tests.core.radiograph.test_transposition import cut_of, mm

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.radiograph.film_reading import FilmReading
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import GREAT_TOE, Landmark, Point, RayName
from thumbwright.core.radiograph.transposition import ToeCut
from thumbwright.core.radiograph.width_match import BACK_FROM_END_MM, WidthMatch, match_widths
from thumbwright.phantom.bones import half_width_at
from thumbwright.phantom.films import PhantomFilm, expose
from thumbwright.phantom.physics import Exposure
from thumbwright.phantom.poses import Loss, ray_length_mm
from thumbwright.phantom.projection import centred_geometry
from thumbwright.phantom.scene import Scene, foot_scene, hand_scene
from thumbwright.phantom.sizes import adult

MM_PER_PX = BAR_MM_PER_PX
LEVEL = BAR_LEVEL


def hand_of(
    width_mm: float, *, turn_deg: float = 0.0, row_mm: float = MM_PER_PX, share: float = 0.0
) -> FilmReading:
    points = {
        Landmark.METACARPAL_BASE: upward(turn_deg, -20.0),
        Landmark.STUMP_BONE_END: upward(turn_deg, 20.0),
    }
    values = bar(width_mm, turn_deg=turn_deg)
    return reading_of(values, points, Region.HAND, "hand.dcm", row_mm=row_mm, share=share)


def foot_of(width_mm: float, *, turn_deg: float = 0.0, share: float = 0.0) -> FilmReading:
    points = {
        Landmark.FIRST_METATARSAL_BASE: upward(turn_deg, -40.0),
        Landmark.GREAT_PROXIMAL_BASE: upward(turn_deg, -20.0),
        Landmark.GREAT_DISTAL_BASE: upward(turn_deg, 20.0),
        Landmark.GREAT_DISTAL_TIP: upward(turn_deg, 40.0),
    }
    values = bar(width_mm, turn_deg=turn_deg, seed=2)
    return reading_of(values, points, Region.FOOT, "foot.dcm", share=share)


def reading_of(
    values: NDArray[np.uint16],
    points: dict[Landmark, Point],
    region: Region,
    file: str,
    *,
    row_mm: float = MM_PER_PX,
    share: float = 0.0,
) -> FilmReading:
    scale = scale_of(MM_PER_PX, row_mm, name=file, share=share)
    return FilmReading(
        film=replace(film(name=file), values=values),
        note=note(file=file, region=region, side=Side.LEFT),
        scale=scale,
        placed=placed(points, scale),
        remarks=(),
    )


def cut_on(foot: FilmReading, wanted_mm: float = 40.0) -> ToeCut:
    assert not isinstance(foot.placed, Unknown)
    return cut_of(mm(wanted_mm), foot.placed, ray=GREAT_TOE, film_note=foot.note)


def match(hand: FilmReading, foot: FilmReading) -> WidthMatch:
    found = match_widths(hand, foot, cut_on(foot))
    assert isinstance(found, WidthMatch), str(found)
    return found


@pytest.mark.parametrize(
    ("stump_mm", "toe_mm", "turn_deg"),
    [(9.0, 8.0, 0.0), (11.0, 13.0, 25.0), (7.0, 10.0, -40.0), (14.0, 6.0, 90.0)],
)
def test_bars_of_known_width_are_read_to_three_tenths_of_a_millimetre(
    stump_mm: float, toe_mm: float, turn_deg: float
) -> None:
    found = match(hand_of(stump_mm, turn_deg=turn_deg), foot_of(toe_mm, turn_deg=-turn_deg))
    assert found.stump.value == pytest.approx(stump_mm, abs=0.3)
    assert found.toe.value == pytest.approx(toe_mm, abs=0.3)
    by_hand_ratio = toe_mm / stump_mm
    assert found.toe_over_stump.value == pytest.approx(by_hand_ratio, abs=0.06)
    assert found.toe_over_stump.unit == "-"


def test_the_doubt_of_a_width_holds_that_of_its_film() -> None:
    exact = match(hand_of(9.0), foot_of(8.0))
    doubted = match(hand_of(9.0, share=0.02), foot_of(8.0, share=0.01))
    by_hand_stump_mm = hypot(exact.stump.uncertainty, 0.02 * exact.stump.value)
    assert doubted.stump.uncertainty == pytest.approx(by_hand_stump_mm)
    by_hand_share = hypot(
        doubted.stump.uncertainty / doubted.stump.value, doubted.toe.uncertainty / doubted.toe.value
    )
    ratio = doubted.toe_over_stump
    assert ratio.uncertainty / ratio.value == pytest.approx(by_hand_share)


def test_the_stump_is_read_where_its_bone_is_still_whole() -> None:
    """Cut the bar off at the stump's end: 3 mm nearer the body it has its full width."""
    hand = hand_of(9.0)
    values = hand.film.values.copy()
    end_row = round(600 - 20.0 / MM_PER_PX)
    values[:end_row] = LEVEL
    whole = replace(hand, film=replace(hand.film, values=values))
    found = match(whole, foot_of(8.0))
    assert BACK_FROM_END_MM == 3.0
    assert found.stump.value == pytest.approx(9.0, abs=0.3)


def test_the_toe_is_read_at_the_cut_and_not_elsewhere() -> None:
    """Widen the bar beyond the cut: a cut 5 mm from there still reads the narrow part."""
    foot = foot_of(8.0)
    step_row = round(upward(0.0, 10.0)[1])
    values = foot.film.values.copy()
    values[:step_row] = bar(14.0, seed=3)[:step_row]
    stepped = replace(foot, film=replace(foot.film, values=values))
    narrow, wide = (match_widths(hand_of(9.0), stepped, cut_on(foot, at)) for at in (36.0, 24.0))
    assert isinstance(narrow, WidthMatch)
    assert isinstance(wide, WidthMatch)
    assert narrow.toe.value == pytest.approx(8.0, abs=0.3)
    assert wide.toe.value == pytest.approx(14.0, abs=0.3)


# --- on films of the phantom


def shot(scene: Scene) -> PhantomFilm:
    return expose(scene, centred_geometry(), Exposure(), np.random.default_rng(4))


def placed_on(one: PhantomFilm, file: str) -> FilmReading:
    """Return the phantom's film with its true points and the exact scale of its bones."""
    points = {mark: one.truth.pixel(mark) for mark in one.truth.points}
    share = 1 - one.scene.height_mm / one.geometry.source_to_detector_mm
    scale = scale_of(one.geometry.column_pitch_mm * share, name=file)
    return FilmReading(
        film=one.as_film(file),
        note=note(file=file, region=one.truth.region, side=one.truth.side),
        scale=scale,
        placed=placed(points, scale),
        remarks=(),
    )


def test_shafts_of_the_phantom_are_read_to_three_tenths_of_a_millimetre() -> None:
    """Cut the thumb 3 mm beyond the middle of its metacarpal, the toe at that of its phalanx."""
    person = adult()
    metacarpal, phalanx = person.hand[0].bones[0], person.foot[0].bones[1]
    half_mm, there_mm = metacarpal.length_mm / 2, phalanx.length_mm / 2
    loss = Loss(kept_share=(half_mm + BACK_FROM_END_MM) / ray_length_mm(person.hand[0]))
    hand = placed_on(shot(hand_scene(side=Side.RIGHT, loss=loss)), "hand.dcm")
    foot_film = shot(foot_scene(side=Side.LEFT))
    foot = placed_on(foot_film, "foot.dcm")
    base_mm = foot_film.truth.length_to_tip_mm(RayName.GREAT_TOE, Landmark.GREAT_PROXIMAL_BASE)
    cut = cut_on(foot, base_mm - there_mm)
    assert cut.bone == "proximal phalanx"
    found = match_widths(hand, foot, cut)
    assert isinstance(found, WidthMatch), str(found)
    independent_stump_mm = 2 * half_width_at(metacarpal, half_mm)
    independent_toe_mm = 2 * half_width_at(phalanx, there_mm)
    assert found.stump.value == pytest.approx(independent_stump_mm, abs=0.3)
    assert found.toe.value == pytest.approx(independent_toe_mm, abs=0.3)


# --- what cannot be read


def test_where_no_bone_shows_the_width_is_unknown() -> None:
    hand = hand_of(9.0)
    flat = np.full(SHAPE, LEVEL, dtype=np.uint16)
    found = match_widths(
        replace(hand, film=replace(hand.film, values=flat)), foot_of(8.0), cut_on(foot_of(8.0))
    )
    assert isinstance(found, Unknown)
    assert found.needed


def test_pixels_that_are_not_square_give_no_width() -> None:
    found = match_widths(hand_of(9.0, row_mm=0.2), foot_of(8.0), cut_on(foot_of(8.0)))
    assert isinstance(found, Unknown)
    assert "not square" in found.reason
    assert found.needed == ("the width of the bone measured by hand on film hand.dcm",)


def test_without_one_of_the_films_or_the_end_of_the_stump_nothing_is_compared() -> None:
    foot = foot_of(8.0)
    cut, none = cut_on(foot), Unknown(reason="there is no film of the right hand")
    assert match_widths(none, foot, cut) == none
    assert match_widths(hand_of(9.0), none, cut) == none
    hand = hand_of(9.0)
    assert not isinstance(hand.placed, Unknown)
    points = {Landmark.METACARPAL_BASE: hand.placed.points[Landmark.METACARPAL_BASE]}
    endless = replace(hand, placed=replace(hand.placed, points=points))
    found = match_widths(endless, foot, cut)
    assert isinstance(found, Unknown)
    assert found.needed == ("the stump bone end on film hand.dcm",)


def test_a_film_without_scale_has_no_widths() -> None:
    foot, none = foot_of(8.0), Unknown(reason="the header gives no size of a pixel")
    assert match_widths(hand_of(9.0), replace(foot, scale=none), cut_on(foot)) == none


def test_a_width_is_a_length_on_its_film() -> None:
    found = match(hand_of(9.0), foot_of(8.0))
    for width in (found.toe, found.stump):
        assert isinstance(width, Measured)
        assert width.unit == "mm"
    assert (found.stump.origin, found.toe.origin) == (
        "width on film hand.dcm",
        "width on film foot.dcm",
    )
