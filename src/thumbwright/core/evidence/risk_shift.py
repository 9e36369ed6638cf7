"""Moves what is known of a share by effects of facts: by draws, and without them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import sqrt

import numpy as np
from scipy.optimize import brentq
from scipy.special import expit, ndtri

from thumbwright.core.evidence.effects import Numbers
from thumbwright.core.evidence.intervals import LEVEL_PROB, ShareInterval
from thumbwright.core.evidence.share_doubt import LogitNormal, ShareDoubt

_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(41)
_SHARES = _WEIGHTS / _WEIGHTS.sum()


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """What one fact does to the log odds of this patient."""

    log_odds: float
    """Of those with the fact over those without. [log odds]"""
    sd_log_odds: float
    """[log odds]"""
    people_share: float
    """Share of people in the series who have the fact. [-]"""
    present: bool | None
    """Whether the patient has it; None if nobody looked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """One way in which the facts that nobody looked for may stand."""

    chance_prob: float
    move_log_odds: float
    """[log odds]"""
    sd_log_odds: float
    """[log odds]"""


def drawn_shares(
    base: ShareDoubt, shifts: Sequence[Shift], rng: np.random.Generator, count: int
) -> Numbers:
    """Return draws of the share for this patient [-]; shape (count,)."""
    share = np.clip(base.draws(rng, count), 1e-300, 1 - 1e-16)
    log_odds = np.log(share) - np.log1p(-share)
    for shift in shifts:
        effect = rng.normal(shift.log_odds, shift.sd_log_odds, count)
        there = np.full(count, float(bool(shift.present)))
        if shift.present is None:
            there = (rng.random(count) < shift.people_share).astype(float)
        held = np.log1p(shift.people_share * np.expm1(effect))
        log_odds = log_odds + there * effect - held
    return np.asarray(expit(log_odds))


def closed_interval(
    base: ShareDoubt, shifts: Sequence[Shift], level_prob: float = LEVEL_PROB
) -> ShareInterval:
    """Return the median and interval of the share for this patient, without draws.

    Notes
    -----
    What each fact does is taken as normal with its own mean and variance, found by quadrature;
    facts that nobody looked for make a mixture with a part for each way in which they may stand.
    A normal log odds stays normal in each part; a beta is integrated over the effects.
    """
    parts = tuple(_parts(shifts))
    tail = (1 - level_prob) / 2
    low, middle, high = (_quantile(base, parts, prob) for prob in (tail, 0.5, 1 - tail))
    return ShareInterval(share=middle, low_share=low, high_share=high, level_prob=level_prob)


def _parts(shifts: Sequence[Shift]) -> Iterator[_Part]:
    choices = [(True, False) if one.present is None else (one.present,) for one in shifts]
    for stand in product(*choices):
        prob, move, variance = 1.0, 0.0, 0.0
        for shift, there in zip(shifts, stand, strict=True):
            if shift.present is None:
                prob *= shift.people_share if there else 1 - shift.people_share
            mean, spread = _moments(shift, there=there)
            move, variance = move + mean, variance + spread
        yield _Part(chance_prob=prob, move_log_odds=move, sd_log_odds=sqrt(variance))


def _moments(shift: Shift, *, there: bool) -> tuple[float, float]:
    """Return mean and variance of what a fact does to the log odds of the mixture in print."""
    effect = shift.log_odds + shift.sd_log_odds * _NODES
    moved = float(there) * effect - np.log1p(shift.people_share * np.expm1(effect))
    mean = float(np.sum(_SHARES * moved))
    return mean, float(np.sum(_SHARES * (moved - mean) ** 2))


def _quantile(base: ShareDoubt, parts: Sequence[_Part], prob: float) -> float:
    if len(parts) == 1 and isinstance(base, LogitNormal):
        part = parts[0]
        spread = sqrt(base.sd_log_odds**2 + part.sd_log_odds**2)
        middle = base.middle_log_odds + part.move_log_odds
        return float(expit(middle + spread * float(ndtri(prob))))
    return float(expit(brentq(lambda at: _below(base, parts, at) - prob, -60.0, 60.0, xtol=1e-9)))


def _below(base: ShareDoubt, parts: Sequence[_Part], log_odds: float) -> float:
    total = 0.0
    for part in parts:
        moved = part.move_log_odds + part.sd_log_odds * _NODES
        below = base.below_prob(np.asarray(expit(log_odds - moved)))
        total += part.chance_prob * float(np.sum(_SHARES * below))
    return total
