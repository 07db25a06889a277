"""Which part of the plan stands on which drawing sheet, at which scale, and how it is turned."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, cos, sin

import numpy as np

from calc.engine.levels import above, same
from calc.inputs.tables.plan import Plan
from calc.inputs.tables.plan_line import Element
from calc.package.canvas import text_width
from calc.site.plan.axis import places
from calc.site.plan.column_layout import Area, Array, Laid, Marks

PAPER = (420.0, 297.0)  # mm, A3 landscape
FIELD = (12.0, 12.0, 408.0, 225.0)  # of the drawing on the paper: left, top, right, bottom, mm
EDGE = 8.0  # mm of the field around what a sheet shows: half an id of a column on its border has room
ID_SIZE = 2.1  # mm of the face, whose capitals are 1.5 mm high
SCALES = (500, 400, 250, 200, 150, 100, 50)
ROUND = 5.0  # m; sheets begin at multiples of it from the beginning of their area, where they have room
ROOM = 1.05  # of the row over the width of an id
SHORTEST = 0.5  # m along the line that a sheet shows at least
POINTS = 9  # of the border of what a sheet shows, on either side
HAIR = 1e-6  # mm
Span = tuple[float, float]


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
        marks: Marks = (columns.area == self.area.index) & inside & across
        return marks


def scale_of(areas: Sequence[Area], longest_id: str) -> tuple[int, int]:
    """The smallest scale (its denominator) at which every column has room for its id, and every which has one."""
    spacing = min(area.section.columns.grid_of(strip.zone)[1] for area in areas for strip in area.strips)
    needed = ROOM * text_width(longest_id, ID_SIZE)
    for scale in SCALES:
        if 1000 * spacing / scale >= needed:
            return scale, 1
    return SCALES[-1], ceil(needed * SCALES[-1] / (1000 * spacing))


def cut_into_sheets(plan: Plan, areas: Sequence[Area], elements: Sequence[Element], scale: int) -> tuple[Cut, ...]:
    """The sheets of all areas in their order, each area in parts along and, where it is wide, across.

    Parts are of one length but in bends, where they are as long as the paper has room for them.
    """
    length = (FIELD[2] - FIELD[0] - 2 * EDGE) * scale / 1000
    width = (FIELD[3] - FIELD[1] - 2 * EDGE) * scale / 1000
    cuts = list[Cut]()
    for area in areas:
        left, right = area.extent
        along, across = ceil((area.ends - area.begins) / length), ceil((right - left + 2) / width)
        step, strip = (area.ends - area.begins) / along, (right - left + 2) / across
        if ROUND * ceil(step / ROUND) <= length:
            step = ROUND * ceil(step / ROUND)
        begins = area.begins
        while begins < area.ends:
            ends = min(begins + step, area.ends)
            strips = [(left - 1 + j * strip, left - 1 + (j + 1) * strip) for j in range(across)]
            own = [_cut(plan, area, elements, (begins, ends), span, scale) for span in strips]
            while not all(_fits(plan, cut, elements) for cut in own) and ends - begins > SHORTEST:
                ends -= min(ROUND, (ends - begins) / 2)
                own = [_cut(plan, area, elements, (begins, ends), span, scale) for span in strips]
            cuts += [replace(cut, number=len(cuts) + k) for k, cut in enumerate(own, start=1)]
            begins = ends
    return tuple(cuts)


def _cut(
    plan: Plan, area: Area, elements: Sequence[Element], along: Span, across: Span, scale: int
) -> Cut:  # fmt: skip
    """A sheet with the middle of what it shows in the middle of the paper."""
    at, low = np.array([sum(along) / 2]), plan.scale_factor * np.array([sum(across) / 2])
    (e, n), ahead = places(elements, at, low), places(elements, at + 0.01, low)
    bearing = float(np.arctan2(ahead[0] - e, ahead[1] - n)[0])
    made = Cut(0, area, *along, *across, (float(e[0]), float(n[0])), bearing, scale)
    x, y = made.on_paper(*outline(plan, made, elements))
    right, down = ((float(values.min() + values.max()) - low - high) / 2 for values, low, high in
                   ((x, FIELD[0], FIELD[2]), (y, FIELD[1], FIELD[3])))  # fmt: skip
    right, down = right * scale / 1000, down * scale / 1000
    middle = (made.middle[0] + right * sin(bearing) + down * cos(bearing),
              made.middle[1] + right * cos(bearing) - down * sin(bearing))  # fmt: skip
    return replace(made, middle=middle)


def _fits(plan: Plan, cut: Cut, elements: Sequence[Element]) -> bool:
    """Whether the field of the paper has room for what a sheet shows, with its edge."""
    x, y = cut.on_paper(*outline(plan, cut, elements))
    return bool(x.min() >= FIELD[0] + EDGE - HAIR and x.max() <= FIELD[2] - EDGE + HAIR
                and y.min() >= FIELD[1] + EDGE - HAIR and y.max() <= FIELD[3] - EDGE + HAIR)  # fmt: skip


def outline(plan: Plan, cut: Cut, elements: Sequence[Element]) -> tuple[Array, Array]:
    """Easting and northing of the border of what a sheet shows."""
    along = np.linspace(cut.begins, cut.ends, POINTS)
    along = np.concatenate([along, along[::-1]])
    across = np.concatenate([np.full(POINTS, cut.left), np.full(POINTS, cut.right)]) * plan.scale_factor
    return places(elements, along, across)


def neighbours(cut: Cut, cuts: Sequence[Cut], side: str) -> list[Cut]:
    """The sheets that go on where a sheet begins or ends along the line, or beside it on the left or right."""
    along = {"begins": "ends", "ends": "begins"}
    if side in along:
        return [sheet for sheet in cuts if same(getattr(sheet, along[side]), getattr(cut, side))
                and above(sheet.right, cut.left) and above(cut.right, sheet.left)]  # fmt: skip
    other = {"left": "right", "right": "left"}[side]
    return [sheet for sheet in cuts if sheet.area is cut.area and same(sheet.begins, cut.begins)
            and same(getattr(sheet, other), getattr(cut, side))]  # fmt: skip
