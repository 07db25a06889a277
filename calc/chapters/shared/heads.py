"""Pore pressure by heads over depth, effective stresses as total stress less pore pressure, what a fall of it loads."""

from collections.abc import Iterator

import numpy as np

from calc.chapters.shared.frame import Frame, given_of_section, initial_water, origin_of
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import pore_pressure as pp
from calc.formulas.ground import drawdown_load
from calc.inputs import Section
from calc.inputs.tables.heads import head_at

say = words_of(__name__)

HEADS = "heads"
TOP, MIDDLE, BOTTOM, BELOW = "top of the sublayer", "mid-depth", "bottom of the sublayer", "below its bottom"
POINTS = (TOP, MIDDLE, BOTTOM, BELOW)  # the last in the sublayer that follows, where a head may jump
PART = (0.0, 0.5, 1.0, 1.0)


def names_of_water(section: Section) -> list[str]:
    """Names of the water levels: that of the initial state, then of every stage."""
    return [initial_water(section), *(stage.water for stage in section.stages)]


def has_heads(ground: Sheet) -> bool:
    """Whether the chapter on the ground has pore pressures by heads over depth."""
    return HEADS in ground.scopes


def stresses_with_heads(sheet: Sheet, section: Section, shared: Frame) -> None:
    """Initial effective stresses of soil and column, and the load by a fall of water level or heads."""
    sheet.axis("point", POINTS)
    scope = sheet.scope(HEADS, say("scope-heads-title"))
    scope.given("s_p", PART, ["point"], origin=Origin("project rule", text=say("rule-point")))
    _levels(scope, section, shared)
    for step in (pp.depth_of_point, pp.pore_pressure, pp.pressure_at_rest, pp.free_water):
        scope(step)
    first = shared.stages[0]
    scope(pp.total_unit_weight)
    scope(pp.total_weight)
    scope(pp.total_stress)
    scope(pp.effective_stress)
    scope(pp.least_effective_stress, sigma_e0=scope["sigma_ep"].at(stage=first))
    column = {"gamma": "gamma_cd", "gamma_r": "gamma_cr"}
    scope(pp.total_unit_weight, gamma_t="gamma_tc", **column)
    scope(pp.total_weight, w_t="w_tc", gamma_t="gamma_tc")
    scope(pp.total_stress, sigma_tp="sigma_tcp", w_t="w_tc")
    scope(pp.pressure_in_column)
    scope(pp.effective_stress, sigma_ep="sigma_ecp", sigma_tp="sigma_tcp", u_p="u_cp")
    scope(pp.least_effective_stress, sigma_ip="sigma_icp", sigma_ep="sigma_ecp",
          sigma_e0=scope["sigma_ecp"].at(stage=first))  # fmt: skip
    for name, stress, weight in (("sigma_v0s", "sigma_ip", "gamma_eff"), ("sigma_v0c", "sigma_icp", "gamma_ceff")):
        middle, top = (scope[stress].at(point=point) for point in (MIDDLE, TOP))
        sheet.take(name, middle)
        sheet(pp.increase_of_effective_stress, gamma_eff=weight, sigma_im=middle, sigma_it=top)
    _fall(scope, section, shared)
    _in_columns(scope, section)


def _levels(scope: Scope, section: Section, shared: Frame) -> None:
    """Piezometric levels at top, middle and bottom of every sublayer, and below its bottom."""
    names, ground, parts = names_of_water(section), section.ground_level, shared.sublayers
    lines = [section.water_table.line(name, ground) for name in names]
    depths = (parts.top, parts.middle, parts.bottom, parts.bottom)
    rows = list(zip(depths, (True, False, False, True), strict=True))  # at top and below the bottom the head below
    levels = [[[head_at(line, ground - z, below=below) - ground for z in row] for row, below in rows] for line in lines]
    scope.reading("h_p", levels, ["stage", "point", "layer"], title=say("reading-h-p-title"),
                  inputs=[scope["z_w"], scope["z_g"]], origins=list(_origins(section)),
                  note=say("reading-h-p-note"))  # fmt: skip


def _origins(section: Section) -> Iterator[Origin]:
    for index, head in enumerate(section.water_table.heads):
        for k, _ in enumerate(head.points):
            for field in ("level", "head"):
                yield origin_of(section, f"water.head.{index}.points.{k}.{field}")


def _fall(scope: Scope, section: Section, shared: Frame) -> None:
    """The load by a fall of the pore pressure since the initial state; open columns drain heads once they are built."""
    sheet, first = scope.sheet, shared.stages[0]
    rule = Origin("project rule", text=say("rule-drain") if section.drains else say("rule-plug"))
    drains = [float(section.drains and label != first) for label in shared.stages]
    scope.given("i_dr", drains, ["stage"], origin=rule)
    fall = scope(pp.fall_of_pressure, u_0p=scope["u_p"].at(stage=first), p_fw0=scope["p_fw"].at(stage=first))
    # At both ends of a sublayer: below a jump the fall is largest at its top. What lies below the base is not soft.
    within = fall.at(point=(TOP, MIDDLE, BOTTOM)).array
    scope.reading("Du_dm", within.max(axis=(-2, -1)), ["stage"], inputs=[fall], title=say("reading-fall-title"))
    scope(drawdown_load, p_W="p_Ww")
    sheet(pp.load_by_fall_of_water, p_Ww=scope["p_Ww"], Du_dm=scope["Du_dm"])


def _in_columns(scope: Scope, section: Section) -> None:
    """The gradient of water that rises in columns without a plug."""
    rule = Origin("project rule", text=say("rule-open") if section.drains else say("rule-plug"))
    scope.given("i_fl", float(section.drains), origin=rule)
    base = scope.sheet.axes["layer"][-1]
    scope.take("h_a", scope["h_p"].at(point=BELOW, layer=base))
    scope.take("d_B", scope["z_p"].at(point=BELOW, layer=base))
    scope(pp.gradient_in_column)


def rise_of_head(scope: Scope, section: Section) -> None:
    """The rise of the head that is a variable action, with its factor; none where none is given."""
    for name, field, none in (("gamma_uq", "gamma_Q_dst", 1.0), ("Dh_r", "rise", 0.0)):
        value = getattr(section.uplift, field, None)
        if value is None:
            scope.given(name, none, origin=Origin("project rule", text=say("rule-no-rise")))
        else:
            given_of_section(scope, name, section, f"uplift.{field}", value)


def stress_below_base(ground: Sheet, name: str = "sigma_ip") -> Value:
    """Initial effective vertical stress of soil or column below the base of the soft layers."""
    stress = ground.scopes[HEADS][name]
    return stress.at(point=BELOW, layer=stress.labels("layer")[-1])


def falls(ground: Sheet) -> bool:
    """Whether pore pressures fall by more than the water level: by heads of a stage or by the columns."""
    if not has_heads(ground):
        return False
    scope = ground.scopes[HEADS]
    return bool(np.any(scope["Du_dm"].array > np.broadcast_to(scope["p_Ww"].array, scope["Du_dm"].array.shape) + 1e-9))
