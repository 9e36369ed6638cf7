"""Everything the plan report says, in the order in which it says it.

:class:`PlanPaper` is the one content: written out as JSON it is the plan for machines, set by
the template it is the plan on paper. Strings are in words and ready to print; numbers that a
machine may want stand beside their words. What cannot be said is
:class:`~thumbwright.core.foundations.answer.Unknown`, with the reason: a table that would be
empty is refused, so that no heading stands over a hole. The field names are the field names
of the JSON and are kept stable under :data:`FORMAT`.
"""

from dataclasses import dataclass, fields
from datetime import date
from enum import Enum
from typing import Literal

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.documents.measured_rows import (
    Budget,
    FilmSection,
    LengthRow,
    ScaleColumn,
    ToeCut,
)
from thumbwright.documents.paper_parts import PrintedNumber, Sentence

FORMAT: Literal["thumbwright-plan/1"] = "thumbwright-plan/1"
"""Name and version of the document; the number rises when a field is renamed or removed."""


class OptionState(Enum):
    """Whether a technique can be had in this case."""

    OPEN = "open"
    CLOSED = "closed"
    UNKNOWN = "unknown"

    @property
    def sign(self) -> str:
        """Return the sign that stands beside the word."""
        return {"open": "+", "closed": "×", "unknown": "?"}[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """The plan in one glance, at the top of the first page."""

    level: str
    """The most probable of the five levels, in words."""
    level_prob: PrintedNumber | Unknown
    """Probability of that level. [-]"""
    missing_length: PrintedNumber | Unknown
    """Bone to be replaced, against the other thumb. [mm]"""
    plan_a: str
    """First choice in one line, or why there is none."""
    fallback: str
    """What is done if plan A fails or cannot be begun, in one line, or why there is none."""
    stops: tuple[Sentence, ...] = ()
    """What must be settled before anyone cuts: contradictions, unknowns, warnings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRow:
    """One thing that was examined."""

    group: str
    """Heading under which it stands: "thumb", "feet", "patient"; rows of a group together."""
    name: str
    """What was looked at: "CMC joint"."""
    found: str
    """What was found, in words with unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotExaminedRow:
    """What was not examined, of one group."""

    group: str
    """As in the findings."""
    names: tuple[str, ...]
    """What was not looked at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelShare:
    """How probable one level of loss is, given the doubt in length."""

    level: str
    """The level in words."""
    prob: PrintedNumber
    """[-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SchemeLevel:
    """The level in one published scheme."""

    scheme: str
    """Name of the scheme."""
    grade: str
    """In words of the scheme, or "unknown, because ..."."""
    reason: str
    """Why this grade."""
    basis: Basis
    """Where the scheme was published."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelSection:
    """The level of loss."""

    shares: tuple[LevelShare, ...] | Unknown
    """All five levels in their order."""
    reasons: tuple[Sentence, ...] = ()
    """Why it is this level."""
    schemes: tuple[SchemeLevel, ...] | Unknown
    """The level in published schemes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionRow:
    """One technique and whether it can be had."""

    technique: str
    """Name of the technique."""
    state: OptionState
    """Open, closed or unknown."""
    reasons: tuple[Sentence, ...]
    """What decides: what closes it, what is unsettled, or how it suits the level."""
    met: tuple[Sentence, ...] = ()
    """Every other condition that was looked at and is met."""
    warnings: tuple[Sentence, ...] = ()
    """What speaks against it without closing it."""
    settled_by: tuple[str, ...] = ()
    """Findings that would turn unknown into open or closed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """How well one technique serves one goal, in words."""

    words: str
    """The grade: "good"."""
    basis: Basis | None = None
    """What the grade rests on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CriteriaRow:
    """One technique against every goal."""

    technique: str
    """Name of the technique."""
    grades: tuple[Grade, ...]
    """One per goal of the table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CriteriaTable:
    """Techniques against the patient's goals."""

    goals: tuple[str, ...]
    """In the patient's order."""
    rows: tuple[CriteriaRow, ...]
    """One for each technique."""

    def __post_init__(self) -> None:
        """Demand one grade for each goal in each row."""
        for row in self.rows:
            if len(row.grades) != len(self.goals):
                msg = (
                    f"{row.technique} was given with {len(row.grades)} grades; allowed is one for "
                    f"each of the {len(self.goals)} goals; say 'unknown' where none is known"
                )
                raise KnowledgeError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenQuestion:
    """What is unknown and which finding settles it."""

    question: str
    """What is unknown."""
    because: str
    """Why it is unknown."""
    settled_by: tuple[str, ...]
    """Findings, films or facts, each of which helps to settle it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceEntry:
    """One source used in this case."""

    number: int
    """As printed behind the sentences that rest on it."""
    key: str
    """Key in the bibliography; the ``source`` of a basis names it."""
    citation: str
    """Authors, title, place, year."""
    identifier: str = ""
    """DOI, PMID, ISBN or number of a standard."""
    provenance: Provenance
    """How the source reached this program."""
    note: str = ""
    """Remark on the source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InputHash:
    """One file the plan was made from."""

    name: str
    """File name without folder."""
    sha256: str
    """Of its bytes, in hexadecimal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """One thing whose version decides the outcome: the program, a table, a library."""

    name: str
    """The part: "program", "techniques"."""
    version: str
    """Its version."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPaper:
    """The whole plan report; the only input of the template and of the JSON.

    Notes
    -----
    ``sources`` may be left to
    :func:`~thumbwright.documents.cited_sources.with_sources`, which numbers every source that
    is cited anywhere in the paper, in the order in which the reader meets them.
    """

    format: Literal["thumbwright-plan/1"] = FORMAT
    """Name and version of this document."""

    case_id: str
    """The unit's own word for the case."""
    pseudonym: str
    """A name that identifies nobody outside the unit."""
    age: str
    """In words: "34 years"."""
    side: str
    """The injured side in words, capitals: "RIGHT hand"."""
    level: str
    """Level of loss in words, or "unknown, because ..."."""
    issued_on: date
    """Day of this plan."""
    program: str
    """Name and version: "thumbwright 0.1.0"."""
    decides_nothing: str
    """The caution of the title block: the program decides nothing."""

    glance: Glance
    """The plan in one glance."""
    findings: tuple[FindingRow, ...] | Unknown
    """What was examined."""
    not_examined: tuple[NotExaminedRow, ...] = ()
    """What was not examined; counts as unknown."""
    films: tuple[FilmSection, ...] | Unknown
    """Each film."""
    lengths: tuple[LengthRow, ...] | Unknown
    """Lengths of bones and rays."""
    budgets: tuple[Budget, ...] | Unknown
    """What the doubt of the key results consists of."""
    cuts: tuple[ToeCut, ...] | Unknown
    """Where each donor toe would be cut."""
    scale: tuple[ScaleColumn, ...] | Unknown
    """Stump, other thumb and toes to one scale; drawn by the printer."""
    levels: LevelSection
    """The level of loss."""
    options: tuple[OptionRow, ...] | Unknown
    """Each technique: open, closed or unknown."""
    criteria: CriteriaTable | Unknown
    """Techniques against the patient's goals."""
    plan_a: tuple[Sentence, ...] | Unknown
    """Sentences of plan A."""
    plan_b: tuple[Sentence, ...] | Unknown
    """Sentences of plan B."""
    open_questions: tuple[OpenQuestion, ...] = ()
    """What is unknown and which finding settles it."""
    sources: tuple[SourceEntry, ...] = ()
    """The sources cited in this plan and no other."""
    cautions: tuple[Sentence, ...]
    """Cautions at the end."""
    inputs: tuple[InputHash, ...]
    """The files the plan was made from."""
    versions: tuple[Version, ...]
    """Every version that decides the outcome."""

    def __post_init__(self) -> None:
        """Refuse empty tables where only a reason may stand in for rows."""
        reasoned = [field.name for field in fields(self) if "Unknown" in str(field.type)]
        empty = [name for name in reasoned if getattr(self, name) == ()]
        if empty:
            msg = (
                f"the sections {', '.join(empty)} of the paper were given empty; allowed are rows, "
                "or Unknown with the reason why there are none; say why"
            )
            raise KnowledgeError(msg)
