"""How much true values differ between series: the variance tau², by three methods."""

from collections.abc import Callable
from enum import Enum

import numpy as np
from scipy.optimize import minimize_scalar

from thumbwright.core.evidence.effects import Effects


class Between(Enum):
    """How the variance between series is estimated."""

    DERSIMONIAN_LAIRD = "DerSimonian-Laird"
    MAXIMUM_LIKELIHOOD = "maximum likelihood"
    RESTRICTED_LIKELIHOOD = "restricted maximum likelihood"


def variance_between(effects: Effects, method: Between) -> float:
    """Return the variance between series [of the scale, squared]; 0 for a single one."""
    if len(effects) == 1:
        return 0.0
    if method is Between.DERSIMONIAN_LAIRD:
        return tau_squared_dersimonian_laird_1986(effects)
    return _by_likelihood(effects, restricted=method is Between.RESTRICTED_LIKELIHOOD)


def cochran_q(effects: Effects) -> float:
    r"""Return the weighted sum of squares about the mean of equal effects [-].

    Notes
    -----
    .. math:: Q = \sum w_i (y_i - \hat\mu)^2, w_i = 1/v_i, \hat\mu = \sum w_i y_i / \sum w_i
    """
    weights = 1 / effects.variances
    middle = float(np.average(effects.values, weights=weights))
    return float(np.sum(weights * (effects.values - middle) ** 2))


def tau_squared_dersimonian_laird_1986(effects: Effects) -> float:
    r"""Return the variance between series by the method of moments [of the scale, squared].

    Notes
    -----
    .. math:: \tau^2 = \max(0, (Q - (k-1)) / C), C = \sum w - \sum w^2 / \sum w

    after [dersimonian-laird-1986]_.
    """
    weights = 1 / effects.variances
    scale = float(weights.sum() - (weights**2).sum() / weights.sum())
    return max(0.0, (cochran_q(effects) - (len(effects) - 1)) / scale)


def _by_likelihood(effects: Effects, *, restricted: bool) -> float:
    """Return the variance with the highest likelihood, by search on a scale that reaches 0."""
    spread = float(np.var(effects.values)) + float(effects.variances.max())
    cost = _cost(effects, restricted=restricted)
    # Searched by its root, on which the likelihood is smooth where the variance is near 0.
    found = minimize_scalar(
        lambda root: cost(root**2),
        bounds=(0.0, 3.0 * float(np.sqrt(spread))),
        method="bounded",
        options={"xatol": 1e-9},
    )
    best = float(found.x) ** 2
    return best if cost(best) < cost(0.0) - 1e-10 else 0.0


def _cost(effects: Effects, *, restricted: bool) -> Callable[[float], float]:
    def cost(variance: float) -> float:
        spread = effects.variances + variance
        middle = np.average(effects.values, weights=1 / spread)
        total = float(np.sum(np.log(spread) + (effects.values - middle) ** 2 / spread))
        return total + (float(np.log(np.sum(1 / spread))) if restricted else 0.0)

    return cost
