"""Columns that end in soft ground: what their shafts and toes pass on, and the settlement within the sharing length."""

from calc.chapters.shared.frame import CENTRE, LONG, frame, given_of_section, strength_of_sublayers
from calc.engine.sheet import Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import floating as fl
from calc.formulas.bending import stress_at_firm_layer
from calc.formulas.column_field import whole_load_on_column
from calc.formulas.unit_cell import (
    logarithmic_mean_stress,
    oedometer_modulus,
    stress_after_loading,
    untreated_sublayer_settlement,
)
from calc.inputs import Design, Section

say = words_of(__name__)

SHAFT = "shaft"
RELYING = (
    "sharing_length", "settlement_total", "settlement_elastic_plastic", "settlement_residual", "settlement_with_time",
    "settlement_below_toe", "settlement_life", "settlement_rest",
)  # fmt: skip


def shaft(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """What shaft and toe pass on with characteristic strengths."""
    floating = section.columns.floating
    if floating is None:
        return
    scope, ground = sheet.scope(SHAFT, say("scope-shaft-title")), done["ground"]
    for name, field, value in (
        ("alpha_sh", "alpha", floating.alpha), ("K_sh", "K", floating.K), ("delta_sh", "delta", floating.delta),
        ("N_cB", "N_c", floating.N_c), ("chi_B", "toe_share", floating.toe_share), ("c_uB", "c_u", floating.c_u),
    ):  # fmt: skip
        given_of_section(scope, name, section, f"columns.floating.{field}", value)
    scope.take("d_c", done["columns"]["d_c"])
    strength_of_sublayers(scope, section, frame(design, section), ground)
    for step in (fl.shaft_shear, fl.shaft_transfer, fl.transfer_below):
        scope(step)
    scope(stress_at_firm_layer, sigma_vsN="sigma_v0t", p_0=ground["p_0"], w=ground["w"])
    scope(stress_at_firm_layer, sigma_vsN="sigma_v0ct", p_0=ground["p_0"], w=ground["w_c"])
    scope(fl.toe_increment)


def settle(scope: Scope) -> None:
    """Settlement of every sublayer, and the sharing length; the chain of the cell stands in the scope."""
    known, first = scope.sheet.scopes[SHAFT], scope.sheet.axes["layer"][0]
    scope(whole_load_on_column)
    scope.otherwise("Dsigma_vcw", scope["Dsigma_vc"], scope["sigma_cw"], title=say("otherwise-dsigma-vcw-title"),
                    note=say("otherwise-dsigma-vcw-note"))  # fmt: skip
    toe, transfer = known["Dsigma_B"], known["Dsigma_sh"]
    scope(fl.share_in_sharing_length, Dsigma_B=toe, Dsigma_be=known["Dsigma_be"], Dsigma_sh=transfer)
    scope(fl.sharing_length, Dsigma_1=scope["Dsigma_vcw"].at(layer=first), Dsigma_B=toe, Dsigma_sh=transfer)
    scope(fl.stress_of_soil_alone)
    scope(stress_after_loading, p_2="p_2u", Dsigma_vs="Dsigma_0lt")
    scope(logarithmic_mean_stress, p_m="p_mu", p_2="p_2u")
    scope(oedometer_modulus, E_oed="E_oedu", p_m="p_mu")
    scope(untreated_sublayer_settlement, Dsigma_0="Dsigma_0lt")
    scope.otherwise("s_ic", scope["s_c"], 0.0, title=say("otherwise-s-ic-title"), note=say("otherwise-s-ic-note"))
    scope(fl.settlement_with_sharing_length)
    scope(fl.toe_penetration)
    scope(fl.needed_penetration, Dsigma_lo=scope["Dsigma_vcw"].at(layer=scope.sheet.axes["layer"][-1]),
          **{name: known[name] for name in ("d_c", "chi_B", "N_cB", "c_uB")})  # fmt: skip


def settle_by_strain(scope: Scope, standard: Scope) -> None:
    """The same by another method of the cell, whose settlement stands in the scope, with the same sharing length."""
    scope(fl.settlement_with_sharing_length, f_lt=standard["f_lt"], s_iu=standard["s_iu"])


def verify(sheet: Sheet, settlement: Scope, done: dict[str, Sheet]) -> None:
    """The sharing length ends within the columns; what the method leaves out."""
    if SHAFT not in sheet.scopes:
        return
    scope = sheet.scope("sharing", say("scope-sharing-title"))
    reached = settlement["l_t"].at(position=CENTRE, load="G+Q", stage=sheet.axes["stage"][1:])
    scope.take("t_soft", done["columns"]["t_soft"])
    sheet.verdict("sharing_length", say("scope-sharing-title"), effect=scope.take("l_t", reached),
                  resistance=scope["t_soft"], note=say("sharing-note"))  # fmt: skip
    sheet.limitation("sharing-length", say("limitation-sharing-length"), "project rule ◇")
    at = {"position": CENTRE, "load": "G+Q", "stiffness": LONG, "stage": sheet.axes["stage"][-1]}
    deep, need = (1000 * (settlement[name].number(at) or 0.0) for name in ("s_pen", "s_Bn"))
    if deep < need:
        share = 100 * float(sheet.scopes[SHAFT]["chi_B"].array)
        text = say("limitation-toe-share", deep=deep, need=need, share=share)
        sheet.limitation("toe-share", text, "common practice, no source", turns=lambda verdict: verdict.key in RELYING)
