"""What the shear force of the columns in the extruding wedge relies on: firm base, ring resistance, reinforcement."""

import numpy as np

from calc.chapters.bearing.wedge_reach import layers_in_fill
from calc.chapters.shared.column_zones import largest_of_grids, zone_sheets
from calc.chapters.shared.earthquake import inertia_of_slope, thrust_coefficient
from calc.chapters.shared.frame import GIVEN_RATIO, at_labels, origin_of
from calc.chapters.shared.geometry import place_of
from calc.chapters.shared.mats import ACROSS, mat_labels
from calc.chapters.shared.mobilised import state_strain, tension_by_stage
from calc.chapters.shared.soft_ground import Side, sides
from calc.chapters.shared.strips import pushing_load, strips_of
from calc.chapters.shared.zones import friction_of_fill
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet, Value, stage_name
from calc.engine.words import words_of
from calc.formulas import thrust as th
from calc.formulas.column_field import design_friction_angle, factored_unit_weight, traffic_of_stage
from calc.formulas.extrusion import held_thrust, ring_reserve, ring_safety, tension_of_layers_across, tension_safety
from calc.inputs import Section
from calc.inputs.tables.embankment import SIDES

say = words_of(__name__)

RING, HELD = "ring_reserve", "wedge_held"  # scopes of what the sleeves and the reinforcement have left
THIN_GROUND = "thin_ground"  # scope of what tells whether circles may miss the mechanism with the least load
LEAST_RING = 60.0  # kPa


def unmet_conditions(
    sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, wedge: Scope, stages: list[str],
    *, by_numbers: bool,
) -> str:  # fmt: skip
    """The conditions that are not met in these stages, in words; empty where the columns may be counted.

    ``by_numbers`` leaves sleeve and reinforcement to the resistance, for which their safeties are recorded.
    """
    texts = []
    columns = section.columns
    firm = [None, *(zone for _, zone in columns.zones if zone.floating is None)]
    if not section.bearing_layer.firm or any(columns.embedment_of(zone) <= 0 for zone in firm):
        texts.append(say("unmet-2"))
    texts += _reach_of_columns(section, side, done["columns"])
    ring = _ring(sheet, section, done, side, stages)
    tension = _reinforcement(sheet, section, done, side, wedge, stages)
    if by_numbers and not _wedge_before_reinforcement(sheet, side, stages):
        sheet.scopes[RING + side.ending](ring_safety)
        sheet.scopes[HELD + side.ending](tension_safety)
    else:
        texts += ring + tension
    return say("unmet", found="; ".join(texts)) if texts else ""


def _wedge_before_reinforcement(sheet: Sheet, side: Side, stages: list[str]) -> bool:
    """Whether a stage in which the soil alone settles nothing has no reinforcement across yet.

    That is a stage with a gain, and any of thin ground whose circles may miss the mechanism with the least load.
    """
    gain, carried = at_labels(sheet["Dc_u"], ratio=GIVEN_RATIO), sheet.scopes[HELD + side.ending]["T_acr"]
    bare = [label for label in stages if not carried.number({"stage": label})]
    return any(circles_may_miss(sheet, side) or float(gain.at(stage=label).array) > 0 for label in bare)


def circles_may_miss(sheet: Sheet, side: Side) -> bool:
    """Whether the ground is thin and its strength grows so fast that circles miss the mechanism with the least load."""
    scope = sheet.scopes[f"{THIN_GROUND}{side.ending}"]
    run, thin, growth, fast = (float(scope[name].array) for name in ("L_mx", "L_thin", "Dc_th", "Dc_fast"))
    return run > thin and growth >= fast


def _reach_of_columns(section: Section, side: Side, columns: Sheet) -> list[str]:
    """Beside an old bank they reach from the crest edge inwards as far as the ground is thick, as the wedge has it."""
    old = section.widening
    if old is None:
        return []
    thick = float(columns["t_soft"].array)
    named = [key for key in SIDES if side.ending in {"", f"_{key}"}]
    inwards = min(old.inwards(section.embankment, key) for key in named)
    return [say("reach-words", inwards=inwards, thick=thick)] if above(thick, inwards) else []


def _ring(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, stages: list[str]) -> list[str]:
    """Ring resistance that is left beside the tension from the vertical load, least of all sublayers."""
    sleeve = done["sleeve"]
    scope = sheet.scope(f"{RING}{side.ending}", say("scope-ring-reserve-title", side_words=side.words))
    formats = (("factors", "R_Bd"), ("iso20432", "R_TD"))
    known = [sleeve.scopes[name][symbol] for name, symbol in formats if name in sleeve.scopes]
    scope.take("R_Bd", min(known, key=lambda value: float(value.array[value.valid].min())), note=say("take-r-bd-note"))
    resistance, every = sleeve["F_Rd"], [zone.done["sleeve"]["F_Rd"] for zone in zone_sheets(section, done)]
    resistance, *every = (
        [value.largest("factor_set", "stage") for value in (resistance, *every)] if every else [resistance]
    )
    largest_of_grids(scope, "F_Rd", resistance, every)
    scope.take("r_c", done["columns"]["r_c"])
    left = scope(ring_reserve).at(stage=stages)
    why = say("ring-why")
    scope.given("p_rmin", LEAST_RING, origin=Origin("project rule", text=why))
    least = float(left.array[left.valid].min())
    if least >= LEAST_RING:
        return []
    words = say("ring-words", least=least, least_ring=LEAST_RING)
    return [say("sleeve-has", words=words)]


def _reinforcement(
    sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, wedge: Scope, stages: list[str]
) -> list[str]:  # fmt: skip
    """The reinforcement holds the active thrust of the fill and the shear counted at the top."""
    across = [k for k, mat in enumerate(section.reinforcement) if mat.direction in ACROSS]
    if not across:
        return [say("held")]
    scope = sheet.scope(f"{HELD}{side.ending}", say("scope-wedge-held-title", side_words=side.words))
    need = _thrust(scope, section, done, wedge, side).largest("stage")
    carried = _tension_across(scope, section, done, across)
    turns = [f"{key}{flank.ending}" for key in ("squeeze_lift", "squeeze") for flank in sides(section)]
    state_strain(sheet, section, across, turns)
    pairs = [(label, need.number({"stage": label}) or 0.0, carried.number({"stage": label}) or 0.0) for label in stages]
    short = [
        say("short-of", stage=stage_name(label), own=f"{ratio:.0f}", worst=f"{worst:.0f}")
        for label, worst, ratio in pairs
        if worst > ratio
    ]
    return [say("held-2", short=", ".join(short))] if short else []


def _thrust(scope: Scope, section: Section, done: dict[str, Sheet], wedge: Scope, side: Side) -> Value:
    """The active thrust of the fill with the shear counted at the top."""
    friction_of_fill(scope, section)
    scope.take("gamma_phi", done["basis"]["gamma_phi"])
    scope(design_friction_angle, phi_d="phi_E", phi="phi_Ek")
    if "beta_C" in wedge:
        scope.take("beta_C", wedge["beta_C"])
    thrust_coefficient(scope, section, done)
    strips = strips_of(done)
    for name in ("H_q", *(["q_st"] if strips is None else []), "gamma_Ed", "S_0"):
        if name == "gamma_Ed" and "gamma_Ex" in wedge:
            scope(factored_unit_weight, gamma_E="gamma_Ex")
        else:
            scope.take(name, wedge[name])
    cell = done["unit_cell"].scopes["tension"]
    made_up = cell["p_M"].largest("stage") if "stage" in cell["p_M"].axis_names else cell["p_M"]
    scope.take("p_M", made_up, note=say("take-p-m-note"))
    scope(th.height_with_compensation_fill)
    scope(th.fill_thrust, K_a="K_aE", gamma_E="gamma_Ed", H="H_tM")
    if strips is not None:
        scope(
            traffic_of_stage, q=pushing_load(scope, section, strips, side.pushed_side, "H_tM", K_a="K_aE", phi="phi_E")
        )
    scope(th.traffic_thrust, K_a="K_aE", q="q_st", H="H_tM")
    scope(th.design_thrust)
    if section.earthquake is not None:
        scope.take("n_S", wedge["n_S"])
    return scope(held_thrust, E_ad=inertia_of_slope(scope, section, "H_tM"))


def _tension_across(scope: Scope, section: Section, done: dict[str, Sheet], across: list[int]) -> Value:
    """The tension of all layers across that lie within the fill of a stage."""
    sheet, names = scope.sheet, [section.reinforcement[k].name for k in across]
    tension = [tension_by_stage(sheet, section, done, k) for k in across]
    whole = np.stack([value.array for value in tension], axis=-1)
    filled = [[k in layers_in_fill(section, done, label) for k in across] for label in sheet.axes["stage"][1:]]
    laid = np.array([[False] * len(across), *filled])
    sheet.axis("mat", mat_labels((k, section.reinforcement[k]) for k in across))
    scope.reading(
        "T_lay", np.where(laid, whole, 0.0), ["stage", "mat"], title=say("reading-t-lay-title"),
        inputs=[*tension, place_of(done["columns"], "z_cst")],
        origins=[origin_of(section, f"reinforcement.{k}.level") for k in across],
        note=say("reading-t-lay-note", names=" + ".join(names)),
    )  # fmt: skip
    return scope(tension_of_layers_across)
