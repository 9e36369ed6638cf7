"""Rules of eligibility about what is left of the thumb: joints, muscles, skin, nail."""

from thumbwright.core.case.examined import Finding, Quality
from thumbwright.core.case.hand import Joint, Nail, StumpSkin, Tendon, WebContracture
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
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

_BASAL_JOINT = read_at("osteoplastic-mcp-13")
_STRONG_THENAR = read_at("hand-clinics-1992")
_STRETCHED_SKIN = read_at("callus-distraction-2003")
_NOT_SUPPLE = {
    StumpSkin.SCARRED: "scarred",
    StumpSkin.UNSTABLE: "unstable",
    StumpSkin.OPEN_WOUND: "an open wound",
}


def cmc_joint_is_sound(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for a basal joint that is there, moves and is stable."""
    faults, unseen = _joint_faults(situation.case.kept.cmc)
    if faults:
        return NotMet(
            reason=f"The CMC joint is {' and '.join(faults)}; the technique relies on it.",
            basis=_BASAL_JOINT,
        )
    if unseen:
        return Unsettled(
            reason="The CMC joint was not fully examined; the technique relies on it.",
            basis=_BASAL_JOINT,
            needed=(f"the CMC joint (whether it is {listed(unseen)})",),
        )
    return Met(reason="The CMC joint is there, moves and is stable.", basis=_BASAL_JOINT)


def _joint_faults(joint: Joint) -> tuple[list[str], list[str]]:
    asked = {
        "there": (joint.present, "lost"),
        "mobile": (joint.mobile, "stiff"),
        "stable": (joint.stable, "unstable"),
    }
    faults = [fault for finding, fault in asked.values() if finding is Finding.NO]
    unseen = [what for what, (finding, _) in asked.items() if finding is Finding.NOT_EXAMINED]
    return faults, unseen


def thenar_muscles_are_strong(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for strong thenar muscles, which a thumb without an IP joint demands."""
    function = situation.case.kept.thenar_function
    match function:
        case Quality.GOOD:
            return Met(reason="The thenar muscles are strong.", basis=_STRONG_THENAR)
        case Quality.WEAK:
            return Advice(
                reason="The thenar muscles are weak; a thumb without IP motion needs strong ones.",
                basis=_STRONG_THENAR,
                grave=True,
            )
        case Quality.ABSENT:
            return NotMet(
                reason="The thenar muscles are lost; a thumb without IP motion needs strong ones.",
                basis=_STRONG_THENAR,
            )
        case Quality.NOT_EXAMINED:
            return Unsettled(
                reason="The thenar muscles were not examined.",
                basis=_STRONG_THENAR,
                needed=("the function of the thenar muscles",),
            )


def thenar_muscles_can_oppose(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise if the new thumb could not be brought against the fingers."""
    function = situation.case.kept.thenar_function
    if function is Quality.GOOD:
        return Met(reason="The thenar muscles work.", basis=COMMON_PRACTICE)
    state = {
        Quality.WEAK: "are weak",
        Quality.ABSENT: "are lost",
        Quality.NOT_EXAMINED: "were not examined",
    }[function]
    return Advice(
        reason=f"The thenar muscles {state}; without them a new thumb works as a post, "
        "unless a tendon is moved for opposition.",
        basis=read_at("dickey-2022"),
    )


def tendons_are_there_to_move_it(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise if a transferred joint would have no motor."""
    tendons = situation.case.kept.tendons
    named = {"long flexor": tendons.long_flexor, "long extensor": tendons.long_extensor}
    lost = [name for name, state in named.items() if state is Tendon.LOST]
    unseen = [name for name, state in named.items() if state is Tendon.NOT_EXAMINED]
    basis = read_at("buncke-chapter-1", "page 6")
    if lost:
        return Advice(
            reason=f"{_of_the_thumb(lost, 'is', 'are')} lost; another tendon must take the "
            "place of each.",
            basis=basis,
        )
    if unseen:
        stated = _of_the_thumb(unseen, "was", "were")
        return Advice(reason=f"{stated} not examined.", basis=basis)
    return Met(reason="Long flexor and long extensor are there.", basis=basis)


def _of_the_thumb(tendons: list[str], verb_of_one: str, verb_of_several: str) -> str:
    verb = verb_of_one if len(tendons) == 1 else verb_of_several
    return f"The {listed(tendons)} of the thumb {verb}"


def stump_is_closed(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise on a stump that is open or badly covered."""
    skin = situation.case.kept.stump_skin
    if skin in {StumpSkin.OPEN_WOUND, StumpSkin.UNSTABLE}:
        return Advice(
            reason="The stump is not soundly covered; a toe soon after the loss survived as often "
            "as a late one (96.8 and 96.5%), with more infection (6.5 against 0.7%).",
            basis=read_at("yim-2004"),
        )
    if skin is StumpSkin.NOT_EXAMINED:
        return Advice(reason="The skin of the stump was not examined.", basis=COMMON_PRACTICE)
    return Met(reason="The stump is closed.", basis=COMMON_PRACTICE)


def skin_bears_stretching(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for skin over the stump that can be stretched."""
    skin = situation.case.kept.stump_skin
    match skin:
        case StumpSkin.SOUND:
            return Met(reason="The skin of the stump is sound.", basis=_STRETCHED_SKIN)
        case StumpSkin.THIN | StumpSkin.SCARRED:
            return Advice(
                reason=f"The skin of the stump is {skin.value}; it may break over the bone.",
                basis=_STRETCHED_SKIN,
                grave=True,
            )
        case StumpSkin.UNSTABLE | StumpSkin.OPEN_WOUND:
            return NotMet(
                reason="The skin of the stump would not bear stretching; poor skin is a "
                "contraindication.",
                basis=_STRETCHED_SKIN,
            )
        case StumpSkin.NOT_EXAMINED:
            return Unsettled(
                reason="The skin of the stump was not examined.",
                basis=_STRETCHED_SKIN,
                needed=("the skin of the stump",),
            )


def web_bears_lengthening(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise on the first web, which a longer metacarpal draws along."""
    contracture = situation.case.kept.first_web_contracture
    if contracture is WebContracture.NONE:
        return Met(
            reason="The first web is free; it is deepened after lengthening all the same.",
            basis=_STRETCHED_SKIN,
        )
    state = "was not examined" if contracture is WebContracture.NOT_EXAMINED else "is tight"
    return Advice(
        reason=f"The first web {state}; deepening it after lengthening is held to be a must.",
        basis=_STRETCHED_SKIN,
    )


def web_skin_is_supple(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Advise on the skin of the web, which must be supple to be deepened by itself."""
    basis = read_at("first-web-contracture", "text")
    skin = situation.case.kept.stump_skin
    if situation.case.kept.first_web_contracture is WebContracture.SEVERE:
        return Advice(
            reason="The first web is severely contracted; its own skin will not do and a flap "
            "must be brought in.",
            basis=basis,
            grave=True,
        )
    if skin in _NOT_SUPPLE:
        return Advice(
            reason=f"The skin of the stump is {_NOT_SUPPLE[skin]}; deepening by the own skin "
            "wants it supple.",
            basis=basis,
            grave=True,
        )
    if skin is StumpSkin.NOT_EXAMINED:
        return Advice(reason="The skin of the stump was not examined.", basis=basis)
    return Met(reason="The skin is supple enough.", basis=basis)


def nail_is_lost_or_damaged(_technique: Technique, situation: Situation) -> RuleAnswer:
    """Ask for a nail to replace, which is what part of a toe is taken for."""
    nail = situation.case.kept.nail
    basis = read_at("muzaffar-2005")
    match nail:
        case Nail.LOST | Nail.PARTLY_KEPT:
            return Met(reason="A nail is missing, in whole or in part.", basis=basis)
        case Nail.KEPT:
            return NotMet(reason="The nail is kept; there is none to replace.", basis=basis)
        case Nail.NOT_EXAMINED:
            return Unsettled(
                reason="The nail was not examined.",
                basis=basis,
                needed=("what is left of the nail",),
            )
