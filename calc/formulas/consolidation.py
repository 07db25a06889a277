"""Drainage of the soft ground by the columns and degrees of consolidation; load transfer; secondary compression.

The average degree of vertical flow is a series and stands in :mod:`calc.procedures.consolidation_series`.
"""

from numpy import exp, log, log10, maximum

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("F_id", "F_{d,0}", "-", 4, "drainage factor without smear and well resistance")
_("F_un", "F_{d,1}", "-", 4, "drain spacing term of the drainage factor, with smear")
_("F_zo", "F_{d,2}", "-", 4, "undisturbed ring term of the drainage factor")
_("F_sd", "F_{d,3}", "-", 4, "smear term of the drainage factor")
_("f_ch", "f_{c,h}", "-", 2, "factor on cₕ of the scenario")
_("T_h", "T_h", "-", 4, "time factor of horizontal flow, with the diameter of the cell")
_("U_h", "U_h", "-", 1, "degree of consolidation by horizontal flow", shown="%")
_("n_dr", "n_{dr}", "-", 0, "number of drained faces of the soft ground")
_("H_dr", "H_d", "m", 2, "drainage path length of vertical flow")
_("U_v", "U_v", "-", 1, "degree of consolidation by vertical flow", shown="%")
_("w_h", "ω_h", "1/day", -4, "rate of consolidation by horizontal flow")
_("t_h90", "t_{h,90}", "day", 1, "time of 90 % by horizontal flow, one rate")
_("t_hm90", "t_{h,90,m}", "day", 1, "time of 90 % by horizontal flow, several exponentials")
_("t_hm", "t_{h,m}", "day", 2, "mean time of horizontal flow: its share left, integrated over time")
_("n_mod", "n_{mod}", "-", 2, "stress ratio of column and soil at equal vertical strain alone")
_("c_hm", "c′_{h,s}", "m^2/day", -4, "coefficient for horizontal flow with load transfer")
_("U_zc", "U_{z,0}", "-", 1, "degree of consolidation at this depth, 0 before the first step", shown="%")
_("Dc_uz", "Δc_{u,z}", "kPa", 2, "gain of undrained strength of the sublayer")
_("sigma_pO", "σ′_{p,OCR}", "kPa", 2, "preconsolidation pressure by the overconsolidation ratio")
_("c_uh", "c_{u,h}", "kPa", 2, "undrained strength by stress history before construction")
_("Dc_un", "Δc_{u,n}", "kPa", 2, "gain of undrained strength of the sublayer with the stress ratio for stability")
_("Dc_us", "Δc_{u,s}", "kPa", 2, "gain of undrained strength with the stress ratio for stability, least of all")
_("Dc_uc", "Δc_{u,c}", "kPa", 2, "gain of undrained strength computed for the start of the stage, least of all")
_("C_ae", "C_{α,e}", "-", 4, "secondary compression as void ratio per log cycle of time")
_("c_vk", "c_{v,k}", "m^2/day", -5, "coefficient of vertical flow from permeability and stiffness")
_("r_cv", "ρ_{cv}", "-", 2, "coefficient of vertical flow given over that from permeability and stiffness")

GEOMETRY = Source("geometry of the unit cell and of the drained faces", evidence="derived")
MANUAL = Source("Port Works Design Manual Part 3 (2002), Hong Kong, App. B", evidence="inspected")
HANSBO = Source("Hansbo (1981), Proc. 10th ICSMFE Stockholm 3, 677–682", evidence="not inspected")
CARRILLO = Source("Carrillo (1942); Port Works Design Manual Part 3 (2002), Hong Kong, App. D2", evidence="inspected")
RATE = Source("time factor over time", evidence="derived")
HAN_YE = Source(
    "Han & Ye (2001), J. Geotech. Geoenviron. Eng. 127(7), 597–603, printed form; factor derived here for strain in "
    "vertical direction alone",
    evidence="not inspected",
)
MODULI = Source("elasticity without lateral strain", evidence="derived")
UFC = Source("UFC 3-220-10N (2005), Settlement, secondary compression", evidence="inspected")
VOIDS = Source("strain of a soil by its change of void ratio", evidence="derived")

STORAGE = Source("Terzaghi: flow by Darcy into a soil of constant modulus", evidence="derived")


@formula("n_d", source=GEOMETRY)
def diameter_ratio(d_e, d_c):
    """Diameter of the unit cell over that of the column."""
    return d_e / d_c


@formula("F_id", source=MANUAL, clause="B3")
def ideal_drainage_factor(n_d):
    """Drainage factor of a column without smear and well resistance, for every diameter ratio."""
    return n_d**2 / (n_d**2 - 1) * log(n_d) - (3 * n_d**2 - 1) / (4 * n_d**2)


@formula("F_un", source=HANSBO)
def logarithmic_part(n_d, s_sm, r_ks):
    """Drain spacing term of the drainage factor, undisturbed and smeared ring."""
    return n_d**2 / (n_d**2 - 1) * (log(n_d / s_sm) + r_ks * log(s_sm) - 0.75)


@formula("F_zo", source=HANSBO)
def undisturbed_part(n_d, s_sm):
    """Undisturbed ring term of the drainage factor."""
    return s_sm**2 / (n_d**2 - 1) * (1 - s_sm**2 / (4 * n_d**2))


@formula("F_sd", source=HANSBO)
def smeared_part(n_d, s_sm, r_ks):
    """Smear term of the drainage factor."""
    return r_ks / (n_d**2 - 1) * ((s_sm**4 - 1) / (4 * n_d**2) - s_sm**2 + 1)


@formula("F_dr", source=HANSBO)
def drainage_factor(F_un, F_zo, F_sd, mu_wr):
    """Drainage factor with smear and well resistance, complete form."""
    return F_un + F_zo + F_sd + mu_wr


@formula("T_h", source=MANUAL)
def horizontal_time_factor(c_hs, t, d_e):
    """Time factor of horizontal flow."""
    return c_hs * t / d_e**2


@formula("U_h", source=MANUAL)
def horizontal_degree(T_h, F_dr):
    """Average degree of consolidation by horizontal flow at equal settlement."""
    return 1 - exp(-8 * T_h / F_dr)


@formula("H_dr", source=GEOMETRY)
def vertical_path(t_soft, n_dr):
    """Drainage path length of vertical flow."""
    return t_soft / n_dr


@formula("T_v", source=MANUAL)
def vertical_time_factor(c_vs, t, H_dr):
    """Time factor of vertical flow."""
    return c_vs * t / H_dr**2


@formula("U_t", source=CARRILLO)
def combined_degree(U_v, U_h):
    """Degree of consolidation by vertical and horizontal flow together, under one load of one age."""
    return 1 - (1 - U_v) * (1 - U_h)


@formula("w_h", source=RATE)
def horizontal_rate(c_hs, d_e, F_dr):
    """Rate at which the excess pore pressure dissipates by horizontal flow."""
    return 8 * c_hs / (d_e**2 * F_dr)


@formula("t_h90", source=RATE)
def time_of_ninety_percent(w_h):
    """Time at which horizontal flow alone has brought 90 % under instantaneous loading, by one rate."""
    return log(10) / w_h


@formula("n_mod", source=MODULI)
def modulus_ratio(lambda_c, G_c, E_oed):
    """Stress ratio of column and soil at equal vertical strain without radial expansion."""
    return (lambda_c + 2 * G_c) / E_oed


@formula("f_tr", source=HAN_YE)
def transfer_factor(n, n_d):
    """Factor on the coefficients of consolidation where stiff columns take over load from the soil."""
    return 1 + n / (n_d**2 - 1)


@formula("c_hm", source=HAN_YE)
def modified_coefficient(f_tr, c_hs):
    """Coefficient of consolidation with load transfer; the one for vertical flow has the same form."""
    return f_tr * c_hs


@formula("C_aeps", source=VOIDS)
def secondary_strain_coefficient(C_ae, e_0):
    """Secondary compression as strain from that as void ratio."""
    return C_ae / (1 + e_0)


@formula("s_sec", source=UFC)
def secondary_settlement(C_aeps, h, t_L, t_p):
    """Settlement of a layer by secondary compression; none before the end of primary consolidation."""
    return C_aeps * h * log10(maximum(t_L / t_p, 1))


@formula("c_vk", source=STORAGE)
def coefficient_by_permeability(k_vs, E_oed, gamma_w):
    """Coefficient of vertical flow from permeability and stiffness, for comparison with the one given."""
    return k_vs * E_oed / gamma_w


@formula("r_cv", source=STORAGE)
def ratio_of_coefficients(c_vs, c_vk):
    """The coefficient given over that from permeability and stiffness."""
    return c_vs / c_vk
