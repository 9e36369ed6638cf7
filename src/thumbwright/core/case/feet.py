"""Both feet as donors."""

from dataclasses import dataclass, field
from enum import Enum
from typing import Annotated

from annotated_types import Len

from thumbwright.core.case.examined import Finding, Pulse, Side


class ToeState(Enum):
    """One toe as a donor."""

    SOUND = "sound"
    DAMAGED = "damaged"
    DEFORMED = "deformed"
    LOST = "lost"
    NOT_EXAMINED = "not_examined"


class ToeArtery(Enum):
    """Which first metatarsal artery feeds the first web of the foot, by Doppler or imaging."""

    DORSAL = "dorsal"
    PLANTAR = "plantar"
    EQUAL = "equal"
    ABSENT = "absent"
    NOT_EXAMINED = "not_examined"


@dataclass(frozen=True, slots=True, kw_only=True)
class Toes:
    """The toes of one foot."""

    great: ToeState = ToeState.NOT_EXAMINED
    second: ToeState = ToeState.NOT_EXAMINED
    third: ToeState = ToeState.NOT_EXAMINED
    fourth: ToeState = ToeState.NOT_EXAMINED
    fifth: ToeState = ToeState.NOT_EXAMINED


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """One foot as a donor."""

    toes: Toes = field(default_factory=Toes)
    dorsal_pedal_pulse: Pulse = Pulse.NOT_EXAMINED
    posterior_tibial_pulse: Pulse = Pulse.NOT_EXAMINED
    first_web_doppler: Pulse = Pulse.NOT_EXAMINED
    dominant_artery: ToeArtery = ToeArtery.NOT_EXAMINED
    earlier_injury: Finding = Finding.NOT_EXAMINED
    infection_or_ulcer: Finding = Finding.NOT_EXAMINED
    loss_of_feeling: Finding = Finding.NOT_EXAMINED


@dataclass(frozen=True, slots=True, kw_only=True)
class Feet:
    """Both feet, and what the patient needs them for."""

    left: Foot = field(default_factory=Foot)
    right: Foot = field(default_factory=Foot)
    barefoot_or_thong_need: Finding = field(
        default=Finding.NOT_EXAMINED,
        metadata={"description": "Walks barefoot, or wears footwear held by the first web."},
    )
    high_foot_demand: Finding = field(
        default=Finding.NOT_EXAMINED,
        metadata={"description": "Work, sport or dance that depends on the push-off of the foot."},
    )
    footwear: Annotated[str, Len(0, 200)] = ""

    def of(self, side: Side) -> Foot:
        """Return the foot of a side."""
        return self.left if side is Side.LEFT else self.right
