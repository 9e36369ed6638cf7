"""Pooling of numbers with their variances: the trials of a vaccine, and shares by arcsines."""

import numpy as np
import pytest
from scipy import integrate
from statsmodels.stats.meta_analysis import combine_effects
from tests.core.evidence.worked_arms import counted, table

from thumbwright.core.evidence.effects import (
    Effects,
    freeman_tukey_effects,
    logit_effects,
    mean_effects,
    share_from_freeman_tukey,
    standard_deviation,
)
from thumbwright.core.evidence.heterogeneity import (
    Heterogeneity,
    SmallStudies,
    heterogeneity,
    leave_one_out,
    small_studies_egger_1997,
    tau_squared_interval_q_profile,
)
from thumbwright.core.evidence.pooling import (
    pooled_dersimonian_laird_1986,
    pooled_hartung_knapp_sidik_jonkman,
    pooled_inverse_variance,
)
from thumbwright.core.evidence.study import Averaged
from thumbwright.core.evidence.variance_between import Between, variance_between
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError


def bcg(*, ratio: str) -> Effects:
    rows = table("bcg_trials.csv")
    cells = [
        [float(row[name]) for row in rows]
        for name in ("treated_cases", "treated_others", "control_cases", "control_others")
    ]
    a, b, c, d = (np.array(cell) for cell in cells)
    if ratio == "odds":
        return Effects(values=np.log(a * d / b / c), variances=1 / a + 1 / b + 1 / c + 1 / d)
    risks = np.log(a / (a + b)) - np.log(c / (c + d))
    return Effects(values=risks, variances=1 / a - 1 / (a + b) + 1 / c - 1 / (c + d))


def test_the_interval_of_the_variance_between_trials_is_the_printed_one() -> None:
    """To one unit of the last digit and not half: 0.13015 comes out, which rounds either way."""
    (row,) = table("bcg_variance_between.csv")
    published = (float(row["low"]), float(row["high"]))
    found = tau_squared_interval_q_profile(bcg(ratio="odds"))
    assert found == pytest.approx(published, abs=1e-4)


@pytest.mark.parametrize("ratio", ["odds", "risk"])
def test_random_effects_are_those_of_another_program(ratio: str) -> None:
    """Statsmodels 0.15, with moments (``chi2``) and the scatter of the trials."""
    effects = bcg(ratio=ratio)
    independent = combine_effects(effects.values, effects.variances, method_re="chi2", use_t=True)
    plain = pooled_dersimonian_laird_1986(effects)
    assert plain.variance_between == pytest.approx(independent.tau2, rel=1e-9)
    assert plain.value == pytest.approx(independent.mean_effect_re, rel=1e-9)
    assert plain.standard_error == pytest.approx(independent.sd_eff_w_re, rel=1e-9)
    careful = pooled_hartung_knapp_sidik_jonkman(effects)
    assert careful.standard_error == pytest.approx(independent.sd_eff_w_re_hksj, rel=1e-9)
    _, independent_ends = independent.conf_int(alpha=0.05)[1], independent.conf_int()[3]
    assert careful.interval() == pytest.approx(independent_ends, rel=1e-9)
    found = heterogeneity(effects)
    assert isinstance(found, Heterogeneity)
    assert found.q_factor == pytest.approx(independent.q, rel=1e-9)
    assert found.i_squared_share == pytest.approx(independent.i2, rel=1e-9)


INDEPENDENT_LIKELIHOODS = [
    # tau² and middle worked out apart from this program, with scipy, in four digits
    ("odds", Between.MAXIMUM_LIKELIHOOD, 0.3025, -0.7420),
    ("odds", Between.RESTRICTED_LIKELIHOOD, 0.3378, -0.7452),
    ("odds", Between.DERSIMONIAN_LAIRD, 0.3663, -0.7474),
    ("risk", Between.MAXIMUM_LIKELIHOOD, 0.2800, -0.7112),
    ("risk", Between.RESTRICTED_LIKELIHOOD, 0.3132, -0.7145),
    ("risk", Between.DERSIMONIAN_LAIRD, 0.3088, -0.7141),
]


@pytest.mark.parametrize(
    ("ratio", "method", "independent_variance", "independent_middle"), INDEPENDENT_LIKELIHOODS
)
def test_each_variance_between_trials_is_that_worked_out_apart(
    ratio: str, method: Between, independent_variance: float, independent_middle: float
) -> None:
    pooled = pooled_inverse_variance(bcg(ratio=ratio), method)
    assert pooled.variance_between == pytest.approx(independent_variance, abs=0.6e-4)
    assert pooled.value == pytest.approx(independent_middle, abs=0.6e-4)


@pytest.mark.parametrize("method", [Between.MAXIMUM_LIKELIHOOD, Between.RESTRICTED_LIKELIHOOD])
def test_no_variance_on_a_fine_grid_is_likelier(method: Between) -> None:
    """The restricted likelihood is here the likelihood integrated over the middle."""
    effects = bcg(ratio="odds")

    def likelihood(variance: float) -> float:
        spread = effects.variances + variance

        def at(middle: float) -> float:
            logs = np.log(spread) + (effects.values - middle) ** 2 / spread
            return float(np.exp(-0.5 * np.sum(logs)))

        if method is Between.MAXIMUM_LIKELIHOOD:
            return at(float(np.average(effects.values, weights=1 / spread)))
        return float(integrate.quad(at, -4.0, 3.0, epsabs=0.0, limit=200, points=[-0.75])[0])

    grid = np.linspace(0.2, 0.5, 61)
    independent_best = float(grid[int(np.argmax([likelihood(v) for v in grid]))])
    assert variance_between(effects, method) == pytest.approx(independent_best, abs=0.005)


@pytest.mark.parametrize(
    "row", [*table("freeman_tukey.csv"), *table("freeman_tukey_edges.csv")], ids=str
)
def test_the_double_arcsine_and_its_way_back_are_the_printed_ones(row: dict[str, str]) -> None:
    published_value, published_share = float(row["double_arcsine"]), float(row["share"])
    (count,) = counted((int(row["events"]), int(row["total"])))
    effects = freeman_tukey_effects([count])
    digits = 10.0 ** -len(row["double_arcsine"].split(".")[1])
    assert effects.values[0] == pytest.approx(published_value, abs=0.51 * digits)
    decimals = 10.0 ** -len(row["variance"].split(".")[1])
    assert effects.variances[0] == pytest.approx(float(row["variance"]), abs=0.51 * decimals)
    back = share_from_freeman_tukey(float(effects.values[0]), count.total)
    assert back == pytest.approx(published_share, abs=0.6e-4)


def test_three_of_four_and_none_of_four_have_the_log_odds_of_arithmetic() -> None:
    """By hand: ln(3/1), 1/3 + 1/1; half added to both cells of 0 of 4: ln(0.5/4.5), 2 + 2/9."""
    effects = logit_effects(counted((3, 4), (0, 4)))
    by_hand_values, by_hand_variances = [np.log(3.0), np.log(1 / 9)], [4 / 3, 2 + 2 / 9]
    assert effects.values == pytest.approx(by_hand_values)
    assert effects.variances == pytest.approx(by_hand_variances)


def test_series_that_agree_have_the_plain_weighted_mean() -> None:
    """By hand: weights 1 and 1/4 give (2 + 2.2/4) / 1.25 = 2.04, variance 1/1.25."""
    effects = Effects(values=np.array([2.0, 2.2]), variances=np.array([1.0, 4.0]))
    pooled = pooled_dersimonian_laird_1986(effects)
    by_hand_middle, by_hand_error = 2.04, 0.8**0.5
    assert pooled.variance_between == 0.0
    assert pooled.value == pytest.approx(by_hand_middle)
    assert pooled.standard_error == pytest.approx(by_hand_error)
    assert pooled.prediction() is None


def test_the_careful_interval_is_never_narrower_when_that_is_asked() -> None:
    effects = Effects(values=np.array([1.0, 1.0, 1.001]), variances=np.array([1.0, 1.0, 1.0]))
    narrow = pooled_hartung_knapp_sidik_jonkman(effects)
    held = pooled_hartung_knapp_sidik_jonkman(effects, never_narrower=True)
    plain = pooled_dersimonian_laird_1986(effects)
    assert narrow.standard_error < 0.01 * plain.standard_error
    assert held.standard_error == pytest.approx(plain.standard_error)


def test_one_more_series_lies_farther_out_than_the_middle_of_many() -> None:
    pooled = pooled_dersimonian_laird_1986(bcg(ratio="odds"))
    inner, outer = pooled.interval(), pooled.prediction()
    assert outer is not None
    assert outer[0] < inner[0] < inner[1] < outer[1]


def test_without_each_trial_in_turn_the_middle_moves_a_little() -> None:
    effects = bcg(ratio="odds")
    found = leave_one_out(effects, lambda rest: pooled_dersimonian_laird_1986(rest).value)
    assert not isinstance(found, Unknown)
    assert len(found) == len(effects)
    middle = pooled_dersimonian_laird_1986(effects).value
    assert min(found) < middle < max(found)
    assert max(abs(one - middle) for one in found) < 0.15


def test_two_series_are_not_left_out_one_by_one() -> None:
    effects = Effects(values=np.array([1.0, 2.0]), variances=np.array([1.0, 1.0]))
    assert isinstance(leave_one_out(effects, lambda rest: float(rest.values[0])), Unknown)


def test_small_series_are_held_against_large_ones_from_ten_series_on() -> None:
    """The regression is repeated here with the closed formulas for a straight line."""
    effects = bcg(ratio="odds")
    few = Effects(values=effects.values[:9].copy(), variances=effects.variances[:9].copy())
    assert isinstance(small_studies_egger_1997(few), Unknown)
    found = small_studies_egger_1997(effects)
    assert isinstance(found, SmallStudies)
    x, y = effects.variances**-0.5, effects.values * effects.variances**-0.5
    slope = np.cov(x, y, ddof=0)[0, 1] / np.var(x)
    independent_intercept = float(y.mean() - slope * x.mean())
    assert found.slope_factor == pytest.approx(independent_intercept, rel=1e-9)
    assert 0.1 < found.chance_prob < 0.5


def test_the_spread_of_a_range_is_that_of_the_normal_law() -> None:
    """By hand: for 25 people Phi^-1(24.625/25.25) = 1.9643, so 20 over twice that is 5.091."""
    by_hand_sd = 5.091
    range_only = Averaged(mean=10.0, unit="mm", low=0.0, high=20.0, total=25)
    assert standard_deviation(range_only) == pytest.approx(by_hand_sd, abs=2e-3)
    (variance,) = mean_effects([range_only]).variances
    assert variance == pytest.approx(by_hand_sd**2 / 25, rel=1e-3)
    assert standard_deviation(Averaged(mean=10.0, unit="mm", total=25)) is None
    assert (
        standard_deviation(Averaged(mean=1.0, unit="mm", sd=2.0, total=9, is_median=True)) is None
    )


def test_numbers_without_a_doubt_are_refused() -> None:
    with pytest.raises(KnowledgeError, match=r"each with a variance above 0; leave the others out"):
        Effects(values=np.array([1.0]), variances=np.array([0.0]))
