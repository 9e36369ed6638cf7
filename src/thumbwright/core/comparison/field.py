"""The field of techniques of one case: which are weighed, in which tiers, and what is left out."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from thumbwright.core.comparison.criteria import criteria
from thumbwright.core.comparison.limits import LeftOut, closed_ones
from thumbwright.core.comparison.standing import Standing, standing_of
from thumbwright.core.comparison.weights import weights_from_goals
from thumbwright.core.techniques.eligibility import Eligibility, Verdict
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

HardFacts = tuple[bool, bool, bool, bool, bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """Who is open, who waits for a finding, and what comes before whatever the weights."""

    opened: tuple[Technique, ...]
    waiting: Mapping[str, tuple[str, ...]]
    """The findings for which each technique waits, by its key."""
    techniques: Mapping[str, Technique]
    """Open and waiting ones by key."""
    facts: Mapping[str, HardFacts]
    """What counts before the goals, by technique: less comes first."""
    standings: Mapping[str, Standing]
    closed: tuple[LeftOut, ...]

    def tiers(self, keys: Iterable[str]) -> dict[str, int]:
        """Return the tier of each technique among those named, the first being 0."""
        named = tuple(keys)
        ladder = sorted({self.facts[key] for key in named})
        return {key: ladder.index(self.facts[key]) for key in named}

    def names(self, keys: Iterable[str]) -> dict[str, str]:
        """Return what techniques are called inside a sentence, by key."""
        return {key: self.techniques[key].short_name for key in keys}

    def waiting_before(self, key: str) -> tuple[str, ...]:
        """Return the reconstructions that wait and would come before a technique by hard facts."""
        return tuple(
            other
            for other in self.waiting
            if self.techniques[other].family.rebuilds and self.facts[other] < self.facts[key]
        )


def field_of(eligibilities: Iterable[Eligibility], situation: Situation) -> Field:
    """Sort the techniques of one case into open, waiting and closed ones.

    Parameters
    ----------
    eligibilities
        The verdicts on all techniques.
    situation
        The case, whose goals say whether length is wanted.

    Notes
    -----
    The tiers are the hard facts of the order by goals: a reconstruction before none; what
    nothing speaks against; the own part, where it can be put back; what gives a length that is
    wanted; first line at the level.
    """
    judged = tuple(eligibilities)
    weights = weights_from_goals(situation)
    kept = {one.technique.key: one for one in judged if one.verdict is not Verdict.CLOSED}
    standings = {
        key: standing_of(one, criteria(one.technique, situation), weights, situation)
        for key, one in kept.items()
    }
    return Field(
        opened=tuple(one.technique for one in kept.values() if one.verdict is Verdict.OPEN),
        waiting={
            key: one.would_settle for key, one in kept.items() if one.verdict is Verdict.UNKNOWN
        },
        techniques={key: one.technique for key, one in kept.items()},
        facts={key: standing.hard_facts for key, standing in standings.items()},
        standings=standings,
        closed=closed_ones(judged),
    )
