"""One arm of one study: what was counted or measured, in whom, and how far it can be used."""

from dataclasses import dataclass
from enum import Enum

from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance

FREE_FLAPS = "free_flaps"
"""Stands in place of a technique for free flaps of the whole body; never added to those of toes."""


class Population(Enum):
    """Whom the arm followed."""

    CHILD = "child"
    ADULT = "adult"
    MIXED = "mixed"
    NOT_STATED = "not_stated"


class Cause(Enum):
    """Why the thumbs or digits of the arm were lost."""

    TRAUMA = "trauma"
    CONGENITAL = "congenital"
    MIXED = "mixed"
    NOT_STATED = "not_stated"


class Subset(Enum):
    """How purely the arm speaks of the techniques that it is listed under."""

    PURE = "pure"
    """The technique alone."""
    MIXED = "mixed"
    """The technique among others, or on other digits, or for another cause."""
    REVIEW = "review"
    """Pooled from series that stand in the table themselves: never added to them."""

    @property
    def words(self) -> str:
        """Return the word that stands beside the arm wherever it shows."""
        return self.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """How many of how many."""

    events: int
    total: int

    def __post_init__(self) -> None:
        """Refuse counts that cannot be."""
        if not 0 <= self.events <= self.total or self.total == 0:
            msg = (
                f"counts were given as {self.events} of {self.total}; allowed are events from 0 to "
                "the total, and a total above 0; look them up"
            )
            raise KnowledgeError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Averaged:
    """A mean as it is printed, with whatever spread is printed beside it."""

    mean: float
    unit: str
    sd: float | None = None
    """Standard deviation between people; None where the print gives none. [as the mean]"""
    low: float | None = None
    """Lowest value printed. [as the mean]"""
    high: float | None = None
    """Highest value printed. [as the mean]"""
    total: int | None = None
    """People or digits; None where the print does not say."""
    is_median: bool = False

    def __post_init__(self) -> None:
        """Refuse a spread that cannot be."""
        span = (self.low, self.high)
        spans = None not in span and not (self.low or 0.0) <= self.mean <= (self.high or 0.0)
        if (self.sd is not None and self.sd <= 0) or (self.total is not None and self.total < 1):
            spans = True
        if spans or (span.count(None) == 1):
            msg = (
                f"a mean was given as {self.mean} (SD {self.sd}, {self.low} to {self.high}, "
                f"{self.total} people); allowed are a standard deviation above 0, a range that "
                "holds the mean, with both its ends, and at least one person; look them up"
            )
            raise KnowledgeError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyArm:
    """What one arm of one study says of one outcome.

    A technique stands in ``techniques`` if the arm speaks of it alone, and in ``widely`` if the
    technique is in the arm among others; then the arm is never more than a wider prior for it.
    """

    key: str
    techniques: tuple[str, ...]
    """Keys of the catalogue that the arm speaks of purely."""
    widely: tuple[str, ...]
    """Keys of the catalogue that the arm speaks of as part of a mixture."""
    outcome: Outcome
    result: Counted | Averaged
    population: Population
    cause: Cause
    years: str
    """When it was done or how long people were followed, as printed; empty if not stated."""
    is_review: bool
    overlap_group: str
    """Series that may hold the same people bear the same word; empty where none is known."""
    basis: Basis
    note: str = ""

    @property
    def total(self) -> int | None:
        """Return how many people or digits it followed, where it says so."""
        return self.result.total

    @property
    def is_recalled(self) -> bool:
        """Return whether its numbers are from memory."""
        return self.basis.provenance is Provenance.RECALLED

    def speaks_of(self, technique: str) -> Subset | None:
        """Return how purely the arm speaks of a technique; None if it does not."""
        if technique not in self.techniques + self.widely:
            return None
        if self.is_review:
            return Subset.REVIEW
        return Subset.PURE if technique in self.techniques else Subset.MIXED
