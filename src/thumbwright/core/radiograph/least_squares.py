"""Damped least squares for a handful of numbers.

SciPy's solver does the same; loading it takes a seventh of the time that a whole case may take.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from thumbwright.core.radiograph.edges import Line

MOST_TRIES = 60
ENOUGH_SHARE = 1e-8
"""Gain over the cost below which the numbers are settled. [-]"""
SMALL_SHARE = 1e-6
"""Step of a slope over the number's usual size. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """Numbers that leave the least, and how sharply."""

    numbers: Line
    cost: float
    """Sum of the squares of what is left. [-]"""
    normal: Line
    """Matrix of the normal equations there."""


def least_squares(
    left: Callable[[Line], Line], start: Line, sizes: Line, *, tries: int = MOST_TRIES
) -> Fitted:
    """Return the numbers for which the sum of the squares of what is left is least.

    Parameters
    ----------
    left
        What is left for given numbers, in units of its doubt.
    start
        Numbers near the answer.
    sizes
        Usual size of each number, in its own unit; above 0.
    tries
        Steps tried at most. [-]

    Returns
    -------
    Fitted
        The best numbers met, settled or not.
    """
    numbers, here = start.astype(np.float64), left(start)
    slopes = _slopes(left, numbers, here, sizes)
    damping = 1e-3
    for _ in range(tries):
        normal, pull = slopes.T @ slopes, slopes.T @ here
        reach = np.diag(np.diag(normal) + 1e-12)
        tried = numbers - np.linalg.solve(normal + damping * reach, pull)
        new = left(tried)
        gain = float(here @ here - new @ new)
        if not gain > 0:
            if damping > 1e8:
                break
            damping *= 10.0
            continue
        is_settled = gain <= ENOUGH_SHARE * float(here @ here)
        numbers, here, damping = tried, new, max(0.1 * damping, 1e-9)
        slopes = _slopes(left, numbers, here, sizes)
        if is_settled:
            break
    return Fitted(numbers=numbers, cost=float(here @ here), normal=slopes.T @ slopes)


def _slopes(left: Callable[[Line], Line], numbers: Line, here: Line, sizes: Line) -> Line:
    columns = []
    for index, size in enumerate(sizes):
        moved = numbers.copy()
        moved[index] += SMALL_SHARE * size
        columns.append((left(moved) - here) / (SMALL_SHARE * size))
    return np.stack(columns, axis=1)
