"""How the order of the patient's goals becomes weights."""

from fractions import Fraction
from itertools import pairwise

import pytest
from tests.core.techniques.worked_situations import situation

from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.weights import (
    Weights,
    rank_order_centroid,
    weights_from_goals,
)
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.foundations.sources import Basis, Provenance

_ASSUMED = Basis(provenance=Provenance.ASSUMED)


def test_four_goals_weigh_as_in_the_worked_example_in_print() -> None:
    """A worked example for four objectives in a handbook of project decisions prints these."""
    published_four_objectives = (0.52, 0.27, 0.15, 0.06)
    found = rank_order_centroid(4)
    assert [round(weight, 2) for weight in found] == list(published_four_objectives)


def test_three_goals_weigh_eleven_five_and_two_eighteenths() -> None:
    """(1 + 1/2 + 1/3)/3, (1/2 + 1/3)/3 and (1/3)/3, added up by hand."""
    by_hand_three_goals = (11 / 18, 5 / 18, 2 / 18)
    assert rank_order_centroid(3) == pytest.approx(by_hand_three_goals)


@pytest.mark.parametrize("count", range(1, 10))
def test_the_weights_are_the_centre_of_all_weights_that_keep_the_order(count: int) -> None:
    """The corners of that simplex are (1/k, ..., 1/k, 0, ..., 0); their mean is its centroid."""
    corners = [
        [Fraction(1, k) if place < k else Fraction(0) for place in range(count)]
        for k in range(1, count + 1)
    ]
    independent_centroid = [float(sum(column) / count) for column in zip(*corners, strict=True)]
    found = rank_order_centroid(count)
    assert found == pytest.approx(independent_centroid, abs=1e-15)
    assert sum(found) == pytest.approx(1.0)
    assert all(first > second for first, second in pairwise(found))


def test_the_first_goal_weighs_most_and_unnamed_goals_weigh_nothing() -> None:
    weights = weights_from_goals(situation(goals=(Goal.FEELING, Goal.LENGTH)))
    by_hand_two_goals = {Goal.FEELING: 0.75, Goal.LENGTH: 0.25}
    assert weights.share == pytest.approx(by_hand_two_goals)
    assert "feeling 75%, length 25%" in weights.sentence


def test_growth_weighs_nothing_once_growth_is_over() -> None:
    grown = weights_from_goals(situation(age_years=30, goals=(Goal.GROWTH, Goal.LOOKS)))
    assert grown.share == {Goal.LOOKS: 1.0}
    assert "growth is over" in grown.sentence
    child = weights_from_goals(situation(age_years=7, goals=(Goal.GROWTH, Goal.LOOKS)))
    assert child.share[Goal.GROWTH] == pytest.approx(0.75)


def test_growth_counts_while_it_is_not_known_to_be_over() -> None:
    unsure = situation(
        age_years=16,
        goals=(Goal.GROWTH,),
        situation_changes={"growing": Unknown(reason="no film of the hand was taken")},
    )
    assert weights_from_goals(unsure).share == {Goal.GROWTH: 1.0}


@pytest.mark.parametrize(("age_years", "counted"), [(30, 7), (7, 8)])
def test_without_goals_everything_a_thumb_can_give_weighs_the_same(
    age_years: int, counted: int
) -> None:
    weights = weights_from_goals(situation(age_years=age_years))
    assert set(weights.share.values()) == {1 / counted}
    assert Goal.SPARE_DONOR_SITE not in weights.share
    assert (Goal.GROWTH in weights.share) is (age_years == 7)
    assert "ask for the goals" in weights.sentence


def test_a_grown_patient_who_names_growth_alone_is_asked_for_other_goals() -> None:
    weights = weights_from_goals(situation(age_years=30, goals=(Goal.GROWTH,)))
    assert len(weights.share) == 7


@pytest.mark.parametrize("shares", [(0.6, 0.6), (1.5, -0.5), ()])
def test_weights_that_are_no_shares_are_refused(shares: tuple[float, ...]) -> None:
    goals = (Goal.LENGTH, Goal.LOOKS)[: len(shares)]
    with pytest.raises(PlanError, match="shares from 0 upwards that add up to 1"):
        Weights(share=dict(zip(goals, shares, strict=True)), sentence="So.", basis=_ASSUMED)
