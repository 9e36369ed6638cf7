"""The chances at the forks of the tree for one technique, each with what it rests on."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pool import Evidence, Rests, pool
from thumbwright.core.evidence.risk import PatientRisk, shift_of
from thumbwright.core.evidence.risk_shift import Shift, drawn_shares
from thumbwright.core.evidence.share_doubt import ShareDoubt
from thumbwright.core.evidence.study import FREE_FLAPS, StudyArm
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.outlook.consequences import Consequences, Event
from thumbwright.core.outlook.spread import Numbers
from thumbwright.core.techniques.technique import Family, Technique

_JOINS_VESSELS = {Family.REPLANTATION, Family.TOE, Family.PART_OF_TOE}
_JOINS_BONE = {*_JOINS_VESSELS, Family.OSTEOPLASTIC, Family.FINGER, Family.LENGTHENING}


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """How likely one fork of the tree is in this patient."""

    outcome: Outcome
    doubt: ShareDoubt
    """In one more series such as those counted."""
    rests: Rests
    of_free_flaps: bool
    """Whether the series are of free flaps of the whole body, for want of any of toes."""
    shifts: tuple[Shift, ...]
    """What facts of this patient do to the odds."""
    facts: str
    """Those facts in words; empty where none was applied."""
    has_recalled: bool

    def draws(self, rng: np.random.Generator, count: int) -> Numbers:
        """Return draws of the probability in this patient [-]; shape (count,)."""
        if not self.shifts:
            return self.doubt.draws(rng, count)
        return drawn_shares(self.doubt, self.shifts, rng, count)

    @property
    def basis_in_words(self) -> str:
        """Return what it rests on, as it is printed."""
        flaps = ", of free flaps of the whole body" if self.of_free_flaps else ""
        memory = ", from memory, unverified" if self.has_recalled else ""
        shifted = f"; moved for this patient by {self.facts}" if self.facts else ""
        return f"{self.rests.value}{flaps}{memory}{shifted}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Chances:
    """Every fork of the tree of one technique; a fork that does not apply is missing."""

    technique: str
    trouble: Chance | Unknown | None
    """Circulation trouble that leads back to theatre; None where no vessel is joined."""
    in_time: Chance | Unknown
    """The signs come while the unit watches for them."""
    rescued: Chance | Unknown
    """Of those reopened in time."""
    rescued_late: Chance | Unknown
    """Of those reopened late."""
    loss: Chance | Unknown
    """As series counted it directly."""
    events: Mapping[Event, Chance | Unknown]
    """Everything else that may happen; only what applies to the technique."""
    no_pinch: Chance | Unknown
    """No pinch achieved, where series counted it: shown beside, because few series did."""
    can_be_lost: bool
    """Whether anything is moved, lengthened or fitted that could be lost."""

    @property
    def not_counted(self) -> tuple[str, ...]:
        """Return what the tree leaves out because no series counted it, in words."""
        absent = [
            event.value.replace("_", " ")
            for event, chance in self.events.items()
            if isinstance(chance, Unknown)
        ]
        if isinstance(self.trouble, Unknown):
            absent.insert(0, "circulation trouble and its rescue")
        if isinstance(self.is_lost, Unknown) and self.can_be_lost:
            absent.insert(0, "loss")
        return tuple(absent)

    @property
    def is_lost(self) -> Chance | Unknown:
        """Return what the loss is taken from: loss as it was counted, else trouble and rescue."""
        return (
            self.trouble
            if isinstance(self.trouble, Chance) and isinstance(self.loss, Unknown)
            else self.loss
        )


def chances_of(
    technique: Technique,
    arms: Iterable[StudyArm],
    consequences: Consequences,
    risks: Mapping[Outcome, PatientRisk],
    *,
    with_recalled: bool = False,
) -> Chances:
    """Take the chances of one technique from the pooled series.

    Parameters
    ----------
    technique
        One of the catalogue.
    arms
        The whole table of studies.
    consequences
        Which techniques join no bone.
    risks
        What facts of this patient do, by outcome.
    with_recalled
        Whether numbers from memory are let in.
    """
    table = tuple(arms)

    def chance(*outcomes: Outcome, key: str = technique.key) -> Chance | Unknown:
        found: Chance | Unknown = Unknown(reason="no outcome was asked for")
        for outcome in outcomes:
            evidence = pool(table, key, outcome, with_recalled=with_recalled)
            found = _chance(evidence, risks.get(outcome), of_free_flaps=key == FREE_FLAPS)
            if isinstance(found, Chance):
                return found
        return found

    joins = technique.family in _JOINS_VESSELS or technique.needs_microsurgery
    rescued = chance(Outcome.RESCUED)
    if isinstance(rescued, Unknown):
        rescued = chance(Outcome.RESCUED, key=FREE_FLAPS)
    return Chances(
        technique=technique.key,
        trouble=chance(Outcome.REEXPLORATION, Outcome.CIRCULATION_TROUBLE) if joins else None,
        in_time=chance(Outcome.SIGNS_IN_72_HOURS, key=FREE_FLAPS),
        rescued=rescued,
        rescued_late=chance(Outcome.RESCUED_LATE, key=FREE_FLAPS),
        loss=chance(Outcome.LOSS),
        events={
            event: chance(outcome)
            for event, outcome in _OUTCOMES.items()
            if _applies(event, technique, consequences)
        },
        no_pinch=chance(Outcome.NO_PINCH),
        can_be_lost=technique.key not in consequences.nothing_to_lose,
    )


_OUTCOMES = {
    Event.INFECTION: Outcome.INFECTION,
    Event.NON_UNION: Outcome.NON_UNION,
    Event.DONOR_TROUBLE: Outcome.DONOR_TROUBLE,
    Event.SECONDARY_OPERATION: Outcome.SECONDARY_OPERATION,
}


def _applies(event: Event, technique: Technique, consequences: Consequences) -> bool:
    if not technique.is_operation:
        return False
    if event is Event.NON_UNION:
        joined = technique.family in _JOINS_BONE
        return joined and technique.key not in consequences.bone_not_joined
    if event is Event.DONOR_TROUBLE:
        return bool(technique.takes)
    return True


def _chance(
    evidence: Evidence, risk: PatientRisk | None, *, of_free_flaps: bool
) -> Chance | Unknown:
    used = evidence.used
    if isinstance(used, Unknown):
        return used
    applied = risk.applied if risk else ()
    return Chance(
        outcome=evidence.outcome,
        doubt=used.doubt,
        rests=used.rests,
        of_free_flaps=of_free_flaps,
        shifts=tuple(shift_of(one) for one in applied),
        facts=", ".join(one.exposure.fact.words for one in applied),
        has_recalled=evidence.has_recalled,
    )
