"""Pseudo-static earthquake: seismic coefficients, loss of undrained strength, thrust and inertia that come of them."""

from numpy import arctan, cos, maximum, sin, sqrt, tan

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("i_E", "i_E", "-", 0, "the earthquake acts in this stage (1) or not (0)")
_("a_gE", "α_E", "-", 3, "design ground acceleration over gravity, ground type A")
_("S_gr", "S", "-", 3, "soil factor, topography included")
_("r_h", "r_h", "-", 3, "horizontal seismic coefficient over the peak acceleration")
_("r_v", "r_v", "-", 3, "vertical seismic coefficient over the horizontal one")
_("k_h", "k_h", "-", 5, "horizontal seismic coefficient")
_("k_v", "k_{v,E}", "-", 5, "vertical seismic coefficient, in both directions")
_("f_vu", "f_{v,up}", "-", 5, "factor on weights with the inertia upward")
_("f_vd", "f_{v,down}", "-", 5, "factor on weights with the inertia downward")
_("delta_E", "δ_E", "-", 2, "undrained strength left under cyclic loading")
_("delta_cu", "δ_{cu}", "-", 2, "undrained strength that counts in this stage over the static one")
_("gamma_cus", "γ_{cu,0}", "-", 2, "partial factor on the undrained shear strength, without its cyclic loss")
_("theta_u", "θ_{up}", "rad", 3, "slope of the inertia with the weight, upward", shown="deg")
_("theta_d", "θ_{down}", "rad", 3, "slope of the inertia with the weight, downward", shown="deg")
_("K_Eu", "K_{E,up}", "-", 5, "coefficient of active earth pressure with the earthquake, upward")
_("K_Ed", "K_{E,down}", "-", 5, "coefficient of active earth pressure with the earthquake, downward")
_("gamma_EK", "γ_{E,E}", "kN/m^3", 2, "unit weight of the fill that the earthquake moves, the largest")
_("W_SE", "W_{S,E}", "kN/m", 2, "weight of the side slope that the earthquake moves")
_("H_SE", "H_{S,E}", "kN/m", 2, "inertia of the side slope")
_("E_adE", "E_{a,E,d}", "kN/m", 2, "design thrust with the inertia of the side slope")
_("W_SdE", "W_{S,E,d}", "kN/m", 2, "least vertical force of the side slope on its base")
_("gamma_EfE", "γ_{E,E,fav}", "kN/m^3", 2, "favourable unit weight of the fill with the inertia upward")
_("gamma_EuE", "γ_{E,E,u}", "kN/m^3", 2, "favourable unit weight over the wrap-back with the inertia upward")
_("gamma_sx", "γ_{s,max}", "kN/m^3", 2, "largest saturated unit weight of the soft layers")
_("gamma_bl", "γ_{bl}", "kN/m^3", 2, "unit weight of the wedge with its columns")
_("p_kh", "p_{E,h}", "kPa", 2, "inertia of the wedge as pressure at its inner end")
_("p_sEk", "p_{s,E,k}", "kPa", 2, "pressure that drives the wedge, with its inertia")
_("p_xk", "p_{x,k}", "kPa", 2, "pressure that drives the wedge beyond the columns, with its inertia")
_("k_vF", "k_{v,F}", "-", 5, "vertical seismic coefficient of the least factor, upward positive")

PSEUDO_STATIC = Source("EN 1998-5:2004, 4.1.3.3", evidence="not inspected")
STATICS = Source("vertical equilibrium of an accelerated mass, derived here", evidence="derived")
CYCLIC = Source("project rule: cyclic loss of strength as a larger divisor of the strength", evidence="derived")
THRUST = Source(
    "Okabe (1926) and Mononobe & Matsuo (1929), as in EN 1998-5:2004, Annex E: smooth vertical plane, level surface",
    evidence="not inspected",
)
RISING = Source(
    "largest thrust of plane wedges with their inertia, ground rising behind a plane without friction, as Okabe (1926) "
    "and Mononobe & Matsuo (1929); derived here",
    evidence="derived",
)
BOTH = Source("project rule: the worse of both vertical directions", evidence="derived")
INERTIA = Source(
    "horizontal equilibrium of the side slope, derived here; project rule: the largest unit weight moves, the smallest "
    "with the inertia upward holds",
    evidence="derived",
)
WEDGE = Source("horizontal equilibrium of the wedge, derived here", evidence="derived")
MIXED = Source("mean over the areas of soil and column, the heaviest soft layer throughout", evidence="derived")
FACE = Source("equilibrium of a dry infinite slope under inertia, derived here", evidence="derived")


@formula("k_h", source=PSEUDO_STATIC)
def horizontal_coefficient(i_E, r_h, a_gE, S_gr):
    """Horizontal seismic coefficient of the stage."""
    return i_E * r_h * a_gE * S_gr


@formula("k_v", source=PSEUDO_STATIC)
def vertical_coefficient(r_v, k_h):
    """Vertical seismic coefficient of the stage."""
    return r_v * k_h


@formula("f_vu", source=STATICS)
def weight_factor_upward(k_v):
    """Factor on weights with the inertia upward."""
    return 1 - k_v


@formula("f_vd", source=STATICS)
def weight_factor_downward(k_v):
    """Factor on weights with the inertia downward."""
    return 1 + k_v


@formula("delta_cu", source=CYCLIC)
def strength_left_in_stage(i_E, delta_E):
    """Undrained strength that counts in the stage over the static one."""
    return 1 - i_E * (1 - delta_E)


@formula("gamma_cu", source=CYCLIC)
def strength_divisor_under_shaking(gamma_cus, delta_cu):
    """Partial factor on the undrained shear strength with its cyclic loss."""
    return gamma_cus / delta_cu


@formula("theta_u", source=THRUST)
def slope_of_inertia(k_h, f_vu):
    """Slope of the resultant of weight and inertia to the vertical."""
    return arctan(k_h / f_vu)


@formula("K_Eu", source=THRUST)
def active_coefficient_under_shaking(phi, theta_u):
    """Coefficient of active earth pressure under horizontal and vertical inertia."""
    return cos(phi - theta_u) ** 2 / (cos(theta_u) ** 2 * (1 + sqrt(sin(phi) * sin(phi - theta_u) / cos(theta_u))) ** 2)


@formula("K_Eu", source=RISING)
def active_coefficient_below_rising_ground_under_shaking(phi, theta_u, beta_C):
    """Coefficient of active earth pressure under horizontal and vertical inertia, the ground rising from the plane."""
    return cos(phi - theta_u) ** 2 / (
        cos(theta_u) ** 2 * (1 + sqrt(sin(phi) * sin(phi - theta_u - beta_C) / (cos(theta_u) * cos(beta_C)))) ** 2
    )


@formula("K_a", source=BOTH)
def worse_active_coefficient(f_vu, K_Eu, f_vd, K_Ed):
    """Active thrust over the static weight behind it."""
    return maximum(f_vu * K_Eu, f_vd * K_Ed)


@formula("H_SE", source=INERTIA)
def inertia_of_slope(k_h, W_SE):
    """Inertia of the side slope."""
    return k_h * W_SE


@formula("E_adE", source=INERTIA)
def thrust_with_inertia(E_ad, H_SE):
    """Design thrust with the inertia of the side slope."""
    return E_ad + H_SE


@formula("W_SdE", source=INERTIA)
def slope_weight_under_shaking(f_vu, W_Sd):
    """Favourable weight of the side slope with the inertia upward."""
    return f_vu * W_Sd


@formula("gamma_EfE", source=STATICS)
def favourable_weight_under_shaking(f_vu, gamma_Ef):
    """Favourable unit weight of the fill with the inertia upward."""
    return f_vu * gamma_Ef


@formula("gamma_bl", source=MIXED)
def unit_weight_of_wedge(a_E, gamma_sx, gamma_cr):
    """Unit weight of the wedge with its columns."""
    return (1 - a_E) * gamma_sx + a_E * gamma_cr


@formula("p_kh", source=WEDGE)
def inertia_of_wedge(k_h, gamma_bl, L_S):
    """Inertia of the wedge over its length as pressure at its inner end."""
    return k_h * gamma_bl * L_S


@formula("p_sEk", source=WEDGE)
def driving_pressure_with_inertia(f_vd, p_sE, p_kh):
    """Pressure that drives the wedge, of weights with the inertia downward, and the inertia of the wedge outward.

    The shear of the columns is that at rest. With the inertia downward it is greater; with the inertia upward the
    wedge is not nearer to failure while p_kh is at most (1 - k_v) times p_sE, whatever share of the resistance is
    the shear of the columns.
    """
    return f_vd * p_sE + p_kh


@formula("F_fs", source=FACE)
def face_safety_under_shaking(n_S, phi, f_vu, k_h):
    """Over-design factor against shallow slip, dry slope without cohesion, infinite slope, inertia upward and outward.

    The inertia downward gives a larger factor.
    """
    return tan(phi) * (f_vu * n_S - k_h) / (f_vu + k_h * n_S)
