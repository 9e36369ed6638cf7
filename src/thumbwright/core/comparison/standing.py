"""What a technique is ordered by in one case."""

from dataclasses import dataclass, replace
from math import fsum

from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.criteria import Criterion
from thumbwright.core.comparison.weights import Weights
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.techniques.eligibility import Eligibility
from thumbwright.core.techniques.rules_of_the_length import length_added
from thumbwright.core.techniques.situation import Situation, most_probable_level
from thumbwright.core.techniques.technique import Family, Grade, Suitability, Technique

_DIGITS = 9
"""Scores that agree to this many digits are equal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What a technique is ordered by, in the order in which it counts; less comes first."""

    is_no_reconstruction: bool
    """A prosthesis or no operation stands behind every open reconstruction."""
    is_advised_against: bool
    is_substitute: bool
    """The own part, where it can be put back, comes before anything in its place."""
    leaves_length_missing: bool
    """Length counts for this patient, and it gives little or none of it."""
    is_second_line: bool
    lacking_share: float
    """1 less the score: what is lacking of the weighted goals. [-]"""
    falls_short: bool
    """The most that it adds, as printed, is less than the length that is missing."""
    donor_cost: int
    stages: int
    key: str

    @property
    def order(self) -> tuple[bool, bool, bool, bool, bool, float, bool, int, int, str]:
        """Return the key to sort by."""
        return (
            self.is_no_reconstruction,
            self.is_advised_against,
            self.is_substitute,
            self.leaves_length_missing,
            self.is_second_line,
            self.lacking_share,
            self.falls_short,
            self.donor_cost,
            self.stages,
            self.key,
        )

    @property
    def hard_facts(self) -> tuple[bool, bool, bool, bool, bool]:
        """Return what counts before the goals are weighed."""
        return self.order[:5]

    @property
    def with_nothing_against_it(self) -> "Standing":
        """Return the standing that it would have without its relative contraindications."""
        return replace(self, is_advised_against=False)


def standing_of(
    eligibility: Eligibility,
    table: tuple[Criterion, ...],
    weights: Weights,
    situation: Situation,
) -> Standing:
    """Return what a technique is ordered by.

    Parameters
    ----------
    eligibility
        The verdict, with what speaks against the technique.
    table
        What it gives of every goal.
    weights
        How much each goal counts.
    situation
        The case.
    """
    technique = eligibility.technique
    counted = {one.goal: one.counted for one in table}
    score = fsum(share * counted[goal] / int(Grade.GOOD) for goal, share in weights.share.items())
    return Standing(
        is_no_reconstruction=not technique.family.rebuilds,
        is_advised_against=eligibility.is_advised_against,
        is_substitute=technique.family is not Family.REPLANTATION,
        leaves_length_missing=(
            weights.share.get(Goal.LENGTH, 0.0) > 0 and counted[Goal.LENGTH] <= Grade.POOR
        ),
        is_second_line=not _is_indicated(technique, situation),
        lacking_share=round(1 - score, _DIGITS),
        falls_short=_falls_short(technique, situation),
        donor_cost=int(Grade.GOOD) - int(counted[Goal.SPARE_DONOR_SITE]),
        stages=technique.stages,
        key=technique.key,
    )


def _falls_short(technique: Technique, situation: Situation) -> bool:
    added, missing = length_added(technique, situation), situation.missing_length_mm
    if isinstance(added, Unknown) or isinstance(missing, Unknown):
        return False
    return added.high < missing.value


def _is_indicated(technique: Technique, situation: Situation) -> bool:
    level = most_probable_level(situation)
    if isinstance(level, Unknown):
        return False
    return technique.levels[level].suitability is Suitability.INDICATED
