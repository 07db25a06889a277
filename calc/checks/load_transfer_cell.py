"""Cell, loads and moduli of the load transfer, with serviceability as a case beside the factor sets."""

import numpy as np

from calc.checks.frame import CENTRE, LONG, frame, given_of_section
from calc.formulas.ground import passive_coefficient
from calc.formulas.load_transfer import (
    cell_load,
    clear_span,
    column_pressure,
    equivalent_square_spacing,
    equivalent_square_width,
    mean_pressure,
    partial_arching_height,
    soil_area,
    subgrade_modulus,
    subgrade_ratio,
    width_ratio,
)
from calc.formulas.loads import factored_friction_angle
from calc.formulas.mat import height_above_heads, mean_soil_stress
from calc.inputs import Design, Section
from calc.sheet import Axis, Sheet, Value
from calc.sheet.values import Array, spread

SERVICE = "serviceability"
FROM_BASIS = (
    ("f_G", "Factor on permanent load at its source: of the factor sets, 1 for serviceability"),
    ("gamma_phi", "Partial factor on the tangent: of the factor sets, 1 for serviceability"),
)
TOO_LOW, NO_SETTLEMENT = "too low for arching", "no settlement of the cell"


def variants(design: Design) -> tuple[str, ...]:
    """The factor sets, and serviceability as the last case."""
    return (*(one.key for one in design.basis.factor_sets), SERVICE)


def cell(sheet: Sheet, done: dict[str, Sheet]) -> None:
    """The square cell and head of the same areas as those of the grid."""
    for name in ("A_E", "A_c", "a_E", "a_x", "d_c"):
        sheet.take(name, done["columns"][name])
    for step in (equivalent_square_spacing, equivalent_square_width, width_ratio, clear_span, soil_area):
        sheet(step)
    sheet(partial_arching_height)


def loads(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Height, pressure and friction of the fill in every stage, factor set and load."""
    unit_cell = done["unit_cell"]
    tension, settlement = unit_cell.scopes["tension"], unit_cell.scopes["settlement"]
    for name in ("H", "gamma_E", "q", "p_P"):
        sheet.take(name, unit_cell[name])
    for name, words in FROM_BASIS:
        _joined(sheet, name, done["basis"][name], None, ("variant", "stage"), words)
    over = ("variant", "stage", "load")
    _joined(sheet, "f_q", tension["f_q"], settlement["f_q"], over, "Factor on the traffic load: of the factor sets, "
            "and the quasi-permanent share for serviceability")  # fmt: skip
    filled = _at_the_end(settlement["p_M"])
    _joined(sheet, "p_M", tension["p_M"], filled, over, "Make-up fill of the unit cell at the centre")
    sheet(height_above_heads)
    low = sheet["H_A"].array < float(sheet["H_part"].array)
    sheet.take("H_ar", sheet["H_A"].without(low, TOO_LOW))
    sheet(mean_pressure, H="H_A")
    sheet(cell_load)
    given_of_section(sheet, "phi_Ek", section, "embankment.phi", section.embankment.phi)
    sheet(factored_friction_angle, phi_c="phi_E", phi_ck="phi_Ek")
    sheet(passive_coefficient, phi="phi_E")
    if low.all():
        loaded = ", ".join(frame(design, section).loaded)
        text = f"In none of the stages {loaded} is the fill high enough for arching to be counted on."
        sheet.limitation("never-arches", text, "BS 8006-1:2010, 8.3.3 ◦")


def _at_the_end(value: Value) -> Value:
    """The value of the settlement at the centre with the long-term stiffness of the sleeve."""
    wanted = {"position": CENTRE, "stiffness": LONG}
    return value.at(**{axis: label for axis, label in wanted.items() if axis in value.axis_names})


def _joined(sheet: Sheet, name: str, sets: Value, service: Value | None, axes: tuple[str, ...], title: str) -> None:
    """A value of the factor sets with that of serviceability behind it on the axis of factor sets."""
    labels = {axis: sheet.axes[axis] for axis in axes}
    labels["variant"] = labels["variant"][:-1]
    first = _on(sets, tuple(Axis(axis, labels[axis]) for axis in axes))
    rest = tuple(Axis(axis, labels[axis]) for axis in axes[1:])
    last = np.ones(tuple(len(axis.labels) for axis in rest)) if service is None else _on(service, rest)
    inputs = [sets] if service is None or service.step == sets.step else [service, sets]
    sheet.reading(name, np.concatenate([first, last[None]]), axes, title=title, inputs=inputs)


def _on(value: Value, axes: tuple[Axis, ...]) -> Array:
    shape = tuple(len(axis.labels) for axis in axes)
    return np.broadcast_to(spread(value.array, value.axes, axes), shape)


def moduli(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Subgrade moduli of ground and column, by stress and settlement of the unit cell under quasi-permanent load."""
    settlement = done["unit_cell"].scopes["settlement"]
    at = {"position": CENTRE, "stiffness": LONG, "load": "G+Q"}
    note = "the lower moduli give the larger settlement difference"
    soil = settlement["Dsigma_vs"].at(**at)
    sheet.take("h", done["ground"]["h"])
    sheet.otherwise(
        "Dsigma_vs0",
        soil,
        0.0,
        title="Added vertical stress on the soil in the sublayer",
        note="none where the sleeve is not mobilised: there the column of the method carries all",
    )
    sheet(mean_soil_stress)
    load = settlement["Dsigma_0"]
    sheet.take("Dsigma_0", load.at(**{axis: at[axis] for axis in load.axis_names if axis in at}))
    sheet(column_pressure, sigma_cu="Dsigma_vcm", sigma_E="Dsigma_0", sigma_su="Dsigma_vsm")
    s = settlement["s"].at(**at)
    unsettled = (s.array <= 0) | (sheet["Dsigma_vsm"].array <= 0)
    chosen = section.load_transfer
    given = (chosen.subgrade_modulus or 0.0) if chosen is not None else 0.0
    softer = sheet["Dsigma_vcm"].array < np.maximum(sheet["Dsigma_vsm"].array, given * s.array)
    sheet.take("s", s.without(unsettled | softer, NO_SETTLEMENT), note=note)
    if given:
        given_of_section(sheet, "k_s", section, "load_transfer.subgrade_modulus", given)
    else:
        sheet(subgrade_modulus, Dsigma_vs="Dsigma_vsm")
    sheet(subgrade_modulus, k_s="k_c", Dsigma_vs="Dsigma_vcm")
    sheet(subgrade_ratio)
