"""Distributions of inputs and the probability of failure."""

from numpy import exp, log, pi, sin, sqrt

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("V_pt", "V_{pt}", "-", 4, "coefficient of variation at a point")
_("L_vr", "L_{vr}", "m", 3, "averaging length")
_("d_fl", "δ_v", "m", 3, "vertical scale of fluctuation")
_("G_vr", "Γ_{vr}", "-", 5, "variance of the average over that at a point")
_("V_av", "V_{av}", "-", 5, "coefficient of variation of the average")
_("z_ln", "ζ", "-", 5, "standard deviation of the logarithm")
_("r_sp", "ρ_S", "-", 4, "rank correlation of two inputs (Spearman)")
_("r_no", "ρ_z", "-", 5, "correlation of their normal scores")
_("n_fa", "N_f", "-", 0, "points that fail")
_("n_pt", "N", "-", 0, "points in all")
_("p_fa", "p_f", "-", -3, "probability of failure, plain Monte Carlo")

VANMARCKE = Source(
    "Vanmarcke (1977), J. Geotech. Eng. Div. ASCE 103(GT11), 1227–1246: exponential correlation exp(−2|τ|/δ_v)",
    "not inspected",
)
MOMENTS = Source("from the moments of the lognormal distribution", "derived")
COPULA = Source("rank correlation of two variables that a Gaussian copula joins", "derived")
COUNTED = Source("share of independent points", "derived")


@formula("G_vr", source=VANMARCKE)
def variance_reduction(L_vr, d_fl):
    """Variance of the average of a property over a height over its variance at a point."""
    return (2 * L_vr / d_fl - 1 + exp(-2 * L_vr / d_fl)) / (2 * (L_vr / d_fl) ** 2)


@formula("V_av", source=VANMARCKE)
def averaged_variation(V_pt, G_vr):
    """Coefficient of variation of the average of a property over a height."""
    return V_pt * sqrt(G_vr)


@formula("z_ln", source=MOMENTS)
def lognormal_spread(V_av):
    """Standard deviation of the logarithm of a lognormal input."""
    return sqrt(log(1 + V_av**2))


@formula("r_no", source=COPULA)
def normal_correlation(r_sp):
    """Correlation of the normal scores of two inputs with a rank correlation."""
    return 2 * sin(pi * r_sp / 6)


@formula("p_fa", source=COUNTED)
def failure_probability(n_fa, n_pt):
    """Probability of failure by plain Monte Carlo."""
    return n_fa / n_pt
