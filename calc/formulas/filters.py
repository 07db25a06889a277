"""Filters: sleeve against soil and fill, in both directions; granular filters; openings under strain."""

from dataclasses import dataclass

from numpy import maximum, minimum

from calc.formula import Source, formula

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
    """What a rule asks for up to a share of grains below 0.075 mm; ``bound`` is in coherent units."""

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
    """The permittivity asked for at a share of grains below 0.075 mm between 0 and 1; the range's end belongs to it."""
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
    """Permeability that the filter needs so that it does not dam the water of the soil."""
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
