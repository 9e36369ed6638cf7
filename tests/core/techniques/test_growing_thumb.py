"""What becomes of a new thumb as the child grows: pieces, bands, waiting, advice, follow-up."""

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.techniques.worked_situations import BY_KEY, TECHNIQUES
from tests.growing_people import STATURE, child_situation, lengths_of

from thumbwright.core.case.patient import Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.growth.transfer import Grows
from thumbwright.core.level.levels import Level
from thumbwright.core.radiograph.lengths import Lengths
from thumbwright.core.techniques.eligibility import Eligibility, Verdict
from thumbwright.core.techniques.growing_thumb import forecast_thumb, growth_outlooks
from thumbwright.core.techniques.growth_outlook import (
    GrowthOutlook,
    LengthToChoose,
    ThumbForecast,
)
from thumbwright.core.techniques.growth_scene import set_scene
from thumbwright.core.techniques.length_reached import length_reached
from thumbwright.core.techniques.thumb_parts import added_parts, own_parts

DRAWS = 1000


def outlook(
    key: str,
    age_years: float = 7.0,
    *,
    growing: bool | Unknown = True,
    lengths: Lengths | None = None,
    sex: Sex = Sex.FEMALE,
    level: Level = Level.MCP_JOINT,
) -> GrowthOutlook:
    measured = lengths_of() if lengths is None else lengths
    asked = child_situation(age_years, sex, growing=growing, lengths=measured, level=level)
    scene = set_scene(asked, measured, STATURE, seed=5, draws=DRAWS)
    return forecast_thumb(BY_KEY[key], asked, measured, scene)


def forecast(key: str, age_years: float = 7.0, **more: object) -> ThumbForecast:
    found = outlook(key, age_years, **more).forecast  # type: ignore[arg-type]
    assert isinstance(found, ThumbForecast)
    return found


def kinds(key: str, lengths: Lengths) -> list[tuple[str, Grows]]:
    asked = child_situation(7.0, lengths=lengths)
    technique = BY_KEY[key]
    reached = length_reached(technique, asked, lengths)
    own, added = own_parts(lengths), added_parts(technique, asked, lengths, reached)
    assert not isinstance(own, Unknown)
    assert not isinstance(added, Unknown)
    return [(part.name, part.grows) for part in (*own, *added)]


def test_a_toe_at_its_mtp_joint_brings_three_plates() -> None:
    assert kinds("second_toe", lengths_of()) == [
        ("own first metacarpal", Grows.AS_OWN),
        ("toe, proximal phalanx", Grows.AS_TOE),
        ("toe, middle phalanx", Grows.AS_TOE),
        ("toe, distal phalanx", Grows.AS_TOE),
    ]


def test_a_toe_cut_through_its_proximal_phalanx_leaves_that_plate_behind() -> None:
    found = kinds("second_toe", lengths_of(stump_mm=44.0))
    assert ("toe, far end of the proximal phalanx", Grows.NOT) in found
    assert ("toe, middle phalanx", Grows.AS_TOE) in found


def test_the_head_of_the_metatarsal_brings_its_plate() -> None:
    found = kinds("second_toe_with_mtp_joint", lengths_of(stump_mm=20.0))
    assert ("toe, far end of the second metatarsal", Grows.AS_TOE_PLATE_END) in found
    assert ("own first metacarpal, cut short", Grows.AS_OWN_PLATE_END) in found


def test_a_sliver_of_a_bone_keeps_no_plate() -> None:
    found = kinds("no_operation", lengths_of(stump_mm=38.0))
    assert found == [
        ("own first metacarpal", Grows.AS_OWN),
        ("own proximal phalanx, its base only", Grows.NOT),
    ]


def test_nothing_of_the_own_ray_is_left_at_the_wrist() -> None:
    assert own_parts(lengths_of(stump_mm=0.0)) == ()


@pytest.mark.parametrize("key", ["second_toe", "second_toe_with_mtp_joint", "great_toe"])
@pytest.mark.parametrize("stump_mm", [20.0, 34.0, 44.0, 60.0])
def test_the_pieces_add_up_to_the_whole(key: str, stump_mm: float) -> None:
    lengths = lengths_of(stump_mm=stump_mm)
    asked = child_situation(7.0, lengths=lengths)
    reached = length_reached(BY_KEY[key], asked, lengths)
    own = own_parts(lengths)
    added = added_parts(BY_KEY[key], asked, lengths, reached)
    assert not isinstance(own, Unknown)
    assert not isinstance(added, Unknown)
    assert not isinstance(reached.whole, Unknown)
    whole_mm = sum(part.length_mm for part in (*own, *added))
    assert whole_mm == pytest.approx(reached.whole.value, abs=1e-6)


def test_a_bone_graft_falls_behind_and_a_toe_less_so() -> None:
    graft, toe, finger = (
        forecast(key).grown.median_mm - forecast(key).now.median_mm
        for key in ("staged_osteoplastic", "second_toe", "pollicization")
    )
    assert graft < toe < finger
    assert abs(finger) < 1.0


def test_by_hand_a_graft_falls_behind_by_what_its_place_would_have_grown() -> None:
    found = forecast("staged_osteoplastic")
    # own part grows as the other thumb does, so only the 43 mm of the graft stand still
    rise = found.other[-1].median_mm / found.other[0].median_mm
    by_hand_lag_mm = -43.0 * (rise - 1)
    assert found.grown.median_mm == pytest.approx(by_hand_lag_mm, abs=0.3)


def test_a_grown_person_keeps_the_difference_of_now() -> None:
    found = outlook("staged_osteoplastic", 35.0, growing=False)
    assert isinstance(found.forecast, ThumbForecast)
    assert found.forecast.grown.median_mm == found.forecast.now.median_mm
    assert found.operation_ages == ()
    assert isinstance(found.length_to_choose, Unknown)
    assert found.open_prob == 0.0
    assert any("no longer grows" in one.text for one in found.statements)


def test_closed_plates_do_not_grow() -> None:
    found = forecast("second_toe", 15.0, growing=False)
    assert {round(band.median_mm, 9) for band in found.other} == {
        round(found.other[0].median_mm, 9)
    }


def test_where_open_plates_are_not_known_both_branches_are_weighed_and_said() -> None:
    unknown = outlook("staged_osteoplastic", 13.0, growing=Unknown(reason="age"))
    assert isinstance(unknown.forecast, ThumbForecast)
    assert 0 < unknown.open_prob < 1
    assert any("weigh both" in one.text for one in unknown.statements)
    growing = forecast("staged_osteoplastic", 13.0)
    # the mixture lies between a hand that grows on and one that has stopped
    assert growing.grown.low_95_mm <= unknown.forecast.grown.median_mm <= 0.5


def test_the_longer_one_waits_the_less_a_graft_falls_behind() -> None:
    ages = outlook("staged_osteoplastic").operation_ages
    medians = [one.difference.median_mm for one in ages]
    assert medians == sorted(medians)
    assert [one.without_years for one in ages] == sorted(one.without_years for one in ages)
    assert medians[-1] == pytest.approx(0.0, abs=0.3)
    assert ages[0].without_years == 0.0
    assert ages[-1].age_years == 20.0


@settings(max_examples=12, deadline=None)
@given(st.floats(2.5, 11.5), st.sampled_from(list(Sex)))
def test_the_younger_the_child_the_more_a_graft_falls_behind(age_years: float, sex: Sex) -> None:
    younger = forecast("staged_osteoplastic", age_years, sex=sex).grown.median_mm
    older = forecast("staged_osteoplastic", age_years + 1.0, sex=sex).grown.median_mm
    assert younger < older + 0.2


def test_the_length_to_choose_makes_up_for_the_median_difference() -> None:
    found = outlook("staged_osteoplastic")
    choice = found.length_to_choose
    assert isinstance(choice, LengthToChoose)
    assert isinstance(found.forecast, ThumbForecast)
    by_hand_mm = 43.0 - found.forecast.grown.median_mm
    assert choice.added_mm == pytest.approx(by_hand_mm)
    assert choice.longer_now_mm > 0
    assert isinstance(choice.is_within_reach, Unknown)


def test_a_length_beyond_the_toe_is_said_to_be_so() -> None:
    choice = outlook("second_toe").length_to_choose
    assert isinstance(choice, LengthToChoose)
    assert choice.limit_mm == pytest.approx(41.0)
    assert choice.is_within_reach is False
    assert "more than it can bring" in choice.words


def test_what_adds_no_bone_has_no_length_to_choose() -> None:
    found = outlook("no_operation")
    assert isinstance(found.length_to_choose, Unknown)
    assert found.operation_ages == ()


def test_a_prosthesis_is_worn_and_the_stump_grows_under_it() -> None:
    worn, stump = outlook("prosthesis"), outlook("no_operation")
    assert worn.is_worn
    assert not stump.is_worn
    assert isinstance(worn.forecast, ThumbForecast)
    assert worn.forecast.thumb[-1].median_mm > worn.forecast.thumb[0].median_mm


def test_a_lost_base_of_the_ray_leaves_nothing_that_grows() -> None:
    lengths = lengths_of(stump_mm=0.0)
    found = forecast("no_operation", lengths=lengths, level=Level.CMC_JOINT)
    assert found.thumb[-1].median_mm == pytest.approx(0.0, abs=0.1)


def test_a_metacarpal_without_its_head_grows_by_the_share_of_its_plate_end() -> None:
    cut = forecast("no_operation", lengths=lengths_of(stump_mm=20.0, doubt_mm=0.01))
    whole = forecast("no_operation", lengths=lengths_of(stump_mm=34.0, doubt_mm=0.01))
    grown = [one.thumb[-1].median_mm - one.thumb[0].median_mm for one in (cut, whole)]
    by_hand_share = (0.698 + 0.793) / 2
    assert grown[0] / grown[1] == pytest.approx(by_hand_share, abs=0.02)


def test_a_child_under_two_is_unknown_with_reason() -> None:
    found = outlook("pollicization", 1.2)
    assert isinstance(found.forecast, Unknown)
    assert "years" in found.forecast.reason


def test_unknown_lengths_travel() -> None:
    lengths = lengths_of(toes_mm={})
    found = outlook("second_toe", lengths=lengths)
    assert isinstance(found.parts, Unknown)
    assert isinstance(found.forecast, Unknown)
    assert isinstance(found.length_to_choose, Unknown)


def test_one_seed_gives_one_result_and_stays_with_it() -> None:
    one, other = outlook("second_toe"), outlook("second_toe")
    assert one.forecast == other.forecast
    assert (one.seed, one.draws) == (5, DRAWS)


def test_chances_and_their_error_are_those_of_the_draws() -> None:
    found = forecast("second_toe")
    assert 0 <= found.within_5_prob <= found.within_10_prob <= 1
    by_hand_most = np.sqrt(0.25 / DRAWS)
    assert found.chance_error_prob <= by_hand_most


def test_both_thumbs_of_one_child_go_together() -> None:
    found = forecast("pollicization")
    apart = found.grown.high_95_mm - found.grown.low_95_mm
    alone = found.thumb[-1].high_95_mm - found.thumb[-1].low_95_mm
    assert apart < 0.6 * alone


def test_closed_techniques_are_left_out_and_the_order_is_kept() -> None:
    lengths = lengths_of()
    asked = child_situation(7.0, lengths=lengths)
    options = [
        cast(
            "Eligibility",
            SimpleNamespace(
                technique=technique,
                verdict=Verdict.CLOSED if technique.key == "great_toe" else Verdict.OPEN,
            ),
        )
        for technique in TECHNIQUES
    ]
    found = growth_outlooks(options, asked, lengths, STATURE, seed=1, draws=200)
    by_hand_keys = [one.key for one in TECHNIQUES if one.key != "great_toe"]
    assert [one.key for one in found] == by_hand_keys


def test_a_forecast_hangs_on_the_seed_and_not_on_what_was_forecast_before() -> None:
    lengths = lengths_of()
    asked = child_situation(7.0, lengths=lengths)
    scene = set_scene(asked, lengths, STATURE, seed=5, draws=DRAWS)
    for key in ("pollicization", "great_toe", "replantation"):
        forecast_thumb(BY_KEY[key], asked, lengths, scene)
    after = forecast_thumb(BY_KEY["second_toe"], asked, lengths, scene)
    assert after.forecast == outlook("second_toe").forecast


def test_what_the_numbers_leave_out_is_said() -> None:
    said = {
        key: " ".join(one.text for one in outlook(key).statements)
        for key in ("trimmed_great_toe", "metacarpal_distraction", "pollicization")
    }
    assert "lengthwise cut does to the plates is not in the numbers" in said["trimmed_great_toe"]
    assert "pins is not in the numbers" in said["metacarpal_distraction"]
    assert "narrower than is known" in said["pollicization"]


def test_replanted_bones_grow_a_little_less_than_the_other_side() -> None:
    found = forecast("replantation")
    # 43 mm less 3.8 trimmed; 7 % of the growth of the replanted bones is lost, and what closes
    by_hand_now_mm = -3.8
    assert found.now.median_mm == pytest.approx(by_hand_now_mm, abs=0.2)
    assert -4.5 < found.grown.median_mm - found.now.median_mm < 0.0
