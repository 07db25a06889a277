"""What the designs of a grid take of money or carbon, or settle: the numbers by which they are ordered."""

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from calc.engine.sheet import Origin, Sheet
from calc.formulas.geometry import (
    column_area,
    column_radius,
    installed_sleeve_radius,
    square_cell_area,
    triangular_cell_area,
)
from calc.formulas.sizing import charge_of_area, charge_of_column
from calc.inputs.tables.sizing import CARBON, COST
from calc.study.size_grid import DIAMETER, INSTALLATION, MAT, PATTERN, SLEEVE, SPACING, Floats, Grid, Places

CELLS: Mapping[str, Callable[..., Floats]] = {"triangular": triangular_cell_area, "square": square_cell_area}
CHARGE_OF = {COST: "price", CARBON: "carbon"}
COLUMN_CHARGES = {"k_col": "column", "k_L": "metre", "k_V": "volume"}


def charges(grid: Grid, objective: str, columns: Sheet, numbers: NDArray[np.intp]) -> Floats:
    """Price or carbon of a square metre of the column field for combinations, by the formulas of `charge_sheet`."""
    kind = CHARGE_OF[objective]
    d_c = grid.along(DIAMETER, grid.axis(DIAMETER)[1].numbers("columns.diameter"), numbers)
    a_x = grid.along(SPACING, grid.axis(SPACING)[1].numbers("columns.spacing"), numbers)
    patterns = [choice.name for choice in grid.axis(PATTERN)[1].choices]
    cells = np.array([CELLS[name](a_x=a_x) for name in patterns])
    cell = np.take_along_axis(cells, grid.places(numbers)[grid.axis(PATTERN)[0]][None], axis=0)[0]
    each = {
        symbol: grid.along(INSTALLATION, _charge(grid, INSTALLATION, kind, name), numbers)
        for symbol, name in COLUMN_CHARGES.items()
    }
    each["k_sl"] = grid.along(SLEEVE, _charge(grid, SLEEVE, kind, "area"), numbers)
    r_c = column_radius(d_c=d_c)
    radius = grid.section.sleeve.installed_radius
    r_geo = np.full_like(r_c, radius) if radius is not None else installed_sleeve_radius(
        r_c=r_c, Dr_gap=grid.section.sleeve.oversize or 0.0
    )  # fmt: skip
    of_column = charge_of_column(L_c=float(columns["L_c"].array), A_c=column_area(d_c=d_c), r_geo=r_geo, **each)
    found: Floats = charge_of_area(K_col=of_column, A_E=cell, k_mat=_mats(grid, kind, numbers))
    return found


def _charge(grid: Grid, axis: str, kind: str, name: str) -> Floats:
    return np.array([choice.charges[kind][name].value for choice in grid.axis(axis)[1].choices])


def _mats(grid: Grid, kind: str, numbers: Places) -> Floats:
    total = np.zeros(len(numbers))
    for axis in grid.axes:
        if axis.name.startswith(f"{MAT} "):
            total += grid.along(axis.name, _charge(grid, axis.name, kind, "area"), numbers)
    return total


def charge_sheet(grid: Grid, objective: str, columns: Sheet, number: int) -> Sheet:
    """The same for one combination as a sheet, line by line with the sources of its charges."""
    kind = CHARGE_OF[objective]
    sheet = Sheet(section=grid.section.key, key=objective)
    for name in ("A_E", "A_c", "L_c", "r_geo"):
        sheet.take(name, columns[name])
    chosen = dict(zip([axis.name for axis in grid.axes], grid.choices(number), strict=True))
    for symbol, name in COLUMN_CHARGES.items():
        charge = chosen[INSTALLATION].charges[kind][name]
        sheet.given(symbol, charge.value, origin=Origin("file", text=charge.source))
    charge = chosen[SLEEVE].charges[kind]["area"]
    sheet.given("k_sl", charge.value, origin=Origin("file", text=charge.source))
    mats = [choice.charges[kind]["area"] for name, choice in chosen.items() if name.startswith(f"{MAT} ")]
    text = "; ".join(one.source for one in mats)
    sheet.given("k_mat", sum(one.value for one in mats), origin=Origin("file", text=text))
    sheet(charge_of_column)
    sheet(charge_of_area)
    return sheet.finish()
