"""Statements of one case that cannot both hold.

Each rule is a small function named as the sentence that must hold. A rule fires on what was
found and never on what was not examined, and it names the places that clash.
"""

from thumbwright.core.case import (
    rules_of_the_hand,
    rules_of_the_loss,
    rules_of_the_person,
    rules_of_the_wishes,
)
from thumbwright.core.case.case import Case
from thumbwright.core.case.rules_of_the_checks import checks_stand_beside_the_case
from thumbwright.core.foundations.errors import Fault

RULES = (
    *rules_of_the_person.RULES,
    *rules_of_the_loss.RULES,
    *rules_of_the_hand.RULES,
    checks_stand_beside_the_case,
    *rules_of_the_wishes.RULES,
)


def contradictions(case: Case) -> tuple[Fault, ...]:
    """Return every contradiction of a case; none if its statements can stand together.

    Examples
    --------
    >>> from datetime import date
    >>> from thumbwright.core.case.examined import Side
    >>> from thumbwright.core.case.injury import Injury, Mechanism
    >>> from thumbwright.core.case.patient import Patient, Sex
    >>> case = Case(case_id="7", examined_on=date(2026, 11, 2),
    ...     patient=Patient(pseudonym="A", birth_date=date(1985, 3, 9), sex=Sex.MALE),
    ...     injury=Injury(side=Side.LEFT, mechanism=Mechanism.SHARP,
    ...         happened_on=date(2026, 12, 2)))
    >>> [fault.path for fault in contradictions(case)]
    ['injury.happened_on and examined_on']
    """
    return tuple(fault for rule in RULES for fault in rule(case))
