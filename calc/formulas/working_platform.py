"""The working platform under the tracks of a rig: track pressure, punching, load spread, hard heads, edge."""

from numpy import arcsin, cos, exp, maximum, minimum, sin, sqrt, tan, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("W_tr", "W_{tr}", "m", 3, "width of a track")
_("L_tr", "L_{tr}", "m", 3, "length of a track on the ground")
_("b_tr", "b_{tr}", "m", 3, "distance of the two tracks, centre to centre")
_("V_rig", "V_{rig}", "kN", 1, "vertical load of the rig in this operation")
_("e_along", "e_{along}", "m", 3, "eccentricity of this load along the tracks")
_("e_cross", "e_{cross}", "m", 3, "eccentricity of this load across the tracks")
_("L_eff", "L_{eff}", "m", 3, "effective length of the track")
_("L_sheet", "L_{sheet}", "m", 3, "effective length of the track by the rig sheet")
_("L_stat", "L_{stat}", "m", 3, "effective length of the track by statics")
_("q_sheet", "q_{sheet}", "kPa", 2, "pressure under the heavier track by the rig sheet")
_("q_stat", "q_{stat}", "kPa", 2, "pressure under the heavier track by statics")
_("mu_tr", "μ_{tr}", "-", 3, "share of the load on the heavier track")
_("q_tr", "q_{tr}", "kPa", 2, "pressure under the heavier track, uniform over width and effective length")
_("W_lo", "W_{lo}", "m", 3, "width that the track loads, that of the mats where it stands on mats")
_("p_mat", "p_{mat}", "kPa", 2, "weight of the mats over the area that they load")
_("q_lo", "q_{lo,k}", "kPa", 2, "pressure on the platform, characteristic")
_("W_sh", "W", "m", 3, "short side of the loaded rectangle")
_("L_lo", "L", "m", 3, "long side of the loaded rectangle")
_("f_op", "f_{op}", "-", 2, "factor on the pressure in this operation")
_("f_low", "f_{low}", "-", 2, "low factor on the pressure, for the platform without its geosynthetic")
_("q_op", "q_{op,d}", "kPa", 2, "design pressure on the platform")
_("q_low", "q_{low,d}", "kPa", 2, "design pressure with the low factor")
_("s_cW", "s_{c,W}", "-", 4, "shape factor of the ground under the rectangle")
_("R_sg", "R_{sg}", "kPa", 2, "undrained bearing pressure of the ground under the rectangle")
_("gamma_Pr", "γ_{P,r}", "kN/m^3", 2, "unit weight of the platform in what resists")
_("K_pt", "K_{pδ}", "-", 3, "coefficient of passive pressure times tan δ, on the faces punched out of the platform")
_("a_edge", "a_{edge}", "m", 3, "distance from the nearest track to the crest of the platform edge")
_("a_lo", "a_{lo}", "m", 3, "distance from the edge of what the track loads to the crest of the platform edge")
_("s_pun", "s_{pun}", "-", 4, "shape factor of the shear on the faces of the punched block")
_("T_geo", "T_{geo,d}", "kN/m", 2, "design strength of the geosynthetic at the base of the platform")
_("D_pun", "D_{pun}", "m", 3, "thickness required by punching, without geosynthetic")
_("D_geo", "D_{geo}", "m", 3, "thickness required by punching with the geosynthetic")
_("D_punE", "D_{pun,E}", "m", 3, "thickness required by punching with the coefficient of Annex C")
_("tan_beta", "m_β", "-", 4, "load spread in the platform, horizontal over vertical")
_("k_side", "k_{side}", "-", 0, "number of long sides on which the load spreads")
_("a_qu", "a_2", "-", 3, "coefficient of the square in the equation of the load spread")
_("b_qu", "a_1", "m", 3, "coefficient of the linear term in the equation of the load spread")
_("c_qu", "a_0", "m^2", 3, "area that the rectangle itself lacks")
_("D_spr", "D_{spr}", "m", 3, "thickness required by load spread")
_("D_abs", "D_{abs}", "m", 3, "least thickness of any platform")
_("f_WD", "f_W", "-", 2, "least thickness over the width of a track")
_("D_least", "D_{least}", "m", 3, "least thickness of this platform")
_("D_leastW", "D_{least,W}", "m", 3, "least thickness by the width of the mats in place of that of the track")
_("D_two", "D_{two}", "m", 3, "larger of the thicknesses with and without the geosynthetic")
_("D_req", "D_{req}", "m", 3, "required thickness of the platform")
_("r_sg", "r_{sg}", "-", 2, "bearing pressure of the ground over the characteristic pressure on it")
_("s_gW", "s_{γ,W}", "-", 4, "shape factor of granular material under the rectangle")
_("R_pm", "R_{pm}", "kPa", 1, "bearing pressure of the platform material under the rectangle")
_("omega_P", "ω_δ", "rad", 2, "angle of the Mohr circle on the punched face", shown="deg")
_("K_pE", "K_{p,E}", "-", 3, "coefficient of passive pressure with δ = 2φ′/3 by Annex C")
_("K_ptE", "K_{pδ,E}", "-", 3, "the same times tan δ")
_("B_pair", "B_{pair}", "m", 3, "width under both tracks at the base of the platform")
_("L_pair", "L_{pair}", "m", 3, "length under the tracks at the base of the platform")
_("p_pair", "p_{pair}", "kPa", 2, "design pressure of both tracks at the base of the platform")
_("q_pair", "q_{u,pair}", "kPa", 2, "undrained bearing pressure of the ground under both tracks")
_("f_hd", "f_{hd}", "-", 2, "factor on the pressure of the track for the sleeve at the head")
_("q_hd", "q_{hd,d}", "kPa", 2, "design pressure on the platform for the sleeve at the head")
_("p_base", "p_{base}", "kPa", 2, "design pressure of one track at the base of the platform")
_("sigma_hd", "σ_{hd}", "kPa", 1, "design stress on a column head that carries the whole load of its cell")
_("F_hd", "F_{R,hd}", "kN/m", 2, "design ring tension at the head without support of the soil")
_("n_edge", "n_{edge}", "-", 2, "horizontal run of the platform edge per unit of height")
_("t_edge", "m_{edge}", "-", 4, "slope of the platform edge, vertical over horizontal")
_("t_phi", "m_φ", "-", 4, "design value of tan φ′ of the platform material")

TRACKED = Source("BRE report BR 470 (2004), Working platforms for tracked plant", evidence="not inspected")
STATICS = Source("vertical and moment equilibrium", evidence="derived")
RECTANGLE = Source(
    "project rule: the rectangle with the resultant in its middle, in place of a triangular pressure",
    evidence="derived",
)
SPREAD = Source(
    "load spread through the platform, undrained bearing below; solved for the thickness", evidence="derived"
)
ANNEX_C = Source("EN 1997-1:2004 + A1:2013, Annex C, C.2", evidence="not inspected")
SHORT_SIDE = Source(
    "project rule: the shape factors are those of a rectangle with its short side first", evidence="derived"
)
LOADED_EDGE = Source("a mat lies with its middle under that of the track", evidence="derived")
FLOODED = Source(
    "project rule: where water stands above the ground while the rig works, the platform resists with its buoyant "
    "weight over its whole thickness",
    evidence="derived",
)
OF_THE_SET = Source(
    "project rule: the sleeve is verified with the partial factors of the factor set, as its design resistance; the "
    "pressure of the track with no less than the factor of the operation",
    evidence="derived",
)
HARD_HEAD = Source("upper bound: a head takes the whole load of its cell; no support of the soil", evidence="derived")
LEAST = Source(
    "project rule: neither method counts alone, and none gives less than the least thickness", evidence="derived"
)
SLOPE = Source("infinite slope of material without cohesion", evidence="derived")


@formula("L_eff", source=RECTANGLE)
def effective_track_length(L_tr, e_along):
    """Effective length of a track under an eccentric load."""
    return L_tr - 2 * e_along


@formula("mu_tr", source=STATICS)
def heavier_track(e_cross, b_tr):
    """Share of the load on the heavier of two tracks."""
    return 0.5 + e_cross / b_tr


@formula("q_tr", source=STATICS)
def track_pressure(mu_tr, V_rig, W_tr, L_eff):
    """Pressure under the heavier track over its effective length."""
    return mu_tr * V_rig / (W_tr * L_eff)


@formula("q_lo", source=STATICS)
def pressure_on_platform(q_tr, W_tr, W_lo):
    """Pressure on the platform, uniform over the loaded width."""
    return q_tr * W_tr / W_lo


@formula("a_lo", source=LOADED_EDGE)
def distance_of_loaded_edge(a_edge, W_lo, W_tr):
    """Distance from the edge of the loaded width, track or mat under its middle, to the crest."""
    return a_edge - (W_lo - W_tr) / 2


@formula("q_lo", source=STATICS)
def pressure_on_platform_with_mats(q_tr, W_tr, W_lo, p_mat):
    """Pressure on the platform, uniform over the width of the mats, with their weight."""
    return q_tr * W_tr / W_lo + p_mat


@formula("W_sh", source=SHORT_SIDE)
def short_side(W_lo, L_eff):
    """Short side of the loaded rectangle."""
    return minimum(W_lo, L_eff)


@formula("L_lo", source=SHORT_SIDE)
def long_side(W_lo, L_eff):
    """Long side of the loaded rectangle."""
    return maximum(W_lo, L_eff)


@formula("q_op", source=TRACKED)
def design_platform_pressure(f_op, q_lo):
    """Design pressure on the platform."""
    return f_op * q_lo


@formula("s_cW", source=TRACKED)
def rectangle_shape_factor(W_sh, L_lo):
    """Shape factor of undrained ground under a rectangle."""
    return 1 + 0.2 * W_sh / L_lo


@formula("R_sg", source=TRACKED)
def subgrade_bearing_pressure(c_u, N_c, s_cW):
    """Undrained bearing pressure of the ground, nothing beside the rectangle counted."""
    return c_u * N_c * s_cW


@formula("r_sg", source=TRACKED)
def ratio_of_bearing(R_sg, q_lo):
    """Bearing pressure of the ground over the characteristic pressure on it, platform not counted."""
    return R_sg / q_lo


@formula("s_gW", source=TRACKED)
def granular_shape_factor(W_sh, L_lo):
    """Shape factor of granular material under a rectangle."""
    return 1 - 0.3 * W_sh / L_lo


@formula("R_pm", source=TRACKED)
def granular_bearing_pressure(gamma_P, W_sh, N_gamma, s_gW):
    """Bearing pressure of granular material under a rectangle at its surface."""
    return 0.5 * gamma_P * W_sh * N_gamma * s_gW


@formula("gamma_Pr", source=FLOODED)
def resisting_unit_weight(d_w, gamma_P, gamma_w):
    """Unit weight of the platform where it resists; buoyant where water stands above the ground."""
    return where(d_w < 0, gamma_P - gamma_w, gamma_P)


@formula("s_pun", source=TRACKED)
def punching_shape_factor(W_sh, L_lo, a_lo, t_P):
    """Shape factor of punching; near the edge the outer long face is not counted."""
    return where(a_lo < t_P, 0.5 + W_sh / L_lo, 1 + W_sh / L_lo)


@formula("D_pun", source=TRACKED)
def thickness_by_punching(W_sh, q_op, R_sg, gamma_P, K_pt, s_pun):
    """Thickness at which bearing of the ground and shear on the punched faces hold the pressure."""
    return sqrt(W_sh * maximum(q_op - R_sg, 0) / (gamma_P * K_pt * s_pun))


@formula("D_geo", source=TRACKED)
def thickness_with_geosynthetic(W_sh, q_op, R_sg, T_geo, gamma_P, K_pt, s_pun):
    """Thickness at which a geosynthetic at the base helps to hold the pressure."""
    return sqrt(W_sh * maximum(q_op - R_sg - 2 * T_geo / W_sh, 0) / (gamma_P * K_pt * s_pun))


@formula("k_side", source=SPREAD)
def sides_of_spread(a_lo, t_P):
    """Long sides on which the load spreads; none toward an edge that is nearer than the thickness."""
    return where(a_lo < t_P, 1, 2)


@formula("a_qu", source=SPREAD)
def spread_square(k_side):
    """Coefficient of the square."""
    return 2 * k_side + 0.2 * k_side**2


@formula("b_qu", source=SPREAD)
def spread_linear(W_sh, k_side, L_lo):
    """Coefficient of the linear term."""
    return 2 * W_sh + k_side * L_lo + 0.4 * k_side * W_sh


@formula("c_qu", source=SPREAD)
def spread_lack(q_op, W_sh, L_lo, c_u, N_c):
    """Area that the rectangle itself lacks, with its shape factor."""
    return q_op * W_sh * L_lo / (c_u * N_c) - W_sh * L_lo - 0.2 * W_sh**2


@formula("D_spr", source=SPREAD)
def thickness_by_spread(b_qu, a_qu, c_qu, tan_beta):
    """Thickness at which the ground below bears the spread pressure, with the shape factor of the spread area."""
    return (sqrt(b_qu**2 + 4 * a_qu * maximum(c_qu, 0)) - b_qu) / (2 * a_qu * tan_beta)


@formula("D_least", source=LEAST)
def least_thickness(D_abs, f_WD, W_tr):
    """Least thickness of the platform under these tracks."""
    return maximum(D_abs, f_WD * W_tr)


@formula("D_two", source=TRACKED)
def thickness_with_and_without(D_geo, D_pun):
    """Thickness by punching, with the geosynthetic and without it at the low factor."""
    return maximum(D_geo, D_pun)


@formula("D_req", source=LEAST)
def required_thickness(D_spr, D_pun, D_least):
    """Required thickness: the largest of load spread, punching and the least one."""
    return maximum(maximum(D_spr, D_pun), D_least)


@formula("omega_P", source=ANNEX_C)
def mohr_angle_of_wall(phi):
    """Angle of the Mohr circle on a face with two thirds of the friction."""
    return arcsin(sin(2 * phi / 3) / sin(phi))


@formula("K_pE", source=ANNEX_C)
def passive_coefficient_of_annex_c(phi, omega_P):
    """Coefficient of passive pressure on a vertical face with two thirds of the friction, level ground."""
    return (1 + sin(phi) * cos(omega_P + 2 * phi / 3)) / (1 - sin(phi)) * exp((omega_P + 2 * phi / 3) * tan(phi))


@formula("K_ptE", source=ANNEX_C)
def punching_coefficient_of_annex_c(K_pE, phi):
    """Shear coefficient on the punched faces."""
    return K_pE * tan(2 * phi / 3)


@formula("B_pair", source=SPREAD)
def width_under_both_tracks(b_tr, W_lo, k_side, t_P, tan_beta):
    """Width over which both tracks load the ground."""
    return b_tr + W_lo + k_side * t_P * tan_beta


@formula("L_pair", source=SPREAD)
def length_under_both_tracks(L_eff, t_P, tan_beta):
    """Length over which both tracks load the ground."""
    return L_eff + 2 * t_P * tan_beta


@formula("p_pair", source=SPREAD)
def pressure_of_both_tracks(q_op, W_lo, L_eff, B_pair, L_pair):
    """Design pressure of two tracks, both as loaded as the heavier one."""
    return 2 * q_op * W_lo * L_eff / (B_pair * L_pair)


@formula("q_pair", source=SPREAD)
def bearing_under_both_tracks(c_u, N_c, B_pair, L_pair):
    """Undrained bearing pressure of the ground under both tracks."""
    return c_u * N_c * (1 + 0.2 * minimum(B_pair, L_pair) / maximum(B_pair, L_pair))


@formula("p_base", source=SPREAD)
def pressure_at_base(q_op, W_sh, L_lo, k_side, t_P, tan_beta):
    """Design pressure of one track at the base of the platform."""
    return q_op * W_sh * L_lo / ((W_sh + k_side * t_P * tan_beta) * (L_lo + 2 * t_P * tan_beta))


@formula("f_hd", source=OF_THE_SET)
def factor_on_rig(f_op, gamma_Q, gamma_QS):
    """Factor on the pressure of the track for the sleeve: of the set or of the operation, the larger."""
    return maximum(f_op, gamma_Q * gamma_QS)


@formula("sigma_hd", source=HARD_HEAD)
def stress_on_head(p_base, gamma_G, f_G, gamma_P, t_P, A_E, A_c):
    """Design stress on a column head that carries the whole load of its cell."""
    return (p_base + gamma_G * f_G * gamma_P * t_P) * A_E / A_c


@formula("F_hd", source=HARD_HEAD)
def ring_tension_at_head(r_geo, K_ac, sigma_hd):
    """Design ring tension of the sleeve at the head, the column in its active state, without support of the soil."""
    return r_geo * K_ac * sigma_hd


@formula("t_edge", source=SLOPE)
def slope_of_edge(n_edge):
    """Slope of the platform edge."""
    return 1 / n_edge


@formula("t_phi", source=SLOPE)
def design_friction_of_edge(phi, gamma_phi):
    """Slope at which the face would slide."""
    return tan(phi) / gamma_phi
