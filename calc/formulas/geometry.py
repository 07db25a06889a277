"""Geometry of the column grid and of the unit cell."""

from numpy import pi, sqrt

from calc.engine.formula import Source, formula, over_layers

GEOMETRY = Source("plane geometry of the grid", evidence="derived")
SLEEVE = Source("definition of the slack of the sleeve", evidence="derived")


@formula("r_c", source=GEOMETRY)
def column_radius(d_c):
    """Radius of the column at installation."""
    return d_c / 2


@formula("A_c", source=GEOMETRY)
def column_area(d_c):
    """Cross-section of the column."""
    return pi * d_c**2 / 4


@formula("A_E", source=GEOMETRY)
def triangular_cell_area(a_x):
    """Area served by one column of a triangular grid."""
    return sqrt(3) / 2 * a_x**2


@formula("A_E", source=GEOMETRY)
def square_cell_area(a_x):
    """Area served by one column of a square grid."""
    return a_x**2


@formula("d_e", source=GEOMETRY)
def equivalent_diameter(A_E):
    """Diameter of the circle of the same area as the unit cell."""
    return sqrt(4 * A_E / pi)


@formula("a_E", source=GEOMETRY)
def area_ratio(A_c, A_E):
    """Share of the column in the area of the unit cell."""
    return A_c / A_E


@formula("L_c", source=GEOMETRY)
def column_length(t_soft, t_emb, t_up):
    """Length of the column from its toe to its head."""
    return t_soft + t_emb + t_up


@formula("r_geo", source=SLEEVE)
def installed_sleeve_radius(r_c, Dr_gap):
    """Radius at which the sleeve becomes taut."""
    return r_c + Dr_gap


@formula("Dr_gap", source=SLEEVE)
def sleeve_slack(r_geo, r_c):
    """Radial expansion of the column that makes the sleeve taut."""
    return r_geo - r_c


@formula("t_soft", source=GEOMETRY)
def soft_thickness(h):
    """Thickness of the soft layers."""
    return over_layers(h)
