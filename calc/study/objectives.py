"""What the designs of a grid take of money or carbon: numbers by which they are ordered."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import numpy as np

from calc.chain import Run
from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.sleeve_radius import sleeve_radius
from calc.engine.sheet import Origin, Sheet
from calc.engine.words import words_of
from calc.formulas.geometry import column_area, square_cell_area, triangular_cell_area
from calc.formulas.places import area_of_left_berm
from calc.formulas.quantities import field_width
from calc.formulas.sizing import charge_of_area, charge_of_berm, charge_of_column, charge_of_strip, charge_with_part
from calc.inputs.tables.sizing import CARBON, COST
from calc.study.size_grid import (
    BERM,
    DIAMETER,
    INSTALLATION,
    MAT,
    PATTERN,
    SLEEVE,
    SPACING,
    ZONE,
    Choice,
    Floats,
    Grid,
    Places,
)

say = words_of(__name__)

CELLS: Mapping[str, Callable[..., Floats]] = {"triangular": triangular_cell_area, "square": square_cell_area}
CHARGE_OF = {COST: "price", CARBON: "carbon"}
COLUMN_CHARGES = {"k_col": "column", "k_L": "metre", "k_V": "volume"}
Columns = Mapping[str, Sheet]
"""The chapter on the columns of a run: of the section under "", of its zones under their keys."""


def columns_of(run: Run) -> Columns:
    """The chapters on the columns of a run of one section."""
    parts = [part for part in run.sections if part.section.position is None]
    names = [part.section.zone.key if part.section.zone else "" for part in parts]
    return {name: next(sheet for sheet in part.sheets if sheet.key == "columns")
            for name, part in zip(names, parts, strict=True)}  # fmt: skip


def charges(grid: Grid, objective: str, columns: Columns, numbers: Places) -> Floats:
    """Price or carbon of a square metre of the column field for combinations, by the formulas of `charge_sheet`."""
    kind = CHARGE_OF[objective]
    d_c = grid.along(DIAMETER, grid.axis(DIAMETER)[1].numbers("columns.diameter"), numbers)
    each = {
        symbol: grid.along(INSTALLATION, _charge(grid, INSTALLATION, kind, name), numbers)
        for symbol, name in COLUMN_CHARGES.items()
    }
    each["k_sl"] = grid.along(SLEEVE, _charge(grid, SLEEVE, kind, "area"), numbers)
    each |= {"A_c": column_area(d_c=d_c), "r_geo": sleeve_radius(grid.section.sleeve, d_c)}
    total = _mats(grid, kind, numbers)
    if not _in_parts(grid):
        of_column = charge_of_column(L_c=_length(columns, ""), **each)
        whole: Floats = charge_of_area(K_col=of_column, A_E=_cells(grid, numbers), k_mat=total)
        return whole
    across = _field_width(grid)
    for key, width in _widths(grid).items():
        of_column = charge_of_column(L_c=_length(columns, key), **each)
        cell = _cells(grid, numbers) if not key else _cells_of_zone(grid, key, numbers)
        total = charge_with_part(K_A0=total, K_As=charge_of_strip(b_sg=width, b_F=across, K_col=of_column, A_E=cell))
    for axis in grid.axes:
        if axis.name.startswith(f"{BERM} "):
            parts = np.array([_of_berms(grid, choice, kind, across) for choice in axis.choices])
            total = charge_with_part(K_A0=total, K_As=grid.along(axis.name, parts, numbers))
    return total


def _of_berms(grid: Grid, choice: Choice, kind: str, across: float) -> float:
    """What the berms of a choice take of a square metre of the column field."""
    charge = choice.charges[kind]["volume"].value
    return float(sum(charge_of_berm(k_B=charge, A_Bl=area_of_left_berm(**area), b_F=across)
                     for _, area in _areas(grid, choice)))  # fmt: skip


def _in_parts(grid: Grid) -> bool:
    """Whether a square metre of the column field takes of several grids, or of berms that are varied."""
    return bool(grid.section.columns.zone) or any(axis.name.startswith(f"{BERM} ") for axis in grid.axes)


def _length(columns: Columns, key: str) -> float:
    """Length of the columns of a grid; a zone with grid and length of the section is none."""
    return float(columns.get(key, columns[""])["L_c"].array)


def _cells(grid: Grid, numbers: Places) -> Floats:
    a_x = grid.along(SPACING, grid.axis(SPACING)[1].numbers("columns.spacing"), numbers)
    patterns = [choice.name for choice in grid.axis(PATTERN)[1].choices]
    cells = np.array([CELLS[name](a_x=a_x) for name in patterns])
    areas: Floats = np.take_along_axis(cells, grid.places(numbers)[grid.axis(PATTERN)[0]][None], axis=0)[0]
    return areas


def _cells_of_zone(grid: Grid, key: str, numbers: Places) -> Floats:
    name = f"{ZONE} {key}"
    place, zone = next((k, zone) for k, zone in enumerate(grid.section.columns.zone) if zone.key == key)
    if name not in {axis.name for axis in grid.axes}:
        return np.full(len(numbers), float(CELLS[zone.pattern](a_x=zone.spacing)))
    spacing = grid.along(name, grid.axis(name)[1].numbers(f"columns.zone.{place}.spacing"), numbers)
    return CELLS[zone.pattern](a_x=spacing)


def _ends(grid: Grid) -> dict[str, float]:
    """What the width of the column field is made of."""
    field = grid.section.column_field
    assert field is not None  # noqa: S101 - rules ask for it with zones, and with berms that are charged
    return {"b_crest": grid.section.embankment.crest_width, "b_gl": field.beyond_left or 0.0,
            "b_gr": field.beyond_right or 0.0}  # fmt: skip


def _field_width(grid: Grid) -> float:
    return float(field_width(**_ends(grid)))


def _widths(grid: Grid) -> dict[str, float]:
    """How wide the column field is with every grid, that of the section under ""."""
    zones = {zone.key: sum(high - low for low, high in zone.strips) for zone in grid.section.columns.zone}
    return {"": _field_width(grid) - sum(zones.values()), **zones}


def _areas(grid: Grid, choice: Choice) -> Iterator[tuple[str, dict[str, float]]]:
    """Sides of the berms of a choice, and what their area is made of; nothing where they have no height."""
    fill, platform, berm = grid.section.embankment, grid.section.platform, choice.berm
    if berm is None or not berm.height:
        return
    for side in berm.sides:
        there = getattr(fill, f"berm_{side}")
        yield side, {"i_Bl": 1.0, "b_Bl": berm.width, "h_Bl": berm.height,
                     "t_P": platform.thickness if platform else 0.0, "n_Bl": there.slope,
                     "n_L": getattr(fill, f"slope_{side}")}  # fmt: skip


def _charge(grid: Grid, axis: str, kind: str, name: str) -> Floats:
    return np.array([choice.charges[kind][name].value for choice in grid.axis(axis)[1].choices])


def _mats(grid: Grid, kind: str, numbers: Places) -> Floats:
    total = np.zeros(len(numbers))
    for axis in grid.axes:
        if axis.name.startswith(f"{MAT} "):
            total += grid.along(axis.name, _charge(grid, axis.name, kind, "area"), numbers)
    return total


def charge_sheet(grid: Grid, objective: str, columns: Columns, number: int) -> Sheet:
    """The same for one combination as a sheet, line by line with the sources of its charges."""
    kind = CHARGE_OF[objective]
    sheet = Sheet(section=grid.section.key, key=objective)
    chosen = dict(zip([axis.name for axis in grid.axes], grid.choices(number), strict=True))
    for symbol, name in COLUMN_CHARGES.items():
        _give(sheet, symbol, chosen[INSTALLATION].charges[kind][name])
    _give(sheet, "k_sl", chosen[SLEEVE].charges[kind]["area"])
    mats = [choice.charges[kind]["area"] for name, choice in chosen.items() if name.startswith(f"{MAT} ")]
    text = "; ".join(charge.source for charge in mats)
    sheet.given("k_mat", sum(charge.value for charge in mats), origin=Origin("file", text=text))
    if not _in_parts(grid):
        for name in ("A_E", "A_c", "L_c", "r_geo"):
            sheet.take(name, columns[""][name])
        sheet(charge_of_column)
        sheet(charge_of_area)
        return sheet.finish()
    _charge_parts(grid, sheet, columns, kind, chosen)
    return sheet.finish()


def _charge_parts(grid: Grid, sheet: Sheet, columns: Columns, kind: str, chosen: Mapping[str, Choice]) -> None:
    """One part after the other: the grids of columns, then the berms."""
    ends = {"b_crest": "embankment.crest_width", "b_gl": "field.beyond_left", "b_gr": "field.beyond_right"}
    for name, value in _ends(grid).items():
        given_of_section(sheet, name, grid.section, ends[name], value)
    sheet(field_width)
    total = sheet["k_mat"]
    for key, width in _widths(grid).items():
        scope = sheet.scope(f"grid {key}", say("columns-of-zone", key=key) if key else say("columns-outside"))
        for name in ("A_E", "A_c", "L_c", "r_geo"):
            scope.take(name, columns.get(key, columns[""])[name])
        where = f"columns.zone {key}" if key else "columns.zone, the rest"
        scope.given("b_sg", width, origin=Origin("file", text=where))
        scope.take("K_A0", total)
        for step in (charge_of_column, charge_of_strip, charge_with_part):
            total = scope(step)
    for axis, choice in chosen.items():
        for k, (side, area) in enumerate(_areas(grid, choice)):
            scope = sheet.scope(f"{axis} {k}", axis)
            _give(scope, "k_B", choice.charges[kind]["volume"])
            own = grid.section
            origins = {
                "n_Bl": origin_of(own, f"embankment.berm_{side}.slope"),
                "n_L": origin_of(own, f"embankment.slope_{side}"),
                "t_P": origin_of(own, "platform.thickness") if own.platform else Origin("default", text="platform"),
            }
            for name, value in area.items():
                scope.given(name, value, origin=origins.get(name, Origin("file", text=axis)))
            scope.take("K_A0", total)
            scope(area_of_left_berm)
            scope.take("K_As", scope(charge_of_berm))
            total = scope(charge_with_part)


def _give(scope: Any, symbol: str, charge: Any) -> None:
    scope.given(symbol, charge.value, origin=Origin("file", text=charge.source))
