"""Rules of eligibility about the other fingers of the injured hand."""

from thumbwright.core.case.hand import Fingers, FingerState
from thumbwright.core.techniques.rule_answers import (
    COMMON_PRACTICE,
    Advice,
    Met,
    NotMet,
    RuleAnswer,
    Unsettled,
    read_at,
)
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

_PRESENT = {FingerState.SOUND, FingerState.STIFF, FingerState.DAMAGED}
_OF_LITTLE_USE = {FingerState.STIFF, FingerState.DAMAGED, FingerState.PARTLY_LOST}
_FINGERS_TO_REMAIN = 2
_ADULT_SCHOOL = read_at("pollicization-adult-school")


def _states(fingers: Fingers) -> dict[str, FingerState]:
    return {
        "index": fingers.index,
        "middle": fingers.middle,
        "ring": fingers.ring,
        "little": fingers.little,
    }


def _unseen(states: dict[str, FingerState]) -> tuple[str, ...]:
    return tuple(
        f"the state of the {name} finger"
        for name, state in states.items()
        if state is FingerState.NOT_EXAMINED
    )


def index_is_sound_for_pollicization(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for a sound index finger; a damaged one is another technique."""
    index = situation.case.fingers.index
    if index is FingerState.SOUND:
        return Met(reason="The index finger is sound.", basis=COMMON_PRACTICE)
    if index is FingerState.NOT_EXAMINED:
        return Unsettled(
            reason="The index finger was not examined.",
            basis=COMMON_PRACTICE,
            needed=("the state of the index finger",),
        )
    words = index.value.replace("_", " ")
    return NotMet(
        reason=f"The index finger is {words}; see the transfer of a damaged finger.",
        basis=COMMON_PRACTICE,
    )


def enough_fingers_remain(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask that two fingers remain beside the one that is moved."""
    states = _states(situation.case.fingers)
    del states["index"]
    present = sum(state in _PRESENT for state in states.values())
    unseen = _unseen(states)
    if present >= _FINGERS_TO_REMAIN:
        return Met(reason=f"{present} fingers remain beside the index.", basis=_ADULT_SCHOOL)
    if present + len(unseen) < _FINGERS_TO_REMAIN:
        return NotMet(
            reason="Fewer than three fingers are left, so none is spared for the thumb.",
            basis=_ADULT_SCHOOL,
        )
    return Unsettled(reason="Not all fingers were examined.", basis=_ADULT_SCHOOL, needed=unseen)


def no_damaged_finger_could_serve_instead(
    _technique: Technique, situation: Situation
) -> RuleAnswer:
    """Advise against giving a sound index where a damaged finger could serve."""
    states = _states(situation.case.fingers)
    del states["index"]
    damaged = [name for name, state in states.items() if state in _OF_LITTLE_USE]
    if damaged:
        return Advice(
            reason=f"The {damaged[0]} finger is {states[damaged[0]].value.replace('_', ' ')}; "
            "such a finger is preferred over a sound index.",
            basis=_ADULT_SCHOOL,
            grave=True,
        )
    return Met(reason="No damaged finger is known that could serve.", basis=_ADULT_SCHOOL)


def some_finger_is_damaged_but_of_use(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for a finger that is of little use where it stands, but still there."""
    states = _states(situation.case.fingers)
    damaged = [name for name, state in states.items() if state in _OF_LITTLE_USE]
    if damaged:
        return Met(
            reason=f"The {damaged[0]} finger is {states[damaged[0]].value.replace('_', ' ')}.",
            basis=_ADULT_SCHOOL,
        )
    unseen = _unseen(states)
    if unseen:
        return Unsettled(
            reason="Not all fingers were examined.", basis=_ADULT_SCHOOL, needed=unseen
        )
    return NotMet(
        reason="No finger is damaged but left; a sound one is not taken by this technique.",
        basis=_ADULT_SCHOOL,
    )


def a_finger_is_left_to_pinch_against(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise if the new thumb would have nothing to meet."""
    states = _states(situation.case.fingers)
    if any(state not in {FingerState.LOST, FingerState.NOT_EXAMINED} for state in states.values()):
        return Met(reason="A finger is there to pinch against.", basis=COMMON_PRACTICE)
    unseen = _unseen(states)
    reason = (
        "The fingers were not examined; a thumb needs one to pinch against."
        if unseen
        else "All fingers are lost; a thumb needs one to pinch against."
    )
    return Advice(reason=reason, basis=COMMON_PRACTICE, grave=not unseen)


def index_skin_can_be_given(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for an index finger whose back can give skin."""
    index = situation.case.fingers.index
    if index in {FingerState.SOUND, FingerState.STIFF}:
        return Met(reason="The back of the index finger can give skin.", basis=COMMON_PRACTICE)
    if index is FingerState.NOT_EXAMINED:
        return Unsettled(
            reason="The index finger was not examined.",
            basis=COMMON_PRACTICE,
            needed=("the state of the index finger",),
        )
    return NotMet(
        reason=f"The index finger is {index.value.replace('_', ' ')} and gives no skin.",
        basis=COMMON_PRACTICE,
    )


def a_finger_can_feed_an_island_flap(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise if no finger can give the island flap that brings feeling to a post of bone."""
    answer = a_finger_can_give_its_side(_technique, situation)
    if isinstance(answer, Met):
        return answer
    return Advice(
        reason=f"{answer.reason} Without an island flap from one of them the new thumb feels "
        "little.",
        basis=answer.basis,
    )


def a_finger_can_give_its_side(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for a sound middle or ring finger that can give one side with its nerve."""
    fingers = situation.case.fingers
    states = {"middle": fingers.middle, "ring": fingers.ring}
    sound = [name for name, state in states.items() if state is FingerState.SOUND]
    if sound:
        return Met(reason=f"The {sound[0]} finger is sound.", basis=COMMON_PRACTICE)
    unseen = _unseen(states)
    if unseen:
        return Unsettled(
            reason="Middle and ring finger were not both examined.",
            basis=COMMON_PRACTICE,
            needed=unseen,
        )
    return NotMet(reason="Neither the middle nor the ring finger is sound.", basis=COMMON_PRACTICE)
