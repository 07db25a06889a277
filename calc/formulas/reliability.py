"""Distributions of inputs and the probability of failure."""

from numpy import log, pi, sin, sqrt

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _
from calc.formulas.characteristic import VANMARCKE

_("V_pt", "V_{pt}", "-", 4, "coefficient of variation at a point")
_("V_av", "V_{av}", "-", 5, "coefficient of variation of the average")
_("z_ln", "ζ_{ln}", "-", 5, "standard deviation of the logarithm")
_("r_sp", "ρ_S", "-", 4, "rank correlation of two inputs (Spearman)")
_("r_no", "ρ_z", "-", 5, "correlation of their normal scores")
_("n_fa", "N_f", "-", 0, "points that fail")
_("n_pt", "N", "-", 0, "points in all")
_("p_fa", "p_f", "-", -3, "probability of failure, plain Monte Carlo")

MOMENTS = Source("from the moments of the lognormal distribution", "derived")
COPULA = Source("rank correlation of two variables that a Gaussian copula joins", "derived")
COUNTED = Source("share of independent points", "derived")


@formula("V_av", source=VANMARCKE)
def averaged_variation(V_pt, G_av):
    """Coefficient of variation of the average of a property over a height."""
    return V_pt * sqrt(G_av)


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
