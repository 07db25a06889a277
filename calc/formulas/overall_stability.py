"""Load in the slip analysis, and the safety that the moments of the critical surface give."""

from numpy import tan

from calc.formula import Source, formula

SINGLE = Source(
    "EN 1997-1:2004, 2.4.7.3.2, actions factored at their source",
    evidence="not inspected",
)
LIFT = Source(
    "project rule: fill placed before by the stress ratio of its stage, of the lift what radial drainage has left",
    evidence="derived",
)
BEFORE = Source("fill placed before without its traffic", evidence="derived")
FACE = Source("equilibrium of a dry infinite slope, common practice", evidence="derived")
MOMENTS = Source("moment equilibrium about the centre of the circle, derived here", evidence="derived")


@formula("q_o", source=SINGLE)
def traffic_in_slip_analysis(gamma_Qo, q):
    """Traffic load in the slip analysis."""
    return gamma_Qo * q


@formula("q_pl", source=SINGLE)
def plant_in_slip_analysis(gamma_Qo, p_pl):
    """Construction traffic load on the lift in the slip analysis."""
    return gamma_Qo * p_pl


@formula("p_Ef", source=BEFORE)
def fill_pressure_before(p_Eb, gamma_Q, q_qb):
    """Pressure of the fill placed before."""
    return p_Eb - gamma_Q * q_qb


@formula("mu_sL", source=LIFT)
def soil_share_under_new_lift(mu_sb, p_Ef, mu_L, p_nf):
    """Stress increment of the soil over the mean one of all fill while the lift is placed."""
    return (mu_sb * p_Ef + mu_L * p_nf) / (p_Ef + p_nf)


@formula("F_mom", source=MOMENTS)
def safety_from_moments(M_Rs, M_Ts, M_Ds):
    """Over-design factor from the moments of the critical surface; the tension resists like the ground."""
    return (M_Rs + M_Ts) / M_Ds


@formula("F_dM", source=MOMENTS)
def moment_gap(F_Bi, F_mom):
    """Over-design factor found by the search less the one from the moments, zero at the solution."""
    return F_Bi - F_mom


@formula("F_fs", source=FACE)
def face_safety(n_S, phi):
    """Over-design factor of the dry face of a slope without cohesion, infinite slope."""
    return n_S * tan(phi)
