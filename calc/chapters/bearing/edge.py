"""Edge of the column field: rows needed beyond the crest edge, and the soft ground beyond the outermost columns.

Each of its three questions has a scope of its own, because each may govern in another case.
"""

import numpy as np

from calc.chapters.bearing.loads import height, stages_at_rest, strength
from calc.chapters.bearing.soft import growing
from calc.chapters.bearing.wedge import BEYOND as ROWS
from calc.chapters.bearing.wedge import beyond
from calc.chapters.shared.column_zones import outermost_grid
from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.geometry import at_edge
from calc.chapters.shared.soft_ground import Side, field_of_stage, slope
from calc.chapters.shared.zones import friction_of_fill
from calc.engine.sheet import Again, Scope, Sheet, Value
from calc.engine.sheet.values import spread, union_axes
from calc.engine.words import words_of
from calc.formulas.bearing import design_soft_ground_pressure
from calc.formulas.column_field import (
    crest_beyond_columns,
    crest_pressure_beyond_columns,
    design_friction_angle,
    edge_pressure,
    field_width_for_vertical_load,
    height_at_outermost_columns,
    traffic_of_stage,
    width_beyond_columns,
)
from calc.formulas.squeezing import row_distance_of_triangular_grid, slope_length
from calc.formulas.stage_pressure import pressure_of_plant
from calc.formulas.thrust import distance_without_columns
from calc.inputs import Section
from calc.procedures.extrusion import rows_needed

say = words_of(__name__)

ROW_INPUTS = ("p_x", "L_S", "t_soft", "c_u0e", "rho_ud", "alpha_t", "L_t", "gamma_Re")
LOAD = ("field_for_load", say("load"))
BEARING = ("edge_bearing", say("bearing"))


def edge(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> None:
    """Width of the column field that extrusion and vertical load ask for, and the soft ground beyond it."""
    load = _for_vertical_load(sheet, section, done, side)
    _rows(sheet, section, done, side)
    if side.extent is None:
        for key, title in (ROWS, LOAD, BEARING):
            why = say("edge-why", extent_path=side.extent_path)
            sheet.not_verified(f"{key}{side.ending}", f"{title}, {side.words}", why)
        return
    beyond(sheet, section, side)
    bearing = _beyond(sheet, section, side)
    given_of_section(load, "b_g", section, side.extent_path, side.extent)
    rest = stages_at_rest(sheet, section)
    _verify(sheet, side, LOAD, load["b_v"].at(stage=rest), load["b_g"])
    _verify(sheet, side, BEARING, bearing["p_e"].at(stage=rest), bearing["q_ud"].at(stage=rest))


def _verify(sheet: Sheet, side: Side, question: tuple[str, str], effect: Value, resistance: Value) -> None:
    key, title = question
    sheet.verdict(f"{key}{side.ending}", f"{title}, {side.words}", effect=effect, resistance=resistance)


def _rows(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> None:
    """How many rows would do: the wedge beyond the last one is tried row by row."""
    scope, filled = sheet.scopes[f"untreated{side.ending}"], stages_at_rest(sheet, section)
    rows = sheet.scope(f"rows{side.ending}", say("scope-rows-title", side_words=side.words))
    pattern, grid = outermost_grid(section, done, side.end)
    spacing = rows.take("a_x", grid, note=say("outermost-note") if section.columns.zones else "")
    if pattern == "triangular":
        distance = rows(row_distance_of_triangular_grid)
    else:
        distance = rows.take("a_r", spacing, note=say("take-a-r-note"))
    shape = [scope[name].at(stage=filled) if "stage" in scope[name].axis_names else scope[name] for name in ROW_INPUTS]
    axes = union_axes(shape)
    size = tuple(len(axis.labels) for axis in axes)
    p, length, deep, top, growth, share, held, factor = (
        np.array(np.broadcast_to(spread(value.array, value.axes, axes), size)) for value in shape
    )
    needed = rows_needed(
        float(distance.array), p=p, L_S=length, t_soft=deep, c_u0=top, rho_u=growth, alpha_t=share, L_t=held,
        gamma_Re=factor,
    )  # fmt: skip
    rows.reading("n_row", needed, title=say("reading-n-row-title"), inputs=[distance, *shape],
                 note=say("reading-n-row-note"))  # fmt: skip


def _for_vertical_load(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> Scope:
    scope = sheet.scope(f"edge_load{side.ending}", say("scope-edge-load-title", side_words=side.words))
    at_edge(scope, side.ending)
    height(scope, heavy=True)
    slope(scope, section, side)
    friction_of_fill(scope, section)
    scope.take("gamma_phi", done["basis"]["gamma_phi"])
    scope(design_friction_angle, phi_d="phi_E", phi="phi_Ek")
    scope(slope_length, H="H_q")
    scope(distance_without_columns, H="H_q", phi="phi_E")
    scope(field_width_for_vertical_load)
    return scope


def where_crest_is_left(load: Value, crest: Value) -> Value:
    """The load where some of the crest lies beyond the columns; none elsewhere, and where it has no number."""
    axes = union_axes((load, crest))
    shape = tuple(len(axis.labels) for axis in axes)
    counts = spread(load.valid, load.axes, axes) & (spread(crest.array, crest.axes, axes) > 0)
    return Value("p_ce", np.where(counts, np.broadcast_to(spread(load.array, load.axes, axes), shape), 0.0), axes)


def _beyond(sheet: Sheet, section: Section, side: Side) -> Scope:
    """The ground beyond the columns bears the full pressure of the slope that is left there."""
    scope = sheet.scope(f"edge_bearing{side.ending}", say("scope-edge-bearing-title", side_words=side.words))
    at_edge(scope, side.ending)
    height(scope, heavy=True)
    scope(traffic_of_stage)
    scope(pressure_of_plant)
    strength(scope, gain=False)
    slope(scope, section, side)
    field_of_stage(scope, section, side)
    scope(height_at_outermost_columns, b_g="b_gs")
    crest = scope(crest_beyond_columns)
    scope(width_beyond_columns)
    load = scope(crest_pressure_beyond_columns)
    width = np.asarray(spread(crest.array, crest.axes, load.axes), dtype=np.float64)
    inside = np.array(np.broadcast_to(width <= 0, load.array.shape))
    again = Again(where_crest_is_left, (load, crest))
    scope.reading("p_ce", again.value().array, load.axis_names, title=say("crest-load-title"),
                  inputs=[load.without(inside, say("within-columns"))], note=say("crest-load-note"),
                  again=again)  # fmt: skip
    scope(edge_pressure, p_cr="p_ce")
    growing(scope, "B_e", "c_u0e", "q_u")
    scope(design_soft_ground_pressure)
    return scope
