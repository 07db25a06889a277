"""What driving the columns does to the ground beside them: heave and lateral displacement, vibration."""

from numpy import arctan, log, pi, sqrt

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("l_toN", "l_{t,N}", "m", 2, "distance of the neighbour from the toe of the slope")
_("l_tcl", "l_{tc,l}", "m", 2, "distance of the outermost columns inward from the toe of the left slope")
_("l_tcr", "l_{tc,r}", "m", 2, "distance of the outermost columns inward from the toe of the right slope")
_("l_tc", "l_{tc}", "m", 2, "distance of the outermost columns inward from the toe of the slope on this side")
_("r_N", "r_N", "m", 2, "distance of the neighbour from the outermost column axis")
_("b_FN", "b_{F,N}", "m", 2, "width of the column field, half a spacing beyond the outermost axes on both sides")
_("xi_1", "ξ_1", "m", 2, "distance from the near edge of the column field")
_("xi_2", "ξ_2", "m", 2, "distance from the far edge of the column field")
_("L_N", "L_N", "m", 2, "length of the column below the ground")
_("v_N", "v_N", "m", 3, "volume displaced on the area of the column field")
_("eta_l", "η_l", "-", 2, "least share of the displaced volume that comes up inside the field")
_("eta_u", "η_u", "-", 2, "largest share of the displaced volume that comes up inside the field")
_("u_hl", "u_{h,l}", "m", 0, "least heave inside the column field", shown="mm")
_("u_hu", "u_{h,u}", "m", 0, "largest heave inside the column field", shown="mm")
_("u_el", "u_{e,l}", "m", 0, "least mean lateral displacement at the edge of the column field", shown="mm")
_("u_eu", "u_{e,u}", "m", 0, "largest mean lateral displacement at the edge of the column field", shown="mm")
_("u_1", "u_1", "m", 1, "lateral displacement by the nearest column alone, without heave", shown="mm")
_("u_r1", "u_{r,1}", "m", 1, "lateral displacement at the surface by the nearest column alone", shown="mm")
_("u_z1", "u_{z,1}", "m", 1, "heave by the nearest column alone", shown="mm")
_("u_xF", "u_{x,F}", "m", 1, "lateral displacement at the surface by all columns, superposed", shown="mm")
_("u_zF", "u_{z,F}", "m", 1, "heave by all columns, superposed", shown="mm")
_("u_xm", "u_{x,max}", "m", 1, "lateral displacement that the owner allows", shown="mm")
_("u_zm", "u_{z,max}", "m", 1, "heave that the owner allows", shown="mm")
_("k_vib", "k_v", "m/day", 0, "factor of the peak particle velocity at the reference distance", shown="mm/s")
_("delta_v", "δ_v", "-", 1, "exponent of the decay of vibration with distance")
_("r_v1", "r_1", "m", 2, "reference distance of the equations for vibration")
_("v_PPV", "v_{PPV}", "m/day", 2, "peak particle velocity", shown="mm/s")
_("v_Nm", "v_{PPV,max}", "m/day", 2, "peak particle velocity that the owner allows", shown="mm/s")
_("r_vm", "r_{v,max}", "m", 1, "distance from the columns at which the velocity falls to the one allowed")

GEOMETRY = Source("geometry of cross-section and column field", evidence="derived")
BALANCE = Source("balance of volume: what does not come up inside goes out to both sides", evidence="derived")
PLANE = Source("incompressible ground round one column, without heave", evidence="derived")
PATH = Source("Sagaseta & Whittle (2001), J. Geotech. Geoenviron. Eng. 127", evidence="not inspected")
FIELD = Source(
    "sum of Sagaseta & Whittle (2001) ◦ over a long field, integrated here: upper screen, not a prediction",
    evidence="derived",
)
TRL = Source("TRL Report 429 (2000), eq. 20, 22", evidence="not inspected")


@formula("l_tcl", source=GEOMETRY)
def columns_from_left_toe(x_cl, x_tl):
    """Distance of the outermost columns inward from the toe of the left slope."""
    return x_cl - x_tl


@formula("l_tcr", source=GEOMETRY)
def columns_from_right_toe(x_tr, x_cr):
    """Distance of the outermost columns inward from the toe of the right slope."""
    return x_tr - x_cr


@formula("r_N", source=GEOMETRY)
def distance_from_columns(l_toN, l_tc):
    """Distance of the neighbour from the outermost column axis."""
    return l_toN + l_tc


@formula("b_FN", source=GEOMETRY)
def width_of_displacing_field(x_cr, x_cl, a_x):
    """Width of the column field, half a spacing beyond the outermost axes on both sides."""
    return x_cr - x_cl + a_x


@formula("xi_1", source=GEOMETRY)
def distance_from_near_edge(r_N, a_x):
    """Distance of the neighbour from the near edge of the column field."""
    return r_N - a_x / 2


@formula("xi_2", source=GEOMETRY)
def distance_from_far_edge(xi_1, b_FN):
    """Distance of the neighbour from the far edge of the column field."""
    return xi_1 + b_FN


@formula("L_N", source=GEOMETRY)
def displacing_length(t_soft, t_emb):
    """Length of the column below the ground, all of which displaces soil."""
    return t_soft + t_emb


@formula("v_N", source=BALANCE)
def displaced_volume(a_E, L_N):
    """Volume displaced on the area of the column field."""
    return a_E * L_N


@formula("u_hl", source=BALANCE)
def least_heave_inside(eta_l, v_N):
    """Mean heave inside the column field with the least share of the volume."""
    return eta_l * v_N


@formula("u_hu", source=BALANCE)
def largest_heave_inside(eta_u, v_N):
    """Mean heave inside the column field with the largest share of the volume."""
    return eta_u * v_N


@formula("u_el", source=BALANCE)
def least_displacement_at_edge(eta_u, a_E, b_FN):
    """Mean lateral displacement over the length of the columns at the edge of the field, with the largest heave."""
    return (1 - eta_u) * a_E * b_FN / 2


@formula("u_eu", source=BALANCE)
def largest_displacement_at_edge(eta_l, a_E, b_FN):
    """Mean lateral displacement over the length of the columns at the edge of the field, with the least heave."""
    return (1 - eta_l) * a_E * b_FN / 2


@formula("u_1", source=PLANE)
def plane_displacement(r_N, r_c):
    """Lateral displacement by the nearest column alone, without heave."""
    return sqrt(r_N**2 + r_c**2) - r_N


@formula("u_r1", source=PATH)
def surface_displacement(r_c, L_N, r_N):
    """Lateral displacement at the surface by the nearest column alone."""
    return r_c**2 / 2 * L_N / (r_N * sqrt(r_N**2 + L_N**2))


@formula("u_z1", source=PATH)
def surface_heave(r_c, r_N, L_N):
    """Heave of the surface by the nearest column alone."""
    return r_c**2 / 2 * (1 / r_N - 1 / sqrt(r_N**2 + L_N**2))


@formula("u_xF", source=FIELD)
def field_displacement(a_E, xi_1, xi_2, L_N):
    """Lateral displacement at the surface by all columns of a long field, superposed."""
    return (
        a_E
        / pi
        * (
            xi_2 * arctan(L_N / xi_2)
            - xi_1 * arctan(L_N / xi_1)
            + L_N / 2 * log((xi_2**2 + L_N**2) / (xi_1**2 + L_N**2))
        )
    )


@formula("u_zF", source=FIELD)
def field_heave(a_E, xi_1, xi_2, L_N):
    """Heave of the surface by all columns of a long field, superposed."""
    return (
        a_E
        / (2 * pi)
        * (
            xi_2 * log(1 + (L_N / xi_2) ** 2)
            - xi_1 * log(1 + (L_N / xi_1) ** 2)
            + 2 * L_N * (arctan(xi_2 / L_N) - arctan(xi_1 / L_N))
        )
    )


@formula("v_PPV", source=TRL)
def peak_particle_velocity(k_vib, r_N, r_v1, delta_v):
    """Peak particle velocity at the neighbour, exceeded with the probability of this factor."""
    return k_vib / (r_N / r_v1) ** delta_v


@formula("r_vm", source=TRL)
def distance_of_allowed_velocity(r_v1, k_vib, v_Nm, delta_v):
    """Distance from the columns at which the peak particle velocity falls to the one allowed."""
    return r_v1 * (k_vib / v_Nm) ** (1 / delta_v)
