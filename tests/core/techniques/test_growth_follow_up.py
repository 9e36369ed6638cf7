"""What is measured later moves the forecast, narrows it, or shows that it was wrong."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from tests.core.techniques.worked_situations import BY_KEY
from tests.growing_people import STATURE, child_situation, lengths_of

from thumbwright.core.case.examined import Side
from thumbwright.core.case.growth_checks import GrowthCheck, PlatesSeen
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.growth.forecast import Band
from thumbwright.core.techniques.growth_follow_up import FollowUp, follow_up
from thumbwright.core.techniques.growth_outlook import ThumbForecast

DRAWS = 6000
TWO_YEARS_ON = date(2028, 3, 1)


def followed(*checks: GrowthCheck, key: str = "second_toe") -> FollowUp | Unknown:
    lengths = lengths_of()
    asked = child_situation(7.0, lengths=lengths)
    return follow_up(BY_KEY[key], asked, lengths, STATURE, checks, seed=9, draws=DRAWS)


def known(*checks: GrowthCheck, key: str = "second_toe") -> FollowUp:
    found = followed(*checks, key=key)
    assert isinstance(found, FollowUp)
    return found


def check(**said: object) -> GrowthCheck:
    return replace(
        GrowthCheck(measured_on=TWO_YEARS_ON, side=Side.RIGHT),
        **said,  # type: ignore[arg-type]
    )


def width(band: Band) -> float:
    return band.high_95_mm - band.low_95_mm


def at_nine(found: ThumbForecast, which: str) -> Band:
    bands = found.thumb if which == "thumb" else found.other
    return next(band for band in bands if band.age_years == 9.0)


def test_what_was_foretold_narrows_the_forecast() -> None:
    prior = known(check(thumb_mm=80.0)).prior
    seen = known(
        check(
            thumb_mm=at_nine(prior, "thumb").median_mm,
            other_thumb_mm=at_nine(prior, "other").median_mm,
            thumb_doubt_mm=0.5,
            other_thumb_doubt_mm=0.5,
        )
    )
    assert isinstance(seen.updated, ThumbForecast)
    assert width(seen.updated.other[-1]) < width(seen.prior.other[-1])
    assert seen.effective_draws_ratio < 1


def test_a_thumb_that_grew_more_is_forecast_to_end_longer() -> None:
    prior = known(check(thumb_mm=80.0)).prior
    middle = at_nine(prior, "thumb").median_mm
    more, less = (known(check(thumb_mm=middle + off)) for off in (2.0, -2.0))
    assert isinstance(more.updated, ThumbForecast)
    assert isinstance(less.updated, ThumbForecast)
    assert more.updated.grown.median_mm > prior.grown.median_mm > less.updated.grown.median_mm


def test_a_normal_update_agrees_with_the_formula_of_two_normals() -> None:
    prior = known(check(other_thumb_mm=81.0)).prior
    before = at_nine(prior, "other")
    spread_mm = width(before) / (2 * 1.96)
    measured_mm = before.median_mm + 1.0
    found = known(check(other_thumb_mm=measured_mm, other_thumb_doubt_mm=1.0))
    assert isinstance(found.updated, ThumbForecast)
    after = at_nine(found.updated, "other")
    weight = spread_mm**2 / (spread_mm**2 + 1.0)
    by_hand_median_mm = before.median_mm + weight * 1.0
    by_hand_width_mm = 2 * 1.96 * spread_mm * np.sqrt(1 - weight)
    assert after.median_mm == pytest.approx(by_hand_median_mm, abs=0.15)
    assert width(after) == pytest.approx(by_hand_width_mm, rel=0.12)


def test_a_closed_plate_lowers_the_forecast() -> None:
    seen = {state: known(check(plates=state)) for state in (PlatesSeen.OPEN, PlatesSeen.CLOSED)}
    opened, closed = (one.updated for one in seen.values())
    assert isinstance(opened, ThumbForecast)
    assert isinstance(closed, ThumbForecast)
    assert closed.grown.median_mm < opened.grown.median_mm - 1.0


def test_what_nobody_foretold_is_told_and_not_updated() -> None:
    found = known(check(thumb_mm=120.0, thumb_doubt_mm=0.3))
    assert found.is_degenerate
    assert "look again" in found.words


def test_a_check_before_the_plan_says_nothing() -> None:
    assert isinstance(followed(check(measured_on=date(2026, 2, 1), thumb_mm=70.0)), Unknown)


def test_a_thumb_that_was_not_forecast_cannot_be_updated() -> None:
    assert isinstance(followed(check(thumb_mm=70.0), key="damaged_finger_transfer"), Unknown)
