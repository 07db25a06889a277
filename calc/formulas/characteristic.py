"""Cautious estimates of ground parameters from readings: mean or local value, with or without a trend with depth."""

from numpy import absolute, exp, log, sqrt

from calc.engine.formula import Source, formula, over_readings
from calc.engine.symbols import declare as _

_("x_r", "x", "kPa", 2, "value of a reading, corrected")
_("n_x", "n_x", "-", 0, "number of readings")
_("nu_x", "ν_x", "-", 0, "degrees of freedom of the readings about their mean")
_("nu_e", "ν_e", "-", 0, "degrees of freedom of the readings about their trend")
_("n_ef", "n_{eff}", "-", 3, "number of independent readings that tell as much as all of them")
_("x_av", "x_{av}", "kPa", 3, "mean of the readings")
_("s_x", "s_x", "kPa", 3, "standard deviation of the readings")
_("V_x", "V_x", "-", 4, "coefficient of variation of the readings")
_("V_kn", "V_{known}", "-", 3, "coefficient of variation known from elsewhere")
_("s_kn", "s_{known}", "kPa", 3, "standard deviation by the known coefficient of variation")
_("t_q", "t_{0.95}", "-", 4, "Student's t, one-sided 95 %")
_("t_s", "t_{0.975}", "-", 4, "Student's t, two-sided 95 %")
_("theta_v", "θ_v", "m", 2, "vertical scale of fluctuation")
_("L_av", "L_{av}", "m", 2, "height over which the ground averages its strength")
_("G_av", "Γ²", "-", 5, "variance of the mean over the averaging height relative to that of a point")
_("k_n", "k_n", "-", 4, "statistical coefficient")
_("x_low", "X_k", "kPa", 3, "cautious estimate, lower")
_("x_up", "X_{k,sup}", "kPa", 3, "cautious estimate, upper")
_("x_Sch", "X_{k,½}", "kPa", 3, "half a standard deviation from the mean, for comparison")
_("z_j", "z_j", "m", 2, "depth of a reading below ground level")
_("z_av", "z_{av}", "m", 3, "mean depth of the readings")
_("S_zz", "S_{zz}", "m^2", 3, "sum of the squared distances of the depths from their mean")
_("b_z", "b_z", "kPa/m", 4, "slope of the trend with depth")
_("a_z", "a_z", "kPa", 3, "value of the trend at ground level")
_("s_e", "s_e", "kPa", 4, "standard deviation of the readings from the trend")
_("R_sq", "R²", "-", 4, "share of the scatter that the trend explains")
_("t_b", "t_{sl}", "-", 3, "slope of the trend over its standard error")
_("V_tr", "V_{tr}", "-", 4, "standard deviation from the trend over the mean")
_("k_z", "k_z", "-", 4, "statistical coefficient of the trend at a depth")
_("x_1", "x_1", "kPa", 0, "unit for logarithms")
_("y_r", "y", "-", 5, "logarithm of a reading")
_("y_av", "y_{av}", "-", 5, "mean logarithm of the readings")
_("s_y", "s_y", "-", 5, "standard deviation of the logarithms")
_("x_use", "X_{used}", "kPa", 3, "value used in the calculation")
_("d_est", "Δ_x", "-", 3, "value used less cautious estimate, in standard deviations")

EUROCODE = Source("EN 1997-1:2004, 2.4.5.2(11), not more than 5 % probability of a worse value; textbook statistics",
             evidence="not inspected")  # fmt: skip
STATISTICS = Source("mean, standard deviation and least squares: mathematics", evidence="derived")
SCHNEIDER = Source("Schneider (1999), 12th European Conf. on Soil Mechanics, Amsterdam", evidence="not inspected")
VANMARCKE = Source("Vanmarcke (1977), J. Geotech. Eng. Div. ASCE 103(GT11), 1227–1246", evidence="not inspected")
COMBINED = Source("variance of a mean over a height and of the mean of the readings added", evidence="derived")
LOGARITHMS = Source("the same statistics of the logarithms; the mean is then the median", evidence="derived")
BOUNDS = Source("95 % normal quantile in place of Student's t, variance known", evidence="derived")


@formula("x_av", source=STATISTICS)
def mean_of_readings(x_r, n_x):
    """Mean of the readings."""
    return over_readings(x_r) / n_x


@formula("nu_x", source=STATISTICS)
def freedom_about_mean(n_x):
    """Degrees of freedom about the mean."""
    return n_x - 1


@formula("nu_e", source=STATISTICS)
def freedom_about_trend(n_x):
    """Degrees of freedom about a straight line."""
    return n_x - 2


@formula("s_x", source=STATISTICS)
def deviation_of_readings(x_r, x_av, nu_x):
    """Standard deviation of the readings."""
    return sqrt(over_readings((x_r - x_av) ** 2) / nu_x)


@formula("V_x", source=STATISTICS)
def variation_of_readings(s_x, x_av):
    """Coefficient of variation of the readings."""
    return s_x / x_av


@formula("s_kn", source=STATISTICS)
def deviation_by_known_variation(V_kn, x_av):
    """Standard deviation by a coefficient of variation that is known from elsewhere."""
    return V_kn * x_av


@formula("G_av", source=VANMARCKE)
def variance_reduction(theta_v, L_av):
    """Variance of the mean over a height relative to that of a point, exponential correlation."""
    return 0.5 * (theta_v / L_av) ** 2 * (2 * L_av / theta_v - 1 + exp(-2 * L_av / theta_v))


@formula("k_n", source=COMBINED)
def coefficient_by_student(t_q, G_av, n_ef):
    """Statistical coefficient, variance unknown."""
    return t_q * sqrt(G_av + 1 / n_ef)


@formula("k_n", source=BOUNDS)
def coefficient_by_known_variance(G_av, n_ef):
    """Statistical coefficient, variance known."""
    return 1.64485 * sqrt(G_av + 1 / n_ef)


@formula("x_low", source=EUROCODE)
def lower_estimate(x_av, k_n, s_x):
    """Cautious estimate where a low value is unfavourable."""
    return x_av - k_n * s_x


@formula("x_up", source=EUROCODE)
def upper_estimate(x_av, k_n, s_x):
    """Cautious estimate where a high value is unfavourable."""
    return x_av + k_n * s_x


@formula("x_Sch", source=SCHNEIDER)
def lower_half_deviation(x_av, s_x):
    """Half a standard deviation below the mean, for comparison."""
    return x_av - 0.5 * s_x


@formula("x_Sch", source=SCHNEIDER)
def upper_half_deviation(x_av, s_x):
    """Half a standard deviation above the mean, for comparison."""
    return x_av + 0.5 * s_x


@formula("z_av", source=STATISTICS)
def mean_depth(z_j, n_x):
    """Mean depth of the readings."""
    return over_readings(z_j) / n_x


@formula("S_zz", source=STATISTICS)
def spread_of_depths(z_j, z_av):
    """Sum of the squared distances of the depths from their mean."""
    return over_readings((z_j - z_av) ** 2)


@formula("b_z", source=STATISTICS)
def slope_of_trend(z_j, z_av, x_r, x_av, S_zz):
    """Slope of the straight line by least squares."""
    return over_readings((z_j - z_av) * (x_r - x_av)) / S_zz


@formula("a_z", source=STATISTICS)
def trend_at_ground_level(x_av, b_z, z_av):
    """Value of the straight line at ground level."""
    return x_av - b_z * z_av


@formula("s_e", source=STATISTICS)
def deviation_from_trend(x_r, a_z, b_z, z_j, nu_e):
    """Standard deviation of the readings from the straight line."""
    return sqrt(over_readings((x_r - a_z - b_z * z_j) ** 2) / nu_e)


@formula("R_sq", source=STATISTICS)
def explained_share(nu_e, s_e, nu_x, s_x):
    """Share of the scatter that the straight line explains."""
    return 1 - nu_e * s_e**2 / (nu_x * s_x**2)


@formula("t_b", source=STATISTICS)
def significance_of_slope(b_z, S_zz, s_e):
    """Slope over its standard error, compared with Student's t."""
    return absolute(b_z) * sqrt(S_zz) / s_e


@formula("V_tr", source=STATISTICS)
def variation_about_trend(s_e, x_av):
    """Standard deviation from the straight line over the mean."""
    return s_e / x_av


@formula("k_z", source=COMBINED)
def coefficient_of_trend(t_q, G_av, n_ef, n_x, z_j, z_av, S_zz):
    """Statistical coefficient of the straight line at a depth; readings that depend tell less of its slope, too."""
    return t_q * sqrt(G_av + 1 / n_ef + n_x / n_ef * (z_j - z_av) ** 2 / S_zz)


@formula("x_low", source=EUROCODE)
def lower_estimate_of_trend(a_z, b_z, z_j, k_z, s_e):
    """Cautious estimate at a depth where a low value is unfavourable."""
    return a_z + b_z * z_j - k_z * s_e


@formula("x_up", source=EUROCODE)
def upper_estimate_of_trend(a_z, b_z, z_j, k_z, s_e):
    """Cautious estimate at a depth where a high value is unfavourable."""
    return a_z + b_z * z_j + k_z * s_e


@formula("y_r", source=LOGARITHMS)
def logarithm_of_reading(x_r, x_1):
    """Logarithm of a reading."""
    return log(x_r / x_1)


@formula("y_av", source=LOGARITHMS)
def mean_of_logarithms(y_r, n_x):
    """Mean of the logarithms."""
    return over_readings(y_r) / n_x


@formula("s_y", source=LOGARITHMS)
def deviation_of_logarithms(y_r, y_av, nu_x):
    """Standard deviation of the logarithms."""
    return sqrt(over_readings((y_r - y_av) ** 2) / nu_x)


@formula("x_low", source=LOGARITHMS)
def lower_estimate_of_logarithms(x_1, y_av, k_n, s_y):
    """Cautious estimate of the median where a low value is unfavourable."""
    return x_1 * exp(y_av - k_n * s_y)


@formula("x_up", source=LOGARITHMS)
def upper_estimate_of_logarithms(x_1, y_av, k_n, s_y):
    """Cautious estimate of the median where a high value is unfavourable."""
    return x_1 * exp(y_av + k_n * s_y)


@formula("d_est", source=STATISTICS)
def distance_from_estimate(x_use, x_low, s_x):
    """Value used less the cautious estimate, in standard deviations of the readings."""
    return (x_use - x_low) / s_x
