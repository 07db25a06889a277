"""The runs of the standard cell: load sharing under every factor set, settlement with characteristic values."""

import numpy as np

from calc.chapters.shared.frame import CENTRE, LONG, POSITIONS, SHORT
from calc.chapters.shared.geometry import lower_height
from calc.chapters.shared.heads import HEADS
from calc.chapters.shared.zones import ZONES
from calc.chapters.unit_cell import floating as cell_floating
from calc.chapters.unit_cell import standard as cell_standard
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.ground import active_coefficient
from calc.formulas.loads import factored_friction_angle, traffic_factor
from calc.inputs import Section

say = words_of(__name__)

KEPT = "heads_kept"


def tension(sheet: Sheet, section: Section, basis: Sheet) -> Scope:
    """Load sharing and ring tension at mid-depth, at the centre with the upper stiffness, for every factor set."""
    return _tension(scope_of_tension(sheet), sheet, section, basis)


def _tension(scope: Scope, sheet: Sheet, section: Section, basis: Sheet) -> Scope:
    _load_of_sets(scope, section, basis)
    scope.take("J", sheet["J"].at(stiffness=SHORT), note=say("take-j-note"))
    cell_standard.solve(scope, section)
    return scope


def scope_of_tension(sheet: Sheet) -> Scope:
    """The scope of the load sharing, with the case that it prints at."""
    return sheet.scope("tension", say("scope-tension-title"), load="G+Q")


def load_of_sets(sheet: Sheet, section: Section, basis: Sheet) -> Scope:
    """The load at the centre and the friction of the fill, for every factor set."""
    return _load_of_sets(scope_of_tension(sheet), section, basis)


def _load_of_sets(scope: Scope, section: Section, basis: Sheet) -> Scope:
    for name in ("gamma_phi", "f_G", "gamma_QS"):
        scope.take(name, basis[name])
    scope(factored_friction_angle)
    scope(active_coefficient, K_a="K_ac", phi="phi_c")
    scope(traffic_factor)
    rule = Origin("project rule", text=say("rule"))
    scope.given("f_H", 1.0, origin=rule)
    if section.makeup_fill:
        rule = Origin("project rule", text=say("rule-3"))
        scope.given("f_M", [0.0, *(1.0 for _ in section.stages)], ["stage"], origin=rule)
    cell_standard.load(scope)
    return scope


def settlement(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> Scope:
    """Settlement with characteristic values, the quasi-permanent share of traffic, at three positions."""
    scope = sheet.scope("settlement", say("scope-settlement-title"), load="G+Q", position=CENTRE, stiffness=LONG)
    _settlement(scope, section, done)
    sheet.limitation("positions", say("limitation-positions"))
    if section.embankment.berms:
        sheet.limitation("positions-berm", say("limitation-positions-berm"), "project rule ◇")
    return scope


def with_heads_kept(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> list[Scope]:
    """Both runs without the load of heads that fall: there the ratio of the stresses is lower."""
    title = say("scope-settlement-kept-title")
    settled = sheet.scope(f"{KEPT}_settlement", title, load="G+Q", position=CENTRE, stiffness=LONG)
    shared = sheet.scope(f"{KEPT}_tension", say("scope-tension-kept-title"), load="G+Q")
    for scope in (shared, settled):
        scope.take("p_W", done["ground"].scopes[HEADS]["p_Ww"], note=say("take-p-w-note"))
    _tension(shared, sheet, section, done["basis"])
    _settlement(settled, section, done)
    return [shared, settled]


def _at_lower_edge(scope: Scope, done: dict[str, Sheet]) -> None:
    """Share of the height at the lower crest edge and at mid-slope below it; the centre has that of the higher edge."""
    height, lower = scope["H"], lower_height(done["columns"])
    share = np.divide(lower.array, height.array, out=np.ones_like(lower.array), where=height.array > 0)
    parts = np.stack([np.ones_like(share), share, share / 2], axis=-1)
    scope.reading("f_H", parts, ["stage", "position"], title=say("reading-f-h-title"), inputs=[height, lower],
                  note=say("reading-f-h-note"))  # fmt: skip


def _settlement(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    scope(active_coefficient, K_a="K_ac", phi="phi_ck")
    scope(traffic_factor, gamma_QS="psi_2")
    scope.given("f_G", 1.0, origin=Origin("project rule", text=say("rule-f-g")))
    more = [1.0] * (len(scope.sheet.axes["position"]) - len(POSITIONS))  # stretches between ends of zones
    if section.embankment.is_cored:
        scope.take("p_Zx", done["columns"].scopes[ZONES]["p_Zx"])
    if section.embankment.lower:
        _at_lower_edge(scope, done)
    else:
        rule = Origin("project rule", text=say("rule-2"))
        scope.given("f_H", [1.0, 1.0, 0.5, *more], ["position"], origin=rule)
    if section.makeup_fill:
        rule = Origin("project rule", text=say("rule-4-places") if more else say("rule-4"))
        filled = [[0.0, 0.0, 0.0, *(0.0 for _ in more)], *([1.0, 0.0, 0.0, *more] for _ in section.stages)]
        scope.given("f_M", filled, ["stage", "position"], origin=rule)
    cell_standard.load(scope)
    cell_standard.solve(scope, section, cell_floating.settle if section.columns.floating else None)
