"""Rank acceptabilities against closed forms, a naive loop, a grid of weights, and laws."""

import csv
from itertools import permutations
from math import sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.comparison.tables import KEYS, table

from thumbwright.core.comparison.acceptability import Acceptability, acceptability, holistic_prob
from thumbwright.core.comparison.performance_table import PerformanceTable
from thumbwright.core.comparison.preference import Preference, Ranked, Unsaid, Voice
from thumbwright.core.comparison.rank_counts import counted_ranks
from thumbwright.core.comparison.weight_draws import drawn_shares
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError

PUBLISHED = Path(__file__).parents[2] / "published" / "comparison"
DRAWS = 400_000
GRID_STEPS = 240
FOUR = [[0.9, 0.2, 0.3], [0.5, 0.8, 0.4], [0.4, 0.5, 1.0]]


def even(criteria: int) -> Unsaid:
    return Unsaid(voice=Voice.PATIENT, counted=KEYS[:criteria])


def weighed(
    values: PerformanceTable, preference: Preference, draws: int = DRAWS, seed: int = 4
) -> Acceptability:
    return acceptability(values, preference, weight_draws=draws, rng=np.random.default_rng(seed))


def uncertain() -> PerformanceTable:
    """Return A (U(0,1), 0) against B (0, 0.5); the draws are the middles of even cells."""
    count = 20_000
    values = np.zeros((count, 2, 2))
    values[:, 0, 0] = (np.arange(count) + 0.5) / count
    values[:, 1, 1] = 0.5
    return table(values[np.random.default_rng(0).permutation(count)])


@pytest.fixture(scope="module")
def found() -> dict[str, Acceptability]:
    ranked = Ranked(voice=Voice.PATIENT, order=KEYS[:3])
    return {
        "two_sure": weighed(table([[1.0, 0.0], [0.0, 1.0], [0.6, 0.6]]), even(2)),
        "three_sure": weighed(table(np.eye(3)), even(3)),
        "uncertain": weighed(uncertain(), even(2)),
        "four": weighed(table(FOUR), even(3)),
        "four_ranked": weighed(table(FOUR), ranked),
    }


def rows() -> list[dict[str, str]]:
    lines = (PUBLISHED / "acceptability_exact.csv").read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def quantity(result: Acceptability, option: str, name: str) -> float:
    place = result.place_of(option)
    if name == "confidence":
        return float(result.confidence_prob[place])
    number = int(name[-1]) - 1
    kind = result.rank_prob if name.startswith("b") else result.central_share
    return float(kind[place, number])


@pytest.mark.parametrize("row", rows(), ids=lambda row: "-".join([*row.values()][:3]))
def test_small_problems_come_out_as_their_closed_forms(
    found: dict[str, Acceptability], row: dict[str, str]
) -> None:
    published_value = float(row["value"])
    allowed = float(row["tolerance"]) + 5 * sqrt(0.25 / DRAWS)
    value = quantity(found[row["case"]], row["option"], row["quantity"])
    assert value == pytest.approx(published_value, abs=allowed)


def test_the_stated_error_is_the_scatter_of_repeated_draws() -> None:
    """Forty repeats; their own scatter is known to about a ninth."""
    values = table(np.random.default_rng(2).random((200, 3, 3)))
    runs = [weighed(values, even(3), 20_000, seed) for seed in range(40)]
    firsts = np.array([run.first_prob for run in runs])
    stated = np.array([run.rank_error_prob[:, 0] for run in runs]).mean(axis=0)
    # The table is the same in every run, so that only the weights differ: less than stated.
    assert (firsts.std(axis=0) <= 1.3 * stated).all()
    drawn = [
        weighed(table(np.random.default_rng(50 + seed).random((200, 3, 3))), even(3), 20_000, seed)
        for seed in range(40)
    ]
    scatter = np.array([run.first_prob for run in drawn]).std(axis=0, ddof=1)
    error = np.array([run.rank_error_prob[:, 0] for run in drawn]).mean(axis=0)
    assert error == pytest.approx(scatter, rel=0.35)


def test_a_naive_loop_over_the_same_weights_counts_the_same_ranks() -> None:
    """Draw by draw in plain Python, sorting instead of comparing two by two."""
    values = np.random.default_rng(8).random((50, 4, 5)).astype(np.float32)
    block = 40
    result = weighed(table(values), even(5), 50 * block, seed=3)
    rng = np.random.default_rng(3)
    counts = np.zeros((4, 4))
    for worlds in (values[start : start + 2] for start in range(0, 50, 2)):
        shares = drawn_shares(even(5), KEYS[:5], len(worlds) * block, rng)
        for draw in range(shares.shape[1]):
            scores = [
                sum(float(w) * float(v) for w, v in zip(shares[:, draw], option, strict=True))
                for option in worlds[draw // block]
            ]
            for rank, place in enumerate(sorted(range(4), key=lambda one: -scores[one])):
                counts[place, rank] += 1
    independent_shares = counts / (50 * block)
    assert result.rank_prob == pytest.approx(independent_shares, abs=1e-9)


@pytest.mark.parametrize("ordered", [False, True])
def test_a_grid_of_all_weights_gives_the_same_shares(*, ordered: bool) -> None:
    """Middles of a grid on the triangle of weights, enumerated without any drawing."""
    firsts = np.zeros(3)
    total = 0
    for i in range(GRID_STEPS):
        for j in range(GRID_STEPS - i):
            w1, w2 = (i + 1 / 3) / GRID_STEPS, (j + 1 / 3) / GRID_STEPS
            weights = (w1, w2, 1 - w1 - w2)
            if ordered and not weights[0] >= weights[1] >= weights[2]:
                continue
            total += 1
            firsts[np.argmax([np.dot(weights, option) for option in FOUR])] += 1
    independent_shares = firsts / total
    preference = Ranked(voice=Voice.PATIENT, order=KEYS[:3]) if ordered else even(3)
    assert weighed(table(FOUR), preference).first_prob == pytest.approx(
        independent_shares, abs=0.006
    )


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), options=st.integers(2, 6), criteria=st.integers(1, 5))
def test_shares_of_ranks_add_up_by_technique_and_by_rank(
    seed: int, options: int, criteria: int
) -> None:
    rng = np.random.default_rng(seed)
    values = rng.integers(0, 3, (3, options, criteria)) / 2  # many ties
    result = weighed(table(values), even(criteria), 900, seed)
    assert result.rank_prob.sum(axis=0) == pytest.approx(1)
    assert result.rank_prob.sum(axis=1) == pytest.approx(1)
    both = result.pairwise_prob + result.pairwise_prob.T
    assert both[~np.eye(options, dtype=bool)] == pytest.approx(1)
    # A mean rank is 1 plus how often the others are better.
    assert result.mean_rank == pytest.approx(1 + result.pairwise_prob.sum(axis=0))


def test_techniques_that_are_alike_share_the_first_place_by_lot() -> None:
    result = weighed(table([[0.5, 0.5]] * 3), even(2), 60_000)
    by_hand_third = 1 / 3
    assert result.first_prob == pytest.approx(by_hand_third, abs=0.01)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_a_beaten_technique_changes_nothing_among_the_others(seed: int) -> None:
    rng = np.random.default_rng(seed)
    values = rng.random((40, 3, 4))
    worse = values[:, :1] * rng.uniform(0.5, 0.95)
    before = weighed(table(values), even(4), 4_000, seed)
    after = weighed(table(np.concatenate((values, worse), axis=1)), even(4), 4_000, seed)
    assert after.first_prob[:3] == pytest.approx(before.first_prob, abs=1e-12)
    assert after.first_prob[3] == 0
    assert [key for key in after.in_order if key != "D"] == list(before.in_order)


def test_the_order_of_criteria_changes_nothing() -> None:
    values = np.random.default_rng(5).random((100, 4, 3))
    first = weighed(table(values), even(3)).first_prob
    for order in permutations(range(3)):
        again = weighed(table(values[:, :, order]), even(3), seed=sum(order) + order[0])
        assert again.first_prob == pytest.approx(first, abs=0.02)


def test_the_order_of_techniques_changes_nothing() -> None:
    values = np.random.default_rng(6).random((60, 4, 3))
    turned = weighed(table(values[:, ::-1]), even(3), 6_000)
    assert turned.rank_prob[::-1] == pytest.approx(weighed(table(values), even(3), 6_000).rank_prob)


def test_a_lower_tier_comes_first_whatever_the_weights() -> None:
    values = table([[0.0, 0.1], [1.0, 1.0], [0.9, 0.9]])
    result = acceptability(
        values, even(2), weight_draws=1_000, rng=np.random.default_rng(1), tier=(0, 1, 1)
    )
    assert result.in_order == ("A", "B", "C")
    assert result.first_prob.tolist() == [1.0, 0.0, 0.0]


def test_what_never_comes_first_has_no_central_weights() -> None:
    result = weighed(table([[0.9, 0.9], [0.1, 0.1]]), even(2), 1_000)
    assert isinstance(result.central_weights_of("B"), Unknown)
    assert isinstance(result.confidence_of("B"), Unknown)
    central = result.central_weights_of("A")
    assert isinstance(central, dict)
    assert sum(central.values()) == pytest.approx(1)


def test_more_weights_than_fit_at_once_are_drawn_in_pieces() -> None:
    result = weighed(table(np.random.default_rng(1).random((3, 4, 3))), even(3), 150_000)
    assert result.weight_draws == 150_000
    assert result.performance_draws == 3
    assert "seed 4" in result.random_state


def test_all_ranks_in_one_index() -> None:
    result = weighed(table([[1.0, 0.0], [0.0, 1.0], [0.6, 0.6]]), even(2))
    by_hand_index = (0.4 + 0.5 * 0.1, 0.4 + 0.5 * 0.1, 0.2 + 0.5 * 0.8)
    assert holistic_prob(result, (1, 0.5, 0)) == pytest.approx(by_hand_index, abs=0.004)


@pytest.mark.parametrize("weights", [(1, 0.5), (0.9, 0.5, 0), (1, 0.2, 0.5), (1, 0, -1)])
def test_weights_of_ranks_that_do_not_fall_from_one_are_refused(weights: tuple[float, ...]) -> None:
    result = weighed(table(np.eye(3)), even(3), 100)
    with pytest.raises(PlanError, match="from 1 falling"):
        holistic_prob(result, weights)


def test_what_was_not_weighed_and_tiers_that_do_not_fit_are_refused() -> None:
    result = weighed(table(np.eye(3)), even(3), 100)
    with pytest.raises(PlanError, match="those that were weighed: A, B, C"):
        result.first_prob_of("Z")
    with pytest.raises(PlanError, match="one for each"):
        acceptability(
            table(np.eye(3)), even(3), weight_draws=9, rng=np.random.default_rng(1), tier=(0,)
        )


@pytest.mark.filterwarnings("ignore")
def test_a_peer_program_ranks_the_same_ways_to_weigh_alike() -> None:
    """The library pysensmcda draws the weights (exponential, over their sum) and ranks by them."""
    peer = pytest.importorskip("pysensmcda")
    ways = 4_000
    drawn = peer.probabilistic.monte_carlo_weights(
        3, distribution="chisquare", num_samples=ways, params={"df": 2}
    )
    shares = np.asarray(drawn / drawn.sum(axis=1, keepdims=True))
    calculate = getattr(
        peer.calculate_preference, "calculate_preference", peer.calculate_preference
    )
    ranked = calculate(
        peer.probabilistic.monte_carlo_weights,
        shares,
        lambda matrix, weights, types: (matrix * types) @ weights,
        {"matrix": np.array(FOUR), "types": np.ones(3)},
        method_type=1,
    )
    places = ranked[:, 1].astype(int)
    independent_shares = [[(places[:, i] == r).mean() for r in (1, 2, 3)] for i in range(3)]
    counted = counted_ranks(
        (np.array(FOUR) @ shares.T).astype(np.float32),
        shares.T.astype(np.float32),
        np.random.default_rng(1),
    )
    assert counted.rank_prob == pytest.approx(np.array(independent_shares), abs=1e-3)
    assert weighed(table(FOUR), even(3)).rank_prob == pytest.approx(
        np.array(independent_shares), abs=0.04
    )
