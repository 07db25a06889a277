"""Ring tension: depth and combination of actions at which the cell is evaluated, and what halved sublayers change."""

from numpy import absolute, maximum, minimum, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("z_h", "z_h", "m", 2, "depth at which the head zone of the column ends")
_("i_T", "i_T", "-", 0, "at the top of the sublayer (1) or at mid-depth (0)")
_("z_F", "z_F", "m", 2, "depth at which the ring tension is evaluated")
_("sigma_v0z", "σ_{v,0,z}", "kPa", 3, "initial effective vertical stress at this depth")
_("i_F", "i_F", "-", 0, "actions are factored and the friction of the fill is not (1), or as the factor set has it (0)")
_("i_Qr", "i_{Q,r}", "-", 0, "traffic acts in this stage and combination (1) or not (0)")
_("f_Gr", "f_{G,r}", "-", 3, "factor on permanent load in this combination")
_("f_qr", "f_{q,r}", "-", 3, "factor on the traffic load in this combination")
_("phi_cr", "φ′_{c,r}", "rad", 3, "friction angle of the column fill in this combination", shown="deg")
_("s_h", "s_{½}", "m", 1, "settlement with every sublayer halved", shown="mm")
_("d_s2", "δ_{s,½}", "-", 2, "change of the settlement when every sublayer is halved", shown="%")
_("F_Rdm", "F_{R,max}", "kN/m", 2, "largest design value of the ring tension over the sublayers")
_("F_Rdh", "F_{R,½}", "kN/m", 2, "largest design value of the ring tension with every sublayer halved")
_("d_F2", "δ_{F,½}", "-", 2, "change of the ring tension when every sublayer is halved", shown="%")

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
DIVISION = Source("project rule: no result may depend on the thickness of the sublayers", evidence="derived")


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
