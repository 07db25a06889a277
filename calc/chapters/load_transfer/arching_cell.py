"""Cell, loads and moduli of the load transfer, with serviceability as a case beside the factor sets."""

from dataclasses import replace

import numpy as np

from calc.chapters.shared.frame import CENTRE, LONG, SERVICE, SHOULDER, frame, given_of_section, origin_of
from calc.chapters.shared.geometry import lower_height
from calc.chapters.shared.zones import friction_of_fill, heaviest
from calc.engine.sheet import Again, Origin, Sheet, Value, stage_names
from calc.engine.sheet.values import Array, Mask, spread, union_axes
from calc.engine.words import words_of
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
from calc.formulas.loads import factored_friction_angle, traffic_factor
from calc.formulas.mat import height_above_heads, mean_soil_stress
from calc.inputs import Design, Section

say = words_of(__name__)

EDGES = ("higher crest edge", "lower crest edge")  # positions, where the crest falls
TOO_LOW, NO_SETTLEMENT = say("too-low-for-arching"), say("no-settlement-of-the-cell")


def factor_sets(design: Design, section: Section) -> tuple[str, ...]:
    """The factor sets, and serviceability as the last case."""
    return (*(factor_set.key for factor_set in design.factor_sets(section)), SERVICE)


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
    falls = bool(section.embankment.lower)
    if falls:
        sheet.axis("position", EDGES)
        _at_edges(sheet, "H", say("at-edges-h"), unit_cell["H"], lower_height(done["columns"]))
    else:
        sheet.take("H", unit_cell["H"])
    for name in ("gamma_E", "q", "p_P", "i_Q"):
        if name == "gamma_E" and section.embankment.zones:
            heaviest(sheet, done)
        else:
            sheet.take(name, unit_cell[name])
    rule = Origin("project rule", text=say("rule"))
    share = origin_of(design, "basis.psi_2") if design.basis.psi_2 is not None else rule
    for name, last, origin in (
        ("f_G", 1.0, rule), ("gamma_phi", 1.0, rule), ("gamma_QS", float(unit_cell["psi_2"].array), share),
    ):  # fmt: skip
        _with_service(sheet, name, done["basis"], last, origin)
    sheet(traffic_factor)
    filled = unit_cell.scopes["settlement"]["p_M"]
    if falls:
        _at_edges(sheet, "p_M", say("at-edges-p-m"), *(_quasi_permanent(filled, edge) for edge in (CENTRE, SHOULDER)))
    else:
        sheet.take("p_M", _quasi_permanent(filled, CENTRE), note=say("loads-note"))
    sheet(height_above_heads)
    low = sheet["H_A"].array < float(sheet["H_part"].array)
    again = Again(high_enough, (sheet["H_A"], sheet["H_part"]))
    sheet.take("H_ar", sheet["H_A"].without(low, TOO_LOW), again=again)
    sheet(mean_pressure, H="H_A")
    sheet(cell_load)
    friction_of_fill(sheet, section)
    sheet(factored_friction_angle, phi_c="phi_E", phi_ck="phi_Ek")
    sheet(passive_coefficient, phi="phi_E")
    if low.all():
        loaded = stage_names(frame(design, section).loaded_stages)
        sheet.limitation("never-arches", say("loads-text", loaded=loaded), "BS 8006-1:2010, 8.3.3 ◦")


def _at_edges(
    sheet: Sheet, name: str, title: str, *values: Value, instead: float | None = None, without: Mask | None = None
) -> None:  # fmt: skip
    """What differs at the higher and the lower crest edge: over less fill less is arched and traffic spreads less.

    ``instead`` stands where there is no number; ``without`` are further lanes that have none.
    """
    axes = [axis.name for axis in union_axes(values)]
    lacking = ~np.stack([value.valid for value in values], axis=-1)
    array = _at_both_edges(*values)
    if instead is not None:
        array, lacking = np.where(lacking, instead, array), np.zeros_like(lacking)
    reason = values[0].reason if without is None else NO_SETTLEMENT
    sheet.reading(name, array, [*axes, "position"], inputs=values, reason=reason,
                  mask=lacking if without is None else lacking | without,
                  title=title)  # fmt: skip


def _at_both_edges(*values: Value) -> Array:
    """The numbers at both crest edges, the edges as last axis."""
    return np.stack([value.array for value in values], axis=-1)


def _quasi_permanent(filled: Value, position: str) -> Value:
    """Compensation fill of the unit cell at a position, where it depends on one."""
    at = {"position": position, "stiffness": LONG, "load": "G+Q"}
    return filled.at(**{axis: at[axis] for axis in filled.axis_names if axis in at})


def _with_service(sheet: Sheet, name: str, basis: Sheet, last: float, origin: Origin) -> None:
    """Give a factor of the sets with its origins, and behind them that of serviceability."""
    step = next(step for step in basis.steps if step.symbol == name and not step.scope)
    array = step.value.array
    values = np.concatenate([array, np.full((1, *array.shape[1:]), last)])
    sheet.given(name, values, ["factor_set", "stage"], origin=[*step.origins, origin], origin_axis="factor_set")


def high_enough(height: Value, least: Value) -> Value:
    """The height of fill where it is not below the least that arches."""
    height, least = _in_line(height, least)
    return height.without(height.array < least.array, TOO_LOW)


def where_ground_yields(settled: Value, soil: Value, column: Value) -> Value:
    """The settlement where there is one, with load on the soil and a column that is not softer than the soil."""
    settled, soil, column = _in_line(settled, soil, column)
    none = (settled.array <= 0) | (soil.array <= 0) | (column.array < np.maximum(soil.array, 0.0))
    return settled.without(none, NO_SETTLEMENT)


def _in_line(*values: Value) -> list[Value]:
    """The values over all their axes."""
    axes = union_axes(values)
    shape = tuple(len(axis.labels) for axis in axes)
    return [
        replace(value, array=np.broadcast_to(spread(value.array, value.axes, axes), shape), axes=axes,
                mask=None if value.mask is None else np.broadcast_to(spread(value.mask, value.axes, axes), shape))
        for value in values
    ]  # fmt: skip


def moduli(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Subgrade moduli of ground and column, by stress and settlement of the unit cell under quasi-permanent load."""
    settlement = done["unit_cell"].scopes["settlement"]
    places = (CENTRE, SHOULDER) if section.embankment.lower else (CENTRE,)
    soil, load, settled = (
        [_quasi_permanent(settlement[name], place) for place in places] for name in ("Dsigma_vs", "Dsigma_0", "s")
    )
    sheet.take("h", done["ground"]["h"])
    title, note = say("otherwise-dsigma-vs0-title"), say("otherwise-dsigma-vs0-note")
    if section.embankment.lower:
        _at_edges(sheet, "Dsigma_vs0", say("at-edges-dsigma-vs0"), *soil, instead=0.0)
        _at_edges(sheet, "Dsigma_0", say("at-edges-dsigma-0"), *load)
    else:
        sheet.otherwise("Dsigma_vs0", soil[0], 0.0, title=title, note=note)
    sheet(mean_soil_stress)
    if not section.embankment.lower:
        sheet.take("Dsigma_0", load[0])
    sheet(column_pressure, sigma_cu="Dsigma_vcm", sigma_E="Dsigma_0", sigma_su="Dsigma_vsm")
    s = _at_both_edges(*settled) if section.embankment.lower else settled[0].array
    unsettled = (s <= 0) | (sheet["Dsigma_vsm"].array <= 0)
    chosen = section.load_transfer
    modulus = (chosen.subgrade_modulus or 0.0) if chosen is not None else 0.0
    softer = sheet["Dsigma_vcm"].array < np.maximum(sheet["Dsigma_vsm"].array, modulus * s)
    if section.embankment.lower:
        _at_edges(sheet, "s", say("at-edges-s"), *settled, without=unsettled | softer)
    else:
        again = Again(where_ground_yields, (settled[0], sheet["Dsigma_vsm"], sheet["Dsigma_vcm"]))
        sheet.take("s", settled[0].without(unsettled | softer, NO_SETTLEMENT), note=say("moduli-note"),
                   again=None if modulus else again)  # fmt: skip
    if modulus:
        given_of_section(sheet, "k_s", section, "load_transfer.subgrade_modulus", modulus)
    else:
        sheet(subgrade_modulus, Dsigma_vs="Dsigma_vsm")
    sheet(subgrade_modulus, k_s="k_c", Dsigma_vs="Dsigma_vcm")
    sheet(subgrade_ratio)
