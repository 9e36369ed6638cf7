"""What would have to differ for another technique to come first."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.techniques.findings import situation_of
from tests.core.techniques.worked_situations import TECHNIQUES, changed, situation

from thumbwright.core.case.goals import Goal
from thumbwright.core.comparison.order import RankedRow, put_in_order
from thumbwright.core.comparison.ranking import rank
from thumbwright.core.comparison.weights import Weights
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.eligibility import eligible_all
from thumbwright.core.techniques.situation import Situation

G = Goal
JOINER = "length+feeling+stability+mcp_motion+looks"
SAME = "Whichever goal the patient names first, plan A stays the same."


def _texts(one: Situation, weights: Weights | None = None) -> list[str]:
    found = rank(eligible_all(TECHNIQUES, one), one, weights)
    return [sentence.text for sentence in found.sentences]


def _plan_a(one: Situation) -> str:
    plan = put_in_order(eligible_all(TECHNIQUES, one), one).plan_a
    assert isinstance(plan, RankedRow)
    return plan.technique.short_name


def test_which_goal_would_put_another_technique_first_is_said() -> None:
    assert (
        "Other goals would put another technique first: with motion of the IP joint named first, "
        "the trimmed great toe; with sparing the donor site named first, the second toe."
    ) in _texts(situation_of("", level=2, age_years=41, goals=JOINER))


def test_that_no_goal_would_change_it_is_said() -> None:
    """In a growing child the second toe leads whatever the order (common practice, no source)."""
    assert SAME in _texts(situation(age_years=7, goals=(G.GROWTH, G.LOOKS)))


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(Level),
    st.sampled_from((7, 45)),
    st.lists(st.sampled_from(Goal), unique=True, max_size=4),
)
def test_what_is_said_of_the_goals_comes_true(
    level: Level, age_years: int, goals: list[Goal]
) -> None:
    one = situation(level, age_years=age_years, goals=tuple(goals))
    texts = _texts(one)
    others = {
        _plan_a(changed(one, "case.wishes.goals", (goal, *(g for g in goals if g is not goal))))
        for goal in Goal
        if goal is not G.GROWTH or age_years == 7
    } - {_plan_a(one)}
    said = next((text for text in texts if text.startswith("Other goals")), "")
    assert (SAME in texts) is (not others)
    assert {name for name in others if f"named first, {name}" not in said} == set()


def test_without_what_speaks_against_it_another_would_come_first() -> None:
    one = situation_of("feet.high_foot_demand=yes; wishes.refusals=second_toe", goals="ip_motion")
    assert (
        "The great toe would come first if this did not speak against it: Work or sport depends "
        "on the push-off of the foot, which this toe gives."
    ) in _texts(one)


def test_what_would_not_come_first_anyhow_is_no_turning_point() -> None:
    """In a growing child the trimmed great toe is advised against, refused or not, and loses."""
    for findings in ("", "wishes.refusals=great_toe"):
        one = situation_of(findings, goals="growth+ip_motion", age_years=7)
        assert not any("would come first" in text for text in _texts(one))


@pytest.mark.parametrize(
    ("findings", "words"),
    [
        (
            "facility.microsurgery=no",
            "The second toe would come first but for this: The unit cannot offer microsurgery.",
        ),
        (
            "wishes.refusals=second_toe",
            "The second toe would come first but for this: The patient has refused the toe",
        ),
    ],
)
def test_what_people_could_change_is_said(findings: str, words: str) -> None:
    texts = _texts(situation_of(findings, goals="ip_motion+growth", age_years=7))
    assert any(text.startswith(words) for text in texts)


def test_what_nobody_can_change_is_not_called_a_turning_point() -> None:
    one = situation_of("feet.both.toes.second=lost", goals="ip_motion+growth", age_years=7)
    assert not any("would come first but for this" in text for text in _texts(one))


def test_what_another_plausible_level_would_mean_is_said() -> None:
    one = situation_of(
        "level_prob=3:0.8+4:0.14+2:0.06; plausible=2+3+4", age_years=7, goals="growth+ip_motion"
    )
    texts = _texts(one)
    assert (
        "Should the loss be at level 4, base of the metacarpal, CMC joint kept (14%), plan A would "
        "be the second toe with its MTP joint."
    ) in texts
    assert (
        "Should the loss be at level 2, neck of the proximal phalanx (6%), plan A stays the same."
    ) in texts


def test_what_another_plausible_level_would_wait_for_is_said() -> None:
    """At the MCP joint the second toe would lead, and waits for images of the arteries."""
    one = situation_of(
        "level_prob=4:0.89+3:0.11; plausible=3+4; recipient_vessels.allen_test=ulnar_only; "
        "fingers.index=stiff; feet.high_foot_demand=yes",
        level=4,
        age_years=58,
        goals="stability+length",
    )
    assert (
        "Should the loss be at level 3, at or about the MCP joint (11%), no plan A could be named "
        "before this is settled: angiography of the hand and forearm."
    ) in _texts(one)


def test_without_a_plan_a_or_a_reconstruction_nothing_is_said_of_change() -> None:
    for findings in ("kept.cmc.mobile=not_examined", "wishes.refusals=any_operation"):
        texts = _texts(situation_of(findings, goals="length"))
        assert SAME not in texts
        assert not any(text.startswith(("Other goals", "Should the loss")) for text in texts)


def test_with_weights_handed_in_nothing_is_said_of_the_order_of_goals() -> None:
    basis = Basis(provenance=Provenance.ASSUMED)
    weights = Weights(share={G.LOOKS: 1.0}, sentence="Looks alone.", basis=basis)
    texts = _texts(situation(goals=(G.IP_MOTION,)), weights)
    assert SAME not in texts
    assert not any(text.startswith("Other goals") for text in texts)
