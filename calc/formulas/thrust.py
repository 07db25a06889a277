"""Lateral thrust of the embankment at its crest edges and sliding of the side slope."""

from numpy import arctan, maximum, minimum, pi, tan, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("alpha_g", "α_g", "-", 2, "share of the strength of the soft ground that carries thrust")
_("T_sprl", "T_{spr,left}", "kN/m", 2, "tension of the reinforcement from lateral sliding, left side")
_("T_sprr", "T_{spr,right}", "kN/m", 2, "tension of the reinforcement from lateral sliding, right side")
_("H_tM", "H_{tM}", "m", 3, "height of the fill that thrusts, with compensation fill")
_("H_th", "H_{th}", "m", 3, "height of the fill that thrusts, with compensation fill")
_("H_G", "H_G", "m", 3, "height of fill and working platform above the ground")
_("H_tR", "H_{th,R}", "m", 3, "height above the reinforcement of the fill that thrusts, with compensation fill")
_("E_aR", "E_{a,R,d}", "kN/m", 2, "design value of the active thrust above the reinforcement")
_("E_ab", "E_{a,b,d}", "kN/m", 2, "design value of the active thrust below the reinforcement")
_("R_ab", "R_{a,b,d}", "kN/m", 2, "design resistance of the fill between ground and reinforcement to sliding out")
_("b_gs", "b_{g,st}", "m", 2, "width of the column field beyond the crest edge of the stage")
_(
    "s_th",
    "s_{th}",
    "m",
    1,
    "settlement of the cell that is replaced by compensation fill at the crest edge",
    shown="mm",
)
_("gamma_Em", "γ_{E,max}", "kN/m^3", 2, "unit weight for the thrust, the larger of fill and working platform")
_("gamma_El", "γ_{E,min}", "kN/m^3", 2, "unit weight for what holds, the smaller of fill and working platform")
_("alpha_i", "α_i", "-", 3, "interaction coefficient of fill and reinforcement")
_("gamma_Rh", "γ_{R,h}", "-", 2, "partial factor on the sliding resistance")
_("R_h", "R_h", "kN/m", 2, "resistance of the side slope to sliding on the reinforcement")
_("L_R", "L_R", "m", 2, "length of the side slope at the ground")
_("R_hg", "R_{h,g}", "kN/m", 2, "shear resistance of the ground to sliding below the reinforcement")
_("R_hgd", "R_{h,g,d}", "kN/m", 2, "design shear resistance of the ground to sliding below the reinforcement")
_("T_hs", "T_{h,s}", "kN/m", 2, "design thrust that the ground below the reinforcement does not hold against sliding")
_("R_hd", "R_{h,d}", "kN/m", 2, "design resistance of the side slope to sliding")
_("phi_sg", "φ_{sg,req}", "rad", 2, "friction angle needed between fill and reinforcement", shown="deg")
_("phi_sa", "φ_{sg}", "rad", 2, "friction angle between fill and reinforcement that is there", shown="deg")

THRUST = Source("FHWA-NHI-10-025 (2009), vol. II, example E4, p. E4-4 and E4-5", evidence="inspected")
FACTORED = Source("EN 1997-1:2004, 2.4.7.3.2, effects of actions factored", evidence="inspected")
CONTACT = Source(
    "horizontal equilibrium, derived here; form of Jewell (1988), Geotext. Geomembr. 7, 237–273", evidence="derived"
)
SLOPE = Source("geometry of the side slope", evidence="derived")
SLIDING = Source(
    "horizontal equilibrium, derived here; interaction coefficient as in BS 8006-1:2010 and EBGEO (2010)",
    evidence="derived",
)
NEEDED = Source("horizontal equilibrium, derived here; form of UFC 3-220-08FA, eq. 4-5", evidence="derived")
HEIGHT = Source("geometry of fill and working platform", evidence="derived")
MADE_UP = Source("project rule: the crest is kept at its level by compensation fill", evidence="derived")
HEAVIER = Source("project rule: the heavier of fill and working platform thrusts", evidence="derived")
LIGHTER = Source("project rule: the lighter of fill and working platform holds", evidence="derived")
LARGER = Source("project rule: one reinforcement serves both sides", evidence="derived")
BELOW = Source(
    "horizontal equilibrium with the average shear strength of Barksdale & Bachus (1983), derived here",
    evidence="derived",
)
STAGE = Source("geometry of the slopes of a stage", evidence="derived")
PARTS = Source("horizontal equilibrium of the fill between ground and reinforcement, derived here", evidence="derived")
UNHELD = Source("horizontal equilibrium of side slope and reinforcement, derived here", evidence="derived")
PERMANENT = Source(
    "project rule: the ground is driven out by permanent load, so the shear that holds it back has its factor",
    evidence="derived",
)
RESISTANCE = Source("EN 1997-1:2004, 2.4.7.3.3 and Table A.5, values as in Table A.13", evidence="confirmed")
EXTENT = Source("BS 8006-1:2010, extent of the columns", evidence="not inspected")


@formula("H_G", source=HEIGHT)
def height_above_ground(H, z_P, z_g, z_R):
    """Height of fill and platform above the ground, or above the reinforcement where that lies lower."""
    return H + z_P - minimum(z_g, z_R)


@formula("H_th", source=MADE_UP)
def height_that_thrusts(H_G, s):
    """Height of the fill at the crest edge with the compensation fill that replaces the settlement."""
    return where(H_G > 0, H_G + s, 0)


@formula("gamma_Em", source=HEAVIER)
def heavier_unit_weight(gamma_E, gamma_P):
    """Unit weight for the thrust, the larger of fill and working platform."""
    return maximum(gamma_E, gamma_P)


@formula("gamma_El", source=LIGHTER)
def lighter_unit_weight(gamma_E, gamma_P):
    """Unit weight for what holds, the smaller of fill and working platform."""
    return minimum(gamma_E, gamma_P)


@formula("E_aG", source=THRUST)
def fill_thrust(K_a, gamma_E, H):
    """Active thrust of the fill at the crest edge, per length of embankment."""
    return 0.5 * K_a * gamma_E * H**2


@formula("E_aQ", source=THRUST)
def traffic_thrust(K_a, q, H):
    """Active thrust from the traffic load at the crest edge, per length of embankment."""
    return K_a * q * H


@formula("E_ad", source=FACTORED)
def design_thrust(gamma_G, E_aG, gamma_Q, E_aQ):
    """Design value of the active thrust at the crest edge."""
    return gamma_G * E_aG + gamma_Q * E_aQ


@formula("E_g", source=CONTACT)
def ground_thrust_share(E_ad, alpha_g, c_u0, L_S, gamma_Rh):
    """Thrust carried by the soft ground, which drives it outward at its top: extrusion with a negative share."""
    return minimum(E_ad, alpha_g * c_u0 * L_S / gamma_Rh)


@formula("T_spr", source=LARGER)
def tension_of_larger_side(T_sprl, T_sprr):
    """Tension of the reinforcement from lateral sliding, the larger of the two sides."""
    return maximum(T_sprl, T_sprr)


@formula("T_sq", source=CONTACT)
def squeezing_tension(alpha_t, c_u0, L_S):
    """Tension of the reinforcement that holds back the soft ground at its top, none where it does not."""
    return maximum(alpha_t, 0) * c_u0 * L_S


@formula("T_sqd", source=PERMANENT)
def design_squeezing_tension(gamma_G, f_G, T_sq):
    """Design value of the tension that holds back the soft ground, factored like the weight that drives it."""
    return gamma_G * f_G * T_sq


@formula("W_S", source=SLOPE)
def slope_weight(gamma_E, n_S, H):
    """Weight of the side slope, per length of embankment."""
    return 0.5 * gamma_E * n_S * H**2


@formula("R_h", source=SLIDING)
def sliding_resistance(alpha_i, W_S, phi):
    """Resistance of the side slope to sliding on the reinforcement."""
    return alpha_i * W_S * tan(phi)


@formula("H_tM", source=MADE_UP)
def height_with_compensation_fill(H_q, p_M, gamma_E):
    """Height of fill that thrusts, with the compensation fill as fill of its unit weight."""
    return H_q + p_M / gamma_E


@formula("b_gs", source=STAGE)
def field_width_of_stage(b_g, n_S, H_G, H_GF):
    """Width of the column field beyond the crest edge of the stage, whose toe stays where the final slope has it."""
    return maximum(b_g - n_S * (H_GF - H_G), 0)


@formula("E_ab", source=PARTS)
def thrust_below_reinforcement(E_ad, E_aR):
    """Part of the thrust that acts below the lowest reinforcement."""
    return E_ad - E_aR


@formula("R_ab", source=PARTS)
def resistance_below_reinforcement(R_hd, R_hgd):
    """Friction on the underside of the reinforcement and shear at the top of the ground, for the fill between them."""
    return R_hd + R_hgd


@formula("R_hg", source=BELOW)
def ground_resistance_to_sliding(a_E, c_u0, L_S):
    """Shear resistance of the soil at the top of the ground below the side slope; a column cut at its head has none."""
    return (1 - a_E) * c_u0 * L_S


@formula("T_hs", source=UNHELD)
def thrust_not_held_below(E_ad, R_hgd):
    """Thrust that the ground below the reinforcement does not hold against sliding, left to the reinforcement."""
    return maximum(E_ad - R_hgd, 0)


@formula("R_hd", source=RESISTANCE)
def design_sliding_resistance(R_h, gamma_Rh):
    """Design resistance of the side slope to sliding."""
    return R_h / gamma_Rh


@formula("phi_sg", source=NEEDED)
def required_sliding_friction(gamma_Rh, E_ad, W_S):
    """Friction angle between fill and reinforcement at which the side slope would just slide."""
    return arctan(gamma_Rh * E_ad / W_S)


@formula("phi_sa", source=NEEDED)
def sliding_friction(alpha_i, phi):
    """Friction angle between fill and reinforcement that is there."""
    return arctan(alpha_i * tan(phi))


@formula("L_p", source=EXTENT)
def distance_without_columns(H, n_S, phi):
    """Distance from the toe of the slope to the outermost column that vertical load requires."""
    return H * maximum(n_S - tan(pi / 4 - phi / 2), 0)
