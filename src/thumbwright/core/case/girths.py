"""What a tape measured on the skin: girths of digits, and ways from a cut to a vessel's junction.

Nothing here has a default but *not examined*: no figure of print says how thick a thumb or a
toe is, so the patient is measured.
"""

from dataclasses import dataclass, field
from typing import Annotated

from annotated_types import Ge, Gt, Le

from thumbwright.core.case.examined import NOT_EXAMINED, NotExamined, Side

Girth = Annotated[float, Gt(0), Le(200)] | NotExamined
"""[mm]"""
Way = Annotated[float, Ge(0), Le(400)] | NotExamined
"""[mm]"""
Calibre = Annotated[float, Gt(0), Le(12)] | NotExamined
"""[mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class DigitGirths:
    """One digit, taped at three levels."""

    nail_mm: Girth = field(
        default=NOT_EXAMINED, metadata={"description": "Round the digit at the base of the nail."}
    )
    joint_mm: Girth = field(
        default=NOT_EXAMINED,
        metadata={"description": "Round the IP joint; of a second toe, its PIP joint."},
    )
    base_mm: Girth = field(
        default=NOT_EXAMINED,
        metadata={"description": "Round the middle of the proximal phalanx; of a toe, its base."},
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FootGirths:
    """The toes of one foot that can be donors."""

    great: DigitGirths = field(default_factory=DigitGirths)
    second: DigitGirths = field(default_factory=DigitGirths)


@dataclass(frozen=True, slots=True, kw_only=True)
class Girths:
    """The other thumb as the pattern, and the toes of both feet."""

    other_thumb: DigitGirths = field(default_factory=DigitGirths)
    left_foot: FootGirths = field(default_factory=FootGirths)
    right_foot: FootGirths = field(default_factory=FootGirths)
    tape_tolerance_mm: Annotated[float, Gt(0), Le(10)] = field(
        default=1.5, metadata={"description": "Half width within which a taped length is true."}
    )

    def foot(self, side: Side) -> FootGirths:
        """Return the foot of a side."""
        return self.left_foot if side is Side.LEFT else self.right_foot


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselWays:
    """Ways along the skin and calibres, for the vessels of one transfer."""

    stump_to_artery_mm: Way = field(
        default=NOT_EXAMINED,
        metadata={"description": "End of the stump to where the artery is to be joined."},
    )
    stump_to_vein_mm: Way = field(
        default=NOT_EXAMINED,
        metadata={"description": "End of the stump to where the vein is to be joined."},
    )
    toe_artery_mm: Way = field(
        default=NOT_EXAMINED,
        metadata={"description": "Cut on the toe to where its artery is to be divided."},
    )
    toe_vein_mm: Way = field(
        default=NOT_EXAMINED,
        metadata={"description": "Cut on the toe to where its vein is to be divided."},
    )
    toe_artery_calibre_mm: Calibre = field(
        default=NOT_EXAMINED, metadata={"description": "Outer width of the toe's artery there."}
    )
    hand_artery_calibre_mm: Calibre = field(
        default=NOT_EXAMINED, metadata={"description": "Outer width of the artery of the hand."}
    )
