"""The cross-section of a slip analysis: weights and strengths of its soils, load on the crest, ends of the layers."""

from numpy import maximum, minimum, tan

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("gamma_dw", "γ_{o,d}", "kN/m^3", 3, "unit weight in the slip analysis, with the factor on all weight")
_("gamma_drw", "γ_{o,r,d}", "kN/m^3", 3, "saturated unit weight in the slip analysis, with the factor on all weight")
_(
    "gamma_ME",
    "γ_{M,E}",
    "kN/m^3",
    3,
    "unit weight of fill or platform that weighs as much as with the compensation fill",
)
_("gamma_wd", "γ_{w,d}", "kN/m^3", 3, "unit weight of water in the slip analysis, with the factor on all weight")
_("c_utd", "c_{u,t,d}", "kPa", 3, "design undrained shear strength at the top of the layer, without gain")
_("c_utg", "c_{u,t,g}", "kPa", 3, "design undrained shear strength at the top of the layer, with the gain credited")
_("rho_utd", "ρ_{u,t,d}", "kPa/m", 4, "design increase of the undrained shear strength within the layer")
_("z_lt", "z_{l,t}", "m", 3, "level of the top of the layer")
_("p_last", "p_{last}", "kPa", 2, "permanent pressure of fill and working platform")
_("s_last", "s_{last}", "-", 4, "share of the embankment's weight that adds to the normal force in the columns")
_("q_cr", "q_{cr}", "kPa", 3, "load on the crest in the slip analysis")
_("t_bel", "t_{bel}", "m", 2, "thickness of the bearing layer below the toes that surfaces may enter")
_("z_bot", "z_{bot}", "m", 3, "bottom of the ground that surfaces may enter")
_("x_Pl", "x_{P,l}", "m", 3, "place of the left face of the slope at the top of the working platform")
_("x_Pr", "x_{P,r}", "m", 3, "place of the right face of the slope at the top of the working platform")
_("x_ml", "x_{m,l}", "m", 3, "left end of the ground with the gain of strength")
_("x_mr", "x_{m,r}", "m", 3, "right end of the ground with the gain of strength")
_("i_see", "i_{see}", "-", 0, "1 for pore pressure of steady flow along the water level, 0 for that of its depth")
_("d_crk", "d_{crk}", "m", 2, "depth of the tension crack below the surface")
_("h_crk", "h_{crk}", "m", 2, "depth of water in the tension crack")
_("h_rk", "h_{r,k}", "m", 3, "height of this layer of reinforcement over the ground")
_("x_fl", "x_{f,l}", "m", 3, "place of the left face of the slope at the level of the layer")
_("x_fr", "x_{f,r}", "m", 3, "place of the right face of the slope at the level of the layer")
_("x_rl", "x_{r,l}", "m", 3, "left end of the layer of reinforcement")
_("x_rr", "x_{r,r}", "m", 3, "right end of the layer of reinforcement")
_("mu_sl", "μ_{sl}", "-", 4, "coefficient of friction of the fill at the layer, for sliding")
_("mu_slb", "μ_{sl,b}", "-", 4, "coefficient of friction of the soil below the layer, for sliding")
_("mu_po", "μ_{po}", "-", 4, "coefficient of friction above the layer, against pull-out")
_("mu_pob", "μ_{po,b}", "-", 4, "coefficient of friction below the layer, against pull-out")
_("phi_bd", "φ′_{b,d}", "rad", 3, "design friction angle of the soil below the layer", shown="deg")
_("f_tie", "f_{tie}", "-", 3, "divisor of the friction against pull-out")

SINGLE = Source("EN 1997-1:2004, 2.4.7.3.2, partial factors applied to actions", evidence="not inspected")
HEAVIER = Source("project rule: compensation fill counts as heavier fill over the same width", evidence="derived")
LASTING = Source(
    "project rule: compensation fill weighs, but does not add to the normal force in the columns: it comes as the "
    "ground settles",
    evidence="derived",
)
BELOW = Source("project rule: depth below the toes to which slip surfaces are searched", evidence="derived")
SECTION = Source("plane geometry of the cross-section", evidence="derived")
CREDITED = Source(
    "project rule: a gain is credited among the columns, to the middles of the slopes", evidence="derived"
)
ENDS = Source(
    "project rule: a layer ends at its anchorage beyond the outermost columns, at the latest at the face of the slope",
    evidence="derived",
)
FRICTION = Source("Coulomb friction at the faces of the layer", evidence="derived")


@formula("z_lt", source=SECTION)
def level_of_layer_top(z_g, d_lt):
    """Level of the top of the layer."""
    return z_g - d_lt


@formula("gamma_dw", source=SINGLE)
def weight_in_slip_analysis(gamma_Go, gamma):
    """Unit weight in the slip analysis."""
    return gamma_Go * gamma


@formula("gamma_ME", source=HEAVIER)
def weight_with_compensation_fill(gamma, p_M, H_st):
    """Unit weight of fill or platform with the compensation fill."""
    return gamma + p_M / H_st


@formula("p_last", source=LASTING)
def lasting_pressure(gamma_E, H, gamma_P, t_P):
    """Permanent pressure of fill and working platform."""
    return gamma_E * H + gamma_P * t_P


@formula("p_last", source=LASTING)
def lasting_pressure_with_zones(gamma_E, H, p_Z, gamma_P, t_P):
    """Permanent pressure of fill with its zones and of the working platform."""
    return gamma_E * H + p_Z + gamma_P * t_P


@formula("s_last", source=LASTING)
def lasting_share(p_last, p_M):
    """Share of the embankment's weight that adds to the normal force in the columns."""
    return p_last / (p_last + p_M)


@formula("q_cr", source=SINGLE)
def load_on_crest(i_Q, q_o, q_pl):
    """Load on the crest in the slip analysis."""
    return i_Q * q_o + q_pl


@formula("z_bot", source=BELOW)
def bottom_of_surfaces(z_toe, t_bel):
    """Bottom of the ground that surfaces may enter."""
    return z_toe - t_bel


@formula("x_Pl", source=SECTION)
def left_face_at_platform(x_tl, x_el, H, H_st):
    """Place of the left face of the slope at the top of the working platform."""
    return x_tl + (x_el - x_tl) * (1 - H / H_st)


@formula("x_Pr", source=SECTION)
def right_face_at_platform(x_tr, x_er, H, H_st):
    """Place of the right face of the slope at the top of the working platform."""
    return x_tr - (x_tr - x_er) * (1 - H / H_st)


@formula("x_ml", source=CREDITED)
def left_end_of_gain(x_cl, x_tl, x_el):
    """Left end of the ground with the gain of strength."""
    return maximum(x_cl, (x_tl + x_el) / 2)


@formula("x_mr", source=CREDITED)
def right_end_of_gain(x_cr, x_tr, x_er):
    """Right end of the ground with the gain of strength."""
    return minimum(x_cr, (x_tr + x_er) / 2)


@formula("h_rk", source=SECTION)
def layer_over_ground(z_rk, z_g):
    """Height of the layer of reinforcement over the ground."""
    return maximum(z_rk - z_g, 0)


@formula("x_fl", source=SECTION)
def left_face_at_layer(x_tl, x_el, h_rk, H_st):
    """Place of the left face of the slope at the level of the layer."""
    return x_tl + h_rk / H_st * (x_el - x_tl)


@formula("x_fr", source=SECTION)
def right_face_at_layer(x_tr, x_er, h_rk, H_st):
    """Place of the right face of the slope at the level of the layer."""
    return x_tr + h_rk / H_st * (x_er - x_tr)


@formula("x_rl", source=ENDS)
def left_end_of_layer(x_cl, L_b, x_fl):
    """Left end of the layer of reinforcement."""
    return maximum(x_cl - L_b, x_fl)


@formula("x_rr", source=ENDS)
def right_end_of_layer(x_cr, L_b, x_fr):
    """Right end of the layer of reinforcement."""
    return minimum(x_cr + L_b, x_fr)


@formula("mu_sl", source=FRICTION)
def friction_at_layer(alpha_f, phi_d):
    """Coefficient of friction at the layer, for sliding."""
    return alpha_f * tan(phi_d)


@formula("mu_po", source=FRICTION)
def pull_out_friction_of_layer(alpha_sc, mu_sl):
    """Coefficient of friction at the layer, against pull-out."""
    return alpha_sc * mu_sl


@formula("f_tie", source=FRICTION)
def pull_out_divisor(f_n, f_pull, f_ms):
    """Divisor of the friction against pull-out."""
    return f_n * f_pull * f_ms
