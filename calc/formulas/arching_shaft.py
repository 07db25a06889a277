"""Arching as friction on the vertical faces of the fill above the column head."""

from numpy import exp, tan, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("U_a", "U_a", "m", 4, "perimeter of the column head")
_("K_T", "K_T", "-", 2, "coefficient of lateral pressure on the vertical faces above the column head")
_("chi_T", "χ_T", "-", 4, "friction on the vertical faces over the load beside the column head")

SHAFT = Source(
    "Filz & Smith (2006), Virginia Transp. Res. Council 06-CR12; FHWA-NHI-16-028, ch. 6", evidence="not inspected"
)
GEOMETRY = Source("geometry of the column head", evidence="derived")


@formula("U_a", source=GEOMETRY)
def head_perimeter(a_q):
    """Perimeter of the square column head."""
    return 4 * a_q


@formula("chi_T", source=SHAFT)
def shaft_friction(U_a, K_T, phi, H, A_s):
    """Friction on the vertical faces over the whole height, related to the load beside the column head."""
    return U_a * K_T * tan(phi) * H / A_s


@formula("sigma_sA", source=SHAFT)
def pressure_beside_shaft(chi_T, f_G, gamma_E, H, f_q, q):
    """Pressure beside the column head at the foot of the vertical faces, with its limit for little friction."""
    return where(
        chi_T > 0.000001,
        f_G * gamma_E * H * (1 - exp(-chi_T)) / chi_T + f_q * q * exp(-chi_T),
        f_G * gamma_E * H + f_q * q,
    )
