"""Strain and creep strain of the reinforcement under quasi-permanent load, all factors 1."""

import numpy as np

from calc.chapters.shared.column_zones import zone_sheets
from calc.chapters.shared.frame import LONG, SERVICE, SHORT, frame
from calc.chapters.shared.limits import optional_limit
from calc.chapters.shared.strips import pushing_load, strips_of
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.column_field import traffic_of_stage
from calc.formulas.ground import active_coefficient
from calc.formulas.mat import reinforcement_creep_strain, reinforcement_strain, service_spreading
from calc.formulas.thrust import fill_thrust, traffic_thrust
from calc.inputs import Design, Section

say = words_of(__name__)


def strain(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet], words: str, tag: str) -> None:
    """Strain of the layers of one direction in the persistent stages, and what creep adds."""
    scope = sheet.scope(f"{words}_strain", say("scope-strain-title", words=words))
    final = frame(design, section).persistent
    if words == "across":
        _service_thrust(scope, section, done, final)
    else:
        scope.given("T_sser", 0.0, origin=Origin("project rule", text=say("rule-t-sser")))
    transfer = done["load_transfer"]
    every = [transfer, *(zone.done["load_transfer"] for zone in zone_sheets(section, done))]
    tensions = [grid[f"T_m{tag}D"].at(factor_set=SERVICE, load="G+Q", stage=final) for grid in every]
    # The grid whose membrane is tensioned most, by the stiffness of the same layers.
    tension = max(tensions, key=lambda value: float(np.max(value.array, where=value.valid, initial=0.0)))
    for name, modulus, at in (("T_msh", "J_rsh", SHORT), ("T_mlo", "J_rlo", LONG)):
        scope.take(name, tension.at(stiffness=at))
        scope.take(modulus, transfer[f"J_{tag}"].at(stiffness=at))
    scope(reinforcement_strain, eps_r="eps_rshort", T_m="T_msh", J_r="J_rsh")
    scope(reinforcement_strain, eps_r="eps_rlong", T_m="T_mlo", J_r="J_rlo")
    scope(reinforcement_creep_strain)
    chosen = section.load_transfer
    optional_limit(scope, section, (f"strain_{words}", say("strain", words=words)), scope["eps_rlong"],
                   chosen.strain if chosen is not None else None, symbol="eps_all",
                   path="load_transfer.strain")  # fmt: skip
    optional_limit(scope, section, (f"creep_strain_{words}", say("strain-2", words=words)), scope["eps_rcr"],
                   chosen.creep_strain if chosen is not None else None, symbol="eps_rcrlim",
                   path="load_transfer.creep_strain")  # fmt: skip


def _service_thrust(scope: Scope, section: Section, done: dict[str, Sheet], final: tuple[str, ...]) -> None:
    """Thrust with all factors 1 and the quasi-permanent share of the traffic."""
    thrust, cell = done["thrust"], done["unit_cell"]
    scope.take("H_th", thrust["H_th"].at(stage=final))
    higher = {"": "slope", "left": "slope_right", "right": "slope_left"}[section.embankment.lower]
    zoned = [zone["gamma_eq"] for name, zone in thrust.scopes.items() if name.startswith(higher) and "gamma_eq" in zone]
    if zoned:
        scope.take("gamma_Em", zoned[0].at(stage=final), note=say("take-gamma-em-note"))
    else:
        scope.take("gamma_Em", thrust["gamma_Em"])
    scope(active_coefficient, phi="phi_Ek")
    scope(fill_thrust, gamma_E="gamma_Em", H="H_th")
    strips = strips_of(done)
    if strips is None:
        scope.take("q", cell["q"])
    scope.take("f_q", cell.scopes["settlement"]["f_q"].at(load="G+Q", stage=final))
    if strips is None:
        scope(traffic_of_stage)
    else:
        slopes = [slope for name, slope in thrust.scopes.items() if name.startswith("slope")]
        side = float(max(slopes, key=lambda slope: float(np.nanmax(slope["q_a"].array)))["i_sd"].array)  # pushed most
        scope(traffic_of_stage, q=pushing_load(scope, section, strips, side, "H_th", K_a="K_a", phi="phi_Ek"))
    scope(traffic_thrust, q="q_st", H="H_th")
    held = [slope["T_sq"] for name, slope in thrust.scopes.items() if name.startswith("slope")]
    largest = max(held, key=lambda value: float(np.max(value.array)))
    scope.take("T_sq", largest.at(stage=final) if "stage" in largest.axis_names else largest)
    scope(service_spreading)
