"""What the statistics of readings leave out: each a limitation that turns the verdict where it would."""

from collections.abc import Sequence
from dataclasses import replace
from math import inf
from typing import Any

import numpy as np

from calc.chapters.ground_model.chosen_value import READING, Chosen
from calc.chapters.ground_model.corrected_readings import give_corrected
from calc.chapters.ground_model.estimate import LARGEST_VARIATION, estimate
from calc.engine.levels import above
from calc.engine.sheet import PROJECT_RULE, Scope, Sheet, Verdict, number_text
from calc.engine.words import words_of
from calc.formulas.characteristic import (
    coefficient_by_known_variance,
    coefficient_by_student,
    coefficient_of_trend,
    lower_estimate,
    lower_estimate_of_logarithms,
    lower_estimate_of_trend,
    upper_estimate,
    upper_estimate_of_logarithms,
    upper_estimate_of_trend,
)
from calc.formulas.ground import strength_at_depth
from calc.formulas.unit_cell import oedometer_modulus
from calc.inputs.ground_file.result_rows import joined_ranges
from calc.inputs.ground_file.selection import Reading, incomplete, readings_of
from calc.inputs.tables.ground_model import C_U, CONE, DONE, MEAN, OEDOMETER, OWN, VANE
from calc.inputs.tables.profiles import value_at
from calc.procedures.reading_statistics import FEWEST_OF_CURVE, independent_readings, parabola, student_t

say = words_of(__name__)

RULE = PROJECT_RULE.citation
LEAST, MOST = 0.5, 0.6  # of a vane in peat or organic soil, recalled from the literature
FINE, COARSE = 0.5, 3.0  # m, vertical scales of fluctuation, recalled from the literature
MINERAL = "clay"
WIDTH = ("t_q", "G_av", "n_ef", "n_x", "z_av", "S_zz")
Numbers = Any


def doubt(chosen: Chosen, scope: Scope, made: Verdict) -> None:
    """State every doubt about a comparison that its readings give rise to."""
    _corrected_before(chosen, made)
    _organic(chosen, scope, made)
    _source_of_cone_factor(chosen)
    _variation(chosen, scope, made)
    _exponent(chosen, scope, made)
    _readings_left_out(chosen, scope, made)
    _passed_over(chosen, scope, made)
    _elsewhere(chosen, made)
    _at_points(chosen, scope, made)
    _outside(chosen, scope, made)
    _dependent(chosen, scope, made)
    _single(chosen, made)
    _curved_trend(chosen, scope, made)


def _state(chosen: Chosen, made: Verdict, key: str, text: str, worst: float, source: str = RULE) -> None:
    """A limitation that turns a verdict which passes and would not."""
    turned = (made.key,) if made.state == "pass" and worst > 1 else ()
    chosen.sheet.limitation(f"{key}-{chosen.key}", text, source, turns=turned)


def _ratio_text(worst: float) -> str:
    return say("without-end") if worst == inf else number_text(worst, 2)


def _worst(chosen: Chosen, used: Numbers, numbers: Numbers) -> float:
    """The largest utilisation of values used against other estimates; without end where one is not above zero."""
    if chosen.high_is_unsafe:
        return float(np.max(used / numbers)) if np.all(numbers > 0) else inf
    return float(np.max(numbers / used))


def _used_at(chosen: Chosen, scope: Scope, z: Numbers) -> Numbers:
    if chosen.line is not None:
        return np.asarray([value_at(chosen.line, depth) for depth in np.atleast_1d(z).tolist()])
    if chosen.value.parameter != C_U:
        return scope["x_use"].array
    return strength_at_depth(**{name: scope[name].array for name in ("c_ut", "rho_ut", "d_lt")}, z=z)


def _line_at(chosen: Chosen, scope: Scope, z: Numbers, independent: float | None = None) -> Numbers:
    """The estimate along the trend at a depth, with the readings as independent as they count or less."""
    known = {name: scope[name].array for name in ("a_z", "b_z", "s_e", *WIDTH)}
    known["n_ef"] = known["n_ef"] if independent is None else np.asarray(independent)
    k_z = coefficient_of_trend(**{name: known[name] for name in WIDTH}, z_j=z)
    step = lower_estimate_of_trend if chosen.high_is_unsafe else upper_estimate_of_trend
    return step(**{name: known[name] for name in ("a_z", "b_z", "s_e")}, z_j=z, k_z=k_z)


def _constant_of(chosen: Chosen, scope: Scope, independent: float) -> Numbers:
    """The constant estimate with fewer independent readings."""
    lower, known = chosen.high_is_unsafe, scope.values
    if "s_kn" in known:
        k_n = coefficient_by_known_variance(G_av=scope["G_av"].array, n_ef=independent)
    else:
        k_n = coefficient_by_student(t_q=scope["t_q"].array, G_av=scope["G_av"].array, n_ef=independent)
    if "s_y" in known:
        step = lower_estimate_of_logarithms if lower else upper_estimate_of_logarithms
        return step(**{name: scope[name].array for name in ("x_1", "y_av", "s_y")}, k_n=k_n)
    step = lower_estimate if lower else upper_estimate
    return step(x_av=scope["x_av"].array, s_x=scope["s_kn" if "s_kn" in known else "s_x"].array, k_n=k_n)


def _fresh(chosen: Chosen, **changed: object) -> tuple[Chosen, Scope]:
    """The same value with something changed, on a sheet of its own that nothing else reads."""
    sheet = Sheet(section=chosen.sheet.section, key=chosen.sheet.key)
    fresh: dict[str, Any] = {"sheet": sheet, "estimate": "", "deviation": "", "trend": None, "notes": [], **changed}
    copy = replace(chosen, **fresh)
    return copy, sheet.scope(copy.key, copy.title)


def _estimate_with(chosen: Chosen, **changed: object) -> Numbers | None:
    """The estimate with something changed: over the readings or one number; None where there is none."""
    copy, scope = _fresh(chosen, **changed)
    return scope[copy.estimate].array if give_corrected(copy, scope) and estimate(copy, scope) else None


def _corrected_before(chosen: Chosen, made: Verdict) -> None:
    """Vanes that the file holds corrected, by what nobody can see unless the project says it."""
    value = chosen.value
    if value.correction != DONE:
        return
    if value.mu is not None:
        factor = number_text(value.mu.value, 2)
        chosen.notes.append(say("contained", factor=factor, source=value.mu.source.rstrip(".")))
        return
    _state(chosen, made, "corrected", say("limitation-corrected", title=chosen.title, soil=value.soil), inf)


def _organic(chosen: Chosen, scope: Scope, made: Verdict) -> None:
    """A vane in peat or organic soil, corrected by anything but a calibration of its own.

    Where a high value is unsafe the reading may still count too much; where a low one is, it may have been cut too far.
    """
    value = chosen.value
    if value.test != VANE or value.soil == MINERAL or value.correction == DONE:
        return
    if value.correction == OWN and value.mu is not None:
        chosen.notes.append(say("own", source=value.mu.source.rstrip(".")))
        return
    mean = scope["x_r"].array.mean() / scope["c_fv"].array.mean()
    estimates = scope[chosen.estimate].array
    shown = number_text(mean, 2)
    if chosen.high_is_unsafe:
        least, worst = (_worst(chosen, scope["x_use"].array, estimates * part / mean) for part in (MOST, LEAST))
        text = say(
            "limitation-organic", title=chosen.title, soil=value.soil, mean=shown, some=number_text(MOST, 1),
            half=number_text(LEAST, 1), least=number_text(least, 2), most=number_text(worst, 2),
        )  # fmt: skip
    else:
        worst = _worst(chosen, scope["x_use"].array, estimates / mean)
        most = number_text(worst, 2)
        text = say("limitation-organic-low", title=chosen.title, soil=value.soil, mean=shown, most=most)
    _state(chosen, made, "organic", text, worst, "recalled, not inspected ◦; EN 1997-2:2007, Annex I")


def _variation(chosen: Chosen, scope: Scope, made: Verdict) -> None:
    """Readings that scatter more than the coefficient of variation that is said to be known."""
    known, measured = chosen.value.V, float(scope["V_x"].array)
    if known is None or measured <= known.value:
        return
    if measured > LARGEST_VARIATION:  # then by logarithms, as without a known variation
        estimates = _estimate_with(chosen, value=chosen.value.model_copy(update={"V": None}))
    else:
        step = lower_estimate if chosen.high_is_unsafe else upper_estimate
        estimates = step(**{name: scope[name].array for name in ("x_av", "k_n", "s_x")})
    worst = _worst(chosen, scope["x_use"].array, estimates)
    text = say(
        "limitation-variation", title=chosen.title, measured=number_text(measured, 2),
        known=number_text(known.value, 2), worst=_ratio_text(worst),
    )  # fmt: skip
    _state(chosen, made, "variation", text, worst)


def _exponent(chosen: Chosen, scope: Scope, made: Verdict) -> None:
    """A modulus compared at its reference stress alone differs at other stresses where its exponent is another one."""
    if chosen.value.test != OEDOMETER:
        return
    layer, ratios = chosen.layer, dict[float, float]()
    tested = [stress for reading in chosen.readings for step in reading.increments for stress in step.stress]
    for stress in chosen.stresses or (min(tested), max(tested)):
        used = oedometer_modulus(E_ref=layer.E_oed_ref, p_m=stress, p_ref=layer.p_ref, m=layer.m)
        estimates = _estimate_with(chosen, layer=layer.model_copy(update={"p_ref": stress}))
        ratios[stress] = inf if estimates is None else _worst(chosen, used, estimates)
    at = max(ratios, key=lambda stress: ratios[stress])
    if ratios[at] > 1:
        least, most = (
            number_text(float(exponent), 2) for exponent in (scope["m_fit"].array.min(), scope["m_fit"].array.max())
        )
        text = say(
            "limitation-exponent", title=chosen.title, m=number_text(layer.m, 2), least=least, most=most,
            worst=_ratio_text(ratios[at]), stress=number_text(at, 1),
        )  # fmt: skip
        _state(chosen, made, "exponent", text, ratios[at])


def _readings_left_out(chosen: Chosen, scope: Scope, made: Verdict) -> None:
    """Readings that the project leaves out: what the comparison would be with those on the unsafe side.

    One on the safe side would widen the scatter and so speak against the value; it is no evidence of that.
    """
    value = chosen.value
    if not value.left_out:
        return
    left, few = joined_ranges(reading.id for reading in value.left_out), len(chosen.readings)
    gone = {reading.id for reading in value.left_out}
    out = [reading for reading in _of_layer(chosen) if reading.first.id in gone and not any(incomplete(value, reading))]
    copy, other = _fresh(chosen, readings=tuple(out))
    if not out or not give_corrected(copy, other):
        text = say("limitation-left-out", title=chosen.title, left=left, few=few)
        _state(chosen, made, "left-out", text, 0.0)
        return
    depths = np.asarray([reading.first.depth for reading in out])
    middle = scope["a_z"].array + scope["b_z"].array * depths if chosen.deviation == "s_e" else scope["x_av"].array
    worse = other["x_r"].array < middle if chosen.high_is_unsafe else other["x_r"].array > middle
    more = (*chosen.readings, *(reading for reading, bad in zip(out, worse, strict=True) if bad))
    again = _estimate_with(chosen, readings=more)
    if again is None:
        again = _estimate_with(chosen, readings=more, value=value.model_copy(update={"estimate": MEAN}))
    used = _used_at(chosen, scope, np.asarray([reading.first.depth for reading in more]))
    worst = inf if again is None else _worst(chosen, used, again)
    text = say(
        "limitation-with-left-out",
        title=chosen.title,
        left=left,
        few=few,
        count=int(worse.sum()),
        worst=_ratio_text(worst),
    )
    _state(chosen, made, "left-out", text, worst if worse.any() else 0.0)


def _of_layer(chosen: Chosen) -> list[Reading]:
    """All readings of the layer by the test of a value, those left out included."""
    model, file, value = chosen.section.ground_model, chosen.design.results_file, chosen.value
    assert model is not None  # noqa: S101 - they hold the value
    assert file is not None  # noqa: S101
    return readings_of(file, model, value.test, chosen.section.soft_layers, value.layer)


def _source_of_cone_factor(chosen: Chosen) -> None:
    """Where the factor of a cone comes from, and that vanes it was calibrated on are no second witness."""
    value = chosen.value
    factor = value.N_kt if value.parameter == C_U else value.k_sigma
    if value.test != CONE or factor is None:
        return
    chosen.notes.append(say("factor", source=factor.source.rstrip(".")))
    model = chosen.section.ground_model
    others = () if model is None else model.values
    if value.parameter == C_U and any(other.test == VANE and other.layer == value.layer for other in others):
        text = say("limitation-calibrated", title=chosen.title, source=factor.source.rstrip("."))
        chosen.sheet.limitation(f"calibrated-{chosen.key}", text, RULE)


def _passed_over(chosen: Chosen, scope: Scope, made: Verdict) -> None:
    """A significant trend that the project does not use, at its worst depth tested, where its lines print."""
    if chosen.trend is None:
        return
    depths = scope["z_j"].array
    used, trend = _used_at(chosen, scope, depths), chosen.trend.array
    ratios = used / trend if chosen.high_is_unsafe else trend / used
    ratios = np.where(trend > 0, ratios, inf) if chosen.high_is_unsafe else ratios
    at = int(np.argmax(ratios))
    chosen.sheet.leads[f"{chosen.key}_trend"][READING] = chosen.labels[at]
    if chosen.significant:
        worst = float(ratios[at])
        text = say(
            "limitation-trend", title=chosen.title, worst=_ratio_text(worst), reading=chosen.labels[at],
            depth=number_text(float(depths[at]), 2),
        )  # fmt: skip
        _state(chosen, made, "trend", text, worst)


def _ends(chosen: Chosen) -> Sequence[float]:
    """The depths between which the layer lies."""
    return chosen.top, chosen.top + chosen.layer.thickness


def _line(chosen: Chosen) -> Scope | None:
    """The scope of a significant trend, used or passed over."""
    if chosen.trend is None:
        return chosen.sheet.scopes[chosen.key] if chosen.deviation == "s_e" else None
    return chosen.sheet.scopes[f"{chosen.key}_trend"] if chosen.significant else None


def _elsewhere(chosen: Chosen, made: Verdict) -> None:
    """Readings at depths at which this section has another layer than the one that the file says they are of."""
    top, base = _ends(chosen)
    away = [
        reading.first
        for reading in chosen.readings
        if above(top, reading.first.depth) or above(reading.first.depth, base)
    ]
    if away:
        readings = joined_ranges(f"{reading.id} ({number_text(reading.depth, 2)} m)" for reading in away)
        text = say(
            "limitation-elsewhere",
            title=chosen.title,
            told=readings,
            top=number_text(top, 2),
            base=number_text(base, 2),
        )
        _state(chosen, made, "elsewhere", text, inf)


def _at_points(chosen: Chosen, scope: Scope, made: Verdict) -> None:
    """A value by points may lie beyond the estimate at a point between the readings."""
    if chosen.line is None:
        return
    depths, used = (np.asarray(column) for column in zip(*chosen.line, strict=True))
    estimates = _line_at(chosen, scope, depths) if chosen.deviation == "s_e" else scope[chosen.estimate].array
    worst = _worst(chosen, used, estimates)
    if worst > 1:
        _state(chosen, made, "points", say("limitation-points", title=chosen.title, worst=_ratio_text(worst)), worst)


def _outside(chosen: Chosen, scope: Scope, made: Verdict) -> None:
    """Depths of the layer that no test reached, and what a significant trend says of them."""
    depths = [reading.first.depth for reading in chosen.readings]
    low, high = _ends(chosen)
    beyond = [z for z, out in ((low, above(min(depths), low)), (high, above(high, max(depths)))) if out]
    if not beyond:
        return
    text = say(
        "limitation-range", title=chosen.title, shallow=number_text(min(depths), 2), deep=number_text(max(depths), 2),
        top=number_text(low, 2), base=number_text(high, 2),
    )  # fmt: skip
    line, worst = _line(chosen), 0.0
    if line is not None:
        ratios = {z: _worst(chosen, _used_at(chosen, scope, z), _line_at(chosen, line, z)) for z in beyond}
        worst = max(ratios.values())
        readings = joined_ranges(
            say("at-depth", worst=_ratio_text(ratio), depth=number_text(z, 2)) for z, ratio in ratios.items()
        )
        text = say("extrapolated", text=text, told=readings)
    _state(chosen, made, "range", text, worst)


def _dependent(chosen: Chosen, scope: Scope, made: Verdict) -> None:
    """Readings of one hole that count as independent because the project gives no scale of fluctuation."""
    places = [reading.first.location for reading in chosen.readings]
    if chosen.value.theta is not None or len(set(places)) == len(places):
        return
    depths = scope["z_j"].array
    many, few = (independent_readings(places, depths.tolist(), theta) for theta in (FINE, COARSE))
    along = chosen.deviation == "s_e"
    estimates = _line_at(chosen, scope, depths, few) if along else _constant_of(chosen, scope, few)
    worst = _worst(chosen, scope["x_use"].array, estimates)
    text = say(
        "limitation-dependent", title=chosen.title, count=len(places), many=number_text(many, 1),
        few=number_text(few, 1), fine=number_text(FINE, 1), coarse=number_text(COARSE, 0), worst=_ratio_text(worst),
    )  # fmt: skip
    _state(chosen, made, "dependent", text, worst, "recalled range of θ, not inspected ◦")


def _single(chosen: Chosen, made: Verdict) -> None:
    """Readings of one location say nothing of the ground beside it; no number can."""
    places = dict.fromkeys(reading.first.location for reading in chosen.readings)
    if len(places) == 1:
        _state(chosen, made, "single", say("limitation-single", title=chosen.title, place=next(iter(places))), inf)


def _curved_trend(chosen: Chosen, scope: Scope, made: Verdict) -> None:
    """A trend whose readings bend away from the straight line: a parabola through them, over the whole layer."""
    if _line(chosen) is None or len(chosen.readings) < FEWEST_OF_CURVE:
        return
    freedom = len(chosen.readings) - 3
    depths = np.asarray([*scope["z_j"].array, *_ends(chosen)])
    bend = parabola(scope["z_j"].array.tolist(), scope["x_r"].array.tolist(), depths.tolist())
    if bend is None or bend.significance <= student_t(0.975, freedom):
        return
    half = student_t(0.95, freedom) * np.asarray(bend.errors)
    estimates = np.asarray(bend.values) + (-half if chosen.high_is_unsafe else half)
    worst = _worst(chosen, _used_at(chosen, scope, depths), estimates)
    text = say("limitation-curved", title=chosen.title, t=number_text(bend.significance, 2), worst=_ratio_text(worst))
    _state(chosen, made, "curved", text, worst)
