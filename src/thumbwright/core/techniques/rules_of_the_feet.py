"""Rules of eligibility about the feet; each asks whether some toe of some foot can be given."""

from thumbwright.core.case.examined import Finding
from thumbwright.core.techniques.donors import ALL_FOOT_CHECKS, best_donor
from thumbwright.core.techniques.foot_checks import toe_is_sound, vessels_are_patent
from thumbwright.core.techniques.rule_answers import (
    COMMON_PRACTICE,
    RuleAnswer,
    advice_from,
    read_at,
)
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Take, Technique

_BAREFOOT = "The patient walks barefoot or in footwear held by the first web"
_FOOTWEAR = read_at("buncke-chapter-1", "page 2")
_COSTS_PUSH_OFF = {Take.GREAT_TOE, Take.METATARSAL_HEAD}


def second_toe_is_sound_on_some_foot(technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for a sound second toe of either foot."""
    return best_donor(technique, situation, (toe_is_sound,))


def great_toe_is_sound_on_some_foot(technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for a sound great toe of either foot."""
    return best_donor(technique, situation, (toe_is_sound,))


def great_or_second_toe_is_sound_on_some_foot(
    technique: Technique, situation: Situation
) -> RuleAnswer:
    """Ask for a sound great or second toe of either foot."""
    return best_donor(technique, situation, (toe_is_sound,))


def foot_vessels_are_patent(technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for patent vessels of a foot whose toe is sound."""
    return best_donor(technique, situation, (toe_is_sound, vessels_are_patent))


def donor_foot_is_healthy(technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for a healthy foot whose toe is sound and whose vessels are patent."""
    return best_donor(technique, situation, ALL_FOOT_CHECKS)


def foot_can_spare_it(technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise on what the patient needs the foot for."""
    feet = situation.case.feet
    push_off = bool(_COSTS_PUSH_OFF & set(technique.takes))
    found: list[tuple[str, bool]] = []
    if feet.high_foot_demand is Finding.YES:
        cost = "which this toe gives" if push_off else "of which this toe gives little"
        found.append(
            (f"Work or sport depends on the push-off of the foot, {cost}.", push_off),
        )
    if feet.barefoot_or_thong_need is Finding.YES:
        found.append((f"{_BAREFOOT}{_in_footwear(technique)}.", Take.GREAT_TOE in technique.takes))
    if Finding.NOT_EXAMINED in {feet.high_foot_demand, feet.barefoot_or_thong_need}:
        found.append(("What the patient needs the feet for was not fully asked.", False))
    basis = _FOOTWEAR if Take.GREAT_TOE in technique.takes else COMMON_PRACTICE
    return advice_from(found, basis, otherwise="The foot can spare it.")


def _in_footwear(technique: Technique) -> str:
    """Return what footwear held by the first web means for what is taken."""
    if Take.GREAT_TOE in technique.takes:
        return ", where the great toe is missed most"
    if Take.SECOND_TOE in technique.takes:
        return "; the second toe is one of the two that hold it"
    return "; a scar of the toe may be rubbed there"
