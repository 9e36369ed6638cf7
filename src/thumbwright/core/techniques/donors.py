"""Which toes of which foot a technique could take, and what speaks for and against each."""

from collections.abc import Callable
from dataclasses import dataclass

from thumbwright.core.case.examined import Side
from thumbwright.core.case.feet import Foot
from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.techniques.foot_checks import (
    foot_is_healthy,
    toe_is_sound,
    vessels_are_patent,
)
from thumbwright.core.techniques.rule_answers import (
    COMMON_PRACTICE,
    Advice,
    Met,
    NotMet,
    RuleAnswer,
    Unsettled,
    openness,
    read_at,
    worst,
)
from thumbwright.core.techniques.rules_of_the_patient import toes_not_refused
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique, Toe

FootCheck = Callable[[Side, Toe, Foot], RuleAnswer]

ALL_FOOT_CHECKS: tuple[FootCheck, ...] = (toe_is_sound, vessels_are_patent, foot_is_healthy)

_SIDE_OF_GREAT_TOE = Basis(provenance=Provenance.RECALLED, source="toe-teaching", locator="memory")
_SIDE_OF_SECOND_TOE = read_at("wheeless-second-toe", "text")


@dataclass(frozen=True, slots=True, kw_only=True)
class DonorChoice:
    """One toe of one foot as a donor; every answer of the checks is kept."""

    side: Side
    toe: Toe
    answers: tuple[RuleAnswer, ...]
    remark_on_side: Statement

    @property
    def words(self) -> str:
        """Return the toe as it is printed."""
        return f"{self.toe.value} toe of the {self.side.value} foot"

    @property
    def is_possible(self) -> bool:
        """Return whether nothing rules it out and nothing is left to be settled."""
        return openness(worst(self.answers)) > 1

    @property
    def is_ruled_out(self) -> bool:
        """Return whether a finding rules it out."""
        return openness(worst(self.answers)) == 0

    @property
    def would_settle(self) -> tuple[str, ...]:
        """Return the findings that would settle it; none once it is ruled out."""
        if self.is_ruled_out:
            return ()
        return tuple(
            needed
            for answer in self.answers
            if isinstance(answer, Unsettled)
            for needed in answer.needed
        )


def donor_choices(
    technique: Technique,
    situation: Situation,
    checks: tuple[FootCheck, ...] = ALL_FOOT_CHECKS,
) -> tuple[DonorChoice, ...]:
    """Weigh every donor toe of both feet that the patient has not refused.

    Parameters
    ----------
    technique
        The technique that takes a toe, or none.
    situation
        The case.
    checks
        What is asked of each toe and foot.

    Returns
    -------
    tuple[DonorChoice, ...]
        One per toe and foot, empty for a technique that takes no toe. Which side is taken is
        for the surgeon; the remark says what is taught.
    """
    injured = situation.case.injury.side
    return tuple(
        DonorChoice(
            side=side,
            toe=toe,
            answers=tuple(check(side, toe, situation.case.feet.of(side)) for check in checks),
            remark_on_side=_remark(toe, same_side=side is injured),
        )
        for toe in toes_not_refused(technique, situation)
        for side in (injured, injured.other)
    )


def _remark(toe: Toe, *, same_side: bool) -> Statement:
    where = "Same side as" if same_side else "Opposite side to"
    if toe is Toe.GREAT:
        text = f"{where} the lost thumb; the great toe is commonly taken from the same side."
        return Statement(text=text, basis=_SIDE_OF_GREAT_TOE)
    text = f"{where} the lost thumb; one text takes the second toe from the opposite foot."
    return Statement(text=text, basis=_SIDE_OF_SECOND_TOE)


def best_donor(
    technique: Technique, situation: Situation, checks: tuple[FootCheck, ...]
) -> RuleAnswer:
    """Answer for the best donor: met as soon as one toe of one foot passes every check."""
    choices = donor_choices(technique, situation, checks)
    answers = [worst(choice.answers) for choice in choices]
    if not answers:
        # The refusal closes the technique by its own rule, and once is enough.
        return Met(
            reason="No toe is asked about, because every toe it takes from is refused.",
            basis=COMMON_PRACTICE,
        )
    best = max(answers, key=openness)
    match best:
        case Met() | Advice():
            return best
        case Unsettled():
            needed = [needed for choice in choices for needed in choice.would_settle]
            return Unsettled(
                reason=_joined(answers, Unsettled),
                basis=best.basis,
                needed=tuple(dict.fromkeys(needed)),
            )
        case NotMet():
            return NotMet(reason=_joined(answers, NotMet), basis=best.basis)


def _joined(answers: list[RuleAnswer], kind: type[NotMet] | type[Unsettled]) -> str:
    return " ".join(dict.fromkeys(one.reason for one in answers if isinstance(one, kind)))
