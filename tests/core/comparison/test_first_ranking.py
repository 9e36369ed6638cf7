"""The first ranking: short cases, laws, and what its sentences say.

"Common practice" beside a row means common practice, no source. All people are invented.
"""

from collections.abc import Mapping
from itertools import pairwise, permutations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.random import default_rng
from tests.core.techniques.findings import rows_of, situation_of
from tests.core.techniques.worked_situations import (
    ACUTE,
    ACUTE_DAYS,
    BIBLIOGRAPHY,
    BY_KEY,
    TECHNIQUES,
    UNKNOWN_LEVEL,
    changed,
    situation,
    unexamined,
)

from thumbwright.core.case.examined import Finding, Quality
from thumbwright.core.case.feet import ToeState
from thumbwright.core.case.goals import Goal, Refusal
from thumbwright.core.case.patient import DominantHand
from thumbwright.core.comparison.clauses import why
from thumbwright.core.comparison.order import RankedRow
from thumbwright.core.comparison.ranking import FirstRanking, rank
from thumbwright.core.comparison.weights import Weights
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.eligibility import Verdict, eligible_all
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

G = Goal
ROWS = rows_of(Path(__file__).with_name("ranking_vignettes.csv"))
CHILD_GOALS = (G.GROWTH, G.IP_MOTION, G.FEELING, G.LENGTH)


def _rank(one: Situation, weights: Weights | None = None) -> FirstRanking:
    return rank(eligible_all(TECHNIQUES, one), one, weights)


def _key(row: RankedRow | Unknown) -> str:
    return "unknown" if isinstance(row, Unknown) else row.technique.key


def _text(ranking: FirstRanking) -> str:
    return " ".join(sentence.text for sentence in ranking.sentences)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["title"])
def test_plan_a_and_fallback_are_those_of_a_hand_surgeon(row: Mapping[str, str]) -> None:
    found = _rank(
        situation_of(
            row["findings"],
            level=int(row["level"]),
            age_years=int(row["age_years"]),
            goals=row["goals"],
        )
    )
    assert (_key(found.plan_a), _key(found.fallback)) == (row["plan_a"], row["fallback"])


def test_the_vignettes_cover_every_level_and_both_ages_of_life() -> None:
    for level in range(1, 6):
        ages = {int(row["age_years"]) < 14 for row in ROWS if row["level"] == str(level)}
        assert ages == {True, False}


def test_every_expectation_says_where_it_comes_from() -> None:
    assert {row["source"] for row in ROWS} <= {*BIBLIOGRAPHY, "common practice"}


_SHUFFLED = default_rng(20260301)
_ORDERS: list[tuple[Goal, ...]] = [
    *permutations(Goal, 1),
    *permutations(Goal, 2),
    *(
        tuple(list(Goal)[place] for place in _SHUFFLED.permutation(len(Goal))[: 3 + extra % 7])
        for extra in range(70)
    ),
]


def test_in_a_growing_child_the_second_toe_leads_whatever_the_order_of_goals() -> None:
    """Common practice, no source."""
    for goals in _ORDERS:
        found = _rank(situation(age_years=7, goals=goals))
        assert (_key(found.plan_a), _key(found.fallback)) == (
            "second_toe",
            "staged_osteoplastic",
        ), goals


def test_without_microsurgery_the_staged_way_leads_whatever_the_order_of_goals() -> None:
    """Common practice, no source."""
    for goals in _ORDERS:
        built = situation(age_years=7, goals=goals, changes={"facility.microsurgery": Finding.NO})
        assert _key(_rank(built).plan_a) == "staged_osteoplastic", goals


def test_no_cover_of_skin_is_ranked_where_length_is_missing() -> None:
    """Common practice, no source."""
    for level in (Level.PROXIMAL_PHALANX, Level.MCP_JOINT, Level.METACARPAL, Level.CMC_JOINT):
        families = {row.technique.family.value for row in _rank(situation(level)).rows}
        assert not families & {"local_flap", "skin"}


def test_a_fit_part_is_put_back_whatever_the_order_of_goals() -> None:
    """Nearly every amputation of a thumb is a reason to try (thumb-rehabilitation-chapter)."""
    for goals in _ORDERS[::3]:
        for level in (Level.TERMINAL_PHALANX, Level.PROXIMAL_PHALANX, Level.MCP_JOINT):
            built = situation(level, goals=goals, changes=ACUTE, situation_changes=ACUTE_DAYS)
            assert _key(_rank(built).plan_a) == "replantation", (goals, level)


@settings(deadline=None)
@given(
    st.permutations(TECHNIQUES),
    st.sampled_from(Level),
    st.lists(st.sampled_from(Goal), unique=True),
)
def test_the_ranking_does_not_depend_on_the_order_of_the_catalogue(
    shuffled: list[Technique], level: Level, goals: list[Goal]
) -> None:
    one = situation(level, goals=tuple(goals))
    found = rank(eligible_all(shuffled, one), one)
    assert found == _rank(one)


def test_ranks_count_from_one_without_a_gap_and_only_open_techniques_have_them() -> None:
    found = _rank(situation(goals=CHILD_GOALS))
    assert [row.rank for row in found.rows] == list(range(1, len(found.rows) + 1))
    assert all(row.eligibility.verdict is Verdict.OPEN for row in found.rows)


def test_the_score_is_the_weighted_share_of_the_grades() -> None:
    """Second toe at the MCP joint: length 3 of 3, looks 2 of 3; weights 3/4 and 1/4."""
    found = _rank(situation(goals=(G.LENGTH, G.LOOKS)))
    toe = next(row for row in found.rows if row.technique.key == "second_toe")
    by_hand_score_share = 0.75 * 3 / 3 + 0.25 * 2 / 3
    assert toe.score_share == pytest.approx(by_hand_score_share)


def test_an_unsettled_technique_waits_with_the_rank_it_would_have() -> None:
    built = situation(
        age_years=7, goals=CHILD_GOALS, changes={"kept.thenar_function": Quality.NOT_EXAMINED}
        | {"feet.left.toes.second": ToeState.LOST, "feet.right.toes.second": ToeState.NOT_EXAMINED},
    )  # fmt: skip
    found = _rank(built)
    toe = next(row for row in found.rows if row.technique.key == "second_toe")
    assert not toe.is_settled
    assert toe.rank == 1
    assert _key(found.plan_a) == "great_toe"
    assert "The second toe would come before plan A at rank 1 if it opens" in _text(found)
    assert "the state of the second toe of the right foot" in _text(found)


def test_no_sound_finger_is_given_because_a_joint_was_not_examined() -> None:
    """What is open, but second line, waits for what hard facts put before it."""
    found = _rank(situation_of("kept.cmc.mobile=not_examined", goals="length"))
    assert isinstance(found.plan_a, Unknown)
    assert found.plan_a.needed == ("the CMC joint (whether it is mobile)",)
    assert "may yet open and would come before pollicization of the index finger" in _text(found)


def test_nothing_is_put_in_the_place_of_a_part_whose_hours_are_not_known() -> None:
    hours = "acute; injury.lost_part.cool_hours=not_examined"
    found = _rank(situation_of(hours, goals="length+feeling"))
    assert isinstance(found.plan_a, Unknown)
    assert found.plan_a.needed == ("hours that the part spent cooled",)
    assert "replantation may yet open" in found.plan_a.reason


def test_what_waits_with_something_against_it_does_not_hold_up_what_is_open() -> None:
    waits = "kept.thenar_function=not_examined; growing=unknown"
    found = _rank(situation_of(waits, goals="looks"))
    assert _key(found.plan_a) == "second_toe"


def test_nothing_is_named_plan_a_merely_because_nobody_was_examined() -> None:
    bare = situation(goals=CHILD_GOALS)
    found = _rank(changed(bare, "case", unexamined(bare.case)))
    assert isinstance(found.plan_a, Unknown)
    assert "the second toe" in found.plan_a.reason
    assert "the CMC joint (whether it is there, mobile and stable)" in found.plan_a.needed
    assert isinstance(found.fallback, Unknown)
    assert {row.technique.key for row in found.rows if row.is_settled} == {
        "prosthesis",
        "no_operation",
    }


def test_without_a_level_the_level_is_what_is_asked_for() -> None:
    found = _rank(situation(situation_changes=UNKNOWN_LEVEL))
    assert isinstance(found.plan_a, Unknown)
    assert found.plan_a.needed == ("a film of the injured hand",)
    assert "the level of loss is not known (no film was taken)" in found.plan_a.reason


@pytest.mark.parametrize("level", Level)
def test_a_prosthesis_and_no_operation_are_always_in_the_table_behind_reconstructions(
    level: Level,
) -> None:
    for goals in ((), (G.LOOKS, G.SPARE_DONOR_SITE), (G.SPARE_DONOR_SITE,)):
        rows = _rank(situation(level, goals=goals)).rows
        assert {row.technique.key for row in rows[-2:]} == {"prosthesis", "no_operation"}


def test_a_higher_score_that_stands_behind_is_not_hidden() -> None:
    text = _text(_rank(situation(goals=(G.LOOKS, G.SPARE_DONOR_SITE))))
    assert "By the goals alone a prosthesis would do better" in text
    assert "because a reconstruction is looked at before doing without one" in text


_NO_TOE_NO_FOREARM = "wishes.refusals=any_toe+forearm_scar"


@pytest.mark.parametrize(
    ("goals", "findings", "clause"),
    [
        ("ip_motion", "", "both give as much of what counts and it spares the donor site more"),
        ("looks+ip_motion", "", "it gives more of what counts (92% against 75%)"),
        ("stability", _NO_TOE_NO_FOREARM, "the latter is second line at this level"),
        (
            "stability",
            f"{_NO_TOE_NO_FOREARM}+loss_of_a_finger+external_fixator",
            "a reconstruction is looked at before doing without one",
        ),
        ("feeling", "acute; wishes.refusals=any_toe", "the own part, where it can be put back"),
    ],
)
def test_why_plan_a_comes_before_the_next_is_said(goals: str, findings: str, clause: str) -> None:
    found = _rank(situation_of(findings, goals=goals))
    text = next(one.text for one in found.sentences if one.text.startswith("It comes before"))
    assert clause in text


def test_what_speaks_against_the_next_is_said() -> None:
    """With the toes of an athlete's great toe advised against, the wrap-around comes first."""
    found = _rank(
        situation_of("feet.high_foot_demand=yes; wishes.refusals=second_toe", goals="looks")
    )
    reasons = [why(first, second) for first, second in pairwise(found.rows)]
    assert any("this speaks against the latter: Work or sport" in reason for reason in reasons)


def test_fewer_stages_break_a_tie() -> None:
    """Without toes and bone of the hip: palmar flap (1 stage) and healing (0) give the same."""
    built = situation(
        Level.TERMINAL_PHALANX,
        goals=(G.SPARE_DONOR_SITE,),
        changes={"kept.pulp_defect_mm": 6.0, "wishes.refusals": (Refusal.ANY_TOE,)},
    )
    found = _rank(built)
    assert _key(found.plan_a) == "second_intention"
    assert "because all else is equal and it needs fewer stages" in _text(found)


def test_the_sentences_say_what_is_given_what_it_costs_and_what_is_not() -> None:
    found = _rank(situation(goals=(G.LOOKS, G.STABILITY)))
    text = _text(found)
    assert "Plan A is the great-toe wrap-around flap." in text
    assert "Of what counts it gives: looks good, stability good." in text
    assert "It does not give: motion of the MCP joint, motion of the IP joint, growth." in text
    assert BY_KEY["great_toe_wrap_around"].costs.text in text
    assert "The fallback without microsurgery is the staged osteoplastic" in text
    assert found.sentences[-1].text.startswith("The program decides nothing")


def test_what_speaks_against_plan_a_is_said() -> None:
    built = situation(
        goals=(G.LENGTH,),
        changes={
            "patient.clotting_disorder": Finding.YES,
            "wishes.refusals": (
                Refusal.ILIAC_BONE,
                Refusal.FOREARM_SCAR,
                Refusal.LOSS_OF_A_FINGER,
                Refusal.EXTERNAL_FIXATOR,
            ),
        },
    )
    assert "Against it speaks: A disorder of clotting" in _text(_rank(built))


def test_what_is_only_remembered_is_named_where_plan_a_rests_on_it() -> None:
    built = situation(
        goals=(G.FEELING, G.IP_MOTION), changes={"wishes.refusals": (Refusal.SECOND_TOE,)}
    )
    found = _rank(built)
    assert _key(found.plan_a) == "great_toe"
    assert "From memory, unverified: what is said of its feeling" in _text(found)


def test_when_every_reconstruction_is_closed_that_is_said() -> None:
    built = situation(changes={"wishes.refusals": (Refusal.ANY_OPERATION,)})
    assert "Every reconstruction is closed" in _text(_rank(built))


@pytest.mark.parametrize(
    ("dominant", "is_said"),
    [(DominantHand.RIGHT, True), (DominantHand.BOTH, True), (DominantHand.LEFT, False)],
)
def test_the_leading_hand_is_spoken_of_only_if_it_is_hurt(
    dominant: DominantHand, *, is_said: bool
) -> None:
    text = _text(_rank(situation(changes={"patient.dominant_hand": dominant})))
    assert ("The leading hand is hurt" in text) is is_said


def test_other_weights_may_be_handed_in() -> None:
    looks_only = Weights(
        share={G.LOOKS: 1.0},
        sentence="Looks alone.",
        basis=Basis(provenance=Provenance.ASSUMED),
    )
    found = _rank(situation(goals=(G.IP_MOTION,)), looks_only)
    assert _key(found.plan_a) == "great_toe_wrap_around"
    assert "Looks alone." in _text(found)
