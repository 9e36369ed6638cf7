"""What a search is to achieve and what it finds, in words that know no solver."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class StartOf:
    """The start of a task, as part of what is to be small."""

    task: str
    weight: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """The price of a rule, if it is broken."""

    rule: int
    weight: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FromBest:
    """How far the gap between two tasks is from the best one."""

    before: str
    after: str
    steps: int
    weight: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """Whether a task begins elsewhere than it did."""

    task: str
    was: int
    weight: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedBy:
    """How far a task begins from where it did."""

    task: str
    was: int
    weight: int = 1


Term = StartOf | Broken | FromBest | Moved | MovedBy
Aim = tuple[Term, ...]
"""A sum that is to be as small as possible."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Starts that obey the rules, and the value of each aim in turn."""

    starts: Mapping[str, int]
    kept: frozenset[int]
    """Numbers of the rules that are kept."""
    values: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One job of a network: how long, how much of each resource, and what follows it."""

    key: str
    length: int
    demands: tuple[int, ...]
    followers: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """A shortest plan of a network, or the best one found, with its bound."""

    starts: Mapping[str, int]
    makespan: int
    bound: int

    @property
    def proved(self) -> bool:
        """Return whether nothing shorter exists."""
        return self.bound == self.makespan


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """Of these pairs of item and place so many at most may be chosen, or so heavy a load."""

    pairs: tuple[tuple[int, int], ...]
    most: int
    loads: tuple[int, ...] = ()
    """What each pair weighs; without them each weighs 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Assignment:
    """Which place each item got, at which cost, and how little it could have been."""

    places: tuple[int | None, ...]
    """For each item the number of its place, None where it got none."""
    cost: int
    bound: int
