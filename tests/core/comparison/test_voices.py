"""Each voice speaks for itself: by its points, else by its order, else not at all."""

from dataclasses import replace

import numpy as np
import pytest
from tests.core.comparison.tables import KEYS
from tests.core.techniques.findings import goals_of, situation_of

from thumbwright.core.case.goals import Goal, GoalPoints, Wishes
from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.preference import (
    Ranked,
    Single,
    Swing,
    Unsaid,
    Voice,
    preference_from_goals,
    stated_shares,
)
from thumbwright.core.comparison.voices import DOUBT_OF_POINTS, voices_of
from thumbwright.core.comparison.weight_draws import drawn_shares
from thumbwright.core.foundations.sources import Provenance
from thumbwright.core.techniques.situation import Situation

K = CriterionKey
PRICES = (K.DONOR_COST, K.BURDEN_OPERATIONS)


def with_wishes(wishes: Wishes, findings: str = "growing=no") -> Situation:
    built = situation_of(findings)
    return replace(built, case=replace(built.case, wishes=wishes))


def patient(wishes: Wishes, findings: str = "growing=no") -> Single:
    first, *_ = voices_of(with_wishes(wishes, findings))
    assert first.voice is Voice.PATIENT
    return first


def test_of_whoever_said_nothing_only_the_patient_is_a_voice() -> None:
    (only,) = voices_of(with_wishes(Wishes()))
    assert isinstance(only, Unsaid)
    assert only.voice is Voice.PATIENT


def test_without_points_the_order_of_goals_counts_as_it_always_did() -> None:
    situation = with_wishes(Wishes(goals=goals_of("looks+spare_donor_site")))
    independent_voice = preference_from_goals(situation)
    assert voices_of(situation) == (independent_voice,)


def test_points_go_before_the_order_and_each_goal_finds_its_criterion() -> None:
    points = GoalPoints(**{goal.value: 100.0 - 10 * at for at, goal in enumerate(Goal)})
    found = patient(Wishes(goals=(Goal.LENGTH,), patient_points=points), "growing=yes")
    assert isinstance(found, Swing)
    by_hand_points = {
        K.LENGTH: 100,
        K.CMC_MOTION: 90,
        K.MCP_MOTION: 80,
        K.IP_MOTION: 70,
        K.STABILITY: 60,
        K.FEELING: 50,
        K.LOOKS: 40,
        K.GROWTH: 30,
        K.DONOR_COST: 20,
    }
    assert found.points == by_hand_points
    assert found.behind == (K.BURDEN_OPERATIONS,)


def test_the_doubt_of_points_is_a_working_assumption_and_is_said() -> None:
    found = patient(Wishes(patient_points=GoalPoints(looks=100.0)))
    assert isinstance(found, Swing)
    by_hand_doubt = 10
    assert found.doubt == by_hand_doubt
    assert DOUBT_OF_POINTS.basis.provenance is Provenance.ASSUMED
    assert found.words.startswith("The patient gave points")
    assert "give or take 10" in found.words


def test_the_prices_stand_behind_points_as_they_stand_behind_goals() -> None:
    """60 and 40 of 100 points: what weighs least is 0.4, so the prices weigh a tenth."""
    found = patient(Wishes(patient_points=GoalPoints(length=60.0, looks=40.0, feeling=0.0)))
    shares = dict(zip(KEYS, stated_shares(found, KEYS), strict=True))
    by_hand_shares = {
        K.LENGTH: 0.54,
        K.LOOKS: 0.36,
        K.FEELING: 0.0,
        K.DONOR_COST: 0.075,
        K.BURDEN_OPERATIONS: 0.025,
    }
    assert {key: shares[key] for key in by_hand_shares} == pytest.approx(by_hand_shares)
    drawn = drawn_shares(found, KEYS, 4_000, np.random.default_rng(1))
    assert drawn.sum(axis=0) == pytest.approx(1, abs=1e-5)
    of_prices = drawn[[KEYS.index(key) for key in PRICES]].sum(axis=0)
    by_hand_rest = 0.1
    assert of_prices == pytest.approx(by_hand_rest, abs=1e-5)


def test_a_donor_site_that_got_no_points_at_all_stays_without() -> None:
    found = patient(Wishes(patient_points=GoalPoints(length=100.0, spare_donor_site=0.0)))
    assert isinstance(found, Swing)
    assert found.points[K.DONOR_COST] == 0
    assert found.behind == (K.BURDEN_OPERATIONS,)


def test_points_wait_until_every_goal_that_was_named_has_some() -> None:
    goals = goals_of("length+looks")
    some, every = GoalPoints(length=100.0), GoalPoints(length=100.0, looks=30.0)
    assert isinstance(patient(Wishes(goals=goals, patient_points=some)), Ranked)
    assert isinstance(patient(Wishes(goals=goals, patient_points=every)), Swing)


def test_growth_weighs_nothing_once_it_is_over() -> None:
    points = GoalPoints(growth=100.0, looks=50.0)
    growing, grown = (
        patient(Wishes(patient_points=points), f"growing={word}") for word in ("yes", "no")
    )
    assert isinstance(growing, Swing)
    assert isinstance(grown, Swing)
    assert set(growing.points) - set(grown.points) == {K.GROWTH}
    assert isinstance(patient(Wishes(patient_points=GoalPoints(growth=100.0))), Unsaid)


def test_others_are_heard_in_their_own_voice_and_leave_the_patient_s_alone() -> None:
    found = voices_of(
        with_wishes(
            Wishes(
                goals=goals_of("looks"),
                guardian_goals=goals_of("growth+length"),
                surgeon_points=GoalPoints(stability=100.0),
            ),
            "growing=yes",
        )
    )
    assert [one.voice for one in found] == [Voice.PATIENT, Voice.GUARDIAN, Voice.SURGEON]
    child, parent, surgeon = found
    assert isinstance(child, Ranked)
    assert isinstance(parent, Ranked)
    assert isinstance(surgeon, Swing)
    assert child.order == (K.LOOKS,)
    assert parent.order == (K.GROWTH, K.LENGTH)
    assert parent.behind == PRICES
    assert surgeon.points == {K.STABILITY: 100}
