"""The excess pore pressure up to which the design holds, stage by stage: what it asks for leaves no more."""

import numpy as np

from calc.chapters.monitoring.bounds import Bounds
from calc.chapters.monitoring.reading_dates import before
from calc.chapters.shared.frame import origin_of
from calc.chapters.shared.programme import PROGRAMME
from calc.engine.sheet import Origin, Scope, Value
from calc.engine.words import words_of
from calc.formulas.monitoring import degree_of_ratio, pressure_asked
from calc.formulas.shear_parameters import soil_stress_share

say = words_of(__name__)


def asked_pressure(of: Bounds) -> Scope:
    """Record it for every stage and sublayer: what is asked for at its start, the lift as extrusion counts it."""
    sheet, section, stages = of.sheet, of.section, of.section.stages
    scope = sheet.scope("asked", say("scope-asked-title"))
    scope.take("f_us", sheet.scopes["expected"]["f_us"])
    starts, ends = [0.0, *map(before, of.days.starts)], [0.0, *of.days.ends]
    programme = of.done["basis"].scopes[PROGRAMME]
    placed = [sheet.scopes["programme"]["Dsigma_0"], of.done["consolidation"].scopes["transfer"]["b_2p"],
              programme["t_bs"], programme["t_es"]]  # fmt: skip
    for name, days, title in (("u_plb", starts, say("asked-pressure")), ("u_pl", ends, say("asked-pressure-2"))):
        scope.reading(name, of.known.placed_pressure_at(days)[0], ["stage", "layer"], title=title, inputs=placed,
                      note=say("reading-asked-pressure-note"), moves=("stage",))  # fmt: skip
    rule = Origin("project rule", text=say("none-required"))
    origins = [rule, *(origin_of(section, f"stage.{k}.degree_min") if stage.degree_min else rule
                       for k, stage in enumerate(stages))]  # fmt: skip
    pressure = scope.given("U_min", [0.0, *(stage.degree_min or 0.0 for stage in stages)], ["stage"], origin=origins,
                        origin_axis="stage")  # fmt: skip
    degrees = np.broadcast_to(pressure.array[:, None], (len(of.shared.stages), len(of.shared.layers)))
    inputs = [pressure]
    reached = of.done["consolidation"].scopes.get("ratio")
    if reached is not None:
        for name in ("mu_sf", "a_E", "n_as"):
            scope.take(name, reached[name])
        scope(soil_stress_share, mu_s="mu_as", n_st="n_as")
        ratio = scope(degree_of_ratio)
        inputs.append(ratio)
        degrees = np.maximum(degrees, np.where(ratio.valid, np.clip(ratio.array, 0.0, 1.0), 0.0))
    scope.reading("U_ask", degrees, ["stage", "layer"], inputs=inputs, title=say("reading-u-ask-title"),
                  note=say("reading-u-ask-note"))  # fmt: skip
    scope.take("U_L", of.done["bearing"]["U_L"], note=say("take-u-l-note"))
    _print_at(of, scope(pressure_asked))
    return scope


def _print_at(of: Bounds, value: Value) -> None:
    """Print at the last stage that has a level of its own, in the sublayer that holds least."""
    triggers = of.section.monitoring.triggers if of.section.monitoring is not None else ()
    stages_read = {trigger.stage for trigger in triggers if trigger.quantity == "pore pressure"}
    labels = [of.shared.stages[k] for k, stage in enumerate(of.section.stages, start=1) if stage.name in stages_read]
    if labels:
        least = value.at(stage=labels[-1])
        case = least.case_at(int(np.argmin(least.array)))
        of.sheet.leads["asked"].update({"stage": labels[-1], "layer": case["layer"]})
