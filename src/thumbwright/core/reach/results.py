"""What is told of the reach of one thumb."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from math import sqrt

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Statement
from thumbwright.core.reach.skeleton import Digit, HandSpec, Thumb


@dataclass(frozen=True, slots=True, kw_only=True)
class Probability:
    """A share of draws, with its Monte-Carlo error."""

    prob: float
    """[-]"""
    draws: int

    @property
    def error_prob(self) -> float:
        """Return the standard error that comes of the number of draws alone [-]."""
        return sqrt(max(self.prob * (1 - self.prob), 0.25 / self.draws) / self.draws)


@dataclass(frozen=True, slots=True, kw_only=True)
class Width:
    """A length with the interval that holds 95 % of the draws."""

    middle_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Posture:
    """The middle posture of the draws that reach a place."""

    thumb_deg: tuple[float, float, float, float, float]
    """CMC flexion, CMC abduction, MCP flexion, IP flexion, CMC rotation; each the median."""
    finger_deg: tuple[float, float, float]
    """MCP, PIP and DIP of the finger, in its most frequent posture."""


class PinchKind(Enum):
    """How a thumb meets a finger."""

    TIP = "tip pinch"
    PULP = "pulp pinch"
    KEY = "key pinch"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pinch:
    """One pinch against one finger."""

    kind: PinchKind
    digit: Digit
    reached: Probability
    posture: Posture | Unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stage of opposition."""

    number: int
    words: str
    touched: Probability | Unknown
    """Taken alone."""
    counted: Probability | Unknown
    """With all stages before it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opposition:
    """How far a thumb opposes."""

    stages: tuple[Stage, ...]
    highest: int | Unknown
    """The median of the highest stage that counts; unknown where not even the first does."""
    highest_prob: Mapping[int, float]
    """Probability of each highest stage; -1 for none. [-]"""
    rotation_deg: float | Unknown
    """How far the pulp is turned from the little finger's side towards the palm, when the thumb
    meets the farthest fingertip that it reaches."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """The reach of a thumb that is longer or shorter."""

    added_mm: float
    stage: float
    """Mean of the highest stage that counts. [-]"""
    tip_prob: Mapping[Digit, float]
    """Probability of a tip pinch with each finger. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Reach against length."""

    points: tuple[CurvePoint, ...]
    enough_mm: float | Unknown
    """Added length beyond which nothing more is gained."""
    missed_below_mm: Mapping[Digit, float | Unknown]
    """Added length below which a finger is missed in more than half of the draws."""
    draws: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JointEffect:
    """What changes if one joint moved that does not, or did not move that does."""

    joint: str
    now_moves: bool
    stage_change: float
    """Change of the mean highest stage. [-]"""
    tip_change_prob: Mapping[Digit, float]
    """Change of the probability of a tip pinch. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Where one thumb can be put, and what it can hold."""

    key: str
    """Of the technique; empty for the whole thumb of the hand."""
    thumb: Thumb
    hand: HandSpec
    opposition: Opposition
    pinches: tuple[Pinch, ...]
    widest_grasp: Width
    workspace_share: float
    """Of the pinches that a whole thumb of this hand can make, over fingers and their postures."""
    curve: Curve
    effects: tuple[JointEffect, ...]
    remarks: tuple[Statement, ...]
    draws: int
    seed: int

    def pinch(self, kind: PinchKind, digit: Digit) -> Pinch | Unknown:
        """Return one pinch; unknown where the finger is gone."""
        for one in self.pinches:
            if (one.kind, one.digit) == (kind, digit):
                return one
        return Unknown(reason=f"there is no {digit.value} finger to meet")
