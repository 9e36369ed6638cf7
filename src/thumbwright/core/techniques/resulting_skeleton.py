"""The thumb that a technique would leave: its bones, its joints and how far they move."""

from collections.abc import Mapping
from dataclasses import dataclass

from thumbwright.core.case.examined import Finding, NotExamined
from thumbwright.core.case.hand import FingerState, Joint, WebContracture
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Published, Statement
from thumbwright.core.level.levels import Level
from thumbwright.core.radiograph.landmarks import RayName
from thumbwright.core.radiograph.lengths import DonorToe, Lengths
from thumbwright.core.radiograph.transposition import ToeCut
from thumbwright.core.reach import ranges
from thumbwright.core.reach.proportions import THUMB_SHARES
from thumbwright.core.reach.skeleton import OF_THIS_HAND, Digit, Hinge, Thumb, Use
from thumbwright.core.techniques.joint_ranges import given_range
from thumbwright.core.techniques.length_reached import length_reached
from thumbwright.core.techniques.rule_answers import ASSUMED, COMMON_PRACTICE
from thumbwright.core.techniques.situation import Situation, most_probable_level
from thumbwright.core.techniques.technique import (
    Family,
    Gift,
    JointGift,
    Take,
    Technique,
    ThumbJoint,
)

WEB_BY_CONTRACTURE: Mapping[WebContracture, Published] = {
    WebContracture.MILD: Published(value=40.0, uncertainty=6.5, unit="deg", basis=ASSUMED),
    WebContracture.SEVERE: Published(value=25.0, uncertainty=6.5, unit="deg", basis=ASSUMED),
}
"""What a web that was called tight is taken to open, where nobody measured it."""
TEXTBOOK_ABDUCTION = ranges.TEXTBOOK_ABDUCTION
MEASURED_DOUBT = Published(value=5.0, unit="deg", basis=ASSUMED)
"""Standard uncertainty of an angle that was measured with a goniometer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Links:
    """Bones of a thumb from the CMC joint on."""

    metacarpal_mm: float
    proximal_mm: float
    distal_mm: float


def resulting_thumb(
    technique: Technique, situation: Situation, lengths: Lengths
) -> Thumb | Unknown:
    """Return the thumb that a technique would leave.

    Parameters
    ----------
    technique
        The technique; whether it may be done is not asked here.
    situation
        The case with its level.
    lengths
        Stump, wanted length and toes.

    Returns
    -------
    Thumb | Unknown
        Unknown where its length or the level is.

    Notes
    -----
    A joint of the patient's own that was examined moves as it was measured, else as in normal
    thumbs; a joint that is brought in moves as was published after such transfers; a joint that
    is not there is fused. Each hinge says which it is.
    """
    level = most_probable_level(situation)
    if isinstance(level, Unknown):
        return Unknown(reason=f"the level is unknown ({level.reason})", needed=level.needed)
    reached = length_reached(technique, situation, lengths)
    whole = reached.whole
    if technique.family is Family.PROSTHESIS and isinstance(lengths.wanted.length, Measured):
        whole = lengths.wanted.length
    if isinstance(whole, Unknown):
        return Unknown(reason=f"its length is unknown ({whole.reason})", needed=whole.needed)
    if whole.value <= 0:
        return Unknown(reason="nothing of a thumb is left", needed=("a technique that adds bone",))
    pattern = whole_links(lengths)
    links = _links(technique, lengths, whole.value, pattern)
    web = _web(situation, technique)
    length = sum((pattern.metacarpal_mm, pattern.proximal_mm, pattern.distal_mm))
    return Thumb(
        metacarpal_mm=links.metacarpal_mm,
        proximal_mm=links.proximal_mm,
        distal_mm=links.distal_mm,
        skin_beyond_bone_mm=ranges.skin_beyond(length),
        length_doubt_mm=whole.uncertainty,
        hinges=_hinges(technique, situation, level),
        web_deg=web[0].value,
        web_doubt_deg=web[0].uncertainty or 0.0,
        web=web[1],
        remarks=_remarks(technique, situation, reached.words),
    )


def whole_links(lengths: Lengths) -> _Links:
    """Return the bones of the whole thumb of this hand [mm].

    Notes
    -----
    From the joints of the pattern thumb where it was filmed; else the wanted length, or that of
    an adult, shared out by proportion.
    """
    from_tip = {
        one.name: one.from_tip.value
        for one in lengths.wanted.joints
        if isinstance(one.from_tip, Measured)
    }
    if {"CMC joint", "MCP joint", "IP joint"} <= from_tip.keys():
        return _Links(
            metacarpal_mm=from_tip["CMC joint"] - from_tip["MCP joint"],
            proximal_mm=from_tip["MCP joint"] - from_tip["IP joint"],
            distal_mm=from_tip["IP joint"],
        )
    wanted = lengths.wanted.length
    length = wanted.value if isinstance(wanted, Measured) else ranges.ADULT_THUMB_MM
    skin = ranges.skin_beyond(length)
    shares = {name: share.value for name, share in THUMB_SHARES.items()}
    per_share = (length + skin) / sum(shares.values())
    return _Links(
        metacarpal_mm=shares["metacarpal"] * per_share,
        proximal_mm=shares["proximal"] * per_share,
        distal_mm=shares["distal"] * per_share - skin,
    )


def _links(technique: Technique, lengths: Lengths, whole_mm: float, pattern: _Links) -> _Links:
    """Share out the length among the bones: joints stand where the patient's or the toe's do."""
    mcp_at = pattern.metacarpal_mm
    if technique.key == "metacarpal_distraction":
        mcp_at += max(0.0, whole_mm - _stump_mm(lengths))
    ip_at = pattern.metacarpal_mm + pattern.proximal_mm
    cut = _cut(technique, lengths)
    if cut is not None:
        # Joints of a toe keep their distance from its tip, wherever that comes to lie.
        short = ip_at + pattern.distal_mm - whole_mm
        mcp_at -= _shift(cut, "MCP joint", short)
        ip_at -= _shift(cut, "IP joint", short)
    mcp_at = min(max(mcp_at, 0.0), whole_mm)
    ip_at = min(max(ip_at, mcp_at), whole_mm)
    return _Links(metacarpal_mm=mcp_at, proximal_mm=ip_at - mcp_at, distal_mm=whole_mm - ip_at)


def _stump_mm(lengths: Lengths) -> float:
    return lengths.stump.value if isinstance(lengths.stump, Measured) else 0.0


_RAYS: Mapping[Take, RayName] = {
    Take.GREAT_TOE: RayName.GREAT_TOE,
    Take.SECOND_TOE: RayName.SECOND_TOE,
}


def _cut(technique: Technique, lengths: Lengths) -> ToeCut | None:
    wanted = [_RAYS[take] for take in technique.takes if take in _RAYS]
    cuts = [_cut_of(toe) for toe in lengths.toes if toe.ray.name in wanted]
    return next((cut for cut in cuts if cut is not None), None)


def _cut_of(toe: DonorToe) -> ToeCut | None:
    return None if isinstance(toe.cut, Unknown) else toe.cut


def _shift(cut: ToeCut, joint: str, short_mm: float) -> float:
    """Return how much nearer the body a joint comes to stand than in the pattern thumb [mm]."""
    found = [one.offset.value for one in cut.matches if one.thumb_joint == joint]
    return found[0] + short_mm if found else 0.0


def _hinges(
    technique: Technique, situation: Situation, level: Level
) -> tuple[Hinge, Hinge, Hinge, Hinge, Hinge]:
    kept = situation.case.kept
    gifts = {joint: technique.joints[joint].get(level) for joint in ThumbJoint}
    flexion, abduction, rotation = _cmc(gifts[ThumbJoint.CMC], kept.cmc)
    return (
        flexion,
        abduction,
        _outer(technique, gifts[ThumbJoint.MCP], kept.mcp, ThumbJoint.MCP, situation),
        _outer(technique, gifts[ThumbJoint.IP], kept.ip, ThumbJoint.IP, situation),
        rotation,
    )


def _cmc(gift: JointGift | None, joint: Joint) -> tuple[Hinge, Hinge, Hinge]:
    """Return CMC flexion, abduction and rotation."""
    if gift is None or gift.gift is Gift.NONE or _is_stiff(joint):
        words = "No CMC joint moves; the thumb is taken to stand in mid-opposition."
        still = Published(value=ranges.CMC_ROTATION_TOTAL.value / 2, unit="deg", basis=ASSUMED)
        return (
            ranges.fixed(ranges.CMC_STIFF_FLEXION, words),
            ranges.fixed(ranges.CMC_STIFF_ABDUCTION, words),
            ranges.fixed(still, words),
        )
    if gift.gift is Gift.GIVEN:
        share = 0.5 if gift.grade.value > 1 else 0.25
        return (
            _part(ranges.cmc_flexion(), share, gift.statement),
            _part(ranges.cmc_abduction(), share, gift.statement),
            _part(ranges.cmc_rotation(), share, gift.statement),
        )
    return ranges.cmc_flexion(), _measured_abduction(joint), ranges.cmc_rotation()


def _is_stiff(joint: Joint) -> bool:
    return joint.mobile is Finding.NO


def _part(hinge: Hinge, share: float, statement: Statement) -> Hinge:
    """Return the middle part of a range."""
    middle = (hinge.low_deg + hinge.high_deg) / 2
    half = share * (hinge.high_deg - hinge.low_deg) / 2
    return Hinge(
        low_deg=middle - half,
        high_deg=middle + half,
        low_doubt_deg=hinge.low_doubt_deg,
        high_doubt_deg=hinge.high_doubt_deg,
        statement=statement,
    )


def _measured_abduction(joint: Joint) -> Hinge:
    """Lay the palmar abduction that was measured over the range of the hinge.

    Notes
    -----
    The clinic counts abduction from the thumb beside the index, 0 to 45 degrees in normal hands;
    the hinge has 43 degrees for that.
    """
    normal = ranges.cmc_abduction()
    low, high = joint.range_from_deg, joint.range_to_deg
    if isinstance(low, NotExamined) or isinstance(high, NotExamined) or high < low:
        return normal
    scale = (normal.high_deg - normal.low_deg) / TEXTBOOK_ABDUCTION.value
    doubt = MEASURED_DOUBT.value
    return Hinge(
        low_deg=normal.low_deg + low * scale,
        high_deg=normal.low_deg + high * scale,
        low_doubt_deg=doubt,
        high_doubt_deg=doubt,
        statement=Statement(
            text=f"Abduction from {low:.0f}° to {high:.0f}° was measured in this hand.",
            basis=OF_THIS_HAND,
        ),
    )


def _outer(
    technique: Technique,
    gift: JointGift | None,
    joint: Joint,
    which: ThumbJoint,
    situation: Situation,
) -> Hinge:
    """Return the hinge of the MCP or IP joint."""
    fused = ranges.MCP_FUSED if which is ThumbJoint.MCP else ranges.IP_FUSED
    normal = ranges.mcp_flexion() if which is ThumbJoint.MCP else ranges.ip_flexion()
    name = which.value.upper()
    if gift is None or gift.gift is Gift.NONE:
        return ranges.fixed(fused, f"No {name} joint moves; it stands at {fused.value:.0f}°.")
    if gift.gift is Gift.GIVEN:
        return given_range(technique, gift, which, growing=situation.growing is True)
    if _is_stiff(joint):
        return ranges.fixed(fused, f"The {name} joint is stiff; it is taken to stand as if fused.")
    return _measured(joint, normal, name)


def _measured(joint: Joint, normal: Hinge, name: str) -> Hinge:
    low, high = joint.range_from_deg, joint.range_to_deg
    if isinstance(low, NotExamined) or isinstance(high, NotExamined) or high < low:
        return normal
    doubt = MEASURED_DOUBT.value
    return Hinge(
        low_deg=low,
        high_deg=high,
        low_doubt_deg=doubt,
        high_doubt_deg=doubt,
        statement=Statement(
            text=f"The {name} joint was measured from {low:.0f}° to {high:.0f}° in this hand.",
            basis=OF_THIS_HAND,
        ),
    )


def _web(situation: Situation, technique: Technique) -> tuple[Published, Statement]:
    """Return how far the first web would open."""
    kept = situation.case.kept
    span = kept.first_web_span_deg
    if technique.family is Family.WEB:
        words = "The deepened web is taken to open as a normal one does."
        return ranges.WEB, Statement(text=words, basis=ASSUMED)
    if not isinstance(span, NotExamined) and span > 0:
        found = Published(
            value=span, uncertainty=MEASURED_DOUBT.value, unit="deg", basis=OF_THIS_HAND
        )
        words = f"The first web was measured to open to {span:.0f}°."
        return found, Statement(text=words, basis=OF_THIS_HAND)
    tight = WEB_BY_CONTRACTURE.get(kept.first_web_contracture)
    if tight is not None:
        state = kept.first_web_contracture.value
        words = f"The first web is tight ({state}); it is taken to open to {tight.value:.0f}°."
        return tight, Statement(text=words, basis=ASSUMED)
    return ranges.WEB, ranges.NORMAL_WEB


_USES: Mapping[FingerState, Use] = {
    FingerState.SOUND: Use.FULL,
    FingerState.STIFF: Use.STIFF,
    FingerState.DAMAGED: Use.FULL,
    FingerState.PARTLY_LOST: Use.SHORT,
    FingerState.LOST: Use.GONE,
    FingerState.NOT_EXAMINED: Use.FULL,
}


def finger_uses(technique: Technique | None, situation: Situation) -> Mapping[Digit, Use]:
    """Return what each finger can do when the thumb comes to meet it.

    Parameters
    ----------
    technique
        A finger that it moves to the place of the thumb is no longer there to be met; None for
        the hand as it is.
    situation
        The case with its fingers.
    """
    fingers = situation.case.fingers
    states = {
        Digit.INDEX: fingers.index,
        Digit.MIDDLE: fingers.middle,
        Digit.RING: fingers.ring,
        Digit.LITTLE: fingers.little,
    }
    uses = {digit: _USES[state] for digit, state in states.items()}
    if technique is not None and Take.FINGER in technique.takes:
        uses[_moved(technique, states)] = Use.GONE
    return uses


def _moved(technique: Technique, states: Mapping[Digit, FingerState]) -> Digit:
    of_little_use = {FingerState.STIFF, FingerState.DAMAGED, FingerState.PARTLY_LOST}
    if technique.key == "pollicization":
        return Digit.INDEX
    return next((one for one, state in states.items() if state in of_little_use), Digit.INDEX)


def _remarks(technique: Technique, situation: Situation, length: str) -> tuple[Statement, ...]:
    found = [Statement(text=length, basis=OF_THIS_HAND)]
    fingers = situation.case.fingers
    unseen = [
        digit.value
        for digit, state in (
            (Digit.INDEX, fingers.index),
            (Digit.MIDDLE, fingers.middle),
            (Digit.RING, fingers.ring),
            (Digit.LITTLE, fingers.little),
        )
        if state in {FingerState.NOT_EXAMINED, FingerState.DAMAGED}
    ]
    if unseen:
        words = f"Not examined, or damaged, and taken as free to move: {', '.join(unseen)}."
        found.append(Statement(text=words, basis=ASSUMED))
    if technique.family is Family.PROSTHESIS:
        words = "A prosthesis makes up the length and does not move beyond the stump."
        found.append(Statement(text=words, basis=COMMON_PRACTICE))
    return tuple(found)
