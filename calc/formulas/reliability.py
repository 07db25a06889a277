"""Distributions of inputs and the probability of failure."""

from numpy import absolute, exp, log, maximum, pi, sin, sqrt

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _
from calc.formulas.characteristic import VANMARCKE

_("V_pt", "V_{pt}", "-", 4, "coefficient of variation at a point")
_("V_av", "V_{av}", "-", 5, "coefficient of variation of the average")
_("z_ln", "ζ_{ln}", "-", 5, "standard deviation of the logarithm")
_("r_sp", "ρ_S", "-", 4, "rank correlation of two inputs (Spearman)")
_("r_no", "ρ_z", "-", 5, "correlation of their normal scores")
_("Dz_m", "Δz_m", "m", 2, "distance of the mid-depths of two sublayers")
_("I_zz", "I_{Δz}", "-", 5, "integral of the correlation over two heights, inner part")
_("C_zz", "C_{Δz}", "-", 5, "covariance of the averages in two sublayers over the variance at a point")
_("r_zz", "ρ_{Δz}", "-", 5, "correlation of the normal scores of a property in two sublayers")
_("n_fa", "N_f", "-", 0, "points that fail")
_("n_pt", "N", "-", 0, "points in all")
_("p_fa", "p_f", "-", -3, "probability of failure, plain Monte Carlo")

MARKOV = Source("exponential correlation with Vanmarcke's (1977) scale of fluctuation", "not inspected")
MOVING = Source("integral of the exponential correlation over both heights", "derived")
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


@formula("r_zz", source=MARKOV)
def correlation_over_depth(Dz_m, theta_v):
    """Correlation of a property at two depths."""
    return exp(-2 * Dz_m / theta_v)


@formula("I_zz", source=MOVING)
def inner_part_of_averages(Dz_m, theta_v, L_av):
    """Part of the integral over two equal heights that their inner ends and their overlap give."""
    return 4 * maximum(L_av - Dz_m, 0) / theta_v + exp(-2 * absolute(Dz_m - L_av) / theta_v)


@formula("C_zz", source=MOVING)
def covariance_of_averages(Dz_m, theta_v, L_av, I_zz):
    """Covariance of a property's averages over equal heights around two depths, relative to the variance at a point."""
    return 0.25 * (theta_v / L_av) ** 2 * (I_zz + exp(-2 * (Dz_m + L_av) / theta_v) - 2 * exp(-2 * Dz_m / theta_v))


@formula("r_zz", source=MOVING)
def correlation_of_averages(C_zz, G_av):
    """Correlation of these averages."""
    return C_zz / G_av


@formula("p_fa", source=COUNTED)
def failure_probability(n_fa, n_pt):
    """Probability of failure by plain Monte Carlo."""
    return n_fa / n_pt
