"""Rules of eligibility about the level of loss, the length and growth."""

from thumbwright.core.case.goals import Goal
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Published
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.rule_answers import (
    ASSUMED,
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
from thumbwright.core.techniques.technique import Grade, Span, Suitability, Technique

_ROOM_FOR_A_FIXATOR = Published(value=25.0, unit="mm", basis=ASSUMED)
"""Two pins on either side of the cut."""
_GAIN_IN_CHILDREN_MM = (8.0, 21.0)
_CHILDREN = read_at("pannier-children", "abstract, seven metacarpals, callotasis")


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
    """Warn if the loss may be at a level where the technique may not be done."""
    others = other_plausible_levels(situation)
    if isinstance(most_probable_level(situation), Unknown):
        return Met(reason="There is no level to compare others with.", basis=COMMON_PRACTICE)
    unfit = [level for level in others if not technique.levels[level].suitability.may_be_done]
    if not unfit:
        return Met(
            reason="It may be done at every other level that is plausible.", basis=COMMON_PRACTICE
        )
    worst_fit = max(
        unfit,
        key=lambda level: technique.levels[level].suitability is Suitability.CONTRAINDICATED,
    )
    named = "; ".join(
        f"{level.words} ({technique.levels[level].suitability.words}: "
        f"{technique.levels[level].statement.text.rstrip('.')})"
        for level in unfit
    )
    return Advice(
        reason=f"The loss may also be at {named}.",
        basis=technique.levels[worst_fit].statement.basis,
    )


def metacarpal_is_long_enough_to_lengthen(
    _technique: Technique, situation: Situation
) -> RuleAnswer:
    """Ask whether the metacarpal that is left holds a fixator on either side of a cut."""
    left = situation.metacarpal_left_mm
    if isinstance(left, Unknown):
        return Unsettled(
            reason=f"How much of the metacarpal is left is not known: {left.reason}.",
            basis=read_at("callus-distraction-2003"),
            needed=left.needed or ("a film of the injured hand with its scale",),
        )
    room = _ROOM_FOR_A_FIXATOR.value
    interval = left.interval()
    stated = f"The metacarpal that is left measures {left.value:.0f} mm; {room:.0f} mm are needed"
    if interval.low >= room:
        return Met(reason=f"{stated}.", basis=_ROOM_FOR_A_FIXATOR.basis)
    if interval.high < room:
        return NotMet(
            reason=f"{stated}; too short a metacarpal is a contraindication.",
            basis=_ROOM_FOR_A_FIXATOR.basis,
        )
    return Unsettled(
        reason=f"{stated}, and the doubt of the measurement spans that limit.",
        basis=_ROOM_FOR_A_FIXATOR.basis,
        needed=("the length of the metacarpal with less doubt",),
    )


def technique_gives_the_missing_length(technique: Technique, situation: Situation) -> RuleAnswer:
    """Warn if less length can be added than is missing."""
    missing, added = situation.missing_length_mm, technique.added_length
    if isinstance(added, Unknown):
        return Met(reason="No limit to the length it adds is known.", basis=COMMON_PRACTICE)
    if isinstance(missing, Unknown):
        return Advice(
            reason=f"It adds {_range(added.low, added.high)}; how much is missing is not known: "
            f"{missing.reason}.",
            basis=added.statement.basis,
        )
    return _against_missing(added, missing, situation)


def _against_missing(added: Span, missing: Measured, situation: Situation) -> RuleAnswer:
    child = situation.growing is True
    low, high = _GAIN_IN_CHILDREN_MM if child else (added.low, added.high)
    basis = _CHILDREN if child else added.statement.basis
    who = " in children" if child else ""
    stated = f"It adds {_range(low, high)}{who}; {missing.value:.0f} mm are missing"
    if missing.value <= high:
        return Met(reason=f"{stated}.", basis=basis)
    return Advice(reason=f"{stated}, so the thumb stays shorter than the other.", basis=basis)


def _range(low: float, high: float) -> str:
    return f"{low:.0f} to {high:.0f} mm"


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
    state = "are open" if situation.growing is True else "may be open"
    return Advice(
        reason=f"Growth plates {state}; the flap carries none and is not advised in children.",
        basis=basis,
        grave=True,
    )


def no_growth_plate_is_cut_lengthwise(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise against a lengthwise cut through open growth plates."""
    if situation.growing is False:
        return Met(reason="Growth is over.", basis=COMMON_PRACTICE)
    state = "are open" if situation.growing is True else "may be open"
    return Advice(
        reason=f"Growth plates {state}; trimming the toe cuts across them.",
        basis=COMMON_PRACTICE,
        grave=True,
    )
