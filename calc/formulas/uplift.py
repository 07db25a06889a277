"""Uplift of the soft layers by the aquifer (UPL) and hydraulic failure by water that flows upward (HYD)."""

from numpy import maximum, minimum, where

from calc.engine.formula import Source, formula, over_layers, over_layers_above
from calc.engine.symbols import declare as _

_("gamma_ud", "γ_{G,dst}", "-", 2, "partial factor on permanent destabilising actions, uplift")
_("gamma_us", "γ_{G,stb}", "-", 2, "partial factor on permanent stabilising actions, uplift")
_("gamma_Sd", "γ_{S,dst}", "-", 2, "partial factor on the seepage force, hydraulic failure")
_("gamma_Ss", "γ_{S,stb}", "-", 2, "partial factor on the submerged weight, hydraulic failure")
_("i_sb", "i_{sb}", "-", 0, "1 where the pressure below a bottom lifts what lies above it, 0 where water passes")
_("s_r", "s_r", "-", 3, "part of the rise of the head that acts at the bottom")
_("u_B", "u_B", "kPa", 3, "pore pressure below the base considered")
_("u_Bh", "u_{B,h}", "kPa", 3, "pore pressure of water at rest at the base considered")
_("sigma_B", "σ_{v,B}", "kPa", 3, "total vertical stress of ground and free water at the base considered")
_("R_ud", "R_d", "kPa", 3, "design resistance against uplift besides weight")
_("V_dst", "V_{dst,d}", "kPa", 3, "design value of the pressure that lifts")
_("G_stb", "G_{stb,d}", "kPa", 3, "design value of the pressure that holds down")
_("h_x", "h_x", "m", 3, "thickness of the sublayer that is dug out")
_("d_x", "d_x", "m", 2, "depth of the pit below ground level")
_("d_xw", "d_{x,w}", "m", 2, "depth of the water in the pit below ground level")
_("w_x", "w_x", "kPa", 3, "weight of what is dug out, on its area")
_("sigma_x", "σ_{v,x}", "kPa", 3, "total vertical stress below the pit at the base considered")
_("gamma_cas", "γ_{cas,r}", "kN/m^3", 2, "saturated unit weight of the soil left in the casing")
_("t_cas", "t_{cas}", "m", 3, "length of the soil left in the casing")
_("h_wc", "h_{w,c}", "m", 3, "height of the water kept in the casing over the soil")
_("z_cw", "z_{w,c}", "m", 2, "level of the water kept in the casing")
_("h_cw", "h_{w,B}", "m", 3, "level of the water kept in the casing over the base considered")
_("h_rq", "h_{B,req}", "m", 3, "level of water over the base considered at which the aquifer is at rest")
_("z_rq", "z_{w,req}", "m", 2, "least level of the water in a casing that is open to the aquifer")
_("f_pl", "f_{pl,d}", "kN/m^3", 3, "design adhesion on the casing over the volume of the soil in it")
_("t_rq", "t_{cas,req}", "m", 3, "least length of the soil that may be left in the casing")
_("alpha_pl", "α_{pl}", "-", 2, "adhesion of the soil in the casing over its undrained strength")
_("c_upl", "c_{u,pl}", "kPa", 2, "undrained strength of the soil on the casing")
_("gamma_cpl", "γ_{cu,pl}", "-", 2, "partial factor on the undrained strength, uplift")
_("S_dst", "S_{dst,d}", "kPa", 3, "design value of the seepage force over the depth")
_("G_sub", "G′_{stb,d}", "kPa", 3, "design value of the submerged weight over the depth")
_("j_col", "j_{dst,d}", "kN/m^3", 3, "design value of the seepage force in the column")
_("g_col", "g′_{stb,d}", "kN/m^3", 3, "design value of the submerged unit weight of the column fill")
_("Dh_a", "Δh_a", "m", 3, "head of the aquifer over the water level")
_("h_sat", "h_s", "m", 3, "thickness of the sublayer that water flows through")
_("v_fl", "v", "m/day", -5, "velocity of steady vertical flow, upward", shown="m/s")
_("i_l", "i", "-", 5, "hydraulic gradient upward in the sublayer")
_("Dh_l", "Δh_l", "m", 5, "head lost in the sublayer")
_("i_cr", "i_{cr}", "-", 5, "critical hydraulic gradient")
_("F_i", "F_i", "-", 3, "critical over present hydraulic gradient")
_("h_fl", "h_{p,v}", "m", 3, "piezometric level above ground level by steady flow, at the bottom of the sublayer")

UPL = Source("EN 1997-1:2004, 2.4.7.4, expression (2.8)", evidence="inspected")
HYD = Source("EN 1997-1:2004, 2.4.7.5, expression (2.9b)", evidence="inspected")
RISE = Source(
    "project rule: the rise acts in full below the aquifer's cover and below every bottom that it may lift, elsewhere "
    "in proportion to the depth below the water level",
    evidence="derived",
)
WEIGHT = Source("vertical equilibrium of what is left of the ground", evidence="derived")
BALANCE = Source("water at rest between casing and aquifer", evidence="derived")
ADHESION = Source("adhesion on the inner face of the casing", evidence="derived")
DARCY = Source("law of Darcy (1856), steady vertical flow through layers", evidence="derived")
CRITICAL = Source("Terzaghi (1922), upward flow that lifts the submerged weight", evidence="not inspected")


@formula("V_dst", source=UPL)
def lifting_pressure(gamma_ud, u_B, gamma_uq, gamma_w, Dh_r):
    """Design value of the water pressure below the base, with a rise of the head."""
    return gamma_ud * u_B + gamma_uq * gamma_w * Dh_r


@formula("G_stb", source=UPL)
def weight_against_uplift(gamma_us, sigma_B, R_ud):
    """Design value of total weight and resistance that hold the base down."""
    return gamma_us * sigma_B + R_ud


@formula("s_r", source=RISE)
def part_of_rise(i_sb, z_p, d_w, d_B):
    """Part of the rise of the aquifer's head that acts at the bottom of a sublayer."""
    return where(i_sb > 0, 1, maximum(z_p - maximum(d_w, 0), 0) / (d_B - maximum(d_w, 0)))


@formula("h_x", source=WEIGHT)
def thickness_dug_out(d_x, d_st, h):
    """Part of the sublayer above the bottom of the pit."""
    return minimum(maximum(d_x - d_st, 0), h)


@formula("w_x", source=WEIGHT)
def weight_dug_out(gamma_t, h_x):
    """Total weight of what is dug out, on its area."""
    return over_layers(gamma_t * h_x)


@formula("sigma_x", source=WEIGHT)
def stress_below_pit(sigma_B, p_fw, w_x, gamma_w, d_x, d_xw):
    """Total vertical stress at the base considered below a pit, with the water in the pit alone."""
    return sigma_B - p_fw - w_x + gamma_w * (d_x - d_xw)


@formula("sigma_B", source=WEIGHT)
def stress_in_casing(gamma_cas, t_cas, gamma_w, h_wc):
    """Total vertical stress below the soil in a casing, with the water kept in it."""
    return gamma_cas * t_cas + gamma_w * h_wc


@formula("h_cw", source=WEIGHT)
def water_over_base(z_cw, z_g, d_B):
    """Level of the water kept in the casing over the base of the soft layers."""
    return z_cw - z_g + d_B


@formula("h_wc", source=WEIGHT)
def water_over_soil(h_cw, t_cas):
    """Height of the water over the soil left in the casing, none where the soil stands above it."""
    return maximum(h_cw - t_cas, 0)


@formula("h_rq", source=BALANCE)
def level_at_rest(u_B, gamma_w, gamma_uq, Dh_r):
    """Level of water over the base at which none rises from the aquifer, with a rise of its head."""
    return u_B / gamma_w + gamma_uq * Dh_r


@formula("z_rq", source=BALANCE)
def least_water_level(z_g, d_B, h_rq):
    """Least level of the water in a casing that is open to the aquifer."""
    return z_g - d_B + h_rq


@formula("f_pl", source=ADHESION)
def adhesion_in_casing(alpha_pl, c_upl, gamma_cpl, d_c):
    """Design adhesion on the casing over the volume of the soil in it."""
    return alpha_pl * c_upl / gamma_cpl * 4 / d_c


@formula("R_ud", source=ADHESION)
def resistance_in_casing(f_pl, t_cas):
    """Design adhesion on the casing over the area of the soil in it."""
    return f_pl * t_cas


@formula("t_rq", source=WEIGHT)
def least_soil(V_dst, gamma_us, gamma_w, h_cw, gamma_cas, f_pl):
    """Least length of soil that holds the pressure: the less of that under water and that which stands above it."""
    return minimum(
        maximum(V_dst - gamma_us * gamma_w * h_cw, 0) / (gamma_us * (gamma_cas - gamma_w) + f_pl),
        V_dst / (gamma_us * gamma_cas + f_pl),
    )


@formula("S_dst", source=HYD)
def seepage_force(gamma_Sd, u_B, u_Bh, gamma_uq, s_r, gamma_w, Dh_r):
    """Design value of the seepage force over the depth: the pressure above that of water at rest, with a rise."""
    return gamma_Sd * (u_B - u_Bh) + gamma_uq * s_r * gamma_w * Dh_r


@formula("G_sub", source=HYD)
def submerged_weight(gamma_Ss, sigma_B, u_Bh):
    """Design value of the weight over the depth less that of water at rest."""
    return gamma_Ss * (sigma_B - u_Bh)


@formula("j_col", source=HYD)
def seepage_force_in_column(gamma_Sd, i_col, gamma_uq, Dh_r, d_B, d_w, gamma_w):
    """Design value of the seepage force in the column, with a rise of the head below it."""
    return (gamma_Sd * i_col + gamma_uq * Dh_r / (d_B - maximum(d_w, 0))) * gamma_w


@formula("g_col", source=HYD)
def submerged_weight_of_column(gamma_Ss, gamma_cr, gamma_w):
    """Design value of the submerged unit weight of the column fill."""
    return gamma_Ss * (gamma_cr - gamma_w)


@formula("u_Bh", source=WEIGHT)
def pressure_at_rest_below_pit(gamma_w, z_p, d_xw):
    """Pore pressure at the base considered if the water stood at rest with that in the pit."""
    return gamma_w * (z_p - d_xw)


@formula("Dh_a", source=DARCY)
def head_of_aquifer(h_a, d_w):
    """Head of the aquifer over the water level."""
    return h_a + d_w


@formula("h_sat", source=DARCY)
def saturated_thickness(z, d_w, h):
    """Thickness of a sublayer below the water level."""
    return where(z > d_w, h, 0)


@formula("v_fl", source=DARCY)
def steady_flow(Dh_a, h_sat, k_vs):
    """Velocity of steady vertical flow through the soft layers."""
    return Dh_a / over_layers(h_sat / k_vs)


@formula("i_l", source=DARCY)
def gradient_in_layer(v_fl, k_vs):
    """Hydraulic gradient in the sublayer."""
    return v_fl / k_vs


@formula("Dh_l", source=DARCY)
def loss_in_layer(i_l, h_sat):
    """Head lost in the sublayer."""
    return i_l * h_sat


@formula("h_fl", source=DARCY)
def level_by_flow(d_w, Dh_l):
    """Piezometric level at the bottom of the sublayer by steady flow."""
    return over_layers_above(Dh_l) + Dh_l - d_w


@formula("i_cr", source=CRITICAL)
def critical_gradient(gamma_r, gamma_w):
    """Gradient at which upward flow carries the submerged weight."""
    return (gamma_r - gamma_w) / gamma_w


@formula("F_i", source=CRITICAL)
def safety_against_flow(i_cr, i_l):
    """Critical over present hydraulic gradient."""
    return i_cr / i_l
