"""How fast the water leaves: drainage factor, load transfer to columns and sleeve, rates by several forms."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from calc.chapters.shared.frame import (
    CENTRE,
    ENDS,
    LONG,
    Frame,
    at_labels,
    given_of_layers,
    given_of_section,
    origin_of,
)
from calc.chapters.shared.ground_in_time import modes_of
from calc.engine.sheet import Again, Origin, Scope, Sheet, Value, number_text
from calc.engine.words import words_of
from calc.formulas import consolidation as co
from calc.formulas import consolidation_cell as cc
from calc.formulas.drainage import drainage_path, horizontal_permeability
from calc.formulas.elastic_cell import fill_lame_constant, fill_shear_modulus, soil_lame_constant, soil_shear_modulus
from calc.formulas.elastic_plastic_cell import dilatancy_ratio
from calc.formulas.floating import start_pressure_with_sharing_length, transfer_factor_with_sharing_length
from calc.formulas.seepage import discharge_capacity, mean_well_resistance
from calc.formulas.staged import undrained_share
from calc.inputs import Section
from calc.procedures.consolidation_radial import METHOD, RadialModes
from calc.procedures.consolidation_response import radial_response

say = words_of(__name__)

FORMS = (("transfer", say("forms")), ("transfer_elastic", say("forms-2")), ("transfer_rigid", say("forms-3")))
SLACK = ("transfer_slack", say("slack"))
# What the rates are worth, measured against a coupled solution of the cell, in which the pore pressure differs along
# the radius and the soil is free to move radially.
LARGEST_FACTOR = 2.0
DEVIATION, STIFF_DEVIATION, NO_BULGING = say("deviation"), say("stiff-deviation"), say("no-bulging")
DEGREE = 0.9
NINETY_STEPS = 60


def drainage(sheet: Sheet, section: Section, shared: Frame, done: dict[str, Sheet]) -> Scope:
    """Drainage factor of every sublayer, with smear and well resistance."""
    scope = sheet.scope("drainage", say("scope-drainage-title"), layer=slowest_sublayer(section, shared))
    for name in ("d_e", "d_c"):
        scope.take(name, done["columns"][name])
    scope(co.diameter_ratio)
    _smear(scope, section, shared)
    _well(scope, section, shared, done)
    scope(co.logarithmic_part)
    scope(co.undisturbed_part)
    scope(co.smeared_part)
    scope(co.drainage_factor)
    scope(co.ideal_drainage_factor)
    return scope


def slowest_sublayer(section: Section, shared: Frame, among: Sequence[int] = ()) -> str:
    """The sublayer that lines of the chapter are printed at: of all or some the deepest of those with the least c_h."""
    values = [section.layers[k].c_h or 0.0 for k in shared.sublayers.layer]
    return shared.layers[min(among or range(len(values)), key=lambda k: (values[k], -k))]


def _smear(scope: Scope, section: Section, shared: Frame) -> None:
    """Disturbed zone of every sublayer; none where none is given."""
    rule = Origin("project rule", text=say("rule"))
    for name, attribute in (("s_sm", "ratio"), ("r_ks", "k_ratio")):
        layers = [section.layers[k] for k in shared.sublayers.layer]
        values = [getattr(layer.smear, attribute) if layer.smear else 1.0 for layer in layers]
        origins = [
            origin_of(section, f"layer.{layer.key}.smear.{attribute}") if layer.smear else rule for layer in layers
        ]
        scope.given(name, values, ["layer"], origin=origins, origin_axis="layer")
    bare = [layer.name for layer in section.soft_layers if layer.smear is None]
    if bare:
        scope.sheet.limitation("no-smear", say("limitation-no-smear", bare=", ".join(bare)))


def _well(scope: Scope, section: Section, shared: Frame, done: dict[str, Sheet]) -> None:
    """Resistance of the column as a drain; none where a permeability is missing."""
    fill, layers = section.columns.fill, section.layers
    if fill.k is None or any(layer.k is None or layer.c_v is None for layer in layers):
        scope.given("mu_wr", 0.0, origin=Origin("project rule", text=say("rule-mu-wr")))
        scope.sheet.limitation("no-well-resistance", say("limitation-no-well-resistance"))
        return
    for name in ("A_c", "L_c", "a_E"):
        scope.take(name, done["columns"][name])
    given_of_section(scope, "k_f", section, "columns.fill.k", fill.k)
    for name, attribute in (("k_vs", "k"), ("c_hs", "c_h"), ("c_vs", "c_v")):
        given_of_layers(scope, name, section, shared.sublayers, attribute)
    scope(horizontal_permeability)
    scope(discharge_capacity)
    ends = section.filters.drainage.ends if section.filters and section.filters.drainage else None
    origin = origin_of(section, "filters.drainage.ends") if ends else Origin("project rule", text=say("rule-3"))
    scope.given("n_out", ENDS[ends or "top"], origin=origin)
    scope(drainage_path)
    scope(mean_well_resistance)


def transfer(
    sheet: Sheet, section: Section, done: dict[str, Sheet], steps: Sequence[str], layer: str
) -> Scope:  # fmt: skip
    """Factor on the coefficient of horizontal flow by three forms, at the last step of the programme."""
    cell = done["unit_cell"].scopes["settlement"]
    case = {"position": CENTRE, "load": "G+Q", "stiffness": LONG, "stage": steps[-1]}
    governing = sheet.scope(*FORMS[0], layer=layer)
    for name in ("a_E", "r_c"):
        governing.take(name, done["columns"][name])
    governing.take("K_ac", cell["K_ac"])
    governing.take("nu_s", done["ground"]["nu_s"])
    bare = at_labels(done["unit_cell"].scopes["untreated"]["E_oedu"], **case)
    governing.otherwise("E_oed", at_labels(cell["E_oed"], **case), bare, title=say("otherwise-e-oed-title"),
                        note=say("otherwise-e-oed-note"))  # fmt: skip
    governing.take("J", done["unit_cell"]["J"].at(stiffness=LONG))
    governing(soil_lame_constant)
    governing(soil_shear_modulus)
    governing(cc.soil_widening_stiffness)
    given_of_section(governing, "psi_c", section, "columns.fill.psi", section.columns.fill.psi)
    governing(dilatancy_ratio)
    governing(cc.yielding_water_volume)
    governing(cc.yielding_pore_pressure_load)
    shared = cell["f_lt"].at(**{**case, "stage": list(steps)}).largest("layer") if section.columns.floating else None
    _yielding_column(governing, shared)
    governing.take("Dsigma_0", at_labels(cell["Dsigma_0"], **case))
    if shared is None:
        governing(cc.yielding_start_pressure)
    else:
        governing.take("Dsigma_0lt", at_labels(cell["Dsigma_0lt"], **case))
        governing(start_pressure_with_sharing_length)
    _slack(sheet, governing, at_labels(cell["F_Ri"], position=CENTRE, load="G+Q", stiffness=LONG), steps, layer, shared)
    _elastic(sheet, section, governing, layer)
    rigid = sheet.scope(*FORMS[2], layer=layer)
    for name in ("lambda_c", "G_c", "E_oed"):
        rigid.take(name, sheet.scopes["transfer_elastic"][name])
    rigid(co.modulus_ratio)
    rigid.take("n_d", sheet.scopes["drainage"]["n_d"])
    rigid(co.transfer_factor, n="n_mod")
    sheet.limitation("no-bulging", NO_BULGING, "Han & Ye (2001) ◦")
    return governing


def _yielding_column(scope: Scope, shared: Value | None) -> None:
    """``shared`` is the share of the sublayer within the sharing length of floating columns, largest of the steps."""
    scope(cc.yielding_modulus)
    scope(cc.yielding_compressibility)
    if shared is None:
        scope(cc.encased_factor)
    else:
        scope.take("f_lt", shared)
        scope(transfer_factor_with_sharing_length)


def _slack(
    sheet: Sheet, governing: Scope, tension: Value, steps: Sequence[str], layer: str, shared: Value | None
) -> None:  # fmt: skip
    """The same without the sleeve, for what steps add under which it has no tension."""
    taut = np.where(tension.valid, tension.array, 0.0) > 0
    places = [tension.labels("stage").index(label) for label in steps]
    if taut[places].all():
        return
    scope = sheet.scope(*SLACK, layer=layer)
    for name in ("a_E", "K_ac", "lambda_s", "D_rs", "r_c", "k_psi", "E_oed", "b_1p", "b_2p"):
        scope.take(name, governing[name])
    scope.given("J", 0.0, origin=Origin("project rule", text=say("rule-2")))
    _yielding_column(scope, shared)
    sheet.limitation("slack-in-time", say("limitation-slack-in-time"))


def _elastic(sheet: Sheet, section: Section, governing: Scope, layer: str) -> None:
    scope, fill = sheet.scope(*FORMS[1], layer=layer), section.columns.fill
    for name in ("a_E", "r_c", "E_oed", "J", "lambda_s", "D_rs", "Dsigma_0"):
        scope.take(name, governing[name])
    given_of_section(scope, "E_c", section, "columns.fill.E", fill.E)
    given_of_section(scope, "nu_c", section, "columns.fill.nu", fill.nu)
    for formula in (
        fill_lame_constant, fill_shear_modulus, cc.lame_difference, cc.widening_stiffness, cc.confined_modulus,
        cc.pore_pressure_load, cc.drained_modulus, cc.elastic_compressibility, cc.encased_factor, undrained_share,
        cc.elastic_start_pressure,
    ):  # fmt: skip
        scope(formula)
    more = float(scope(cc.ratio_of_start_pressures, u_e0y=governing["u_e0"]).array.max())
    sheet.limitation("pore-pressure-at-loading", say("limitation-pore-pressure-at-loading", more=number_text(more, 2)))


def rates(sheet: Sheet, section: Section, shared: Frame) -> None:
    """Closed rates of every form, and the course with several exponentials that governs; c_h as given."""
    flow = sheet.scopes["drainage"]
    for key, _ in FORMS:
        scope = sheet.scopes[key]
        given_of_layers(scope, "c_hs", section, shared.sublayers, "c_h")
        scope(co.modified_coefficient)
        scope.take("d_e", flow["d_e"])
        scope.take("F_dr", flow["F_dr"])
        scope(co.horizontal_rate, c_hs="c_hm")
        scope(co.time_of_ninety_percent)
    governing = sheet.scopes["transfer"]
    _several_exponentials(governing, modes_of(sheet, governing, np.ones((1, 1))))
    factors = governing["f_tr"].array
    if float(factors.min()) <= LARGEST_FACTOR:
        sheet.limitation("closed-rates", DEVIATION, say("limitation-closed-rates-source"))
    if float(factors.max()) > LARGEST_FACTOR:
        sheet.limitation("stiff-rates", STIFF_DEVIATION, say("limitation-stiff-rates-source"))


def plausible_coefficient(sheet: Sheet, section: Section, shared: Frame, done: dict[str, Sheet]) -> None:
    """Compare c_v as given with what permeability and stiffness give, where all are known."""
    if any(layer.k is None for layer in section.layers):
        return
    scope = sheet.scope("plausible", say("scope-plausible-title"), layer=slowest_sublayer(section, shared))
    scope.take("gamma_w", done["ground"]["gamma_w"])
    scope.take("E_oed", sheet.scopes["transfer"]["E_oed"])
    for name, attribute in (("k_vs", "k"), ("c_vs", "c_v")):
        given_of_layers(scope, name, section, shared.sublayers, attribute)
    scope(co.coefficient_by_permeability)
    scope(co.ratio_of_coefficients)


def _several_exponentials(scope: Scope, modes: RadialModes) -> None:
    """Mean time of the several exponentials and their time to 90 %, which is longer than that of one rate."""
    mean = (modes.shares / modes.rates).sum(axis=0)[0]
    inputs = [scope[name] for name in ("c_hs", "f_tr", "d_e", "F_dr")]
    again = Again(mean_time, (scope["w_h"],))
    scope.reading("t_hm", mean, ["layer"], title=say("reading-t-hm-title"), inputs=inputs,
                  note=say("reading-t-hm-note", method=METHOD), again=again)  # fmt: skip
    scope.reading("t_hm90", _ninety(modes, mean), ["layer"], title=say("reading-t-hm90-title"), inputs=[scope["t_hm"]],
                  note=say("reading-t-hm90-note"))  # fmt: skip


def mean_time(rate: Value) -> Value:
    """Mean time of all exponentials together, to which they are scaled: that of the one rate of the closed form."""
    return replace(rate, array=1 / rate.array)


def _ninety(modes: RadialModes, mean: np.ndarray) -> np.ndarray:
    """Time at which a tenth of the pressure is left, by halving."""
    response = radial_response(RadialModes(modes.rates[:, 0], modes.shares[:, 0]))
    low, high = np.zeros_like(mean), mean / response.slowest.min() * response.slowest.max() * 100
    number = np.arange(mean.size)
    for _ in range(NINETY_STEPS):
        middle = 0.5 * (low + high)
        late = response.remaining(middle)[number, number] <= 1 - DEGREE
        low, high = np.where(late, low, middle), np.where(late, middle, high)
    return np.asarray(high)
