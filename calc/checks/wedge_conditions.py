"""What the shear force of the columns in the extruding wedge relies on: firm base, ring resistance, reinforcement."""

from calc.checks.frame import given_of_section
from calc.checks.mobilised import mobilised, state_strain
from calc.checks.slip_model import ACROSS
from calc.checks.squeeze_ground import Side, sides
from calc.checks.squeeze_reach import laid
from calc.formulas import thrust as th
from calc.formulas.column_field import design_friction_angle
from calc.formulas.extrusion import held_thrust, ring_reserve
from calc.formulas.ground import active_coefficient
from calc.inputs import Section
from calc.sheet import Origin, Scope, Sheet

LEAST_RING = 60.0  # kPa


def unmet(
    sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, wedge: Scope, stages: list[str]
) -> str:  # fmt: skip
    """The conditions that are not met in these stages, in words; empty where the columns may be counted."""
    found = []
    if not section.bearing_layer.firm or section.columns.embedment <= 0:
        found.append("the columns do not stand in a firm layer")
    found += _ring(sheet, done, side, stages)
    found += _held(sheet, section, done, side, wedge, stages)
    return f"The columns are not counted: {'; '.join(found)}." if found else ""


def _ring(sheet: Sheet, done: dict[str, Sheet], side: Side, stages: list[str]) -> list[str]:
    """Ring resistance that is left beside the tension from the vertical load, least of all sublayers."""
    sleeve = done["sleeve"]
    scope = sheet.scope(f"ring_reserve{side.ending}", f"Ring resistance left for the extruding wedge, {side.words}")
    formats = (("factors", "R_Bd"), ("iso20432", "R_TD"))
    known = [sleeve.scopes[name][symbol] for name, symbol in formats if name in sleeve.scopes]
    scope.take(
        "R_Bd", min(known, key=lambda one: float(one.array[one.valid].min())), note="the lower of the formats given"
    )
    scope.take("F_Rd", sleeve["F_Rd"])
    scope.take("r_c", done["columns"]["r_c"])
    left = scope(ring_reserve).at(stage=stages)
    why = "least support for columns that bend, compared with limit analysis with a sleeve of 100 kPa"
    scope.given("p_rmin", LEAST_RING, origin=Origin("project rule", text=why))
    least = float(left.array[left.valid].min())
    if least >= LEAST_RING:
        return []
    words = f"{least:.0f} kN/m² of ring resistance left beside the vertical load, needed are {LEAST_RING:.0f}"
    return [f"the sleeve has {words}"]


def _held(
    sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, wedge: Scope, stages: list[str]
) -> list[str]:  # fmt: skip
    """The reinforcement holds the active thrust of the fill and the shear counted at the top."""
    across = [k for k, one in enumerate(section.reinforcement) if one.direction in ACROSS]
    if not across:
        return ["no reinforcement across holds the thrust of the fill"]
    scope = sheet.scope(f"wedge_held{side.ending}", f"Thrust that the reinforcement holds, {side.words}")
    given_of_section(scope, "phi_Ek", section, "embankment.phi", section.embankment.phi)
    scope.take("gamma_phi", done["basis"]["gamma_phi"])
    scope(design_friction_angle, phi_d="phi_E", phi="phi_Ek")
    scope(active_coefficient, K_a="K_aE", phi="phi_E")
    for name in ("H_q", "q_st", "gamma_Ed", "S_0"):
        scope.take(name, wedge[name])
    cell = done["unit_cell"].scopes["tension"]
    made_up = cell["p_M"].largest("stage") if "stage" in cell["p_M"].axis_names else cell["p_M"]
    scope.take("p_M", made_up, note="compensation fill thrusts as the fill does, largest over load and factor sets")
    scope(th.height_with_compensation_fill)
    scope(th.fill_thrust, K_a="K_aE", gamma_E="gamma_Ed", H="H_tM")
    scope(th.traffic_thrust, K_a="K_aE", q="q_st", H="H_tM")
    scope(th.design_thrust)
    need = scope(held_thrust)
    tension = {k: mobilised(sheet, section, done, k) for k in across}
    values = [
        sum((float(tension[k].at(stage=label).array) for k in present), 0.0)
        for label, present in zip(
            sheet.axes["stage"], [[], *(laid(section, stage) for stage in section.stages)], strict=True
        )
    ]
    names = " + ".join(section.reinforcement[k].name for k in across)
    carried = scope.reading(
        "T_acr", values, ["stage"], title="Tension of all layers across that lie in the stage",
        inputs=list(tension.values()), note=f"{names}, each from the stage on in which it lies",
    )  # fmt: skip
    turns = [f"{key}{one.ending}" for key in ("squeeze_lift", "squeeze") for one in sides(section)]
    state_strain(sheet, section, across, turns)
    short = []
    for label in stages:
        worst, own = float(need.at(stage=label).array.max()), float(carried.at(stage=label).array)
        if worst > own:
            short.append(f"{label} ({own:.0f} of {worst:.0f} kN/m)")
    return (
        [f"the reinforcement across does not hold thrust and shear at the top in {', '.join(short)}"] if short else []
    )
