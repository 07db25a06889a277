"""Arching as shells of several arches over the diagonal of the grid."""

from dataclasses import dataclass

from numpy import arctan, minimum, pi, sqrt

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("sigma_cA", "σ_{c,A}", "kPa", 2, "pressure of the arches on the column head")
_("r_ds", "κ_d", "-", 3, "width of the column head over the spacing, for the limits of use")
_("r_hs", "κ_h", "-", 3, "fill height over the clear distance of the column heads, for the limits of use")
_("s_1", "s_1", "m", 3, "spacing of the columns in one direction")
_("s_2", "s_2", "m", 3, "spacing of the columns in the other direction")
_("h_g", "h_g", "m", 4, "height of the arches")
_("lambda_1", "λ_1", "m^2", 4, "first auxiliary value of the arches")
_("lambda_2", "λ_2", "-", 4, "second auxiliary value of the arches")
_("chi", "χ", "-", 4, "exponent of the arches")
_("A_L", "A_L", "m^2", 4, "area whose load one strip of reinforcement carries")

EBGEO = Source(
    "EBGEO (2010), German Geotechnical Society, ch. 9; Zaeske (2001), Univ. Gh Kassel", evidence="not inspected"
)
GEOMETRY = Source("geometry of the grid", evidence="derived")
STATICS = Source("definition", evidence="derived")
EQUAL_AREA = Source("side of the square of equal area", evidence="derived")


@dataclass(frozen=True)
class UseLimit:
    """A limit of use of a model: the symbol looked at, the bound, and which side of it is allowed."""

    symbol: str
    bound: float
    at_least: bool
    source: Source


USE_LIMITS = (
    UseLimit("r_ds", 0.15, at_least=True, source=EBGEO),
    UseLimit("r_hs", 0.8, at_least=True, source=EBGEO),
    UseLimit("L_m", 3.0, at_least=False, source=EBGEO),
    UseLimit("r_k", 75.0, at_least=True, source=EBGEO),
)
# Under heavy live load the clear distance is held to less.
CLEAR_DISTANCE_UNDER_HEAVY_LOAD = UseLimit("L_m", 2.5, at_least=False, source=EBGEO)


@formula("s_d", source=GEOMETRY)
def diagonal_spacing(s_1, s_2):
    """Spacing of the columns along the diagonal of a rectangular grid."""
    return sqrt(s_1**2 + s_2**2)


@formula("h_g", source=EBGEO)
def arch_height(H, s_d):
    """Height of the arches."""
    return minimum(H, s_d / 2)


@formula("lambda_1", source=EBGEO)
def first_arch_value(s_d, d_c):
    """First auxiliary value of the arches."""
    return (s_d - d_c) ** 2 / 8


@formula("lambda_2", source=EBGEO)
def second_arch_value(s_d, d_c):
    """Second auxiliary value of the arches."""
    return (s_d**2 + 2 * d_c * s_d - d_c**2) / (2 * s_d**2)


@formula("chi", source=EBGEO)
def arch_exponent(d_c, K_p, lambda_2, s_d):
    """Exponent of the arches, none without friction."""
    return d_c * (K_p - 1) / (lambda_2 * s_d)


@formula("sigma_sA", source=EBGEO)
def pressure_below_shells(gamma_E, H, f_q, q, f_G, lambda_1, lambda_2, h_g, chi):
    """Pressure below the arches between the column heads, the source's powers gathered to powers of ratios."""
    return (f_G * gamma_E + f_q * q / H) * (
        (H - h_g) * (lambda_1 / (lambda_1 + h_g**2 * lambda_2)) ** chi
        + h_g * (lambda_1 / (lambda_1 + h_g**2 * lambda_2 / 4)) ** chi
    )


@formula("sigma_cA", source=EBGEO)
def pressure_on_head(sigma_E, sigma_sA, A_E, A_c):
    """Pressure of the arches on the column head."""
    return (sigma_E - sigma_sA) * A_E / A_c + sigma_sA


@formula("A_L", source=EBGEO)
def strip_area(s_1, s_2, d_c):
    """Area whose load the strip in the first direction carries."""
    return s_1 * s_2 / 2 - d_c**2 / 2 * arctan(s_2 / s_1)


@formula("F_m", source=EBGEO)
def strip_load_of_area(A_L, sigma_sA):
    """Load on the strip between two column heads."""
    return A_L * sigma_sA


@formula("b_m", source=EQUAL_AREA)
def strip_width(d_c):
    """Width of the strip, that of the square of the area of the column head."""
    return d_c * sqrt(pi) / 2


@formula("r_ds", source=STATICS)
def diameter_over_spacing(d_c, s_d):
    """Diameter of the column head over the spacing, for the limits of use."""
    return d_c / s_d


@formula("r_hs", source=STATICS)
def height_over_clear_distance(H, s_d, d_c):
    """Fill height over the clear distance of the column heads, for the limits of use."""
    return H / (s_d - d_c)
