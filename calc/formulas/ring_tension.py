"""Ring tension: depth and combination of actions at which the cell is evaluated, and what halved sublayers change."""

from numpy import absolute, maximum, minimum, where

from calc.formula import Source, formula

HEAD = Source(
    "project rule: in the head zone, half a diameter deep, load transfer and not the cell governs; at the ground level "
    "itself the soil has no stress",
    evidence="derived",
)
TOP = Source("project rule: ring tension peaks at the top of a layer", evidence="derived")
STATICS = Source("vertical equilibrium with water at rest", evidence="derived")
ON_ACTIONS = Source(
    "EN 1990:2002, 6.3.2(4): factors on the action where its effect grows faster than it", evidence="not inspected"
)
DIVISION = Source("project rule: no result may rest on the thickness of the sublayers", evidence="derived")


@formula("z_h", source=HEAD)
def head_zone_depth(d_c, t_up):
    """Depth below the ground level at which the head zone ends, half a diameter below the column head."""
    return maximum(d_c / 2 - t_up, d_c / 10)


@formula("z_F", source=TOP)
def evaluation_depth(i_T, z, h, z_h):
    """Depth at which the ring tension is evaluated: mid-depth, or the top, below the head zone if that ends there."""
    return where(i_T > 0, minimum(maximum(z - h / 2, z_h), z + h / 2), z)


@formula("sigma_v0z", source=STATICS)
def initial_stress_at_depth(sigma_v0, gamma_eff, z_F, z):
    """Initial effective vertical stress at a depth, with the unit weight of the sublayer."""
    return sigma_v0 + gamma_eff * (z_F - z)


@formula("f_Gr", source=ON_ACTIONS)
def permanent_factor_of_combination(f_G, i_F, gamma_G):
    """Factor on permanent load before the cell is solved."""
    return f_G * where(i_F > 0, gamma_G, 1)


@formula("f_qr", source=ON_ACTIONS)
def traffic_factor_of_combination(i_Qr, gamma_QS, i_F, gamma_Q):
    """Factor on the traffic load before the cell is solved."""
    return i_Qr * gamma_QS * where(i_F > 0, gamma_Q, 1)


@formula("phi_cr", source=ON_ACTIONS)
def friction_angle_of_combination(i_F, phi_ck, phi_c):
    """Friction angle of the fill: characteristic where the actions are factored, else that of the factor set."""
    return where(i_F > 0, phi_ck, phi_c)


@formula("d_s2", source=DIVISION)
def change_of_settlement(s_h, s):
    """Change of the settlement when every sublayer is halved."""
    return absolute(s_h - s) / s


@formula("d_F2", source=DIVISION)
def change_of_ring_tension(F_Rdh, F_Rdm):
    """Change of the largest design ring tension when every sublayer is halved."""
    return absolute(F_Rdh - F_Rdm) / F_Rdm
