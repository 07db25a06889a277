"""Strains of the cell around an encased column at any excess pore pressure: what the forms that are used stem from.

Derived from the assumptions of Castro & Sagaseta (2009, 2011) like the formulas that they check; strains are shares,
pressures in kPa, moduli in kPa.
"""


def elastic_vertical_strain(load: float, B_w: float, u: float, Q_w: float) -> float:
    """Of the cell with an elastic column."""
    return (load - B_w * u) / Q_w


def elastic_widening_strain(Lambda: float, strain: float, u: float, D_w: float) -> float:
    """Of an elastic column at this vertical strain."""
    return (Lambda * strain - u) / D_w


def yielding_vertical_strain(load: float, b_2: float, u: float, E: float) -> float:
    """Of the cell with a column at yield."""
    return (load - b_2 * u) / E


def yielding_widening_strain(k_psi: float, strain: float) -> float:
    """Of a column at yield at this vertical strain."""
    return k_psi * strain / 2
