"""The plan for the page as compact arrays: columns in the order of their ids, the line, exclusion zones."""

from collections.abc import Mapping
from math import ceil, floor
from typing import Any

import numpy as np

from calc.formulas.geometry import column_area
from calc.inputs.tables.alignment import place_text
from calc.site.plan.axis import places
from calc.site.plan.column_layout import Array
from calc.site.plan.column_list import Column
from calc.site.plan.setting_out import one_line
from calc.site.plan.write_plan import MadePlan

MM, CM = 1000.0, 100.0
LINE_STEP, MARK_STEP, BESIDE = 5.0, 10.0, 10.0  # m along the line: of its drawing, of its marks, beyond the areas


def origin_of(made: MadePlan) -> tuple[float, float]:
    """The whole metres in the grid that places on the page are counted from: easting, northing."""
    laid = made.layout.columns
    return float(floor(laid.easting.min())), float(floor(laid.northing.min()))


def places_by_id(made: MadePlan) -> Mapping[str, int]:
    """Where every column stands in the lists of the page."""
    return {column.id: k for k, column in enumerate(made.listed.columns)}


def plan_data(made: MadePlan) -> dict[str, Any]:
    """Columns of the plan: places in mm from the origin, levels and lengths in cm; what many share stands once."""
    columns, origin = made.listed.columns, origin_of(made)
    kinds: dict[tuple[object, ...], int] = {}
    areas = {area.given.section: area.given.letter for area in made.layout.areas}
    kind = [kinds.setdefault(_kind(areas, column), len(kinds)) for column in columns]
    east, north = (np.array([getattr(column, name) for column in columns]) for name in ("easting", "northing"))
    return {
        "origin": origin,
        "ids": [column.id for column in columns],
        "kind": kind,
        "kinds": [list(key) for key in kinds],
        "e": whole_numbers(east - origin[0], MM),
        "n": whole_numbers(north - origin[1], MM),
        "head": [round(CM * column.head) for column in columns],
        "toe": [round(CM * column.toe) for column in columns],
        "length": [round(CM * column.length) for column in columns],
        "zones": [
            {"name": one_line(zone.name), "corners": [_place(corner.easting, corner.northing, origin)
                                                      for corner in zone.corner]}
            for zone in made.plan.exclusion
        ],
        **_line(made, origin),
    }  # fmt: skip


def whole_numbers(values: Array, factor: float) -> list[int | None]:
    """Values in units of which the page shows whole ones; nothing where there is none."""
    scaled = np.rint(np.nan_to_num(values) * factor).astype(np.int64).tolist()
    known = np.isfinite(values).tolist()
    return [value if there else None for value, there in zip(scaled, known, strict=True)]


def _kind(areas: Mapping[str, str], column: Column) -> tuple[object, ...]:
    """Area, section, zone, sleeve, diameter (m), working level (m), area (m²) of a column."""
    area = float(column_area(d_c=np.array(column.diameter)))
    return (
        areas[column.section],
        column.section,
        column.zone,
        column.sleeve,
        column.diameter,
        column.working_level,
        area,
    )


def _place(easting: float, northing: float, origin: tuple[float, float]) -> tuple[int, int]:
    return round(MM * (easting - origin[0])), round(MM * (northing - origin[1]))


def _line(made: MadePlan, origin: tuple[float, float]) -> dict[str, Any]:
    """The line along the areas, and its chainages."""
    first, last = made.elements[0].chainage, made.elements[-1].end
    begins = max(min(area.begins for area in made.layout.areas) - BESIDE, first)
    ends = min(max(area.ends for area in made.layout.areas) + BESIDE, last)
    at = [*np.arange(begins, ends, LINE_STEP).tolist(), ends]
    mark = ceil(begins / MARK_STEP)
    marks = [MARK_STEP * k for k in range(mark, floor(ends / MARK_STEP) + 1)]
    line, beside = (
        np.column_stack(places(made.elements, np.array(chainages, dtype=np.float64), np.zeros(len(chainages)))).tolist()
        for chainages in (at, marks)
    )
    return {
        "line": [_place(e, n, origin) for e, n in line],
        "first": mark,
        "chainages": [[*_place(e, n, origin), place_text(text)] for (e, n), text in zip(beside, marks, strict=True)],
    }
