"""Lateral pressure on piles: verification values computed once from the stated equations, plasticity, statics, laws."""

from math import asin, pi, radians, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import pile_pressure as pp

approx = pytest.approx
CU, WIDTH, LENGTH = 15.0, 0.6, 6.0


def test_flow_factor_matches_randolph_and_houlsby_1984_at_its_ends() -> None:
    """Closed forms of the paper: 6 + π for a smooth pile, 4√2 + 2π for a rough one (from memory)."""
    assert pp.flow_factor(0.0) == approx(6 + pi, rel=1e-12)
    assert pp.flow_factor(pi / 2) == approx(4 * sqrt(2) + 2 * pi, rel=1e-12)


@pytest.mark.parametrize(("adhesion", "factor"), [(0.0, 9.142), (0.3, 10.220), (0.5, 10.820), (1.0, 11.940)])
def test_flow_factor_reproduces_verification_values(adhesion: float, factor: float) -> None:
    """V9: computed once from the stated equation, never published."""
    angle = pp.adhesion_angle(adhesion)

    assert angle == approx(asin(adhesion))
    assert pp.flow_factor(angle) == approx(factor, abs=5e-4)


@pytest.mark.parametrize(("factor", "pressure"), [(7.0, 63.0), (10.0, 90.0)])
def test_flow_pressure_reproduces_verification_values(factor: float, pressure: float) -> None:
    """V9: a pile of 0.6 m in ground of 15 kPa."""
    assert pp.flow_pressure(factor, CU, WIDTH) == approx(pressure, abs=0.05)


@pytest.mark.parametrize(("adhesion", "pressure"), [(0.0, 82.3), (1.0, 107.5)])
def test_plastic_flow_reproduces_verification_values(adhesion: float, pressure: float) -> None:
    """V9: the same pile, smooth and rough."""
    factor = pp.flow_factor(pp.adhesion_angle(adhesion))

    assert pp.plastic_flow_pressure(factor, CU, WIDTH) == approx(pressure, abs=0.05)


def test_moments_reproduce_verification_values() -> None:
    """V9: 63 kN/m over 6 m; the cantilever by statics."""
    assert pp.moment_propped(63.0, LENGTH) == approx(283.5)
    assert pp.moment_with_free_head(63.0, LENGTH) == approx(63.0 * LENGTH * LENGTH / 2)
    assert [pp.pile_moment(head, 283.5, 1134.0) for head in (1.0, 0.0)] == [283.5, 1134.0]


def test_moments_agree_with_the_beam_integrated() -> None:
    """Statics: the propped beam of unit stiffness, its deflection by influence; the tip of the prop does not move."""
    load, length = 63.0, 6.0
    prop = 3 / 8 * load * length
    z = np.linspace(0.0, length, 20001)
    moment = load * z**2 / 2 - prop * z  # from the propped end

    assert np.trapezoid(moment * z, z) == approx(0.0, abs=1e-3)
    assert moment[-1] == approx(pp.moment_propped(load, length))


@pytest.mark.parametrize(("slope", "phi", "share"), [(60.0, 20.0, 0.625), (30.0, 20.0, 0.25), (10.0, 20.0, 0.0)])
def test_share_of_surcharge_reproduces_verification_values(slope: float, phi: float, share: float) -> None:
    """V9: f(60°, 20°), f(30°, 20°), and none on a slope of half the friction angle."""
    assert pp.share_of_surcharge(radians(slope), radians(phi)) == approx(share, abs=1e-12)


def test_resultant_earth_pressure_reproduces_the_verification_value() -> None:
    """V9: q 100 kPa on ground of 15 kPa; none below twice the strength."""
    assert pp.resultant_earth_pressure(100.0, CU) == approx(70.0)
    assert pp.resultant_earth_pressure(29.0, CU) == 0.0


def test_width_that_loads_a_pile_is_the_least_of_three_by_hand() -> None:
    assert [pp.loading_width(a, 3.0, 0.6, h) for a, h in ((1.5, 6.0), (2.4, 6.0), (2.4, 1.0))] == approx(
        [1.5, 1.8, 1.0]
    )


def test_chain_of_pressures_by_hand() -> None:
    """q 80 + 20, c_u 15: 70 kPa on 1.8 m is 126 kN/m; the ground flows round the pile at 63 kN/m."""
    load = pp.pressure_beside_neighbour(80.0, 20.0)
    earth = pp.earth_pressure_on_pile(pp.resultant_earth_pressure(load, CU), 1.8)
    found = pp.smaller_of_earth_pressure_and_flow(earth, pp.flow_pressure(7.0, CU, WIDTH))

    assert pp.pressure_with_initial_platform(80.0, 18.0, 0.5, 20.0) == approx(load + 9.0)
    assert pp.load_level(load, CU) == approx(100 / 15)
    assert (earth, found) == approx((126.0, 63.0))
    assert pp.surcharge_on_pile(0.25, load, WIDTH) == approx(15.0)
    assert pp.largest_pile_pressure(found, 15.0) == approx(63.0)
    assert pp.largest_pile_pressure(found, 75.0) == approx(75.0)


@given(st.floats(0.0, 0.99), st.floats(0.001, 0.01))
def test_flow_factor_is_monotonic_in_the_adhesion(adhesion: float, more: float) -> None:
    low, high = (pp.flow_factor(pp.adhesion_angle(one)) for one in (adhesion, adhesion + more))

    assert high > low


@given(st.floats(0.0, 1.0), st.floats(0.0, 5.14), st.floats(0.0, 1.5), st.floats(0.0, 1.0))
def test_flow_bounds_the_share_of_the_surcharge(adhesion: float, level: float, slope: float, phi: float) -> None:
    """Up to q/c_u = 2 + π no share of the surcharge reaches what flow round the pile brings, 9.14 c_u d at least."""
    share = pp.surcharge_on_pile(pp.share_of_surcharge(slope, phi), level * CU, WIDTH)
    flow = pp.plastic_flow_pressure(pp.flow_factor(pp.adhesion_angle(adhesion)), CU, WIDTH)

    assert share <= pp.bounding_pile_pressure(flow, pp.flow_pressure(7.0, CU, WIDTH))


@given(st.floats(10.0, 200.0), st.floats(5.0, 50.0))
def test_pressure_by_earth_pressure_never_exceeds_flow(q: float, c_u: float) -> None:
    flow = pp.flow_pressure(7.0, c_u, WIDTH)
    found = pp.smaller_of_earth_pressure_and_flow(
        pp.earth_pressure_on_pile(pp.resultant_earth_pressure(q, c_u), 1.8), flow
    )

    assert 0.0 <= found <= flow
