"""Pure series first, mixed ones as a wider prior, no person twice, nothing from memory unasked."""

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import betaincinv
from tests.core.evidence.worked_arms import TOE, arm, arms_of

from thumbwright.core.evidence.intervals import clopper_pearson_1934
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pool import Evidence, Rests, UsedShare, pool, pool_all
from thumbwright.core.evidence.pooled_mean import PooledMean, pool_means
from thumbwright.core.evidence.pooled_share import PooledShare, by_other_methods, without_each
from thumbwright.core.evidence.share_doubt import BetaShare, LogitNormal
from thumbwright.core.evidence.study import Averaged, Counted, Population, StudyArm
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError


def pooled(arms: list[StudyArm], *, with_recalled: bool = False) -> Evidence:
    return pool(arms, TOE, Outcome.LOSS, with_recalled=with_recalled)


def used(evidence: Evidence) -> UsedShare:
    assert isinstance(evidence.used, UsedShare)
    return evidence.used


def test_one_series_keeps_its_exact_interval_and_says_that_it_is_alone() -> None:
    evidence = pooled(arms_of((5, 54)))
    assert isinstance(evidence.pure, PooledShare)
    by_hand = clopper_pearson_1934(Counted(events=5, total=54))
    assert used(evidence).interval == by_hand
    assert evidence.pure.method == "one series, its exact interval"
    assert any("One series alone" in text for text in evidence.pure.cautions)
    assert isinstance(evidence.pure.disagreement, Unknown)


def test_no_series_is_unknown_and_says_what_would_help() -> None:
    evidence = pooled([])
    assert isinstance(evidence.used, Unknown)
    assert "no pure series" in evidence.used.reason
    assert evidence.used.needed


def test_where_nobody_had_it_the_sum_has_its_exact_interval() -> None:
    """By hand: none of 30, so the upper end solves (1 - p)^30 = 0.025."""
    by_hand_high = 1 - 0.025 ** (1 / 30)
    evidence = pooled(arms_of((0, 14), (0, 9), (0, 7)))
    assert used(evidence).interval.high_share == pytest.approx(by_hand_high)
    assert used(evidence).interval.share == 0.0
    assert isinstance(evidence.pure, PooledShare)
    assert any("not the same as none to come" in text for text in evidence.pure.cautions)


def test_three_pure_series_stand_alone_whatever_the_mixed_ones_say() -> None:
    pure = arms_of((2, 40), (3, 50), (4, 60))
    alone = pooled(pure)
    beside = pooled([*pure, *arms_of((30, 60), (40, 80), pure=False, prefix="m")])
    assert used(beside) == used(alone)
    assert used(beside).rests is Rests.PURE
    assert isinstance(beside.mixed, PooledShare)


def test_two_pure_series_are_put_on_the_mixed_ones_at_a_quarter() -> None:
    """By hand: none of 20 pure on none of 40 mixed is a beta of 0.5 and 0.5 + 40/4 + 20."""
    evidence = pooled([*arms_of((0, 12), (0, 8)), *arms_of((0, 40), pure=False, prefix="m")])
    by_hand_high = float(betaincinv(0.5, 30.5, 0.975))
    assert used(evidence).rests is Rests.PURE_ON_MIXED
    assert used(evidence).doubt == BetaShare(events=0.5, others=30.5)
    assert used(evidence).interval.high_share == pytest.approx(by_hand_high)


def test_mixed_series_alone_are_wider_than_they_would_be_as_pure_ones() -> None:
    pairs = ((4, 60), (9, 80), (2, 70))
    mixed = used(pooled(arms_of(*pairs, pure=False)))
    pure = used(pooled(arms_of(*pairs)))
    assert mixed.rests is Rests.MIXED
    assert mixed.interval.low_share < pure.interval.low_share
    assert mixed.interval.high_share > pure.interval.high_share


def test_of_series_with_the_same_people_the_larger_is_used_whole() -> None:
    """A source of two arms, 31 and 144, outweighs another of 133, and both its arms stay."""
    arms = [
        arm("a1", Counted(events=1, total=31), group="unit", source="later"),
        arm("a2", Counted(events=5, total=144), group="unit", source="later"),
        arm("b", Counted(events=6, total=139), group="unit", source="earlier"),
    ]
    evidence = pooled(arms)
    assert isinstance(evidence.pure, PooledShare)
    assert evidence.pure.summed == Counted(events=6, total=175)
    (left,) = evidence.left_out
    assert left.arm.key == "b"
    assert "175 of another series" in left.reason


def test_people_of_a_pure_series_are_not_counted_again_among_mixed_ones() -> None:
    pure = arm("p", Counted(events=0, total=14), group="unit")
    mixed = arm("m", Counted(events=2, total=127), group="unit", pure=False)
    evidence = pooled([pure, mixed])
    assert isinstance(evidence.mixed, Unknown)
    assert "purer series" in evidence.left_out[0].reason


def test_numbers_from_memory_wait_to_be_asked_for_and_are_labelled_then() -> None:
    arms = [*arms_of((1, 30)), arm("memory", Counted(events=9, total=30), recalled=True)]
    silent, asked = pooled(arms), pooled(arms, with_recalled=True)
    assert isinstance(silent.pure, PooledShare)
    assert isinstance(asked.pure, PooledShare)
    assert silent.pure.summed.total == 30
    assert "from memory" in silent.left_out[0].reason
    assert not silent.has_recalled
    assert asked.pure.summed.total == 60
    assert asked.has_recalled


def test_a_review_is_shown_and_never_added() -> None:
    review = arm("review", Counted(events=90, total=800), review=True)
    evidence = pooled([*arms_of((1, 30)), review])
    assert evidence.reviews == (review,)
    assert isinstance(evidence.pure, PooledShare)
    assert evidence.pure.summed.total == 30


def test_children_are_left_out_where_adults_are_asked_for() -> None:
    child = arm("c", Counted(events=0, total=14), population=Population.CHILD)
    adult = arm("a", Counted(events=1, total=32), population=Population.ADULT)
    evidence = pool([child, adult], TOE, Outcome.LOSS, people=Population.ADULT)
    assert isinstance(evidence.pure, PooledShare)
    assert evidence.pure.arms == (adult,)
    assert evidence.left_out[0].reason == "it followed children"


def test_a_measured_outcome_is_not_pooled_as_a_count_nor_the_reverse() -> None:
    with pytest.raises(KnowledgeError, match=r"'static_two_point'.*pool means with pool_means"):
        pool([], TOE, Outcome.STATIC_TWO_POINT)
    with pytest.raises(KnowledgeError, match=r"'loss'.*pool counts with pool"):
        pool_means([], TOE, Outcome.LOSS)


def test_series_that_disagree_are_told_apart_from_chance() -> None:
    evidence = pooled(arms_of((2, 100), (30, 100), (5, 100), (22, 100)))
    assert isinstance(evidence.pure, PooledShare)
    assert evidence.pure.differs
    assert isinstance(used(evidence).doubt, LogitNormal)
    assert any("disagree beyond chance" in text for text in evidence.pure.cautions)
    assert not isinstance(evidence.pure.prediction, Unknown)
    assert evidence.pure.prediction.low_share < evidence.pure.interval.low_share


def test_other_methods_stand_beside_and_agree_where_nothing_is_rare() -> None:
    evidence = pooled(arms_of((20, 100), (24, 100), (22, 100), (19, 100)))
    assert isinstance(evidence.pure, PooledShare)
    others = dict(by_other_methods(evidence.pure))
    assert len(others) == 4
    for found in others.values():
        assert found.share == pytest.approx(evidence.pure.interval.share, abs=0.003)


def test_without_each_series_the_share_moves_as_it_should() -> None:
    evidence = pooled(arms_of((0, 50), (0, 50), (6, 50)))
    assert isinstance(evidence.pure, PooledShare)
    found = without_each(evidence.pure)
    assert not isinstance(found, Unknown)
    by_key = {one.key: share for one, share in found}
    assert by_key["s2"] == 0.0
    assert by_key["s0"] > evidence.pure.interval.share


def test_everything_is_pooled_once_in_the_order_of_the_techniques() -> None:
    arms = [*arms_of((1, 30)), arm("i", Counted(events=1, total=9), outcome=Outcome.INFECTION)]
    found = pool_all(arms, ["pollicization", TOE])
    assert [(one.technique, one.outcome) for one in found] == [
        (TOE, Outcome.LOSS),
        (TOE, Outcome.INFECTION),
    ]


def mean_arm(key: str, mean: float, sd: float | None, total: int) -> StudyArm:
    result = Averaged(mean=mean, unit="mm", sd=sd, total=total)
    return arm(key, result, outcome=Outcome.STATIC_TWO_POINT)


def test_means_are_pooled_and_those_without_a_spread_only_stated() -> None:
    arms = [
        mean_arm("a", 9.0, 2.0, 16),
        mean_arm("b", 9.0, 2.0, 25),
        mean_arm("c", 9.0, 2.0, 36),
        mean_arm("d", 5.0, None, 9),
    ]
    found = pool_means(arms, TOE, Outcome.STATIC_TWO_POINT)
    assert isinstance(found.used, PooledMean)
    assert found.used.mean == pytest.approx(9.0)
    assert found.printed_span == (5.0, 9.0)
    assert [one.arm.key for one in found.left_out] == ["d"]


def test_one_mean_has_the_interval_of_student() -> None:
    """By hand: 9.0 with SD 2 in 16 people: 9 ± 2.1314 * 2 / 4."""
    by_hand_half = 2.1314 * 0.5
    found = pool_means([mean_arm("a", 9.0, 2.0, 16)], TOE, Outcome.STATIC_TWO_POINT)
    assert isinstance(found.used, PooledMean)
    assert found.used.interval.high - 9.0 == pytest.approx(by_hand_half, abs=1e-4)


PAIRS = st.lists(
    st.integers(5, 200).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
    min_size=1,
    max_size=6,
)


@settings(max_examples=60, deadline=None)
@given(PAIRS)
def test_the_pooled_share_lies_between_the_series(pairs: list[tuple[int, int]]) -> None:
    evidence = pooled(arms_of(*pairs))
    shares = [events / total for events, total in pairs]
    found = used(evidence).interval
    # Half an event is added to an arm at the edge where log odds are pooled.
    slack = 0.5 / min(total for _, total in pairs)
    assert min(shares) - slack <= found.share <= max(shares) + slack
    assert 0.0 <= found.low_share <= found.share <= found.high_share <= 1.0


@settings(max_examples=40, deadline=None)
@given(PAIRS, st.randoms(use_true_random=False))
def test_the_order_of_the_table_does_not_matter(
    pairs: list[tuple[int, int]], shuffler: Random
) -> None:
    arms = arms_of(*pairs)
    mixed_up = list(arms)
    shuffler.shuffle(mixed_up)
    assert pooled(mixed_up) == pooled(arms)


@settings(max_examples=40, deadline=None)
@given(PAIRS)
def test_an_arm_that_speaks_of_something_else_changes_nothing(pairs: list[tuple[int, int]]) -> None:
    arms = arms_of(*pairs)
    other = arm("other", Counted(events=1, total=3), outcome=Outcome.INFECTION)
    assert pooled([*arms, other]).used == pooled(arms).used


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 30), st.integers(31, 200))
def test_more_people_at_the_same_share_never_widen_one_series(events: int, total: int) -> None:
    once = used(pooled(arms_of((events, total)))).interval
    twice = used(pooled(arms_of((2 * events, 2 * total)))).interval
    assert twice.high_share - twice.low_share <= once.high_share - once.low_share + 1e-12
