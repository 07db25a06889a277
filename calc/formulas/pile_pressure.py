"""Lateral pressure of soft ground on piles beside a surcharge: a screen by several methods, and moments of a beam."""

from numpy import arcsin, cos, maximum, minimum, pi, sin, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("q_N", "q_N", "kPa", 2, "pressure of the embankment on the soft ground with all traffic, columns not counted")
_("c_uN", "c_{u,N}", "kPa", 2, "mean undrained shear strength of the soft ground at the piles")
_("d_N", "d_N", "m", 3, "diameter or width of the pile")
_("a_N", "a_N", "m", 3, "spacing of the piles along the embankment")
_("h_N", "h_N", "m", 2, "length of the pile in the soft ground")
_("r_qc", "r_{q,c}", "-", 2, "pressure of the embankment over undrained shear strength")
_("r_q3", "r_{q,n}", "-", 2, "load level up to which the piles are only noted")
_("r_qf", "r_{q,f}", "-", 2, "load level at which the soft ground itself fails and the methods are not applicable")
_("alpha_N", "α_N", "-", 2, "adhesion on the pile over undrained shear strength")
_("Delta_N", "Δ_N", "rad", 3, "angle of the adhesion on the pile", shown="deg")
_("N_N", "N_N", "-", 3, "factor of the ground flowing round the pile")
_("p_RH", "p_{RH}", "kN/m", 1, "pressure on the pile with ground flowing round it, by plasticity theory")
_("K_fl", "K_{fl}", "-", 2, "factor of the ground flowing round the pile, as given")
_("p_flo", "p_{flow}", "kN/m", 1, "pressure on the pile with ground flowing round it, by the factor given")
_("f_bN", "f_{b,N}", "-", 2, "greatest width loaded over the diameter of the pile")
_("b_N", "b_N", "m", 3, "width of ground that loads one pile")
_("De_N", "Δe", "kPa", 2, "resultant earth pressure on the row of piles")
_("p_De", "p_{Δe}", "kN/m", 1, "resultant earth pressure on the pile")
_("p_EA", "p_{EA}", "kN/m", 1, "lateral pressure on the pile, smaller of earth pressure and flow")
_("alpha_DB", "α_{DB}", "rad", 2, "inclination of the substitute slope", shown="deg")
_("phi_DB", "φ_{DB}", "rad", 2, "friction angle of the soft ground in this method", shown="deg")
_("f_DB", "f_{DB}", "-", 3, "share of the pressure of the embankment that acts on the pile")
_("p_DB", "p_{DB}", "kN/m", 1, "lateral pressure on the pile as a share of the pressure of the embankment")
_("p_N", "p_N", "kN/m", 1, "lateral pressure on the pile, largest of the methods that apply, or its upper bound")
_("M_pr", "M_{pr}", "kN*m", 1, "moment of the pile held at one end and propped at the other")
_("M_fr", "M_{fr}", "kN*m", 1, "moment of the pile with a free head, held at the bottom of the soft ground")
_("i_hN", "i_{h,N}", "-", 0, "the pile head is held against displacement (1) or free (0)")
_("M_N", "M_N", "kN*m", 1, "moment of the pile from lateral pressure with its head as given")
_("M_Nm", "M_{N,max}", "kN*m", 1, "bending moment that the owner allows for the pile")

LOAD = Source(
    "project rule: all load on the soft ground until it has consolidated; columns relieve it later", evidence="derived"
)
RATIO = Source("definition of the load level of a surcharge beside piles", evidence="derived")
RANDOLPH = Source("Randolph & Houlsby (1984), Géotechnique 34(4)", evidence="not inspected")
EA = Source("EA-Pfähle (2012), ch. 4.5", evidence="not inspected")
DE_BEER = Source("De Beer & Wallays (1972), Madrid", evidence="not inspected")
LARGEST = Source("project rule: the largest of the methods that apply", evidence="derived")
BOUND = Source(
    "project rule: without a share of the surcharge that holds, no method but flow bounds the pressure from above",
    evidence="derived",
)
BEAM = Source("statics of a beam under uniform load", evidence="derived")


@formula("q_N", source=LOAD)
def pressure_beside_neighbour(Dsigma_0, q):
    """Pressure of the embankment on the soft ground, with all of the traffic load."""
    return Dsigma_0 + q


@formula("q_N", source=LOAD)
def pressure_with_initial_platform(Dsigma_0, gamma_P, t_P, q):
    """Pressure of the embankment on the soft ground, with a platform that was there before the columns and traffic."""
    return Dsigma_0 + gamma_P * t_P + q


@formula("r_qc", source=RATIO)
def load_level(q_N, c_uN):
    """Pressure of the embankment over undrained shear strength."""
    return q_N / c_uN


@formula("Delta_N", source=RANDOLPH)
def adhesion_angle(alpha_N):
    """Angle of the adhesion on the pile."""
    return arcsin(alpha_N)


@formula("N_N", source=RANDOLPH)
def flow_factor(Delta_N):
    """Factor of the ground flowing round a circular pile: 9.14 where it is smooth, 11.94 where it is rough."""
    return pi + 2 * Delta_N + 2 * cos(Delta_N) + 4 * (cos(Delta_N / 2) + sin(Delta_N / 2))


@formula("p_RH", source=RANDOLPH)
def plastic_flow_pressure(N_N, c_uN, d_N):
    """Pressure on the pile with ground flowing round it, by plasticity theory."""
    return N_N * c_uN * d_N


@formula("p_flo", source=EA)
def flow_pressure(K_fl, c_uN, d_N):
    """Pressure on the pile with ground flowing round it, by the factor given."""
    return K_fl * c_uN * d_N


@formula("b_N", source=EA)
def loading_width(a_N, f_bN, d_N, h_N):
    """Width of ground that loads one pile: the spacing, a multiple of the diameter, or the thickness of the layer."""
    return minimum(minimum(a_N, f_bN * d_N), h_N)


@formula("De_N", source=EA)
def resultant_earth_pressure(q_N, c_uN):
    """Resultant earth pressure on the row of piles, active less passive of undrained ground."""
    return maximum(q_N - 2 * c_uN, 0)


@formula("p_De", source=EA)
def earth_pressure_on_pile(De_N, b_N):
    """Resultant earth pressure on the width of ground that loads one pile."""
    return De_N * b_N


@formula("p_EA", source=EA)
def smaller_of_earth_pressure_and_flow(p_De, p_flo):
    """Lateral pressure on the pile: no more than the ground can bring before it flows round the pile."""
    return minimum(p_De, p_flo)


@formula("f_DB", source=DE_BEER)
def share_of_surcharge(alpha_DB, phi_DB):
    """Share of the pressure of the embankment that acts on the pile."""
    return maximum((alpha_DB - phi_DB / 2) / (pi / 2 - phi_DB / 2), 0)


@formula("p_DB", source=DE_BEER)
def surcharge_on_pile(f_DB, q_N, d_N):
    """Lateral pressure on the pile as a share of the pressure of the embankment."""
    return f_DB * q_N * d_N


@formula("p_N", source=LARGEST)
def largest_pile_pressure(p_EA, p_DB):
    """Lateral pressure on the pile, the larger of the two methods."""
    return maximum(p_EA, p_DB)


@formula("p_N", source=BOUND)
def bounding_pile_pressure(p_RH, p_flo):
    """Upper bound of the lateral pressure on the pile: the ground flows round it, whatever loads the ground."""
    return maximum(p_RH, p_flo)


@formula("M_pr", source=BEAM)
def moment_propped(p_N, h_N):
    """Moment of the pile that is held at one end of the soft ground and propped at the other."""
    return p_N * h_N**2 / 8


@formula("M_fr", source=BEAM)
def moment_with_free_head(p_N, h_N):
    """Moment of the pile that is held at the bottom of the soft ground alone."""
    return p_N * h_N**2 / 2


@formula("M_N", source=BEAM)
def pile_moment(i_hN, M_pr, M_fr):
    """Moment of the pile, by whether its head is held against displacement."""
    return where(i_hN > 0, M_pr, M_fr)
