"""Statements about the loss and the severed part that cannot both hold."""

from collections.abc import Iterator

from thumbwright.core.case.case import Case
from thumbwright.core.case.clash import clash
from thumbwright.core.case.examined import Finding, NotExamined
from thumbwright.core.case.hand import Nail, Neuroma
from thumbwright.core.case.injury import Mechanism, PartState
from thumbwright.core.case.joint_row import may_have_gaps
from thumbwright.core.foundations.errors import Fault

_PART_IS_AT_HAND = {PartState.KEPT_COOL, PartState.KEPT_WARM}
_PART_IS_GONE = {PartState.LOST, PartState.NONE}
_LONGEST_KEPT_DAYS = 14
_SOONEST_NEUROMA_DAYS = 7


def _days_since_loss(case: Case) -> int | None:
    happened_on = case.injury.happened_on
    return None if isinstance(happened_on, NotExamined) else (case.examined_on - happened_on).days


def loss_comes_before_examination(case: Case) -> Iterator[Fault]:
    """Refuse a loss after the examination."""
    days = _days_since_loss(case)
    if days is not None and days < 0:
        yield clash(
            case,
            "injury.happened_on",
            "examined_on",
            allowed="a loss on or before the day of the examination",
            advice="check the years",
        )


def loss_comes_after_birth(case: Case) -> Iterator[Fault]:
    """Refuse a loss before birth."""
    happened_on = case.injury.happened_on
    if isinstance(happened_on, NotExamined) or case.injury.mechanism is Mechanism.CONGENITAL:
        return
    if happened_on < case.patient.birth_date:
        yield clash(
            case,
            "injury.happened_on",
            "patient.birth_date",
            allowed="a loss on or after the day of birth",
            advice="check the years",
        )


def congenital_loss_dates_from_birth(case: Case) -> Iterator[Fault]:
    """Refuse a congenital loss of another day than birth."""
    happened_on = case.injury.happened_on
    if isinstance(happened_on, NotExamined) or case.injury.mechanism is not Mechanism.CONGENITAL:
        return
    if happened_on != case.patient.birth_date:
        yield clash(
            case,
            "injury.mechanism",
            "injury.happened_on",
            "patient.birth_date",
            allowed="for congenital loss the date of birth",
            advice="correct the date or the mechanism",
        )


def congenital_loss_severs_nothing(case: Case) -> Iterator[Fault]:
    """Refuse a severed part where nothing was severed."""
    has_part = case.injury.lost_part.state in {*_PART_IS_AT_HAND, PartState.RUINED}
    if has_part and case.injury.mechanism is Mechanism.CONGENITAL:
        yield clash(
            case,
            "injury.mechanism",
            "injury.lost_part.state",
            allowed="for congenital loss the state none",
            advice="write none",
        )


def high_voltage_is_electrical(case: Case) -> Iterator[Fault]:
    """Refuse high voltage in a loss that was not electrical."""
    is_electrical = case.injury.mechanism is Mechanism.ELECTRICAL
    if case.injury.high_voltage is Finding.YES and not is_electrical:
        yield clash(
            case,
            "injury.high_voltage",
            "injury.mechanism",
            allowed="high voltage only where the mechanism is electrical",
            advice="correct one of them",
        )


def hours_are_of_a_part_that_exists(case: Case) -> Iterator[Fault]:
    """Refuse hours of cold or warmth for a part that nobody has."""
    part = case.injury.lost_part
    if part.state not in _PART_IS_GONE:
        return
    for name, hours in (("warm_hours", part.warm_hours), ("cool_hours", part.cool_hours)):
        if not isinstance(hours, NotExamined) and hours > 0:
            yield clash(
                case,
                "injury.lost_part.state",
                f"injury.lost_part.{name}",
                allowed="hours only for a part that was kept or ruined",
                advice="remove the hours, or correct the state",
            )


def hours_pass_since_the_loss(case: Case) -> Iterator[Fault]:
    """Refuse more hours for the severed part than have passed since the loss."""
    part, days = case.injury.lost_part, _days_since_loss(case)
    hours = sum(h for h in (part.warm_hours, part.cool_hours) if not isinstance(h, NotExamined))
    if days is not None and days >= 0 and hours > 24 * (days + 1):
        yield clash(
            case,
            "injury.lost_part.warm_hours",
            "injury.lost_part.cool_hours",
            "injury.happened_on",
            "examined_on",
            allowed=f"together at most {24 * (days + 1)} hours between these days",
            advice="check the hours and both dates",
        )


def a_part_does_not_keep_for_weeks(case: Case) -> Iterator[Fault]:
    """Refuse a severed part that is still kept weeks after the loss."""
    days = _days_since_loss(case)
    is_kept = case.injury.lost_part.state in _PART_IS_AT_HAND
    if is_kept and days is not None and days > _LONGEST_KEPT_DAYS:
        yield clash(
            case,
            "injury.lost_part.state",
            "injury.happened_on",
            "examined_on",
            allowed=f"a kept part up to {_LONGEST_KEPT_DAYS} days after the loss",
            advice="write ruined, lost or none; a part that lives again is no lost part",
        )


def a_neuroma_takes_time(case: Case) -> Iterator[Fault]:
    """Refuse a neuroma days after the first wound of the thumb."""
    days = _days_since_loss(case)
    has_neuroma = case.kept.neuroma in {Neuroma.PAINLESS, Neuroma.PAINFUL}
    if not has_neuroma or case.injury.earlier_operations or days is None:
        return
    if 0 <= days < _SOONEST_NEUROMA_DAYS:
        yield clash(
            case,
            "kept.neuroma",
            "injury.happened_on",
            "examined_on",
            allowed=f"a neuroma from {_SOONEST_NEUROMA_DAYS} days after the loss",
            advice="write not_examined, or name the earlier operation",
        )


def something_was_lost(case: Case) -> Iterator[Fault]:
    """Refuse a loss of which nothing is missing."""
    kept = case.kept
    is_whole = (
        all(joint.present is Finding.YES for joint in (kept.cmc, kept.mcp, kept.ip))
        and kept.nail is Nail.KEPT
        and kept.pulp_lost_share == 0
    )
    if is_whole and not may_have_gaps(case):
        yield clash(
            case,
            "kept.cmc.present",
            "kept.mcp.present",
            "kept.ip.present",
            "kept.nail",
            "kept.pulp_lost_share",
            allowed="a thumb of which something is missing",
            advice="say what was lost; state under kept only what was found",
        )


RULES = (
    loss_comes_before_examination,
    loss_comes_after_birth,
    congenital_loss_dates_from_birth,
    congenital_loss_severs_nothing,
    high_voltage_is_electrical,
    hours_are_of_a_part_that_exists,
    hours_pass_since_the_loss,
    a_part_does_not_keep_for_weeks,
    a_neuroma_takes_time,
    something_was_lost,
)
