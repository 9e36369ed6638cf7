"""Findings, which may also be *not examined*; that is a value of its own, never "normal"."""

from enum import Enum
from typing import Annotated

from annotated_types import Ge, Gt, Le


class NotExamined(Enum):
    """Say that nobody has looked, or that it is not known."""

    NOT_EXAMINED = "not_examined"


NOT_EXAMINED = NotExamined.NOT_EXAMINED


class Finding(Enum):
    """A finding that is there, is not there, or was not looked for."""

    YES = "yes"
    NO = "no"
    NOT_EXAMINED = "not_examined"


Angle = Annotated[float, Ge(-90), Le(180)] | NotExamined
"""[deg]"""
Length = Annotated[float, Gt(0), Le(400)] | NotExamined
"""[mm]"""
Hours = Annotated[float, Ge(0), Le(240)] | NotExamined
"""[h]"""


class Side(Enum):
    """Left or right, always in words."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> "Side":
        """Return the opposite side."""
        return Side.RIGHT if self is Side.LEFT else Side.LEFT


class Quality(Enum):
    """How good a tissue or function is."""

    GOOD = "good"
    WEAK = "weak"
    ABSENT = "absent"
    NOT_EXAMINED = "not_examined"


class Pulse(Enum):
    """A pulse felt, or the signal of a Doppler probe."""

    STRONG = "strong"
    WEAK = "weak"
    ABSENT = "absent"
    NOT_EXAMINED = "not_examined"
