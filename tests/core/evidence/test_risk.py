"""What a risk in print means for one patient, by draws and without them."""

from dataclasses import replace
from datetime import date
from math import exp, log

import numpy as np
import pytest
from scipy.special import expit, logit
from tests.core.evidence.worked_arms import TOE, arms_of, factors, studies, techniques

from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import Finding, Side
from thumbwright.core.case.injury import Injury, LostPart, Mechanism
from thumbwright.core.case.patient import Patient, Sex, Smoking
from thumbwright.core.evidence.exposures import as_if_smoking_stopped, exposures
from thumbwright.core.evidence.factor_effect import FactorEffect, effect_of
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pool import pool
from thumbwright.core.evidence.risk import PatientRisk, patient_risk
from thumbwright.core.evidence.risk_factor import Fact, FindingKind, RiskFactor, Setting
from thumbwright.core.evidence.risk_shift import Shift, closed_interval, drawn_shares
from thumbwright.core.evidence.share_doubt import BetaShare, LogitNormal, ShareDoubt
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Basis, Provenance

SURE = LogitNormal(middle_log_odds=float(logit(0.05)), sd_log_odds=1e-6)
DOUBTFUL = LogitNormal(middle_log_odds=-3.2, sd_log_odds=0.6)
FROM_COUNTS = BetaShare(events=0.5, others=30.5)


def case(
    smoking: Smoking = Smoking.NEVER,
    diabetes: Finding = Finding.NO,
    mechanism: Mechanism = Mechanism.SHARP,
    part: LostPart | None = None,
) -> Case:
    return Case(
        case_id="one",
        examined_on=date(2026, 11, 1),
        patient=Patient(
            pseudonym="One",
            birth_date=date(1980, 1, 1),
            sex=Sex.MALE,
            smoking=smoking,
            diabetes=diabetes,
            vascular_disease=Finding.NO,
        ),
        injury=Injury(
            side=Side.LEFT,
            mechanism=mechanism,
            lost_part=part or LostPart(warm_hours=2.0, cool_hours=3.0),
        ),
    )


def risk(one: Case, key: str = TOE, outcome: Outcome = Outcome.LOSS, seed: int = 7) -> PatientRisk:
    found = patient_risk(
        pool(studies(), key, outcome),
        techniques()[key],
        exposures(one, 46.0),
        factors(),
        np.random.default_rng(seed),
    )
    assert isinstance(found, PatientRisk)
    return found


def publication(
    finding: FindingKind = FindingKind.ODDS_RATIO,
    ratios: tuple[float, float, float] | None = (2.0, 1.0, 4.0),
) -> RiskFactor:
    ratio, low, high = ratios or (None, None, None)
    return RiskFactor(
        key="one",
        fact=Fact.SMOKES,
        setting=Setting.FREE_TRANSFER,
        outcome=Outcome.LOSS,
        finding=finding,
        odds_ratio=ratio,
        low_ratio=low,
        high_ratio=high,
        people_share=0.3,
        basis=Basis(provenance=Provenance.READ, source="hwang-2018"),
        note="",
    )


def test_one_published_ratio_is_taken_as_it_is_printed() -> None:
    """By hand: 2 (1 to 4) has the log odds ln 2 and the doubt ln 4 / 3.92."""
    effect = effect_of([publication()])
    assert isinstance(effect, FactorEffect)
    assert effect.log_odds == pytest.approx(log(2.0))
    assert effect.sd_log_odds == pytest.approx(log(4.0) / 3.919928)
    assert effect.ratio_words == "2 (1 to 4)"


def test_two_ratios_are_pooled_and_both_are_said() -> None:
    effect = effect_of([publication(), publication(ratios=(4.0, 2.0, 8.0))])
    assert isinstance(effect, FactorEffect)
    by_hand_middle = log(8.0**0.5)  # equal doubts: the geometric mean of 2 and 4
    assert effect.log_odds == pytest.approx(by_hand_middle)
    assert "2 and 4" in effect.how


def test_where_some_found_nothing_both_count_and_the_wider_is_used() -> None:
    """By hand: half of ln 2, variance that of ln 2 and 0 in equal parts."""
    nothing = publication(FindingKind.NO_EFFECT, None)
    alone, both = effect_of([publication()]), effect_of([publication(), nothing])
    assert isinstance(alone, FactorEffect)
    assert isinstance(both, FactorEffect)
    by_hand_sd = (alone.sd_log_odds**2 + (log(2.0) / 2) ** 2) ** 0.5
    assert both.log_odds == pytest.approx(log(2.0) / 2)
    assert both.sd_log_odds == pytest.approx(by_hand_sd)
    assert "no effect" in both.how
    assert len(both.publications) == 2


@pytest.mark.parametrize(
    ("finding", "said"),
    [
        (FindingKind.NO_EFFECT, "found no effect"),
        (FindingKind.DIRECTION, "direction"),
    ],
)
def test_without_a_ratio_nothing_is_applied(finding: FindingKind, said: str) -> None:
    effect = effect_of([publication(finding, None)])
    assert isinstance(effect, Unknown)
    assert said in effect.reason


def test_a_ratio_from_memory_is_never_applied() -> None:
    recalled = replace(
        publication(), basis=Basis(provenance=Provenance.RECALLED, source="hwang-2018")
    )
    effect = effect_of([recalled])
    assert isinstance(effect, Unknown)
    assert "from memory" in effect.reason
    beside = effect_of([recalled, publication(ratios=(4.0, 2.0, 8.0))])
    assert isinstance(beside, FactorEffect)
    assert beside.log_odds == pytest.approx(log(4.0))


def shift(*, present: bool | None, ratio: float = 4.0, sd: float = 1e-6) -> Shift:
    return Shift(log_odds=log(ratio), sd_log_odds=sd, people_share=0.3, present=present)


def test_a_sure_effect_moves_a_sure_share_by_arithmetic() -> None:
    """By hand: odds 1/19 in a mixture of 30 in 100; those without have 1/19 over 1 + 0.3 * 3."""
    without_odds = (1 / 19) / 1.9
    by_hand_with, by_hand_without = 4 * without_odds, without_odds
    for present, odds in ((True, by_hand_with), (False, by_hand_without)):
        found = closed_interval(SURE, [shift(present=present)])
        assert found.share == pytest.approx(odds / (1 + odds), rel=1e-5)


def test_people_with_and_without_the_fact_make_up_the_mixture_again() -> None:
    """The odds of both, weighed by how many there are, are those in print."""
    parts = [closed_interval(SURE, [shift(present=one)]).share for one in (True, False)]
    odds = [share / (1 - share) for share in parts]
    assert 0.3 * odds[0] + 0.7 * odds[1] == pytest.approx(1 / 19, rel=1e-5)


CASES: list[tuple[ShareDoubt, list[Shift]]] = [
    (DOUBTFUL, []),
    (DOUBTFUL, [shift(present=True, ratio=2.2, sd=0.4)]),
    (DOUBTFUL, [shift(present=None, ratio=3.5, sd=0.3)]),
    (DOUBTFUL, [shift(present=False, ratio=2.0, sd=0.4), shift(present=None, ratio=2.5, sd=0.3)]),
    (FROM_COUNTS, []),
    (FROM_COUNTS, [shift(present=True, ratio=2.2, sd=0.4)]),
    (FROM_COUNTS, [shift(present=None, ratio=3.5, sd=0.3)]),
]


@pytest.mark.parametrize(("base", "shifts"), CASES)
def test_draws_and_closed_form_agree(base: ShareDoubt, shifts: list[Shift]) -> None:
    """Independent: 200,000 draws; their own error is well under a hundredth of the value."""
    drawn = drawn_shares(base, shifts, np.random.default_rng(3), 200_000)
    independent = np.quantile(drawn, (0.025, 0.5, 0.975))
    found = closed_interval(base, shifts)
    assert found.share == pytest.approx(independent[1], rel=0.03)
    assert found.high_share == pytest.approx(independent[2], rel=0.05)
    assert found.low_share == pytest.approx(independent[0], rel=0.06, abs=1e-4)


def test_without_any_fact_the_share_is_that_in_print() -> None:
    found = closed_interval(DOUBTFUL, [])
    assert found.share == pytest.approx(float(expit(-3.2)))


def test_a_smoker_is_worse_off_than_one_who_never_smoked_and_stopping_helps() -> None:
    smoker, never = risk(case(Smoking.CURRENT)), risk(case(Smoking.NEVER))
    assert smoker.interval.share > smoker.in_print.share > never.interval.share
    facts = exposures(case(Smoking.CURRENT), 46.0)
    stopped = patient_risk(
        pool(studies(), TOE, Outcome.LOSS),
        techniques()[TOE],
        as_if_smoking_stopped(facts),
        factors(),
        np.random.default_rng(7),
    )
    assert isinstance(stopped, PatientRisk)
    assert never.interval.share < stopped.interval.share < smoker.interval.share


def test_of_one_who_does_not_smoke_nothing_can_be_stopped() -> None:
    facts = exposures(case(Smoking.NEVER), 46.0)
    assert as_if_smoking_stopped(facts) == facts


def test_what_nobody_asked_about_leaves_the_mixture_and_says_what_would_settle_it() -> None:
    found = risk(case(Smoking.NOT_EXAMINED))
    assert found.would_settle == ("smoking",)
    assert found.interval.share == pytest.approx(found.in_print.share, rel=0.25)
    wide = found.interval.high_share - found.interval.low_share
    never = risk(case(Smoking.NEVER)).interval
    assert wide > never.high_share - never.low_share


def test_each_fact_that_was_applied_says_because_of_what() -> None:
    (applied,) = risk(case(Smoking.CURRENT)).applied
    assert applied.exposure.fact is Fact.SMOKES
    assert "the patient smokes" in applied.words
    assert "4.88" in applied.words
    assert "no effect" in applied.words


def test_diabetes_moves_infection_and_not_loss() -> None:
    ill, well = case(diabetes=Finding.YES), case(diabetes=Finding.NO)
    infected = [risk(one, outcome=Outcome.INFECTION).interval.share for one in (ill, well)]
    assert infected[0] > infected[1]
    lost = risk(ill)
    assert Fact.DIABETES not in {one.exposure.fact for one in lost.applied}
    reasons = {one.fact: one.reason for one in lost.not_applied}
    assert reasons[Fact.DIABETES] == "those who looked found no effect"


def test_a_replanted_part_that_was_crushed_and_long_warm_fares_worse() -> None:
    kind = risk(case(), "replantation").interval
    long_warm = LostPart(warm_hours=9.0, cool_hours=0.0)
    hard = risk(case(mechanism=Mechanism.CRUSH, part=long_warm), "replantation")
    assert {one.exposure.fact for one in hard.applied} == {
        Fact.SMOKES,
        Fact.NOT_CLEAN_CUT,
        Fact.LONG_ISCHAEMIA,
    }
    assert hard.interval.share > kind.share
    later = {one.fact for one in hard.not_applied if "operation" in one.reason}
    assert {Fact.VEIN_GRAFT, Fact.BONE_NOT_SHORTENED} <= later


def test_hours_that_are_not_known_are_asked_for() -> None:
    found = risk(case(part=LostPart()), "replantation")
    assert found.would_settle == ("warm and cool hours of the lost part",)


def test_no_published_effect_is_applied_where_no_vessel_is_joined() -> None:
    found = risk(case(Smoking.CURRENT), "pollicization")
    assert found.applied == ()
    assert found.interval.share == pytest.approx(found.in_print.share, abs=0.002)


def test_the_same_seed_gives_the_same_risk_and_its_error_is_told() -> None:
    first, again, other = (risk(case(Smoking.CURRENT), seed=seed) for seed in (7, 7, 8))
    assert first.interval == again.interval
    assert first.seed == "7"
    assert first.interval != other.interval
    error = first.monte_carlo_error_share
    assert 0 < error < 0.001
    assert abs(first.interval.share - other.interval.share) < 6 * error


def test_a_risk_nobody_counted_is_unknown() -> None:
    found = patient_risk(
        pool([], TOE, Outcome.LOSS),
        techniques()[TOE],
        exposures(case(), 46.0),
        factors(),
        np.random.default_rng(1),
    )
    assert isinstance(found, Unknown)


def test_the_units_own_share_may_stand_in_for_print() -> None:
    own = LogitNormal(middle_log_odds=0.0, sd_log_odds=0.1)
    found = patient_risk(
        pool(arms_of((1, 30)), TOE, Outcome.LOSS),
        techniques()[TOE],
        exposures(case(), 46.0),
        [],
        np.random.default_rng(1),
        doubt=own,
    )
    assert isinstance(found, PatientRisk)
    assert found.interval.share == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize("ratio", [1.0, 1.5, 3.0, 10.0])
def test_a_stronger_effect_never_lowers_the_risk_of_one_who_has_it(ratio: float) -> None:
    weaker = closed_interval(DOUBTFUL, [shift(present=True, ratio=ratio, sd=0.2)])
    stronger = closed_interval(DOUBTFUL, [shift(present=True, ratio=1.3 * ratio, sd=0.2)])
    assert stronger.share > weaker.share
    more_common = replace(shift(present=True, ratio=ratio, sd=0.2), people_share=0.6)
    if ratio > 1.0:
        assert closed_interval(DOUBTFUL, [more_common]).share < weaker.share


def test_ratios_are_read_on_the_scale_of_odds() -> None:
    assert exp(publication().log_odds) == pytest.approx(2.0)
