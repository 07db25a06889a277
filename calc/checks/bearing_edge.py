"""Edge of the column field: rows needed beyond the shoulder, and the soft ground beyond the outermost columns."""

from calc.checks.bearing_soft import NOTHING_BESIDE, growing
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
from calc.sheet import Scope, Sheet

BEYOND = {"c_u0": "c_u0e", "rho_u": "rho_ud"}
QUESTIONS = (
    ("column_rows", "Width of the column field against squeezing beyond it"),
    ("field_for_load", "Width of the column field for vertical load"),
    ("edge_bearing", "Soft ground beyond the outermost columns, undrained"),
)


def edge(sheet: Sheet, section: Section, side: Side) -> None:
    """Rows that squeezing and vertical load ask for beyond the shoulder, against the field as given."""
    scope = sheet.scope(f"edge{side.ending}", f"Columns beyond the shoulder, {side.words}")
    slope(scope, section, side)
    _against_squeezing(scope, section)
    _for_vertical_load(scope, section)
    sheet.limitation(
        "edge-strength",
        "Beyond the columns no gain of strength is counted. The width needed is that of the stage and factor set in "
        "which it is largest; the rows are rounded up.",
        "project rule",
    )
    if side.extent is None:
        for key, title in QUESTIONS:
            why = f"The extent of the columns beyond the shoulder is not given: {side.extent_path}."
            sheet.not_verified(f"{key}{side.ending}", f"{title}, {side.words}", why)
        return
    given_of_section(scope, "b_g", section, side.extent_path, side.extent)
    _beyond(scope)
    compared = (("b_f", "b_g"), ("b_v", "b_g"), ("p_e", "q_ud"))
    for (key, title), (effect, resistance) in zip(QUESTIONS, compared, strict=True):
        sheet.verdict(
            f"{key}{side.ending}", f"{title}, {side.words}", effect=scope[effect], resistance=scope[resistance]
        )


def _against_squeezing(scope: Scope, section: Section) -> None:
    """The slope may be as high at the outermost columns as the ground beyond them bears without being squeezed out."""
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


def _for_vertical_load(scope: Scope, section: Section) -> None:
    given_of_section(scope, "phi_Ek", section, "embankment.phi", section.embankment.phi)
    scope(design_friction_angle, phi_d="phi_E", phi="phi_Ek")
    scope(slope_length, H="H_q")
    scope(distance_without_columns, H="H_q", phi="phi_E")
    scope(field_width_for_vertical_load)


def _beyond(scope: Scope) -> None:
    """The ground beyond the columns bears the full pressure of the slope that is left there."""
    scope(height_at_outermost_columns)
    scope(width_beyond_columns)
    scope(edge_pressure)
    scope.given("q_out", 0.0, origin=NOTHING_BESIDE)
    growing(scope, "B_e", "c_u0e", "q_u")
    scope(design_soft_ground_pressure)
