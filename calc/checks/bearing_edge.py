"""Edge of the column field: rows needed beyond the shoulder, and the soft ground beyond the outermost columns.

Each of its three questions has a scope of its own, because each may govern in another case.
"""

from math import ceil

from calc.checks.bearing_loads import height, loaded, strength
from calc.checks.bearing_soft import growing
from calc.checks.frame import given_of_section
from calc.checks.squeeze_ground import Side, slope
from calc.formulas.bearing import design_soft_ground_pressure
from calc.formulas.column_field import (
    design_friction_angle,
    edge_pressure,
    field_width_for_vertical_load,
    height_at_outermost_columns,
    width_beyond_columns,
)
from calc.formulas.squeezing import (
    base_strength,
    column_rows,
    edge_height,
    edge_height_of_critical_block,
    edge_height_of_full_block,
    field_width,
    growth_along_slope,
    mean_block_strength,
    net_weight_over_critical_block,
    net_weight_over_full_block,
    row_distance_of_triangular_grid,
    slope_length,
)
from calc.formulas.thrust import distance_without_columns
from calc.inputs import Section
from calc.sheet import Scope, Sheet, Value

BEYOND = {"c_u0": "c_u0e", "rho_u": "rho_ud"}
ROWS = ("column_rows", "Width of the column field against squeezing beyond it")
LOAD = ("field_for_load", "Width of the column field for vertical load")
BEARING = ("edge_bearing", "Soft ground beyond the outermost columns, undrained")


def edge(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> None:
    """Rows that squeezing and vertical load ask for beyond the shoulder, against the field as given."""
    rows = _against_squeezing(sheet, section, side)
    load = _for_vertical_load(sheet, section, done, side)
    needed = ceil(float(rows["N_r"].at(stage=loaded(sheet)).array.max()) - 1e-9)
    sheet.limitation(
        "edge-strength",
        "Beyond the columns no gain of strength is counted, and no make-up fill: the crest keeps its level, the slope "
        "beyond the shoulder does not. The width needed is that of the stage and factor set in which it is largest.",
        "project rule",
    )
    words = f"Column rows needed beyond the shoulder against squeezing, rounded up, {side.words}: {needed}."
    sheet.notes.append(words)
    if side.extent is None:
        for key, title in (ROWS, LOAD, BEARING):
            why = f"The extent of the columns beyond the shoulder is not given: {side.extent_path}."
            sheet.not_verified(f"{key}{side.ending}", f"{title}, {side.words}", why)
        return
    bearing = _beyond(sheet, section, side)
    for scope, effect in ((rows, "b_f"), (load, "b_v")):
        given_of_section(scope, "b_g", section, side.extent_path, side.extent)
        _verify(sheet, side, ROWS if scope is rows else LOAD, scope[effect], scope["b_g"])
    filled = loaded(sheet)
    _verify(sheet, side, BEARING, bearing["p_e"], bearing["q_ud"].at(stage=filled))


def _verify(sheet: Sheet, side: Side, question: tuple[str, str], effect: Value, resistance: Value) -> None:
    key, title = question
    sheet.verdict(
        f"{key}{side.ending}", f"{title}, {side.words}", effect=effect.at(stage=loaded(sheet)), resistance=resistance
    )


def _against_squeezing(sheet: Sheet, section: Section, side: Side) -> Scope:
    """The slope may be as high at the outermost columns as the ground beyond them bears without being squeezed out."""
    scope = sheet.scope(f"edge_rows{side.ending}", f"Column rows beyond the shoulder against squeezing, {side.words}")
    height(scope)
    strength(scope, gain=False)
    slope(scope, section, side)
    scope(mean_block_strength, **BEYOND, D_sq="t_soft")
    scope(base_strength, **BEYOND, D_sq="t_soft")
    scope(net_weight_over_full_block, gamma_E="gamma_Ed", c_u0="c_u0e", D_sq="t_soft")
    scope(edge_height_of_full_block, H="H_q")
    scope(net_weight_over_critical_block, gamma_E="gamma_Ed", rho_u="rho_ud")
    scope(growth_along_slope, rho_u="rho_ud")
    scope(edge_height_of_critical_block, H="H_q", c_u0="c_u0e")
    scope(edge_height, **BEYOND)
    scope(field_width, H="H_q")
    given_of_section(scope, "a_x", section, "columns.spacing", section.columns.spacing)
    if section.columns.pattern == "triangular":
        scope(row_distance_of_triangular_grid)
    else:
        scope.take("a_r", scope["a_x"], note="square grid with its rows along the embankment")
    scope(column_rows)
    return scope


def _for_vertical_load(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> Scope:
    scope = sheet.scope(f"edge_load{side.ending}", f"Column rows beyond the shoulder for vertical load, {side.words}")
    height(scope)
    slope(scope, section, side)
    given_of_section(scope, "phi_Ek", section, "embankment.phi", section.embankment.phi)
    scope.take("gamma_phi", done["basis"]["gamma_phi"])
    scope(design_friction_angle, phi_d="phi_E", phi="phi_Ek")
    scope(slope_length, H="H_q")
    scope(distance_without_columns, H="H_q", phi="phi_E")
    scope(field_width_for_vertical_load)
    return scope


def _beyond(sheet: Sheet, section: Section, side: Side) -> Scope:
    """The ground beyond the columns bears the full pressure of the slope that is left there."""
    scope = sheet.scope(f"edge_bearing{side.ending}", f"Soft ground beyond the outermost columns, {side.words}")
    height(scope)
    strength(scope, gain=False)
    slope(scope, section, side)
    given_of_section(scope, "b_g", section, side.extent_path, side.extent or 0.0)
    scope(height_at_outermost_columns)
    scope(width_beyond_columns)
    scope(edge_pressure)
    growing(scope, "B_e", "c_u0e", "q_u")
    scope(design_soft_ground_pressure)
    return scope
