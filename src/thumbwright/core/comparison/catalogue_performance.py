"""What the catalogue says each technique gives, as judgements with their doubt."""

from collections.abc import Iterable, Iterator

import numpy as np

from thumbwright.core.comparison.criteria import Criterion as GoalCriterion
from thumbwright.core.comparison.criteria import criteria
from thumbwright.core.comparison.criterion import CriterionKey, key_of_goal
from thumbwright.core.comparison.performance import Drawn, JudgedGrade, NotKnown, Performance
from thumbwright.core.comparison.performance_table import Cell, Performances
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Statement
from thumbwright.core.techniques.rules_of_the_length import length_added
from thumbwright.core.techniques.situation import Situation, most_probable_level
from thumbwright.core.techniques.technique import Gift, Technique

_DAYS_IN_A_WEEK = 7


def catalogue_performances(techniques: Iterable[Technique], situation: Situation) -> Performances:
    """Return what the grades of the catalogue say of each technique in this case.

    Parameters
    ----------
    techniques
        The techniques that are weighed.
    situation
        The case, which decides the grades of the patient's own joints and skin.

    Returns
    -------
    Performances
        One for every technique and every goal of the list of goals.

    Notes
    -----
    The patient's own joint, or own skin, is one and the same thing under every technique that
    keeps it: it is good or bad for all of them together. What was found of it is a fact. Grades
    that rest on the same place of one source are right or wrong together too; grades of common
    practice stand each alone.
    """
    return dict(cell for technique in techniques for cell in _cells(technique, situation))


def lengthening_performances(
    techniques: Iterable[Technique],
    situation: Situation,
    *,
    draws: int,
    rng: np.random.Generator,
) -> Performances:
    """Return how short the thumb stays after each technique of which print gives the gain.

    Parameters
    ----------
    techniques
        The techniques that are weighed.
    situation
        The case, with the missing length.
    draws
        Number of draws. [-]
    rng
        Source of chance.

    Returns
    -------
    Performances
        Millimetres that stay missing, for the techniques that add a printed length of bone;
        none where the missing length is not known.

    Notes
    -----
    The gain is drawn evenly from its printed span (working assumption) and the missing length
    from its normal doubt, which is the same for all. Lengthening stops once the length is
    there.
    """
    missing = situation.missing_length_mm
    if isinstance(missing, Unknown):
        return {}
    wanted = rng.normal(missing.value, missing.uncertainty, draws)
    found: dict[Cell, Performance] = {}
    for technique in techniques:
        added = length_added(technique, situation)
        if isinstance(added, Unknown) or added.high == 0:
            continue
        short = np.maximum(wanted - rng.uniform(added.low, added.high, draws), 0.0)
        found[technique.key, CriterionKey.LENGTH] = Drawn(draws=short, basis=added.statement.basis)
    return found


def burden_performances(
    techniques: Iterable[Technique], *, draws: int, rng: np.random.Generator
) -> Performances:
    """Return how many operations each technique takes, and how long until light use.

    Parameters
    ----------
    techniques
        The techniques that are weighed.
    draws
        Number of draws. [-]
    rng
        Source of chance.

    Notes
    -----
    Operations are the stages of the catalogue; corrections later on are not among them. Days are
    drawn evenly from the catalogue's span of weeks (working assumption).
    """
    found: dict[Cell, Performance] = {}
    for technique in techniques:
        found[technique.key, CriterionKey.BURDEN_OPERATIONS] = Drawn(
            draws=(float(technique.stages),), basis=technique.staging.basis
        )
        weeks = technique.weeks
        days: Performance
        if isinstance(weeks, Unknown):
            days = NotKnown(unknown=weeks, shared=_shared_unknown(technique, weeks))
        else:
            drawn = _DAYS_IN_A_WEEK * rng.uniform(weeks.low, weeks.high, draws)
            days = Drawn(draws=drawn, basis=weeks.statement.basis)
        found[technique.key, CriterionKey.BURDEN_DAYS] = days
    return found


def _cells(technique: Technique, situation: Situation) -> Iterator[tuple[Cell, Performance]]:
    level = most_probable_level(situation)
    for one in criteria(technique, situation):
        graded = None
        if not isinstance(level, Unknown) and one.goal in technique.grades:
            graded = technique.grades[one.goal].get(level)
        is_own = graded is not None and graded.of_the_stump
        yield (technique.key, key_of_goal(one.goal)), _performance(technique, one, is_own=is_own)


def _performance(technique: Technique, one: GoalCriterion, *, is_own: bool) -> Performance:
    """Return a judgement with its doubt, a finding in this hand without, or what is not known."""
    is_own = is_own or (one.gift is not None and one.gift.is_the_patients_own)
    if isinstance(one.grade, Unknown) or isinstance(one.statement, Unknown):
        unknown = one.grade if isinstance(one.grade, Unknown) else Unknown(reason="no statement")
        return NotKnown(unknown=unknown, shared=_shared_unknown(technique, unknown))
    return JudgedGrade(
        grade=one.grade,
        basis=one.statement.basis,
        is_certain=is_own or one.gift is Gift.NONE,
        shared=_shared(one.statement, one),
    )


def _shared_unknown(technique: Technique, unknown: Unknown) -> str:
    """Name what one finding would settle for all; what no finding settles stands alone."""
    return f"needs {', '.join(unknown.needed)}" if unknown.needed else f"of {technique.key}"


def _shared(statement: Statement, one: GoalCriterion) -> str:
    basis = statement.basis
    return f"{basis.source}, {basis.locator}, {one.words}" if basis.source else ""
