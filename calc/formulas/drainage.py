"""Estimates of the permeability of the fill side by side, and the ground and the column as a drain."""

from numpy import maximum

from calc.formula import Source, formula

ESTIMATES = Source("project rule: what is given should not lie above both estimates", evidence="derived")
ANISOTROPY = Source("definition of both coefficients at one modulus", evidence="derived")
PATH = Source("geometry of the drained ends", evidence="derived")


@formula("k_est", source=ESTIMATES)
def larger_estimate(k_Hz, k_KC):
    """Larger of the two estimates of the permeability of the fill."""
    return maximum(k_Hz, k_KC)


@formula("k_hs", source=ANISOTROPY)
def horizontal_permeability(k_vs, c_hs, c_vs):
    """Horizontal permeability from the vertical one and the coefficients of consolidation."""
    return k_vs * c_hs / c_vs


@formula("l_d", source=PATH)
def drainage_path(L_c, n_out):
    """Longest way of the water in the column to an end where it leaves."""
    return L_c / n_out
