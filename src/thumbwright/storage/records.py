"""What the store gives and takes: plain records, nothing of the database."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from typing import TypeAlias

from thumbwright.core.foundations.errors import PlanError

Value: TypeAlias = "dict[str, Value] | list[Value] | str | int | float | bool | None"
Table: TypeAlias = dict[str, Value]


class Part(Enum):
    """The documents of which a case consists."""

    FACTS = "facts"
    """The case document, perhaps with gaps."""
    FILMS = "films"
    """What is said of each film, and the points on it."""
    DRAWING = "drawing"
    """Marks on the drawing of hands and feet, and photographs."""
    DECISION = "decision"
    """What surgeon and patient chose, and why."""


class ConflictError(PlanError):
    """Somebody else changed the same facts in the meantime; nothing was written."""

    def __init__(self, clashes: "tuple[Clash, ...]", attempt: "Attempt") -> None:
        self.clashes, self.attempt = clashes, attempt
        names = ", ".join(clash.path for clash in clashes)
        super().__init__(
            f"{names} was changed by somebody else since this page was opened; allowed is a change "
            "to what is there now; look at both and choose"
        )


class NoSuchCaseError(PlanError):
    """There is no case of this key."""


class StoreError(PlanError):
    """The store cannot do what was asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """One fact that two people changed."""

    path: str
    edit: "Edit"
    yours: Value
    theirs: Value
    changed_by: str
    changed_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One fact to be changed."""

    path: tuple[str | int, ...]
    """Keys down to the fact; empty for the whole document."""
    value: Value
    """What it becomes; None takes it away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """What somebody meant to record when it met the change of another."""

    key: str
    part: Part
    edits: tuple[Edit, ...]
    why: str
    based_on: int
    """Version of the case that this person saw."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change that was made; never altered, never removed."""

    number: int
    """From 1 on within the case; also the version of the case after it."""
    made_at: datetime
    made_by: str
    part: Part
    path: tuple[str | int, ...]
    before: Value
    after: Value
    why: str
    undoes: int | None
    """Number of the change that this one takes back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseRow:
    """One line of the list of cases."""

    key: str
    name: str
    """Pseudonym and the unit's own word for the case."""
    summary: str
    version: int
    created_at: datetime
    changed_at: datetime
    is_archived: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredCase:
    """One case as it is now."""

    row: CaseRow
    parts: Mapping[Part, Table]

    @property
    def key(self) -> str:
        """Return the key of the case."""
        return self.row.key

    @property
    def version(self) -> int:
        """Return how many changes were made to it."""
        return self.row.version


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredFile:
    """A film or photograph of a case; its bytes lie in the folder of files under their hash."""

    name: str
    kind: str
    """film or photograph"""
    media_type: str
    sha256: str
    size_bytes: int
    added_at: datetime
    added_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedPaper:
    """A paper as it was handed out; never altered."""

    number: int
    """From 1 on within the case."""
    kind: str
    """plan"""
    issued_at: datetime
    issued_by: str
    version: int
    """Version of the case it was made from."""
    facts_sha256: str
    """Hash of everything it was computed from."""
    program: str
    """Version of the program."""
    pdf_sha256: str
    json_sha256: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """Answers that somebody has typed and not yet recorded."""

    page: str
    who: str
    saved_at: datetime
    based_on: int
    """Version of the case when the page was opened."""
    answers: Mapping[str, str | list[str]]
