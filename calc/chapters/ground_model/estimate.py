"""The cautious estimate of a value: statistics of its readings, constant over the layer or along a trend with depth."""

import numpy as np

from calc.chapters.ground_model.chosen_value import Chosen
from calc.engine.formula import Source
from calc.engine.sheet import Origin, Scope, Value, number_text
from calc.engine.words import words_of
from calc.formulas.characteristic import (
    coefficient_by_known_variance,
    coefficient_by_student,
    coefficient_of_trend,
    deviation_by_known_variation,
    deviation_from_trend,
    deviation_of_logarithms,
    deviation_of_readings,
    explained_share,
    freedom_about_mean,
    freedom_about_trend,
    logarithm_of_reading,
    lower_estimate,
    lower_estimate_of_logarithms,
    lower_estimate_of_trend,
    lower_half_deviation,
    mean_depth,
    mean_of_logarithms,
    mean_of_readings,
    significance_of_slope,
    slope_of_trend,
    spread_of_depths,
    trend_at_ground_level,
    upper_estimate,
    upper_estimate_of_logarithms,
    upper_estimate_of_trend,
    upper_half_deviation,
    variance_reduction,
    variation_about_trend,
    variation_of_readings,
)
from calc.inputs.tables.ground_model import TREND
from calc.procedures.reading_statistics import independent_readings, student_t

say = words_of(__name__)

FEWEST, SMALL = 4, 10
LARGEST_VARIATION = 0.3
ALIKE = 1e-9  # of the mean; less scatter is none
STUDENT = Source(
    "Student (1908), Biometrika 6, 1–25; sum of Abramowitz & Stegun (1964), 26.7", evidence="not inspected"
)
FLUCTUATION = Source("exponential correlation exp(−2·|Δz|/θ), variance of the mean of correlated readings", "derived")


def estimate(chosen: Chosen, scope: Scope) -> bool:
    """Mean, scatter and trend of the readings, then the estimate that the project asks for; whether there is one."""
    x, value = scope["x_r"], chosen.value
    count = len(chosen.readings)
    chosen.depths(scope)
    scope.reading("n_x", count, title=say("count-title"), inputs=[x])
    if count < FEWEST:
        chosen.open(say("few-why", count=count, fewest=FEWEST))
        return False
    mean = scope(mean_of_readings)
    scope(freedom_about_mean)
    deviation = scope(deviation_of_readings)
    if float(deviation.array) <= ALIKE * float(mean.array):
        chosen.open(say("alike-why"))
        return False
    scope(variation_of_readings)
    _averaging(chosen, scope)
    trended = _trend(scope)
    significant = trended and float(scope["t_b"].array) > float(scope["t_s"].array)
    if value.estimate == TREND and significant:
        if float(scope["V_tr"].array) > LARGEST_VARIATION:
            chosen.open(say("scatter-why", largest=number_text(LARGEST_VARIATION, 1)))
            return False
        _along_trend(chosen, scope)
    else:
        _constant(chosen, scope)
        if trended:
            _estimate_along_trend(chosen, scope, significant=significant)
        elif value.estimate == TREND:
            chosen.notes.append(say("no-trend"))
    return True


def _averaging(chosen: Chosen, scope: Scope) -> None:
    """How much of the scatter of a point the ground averages, and how many readings are independent."""
    value = chosen.value
    if value.theta is not None and value.averaging is not None:
        chosen.given_of_field(scope, "theta_v", "theta.value", value.theta.value)
        chosen.given_of_field(scope, "L_av", "averaging", value.averaging)
        scope(variance_reduction)
        places, depths = zip(
            *((reading.first.location, reading.first.depth) for reading in chosen.readings), strict=True
        )
        number = independent_readings(places, depths, value.theta.value)
        scope.reading(
            "n_ef", number, title=say("independent-title"), source=FLUCTUATION,
            inputs=[scope["z_j"], scope["theta_v"]], note=say("independent-note"),
        )  # fmt: skip
        return
    local = value.estimate == "local"
    text = say("local-rule") if local else say("mean-rule")
    scope.given("G_av", 1.0 if local else 0.0, origin=Origin("project rule", text=text))
    scope.take("n_ef", scope["n_x"], note=say("as-independent"))


def _trend(scope: Scope) -> bool:
    """The straight line with depth and whether its slope is significant; False where there can be none."""
    depths = scope["z_j"].array
    fitted = np.polyfit(depths, scope["x_r"].array, 1) if np.ptp(depths) > 0 else None
    rest = np.zeros(1) if fitted is None else scope["x_r"].array - np.polyval(fitted, depths)
    if fitted is None or np.abs(rest).max() <= ALIKE * np.abs(scope["x_r"].array).max():
        return False
    for step in (mean_depth, spread_of_depths, slope_of_trend, trend_at_ground_level, freedom_about_trend):
        scope(step)
    scope(deviation_from_trend)
    scope(explained_share)
    scope(significance_of_slope)
    scope(variation_about_trend)
    freedom = scope["nu_e"]
    limit = student_t(0.975, int(freedom.array))
    scope.reading("t_s", limit, title=say("limit-title"), source=STUDENT, inputs=[freedom])
    return True


def _student(scope: Scope, freedom: Value) -> None:
    quantile = student_t(0.95, int(freedom.array))
    scope.reading("t_q", quantile, title=say("student-title"), source=STUDENT, inputs=[freedom])


def _along_trend(chosen: Chosen, scope: Scope) -> None:
    """The estimate at every depth tested."""
    _student(scope, scope["nu_e"])
    scope(coefficient_of_trend)
    scope(lower_estimate_of_trend if chosen.high_is_unsafe else upper_estimate_of_trend)
    scope(lower_half_deviation if chosen.high_is_unsafe else upper_half_deviation)
    chosen.estimate, chosen.deviation = "x_low" if chosen.high_is_unsafe else "x_up", "s_e"
    chosen.notes.append(say("half-of-constant"))


def _constant(chosen: Chosen, scope: Scope) -> None:
    """One estimate for the layer; by logarithms where the scatter is large."""
    lower = chosen.high_is_unsafe
    chosen.estimate, chosen.deviation = "x_low" if lower else "x_up", "s_x"
    if chosen.value.V is not None:
        chosen.given_of_field(scope, "V_kn", "V.value", chosen.value.V.value)
        scope(deviation_by_known_variation)
        scope(coefficient_by_known_variance)
        scope(lower_estimate if lower else upper_estimate, s_x="s_kn")
        chosen.deviation = "s_kn"
    else:
        _student(scope, scope["nu_x"])
        scope(coefficient_by_student)
        if float(scope["V_x"].array) > LARGEST_VARIATION:
            _by_logarithms(chosen, scope)
        else:
            scope(lower_estimate if lower else upper_estimate)
    scope(lower_half_deviation if lower else upper_half_deviation)
    if len(chosen.readings) < SMALL:
        chosen.notes.append(say("small", enough=SMALL, k_n=number_text(float(scope["k_n"].array), 2)))


def _by_logarithms(chosen: Chosen, scope: Scope) -> None:
    scope.given("x_1", 1.0, origin=Origin("project rule", text=say("unit-rule")))
    scope(logarithm_of_reading)
    scope(mean_of_logarithms)
    scope(deviation_of_logarithms)
    scope(lower_estimate_of_logarithms if chosen.high_is_unsafe else upper_estimate_of_logarithms)
    chosen.notes.append(say("median", largest=number_text(LARGEST_VARIATION, 1)))


def _estimate_along_trend(chosen: Chosen, scope: Scope, *, significant: bool) -> None:
    """The estimate along the trend for comparison, where the constant one governs."""
    beside = chosen.sheet.scope(f"{chosen.key}_trend", say("beside-title", title=chosen.title))
    for name in ("n_x", "nu_e", "n_ef", "G_av", "z_j", "z_av", "S_zz", "a_z", "b_z", "s_e"):
        beside.take(name, scope[name])
    _student(beside, beside["nu_e"])
    beside(coefficient_of_trend)
    chosen.trend = beside(lower_estimate_of_trend if chosen.high_is_unsafe else upper_estimate_of_trend)
    chosen.significant = significant
    if chosen.value.estimate == TREND:
        chosen.notes.append(say("not-significant"))
