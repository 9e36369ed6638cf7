"""One place in the catalogue's text: takes what stands there, or says what is wrong and where."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import TypeVar

from thumbwright.core.case.goals import Goal
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance, Source, Statement
from thumbwright.core.techniques.technique import ThumbJoint

Member = TypeVar("Member", bound=Enum)

JUDGED_GOALS = tuple(goal for goal in Goal if goal not in {joint.goal for joint in ThumbJoint})
"""Goals that the catalogue grades itself; the motion of joints is graded with the joints."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A value of the catalogue with the path to it."""

    path: str
    bibliography: Mapping[str, Source]
    value: object = None

    def fault(self, given: str, allowed: str) -> KnowledgeError:
        """Return the error that says what is wrong at this place."""
        return KnowledgeError(
            f"the catalogue of techniques has {given} at {self.path}; allowed is {allowed}; "
            "mend catalogue.toml there"
        )

    def table(self, value: object) -> "Place":
        """Return this place with its value, which must be a table."""
        place = Place(path=self.path, bibliography=self.bibliography, value=value)
        place.entries()
        return place

    def entries(self) -> Mapping[str, object]:
        """Return the value as a table."""
        if not isinstance(self.value, dict):
            raise self.fault(repr(self.value), "a table")
        return self.value

    def at(self, name: str) -> "Place":
        """Return the place of one entry of this table."""
        entries = self.entries()
        if name not in entries:
            raise self.fault(f"no '{name}'", f"a table with '{name}'")
        return Place(
            path=f"{self.path}.{name}", bibliography=self.bibliography, value=entries[name]
        )

    def demand_exactly(self, names: Collection[str], optional: Collection[str] = ()) -> None:
        """Refuse a table with a missing or an unknown entry."""
        given = set(self.entries())
        for name in sorted((given - set(optional)) ^ set(names)):
            what = "an unknown entry" if name in given else "no entry"
            raise self.fault(f"{what} '{name}'", f"exactly {', '.join(sorted(names))}")

    def goals_graded(self) -> tuple[Goal, ...]:
        """Return the goals that stand in this table, which must be all that are judged."""
        self.demand_exactly({goal.value for goal in JUDGED_GOALS})
        return JUDGED_GOALS

    def text(self) -> str:
        """Return the value as a text with something in it."""
        if not isinstance(self.value, str) or not self.value.strip():
            raise self.fault(repr(self.value), "a text")
        return self.value

    def texts(self) -> tuple[str, ...]:
        """Return the value as a list of different texts."""
        values = self.items()
        texts = tuple(value for value in values if isinstance(value, str))
        if len(set(texts)) != len(values):
            raise self.fault(repr(self.value), "a list of texts, each once")
        return texts

    def items(self) -> tuple[object, ...]:
        """Return the value as a list."""
        if not isinstance(self.value, list):
            raise self.fault(repr(self.value), "a list")
        return tuple(self.value)

    def switch(self) -> bool:
        """Return the value as true or false."""
        if not isinstance(self.value, bool):
            raise self.fault(repr(self.value), "true or false")
        return self.value

    def whole_number(self) -> int:
        """Return the value as a whole number from 0 to 9."""
        if isinstance(self.value, bool) or self.value not in range(10):
            raise self.fault(repr(self.value), "a whole number from 0 to 9")
        return int(str(self.value))

    def number(self) -> float:
        """Return the value as a number from 0 upwards."""
        value = self.value
        if isinstance(value, bool) or not isinstance(value, (int, float)) or value < 0:
            raise self.fault(repr(value), "a number from 0 upwards")
        return float(value)

    def member(self, kind: type[Member]) -> Member:
        """Return the value as a member of a closed list."""
        for member in kind:
            if type(member.value) is type(self.value) and member.value == self.value:
                return member
        allowed = ", ".join(str(member.value) for member in kind)
        raise self.fault(repr(self.value), f"one of {allowed}")

    def members(self, kind: type[Member]) -> tuple[Member, ...]:
        """Return the value as a list of members of a closed list."""
        return tuple(self.with_value(name).member(kind) for name in self.texts())

    def with_value(self, value: object) -> "Place":
        """Return this place with another value."""
        return Place(path=self.path, bibliography=self.bibliography, value=value)

    def statement(self, after: int = 0) -> Statement:
        """Return the statement that stands in this list after some leading entries."""
        parts = self.items()[after:]
        if len(parts) not in {2, 4}:
            raise self.fault(
                repr(self.value),
                "a statement: text and provenance, with source and locator or without both",
            )
        text, provenance, source, locator = (self.with_value(part) for part in (*parts, "", "")[:4])
        if not text.text().endswith("."):
            raise text.fault(repr(text.value), "a sentence with its full stop")
        basis = Basis(
            provenance=provenance.member(Provenance),
            source=source.text() if len(parts) == 4 else "",
            locator=locator.text() if len(parts) == 4 else "",
        )
        self._check(basis)
        return Statement(text=text.text(), basis=basis)

    def _check(self, basis: Basis) -> None:
        if not basis.source:
            return
        if basis.source not in self.bibliography:
            raise self.fault(f"the source '{basis.source}'", "a key of the bibliography")
        recalled = self.bibliography[basis.source].provenance is Provenance.RECALLED
        if recalled and basis.provenance is not Provenance.RECALLED:
            raise self.fault(
                f"'{basis.provenance.value}' from '{basis.source}'",
                "'recalled', because the source itself was not read",
            )
