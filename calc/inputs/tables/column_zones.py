"""Zones of the column grid across a section: where their rows stand, and the rules between them."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, inf, pi, sqrt

from calc.engine.levels import above, same
from calc.inputs.reading.locate import Path
from calc.inputs.tables.columns import ColumnField, Columns, ColumnZone
from calc.inputs.tables.earthquake import Earthquake
from calc.inputs.tables.embankment import Embankment, Platform
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.problem import Problem, Problems, unique

WITH = "with columns.zone"
ROW = {"triangular": sqrt(3) / 2, "square": 1.0}
"""Distance of the rows over the spacing, by pattern."""


@dataclass(frozen=True, slots=True)
class GridStrip:
    """A part of the column field with one grid: from x to x, its zone or None, the axes of its rows across.

    ``distance`` is that of its rows as they are spread evenly, not wider than the grid.
    """

    left: float
    right: float
    zone: ColumnZone | None
    rows: tuple[float, ...]
    distance: float


def grid_strips(columns: Columns, left: float, right: float) -> tuple[GridStrip, ...]:
    """The column field by zones from left to right; two that meet stay two, as a zone and its mirror image do."""
    cuts = sorted((low, high, k) for k, zone in columns.zones for low, high in zone.strips)
    strips: list[tuple[float, float, ColumnZone | None]] = []
    at = left
    for low, high, k in cuts:
        if above(low, at):
            strips.append((at, low, None))
        strips.append((low, high, columns.zone[k]))
        at = high
    if above(right, at) or not strips:
        strips.append((at, right, None))
    return tuple(_strip(columns, *strip, left, right) for strip in strips)


def _strip(
    columns: Columns, low: float, high: float, zone: ColumnZone | None, left: float, right: float
) -> GridStrip:  # fmt: skip
    """Rows on the outermost columns and half a row distance from a border."""
    pattern, spacing = columns.grid_of(zone)
    row, width = ROW[pattern] * spacing, high - low
    first, last = (0.0 if same(border, end) else 0.5 for border, end in ((low, left), (high, right)))
    count = max(ceil(round(width / row + 1 - first - last, 9)), 1)
    parts = count - 1 + first + last
    distance = width / parts if parts else 0.0
    return GridStrip(low, high, zone, tuple(low + (first + k) * distance for k in range(count)), distance)


def zone_borders(columns: Columns) -> Problems:
    """A zone has a width, lies on one side where it is mirrored, and overlaps no other."""
    yield from unique([zone.key for zone in columns.zone], ("columns", "zone"), "key")
    known: list[tuple[float, float, str]] = []
    for k, zone in enumerate(columns.zone):
        path = ("columns", "zone", k)
        if not above(zone.x_right, zone.x_left):
            yield Problem((*path, "x_right"), f"be right of x_left ({zone.x_left:g} m)")
            continue
        if zone.over_axis:
            yield Problem((*path, "mirrored"), "be false where the zone lies on both sides of the axis")
            continue
        for low, high in zone.strips:
            met = next(((a, b, key) for a, b, key in known if above(b, low) and above(high, a)), None)
            if met is not None:
                yield Problem((*path, "x_left"), f'not overlap the zone "{met[2]}" ({met[0]:g} m to {met[1]:g} m)')
                break
            for a, b, key in known:
                for name, border, end in (("x_left", low, b), ("x_right", high, a)):
                    if end != border and same(end, border):
                        yield Problem((*path, name), f'meet the zone "{key}" at {end:g} m, or stay 1 mm off it')
        known += [(*strip, zone.key) for strip in zone.strips]
        if zone.spacing <= columns.diameter:
            yield Problem((*path, "spacing"), f"be greater than the diameter ({columns.diameter:g} m)")


def zones_in_the_field(columns: Columns, column_field: ColumnField | None, embankment: Embankment) -> Problems:
    """Zones lie between the outermost columns and leave part of the crest to the grid of the section."""
    if not columns.zone:
        return
    ends = [getattr(column_field, name, None) for name in ("beyond_left", "beyond_right")]
    for name, end in zip(("beyond_left", "beyond_right"), ends, strict=True):
        if end is None:
            yield Problem(("field", name), f"be given {WITH}: the zones end at the outermost columns", "nothing")
    if None in ends:
        return
    half = embankment.crest_width / 2
    left, right = -half - (ends[0] or 0.0), half + (ends[1] or 0.0)
    for k, zone in enumerate(columns.zone):
        for name, x in (("x_left", zone.x_left), ("x_right", zone.x_right)):
            for place, words in ((x, ""), *(((-x, ", mirrored as well"),) if zone.mirrored else ())):
                if above(left, place) or above(place, right):
                    must = f"lie between the outermost columns ({left:g} m to {right:g} m){words}"
                    yield Problem(("columns", "zone", k, name), must)
                    break
    if not any(zone.over_axis for zone in columns.zone):  # that is told already
        yield from _part_of_the_crest(columns, half)


def _part_of_the_crest(columns: Columns, half: float) -> Problems:
    cuts = {x for zone in columns.zone for strip in zone.strips for x in strip if -half < x < half}
    middles = [(a + b) / 2 for a, b in pairwise(sorted({-half, *cuts, half}))]
    if all(any(a < x < b for zone in columns.zone for a, b in zone.strips) for x in middles):
        must = "leave part of the crest to the grid of [columns], which stands for the full height of fill"
        yield Problem(("columns", "zone"), must, f"zones over the whole crest, {-half:g} m to {half:g} m")


def zones_below_the_bank(columns: Columns, embankment: Embankment, platform: Platform | None) -> Problems:
    """Every strip of a zone reaches below the embankment: its columns carry some of it."""
    base = platform.thickness if platform else 0.0
    toes = {}
    for side in ("left", "right"):
        run, berm = getattr(embankment, f"slope_{side}"), embankment.berms.get(side)
        out = run * (embankment.height + base)
        if berm is not None:
            out += berm.out(run, base)
        toes[side] = embankment.crest_width / 2 + out
    for k, zone in enumerate(columns.zone):
        for low, high in zone.strips:
            if not above(high, -toes["left"]) or not above(toes["right"], low):
                must = f"reach below the embankment ({-toes['left']:g} m to {toes['right']:g} m)"
                yield Problem(("columns", "zone", k, "x_left"), must, f"{low:g} m to {high:g} m")
                break


def rows_of_zones(columns: Columns, column_field: ColumnField | None, embankment: Embankment) -> Problems:
    """Every strip holds a row, and neighbouring rows do not touch, at a border and where they are spread evenly."""
    if not columns.zones or column_field is None or not column_field.beyond_left or not column_field.beyond_right:
        return
    half, zones = embankment.crest_width / 2, columns.zone
    if any([*zone_borders(columns), *zones_in_the_field(columns, column_field, embankment)]):
        return  # told already
    strips, seen = grid_strips(columns, -half - column_field.beyond_left, half + column_field.beyond_right), set[Path]()
    # Of a zone and its mirror image the former is told of first, and then alone.
    for k in sorted(range(len(strips)), key=lambda place: _is_image(strips[place])):
        problem, path = _lack_of_room(columns, strips, k), ("columns", "zone", *_border(strips, k, zones))
        if problem and path not in seen:
            seen.add(path)
            yield Problem(path, *problem)


def _lack_of_room(columns: Columns, strips: Sequence[GridStrip], k: int) -> tuple[str, str] | None:
    """What a strip without room for its rows must be, and what it is; None where they have room."""
    strip, (pattern, spacing) = strips[k], columns.grid_of(strips[k].zone)
    got = f"{strip.left:g} m to {strip.right:g} m"
    if above(ROW[pattern] * spacing, strip.right - strip.left):
        return f"leave every grid a strip as wide as its row distance ({ROW[pattern] * spacing:.3g} m)", got
    if not above(_nearest(pattern, spacing, strip.distance), columns.diameter):
        rows = f"{got}, rows {strip.distance:.3g} m apart"
        return "leave every grid a width in which its rows, spread evenly, do not touch", rows
    between = strip.rows[0] - strips[k - 1].rows[-1] if k else inf
    if not above(between, columns.diameter):
        must = f"leave more than the diameter ({columns.diameter:g} m) between the rows at its border"
        return must, f"{between:.3g} m"
    return None


def _is_image(strip: GridStrip) -> bool:
    """Whether a strip of a zone is the mirror image of the one that is given."""
    return strip.zone is not None and not same(strip.left, strip.zone.x_left)


def _border(strips: Sequence[GridStrip], k: int, zones: Sequence[ColumnZone]) -> tuple[int, str]:
    """The zone and the field that place a strip: its own left border, or of a strip beside zones that of a zone."""
    zone = strips[k].zone
    if zone is not None:
        return zones.index(zone), "x_left"
    x, near = (strips[k].left, strips[k - 1].zone) if k else (strips[k].right, strips[k + 1].zone)
    assert near is not None  # noqa: S101 - strips without a zone have neighbours with one
    return zones.index(near), "x_right" if same(abs(x), abs(near.x_right)) else "x_left"


def _nearest(pattern: str, spacing: float, distance: float) -> float:
    """Least distance of two axes in neighbouring rows."""
    return sqrt(distance**2 + spacing**2 / 4) if pattern == "triangular" else distance


def smear_in_zones(layers: tuple[Layer, ...], columns: Columns) -> Problems:
    """The disturbed zone of a column ends before the edge of its cell in every zone."""
    for k, zone in enumerate(columns.zone):
        ratio = sqrt(4 * ROW[zone.pattern] / pi) * zone.spacing / columns.diameter
        widest = max((layer.smear.ratio for layer in layers if layer.smear is not None), default=-inf)
        if 1 < ratio <= widest:
            must = f"give a unit cell wider than the disturbed zone of a layer ({widest:g} diameters)"
            yield Problem(("columns", "zone", k, "spacing"), must)


def not_with_zones(
    columns: Columns,
    embankment: Embankment,
    earthquake: Earthquake | None,
    column_field: ColumnField | None,
    makeup_fill: bool,
) -> Problems:
    """What would be computed as if one grid were everywhere is refused."""
    if not columns.zone:
        return
    left_out, half = "be left out " + WITH, embankment.crest_width / 2
    below = [zone.key for zone in columns.zone if any(above(half, a) and above(b, -half) for a, b in zone.strips)]
    if makeup_fill and below:
        must = f"be false where a zone of columns ({', '.join(below)}) reaches below the crest, which settles as one"
        yield Problem(("makeup_fill",), must)
    if columns.floating is not None:
        yield Problem(("columns", "floating"), f"{left_out}: columns that float in some zones alone are given by "
                      "columns.zone.floating", "a table")  # fmt: skip
    if embankment.zone:
        must = f"{left_out}: the fill over a zone of columns is taken as one"
        yield Problem(("embankment", "zone"), must, "a table")
    if embankment.lower:
        must = f"be that of the other crest edge {WITH}: heights over the zones are those of a level crest"
        yield Problem(("embankment", f"height_{embankment.lower}"), must)
    if earthquake is not None:
        yield Problem(("earthquake",), f"{left_out}: the inertia of the columns is not found by zones", "a table")
    if column_field is not None and column_field.sleeve_cohesion:
        must = f"be false {WITH}: the ring tension that it counts on differs from zone to zone"
        yield Problem(("field", "sleeve_cohesion"), must)


COLUMN_ZONE_RULES = (
    zone_borders, zones_in_the_field, zones_below_the_bank, rows_of_zones, smear_in_zones, not_with_zones,
)  # fmt: skip
