"""What is forecast for a thumb by each technique: bands by age, chances, and advice."""

from dataclasses import dataclass

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Statement
from thumbwright.core.growth.forecast import Band
from thumbwright.core.growth.maturity import Maturity
from thumbwright.core.techniques.thumb_parts import WORN, ThumbPart


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthToChoose:
    """The length that would make both thumbs alike when grown, in the median."""

    added_mm: float
    """Bone to bring now."""
    longer_now_mm: float
    """How much longer than the other thumb it would then be now; negative is shorter."""
    limit_mm: float | Unknown
    """Most that the technique can bring."""
    words: str

    @property
    def is_within_reach(self) -> bool | Unknown:
        """Tell whether the technique can bring so much."""
        if isinstance(self.limit_mm, Unknown):
            return self.limit_mm
        return 0 <= self.added_mm <= self.limit_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationAge:
    """What comes of waiting with the operation."""

    age_years: float
    without_years: float
    """Years lived without the thumb until then."""
    difference: Band
    """New thumb less the other one when grown; negative is shorter."""
    within_5_prob: float
    """Chance of ending within 5 mm of the other thumb."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ThumbForecast:
    """A thumb that grows, beside the other one, in numbers."""

    thumb: tuple[Band, ...]
    """The new thumb, CMC joint to bony tip, now, at each birthday, and when grown."""
    other: tuple[Band, ...]
    """The other thumb at the same ages."""
    difference: tuple[Band, ...]
    """New thumb less the other at the same ages; negative is shorter."""
    within_5_prob: float
    """Chance of ending within 5 mm of the other thumb."""
    within_10_prob: float
    """Chance of ending within 10 mm of it."""
    chance_error_prob: float
    """Largest Monte-Carlo standard error of the chances."""
    median_error_mm: float
    """Monte-Carlo standard error of the median difference when grown."""

    @property
    def now(self) -> Band:
        """Return the difference now."""
        return self.difference[0]

    @property
    def grown(self) -> Band:
        """Return the difference when grown."""
        return self.difference[-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthOutlook:
    """Everything that is said of the growth of one technique in one case."""

    key: str
    name: str
    short_name: str
    maturity: Maturity
    is_growing: bool | Unknown
    open_prob: float
    """Probability that the plates of the hand are open now."""
    parts: tuple[ThumbPart, ...] | Unknown
    """Pieces of the new thumb from body to tip."""
    forecast: ThumbForecast | Unknown
    length_to_choose: LengthToChoose | Unknown
    operation_ages: tuple[OperationAge, ...]
    """Now and later; empty where the technique adds nothing, or nothing grows."""
    statements: tuple[Statement, ...]
    """What is to be said of it, each with what it rests on."""
    seed: int
    draws: int
    """[-]"""

    @property
    def is_worn(self) -> bool:
        """Tell whether it is worn over the stump, so that bone says nothing of its length."""
        parts = () if isinstance(self.parts, Unknown) else self.parts
        return any(part.name == WORN for part in parts)
