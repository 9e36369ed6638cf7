"""Series that measured one outcome, pooled."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from thumbwright.core.evidence.effects import Effects, mean_effects, standard_deviation
from thumbwright.core.evidence.heterogeneity import Heterogeneity, heterogeneity
from thumbwright.core.evidence.intervals import LEVEL_PROB
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pooling import (
    PooledEffect,
    pooled_hartung_knapp_sidik_jonkman,
    pooled_inverse_variance,
)
from thumbwright.core.evidence.selection import LeftOut, arms_of, select
from thumbwright.core.evidence.study import Averaged, Population, StudyArm, Subset
from thumbwright.core.evidence.variance_between import Between
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.measured import Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class PooledMean:
    """Means of one outcome of one technique, pooled."""

    subset: Subset
    arms: tuple[StudyArm, ...]
    mean: float
    unit: str
    interval: Interval
    """Of the mean in the middle one of such series."""
    prediction: Interval | Unknown
    """Of the mean in one more series."""
    disagreement: Heterogeneity | Unknown
    method: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanEvidence:
    """Everything known of one measured outcome of one technique."""

    technique: str
    outcome: Outcome
    used: PooledMean | Unknown
    """Pure series; mixed ones only where no pure one can be pooled, and labelled by ``subset``."""
    stated: tuple[StudyArm, ...]
    """Every arm that states it, pure ones first, whether or not it could be pooled."""
    left_out: tuple[LeftOut, ...]

    @property
    def printed_span(self) -> tuple[float, float] | Unknown:
        """Return the lowest and the highest middle that a series prints [unit of the outcome].

        It is no interval of anything: it says how far apart the printed middles lie.
        """
        middles = [arm.result.mean for arm in self.stated if isinstance(arm.result, Averaged)]
        if not middles:
            return Unknown(reason="no series that measured it was found")
        return min(middles), max(middles)


def pool_means(
    arms: Iterable[StudyArm],
    technique: str,
    outcome: Outcome,
    *,
    with_recalled: bool = False,
    people: Population | None = None,
) -> MeanEvidence:
    """Pool what series measured of one outcome of one technique.

    Returns
    -------
    MeanEvidence
        ``used`` is unknown where no arm prints a spread; its means stand in ``stated``.

    Raises
    ------
    KnowledgeError
        If the outcome is counted and not measured.

    Notes
    -----
    Restricted maximum likelihood with the interval of Hartung, Knapp, Sidik and Jonkman, which
    is never let narrower than the normal one. Two series keep the normal interval: with a single
    degree of freedom the other one says nothing. Standard deviations that are not printed are
    derived from the range where there is one [wan-2014]_. Medians are stated and not pooled.
    """
    if outcome.is_counted:
        msg = (
            f"'{outcome.value}' was given to be pooled as a mean; allowed are outcomes that are "
            "measured; pool counts with pool"
        )
        raise KnowledgeError(msg)
    table = tuple(arms)
    found: list[PooledMean | Unknown] = []
    stated: list[StudyArm] = []
    left: list[LeftOut] = []
    for subset in (Subset.PURE, Subset.MIXED):
        chosen = select(
            arms_of(table, technique, outcome, subset),
            with_recalled=with_recalled,
            people=people,
        )
        without = [arm for arm in chosen.arms if not _has_spread(arm)]
        stated += chosen.arms
        left += [*chosen.left_out, *(_no_spread(arm) for arm in without)]
        found.append(_pooled([arm for arm in chosen.arms if arm not in without], subset))
    pure, mixed = found
    return MeanEvidence(
        technique=technique,
        outcome=outcome,
        used=mixed if isinstance(pure, Unknown) else pure,
        stated=tuple(stated),
        left_out=tuple(left),
    )


def _has_spread(arm: StudyArm) -> bool:
    return isinstance(arm.result, Averaged) and standard_deviation(arm.result) is not None


def _no_spread(arm: StudyArm) -> LeftOut:
    return LeftOut(arm=arm, reason="it prints a middle without the spread that pooling needs")


def _pooled(arms: list[StudyArm], subset: Subset) -> PooledMean | Unknown:
    averages = [arm.result for arm in arms if isinstance(arm.result, Averaged)]
    if not averages:
        return Unknown(
            reason=f"no {subset.words} series that measured it prints how people varied",
            needed=("a series with means and standard deviations, or the unit's own",),
        )
    effects, unit = mean_effects(averages), averages[0].unit
    pooled, method = _by_number(effects)
    ends, beyond = pooled.interval(), pooled.prediction()
    if len(averages) == 1:
        half = float(np.sqrt(effects.variances[0]))
        half *= float(stdtrit((averages[0].total or 2) - 1, 0.5 + LEVEL_PROB / 2))
        ends = (pooled.value - half, pooled.value + half)
    return PooledMean(
        subset=subset,
        arms=tuple(arms),
        mean=pooled.value,
        unit=unit,
        interval=_interval(ends, unit),
        prediction=(
            Unknown(reason="fewer than three series were found")
            if beyond is None
            else _interval(beyond, unit)
        ),
        disagreement=heterogeneity(effects),
        method=method,
    )


def _by_number(effects: Effects) -> tuple[PooledEffect, str]:
    """Return the pooled mean by the method that suits so many series, and its name."""
    restricted = Between.RESTRICTED_LIKELIHOOD
    if len(effects) < 3:
        words = "one series" if len(effects) == 1 else "two series, normal interval"
        return pooled_inverse_variance(effects, restricted), words
    pooled = pooled_hartung_knapp_sidik_jonkman(effects, restricted, never_narrower=True)
    return pooled, "random effects, restricted maximum likelihood, Hartung-Knapp interval"


def _interval(ends: tuple[float, float], unit: str) -> Interval:
    return Interval(low=ends[0], high=ends[1], level_prob=LEVEL_PROB, unit=unit)
