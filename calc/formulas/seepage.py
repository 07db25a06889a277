"""Permeability of sand, drainage by the column, and the plug that closes it against the aquifer."""

from numpy import maximum, pi

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("C_H", "C_{Hz}", "1/m/day", -3, "coefficient of the permeability of clean sand", shown="1/cm/s")
_("mu_w", "η_w", "kPa*day", 3, "dynamic viscosity of water", shown="mPa*s")
_("n_p", "n_p", "-", 3, "porosity")
_("d_g", "d_g", "m", 4, "effective grain diameter", shown="mm")
_("k_f", "k_f", "m/day", -3, "permeability of the column fill", shown="m/s")
_("Ds_t", "Δs_t", "m", 2, "settlement in the time considered", shown="mm")
_("s_kb", "s_{k−1}", "m", 1, "final settlement of the stage before", shown="mm")
_("Dt", "Δt", "day", 1, "time considered", shown="day")
_("Q_c", "Q_c", "m^3/day", -3, "water which one column carries off")
_("Dh_c", "Δh_c", "m", 2, "head lost in the column", shown="mm")
_("k_pl", "k_{pl}", "m/day", -3, "permeability of the plug", shown="m/s")
_("Dh", "Δh", "m", 3, "difference of the heads over the plug")
_("i_pl", "i_{pl}", "-", 3, "hydraulic gradient in the plug")
_("Q_pl", "Q_{pl}", "m^3/day", -3, "seepage through one plug")
_("v_pl", "v_{pl}", "m/day", -3, "seepage over the area of the ground", shown="m/s")
_("gamma_plr", "γ_{pl,r}", "kN/m^3", 2, "saturated unit weight of the plug")
_("tau_pl", "τ_{pl}", "kPa", 2, "shear resistance on the face of the plug")
_("p_up", "p_{up}", "kPa", 3, "excess water pressure below the plug")
_("p_plw", "p_{w,pl}", "kPa", 3, "buoyant weight of the plug over its area")
_("p_plt", "p_{τ,pl}", "kPa", 3, "shear resistance on the face of the plug over its area")
_("gamma_plt", "γ_{τ,pl}", "-", 2, "partial factor on the shear resistance of the plug")
_("U_dst", "U_{dst}", "kPa", 3, "design value of the excess water pressure")
_("U_stb", "U_{stb}", "kPa", 3, "design value of the pressure that holds the plug down")
_("gamma_dst", "γ_{dst}", "-", 2, "partial factor on destabilising actions")
_("gamma_stb", "γ_{stb}", "-", 2, "partial factor on stabilising actions")

HAZEN = Source("Hazen (1911), Trans. ASCE 73, 199–203", evidence="not inspected")
KOZENY = Source("Kozeny (1927); Carman (1937), Trans. Inst. Chem. Eng. 15, 150–166", evidence="not inspected")
DARCY = Source("law of Darcy (1856)", evidence="derived")
HANSBO = Source("Hansbo (1981), Proc. 10th ICSMFE Stockholm 3, 677–682, mean over the depth", evidence="not inspected")
UNIFORM = Source("law of Darcy (1856) with inflow even over the length of the column", evidence="derived")
PLUGGED = Source("water in a closed column is at rest with the water level", evidence="derived")
CONTINUITY = Source("continuity: what the ground loses in volume leaves as water", evidence="derived")
STATICS = Source("vertical equilibrium of the plug", evidence="derived")
PRESSED_OUT = Source("project rule: all settlement that a stage adds drains while it is filled", evidence="derived")
EN = Source("EN 1997-1:2004, 2.4.7.4 (uplift)", evidence="not inspected")


@formula("k_f", source=HAZEN)
def permeability_by_hazen(C_H, D_10):
    """Permeability of clean, loose, uniform sand."""
    return C_H * D_10**2


@formula("k_f", source=KOZENY)
def permeability_by_kozeny_carman(gamma_w, mu_w, d_g, n_p):
    """Permeability of sand from its effective grain diameter and porosity."""
    return gamma_w / mu_w * d_g**2 * n_p**3 / (180 * (1 - n_p) ** 2)


@formula("q_w", source=DARCY)
def discharge_capacity(k_f, A_c):
    """Water that a column carries at a gradient of one."""
    return k_f * A_c


@formula("mu_wr", source=HANSBO)
def mean_well_resistance(l_d, k_hs, q_w, a_E):
    """Well resistance term of the drainage factor, mean over the depth."""
    return 2 / 3 * pi * l_d**2 * k_hs / q_w * (1 - a_E)


@formula("Ds_t", source=PRESSED_OUT)
def settlement_added(s, s_kb):
    """Final settlement that the stage adds."""
    return s - s_kb


@formula("Q_c", source=CONTINUITY)
def column_discharge(A_E, Ds_t, Dt):
    """Water which the settlement of one cell presses into its column, all of it taken as radial."""
    return A_E * Ds_t / Dt


@formula("Dh_c", source=UNIFORM)
def head_loss(Q_c, l_d, q_w):
    """Head lost along the drainage path of the column."""
    return Q_c * l_d / (2 * q_w)


@formula("Dh", source=PLUGGED)
def head_over_plug(h_a, d_w):
    """Head of the aquifer over that in the closed column, which stands at the water level."""
    return maximum(h_a + d_w, 0)


@formula("i_pl", source=DARCY)
def plug_gradient(Dh, L_pl):
    """Hydraulic gradient in the plug."""
    return Dh / L_pl


@formula("Q_pl", source=DARCY)
def plug_seepage(k_pl, i_pl, A_c):
    """Seepage through the plug of one column."""
    return k_pl * i_pl * A_c


@formula("v_pl", source=DARCY)
def seepage_rate(Q_pl, A_E):
    """Seepage through the plugs over the area of the ground."""
    return Q_pl / A_E


@formula("p_up", source=STATICS)
def uplift_pressure(Dh, gamma_w):
    """Excess water pressure below the plug."""
    return Dh * gamma_w


@formula("p_plw", source=STATICS)
def weight_of_plug(gamma_plr, gamma_w, L_pl):
    """Buoyant weight of the plug, over its area."""
    return (gamma_plr - gamma_w) * L_pl


@formula("p_plt", source=STATICS)
def shear_on_plug(tau_pl, L_pl, d_c):
    """Shear resistance on the face of the plug, over its area."""
    return 4 * tau_pl * L_pl / d_c


@formula("U_dst", source=EN)
def destabilising_pressure(gamma_dst, p_up, gamma_uq, gamma_w, Dh_r):
    """Design value of the excess water pressure below the plug, with a rise of the head."""
    return gamma_dst * p_up + gamma_uq * gamma_w * Dh_r


@formula("U_stb", source=EN)
def stabilising_pressure(gamma_stb, p_plw, p_plt, gamma_plt):
    """Design value of the pressure that holds the plug down: weight as an action, shear as a resistance."""
    return gamma_stb * p_plw + p_plt / gamma_plt
