"""Rules of eligibility about the level of loss and about growth."""

from thumbwright.core.case.goals import Goal
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.rule_answers import (
    COMMON_PRACTICE,
    Advice,
    Met,
    NotMet,
    RuleAnswer,
    Unsettled,
    read_at,
)
from thumbwright.core.techniques.situation import (
    Situation,
    most_probable_level,
    other_plausible_levels,
)
from thumbwright.core.techniques.technique import Grade, Suitability, Technique

_CHILDREN = read_at("jones-clune-2019")
_DONE_IN_CHILDREN = "In one series of children it was done all the same, in 2 of 21 thumbs."


def level_suits(technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask whether the technique may be done at the most probable level."""
    level = most_probable_level(situation)
    if isinstance(level, Unknown):
        return _without_a_level(technique, situation, level)
    fit = technique.levels[level]
    reason = f"At {level.words}: {fit.suitability.words}. {fit.statement.text}"
    if fit.suitability.may_be_done:
        return Met(reason=reason, basis=fit.statement.basis)
    return NotMet(reason=reason, basis=fit.statement.basis)


def _without_a_level(technique: Technique, situation: Situation, level: Unknown) -> RuleAnswer:
    possible = situation.plausible_levels or tuple(Level)
    done = [technique.levels[one].suitability.may_be_done for one in possible]
    where = "every level that comes into question"
    if all(done):
        return Met(reason=f"It may be done at {where}.", basis=COMMON_PRACTICE)
    if not any(done):
        return NotMet(reason=f"It may not be done at {where}.", basis=COMMON_PRACTICE)
    return Unsettled(
        reason=f"The level of loss is not known: {level.reason}.",
        basis=COMMON_PRACTICE,
        needed=level.needed or ("the level of loss",),
    )


def other_plausible_levels_suit(technique: Technique, situation: Situation) -> RuleAnswer:
    """Warn if the loss may be at a level where the verdict would be another."""
    level = most_probable_level(situation)
    if isinstance(level, Unknown):
        return Met(reason="There is no level to compare others with.", basis=COMMON_PRACTICE)
    others = other_plausible_levels(situation)
    may_be_done = technique.levels[level].suitability.may_be_done
    differing = [
        other
        for other in others
        if technique.levels[other].suitability.may_be_done is not may_be_done
    ]
    if differing:
        named = "; ".join(_fit_at(technique, other) for other in differing)
        return Advice(
            reason=f"The loss may also be at {named}.", basis=_basis_of(technique, differing)
        )
    if not others:
        return Met(reason="No other level is plausible.", basis=COMMON_PRACTICE)
    where = "every" if may_be_done else "no"
    return Met(
        reason=f"It may be done at {where} other level that is plausible.", basis=COMMON_PRACTICE
    )


def _fit_at(technique: Technique, level: Level) -> str:
    fit = technique.levels[level]
    return f"{level.words} ({fit.suitability.words}: {fit.statement.text.rstrip('.')})"


def _basis_of(technique: Technique, levels: list[Level]) -> Basis:
    """Return the basis of what weighs most: a contraindication before anything else."""
    fits = [technique.levels[level] for level in levels]
    weighty = max(fits, key=lambda fit: fit.suitability is Suitability.CONTRAINDICATED)
    return weighty.statement.basis


def growth_wanted_and_technique_grows(technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise on growth in a patient who grows; it closes nothing."""
    if isinstance(situation.growing, Unknown):
        return Advice(
            reason=f"Whether the patient still grows is not known: {situation.growing.reason}.",
            basis=COMMON_PRACTICE,
        )
    level = most_probable_level(situation)
    graded = None if isinstance(level, Unknown) else technique.grades[Goal.GROWTH].get(level)
    if not situation.growing or graded is None:
        return Met(reason="Growth is not in question.", basis=COMMON_PRACTICE)
    reason = f"The patient grows; growth of the new thumb: {graded.grade.words}. "
    reason += graded.statement.text
    if graded.grade >= Grade.FAIR:
        return Met(reason=reason, basis=graded.statement.basis)
    return Advice(reason=reason, basis=graded.statement.basis)


def growth_plates_are_closed_for_a_wrap_around(
    _technique: Technique, situation: Situation
) -> RuleAnswer:
    """Advise against a flap that carries no growth plate while plates are open."""
    basis = read_at("microsurgery-handbook-wrap-around", "text")
    if situation.growing is False:
        return Met(reason="Growth is over.", basis=basis)
    return Advice(
        reason=f"Growth plates {_state(situation)}; the flap carries none and is not advised in "
        f"children. {_DONE_IN_CHILDREN}",
        basis=basis,
        grave=True,
        further=(_CHILDREN,),
    )


def no_growth_plate_is_cut_lengthwise(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise against a lengthwise cut through open growth plates."""
    if situation.growing is False:
        return Met(reason="Growth is over.", basis=COMMON_PRACTICE)
    return Advice(
        reason=f"Growth plates {_state(situation)}; trimming the toe cuts across them. "
        f"{_DONE_IN_CHILDREN}",
        basis=COMMON_PRACTICE,
        grave=True,
        further=(_CHILDREN,),
    )


def _state(situation: Situation) -> str:
    return "are open" if situation.growing is True else "may be open"
