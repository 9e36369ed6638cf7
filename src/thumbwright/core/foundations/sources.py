"""Where a statement or a number comes from, and how far it can be trusted."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from thumbwright.core.foundations.errors import KnowledgeError


class Provenance(Enum):
    """How a statement reached this program."""

    READ = "read"
    """The figure or statement was seen at the source (often its abstract)."""
    RECALLED = "recalled"
    """Written from memory; to be checked at the source before anyone relies on it."""
    DERIVED = "derived"
    """Arithmetic or plain geometry on figures that were read."""
    COMMON_PRACTICE = "common_practice"
    """A fact of the trade with no single source."""
    ASSUMED = "assumed"
    """A working assumption of this program, open to be set by the unit."""

    @property
    def label(self) -> str:
        """Return the words that stand beside the number wherever it shows."""
        return _LABELS[self]


_LABELS = {
    Provenance.READ: "read at the source",
    Provenance.RECALLED: "from memory, unverified",
    Provenance.DERIVED: "derived",
    Provenance.COMMON_PRACTICE: "common practice, no source",
    Provenance.ASSUMED: "working assumption of this program",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One entry of the bibliography."""

    key: str
    citation: str
    """Authors, title, place, year."""
    identifier: str = ""
    """DOI, PMID, ISBN or the number of a standard; empty where none is known."""
    provenance: Provenance = Provenance.READ
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What a statement rests on: provenance, and source with locator where there is one."""

    provenance: Provenance
    source: str = ""
    """Key in the bibliography; empty for common practice and assumptions."""
    locator: str = ""
    """Where in the source: "Table 2, row 3", "Eq. (12)", "abstract"."""

    def __post_init__(self) -> None:
        """Demand a source exactly where one is claimed."""
        claims = self.provenance in {Provenance.READ, Provenance.DERIVED}
        if claims and not self.source:
            msg = (
                f"a basis was given as '{self.provenance.value}' without a source; allowed is a "
                "key of the bibliography; name it, or say common_practice"
            )
            raise KnowledgeError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """A sentence and what it rests on."""

    text: str
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """A number from print, with doubt, unit and the place where it stands."""

    value: float
    unit: str
    basis: Basis
    uncertainty: float | None = None
    """Standard uncertainty in the same unit; None where the print gives none."""


def read_bibliography(text: str) -> Mapping[str, Source]:
    """Read the bibliography from the text of its TOML file.

    Raises
    ------
    KnowledgeError
        If the text is no TOML, or an entry lacks its citation or has an unknown provenance.
    """
    try:
        entries = tomllib.loads(text)
        return {
            key: Source(
                key=key,
                citation=entry["citation"],
                identifier=entry.get("identifier", ""),
                provenance=Provenance(entry.get("provenance", "read")),
                note=entry.get("note", ""),
            )
            for key, entry in entries.items()
        }
    except (tomllib.TOMLDecodeError, KeyError, TypeError, ValueError) as fault:
        msg = (
            f"the bibliography could not be read ({fault}); allowed is one table per key with "
            "citation, identifier, provenance and note; mend bibliography.toml"
        )
        raise KnowledgeError(msg) from fault
