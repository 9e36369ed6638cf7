"""What each technique gives of everything that can be wanted: the table of criteria."""

from collections.abc import Mapping
from dataclasses import dataclass

from thumbwright.core.case.examined import Finding, Quality
from thumbwright.core.case.goals import Goal
from thumbwright.core.case.hand import Joint, Kept
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Published, Statement
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.rule_answers import ASSUMED
from thumbwright.core.techniques.rules_of_the_length import length_added
from thumbwright.core.techniques.situation import Situation, most_probable_level
from thumbwright.core.techniques.technique import (
    Gift,
    Grade,
    Graded,
    JointGift,
    Technique,
    ThumbJoint,
)

_FAIR_FROM = Published(value=0.5, unit="-", basis=ASSUMED)
"""Share of the missing length that a lengthening must restore to be graded fair. [-]"""
_FEELING: Mapping[Quality, tuple[Grade | Unknown, str]] = {
    Quality.GOOD: (Grade.GOOD, "It feels well."),
    Quality.WEAK: (Grade.POOR, "It feels little."),
    Quality.ABSENT: (Grade.NONE, "It feels nothing."),
    Quality.NOT_EXAMINED: (
        Unknown(
            reason="the feeling of the stump was not examined",
            needed=("the feeling of the stump",),
        ),
        "How it feels was not examined.",
    ),
}
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
    Most grades are those of the catalogue. The case decides three of them: a joint of the
    patient's own counts as good motion if it was found to move, as none if it is stiff or
    lost, and as unknown if nobody looked; the stump's own skin feels as it was examined; and
    a lengthened bone is held against the length that is missing: good if even the least gain
    in print restores it, fair if the middle of the printed range restores half of it or more
    (working assumption), else poor.
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
    if graded.of_the_stump:
        return _feeling_of_the_stump(graded, situation.case.kept)
    if goal is Goal.LENGTH:
        return _length(graded, technique, situation)
    return Criterion(goal=goal, grade=graded.grade, statement=graded.statement)


def _feeling_of_the_stump(graded: Graded, kept: Kept) -> Criterion:
    grade, found = _FEELING[kept.stump_feeling]
    text = f"{graded.statement.text} {found}"
    return Criterion(
        goal=Goal.FEELING,
        grade=grade,
        statement=Statement(text=text, basis=graded.statement.basis),
    )


def _length(graded: Graded, technique: Technique, situation: Situation) -> Criterion:
    """Hold what a lengthening adds against what is missing; other lengths stand as graded."""
    added, missing = length_added(technique, situation), situation.missing_length_mm
    if isinstance(added, Unknown) or added.high == 0 or isinstance(missing, Unknown):
        return Criterion(goal=Goal.LENGTH, grade=graded.grade, statement=graded.statement)
    if added.low >= missing.value:
        grade = Grade.GOOD
    elif (added.low + added.high) / 2 >= _FAIR_FROM.value * missing.value:
        grade = Grade.FAIR
    else:
        grade = Grade.POOR
    return Criterion(goal=Goal.LENGTH, grade=grade, statement=added.statement)


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
