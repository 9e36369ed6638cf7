"""What each technique gives of everything that can be wanted: the table of criteria."""

from dataclasses import dataclass

from thumbwright.core.case.examined import Finding
from thumbwright.core.case.goals import Goal
from thumbwright.core.case.hand import Joint, Kept
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Statement
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.situation import Situation, most_probable_level
from thumbwright.core.techniques.technique import Gift, Grade, JointGift, Technique, ThumbJoint

_JOINT_OF = {joint.goal: joint for joint in ThumbJoint}
_GOAL_WORDS = {
    Goal.LENGTH: "length",
    Goal.CMC_MOTION: "motion of the CMC joint",
    Goal.MCP_MOTION: "motion of the MCP joint",
    Goal.IP_MOTION: "motion of the IP joint",
    Goal.STABILITY: "stability",
    Goal.FEELING: "feeling",
    Goal.LOOKS: "looks",
    Goal.GROWTH: "growth",
    Goal.SPARE_DONOR_SITE: "sparing the donor site",
}


def goal_words(goal: Goal) -> str:
    """Return a goal as it is printed.

    Examples
    --------
    >>> goal_words(Goal.IP_MOTION)
    'motion of the IP joint'
    """
    return _GOAL_WORDS[goal]


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """One goal and what a technique gives of it: a stated judgement with its basis."""

    goal: Goal
    grade: Grade | Unknown
    statement: Statement | Unknown
    gift: Gift | None = None
    """What becomes of the joint, for the motion of a joint."""

    @property
    def words(self) -> str:
        """Return the grade as it is printed."""
        return self.grade.words if isinstance(self.grade, Grade) else "unknown"

    @property
    def counted(self) -> Grade:
        """Return the grade that counts; what is not known counts as nothing until it is."""
        return self.grade if isinstance(self.grade, Grade) else Grade.NONE


def criteria(technique: Technique, situation: Situation) -> tuple[Criterion, ...]:
    """Return what the technique gives of every goal, in the order of the goals' list.

    Notes
    -----
    A joint of the patient's own counts as good motion if it was found to move, as none if it
    is stiff or lost, and as unknown if nobody looked.
    """
    level = most_probable_level(situation)
    return tuple(_criterion(goal, technique, situation, level) for goal in Goal)


def _criterion(
    goal: Goal, technique: Technique, situation: Situation, level: Level | Unknown
) -> Criterion:
    if isinstance(level, Unknown):
        return Criterion(goal=goal, grade=level, statement=level)
    if goal in _JOINT_OF:
        joint = _JOINT_OF[goal]
        return _motion(joint, technique.joints[joint][level], situation.case.kept)
    graded = technique.grades[goal].get(level)
    if graded is None:
        unknown = Unknown(reason=f"the technique is not graded at {level.words}")
        return Criterion(goal=goal, grade=unknown, statement=unknown)
    return Criterion(goal=goal, grade=graded.grade, statement=graded.statement)


def _motion(joint: ThumbJoint, given: JointGift, kept: Kept) -> Criterion:
    if not given.gift.is_the_patients_own:
        return Criterion(
            goal=joint.goal, grade=given.grade, statement=given.statement, gift=given.gift
        )
    grade, found = _own_motion(joint, _joint_of(kept, joint))
    return Criterion(
        goal=joint.goal,
        grade=grade,
        statement=Statement(text=f"{given.statement.text} {found}", basis=given.statement.basis),
        gift=given.gift,
    )


def _joint_of(kept: Kept, joint: ThumbJoint) -> Joint:
    return {ThumbJoint.CMC: kept.cmc, ThumbJoint.MCP: kept.mcp, ThumbJoint.IP: kept.ip}[joint]


def _own_motion(joint: ThumbJoint, own: Joint) -> tuple[Grade | Unknown, str]:
    if own.present is Finding.NO:
        return Grade.NONE, "It is lost."
    if own.mobile is Finding.NO:
        return Grade.NONE, "It is stiff."
    if own.mobile is Finding.YES:
        return Grade.GOOD, "It moves."
    what = f"motion of the {joint.value.upper()} joint"
    return (
        Unknown(reason=f"the {what} was not examined", needed=(what,)),
        "Whether it moves was not examined.",
    )
