"""Back-analysis of settlement: synthetic sets with known answers, relations of a published manual, laws."""

from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from calc.formulas import observation as ob
from calc.formulas.consolidation import horizontal_degree, horizontal_time_factor
from calc.procedures.consolidation_response import vertical_degree

approx = pytest.approx
Floats = NDArray[np.float64]

# Radial flow alone, 1200 mm in the end, 0.012 a day; readings rounded to 1 mm on purpose. Values calculated once from
# the stated equations, not published.
RADIAL = np.array([0, 256, 457, 616, 741, 839, 916, 976, 1024, 1062]) / 1000
RADIAL_DAYS = np.arange(0.0, 181.0, 20.0)
# Vertical flow alone, 800 mm in the end, c_v/H² = 0.0015 a day.
VERTICAL = np.array([0, 271, 383, 467, 533, 586, 629, 663, 690, 712, 730, 744, 755, 764]) / 1000
VERTICAL_DAYS = np.arange(0.0, 781.0, 60.0)


class Line(NamedTuple):
    intercept: float
    slope: float
    final: float
    rate: float


def line_of(settled: Floats, step: float) -> Line:
    """The line of equal steps of settlements (m)."""
    starts, ends = settled[:-1], settled[1:]
    first, last = ob.mean_start_of_steps(starts, len(starts)), ob.mean_end_of_steps(ends, len(ends))
    slope = ob.slope_of_steps(starts, first, ends, last)
    intercept = ob.intercept_of_steps(last, slope, first)
    return Line(*(float(np.squeeze(one)) for one in (
        intercept, slope, ob.final_by_steps(intercept, slope), ob.rate_by_steps(slope, step))))  # fmt: skip


def hyperbola_of(days: Floats, settled: Floats) -> float:
    """Slope of time over settlement (1/m)."""
    quotient = ob.time_over_settlement(days, settled)
    times, quotients = ob.mean_of_times(days, len(days)), ob.mean_of_quotients(quotient, len(days))
    slope = ob.slope_of_hyperbola(days, times, quotient, quotients)
    assert float(np.squeeze(ob.intercept_of_hyperbola(quotients, slope, times))) > 0
    return float(np.squeeze(slope))


def test_equal_steps_reproduce_the_radial_set() -> None:
    found = line_of(RADIAL, 20.0)

    assert 1000 * found.intercept == approx(255.99, abs=0.005)
    assert found.slope == approx(0.78680, abs=5e-6)
    assert 1000 * found.final == approx(1200.7, abs=0.05)
    assert found.rate == approx(0.01199, abs=5e-6)


@pytest.mark.parametrize(("count", "final"), [(3, 1217.9), (4, 1209.1), (5, 1203.9), (6, 1201.7)])
def test_first_steps_reproduce_the_radial_set(count: int, final: float) -> None:
    """So many readings from that at 20 days on."""
    assert 1000 * line_of(RADIAL[1 : 1 + count], 20.0).final == approx(final, abs=0.05)


@pytest.mark.parametrize(
    ("first", "last", "final"),
    [(60, 360, 775.6), (60, 540, 788.4), (180, 540, 800.8), (300, 780, 799.9), (60, 780, 794.6)],
)
def test_windows_reproduce_the_vertical_set(first: float, last: float, final: float) -> None:
    inside = (VERTICAL_DAYS >= first) & (VERTICAL_DAYS <= last)

    assert 1000 * line_of(VERTICAL[inside], 60.0).final == approx(final, abs=0.05)


def test_window_of_180_to_540_days_reproduces_the_coefficient_of_the_vertical_set() -> None:
    """A path of 1 m: the coefficient is that over its square, 0.00149 a day for the true 0.0015."""
    found = line_of(VERTICAL[3:10], 60.0)

    assert found.slope == approx(0.80186, abs=5e-6)
    assert float(ob.vertical_coefficient_by_steps(found.rate, 1.0)) == approx(0.00149, abs=5e-6)


def test_hyperbola_reproduces_the_radial_set() -> None:
    """The asymptote is 35 % too high; with the slope factor it comes within 4 mm."""
    slope = hyperbola_of(RADIAL_DAYS[4:], RADIAL[4:])

    assert slope / 1000 == approx(6.1609e-4, abs=5e-9)
    assert 1000 * float(ob.asymptote(0.0, slope)) == approx(1623, abs=0.5)
    assert 1000 * float(ob.final_by_hyperbola(0.0, 0.737, slope)) == approx(1196, abs=0.5)


def test_hyperbola_reproduces_the_vertical_set() -> None:
    slope = hyperbola_of(VERTICAL_DAYS[4:10], VERTICAL[4:10])

    assert slope / 1000 == approx(1.02524e-3, abs=5e-9)
    assert 1000 * float(ob.asymptote(0.0, slope)) == approx(975.4, abs=0.05)
    assert 1000 * float(ob.final_by_hyperbola(0.0, 0.8207, slope)) == approx(800.5, abs=0.05)


def test_slope_factors_are_those_of_degrees_from_60_to_90_percent() -> None:
    """T/U against T on 301 points: slope and intercept of one exponential and of vertical flow, calculated here."""
    degrees = np.linspace(0.6, 0.9, 301)
    times = -np.log(1 - degrees)
    slope, intercept = np.polyfit(times, times / degrees, 1)
    factors = np.linspace(0.2, 1.0, 4001)
    vertical = np.interp(degrees, vertical_degree(factors), factors)
    own_slope, own_intercept = np.polyfit(vertical, vertical / degrees, 1)

    assert (slope, intercept) == approx((0.7370, 0.8355), abs=5e-5)
    assert (own_slope, own_intercept) == approx((0.8207, 0.2440), abs=2e-4)


def test_an_exponential_counted_from_any_time_under_its_load_stays_one() -> None:
    """Settlement counted off at 30 days leaves the final settlement of the hyperbola within 1 %."""
    days = np.linspace(1.0, 200.0, 400)
    final, rate, since = 0.5, 0.02, 30.0

    def settled(at: Floats) -> Floats:
        return final * (1 - np.exp(-rate * at))

    start = float(settled(np.array([since]))[0])
    later, grown = days[days > since] - since, settled(days[days > since]) - start
    inside = (grown > 0.6 * (final - start)) & (grown < 0.9 * (final - start))
    slope = hyperbola_of(later[inside], grown[inside])

    assert float(ob.final_by_hyperbola(start, 0.737, slope)) == approx(final, rel=0.01)


def test_steps_match_port_works_manual_appendix_c() -> None:
    """Port Works Design Manual Part 3 (2002), App. C: c_h = −D² F(n) ln β / (8 Δt), c_v = −4 H² ln β / (π² Δt)."""
    slope, step, diameter, factor, path = 0.72, 14.0, 1.84, 0.97, 6.5
    rate = float(ob.rate_by_steps(slope, step))

    assert float(ob.horizontal_coefficient_by_steps(rate, diameter, factor)) == approx(
        -(diameter**2) * factor * np.log(slope) / (8 * step), rel=1e-12
    )
    assert float(ob.vertical_coefficient_by_steps(rate, path)) == approx(
        -4 * path**2 * np.log(slope) / (np.pi**2 * step), rel=1e-12
    )
    assert float(ob.coefficient_of_soil(0.03, 2.5)) == approx(0.012)


def test_steps_give_back_the_coefficient_of_radial_flow() -> None:
    """Settlement by the formulas of the design's own chapter, read every 10 days."""
    c_h, d_e, factor = 0.006, 1.84, 0.97
    days = np.arange(0.0, 101.0, 10.0)
    settled = 0.4 * np.asarray(horizontal_degree(horizontal_time_factor(c_h, days, d_e), factor))
    found = line_of(settled, 10.0)

    assert found.final == approx(0.4, rel=1e-9)
    assert float(ob.horizontal_coefficient_by_steps(found.rate, d_e, factor)) == approx(c_h, rel=1e-9)


def test_error_of_a_slope_is_that_of_a_straight_line() -> None:
    """Against the covariance that numpy gives for the same line."""
    x, y = np.array([0.0, 1.0, 2.0, 3.0, 4.0]), np.array([0.1, 0.9, 2.2, 2.8, 4.1])
    (slope, intercept), covariance = np.polyfit(x, y, 1, cov=True)

    found = ob.error_of_slope(y, intercept, slope, x, ob.freedom_about_steps(len(x)), x.mean())

    assert float(np.squeeze(found)) == approx(np.sqrt(covariance[0, 0]), rel=1e-9)


def test_parallel_lines_have_the_slope_of_each() -> None:
    starts, ends = np.array([-2.0, 2.0, -1.0, 1.0]), np.array([-1.4, 1.4, -0.7, 0.7])

    assert float(np.squeeze(ob.common_slope(starts, ends))) == approx(0.7, rel=1e-12)


def test_degrees_by_hand() -> None:
    """120 of 150 mm; 6 kPa at a sensor that reads 1.25 of a mean of 24 kPa undrained."""
    assert float(ob.degree_by_settlement(0.12, 0.15)) == approx(0.8)
    assert float(ob.degree_by_pressure(6.0, 1.25, 24.0)) == approx(0.8)


def test_dependent_residuals_widen_the_range_and_independent_ones_do_not() -> None:
    """Each half from the one before: as good as a third of as many."""
    assert float(ob.error_factor(0.0)) == 1.0
    assert float(ob.error_factor(0.5)) == approx(np.sqrt(3.0), rel=1e-12)


def test_fitted_settlement_and_what_is_left_by_hand() -> None:
    assert float(ob.fitted_settlement(0.9, 0.2)) == approx(0.18)
    assert float(ob.forecast_residual(0.33, 0.22)) == approx(0.11)


def test_values_of_triggers_by_hand() -> None:
    """6 mm to either side in a day and a half; 12 mm since the last stage; 1.2 % of 2400 kN/m."""
    assert float(ob.lateral_rate(-0.004, 0.002, 1.5)) == approx(0.004)
    assert float(ob.lateral_change(0.002, -0.004)) == float(ob.lateral_change(-0.004, 0.002)) == approx(0.006)
    assert float(ob.settled_since(0.132, 0.12)) == approx(0.012)
    assert float(ob.tension_by_strain(2400.0, 0.012)) == approx(28.8)


def test_displacement_ratio_by_hand() -> None:
    """36 mm beside 120 mm; beside 5 mm the least settlement of 20 mm counts."""
    assert float(ob.displacement_ratio(0.036, 0.12, 0.02)) == approx(0.3)
    assert float(ob.displacement_ratio(0.036, 0.005, 0.02)) == approx(1.8)
