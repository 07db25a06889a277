"""Columns laid out along the line: rows of constant distance, exclusion zones cut out, cells and distances measured."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, fields
from math import ceil

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Voronoi, cKDTree

from calc.engine.levels import same
from calc.inputs import Design, Section
from calc.inputs.tables.alignment import ends_of
from calc.inputs.tables.column_zones import GridStrip, grid_strips
from calc.inputs.tables.plan import Corner, Exclusion, Footprint, Plan, PlanArea
from calc.inputs.tables.plan_line import Element
from calc.site.plan.axis import curvatures, places

Array = NDArray[np.float64]
Whole = NDArray[np.int64]
Marks = NDArray[np.bool_]
PHASES = {"triangular": (0.25, 0.75), "square": (0.5, 0.5)}
"""Where the first column of a row stands behind the beginning of the area, in spacings; alternately from row to row."""


@dataclass(frozen=True)
class Area:
    """An area of the plan with its section and strips; ``begins`` and ``ends`` are chainages, m."""

    index: int
    given: PlanArea
    section: Section
    begins: float
    ends: float
    strips: tuple[GridStrip, ...]

    @property
    def extent(self) -> tuple[float, float]:
        """Offsets of the outermost rows on the ground, m."""
        return self.strips[0].left, self.strips[-1].right


@dataclass(frozen=True)
class Laid:
    """Columns of the plan, one entry each: places in the grid, everything else on the ground; lengths in m.

    ``area`` and ``strip`` are indices, ``row`` counts from the left of its area, ``place`` along its row, both from 1.
    ``spacing`` is that at the line, ``distance`` that of the rows; ``cell`` is the area served, m², ``nearest`` the
    distance to the nearest column; ``beside`` is the area of a cell of the grid of the nearest column of another area
    that the column stands beside, m², and nan elsewhere.
    """

    area: Whole
    strip: Whole
    row: Whole
    place: Whole
    chainage: Array
    offset: Array
    easting: Array
    northing: Array
    spacing: Array
    distance: Array
    curvature: Array
    cell: Array = field(default_factory=lambda: np.zeros(0))
    nearest: Array = field(default_factory=lambda: np.zeros(0))
    beside: Array = field(default_factory=lambda: np.zeros(0))

    @property
    def joint(self) -> Marks:
        """Columns beside another area."""
        joint: Marks = np.isfinite(self.beside)
        return joint

    def chosen(self, which: Marks) -> "Laid":
        """The columns that are marked."""
        values = {attribute.name: getattr(self, attribute.name) for attribute in fields(self)}
        return Laid(**{name: array[which] if len(array) else array for name, array in values.items()})

    def __len__(self) -> int:
        """How many columns there are."""
        return len(self.area)


@dataclass(frozen=True)
class Layout:
    """The columns of a plan, its areas, and the columns that exclusion zones and the footprint leave out."""

    areas: tuple[Area, ...]
    columns: Laid
    left_out: tuple[tuple[Exclusion | Footprint, Laid], ...]
    beyond: Laid
    """What would stand beyond the field, which bounds its outermost cells."""


def areas_of(design: Design, plan: Plan) -> tuple[Area, ...]:
    """The areas in the order of the plan, with the strips of the column field of their sections."""
    sections = {section.key: section for section in design.stated}
    areas = []
    for index, given in enumerate(plan.area):
        section = sections[given.section]
        ends, beyond, half = ends_of(section.chainage), section.column_field, section.embankment.crest_width / 2
        assert ends is not None  # noqa: S101 - the rules of the inputs ask for it, and for both extents
        assert beyond is not None  # noqa: S101
        strips = grid_strips(section.columns, -half - (beyond.beyond_left or 0.0), half + (beyond.beyond_right or 0.0))
        areas.append(Area(index, given, section, *ends, strips))
    return tuple(areas)


def lay_out(design: Design, plan: Plan, elements: Sequence[Element]) -> Layout:
    """Lay the columns of every area out, cut the exclusion zones out, and measure cells and distances."""
    areas = areas_of(design, plan)
    made: list[Laid] = []
    ghosts: list[Laid] = []
    in_order = sorted(areas, key=lambda area: area.begins)
    for area in in_order:
        before = next((columns for columns, other in zip(made, in_order, strict=False)
                       if same(other.ends, area.begins)), None)  # fmt: skip
        columns, beyond = _area(plan, area, elements, before)
        made.append(columns)
        ghosts.append(_ghosts(beyond, area, areas))
    whole = joined_layout(made)
    kept, left_out = np.ones(len(whole), dtype=bool), list[tuple[Exclusion | Footprint, Laid]]()
    for zone in plan.exclusion:
        out = kept & in_zone(zone, whole, plan.scale_factor, areas)
        left_out.append((zone, whole.chosen(out)))
        kept &= ~out
    if plan.footprint is not None:
        out = kept & ~in_footprint(plan.footprint, whole)
        left_out.append((plan.footprint, whole.chosen(out)))
        kept &= ~out
    beyond = joined_layout(ghosts)
    return Layout(areas, _with_cells(whole, kept, beyond, areas, plan.scale_factor), tuple(left_out), beyond)


def joined_layout(parts: Sequence[Laid]) -> Laid:
    """Columns of several layouts as one, without what is measured of them where it is not measured of all."""
    by_name = {attribute.name: [getattr(part, attribute.name) for part in parts] for attribute in fields(Laid)}
    count = sum(map(len, parts))
    whole = {name: np.concatenate(arrays) for name, arrays in by_name.items()}
    return Laid(**{name: array if len(array) == count else array[:0] for name, array in whole.items()})


def _rows(area: Area) -> Iterator[tuple[int, int, float, float, float, tuple[float, float]]]:
    """Row from the left, strip, offset, row distance, spacing and phases; rows 0 and last + 1 are beyond the field."""
    columns, row = area.section.columns, 0
    first, last = area.strips[0], area.strips[-1]
    for index, strip in enumerate(area.strips):
        pattern, spacing = columns.grid_of(strip.zone)
        width = strip.distance or spacing
        own = list(strip.rows)
        if strip is first:
            own.insert(0, own[0] - width)
        if strip is last:
            own.append(own[-1] + width)
        for offset in own:
            yield row, index, offset, width, spacing, PHASES[pattern]
            row += 1


def _area(plan: Plan, area: Area, elements: Sequence[Element], before: Laid | None) -> tuple[Laid, Laid]:
    """The columns of an area, and those that would stand one beyond its rows and its ends."""
    scale, length = plan.scale_factor, area.ends - area.begins
    parts: dict[str, list[Array]] = {name: [] for name in ("row", "strip", "place", "chainage", "offset", "spacing",
                                                          "distance")}  # fmt: skip
    for row, strip, offset, width, spacing, phases in _rows(area):
        count = max(ceil(round(length / (scale * spacing), 9)), 1)
        step, phase = length / count, phases[row % 2]
        at = area.begins + (np.arange(count) + phase) * step
        if before is not None and count > 1:
            at[:-1] += _clearing_shift(plan, area, elements, before, scale * offset, at[0]) * (
                1 - np.arange(count - 1) / (count - 1)
            )
        at = np.concatenate([[at[0] - step], at, [at[-1] + step]])
        for name, value in (("row", row), ("strip", strip), ("offset", offset), ("spacing", step / scale),
                            ("distance", width)):  # fmt: skip
            parts[name].append(np.full(len(at), float(value)))
        parts["place"].append(np.arange(count + 2, dtype=float))
        parts["chainage"].append(np.asarray(at, dtype=np.float64))
    by_name = {name: np.concatenate(arrays) for name, arrays in parts.items()}
    e, n = places(elements, by_name["chainage"], scale * by_name["offset"])
    whole = {name: by_name[name].astype(int) for name in ("row", "strip", "place")}
    made = Laid(
        np.full(len(e), area.index), whole["strip"], whole["row"], whole["place"], by_name["chainage"],
        by_name["offset"],
        e, n, by_name["spacing"], by_name["distance"], curvatures(elements, by_name["chainage"]),
    )  # fmt: skip
    last = {row: int(made.place[made.row == row].max()) for row in np.unique(made.row)}
    ends = np.array([last[row] for row in made.row])
    own = (made.row > 0) & (made.row < made.row.max()) & (made.place > 0) & (made.place < ends)
    return made.chosen(own), made.chosen(~own)


def _clearing_shift(
    plan: Plan, area: Area, elements: Sequence[Element], before: Laid, offset: float, first: float
) -> float:  # fmt: skip
    """How far the first column of a row moves on, so that it stands clear of those of the area before."""
    clear, scale = plan.clear_distance, plan.scale_factor
    near = before.chainage > area.begins - 2 * clear * scale
    sideways = (scale * before.offset[near] - offset) / scale
    bend = float(curvatures(elements, np.array([area.begins]))[0])
    close = np.abs(sideways) < clear
    if not close.any():
        return 0.0
    reach = np.sqrt(np.maximum(clear**2 - sideways[close] ** 2, 0.0)) * scale / (1 - bend * offset)
    # A hair more, because places are rounded to the millimetre and a chord is shorter than its arc.
    least = float((before.chainage[near][close] + reach).max()) + 0.003
    return max(least - first, 0.0)


def _ghosts(beyond: Laid, area: Area, areas: Sequence[Area]) -> Laid:
    """Of the columns beyond an area those that bound its cells: beside it, and at its ends where no other goes on."""
    kept = np.ones(len(beyond), dtype=bool)
    for other in areas:
        left, right = other.extent
        across = (beyond.offset > left - beyond.distance) & (beyond.offset < right + beyond.distance)
        if same(other.ends, area.begins):
            kept &= ~(across & (beyond.chainage < area.begins))
        if same(other.begins, area.ends):
            kept &= ~(across & (beyond.chainage > area.ends))
    return beyond.chosen(kept)


def in_zone(zone: Exclusion, columns: Laid, scale: float, areas: Sequence[Area]) -> Marks:
    """Columns that stand in an exclusion zone or nearer to its border than its distance."""
    diameters = np.array([area.section.columns.diameter for area in areas])[columns.area]
    reach = scale * (diameters / 2 + zone.distance)
    e0, n0 = zone.corner[0].easting, zone.corner[0].northing
    x, y = columns.easting - e0, columns.northing - n0
    corners = np.array([(corner.easting - e0, corner.northing - n0) for corner in zone.corner])
    far = float(reach.max(initial=0.0))
    low, high = corners.min(axis=0) - far, corners.max(axis=0) + far
    near = (x >= low[0]) & (x <= high[0]) & (y >= low[1]) & (y <= high[1])
    inside, distance = inside_polygon(corners, x[near], y[near])
    within = np.zeros(len(columns), dtype=bool)
    within[near] = inside | (distance < reach[near])
    return within


def in_footprint(footprint: Footprint, columns: Laid) -> Marks:
    """Columns whose axis stands in a part of the footprint."""
    within = np.zeros(len(columns), dtype=bool)
    for part in footprint.part:
        within |= in_corners(part.corner, columns)
    return within


def in_corners(corner: Sequence[Corner], columns: Laid) -> Marks:
    """Columns whose axis stands in a polygon."""
    return to_border(corner, columns)[0]


def to_border(corner: Sequence[Corner], columns: Laid) -> tuple[Marks, Array]:
    """Whether the axes of columns stand in a polygon, and their distance to its border in the grid, m."""
    e0, n0 = corner[0].easting, corner[0].northing
    corners = np.array([(point.easting - e0, point.northing - n0) for point in corner])
    return inside_polygon(corners, columns.easting - e0, columns.northing - n0)


def inside_polygon(corners: Array, x: Array, y: Array) -> tuple[Marks, Array]:
    """Whether points lie inside a polygon by the even-odd rule, and their distance to its border."""
    inside, distance = np.zeros(len(x), dtype=bool), np.full(len(x), np.inf)
    for (x1, y1), (x2, y2) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        crosses = (y1 > y) != (y2 > y)
        with np.errstate(divide="ignore", invalid="ignore"):
            inside ^= crosses & (x < (x2 - x1) * (y - y1) / (y2 - y1) + x1)
        length = (x2 - x1) ** 2 + (y2 - y1) ** 2
        along = np.clip(((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / length, 0, 1) if length else 0.0
        distance = np.minimum(distance, np.hypot(x - x1 - along * (x2 - x1), y - y1 - along * (y2 - y1)))
    return inside, distance


def _with_cells(
    whole: Laid, kept: Marks, ghosts: Laid, areas: Sequence[Area], scale: float
) -> Laid:  # fmt: skip
    """The columns that are kept, with cells and distances on the ground, and those beside another area marked.

    A cell is that of all points nearer to the column than to any other: of columns left out as well, whose cells
    nobody serves, and of those that would go on beyond the field.
    """
    e0, n0 = whole.easting.mean(), whole.northing.mean()
    every = np.column_stack([
        np.concatenate([whole.easting, ghosts.easting]) - e0, np.concatenate([whole.northing, ghosts.northing]) - n0
    ])  # fmt: skip
    cells = cell_areas(every)[: len(whole)] / scale**2
    columns = whole.chosen(kept)
    spots = np.column_stack([columns.easting - e0, columns.northing - n0])
    nearest = cKDTree(spots).query(spots, k=2)[0][:, 1] / scale if len(columns) > 1 else np.full(len(columns), np.inf)
    beside = _beside(whole, areas, scale)
    measured = {"cell": cells[kept], "nearest": nearest, "beside": beside[kept]}
    return Laid(
        **{name: measured.get(name, getattr(columns, name)) for name in (attribute.name for attribute in fields(Laid))}
    )


def _beside(columns: Laid, areas: Sequence[Area], scale: float) -> Array:
    """Area of a cell of the grid of the nearest column of an area that meets that of a column, within 1.5 spacings."""
    cells, spots = np.full(len(columns), np.nan), np.column_stack([columns.easting, columns.northing])
    spots = spots - spots.mean(axis=0)
    cell = columns.spacing * columns.distance
    meet = [(area, neighbour, end) for area in areas for neighbour in areas if area is not neighbour
            for end in (area.begins, area.ends)
            if same(end, neighbour.begins) or same(end, neighbour.ends)]  # fmt: skip
    for area, neighbour, end in meet:
        reach = 3 * scale * max(float(columns.spacing[columns.area == k.index].max()) for k in (area, neighbour))
        near = np.abs(columns.chainage - end) < reach
        own, others = (np.flatnonzero(near & (columns.area == k.index)) for k in (area, neighbour))
        away, place = cKDTree(spots[others]).query(spots[own])
        nearest = others[place]
        wide = 1.5 * scale * np.maximum(columns.spacing[own], columns.spacing[nearest])
        joint = (np.abs(columns.chainage[own] - end) < wide) & (away < 2 * wide)
        cells[own[joint]] = np.fmin(cells[own[joint]], cell[nearest[joint]])
    return cells


def cell_areas(spots: Array) -> Array:
    """Area of the cell of every point in m²; infinite where it is open.

    A side of a cell lies half way between two points, so that with either of them it spans a triangle of a fourth of
    its length times their distance.
    """
    if len(spots) < 4:
        return np.full(len(spots), np.inf)
    diagram = Voronoi(spots)
    pairs, sides = diagram.ridge_points, np.array(diagram.ridge_vertices)
    is_open = (sides < 0).any(axis=1)
    ends = diagram.vertices[sides]
    length = np.hypot(*(ends[:, 0] - ends[:, 1]).T)
    apart = np.hypot(*(spots[pairs[:, 0]] - spots[pairs[:, 1]]).T)
    part = np.where(is_open, np.inf, length * apart / 4)
    total = np.zeros(len(spots))
    for k in range(2):
        np.add.at(total, pairs[:, k], part)
    return total
