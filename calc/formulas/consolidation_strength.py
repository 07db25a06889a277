"""Gain of the undrained strength of the soft ground by consolidation, and its strength after a stage.

A gain is credited for the part of the effective stress beyond the preconsolidation pressure alone; below it the
complete strength would grow a little, too.
"""

from numpy import maximum, tan

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("zeta_p", "ζ", "-", 4, "permanent pressure at the place of the cut over that at full height")
_("U_z", "U_z", "-", 1, "degree of consolidation at this depth", shown="%")
_("Dsigma_z", "Δσ′_{s,z}", "kPa", 2, "effective stress added in the soil at the start of the stage")
_("sigma_vt", "σ′_{v,t}", "kPa", 2, "effective vertical stress in the soil at this time")
_("sigma_pt", "σ′_{p,t}", "kPa", 2, "largest effective vertical stress in the soil until this time")
_("OCR_t", "OCR_t", "-", 3, "overconsolidation ratio at this time")
_("S_nc", "S_{nc}", "-", 3, "ratio of undrained strength to effective vertical stress, normally consolidated")
_("U_b", "U_b", "-", 1, "degree of consolidation at this depth under the load placed before, lower cₕ", shown="%")
_("sigma_ph", "σ′_{p,0}", "kPa", 2, "preconsolidation pressure, not below the stress without the load")
_("c_up", "c_{u,p}", "kPa", 2, "undrained strength of the normally consolidated soil at its preconsolidation pressure")
_("S_phi", "S_φ", "-", 3, "increase of undrained strength over that of stress, from its angle")
_("r_uh", "r_{u,h}", "-", 2, "undrained strength given over that by stress history")
_("m_oc", "m_{oc}", "-", 2, "exponent of the overconsolidation ratio")
_("phi_cu", "φ_{cu}", "rad", 3, "angle of the increase of undrained strength with consolidation stress", shown="deg")

STRESS = Source("definition of the degree of consolidation, share of the soil in the load", evidence="derived")
SHARE = Source(
    "project rule: the gain comes from the same soil stress as the load, half the height of the fill at mid-slope",
    evidence="derived",
)
ABOVE = Source(
    "project rule: strength of the normally consolidated soil beyond the given one and beyond the preconsolidation "
    "pressure",
    evidence="derived",
)
SHANSEP = Source("Ladd & Foott (1974); Ladd (1991), J. Geotech. Eng. ASCE 117(4), 540–615", evidence="not inspected")
ANGLE = Source(
    "definition of the strength angle: its tangent is the increase of strength over that of stress", evidence="derived"
)


@formula("sigma_vt", source=STRESS)
def stress_at_time(sigma_v0s, U_z, Dsigma_vs):
    """Effective vertical stress in the soil; the load is the share of the soil after load transfer."""
    return sigma_v0s + U_z * Dsigma_vs


@formula("sigma_vt", source=SHARE)
def stress_by_share(sigma_v0s, U_b, mu_sb, zeta_p, p_Gb):
    """Effective vertical stress in the soil, its load being the share by a given stress ratio."""
    return sigma_v0s + U_b * mu_sb * zeta_p * p_Gb


@formula("Dc_u", source=ABOVE)
def gain_above_given(S_nc, sigma_vt, c_u, sigma_ph):
    """Gain of undrained strength beyond the strength given for the state before construction."""
    return maximum(S_nc * sigma_vt - maximum(c_u, S_nc * sigma_ph), 0)


@formula("c_up", source=SHANSEP)
def strength_at_preconsolidation(S_nc, sigma_ph):
    """Undrained strength of the normally consolidated soil under its preconsolidation pressure, for comparison."""
    return S_nc * sigma_ph


@formula("sigma_pt", source=STRESS)
def largest_stress(sigma_pc, sigma_vt):
    """Largest effective vertical stress that the soil has had until this time."""
    return maximum(sigma_pc, sigma_vt)


@formula("OCR_t", source=STRESS)
def overconsolidation_ratio(sigma_pt, sigma_vt):
    """Overconsolidation ratio at this time."""
    return sigma_pt / sigma_vt


@formula("c_u", source=SHANSEP)
def strength_by_stress_history(S_nc, sigma_vt, OCR_t, m_oc):
    """Undrained strength from effective stress and stress history."""
    return S_nc * sigma_vt * OCR_t**m_oc


@formula("S_phi", source=ANGLE)
def ratio_of_angle(phi_cu):
    """Increase of undrained strength over that of stress by its angle."""
    return tan(phi_cu)


@formula("r_uh", source=Source("definition", evidence="derived"))
def ratio_to_stress_history(c_u, c_uh):
    """Undrained strength given over that by stress history."""
    return c_u / c_uh


@formula("U_z", source=STRESS)
def degree_at_depth(Dsigma_z, Dsigma_vs):
    """Degree of consolidation at this depth, by effective stress."""
    return Dsigma_z / Dsigma_vs
