"""Elastic unit cell with a sleeve in ring direction: the lower bound of the settlement."""

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("D_s", "D_s", "kPa", 2, "mean vertical stress on the soil per vertical strain, elastic")
_("eps_el", "ε_{el}", "-", 3, "vertical strain of the elastic cell", shown="%")
_("T_el", "T_{el}", "kN/m", 2, "ring tension of the sleeve in the elastic cell")

ELASTICITY = Source("isotropic elasticity", evidence="derived")
CELL = Source(
    "elastic cell after Balaam & Booker (1981), Int. J. Numer. Anal. Meth. Geomech. 5, sleeve added", evidence="derived"
)


@formula("lambda_s", source=ELASTICITY)
def soil_lame_constant(E_oed, nu_s):
    """First Lamé constant of the soil from its oedometer modulus."""
    return E_oed * nu_s / (1 - nu_s)


@formula("G_s", source=ELASTICITY)
def soil_shear_modulus(E_oed, nu_s):
    """Shear modulus of the soil from its oedometer modulus."""
    return E_oed * (1 - 2 * nu_s) / (2 * (1 - nu_s))


@formula("lambda_c", source=ELASTICITY)
def fill_lame_constant(E_c, nu_c):
    """First Lamé constant of the column fill."""
    return E_c * nu_c / ((1 + nu_c) * (1 - 2 * nu_c))


@formula("G_c", source=ELASTICITY)
def fill_shear_modulus(E_c, nu_c):
    """Shear modulus of the column fill."""
    return E_c / (2 * (1 + nu_c))


@formula("F_el", source=CELL, clause="E1")
def widening_coefficient(lambda_c, lambda_s, a_E, G_c, G_s, J, r_c):
    """Radial over vertical strain of the column in the elastic cell."""
    return (
        (lambda_c - lambda_s)
        * (1 - a_E)
        / (2 * ((lambda_c + G_c) * (1 - a_E) + (lambda_s + G_s) * a_E + G_s) + (1 - a_E) * J / r_c)
    )


@formula("D_c", source=CELL, clause="E2")
def column_vertical_stiffness(lambda_c, G_c, F_el):
    """Vertical stress on the column per vertical strain of the elastic cell."""
    return lambda_c + 2 * G_c - 2 * lambda_c * F_el


@formula("D_r", source=CELL)
def column_radial_stiffness(lambda_c, G_c, F_el):
    """Radial stress in the column per vertical strain of the elastic cell."""
    return lambda_c - 2 * (lambda_c + G_c) * F_el


@formula("D_s", source=CELL, clause="E3")
def soil_vertical_stiffness(lambda_s, G_s, F_el, a_E):
    """Mean vertical stress on the soil per vertical strain of the elastic cell."""
    return lambda_s + 2 * G_s + 2 * lambda_s * F_el * a_E / (1 - a_E)


@formula("M_el", source=CELL, clause="E4")
def cell_modulus(a_E, D_c, D_s):
    """Load per vertical strain of the elastic cell."""
    return a_E * D_c + (1 - a_E) * D_s


@formula("eps_el", source=CELL, clause="E4")
def elastic_strain(Dsigma_0, M_el):
    """Vertical strain of the elastic cell."""
    return Dsigma_0 / M_el


@formula("T_el", source=CELL, clause="E4")
def elastic_ring_tension(J, F_el, eps_el):
    """Ring tension of the sleeve in the elastic cell."""
    return J * F_el * eps_el
