"""The factor for growing strength against slip lines solved independently of its table, and its limits."""

from math import pi

import numpy as np
import pytest
from scipy.optimize import brentq

from calc.formulas.bearing import strength_growth_ratio, strip_bearing_pressure_with_growing_strength
from calc.procedures.failures import ProcedureError
from calc.procedures.growing_strength import FACTOR, GROWTH, bracket
from tests.formulas.growing_strip import growth_factor
from tests.formulas.slip_lines import strip

approx = pytest.approx


@pytest.mark.parametrize("k_rho", [3.0, 6.0, 10.0, 16.0, 20.0])
def test_factor_agrees_with_the_slip_lines_of_a_smooth_strip(k_rho: float) -> None:
    """24 lines give the pressure to 0.1 % (110 lines differ by less); the table is rounded to three decimals."""
    rho = brentq(lambda growth: growth * strip(growth, 24)[0] - k_rho, 1e-3, 4.0, xtol=1e-6)
    width, pressure = strip(rho, 24)
    found = strip_bearing_pressure_with_growing_strength(growth_factor(k_rho), 1.0, rho, width, 0.0)

    assert strength_growth_ratio(rho, width, 1.0) == approx(k_rho, rel=1e-5)
    assert found == approx(pressure, rel=1e-3)


def test_factor_at_the_end_of_the_table_agrees_with_the_slip_lines() -> None:
    """Strong growth needs a finer net: 48 lines lie 0.05 % above 110 lines."""
    rho = brentq(lambda growth: growth * strip(growth, 48)[0] - 30.0, 1.0, 4.0, xtol=1e-4)
    width, pressure = strip(rho, 48)

    assert strip_bearing_pressure_with_growing_strength(growth_factor(30.0), 1.0, rho, width, 0.0) == approx(
        pressure, rel=1e-3
    )


@pytest.mark.parametrize("k_rho", [1.0, 2.0])
def test_factor_at_one_and_two_is_the_lower_fit(k_rho: float) -> None:
    """There the fit of API RP 2GEO lies up to 1.3 % below the slip lines, and the table takes it."""
    rho = brentq(lambda growth: growth * strip(growth, 24)[0] - k_rho, 1e-3, 4.0, xtol=1e-6)
    width, pressure = strip(rho, 24)
    found = strip_bearing_pressure_with_growing_strength(growth_factor(k_rho), 1.0, rho, width, 0.0)

    assert 0.985 * pressure < found < 0.995 * pressure


def test_factor_between_the_table_values_lies_below_the_slip_lines() -> None:
    """The curve bends downward, so straight lines are on the safe side."""
    for rho in (0.2, 0.5, 1.2, 1.7, 2.1):
        width, pressure = strip(rho, 24)
        found = strip_bearing_pressure_with_growing_strength(growth_factor(rho * width), 1.0, rho, width, 0.0)
        assert 0.98 * pressure < found < 1.0005 * pressure


def test_slip_lines_give_the_value_of_prandtl_for_uniform_strength() -> None:
    """Prandtl (1920): 2 + π."""
    assert strip(0.0, 6)[1] == approx(2 + pi, rel=1e-12)


def test_slip_lines_beyond_the_table_still_bear_more_than_a_factor_of_one() -> None:
    width, pressure = strip(5.0, 24)

    assert 5.0 * width > GROWTH[-1]
    assert growth_factor(5.0 * width) == 1.0
    assert strip_bearing_pressure_with_growing_strength(1.0, 1.0, 5.0, width, 0.0) < pressure


def test_factor_returns_the_table_and_keeps_the_shape() -> None:
    assert growth_factor(np.array([GROWTH])).tolist() == [list(FACTOR)]
    assert growth_factor(0.0) == 1.0
    assert growth_factor(30.001) == 1.0


@pytest.mark.parametrize("wrong", [-0.1, np.nan, np.inf])
def test_impossible_ratio_is_refused(wrong: float) -> None:
    with pytest.raises(ProcedureError, match="ratio of strength increase must be zero or more"):
        growth_factor(np.array([1.0, wrong]))


def test_bracket_names_the_two_rows_of_the_table_and_passes_over_lanes_without_number() -> None:
    found = bracket(np.array([0.0, 1.5, 12.0, 40.0, np.nan]), np.array([True, True, True, True, False]))

    assert found["k_r1"].tolist() == [0.0, 1.0, 10.0, 20.0, 0.0]
    assert found["k_r2"].tolist() == [1.0, 2.0, 12.0, 30.0, 1.0]
    assert found["F_r1"].tolist() == [1.0, 1.095, 1.396, 1.0, 1.0]
    assert found["F_r2"].tolist() == [1.095, 1.170, 1.415, 1.0, 1.095]
