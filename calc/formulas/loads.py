"""Vertical load on the unit cell."""

from numpy import arctan, maximum, minimum, tan

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("i_P", "i_P", "-", 0, "the working platform loads the cell in this stage (1) or not (0)")
_("f_H", "f_H", "-", 2, "share of the fill height at this position")
_("H_w", "H_w", "m", 3, "height of fill standing in water")
_("gamma_Esub", "γ′_E", "kN/m^3", 2, "buoyant unit weight of the embankment fill")
_("s_ML", "s_{M,long}", "m", 4, "settlement replaced by compensation fill, long-term stiffness", shown="m")
_("s_MS", "s_{M,short}", "m", 4, "settlement replaced by compensation fill, short-term stiffness", shown="m")
_("Dp_M", "Δp_M", "kPa", 2, "additional compensation fill with the long-term instead of the short-term stiffness")
_("s_M", "s_M", "m", 4, "settlement replaced by compensation fill", shown="m")
_("Dsigma_G", "Δσ_G", "kPa", 3, "vertical stress increment from permanent load before compensation fill")
_("z_w", "z_w", "m", 3, "level of the water in this stage")
_("f_M", "f_M", "-", 0, "compensation fill at this position (1) or none (0)")
_("s_dM", "Δs_M", "m", 1, "settlement still to be filled up", shown="mm")

STATICS = Source("weight of the fill, buoyant below the water level", evidence="derived")
MAKE_UP = Source("project rule: compensation fill keeps the design level", evidence="derived")
FACTORED_LOADS = Source(
    "project rule: where a set applies partial factors to actions, EN 1997-1:2004, 2.4.7.3", evidence="derived"
)
FACTORED = Source("EN 1997-1:2004, 2.4.6.2 and Table A.4, factor on the tangent", evidence="inspected")


@formula("phi_c", source=FACTORED)
def factored_friction_angle(phi_ck, gamma_phi):
    """Friction angle of the column fill with the partial factor on its tangent."""
    return arctan(tan(phi_ck) / gamma_phi)


@formula("H_w", source=STATICS)
def fill_height_in_water(d_w, t_P, f_H, H):
    """Height of fill, which starts on the platform, below a water level that stands above it."""
    return minimum(maximum(-d_w - t_P, 0), f_H * H)


@formula("Dsigma_G", source=STATICS)
def permanent_load(gamma_E, f_H, H, H_w, gamma_Esub, p_P, p_W):
    """Vertical stress increment from fill here, platform and fall of the water, before compensation fill."""
    return gamma_E * (f_H * H - H_w) + gamma_Esub * H_w + p_P + p_W


@formula("Dsigma_G", source=STATICS)
def permanent_load_with_zones(gamma_E, f_H, H, H_w, gamma_Esub, p_Zx, p_P, p_W):
    """Vertical stress increment from fill with its zones, platform and fall of the water, before compensation fill."""
    return gamma_E * (f_H * H - H_w) + gamma_Esub * H_w + p_Zx + p_P + p_W


@formula("p_M", source=MAKE_UP)
def makeup_pressure(gamma_E, s_M, d_w, gamma_Esub):
    """Pressure of the compensation fill, buoyant where it reaches below the water level."""
    return gamma_E * minimum(s_M, maximum(d_w, 0)) + gamma_Esub * maximum(s_M - maximum(d_w, 0), 0)


@formula("Dp_M", source=MAKE_UP)
def more_compensation_fill(gamma_E, s_ML, s_MS):
    """Pressure of the additional compensation fill with the long-term instead of the short-term stiffness."""
    return gamma_E * (s_ML - s_MS)


@formula("Dsigma_0", source=FACTORED_LOADS)
def added_stress(f_G, Dsigma_G, p_M, f_q, q):
    """Vertical stress increment on the unit cell."""
    return f_G * (Dsigma_G + p_M) + f_q * q


@formula("p_P", source=STATICS)
def platform_load(i_P, gamma_P, t_P):
    """Pressure of the working platform in this stage."""
    return i_P * gamma_P * t_P


@formula("f_q", source=FACTORED_LOADS)
def traffic_factor(gamma_QS, i_Q):
    """Factor on the traffic load in this load case."""
    return gamma_QS * i_Q


@formula("d_w", source=STATICS)
def water_depth(z_g, z_w):
    """Depth of the water level below the ground level, negative where it stands above."""
    return z_g - z_w


@formula("p_P", source=STATICS)
def platform_pressure(gamma_P, t_P):
    """Pressure of the working platform."""
    return gamma_P * t_P


@formula("s_dM", source=MAKE_UP)
def makeup_gap(f_M, s, s_M):
    """Settlement still to be filled up, zero at the solution."""
    return f_M * s - s_M
