"""Stretches of time as whole steps: joined, met, cut out, and where something fits into them."""

from collections.abc import Iterable

Spans = tuple[tuple[int, int], ...]
"""Half-open stretches, in order and apart: each from a first step up to but not with a last."""


def joined(spans: Iterable[tuple[int, int]]) -> Spans:
    """Put stretches in order and join those that touch.

    Examples
    --------
    >>> joined([(5, 8), (0, 2), (2, 3)])
    ((0, 3), (5, 8))
    """
    done: list[tuple[int, int]] = []
    for begin, end in sorted(spans):
        if begin >= end:
            continue
        if done and begin <= done[-1][1]:
            done[-1] = (done[-1][0], max(done[-1][1], end))
        else:
            done.append((begin, end))
    return tuple(done)


def met(one: Spans, other: Spans) -> Spans:
    """Return what lies in both.

    Examples
    --------
    >>> met(((0, 10),), ((2, 4), (8, 12)))
    ((2, 4), (8, 10))
    """
    found, at, there = [], 0, 0
    while at < len(one) and there < len(other):
        begin = max(one[at][0], other[there][0])
        end = min(one[at][1], other[there][1])
        if begin < end:
            found.append((begin, end))
        if one[at][1] <= other[there][1]:
            at += 1
        else:
            there += 1
    return tuple(found)


def without(whole: Spans, hole: Spans) -> Spans:
    """Return what is left of the whole outside the hole.

    Examples
    --------
    >>> without(((0, 10),), ((2, 4), (8, 12)))
    ((0, 2), (4, 8))
    """
    if not whole:
        return ()
    first, last = whole[0][0], whole[-1][1]
    edges = [first, *(step for span in hole for step in span), last]
    gaps = zip(edges[::2], edges[1::2], strict=True)
    return met(whole, joined((begin, end) for begin, end in gaps if begin < end))


def where_it_fits(free: Spans, length: int) -> Spans:
    """Return the first steps at which something can begin so that all of it lies in one stretch.

    Parameters
    ----------
    free
        Where there is room. [steps]
    length
        Of what is to fit; 0 for a moment, which fits at each step of a stretch. [steps]

    Examples
    --------
    >>> where_it_fits(((0, 10), (20, 22)), 4)
    ((0, 7),)
    """
    room = max(length, 1)
    return tuple((begin, end - room + 1) for begin, end in free if end - begin >= room)


def holds(spans: Spans, step: int) -> bool:
    """Tell whether a step lies in one of the stretches."""
    return any(begin <= step < end for begin, end in spans)
