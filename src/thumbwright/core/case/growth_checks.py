"""What was measured of both thumbs at a later visit."""

from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from typing import Annotated

from annotated_types import Gt, Le

from thumbwright.core.case.examined import NOT_EXAMINED, NotExamined, Side


class PlatesSeen(Enum):
    """The growth plates of the new thumb on a film of that day."""

    OPEN = "open"
    CLOSED = "closed"
    NOT_EXAMINED = "not_examined"


ThumbLength = Annotated[float, Gt(0), Le(160)] | NotExamined
"""CMC joint to bony tip. [mm]"""
StandardDoubt = Annotated[float, Gt(0), Le(20)]
"""Standard uncertainty. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthCheck:
    """One visit at which growth was looked at."""

    measured_on: date = field(metadata={"description": "Day of the visit or its film."})
    side: Side = field(metadata={"description": "Side of the new thumb."})
    thumb_mm: ThumbLength = field(
        default=NOT_EXAMINED,
        metadata={"description": "New thumb, CMC joint to bony tip."},
    )
    thumb_doubt_mm: StandardDoubt = field(
        default=1.0, metadata={"description": "Standard uncertainty of that length."}
    )
    other_thumb_mm: ThumbLength = field(
        default=NOT_EXAMINED,
        metadata={"description": "Other thumb, CMC joint to bony tip."},
    )
    other_thumb_doubt_mm: StandardDoubt = field(
        default=1.0, metadata={"description": "Standard uncertainty of that length."}
    )
    plates: PlatesSeen = field(
        default=PlatesSeen.NOT_EXAMINED,
        metadata={"description": "Growth plates of the new thumb: open, or one or more closed."},
    )
