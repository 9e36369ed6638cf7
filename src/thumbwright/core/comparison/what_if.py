"""What would come first if a fact that has no numbers were otherwise."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from thumbwright.core.case.examined import Finding
from thumbwright.core.case.goals import Goal, Refusal
from thumbwright.core.comparison.clauses import capital
from thumbwright.core.comparison.criteria_data import Criteria
from thumbwright.core.comparison.preference import preference_from_goals
from thumbwright.core.comparison.weighing import Draws, weigh
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.techniques.eligibility import eligible_all
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

Change = Callable[[Situation], Situation | None]
_QUICK = Draws(performances=500, weights=20_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One fact that could be otherwise."""

    words: str
    """As after "if": "there were no microsurgery"."""
    change: Change
    """The case if it were so; None where it is so already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """What would come first under one condition."""

    condition: str
    leader: str | Unknown
    then: str | Unknown
    words: str


def leader_in(
    situation: Situation,
    techniques: Iterable[Technique],
    criteria: Criteria,
    rng: np.random.Generator,
) -> str | Unknown:
    """Return what comes first in a case by the order of its goals."""
    voice = preference_from_goals(situation)
    found = weigh(
        eligible_all(techniques, situation), situation, criteria, [voice], rng=rng, draws=_QUICK
    )
    return found if isinstance(found, Unknown) else found.views[0].plan_a


def what_ifs(
    situation: Situation,
    techniques: Iterable[Technique],
    criteria: Criteria,
    rng: np.random.Generator,
    conditions: Iterable[Condition] | None = None,
) -> Iterator[WhatIf]:
    """Yield what would come first if each condition held, for those that do not hold already.

    Parameters
    ----------
    situation
        The case as it is.
    techniques
        All of the catalogue, because what is closed now may be open then.
    criteria
        What is weighed.
    rng
        Source of chance.
    conditions
        What could be otherwise; the usual ones where none are given.
    """
    known = tuple(techniques)
    names = {one.key: one.short_name for one in known}
    leader = leader_in(situation, known, criteria, rng)
    for condition in USUAL if conditions is None else conditions:
        changed = condition.change(situation)
        if changed is None:
            continue
        then = leader_in(changed, known, criteria, rng)
        words = if_it_were_so(condition.words, leader, then, names)
        yield WhatIf(condition=condition.words, leader=leader, then=then, words=words)


def if_it_were_so(
    condition: str, leader: str | Unknown, then: str | Unknown, names: Mapping[str, str]
) -> str:
    """Say what a condition would change.

    Examples
    --------
    >>> if_it_were_so("it were so", "a", "b", {"a": "one way", "b": "another way"})
    'If it were so, another way would come first.'
    """
    if isinstance(then, Unknown):
        return f"If {condition}, nothing could be put first: {capital(then.reason)}."
    still = " still" if then == leader else ""
    return f"If {condition}, {names[then]} would{still} come first."


def _microsurgery(finding: Finding) -> Change:
    def change(situation: Situation) -> Situation | None:
        facility = situation.case.facility
        if facility.microsurgery is finding:
            return None
        microscope = Finding.YES if finding is Finding.YES else facility.microscope
        offered = replace(facility, microsurgery=finding, microscope=microscope)
        return replace(situation, case=replace(situation.case, facility=offered))

    return change


def _refusing(refusal: Refusal) -> Change:
    def change(situation: Situation) -> Situation | None:
        wishes = situation.case.wishes
        if refusal in wishes.refusals:
            return None
        refused = replace(wishes, refusals=(*wishes.refusals, refusal))
        return replace(situation, case=replace(situation.case, wishes=refused))

    return change


def _without_goal(goal: Goal) -> Change:
    def change(situation: Situation) -> Situation | None:
        wishes = situation.case.wishes
        goals = tuple(one for one in wishes.goals if one is not goal)
        if not goals or len(goals) == len(wishes.goals):
            return None
        wanted = replace(wishes, goals=goals)
        return replace(situation, case=replace(situation.case, wishes=wanted))

    return change


USUAL = (
    Condition(words="there were no microsurgery", change=_microsurgery(Finding.NO)),
    Condition(words="there were microsurgery", change=_microsurgery(Finding.YES)),
    Condition(words="no toe could be taken", change=_refusing(Refusal.ANY_TOE)),
    Condition(words="no finger could be given", change=_refusing(Refusal.LOSS_OF_A_FINGER)),
    Condition(words="growth did not matter", change=_without_goal(Goal.GROWTH)),
    Condition(words="looks did not matter", change=_without_goal(Goal.LOOKS)),
)
"""What people or the unit could change, or might see otherwise."""
