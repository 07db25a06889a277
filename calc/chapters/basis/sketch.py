"""The cross-section of a section, to scale and true to its inputs."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite

from markupsafe import Markup

from calc.chapters.shared.geometry import Profile, at_toes, column_axes
from calc.chapters.shared.layer_lines import bands, layer_lines, level_at, outline, toe_below
from calc.chapters.shared.zones import outline_of_zone, stretch_text
from calc.engine.figure import (
    Arrow,
    Callouts,
    Dimension,
    Fill,
    Item,
    Label,
    Line,
    Point,
    Polygon,
    Scene,
    box,
    symbol_text,
)
from calc.engine.levels import above, same
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.column_zones import GridStrip, grid_strips
from calc.inputs.tables.sleeve import ReinforcementLayer
from calc.inputs.tables.traffic import Traffic
from calc.inputs.tables.widening import Widening

say = words_of(__name__)

WRAPPED = 0.12  # m, the height at which the part of a layer that is wrapped back is drawn over it
GROUND: tuple[Fill, Fill] = ("soft", "soft2")


@dataclass(frozen=True, slots=True)
class _Levels:
    """Elevations and places from which the cross-section is drawn, m; the slopes run down to the ground."""

    ground: float
    base: float
    crest: float
    bottom_of_soft: float
    toe: float
    lowest: float
    left: float
    right: float
    half_crest: float
    edges: tuple[Point, Point]
    outline: tuple[Point, ...]
    columns: tuple[float, ...]
    place: Profile


def cross_section(section: Section, at: Profile) -> Scene:
    """The embankment on its columns with layers, water, reinforcement and the stages of filling, to scale.

    ``at`` has the recorded places of the final state.
    """
    levels = _levels(section, at)
    items = (
        *_ground(section, levels),
        *_columns(section, levels),
        *_fill(section, levels),
        *_lines(section, levels),
        *_dimensions(section, levels),
        _names(section, levels),
        _elevations(section, levels),
    )
    fill, columns = section.embankment, section.columns
    alt = say(
        "alt",
        section_key=section.key,
        height=fill.height,
        crest_width=fill.crest_width,
        layers=len(section.soft_layers),
        ground=levels.ground - levels.bottom_of_soft,
        diameter=columns.diameter,
        spacing=columns.spacing,
        toe=levels.toe,
    )
    title = say("title", chainage=section.chainage)
    return Scene("cross_section", title, alt, items, height_mm=56.0, note=_note(section, levels))


def _levels(section: Section, at: Profile) -> _Levels:
    return _Levels(
        ground=at.ground,
        base=at.base,
        crest=at.crest,
        bottom_of_soft=at.firm,
        toe=at.toes,
        lowest=at.lowest_toes - max(1.5, 0.12 * (at.ground - at.lowest_toes)),
        left=at.outline[0][0],
        right=at.outline[-1][0],
        half_crest=at.right_shoulder,
        edges=(at.left_edge, at.right_edge),
        outline=at.outline,
        columns=tuple(column_axes(section, at.left_column, at.right_column)),
        place=at,
    )


def _ends(section: Section, levels: _Levels) -> tuple[float, float]:
    """The outermost of toes, columns and reinforcement."""
    ends = [place for layer in section.reinforcement for place, _ in _sheet(layer, levels)]
    radius = section.columns.diameter / 2
    places = (levels.left, levels.right, levels.columns[0] - radius, levels.columns[-1] + radius, *ends)
    return min(places), max(places)


def _edges(section: Section, levels: _Levels) -> tuple[float, float]:
    """The drawn stretch of ground."""
    left, right = _ends(section, levels)
    margin = 0.08 * (right - left) + 1.0
    return left - margin, right + margin


def _ground(section: Section, levels: _Levels) -> Iterator[Item]:
    left, right = _edges(section, levels)
    *soft, firm = bands(layer_lines(section, levels.place, left, right), levels.lowest)
    for index, ends in enumerate(soft):
        yield Polygon(outline(*ends), GROUND[index % 2])
    yield Polygon(outline(*firm), at_toes(section, GROUND[(len(soft) - 1) % 2]))
    yield Line(((left, levels.ground), (right, levels.ground)), "outline")


def _columns(section: Section, levels: _Levels) -> Iterator[Item]:
    radius = section.columns.diameter / 2
    head = levels.ground + section.columns.upstand
    for x in levels.columns:
        yield Polygon(box(x - radius, x + radius, head, toe_below(section, levels.place, x)), "column")


def _fill(section: Section, levels: _Levels) -> Iterator[Item]:
    low = _width_at_level(levels, levels.base)
    if section.platform:
        yield Polygon(((levels.left, levels.ground), *low, (levels.right, levels.ground)), "platform")
    yield Polygon((low[0], *levels.outline[1:-1], low[1]), "fill")
    for k, (_, zone) in enumerate(section.embankment.zones):
        ends = section.embankment.ends(zone)
        if any(map(isfinite, ends)):
            corners = outline_of_zone(levels.outline, zone, levels.base, ends)
        else:
            corners = _band(levels, levels.base + zone.bottom, levels.base + zone.top)
        yield Polygon(corners, ("zone", "zone2")[k % 2])
    yield Line(levels.outline, "outline")
    for stage in section.stages:
        if above(stage.fill_height, 0.0) and above(section.embankment.height, stage.fill_height):
            yield Line(_width_at_level(levels, levels.base + stage.fill_height), "dashed")
    if old := section.widening:
        corners = _old_bank(old, levels.ground)
        yield Polygon(corners, "zone")
        yield Line(corners, "dashed")
        yield Line(levels.outline, "outline")


def _old_bank(old: Widening, ground: float) -> tuple[Point, ...]:
    left, right, top = old.crest_left, old.crest_right, ground + old.height
    toes = left - old.slope_left * old.height, right + old.slope_right * old.height
    return (toes[0], ground), (left, top), (right, top), (toes[1], ground)


def _band(levels: _Levels, bottom: float, top: float) -> tuple[Point, ...]:
    """The part of the embankment between two levels."""
    low, high = _width_at_level(levels, bottom), _width_at_level(levels, top)
    between = [point for point in levels.outline if bottom < point[1] < top]
    left = [point for point in between if point[0] < 0]
    return low[0], *left, *high, *(point for point in between if point[0] > 0), low[1]


def _width_at_level(levels: _Levels, level: float) -> tuple[Point, Point]:
    """The width of the embankment at a level, with its berms below their tops."""
    crossed = [
        (x + (far - x) * (level - y) / (end - y), level)
        for (x, y), (far, end) in pairwise(levels.outline)
        if min(y, end) <= level <= max(y, end) and y != end
    ]
    return crossed[0], crossed[-1]


def _sheet(layer: ReinforcementLayer, levels: _Levels) -> tuple[Point, ...]:
    """A layer from end to end: over the column field, and beyond it by its anchorage with what is wrapped back."""
    anchorage = layer.anchorage
    length, back = (anchorage.length, anchorage.fold_back or 0.0) if anchorage else (0.0, 0.0)
    left, right, up = levels.columns[0] - length, levels.columns[-1] + length, layer.level + WRAPPED
    ends = ((left, layer.level), (right, layer.level))
    return ((left + back, up), (left, up), *ends, (right, up), (right - back, up)) if back else ends


def _lines(section: Section, levels: _Levels) -> Iterator[Item]:
    for layer in section.reinforcement:
        yield Line(_sheet(layer, levels), "reinforcement")
    left, right = _edges(section, levels)
    for water in section.water:
        yield Line(((left, water.level), (right, water.level)), "water")
    yield Line(((0.0, levels.crest + 0.6), (0.0, levels.lowest)), "axis")


def _dimensions(section: Section, levels: _Levels) -> Iterator[Item]:
    fill, columns = section.embankment, section.columns
    half = levels.half_crest
    yield Dimension(
        -half, levels.crest, half, levels.crest, f"{fill.crest_width:.2f} m", 9.0 if section.traffic else 4.0
    )
    first, end = _ends(section, levels)
    # Beside a berm there is no room for it: the berm has a dimension of its own.
    main = "left" if "right" in fill.berms and "left" not in fill.berms else "right"
    for x, (_, top), side in ((first, levels.edges[0], "left"), (end, levels.edges[1], "right")):
        if fill.lower or side == main:
            yield Dimension(x, levels.base, x, top, f"{fill.heights[side]:.2f} m", 0.0)
    toe = toe_below(section, levels.place, levels.columns[-1])
    length = levels.ground + columns.upstand - toe
    edge = end + 0.5
    yield Dimension(edge, toe, edge, levels.ground + columns.upstand, f"{length:.2f} m", 0.0)
    yield from _rows(section, levels)
    yield from _berms(section, levels)
    for sign, slope, height in (
        (-1.0, fill.slope_left, fill.heights["left"]), (1.0, fill.slope_right, fill.heights["right"]),
    ):  # fmt: skip
        # At the level of the crest, clear of the height written half-way down.
        x = sign * (half + 0.25 * slope * height)
        yield Label(x, levels.base + height, f"1:{slope:g}", "start" if sign > 0 else "end")
    if section.traffic:
        yield from _traffic(section.traffic, levels, fill.height)


def _rows(section: Section, levels: _Levels) -> Iterator[Item]:
    """The distance of two rows; of several grids the name of each over its strip."""
    columns, low = section.columns, levels.lowest
    if columns.zones:
        for strip in _strips(section, levels):
            yield Dimension(strip.left, low, strip.right, low, _grid(section, strip), -3.0)
        return
    # The outermost rows on the left: the words behind it pass under the drawing, not among the elevations.
    row, other = levels.columns[:2]
    text = Markup("{} {} m, {} = {} m, {} = {} m").format(
        say("rows"), f"{other - row:.2f}", symbol_text("a_x"), f"{columns.spacing:.2f}", symbol_text("d_c"),
        f"{columns.diameter:.2f}",
    )  # fmt: skip
    yield Dimension(row, low, other, low, text, -3.0)


def _by_lengths(section: Section) -> bool:
    return any(section.columns.has_length(zone) for _, zone in section.columns.zones)


def _length(section: Section, strip: GridStrip) -> str:
    """The length of the columns of a strip where it is not that of all."""
    length = section.toe_depth(strip.zone) + section.columns.upstand
    return say("of-length", length=f"{length:.2f}") if _by_lengths(section) else ""


def _strips(section: Section, levels: _Levels) -> tuple[GridStrip, ...]:
    return grid_strips(section.columns, levels.place.left_column, levels.place.right_column)


def _grid(section: Section, strip: GridStrip) -> str:
    return strip.zone.key if strip.zone else section.key


def _note(section: Section, levels: _Levels) -> str:
    """What the drawing cannot say: how rows stand, and where zones of the fill end within the bank."""
    cored = [
        say("note-ends", name=zone.name, place=stretch_text(section.embankment.ends(zone)))
        for _, zone in section.embankment.zones if any(map(isfinite, section.embankment.ends(zone)))
    ]  # fmt: skip
    return " ".join([_rows_note(section, levels), *cored])


def _rows_note(section: Section, levels: _Levels) -> str:
    """How rows stand, with the distances in every strip of several grids."""
    if section.widening is not None:
        return say("note-widening")
    if not section.columns.zones:
        return say("note")
    rows = dict.fromkeys(
        say("rows-of-grid", grid=_grid(section, strip), rows=f"{strip.distance:.2f}",
            spacing=f"{section.columns.grid_of(strip.zone)[1]:.2f}") + _length(section, strip)
        for strip in _strips(section, levels)
    )  # fmt: skip
    return say("note") + " " + say("note-grids", rows="; ".join(rows), diameter=f"{section.columns.diameter:.2f}")


def _traffic(traffic: Traffic, levels: _Levels, height: float) -> Iterator[Item]:
    """Uniform load over the crest, or the strips on it with their loads per length from left to right."""
    low, high = levels.crest + 0.05, levels.crest + 0.14 * height + 0.3
    loads = " + ".join(
        f"{strip.class_factor * strip.line_load:.4g}" + (f" ({strip.length:g} m)" if strip.length else "")
        for strip in traffic.strip
    ) + " kN/m"  # fmt: skip
    loads += say("traffic-beside", q=f"{traffic.q:g}") if traffic.q else ""
    for index, strip in enumerate(traffic.strip):
        for place in (-0.5, 0.0, 0.5):
            x = strip.position + place * strip.width
            yield Arrow(x, high, x, low)
        if not index:
            yield Label((strip.position + traffic.strip[-1].position) / 2, high + 0.2 * height, loads, "middle")
    for place in (-0.6, -0.3, 0.0, 0.3, 0.6) if not traffic.strip else ():
        named = f"q = {traffic.q:g} kN/m²" if place == 0.0 else ""
        yield Arrow(place * levels.half_crest, high, place * levels.half_crest, low, named)


def _berms(section: Section, levels: _Levels) -> Iterator[Item]:
    """Width of the berms beside the side slopes; beside a lower one there is no room for it."""
    berms = section.embankment.berms
    for side, line in (("left", levels.outline), ("right", levels.outline[::-1])):
        if side in berms:
            upper = 2 * len(berms[side].steps) - 1
            ends = sorted(line[upper : upper + 2], reverse=side == "left")
            # Outward, so that its text does not stand on the slope beside it.
            (inner, top), (outer, _) = ends
            yield Dimension(inner, top, outer, top, f"{berms[side].width:.2f} m", -4.0 if side == "left" else 4.0)


def _names(section: Section, levels: _Levels) -> Callouts:
    zones = [((2 * levels.base + zone.bottom + zone.top) / 2, zone.name) for _, zone in section.embankment.zones]
    entries = [(_free_level(section, levels), say("embankment-fill")), *zones]
    if old := section.widening:
        top = levels.ground + old.height
        entries = [((top + levels.crest) / 2, say("new")), ((levels.ground + top) / 2, say("old")), *zones]
    if section.platform:
        entries.append(((levels.base + levels.ground) / 2, say("working-platform")))
    left, right = _edges(section, levels)
    tops = [level_at(line, left) for line in layer_lines(section, levels.place, left, right)]
    named = zip(section.soft_layers, pairwise(tops), strict=True)
    entries += [((top + base) / 2, layer.name) for layer, (top, base) in named if above(top, base)]
    entries.append(((tops[-1] + levels.lowest) / 2, section.bearing_layer.name))
    return Callouts("left", tuple(entries))


def _free_level(section: Section, levels: _Levels) -> float:
    """The middle of the thickest part of the fill that no zone takes."""
    fill = section.embankment
    layers = [zone for _, zone in fill.zones if not any(map(isfinite, fill.ends(zone)))]
    ends = [0.0, *(end for zone in layers for end in (zone.bottom, zone.top))]
    tops = [*ends[1::2], section.embankment.height]
    gaps = [(top - bottom, (top + bottom) / 2) for bottom, top in zip(ends[::2], tops, strict=True)]
    return levels.base + max(gaps)[1]


def _tops_of_berms(section: Section, levels: _Levels) -> Iterator[tuple[float, str]]:
    """Levels of the berms with their names."""
    for berm in section.embankment.berms.values():
        for step in berm.steps:
            top, slope = levels.base + step.height, f"{step.slope:g}"
            if step is berm:
                yield top, say("berm", top=f"{top:.2f}", slope=slope)
            else:
                yield top, say("lower-berm", top=f"{top:.2f}", width=f"{step.width:.2f}", slope=slope)


def _elevations(section: Section, levels: _Levels) -> Callouts:
    fill, (left, right) = section.embankment, (top for _, top in levels.edges)
    crest = [(left, say("crest-left", level=f"{left:.2f}")), (right, say("crest-right", level=f"{right:.2f}"))]
    entries = crest if fill.lower else [(levels.crest, say("crest", level=f"{levels.crest:.2f}"))]
    entries.append((levels.ground, say("ground", level=f"{levels.ground:.2f}")))
    entries += dict.fromkeys(_tops_of_berms(section, levels))
    entries += [(water.level, say("water", name=water.name, level=f"{water.level:.2f}")) for water in section.water]
    entries += [(layer.level, f"{layer.name} {layer.level:.2f}") for layer in section.reinforcement]
    if section.columns.floating is None:
        firm = levels.place.firm_at
        level = levels.bottom_of_soft if firm is None else firm[1]
        at_axis = "" if same(level, levels.bottom_of_soft) else say("at-axis", level=f"{levels.bottom_of_soft:.2f}")
        entries.append((level, say("bearing-level", level=f"{level:.2f}", at_axis=at_axis)))
    entries.append(((levels.ground + levels.toe) / 2, say("sleeve", name=section.sleeve.name)))
    ends = levels.columns if _by_lengths(section) else levels.columns[-1:]
    for toe in dict.fromkeys(round(toe_below(section, levels.place, x), 4) for x in ends):
        entries.append((toe, say("toe", level=f"{toe:.2f}")))
    return Callouts("right", tuple((level, text.replace("-", "−")) for level, text in entries))
