"""Weights by order, points or nothing; dominance, regret, turning points and information."""

import csv
from pathlib import Path

import numpy as np
import pytest
from tests.core.comparison.tables import CRITERIA, KEYS, table
from tests.core.techniques.findings import situation_of

from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.dominance import dominances, stochastic_order
from thumbwright.core.comparison.information import (
    Question,
    value_by_sorting,
    value_of_everything,
    value_of_information,
    value_of_opening,
)
from thumbwright.core.comparison.limits import HardLimit, within_limits
from thumbwright.core.comparison.performance import Drawn, JudgedGrade, NotKnown, Performance
from thumbwright.core.comparison.performance_table import Cell
from thumbwright.core.comparison.preference import (
    Joint,
    Preference,
    Ranked,
    Single,
    Swing,
    Unsaid,
    Voice,
    joint_view,
    preference_from_goals,
    stated_shares,
)
from thumbwright.core.comparison.regret import regrets
from thumbwright.core.comparison.weight_draws import drawn_shares
from thumbwright.core.comparison.weight_turning_points import (
    fact_turn,
    leader_by_amount,
    weight_turns,
)
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.techniques.technique import Grade

K = CriterionKey
PUBLISHED = Path(__file__).parents[2] / "published" / "comparison"
RANKED = Ranked(voice=Voice.PATIENT, order=KEYS[:3])
SWING = Swing(
    voice=Voice.SURGEON, points=dict(zip(KEYS[:4], (100, 80, 50, 20), strict=True)), doubt=10
)


def rows(name: str) -> list[dict[str, str]]:
    lines = (PUBLISHED / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", rows("rank_order_centroid.csv"), ids=lambda row: row["n"])
def test_ranked_weights_are_the_printed_ones_and_the_mean_of_the_draws(row: dict[str, str]) -> None:
    published_weights = [float(word) for word in row["weights"].split()]
    keys = KEYS[: int(row["n"])]
    ranked = Ranked(voice=Voice.PATIENT, order=keys)
    half = 0.51 * 10.0 ** -int(row["printed_to"])
    assert stated_shares(ranked, keys) == pytest.approx(published_weights, abs=half)
    drawn = drawn_shares(ranked, keys, 40_000, np.random.default_rng(1))
    assert drawn.mean(axis=1) == pytest.approx(published_weights, abs=0.006)
    assert (np.diff(drawn, axis=0) <= 1e-6).all()


@pytest.mark.parametrize(
    "preference",
    [RANKED, SWING, Unsaid(voice=Voice.GUARDIAN, counted=KEYS[:3]), joint_view(RANKED, SWING)],
)
def test_drawn_weights_are_shares(preference: Preference) -> None:
    drawn = drawn_shares(preference, KEYS, 500, np.random.default_rng(1))
    assert drawn.shape == (len(KEYS), 500)
    assert drawn.min() >= 0
    assert drawn.sum(axis=0) == pytest.approx(1, abs=1e-5)
    assert stated_shares(preference, KEYS).sum() == pytest.approx(1)


def test_points_become_weights_as_in_the_worked_example() -> None:
    by_hand_weights = (0.40, 0.32, 0.20, 0.08)
    assert stated_shares(SWING, KEYS[:4]) == pytest.approx(by_hand_weights)


def test_a_joint_view_is_a_mixture_of_persons_and_says_so() -> None:
    only = [Ranked(voice=voice, order=(key,)) for voice, key in zip(Voice, KEYS[:2], strict=False)]
    drawn = drawn_shares(joint_view(*only), KEYS[:2], 4_000, np.random.default_rng(1))
    assert set(np.unique(drawn)) == {0.0, 1.0}
    assert drawn.mean() == pytest.approx(0.5, abs=0.03)
    assert "None of them is an average" in joint_view(*only).words


def test_the_prices_that_nobody_named_weigh_as_the_least_goal_and_a_tenth_at_most() -> None:
    alone = preference_from_goals(situation_of("", goals="looks"))
    many = preference_from_goals(situation_of("", goals="looks+length+feeling+stability"))
    for preference, by_hand_rest in ((alone, 0.1), (many, 0.0625 / 1.0625)):
        shares = dict(zip(KEYS, stated_shares(preference, KEYS), strict=True))
        rest = shares[K.DONOR_COST] + shares[K.BURDEN_OPERATIONS]
        assert rest == pytest.approx(by_hand_rest)
    named = preference_from_goals(situation_of("", goals="spare_donor_site+looks"))
    assert isinstance(named, Ranked)
    assert named.behind == (K.BURDEN_OPERATIONS,)
    assert isinstance(preference_from_goals(situation_of("")), Unsaid)


def test_weights_that_are_none_are_refused() -> None:
    with pytest.raises(PlanError, match="each once"):
        Ranked(voice=Voice.PATIENT, order=(K.LOOKS, K.LOOKS))
    with pytest.raises(PlanError, match="one of them above 0"):
        Swing(voice=Voice.PATIENT, points={K.LOOKS: 0.0}, doubt=1)
    with pytest.raises(PlanError, match="together 1"):
        Joint(parts=(RANKED,), part_share=(0.5,))
    with pytest.raises(PlanError, match="criteria of the table"):
        stated_shares(RANKED, KEYS[:2])


WORKED = rows("swing_worked.csv")
WORKED_TABLE = table(
    [[float(row[name]) for name in ("one", "two", "three", "four")] for row in WORKED],
    names=[row["option"] for row in WORKED],
)
WEIGHTS = stated_shares(SWING, KEYS[:4])


def test_the_worked_example_scores_and_turns_where_it_does_by_hand() -> None:
    by_hand_scores = [float(row["score"]) for row in WORKED]
    assert WORKED_TABLE.mean_share @ WEIGHTS == pytest.approx(by_hand_scores)
    turn = next(one for one in weight_turns(WORKED_TABLE, WEIGHTS) if one.key is KEYS[0])
    by_hand_turn = 16 / 31
    assert (turn.leader, turn.new_leader) == ("Q", "P")
    assert turn.turn_share == pytest.approx(by_hand_turn, abs=1e-6)
    assert "52% (now 40%), P would come first" in turn.words


@pytest.mark.parametrize("seed", range(6))
def test_just_beyond_a_turn_the_new_leader_leads_and_just_before_it_the_old(seed: int) -> None:
    rng = np.random.default_rng(seed)
    values = table(rng.random((5, 4)))
    weights = rng.dirichlet(np.ones(4))
    for turn in weight_turns(values, weights):
        column, step = KEYS.index(turn.key), np.sign(turn.turn_share - turn.now_share) * 1e-4
        for share, leader in ((-step, turn.leader), (step, turn.new_leader)):
            moved = weights * (1 - turn.turn_share - share) / (1 - weights[column])
            moved[column] = turn.turn_share + share
            best = values.techniques[int(np.argmax(values.mean_share @ moved))]
            assert best == leader


def test_one_that_is_worse_in_everything_is_beaten_however_it_is_weighed() -> None:
    found = dominances(WORKED_TABLE, KEYS[:4])
    pairs = {(one.better, one.worse) for one in found}
    assert pairs == {("P", "R"), ("Q", "R")}
    assert all(one.is_sure for one in found)


def test_stochastic_order_looks_at_the_doubt_as_a_whole() -> None:
    """B is never less than A in order, though not draw by draw."""
    values = table([[[0.2], [0.9]], [[0.6], [0.3]]])
    assert list(stochastic_order(values, KEYS[0])) == [("B", "A")]
    assert dominances(values, KEYS[:1]) == ()


def test_regret_is_what_is_given_away_worked_out_by_hand() -> None:
    """A is U(0,1), B is 0.5: each gives away 1/8 on the whole, 0.4 in one case of ten."""
    values = np.full((4_000, 2, 1), 0.5)
    values[:, 0, 0] = (np.arange(4_000) + 0.5) / 4_000
    alone = Ranked(voice=Voice.PATIENT, order=KEYS[:1])
    by_hand_expected, by_hand_p90 = 1 / 8, 0.4
    for one in regrets(table(values), alone, draws=4_000, rng=np.random.default_rng(1)):
        assert one.expected_share == pytest.approx(by_hand_expected, abs=1e-4)
        assert one.p90_share == pytest.approx(by_hand_p90, abs=1e-3)
        assert one.least_prob == pytest.approx(0.5)


def test_knowing_is_worth_what_it_is_by_hand_and_the_same_by_sorting() -> None:
    """Of U(0,1) against 0.5: the best is 5/8 on the whole with the answer, 1/2 without."""
    values = np.full((4_000, 2, 2), 0.5)
    values[:, 0, 0] = (np.arange(4_000) + 0.5) / 4_000
    weights = np.array([1.0, 0.0])
    asked = Question(examination="a look", cells=(("A", KEYS[0]),))
    idle = Question(examination="another look", cells=(("A", KEYS[1]),))
    best, none = value_of_information(table(values), weights, [idle, asked])
    by_hand_gain = 1 / 8
    assert (best.examination, none.examination) == ("a look", "another look")
    assert best.gain_share == pytest.approx(by_hand_gain, abs=1e-3)
    assert best.changes_prob == pytest.approx(0.5, abs=1e-3)
    assert none.gain_share == 0
    assert "stays first" in none.words
    assert value_of_everything(table(values), weights).gain_share == pytest.approx(
        by_hand_gain, abs=1e-3
    )
    sorted_gain = value_by_sorting(values @ weights, values[:, 0, 0], groups=50)
    assert sorted_gain == pytest.approx(by_hand_gain, abs=0.01)
    with pytest.raises(PlanError, match="2 groups"):
        value_by_sorting(values @ weights, values[:, 0, 0], groups=1)


def test_no_question_is_worth_more_than_everything() -> None:
    values = table(np.random.default_rng(2).random((500, 4, 3)))
    weights = np.array([0.5, 0.3, 0.2])
    whole = value_of_everything(values, weights).gain_share
    for column in range(3):
        cells = tuple((name, KEYS[column]) for name in "ABCD")
        (one,) = value_of_information(values, weights, [Question(examination="x", cells=cells)])
        assert 0 <= one.gain_share <= whole + 0.01


def test_a_finding_is_worth_half_of_what_the_technique_that_waits_would_gain() -> None:
    values = table([[0.4], [0.8], [0.2]])
    found = value_of_opening(
        values, np.array([1.0]), dict.fromkeys("ABC", 0), {"B": ("a film",), "C": ("a look",)}
    )
    by_hand_gain = 0.5 * 0.4
    assert found[0].examination == "a film"
    assert found[0].gain_share == pytest.approx(by_hand_gain)
    assert (found[1].changes_prob, found[1].new_leaders) == (0.0, ())


def test_the_risk_at_which_another_leads_is_closed_in() -> None:
    """A leads with 0.9 less a third of its risk over 0.3; B has 0.6: the turn is at 0.09."""
    values = table([[0.9], [0.6]])
    turn = fact_turn(
        lambda risk: "A" if 0.9 - risk / 0.3 > 0.6 else "B",
        now=0.0,
        far=0.3,
        unit="-",
        fact="the risk of loss",
        table=values,
        tolerance=1e-6,
    )
    by_hand_turn = 0.09
    assert turn is not None
    assert turn.turn == pytest.approx(by_hand_turn, abs=1e-5)
    assert turn.words == "If the risk of loss were above 9%, B would come first."
    reweigh = leader_by_amount(values, np.array([1.0]), "A", KEYS[0])
    assert (reweigh(0.7), reweigh(0.5)) == ("A", "B")
    same = fact_turn(lambda _: "A", now=0, far=1, unit="mm", fact="it", table=values, tolerance=0.1)
    assert same is None
    with pytest.raises(PlanError, match="two different ends"):
        fact_turn(lambda _: "A", now=1, far=1, unit="mm", fact="it", table=values, tolerance=0.1)


def test_what_fails_a_hard_limit_is_out_with_its_reason() -> None:
    basis = Basis(provenance=Provenance.ASSUMED)
    unknown = NotKnown(unknown=Unknown(reason="nobody measured it"))
    names = {"near": "one", "short": "another", "dark": "a third"}
    given: dict[Cell, Performance] = {
        ("near", K.LENGTH): Drawn(draws=(2.0, 4.0, 12.0)),
        ("short", K.LENGTH): Drawn(draws=(12.0, 14.0, 9.0)),
        ("dark", K.LENGTH): unknown,
    }
    limit = HardLimit(key=K.LENGTH, bound=10.0, words="it must not be more than 10 mm short")
    held = within_limits(names, given, [limit], CRITERIA)
    assert held.kept == ("near", "dark")
    assert held.out[0].reason == (
        "it must not be more than 10 mm short, and it does in 33 of 100 draws."
    )
    assert [one.technique for one in held.unsettled] == ["dark"]
    graded: dict[Cell, Performance] = {
        ("near", K.LOOKS): JudgedGrade(grade=Grade.POOR, basis=basis)
    }
    fair = HardLimit(key=K.LOOKS, bound=Grade.FAIR, words="it must look fair")
    assert within_limits({"near": "one"}, graded, [fair], CRITERIA).kept == ()
    with pytest.raises(PlanError, match="a limit was set on looks"):
        within_limits({"near": "one"}, {}, [fair], CRITERIA)


def test_a_preference_says_in_whose_voice_it_is() -> None:
    for one in (RANKED, SWING, Unsaid(voice=Voice.GUARDIAN, counted=KEYS[:1])):
        single: Single = one
        assert single.voice.value in single.words
