"""Readings as values of the parameter: each is corrected before any statistics, and once only."""

from collections.abc import Iterator

from calc.chapters.ground_model.chosen_value import READING, Chosen
from calc.chapters.shared.frame import initial_water, origin_of, origins_of_layers
from calc.engine.sheet import PROJECT_RULE, Scope, Value, number_text
from calc.engine.words import words_of
from calc.formulas.ground_tests import (
    corrected_cone_resistance,
    corrected_vane_strength,
    fitted_exponent,
    fitted_modulus,
    logarithm_of_mean_stress,
    logarithm_of_modulus,
    mean_logarithm_of_modulus,
    mean_logarithm_of_stress,
    mean_stress_of_increment,
    modulus_by_compressibility,
    modulus_of_increment,
    net_cone_resistance,
    pore_pressure_ratio,
    preconsolidation_by_cone,
    strain_by_void_ratio,
    strength_by_cone,
    strength_by_excess_pressure,
    vane_correction_by_liquid_limit,
    vane_correction_by_plasticity,
)
from calc.inputs.ground_file.result_rows import joined_ranges
from calc.inputs.ground_file.selection import Reading
from calc.inputs.tables.ground_model import CONE, DONE, LIQUID_LIMIT, OEDOMETER, OWN, STRENGTH, VANE
from calc.inputs.tables.heads import head_at

say = words_of(__name__)

LARGEST_MU, LEAST_MU = 1.2, 0.5  # Annex I of EN 1997-2 asks for more investigation above; the curve ends below
LEAST_PLASTICITY = 0.05


def give_corrected(chosen: Chosen, scope: Scope) -> bool:
    """Give the readings of a value as the symbol x; whether there are any."""
    if chosen.value.test == OEDOMETER:
        _oedometer(chosen, scope)
        return True
    chosen.sheet.axis(READING, chosen.labels)
    if chosen.value.test == VANE:
        return _vane(chosen, scope)
    if chosen.value.test == CONE:
        return _cone(chosen, scope)
    chosen.given_of_rows(scope, "x_r", "c_u" if chosen.value.test == STRENGTH else "sigma_p")
    return True


def _vane(chosen: Chosen, scope: Scope) -> bool:
    value = chosen.value
    if value.correction == DONE:
        chosen.given_of_rows(scope, "x_r", "c_fv")
        chosen.notes.append(say("already-corrected"))
        return True
    chosen.given_of_rows(scope, "c_fv", "c_fv")
    if value.correction == OWN and value.mu is not None:
        chosen.given_of_field(scope, "mu_v", "mu.value", value.mu.value)
    elif value.correction == LIQUID_LIMIT:
        chosen.given_of_rows(scope, "w_L", "w_L", "w_L")
        scope(vane_correction_by_liquid_limit)
    else:
        plasticity = chosen.given_of_rows(scope, "I_P", "I_P", "I_P")
        wrong = plasticity.array <= LEAST_PLASTICITY
        if wrong.any():
            least = number_text(100 * LEAST_PLASTICITY, 0)
            chosen.open(say("plasticity-why", least=least, readings=_doubtful_readings(plasticity, wrong)))
            return False
        scope(vane_correction_by_plasticity)
    chosen.notes += _index_tests(chosen, scope)
    mu = scope["mu_v"]
    wrong = (mu.array > LARGEST_MU) | (mu.array < (LEAST_MU if value.correction == LIQUID_LIMIT else 0))
    if wrong.any():
        least, most = number_text(LEAST_MU, 1), number_text(LARGEST_MU, 1)
        chosen.open(say("mu-why", least=least, most=most, readings=_doubtful_readings(mu, wrong)))
        return False
    scope(corrected_vane_strength, c_ui="x_r")
    return True


def _index_tests(chosen: Chosen, scope: Scope) -> Iterator[str]:
    """The index tests of the file by which vanes are corrected."""
    vanes: dict[tuple[str, int], list[str]] = {}
    for reading in chosen.readings:
        for name, test in reading.indices.items():
            if name in scope.values:
                vanes.setdefault((test.id, test.row), []).append(reading.first.id)
    told = [say("index", index=name, row=row, vanes=", ".join(ids)) for (name, row), ids in vanes.items()]
    if told:
        yield say("indices", told="; ".join(told))


def _doubtful_readings(value: Value, wrong: object) -> str:
    """The readings of which something is wrong; all of them where the value has no axis."""
    labels = value.labels(READING) if value.axes else ()
    return ", ".join(label for label, bad in zip(labels, wrong, strict=True) if bad) if labels else say("all")  # type: ignore[call-overload]


def _cone(chosen: Chosen, scope: Scope) -> bool:
    value = chosen.value
    for name, column in (("q_cc", "q_c"), ("u_2", "u_2")):
        chosen.given_of_rows(scope, name, column)
    chosen.given_of_rows(scope, "a_n", "a", "area_ratio")
    scope(corrected_cone_resistance)
    _stresses(chosen, scope)
    net = scope(net_cone_resistance)
    if (net.array <= 0).any():
        chosen.open(say("net-why", readings=_doubtful_readings(net, net.array <= 0)))
        return False
    scope(pore_pressure_ratio)
    if value.N_du is not None:
        chosen.given_of_field(scope, "N_du", "N_du.value", value.N_du.value)
        scope(strength_by_excess_pressure)
    if value.N_kt is not None:
        chosen.given_of_field(scope, "N_kt", "N_kt.value", value.N_kt.value)
        scope(strength_by_cone, c_ui="x_r")
    else:
        assert value.k_sigma is not None  # noqa: S101 - one of them is asked for with the parameter
        chosen.given_of_field(scope, "k_pq", "k_sigma.value", value.k_sigma.value)
        scope(preconsolidation_by_cone, sigma_pi="x_r")
    return True


def _stresses(chosen: Chosen, scope: Scope) -> None:
    """Total stress and pore pressure before the test: of the layers and the initial water, or of the file."""
    section, design = chosen.section, chosen.design
    name = initial_water(section)
    depth = section.ground_level - next(water.level for water in section.water if water.name == name)
    gamma_w = design.basis.gamma_w
    water = [
        origin_of(section, "ground_level"),
        origin_of(section, f"water.{name}"),
        origin_of(design, "basis.gamma_w"),
    ]
    places = [reading.first.depth for reading in chosen.readings]
    scope.reading(
        "sigma_vi", [_total(chosen, z, depth, gamma_w) for z in places], [READING], title=say("total-title"),
        source=PROJECT_RULE, origins=[*origins_of_layers(section, "thickness", "gamma", "gamma_sat"), *water],
        note=say("total-note"),
    )  # fmt: skip
    line = section.water_table.line(name, section.ground_level)
    levels = [section.ground_level - z for z in places]
    pressures = [reading.first.values.get("u_0") for reading in chosen.readings]
    pressure = [
        gamma_w * max(0.0, head_at(line, level) - level) if u is None else u
        for level, u in zip(levels, pressures, strict=True)
    ]
    for index, heads in enumerate(section.water_table.heads):
        if heads.water == name:
            water += [
                origin_of(section, f"water.head.{index}.points.{k}.{field}")
                for k, _ in enumerate(heads.points)
                for field in ("level", "head")
            ]
    scope.reading(
        "u_0i", pressure, [READING], title=say("pressure-title"), source=PROJECT_RULE,
        origins=[*water, chosen.from_file()], note=say("pressure-note"),
    )  # fmt: skip


def _total(chosen: Chosen, z: float, water: float, gamma_w: float) -> float:
    """Weight above a depth of all layers and of open water; below the soft layers that of the bearing layer goes on."""
    total, top = gamma_w * max(0.0, -water), 0.0
    layers = [(layer.thickness, layer.gamma, layer.gamma_sat) for layer in chosen.section.layers]
    below = chosen.section.bearing_layer
    for thickness, dry, wet in (*layers, (max(z, 0.0), below.gamma, below.gamma_sat)):
        end = min(top + thickness, z)
        if end > top:
            dry_part = min(max(water - top, 0.0), end - top)
            total += dry * dry_part + wet * (end - top - dry_part)
        top += thickness
    return total


def _oedometer(chosen: Chosen, scope: Scope) -> None:
    """Every test gives a modulus at the reference stress by its increments on the virgin line."""
    fits = [_fit(chosen, reading, k) for k, reading in enumerate(chosen.readings, start=1)]
    chosen.notes += _told_of_tests(chosen)
    tests = [test.first.id for test, fit in zip(chosen.readings, fits, strict=True) if "m_v" in fit.values]
    if tests:
        text = say("limitation-compressibility", title=chosen.title, tests=joined_ranges(tests))
        chosen.sheet.limitation(f"compressibility-{chosen.key}", text, PROJECT_RULE.citation)
    chosen.sheet.axis(READING, chosen.labels)
    for name, symbol, title in (("x_r", "E_fit", say("moduli-title")), ("m_fit", "m_fit", say("exponents-title"))):
        read = [fit[symbol] for fit in fits]
        scope.reading(
            name, [float(value.array) for value in read], [READING], title=title, inputs=read, note=say("fits-note")
        )


def _told_of_tests(chosen: Chosen) -> Iterator[str]:
    """Rows of unloading and reloading, and pressures that the project states."""
    unloaded = [str(row) for reading in chosen.readings for row in reading.unloaded]
    if unloaded:
        yield say("unloaded", rows=joined_ranges(unloaded))
    model = chosen.section.ground_model
    stated = [
        say("pressure", id=pressure.test, number=number_text(pressure.value, 1), source=pressure.source.rstrip("."))
        for k, pressure in enumerate(model.pressures if model else ())
        if k in {reading.stated for reading in chosen.readings}
    ]
    if stated:
        yield say("stated", told="; ".join(stated))


def _fit(chosen: Chosen, test: Reading, number: int) -> Scope:
    """The straight line through the increments of one test, on logarithms."""
    increments = test.increments
    scope = chosen.sheet.scope(f"{chosen.key}_{number}", say("fit-title", title=chosen.title, id=test.first.id))
    chosen.sheet.axis(READING, [say("increment", row=increment.row) for increment in increments])
    origin = chosen.from_file()
    note = say("rows", rows=joined_ranges(str(row.row) for row in test.rows), file=chosen.file)
    if test.stated is not None and test.sigma_p is not None:
        path = f"ground_model.sigma_p.{test.stated}.value"
        scope.given("sigma_pi", test.sigma_p, origin=origin_of(chosen.section, path))
    for name in increments[0].given:
        scope.given(name, [increment.given[name] for increment in increments], [READING], origin=origin, note=note)
    if "e_1" in scope.values:
        scope.given("e_t0", test.first.values["e_0"], origin=origin, note=say("initial", file=chosen.file))
        scope(strain_by_void_ratio, eps_2="eps_1", e_2="e_1")
        scope(strain_by_void_ratio)
    scope(modulus_by_compressibility if "m_v" in scope.values else modulus_of_increment)
    scope(mean_stress_of_increment)
    scope.given("p_ref", chosen.layer.p_ref, origin=origin_of(chosen.section, f"layer.{chosen.layer.key}.p_ref"))
    x, y = scope(logarithm_of_mean_stress), scope(logarithm_of_modulus)
    scope.reading("n_inc", len(increments), title=say("count-title"), inputs=[x, y])
    scope(mean_logarithm_of_stress)
    scope(mean_logarithm_of_modulus)
    scope(fitted_exponent)
    scope(fitted_modulus)
    return scope
