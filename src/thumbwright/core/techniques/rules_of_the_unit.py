"""Rules of eligibility about what the unit can offer."""

from thumbwright.core.case.examined import Finding
from thumbwright.core.techniques.rule_answers import (
    COMMON_PRACTICE,
    Met,
    NotMet,
    RuleAnswer,
    Unsettled,
    advice_from,
)
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique


def unit_has_microsurgery(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask whether small vessels can be joined in this unit or with its partners."""
    facility = situation.case.facility
    if Finding.NO in {facility.microsurgery, facility.microscope}:
        what = "microsurgery" if facility.microsurgery is Finding.NO else "a microscope"
        return NotMet(reason=f"The unit cannot offer {what}.", basis=COMMON_PRACTICE)
    if facility.microsurgery is Finding.NOT_EXAMINED:
        return Unsettled(
            reason="Whether the unit can offer microsurgery is not stated.",
            basis=COMMON_PRACTICE,
            needed=("whether the unit or a partner offers microsurgery",),
        )
    return Met(reason="The unit can offer microsurgery.", basis=COMMON_PRACTICE)


def unit_can_watch_a_flap(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise against joined vessels that nobody can watch through the first nights."""
    facility = situation.case.facility
    found: list[tuple[str, bool]] = []
    if facility.intensive_observation is Finding.NO:
        found.append(
            ("The unit cannot watch the circulation every hour through the first nights.", True)
        )
    if facility.intensive_observation is Finding.NOT_EXAMINED:
        found.append(("Whether the circulation can be watched every hour is not stated.", False))
    if facility.two_teams is Finding.NO:
        found.append(
            ("One team must do both sites one after the other, which takes longer.", False)
        )
    if facility.hand_therapy is Finding.NO:
        found.append(("The unit has no hand therapy.", False))
    return advice_from(
        found, COMMON_PRACTICE, otherwise="The circulation can be watched every hour."
    )
