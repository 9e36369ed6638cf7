"""What happened to the thumb: side, mechanism, date, earlier operations, and the lost part."""

from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from typing import Annotated

from annotated_types import Len

from thumbwright.core.case.examined import NOT_EXAMINED, Finding, Hours, NotExamined, Side


class Mechanism(Enum):
    """How the thumb was lost."""

    SHARP = "sharp"
    CRUSH = "crush"
    AVULSION = "avulsion"
    THERMAL = "thermal"
    ELECTRICAL = "electrical"
    CONGENITAL = "congenital"
    INFECTION = "infection"
    TUMOUR = "tumour"


class PartState(Enum):
    """What became of the part that was cut off."""

    KEPT_COOL = "kept_cool"
    KEPT_WARM = "kept_warm"
    RUINED = "ruined"
    LOST = "lost"
    NONE = "none"
    NOT_EXAMINED = "not_examined"


@dataclass(frozen=True, slots=True, kw_only=True)
class LostPart:
    """The severed part, for the acute case."""

    state: PartState = PartState.NOT_EXAMINED
    warm_hours: Hours = field(
        default=NOT_EXAMINED, metadata={"description": "Hours since loss spent uncooled."}
    )
    cool_hours: Hours = field(
        default=NOT_EXAMINED, metadata={"description": "Hours since loss spent cooled."}
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Injury:
    """The loss itself."""

    side: Side = field(metadata={"description": "Side of the lost thumb."})
    mechanism: Mechanism = field(metadata={"description": "How the thumb was lost."})
    happened_on: date | NotExamined = field(
        default=NOT_EXAMINED, metadata={"description": "Date of loss; for congenital, of birth."}
    )
    high_voltage: Finding = field(
        default=Finding.NOT_EXAMINED,
        metadata={"description": "Electrical only: 1,000 volts or more."},
    )
    several_levels: Finding = field(
        default=Finding.NOT_EXAMINED,
        metadata={"description": "Injured at more than one level along the ray."},
    )
    earlier_operations: tuple[Annotated[str, Len(1, 200)], ...] = ()
    lost_part: LostPart = field(default_factory=LostPart)
