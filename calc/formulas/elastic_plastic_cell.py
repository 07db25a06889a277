"""Elastic, perfectly plastic column in elastic soil, and its limit with a rigid, plastic column.

The plastic stage is linear: its four rate equations (equilibrium at the wall, the two strains of the column, vertical
equilibrium) are solved for the rates per vertical strain.
"""

from numpy import maximum, minimum, sin, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("J_0", "J_0", "kN/m", 1, "ring stiffness of the sleeve before its slack is taken up")
_("y_0", "y_0", "kPa", 3, "vertical stress by which the column is below its limit state before loading")
_("y_1", "y_1", "-", 5, "share of the load by which the elastic column approaches its limit state")
_("p_y", "p_y", "kPa", 4, "load carried in the elastic stage")
_("eps_y", "ε_y", "-", 5, "vertical strain at the end of the elastic stage", shown="%")
_("alpha_c", "α_c", "1/kPa", -4, "elastic vertical strain of the yielding column per radial stress")
_("beta_c", "β_c", "1/kPa", -4, "elastic radial strain of the yielding column per radial stress")
_("delta_c", "δ_c", "1/kPa", -4, "radial strain lost to elastic compression of the yielding column per radial stress")
_("kappa", "κ", "kPa", 1, "radial stress at the wall per radial strain, of soil and sleeve")
_("rho", "ρ", "kPa", 1, "radial stress at the wall per vertical strain in the plastic stage")
_("eta", "η", "-", 5, "radial strain per vertical strain in the plastic stage")
_("eta_0", "η_0", "-", 5, "radial strain per vertical strain in the plastic stage, sleeve slack")
_("M_p", "M_p", "kPa", 1, "load on the cell per vertical strain in the plastic stage")
_("M_p0", "M_{p,0}", "kPa", 3, "load on the cell per vertical strain in the plastic stage, sleeve slack")
_("eps_t", "ε_t", "-", 3, "vertical strain at which the sleeve becomes taut", shown="%")
_("p_t", "p_t", "kPa", 4, "load at which the sleeve of the yielding cell becomes taut")
_("eps_z", "ε_z", "-", 3, "vertical strain of the cell", shown="%")
_("eps_EP", "ε_{EP}", "-", 3, "vertical strain of the elastic, plastic cell", shown="%")
_("Dr_EP", "Δr_{EP}", "m", 3, "radial expansion of the column in the elastic, plastic cell", shown="mm")
_("T_EP", "T_{EP}", "kN/m", 2, "ring tension of the sleeve in the elastic, plastic cell")
_("Dsigma_vsEP", "Δσ_{v,s,EP}", "kPa", 4, "mean vertical stress increment on the soil in the elastic, plastic cell")
_("r_T", "r_T", "-", 3, "ring tension by the elastic, plastic cell over that of the standard method")
_("Dr_y", "Δr_y", "m", 3, "radial expansion of the column at the end of the elastic stage", shown="mm")
_("delta_s", "δ_s", "-", 1, "share by which the standard method settles less", shown="%")
_("A_RP", "A_{RP}", "kPa", 3, "vertical stress increment on the soil per vertical strain, rigid, plastic column")
_("B_RP", "B_{RP}", "kPa", 3, "radial stress increment at the wall per vertical strain, rigid, plastic column")
_("eps_RP", "ε_{RP}", "-", 3, "vertical strain of the cell with a rigid, plastic column", shown="%")
_("T_RP", "T_{RP}", "kN/m", 2, "ring tension of the sleeve with a rigid, plastic column")
_("K_pc", "K_{p,c}", "-", 5, "coefficient of passive earth pressure of the column fill")
_("psi_c", "ψ_c", "rad", 3, "dilatancy angle of the column fill", shown="deg")
_("F_Ri", "F_{R,i}", "kN/m", 2, "ring tension of the sleeve in the sublayer, none where it is not mobilised")

BASIS = (
    "assumptions of Pulko, Majes & Logar (2011), Geotext. Geomembr. 29(1), 29–39, "
    "and of Castro & Sagaseta (2013), ibid. 37, 45–53"
)
PLASTIC = Source(BASIS, evidence="derived")
RIGID = Source("assumptions of Pulko & Majes (2006), Acta Geotechnica Slovenica 2006/1", evidence="derived")


@formula("k_psi", source=PLASTIC)
def dilatancy_ratio(psi_c):
    """Ratio of the plastic strains at constant dilatancy angle."""
    return (1 + sin(psi_c)) / (1 - sin(psi_c))


@formula("J_0", source=PLASTIC)
def initial_sleeve_stiffness(Dr_gap, J):
    """Ring stiffness of the sleeve before its slack is taken up."""
    return where(Dr_gap > 0, 0, J)


@formula("y_0", source=PLASTIC)
def yield_reserve(K_pc, sigma_r0, sigma_v0c):
    """Vertical stress by which the column is below its limit state before loading."""
    return K_pc * sigma_r0 - sigma_v0c


@formula("y_1", source=PLASTIC)
def yield_rate(D_c, K_pc, D_r, M_el):
    """Share of the load by which the elastic column approaches its limit state."""
    return (D_c - K_pc * D_r) / M_el


@formula("p_y", source=PLASTIC)
def elastic_load(y_1, Dsigma_0, y_0):
    """Load at which the column yields, or the whole load where it does not."""
    return where(y_1 * Dsigma_0 > y_0, y_0 / y_1, Dsigma_0)


@formula("eps_y", source=PLASTIC)
def strain_at_yield(p_y, M_el):
    """Vertical strain of the cell at the end of its elastic stage."""
    return p_y / M_el


@formula("alpha_c", source=PLASTIC)
def axial_compliance(K_pc, nu_c, E_c):
    """Elastic vertical strain of the yielding column per radial stress."""
    return (K_pc - 2 * nu_c) / E_c


@formula("beta_c", source=PLASTIC)
def radial_compliance(K_pc, nu_c, E_c):
    """Elastic radial strain of the yielding column per radial stress."""
    return (1 - nu_c * (1 + K_pc)) / E_c


@formula("delta_c", source=PLASTIC)
def widening_compliance(k_psi, alpha_c, beta_c):
    """Radial strain that elastic compression of the yielding column takes away, per radial stress."""
    return k_psi / 2 * alpha_c + beta_c


@formula("kappa", source=PLASTIC)
def wall_stiffness(lambda_s, G_s, a_E, J, r_c, r_geo):
    """Radial stress at the wall per radial strain, of soil and sleeve."""
    return 2 * ((lambda_s + G_s) * a_E + G_s) / (1 - a_E) + J * r_c / r_geo**2


@formula("rho", source=PLASTIC)
def radial_stress_rate(lambda_s, kappa, k_psi, delta_c):
    """Radial stress at the wall per vertical strain in the plastic stage."""
    return (lambda_s + kappa * k_psi / 2) / (1 + kappa * delta_c)


@formula("eta", source=PLASTIC)
def widening_rate(k_psi, delta_c, rho):
    """Radial strain per vertical strain in the plastic stage."""
    return k_psi / 2 - delta_c * rho


@formula("M_p", source=PLASTIC)
def plastic_cell_modulus(a_E, K_pc, rho, lambda_s, G_s, eta):
    """Load per vertical strain of the cell in the plastic stage."""
    return a_E * K_pc * rho + (1 - a_E) * (lambda_s + 2 * G_s) + 2 * lambda_s * a_E * eta


@formula("eps_t", source=PLASTIC)
def strain_when_taut(eps_y, Dr_gap, r_c, F_el, eta_0):
    """Vertical strain of the yielding cell at which the sleeve becomes taut, at the earliest at yield."""
    return eps_y + maximum(Dr_gap / r_c - F_el * eps_y, 0) / eta_0


@formula("p_t", source=PLASTIC)
def load_when_taut(p_y, M_p0, eps_t, eps_y):
    """Load at which the sleeve of the yielding cell becomes taut."""
    return p_y + M_p0 * (eps_t - eps_y)


@formula("eps_EP", source=PLASTIC)
def elastic_plastic_strain(eps_y, Dsigma_0, p_t, p_y, M_p0, M_p):
    """Vertical strain of the cell after its elastic, slack and taut stages."""
    return eps_y + (minimum(Dsigma_0, p_t) - p_y) / M_p0 + maximum(Dsigma_0 - p_t, 0) / M_p


@formula("Dr_EP", source=PLASTIC)
def elastic_plastic_widening(r_c, F_el, eps_y, eta_0, Dsigma_0, p_t, p_y, M_p0, eta, M_p):
    """Radial expansion of the column after its elastic, slack and taut stages."""
    return r_c * (F_el * eps_y + eta_0 * (minimum(Dsigma_0, p_t) - p_y) / M_p0 + eta * maximum(Dsigma_0 - p_t, 0) / M_p)


@formula("T_EP", source=PLASTIC)
def elastic_plastic_ring_tension(J, Dr_EP, Dr_gap, r_geo):
    """Ring tension of the sleeve in the elastic, plastic cell."""
    return J * maximum(Dr_EP - Dr_gap, 0) / r_geo


@formula("Dsigma_vsEP", source=PLASTIC)
def elastic_plastic_soil_stress(lambda_s, G_s, eps_EP, a_E, Dr_EP, r_c):
    """Mean vertical stress increment on the soil in the elastic, plastic cell."""
    return (lambda_s + 2 * G_s) * eps_EP + 2 * lambda_s * a_E / (1 - a_E) * (Dr_EP / r_c)


@formula("s_i", source=Source("definition of the vertical strain", evidence="derived"))
def sublayer_settlement(eps_z, h):
    """Settlement of the sublayer from its vertical strain."""
    return eps_z * h


@formula("delta_s", source=Source("definition", evidence="derived"))
def method_gap(s, s_EP):
    """Share by which the standard method settles less than the elastic, plastic cell."""
    return 1 - s / s_EP


@formula("r_T", source=Source("definition", evidence="derived"))
def tension_of_methods(T_EP, F_Ri):
    """Ring tension by the elastic, plastic cell over that of the standard method."""
    return T_EP / F_Ri


@formula("Dr_y", source=PLASTIC)
def widening_at_yield(r_c, F_el, eps_y):
    """Radial expansion of the column at the end of its elastic stage."""
    return r_c * F_el * eps_y


@formula("A_RP", source=RIGID)
def rigid_plastic_soil_stiffness(lambda_s, G_s, k_psi, a_E):
    """Vertical stress increment on the soil per vertical strain beside a rigid, plastic column."""
    return lambda_s + 2 * G_s + 2 * lambda_s * (k_psi / 2) * a_E / (1 - a_E)


@formula("B_RP", source=RIGID)
def rigid_plastic_wall_stiffness(lambda_s, kappa, k_psi):
    """Radial stress increment at the wall per vertical strain beside a rigid, plastic column."""
    return lambda_s + kappa * (k_psi / 2)


@formula("eps_RP", source=RIGID)
def rigid_plastic_strain(K_ac, sigma_v0c, Dsigma_0, a_E, sigma_r0, B_RP, A_RP):
    """Vertical strain of the cell with a rigid, plastic column."""
    return (K_ac * (sigma_v0c + Dsigma_0 / a_E) - sigma_r0) / (B_RP + K_ac * (1 - a_E) * A_RP / a_E)


@formula("T_RP", source=RIGID)
def rigid_plastic_ring_tension(J, k_psi, eps_RP):
    """Ring tension of a sleeve without slack in the cell with a rigid, plastic column."""
    return J * (k_psi / 2) * eps_RP
