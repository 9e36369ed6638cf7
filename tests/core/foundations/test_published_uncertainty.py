"""The worked examples of the guide to uncertainty come out as they are printed.

The tables lie in ``tests/published/foundations``; each names its place in JCGM 100:2008 and how
it was transcribed.
"""

import csv
from math import cos, floor, inf, sin, sqrt
from pathlib import Path

import numpy as np
import pytest

from thumbwright.core.foundations.measured import Evaluation, Input, Measured, Term, scaled, total
from thumbwright.core.radiograph.placements import PIXEL_SHARE

PUBLISHED = Path(__file__).parents[2] / "published" / "foundations"
EXACT_SHARES = {"68.27": 0.682689492, "95.45": 0.954499736, "99.73": 0.997300204}
"""The shares of a normal distribution that the table's rounded headings stand for."""


def table(name: str) -> list[dict[str, str]]:
    lines = (PUBLISHED / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def results(name: str) -> dict[str, tuple[float, float]]:
    return {row["result"]: (float(row["value"]), float(row["half_width"])) for row in table(name)}


def one_input(
    key: str, standard_uncertainty: float, freedom: float = inf, sensitivity: float = 1.0
) -> Term:
    doubt = Input(
        key=key,
        name=key,
        standard_uncertainty=standard_uncertainty,
        unit="-",
        evaluation=Evaluation.TYPE_A,
        degrees_of_freedom=freedom,
    )
    return Term(input=doubt, sensitivity=sensitivity)


STUDENT_T = [
    (float(row["dof"]), EXACT_SHARES.get(share, float(share) / 100), printed)
    for row in table("student_t_g2.csv")
    for share, printed in row.items()
    if share != "dof" and printed
]


@pytest.mark.parametrize(("freedom", "level", "published_t"), STUDENT_T)
def test_the_coverage_factor_is_the_printed_student_t(
    freedom: float, level: float, published_t: str
) -> None:
    value = Measured(value=0.0, unit="mm", origin="one mean", terms=(one_input("a", 1.0, freedom),))
    printed_to = 10.0 ** -len(published_t.split(".")[1])
    assert value.coverage_factor(level) == pytest.approx(float(published_t), abs=0.501 * printed_to)


def test_the_table_of_student_t_was_read_whole() -> None:
    assert len(STUDENT_T) == 28 * 6 - 1


@pytest.fixture(name="gauge")
def fixture_gauge() -> dict[str, Measured]:
    """Work example H.1: the parts of the length, each to first order."""
    rows = {row["input"]: row for row in table("end_gauge_h1.csv")}
    value = {name: float(row["value"]) for name, row in rows.items()}
    slopes = {
        "l_s": 1 - (value["d_alpha"] * value["theta"] + value["alpha_s"] * value["d_theta"]),
        "d_mean": 1.0,
        "d_random": 1.0,
        "d_systematic": 1.0,
        "d_alpha": -value["l_s"] * value["theta"],
        "theta": -value["l_s"] * value["d_alpha"],
        "alpha_s": -value["l_s"] * value["d_theta"],
        "d_theta": -value["l_s"] * value["alpha_s"],
    }
    return {
        name: Measured(
            value=value[name] if name in {"l_s", "d_mean"} else 0.0,
            unit="nm",
            origin=name,
            terms=(
                one_input(
                    name, float(row["standard_uncertainty"]), float(row["dof"]), slopes[name]
                ),
            ),
        )
        for name, row in rows.items()
    }


GAUGE = results("end_gauge_h1_results.csv")


def published(name: str) -> object:
    value, half_width = GAUGE[name]
    return pytest.approx(value, abs=half_width)


def test_the_end_gauge_is_as_long_and_as_doubtful_as_printed(gauge: dict[str, Measured]) -> None:
    length = total(gauge.values(), origin="end gauge")
    assert length.value == published("length")
    assert length.uncertainty == published("combined standard uncertainty")
    assert floor(length.degrees_of_freedom) == published("effective degrees of freedom truncated")


def test_each_effect_on_the_end_gauge_is_as_printed(gauge: dict[str, Measured]) -> None:
    length = total(gauge.values(), origin="end gauge")
    effects = {term.input.key: abs(term.effect) for term in length.budget}
    for name in ("l_s", "d_alpha", "d_theta"):
        assert effects[name] == published(f"effect of {name}")
    # Estimated as zero, theta and alpha_s have no effect to first order.
    assert effects["theta"] == effects["alpha_s"] == 0.0


def test_the_comparators_difference_is_as_doubtful_as_printed(gauge: dict[str, Measured]) -> None:
    parts = (gauge["d_mean"], gauge["d_random"], gauge["d_systematic"])
    difference_read = total(parts, origin="comparator")
    assert difference_read.uncertainty == published("effect of d")
    assert difference_read.degrees_of_freedom == published("dof of d")


def test_the_expanded_uncertainty_of_the_end_gauge_is_as_printed(
    gauge: dict[str, Measured],
) -> None:
    length = total(gauge.values(), origin="end gauge")
    whole_freedom = Measured(
        value=0.0, unit="nm", origin="16 degrees", terms=(one_input("a", 1.0, 16),)
    )
    factor = whole_freedom.coverage_factor(0.99)
    assert factor == published("t99 for 16")
    assert factor * length.uncertainty == published("expanded uncertainty at 99 %")
    # Not truncated to 16 but left at 16.7 degrees of freedom, the interval is a little shorter.
    interval = length.interval(0.99)
    assert 0.98 < (interval.high - interval.low) / (2 * factor * length.uncertainty) < 1.0


def resistance() -> tuple[dict[str, Measured], dict[tuple[str, str], float]]:
    """Work example H.2: correlated means as sums of inputs that they share.

    The covariance of the three means is split into a lower triangle (Cholesky); each mean is
    then a sum of three independent inputs, shared by their keys.
    """
    seen = np.array([[float(row[name]) for name in ("V", "I", "phi")] for row in rows_h2()])
    seen[:, 1] /= 1000
    voltage, current, phase = seen.mean(axis=0)
    triangle = np.linalg.cholesky(np.cov(seen.T) / len(seen))
    impedance = voltage / current
    real, imaginary = impedance * cos(phase), impedance * sin(phase)
    slopes = {
        "R": (real, (real / voltage, -real / current, -imaginary)),
        "X": (imaginary, (imaginary / voltage, -imaginary / current, real)),
        "Z": (impedance, (1 / current, -impedance / current, 0.0)),
    }
    parts = {
        name: Measured(
            value=value,
            unit="ohm",
            origin=name,
            terms=tuple(
                one_input(
                    f"shared {column}",
                    float(triangle[column, column]),
                    sensitivity=slope[row]
                    * float(triangle[row, column] / triangle[column, column]),
                )
                for row in range(3)
                for column in range(row + 1)
            ),
        )
        for name, (value, slope) in slopes.items()
    }
    correlations = {
        (one, other): correlation(parts[one], parts[other])
        for one, other in (("R", "X"), ("R", "Z"), ("X", "Z"))
    }
    return parts, correlations


def rows_h2() -> list[dict[str, str]]:
    return table("resistance_reactance_h2.csv")


def correlation(one: Measured, other: Measured) -> float:
    """Return the correlation coefficient, from the doubt of the sum."""
    both = total((one, other), origin="sum").uncertainty ** 2
    covariance = (both - one.uncertainty**2 - other.uncertainty**2) / 2
    return covariance / (one.uncertainty * other.uncertainty)


def test_resistance_and_reactance_come_out_as_printed_from_correlated_means() -> None:
    parts, _ = resistance()
    published_h2 = results("resistance_reactance_h2_results.csv")
    for name, part in parts.items():
        value, half_width = published_h2[name]
        assert part.value == pytest.approx(value, abs=half_width)
        value, half_width = published_h2[f"u({name})"]
        assert part.uncertainty == pytest.approx(value, abs=half_width)


def test_results_that_share_inputs_are_correlated_as_printed() -> None:
    _, correlations = resistance()
    published_h2 = results("resistance_reactance_h2_results.csv")
    for (one, other), found in correlations.items():
        value, half_width = published_h2[f"r({one},{other})"]
        assert found == pytest.approx(value, abs=half_width)


def test_a_product_of_three_factors_has_the_printed_degrees_of_freedom() -> None:
    terms = tuple(
        one_input(row["input"], float(row["relative_percent"]), int(row["observations"]) - 1)
        for row in table("effective_freedom_g4.csv")
    )
    product = Measured(value=0.0, unit="%", origin="three factors", terms=terms)
    published_uncertainty, published_freedom = 1.03, 19.0
    published_t95, published_expanded = 2.09, 2.2
    assert product.uncertainty == pytest.approx(published_uncertainty, abs=0.005)
    # The print starts from the rounded 1.03 %, which moves the freedom by 0.04.
    assert product.degrees_of_freedom == pytest.approx(published_freedom, abs=0.05)
    assert product.coverage_factor(0.95) == pytest.approx(published_t95, abs=0.005)
    half = product.interval(0.95).high
    assert half == pytest.approx(published_expanded, abs=0.05)


def test_a_reading_to_the_nearest_step_doubts_by_the_printed_share_of_the_step() -> None:
    published_share = 0.29  # F.2.2.1 of JCGM 100:2008: u = 0.29 of the step; recalled
    assert pytest.approx(published_share, abs=0.005) == PIXEL_SHARE
    independent_share = float(np.std(np.linspace(-0.5, 0.5, 100_001)))
    assert pytest.approx(independent_share, rel=1e-4) == PIXEL_SHARE


def test_a_sum_of_fully_correlated_numbers_doubts_by_the_plain_sum() -> None:
    """Hold ten standards compared with one reference: 5.2.2, example, of JCGM 100:2008.

    Ten resistors of 1 kilohm, each with 100 milliohm of doubt from one and the same reference,
    in series: 1 ohm (recalled), and not the 0.32 ohm of independent ones.
    """
    resistor = Measured(
        value=1000.0, unit="ohm", origin="resistor", terms=(one_input("reference", 0.1),)
    )
    published_together, published_if_independent = 1.0, 0.32
    assert total([resistor] * 10, origin="row").uncertainty == pytest.approx(published_together)
    apart = [
        Measured(value=1000.0, unit="ohm", origin=str(at), terms=(one_input(str(at), 0.1),))
        for at in range(10)
    ]
    assert total(apart, origin="row").uncertainty == pytest.approx(
        published_if_independent, abs=0.005
    )
    assert scaled(resistor, 10).uncertainty == pytest.approx(published_together)
    assert sqrt(10) * 0.1 == pytest.approx(published_if_independent, abs=0.005)
