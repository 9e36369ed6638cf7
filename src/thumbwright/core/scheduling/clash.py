"""What stands against each other when no booking exists, and what it costs to settle it.

The smallest clash is found from both sides: a set of rules clashes if it meets every way of
giving up rules so that the rest can hold. The least set that meets all ways found so far is
tried; if it can hold, it is grown as far as it can and what is left over is one more way. If
it cannot, nothing smaller clashes. Behind it stands the duality of [reiter-1987]_; the
whole set, thinned by leaving out one rule after another, bounds it from above.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from thumbwright.core.scheduling.problem import Problem, Rule
from thumbwright.core.scheduling.solver import Search

Possible = Callable[[frozenset[int]], bool]
"""Tells whether rules of these numbers can hold together."""

_MOST_WAYS = 60
"""Ways that are looked at before the smallest clash is left unproved."""
_MOST_RELAXATIONS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Relaxation:
    """Rules that, given up together, let the others hold."""

    rules: tuple[Rule, ...]
    price: int

    @property
    def words(self) -> str:
        """Return what is given up, as a sentence."""
        given = " And: ".join(rule.words for rule in self.rules)
        return f"At a price of {self.price}, give up: {given}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Rules that cannot hold together, none of which can be left out of the clash."""

    rules: tuple[Rule, ...]
    smallest: bool
    """Whether it is proved that no smaller clash exists."""
    relaxations: tuple[Relaxation, ...]
    """The cheapest first; empty where only rules clash that are never given up."""

    @property
    def words(self) -> str:
        """Return the clash in sentences."""
        if len(self.rules) == 1:
            return f"This cannot be had at all: {self.rules[0].words}"
        return "These cannot hold together: " + " ".join(rule.words for rule in self.rules)


def clash_of(problem: Problem, *, wishes_too: bool = False) -> Clash | None:
    """Return the smallest clash among the rules, or None if they can all hold.

    Parameters
    ----------
    problem
        Tasks and rules.
    wishes_too
        Whether wishes count as rules; else only what must be kept.
    """
    search = Search(problem)
    wanted = frozenset(
        number for number, rule in enumerate(problem.rules) if wishes_too or not rule.wish
    )
    if search.possible(wanted):
        return None
    bound = thinned(wanted, search.possible)
    numbers, smallest = smallest_clash(wanted, search.possible, bound)
    return Clash(
        rules=tuple(problem.rules[number] for number in sorted(numbers)),
        smallest=smallest,
        relaxations=_relaxations(problem, search, wanted),
    )


def thinned(rules: Iterable[int], possible: Possible) -> frozenset[int]:
    """Leave rules out of a clash one after another as long as the rest still clashes."""
    kept = frozenset(rules)
    for number in sorted(kept):
        rest = kept - {number}
        if not possible(rest):
            kept = rest
    return kept


def smallest_clash(
    rules: frozenset[int], possible: Possible, bound: frozenset[int]
) -> tuple[frozenset[int], bool]:
    """Return the clash with the fewest rules, and whether that is proved.

    Parameters
    ----------
    rules
        All rules that are demanded; they clash.
    possible
        Tells whether some of them can hold together.
    bound
        Any clash from which nothing can be left out.
    """
    ways: list[frozenset[int]] = []
    while len(ways) < _MOST_WAYS:
        tried = _least_meeting(ways, len(bound) - 1)
        if tried is None:
            return bound, True
        if not possible(tried):
            return tried, True
        held = tried
        for number in sorted(rules - tried):
            if possible(held | {number}):
                held |= {number}
        ways.append(rules - held)
    return bound, False


def _least_meeting(ways: Sequence[frozenset[int]], most: int) -> frozenset[int] | None:
    """Return the least set that meets every way, or None if it needs more than so many."""
    for size in range(most + 1):
        for chosen in combinations(sorted(frozenset().union(*ways)), size):
            held = frozenset(chosen)
            if all(held & way for way in ways):
                return held
    return None


def _relaxations(
    problem: Problem, search: Search, wanted: frozenset[int]
) -> tuple[Relaxation, ...]:
    prices = {
        number: price
        for number in sorted(wanted)
        if (price := problem.rules[number].price) is not None
    }
    found: list[frozenset[int]] = []
    while len(found) < _MOST_RELAXATIONS:
        cheapest = search.cheapest_break(wanted - set(prices), prices, found)
        if not cheapest:
            break
        found.append(cheapest)
    return tuple(
        Relaxation(
            rules=tuple(problem.rules[number] for number in sorted(given)),
            price=sum(prices[number] for number in given),
        )
        for given in found
    )
