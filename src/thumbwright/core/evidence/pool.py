"""What is known of one outcome of one technique: pure series first, mixed ones as a wider prior."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from thumbwright.core.evidence.intervals import ShareInterval
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.pooled_share import LEAST_SPREAD_LOG_ODDS, PooledShare, pooled_share
from thumbwright.core.evidence.selection import LeftOut, arms_of, select
from thumbwright.core.evidence.share_doubt import (
    ShareDoubt,
    in_another_unit,
    interval_of,
    updated,
)
from thumbwright.core.evidence.study import Population, StudyArm, Subset
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError

PURE_ALONE_FROM_ARMS = 3
"""From so many pure series on, mixed ones are not asked: three can show how much series differ."""


class Rests(Enum):
    """What an answer rests on."""

    PURE = "pure series"
    PURE_ON_MIXED = "pure series, with mixed ones as a wider prior"
    MIXED = "mixed series only"


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedShare:
    """The share that a plan may use, with what it rests on."""

    rests: Rests
    interval: ShareInterval
    """Of the share in series such as these."""
    doubt: ShareDoubt
    """Of the share in one more series, such as that of the reader."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Everything known of one counted outcome of one technique."""

    technique: str
    outcome: Outcome
    used: UsedShare | Unknown
    pure: PooledShare | Unknown
    mixed: PooledShare | Unknown
    reviews: tuple[StudyArm, ...]
    """Pooled elsewhere; shown beside, never added."""
    left_out: tuple[LeftOut, ...]
    has_recalled: bool
    """Whether numbers from memory are in it; then that is printed beside it."""

    @property
    def arms(self) -> tuple[StudyArm, ...]:
        """Return the arms that were pooled, pure ones first."""
        pools = (self.pure, self.mixed)
        return tuple(arm for one in pools if isinstance(one, PooledShare) for arm in one.arms)


def pool(
    arms: Iterable[StudyArm],
    technique: str,
    outcome: Outcome,
    *,
    with_recalled: bool = False,
    people: Population | None = None,
) -> Evidence:
    """Pool what series counted of one outcome of one technique.

    Parameters
    ----------
    arms
        The whole table of studies, in any order.
    technique
        Key of the catalogue.
    outcome
        One that is counted.
    with_recalled
        Whether numbers from memory are let in.
    people
        Children or adults alone; None takes all.

    Returns
    -------
    Evidence
        ``used`` is unknown where no series counted it.

    Raises
    ------
    KnowledgeError
        If the outcome is measured and not counted.

    Notes
    -----
    Three pure series or more stand alone. Fewer are put on a prior from the mixed series, in
    which a person of a mixed series counts a quarter of a person. Without a pure
    series that prior is all there is, and is called so.
    """
    if not outcome.is_counted:
        msg = (
            f"'{outcome.value}' was given to be pooled as a count; allowed are outcomes that are "
            "counted; pool means with pool_means"
        )
        raise KnowledgeError(msg)
    table = tuple(arm for arm in arms if arm.outcome is outcome)
    pure_arms = select(
        arms_of(table, technique, outcome, Subset.PURE),
        with_recalled=with_recalled,
        people=people,
    )
    mixed_arms = select(
        arms_of(table, technique, outcome, Subset.MIXED),
        with_recalled=with_recalled,
        people=people,
        taken_groups={arm.overlap_group for arm in pure_arms.arms} - {""},
    )
    pure = pooled_share(pure_arms.arms, Subset.PURE)
    mixed = pooled_share(mixed_arms.arms, Subset.MIXED)
    used = _used(pure, mixed)
    counted = _arms_behind(used, pure, mixed)
    return Evidence(
        technique=technique,
        outcome=outcome,
        used=used,
        pure=pure,
        mixed=mixed,
        reviews=arms_of(table, technique, outcome, Subset.REVIEW),
        left_out=(*pure_arms.left_out, *mixed_arms.left_out),
        has_recalled=any(arm.is_recalled for arm in counted),
    )


def pool_all(arms: Iterable[StudyArm], techniques: Iterable[str]) -> tuple[Evidence, ...]:
    """Pool every counted outcome of every technique of which an arm speaks.

    Returns
    -------
    tuple[Evidence, ...]
        In the order of the techniques, then of the list of outcomes.
    """
    table: dict[Outcome, list[StudyArm]] = {}
    for arm in arms:
        if arm.outcome.is_counted:
            table.setdefault(arm.outcome, []).append(arm)
    return tuple(
        pool(table[outcome], technique, outcome)
        for technique in techniques
        for outcome in Outcome
        if any(arm.speaks_of(technique) for arm in table.get(outcome, ()))
    )


def _used(pure: PooledShare | Unknown, mixed: PooledShare | Unknown) -> UsedShare | Unknown:
    if isinstance(pure, PooledShare):
        if len(pure.arms) >= PURE_ALONE_FROM_ARMS or isinstance(mixed, Unknown):
            return UsedShare(rests=Rests.PURE, interval=pure.interval, doubt=pure.doubt)
        after = updated(mixed.as_prior, pure.summed)
        doubt = in_another_unit(mixed.as_prior, after, LEAST_SPREAD_LOG_ODDS)
        return UsedShare(rests=Rests.PURE_ON_MIXED, interval=interval_of(after), doubt=doubt)
    if isinstance(mixed, PooledShare):
        prior = mixed.as_prior
        return UsedShare(rests=Rests.MIXED, interval=interval_of(prior), doubt=prior)
    return pure


def _arms_behind(
    used: UsedShare | Unknown, pure: PooledShare | Unknown, mixed: PooledShare | Unknown
) -> tuple[StudyArm, ...]:
    if isinstance(used, Unknown):
        return ()
    pools = (pure,) if used.rests is Rests.PURE else (pure, mixed)
    return tuple(arm for one in pools if isinstance(one, PooledShare) for arm in one.arms)
