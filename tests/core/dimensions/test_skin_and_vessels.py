"""Girths, flaps, raw areas, webs and reach of vessels, each by hand or by drawn errors."""

from dataclasses import replace

import numpy as np
import pytest
from tests.core.dimensions.worked_parts import NOT_KNOWN, TYPED, mm, parts

from thumbwright.core.case.examined import NOT_EXAMINED, Side
from thumbwright.core.case.feet import ToeArtery
from thumbwright.core.case.girths import DigitGirths, VesselWays
from thumbwright.core.dimensions.flat_patterns import area_mm2, triangle
from thumbwright.core.dimensions.raw_areas import Closing, closure, raw_area
from thumbwright.core.dimensions.settings import DEFAULTS, Pedicle, changed
from thumbwright.core.dimensions.skin import (
    ThumbShape,
    taped,
    thumb_shape,
    toe_triangles,
    trims,
    tube_flap,
    wrap_flap,
)
from thumbwright.core.dimensions.vessels import (
    artery_reach,
    calibre_match,
    pedicle_of,
    too_short_prob,
    vein_reach,
)
from thumbwright.core.dimensions.web_release import limbs
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Provenance

THUMB = taped(TYPED.other_thumb, 1.5, "the other thumb")
GREAT = taped(TYPED.foot(Side.LEFT).great, 1.5, "the great toe")


def shape() -> ThumbShape:
    made = parts()
    found = thumb_shape(THUMB, made.lengths.wanted.joints, mm(6.0))
    assert isinstance(found, ThumbShape)
    return found


def test_a_trimmed_toe_gives_up_what_it_is_thicker_but_for_the_seam() -> None:
    found = trims(THUMB, GREAT, DEFAULTS, with_seam=True)
    by_hand_mm = [82 - 62 - 3, 86 - 68 - 3, 84 - 66 - 3]
    values = [trim.to_take.value for trim in found if isinstance(trim.to_take, Measured)]
    assert values == pytest.approx(by_hand_mm)
    assert found[0].arithmetic == "82.0 − 62.0 − 3.0 (seam)"


def test_two_tapings_and_the_seam_make_the_doubt_of_a_strip() -> None:
    strip = trims(THUMB, GREAT, DEFAULTS, with_seam=True)[0].to_take
    assert isinstance(strip, Measured)
    by_hand_doubt_mm = ((1.5**2 + 1.5**2 + 1.0**2) / 3) ** 0.5
    assert strip.uncertainty == pytest.approx(by_hand_doubt_mm)


def test_a_loss_of_bulk_that_was_set_lessens_the_strip() -> None:
    shrinking = changed(DEFAULTS, {"toe_bulk_loss": 0.1})
    strip = trims(THUMB, GREAT, shrinking, with_seam=False)[0].to_take
    assert isinstance(strip, Measured)
    assert strip.value == pytest.approx(0.9 * 82 - 62)


def test_a_girth_that_was_not_taped_is_asked_for() -> None:
    bare = taped(DigitGirths(nail_mm=60.0), 1.5, "the other thumb")
    strip = trims(bare, GREAT, DEFAULTS, with_seam=True)[1].to_take
    assert isinstance(strip, Unknown)
    assert strip.needed == ("the girth of the other thumb at its joint",)
    whole = thumb_shape(bare, parts().lengths.wanted.joints, mm(6.0))
    assert isinstance(whole, Unknown)
    assert len(whole.needed) == 2


def test_the_girth_between_two_levels_lies_between_them() -> None:
    made = shape()
    assert made.from_tip_mm == (17.0, 28.0, 44.0)
    assert made.girth_at(0.0).value == 62.0
    assert made.girth_at(22.5).value == pytest.approx(65.0)
    assert made.girth_at(36.0).value == pytest.approx(67.0)
    assert made.girth_at(99.0).value == 66.0


def test_a_wrap_around_flap_is_as_long_as_bone_and_skin_and_as_wide_as_the_thumb_is_round() -> None:
    flap = wrap_flap(shape(), mm(40.0), mm(6.0), DEFAULTS, "flap")
    assert flap.pattern.height_mm == pytest.approx(46.0)
    assert flap.tip_width.value == pytest.approx(62.0 + 3.0)
    assert flap.base_width.value == pytest.approx(66.0 + 3.0)
    by_hand_mm2 = 2 * 69 + 16 * (69 + 71) / 2 + 11 * (71 + 65) / 2 + 17 * 65
    assert area_mm2(flap.pattern.outline) == pytest.approx(by_hand_mm2)


def test_a_tube_is_made_for_the_thicker_of_thumb_and_core() -> None:
    thin = tube_flap(shape(), mm(40.0), mm(6.0), mm(5.0), DEFAULTS)
    thick = tube_flap(shape(), mm(40.0), mm(6.0), mm(20.0), DEFAULTS)
    by_hand_girth_mm = 3.14159265 * 20 + 2 * 3.14159265 * 5
    factor = 1.25**0.5
    assert thin.base_width.value == pytest.approx((66 + 3) * factor)
    assert thick.base_width.value == pytest.approx((by_hand_girth_mm + 3) * factor)
    assert thick.length.value == pytest.approx((46 + by_hand_girth_mm / 4) * factor)


def test_both_triangles_of_a_second_toe_share_its_girth() -> None:
    patterns, sole = toe_triangles(mm(50.0))
    assert isinstance(sole, Measured)
    published_base_mm = 22.5  # wheeless-second-toe: 20 to 25 mm
    assert sole.value == 50.0 - published_base_mm
    assert [pattern.height_mm for pattern in patterns] == [40.0, 40.0]
    assert isinstance(toe_triangles(NOT_KNOWN)[1], Unknown)
    assert isinstance(toe_triangles(mm(20.0))[1], Unknown)


def test_a_graft_is_cut_so_large_that_it_covers_once_it_has_drawn_together() -> None:
    raw = raw_area(triangle("raw", base_mm=30, height_mm=40), "raw", DEFAULTS)
    published_early, published_late = 0.40, 0.38
    assert raw.raw.value == 600
    assert raw.graft.value * (1 - published_early) == pytest.approx(600)
    assert raw.later.value == pytest.approx(600 * (1 - published_late))


@pytest.mark.parametrize(
    ("width_mm", "closing"),
    [(20.0, Closing.CLOSES), (25.4, Closing.DOUBTFUL), (32.0, Closing.NEEDS_GRAFT)],
)
def test_a_donor_site_is_closed_by_its_width(width_mm: float, closing: Closing) -> None:
    assert closure("toe", mm(width_mm, 1.0), DEFAULTS.foot_closes).closing is closing


def test_a_limit_from_memory_says_so_where_it_is_used() -> None:
    found = closure("groin donor site", mm(80.0), DEFAULTS.groin_closes)
    assert "from memory, unverified" in found.words
    assert found.bases[0].provenance is Provenance.RECALLED


def test_a_web_needs_a_limb_as_long_as_the_gain_over_its_share() -> None:
    found = limbs(60.0, 84.0)
    assert not isinstance(found, Unknown)
    by_hand_mm = [24 / 0.25, 24 / 0.50, 24 / 0.75, 24 / 0.84, 24 / 1.32, 24 / 1.67]
    assert [limb.length.value for limb in found] == pytest.approx(by_hand_mm)
    far = limbs(30.0, 90.0)
    assert not isinstance(far, Unknown)
    published_longest_mm = {4: 30.0, 5: 40.0}  # five-or-four-flaps
    assert [limb.is_too_long for limb in far if limb.plasty.flaps > 2] == [
        limb.length.value > published_longest_mm[limb.plasty.flaps]
        for limb in far
        if limb.plasty.flaps > 2
    ]


def test_a_web_that_was_not_measured_is_asked_for() -> None:
    found = limbs(NOT_EXAMINED, NOT_EXAMINED)
    assert isinstance(found, Unknown)
    assert len(found.needed) == 2
    assert isinstance(limbs(60.0, 50.0), Unknown)


def test_a_vein_graft_is_as_probable_as_drawn_errors_leave_the_vessel_short() -> None:
    needed, available = mm(80.0, 4.0, "needed"), mm(83.0, 3.0, "available")
    rng = np.random.default_rng(11)
    drawn = rng.normal(83.0, 3.0, 100_000) < rng.normal(80.0, 4.0, 100_000)
    independent_prob = float(drawn.mean())
    found = too_short_prob(needed, available)
    assert not isinstance(found, Unknown)
    assert found == pytest.approx(independent_prob, abs=0.005)
    assert too_short_prob(mm(80.0), mm(83.0)) == 0.0
    assert too_short_prob(mm(90.0), mm(83.0)) == 1.0


def test_without_a_tape_the_films_speak_for_the_artery() -> None:
    reach = artery_reach(mm(50.0), mm(77.0), Pedicle.DORSAL, VesselWays(), DEFAULTS)
    assert isinstance(reach.needed, Measured)
    assert isinstance(reach.available, Measured)
    assert reach.needed.value == 50.0 + 15.0 + 10.0
    assert reach.available.value == 77.0


def test_a_plantar_pedicle_from_memory_is_labelled() -> None:
    reach = artery_reach(mm(50.0), mm(77.0), Pedicle.PLANTAR, VesselWays(), DEFAULTS)
    assert "from memory, unverified" in reach.arithmetic
    assert Provenance.RECALLED in {basis.provenance for basis in reach.bases}


def test_what_was_taped_takes_the_place_of_films() -> None:
    ways = VesselWays(stump_to_artery_mm=30.0, toe_artery_mm=60.0)
    reach = artery_reach(NOT_KNOWN, NOT_KNOWN, Pedicle.NOT_DECIDED, ways, DEFAULTS)
    assert isinstance(reach.needed, Measured)
    assert reach.needed.value == 40.0
    assert isinstance(reach.graft_prob, float)
    assert reach.graft_prob < 0.01


def test_an_undecided_pedicle_and_an_untaped_vein_are_asked_for() -> None:
    reach = artery_reach(mm(50.0), mm(77.0), Pedicle.NOT_DECIDED, VesselWays(), DEFAULTS)
    assert isinstance(reach.graft_prob, Unknown)
    assert isinstance(vein_reach(VesselWays(), DEFAULTS).graft_prob, Unknown)
    assert isinstance(calibre_match(VesselWays()), Unknown)


def test_the_surgeons_pedicle_goes_before_the_dominant_artery() -> None:
    assert pedicle_of(Pedicle.PLANTAR, ToeArtery.DORSAL) is Pedicle.PLANTAR
    assert pedicle_of(Pedicle.NOT_DECIDED, ToeArtery.DORSAL) is Pedicle.DORSAL
    assert pedicle_of(Pedicle.NOT_DECIDED, ToeArtery.EQUAL) is Pedicle.NOT_DECIDED


def test_calibres_are_compared_as_typed() -> None:
    match = calibre_match(VesselWays(toe_artery_calibre_mm=1.2, hand_artery_calibre_mm=2.4))
    assert isinstance(match, Measured)
    assert match.value == pytest.approx(0.5)
    assert replace(VesselWays(), toe_vein_mm=0.0).toe_vein_mm == 0.0
