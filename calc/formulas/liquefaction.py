"""Liquefaction of sand in the free field: stress ratio of the earthquake against the resistance of soundings."""

from numpy import exp, log, maximum, minimum, sin, sqrt

from calc.engine.formula import Source, formula, over_layers
from calc.engine.symbols import declare as _

_("sigma_eB", "σ′_{v,B}", "kPa", 2, "effective vertical stress at the base of the soft layers, free field")
_("sigma_ej", "σ′_{v,j}", "kPa", 2, "effective vertical stress at the reading, free field")
_("sigma_tj", "σ_{v,j}", "kPa", 2, "total vertical stress at the reading, free field")
_("l_1", "l_1", "m", 0, "unit of length of the empirical equations")
_("p_atm", "p_{atm}", "kPa", 3, "atmospheric pressure")
_("M_eq", "M_{eq}", "-", 2, "moment magnitude")
_("r_dj", "r_d", "-", 5, "stress reduction with depth")
_("CSR_rj", "CSR_r", "-", 5, "cyclic stress ratio with the stress reduction with depth")
_("CSR_0j", "CSR_0", "-", 5, "cyclic stress ratio without a reduction with depth")
_("CSR_j", "CSR", "-", 5, "cyclic stress ratio of the earthquake, the larger one")
_("N_60", "N_{60}", "-", 1, "blow count of the standard penetration test at 60 % of the energy")
_("FC_j", "FC", "-", 1, "fines content in per cent")
_("N_cs", "N_{1,60,cs}", "-", 3, "blow count for clean sand at atmospheric pressure")
_("N_cr", "N_{1,r}", "-", 3, "the same recomputed")
_("N_gap", "ΔN_r", "-", 3, "blow count for clean sand less the one recomputed")
_("DN_f", "ΔN_f", "-", 3, "increase of the blow count for fines")
_("C_Nj", "C_N", "-", 4, "factor for the overburden, blow count")
_("q_cj", "q_c", "kPa", 1, "cone resistance, corrected for pore pressure")
_("q_1N", "q_{1N}", "-", 3, "cone resistance at atmospheric pressure over that pressure")
_("q_cs", "q_{1N,cs}", "-", 3, "the same for clean sand")
_("q_cre", "q_{1N,r}", "-", 3, "the same recomputed")
_("q_gap", "Δq_r", "-", 3, "cone resistance for clean sand less the one recomputed")
_("Dq_f", "Δq_f", "-", 3, "increase of the cone resistance for fines")
_("m_qj", "m_q", "-", 4, "exponent of the overburden, cone")
_("C_qj", "C_q", "-", 4, "factor for the overburden, cone")
_("CRR_j", "CRR_{7.5}", "-", 5, "cyclic resistance ratio at magnitude 7.5 and atmospheric pressure")
_("MSF_m", "MSF_{max}", "-", 4, "largest magnitude scaling factor")
_("MSF_j", "MSF", "-", 4, "magnitude scaling factor")
_("C_sig", "C_σ", "-", 4, "coefficient of the overburden correction")
_("K_sig", "K_σ", "-", 4, "overburden correction of the cyclic resistance")
_("F_liq", "F_L", "-", 4, "factor of safety against liquefaction")
_("F_lrq", "F_{L,req}", "-", 3, "factor of safety against liquefaction required")

FREE_FIELD = Source("vertical equilibrium in the free field, water at rest", evidence="derived")
SEED = Source("Seed & Idriss (1971), J. Soil Mech. Found. Div. ASCE 97(9), 1249–1273", evidence="not inspected")
IDRISS = Source("Idriss (1999), Report TRB NCHRP 20-7, NIST, stress reduction", evidence="not inspected")
BOULANGER = Source(
    "Boulanger & Idriss (2014), Report UCD/CGM-14/01, as quoted in public source texts", evidence="not inspected"
)
EUROCODE = Source("EN 1998-5:2004, 4.1.4, down to 20 m", evidence="not inspected")
LARGER = Source("project rule: the larger stress ratio decides", evidence="derived")
SAFETY = Source("ratio of cyclic resistance to cyclic stress", evidence="derived")


@formula("sigma_eB", source=FREE_FIELD)
def free_field_stress(w):
    """Effective vertical stress at the base of the soft layers, without platform and embankment."""
    return over_layers(w)


@formula("sigma_ej", source=FREE_FIELD)
def effective_stress_at_reading(sigma_eB, gamma_br, gamma_w, z_j, t_soft):
    """Effective vertical stress at the reading in the bearing layer."""
    return sigma_eB + (gamma_br - gamma_w) * (z_j - t_soft)


@formula("sigma_tj", source=FREE_FIELD)
def total_stress_at_reading(sigma_ej, gamma_w, z_j, d_w):
    """Total vertical stress at the reading."""
    return sigma_ej + gamma_w * (z_j - d_w)


@formula("r_dj", source=IDRISS)
def stress_reduction(z_j, l_1, M_eq):
    """Stress reduction with depth; the constants of the two sines differ."""
    return exp(
        -1.012 - 1.126 * sin(z_j / (11.73 * l_1) + 5.133) + (0.106 + 0.118 * sin(z_j / (11.28 * l_1) + 5.142)) * M_eq
    )


@formula("CSR_rj", source=SEED)
def cyclic_stress_ratio_with_reduction(a_gE, S_gr, sigma_tj, sigma_ej, r_dj):
    """Cyclic stress ratio at the reading, reduced with depth."""
    return 0.65 * a_gE * S_gr * sigma_tj / sigma_ej * r_dj


@formula("CSR_0j", source=EUROCODE)
def cyclic_stress_ratio_without_reduction(a_gE, S_gr, sigma_tj, sigma_ej):
    """Cyclic stress ratio at the reading by the acceleration at the ground surface."""
    return 0.65 * a_gE * S_gr * sigma_tj / sigma_ej


@formula("CSR_j", source=LARGER)
def cyclic_stress_ratio(CSR_rj, CSR_0j):
    """Cyclic stress ratio of the earthquake at the reading."""
    return maximum(CSR_rj, CSR_0j)


@formula("C_Nj", source=BOULANGER)
def overburden_factor_of_blows(p_atm, sigma_ej, N_cs):
    """Factor for the overburden on the blow count."""
    return minimum((p_atm / sigma_ej) ** (0.784 - 0.0768 * sqrt(minimum(N_cs, 46))), 1.7)


@formula("DN_f", source=BOULANGER)
def increase_of_blows_for_fines(FC_j):
    """Increase of the blow count for fines."""
    return exp(1.63 + 9.7 / (FC_j + 0.01) - (15.7 / (FC_j + 0.01)) ** 2)


@formula("N_cr", source=BOULANGER)
def clean_sand_blows(C_Nj, N_60, DN_f):
    """Blow count for clean sand at atmospheric pressure."""
    return C_Nj * N_60 + DN_f


@formula("N_gap", source=BOULANGER)
def gap_of_blows(N_cs, N_cr):
    """Blow count for clean sand less the one recomputed, zero at the solution."""
    return N_cs - N_cr


@formula("CRR_j", source=BOULANGER, clause="blows")
def cyclic_resistance_of_blows(N_cs):
    """Cyclic resistance ratio by the blow count, deterministic curve."""
    return exp(
        minimum(N_cs, 37.5) / 14.1
        + (minimum(N_cs, 37.5) / 126) ** 2
        - (minimum(N_cs, 37.5) / 23.6) ** 3
        + (minimum(N_cs, 37.5) / 25.4) ** 4
        - 2.8
    )


@formula("MSF_m", source=BOULANGER, clause="blows")
def largest_scaling_of_blows(N_cs):
    """Largest magnitude scaling factor by the blow count."""
    return minimum(1.09 + (N_cs / 31.5) ** 2, 2.2)


@formula("C_sig", source=BOULANGER, clause="blows")
def overburden_coefficient_of_blows(N_cs):
    """Coefficient of the overburden correction by the blow count."""
    return minimum(1 / (18.9 - 2.55 * sqrt(minimum(N_cs, 37.5))), 0.3)


@formula("m_qj", source=BOULANGER)
def overburden_exponent_of_cone(q_cs):
    """Exponent of the overburden for the cone resistance."""
    return 1.338 - 0.249 * minimum(maximum(q_cs, 21), 254) ** 0.264


@formula("C_qj", source=BOULANGER)
def overburden_factor_of_cone(p_atm, sigma_ej, m_qj):
    """Factor for the overburden on the cone resistance."""
    return minimum((p_atm / sigma_ej) ** m_qj, 1.7)


@formula("q_1N", source=BOULANGER)
def normalised_cone_resistance(C_qj, q_cj, p_atm):
    """Cone resistance at atmospheric pressure over that pressure."""
    return C_qj * q_cj / p_atm


@formula("Dq_f", source=BOULANGER)
def increase_of_cone_for_fines(q_1N, FC_j):
    """Increase of the cone resistance for fines."""
    return (11.9 + q_1N / 14.6) * exp(1.63 - 9.7 / (FC_j + 2) - (15.7 / (FC_j + 2)) ** 2)


@formula("q_cre", source=BOULANGER)
def clean_sand_cone(q_1N, Dq_f):
    """Cone resistance for clean sand at atmospheric pressure."""
    return q_1N + Dq_f


@formula("q_gap", source=BOULANGER)
def gap_of_cone(q_cs, q_cre):
    """Cone resistance for clean sand less the one recomputed, zero at the solution."""
    return q_cs - q_cre


@formula("CRR_j", source=BOULANGER, clause="cone")
def cyclic_resistance_of_cone(q_cs):
    """Cyclic resistance ratio by the cone resistance, deterministic curve."""
    return exp(
        minimum(q_cs, 211) / 113
        + (minimum(q_cs, 211) / 1000) ** 2
        - (minimum(q_cs, 211) / 140) ** 3
        + (minimum(q_cs, 211) / 137) ** 4
        - 2.8
    )


@formula("MSF_m", source=BOULANGER, clause="cone")
def largest_scaling_of_cone(q_cs):
    """Largest magnitude scaling factor by the cone resistance."""
    return minimum(1.09 + (q_cs / 180) ** 3, 2.2)


@formula("C_sig", source=BOULANGER, clause="cone")
def overburden_coefficient_of_cone(q_cs):
    """Coefficient of the overburden correction by the cone resistance."""
    return minimum(1 / (37.3 - 8.27 * minimum(q_cs, 211) ** 0.264), 0.3)


@formula("MSF_j", source=BOULANGER)
def magnitude_scaling(MSF_m, M_eq):
    """Magnitude scaling factor, 1 at a magnitude of 7.5."""
    return 1 + (MSF_m - 1) * minimum(8.64 * exp(-M_eq / 4) - 1.325, 1)


@formula("K_sig", source=BOULANGER)
def overburden_correction(C_sig, sigma_ej, p_atm):
    """Overburden correction of the cyclic resistance."""
    return minimum(1 - C_sig * log(sigma_ej / p_atm), 1.1)


@formula("F_liq", source=SAFETY)
def safety_against_liquefaction(CRR_j, MSF_j, K_sig, CSR_j):
    """Factor of safety against liquefaction at the reading."""
    return CRR_j * MSF_j * K_sig / CSR_j
