"""Unit cell of an encased column: load sharing, radial expansion, ring tension and settlement of a sublayer.

The column fill is at its active limit state and keeps its volume; the soil is elastic within the step; column and soil
have equal vertical strain.
"""

from numpy import absolute, log, where

from calc.engine.formula import Source, formula, over_layers
from calc.engine.symbols import declare as _

_("Dsigma_min", "Δσ_{0,min}", "kPa", 3, "load above which the column is at its active state")
_("p_2", "p_2", "kPa", 3, "effective stress after loading, for the modulus")
_("p_m", "p^*", "kPa", 3, "logarithmic mean of the stresses before and after loading")
_("E_star", "E^*", "kPa", 2, "modulus of the soil ring against radial expansion of the column")
_("sigma_hc", "σ_{h,c}", "kPa", 3, "horizontal stress of the column")
_("sigma_hs", "σ_{h,s}", "kPa", 3, "horizontal stress of the soil")
_("sigma_hdiff", "σ_{h,diff}", "kPa", 4, "horizontal stress difference taken by radial expansion of the soil ring")
_("Dsigma_hgeo", "Δσ_{h,geo}", "kPa", 3, "horizontal support by the sleeve")
_("k_ring", "k_R", "kPa/m", 1, "stiffness of the soil ring against radial expansion")
_("k_J", "k_J", "kPa/m", 1, "stiffness of the taut sleeve against radial expansion")
_("Dr_free", "Δr_{free}", "m", 1, "radial expansion of the column without a sleeve", shown="mm")
_("Dr_c", "Δr_c", "m", 3, "radial expansion of the column", shown="mm")
_("Dr_geo", "Δr_{geo}", "m", 3, "radial expansion of the sleeve", shown="mm")
_("s_s", "s_s", "m", 2, "settlement of the soil in the sublayer", shown="mm")
_("s_c", "s_c", "m", 2, "settlement of the column in the sublayer", shown="mm")
_("s_gap", "Δs_{s,c}", "m", 2, "difference of the two settlements", shown="mm")
_("Dr_check", "Δr_{c,U6}", "m", 3, "radial expansion of the column from the stress difference", shown="mm")
_("n_minF", "n_{min,F}", "-", 2, "least stress ratio of the cell in the runs for ring tension")
_("n_minS", "n_{min,s}", "-", 2, "least stress ratio of the cell in the runs for settlement")
_("n_mx", "n_{max}", "-", 2, "largest stress ratio measured under embankments")
_("n_minFk", "n_{min,F,k}", "-", 2, "least stress ratio of the cell in the runs for ring tension, heads kept")
_("n_minSk", "n_{min,s,k}", "-", 2, "least stress ratio of the cell in the runs for settlement, heads kept")
_("n_min", "n_{min}", "-", 2, "least stress ratio of the cell in the stage")
_("p_2u", "p_{2,u}", "kPa", 3, "effective stress after loading without columns")
_("p_mu", "p^*_u", "kPa", 3, "logarithmic mean stress without columns")
_("E_oedu", "E_{oed,u}", "kPa", 2, "oedometer modulus of the soil for the whole load without columns")
_("eps_iu", "ε_{i,u}", "-", 2, "vertical strain of the sublayer without columns", shown="%")
_("s_u", "s_u", "m", 1, "settlement without columns", shown="mm")
_("beta", "β", "-", 3, "improvement factor: settlement without columns over settlement with columns")
_("sigma_v0sz", "σ_{v,0,s,z}", "kPa", 3, "initial effective vertical stress in the soil at this depth")
_("sigma_v0cz", "σ_{v,0,c,z}", "kPa", 3, "initial effective vertical stress in the column at this depth")
_("p_1z", "p_{1,z}", "kPa", 3, "effective stress before loading at this depth, for the modulus")
_("kappa_0", "κ_0", "kPa", 2, "radial stress at the wall per radial strain while the sleeve is slack")
_("rho_0", "ρ_0", "kPa", 3, "radial stress at the wall per vertical strain in the plastic stage, sleeve slack")
_("K_0s", "K_{0,s}", "-", 5, "at-rest coefficient of the soil, applied to the stress increment")
_("E_ref", "E_{ref}", "kPa", 1, "oedometer modulus of the soil at the reference pressure")
_("m", "m", "-", 3, "exponent of the stress-dependent modulus")
_("Ds_pos", "Δs", "m", 1, "difference of the settlements of centre and crest edge", shown="mm")
_("s_sho", "s_{edge}", "m", 1, "settlement at the crest edge", shown="mm")

RAITHEL = "Raithel et al. (2005), ASCE GSP 136, Geo-Frontiers, Austin, 3–4"
PRINTED = Source(RAITHEL, evidence="inspected")
RING = Source(RAITHEL + ", signs and factors derived as a soil ring in plane stress", evidence="derived")
SETTLEMENT = Source(
    "oedometer settlement less the heave of the soil ring; constant volume of the column; derived here",
    evidence="derived",
)
MODULUS = Source("Raithel (1999), Univ. Gh Kassel, Geotechnik 6, modulus for the stress step", evidence="not inspected")
SUM = Source("sum over the sublayers", evidence="derived")
DEFINITION = Source("definition", evidence="derived")
THRESHOLD = Source("condition that U8 gives a radial expansion with no load on the soil", evidence="derived")


@formula("Dsigma_min", source=THRESHOLD)
def mobilising_load(a_E, K_star, sigma_v0s, K_ac, sigma_v0c):
    """Load on the cell above which the column presses the soil and the sleeve outward in its active state."""
    return a_E * (K_star * sigma_v0s / K_ac - sigma_v0c)


@formula("Dsigma_vc", source=PRINTED, clause="U1")
def column_stress_increment(Dsigma_0, a_E, Dsigma_vs):
    """Vertical stress increment on the column from vertical equilibrium of the cell."""
    return (Dsigma_0 - (1 - a_E) * Dsigma_vs) / a_E


@formula("p_2", source=MODULUS, clause="U13")
def stress_after_loading(p_1, Dsigma_vs):
    """Stress after loading, for the modulus."""
    return p_1 + Dsigma_vs


@formula("p_m", source=MODULUS, clause="U13")
def logarithmic_mean_stress(p_1, p_2):
    """Logarithmic mean of the stresses before and after loading."""
    return where(p_2 > p_1, (p_2 - p_1) / log(p_2 / p_1), p_1)


@formula("E_oed", source=MODULUS, clause="U12")
def oedometer_modulus(E_ref, p_m, p_ref, m):
    """Oedometer modulus of the soil for the stress step."""
    return E_ref * (p_m / p_ref) ** m


@formula("E_star", source=RING, clause="U7")
def ring_modulus(nu_s, a_E, E_oed):
    """Modulus of the soil ring against radial expansion of the column, its outer edge held."""
    return (1 / (1 - nu_s) + 1 / (1 + nu_s) * (1 / a_E)) * ((1 + nu_s) * (1 - 2 * nu_s) / (1 - nu_s)) * E_oed


@formula("sigma_hc", source=PRINTED, clause="U2")
def column_horizontal_stress(K_ac, Dsigma_vc, sigma_v0c):
    """Horizontal stress with which the column in its active state presses outward."""
    return K_ac * (Dsigma_vc + sigma_v0c)


@formula("sigma_hs", source=PRINTED, clause="U3")
def soil_horizontal_stress(K_0s, Dsigma_vs, K_star, sigma_v0s):
    """Horizontal stress with which the soil supports the column before the ring is expanded."""
    return K_0s * Dsigma_vs + K_star * sigma_v0s


@formula("k_ring", source=RING, clause="U6")
def ring_stiffness(E_star, a_E, r_c):
    """Pressure per radial expansion of the soil ring."""
    return E_star / ((1 / a_E - 1) * r_c)


@formula("Dr_free", source=RING, clause="U8, J = 0")
def free_widening(sigma_hc, sigma_hs, k_ring):
    """Radial expansion of the column that the soil alone would allow."""
    return (sigma_hc - sigma_hs) / k_ring


@formula("k_J", source=PRINTED, clause="U4")
def sleeve_stiffness(Dr_free, Dr_gap, J, r_geo):
    """Pressure per radial expansion of the sleeve, which is slack until the slack is taken up."""
    return where(Dr_free > Dr_gap, J / r_geo**2, 0)


@formula("Dr_c", source=RING, clause="U8")
def column_widening(sigma_hc, sigma_hs, Dr_gap, k_J, k_ring):
    """Radial expansion of the column against the soil ring and the sleeve."""
    return (sigma_hc - sigma_hs + Dr_gap * k_J) / (k_ring + k_J)


@formula("Dr_geo", source=PRINTED, clause="U4")
def sleeve_widening(Dr_c, Dr_gap):
    """Radial expansion of the taut sleeve."""
    return where(Dr_c > Dr_gap, Dr_c - Dr_gap, 0)


@formula("F_R", source=PRINTED, clause="U4")
def ring_tension(J, Dr_geo, r_geo):
    """Ring tension of the sleeve."""
    return J * Dr_geo / r_geo


@formula("eps_R", source=PRINTED, clause="U4")
def ring_strain(Dr_geo, r_geo):
    """Ring strain of the sleeve."""
    return Dr_geo / r_geo


@formula("Dsigma_hgeo", source=PRINTED, clause="U4")
def sleeve_pressure(F_R, r_geo):
    """Horizontal support by the sleeve."""
    return F_R / r_geo


@formula("sigma_hdiff", source=PRINTED, clause="U5")
def stress_difference(sigma_hc, sigma_hs, Dsigma_hgeo):
    """Horizontal stress left for the radial expansion of the soil ring."""
    return sigma_hc - (sigma_hs + Dsigma_hgeo)


@formula("Dr_check", source=RING, clause="U6")
def widening_from_stress_difference(sigma_hdiff, E_star, a_E, r_c):
    """Radial expansion of the column from the stress difference, to confirm the radial expansion found before."""
    return sigma_hdiff / E_star * (1 / a_E - 1) * r_c


@formula("s_s", source=SETTLEMENT, clause="U9")
def soil_settlement(Dsigma_vs, E_oed, E_star, nu_s, sigma_hdiff, h):
    """Settlement of the soil in the sublayer under its load, less the heave from the radial expansion of the column."""
    return (Dsigma_vs / E_oed - 2 / E_star * (nu_s / (1 - nu_s)) * sigma_hdiff) * h


@formula("s_c", source=SETTLEMENT, clause="U10")
def column_settlement(r_c, Dr_c, h):
    """Settlement of the column in the sublayer at constant volume of the fill."""
    return (1 - r_c**2 / (r_c + Dr_c) ** 2) * h


@formula("s_gap", source=SETTLEMENT, clause="U11")
def settlement_gap(s_s, s_c):
    """Difference of the settlements of soil and column, zero at the solution."""
    return s_s - s_c


@formula("s", source=SUM)
def total_settlement(s_i):
    """Settlement at the top of the soft ground."""
    return over_layers(s_i)


@formula("n", source=DEFINITION)
def stress_ratio(Dsigma_vc, Dsigma_vs):
    """Ratio of the stress increment on the column to that on the soil."""
    return Dsigma_vc / Dsigma_vs


@formula("s_iu", source=MODULUS)
def untreated_sublayer_settlement(Dsigma_0, E_oedu, h):
    """Settlement of the sublayer without columns at small strain, with the modulus for the whole load."""
    return Dsigma_0 / E_oedu * h


@formula("eps_iu", source=DEFINITION)
def untreated_strain(s_iu, h):
    """Vertical strain of the sublayer without columns."""
    return s_iu / h


@formula("beta", source=DEFINITION)
def improvement_factor(s_u, s):
    """Settlement without columns over settlement with columns."""
    return s_u / s


@formula("Ds_pos", source=DEFINITION)
def settlement_difference(s_cen, s_sho):
    """Difference of the settlements of centre and crest edge."""
    return s_cen - s_sho


@formula("Ds_pos", source=DEFINITION)
def settlement_difference_of_grids(s_cen, s_sho):
    """Difference of the settlements of the centre and of a crest edge with another grid, whichever is larger."""
    return absolute(s_cen - s_sho)
