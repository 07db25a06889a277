"""Area ratio as built by a moving window in every grid, where it is least, and where another column could stand."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import Voronoi, cKDTree

from calc.chapters.shared.frame import origin_of
from calc.engine.sheet import Sheet, Verdict
from calc.engine.words import words_of
from calc.formulas.column_records import least_ratio, window_ratio
from calc.formulas.geometry import column_area
from calc.inputs import Design
from calc.inputs.tables.columns import ColumnZone
from calc.site.installed.recorded_columns import Compared, middle_of, places_as_built, places_of
from calc.site.plan.column_layout import Area, Array, Laid, Marks, Whole, cell_areas, in_footprint, in_zone
from calc.site.plan.plan_steps import design_ratios, of_grid

say = words_of(__name__)

FAR = 0.5  # spacings from the place of the plan, beyond which a column does not count there: project rule
MOST_PROPOSED = 200
LEAST_SHORT = 1e-9  # m²


@dataclass(frozen=True)
class Extra:
    """A place where another column could stand: in the grid, m; distance to the nearest axis, m; whose window."""

    easting: float
    northing: float
    nearest: float
    beside: str


@dataclass(frozen=True)
class GridRatio:
    """The area ratio as built of one grid of an area: a window for each column, nan where it is not complete."""

    area: Area
    zone: ColumnZone | None
    columns: Whole
    ratio: Array
    worst: int
    sheet: Sheet
    design: float
    extras: tuple[Extra, ...] = ()
    without_place: int = 0
    """Windows below what is asked in which no other column has its clear distance."""
    not_searched: int = 0
    """Windows below what is asked that are left when no more places are proposed."""

    @property
    def name(self) -> str:
        """Area and grid as printed."""
        return grid_name(self.area, self.zone)

    @property
    def least(self) -> float:
        """The least area ratio of a window."""
        return float(np.nanmin(self.ratio))


def grid_name(area: Area, zone: ColumnZone | None) -> str:
    """Area and grid as printed."""
    return f"{area.given.letter}, {zone.key}" if zone else area.given.letter


@dataclass(frozen=True)
class AsBuilt:
    """Area ratios of all grids that have windows, and which columns stand too far away to count."""

    grids: tuple[GridRatio, ...]
    astray: tuple[str, ...]
    without_place: int
    """Columns whose record has no place: they count at that of the plan."""
    why_not: str = ""
    unjudged: tuple[str, ...] = ()
    """Grids with installed columns in which no window is complete."""
    without_diameter: int = 0
    """Columns whose record has no diameter, or none that is plausible: they count with that of the plan."""


@dataclass(frozen=True)
class _Field:
    """All points that bound cells, the columns of the plan first: places (m), area of the columns, their cells (m²)."""

    spots: Array
    area: Array
    cell: Array
    shown: Marks
    """Columns that are installed or missing; the others are not there yet."""


def as_built(design: Design, compared: Compared) -> AsBuilt:
    """The area ratios, with a sheet for every grid; nothing where no window or no tolerance is given."""
    if compared.limits.window is None:
        return AsBuilt((), (), 0, say("no-window"))
    if "easting" not in compared.mapped:
        return AsBuilt((), (), 0, say("no-places"))
    field, astray, placeless = _field(compared)
    grids, unjudged = [], []
    for area in compared.made.layout.areas:
        for zone in dict.fromkeys(strip.zone for strip in area.strips):
            grid = _grid(design, compared, field, area, zone)
            if grid is not None:
                grids.append(_with_extras(compared, field, grid))
            elif compared.has[of_grid(area, compared.made.layout.columns, zone)].any():
                unjudged.append(grid_name(area, zone))
    why = "" if grids else say("no-windows")
    rough = int((compared.has & np.isnan(compared.credible("diameter"))).sum())
    return AsBuilt(tuple(grids), astray, placeless, why, tuple(unjudged), rough)


def _field(compared: Compared) -> tuple[_Field, tuple[str, ...], int]:
    laid, k_gr = compared.made.layout.columns, compared.made.plan.scale_factor
    planned, built = places_of(compared.made), places_as_built(compared)
    away = np.hypot(*(built - planned).T) / k_gr
    placed = compared.has & ~np.isnan(away)
    astray = placed & (np.nan_to_num(away) > FAR * laid.spacing)
    spots = np.where((placed & ~astray)[:, None], built, planned)
    diameter = compared.credible("diameter")
    # A larger one than planned is not known to be there over the whole length: it makes up for no other column.
    diameter = np.fmin(diameter, compared.planned("diameter"))
    # What is missing, stands elsewhere or ends above the bearing layer leaves its cell without a column.
    area = np.where(compared.has & ~astray & ~compared.floating, column_area(d_c=diameter), 0.0)
    bounds = [
        np.column_stack([part.easting, part.northing]) - middle_of(compared.made)
        for part in (*(out for _, out in compared.made.layout.left_out), compared.made.layout.beyond)
    ]
    every = np.concatenate([spots, *bounds])
    cell = cell_areas(every)[: len(spots)] / k_gr**2
    names = tuple(compared.ids[k] for k in np.flatnonzero(astray))
    return _Field(every, area, cell, compared.has | compared.missing), names, int((compared.has & np.isnan(away)).sum())


def _grid(design: Design, compared: Compared, field: _Field, area: Area, zone: ColumnZone | None) -> GridRatio | None:
    """Windows around every column of a grid that is installed or missing, of the columns of that grid."""
    own = np.flatnonzero(of_grid(area, compared.made.layout.columns, zone))
    radius = (compared.limits.window or 0.0) * compared.made.plan.scale_factor
    columns, cells, complete = _windows(field, own, radius)
    if not complete.any():
        return None
    ratio = np.full(len(own), np.nan)
    ratio[complete] = window_ratio(A_cw=columns[complete], A_w=cells[complete])
    worst = int(np.nanargmin(ratio))
    target = float(design_ratios(compared.made.layout.areas, compared.made.layout.columns)[own[worst]])
    sheet = Sheet(section=area.section.key, key="installed")
    sheet.reading("A_cw", float(columns[worst]), title=say("reading-A_cw"))
    sheet.reading("A_w", float(cells[worst]), title=say("reading-A_w"))
    sheet(window_ratio)
    sheet.reading("a_E", target, title=say("reading-a_E"))
    title = say("verdict")
    if compared.limits.area_ratio is None:
        sheet.not_verified("window", title, say("no-limit"), required=False)
    else:
        sheet.given("da_max", compared.limits.area_ratio, origin=origin_of(design, "installed.limits.area_ratio"))
        asked = sheet(least_ratio)
        if not columns[worst] > 0:
            sheet.verdicts.append(Verdict("window", title, "fail", note=say("empty")))
            return GridRatio(area, zone, own, ratio, int(own[worst]), sheet.finish(), target)
        sheet.verdict("window", title, effect=asked, resistance=sheet["a_Ebw"])
    return GridRatio(area, zone, own, ratio, int(own[worst]), sheet.finish(), target)


def _windows(field: _Field, own: Whole, radius: float) -> tuple[Array, Array, Marks]:
    """Sums of column areas and cells over the window of every column of a grid, and which windows are complete."""
    area, cell, open_ = field.area[own], field.cell[own], (~field.shown[own]).astype(float)
    pairs = cKDTree(field.spots[own]).query_pairs(radius, output_type="ndarray")
    centre, neighbour = np.concatenate([pairs, pairs[:, ::-1]]).T
    sums: list[Array] = [part + np.bincount(centre, part[neighbour], len(own)) for part in (area, cell, open_)]
    complete: Marks = (sums[2] == 0) & np.isfinite(sums[1]) & (sums[1] > 0)
    return sums[0], sums[1], complete


def _with_extras(compared: Compared, field: _Field, grid: GridRatio) -> GridRatio:
    """Propose places for other columns until every window would have what is asked, where there is room."""
    if compared.limits.area_ratio is None:
        return grid
    own, k_gr = grid.columns, compared.made.plan.scale_factor
    radius = (compared.limits.window or 0.0) * k_gr
    # Columns that are missing or astray are to be installed at their places: what they would not mend is proposed.
    planned = column_area(d_c=compared.planned("diameter"))
    mended = replace(field, area=np.where(field.shown & (field.area == 0.0), planned, field.area))
    columns, cells, complete = _windows(mended, own, radius)
    asked = float(least_ratio(a_E=grid.design, da_max=compared.limits.area_ratio))
    each = float(column_area(d_c=grid.area.section.columns.diameter))
    free, room = _free_places(compared, field, grid, own[complete & (columns < asked * cells)])
    centres, extras, hopeless = field.spots[own], list[Extra](), np.zeros(len(own), dtype=bool)
    while len(extras) < MOST_PROPOSED:
        short = np.where(complete & ~hopeless, asked * cells - columns, -np.inf)
        k = int(short.argmax())
        if not short[k] > LEAST_SHORT:
            break
        away = np.hypot(*(free - centres[k]).T) if len(free) else np.zeros(0)
        if not len(free) or away.min() > radius:
            hopeless[k] = True
            continue
        best = int(away.argmin())
        at = free[best] + middle_of(compared.made)
        extras.append(
            Extra(round(float(at[0]), 3), round(float(at[1]), 3), float(room[best]) / k_gr, compared.ids[own[k]])
        )
        columns = columns + each * (np.hypot(*(centres - free[best]).T) <= radius)
        clear = np.hypot(*(free - free[best]).T) >= compared.made.plan.clear_distance * k_gr
        free, room = free[clear], room[clear]
    left = int((complete & ~hopeless & (asked * cells - columns > LEAST_SHORT)).sum())
    return replace(grid, extras=tuple(extras), without_place=int(hopeless.sum()), not_searched=left)


def _free_places(compared: Compared, field: _Field, grid: GridRatio, short: Whole) -> tuple[Array, Array]:
    """Corners of the cells near windows that are short, with the clear distance to all columns, and that distance."""
    none = np.zeros((0, 2)), np.zeros(0)
    if not len(short):
        return none
    corners = Voronoi(field.spots).vertices
    reach = (compared.limits.window or 0.0) * compared.made.plan.scale_factor
    near = cKDTree(field.spots[short]).query(corners, distance_upper_bound=reach)[0]
    corners = corners[np.isfinite(near)]
    if not len(corners):
        return none
    room, nearest = cKDTree(field.spots).query(corners)
    # Beside a column of this grid: what lies beyond the field is nearest to what bounds it, or as near.
    kept = (room >= compared.made.plan.clear_distance * compared.made.plan.scale_factor) & np.isin(
        nearest, grid.columns
    )
    corners, room = corners[kept], room[kept]
    out = np.zeros(len(corners), dtype=bool)
    at = corners + middle_of(compared.made)
    zero, whole = np.zeros(len(corners)), np.full(len(corners), grid.area.index)
    there = Laid(whole, whole, whole, whole, zero, zero, at[:, 0], at[:, 1], zero, zero, zero)
    for zone in compared.made.plan.exclusion:
        out |= in_zone(zone, there, compared.made.plan.scale_factor, compared.made.layout.areas)
    if compared.made.plan.footprint is not None:
        out |= ~in_footprint(compared.made.plan.footprint, there)
    return corners[~out], room[~out]
