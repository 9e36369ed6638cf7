"""Shares as natural frequencies, all with one denominator so that they can be compared."""

from collections.abc import Iterable

from thumbwright.core.evidence.intervals import ShareInterval

_FEW, _MANY = 100, 1000


def denominator_for(intervals: Iterable[ShareInterval]) -> int:
    """Return of how many people all of some shares are told: 100, or 1,000 if one is rare.

    Examples
    --------
    >>> rare = ShareInterval(share=0.004, low_share=0.001, high_share=0.02)
    >>> denominator_for((rare,))
    1000
    """
    middles = [one.share for one in intervals]
    return _MANY if any(0 < share < 0.01 for share in middles) else _FEW


def of_people(share: float, denominator: int) -> str:
    """Return how many of so many people, in words; never "none" for what is merely rare.

    Examples
    --------
    >>> of_people(0.028, 100), of_people(0.0004, 100), of_people(0.0, 100), of_people(1.0, 100)
    ('3', 'fewer than 1', 'none', 'all')
    """
    if share == 0.0:
        return "none"
    if share == 1.0:
        return "all"
    count = round(share * denominator)
    if count == 0:
        return "fewer than 1"
    if count == denominator:
        return f"more than {denominator - 1:,}"
    return f"{count:,}"


def in_words(interval: ShareInterval, denominator: int) -> str:
    """Return a share and its interval as frequencies: "3 of 100 (1 to 10)".

    Examples
    --------
    >>> in_words(ShareInterval(share=0.028, low_share=0.003, high_share=0.098), 100)
    '3 of 100 (fewer than 1 to 10)'
    """
    middle, low, high = (
        of_people(share, denominator)
        for share in (interval.share, interval.low_share, interval.high_share)
    )
    return f"{middle} of {denominator:,} ({low} to {high})"
