"""The first lift over the reinforcement: thin cover with plant on it, and soft ground that drags the panels."""

from calc.chapters.reinforcement.layer_resistance import Member
from calc.chapters.shared.column_zones import zone_sheets
from calc.chapters.shared.frame import SHORT, frame, given_of_section
from calc.chapters.shared.mats import DIRECTIONS, reinforced_directions
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import membrane as mb
from calc.formulas.arching_shells import strip_width
from calc.formulas.load_transfer import strip_load
from calc.formulas.loads import traffic_factor
from calc.formulas.mat import design_membrane_tension, first_lift_pressure, layer_tension, strip_load_in_one_direction
from calc.formulas.reinforcement import design_seam_tension, seam_tension
from calc.formulas.sleeve import design_resistance
from calc.inputs import Design, Section
from calc.inputs.tables.stages import FirstLift

say = words_of(__name__)

UNIFORM = mb.SHAPES["uniform"]
LIFT = "lift"


def first_lift(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Load of the first lift on a strip, in the transient situation of stage 0, alike for every direction."""
    lift = section.first_lift
    if lift is None:
        return
    scope = sheet.scope(LIFT, say("first-lift-title"), load="G+Q")
    _load(scope, section, lift, done, frame(design, section).stages[0])
    every = [done["load_transfer"], *(zone.done["load_transfer"] for zone in zone_sheets(section, done))]
    scope.take("A_s", max((transfer["A_s"] for transfer in every), key=lambda value: float(value.array)))
    scope.take("d_c", done["columns"]["d_c"])
    both = len(reinforced_directions(section)) == len(DIRECTIONS)
    scope(strip_load if both else strip_load_in_one_direction, sigma_sA="sigma_E")
    scope(strip_width)
    scope.given("c_eps", UNIFORM.c_eps, origin=Origin("project rule", text=say("rule")))
    scope(mb.edge_force)


def lift_of_direction(sheet: Sheet, section: Section, members: list[Member], stiffness: Value) -> None:
    """Tension of every layer of a direction under the first lift."""
    words = members[0].words
    title = say("lift-of-direction-title", words=words)
    lift = section.first_lift
    if lift is None:
        sheet.not_verified(f"first_lift_{words}", title, say("lift-of-direction-why"))
        return
    scope = sheet.scope(f"{words}_lift", say("tension-title", words=words), load="G+Q")
    _tension(scope, sheet.scopes[LIFT], stiffness)
    for member in members:
        part = sheet.scope(f"{words}{member.ending}_lift_layer", say("layer-title", name=member.layer.name))
        part.take("T_md", scope["T_md"])
        part.take("J_rk", sheet.scopes[member.scope]["J_rk"])
        part.take("J_r", scope["J_r"])
        part(layer_tension, T_rd="T_fl", T_across="T_md")
        resistance = _resistance(part, sheet.scopes[member.scope], member, sheet.axes["stage"][0])
        key = f"first_lift_{words}{member.ending}"
        sheet.verdict(key, f"{title}: {member.layer.name}", effect=part["T_fl"], resistance=resistance)
        if words == "along":
            _seams(sheet, section, lift, member, resistance)


def _resistance(part: Scope, strength: Scope, member: Member, start: str) -> Value:
    """Design resistance of the layer in the transient situation."""
    long_term = "R_rk" if member.layer.factors is not None else "T_rD"
    part.take(long_term, strength[long_term])
    part.take("gamma_M", strength["gamma_M"].at(stage=start))
    return part(design_resistance, R_Bd=member.resistance, R_Bk=long_term)


def _load(scope: Scope, section: Section, lift: FirstLift, done: dict[str, Sheet], start: str) -> None:
    """Weight of the lift and plant, in load G the lift alone."""
    given_of_section(scope, "t_fl", section, "first_lift.thickness", lift.thickness)
    given_of_section(scope, "p_fl", section, "first_lift.plant", lift.plant)
    for name in ("f_G", "gamma_QS"):
        scope.take(name, done["basis"][name].at(stage=start))
    for name in ("gamma_G", "gamma_Q"):
        scope.take(name, done["basis"][name].at(stage=start))
    scope.given("i_Q", [0.0, 1.0], ["load"], origin=Origin("project rule", text=say("rule-i-q")))
    scope(traffic_factor, f_q="f_fl")
    scope(first_lift_pressure)


def _tension(scope: Scope, lift: Scope, stiffness: Value) -> None:
    """A free strip under this load, its effect factored."""
    for name in ("F_m", "b_m", "V_e"):
        scope.take(name, lift[name])
    scope.take("J_r", stiffness.at(stiffness=SHORT), note=say("take-j-r-note"))
    scope(mb.membrane_strain, c_eps=lift["c_eps"])
    scope(mb.horizontal_force)
    scope(mb.edge_tension)
    scope.take("T_G", scope["T_m"].at(load="G"))
    scope.take("T_GQ", scope["T_m"].at(load="G+Q"))
    for name in ("gamma_G", "gamma_Q"):
        scope.take(name, lift[name])
    scope(design_membrane_tension)


def _seams(sheet: Sheet, section: Section, lift: FirstLift, member: Member, resistance: Value) -> None:
    """Panels dragged by the soft ground that is pushed forward: tension across their seams, along the embankment."""
    key, title = f"seams{member.ending}", say("seams", name=member.layer.name)
    if lift.remoulded_strength is None or lift.panels is None or lift.panel_width is None:
        sheet.not_verified(key, title, say("seams-why"), required=False)
        return
    scope = sheet.scope(f"seams{member.ending}", title)
    given_of_section(scope, "c_ur", section, "first_lift.remoulded_strength", lift.remoulded_strength)
    given_of_section(scope, "n_pan", section, "first_lift.panels", float(lift.panels))
    given_of_section(scope, "b_pan", section, "first_lift.panel_width", lift.panel_width)
    scope(seam_tension)
    for name in ("gamma_Q", "gamma_QS"):
        scope.take(name, sheet.scopes[LIFT][name])
    sheet.verdict(key, title, effect=scope(design_seam_tension), resistance=resistance)
