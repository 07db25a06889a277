"""Permeability of sand, drainage by the column, plug."""

from math import pi

import numpy as np
import pytest
from scipy.integrate import quad

from calc.formulas import seepage

approx = pytest.approx
DAY = 86400.0
VISCOSITY_10, VISCOSITY_20 = 1.307e-6 / DAY, 1.002e-6 / DAY  # kPa day; water at 10 and 20 degrees, from memory


def test_kozeny_carman_matches_a_public_worked_example() -> None:
    """Porosity 0.30, grain 0.1 mm, water at 10 degrees: printed as 0.000023 m/s, to two digits."""
    k_f = seepage.permeability_by_kozeny_carman(gamma_w=9.81, mu_w=VISCOSITY_10, d_g=0.1e-3, n_p=0.30)

    assert k_f / DAY == approx(2.3e-5, abs=0.05e-5)


def test_kozeny_carman_reproduces_its_two_values() -> None:
    """2.30e-5 m/s as above, and 2.2e-4 m/s for porosity 0.35, 0.2 mm, 20 degrees."""
    k_f = seepage.permeability_by_kozeny_carman(9.81, np.array([VISCOSITY_10, VISCOSITY_20]), np.array([1e-4, 2e-4]),
                                                np.array([0.30, 0.35]))  # fmt: skip

    assert k_f[0] / DAY == approx(2.30e-5, abs=0.005e-5)
    assert k_f[1] / DAY == approx(2.2e-4, abs=0.05e-4)


def test_hazen_reproduces_its_value() -> None:
    """k in cm/s is 100 times the square of D10 in cm: 0.2 mm gives 4e-4 m/s."""
    C_H = 100 * 100 * DAY  # 100 1/(cm s) in 1/(m day)

    assert seepage.permeability_by_hazen(C_H, D_10=0.2e-3) / DAY == approx(4e-4, rel=1e-12)


def test_permeability_scales_with_the_square_of_the_grain() -> None:
    small, large = (seepage.permeability_by_kozeny_carman(9.81, VISCOSITY_10, d, 0.3) for d in (1e-4, 3e-4))

    assert large / small == approx(9.0, rel=1e-12)


def test_mean_well_resistance_agrees_with_integration_over_the_depth() -> None:
    """Hansbo's local term π z (2l − z) k/q (1 − 1/n²), with 1/n² the area ratio."""
    l_d, k_hs, q_w, a_E = 8.0, 1e-4, seepage.discharge_capacity(k_f=8.0, A_c=0.5), 0.15
    total, _ = quad(lambda z: pi * z * (2 * l_d - z) * k_hs / q_w * (1 - a_E), 0, l_d)

    assert q_w == 4.0
    assert seepage.mean_well_resistance(l_d, k_hs, q_w, a_E) == approx(total / l_d, rel=1e-12)


def test_head_loss_agrees_with_integration_of_the_gradient() -> None:
    """Inflow even over the length: the flow grows linearly toward the outlet."""
    Q_c, l_d, q_w = seepage.column_discharge(A_E=3.5, Ds_t=0.2, Dt=30.0), 9.0, 4.0
    lost, _ = quad(lambda x: Q_c * x / l_d / q_w, 0, l_d)

    assert Q_c == approx(3.5 * 0.2 / 30, rel=1e-12)
    assert seepage.head_loss(Q_c, l_d, q_w) == approx(lost, rel=1e-12)


def test_plug_seepage_reproduces_its_value() -> None:
    """d 0.8 m, L 1.0 m, 2.0 m of head, 1e-9 m/s: 1.0e-9 m3/s, 0.087 litres a day."""
    i_pl = seepage.plug_gradient(Dh=2.0, L_pl=1.0)
    Q_pl = seepage.plug_seepage(k_pl=1e-9 * DAY, i_pl=i_pl, A_c=pi * 0.8**2 / 4)

    assert Q_pl / DAY == approx(1.0e-9, abs=0.05e-9)
    assert Q_pl * 1000 == approx(0.087, abs=5e-4)
    assert seepage.seepage_rate(Q_pl, A_E=3.5) * 3.5 == approx(Q_pl, rel=1e-12)


def test_head_over_a_plug_counts_from_the_water_level_and_is_never_negative() -> None:
    """The aquifer 1.2 m above the ground with water 0.4 m below it; free water over a head lower than it."""
    assert seepage.head_over_plug(h_a=1.2, d_w=0.4) == approx(1.6)
    assert seepage.head_over_plug(h_a=1.2, d_w=-2.0) == 0


def test_plug_is_at_rest_when_weight_and_friction_balance_the_water() -> None:
    """Forces on the whole plug: buoyant weight and friction on its face against the excess pressure on its area."""
    d_c, L_pl, tau_pl, gamma_plr = 0.8, 1.5, 6.0, 19.0
    area, face = pi * d_c**2 / 4, pi * d_c * L_pl
    force = (gamma_plr - 9.81) * area * L_pl + tau_pl * face
    Dh = force / area / 9.81

    held = seepage.weight_of_plug(gamma_plr, 9.81, L_pl) + seepage.shear_on_plug(tau_pl, L_pl, d_c)
    assert held == approx(seepage.uplift_pressure(Dh, 9.81), rel=1e-12)


def test_uplift_is_factored_on_both_sides() -> None:
    """EN 1997-1:2004, Tables A.15 and A.16 from memory: 0.9 on weight, 1.4 on undrained strength."""
    assert seepage.destabilising_pressure(1.1, 20.0, 1.5, 9.81, 0.0) == approx(22.0)
    assert seepage.stabilising_pressure(0.9, 30.0, 14.0, 1.4) == approx(37.0, rel=1e-12)


def test_settlements_that_the_stages_add_are_the_last_one_together() -> None:
    final = np.array([0.0, 0.2, 0.5, 0.55])
    added = seepage.settlement_added(final, np.array([0.0, *final[:-1]]))

    assert added == approx([0.0, 0.2, 0.3, 0.05])
    assert added.sum() == approx(final[-1])
