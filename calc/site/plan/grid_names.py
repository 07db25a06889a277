"""Lines of the grid on a sheet of the plan, with their names where they meet the field."""

from math import ceil, floor, hypot, inf

import numpy as np

from calc.package.canvas import Canvas
from calc.site.plan.column_layout import Array
from calc.site.plan.plan_pens import SMALL, THIN
from calc.site.plan.sheet_cuts import FIELD, Cut

GRID_STEP = 20.0  # m between crosses of the grid
BESIDE_CORNER, APART = 8.0, 22.0  # mm from a corner of the field, and between two, to names of grid lines


def grid_on_frame(cut: Cut, canvas: Canvas) -> None:
    """Where lines of the grid meet the upper and the left side of the field: by them sheet and list can be compared.

    Among the columns crosses have no names.
    """
    left, top, right, bottom = FIELD
    named: dict[bool, list[float]] = {True: [], False: []}
    for axis, letter in enumerate("EN"):
        for value in grid_lines(cut, axis):
            ends = np.array([cut.middle, cut.middle], dtype=float)
            ends[:, axis], ends[1, 1 - axis] = value, cut.middle[1 - axis] + 1.0
            (x, y), (dx, dy) = (np.array(cut.on_paper(*end)) for end in ends)
            dx, dy = dx - x, dy - y
            for above, at in (
                (True, x + (top - y) * dx / dy if dy else inf),
                (False, y + (left - x) * dy / dx if dx else inf),
            ):
                low, high = (left, right) if above else (top, bottom)
                if not low + BESIDE_CORNER < at < high - BESIDE_CORNER or any(
                    abs(at - o) < APART for o in named[above]
                ):
                    continue
                named[above].append(at)
                end = (at, top) if above else (left, at)
                canvas.line([end, (at, top + 2) if above else (left + 2, at)], THIN)
                text = (at, top - 1.0) if above else (left - 1.0, at)
                canvas.text(text, f"{letter} {value:.0f}", size=SMALL, anchor="middle", turned=not above)


def grid_lines(cut: Cut, axis: int) -> Array:
    """Eastings (axis 0) or northings of the lines of the grid that may cross the sheet."""
    reach = hypot(FIELD[2] - FIELD[0], FIELD[3] - FIELD[1]) * cut.scale / 2000
    low, high = cut.middle[axis] - reach, cut.middle[axis] + reach
    lines: Array = GRID_STEP * np.arange(ceil(low / GRID_STEP), floor(high / GRID_STEP) + 1, dtype=np.float64)
    return lines
