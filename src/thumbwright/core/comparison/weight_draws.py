"""Draws of weights from all that a preference allows."""

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.criterion import CriterionKey
from thumbwright.core.comparison.preference import (
    Joint,
    Preference,
    Ranked,
    Swing,
    Unsaid,
    behind_share,
    known_keys,
)
from thumbwright.core.comparison.weights import rank_order_centroid

Shares = NDArray[np.float32]


def drawn_shares(
    preference: Preference,
    keys: tuple[CriterionKey, ...],
    count: int,
    rng: np.random.Generator,
) -> Shares:
    r"""Draw weights from all that a preference allows.

    Parameters
    ----------
    preference
        What is known of the weights.
    keys
        The criteria, in the order in which the weights are wanted.
    count
        Number of draws. [-]
    rng
        Source of chance.

    Returns
    -------
    Shares
        By criterion and draw; each column adds up to 1. [-]

    Notes
    -----
    Even weights on the simplex are exponential draws over their sum. Even weights that keep an
    order are the same mixture of the corners :math:`(1/k, \dots, 1/k, 0, \dots, 0)` of the part
    of the simplex that keeps it; their mean is the rank-order centroid. Points are drawn each
    from a triangle around what was said, as wide as the doubt on either side, never below 0,
    and divided by their sum. Of a joint view each draw is that of one voice.
    """
    match preference:
        case Ranked():
            ahead = _keeping_order(len(preference.order), count, rng)
            rest = behind_share(rank_order_centroid(len(preference.order)))
            named = (preference.order, preference.behind)
            return _placed(*_with_behind(ahead, *named, rest, rng), keys)
        case Swing():
            ahead = _points(preference, count, rng)
            rest = behind_share(preference.weights)
            named = (tuple(preference.points), preference.behind)
            return _placed(*_with_behind(ahead, *named, rest, rng), keys)
        case Unsaid():
            ahead = _even(len(preference.counted), count, rng)
            rest = behind_share((1 / len(preference.counted),))
            named = (preference.counted, preference.behind)
            return _placed(*_with_behind(ahead, *named, rest, rng), keys)
        case Joint():
            return _mixed(preference, keys, count, rng)


def _even(size: int, count: int, rng: np.random.Generator) -> Shares:
    raw = rng.standard_exponential((size, count), dtype=np.float32)
    raw /= raw.sum(axis=0)
    return raw


def _keeping_order(size: int, count: int, rng: np.random.Generator) -> Shares:
    corners = np.triu(np.ones((size, size), dtype=np.float32))
    corners /= np.arange(1, size + 1, dtype=np.float32)
    return np.asarray(corners @ _even(size, count, rng), dtype=np.float32)


def _with_behind(
    ahead: Shares,
    order: tuple[CriterionKey, ...],
    behind: tuple[CriterionKey, ...],
    rest: float,
    rng: np.random.Generator,
) -> tuple[Shares, tuple[CriterionKey, ...]]:
    """Put the prices that nobody named behind the weights of what was named."""
    if not behind:
        return ahead, order
    after = _keeping_order(len(behind), ahead.shape[1], rng)
    return np.concatenate((np.float32(1 - rest) * ahead, np.float32(rest) * after)), (
        *order,
        *behind,
    )


def _points(preference: Swing, count: int, rng: np.random.Generator) -> Shares:
    centre = np.array(list(preference.points.values()), dtype=np.float32)[:, np.newaxis]
    shape = (centre.size, count)
    spread = rng.random(shape, dtype=np.float32) - rng.random(shape, dtype=np.float32)
    drawn = np.maximum(centre + np.float32(preference.doubt) * spread, 0)
    drawn += np.where(drawn.sum(axis=0) > 0, np.float32(0), centre)
    return np.asarray(drawn / drawn.sum(axis=0), dtype=np.float32)


def _mixed(
    preference: Joint, keys: tuple[CriterionKey, ...], count: int, rng: np.random.Generator
) -> Shares:
    whose = rng.choice(len(preference.parts), size=count, p=preference.part_share)
    mixed = np.empty((len(keys), count), dtype=np.float32)
    for place, part in enumerate(preference.parts):
        is_theirs = whose == place
        mixed[:, is_theirs] = drawn_shares(part, keys, int(is_theirs.sum()), rng)
    return mixed


def _placed(
    shares: Shares, order: tuple[CriterionKey, ...], keys: tuple[CriterionKey, ...]
) -> Shares:
    """Put rows in the order of the criteria; what is not named weighs nothing."""
    if order == keys:
        return shares
    placed = np.zeros((len(keys), shares.shape[1]), dtype=np.float32)
    placed[[known_keys(order, keys).index(key) for key in order]] = shares
    return placed
