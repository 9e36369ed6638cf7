"""Who says what matters in one case: the patient, and whoever else said something."""

from dataclasses import replace

from thumbwright.core.case.goals import Goal, GoalPoints
from thumbwright.core.comparison.criterion import CriterionKey, key_of_goal
from thumbwright.core.comparison.preference import (
    PRICES_BEHIND_GOALS,
    Single,
    Swing,
    Voice,
    preference_from_goals,
)
from thumbwright.core.foundations.sources import Published
from thumbwright.core.techniques.rule_answers import ASSUMED
from thumbwright.core.techniques.situation import Situation

DOUBT_OF_POINTS = Published(value=10, unit="points", basis=ASSUMED)
"""How far points that were given may be from those that were meant, either way. [points]"""


def voices_of(situation: Situation) -> tuple[Single, ...]:
    """Return the voices of a case, the patient's first.

    Parameters
    ----------
    situation
        The case with what each voice said.

    Returns
    -------
    tuple[Single, ...]
        The patient's always: by points if they were given, else by the order of goals, else
        unsaid. The guardian's and the surgeon's where they named goals or gave points.

    Notes
    -----
    Points say more than an order, so they go before it once every goal that was named has
    some; until then nobody knows what the others weigh beside it, and the order counts. Points
    count give or take 10 (working assumption). Growth weighs nothing once growth is over. What
    a thumb costs stands behind each voice that does not name it, as
    :func:`~thumbwright.core.comparison.preference.preference_from_goals` does it.
    """
    wishes = situation.case.wishes
    said: dict[Voice, tuple[tuple[Goal, ...], GoalPoints]] = {
        Voice.PATIENT: (wishes.goals, wishes.patient_points),
        Voice.GUARDIAN: (wishes.guardian_goals, wishes.guardian_points),
        Voice.SURGEON: (wishes.surgeon_goals, wishes.surgeon_points),
    }
    return tuple(
        _by_points(voice, goals, points, situation) or _by_order(voice, goals, situation)
        for voice, (goals, points) in said.items()
        if voice is Voice.PATIENT or goals or points.given
    )


def _by_points(
    voice: Voice, goals: tuple[Goal, ...], points: GoalPoints, situation: Situation
) -> Swing | None:
    """Return a voice by its points; None where they do not say it all."""
    weightless = {Goal.GROWTH} if situation.growing is False else set()
    counted: dict[CriterionKey, float] = {
        key_of_goal(goal): given for goal, given in points.given.items() if goal not in weightless
    }
    if not any(counted.values()) or set(goals) - weightless - points.given.keys():
        return None
    behind = tuple(price for price in PRICES_BEHIND_GOALS if price not in counted)
    return Swing(voice=voice, points=counted, doubt=DOUBT_OF_POINTS.value, behind=behind)


def _by_order(voice: Voice, goals: tuple[Goal, ...], situation: Situation) -> Single:
    """Return a voice by the order of its goals."""
    wishes = replace(situation.case.wishes, goals=goals)
    own = replace(situation, case=replace(situation.case, wishes=wishes))
    return preference_from_goals(own, voice=voice)
