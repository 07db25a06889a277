"""Pressure of a stage, design strength of the soft ground as a line, and what stands beyond the outermost columns."""

from numpy import arctan, maximum, tan, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("gamma_ct", "γ_{c,t}", "kN/m^3", 2, "effective unit weight of the column fill within the embedment")
_("c_u0k", "c_{u,0,k}", "kPa", 2, "undrained shear strength at the top of the soft ground, by the line")
_("rho_uk", "ρ_{u,k}", "kPa/m", 3, "increase of the undrained shear strength with depth, by the line")
_("c_umk", "c_{u,min,k}", "kPa", 2, "least undrained shear strength of the soft ground")
_("c_u0d", "c_{u,0,d}", "kPa", 2, "design strength at the top of the soft ground, with gain")
_("c_u0g", "c_{u,0,g}", "kPa", 2, "strength at the top of the soft ground, with gain and without a partial factor")
_("c_umd", "c_{u,min,d}", "kPa", 2, "design value of the least strength of the soft ground, with gain")
_("rho_ud", "ρ_{u,d}", "kPa/m", 3, "design value of the strength increase with depth")
_("rho_uf", "ρ_{u,f}", "kPa/m", 3, "strength increase with depth over the column field, columns not counted")
_("gamma_br", "γ_{b,r}", "kN/m^3", 2, "saturated unit weight of the bearing layer")
_("sigma_cw", "σ_{c,w}", "kPa", 2, "stress increment on the column that carries the whole load of its cell")
_(
    "sigma_cwG",
    "σ_{c,w,G}",
    "kPa",
    2,
    "stress increment on the column that carries the whole load of its cell, permanent load",
)
_("q_ug", "q_{u,ρ}", "kPa", 2, "ultimate undrained bearing pressure with growing strength")
_("q_ut", "q_{u,t}", "kPa", 2, "ultimate undrained bearing pressure of the layer of limited thickness")
_("b_v", "b_v", "m", 2, "width of the column field beyond the crest edge that vertical load requires")
_("H_e", "h_{e,g}", "m", 2, "height of fill at the outermost columns")
_("B_e", "B_e", "m", 2, "width of slope and crest beyond the outermost columns")
_("b_cr", "b_{cr}", "m", 2, "width of the crest beyond the outermost columns")
_("p_ce", "p_{cr,e}", "kPa", 2, "what of it counts beyond the outermost columns")
_(
    "p_cr",
    "p_{cr}",
    "kPa",
    2,
    "design pressure of all traffic on the crest beyond the outermost columns",
)
_("p_e", "p_e", "kPa", 2, "design pressure on the ground beyond the outermost columns")
_("phi_Ek", "φ′_{E,k}", "rad", 3, "characteristic friction angle of the embankment fill", shown="deg")
_("phi_E", "φ′_E", "rad", 3, "friction angle of the embankment fill in this factor set", shown="deg")
_("K_aE", "K_{a,E}", "-", 5, "coefficient of active earth pressure of the embankment fill")

STATICS = Source("weight of the fill", evidence="derived")
FACTORED_LOADS = Source(
    "project rule: where a set applies partial factors to actions, EN 1997-1:2004, 2.4.7.3", evidence="derived"
)
FACTORED = Source("EN 1997-1:2004, 2.4.6.2 and Table A.4", evidence="inspected")
TANGENT = Source("EN 1997-1:2004, 2.4.6.2 and Table A.4, factor on the tangent", evidence="inspected")
HEAVIER = Source("project rule: dry only where the water stands below the bearing layer's top", evidence="derived")
GAIN = Source("project rule: only a gain that is given with its source is credited", evidence="derived")
FIELD = Source(
    "engineering reading: only the soil between the columns is counted; no published rule for encased columns was "
    "found",
    evidence="derived",
)
WHOLE = Source("project rule: where the cell is not at its active state the column carries all", evidence="derived")
WATER = Source("project rule: the bearing layer is taken as lying under water, on the safe side", evidence="derived")
LARGER = Source("project rule: each is a pressure that the ground bears, the larger one holds", evidence="derived")
LARGER_EFFECT = Source("project rule: the larger of two estimates", evidence="derived")
GEOMETRY = Source("geometry of the side slope", evidence="derived")
EXTENT = Source("geometry of the side slope, distance by BS 8006-1:2010", evidence="derived")
FAVOURABLE = Source("EN 1997-1:2004, 2.4.7.3.2 and Table A.3, favourable", evidence="inspected")
OUTWARD = Source(
    "horizontal equilibrium, derived here; form of Jewell (1988), Geotext. Geomembr. 7, 237–273", evidence="derived"
)


@formula("gamma_Ed", source=FACTORED_LOADS)
def factored_unit_weight(f_G, gamma_E):
    """Unit weight of the fill with its partial factor."""
    return f_G * gamma_E


@formula("q_st", source=FACTORED_LOADS)
def traffic_of_stage(f_q, q):
    """Traffic load of this stage with its partial factor."""
    return f_q * q


@formula("H_q", source=STATICS)
def equivalent_height(H, p_P, gamma_E):
    """Height of fill that weighs as much as fill and working platform."""
    return H + p_P / gamma_E


@formula("phi_d", source=TANGENT)
def design_friction_angle(phi, gamma_phi):
    """Design value of the effective friction angle."""
    return arctan(tan(phi) / gamma_phi)


@formula("c_ud", source=GAIN)
def design_strength_with_gain(c_u, Dc_u, gamma_cu):
    """Design undrained shear strength of the ground with the gain credited in this stage."""
    return (c_u + Dc_u) / gamma_cu


@formula("c_u0g", source=GAIN)
def top_strength_with_gain(c_u0k, Dc_u):
    """Undrained shear strength at the top with the gain credited in this stage."""
    return c_u0k + Dc_u


@formula("rho_ud", source=FACTORED)
def design_strength_growth(rho_uk, gamma_cu):
    """Design value of the strength increase with depth."""
    return rho_uk / gamma_cu


@formula("rho_uf", source=FIELD)
def column_field_growth(a_E, rho_u):
    """Strength increase with depth over the column field, on the area of the soil alone."""
    return (1 - a_E) * rho_u


@formula("sigma_cw", source=WHOLE)
def whole_load_on_column(Dsigma_0, a_E):
    """Vertical stress increment on the column if it carries the whole load of its cell."""
    return Dsigma_0 / a_E


@formula("gamma_b", source=WATER)
def buoyant_unit_weight(gamma_br, gamma_w):
    """Effective unit weight of the bearing layer."""
    return gamma_br - gamma_w


@formula("gamma_ct", source=HEAVIER)
def column_unit_weight_at_toe(t_soft, d_s, gamma_cd, gamma_cr, gamma_w):
    """Effective unit weight of the column fill within the embedment."""
    return where(t_soft < d_s, gamma_cd, gamma_cr - gamma_w)


@formula("q_u", source=LARGER)
def larger_bearing_pressure(q_ug, q_ut):
    """Ultimate undrained pressure: strength growing with depth, or uniform strength and limited thickness."""
    return maximum(q_ug, q_ut)


@formula("s_b", source=LARGER_EFFECT)
def larger_settlement_below_toe(s_bS, s_bH):
    """Settlement of the ground below the toe, the larger of load spread and half-space."""
    return maximum(s_bS, s_bH)


@formula("H_e", source=GEOMETRY)
def height_at_outermost_columns(H_q, b_g, n_S):
    """Height of fill over the outermost columns."""
    return maximum(H_q - b_g / n_S, 0)


@formula("b_cr", source=GEOMETRY)
def crest_beyond_columns(n_S, H_GF, H_q, b_g):
    """Width of the crest of a stage beyond the outermost columns; the toe stays where the final slope has it."""
    return maximum(n_S * (H_GF - H_q) - b_g, 0)


@formula("B_e", source=GEOMETRY)
def width_beyond_columns(n_S, H_e, b_cr):
    """Width of side slope and crest beyond the outermost columns."""
    return n_S * H_e + b_cr


@formula("p_cr", source=STATICS)
def crest_pressure_beyond_columns(gamma_Q, q_st, p_np):
    """Design pressure of traffic and construction traffic on the crest."""
    return gamma_Q * q_st + p_np


@formula("p_e", source=STATICS)
def edge_pressure(gamma_G, gamma_Ed, H_e, p_cr):
    """Design pressure beyond the outermost columns, the full height there being taken over the whole width."""
    return gamma_G * gamma_Ed * H_e + p_cr


@formula("b_v", source=EXTENT)
def field_width_for_vertical_load(L_S, L_p):
    """Width of the column field beyond the crest edge that vertical load requires."""
    return L_S - L_p


@formula("H_R", source=GEOMETRY)
def height_above_reinforcement(H, z_P, z_R):
    """Height of the fill above the reinforcement, or above the ground."""
    return maximum(H + z_P - z_R, 0)


@formula("W_Sd", source=FAVOURABLE)
def favourable_slope_weight(gamma_Gf, W_S):
    """Favourable design value of the weight of the side slope."""
    return gamma_Gf * W_S


@formula("T_spr", source=OUTWARD)
def spreading_tension_with_ground(E_ad, E_g, T_sq):
    """Tension from lateral sliding: thrust not carried by the soft ground, and shear that holds it back."""
    return E_ad - E_g + T_sq
