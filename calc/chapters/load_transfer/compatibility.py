"""Compatible settlement of ground, columns and reinforcement: between equal settlement and full arching."""

from functools import partial

import numpy as np

from calc.chapters.load_transfer.arching_cell import NO_SETTLEMENT
from calc.chapters.load_transfer.membrane import GAP_ALLOWED, SHAPE_RULE, edge_scope, lanes_of, larger_edge, shapes_used
from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.mats import DIRECTIONS, reinforced_directions
from calc.engine.sheet import Again, Procedure, Scope, Sheet, Value
from calc.engine.sheet.values import largest_of, largest_with_first, or_else, spread
from calc.engine.words import words_of
from calc.formulas import load_transfer as lt
from calc.formulas import membrane as mb
from calc.inputs import Section
from calc.procedures.membrane import METHOD, TOLERANCE, solve_compatibility

say = words_of(__name__)

INPUTS = ("sigma_E", "sigma_sA", "a_E", "k_s", "k_c", "Ds_mob", "J_q", "J_l", "L_m", "b_m", "A_s")
STAND_INS = {"sigma_E": 0.0, "sigma_sA": 0.0, "k_s": 1.0, "k_c": 1.0}
TITLE = say("title")


def compatibility(sheet: Sheet, section: Section) -> list[Scope]:
    """One scope for each shape of load that the design uses; none, and a verdict left open, without the input."""
    chosen = section.load_transfer
    if chosen is None or chosen.full_arching_difference is None:
        sheet.not_verified("compatibility", TITLE, say("compatibility-why"))
        return []
    path = "load_transfer.full_arching_difference"
    given_of_section(sheet, "Ds_mob", section, path, chosen.full_arching_difference)
    scopes = []
    for shape in shapes_used(section):
        scope = sheet.scope(f"compatible_{shape.key}", f"{TITLE}: {shape.title}", load="G+Q")
        _solve(scope, shape)
        for _, tag in reinforced_directions(section):
            _tension(scope, tag)
        scopes.append(scope)
    return scopes


def _solve(scope: Scope, shape: mb.LoadShape) -> None:
    """The settlement difference, confirmed by the balance of pressures beside the head."""
    scope.given("c_eps", shape.c_eps, origin=SHAPE_RULE)
    scope.given("c_f", shape.c_f, origin=SHAPE_RULE)
    scope.given("eta_f", shape.eta_f, origin=SHAPE_RULE)
    values = tuple(scope[name] for name in INPUTS)
    axes, lanes, mask = lanes_of(INPUTS, values, STAND_INS)
    root = solve_compatibility(shape=shape.key, **lanes)
    procedure = Procedure(say("condition"), METHOD,
                          say("tolerance", tolerance=f"{TOLERANCE:.0e}"), root.iterations, root.unknown.size,
                          "sigma_gap")  # fmt: skip
    scope.solved("Ds_h", root.unknown, [axis.name for axis in axes], title=say("solved-ds-h-title"),
                 source=lt.COMPATIBILITY, inputs=INPUTS,
                 procedure=procedure, mask=mask, reason=NO_SETTLEMENT,
                 again=Again(partial(settlement_difference, shape=shape.key), values))  # fmt: skip
    for step in (lt.soil_pressure, lt.soil_pressure_at_equal_settlement, lt.pressure_on_reinforcement):
        scope(step)
    scope(lt.sag_at_difference)
    for _, tag in DIRECTIONS:
        scope(mb.load_at_sag, F_m=f"F_m{tag}", J_r=f"J_{tag}")
    scope(lt.membrane_pressure)
    scope(lt.pressure_gap)
    scope.confirm("Ds_h", tolerance=GAP_ALLOWED)


def settlement_difference(*values: Value, shape: str) -> Value:
    """The settlement difference of every lane, of the values of `INPUTS`; none where the cell does not settle."""
    axes, lanes, mask = lanes_of(INPUTS, values, STAND_INS)
    difference = Value("Ds_h", solve_compatibility(shape=shape, **lanes).unknown, axes)
    return difference.without(mask, NO_SETTLEMENT)


def _tension(scope: Scope, tag: str) -> None:
    """Strain and tension of the strips of one direction at the sag found."""
    strain, force, edge = f"eps_m{tag}", f"H_m{tag}", f"V_m{tag}"
    scope(mb.strain_at_sag, eps_m=strain)
    scope(mb.horizontal_force, H_m=force, J_r=f"J_{tag}", eps_m=strain)
    scope(mb.edge_force, V_e=edge, F_m=f"F_m{tag}")
    scope(mb.edge_tension, T_m=f"T_m{tag}", H_m=force, V_e=edge)


def tension_used(*values: Value, full: bool) -> Value:
    """The largest of the tensions by shape of load, of full arching (the last) where they have none or it is asked for.

    None where full arching has none.
    """
    limit = values[-1]
    tension = largest_of(*values) if full else or_else(largest_with_first(*values[:-1]), limit)
    return tension.without(
        np.broadcast_to(spread(~limit.valid, limit.axes, tension.axes), tension.array.shape), limit.reason
    )


def design_tension(sheet: Sheet, section: Section, scopes: list[Scope]) -> None:
    """Tension from vertical load that the design uses, in each direction."""
    chosen = section.load_transfer
    full = chosen is not None and chosen.membrane == "full arching"
    for words, tag in reinforced_directions(section):
        recorded = edge_scope(sheet)
        limit = recorded[f"T_m{tag}F"]
        if not scopes:
            sheet.take(f"T_m{tag}D", sheet[f"T_m{tag}F"], note=say("take-t-m-d-note"))
            continue
        values = [scope[f"T_m{tag}"] for scope in scopes]
        rule = (
            say("design-tension-rule") if full else
            say("design-tension-rule-2")
        )  # fmt: skip
        title = say("largest-t-m-d-title", words=words, rule=rule)
        recorded.largest(f"T_m{tag}D", [*values, limit], preferred=None if full else values[0].valid,
                         mask=~limit.valid, reason=limit.reason, title=title,
                         by=partial(tension_used, full=full))  # fmt: skip
        larger_edge(sheet, f"T_m{tag}D", title)
