"""Statements of patient, guardian and surgeon on what matters that cannot both hold.

Each voice is held against itself and never against another: that a guardian wants something
else than the patient is no contradiction, it is what has to be talked over.
"""

from collections.abc import Iterator

from thumbwright.core.case.case import Case
from thumbwright.core.case.clash import clash
from thumbwright.core.case.examined import NOT_EXAMINED
from thumbwright.core.case.goals import Goal, GoalPoints
from thumbwright.core.case.patient import age_years
from thumbwright.core.foundations.errors import Fault

_GROWN_YEARS = 20
_OTHERS = ("wishes.guardian_goals", "wishes.surgeon_goals")


def _voices(case: Case) -> Iterator[tuple[str, tuple[Goal, ...], str, GoalPoints]]:
    """Yield where each voice named goals, the goals, where it gave points, and the points."""
    wishes = case.wishes
    yield "wishes.goals", wishes.goals, "wishes.patient_points", wishes.patient_points
    yield from (
        (_OTHERS[0], wishes.guardian_goals, "wishes.guardian_points", wishes.guardian_points),
        (_OTHERS[1], wishes.surgeon_goals, "wishes.surgeon_points", wishes.surgeon_points),
    )


def each_goal_of_others_stands_once(case: Case) -> Iterator[Fault]:
    """Refuse a goal of guardian or surgeon at two ranks."""
    for place, goals, _, _ in _voices(case):
        if place in _OTHERS and len(set(goals)) < len(goals):
            yield clash(case, place, allowed="each goal once", advice="keep the first of the two")


def some_swing_matters(case: Case) -> Iterator[Fault]:
    """Refuse points of which none is above 0."""
    for _, _, place, points in _voices(case):
        given = points.given
        if given and max(given.values()) == 0:
            yield clash(
                case,
                *(f"{place}.{goal.value}" for goal in given),
                allowed="points of which one at least is above 0",
                advice="give 100 to the swing that matters most, or take the points away",
            )


def the_first_goal_has_the_most_points(case: Case) -> Iterator[Fault]:
    """Refuse points that put another goal before the one that was named first."""
    for place, goals, points_place, points in _voices(case):
        given = points.given
        if not goals or goals[0] not in given:
            continue
        best = max(given, key=given.__getitem__)
        if given[best] > given[goals[0]]:
            yield clash(
                case,
                place,
                *(f"{points_place}.{goal.value}" for goal in (goals[0], best)),
                allowed="the most points for the goal that was named first",
                advice="ask again what matters most; then change the order of the goals or the "
                "points",
            )


def growth_is_weighed_by_the_growing(case: Case) -> Iterator[Fault]:
    """Refuse weight on growth in a grown person, by whomever."""
    if age_years(case.patient, case.examined_on) <= _GROWN_YEARS:
        return
    for place, goals, points_place, points in _voices(case):
        named = [place] if place in _OTHERS and Goal.GROWTH in goals else []
        if points.growth is not NOT_EXAMINED and points.growth > 0:
            named.append(f"{points_place}.growth")
        for one in named:
            yield clash(
                case,
                one,
                "patient.birth_date",
                "examined_on",
                allowed=f"weight on growth up to {_GROWN_YEARS} years of age",
                advice="take it away, or check both dates",
            )


RULES = (
    each_goal_of_others_stands_once,
    some_swing_matters,
    the_first_goal_has_the_most_points,
    growth_is_weighed_by_the_growing,
)
