"""Pressure of the embankment on the soft ground in a stage: at its end, and while its lift is being placed."""

from numpy import maximum

from calc.formula import Source, formula

FACTORED_LOADS = Source(
    "EN 1997-1:2004, 2.4.7.3.2 and Table A.3, actions factored at their source", evidence="inspected"
)
MAKE_UP = Source(
    "project rule: make-up fill loads the soft ground like all other fill, as it does the columns", evidence="derived"
)
FIELD = Source(
    "engineering reading: the soil is driven by its own stress share; no published rule for encased columns was found",
    evidence="derived",
)
LIFT = Source(
    "project rule: what is being placed acts on soil and column alike until the ground consolidates", evidence="derived"
)


@formula("p_E0", source=FACTORED_LOADS)
def embankment_pressure(gamma_G, gamma_E, H, gamma_Q, q):
    """Design pressure of fill, platform and traffic on the ground level at full height, before make-up fill."""
    return gamma_G * gamma_E * H + gamma_Q * q


@formula("p_E", source=MAKE_UP)
def pressure_with_makeup(p_E0, gamma_G, f_G, p_M):
    """Design pressure with the fill that replaces the settlement."""
    return p_E0 + gamma_G * f_G * p_M


@formula("p_sE", source=FIELD)
def soil_share_of_pressure(mu_s, p_E):
    """Pressure of the embankment that the soft ground between the columns carries."""
    return mu_s * p_E


@formula("p_n", source=LIFT)
def pressure_being_placed(gamma_G, gamma_E, H_q, H_qb, gamma_Q, q, q_stb, gamma_QS, p_pl):
    """Design pressure of the new lift, of new traffic and of plant; what is taken away again does not count."""
    return gamma_G * gamma_E * maximum(H_q - H_qb, 0) + gamma_Q * (maximum(q - q_stb, 0) + gamma_QS * p_pl)


@formula("p_sL", source=LIFT)
def soil_pressure_under_new_lift(mu_sb, p_Eb, p_n):
    """Pressure on the soft ground between the columns under a new lift, the lift itself at a stress ratio of 1."""
    return mu_sb * p_Eb + p_n
