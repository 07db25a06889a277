"""The columns as drains: estimates of the permeability of the fill, well resistance, head lost along the column."""

import numpy as np

from calc.chapters.shared.frame import CENTRE, ENDS, LONG, given_of_section, origin_of
from calc.chapters.shared.heads import HEADS, has_heads
from calc.chapters.shared.missing import missing_of_layers, not_given
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.drainage import drainage_path, horizontal_permeability, larger_estimate
from calc.formulas.seepage import (
    column_discharge,
    discharge_capacity,
    head_loss,
    mean_well_resistance,
    permeability_by_hazen,
    permeability_by_kozeny_carman,
    settlement_added,
)
from calc.inputs import Design, Section
from calc.inputs.tables.filters import Drainage, Filters

say = words_of(__name__)

FILL_K = "columns.fill.k"
ESTIMATED = say("estimated")
OPEN = (("well_resistance", say("open")), ("head_loss", say("open-2")))
HAZEN_GRAINS = (0.1e-3, 3.0e-3)  # m, D_10 that the rule was made for
HAZEN_UNIFORM = 5.0
LAYERS = "permeabilities"  # scope of the permeability of every layer, of which the largest counts


def estimates(sheet: Sheet, design: Design, section: Section, filters: Filters) -> None:
    """Hazen and Kozeny and Carman beside the permeability that is given."""
    estimates_needed = (
        (say("missing-k"), section.columns.fill.k),
        (say("missing-fill"), filters.fill),
        (say("missing-estimates"), filters.estimates),
    )
    missing = [words for words, value in estimates_needed if value is None]
    if filters.fill is None or filters.estimates is None or missing:
        sheet.not_verified("fill_permeability", ESTIMATED, not_given("; ".join(missing)))
        return
    scope = sheet.scope("estimates", say("scope-estimates-title"))
    given_of_section(scope, "k_f", section, FILL_K, section.columns.fill.k or 0.0)
    given_of_section(scope, "D_10F", section, "filters.fill.D_10", filters.fill.D_10)
    fields = (("C_H", "hazen"), ("n_p", "porosity"), ("d_g", "grain"), ("mu_w", "viscosity"))
    for name, key in fields:
        given_of_section(scope, name, section, f"filters.estimates.{key}", getattr(filters.estimates, key))
    scope.given("gamma_w", design.basis.gamma_w, origin=origin_of(design, "basis.gamma_w"))
    scope(permeability_by_hazen, k_f="k_Hz", D_10="D_10F")
    scope(permeability_by_kozeny_carman, k_f="k_KC")
    scope(larger_estimate)
    note = f"Coefficients: {filters.estimates.source}."
    sheet.verdict("fill_permeability", ESTIMATED, effect=scope["k_f"], resistance=scope["k_est"], note=note)
    uniform = filters.fill.D_60 / filters.fill.D_10 <= HAZEN_UNIFORM
    if not uniform or not HAZEN_GRAINS[0] <= filters.fill.D_10 <= HAZEN_GRAINS[1]:
        sheet.limitation(
            "hazen-range",
            say("limitation-hazen-range"),
            "Hazen (1911) ◦",
            turns=["fill_permeability"] if float(scope["k_KC"].array) < float(scope["k_f"].array) else [],
        )


def drainage(sheet: Sheet, section: Section, filters: Filters, done: dict[str, Sheet]) -> None:
    """What the column takes off and what that costs in head and in time."""
    missing = [say("missing-drainage")] if filters.drainage is None else []
    missing += [say("missing-k")] if section.columns.fill.k is None else []
    if filters.drainage is None or missing:
        for key, title in OPEN:
            sheet.not_verified(key, title, not_given("; ".join(missing)))
        return
    scope = sheet.scope("drainage", say("scope-drainage-title"))
    given_of_section(scope, "k_f", section, FILL_K, section.columns.fill.k or 0.0)
    for name in ("A_c", "A_E", "a_E", "L_c"):
        scope.take(name, done["columns"][name])
    scope.given("n_out", ENDS[filters.drainage.ends], origin=origin_of(section, "filters.drainage.ends"))
    scope(discharge_capacity)
    scope(drainage_path)
    _well_resistance(scope, section, filters.drainage)
    _head_loss(scope, section, filters.drainage, done)
    sheet.limitation("drain-clogging", say("limitation-drain-clogging"), "project rule")


def _well_resistance(scope: Scope, section: Section, drain: Drainage) -> None:
    key, title = OPEN[0]
    missing = missing_of_layers(section.soft_layers, ("k", "c_v", "c_h"))
    if missing:
        scope.sheet.not_verified(key, title, not_given(missing))
        return
    fields = (("k_vs", "k"), ("c_vs", "c_v"), ("c_hs", "c_h"))
    every = scope.sheet.scope(LAYERS, say("scope-layers-title"))
    scope.sheet.axis("soil", [layer.key for layer in section.soft_layers])
    for name, field in fields:
        origins = [origin_of(section, f"layer.{layer.key}.{field}") for layer in section.soft_layers]
        every.given(
            name, [getattr(layer, field) for layer in section.soft_layers], ["soil"], origin=origins, origin_axis="soil"
        )
    layer = section.soft_layers[int(np.argmax(every(horizontal_permeability).array))]
    for name, field in fields:
        given_of_section(scope, name, section, f"layer.{layer.key}.{field}", getattr(layer, field))
    scope(horizontal_permeability)
    scope(mean_well_resistance)
    given_of_section(scope, "mu_wmax", section, "filters.drainage.well_resistance_max", drain.well_resistance_max)
    note = say("well-resistance-note", layer_name=layer.name)
    scope.sheet.verdict(key, title, effect=scope["mu_wr"], resistance=scope["mu_wmax"], note=note)


def _head_loss(scope: Scope, section: Section, drain: Drainage, done: dict[str, Sheet]) -> None:
    """All settlement that a stage adds is taken as pressed out while it is filled, on the safe side."""
    key, title = OPEN[1]
    s = done["unit_cell"].scopes["settlement"]["s"].at(position=CENTRE, load="G", stiffness=LONG)
    times = np.array([0.0, *(stage.duration for stage in section.stages)])
    earlier = s.before("stage", 0.0)
    idle = (s.array <= earlier.array) | (times <= 0)
    if idle.all():
        scope.sheet.not_verified(key, title, say("open-head-loss-why"))
        return
    scope(settlement_added, s=s.without(idle, say("not-filled")), s_kb=earlier)
    origins = [Origin("project rule", text=say("no-fill"))]
    origins += [origin_of(section, f"stage.{k}.duration") for k in range(len(section.stages))]
    scope.given("Dt", times, ["stage"], origin=origins, origin_axis="stage")
    scope(column_discharge)
    scope(head_loss)
    given_of_section(scope, "Dh_max", section, "filters.drainage.head_loss_max", drain.head_loss_max)
    scope.sheet.verdict(key, title, effect=scope["Dh_c"], resistance=scope["Dh_max"])
    if has_heads(done["ground"]) and float(done["ground"].scopes[HEADS]["i_col"].array.max()) > 0:
        scope.sheet.limitation("drain-aquifer", say("limitation-drain-aquifer"), "project rule", turns=[key])
