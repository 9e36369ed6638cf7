"""From a plan to what lies ahead with each technique: growth, reach, risk, burden, weighing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from thumbwright.core.case.patient import age_years
from thumbwright.core.comparison.criteria_data import Criteria
from thumbwright.core.comparison.foreseen import foreseen_amounts, with_scale_of_cost
from thumbwright.core.comparison.voices import voices_of
from thumbwright.core.comparison.weighing import Draws, Weighing, weigh
from thumbwright.core.comparison.what_if import WhatIf, what_ifs
from thumbwright.core.evidence.exposures import exposures
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pool import Evidence, pool_all
from thumbwright.core.evidence.risk import PatientRisk, patient_risk
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.outlook.foresee import KnownAhead, Outlook, foresee
from thumbwright.core.outlook.prices import PriceList
from thumbwright.core.reach.results import PinchKind, Reach
from thumbwright.core.reach.skeleton import Digit
from thumbwright.core.techniques.eligibility import Verdict
from thumbwright.core.techniques.growing_thumb import growth_outlooks
from thumbwright.core.techniques.growth_follow_up import FollowUp, follow_up
from thumbwright.core.techniques.growth_outlook import GrowthOutlook
from thumbwright.core.techniques.reaches import Reaches, reaches
from thumbwright.core.techniques.technique import Technique
from thumbwright.pathway.plan_case import Knowledge, Plan, Progress

SEED = 20
"""Of every simulation, so that one case gives one answer. [-]"""
FORETOLD = (Outcome.LOSS, Outcome.REEXPLORATION, Outcome.CIRCULATION_TROUBLE, Outcome.INFECTION)
"""Outcomes of which somebody published what facts of a patient do to them, or might."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Foresight:
    """What lies ahead with each technique that is not closed; it decides nothing."""

    plan: Plan
    growth: tuple[GrowthOutlook, ...]
    follow_up: FollowUp | Unknown
    """What later measurements made of the forecast of the technique that is thought to be done."""
    reaches: Reaches
    evidence: tuple[Evidence, ...]
    """What series counted of each technique, pooled."""
    risks: tuple[PatientRisk, ...]
    """The same for this patient, where series counted it."""
    outlooks: tuple[Outlook, ...]
    weighing: Weighing | Unknown
    what_ifs: tuple[WhatIf, ...]
    """What would come first by the goals if a fact were otherwise, by the catalogue alone."""
    criteria: Criteria
    """As they were weighed by, the scale of cost fitted to this case."""
    seed: int


def foresee_case(
    plan: Plan,
    known: Knowledge,
    prices: PriceList,
    tell: Progress = lambda _: None,
    *,
    seed: int = SEED,
) -> Foresight:
    """Walk from a plan to what lies ahead with each technique.

    Parameters
    ----------
    plan
        The plan of the case.
    known
        Series, effects of facts, stature, consequences, criteria.
    prices
        The unit's own; empty until entered.
    tell
        Told what is about to be done.
    seed
        Of every simulation. [-]
    """
    rng = np.random.default_rng(seed)
    left = [one for one in plan.options if one.verdict is not Verdict.CLOSED]
    techniques = [one.technique for one in left]
    tell("forecasting growth")
    growth = growth_outlooks(plan.options, plan.situation, plan.lengths, known.stature, seed=seed)
    tell("looking how far each thumb reaches")
    reached = reaches(plan.options, plan.situation, plan.lengths, seed=seed)
    tell("pooling what was published")
    evidence = pool_all(known.studies, [one.key for one in techniques])
    risks = _risks(plan, evidence, techniques, known, rng)
    tell("looking ahead")
    outlooks = foresee(
        techniques,
        KnownAhead(arms=known.studies, consequences=known.consequences, prices=prices),
        _by_technique(risks),
        {one.key: pinch_prob(one) for one in reached.reaches},
        _fallback(plan),
        seed,
    )
    tell("weighing")
    criteria = with_scale_of_cost(known.criteria, outlooks)
    draws = Draws()
    amounts = foreseen_amounts(growth, reached.reaches, outlooks, draws=draws.performances, rng=rng)
    return Foresight(
        plan=plan,
        growth=growth,
        follow_up=_follow_up(plan, known, seed),
        reaches=reached,
        evidence=evidence,
        risks=risks,
        outlooks=outlooks,
        weighing=weigh(
            left, plan.situation, criteria, voices_of(plan.situation), rng=rng, numeric=amounts
        ),
        what_ifs=tuple(what_ifs(plan.situation, known.techniques, known.criteria, rng)),
        criteria=criteria,
        seed=seed,
    )


def pinch_prob(reach: Reach) -> float:
    """Return how probably a thumb reaches a tip or key pinch with the index or middle finger [-].

    Notes
    -----
    The best of the pinches, because one that works makes a thumb of use.
    """
    found = (
        reach.pinch(kind, digit)
        for kind in (PinchKind.TIP, PinchKind.KEY)
        for digit in (Digit.INDEX, Digit.MIDDLE)
    )
    return max((one.reached.prob for one in found if not isinstance(one, Unknown)), default=0.0)


def _fallback(plan: Plan) -> str | None:
    found = plan.ranking.fallback
    return None if isinstance(found, Unknown) else found.eligibility.technique.key


def _risks(
    plan: Plan,
    evidence: Sequence[Evidence],
    techniques: Sequence[Technique],
    known: Knowledge,
    rng: np.random.Generator,
) -> tuple[PatientRisk, ...]:
    exposed = exposures(plan.case, plan.situation.age_years)
    named = {one.key: one for one in techniques}
    found = (
        patient_risk(one, named[one.technique], exposed, known.risk_factors, rng)
        for one in evidence
        if one.outcome in FORETOLD
    )
    return tuple(one for one in found if isinstance(one, PatientRisk))


def _by_technique(risks: Sequence[PatientRisk]) -> Mapping[str, Mapping[Outcome, PatientRisk]]:
    found: dict[str, dict[Outcome, PatientRisk]] = {}
    for risk in risks:
        found.setdefault(risk.technique, {})[risk.outcome] = risk
    return found


def _follow_up(plan: Plan, known: Knowledge, seed: int) -> FollowUp | Unknown:
    """Update the forecast of plan A from the examination on, when the lengths were measured."""
    first = plan.ranking.plan_a
    if isinstance(first, Unknown):
        return first
    then = age_years(plan.case.patient, plan.case.examined_on)
    return follow_up(
        first.eligibility.technique,
        replace(plan.situation, age_years=then),
        plan.lengths,
        known.stature,
        plan.case.growth_checks,
        seed=seed,
    )
