"""What matters to whom, what is refused, and what the unit can do."""

from dataclasses import dataclass, field
from enum import Enum
from typing import Annotated

from annotated_types import Ge, Le

from thumbwright.core.case.examined import NOT_EXAMINED, Finding, NotExamined


class Goal(Enum):
    """Something a new thumb can give, or spare."""

    LENGTH = "length"
    CMC_MOTION = "cmc_motion"
    MCP_MOTION = "mcp_motion"
    IP_MOTION = "ip_motion"
    STABILITY = "stability"
    FEELING = "feeling"
    LOOKS = "looks"
    GROWTH = "growth"
    SPARE_DONOR_SITE = "spare_donor_site"


class Refusal(Enum):
    """Something the patient or family will not have."""

    ANY_TOE = "any_toe"
    GREAT_TOE = "great_toe"
    SECOND_TOE = "second_toe"
    LOSS_OF_A_FINGER = "loss_of_a_finger"
    MICROSURGERY = "microsurgery"
    SEVERAL_STAGES = "several_stages"
    ABDOMINAL_OR_GROIN_FLAP = "abdominal_or_groin_flap"
    FOREARM_SCAR = "forearm_scar"
    ILIAC_BONE = "iliac_bone"
    EXTERNAL_FIXATOR = "external_fixator"
    PROSTHESIS = "prosthesis"
    ANY_OPERATION = "any_operation"


@dataclass(frozen=True, slots=True, kw_only=True)
class Facility:
    """What the unit and its partners can offer."""

    microsurgery: Finding = Finding.NOT_EXAMINED
    two_teams: Finding = Finding.NOT_EXAMINED
    microscope: Finding = Finding.NOT_EXAMINED
    intensive_observation: Finding = Finding.NOT_EXAMINED
    hand_therapy: Finding = Finding.NOT_EXAMINED


Points = Annotated[float, Ge(0), Le(100)] | NotExamined
"""[points]"""
_SWING = {
    "description": "Points for the swing from the worst to the best; 100 for the one that matters "
    "most."
}


@dataclass(frozen=True, slots=True, kw_only=True)
class GoalPoints:
    """How much each swing from the worst to the best matters; a field for each goal."""

    length: Points = field(default=NOT_EXAMINED, metadata=_SWING)
    cmc_motion: Points = field(default=NOT_EXAMINED, metadata=_SWING)
    mcp_motion: Points = field(default=NOT_EXAMINED, metadata=_SWING)
    ip_motion: Points = field(default=NOT_EXAMINED, metadata=_SWING)
    stability: Points = field(default=NOT_EXAMINED, metadata=_SWING)
    feeling: Points = field(default=NOT_EXAMINED, metadata=_SWING)
    looks: Points = field(default=NOT_EXAMINED, metadata=_SWING)
    growth: Points = field(default=NOT_EXAMINED, metadata=_SWING)
    spare_donor_site: Points = field(default=NOT_EXAMINED, metadata=_SWING)

    @property
    def given(self) -> dict[Goal, float]:
        """Return the goals that were given points, in the order of the goals' list [points]."""
        every = ((goal, getattr(self, goal.value)) for goal in Goal)
        return {goal: points for goal, points in every if not isinstance(points, NotExamined)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """Goals in order and in points, by the patient, guardian and surgeon; and refusals."""

    goals: tuple[Goal, ...] = field(
        default=(), metadata={"description": "Goals, the most important first; each at most once."}
    )
    refusals: tuple[Refusal, ...] = ()
    guardian_goals: tuple[Goal, ...] = field(
        default=(), metadata={"description": "The same in the order of a parent or guardian."}
    )
    surgeon_goals: tuple[Goal, ...] = field(
        default=(), metadata={"description": "The same in the order of the surgeon."}
    )
    patient_points: GoalPoints = field(default_factory=GoalPoints)
    guardian_points: GoalPoints = field(default_factory=GoalPoints)
    surgeon_points: GoalPoints = field(default_factory=GoalPoints)
