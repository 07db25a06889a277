"""The runs of the standard cell: load sharing under every factor set, settlement with characteristic values."""

from calc.chapters.shared.frame import CENTRE, LONG, SHORT
from calc.chapters.unit_cell import standard as cell_standard
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.ground import active_coefficient
from calc.formulas.loads import factored_friction_angle, traffic_factor
from calc.inputs import Section

say = words_of(__name__)


def tension(sheet: Sheet, section: Section, basis: Sheet) -> Scope:
    """Load sharing and ring tension at mid-depth, at the centre with the upper stiffness, for every factor set."""
    scope = load_of_sets(sheet, section, basis)
    scope.take("J", sheet["J"].at(stiffness=SHORT), note=say("take-j-note"))
    cell_standard.solve(scope, section)
    return scope


def load_of_sets(sheet: Sheet, section: Section, basis: Sheet) -> Scope:
    """The load at the centre and the friction of the fill, for every factor set."""
    scope = sheet.scope("tension", say("scope-tension-title"), load="G+Q")
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


def settlement(sheet: Sheet, section: Section) -> Scope:
    """Settlement with characteristic values, the quasi-permanent share of traffic, at three positions."""
    scope = sheet.scope("settlement", say("scope-settlement-title"), load="G+Q", position=CENTRE, stiffness=LONG)
    scope(active_coefficient, K_a="K_ac", phi="phi_ck")
    scope(traffic_factor, gamma_QS="psi_2")
    scope.given("f_G", 1.0, origin=Origin("project rule", text=say("rule-f-g")))
    rule = Origin("project rule", text=say("rule-2"))
    scope.given("f_H", [1.0, 1.0, 0.5], ["position"], origin=rule)
    if section.makeup_fill:
        rule = Origin("project rule", text=say("rule-4"))
        filled = [[0.0, 0.0, 0.0], *([1.0, 0.0, 0.0] for _ in section.stages)]
        scope.given("f_M", filled, ["stage", "position"], origin=rule)
    cell_standard.load(scope)
    cell_standard.solve(scope, section)
    sheet.limitation("positions", say("limitation-positions"))
    return scope
