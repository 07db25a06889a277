"""Pressure of a stage on the soft ground: hand calculations, balance of the loads, and what is on the safe side."""

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
    """The same load as the cell gets with the fill and the make-up fill as one."""
    as_placed = sp.embankment_pressure(gamma_G, f_G * 19.0, 4.0, 1.3, 10.0)
    one = sp.embankment_pressure(gamma_G, f_G * 19.0, 4.0 + 5.7 / 19, 1.3, 10.0)

    assert sp.pressure_with_makeup(as_placed, gamma_G, f_G, 5.7) == approx(one, rel=1e-12)
    cell = loads.added_stress(f_G, 19.0 * 4.0, 5.7, 1.3, 10.0)
    assert sp.pressure_with_makeup(sp.embankment_pressure(1.0, f_G * 19.0, 4.0, 1.3, 10.0), 1.0, f_G, 5.7) == approx(
        cell, rel=1e-12
    )


def test_pressure_under_a_new_lift_by_hand() -> None:
    """Before 2 m at a ratio of 2, area ratio 0.2: share 1/1.2 of 38 kPa; lift of 1.5 m and 10 kPa of traffic on top."""
    share = shear_parameters.soil_stress_share(2.0, 0.2)
    new = sp.pressure_being_placed(1.0, 19.0, 3.5, 2.0, 1.3, 10.0, 0.0, 1.0, 0.0)

    assert new == approx(19 * 1.5 + 13.0, rel=1e-12)
    assert sp.soil_pressure_under_new_lift(share, 38.0, new) == approx(38 / 1.2 + 41.5, rel=1e-12)


def test_load_that_is_taken_away_gives_nothing_back() -> None:
    """Traffic that goes while the fill grows, and fill that goes while traffic comes: each counts by itself."""
    assert sp.pressure_being_placed(1.35, 19.0, 3.0, 2.0, 1.5, 0.0, 20.0, 1.0, 0.0) == approx(1.35 * 19, rel=1e-12)
    assert sp.pressure_being_placed(1.35, 19.0, 2.0, 3.0, 1.5, 20.0, 0.0, 1.0, 0.0) == approx(30.0, rel=1e-12)
    assert sp.pressure_being_placed(1.35, 19.0, 2.0, 2.0, 1.5, 10.0, 10.0, 1.0, 0.0) == 0.0


@pytest.mark.parametrize(("gamma_Q", "gamma_QS"), [(1.5, 1.0), (1.0, 1.5)])
def test_plant_on_the_lift_is_factored_once(gamma_Q: float, gamma_QS: float) -> None:
    """1 m of 19 kN/m3 and plant of 5 kPa: 19 + 1.5 · 5, by the effect or at the source, with or without old traffic."""
    for q in (0.0, 20.0):
        found = sp.pressure_being_placed(1.0, 19.0, 3.0, 2.0, gamma_Q, q, q, gamma_QS, 5.0)
        assert found == approx(26.5, rel=1e-12)


@given(st.floats(1.0, 5.0), st.floats(0.1, 0.25), pressures, pressures)
def test_new_lift_loads_the_ground_between_share_and_whole(n: float, a: float, before: float, new: float) -> None:
    """Never less than if all were shared already, never more than the whole load."""
    share = shear_parameters.soil_stress_share(n, a)
    found = sp.soil_pressure_under_new_lift(share, before, new)

    assert found >= sp.soil_share_of_pressure(share, before + new) - 1e-9
    assert found <= before + new + 1e-9


def test_with_no_stress_ratio_proven_the_lift_makes_no_difference() -> None:
    share = shear_parameters.soil_stress_share(1.0, 0.19)

    assert sp.soil_pressure_under_new_lift(share, 40.0, 25.0) == approx(65.0, rel=1e-12)
    assert sp.soil_share_of_pressure(share, 65.0) == approx(65.0, rel=1e-12)
