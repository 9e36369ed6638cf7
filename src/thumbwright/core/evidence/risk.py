"""What a risk in print means for this patient: its odds moved by published effects of facts."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from thumbwright.core.evidence.exposures import Exposure
from thumbwright.core.evidence.factor_effect import FactorEffect, effect_of
from thumbwright.core.evidence.intervals import ShareInterval
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pool import Evidence
from thumbwright.core.evidence.risk_factor import Fact, RiskFactor, Setting, setting_of
from thumbwright.core.evidence.risk_shift import Shift, closed_interval, drawn_shares
from thumbwright.core.evidence.share_doubt import ShareDoubt, interval_of
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.techniques.technique import Technique

DRAWS = 20_000
_BATCHES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class AppliedFactor:
    """A published effect that was applied because of a fact of the case."""

    exposure: Exposure
    effect: FactorEffect

    @property
    def words(self) -> str:
        """Return what was done, in sentences."""
        state = "odds ratio taken"
        if isinstance(self.exposure.present, Unknown):
            share = f"{100 * self.effect.people_share:.0f} of 100"
            state = f"taken as there in {share} (working assumption); odds ratio"
        elif not self.exposure.present:
            state = "not there, so the patient is better off than the mixture in print; odds ratio"
        because = self.exposure.because
        ratio = self.effect.ratio_words
        return (
            f"{self.exposure.fact.words.capitalize()}: {because}; {state} {ratio}. "
            f"{self.effect.how}"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class FactorNotApplied:
    """A published effect that was not applied, and why."""

    fact: Fact
    reason: str
    """As the end of a sentence that begins with *because*."""
    publications: tuple[RiskFactor, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PatientRisk:
    """How probable an outcome is for this patient."""

    technique: str
    outcome: Outcome
    in_print: ShareInterval
    """The share in one more series, before anything of this patient is taken into account."""
    interval: ShareInterval
    """For this patient, from the draws: median with its interval."""
    closed: ShareInterval
    """The same without draws, with the effects taken as normal."""
    mean_share: float
    """Mean of the draws: the probability that a single decision should reckon with. [-]"""
    applied: tuple[AppliedFactor, ...]
    not_applied: tuple[FactorNotApplied, ...]
    draw_count: int
    seed: str
    """Of the generator, where it tells; so the draws can be repeated."""
    monte_carlo_error_share: float
    """Standard error of the median for the number of draws. [-]"""

    @property
    def would_settle(self) -> tuple[str, ...]:
        """Return the findings that would narrow it."""
        missing = [one.exposure.present for one in self.applied]
        needed = [name for one in missing if isinstance(one, Unknown) for name in one.needed]
        return tuple(dict.fromkeys(needed))


def patient_risk(
    evidence: Evidence,
    technique: Technique,
    exposed: Sequence[Exposure],
    factors: Sequence[RiskFactor],
    rng: np.random.Generator,
    *,
    doubt: ShareDoubt | None = None,
) -> PatientRisk | Unknown:
    r"""Return how probable an outcome of a technique is for this patient.

    Parameters
    ----------
    evidence
        What is known of the outcome of the technique.
    technique
        The technique itself, which says what kind of operation it is.
    exposed
        Facts of the case.
    factors
        The table of risk factors.
    rng
        Source of chance.
    doubt
        What is known of the share in this unit, where its own series was taken into account.

    Returns
    -------
    PatientRisk | Unknown
        Unknown where no series counted the outcome.

    Notes
    -----
    The share in print is that of a mixture of people with and without each fact, so the odds are
    moved by the effect less what the mixture holds of it already:

    .. math:: x b - \ln(1 + q (e^b - 1))

    with b the log odds ratio, q the share of people in the series who have the fact, and x 1 or 0.
    A fact that was not examined is taken as there with probability q. Effects are taken as
    independent of each other.
    """
    if isinstance(evidence.used, Unknown):
        return evidence.used
    base = evidence.used.doubt if doubt is None else doubt
    setting = setting_of(technique)
    applied, not_applied = _sorted_out(evidence.outcome, setting, exposed, factors)
    shifts = [shift_of(one) for one in applied]
    drawn = drawn_shares(base, shifts, rng, DRAWS)
    low, middle, high = np.quantile(drawn, (0.025, 0.5, 0.975))
    batches = np.median(drawn.reshape(_BATCHES, -1), axis=1)
    return PatientRisk(
        technique=evidence.technique,
        outcome=evidence.outcome,
        in_print=interval_of(base),
        interval=ShareInterval(share=float(middle), low_share=float(low), high_share=float(high)),
        closed=closed_interval(base, shifts),
        mean_share=float(drawn.mean()),
        applied=tuple(applied),
        not_applied=tuple(not_applied),
        draw_count=DRAWS,
        seed=str(getattr(rng.bit_generator.seed_seq, "entropy", "not told")),
        monte_carlo_error_share=float(batches.std(ddof=1) / _BATCHES**0.5),
    )


def shift_of(one: AppliedFactor) -> Shift:
    """Return what an applied fact does to the log odds."""
    present = one.exposure.present
    return Shift(
        log_odds=one.effect.log_odds,
        sd_log_odds=one.effect.sd_log_odds,
        people_share=one.effect.people_share,
        present=None if isinstance(present, Unknown) else present,
    )


def _sorted_out(
    outcome: Outcome,
    setting: Setting | None,
    exposed: Sequence[Exposure],
    factors: Sequence[RiskFactor],
) -> tuple[list[AppliedFactor], list[FactorNotApplied]]:
    given = {one.fact: one for one in exposed}
    applied, not_applied = [], []
    for fact, publications in _by_fact(outcome, setting, factors):
        effect = effect_of(publications)
        if isinstance(effect, Unknown):
            not_applied.append(
                FactorNotApplied(fact=fact, reason=effect.reason, publications=publications)
            )
        elif fact not in given:
            not_applied.append(
                FactorNotApplied(fact=fact, reason=fact.why_not_known, publications=publications)
            )
        else:
            applied.append(AppliedFactor(exposure=given[fact], effect=effect))
    return applied, not_applied


def _by_fact(
    outcome: Outcome, setting: Setting | None, factors: Sequence[RiskFactor]
) -> Iterator[tuple[Fact, tuple[RiskFactor, ...]]]:
    for fact in Fact:
        found = tuple(
            one
            for one in factors
            if one.fact is fact and one.outcome is outcome and one.setting is setting
        )
        if found:
            yield fact, found
