"""What is asked of one toe and its foot before it may be given."""

from thumbwright.core.case.examined import Finding, Pulse, Side
from thumbwright.core.case.feet import Foot, ToeArtery, ToeState
from thumbwright.core.techniques.rule_answers import (
    COMMON_PRACTICE,
    Advice,
    Met,
    NotMet,
    RuleAnswer,
    Unsettled,
    listed,
    read_at,
)
from thumbwright.core.techniques.technique import Toe

_FELT = {Pulse.STRONG, Pulse.WEAK}
_EARLIER_INJURY = read_at("buncke-chapter-1", "page 6")


def toe_is_sound(side: Side, toe: Toe, foot: Foot) -> RuleAnswer:
    """Ask for a sound toe."""
    state = foot.toes.great if toe is Toe.GREAT else foot.toes.second
    named = f"{toe.value} toe of the {side.value} foot"
    if state is ToeState.SOUND:
        return Met(reason=f"The {named} is sound.", basis=COMMON_PRACTICE)
    if state is ToeState.NOT_EXAMINED:
        return Unsettled(
            reason=f"The {named} was not examined.",
            basis=COMMON_PRACTICE,
            needed=(f"the state of the {named}",),
        )
    return NotMet(reason=f"The {named} is {state.value}.", basis=COMMON_PRACTICE)


def vessels_are_patent(side: Side, _toe: Toe, foot: Foot) -> RuleAnswer:
    """Ask for the arteries that feed the toe and the foot that stays."""
    where = f"of the {side.value} foot"
    absent = _absent_vessels(foot)
    if absent:
        return NotMet(reason=f"{absent[0]} {where} is absent.", basis=COMMON_PRACTICE)
    unseen = _unseen_vessels(foot)
    if unseen:
        return Unsettled(
            reason=f"The vessels {where} were not fully examined.",
            basis=COMMON_PRACTICE,
            needed=(f"the vessels {where} ({listed(unseen)})",),
        )
    if foot.dorsal_pedal_pulse is Pulse.ABSENT or foot.dominant_artery is ToeArtery.PLANTAR:
        return Advice(
            reason=f"The toe {where} hangs on the plantar artery: a shorter pedicle, often with a "
            "vein graft.",
            basis=read_at("buncke-chapter-1", "page 11"),
        )
    if Pulse.WEAK in {foot.dorsal_pedal_pulse, foot.first_web_doppler}:
        return Advice(reason=f"The pulses {where} are weak.", basis=COMMON_PRACTICE)
    return Met(reason=f"The vessels {where} are patent.", basis=COMMON_PRACTICE)


def _absent_vessels(foot: Foot) -> list[str]:
    # The foot itself must live on once the dorsal artery has gone with the toe.
    absent = []
    if foot.posterior_tibial_pulse is Pulse.ABSENT:
        absent.append("The posterior tibial artery, which must feed the foot alone,")
    if foot.first_web_doppler is Pulse.ABSENT:
        absent.append("The signal in the first web")
    if foot.dominant_artery is ToeArtery.ABSENT:
        absent.append("A first metatarsal artery")
    return absent


def _unseen_vessels(foot: Foot) -> list[str]:
    unseen = []
    if foot.dorsal_pedal_pulse is Pulse.NOT_EXAMINED:
        unseen.append("dorsal pedal pulse")
    if foot.posterior_tibial_pulse is Pulse.NOT_EXAMINED:
        unseen.append("posterior tibial pulse")
    known_artery = foot.dominant_artery not in {ToeArtery.ABSENT, ToeArtery.NOT_EXAMINED}
    if foot.first_web_doppler not in _FELT and not known_artery:
        unseen.append("Doppler signal in the first web")
    return unseen


def foot_is_healthy(side: Side, _toe: Toe, foot: Foot) -> RuleAnswer:
    """Ask for a foot that heals and feels."""
    where = f"the {side.value} foot"
    asked = {
        "infection or ulcer": foot.infection_or_ulcer,
        "loss of feeling": foot.loss_of_feeling,
    }
    found = [what for what, finding in asked.items() if finding is Finding.YES]
    if found:
        return NotMet(
            reason=f"{where[0].upper()}{where[1:]} has {listed(found)}.", basis=COMMON_PRACTICE
        )
    unseen = [what for what, finding in asked.items() if finding is Finding.NOT_EXAMINED]
    if unseen:
        return Unsettled(
            reason=f"The health of {where} was not fully examined.",
            basis=COMMON_PRACTICE,
            needed=(f"the health of {where} ({listed(unseen)})",),
        )
    if foot.earlier_injury is Finding.YES:
        return Advice(
            reason=f"An earlier injury of {where} may have spoilt its veins; an arteriogram is "
            "advised.",
            basis=_EARLIER_INJURY,
        )
    if foot.earlier_injury is Finding.NOT_EXAMINED:
        return Advice(
            reason=f"An earlier injury of {where} was not asked about.", basis=_EARLIER_INJURY
        )
    return Met(reason=f"There is nothing against {where}.", basis=COMMON_PRACTICE)
