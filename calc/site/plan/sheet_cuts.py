"""Which part of the plan stands on which drawing sheet, at which scale, and how it is turned."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np

from calc.inputs.tables.plan import Plan
from calc.inputs.tables.plan_line import Element
from calc.package.canvas import text_width
from calc.site.plan.axis import places
from calc.site.plan.column_layout import Area, Array, Laid, Marks

PAPER = (420.0, 297.0)  # mm, A3 landscape
FIELD = (12.0, 12.0, 408.0, 225.0)  # of the drawing on the paper: left, top, right, bottom, mm
EDGE = 6.0  # mm of the field around what a sheet shows
ID_SIZE = 2.1  # mm of the face, whose capitals are 1.5 mm high
SCALES = (500, 400, 250, 200, 150, 100, 50)
ROUND = 5.0  # m; sheets begin at multiples of it from the beginning of their area, where they have room
ROOM = 1.05  # of the row over the width of an id


@dataclass(frozen=True)
class Cut:
    """A drawing sheet: its number, area, from and to along the line and across it (m), and its middle in the grid."""

    number: int
    area: Area
    begins: float
    ends: float
    left: float
    right: float
    middle: tuple[float, float]
    bearing: float
    """Direction of the line in the middle, which runs from left to right on the sheet, rad."""
    scale: int

    def on_paper(self, easting: Array, northing: Array) -> tuple[Array, Array]:
        """Places on the paper in mm from its upper left corner."""
        e, n = easting - self.middle[0], northing - self.middle[1]
        along = e * np.sin(self.bearing) + n * np.cos(self.bearing)
        right = e * np.cos(self.bearing) - n * np.sin(self.bearing)
        x0, y0 = (FIELD[0] + FIELD[2]) / 2, (FIELD[1] + FIELD[3]) / 2
        return x0 + 1000 * along / self.scale, y0 + 1000 * right / self.scale

    def shows(self, columns: Laid) -> Marks:
        """The columns of the sheet; each stands on one."""
        inside = (columns.chainage >= self.begins) & (columns.chainage < self.ends)
        across = (columns.offset >= self.left) & (columns.offset < self.right)
        found: Marks = (columns.area == self.area.index) & inside & across
        return found


def scale_of(areas: Sequence[Area], longest_id: str) -> tuple[int, int]:
    """The smallest scale (its denominator) at which every column has room for its id, and every which has one."""
    spacing = min(area.section.columns.grid_of(strip.zone)[1] for area in areas for strip in area.strips)
    needed = ROOM * text_width(longest_id, ID_SIZE)
    for scale in SCALES:
        if 1000 * spacing / scale >= needed:
            return scale, 1
    return SCALES[-1], ceil(needed * SCALES[-1] / (1000 * spacing))


def cut_into_sheets(plan: Plan, areas: Sequence[Area], elements: Sequence[Element], scale: int) -> tuple[Cut, ...]:
    """The sheets of all areas in their order, each area in parts of one length and, where it is wide, of one width."""
    length = (FIELD[2] - FIELD[0] - 2 * EDGE) * scale / 1000
    width = (FIELD[3] - FIELD[1] - 2 * EDGE) * scale / 1000
    found = list[Cut]()
    for area in areas:
        left, right = area.extent
        along, across = ceil((area.ends - area.begins) / length), ceil((right - left + 2) / width)
        step, strip = (area.ends - area.begins) / along, (right - left + 2) / across
        if ROUND * ceil(step / ROUND) <= length:
            step = ROUND * ceil(step / ROUND)
        for k in range(along):
            for j in range(across):
                begins, low = area.begins + k * step, left - 1 + j * strip
                ends = area.ends if k == along - 1 else begins + step
                at = np.array([(begins + ends) / 2])
                offset = plan.scale_factor * np.array([low + strip / 2])
                e, n = places(elements, at, offset)
                ahead_e, ahead_n = places(elements, at + 0.01, offset)
                bearing = float(np.arctan2(ahead_e - e, ahead_n - n)[0])
                found.append(Cut(len(found) + 1, area, begins, ends, low,
                                 low + strip, (float(e[0]), float(n[0])), bearing, scale))  # fmt: skip
    return tuple(found)
