"""Cautious estimates: values computed once from the stated equations, scipy and numpy beside them, and laws."""

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from calc.formulas import characteristic as ch
from calc.procedures.failures import ProcedureError
from calc.procedures.reading_statistics import independent_readings, parabola, student_t

approx = pytest.approx
Z = np.arange(1.0, 9.0)
D = np.array([9.1, 10.4, 9.8, 12.6, 13.1, 12.9, 15.8, 15.2])
N = 8.0


def constant(x: NDArray[np.float64]) -> tuple[Any, Any]:
    """Mean and standard deviation by the formulas."""
    mean = ch.mean_of_readings(x, float(len(x)))
    return mean, ch.deviation_of_readings(x, mean, ch.freedom_about_mean(float(len(x))))


def line() -> dict[str, Any]:
    """The straight line through D."""
    x_av, s_x = constant(D)
    z_av = ch.mean_depth(Z, N)
    S_zz = ch.spread_of_depths(Z, z_av)
    b = ch.slope_of_trend(Z, z_av, D, x_av, S_zz)
    a = ch.trend_at_ground_level(x_av, b, z_av)
    s_e = ch.deviation_from_trend(D, a, b, Z, ch.freedom_about_trend(N))
    return {"x_av": x_av, "s_x": s_x, "z_av": z_av, "S_zz": S_zz, "b": b, "a": a, "s_e": s_e}


def test_constant_value_reproduces_V2_3() -> None:
    mean, s = constant(D)
    t = student_t(0.95, 7)

    assert [float(mean[0]), float(s[0])] == approx([12.3625, 2.4442], abs=5e-5)
    assert float(ch.variation_of_readings(s, mean)[0]) == approx(0.1977, abs=5e-5)
    assert t == approx(1.8946, abs=5e-5)
    unknown = ch.lower_estimate(mean, ch.coefficient_by_student(t, 0.0, N), s)
    assert float(unknown[0]) == approx(10.7253, abs=5e-5)
    known = ch.lower_estimate(
        mean, ch.coefficient_by_known_variance(0.0, N), ch.deviation_by_known_variation(0.2, mean)
    )
    assert float(known[0]) == approx(10.9246, abs=5e-5)
    assert float(ch.lower_half_deviation(mean, s)[0]) == approx(11.1404, abs=5e-5)
    local = ch.lower_estimate(mean, ch.coefficient_by_student(t, 1.0, N), s)
    assert float(local[0]) == approx(7.4509, abs=5e-5)


def test_constant_value_is_the_one_sided_confidence_limit_of_scipy() -> None:
    mean, s = constant(D)
    k_n = ch.coefficient_by_student(student_t(0.95, 7), 0.0, N)
    low, high = stats.t.interval(0.90, 7, loc=D.mean(), scale=stats.sem(D))

    assert float(ch.lower_estimate(mean, k_n, s)[0]) == approx(low, rel=1e-12)
    assert float(ch.upper_estimate(mean, k_n, s)[0]) == approx(high, rel=1e-12)
    assert float(ch.upper_half_deviation(mean, s)[0]) == approx(D.mean() + D.std(ddof=1) / 2, rel=1e-12)


def test_trend_reproduces_V2_4() -> None:
    known = line()
    t = student_t(0.95, 6)
    at = np.array([1.0, 4.5, 8.0])

    assert float(known["a"][0]) == approx(8.1036, abs=5e-5)
    assert float(known["b"][0]) == approx(0.94643, abs=5e-6)
    assert float(known["s_e"][0]) == approx(0.83648, abs=5e-6)
    assert float(ch.explained_share(6.0, known["s_e"], 7.0, known["s_x"])[0]) == approx(0.89961, abs=5e-6)
    assert t == approx(1.9432, abs=5e-5)
    for averaged, wanted in ((0.0, [8.0008, 11.7878, 14.6258]), (1.0, [7.1153, 10.6385, 13.7403])):
        k_z = ch.coefficient_of_trend(t, averaged, N, N, at, known["z_av"], known["S_zz"])
        assert ch.lower_estimate_of_trend(known["a"], known["b"], at, k_z, known["s_e"]) == approx(wanted, abs=5e-5)


def test_trend_is_that_of_scipy_and_its_slope_as_significant() -> None:
    known = line()
    found = stats.linregress(Z, D)

    assert float(known["b"][0]) == approx(found.slope, rel=1e-12)
    assert float(known["a"][0]) == approx(found.intercept, rel=1e-12)
    t_b = float(ch.significance_of_slope(known["b"], known["S_zz"], known["s_e"])[0])
    assert t_b == approx(found.slope / found.stderr, rel=1e-12)
    assert 2 * stats.t.sf(t_b, 6) == approx(found.pvalue, rel=1e-9)
    assert float(ch.variation_about_trend(known["s_e"], known["x_av"])[0]) == approx(0.83648 / 12.3625, abs=1e-6)


def test_readings_given_twice_tell_nothing_new_of_a_trend() -> None:
    """Every reading twice and half as many independent ones: the coefficient of those given once, at any depth."""
    known, at = line(), np.array([-2.0, 1.0, 4.5, 12.0])
    once, twice = (ch.coefficient_of_trend(1.9, 0.2, N, k * N, at, known["z_av"], k * known["S_zz"]) for k in (1, 2))

    assert twice == approx(once, rel=1e-12)


def test_upper_estimate_of_a_trend_mirrors_the_lower_one() -> None:
    known = line()
    k_z = ch.coefficient_of_trend(1.9, 0.3, N, N, Z, known["z_av"], known["S_zz"])
    low = ch.lower_estimate_of_trend(known["a"], known["b"], Z, k_z, known["s_e"])
    high = ch.upper_estimate_of_trend(known["a"], known["b"], Z, k_z, known["s_e"])

    assert (low + high) / 2 == approx(known["a"] + known["b"] * Z, rel=1e-12)


@pytest.mark.parametrize(
    ("n", "unknown", "known"),
    [(4, 1.1767, 0.8224), (6, 0.8226, 0.6715), (10, 0.5797, 0.5201), (20, 0.3866, 0.3678)],
)
def test_statistical_coefficients_reproduce_V2_5(n: int, unknown: float, known: float) -> None:
    assert ch.coefficient_by_student(student_t(0.95, n - 1), 0.0, float(n)) == approx(unknown, abs=5e-5)
    assert ch.coefficient_by_known_variance(0.0, float(n)) == approx(known, abs=5e-5)


def test_averaging_reproduces_V2_5b() -> None:
    mean, s = constant(D)
    reduced = ch.variance_reduction(theta_v=1.0, L_av=5.0)

    assert reduced == approx(0.18000, abs=5e-6)
    k_n = ch.coefficient_by_student(student_t(0.95, 7), reduced, N)
    assert float(ch.lower_estimate(mean, k_n, s)[0]) == approx(9.8051, abs=5e-5)
    assert independent_readings(["B"] * 8, Z.tolist(), 1.0) == approx(6.3102, abs=5e-5)
    assert independent_readings(["B"] * 8, Z.tolist(), 2.0) == approx(4.1368, abs=5e-5)


def test_averaging_goes_from_a_point_to_the_mean() -> None:
    """Towards Γ = 1 over no height and Γ² = θ/L over a large one (Vanmarcke 1977, as in the verification text)."""
    assert ch.variance_reduction(1.0, 1e-3) == approx(1.0, abs=1e-3)
    assert ch.variance_reduction(1.0, 1000.0) == approx(1e-3, rel=1e-3)
    assert np.all(np.diff(ch.variance_reduction(1.0, np.linspace(0.1, 20, 50))) < 0)


def test_readings_far_apart_and_at_different_places_are_independent() -> None:
    assert independent_readings(["B"] * 3, [0.0, 100.0, 200.0], 1.0) == approx(3.0)
    assert independent_readings(["A", "B", "C"], [1.0, 1.0, 1.0], 5.0) == approx(3.0)
    assert independent_readings(["B"] * 3, [1.0, 1.0, 1.0], 5.0) == approx(1.0)
    with pytest.raises(ProcedureError, match="scale of fluctuation above zero"):
        independent_readings(["B"], [1.0], 0.0)


@pytest.mark.parametrize("freedom", [1, 2, 3, 6, 7, 12, 31, 98])
def test_quantiles_of_student_match_scipy(freedom: int) -> None:
    for probability in (0.6, 0.95, 0.975, 0.999):
        assert student_t(probability, freedom) == approx(stats.t.ppf(probability, freedom), rel=1e-10)


@pytest.mark.parametrize(("probability", "freedom"), [(0.5, 3), (1.0, 3), (0.95, 0)])
def test_a_quantile_that_there_is_not_is_refused(probability: float, freedom: int) -> None:
    with pytest.raises(ProcedureError, match="Student's t"):
        student_t(probability, freedom)


def test_logarithms_give_the_geometric_mean_and_never_less_than_nothing() -> None:
    x = np.array([2.0, 9.0, 4.0, 30.0, 6.0])
    y = ch.logarithm_of_reading(x, 1.0)
    mean = ch.mean_of_logarithms(y, 5.0)
    s = ch.deviation_of_logarithms(y, mean, 4.0)

    assert float(ch.lower_estimate_of_logarithms(1.0, mean, 0.0, s)[0]) == approx(stats.gmean(x), rel=1e-12)
    assert float(s[0]) == approx(np.log(x).std(ddof=1), rel=1e-12)
    low, high = (one(1.0, mean, 5.0, s) for one in (ch.lower_estimate_of_logarithms, ch.upper_estimate_of_logarithms))
    assert 0 < float(low[0]) < stats.gmean(x) < float(high[0])


def test_distance_counts_standard_deviations() -> None:
    assert ch.distance_from_estimate(x_use=12.0, x_low=10.0, s_x=4.0) == approx(0.5)


def test_parabola_agrees_with_numpy() -> None:
    """Values and standard errors by the covariance of numpy.polyfit, which scales it by n − 3 degrees of freedom."""
    fitted, covariance = np.polyfit(Z, D, 2, cov=True)
    rows = np.vander([0.5, 4.0, 9.0], 3)
    found = parabola(Z.tolist(), D.tolist(), [0.5, 4.0, 9.0])

    assert found is not None
    assert found.values == approx(rows @ fitted)
    assert found.errors == approx(np.sqrt(np.diag(rows @ covariance @ rows.T)))
    assert found.significance == approx(abs(fitted[0]) / np.sqrt(covariance[0, 0]))


@pytest.mark.parametrize(
    ("depths", "readings"),
    [([1.0, 2.0, 3.0, 4.0], [1.0, 5.0, 2.0, 7.0]), ([1.0, 2.0, 3.0, 3.0, 3.0], [1.0, 5.0, 2.0, 7.0, 3.0]),
     ([1.0, 2.0, 3.0, 4.0, 5.0], [1.0, 4.0, 9.0, 16.0, 25.0])],
)  # fmt: skip
def test_no_parabola_of_too_few_depths_or_without_scatter(depths: list[float], readings: list[float]) -> None:
    assert parabola(depths, readings, depths) is None


@pytest.mark.parametrize("ratio", [0.1, 1.0, 3.0, 20.0])
def test_variance_of_a_mean_is_the_mean_correlation_of_all_pairs_of_points(ratio: float) -> None:
    """The double integral of the correlation function over the height, by the rule of midpoints."""
    height, scale, count = 2.0, 2.0 / ratio, 1000
    depths = (np.arange(count) + 0.5) * height / count
    correlation = np.exp(-2 * np.abs(depths[:, None] - depths) / scale)

    assert ch.variance_reduction(scale, height) == approx(correlation.mean(), rel=2e-4)
