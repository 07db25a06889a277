"""The runs of the standard cell: load sharing under every factor set, settlement with characteristic values."""

from calc.checks import cell_standard
from calc.checks.frame import CENTRE, LONG, SHORT
from calc.formulas.ground import active_coefficient
from calc.formulas.loads import factored_friction_angle, traffic_factor
from calc.inputs import Section
from calc.sheet import Origin, Scope, Sheet


def tension(sheet: Sheet, section: Section, basis: Sheet) -> Scope:
    """Load sharing and ring tension at mid-depth, at the centre with the upper stiffness, for every factor set."""
    scope = load_of_sets(sheet, section, basis)
    scope.take("J", sheet["J"].at(stiffness=SHORT), note="the upper value gives the column the larger share")
    cell_standard.solve(scope, section)
    return scope


def load_of_sets(sheet: Sheet, section: Section, basis: Sheet) -> Scope:
    """The load at the centre and the friction of the fill, for every factor set."""
    scope = sheet.scope("tension", "Load sharing: factor sets, upper stiffness, centre", load="G+Q")
    for name in ("gamma_phi", "f_G", "gamma_QS"):
        scope.take(name, basis[name])
    scope(factored_friction_angle)
    scope(active_coefficient, K_a="K_ac", phi="phi_c")
    scope(traffic_factor)
    rule = Origin("project rule", text="full height at the centre")
    scope.given("f_H", 1.0, origin=rule)
    if section.makeup_fill:
        rule = Origin(
            "project rule", text="compensation fill keeps the design level at the centre, from the first stage on"
        )
        scope.given("f_M", [0.0, *(1.0 for _ in section.stages)], ["stage"], origin=rule)
    cell_standard.load(scope)
    return scope


def settlement(sheet: Sheet, section: Section) -> Scope:
    """Settlement with characteristic values, the quasi-permanent share of traffic, at three positions."""
    scope = sheet.scope(
        "settlement", "Settlement: characteristic values, G and G + ψ₂·Q", load="G+Q", position=CENTRE, stiffness=LONG
    )
    scope(active_coefficient, K_a="K_ac", phi="phi_ck")
    scope(traffic_factor, gamma_QS="psi_2")
    scope.given("f_G", 1.0, origin=Origin("project rule", text="serviceability: all factors 1"))
    rule = Origin("project rule", text="full height at centre and crest edge, half at mid-slope")
    scope.given("f_H", [1.0, 1.0, 0.5], ["position"], origin=rule)
    if section.makeup_fill:
        rule = Origin("project rule", text="compensation fill at the centre, none at and beyond the crest edge")
        filled = [[0.0, 0.0, 0.0], *([1.0, 0.0, 0.0] for _ in section.stages)]
        scope.given("f_M", filled, ["stage", "position"], origin=rule)
    cell_standard.load(scope)
    cell_standard.solve(scope, section)
    sheet.limitation(
        "positions",
        "Crest edge and mid-slope lie outside the cell's assumption of a load that is wide compared with the depth of "
        "the soft ground; they serve the differential settlement only.",
    )
    return scope
