"""The course of a distraction against sums by hand and print; allowances the surgeon can set."""

import csv
from math import inf, nan
from pathlib import Path

import pytest
from tests.core.dimensions.worked_parts import NOT_KNOWN, mm
from tests.core.techniques.worked_situations import BY_KEY

from thumbwright.core.dimensions.distraction import (
    HEALING_CHILD,
    HEALING_METACARPAL,
    HEALING_PHALANX,
    Course,
    course,
    even_spread,
    healing_index,
)
from thumbwright.core.dimensions.settings import DEFAULTS, changed, each_setting
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import DocumentError
from thumbwright.core.foundations.measured import Measured

PUBLISHED = Path(__file__).parents[2] / "published" / "dimensions" / "distraction.csv"
ADDS = BY_KEY["metacarpal_distraction"].added_length
INDEX = {one.basis.source: one for one in (HEALING_METACARPAL, HEALING_PHALANX, HEALING_CHILD)}


def series() -> list[dict[str, str]]:
    lines = PUBLISHED.read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", series(), ids=lambda row: row["series"])
def test_the_days_for_a_centimetre_are_those_of_print(row: dict[str, str]) -> None:
    index = INDEX[row["series"]]
    published_index = float(row["index_days_per_cm"])
    assert index.value == published_index
    if row["treatment_days"]:
        published_days = float(row["treatment_days"])
        assert index.value * float(row["gain_mm"]) / 10 == pytest.approx(published_days, abs=0.5)


def test_the_spread_of_the_adult_index_is_that_of_its_range() -> None:
    by_hand_spread = even_spread(93, 165) / 2.5
    assert HEALING_METACARPAL.uncertainty == pytest.approx(by_hand_spread, abs=0.05)


def test_a_course_is_rest_turning_and_consolidation() -> None:
    laid = course(mm(25.0), mm(40.0), ADDS, HEALING_METACARPAL, DEFAULTS)
    assert isinstance(laid, Course)
    assert (laid.latency_days, laid.distraction_days, laid.step_mm) == (10, 25, 0.25)
    published_days = 124  # saleem-2019: 25 mm in 124 days
    assert laid.frame_days.value == pytest.approx(published_days)
    assert laid.consolidation_days.value == pytest.approx(124 - 10 - 25)
    assert isinstance(laid.end_length, Measured)
    assert laid.end_length.value == 65.0
    assert laid.falls_short.value == 0.0
    assert laid.fits


def test_no_more_is_gained_than_print_has() -> None:
    laid = course(mm(60.0), mm(30.0), ADDS, HEALING_METACARPAL, DEFAULTS)
    assert isinstance(laid, Course)
    published_most_mm = 45.0  # matev-2003: 20 to 45 mm
    assert laid.gain.value == published_most_mm
    assert laid.falls_short.value == 15.0


def test_a_frame_that_would_come_off_before_the_last_turn_is_said() -> None:
    slow = changed(DEFAULTS, {"distraction_rate": 0.2})
    laid = course(mm(20.0), mm(30.0), ADDS, HEALING_PHALANX, slow)
    assert isinstance(laid, Course)
    assert not laid.fits


def test_an_unknown_loss_and_none_give_no_course() -> None:
    assert course(NOT_KNOWN, mm(30.0), ADDS, HEALING_PHALANX, DEFAULTS) == NOT_KNOWN
    assert isinstance(course(mm(0.0), mm(30.0), ADDS, HEALING_PHALANX, DEFAULTS), Unknown)


def test_a_growing_hand_is_given_the_index_of_children() -> None:
    assert healing_index(phalanx=False, growing=True) is HEALING_CHILD
    assert healing_index(phalanx=True, growing=False) is HEALING_PHALANX
    assert healing_index(phalanx=False, growing=False) is HEALING_METACARPAL


@pytest.mark.parametrize("value", [nan, inf, -1.0, 99.0])
def test_an_allowance_out_of_range_is_refused_with_what_is_allowed(value: float) -> None:
    with pytest.raises(DocumentError, match="0 to 3 mm"):
        changed(DEFAULTS, {"kerf": value})


def test_all_faults_of_the_allowances_are_said_at_once() -> None:
    with pytest.raises(DocumentError) as fault:
        changed(DEFAULTS, {"kerf": 9.0, "saw": 1.0})
    assert [one.path for one in fault.value.faults] == ["kerf", "saw"]


@pytest.mark.parametrize(("key", "setting"), list(each_setting(DEFAULTS)))
def test_every_default_says_what_it_rests_on_until_the_surgeon_sets_it(
    key: str, setting: object
) -> None:
    default = dict(each_setting(DEFAULTS))[key]
    assert default is setting
    assert default.low <= default.value <= default.high
    assert default.bases
    mine = dict(each_setting(changed(DEFAULTS, {key: default.low})))[key]
    assert mine.origin == "set by the surgeon"
    assert mine.bases == ()
