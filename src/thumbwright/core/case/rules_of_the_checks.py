"""Statements about later visits that cannot hold beside the rest of the case.

Each rule is given the checks beside the case, so that they may be kept with it or apart.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import NotExamined
from thumbwright.core.case.growth_checks import GrowthCheck, PlatesSeen
from thumbwright.core.case.hand import OtherThumb
from thumbwright.core.foundations.errors import Fault


def checks_come_after_the_examination(case: Case, checks: Sequence[GrowthCheck]) -> Iterator[Fault]:
    """Refuse a check of growth before the examination that it follows."""
    for at, check in enumerate(checks):
        if check.measured_on < case.examined_on:
            yield Fault(
                path=f"growth_checks[{at}].measured_on and examined_on",
                given=f"{check.measured_on} and {case.examined_on}",
                allowed="a check on the day of the examination or later",
                advice="check the years",
            )


def checks_stand_in_order(_case: Case, checks: Sequence[GrowthCheck]) -> Iterator[Fault]:
    """Refuse checks that do not follow each other by date."""
    for at, (before, after) in enumerate(pairwise(checks), start=1):
        if after.measured_on <= before.measured_on:
            yield Fault(
                path=f"growth_checks[{at - 1}].measured_on and growth_checks[{at}].measured_on",
                given=f"{before.measured_on} and {after.measured_on}",
                allowed="one check a day, the earliest first",
                advice="put them in order, or join those of one day",
            )


def checks_are_of_the_new_thumb(case: Case, checks: Sequence[GrowthCheck]) -> Iterator[Fault]:
    """Refuse a check of a thumb that was not injured."""
    for at, check in enumerate(checks):
        if check.side is not case.injury.side:
            yield Fault(
                path=f"growth_checks[{at}].side and injury.side",
                given=f"{check.side.value} and {case.injury.side.value}",
                allowed="checks of the side that was injured",
                advice="correct the side, and see that both lengths are not exchanged",
            )


def checks_measure_something(_case: Case, checks: Sequence[GrowthCheck]) -> Iterator[Fault]:
    """Refuse a check that says nothing."""
    for at, check in enumerate(checks):
        silent = all(isinstance(one, NotExamined) for one in (check.thumb_mm, check.other_thumb_mm))
        if silent and check.plates is PlatesSeen.NOT_EXAMINED:
            yield Fault(
                path=f"growth_checks[{at}]",
                given="no length and no plates",
                allowed="at least one length, or the state of the plates",
                advice="write what was measured, or remove the check",
            )


def a_lost_thumb_has_no_length(case: Case, checks: Sequence[GrowthCheck]) -> Iterator[Fault]:
    """Refuse a length of the other thumb where that thumb is lost."""
    if case.other_thumb is not OtherThumb.LOST:
        return
    for at, check in enumerate(checks):
        if not isinstance(check.other_thumb_mm, NotExamined):
            yield Fault(
                path=f"growth_checks[{at}].other_thumb_mm and other_thumb",
                given=f"{check.other_thumb_mm:g} and {case.other_thumb.value}",
                allowed="no length of a thumb that is lost",
                advice='write "not_examined", or correct other_thumb',
            )


RULES = (
    checks_come_after_the_examination,
    checks_stand_in_order,
    checks_are_of_the_new_thumb,
    checks_measure_something,
    a_lost_thumb_has_no_length,
)


def contradictions_of_checks(case: Case, checks: Sequence[GrowthCheck]) -> tuple[Fault, ...]:
    """Return every contradiction between later visits and a case, and among them.

    Parameters
    ----------
    case
        The facts of the case.
    checks
        Later visits, earliest first.
    """
    return tuple(fault for rule in RULES for fault in rule(case, checks))


def checks_stand_beside_the_case(case: Case) -> Iterator[Fault]:
    """Refuse later visits that clash with the case or with each other."""
    yield from contradictions_of_checks(case, case.growth_checks)
