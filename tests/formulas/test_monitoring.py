"""Expected readings and what the design holds up to, by hand and by what must always hold."""

import numpy as np
import pytest

from calc.formulas import monitoring, sleeve
from calc.formulas.monitoring import (
    degree_of_ratio,
    pressure_asked,
    pressure_at_sensor,
    sensor_factor,
    sensor_place,
    smeared_way,
)
from calc.formulas.shear_parameters import soil_stress_share
from calc.formulas.stage_pressure import soil_share_of_lift
from calc.formulas.unit_cell import column_stress_increment, ring_strain, ring_tension
from calc.procedures.consolidation_radial import drainage_factor

approx = pytest.approx


def test_over_design_factor_is_safety_over_the_safety_asked_for() -> None:
    safety, asked = np.array([1.32, 1.05]), np.array([1.10, 1.0])

    assert monitoring.over_design_factor(asked / safety) == approx(safety / asked, rel=1e-12)


def test_rate_of_settlement_by_hand() -> None:
    """0.2455 m less 0.2410 m in a day: 4.5 mm a day."""
    assert monitoring.settlement_rate(0.2455, 0.2410, 1.0) == approx(0.0045, rel=1e-9)


def test_pressure_on_soil_and_columns_carries_the_load_whatever_the_degree() -> None:
    """Vertical equilibrium of the cell holds for total stresses at any time."""
    load, a_E = 60.0, 0.19
    soil = monitoring.pressure_on_soil(np.array([0.0, 8.0, 15.0]), np.array([30.0, 12.0, 0.0]))
    column = column_stress_increment(load, a_E, soil)

    assert a_E * column + (1 - a_E) * soil == approx(np.full(3, load), rel=1e-12)


def test_strain_of_a_tension_is_the_one_that_gives_the_tension() -> None:
    tension = ring_tension(2500.0, 0.012, 0.4)

    assert monitoring.strain_of_tension(tension, 2500.0) == approx(ring_strain(0.012, 0.4), rel=1e-12)


def test_bearable_tension_uses_the_sleeve_up() -> None:
    """Permanent load only and factors of effects: the tension times its factor is the resistance."""
    permanent, gamma_G, resistance = 60.0, 1.35, 110.0
    design = sleeve.design_ring_tension(gamma_G=gamma_G, F_G=permanent, gamma_Q=1.5, F_GQ=permanent)
    bearable = monitoring.bearable_tension(permanent, design / resistance)

    assert gamma_G * bearable == approx(resistance, rel=1e-12)


def test_strength_and_settlement_are_sums_of_their_parts() -> None:
    assert monitoring.strength_with_gain(15.0, 2.5) == approx(17.5)
    assert monitoring.settlement_at_plate(0.210, 0.008) == approx(0.218)


def test_ground_below_the_toes_has_its_whole_settlement_under_the_last_load() -> None:
    """8 mm under 72 kPa; half of it under half of the load."""
    assert monitoring.settlement_below_by_now(0.008, np.array([0.0, 36.0, 72.0]), 72.0) == approx([0.0, 0.004, 0.008])
    assert monitoring.settlement_below_in_time(0.008, np.array([0.0, 0.5, 1.0])) == approx([0.0, 0.004, 0.008])


def test_height_of_water_above_the_toes_by_hand() -> None:
    """Ground at 0.40 m, soft layers of 6.5 m, toes 0.5 m deeper: at −6.60 m; water at −0.10 m stands 6.50 m above."""
    assert monitoring.water_above_toes(-0.10, 0.40, 6.5, 0.5) == approx(6.5)


def test_pressure_counted_on_the_soil_is_the_load_where_soil_and_column_share_alike() -> None:
    """With a stress ratio of 1 the share is 1; with a ratio of 4 and a fifth of the area it is 1 / 1.6."""
    shares = soil_stress_share(a_E=0.2, n_st=np.array([1.0, 4.0]))

    assert monitoring.pressure_counted_on_soil(shares, 80.0) == approx([80.0, 50.0])


@pytest.mark.parametrize(("n_d", "s_sm", "r_ks", "mu_wr"), [
    (2.625, 1.0, 1.0, 0.0), (2.625, 2.0, 3.0, 0.0), (2.3, 1.5, 2.0, 0.1), (3.2, 2.9, 4.0, 0.05),
])  # fmt: skip
def test_factor_of_the_sensor_has_the_mean_of_one_over_the_cell(
    n_d: float, s_sm: float, r_ks: float, mu_wr: float
) -> None:
    """Equal strain, with the smear zone and the well resistance of the drainage factor: integrated over the ring."""
    factor = drainage_factor(n_d=n_d, s_sm=s_sm, r_ks=r_ks) + mu_wr
    edges = np.linspace(1.0, n_d, 200_001)
    places = (edges[1:] + edges[:-1]) / 2
    found = sensor_factor(
        r_ks=r_ks, m_us=smeared_way(rho_us=places, s_sm=s_sm), n_d=n_d, rho_us=places, mu_wr=mu_wr, F_dr=factor
    )

    assert np.average(found, weights=places) == pytest.approx(1.0, abs=1e-6)
    assert (np.diff(found) >= 0).all()


def test_factor_of_the_sensor_half_way_between_columns_reproduces_the_verification_value() -> None:
    """Columns of 0.80 m at 2.00 m in triangles, nothing smeared: 1.29, calculated once by hand."""
    place = sensor_place(a_x=2.0, d_c=0.8)
    n_d = 2.0 * 1.050075 / 0.8
    factor = drainage_factor(n_d=n_d, s_sm=1.0, r_ks=1.0)
    found = sensor_factor(r_ks=1.0, m_us=smeared_way(place, 1.0), n_d=n_d, rho_us=place, mu_wr=0.0, F_dr=factor)

    assert place == 2.5
    assert found == pytest.approx(1.29, abs=0.005)
    assert pressure_at_sensor(f_us=found, u_ob=10.0) == pytest.approx(12.9, abs=0.05)


def test_pressure_that_the_design_asks_for_reproduces_the_verification_value() -> None:
    """36.15 kPa under the load before, 47.35 kPa with the lift, 85 % asked for: 16.6 kPa, calculated once by hand."""
    found = pressure_asked(f_us=1.0, U_ask=0.85, u_plb=36.15, U_L=0.0, u_pl=47.35)

    assert found == pytest.approx(16.62, abs=0.005)
    assert pressure_asked(f_us=1.29, U_ask=0.0, u_plb=36.15, U_L=0.0, u_pl=47.35) == pytest.approx(1.29 * 47.35)
    # Where a lift counts as drained by 40 % when it lies, the design holds up to that much less of it.
    assert pressure_asked(f_us=1.0, U_ask=0.85, u_plb=36.15, U_L=0.4, u_pl=47.35) == pytest.approx(found - 0.4 * 11.2)


def test_degree_of_a_ratio_is_that_at_which_the_share_has_come() -> None:
    counted, final = 1 / (1 + 2.5 * 0.19), 1 / (1 + 19 * 0.19)
    degree = degree_of_ratio(mu_as=counted, mu_sf=final)

    assert soil_share_of_lift(U_L=degree, mu_s=final) == pytest.approx(counted)


def test_levels_leave_room_for_what_comes_later_by_hand() -> None:
    assert monitoring.settlement_left(0.60, 0.12, 0.03) == approx(0.45)
    assert monitoring.tension_left(180.0, 25.0) == approx(155.0)
    assert monitoring.strain_left(0.04, 0.006) == approx(0.034)
    assert monitoring.smaller_strain(0.031, 0.034) == 0.031
    assert monitoring.smaller_strain(0.036, 0.034) == 0.034
