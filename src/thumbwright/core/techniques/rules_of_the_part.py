"""Rules of eligibility about the severed part, for replantation at once."""

from thumbwright.core.case.examined import Finding, NotExamined
from thumbwright.core.case.injury import Mechanism, PartState
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Published
from thumbwright.core.techniques.rule_answers import (
    ASSUMED,
    COMMON_PRACTICE,
    Advice,
    Met,
    NotMet,
    RuleAnswer,
    Unsettled,
    advice_from,
    read_at,
)
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

_CLASSICAL = read_at("fijany-2024", "abstract; its authors call the limits anecdotal")
_WARM_AT_MOST = Published(value=12.0, unit="h", basis=_CLASSICAL)
_COOL_AT_MOST = Published(value=24.0, unit="h", basis=_CLASSICAL)
_CAUTIOUS = read_at("delayed-replantation-2021", "abstract; its authors call the limits anecdotal")
_WARM_WITHOUT_WARNING = Published(value=6.0, unit="h", basis=_CAUTIOUS)
_COOL_WITHOUT_WARNING = Published(value=12.0, unit="h", basis=_CAUTIOUS)
_ACUTE_DAYS = Published(value=2.0, unit="days", basis=ASSUMED)
"""Twelve hours warm and twenty-four cool, counted in whole days."""
_GONE = {
    PartState.LOST: "The part is lost.",
    PartState.RUINED: "The part is ruined.",
    PartState.NONE: "There is no severed part.",
}
_NEVER_PUT_BACK = {
    Mechanism.TUMOUR: "What was removed for a tumour is not put back.",
    Mechanism.INFECTION: "What was removed for an infection is not put back.",
    Mechanism.CONGENITAL: "Nothing was severed.",
}


def part_is_fit_for_replantation(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for a severed part that is there, from a loss that is only hours old."""
    injury = situation.case.injury
    if injury.mechanism in _NEVER_PUT_BACK:
        return NotMet(reason=_NEVER_PUT_BACK[injury.mechanism], basis=COMMON_PRACTICE)
    if injury.lost_part.state in _GONE:
        return NotMet(reason=_GONE[injury.lost_part.state], basis=COMMON_PRACTICE)
    days = situation.days_since_loss
    if not isinstance(days, Unknown) and days > _ACUTE_DAYS.value:
        return NotMet(
            reason=f"The loss is {days:.0f} days old; a part is replanted within hours.",
            basis=_ACUTE_DAYS.basis,
        )
    if injury.lost_part.state is PartState.NOT_EXAMINED:
        return Unsettled(
            reason="What became of the part is not stated.",
            basis=COMMON_PRACTICE,
            needed=("the state of the severed part",),
        )
    if situation.growing is True:
        return Met(
            reason="The part is there, and in a child every loss is a reason to try.",
            basis=read_at("replantation-emergency-guideline", "text"),
        )
    return Met(reason="The part is there.", basis=COMMON_PRACTICE)


def lost_part_was_soon_cooled(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask that the part was not without blood for too long, warm or cool."""
    part = situation.case.injury.lost_part
    if part.state in _GONE:
        return Met(reason="No part is there whose hours would count.", basis=COMMON_PRACTICE)
    hours = {"uncooled": part.warm_hours, "cooled": part.cool_hours}
    limits = {"uncooled": _WARM_AT_MOST, "cooled": _COOL_AT_MOST}
    early = {"uncooled": _WARM_WITHOUT_WARNING, "cooled": _COOL_WITHOUT_WARNING}
    known = {how: value for how, value in hours.items() if not isinstance(value, NotExamined)}
    stated = " and ".join(f"{value:g} h {how}" for how, value in known.items())
    if any(value > limits[how].value for how, value in known.items()):
        return NotMet(
            reason=f"The part was without blood for {stated}; 12 h uncooled and 24 h cooled are "
            "the classical limits.",
            basis=_CLASSICAL,
        )
    if len(known) < len(hours):
        return Unsettled(
            reason="How long the part was without blood, cooled and uncooled, is not known.",
            basis=_CLASSICAL,
            needed=tuple(f"hours that the part spent {how}" for how in hours if how not in known),
        )
    if any(value > early[how].value for how, value in known.items()):
        return Advice(
            reason=f"The part was without blood for {stated}; others set the limits at 6 h and "
            "12 h, and from 8 h on necrosis was more frequent (odds ratio 2.25).",
            basis=_CAUTIOUS,
            further=(read_at("replant-necrosis-review"),),
        )
    return Met(reason=f"The part was without blood for {stated}.", basis=_CAUTIOUS)


def part_can_be_joined_again(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise on a part that was crushed, torn off, burnt or cut at several levels."""
    injury = situation.case.injury
    found: list[tuple[str, bool]] = []
    if injury.several_levels is Finding.YES:
        found.append(("The ray is injured at several levels.", True))
    if injury.several_levels is Finding.NOT_EXAMINED:
        found.append(("Whether the ray is injured at several levels is not stated.", False))
    if injury.mechanism in {Mechanism.CRUSH, Mechanism.AVULSION}:
        found.append(
            ("After complete avulsion or diffuse crush 63% of replanted thumbs failed.", False)
        )
        return advice_from(found, read_at("thumb-replants-73"), otherwise="")
    if injury.mechanism in {Mechanism.THERMAL, Mechanism.ELECTRICAL}:
        found.append(("Burnt vessels rarely stay open once joined.", True))
    basis = read_at("replantation-contraindications", "text")
    return advice_from(
        found,
        basis if injury.several_levels is Finding.YES else COMMON_PRACTICE,
        otherwise="No crush, avulsion or burn, and one level only.",
    )
