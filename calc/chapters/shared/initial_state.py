"""Initial state of the ground by sublayer: for the chapter on the ground, and again with every sublayer halved."""

import numpy as np

from calc.chapters.shared.frame import (
    Frame,
    chapter,
    frame,
    given_of_layers,
    given_of_section,
    initial_water,
    origin_of,
    origins_of_layers,
)
from calc.chapters.shared.heads import names_of_water, stresses_with_heads
from calc.engine.sheet import Again, Origin, Sheet, Value
from calc.engine.sheet.values import or_else
from calc.engine.words import words_of
from calc.formulas.ground import (
    at_rest_coefficient,
    cohesion_pressure,
    depth_of_sublayer_middle,
    depth_of_sublayer_top,
    drawdown_load,
    effective_unit_weight,
    governing_water_depth,
    initial_vertical_stress,
    passive_coefficient,
    stress_before_loading,
    sublayer_weight,
)
from calc.formulas.loads import platform_pressure, water_depth
from calc.inputs import Design, Section

say = words_of(__name__)


def initial_state(design: Design, section: Section) -> Sheet:
    """Sublayers, water, initial stresses in soil and column, coefficients at rest, stiffness of the soil."""
    sheet = chapter("ground", design, section)
    shared = frame(design, section)
    _geometry(sheet, design, section, shared)
    _water(sheet, design, section)
    _platform(sheet, section)
    for name, attribute in (("gamma", "gamma"), ("gamma_r", "gamma_sat")):
        given_of_layers(sheet, name, section, shared.sublayers, attribute)
    if section.has_heads:
        _fill(sheet, section)
        stresses_with_heads(sheet, section, shared)
    else:
        _stresses(sheet, section)
    _coefficients(sheet, section, shared)
    for name, attribute in (("E_ref", "E_oed_ref"), ("p_ref", "p_ref"), ("m", "m"), ("nu_s", "nu")):
        given_of_layers(sheet, name, section, shared.sublayers, attribute)
    sheet(cohesion_pressure)
    sheet(stress_before_loading)
    sheet(passive_coefficient, K_p="K_ps", phi="phi_s")
    return sheet


def _geometry(sheet: Sheet, design: Design, section: Section, shared: Frame) -> None:
    cuts = say("geometry-cuts")
    origins = [
        *origins_of_layers(section, "thickness"), origin_of(design, "basis.sublayer_max"),
        origin_of(section, "ground_level"), *(origin_of(section, f"water.{level.name}") for level in section.water),
    ]  # fmt: skip
    sheet.reading("h", shared.sublayers.thickness, ["layer"], title=say("reading-h-title"), note=cuts, origins=origins)
    sheet(depth_of_sublayer_top)
    sheet(depth_of_sublayer_middle)


def _water(sheet: Sheet, design: Design, section: Section) -> None:
    levels = {level.name: level.level for level in section.water}
    initial, names = initial_water(section), names_of_water(section)
    given_of_section(sheet, "z_g", section, "ground_level", section.ground_level)
    origins = [origin_of(section, f"water.{name}") for name in names]
    sheet.given("z_w", [levels[name] for name in names], ["stage"], origin=origins, origin_axis="stage")
    sheet(water_depth)
    note = "" if section.initial_water else say("water-note")
    origin = origin_of(section, f"water.{initial}")
    sheet.given("z_w0", levels[initial], origin=origin, note=note)
    sheet(water_depth, d_w="d_w0", z_w="z_w0")
    sheet(governing_water_depth)
    sheet.given("gamma_w", design.basis.gamma_w, origin=origin_of(design, "basis.gamma_w"))
    if not section.has_heads:
        sheet(drawdown_load)


def _platform(sheet: Sheet, section: Section) -> None:
    """The working platform loads the ground before the columns, or it is part of the load, by explicit input."""
    if section.platform is None or section.platform.role != "initial":
        why = say("platform-why")
        sheet.given("p_0", 0.0, origin=Origin("project rule", text=why))
        return
    given_of_section(sheet, "gamma_P", section, "platform.gamma", section.platform.gamma)
    given_of_section(sheet, "t_P", section, "platform.thickness", section.platform.thickness)
    sheet(platform_pressure, p_P="p_0")


def _fill(sheet: Sheet, section: Section) -> None:
    fill = section.columns.fill
    given_of_section(sheet, "gamma_cd", section, "columns.fill.gamma", fill.gamma)
    given_of_section(sheet, "gamma_cr", section, "columns.fill.gamma_sat", fill.gamma_sat)


def _stresses(sheet: Sheet, section: Section) -> None:
    """Water at rest below the water level."""
    sheet(effective_unit_weight, d_w="d_s")
    sheet(sublayer_weight)
    sheet(initial_vertical_stress, sigma_v0="sigma_v0s")
    _fill(sheet, section)
    sheet(effective_unit_weight, gamma_eff="gamma_ceff", gamma="gamma_cd", gamma_r="gamma_cr", d_w="d_s")
    sheet(sublayer_weight, w="w_c", gamma_eff="gamma_ceff")
    sheet(initial_vertical_stress, sigma_v0="sigma_v0c", w="w_c")


def _coefficients(sheet: Sheet, section: Section, shared: Frame) -> None:
    """Coefficients for the added stress (K_0,s) and, after installation, for the initial stress (K*)."""
    given_of_layers(sheet, "phi_s", section, shared.sublayers, "phi")
    given_of_layers(sheet, "c_s", section, shared.sublayers, "c")
    typed = [section.layers[k].K_0 for k in shared.sublayers.layer]
    if all(coefficient == "jaky" for coefficient in typed):
        sheet(at_rest_coefficient, K_0="K_0s", phi="phi_s")
    elif all(coefficient != "jaky" for coefficient in typed):
        given_of_layers(sheet, "K_0s", section, shared.sublayers, "K_0")
    else:
        rule = sheet(at_rest_coefficient, K_0="K_0J", phi="phi_s")
        given = [np.nan if coefficient == "jaky" else float(coefficient) for coefficient in typed]
        again = Again(or_else, (Value("K_0s", np.array(given), rule.axes, mask=np.isnan(given)), rule))
        title = say("coefficients-title")
        origins = [origin_of(section, f"layer.{layer.key}.K_0") for layer in section.layers if layer.K_0 != "jaky"]
        sheet.reading("K_0s", again.value().array, ["layer"], title=title, inputs=[rule], origins=origins, again=again)
    if section.columns.K_star is not None:
        given_of_section(sheet, "K_star", section, "columns.K_star", section.columns.K_star)
    else:
        sheet.take("K_star", sheet["K_0s"], note=say("take-k-star-note"))
