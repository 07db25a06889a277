"""Well resistance at one depth, of which the program uses the mean: Hansbo (1981), Proc. 10th ICSMFE 3, 677–682."""

from math import pi


def well_resistance(z_d: float, l_d: float, k_hs: float, q_w: float, n_d: float) -> float:
    """At the depth ``z_d`` below the drained end of a path of length ``l_d``, a number without unit."""
    return pi * z_d * (2 * l_d - z_d) * k_hs / q_w * (1 - 1 / n_d**2)
