"""Arching as concentric hemispheres over four column heads and concentric arches between two.

Written with radii over the height of the arches, so that no power has a dimension, and with the growth ``g`` in which
the terms that are unbounded at a coefficient of passive earth pressure of 1.5 (hemispheres) or 2 (arches) are one
finite term. At the base the arches press with their tangential stress, which is K_p times the radial one: with it the
load on the base balances the pressure on the outermost arch.
"""

from numpy import absolute, log, minimum, sqrt, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("H_g3", "H_{g,3}", "m", 4, "height of the hemispheres")
_("x_3", "x_3", "-", 5, "half clear span over the height of the hemispheres")
_("I_K", "I_K", "-", 5, "integral of the stress over one eighth of the square, normalised")
_("m_K", "m_K", "-", 5, "mean of the power of the radius over the square")
_("m_x", "m_x", "-", 5, "mean of the radius over the square, normalised")
_("g_3", "g_3", "-", 5, "increase of the stress by the weight of the hemispheres")
_("sigma_sq", "σ_{sq}", "kPa", 3, "mean pressure of the hemispheres on the square between four column heads")
_("F_sqr", "F_{sqr}", "kN", 3, "load of the hemispheres on the square between four column heads")
_("p_tr", "p_{tr}", "kPa", 3, "pressure passed on by the hemispheres to the strips")
_("H_g2", "H_{g,2}", "m", 4, "height of the arches between two column heads")
_("x_2", "x_2", "-", 5, "half clear span over the height of the arches")
_("g_2", "g_2", "-", 5, "increase of the stress by the weight of the arches")
_("sigma_str", "σ_{str}", "kPa", 3, "mean pressure of the arches on the strip between two column heads")
_("F_str", "F_{str}", "kN", 3, "load of the arches on the strip between two column heads")
_("f_p", "f_p", "-", 4, "factor for the surface load, which arches like the fill")

CONCENTRIC = Source("Van Eekelen et al. (2013), Geotext. Geomembr. 39, 78–102", evidence="not inspected")
INTEGRATED = Source(f"stress field of {CONCENTRIC.citation}, integrated over the square", evidence="derived")
REGROUPED = Source(f"{CONCENTRIC.citation}, regrouped", evidence="not inspected")
STATICS = Source("vertical equilibrium of the cell", evidence="derived")


@formula("H_g3", source=CONCENTRIC)
def hemisphere_height(H, s_d):
    """Height of the largest hemisphere."""
    return minimum(H, s_d / 2)


@formula("x_3", source=INTEGRATED)
def hemisphere_span_ratio(L_m, H_g3):
    """Half clear span over the height of the hemispheres."""
    return L_m / (2 * H_g3)


@formula("m_K", source=INTEGRATED)
def square_mean_of_power(x_3, K_p, I_K):
    """Mean over the square of the radius to the power of the stress field."""
    return x_3 ** (2 * K_p - 2) * I_K / K_p


@formula("m_x", source=INTEGRATED)
def square_mean_of_radius(x_3):
    """Mean over the square of the radius."""
    return x_3 * (sqrt(2) + log(1 + sqrt(2))) / 3


@formula("g_3", source=INTEGRATED, clause="0.1895498: mean of ln(half span / r) over the square, weighted with r")
def hemisphere_growth(K_p, m_x, m_K, x_3):
    """Increase of the mean stress by the weight of the hemispheres, with its limit where the quotient has none."""
    return where(
        absolute(K_p - 1.5) < 0.000001,
        m_x * (0.1895498 - log(x_3)),
        (m_x - m_K) / (2 * K_p - 3),
    )


@formula("sigma_sq", source=INTEGRATED)
def pressure_on_square(f_p, gamma_E, K_p, H, H_g3, m_K, g_3):
    """Mean pressure of the hemispheres on the square between four column heads."""
    return f_p * gamma_E * K_p * ((H - H_g3) * m_K + H_g3 * g_3)


@formula("F_sqr", source=INTEGRATED)
def load_on_square(sigma_sq, L_m):
    """Load of the hemispheres on the square between four column heads."""
    return sigma_sq * L_m**2


@formula("p_tr", source=CONCENTRIC)
def passed_on_pressure(sigma_E, L_m, F_sqr, a_q):
    """Pressure which the hemispheres pass on to the strips between two column heads."""
    return (sigma_E * L_m**2 - F_sqr) / (2 * L_m * a_q)


@formula("H_g2", source=CONCENTRIC)
def largest_arch_height(H, s_q):
    """Height of the largest arch between two column heads."""
    return minimum(H, s_q / 2)


@formula("x_2", source=REGROUPED)
def arch_span_ratio(L_m, H_g2):
    """Half clear span over the height of the arches."""
    return L_m / (2 * H_g2)


@formula("g_2", source=REGROUPED)
def arch_growth(K_p, x_2):
    """Increase of the mean stress by the weight of the arches, with its limit where the quotient has none."""
    return where(
        absolute(K_p - 2) < 0.000001,
        x_2 * (1 / 2 - log(x_2)),
        (K_p * x_2 / 2 - x_2 ** (K_p - 1)) / (K_p - 2),
    )


@formula("sigma_str", source=REGROUPED)
def pressure_on_strip(f_p, gamma_E, H, H_g2, p_tr, x_2, K_p, g_2):
    """Mean pressure of the arches on the strip between two column heads."""
    return (f_p * gamma_E * (H - H_g2) + p_tr) * x_2 ** (K_p - 1) + f_p * gamma_E * H_g2 * g_2


@formula("F_str", source=REGROUPED)
def load_on_strip(sigma_str, a_q, L_m):
    """Load of the arches on the strip between two column heads."""
    return sigma_str * a_q * L_m


@formula("F_head", source=STATICS)
def head_load_of_arches(F_cell, F_sqr, F_str):
    """Load on the column head, which is what square and strips do not carry."""
    return F_cell - F_sqr - 2 * F_str


@formula("sigma_sA", source=STATICS)
def mean_pressure_below_arches(F_sqr, F_str, A_s):
    """Mean pressure beside the column head from square and strips."""
    return (F_sqr + 2 * F_str) / A_s


@formula("f_p", source=CONCENTRIC)
def surface_load_factor(sigma_E, gamma_E, H):
    """Factor by which load on the surface raises the weight of the fill."""
    return sigma_E / (gamma_E * H)


@formula("H_1L", source=Source("geometry of the hemispheres over the square", evidence="derived"))
def hemispheres_height(L_m):
    """Fill height from which the hemispheres cover the square between four column heads."""
    return L_m / sqrt(2)
