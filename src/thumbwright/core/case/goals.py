"""What the patient wants, in the patient's order, what is refused, and what the unit can do."""

from dataclasses import dataclass, field
from enum import Enum

from thumbwright.core.case.examined import Finding


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """Goals in the patient's order, and refusals."""

    goals: tuple[Goal, ...] = field(
        default=(), metadata={"description": "Goals, the most important first; each at most once."}
    )
    refusals: tuple[Refusal, ...] = ()
