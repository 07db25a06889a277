"""Filters: sleeve against soil and fill, in both directions; granular filters; openings under strain."""

from dataclasses import dataclass

from numpy import maximum, minimum

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("D_15", "D_{15}", "m", -3, "grain diameter at 15 % passing", shown="mm")
_("D_60", "D_{60}", "m", -3, "grain diameter at 60 % passing", shown="mm")
_("D_85", "D_{85}", "m", -3, "grain diameter at 85 % passing", shown="mm")
_("C_U", "C_U", "-", 2, "coefficient of uniformity")
_("O_95", "O_{95}", "m", -3, "opening size of the geotextile", shown="mm")
_("O_max", "O_{max}", "m", -3, "largest opening size that holds the grains back", shown="mm")
_("O_cap", "O_{cap}", "m", -3, "largest opening size for fine soils whatever their grading", shown="mm")
_("O_min", "O_{min}", "m", -3, "smallest opening size that does not clog", shown="mm")
_("O_eps", "O_ε", "m", -3, "opening size of the strained geotextile", shown="mm")
_("d_y", "d_y", "m", -3, "width of the yarn between two openings", shown="mm")
_("B_f", "B_f", "-", 3, "coefficient of retention")
_("B_cap", "B_{cap}", "-", 3, "largest coefficient of retention")
_("f_dyn", "f_{dyn}", "-", 2, "share of the grain diameter allowed as opening under reversing flow")
_("f_O", "f_O", "-", 2, "multiple of the fine grains below which the openings clog")
_("f_k", "f_k", "-", 1, "ratio of permeabilities required")
_("k_g", "k_g", "m/day", -3, "permeability of the geotextile", shown="m/s")
_("k_so", "k_{so}", "m/day", -3, "permeability of the soil beside the filter", shown="m/s")
_("k_req", "k_{req}", "m/day", -3, "permeability required of the filter", shown="m/s")
_("t_g", "t_g", "m", 2, "thickness of the geotextile", shown="mm")
_("psi_g", "ψ_g", "1/day", -3, "permittivity of the geotextile", shown="1/s")
_("i_sg", "i_{sg}", "-", 3, "hydraulic gradient over the geotextile and the soil next to it")
_("i_s", "i_s", "-", 3, "hydraulic gradient in the soil")
_("G_R", "G_R", "-", 3, "gradient ratio")
_("f_ret", "f_{ret}", "-", 1, "ratio of grain diameters that holds the base soil back")
_("f_perm", "f_{perm}", "-", 1, "ratio of grain diameters that lets water pass")
_("D_15max", "D_{15,max}", "m", -3, "largest D15 of the filter that holds the base soil back", shown="mm")
_("D_15min", "D_{15,min}", "m", -3, "smallest D15 of the filter that lets water pass", shown="mm")
_("D_15low", "D_{15,low}", "m", -3, "smallest D15 of any filter", shown="mm")

RETENTION = Source(
    "Christopher & Holtz (1985), FHWA-TS-86/203; FHWA-NHI-07-092 (2008), ch. 2; above a coefficient of uniformity of 8 "
    "and above 1 on the safe side by a project rule",
    evidence="not inspected",
)
PERMITTIVITY = Source("AASHTO M 288, as in UFGS 02373, guide note", evidence="inspected")
FHWA = Source("Christopher & Holtz (1985), FHWA-TS-86/203; FHWA-NHI-07-092 (2008), ch. 2", evidence="not inspected")
GRADIENT = Source("gradient ratio test, ASTM D5101 (2012)", evidence="not inspected")
GRANULAR = Source("Terzaghi & Peck (1948), filter criteria", evidence="not inspected")
MANUALS = Source(
    "EM 1110-2-1901 (1986) and USBR Design Standards No. 13 (2011), as quoted in public", evidence="inspected"
)
DEFINITION = Source("definition", evidence="derived")
OPENING = Source("all strain opens the gap between stiff yarns", evidence="derived")


@dataclass(frozen=True)
class FinesRule:
    """What a rule requires up to a share of grains below 0.075 mm; ``bound`` is in coherent units."""

    fines_up_to: float
    bound: float
    source: Source


PER_SECOND = 86400.0
# Least permittivity (1/day) by the share of grains below 0.075 mm.
LEAST_PERMITTIVITY = (
    FinesRule(0.15, 0.5 * PER_SECOND, PERMITTIVITY),
    FinesRule(0.50, 0.2 * PER_SECOND, PERMITTIVITY),
    FinesRule(1.00, 0.1 * PER_SECOND, PERMITTIVITY),
)


def least_permittivity(fines: float) -> FinesRule:
    """The permittivity required at a share of grains below 0.075 mm between 0 and 1; the range's end belongs to it."""
    if not 0 <= fines <= 1:
        message = f"the share of grains below 0.075 mm must be between 0 and 1 (got {fines:g})"
        raise ValueError(message)
    return next(rule for rule in LEAST_PERMITTIVITY if fines <= rule.fines_up_to)


@formula("C_U", source=DEFINITION)
def uniformity(D_60, D_10):
    """Coefficient of uniformity of a grading."""
    return D_60 / D_10


@formula("B_f", source=RETENTION)
def retention_coefficient(C_U, B_cap):
    """Coefficient of retention of soils with at least half of their grains above 0.075 mm, in one line."""
    return minimum(B_cap, minimum(maximum(1, 0.5 * C_U), 8 / C_U))


@formula("O_max", source=FHWA)
def largest_opening(B_f, D_85):
    """Largest opening size that holds the grains back under steady flow."""
    return B_f * D_85


@formula("O_max", source=FHWA)
def largest_opening_for_fine_soil(B_f, D_85, O_cap):
    """Largest opening size for soils with more than half of their grains below 0.075 mm, under steady flow."""
    return minimum(B_f * D_85, O_cap)


@formula("O_max", source=FHWA)
def largest_opening_under_reversing_flow(f_dyn, D_85):
    """Largest opening size that holds the grains back when the flow reverses."""
    return f_dyn * D_85


@formula("O_min", source=FHWA)
def smallest_opening(f_O, D_15):
    """Smallest opening size that lets fine grains pass instead of clogging, for gradings that are not uniform."""
    return f_O * D_15


@formula("k_req", source=FHWA)
def required_permeability(f_k, k_so):
    """Permeability that the filter requires so as not to dam the water of the soil."""
    return f_k * k_so


@formula("psi_g", source=DEFINITION)
def permittivity(k_g, t_g):
    """Permittivity of the geotextile."""
    return k_g / t_g


@formula("G_R", source=GRADIENT)
def gradient_ratio(i_sg, i_s):
    """Gradient over geotextile and soil next to it over the gradient in the soil."""
    return i_sg / i_s


@formula("O_eps", source=OPENING)
def strained_opening(O_95, eps_R, d_y):
    """Opening size of a woven sleeve under its ring strain, an upper bound."""
    return O_95 + eps_R * (O_95 + d_y)


@formula("D_15max", source=GRANULAR)
def largest_filter_grain(f_ret, D_85):
    """Largest D15 of a granular filter that holds the base soil back."""
    return f_ret * D_85


@formula("D_15min", source=MANUALS)
def smallest_filter_grain(f_perm, D_15, D_15low):
    """Smallest D15 of a granular filter that lets the water of the base soil pass."""
    return maximum(f_perm * D_15, D_15low)
