"""The level of loss: by the examination, by the film, and by both."""

from dataclasses import replace
from math import fsum, inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.level.pattern_thumb import mm, pattern

from thumbwright.core.case.examined import Finding
from thumbwright.core.case.hand import Joint, Kept
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.level.borders import borders
from thumbwright.core.level.classification import classify
from thumbwright.core.level.levels import Level

L1, L2, L3, L4, L5 = Level
THERE, GONE, UNSEEN = (
    Joint(present=Finding.YES),
    Joint(present=Finding.NO),
    Joint(),
)
UNMEASURED = Unknown(reason="there is no film", needed=("a film of the hand",))
DRAWS = 200_000


def shares(missing: Measured, kept: Kept | None = None) -> list[float]:
    found = classify(kept or Kept(), pattern(), missing)
    assert not isinstance(found.probabilities, Unknown)
    return [found.probabilities[level] for level in Level]


# What each joint found leaves open: common practice, no source.
@pytest.mark.parametrize(
    ("cmc", "mcp", "ip", "left"),
    [
        (UNSEEN, UNSEEN, UNSEEN, (L1, L2, L3, L4, L5)),
        (THERE, THERE, THERE, (L1,)),
        (UNSEEN, UNSEEN, THERE, (L1,)),
        (THERE, THERE, GONE, (L2, L3)),
        (THERE, THERE, UNSEEN, (L1, L2, L3)),
        (THERE, GONE, GONE, (L3, L4)),
        (UNSEEN, GONE, GONE, (L3, L4, L5)),
        (THERE, UNSEEN, UNSEEN, (L1, L2, L3, L4)),
        (THERE, UNSEEN, GONE, (L2, L3, L4)),
        (GONE, GONE, GONE, (L5,)),
        (GONE, UNSEEN, UNSEEN, (L5,)),
    ],
)
def test_each_joint_found_excludes_the_levels_it_cannot_be_at(
    cmc: Joint, mcp: Joint, ip: Joint, left: tuple[Level, ...]
) -> None:
    found = classify(Kept(cmc=cmc, mcp=mcp, ip=ip), (), UNMEASURED)
    assert found.allowed == left
    assert found.plausible == left
    assert len(found.reasons) == sum(joint is not UNSEEN for joint in (cmc, mcp, ip))


def test_with_nothing_measured_and_one_level_left_that_level_is_named_without_probability() -> None:
    found = classify(Kept(cmc=THERE, mcp=THERE, ip=THERE), (), UNMEASURED)
    assert found.level is L1
    assert found.probabilities == UNMEASURED


def test_with_nothing_measured_and_several_levels_left_the_level_is_unknown() -> None:
    found = classify(Kept(cmc=THERE, mcp=GONE), (), UNMEASURED)
    assert isinstance(found.level, Unknown)
    assert "2 levels open" in found.level.reason
    assert found.level.needed == UNMEASURED.needed


def test_a_measured_stump_without_a_pattern_leaves_the_level_to_the_examination() -> None:
    found = classify(Kept(), pattern()[:2], mm(30.0, 0.5))
    assert isinstance(found.level, Unknown)
    assert "IP joint" in found.level.reason
    assert isinstance(found.probabilities, Unknown)


def test_the_probability_at_a_border_by_judgement_is_that_of_a_normal_variable() -> None:
    # The border of 2 and 3 lies at 38 mm with a doubt of 2 mm; 36 mm are missing.
    by_hand_beyond_prob = 0.8413
    assert shares(mm(36.0))[1] == pytest.approx(by_hand_beyond_prob, abs=1e-4)
    assert shares(mm(36.0))[2] == pytest.approx(1 - by_hand_beyond_prob, abs=1e-4)


def test_few_degrees_of_freedom_make_the_neighbour_more_probable() -> None:
    # 23 mm are missing, 1 mm short of the IP joint, doubt 1 mm: Student's t at 1.
    by_hand_normal_prob, by_hand_prob_at_3_degrees = 0.1587, 0.1955
    assert shares(mm(23.0, 1.0))[0] == pytest.approx(by_hand_normal_prob, abs=1e-4)
    few = shares(mm(23.0, 1.0, freedom=3.0))
    assert few[0] == pytest.approx(by_hand_prob_at_3_degrees, abs=1e-4)


@pytest.mark.parametrize("missing_mm", [21.0, 24.0, 37.0, 41.0, 75.0, 79.0, 99.0])
def test_probabilities_agree_with_drawing_every_doubt_at_random(missing_mm: float) -> None:
    rng = np.random.default_rng(2026)
    joints, missing = pattern(0.5, shared=0.01), mm(missing_mm, 0.9, key="hand", shared=0.01)
    lines = borders(joints)
    found = classify(Kept(), joints, missing)
    assert not isinstance(lines, Unknown)
    assert not isinstance(found.probabilities, Unknown)
    errors: dict[str, np.ndarray[tuple[int], np.dtype[np.float64]]] = {}

    def drawn(number: Measured) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        value = np.full(DRAWS, number.value)
        for term in number.budget:
            error = errors.setdefault(term.input.key, rng.standard_normal(DRAWS))
            value += term.effect * error
        return value

    lost = drawn(missing)
    reached = np.sum([lost >= drawn(line.from_tip) for line in lines], axis=0)
    for number, level in enumerate(Level):
        independent_prob = float(np.mean(reached == number))
        doubt = 4 * np.sqrt(max(independent_prob, 1e-4) / DRAWS) + 1e-4
        assert found.probabilities[level] == pytest.approx(independent_prob, abs=doubt), level


def test_what_the_examination_excludes_is_taken_out_and_the_rest_scaled_to_one() -> None:
    film = shares(mm(39.0, 0.5))
    both = shares(mm(39.0, 0.5), Kept(mcp=GONE))
    by_hand_prob = film[2] / (film[2] + film[3] + film[4])
    assert film[1] > 0.3
    assert both[1] == 0.0
    assert both[2] == pytest.approx(by_hand_prob)
    assert fsum(both) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("kept", "missing_mm", "said"),
    [
        (Kept(cmc=THERE, mcp=THERE, ip=THERE), 88.0, ("level 4", "level 1")),
        (Kept(cmc=THERE, mcp=GONE, ip=GONE), 12.0, ("level 1", "level 3", "level 4")),
        (Kept(cmc=GONE, mcp=GONE, ip=GONE), 60.0, ("level 3", "level 5")),
    ],
)
def test_a_film_against_the_examination_is_named_and_nothing_is_scaled(
    kept: Kept, missing_mm: float, said: tuple[str, ...]
) -> None:
    found = classify(kept, pattern(0.4), mm(missing_mm, 0.5))
    alone = classify(Kept(), pattern(0.4), mm(missing_mm, 0.5))
    assert isinstance(found.level, Unknown)
    assert "do not agree" in found.level.reason
    assert found.level.needed
    assert all(level in found.conflict for level in said)
    assert found.probabilities == alone.probabilities
    # Both what the film says and what was examined stay in mind: neither closes a technique.
    assert set(found.allowed) < set(found.plausible)
    assert set(alone.plausible) <= set(found.plausible)


def test_a_small_disagreement_within_the_doubt_is_no_conflict() -> None:
    found = classify(Kept(cmc=THERE, mcp=THERE, ip=THERE), pattern(0.4), mm(22.3, 0.5))
    assert found.level is L1
    assert found.conflict == ""


def test_a_floating_thumb_has_no_level_and_the_reason_says_why() -> None:
    floating = Kept(cmc=GONE, mcp=THERE, ip=THERE)
    examined = classify(floating, (), UNMEASURED)
    filmed = classify(floating, pattern(), mm(60.0, 0.5))
    for found in (examined, filmed):
        assert isinstance(found.level, Unknown)
        assert "nearer the tip" in found.level.reason
        assert found.allowed == ()
    assert filmed.conflict.endswith("leave no level at all.")
    assert set(filmed.plausible) == set(Level)


def test_where_nothing_of_the_ray_is_left_the_loss_is_at_level_5_and_no_doubt_divides() -> None:
    joints = pattern(0.5)
    whole = joints[0].from_tip
    assert isinstance(whole, Measured)
    found = classify(Kept(cmc=GONE), joints, whole)
    assert found.level is L5
    assert found.conflict == ""
    assert not isinstance(found.probabilities, Unknown)
    assert found.probabilities[L5] == 1.0
    assert "ends at the CMC joint: level 5" in found.reasons[-1]


def test_a_stump_longer_than_the_pattern_is_at_level_1_and_printed_with_a_minus_sign() -> None:
    found = classify(Kept(), pattern(0.5), mm(-2.0, 0.5))
    assert found.level is L1
    assert "−2.0 mm" in found.reasons[-1]


def test_of_two_levels_alike_the_greater_loss_is_named() -> None:
    found = classify(Kept(), pattern(), mm(38.0))
    assert shares(mm(38.0))[1] == shares(mm(38.0))[2]
    assert found.level is L3


def test_a_level_below_one_in_twenty_is_not_pursued() -> None:
    found = classify(Kept(), pattern(), mm(34.0))
    assert not isinstance(found.probabilities, Unknown)
    assert 0 < found.probabilities[L3] < 0.05
    assert found.plausible == (L2,)
    # 3 mm short of the border of 38 mm, doubt 2 mm: 6.7 % remain beyond 1.5 deviations.
    assert classify(Kept(), pattern(), mm(35.0)).plausible == (L2, L3)


LENGTHS = st.floats(min_value=-5, max_value=115)
DOUBTS = st.floats(min_value=0.05, max_value=4)
FREEDOMS = st.sampled_from([4.0, 20.0, inf])


@settings(deadline=None, max_examples=300)
@given(LENGTHS, DOUBTS, DOUBTS, FREEDOMS)
def test_probabilities_are_shares_that_add_to_one(
    missing_mm: float, doubt: float, of_joints: float, freedom: float
) -> None:
    missing = mm(missing_mm, doubt, key="hand", freedom=freedom)
    found = classify(Kept(), pattern(of_joints), missing)
    assert not isinstance(found.probabilities, Unknown)
    assert all(0 <= prob <= 1 for prob in found.probabilities.values())
    assert fsum(found.probabilities.values()) == pytest.approx(1.0)


@settings(deadline=None, max_examples=300)
@given(LENGTHS, st.floats(min_value=0, max_value=60), DOUBTS, DOUBTS, FREEDOMS)
def test_a_longer_stump_never_has_a_greater_loss(
    missing_mm: float, longer_mm: float, doubt: float, of_joints: float, freedom: float
) -> None:
    joints = pattern(of_joints)
    short = classify(Kept(), joints, mm(missing_mm, doubt, key="hand", freedom=freedom))
    long = classify(Kept(), joints, mm(missing_mm - longer_mm, doubt, key="hand", freedom=freedom))
    assert isinstance(short.level, Level)
    assert isinstance(long.level, Level)
    assert long.level.value <= short.level.value


@settings(deadline=None, max_examples=200)
@given(
    st.sampled_from([THERE, GONE, UNSEEN]),
    st.sampled_from([THERE, GONE, UNSEEN]),
    st.sampled_from([THERE, GONE, UNSEEN]),
    LENGTHS,
)
def test_no_level_that_the_examination_excludes_is_ever_named(
    cmc: Joint, mcp: Joint, ip: Joint, missing_mm: float
) -> None:
    kept = replace(Kept(), cmc=cmc, mcp=mcp, ip=ip)
    found = classify(kept, pattern(0.4), mm(missing_mm, 0.6))
    assert isinstance(found.level, Unknown) == bool(found.conflict)
    assert isinstance(found.level, Unknown) or found.level in found.allowed
