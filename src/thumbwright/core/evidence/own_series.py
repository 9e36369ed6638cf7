"""The unit's own series: what its counts make of what is printed."""

from dataclasses import dataclass

from thumbwright.core.evidence.intervals import ShareInterval
from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.share_doubt import ShareDoubt, from_counts, interval_of, updated
from thumbwright.core.evidence.study import Counted
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnSeries:
    """What the unit itself counted of one outcome of one technique."""

    technique: str
    outcome: Outcome
    counted: Counted
    period: str
    """When, in words: "2021 to 2026, all consecutive"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WithOwnSeries:
    """A share before and after the unit's own counts were taken into account."""

    before: ShareInterval | Unknown
    after: ShareInterval
    doubt: ShareDoubt
    """What is known now of the share in this unit."""
    own: OwnSeries


def with_own_series(
    printed: ShareDoubt | Unknown, own: OwnSeries, technique: str, outcome: Outcome
) -> WithOwnSeries:
    """Take the unit's own counts into account.

    Parameters
    ----------
    printed
        What print says of one more series, such as this unit; unknown if print says nothing.
    own
        The unit's own counts.
    technique, outcome
        What the printed share speaks of.

    Raises
    ------
    KnowledgeError
        If the own series speaks of another technique or outcome.

    Notes
    -----
    By the rule of Bayes, on log odds where series differ, as a beta otherwise. If print says
    nothing, Jeffreys' prior stands in for it.
    """
    if (own.technique, own.outcome) != (technique, outcome):
        msg = (
            f"own counts of {own.outcome.value} of {own.technique} were given for {outcome.value} "
            f"of {technique}; allowed are counts of the same; give those"
        )
        raise KnowledgeError(msg)
    doubt = (
        from_counts(own.counted) if isinstance(printed, Unknown) else updated(printed, own.counted)
    )
    return WithOwnSeries(
        before=printed if isinstance(printed, Unknown) else interval_of(printed),
        after=interval_of(doubt),
        doubt=doubt,
        own=own,
    )
