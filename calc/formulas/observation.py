"""Back-analysis of settlement readings: line of equal steps, hyperbola, fit of the design's own course."""

from numpy import absolute, log, maximum, pi, sqrt

from calc.engine.formula import Source, formula, over_readings
from calc.engine.symbols import declare as _

_("s_ba", "s_{A,i−1}", "m", 1, "settlement at the start of an equal step", shown="mm")
_("s_bn", "s_{A,i}", "m", 1, "settlement at its end", shown="mm")
_("n_eq", "n_{eq}", "-", 0, "number of equal steps")
_("s_mba", "s_{A,m,i−1}", "m", 2, "mean settlement at the starts of the steps", shown="mm")
_("s_mbn", "s_{A,m,i}", "m", 2, "mean settlement at the ends of the steps", shown="mm")
_("Dt_as", "Δt_A", "day", 2, "equal step of time")
_("b_as", "β_1", "-", 5, "slope of the line of equal steps")
_("a_as", "β_0", "m", 2, "intercept of the line of equal steps", shown="mm")
_("nu_as", "ν_A", "-", 0, "degrees of freedom about the line of equal steps")
_("e_bas", "e_β", "-", 5, "standard error of the slope of the line of equal steps")
_("s_as", "s_{∞,A}", "m", 1, "final settlement under the load placed, by the line of equal steps", shown="mm")
_("w_as", "λ_A", "1/day", -5, "rate of consolidation by the line of equal steps")
_("c_hma", "c′_{h,A}", "m^2/day", -4, "coefficient of horizontal flow with load transfer, all flow horizontal")
_("c_hA", "c_{h,A}", "m^2/day", -4, "coefficient of horizontal flow of the soil, all flow horizontal")
_("c_vA", "c_{v,A}", "m^2/day", -4, "coefficient of vertical flow, all flow vertical")
_("ds_ba", "Δs_{A,i−1}", "m", 2, "distance of the start of a step from the mean of its own load", shown="mm")
_("ds_bn", "Δs_{A,i}", "m", 2, "distance of the end of a step from the mean of its own load", shown="mm")
_("b_com", "β_{1,c}", "-", 5, "common slope of parallel lines under several loads")
_("t_hy", "t_H", "day", 1, "time since the load was placed")
_("s_hy", "s_H", "m", 1, "settlement since the load was placed", shown="mm")
_("q_hy", "q_H", "day/m", 2, "time over settlement")
_("t_mhy", "t_{m,H}", "day", 2, "mean of the times")
_("q_mhy", "q_{m,H}", "day/m", 3, "mean of time over settlement")
_("n_hy", "n_{hy}", "-", 0, "number of readings in the window")
_("M_hy", "M", "1/m", 4, "slope of time over settlement")
_("C_hy", "C", "day/m", 3, "intercept of time over settlement")
_("s_hy0", "s_{0,H}", "m", 1, "settlement at the start of the time counted", shown="mm")
_("s_hyu", "s_{ult}", "m", 1, "asymptote of the hyperbola", shown="mm")
_("al_hy", "α", "-", 4, "slope factor of the window, slope of T/U against T from 60 % to 90 %")
_("s_hyf", "s_{∞,H}", "m", 1, "final settlement under the load placed, by the hyperbola with slope factor", shown="mm")
_("f_sf", "f_{s,r}", "-", 3, "factor on the settlement of the design, for modulus or share of the load")
_("s_dc", "s_{d,c}", "m", 1, "settlement by the course of the design with the fitted c_h", shown="mm")
_("s_ft", "s_{fit}", "m", 1, "settlement forecast by the fitted course", shown="mm")
_("s_fh", "s_{fit,ho}", "m", 1, "settlement forecast for the hand-over", shown="mm")
_("s_fl", "s_{fit,L}", "m", 1, "settlement forecast for the end of the design life", shown="mm")
_("s_fr", "s_{fit,res}", "m", 1, "settlement forecast from the hand-over to the end of the design life", shown="mm")
_("s_ob1", "s_{read}", "m", 1, "settlement read", shown="mm")
_("s_of", "s_∞", "m", 1, "final settlement under the load placed", shown="mm")
_("s_ofu", "s_{∞,u}", "m", 1, "final settlement under the load placed, upper end of its 95 % range", shown="mm")
_("U_os", "U_{s,r}", "-", 1, "degree of consolidation by settlement, of the load placed", shown="%")
_("U_osl", "U_{s,r,l}", "-", 1, "degree of consolidation by settlement, lower end of its 95 % range", shown="%")
_("u_rd", "u_{read}", "kPa", 2, "excess pore pressure read")
_("U_ou", "U_{u,r}", "-", 1, "degree of consolidation by pore pressure, of the load placed", shown="%")
_("u_nx", "u_{nx}", "-", 3, "largest utilisation over its limit in the stage to be placed, degree measured")
_("u_lim", "u_{lim}", "-", 3, "largest utilisation allowed")
_("c_uvt", "c_{u,vt}", "kPa", 2, "undrained strength measured, least of the layer")
_("c_uas", "c_{u,ask}", "kPa", 2, "undrained strength required before the stage")
_("d_rd", "δ_{read}", "m", 1, "lateral displacement read", shown="mm")
_("s_rd", "s_{rd}", "m", 1, "settlement read at the plate nearest to the axis, on the same day", shown="mm")
_("s_rdl", "s_{rd,l}", "m", 1, "least settlement that the displacement ratio counts with", shown="mm")
_("d_rdb", "δ_{read,b}", "m", 1, "lateral displacement read on the day, to the side of the instrument", shown="mm")
_("d_rda", "δ_{read,a}", "m", 1, "lateral displacement read before, from which it is counted", shown="mm")
_("s_rdb", "s_{read,b}", "m", 1, "settlement read on the day", shown="mm")
_("s_rda", "s_{read,a}", "m", 1, "settlement read before, from which it is counted", shown="mm")
_("t_rd", "Δt_{read}", "day", 3, "time between both readings")
_("v_rd", "v_{read}", "m/day", 2, "rate of settlement read", shown="mm/day")
_("w_rd", "v_{δ,read}", "m/day", 2, "rate of lateral displacement read", shown="mm/day")
_("s_rr", "s_{read,res}", "m", 1, "settlement read since the hand-over", shown="mm")
_("eps_rd", "ε_{R,read}", "-", 3, "ring strain read", shown="%")
_("J_rd", "J_{read}", "kN/m", 0, "stiffness that the sleeve has on the day of the reading")
_("F_rd", "F_{R,read}", "kN/m", 2, "ring tension by the strain read")
_("sigma_crd", "Δσ_{c,read}", "kPa", 2, "pressure on the columns read, mean of the cells")
_("sigma_srd", "Δσ_{s,read}", "kPa", 2, "pressure on the soil read, mean of the cells")
_("n_rd", "n_{read}", "-", 2, "stress ratio of column and soil read")
_("r_dis", "r_δ", "-", 3, "displacement ratio, lateral over vertical")
_("r_lag", "r_{lag}", "-", 3, "correlation of each residual with the one before")
_("k_lag", "k_r", "-", 3, "factor on the standard errors for residuals that depend on one another")

MANUAL = "Port Works Design Manual Part 3 (2002), Hong Kong, App. C"
APPENDIX_C = Source(f"{MANUAL}, after Asaoka (1978)", evidence="inspected")
SQUARES = Source("straight line by least squares: mathematics", evidence="derived")
TRANSFER = Source("definition of the coefficient with load transfer", evidence="derived")
PARALLEL = Source(f"lines of one slope by least squares; parallel after a new lift: {MANUAL}", evidence="derived")
TAN = Source("Tan (1971), Q. J. Eng. Geol. 4(3), 251, discussion", evidence="inspected")
SLOPE = Source("Tan, Inoue & Lee (1991); Tan & Chew (1996), Soils and Foundations 36(3), 31–42; slope factors "
               "calculated here, for a load whose earlier settlement is counted off derived here",
               evidence="not inspected")  # fmt: skip
FITTED = Source("project rule: the course of the design with two factors", evidence="derived")
DEFINITION = Source("definition", evidence="derived")
LAG = Source("lag of least squares; its bias after Marriott & Pope (1954), Biometrika 41, 390–402, from memory",
             evidence="not inspected")  # fmt: skip
DEPENDENT = Source("variance of a mean of readings of which each depends on the one before", evidence="derived")


@formula("s_mba", source=SQUARES)
def mean_start_of_steps(s_ba, n_eq):
    """Mean of the settlements at the starts of the steps."""
    return over_readings(s_ba) / n_eq


@formula("s_mbn", source=SQUARES)
def mean_end_of_steps(s_bn, n_eq):
    """Mean of the settlements at the ends of the steps."""
    return over_readings(s_bn) / n_eq


@formula("b_as", source=SQUARES)
def slope_of_steps(s_ba, s_mba, s_bn, s_mbn):
    """Slope of settlement at the end against settlement at the start of equal steps."""
    return over_readings((s_ba - s_mba) * (s_bn - s_mbn)) / over_readings((s_ba - s_mba) ** 2)


@formula("nu_as", source=SQUARES)
def freedom_about_steps(n_eq):
    """Degrees of freedom about the line of equal steps."""
    return n_eq - 2


@formula("e_bas", source=SQUARES)
def error_of_slope(s_bn, a_as, b_as, s_ba, nu_as, s_mba):
    """Standard error of the slope by the scatter about the line, which is not the whole of it: both axes scatter."""
    return sqrt(over_readings((s_bn - a_as - b_as * s_ba) ** 2) / (nu_as * over_readings((s_ba - s_mba) ** 2)))


@formula("a_as", source=SQUARES)
def intercept_of_steps(s_mbn, b_as, s_mba):
    """Intercept of the line of equal steps."""
    return s_mbn - b_as * s_mba


@formula("s_as", source=APPENDIX_C)
def final_by_steps(a_as, b_as):
    """Final settlement where the line of equal steps meets the line of equal settlements, slope below 1."""
    return a_as / (1 - b_as)


@formula("w_as", source=APPENDIX_C)
def rate_by_steps(b_as, Dt_as):
    """Rate of consolidation by the slope of the line of equal steps, between 0 and 1."""
    return -log(b_as) / Dt_as


@formula("c_hma", source=APPENDIX_C, clause="C5")
def horizontal_coefficient_by_steps(w_as, d_e, F_dr):
    """Coefficient of horizontal flow by the rate of the line of equal steps."""
    return w_as * d_e**2 * F_dr / 8


@formula("c_hA", source=TRANSFER)
def coefficient_of_soil(c_hma, f_tr):
    """Coefficient of horizontal flow of the soil alone, without load transfer to the columns."""
    return c_hma / f_tr


@formula("c_vA", source=APPENDIX_C, clause="C4")
def vertical_coefficient_by_steps(w_as, H_dr):
    """Coefficient of vertical flow by the rate of the line of equal steps."""
    return 4 * w_as * H_dr**2 / pi**2


@formula("b_com", source=PARALLEL)
def common_slope(ds_ba, ds_bn):
    """Common slope of the lines of equal steps under several loads."""
    return over_readings(ds_ba * ds_bn) / over_readings(ds_ba**2)


@formula("q_hy", source=TAN)
def time_over_settlement(t_hy, s_hy):
    """Time over settlement, both since the load was placed."""
    return t_hy / s_hy


@formula("t_mhy", source=SQUARES)
def mean_of_times(t_hy, n_hy):
    """Mean of the times in the window."""
    return over_readings(t_hy) / n_hy


@formula("q_mhy", source=SQUARES)
def mean_of_quotients(q_hy, n_hy):
    """Mean of time over settlement in the window."""
    return over_readings(q_hy) / n_hy


@formula("M_hy", source=SQUARES)
def slope_of_hyperbola(t_hy, t_mhy, q_hy, q_mhy):
    """Slope of time over settlement against time."""
    return over_readings((t_hy - t_mhy) * (q_hy - q_mhy)) / over_readings((t_hy - t_mhy) ** 2)


@formula("C_hy", source=SQUARES)
def intercept_of_hyperbola(q_mhy, M_hy, t_mhy):
    """Intercept of time over settlement."""
    return q_mhy - M_hy * t_mhy


@formula("s_hyu", source=TAN)
def asymptote(s_hy0, M_hy):
    """Settlement that the hyperbola tends to, which is more than the primary settlement."""
    return s_hy0 + 1 / M_hy


@formula("s_hyf", source=SLOPE)
def final_by_hyperbola(s_hy0, al_hy, M_hy):
    """Final settlement by the slope in the window from 60 % to 90 %."""
    return s_hy0 + al_hy / M_hy


@formula("s_ft", source=FITTED)
def fitted_settlement(f_sf, s_dc):
    """Settlement by the course of the design with fitted factors."""
    return f_sf * s_dc


@formula("s_fr", source=DEFINITION)
def forecast_residual(s_fl, s_fh):
    """Settlement that is left after the hand-over."""
    return s_fl - s_fh


@formula("U_os", source=DEFINITION)
def degree_by_settlement(s_ob1, s_of):
    """Degree of consolidation of the load placed, by settlement."""
    return s_ob1 / s_of


@formula("U_ou", source=DEFINITION)
def degree_by_pressure(u_rd, f_us, u_pl):
    """Degree of consolidation of the load placed, by the pressure at a sensor half-way between two columns."""
    return 1 - u_rd / (f_us * u_pl)


@formula("k_lag", source=DEPENDENT)
def error_factor(r_lag):
    """Factor on standard errors where each residual depends on the one before."""
    return sqrt((1 + r_lag) / (1 - r_lag))


@formula("r_dis", source=Source("its definition", evidence="derived"))
def displacement_ratio(d_rd, s_rd, s_rdl):
    """Lateral displacement over the settlement of the same time; a settlement that is smaller counts as the least."""
    return d_rd / maximum(s_rd, s_rdl)


@formula("w_rd", source=Source("its definition", evidence="derived"))
def lateral_rate(d_rdb, d_rda, t_rd):
    """Change of the lateral displacement in a day, to whatever side."""
    return absolute(d_rdb - d_rda) / t_rd


@formula("d_rd", source=Source("its definition", evidence="derived"))
def lateral_change(d_rdb, d_rda):
    """Change of the lateral displacement between two readings, to whatever side."""
    return absolute(d_rdb - d_rda)


@formula("s_rd", source=Source("its definition", evidence="derived"))
def settled_since(s_rdb, s_rda):
    """Settlement between two readings."""
    return s_rdb - s_rda


@formula("F_rd", source=Source("definition of the stiffness of the sleeve", evidence="derived"))
def tension_by_strain(J_rd, eps_rd):
    """Ring tension of the strain read, with the stiffness that the sleeve has on the day."""
    return J_rd * eps_rd
