"""Settlement from now on at every position: two laws without columns, the cell with the old bank's stress with them."""

import numpy as np

from calc.chapters.shared.frame import LONG, at_labels, frame, given_of_layers
from calc.chapters.shared.second_cell import elastic_plastic_column, expected_gap
from calc.chapters.shared.standard_cell import share
from calc.chapters.widening.stress import HALF_SPACE, Position, printed_position
from calc.engine.sheet import Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import unit_cell as uc
from calc.formulas import widening as wd
from calc.formulas.elastic_plastic_cell import method_gap, sublayer_settlement
from calc.formulas.ground import initial_radial_stress, stress_before_loading
from calc.inputs import Design, Section

say = words_of(__name__)

INDICES, MODULUS, CELL, PLASTIC = "indices", "modulus", "cell", "cell_plastic"  # scopes
OLD = "old_"  # begins the names of the scopes of what the old bank still has
OF_MODULUS = ("E_ref", "p_ref", "m", "p_c")
FROM_GROUND = ("K_0s", "K_star", "sigma_v0c", "nu_s")
FROM_COLUMNS = ("r_c", "a_E", "Dr_gap", "r_geo")
OF_FILL = ("lambda_c", "G_c", "K_pc", "k_psi", "E_c", "nu_c")


def settlements(
    sheet: Sheet, design: Design, section: Section, positions: tuple[Position, ...], done: dict[str, Sheet]
) -> list[Scope]:  # fmt: skip
    """The laws without columns for which the ground has values, and the cell."""
    for name in OF_MODULUS:
        sheet.take(name, done["ground"][name])
    laws = [_by_modulus(sheet, positions)]
    if all(layer.C_c is not None for layer in section.layers):
        laws.insert(0, _by_indices(sheet, design, section, positions))
    _with_columns(sheet, positions, done)
    _with_plastic_columns(sheet, positions, done)
    return laws


def _by_indices(sheet: Sheet, design: Design, section: Section, positions: tuple[Position, ...]) -> Scope:
    """Recompression up to the preconsolidation pressure, then virgin compression."""
    scope = sheet.scope(INDICES, say("scope-indices"), position=printed_position(positions), method=HALF_SPACE)
    sublayers = frame(design, section).sublayers
    for name, field in (("C_cs", "C_c"), ("C_rs", "C_r"), ("e_0", "e_0")):
        given_of_layers(scope, name, section, sublayers, field)
    scope(wd.stress_after_widening, sigma_W1="sigma_OR", sigma_N="sigma_O")
    scope(wd.settlement_by_indices, s_iu="s_iO", sigma_W1="sigma_OR")
    scope(uc.total_settlement, s="s_WO", s_i="s_iO")
    scope(wd.settlement_by_indices)
    scope(uc.total_settlement, s="s_Wu", s_i="s_iu")
    scope(wd.settlement_by_widening)
    return scope


def _by_modulus(sheet: Sheet, positions: tuple[Position, ...]) -> Scope:
    """The modulus of the stress step, as the cell has it without columns; it knows no preconsolidation."""
    at = {"position": printed_position(positions), "method": HALF_SPACE}
    old = sheet.scope(f"{OLD}{MODULUS}", say("scope-old-modulus"), **at)
    old(wd.increment_of_old_bank)
    _step(old, "Dsigma_OR", "s_iO")
    old(uc.total_settlement, s="s_WO", s_i="s_iO")
    scope = sheet.scope(MODULUS, say("scope-modulus"), **at)
    _step(scope, "Dsigma_W", "s_iu")
    scope(uc.total_settlement, s="s_Wu", s_i="s_iu")
    scope.take("s_WO", old["s_WO"])
    scope(wd.settlement_by_widening)
    return scope


def _step(scope: Scope, increment: str, result: str) -> None:
    scope(stress_before_loading, sigma_v0s="sigma_O0")
    scope(uc.stress_after_loading, p_2="p_2u", Dsigma_vs=increment)
    scope(uc.logarithmic_mean_stress, p_m="p_mu", p_2="p_2u")
    scope(uc.oedometer_modulus, E_oed="E_oedu", p_m="p_mu")
    scope(uc.untreated_sublayer_settlement, s_iu=result, Dsigma_0=increment)


def _with_columns(sheet: Sheet, positions: tuple[Position, ...], done: dict[str, Sheet]) -> None:
    """The standard cell, the stress from the old bank in its initial state, lower stiffness of the sleeve."""
    scope = sheet.scope(CELL, say("scope-cell"), position=printed_position(positions), method=HALF_SPACE)
    for name in FROM_COLUMNS:
        scope.take(name, done["columns"][name])
    for name in FROM_GROUND:
        scope.take(name, at_labels(done["ground"][name], stage=sheet.axes["stage"][-1]))
    scope.take("K_ac", done["unit_cell"].scopes["settlement"]["K_ac"])
    scope.take("J", done["unit_cell"]["J"].at(stiffness=LONG))
    scope.take("sigma_v0s", sheet["sigma_O0"], note=say("take-state"))
    scope.take("Dsigma_0", sheet["Dsigma_W"], note=say("take-load"))
    scope.take("sigma_O", sheet["sigma_O"])
    scope.take("U_O", sheet["U_O"])
    scope(wd.stress_before_widening, sigma_O0="sigma_O0c", sigma_v0s="sigma_v0c")
    scope(stress_before_loading)
    share(scope, {"sigma_v0c": "sigma_O0c"})
    settled = scope.otherwise("s_i", scope["s_c"], 0.0, title=say("otherwise-title"), note=say("otherwise-note"))
    scope(uc.total_settlement, s="s_Wc", s_i=settled)


def _with_plastic_columns(sheet: Sheet, positions: tuple[Position, ...], done: dict[str, Sheet]) -> None:
    """The elastic, plastic column under the same load from the same state, with the modulus that the cell found."""
    cell = sheet.scopes[CELL]
    scope = sheet.scope(PLASTIC, say("scope-plastic"), position=printed_position(positions), method=HALF_SPACE)
    for name in ("J", "K_star", "nu_s", *FROM_COLUMNS):
        scope.take(name, cell[name])
    for name in OF_FILL:
        scope.take(name, done["unit_cell"][name])
    for name in ("sigma_O0c", "p_1"):
        scope.take(name, cell[name])
    load = cell["Dsigma_0"]
    bare = np.array([not position.columns for position in positions]).reshape(-1, *(1,) * (load.array.ndim - 1))
    scope.take("Dsigma_0", load.without(np.broadcast_to(bare, load.array.shape), say("no-columns")))
    scope(initial_radial_stress, sigma_v0s="sigma_O0")
    scope(uc.oedometer_modulus, E_oed="E_oed0", p_m="p_1")
    scope.otherwise("E_oedEP", cell["E_oed"], scope["E_oed0"], title=say("plastic-modulus"), note=say("plastic-note"))
    elastic_plastic_column(scope, {"sigma_v0c": "sigma_O0c"})
    scope(sublayer_settlement, eps_z="eps_EP")
    settled = scope(uc.total_settlement, s="s_EP")
    scope.take("s_Wc", cell["s_Wc"])
    none = settled.valid & ~(np.where(settled.valid, settled.array, 1.0) > 0)
    scope(method_gap, s="s_Wc", s_EP=settled.without(none, say("no-settlement")))
    expected_gap(scope)
