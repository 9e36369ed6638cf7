"""What is printed of published series: rows, pooled shares, this patient's risk, cautions."""

from dataclasses import dataclass
from enum import Enum

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.documents.paper_parts import Picture, PrintedNumber, Sentence


class RowKind(Enum):
    """How purely a row speaks of the technique; told by word and by shape."""

    PURE = "pure"
    MIXED = "mixed"
    REVIEW = "review"
    FROM_MEMORY = "from memory"

    @property
    def shape(self) -> str:
        """Return the shape that stands for it in the picture, in words."""
        return _SHAPES[self]


_SHAPES = {
    RowKind.PURE: "filled square",
    RowKind.MIXED: "hollow circle",
    RowKind.REVIEW: "hollow triangle",
    RowKind.FROM_MEMORY: "cross on a dashed line",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesRow:
    """One arm of one study, as printed."""

    study: str
    """Short name: "Yim 2004"."""
    kind: RowKind
    """How purely it speaks of the technique."""
    counted: str
    """"5 of 144"."""
    share: PrintedNumber
    """Share with its exact interval. [-]"""
    people: str
    """Whom it followed, and why they had lost what they had."""
    remark: Sentence
    """What to bear in mind of it, with its source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PooledRow:
    """Several series taken together, as printed."""

    name: str
    """"pure series together"."""
    share: PrintedNumber
    """[-]"""
    frequency: str
    """"3 of 100 (1 to 10)"."""
    method: str
    """How it was come by."""
    next_low: float | None = None
    """Lower end of where one more series should lie; None where that cannot be said. [-]"""
    next_high: float | None = None
    """Upper end of it. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidencePart:
    """One outcome of one technique."""

    technique: str
    """Name of the technique."""
    outcome: str
    """What was counted."""
    denominator: int
    """Of how many people all frequencies of the table are told."""
    rows: tuple[SeriesRow, ...] | Unknown
    """Each arm; pure ones first, the larger before the smaller."""
    pooled: tuple[PooledRow, ...]
    """Pure series together, mixed ones together, and what a plan may use."""
    used: tuple[Sentence, ...] | Unknown
    """What a plan may use, in sentences."""
    left_out: tuple[Sentence, ...] = ()
    """Each arm that was left out, and why."""
    cautions: tuple[Sentence, ...] = ()
    """What to bear in mind."""
    picture: Picture | None = None
    """The forest of it; None where there is no row."""

    def __post_init__(self) -> None:
        """Refuse a table without rows that does not say why."""
        if self.rows == () or self.used == ():
            msg = (
                f"the evidence on {self.outcome} of {self.technique} was given without rows or "
                "without an answer; allowed are some, or Unknown with the reason; say why"
            )
            raise KnowledgeError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskPart:
    """One outcome of one technique, for this patient."""

    technique: str
    """Name of the technique."""
    outcome: str
    """What is foretold."""
    in_print: str
    """As a frequency, before anything of this patient is taken into account."""
    for_patient: PrintedNumber
    """As a share, with the frequency in its words. [-]"""
    because: tuple[Sentence, ...]
    """Each fact that was applied, and what it does."""
    not_applied: tuple[Sentence, ...]
    """Each fact that was not, and why."""
    settled_by: tuple[str, ...] = ()
    """Findings that would narrow it."""
    draws: str
    """How many draws, from which seed, with which error."""
