"""One case weighed as a whole: voices, limits, what waits, what if, and words for the family."""

import re

import numpy as np
import pytest
from tests.core.comparison.tables import CRITERIA
from tests.core.techniques.findings import situation_of
from tests.core.techniques.worked_situations import TECHNIQUES

from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.family_words import (
    counts_of_100,
    family_sentences,
    first_place_words,
    information_words,
)
from thumbwright.core.comparison.limits import HardLimit
from thumbwright.core.comparison.performance import Drawn, Performance
from thumbwright.core.comparison.performance_table import Cell
from thumbwright.core.comparison.preference import Single, Swing, Voice, preference_from_goals
from thumbwright.core.comparison.weighing import Draws, Weighing, weigh
from thumbwright.core.comparison.what_if import what_ifs
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.techniques.eligibility import eligible_all
from thumbwright.core.techniques.situation import Situation

K = CriterionKey
CHILD = situation_of("", level=3, age_years=7, goals="growth+ip_motion+length")
SURGEON = Swing(
    voice=Voice.SURGEON, points={K.STABILITY: 100, K.LENGTH: 90, K.DONOR_COST: 60}, doubt=10
)
FEW = Draws(performances=400, weights=8_000)


def weighed(
    one: Situation,
    *more: Single,
    numeric: dict[Cell, Performance] | None = None,
    limits: tuple[HardLimit, ...] = (),
) -> Weighing | Unknown:
    return weigh(
        eligible_all(TECHNIQUES, one),
        one,
        CRITERIA,
        [preference_from_goals(one), *more],
        rng=np.random.default_rng(7),
        numeric=numeric,
        limits=limits,
        draws=FEW,
    )


def sure(found: Weighing | Unknown) -> Weighing:
    assert isinstance(found, Weighing)
    return found


def test_the_same_source_of_chance_gives_the_same_weighing() -> None:
    first, again = (sure(weighed(CHILD)).views[0].found for _ in range(2))
    assert (first.rank_prob == again.rank_prob).all()


def test_voices_stand_side_by_side_and_the_joint_view_lies_between() -> None:
    found = sure(weighed(CHILD, SURGEON))
    patient, surgeon = (view.found.first_prob_of("staged_osteoplastic") for view in found.views)
    assert found.joint is not None
    joint = found.joint.found.first_prob_of("staged_osteoplastic")
    assert joint == pytest.approx((patient + surgeon) / 2, abs=0.03)
    assert sure(weighed(CHILD)).joint is None


def test_closed_techniques_are_never_ranked_and_say_why() -> None:
    one = situation_of("wishes.refusals=any_toe", level=3, goals="length")
    found = sure(weighed(one))
    assert "second_toe" not in found.table.techniques
    reasons = {left.technique: left.reason for left in found.out}
    assert "refused" in reasons["second_toe"]


def test_a_hard_limit_closes_and_weighs_nothing() -> None:
    limit = HardLimit(key=K.BURDEN_OPERATIONS, bound=1.0, words="more than one is not accepted")
    one = situation_of("facility.microsurgery=no", level=3, age_years=7, goals="growth")
    found = sure(weighed(one, limits=(limit,)))
    assert found.views[0].plan_a == "single_stage_osteoplastic"
    assert any(left.technique == "staged_osteoplastic" for left in found.out)
    none = HardLimit(key=K.BURDEN_OPERATIONS, bound=-1.0, words="none is accepted")
    assert isinstance(weighed(one, limits=(none,)), Unknown)


def test_a_figure_for_some_leaves_that_of_the_others_unknown_and_named() -> None:
    """A sure loss of the second toe puts the great toe first for one who weighs nothing else."""
    risk: dict[Cell, Performance] = {
        ("second_toe", K.LOSS_RISK): Drawn(draws=(0.3,)),
        ("great_toe", K.LOSS_RISK): Drawn(draws=(0.0,)),
    }
    careful = Swing(voice=Voice.GUARDIAN, points={K.LOSS_RISK: 100}, doubt=0)
    found = sure(weighed(CHILD, careful, numeric=risk))
    assert found.views[1].plan_a == "great_toe"
    named = {technique for technique, key in found.table.unknown if key is K.LOSS_RISK}
    assert named == set(found.table.techniques) - {"second_toe", "great_toe"}


def test_no_plan_is_named_before_what_stands_before_it_is_settled() -> None:
    one = situation_of("kept.cmc.mobile=not_examined", level=3, goals="length")
    plan = sure(weighed(one)).views[0].plan_a
    assert isinstance(plan, Unknown)
    assert any("CMC" in needed for needed in plan.needed)


def test_the_finding_that_would_most_change_the_choice_is_named() -> None:
    one = situation_of("recipient_vessels.allen_test=ulnar_only", level=3, goals="ip_motion")
    view = sure(weighed(one)).views[0]
    assert view.openings[0].changes_prob == 0.5
    assert "angiography" in information_words(view)


def test_growth_is_no_turning_point_for_one_who_is_grown() -> None:
    view = sure(weighed(situation_of("", goals="looks+length"))).views[0]
    assert view.turns
    assert K.GROWTH not in {turn.key for turn in view.turns}


def test_facts_without_numbers_are_weighed_again() -> None:
    found = {
        one.condition: one.then
        for one in what_ifs(CHILD, TECHNIQUES, CRITERIA, np.random.default_rng(1))
    }
    assert found["there were no microsurgery"] == "staged_osteoplastic"
    assert found["no finger could be given"] == "second_toe"
    assert "there were microsurgery" not in found


def test_without_a_voice_nothing_is_weighed() -> None:
    with pytest.raises(PlanError, match="at least one"):
        weigh([], CHILD, CRITERIA, [], rng=np.random.default_rng(1))


@pytest.mark.parametrize("shares", [(1 / 3, 1 / 3, 1 / 3), (0.005, 0.995), (0.625, 0.375), (1.0,)])
def test_counts_add_up_to_a_hundred_and_lie_within_one(shares: tuple[float, ...]) -> None:
    counts = counts_of_100(shares)
    assert sum(counts) == 100
    pairs = zip(counts, shares, strict=True)
    assert all(abs(count - 100 * share) < 1 for count, share in pairs)


def test_the_family_reads_counts_of_a_hundred() -> None:
    view = sure(weighed(CHILD)).views[0]
    first, *_ = first_place_words(view.found, view.preference)
    pattern = (
        r"Of 100 ways to weigh what matters to you, the second toe came first in "
        r"(more than )?\d+\."
    )
    assert re.fullmatch(pattern, first)


def grade_level(text: str) -> float:
    """Return the Flesch-Kincaid grade: 0.39 words a sentence + 11.8 syllables a word - 15.59."""
    sentences = max(1, len(re.findall(r"[.!?](?: |$)", text)))
    words = re.findall(r"[A-Za-z']+|\d+", text)
    syllables = sum(max(1, len(re.findall(r"[aeiouy]+", word.lower()))) for word in words)
    return 0.39 * len(words) / sentences + 11.8 * syllables / len(words) - 15.59


def test_the_words_for_the_family_are_those_of_the_sixth_grade() -> None:
    """Names of techniques are read as "this way": they are taught, and not ours to shorten."""
    found = sure(weighed(CHILD, SURGEON))
    told = [one for one in family_sentences(found, CRITERIA) if not one.startswith("These ways")]
    text = " ".join(told)
    for technique in sorted(TECHNIQUES, key=lambda one: -len(one.short_name)):
        text = re.sub(re.escape(technique.short_name), "this way", text, flags=re.IGNORECASE)
    assert grade_level(text) < 7
