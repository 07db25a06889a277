"""Undrained bearing of the soft ground between the columns, for the soil's own share of the load."""

from calc.checks.frame import given_of_section
from calc.checks.squeeze_ground import factors, gains, strength_line
from calc.checks.tables import envelope_table
from calc.formulas.bearing import (
    design_soft_ground_pressure,
    design_undrained_strength,
    embankment_pressure,
    strength_growth_ratio,
    strip_bearing_pressure_of_thin_layer,
    strip_bearing_pressure_with_growing_strength,
    thin_layer_factor,
)
from calc.formulas.below_toe import loaded_width
from calc.formulas.column_field import (
    column_field_growth,
    design_strength_growth,
    design_strength_with_gain,
    equivalent_height,
    larger_bearing_pressure,
    strength_with_gain,
)
from calc.formulas.squeezing import column_field_strength, soil_share_of_pressure
from calc.inputs import Design, Section
from calc.procedures.growing_strength import METHOD, growth_factor
from calc.sheet import Origin, Scope, Sheet

NOTHING_BESIDE = Origin("project rule", text="no load beside the embankment is counted")


def strength_and_pressure(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Design strength of the ground and design pressure of the embankment in every stage and factor set."""
    sheet.take("t_soft", done["columns"]["t_soft"])
    factors(sheet, design, section, (("gamma_cu", "gamma_cu"),))
    strength_line(sheet, section)
    gains(sheet, section)
    sheet(strength_with_gain)
    sheet(design_strength_with_gain, c_ud="c_u0d", c_u="c_u0k")
    sheet(design_strength_with_gain, c_ud="c_umd", c_u="c_umk")
    sheet(design_undrained_strength, c_ud="c_u0e", c_u="c_u0k")
    sheet(design_strength_growth)
    sheet(column_field_strength, c_uf="c_u0f", c_u="c_u0d")
    sheet(column_field_growth, rho_u="rho_ud")
    sheet(equivalent_height)
    sheet(embankment_pressure, gamma_E="gamma_Ed", H="H_q", q="q_st")
    sheet(soil_share_of_pressure)
    if any(stage.c_u_gain for stage in section.stages):
        sheet.limitation(
            "strength-gain",
            "The gain of undrained strength is an input that must be proven by tests before the stage is filled. It is "
            "that of the ground between the columns, whose added stress by the unit cell is lower than by the stress "
            "ratio for stability.",
            "project file",
        )
    _top_shear(sheet, section)


def _top_shear(sheet: Sheet, section: Section) -> None:
    """Share of the strength that acts at the top of the ground: held back by the reinforcement, or driven outward."""
    field = section.column_field
    if field and field.hold_top:
        given_of_section(sheet, "alpha_t", section, "field.hold_top", field.hold_top)
    elif field and field.thrust_in_ground:
        why = "minus field.thrust_in_ground: the ground is driven outward by the thrust that it carries"
        sheet.given("alpha_t", -field.thrust_in_ground, origin=Origin("project rule", text=why))
    else:
        why = "neither field.hold_top nor field.thrust_in_ground is given"
        sheet.given("alpha_t", 0.0, origin=Origin("project rule", text=why))


def between_columns(sheet: Sheet, section: Section) -> None:
    """Prandtl's pressure with growing strength or with limited thickness, against the soil's share of the load."""
    scope = sheet.scope("soft", "Undrained bearing of the soft ground between the columns")
    for name, path, value in (
        ("b_K", "crest_width", section.embankment.crest_width),
        ("n_L", "slope_left", section.embankment.slope_left),
        ("n_R", "slope_right", section.embankment.slope_right),
    ):
        given_of_section(scope, name, section, f"embankment.{path}", value)
    scope(loaded_width)
    scope.given("q_out", 0.0, origin=NOTHING_BESIDE)
    growing(scope, "B_t", "c_u0d", "q_ug")
    scope(thin_layer_factor, B="B_t")
    scope(strip_bearing_pressure_of_thin_layer, q_u="q_ut", c_u="c_umd")
    scope(larger_bearing_pressure)
    scope(design_soft_ground_pressure)
    sheet.verdict(
        "soft_bearing", "Soft ground between the columns, undrained", effect=sheet["p_sE"], resistance=scope["q_ud"]
    )
    sheet.tables.append(
        envelope_table("soft-stages", "Share of the load on the soft ground by stage and factor set", sheet["p_sE"],
                       "stage", "variant", note="With the stress ratio given for stability.")
    )  # fmt: skip
    sheet.limitation(
        "soft-share",
        "The share of the soft ground follows from the stress ratio given for stability; strength and pressure both "
        "act on the area of the soil alone, and shear through the columns is not counted.",
        "project rule",
    )


def growing(scope: Scope, width: str, strength: str, result: str) -> None:
    """Bearing pressure of a strip on ground whose strength grows with depth."""
    scope(strength_growth_ratio, rho_u="rho_ud", B=width, c_u0=strength)
    ratio = scope["k_rho"]
    scope.reading("F_rho", growth_factor(ratio.array), ratio.axis_names,
                  title="Factor for growing strength, smooth strip", inputs=[ratio], note=METHOD)  # fmt: skip
    scope(strip_bearing_pressure_with_growing_strength, q_u=result, c_u0=strength, rho_u="rho_ud", B=width)
