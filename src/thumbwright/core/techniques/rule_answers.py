"""What a rule of eligibility can answer, always with a reason and what it rests on."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """The rule is met."""

    reason: str
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class NotMet:
    """The rule is not met, which closes the technique: an absolute contraindication."""

    reason: str
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsettled:
    """Whether the rule is met cannot be said before one of the findings is there."""

    reason: str
    basis: Basis
    needed: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """The technique stays open, with a warning."""

    reason: str
    basis: Basis
    grave: bool = False
    """Whether it is a relative contraindication, which ranks behind techniques without one."""
    further: tuple[Basis, ...] = ()
    """Further sources, such as those that disagree."""


RuleAnswer = Met | NotMet | Unsettled | Advice
Rule = Callable[[Technique, Situation], RuleAnswer]

COMMON_PRACTICE = Basis(provenance=Provenance.COMMON_PRACTICE)
ASSUMED = Basis(provenance=Provenance.ASSUMED)


def read_at(source: str, locator: str = "abstract") -> Basis:
    """Return the basis of a statement that was read."""
    return Basis(provenance=Provenance.READ, source=source, locator=locator)


def advice_from(found: Sequence[tuple[str, bool]], basis: Basis, *, otherwise: str) -> Met | Advice:
    """Put all that was found into one advice, grave if any of it is; or the rule is met.

    Parameters
    ----------
    found
        Sentences, each with whether it is a relative contraindication.
    basis
        What they rest on.
    otherwise
        The reason if nothing was found.
    """
    if not found:
        return Met(reason=otherwise, basis=basis)
    return Advice(
        reason=" ".join(sentence for sentence, _ in found),
        basis=basis,
        grave=any(grave for _, grave in found),
    )


def listed(words: Sequence[str]) -> str:
    """Join words as in a sentence.

    Examples
    --------
    >>> listed(["there", "mobile", "stable"])
    'there, mobile and stable'
    """
    return " and ".join((", ".join(words[:-1]), words[-1])) if len(words) > 1 else "".join(words)


def openness(answer: RuleAnswer) -> int:
    """Return how open an answer leaves the technique: 0 closed, 1 unsettled, 2 or 3 open."""
    match answer:
        case NotMet():
            return 0
        case Unsettled():
            return 1
        case Advice():
            return 2
        case Met():
            return 3


def worst(answers: Iterable[RuleAnswer]) -> RuleAnswer:
    """Return the first of the answers that leave the technique least open."""
    return min(answers, key=openness)
