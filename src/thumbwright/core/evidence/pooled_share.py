"""Series that counted one outcome, pooled; and the same by other methods, for comparison."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt

from scipy.special import expit

from thumbwright.core.evidence.binomial_normal import pooled_binomial_normal_glmm
from thumbwright.core.evidence.effects import (
    freeman_tukey_effects,
    logit_effects,
    share_from_freeman_tukey,
)
from thumbwright.core.evidence.heterogeneity import (
    Heterogeneity,
    SmallStudies,
    heterogeneity,
    small_studies_egger_1997,
)
from thumbwright.core.evidence.intervals import ShareInterval, clopper_pearson_1934
from thumbwright.core.evidence.pooling import (
    PooledEffect,
    pooled_dersimonian_laird_1986,
    pooled_hartung_knapp_sidik_jonkman,
)
from thumbwright.core.evidence.share_doubt import LogitNormal, ShareDoubt, from_counts, spread
from thumbwright.core.evidence.study import Counted, StudyArm, Subset
from thumbwright.core.foundations.answer import Unknown

MIXED_WEIGHT_SHARE = 0.25
"""Share of a person that a person of a mixed series counts for (working assumption). [-]"""
LEAST_SPREAD_LOG_ODDS = 0.5
"""Of true shares between series, at least, when one more is foretold (working assumption)."""
EVENTS_FOR_SPREAD = 3
"""Fewer events, or fewer people without one, cannot show that series differ (common practice)."""
DISAGREE_PROB = 0.1
"""Below this probability of chance, series are taken to disagree (common practice). [-]"""
BY_COUNTS = "random effects on the counts themselves, normal log odds between series"
BY_LOG_ODDS = "random effects on log odds, DerSimonian-Laird"
FEW_ARMS = 5
"""Below so many series, how much they differ is itself hardly known (common practice). [-]"""
SMALL_SHARE_PROB = 0.1
"""Below this probability of chance, a slope of small series is said (common practice). [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PooledShare:
    """Some series pooled, all of one kind."""

    subset: Subset
    arms: tuple[StudyArm, ...]
    summed: Counted
    """Events and people of all of them, simply added."""
    interval: ShareInterval
    """Of the share in the middle one of such series."""
    method: str
    """How it was come by, in words."""
    log_odds: PooledEffect | Unknown
    """By the counts themselves; unknown for one series, or where nobody had the event."""
    prediction: ShareInterval | Unknown
    """Of the share in one more series."""
    disagreement: Heterogeneity | Unknown
    small_studies: SmallStudies | Unknown

    @property
    def differs(self) -> bool:
        """Return whether the series were found to differ beyond chance at all."""
        return isinstance(self.log_odds, PooledEffect) and self.log_odds.variance_between > 0

    @property
    def doubt(self) -> ShareDoubt:
        """Return what is known of the share in one more series."""
        return self._doubt(1.0)

    @property
    def as_prior(self) -> ShareDoubt:
        """Return the same, with each person counting only a part of one."""
        return self._doubt(MIXED_WEIGHT_SHARE)

    def _doubt(self, weight_share: float) -> ShareDoubt:
        found = self.log_odds
        if isinstance(found, PooledEffect) and self.differs:
            between = max(found.variance_between, LEAST_SPREAD_LOG_ODDS**2)
            doubt = sqrt(between + found.standard_error**2 / weight_share)
            return LogitNormal(middle_log_odds=found.value, sd_log_odds=doubt)
        counted = from_counts(self.summed, weight_share)
        # With hardly any event the counts leave more open than series differ, and are skewed.
        return spread(counted, LEAST_SPREAD_LOG_ODDS) if _show_spread(self.summed) else counted

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return what the reader should bear in mind, each a sentence."""
        return tuple(_cautions(self))


@lru_cache(maxsize=1024)
def pooled_share(arms: tuple[StudyArm, ...], subset: Subset) -> PooledShare | Unknown:
    """Pool counts of one outcome; unknown if there is no arm.

    Notes
    -----
    One series keeps its exact interval. Several are pooled by the counts themselves
    [stijnen-2010]_. Where they were not found to differ, or nobody had the event, the model is one
    common share, and its exact interval is stated, which is a little wider; unless the series
    disagree by Cochran's test, to which a few series can object where the likelihood does not:
    then their log odds are pooled as [dersimonian-laird-1986]_ did. The same arms give the
    same answer, so it is kept: toes of several kinds share their mixed series.
    """
    counts = [arm.result for arm in arms if isinstance(arm.result, Counted)]
    if not counts:
        return Unknown(
            reason=f"no {subset.words} series that counted it was found",
            needed=("a series that counted it, or the unit's own",),
        )
    summed = Counted(events=sum(c.events for c in counts), total=sum(c.total for c in counts))
    exact = clopper_pearson_1934(summed)
    effects = logit_effects(counts)
    log_odds = _log_odds(counts, summed)
    interval, method = exact, _exact_words(len(counts), summed)
    if isinstance(log_odds, PooledEffect) and log_odds.variance_between > 0:
        interval = _on_shares(log_odds.value, *log_odds.interval())
        method = BY_COUNTS if log_odds.by_counts else BY_LOG_ODDS
    return PooledShare(
        subset=subset,
        arms=arms,
        summed=summed,
        interval=interval,
        method=method,
        log_odds=log_odds,
        prediction=_prediction(log_odds),
        disagreement=heterogeneity(effects),
        small_studies=small_studies_egger_1997(effects),
    )


def by_other_methods(pooled: PooledShare) -> tuple[tuple[str, ShareInterval], ...]:
    """Return the same series pooled otherwise, each with its name; none for a single series."""
    counts = _counts(pooled)
    if len(counts) < 2:
        return ()
    on_logit = logit_effects(counts)
    plain = pooled_dersimonian_laird_1986(on_logit)
    careful = pooled_hartung_knapp_sidik_jonkman(on_logit, never_narrower=True)
    arcsine = pooled_dersimonian_laird_1986(freeman_tukey_effects(counts))
    harmonic = len(counts) / sum(1 / one.total for one in counts)
    turned = [share_from_freeman_tukey(v, harmonic) for v in (arcsine.value, *arcsine.interval())]
    return (
        ("all people added", clopper_pearson_1934(pooled.summed)),
        ("log odds, DerSimonian-Laird", _on_shares(plain.value, *plain.interval())),
        ("log odds, Hartung-Knapp", _on_shares(careful.value, *careful.interval())),
        ("double arcsine, for comparison only", _interval(*turned)),
    )


def without_each(pooled: PooledShare) -> tuple[tuple[StudyArm, float], ...] | Unknown:
    """Return the share that is left without each series in turn [-]."""
    if len(pooled.arms) < 3:
        return Unknown(
            reason="fewer than three series were found", needed=("a third series at least",)
        )
    found = []
    for arm in pooled.arms:
        rest = pooled_share(tuple(one for one in pooled.arms if one is not arm), pooled.subset)
        found.append((arm, rest.interval.share if isinstance(rest, PooledShare) else 0.0))
    return tuple(found)


def _counts(pooled: PooledShare) -> list[Counted]:
    return [arm.result for arm in pooled.arms if isinstance(arm.result, Counted)]


def _log_odds(counts: Sequence[Counted], summed: Counted) -> PooledEffect | Unknown:
    if len(counts) == 1:
        return Unknown(reason="one series says nothing of how series differ")
    if summed.events in {0, summed.total}:
        who = "nobody" if summed.events == 0 else "everybody"
        return Unknown(reason=f"{who} had the event in any of the series")
    if not _show_spread(summed):
        return Unknown(reason=f"{summed.events} of {summed.total} cannot show that series differ")
    by_counts = pooled_binomial_normal_glmm(counts)
    if by_counts.variance_between > 0:
        return by_counts
    effects = logit_effects(counts)
    found = heterogeneity(effects)
    if isinstance(found, Heterogeneity) and found.chance_prob < DISAGREE_PROB:
        return pooled_dersimonian_laird_1986(effects)
    return by_counts


def _show_spread(summed: Counted) -> bool:
    return EVENTS_FOR_SPREAD <= summed.events <= summed.total - EVENTS_FOR_SPREAD


def _exact_words(arms: int, summed: Counted) -> str:
    if arms == 1:
        return "one series, its exact interval"
    if summed.events in {0, summed.total}:
        who = "nobody" if summed.events == 0 else "everybody"
        return f"{who} had the event in {arms} series; exact interval of their sum"
    if not _show_spread(summed):
        return f"too few events in {arms} series to tell them apart; exact interval of their sum"
    return f"{arms} series that were not found to differ; exact interval of their sum"


def _prediction(log_odds: PooledEffect | Unknown) -> ShareInterval | Unknown:
    if isinstance(log_odds, Unknown):
        return log_odds
    ends = log_odds.prediction()
    if ends is None:
        return Unknown(
            reason="fewer than three series were found", needed=("a third series at least",)
        )
    return _on_shares(log_odds.value, *ends)


def _on_shares(middle: float, low: float, high: float) -> ShareInterval:
    return _interval(float(expit(middle)), float(expit(low)), float(expit(high)))


def _interval(share: float, low: float, high: float) -> ShareInterval:
    return ShareInterval(share=share, low_share=low, high_share=high)


def _cautions(pooled: PooledShare) -> Iterator[str]:
    arms = len(pooled.arms)
    if arms == 1:
        yield "One series alone: how other surgeons fare is not in its interval."
    elif arms < FEW_ARMS:
        yield f"Only {arms} series: how much surgeons differ is hardly known."
    if pooled.summed.events == 0:
        yield "None was counted; that is not the same as none to come."
    found = pooled.disagreement
    if isinstance(found, Heterogeneity) and found.i_squared_share > 0.5:
        yield (
            "The series disagree beyond chance "
            f"(I² {100 * found.i_squared_share:.0f} %): the middle of them is nobody's own result."
        )
    small = pooled.small_studies
    if isinstance(small, SmallStudies) and small.chance_prob < SMALL_SHARE_PROB:
        yield "Small series report otherwise than large ones; some results may never be printed."
    if any("inferred" in arm.note for arm in pooled.arms):
        yield "In some series that nobody had it is inferred from what the print does not say."
