"""Later visits that cannot stand beside the case are refused, each by its place."""

from dataclasses import replace
from datetime import date

import pytest
from tests.growing_people import child_situation

from thumbwright.core.case.examined import Side
from thumbwright.core.case.growth_checks import GrowthCheck, PlatesSeen
from thumbwright.core.case.hand import OtherThumb
from thumbwright.core.case.rules_of_the_checks import contradictions_of_checks

CASE = child_situation(7.0).case
SOUND = GrowthCheck(
    measured_on=date(2027, 3, 1), side=Side.RIGHT, thumb_mm=80.0, other_thumb_mm=82.0
)
LATER = replace(SOUND, measured_on=date(2028, 3, 1))


def test_checks_in_order_stand_beside_the_case() -> None:
    seen = replace(LATER, thumb_mm=SOUND.thumb_mm, plates=PlatesSeen.OPEN)
    assert contradictions_of_checks(CASE, (SOUND, seen)) == ()
    assert contradictions_of_checks(CASE, ()) == ()


@pytest.mark.parametrize(
    ("checks", "path"),
    [
        ((replace(SOUND, measured_on=date(2025, 1, 1)),), "growth_checks[0].measured_on"),
        ((LATER, SOUND), "growth_checks[0].measured_on and growth_checks[1].measured_on"),
        ((SOUND, SOUND), "growth_checks[0].measured_on and growth_checks[1].measured_on"),
        ((replace(SOUND, side=Side.LEFT),), "growth_checks[0].side and injury.side"),
        ((GrowthCheck(measured_on=date(2027, 3, 1), side=Side.RIGHT),), "growth_checks[0]"),
    ],
)
def test_a_check_that_cannot_be_is_named(checks: tuple[GrowthCheck, ...], path: str) -> None:
    faults = contradictions_of_checks(CASE, checks)
    assert len(faults) == 1
    assert faults[0].path.startswith(path)
    assert faults[0].advice


def test_a_lost_thumb_has_no_length() -> None:
    lost = replace(CASE, other_thumb=OtherThumb.LOST)
    faults = contradictions_of_checks(lost, (SOUND,))
    assert [fault.path for fault in faults] == ["growth_checks[0].other_thumb_mm and other_thumb"]
