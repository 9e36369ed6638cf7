"""Which techniques are open, closed or not yet to be judged, with every reason."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from thumbwright.core.techniques.donors import DonorChoice, donor_choices
from thumbwright.core.techniques.rule_answers import Advice, NotMet, RuleAnswer, Unsettled, openness
from thumbwright.core.techniques.rules import RULES, sentence
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique


class Verdict(Enum):
    """Whether a technique may be done; closed beats unknown beats open."""

    CLOSED = "closed"
    UNKNOWN = "unknown"
    OPEN = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One rule and its answer."""

    rule: str
    answer: RuleAnswer

    @property
    def rule_in_words(self) -> str:
        """Return the rule as a sentence."""
        return sentence(self.rule)


@dataclass(frozen=True, slots=True, kw_only=True)
class Eligibility:
    """The verdict on one technique and everything it rests on."""

    technique: Technique
    verdict: Verdict
    reasons: tuple[Reason, ...]
    """The answer of every rule that applies, met or not."""
    donors: tuple[DonorChoice, ...]
    """Toes that could be taken, or are ruled out; empty where no toe is taken."""

    @property
    def warnings(self) -> tuple[Advice, ...]:
        """Return what is to be weighed although it closes nothing, each once."""
        found = (one.answer for one in self.reasons if isinstance(one.answer, Advice))
        return tuple(dict.fromkeys(found))

    @property
    def is_advised_against(self) -> bool:
        """Return whether a relative contraindication was found."""
        return any(warning.grave for warning in self.warnings)

    @property
    def closed_by(self) -> tuple[Reason, ...]:
        """Return the reasons that close it."""
        return tuple(one for one in self.reasons if isinstance(one.answer, NotMet))

    @property
    def would_settle(self) -> tuple[str, ...]:
        """Return the findings that are needed for a verdict; none once it is closed."""
        if self.verdict is Verdict.CLOSED:
            return ()
        needed = [
            finding
            for one in self.reasons
            if isinstance(one.answer, Unsettled)
            for finding in one.answer.needed
        ]
        return tuple(dict.fromkeys(needed))


def eligible(technique: Technique, situation: Situation) -> Eligibility:
    """Judge one technique for one case by every rule that applies to it.

    Returns
    -------
    Eligibility
        Closed if any rule is not met, else unknown if any is unsettled, else open. All
        reasons are given, also those that no longer matter to the verdict.
    """
    reasons = tuple(
        Reason(rule=name, answer=rule(technique, situation))
        for name, rule in RULES.items()
        if name in technique.rules
    )
    least = min(openness(reason.answer) for reason in reasons)
    verdict = {0: Verdict.CLOSED, 1: Verdict.UNKNOWN}.get(least, Verdict.OPEN)
    return Eligibility(
        technique=technique,
        verdict=verdict,
        reasons=reasons,
        donors=donor_choices(technique, situation),
    )


def eligible_all(techniques: Iterable[Technique], situation: Situation) -> tuple[Eligibility, ...]:
    """Judge every technique, in the order given."""
    return tuple(eligible(technique, situation) for technique in techniques)
