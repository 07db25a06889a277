"""Results of tests in the ground: field vane, cone penetration test, oedometer."""

from numpy import exp, log, log10

from calc.engine.formula import Source, formula, over_readings
from calc.engine.symbols import declare as _

_("c_fv", "c_{fv}", "kPa", 2, "strength measured by the field vane")
_("I_P", "I_P", "-", 1, "plasticity index of the soil tested", shown="%")
_("w_L", "w_L", "-", 1, "liquid limit of the soil tested", shown="%")
_("mu_v", "μ_v", "-", 4, "correction of the field vane")
_("c_ui", "c_{u,i}", "kPa", 2, "undrained shear strength of a reading, corrected")
_("q_cc", "q_{cpt}", "kPa", 1, "measured cone resistance")
_("u_2", "u_2", "kPa", 1, "pore pressure measured behind the cone")
_("a_n", "a_n", "-", 3, "net area ratio of the cone")
_("q_t", "q_t", "kPa", 1, "corrected cone resistance")
_("sigma_vi", "σ_{v,i}", "kPa", 2, "total vertical stress before construction at the depth of a reading")
_("q_net", "q_{net}", "kPa", 1, "net cone resistance")
_("u_0i", "u_{0,i}", "kPa", 2, "pore pressure before the test at the depth of a reading")
_("B_q", "B_q", "-", 4, "pore pressure ratio of the cone")
_("N_kt", "N_{kt}", "-", 1, "cone factor of the net cone resistance")
_("N_du", "N_{Δu}", "-", 1, "cone factor of the excess pore pressure")
_("c_uDu", "c_{u,Δu}", "kPa", 2, "undrained shear strength from the excess pore pressure, for comparison")
_("k_pq", "k_{σ}", "-", 3, "ratio of the preconsolidation pressure to the net cone resistance")
_("sigma_pi", "σ′_{p,i}", "kPa", 2, "preconsolidation pressure of a reading")
_("sigma_1", "σ′_1", "kPa", 2, "effective stress at the start of the increment")
_("sigma_2", "σ′_2", "kPa", 2, "effective stress at the end of the increment")
_("eps_1", "ε_1", "-", 3, "vertical strain at the start of the increment", shown="%")
_("eps_2", "ε_2", "-", 3, "vertical strain at the end of the increment", shown="%")
_("e_t0", "e_{0,t}", "-", 4, "void ratio of the specimen before loading")
_("e_1", "e_1", "-", 4, "void ratio at the start of the increment")
_("e_2", "e_2", "-", 4, "void ratio at the end of the increment")
_("m_v", "m_v", "1/kPa", 6, "coefficient of volume compressibility of the increment, by the height at its start")
_("E_Di", "E_Δ", "kPa", 2, "oedometer modulus of the increment")
_("p_Di", "p^*_Δ", "kPa", 3, "logarithmic mean stress of the increment")
_("x_Di", "x_Δ", "-", 5, "logarithm of the mean stress of the increment over the reference stress")
_("y_Di", "y_Δ", "-", 5, "logarithm of the modulus of the increment over the reference stress")
_("x_Dm", "x_{Δ,m}", "-", 5, "mean logarithm of the mean stresses")
_("y_Dm", "y_{Δ,m}", "-", 5, "mean logarithm of the moduli")
_("n_inc", "n_{inc}", "-", 0, "number of increments above the preconsolidation pressure")
_("m_fit", "m_{fit}", "-", 4, "exponent of the stress dependence by the test")
_("E_fit", "E_{fit}", "kPa", 2, "oedometer modulus at the reference stress by the test")

BJERRUM = Source(
    "fit of later authors to the curve of Bjerrum (1972), ASCE Conf. on Earth and Earth-Supported Structures, vol. 2, "
    "1–54; the curve itself was not read",
    evidence="not inspected",
)
LARSSON = Source(
    "Larsson, Bergdahl & Eriksson (1984), Swedish Geotechnical Institute; curve printed in EN 1997-2:2007, Annex I",
    evidence="not inspected",
)
ANNEX_I = Source("EN 1997-2:2007, Annex I", evidence="inspected")
PIEZOCONE = Source("Lunne, Robertson & Powell (1997), Cone Penetration Testing in Geotechnical Practice",
                   evidence="not inspected")  # fmt: skip
OHDE = Source("Ohde (1939); Janbu (1963), oedometer modulus as a power of stress", evidence="not inspected")
VOLUME = Source("change of height by the void ratio where the solids keep their volume", evidence="derived")
COMPRESSIBILITY = Source(
    "definition of m_v as change of height by the height at the start of the increment, over the stress increment",
    evidence="derived",
)
FIT = Source("least squares on logarithms over the logarithmic mean stress", evidence="derived")


@formula("mu_v", source=BJERRUM)
def vane_correction_by_plasticity(I_P):
    """Correction of the field vane by the plasticity index in per cent."""
    return 1.7 - 0.54 * log10(100 * I_P)


@formula("mu_v", source=LARSSON)
def vane_correction_by_liquid_limit(w_L):
    """Correction of the field vane by the liquid limit."""
    return (0.43 / w_L) ** 0.45


@formula("c_ui", source=ANNEX_I, clause="I.1")
def corrected_vane_strength(mu_v, c_fv):
    """Undrained shear strength of a vane reading, corrected before any statistics."""
    return mu_v * c_fv


@formula("q_t", source=PIEZOCONE)
def corrected_cone_resistance(q_cc, u_2, a_n):
    """Cone resistance corrected for the pore pressure behind the cone."""
    return q_cc + u_2 * (1 - a_n)


@formula("q_net", source=PIEZOCONE)
def net_cone_resistance(q_t, sigma_vi):
    """Cone resistance above the total vertical stress."""
    return q_t - sigma_vi


@formula("B_q", source=PIEZOCONE)
def pore_pressure_ratio(u_2, u_0i, q_net):
    """Excess pore pressure over the net cone resistance."""
    return (u_2 - u_0i) / q_net


@formula("c_ui", source=PIEZOCONE)
def strength_by_cone(q_net, N_kt):
    """Undrained shear strength of a cone reading, referred to the test that N_kt was calibrated on."""
    return q_net / N_kt


@formula("c_uDu", source=PIEZOCONE)
def strength_by_excess_pressure(u_2, u_0i, N_du):
    """Undrained shear strength of a cone reading from its excess pore pressure, for comparison."""
    return (u_2 - u_0i) / N_du


@formula("sigma_pi", source=PIEZOCONE)
def preconsolidation_by_cone(k_pq, q_net):
    """Preconsolidation pressure of a cone reading."""
    return k_pq * q_net


@formula("E_Di", source=OHDE)
def modulus_of_increment(sigma_1, sigma_2, eps_1, eps_2):
    """Oedometer modulus of a load increment."""
    return (sigma_2 - sigma_1) / (eps_2 - eps_1)


@formula("eps_2", source=VOLUME)
def strain_by_void_ratio(e_t0, e_2):
    """Vertical strain of an oedometer specimen by its void ratio, related to the height before loading."""
    return (e_t0 - e_2) / (1 + e_t0)


@formula("E_Di", source=COMPRESSIBILITY)
def modulus_by_compressibility(m_v):
    """Oedometer modulus of a load increment by its reported coefficient of volume compressibility."""
    return 1 / m_v


@formula("p_Di", source=OHDE)
def mean_stress_of_increment(sigma_1, sigma_2):
    """Logarithmic mean stress of a load increment, the same mean that the modulus is used with."""
    return (sigma_2 - sigma_1) / log(sigma_2 / sigma_1)


@formula("x_Di", source=FIT)
def logarithm_of_mean_stress(p_Di, p_ref):
    """Logarithm of the mean stress over the reference stress."""
    return log(p_Di / p_ref)


@formula("y_Di", source=FIT)
def logarithm_of_modulus(E_Di, p_ref):
    """Logarithm of the modulus over the reference stress."""
    return log(E_Di / p_ref)


@formula("x_Dm", source=FIT)
def mean_logarithm_of_stress(x_Di, n_inc):
    """Mean of the logarithms of the mean stresses."""
    return over_readings(x_Di) / n_inc


@formula("y_Dm", source=FIT)
def mean_logarithm_of_modulus(y_Di, n_inc):
    """Mean of the logarithms of the moduli."""
    return over_readings(y_Di) / n_inc


@formula("m_fit", source=FIT)
def fitted_exponent(x_Di, x_Dm, y_Di, y_Dm):
    """Exponent of the stress dependence: slope of the straight line by least squares."""
    return over_readings((x_Di - x_Dm) * (y_Di - y_Dm)) / over_readings((x_Di - x_Dm) ** 2)


@formula("E_fit", source=FIT)
def fitted_modulus(p_ref, y_Dm, m_fit, x_Dm):
    """Oedometer modulus at the reference stress on the straight line."""
    return p_ref * exp(y_Dm - m_fit * x_Dm)
