"""Pressure of a stage on the soft ground: hand calculations, balance of the loads, and what is on the safe side."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import loads, shear_parameters
from calc.formulas import stage_pressure as sp

approx = pytest.approx
pressures = st.floats(0.0, 200.0)


def test_pressure_as_placed_by_hand() -> None:
    """Fill 4 m of 19 kN/m3 and traffic of 10 kPa: 1.35 · 76 + 1.5 · 10 = 117.6 kPa."""
    assert sp.embankment_pressure(1.35, 19.0, 4.0, 1.5, 10.0) == approx(117.6, rel=1e-12)
    assert sp.embankment_pressure(1.0, 19.0, 4.0, 1.0, 0.0) == 76.0


@pytest.mark.parametrize(("gamma_G", "f_G"), [(1.35, 1.0), (1.0, 1.1)])
def test_make_up_fill_is_factored_once_like_the_fill(gamma_G: float, f_G: float) -> None:
    """The same load as the cell gets with the fill and the compensation fill as one."""
    as_placed = sp.embankment_pressure(gamma_G, f_G * 19.0, 4.0, 1.3, 10.0)
    one = sp.embankment_pressure(gamma_G, f_G * 19.0, 4.0 + 5.7 / 19, 1.3, 10.0)

    assert sp.pressure_with_makeup(as_placed, gamma_G, f_G, 5.7) == approx(one, rel=1e-12)
    cell = loads.added_stress(f_G, 19.0 * 4.0, 5.7, 1.3, 10.0)
    assert sp.pressure_with_makeup(sp.embankment_pressure(1.0, f_G * 19.0, 4.0, 1.3, 10.0), 1.0, f_G, 5.7) == approx(
        cell, rel=1e-12
    )


def lift(share: float, before: float, degree: float, own: float, fill: float, rest: float = 0.0) -> float:
    """Pressure on the soil: what stands, the new fill, traffic and plant."""
    return float(sp.soil_pressure_under_new_lift(share, before, sp.soil_share_of_lift(degree, own), fill, rest, 0.0))


def test_pressure_under_a_new_lift_by_hand() -> None:
    """Before 2 m at a ratio of 2, area ratio 0.2: share 1/1.2 of 38 kPa; lift of 1.5 m and 10 kPa of traffic on top."""
    share = float(shear_parameters.soil_stress_share(2.0, 0.2))
    fill = float(sp.pressure_of_lift(1.0, 19.0, 3.5, 2.0))
    traffic = float(sp.pressure_of_traffic(1.3, 10.0, 0.0))

    assert sp.pressure_being_placed(fill, traffic, 0.0) == approx(19 * 1.5 + 13.0, rel=1e-12)
    assert lift(share, 38.0, 0.0, share, fill, traffic) == approx(38 / 1.2 + 41.5, rel=1e-12)


@pytest.mark.parametrize(("a_E", "ratio", "share"), [(0.10, 0.708, 1.030), (0.15, 0.766, 1.036), (0.20, 0.826, 1.036)])
def test_undrained_stress_ratio_reproduces_the_verification_values(a_E: float, ratio: float, share: float) -> None:
    """Poisson ratio 0.3 of the column; computed once, independently, from the stated equation."""
    found = float(sp.undrained_stress_ratio(0.3, a_E))

    assert found == approx(ratio, abs=5e-4)
    assert shear_parameters.soil_stress_share(found, a_E) == approx(share, abs=5e-4)


def test_shares_reproduce_the_verification_values() -> None:
    """Ratio 3, area ratio 0.15."""
    assert shear_parameters.soil_stress_share(3.0, 0.15) == approx(0.7692, abs=5e-5)
    assert shear_parameters.column_stress_share(3.0, 0.15) == approx(2.3077, abs=5e-5)


def test_degree_while_a_lift_is_placed_reproduces_the_verification_values() -> None:
    """Placed in 14 of 30 days of the mean time, and in all of it; none for a lift placed at once."""
    assert sp.degree_while_placed(14.0, 30.0) == approx(0.2009, abs=5e-5)
    assert sp.degree_while_placed(30.0, 30.0) == approx(0.3679, abs=5e-5)
    assert sp.degree_while_placed(np.array(0.0), 30.0) == 0.0


def test_pressure_while_a_lift_is_placed_reproduces_the_verification_values() -> None:
    """Share of the lift and 60 kPa at the ratio 2.5 with 27 kPa of new fill."""
    own = float(shear_parameters.soil_stress_share(3.0, 0.15))
    degree = float(sp.degree_while_placed(14.0, 30.0))
    before = float(shear_parameters.soil_stress_share(2.5, 0.15))

    assert sp.soil_share_of_lift(degree, own) == approx(0.9536, abs=5e-5)
    assert lift(before, 60.0, degree, own, 27.0) == approx(74.73, abs=5e-3)


@given(st.floats(0.1, 200.0), st.floats(0.1, 200.0))
def test_degree_while_placed_is_the_mean_of_the_degrees_of_its_parts(t_pl: float, t_hL: float) -> None:
    """A lift placed evenly: the parts are as old as they are, each by one exponential."""
    ages = (np.arange(2000) + 0.5) / 2000 * t_pl

    assert sp.degree_while_placed(t_pl, t_hL) == approx((1 - np.exp(-ages / t_hL)).mean(), rel=1e-4, abs=1e-6)


def test_load_that_is_taken_away_gives_nothing_back() -> None:
    """Traffic that goes while the fill grows, and fill that goes while traffic comes: each counts by itself."""
    assert sp.pressure_of_lift(1.35, 19.0, 3.0, 2.0) == approx(1.35 * 19, rel=1e-12)
    assert sp.pressure_of_traffic(1.5, 0.0, 20.0) == 0.0
    assert sp.pressure_of_lift(1.35, 19.0, 2.0, 3.0) == 0.0
    assert sp.pressure_of_traffic(1.5, 20.0, 0.0) == approx(30.0, rel=1e-12)


@pytest.mark.parametrize(("gamma_Q", "gamma_QS"), [(1.5, 1.0), (1.0, 1.5)])
def test_plant_on_the_lift_is_factored_once(gamma_Q: float, gamma_QS: float) -> None:
    """Plant of 5 kPa: 1.5 · 5, by the effect or at the source."""
    assert sp.pressure_of_plant(gamma_Q, gamma_QS, 5.0) == approx(7.5, rel=1e-12)


def test_quasi_permanent_part_of_traffic_is_shared_and_the_rest_is_not() -> None:
    """20 kPa, a fifth of it for long, at a ratio whose soil share is 0.8, beside 100 kPa of fill."""
    lasting = float(sp.quasi_permanent_traffic(0.2, 20.0))

    found = sp.soil_share_of_pressure(0.8, 100.0 + 1.3 * 20.0, 1.3, 20.0, lasting)
    assert lasting == approx(4.0)
    assert found == approx(0.8 * 100 + 1.3 * (0.8 * 4 + 16), rel=1e-12)
    assert sp.pressure_of_traffic(1.3, 20.0, lasting) == approx(1.3 * 16, rel=1e-12)


def test_pressure_before_the_reinforcement_is_what_lies_below_it_with_plant() -> None:
    assert sp.pressure_before_reinforcement(1.35, 19.0, 3.0, 0.5, 7.5) == approx(1.35 * 9.5 + 7.5)
    assert sp.pressure_before_reinforcement(1.0, 19.0, 0.4, 0.5, 0.0) == approx(7.6)


def test_permanent_pressure_is_fill_and_platform() -> None:
    assert sp.permanent_pressure(19.0, 3.0, 9.0) == 66.0


@given(st.floats(1.0, 5.0), st.floats(0.1, 0.25), pressures, pressures, st.floats(0.0, 1.0))
def test_new_lift_loads_the_ground_between_share_and_whole(
    n: float, a: float, before: float, new: float, degree: float
) -> None:
    """Never less than if all were shared already, never more than the whole load."""
    share = float(shear_parameters.soil_stress_share(n, a))
    found = lift(share, before, degree, share, new)

    assert found >= sp.soil_share_of_pressure(share, before + new, 1.0, 0.0, 0.0) - 1e-9
    assert found <= before + new + 1e-9


def test_with_no_stress_ratio_proven_the_lift_makes_no_difference() -> None:
    share = float(shear_parameters.soil_stress_share(1.0, 0.19))

    assert lift(share, 40.0, 0.5, share, 25.0) == approx(65.0, rel=1e-12)
    assert sp.soil_share_of_pressure(share, 65.0, 1.0, 0.0, 0.0) == approx(65.0, rel=1e-12)


def test_slowest_time_is_that_of_the_lesser_transfer_and_the_lower_course() -> None:
    """Without the tension of the sleeve less is transferred, and half of c_h takes twice the time."""
    assert sp.slowest_horizontal_time(t_hms=1.1, f_trs=15.0, f_trl=0.9, f_chl=0.5) == approx(1.1 * 15 / 0.9 * 2)
    assert sp.slowest_horizontal_time(t_hms=7.0, f_trs=3.0, f_trl=3.0, f_chl=1.0) == approx(7.0)
