"""Damped least squares against SciPy's solver and against an answer in closed form."""

import numpy as np
import pytest
from scipy.optimize import least_squares as scipy_least_squares

from thumbwright.core.radiograph.edges import Line
from thumbwright.core.radiograph.least_squares import least_squares


def valley(numbers: Line) -> Line:
    """Return what is left of Rosenbrock's valley, which has its floor at (1, 1)."""
    return np.array([10.0 * (numbers[1] - numbers[0] ** 2), 1.0 - numbers[0]])


@pytest.mark.parametrize("start", [(-1.2, 1.0), (0.0, 0.0), (3.0, -2.0)])
def test_the_floor_of_the_valley_is_found(start: tuple[float, float]) -> None:
    found = least_squares(valley, np.array(start), np.ones(2), tries=200)
    by_hand_floor = np.array([1.0, 1.0])
    assert found.numbers == pytest.approx(by_hand_floor, abs=1e-4)
    assert found.cost < 1e-8


@pytest.mark.parametrize("seed", range(6))
def test_a_noisy_bell_is_fitted_as_scipy_fits_it(seed: int) -> None:
    draw = np.random.default_rng([71, seed])
    places = np.linspace(-4, 4, 60)
    film = 2.0 * np.exp(-0.5 * ((places - 0.4) / 0.8) ** 2) + 0.3 + draw.normal(0, 0.05, 60)

    def left(numbers: Line) -> Line:
        height, middle, spread, level = numbers
        bell = height * np.exp(-0.5 * ((places - middle) / spread) ** 2)
        return np.asarray((bell + level - film) / 0.05)

    start = np.array([1.0, 0.0, 1.0, 0.0])
    found = least_squares(left, start, np.ones(4))
    independent = scipy_least_squares(left, start)
    independent_matrix = independent.jac.T @ independent.jac
    assert found.numbers == pytest.approx(independent.x, abs=1e-5)
    assert found.cost == pytest.approx(2 * independent.cost, rel=1e-8)
    assert found.normal == pytest.approx(independent_matrix, rel=1e-3, abs=0.5)


def test_a_start_at_the_answer_stays_there() -> None:
    found = least_squares(valley, np.array([1.0, 1.0]), np.ones(2))
    assert found.numbers.tolist() == [1.0, 1.0]


def test_few_tries_give_the_best_met() -> None:
    start = np.array([-1.2, 1.0])
    found = least_squares(valley, start, np.ones(2), tries=3)
    assert found.cost < float(valley(start) @ valley(start))
