"""Which facts of the case bear on risk: there, not there, or not examined."""

from collections.abc import Sequence
from dataclasses import dataclass

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Finding, NotExamined
from thumbwright.core.case.injury import Mechanism
from thumbwright.core.case.patient import Smoking
from thumbwright.core.evidence.risk_factor import Fact
from thumbwright.core.foundations.answer import Unknown

LONG_ISCHAEMIA_HOURS = 8.0
"""From here on the meta-analysis of necrosis after replantation counts ischaemia as long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """One fact of the case."""

    fact: Fact
    present: bool | Unknown
    because: str
    """What the case says, for the reader."""


def exposures(case: Case, age_years: float) -> tuple[Exposure, ...]:
    """Return every fact of the case of which somebody published what it does.

    Parameters
    ----------
    case
        The facts.
    age_years
        Age on the day of the plan. [years]
    """
    return (
        _smoking(case),
        _found(Fact.DIABETES, case.patient.diabetes, "diabetes"),
        _found(Fact.VASCULAR_DISEASE, case.patient.vascular_disease, "disease of the arteries"),
        _cut(case),
        _ischaemia(case),
        Exposure(
            fact=Fact.OVER_45,
            present=age_years > 45,
            because=f"the patient is {int(age_years)} years old",
        ),
    )


def as_if_smoking_stopped(exposed: Sequence[Exposure]) -> tuple[Exposure, ...]:
    """Return the facts as they would be if a smoker stopped a week before the operation.

    Facts of one who does not smoke come back as they are.
    """
    if not any(one.fact is Fact.SMOKES and one.present is True for one in exposed):
        return tuple(exposed)
    because = "if the patient stops a week before the operation"
    kept = tuple(one for one in exposed if one.fact is not Fact.SMOKES)
    return (
        Exposure(fact=Fact.SMOKES, present=False, because=because),
        Exposure(fact=Fact.STOPPED_A_WEEK_BEFORE, present=True, because=because),
        *kept,
    )


def _smoking(case: Case) -> Exposure:
    said = {
        Smoking.CURRENT: (True, "the patient smokes"),
        Smoking.NEVER: (False, "the patient never smoked"),
        Smoking.FORMER: (
            False,
            "the patient gave up smoking, and is counted as one who never did (working assumption)",
        ),
    }
    if case.patient.smoking not in said:
        unknown = Unknown(reason="nobody asked about smoking", needed=("smoking",))
        return Exposure(fact=Fact.SMOKES, present=unknown, because=unknown.reason)
    present, because = said[case.patient.smoking]
    return Exposure(fact=Fact.SMOKES, present=present, because=because)


def _found(fact: Fact, finding: Finding, name: str) -> Exposure:
    if finding is Finding.NOT_EXAMINED:
        unknown = Unknown(reason=f"nobody looked for {name}", needed=(name,))
        return Exposure(fact=fact, present=unknown, because=unknown.reason)
    is_there = finding is Finding.YES
    return Exposure(
        fact=fact, present=is_there, because=f"{name} {'was' if is_there else 'was not'} found"
    )


def _cut(case: Case) -> Exposure:
    mechanism = case.injury.mechanism
    return Exposure(
        fact=Fact.NOT_CLEAN_CUT,
        present=mechanism is not Mechanism.SHARP,
        because=f"the loss was recorded as {mechanism.value.replace('_', ' ')}",
    )


def _ischaemia(case: Case) -> Exposure:
    part = case.injury.lost_part
    if isinstance(part.warm_hours, NotExamined) or isinstance(part.cool_hours, NotExamined):
        unknown = Unknown(
            reason="the hours of the lost part without blood are not known",
            needed=("warm and cool hours of the lost part",),
        )
        return Exposure(fact=Fact.LONG_ISCHAEMIA, present=unknown, because=unknown.reason)
    hours = part.warm_hours + part.cool_hours
    return Exposure(
        fact=Fact.LONG_ISCHAEMIA,
        present=hours >= LONG_ISCHAEMIA_HOURS,
        because=f"the part was {hours:g} hours without blood when the case was written",
    )
