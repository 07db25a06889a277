"""Reinforcement as a membrane between two column heads: a strip with small slope, free or supported by the ground.

The load is symmetric about mid-span. Its shape enters by two coefficients (strain, deflection) and one ratio (mean
over maximum deflection); on the ground each shape has its own solution of H z″ − k b z + q = 0 with z = 0 at the
column heads.
"""

from dataclasses import dataclass

from numpy import exp, sqrt, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("c_eps", "c_ε", "-", 0, "coefficient of the strain for this shape of the load")
_("c_f", "c_f", "-", 0, "coefficient of the deflection for this shape of the load")
_("eps_m", "ε_m", "-", 3, "mean strain of the reinforcement from its vertical load", shown="%")
_("H_m", "H_m", "kN", 3, "horizontal force in the strip")
_("V_e", "V_e", "kN", 3, "vertical force of the strip at the edge of the column head")
_("u_m", "u_m", "-", 5, "half span over the length in which the ground takes up the load")
_("t_m", "t_m", "-", 6, "hyperbolic tangent of the half span")
_("t_mh", "t_{m,2}", "-", 6, "hyperbolic tangent of a quarter span")
_("S_m", "S_m", "-", 6, "twice the mean strain over the square of the load by the horizontal force")
_("DH_m", "ΔH_m", "kN", 3, "horizontal force less that of the strain, zero at the solution")

MEMBRANE = Source("equilibrium of a membrane with small slope", evidence="derived")
SUPPORTED = Source("equilibrium of a membrane with small slope on an elastic subgrade", evidence="derived")


@dataclass(frozen=True)
class LoadShape:
    """Shape of the load along the strip: coefficients of strain and deflection, mean over maximum, place of it."""

    key: str
    title: str
    c_eps: float
    c_f: float
    eta_f: float


SHAPES = {
    shape.key: shape
    for shape in (
        LoadShape("uniform", "uniform load", 24.0, 8.0, 2 / 3),
        LoadShape("triangular", "triangular load with its peak at mid-span", 15.0, 6.0, 5 / 8),
        LoadShape("inverse", "triangular load with its peaks at the column heads", 40.0, 12.0, 3 / 4),
    )
}


@formula("eps_m", source=MEMBRANE)
def membrane_strain(F_m, c_eps, J_r, b_m):
    """Mean strain of the strip that carries its load freely."""
    return (F_m**2 / (c_eps * (J_r * b_m) ** 2)) ** (1 / 3)


@formula("H_m", source=MEMBRANE)
def horizontal_force(J_r, b_m, eps_m):
    """Horizontal force in the strip from its mean strain."""
    return J_r * b_m * eps_m


@formula("f_m", source=MEMBRANE)
def membrane_sag(F_m, L_m, c_f, H_m):
    """Deflection at mid-span of the strip that carries its load freely."""
    return F_m * L_m / (c_f * H_m)


@formula("V_e", source=MEMBRANE)
def edge_force(F_m):
    """Vertical force at the edge of the column head of the strip that carries its load freely."""
    return F_m / 2


@formula("T_m", source=MEMBRANE)
def edge_tension(H_m, V_e, b_m):
    """Largest tension of the reinforcement, at the edge of the column head."""
    return sqrt(H_m**2 + V_e**2) / b_m


@formula("F_m", source=MEMBRANE)
def load_at_sag(c_f, c_eps, J_r, b_m, f_m, L_m):
    """Load that the strip carries freely at a given deflection."""
    return c_f**3 / c_eps * J_r * b_m * (f_m / L_m) ** 3


@formula("eps_m", source=MEMBRANE)
def strain_at_sag(c_f, c_eps, f_m, L_m):
    """Mean strain of the strip at a given deflection."""
    return c_f**2 / c_eps * (f_m / L_m) ** 2


@formula("u_m", source=SUPPORTED)
def support_length_ratio(k_s, b_m, H_m, L_m):
    """Half span over the length in which the ground takes up the load."""
    return sqrt(k_s * b_m / H_m) * L_m / 2


@formula("t_m", source=SUPPORTED)
def half_span_tangent(u_m):
    """Hyperbolic tangent of the half span."""
    return (1 - exp(-2 * u_m)) / (1 + exp(-2 * u_m))


@formula("t_mh", source=SUPPORTED)
def quarter_span_tangent(u_m):
    """Hyperbolic tangent of a quarter span."""
    return (1 - exp(-u_m)) / (1 + exp(-u_m))


@formula("S_m", source=SUPPORTED)
def uniform_strain_factor(u_m, t_m):
    """Strain of the supported strip under uniform load; a series where the difference would lose its digits."""
    return where(
        u_m < 0.1,
        1 / 12 - u_m**2 / 15 + 17 * u_m**4 / 420 - 62 * u_m**6 / 2835,
        (t_m / u_m - 1 + t_m**2) / (8 * u_m**2),
    )


@formula("S_m", source=SUPPORTED)
def triangular_strain_factor(u_m, t_m):
    """Strain of the supported strip under a load with its peak at mid-span; a series where digits would be lost."""
    return where(
        u_m < 0.1,
        2 / 15 - 34 * u_m**2 / 315 + 62 * u_m**4 / 945 - 5528 * u_m**6 / 155925,
        (3 - t_m**2 - 3 * t_m / u_m) / (2 * u_m**4),
    )


@formula("S_m", source=SUPPORTED)
def inverse_strain_factor(u_m, t_m, t_mh):
    """Strain of the supported strip under a load with its peaks at the column heads; a series where digits go."""
    return where(
        u_m < 0.1,
        1 / 20 - u_m**2 / 28 + 37 * u_m**4 / 1728 - 61 * u_m**6 / 5280,
        (
            (3 - t_m**2 - 3 * t_m / u_m) / u_m**2
            + (t_m / u_m - 1 + t_m**2)
            - 2 * t_m * (2 * t_mh / u_m - 1 + t_m * t_mh) / u_m
        )
        / (2 * u_m**2),
    )


@formula("eps_m", source=SUPPORTED)
def supported_strain(S_m, F_m, H_m):
    """Mean strain of the strip supported by the ground."""
    return S_m / 2 * (F_m / H_m) ** 2


@formula("DH_m", source=SUPPORTED)
def force_gap(H_m, J_r, b_m, eps_m):
    """Horizontal force less that of the mean strain, zero at the solution."""
    return H_m - J_r * b_m * eps_m


@formula("V_e", source=SUPPORTED)
def uniform_edge_force(F_m, t_m, u_m):
    """Vertical force at the edge of the column head under uniform load."""
    return F_m * t_m / (2 * u_m)


@formula("V_e", source=SUPPORTED)
def triangular_edge_force(F_m, t_m, t_mh, u_m):
    """Vertical force at the edge of the column head under a load with its peak at mid-span."""
    return F_m * t_m * t_mh / u_m**2


@formula("V_e", source=SUPPORTED)
def inverse_edge_force(F_m, t_m, u_m, t_mh):
    """Vertical force at the edge of the column head under a load with its peaks there."""
    return F_m * t_m * (1 / u_m - t_mh / u_m**2)
