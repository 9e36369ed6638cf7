"""Pools rare events by the counts themselves: a binomial in each series, normal log odds between.

No half event is added anywhere, which is why this model is chosen for rare events.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, pi

import numpy as np
from scipy.optimize import minimize, minimize_scalar
from scipy.special import betaln, expit, logit

from thumbwright.core.evidence.effects import Numbers, logit_effects
from thumbwright.core.evidence.pooling import PooledEffect
from thumbwright.core.evidence.study import Counted
from thumbwright.core.evidence.variance_between import tau_squared_dersimonian_laird_1986
from thumbwright.core.foundations.errors import KnowledgeError

_NODES, _WEIGHTS = np.polynomial.hermite.hermgauss(21)
_LOG_WEIGHTS = np.log(_WEIGHTS) + _NODES**2
_STEPS_TO_MODE = 40
_NO_SPREAD = 1e-3
"""Below this standard deviation between series the model is one common share. [log odds]"""
_MOST_SPREAD = 2.0
"""At most, where a handful of events would let it run away (working assumption). [log odds]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Counts:
    events: Numbers
    totals: Numbers


def pooled_binomial_normal_glmm(counts: Sequence[Counted]) -> PooledEffect:
    r"""Pool shares on the scale of log odds by maximum likelihood of the counts.

    Parameters
    ----------
    counts
        One series or more, in which somebody had the event and somebody had not.

    Returns
    -------
    PooledEffect
        On the scale of log odds, with a normal interval. The middle is that of the series, not
        the mean share over all people.

    Raises
    ------
    KnowledgeError
        If nobody or everybody had the event: then the likelihood has no highest point.

    Notes
    -----
    .. math:: x_i \sim Bin(n_i, \mathrm{expit}(\mu + \sigma u_i)), u_i \sim N(0, 1)

    after [stijnen-2010]_. The integral over u is taken by Gauss-Hermite quadrature about the mode
    of each series; the standard error comes from the curvature in both parameters, found by
    differences of the gradient.
    """
    events, total = sum(c.events for c in counts), sum(c.total for c in counts)
    if not 0 < events < total:
        msg = (
            f"{events} events of {total} were given for pooling by log odds; allowed are series in "
            "which somebody had the event and somebody had not; state the exact interval instead"
        )
        raise KnowledgeError(msg)
    data = _Counts(
        events=np.array([float(c.events) for c in counts]),
        totals=np.array([float(c.total) for c in counts]),
    )
    common = np.array([float(logit(events / total)), 0.0])
    spread = _most_likely(data, common[0], counts) if len(counts) > 1 else common
    better = _cost(spread, data)[0] < _cost(common, data)[0] - 1e-9
    middle, sigma = spread if better and spread[1] > _NO_SPREAD else common
    return PooledEffect(
        value=float(middle),
        standard_error=_standard_error(float(middle), float(sigma), data),
        variance_between=float(sigma) ** 2,
        degrees_of_freedom=float("inf"),
        arms=len(counts),
        by_counts=True,
    )


def log_likelihood(middle: float, sigma: float, counts: Sequence[Counted]) -> float:
    """Return the log likelihood of the counts, for a middle and a spread of the log odds [-]."""
    data = _Counts(
        events=np.array([float(c.events) for c in counts]),
        totals=np.array([float(c.total) for c in counts]),
    )
    ways = -np.log(data.totals + 1) - betaln(data.events + 1, data.totals - data.events + 1)
    return float(ways.sum()) - _cost(np.array([middle, sigma]), data)[0]


def _most_likely(data: _Counts, start: float, counts: Sequence[Counted]) -> Numbers:
    moments = tau_squared_dersimonian_laird_1986(logit_effects(counts))
    found = minimize(
        _cost,
        np.array([start, max(0.3, moments**0.5)]),
        args=(data,),
        jac=True,
        method="BFGS",
        options={"gtol": 1e-6},
    )
    # The likelihood is the same for a spread and its negative, so no bound at 0 is needed.
    middle, sigma = float(found.x[0]), abs(float(found.x[1]))
    if sigma <= _MOST_SPREAD:
        return np.array([middle, sigma])
    held = minimize_scalar(
        lambda value: _cost(np.array([value, _MOST_SPREAD]), data)[0],
        bounds=(-20.0, 20.0),
        method="bounded",
    )
    return np.array([float(held.x), _MOST_SPREAD])


def _cost(parameters: Numbers, data: _Counts) -> tuple[float, Numbers]:
    """Return the negative log likelihood without its constant, and its gradient."""
    middle, sigma = float(parameters[0]), float(parameters[1])
    modes, scales = _modes(middle, sigma, data)
    u = modes[:, None] + np.sqrt(2.0) * scales[:, None] * _NODES
    eta = middle + sigma * u
    logs = data.events[:, None] * eta - data.totals[:, None] * np.logaddexp(0.0, eta)
    logs = logs - 0.5 * u**2 + _LOG_WEIGHTS
    highest = logs.max(axis=1, keepdims=True)
    parts = np.exp(logs - highest)
    sums = parts.sum(axis=1)
    value = np.sum(highest[:, 0] + np.log(sums) + np.log(scales)) - 0.5 * log(pi) * sums.size
    shares = parts / sums[:, None]
    pull = data.events[:, None] - data.totals[:, None] * expit(eta)
    slope = np.array([np.sum(shares * pull), np.sum(shares * pull * u)])
    return -float(value), -slope


def _modes(middle: float, sigma: float, data: _Counts) -> tuple[Numbers, Numbers]:
    """Return where each series' integrand is highest, and its breadth there, by Newton's steps."""
    u = np.zeros_like(data.events)
    for _ in range(_STEPS_TO_MODE):
        share = expit(middle + sigma * u)
        slope = sigma * (data.events - data.totals * share) - u
        curve = 1 + sigma**2 * data.totals * share * (1 - share)
        step = np.minimum(np.maximum(slope / curve, -2.0), 2.0)
        u = u + step
        if np.abs(step).max() < 1e-8:
            break
    share = expit(middle + sigma * u)
    return u, 1 / np.sqrt(1 + sigma**2 * data.totals * share * (1 - share))


def _standard_error(middle: float, sigma: float, data: _Counts) -> float:
    """Return the doubt of the middle, from the curvature of the likelihood [log odds]."""
    if sigma == 0.0:
        share = expit(middle)
        return float((data.totals.sum() * share * (1 - share)) ** -0.5)
    at, step = np.array([middle, sigma]), 1e-4
    columns = []
    for moved in np.eye(2) * step:
        ahead, behind = _cost(at + moved, data)[1], _cost(at - moved, data)[1]
        columns.append((ahead - behind) / (2 * step))
    curvature = np.array(columns)
    curvature = 0.5 * (curvature + curvature.T)
    if sigma == _MOST_SPREAD or np.linalg.det(curvature) <= 0:
        return float(curvature[0, 0] ** -0.5)
    return float(np.linalg.inv(curvature)[0, 0] ** 0.5)
