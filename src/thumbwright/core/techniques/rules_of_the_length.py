"""Rules of eligibility about length: what is left to lengthen, and how much can be added."""

from collections.abc import Sequence

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Basis, Published
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
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Span, Technique

_ROOM_FOR_A_FIXATOR = Published(value=25.0, unit="mm", basis=ASSUMED)
"""Two pins on either side of the cut."""


def length_added(technique: Technique, situation: Situation) -> Span | Unknown:
    """Return the length that print says it adds to such a patient [mm].

    Notes
    -----
    That of a series of children for a patient who grows, if there is one.
    """
    in_children = technique.added_length_in_children
    if situation.growing is True and isinstance(in_children, Span):
        return in_children
    return technique.added_length


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
    missing, added = situation.missing_length_mm, length_added(technique, situation)
    if isinstance(added, Unknown):
        return Met(reason="No limit to the length it adds is known.", basis=COMMON_PRACTICE)
    stated = _adds(technique, added)
    if isinstance(missing, Unknown):
        return Advice(
            reason=f"{stated}; how much is missing is not known: {missing.reason}.",
            basis=added.statement.basis,
        )
    return _against_missing(added, missing, stated, _all_ages(technique, added))


def _adds(technique: Technique, added: Span) -> str:
    if added.high == 0:
        return "It adds no bone"
    in_children = " in children" if added is technique.added_length_in_children else ""
    return f"It adds {added.low:.0f} to {added.high:.0f} mm{in_children}"


def _all_ages(technique: Technique, added: Span) -> Sequence[tuple[str, Basis]]:
    """Return what a series of all ages says beside one of children."""
    everyone = technique.added_length
    if added is everyone or isinstance(everyone, Unknown):
        return ()
    words = f" In people of all ages it added {everyone.low:.0f} to {everyone.high:.0f} mm."
    return ((words, everyone.statement.basis),)


def _against_missing(
    added: Span, missing: Measured, stated: str, further: Sequence[tuple[str, Basis]]
) -> RuleAnswer:
    compared = f"{stated}; {missing.value:.0f} mm are missing"
    words = "".join(words for words, _ in further)
    if missing.value <= added.high:
        return Met(reason=f"{compared}.{words}", basis=added.statement.basis)
    return Advice(
        reason=f"{compared}, so the thumb stays shorter than the other.{words}",
        basis=added.statement.basis,
        further=tuple(basis for _, basis in further),
    )
