"""Load in the slip analysis, and the safety that the moments of the critical surface give."""

from numpy import tan

from calc.formula import Source, formula

SINGLE = Source(
    "EN 1997-1:2004, 2.4.7.3.2, actions factored at their source",
    evidence="not inspected",
)
LIFT = Source("project rule: the stress shares of the new lift as the soft ground is loaded by it", evidence="derived")
EQUILIBRIUM = Source("vertical equilibrium of soil and column", evidence="derived")
FACE = Source("equilibrium of a dry infinite slope, common practice", evidence="derived")
MOMENTS = Source("moment equilibrium about the centre of the circle, derived here", evidence="derived")


@formula("q_o", source=SINGLE)
def traffic_in_slip_analysis(gamma_Qo, q):
    """Traffic load in the slip analysis."""
    return gamma_Qo * q


@formula("mu_sL", source=LIFT)
def soil_share_under_new_lift(p_sL, p_Eb, p_n):
    """Stress on the soil over the mean added stress while the lift is placed."""
    return p_sL / (p_Eb + p_n)


@formula("mu_cL", source=EQUILIBRIUM)
def column_share_under_new_lift(a_E, mu_sL):
    """Stress on the column over the mean added stress while the lift is placed."""
    return (1 - (1 - a_E) * mu_sL) / a_E


@formula("F_mom", source=MOMENTS)
def safety_from_moments(M_Rs, M_Ts, M_Ds):
    """Safety from the moments of the critical surface; the tension resists like the ground."""
    return (M_Rs + M_Ts) / M_Ds


@formula("F_dM", source=MOMENTS)
def moment_gap(F_Bi, F_mom):
    """Safety found by the search less the safety from the moments, zero at the solution."""
    return F_Bi - F_mom


@formula("F_fs", source=FACE)
def face_safety(n_S, phi):
    """Safety of the dry face of a slope without cohesion."""
    return n_S * tan(phi)
