"""Sketches of a section, true to its inputs: the cross-section to scale and the unit cell in plan and elevation."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, pi, sin

from markupsafe import Markup

from calc.figure import (
    Arrow,
    Callouts,
    Circle,
    Dimension,
    Fill,
    Item,
    Label,
    Line,
    Point,
    Polygon,
    Scene,
    symbol_text,
)
from calc.formulas.geometry import equivalent_diameter, square_cell_area, triangular_cell_area
from calc.inputs import Section

GROUND: tuple[Fill, Fill] = ("soft", "soft2")


@dataclass(frozen=True, slots=True)
class _Levels:
    """Elevations and half widths from which the cross-section is drawn, m."""

    ground: float
    base: float
    crest: float
    bottom_of_soft: float
    toe: float
    lowest: float
    left: float
    right: float
    half_crest: float


def cross_section(section: Section) -> Scene:
    """The embankment on its columns with layers, water, reinforcement and the stages of filling, to scale."""
    levels = _levels(section)
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
    alt = (
        f"Cross-section of section {section.key}: embankment {fill.height:g} m high, crest {fill.crest_width:g} m wide, "
        f"on {len(section.layers)} soft layers of together {levels.ground - levels.bottom_of_soft:g} m; columns of "
        f"{columns.diameter:g} m diameter at {columns.spacing:g} m to elevation {levels.toe:g} m."
    )
    note = "Columns are drawn at their spacing; their rows are set out on the drawings. Dashed: stages of filling."
    return Scene("cross_section", f"Cross-section, {section.chainage}", alt, items, height_mm=110.0, note=note)


def _levels(section: Section) -> _Levels:
    fill, ground = section.embankment, section.ground_level
    base = ground + (section.platform.thickness if section.platform else 0.0)
    bottom = ground - sum(layer.thickness for layer in section.layers)
    toe = bottom - section.columns.embedment
    half = fill.crest_width / 2
    return _Levels(
        ground=ground,
        base=base,
        crest=base + fill.height,
        bottom_of_soft=bottom,
        toe=toe,
        lowest=toe - max(1.5, 0.12 * (ground - toe)),
        left=-half - fill.slope_left * fill.height,
        right=half + fill.slope_right * fill.height,
        half_crest=half,
    )


def _box(left: float, right: float, top: float, bottom: float) -> tuple[Point, ...]:
    return (left, top), (right, top), (right, bottom), (left, bottom)


def _edges(levels: _Levels) -> tuple[float, float]:
    """The drawn stretch of ground."""
    margin = 0.08 * (levels.right - levels.left) + 1.0
    return levels.left - margin, levels.right + margin


def _ground(section: Section, levels: _Levels) -> Iterator[Item]:
    left, right = _edges(levels)
    top = levels.ground
    for index, layer in enumerate(section.layers):
        yield Polygon(_box(left, right, top, top - layer.thickness), GROUND[index % 2])
        top -= layer.thickness
    yield Polygon(_box(left, right, top, levels.lowest), "firm")
    yield Line(((left, levels.ground), (right, levels.ground)), "outline")


def _columns(section: Section, levels: _Levels) -> Iterator[Item]:
    """Columns under the whole base, symmetrical about the axis."""
    radius, spacing = section.columns.diameter / 2, section.columns.spacing
    head = levels.ground + section.columns.upstand
    each_side = [int((abs(edge) - radius) / spacing) for edge in (levels.left, levels.right)]
    for place in range(-each_side[0], each_side[1] + 1):
        x = place * spacing
        yield Polygon(_box(x - radius, x + radius, head, levels.toe), "column")


def _fill(section: Section, levels: _Levels) -> Iterator[Item]:
    if section.platform:
        yield Polygon(_box(levels.left - 1.0, levels.right + 1.0, levels.base, levels.ground), "platform")
    half = levels.half_crest
    corners = ((levels.left, levels.base), (-half, levels.crest), (half, levels.crest), (levels.right, levels.base))
    yield Polygon(corners, "fill")
    yield Line(corners, "outline")
    for stage in section.stages:
        if 0.0 < stage.fill_height < section.embankment.height:
            yield Line(_across(section, levels, levels.base + stage.fill_height), "dashed")


def _across(section: Section, levels: _Levels, level: float) -> tuple[Point, Point]:
    """The width of the embankment at a level."""
    rise = max(0.0, level - levels.base)
    fill = section.embankment
    return (levels.left + fill.slope_left * rise, level), (levels.right - fill.slope_right * rise, level)


def _lines(section: Section, levels: _Levels) -> Iterator[Item]:
    for layer in section.reinforcement:
        yield Line(_across(section, levels, layer.level), "reinforcement")
    left, right = _edges(levels)
    for water in section.water:
        yield Line(((left, water.level), (right, water.level)), "water")
    yield Line(((0.0, levels.crest + 0.6), (0.0, levels.lowest)), "axis")


def _dimensions(section: Section, levels: _Levels) -> Iterator[Item]:
    fill, columns = section.embankment, section.columns
    half = levels.half_crest
    yield Dimension(
        -half, levels.crest, half, levels.crest, f"{fill.crest_width:.2f} m", 9.0 if section.traffic else 4.0
    )
    yield Dimension(levels.right, levels.base, levels.right, levels.crest, f"{fill.height:.2f} m", 0.0)
    length = levels.ground + columns.upstand - levels.toe
    edge = levels.right + 0.5 + columns.diameter
    yield Dimension(edge, levels.toe, edge, levels.ground + columns.upstand, f"{length:.2f} m", 0.0)
    x = columns.spacing
    text = Markup("{} = {} m, {} = {} m").format(
        symbol_text("a_x"), f"{columns.spacing:.2f}", symbol_text("d_c"), f"{columns.diameter:.2f}"
    )
    yield Dimension(x, levels.lowest, 2 * x, levels.lowest, text, -3.0)
    for side, slope in ((-1.0, fill.slope_left), (1.0, fill.slope_right)):
        x = side * (half + slope * fill.height / 2)
        yield Label(x + side * 0.06 * (levels.right - levels.left), levels.base + 0.62 * fill.height, f"1:{slope:g}")
    if section.traffic:
        low, high = levels.crest + 0.05, levels.crest + 0.14 * fill.height + 0.3
        for place in (-0.6, -0.3, 0.0, 0.3, 0.6):
            text = f"q = {section.traffic.q:g} kN/m²" if place == 0.0 else ""
            yield Arrow(place * half, high, place * half, low, text)


def _names(section: Section, levels: _Levels) -> Callouts:
    entries = [((levels.base + levels.crest) / 2, "embankment fill")]
    if section.platform:
        entries.append(((levels.base + levels.ground) / 2, "working platform"))
    top = levels.ground
    for layer in section.layers:
        entries.append((top - layer.thickness / 2, layer.name))
        top -= layer.thickness
    entries.append(((top + levels.lowest) / 2, section.bearing_layer.name))
    return Callouts("left", tuple(entries))


def _elevations(section: Section, levels: _Levels) -> Callouts:
    entries = [(levels.crest, f"crest {levels.crest:.2f}"), (levels.ground, f"ground {levels.ground:.2f}")]
    entries += [(water.level, f"{water.name} water {water.level:.2f}") for water in section.water]
    entries += [(layer.level, f"{layer.name} {layer.level:.2f}") for layer in section.reinforcement]
    entries += [
        (levels.bottom_of_soft, f"bearing layer {levels.bottom_of_soft:.2f}"),
        (levels.toe, f"toe {levels.toe:.2f}"),
    ]
    return Callouts("right", tuple((level, text.replace("-", "−")) for level, text in entries))


def unit_cell_sketch(section: Section) -> Scene:
    """The unit cell in plan, to scale, and in elevation with what acts on it; the elevation is shortened."""
    columns = section.columns
    area = {"triangular": triangular_cell_area, "square": square_cell_area}[columns.pattern](columns.spacing)
    diameter = float(equivalent_diameter(area))
    alt = (
        f"Unit cell of a {columns.pattern} grid: columns of {columns.diameter:g} m diameter at {columns.spacing:g} m, "
        f"equivalent circle of {diameter:.3f} m; in elevation the load shared between soil and column, the widening of the "
        "column and the ring tension of its sleeve."
    )
    items = (*_plan(section, diameter), *_elevation(section, diameter))
    note = "Plan to scale; the elevation is shortened in height and shows symbols, not values."
    return Scene("unit_cell", "Unit cell in plan and elevation", alt, items, height_mm=72.0, note=note)


def _neighbours(section: Section) -> tuple[Point, ...]:
    a, square = section.columns.spacing, section.columns.pattern == "square"
    if square:
        return tuple((x * a, y * a) for x in (-1, 0, 1) for y in (-1, 0, 1) if (x, y) != (0, 0))
    return tuple((a * cos(k * pi / 3), a * sin(k * pi / 3)) for k in range(6))


def _plan(section: Section, equivalent: float) -> Iterator[Item]:
    a, radius = section.columns.spacing, section.columns.diameter / 2
    corners = 4 if section.columns.pattern == "square" else 6
    reach = a / 2 / cos(pi / corners)
    first = pi / 4 if corners == 4 else pi / 6  # noqa: PLR2004 - corners of a square
    cell = tuple(
        (reach * cos(first + 2 * k * pi / corners), reach * sin(first + 2 * k * pi / corners)) for k in range(corners)
    )
    yield Polygon(cell, "soft")
    yield Line((*cell, cell[0]), "outline")
    yield Circle(0.0, 0.0, equivalent / 2, style="dashed")
    for x, y in ((0.0, 0.0), *_neighbours(section)):
        yield Circle(x, y, radius, "column", "sleeve")
    yield Dimension(0.0, 0.0, a, 0.0, symbol_text("a_x"), 0.0)
    low = -a - radius if corners == 4 else -a * cos(pi / 6) - radius  # noqa: PLR2004 - the same
    x = 0.0 if corners == 4 else a / 2  # noqa: PLR2004 - the same
    yield Dimension(x - radius, low + radius, x + radius, low + radius, symbol_text("d_c"), -4.0 - 4.0 * radius)
    x, y = -0.71 * equivalent / 2, 0.71 * equivalent / 2
    yield Line(((x, y), (-0.95 * a, 0.62 * a), (-1.02 * a, 0.62 * a)), "thin")
    yield Label(-1.06 * a, 0.62 * a, Markup("circle {} of equal area").format(symbol_text("d_e")), "end")


def _elevation(section: Section, equivalent: float) -> Iterator[Item]:
    a, radius = section.columns.spacing, section.columns.diameter / 2
    middle = 3.1 * a
    top, bottom = 0.85 * a, -0.95 * a
    half = equivalent / 2
    yield Polygon(_box(middle - half, middle + half, top, bottom), "soft")
    yield Polygon(_box(middle - half, middle + half, bottom, bottom - 0.3 * a), "firm")
    yield Polygon(_box(middle - radius, middle + radius, top, bottom - 0.12 * a), "column")
    wide = 1.45 * radius
    for side in (-1.0, 1.0):
        yield Line(((middle + side * radius, top), (middle + side * radius, bottom - 0.12 * a)), "sleeve")
        bulge = [(0.0, 0.0), (0.12, 0.8), (0.3, 1.0), (0.6, 0.75), (0.85, 0.4), (1.0, 0.0)]
        yield Line(
            tuple(
                (middle + side * (radius + (wide - radius) * share), top + (bottom - top) * depth)
                for depth, share in bulge
            ),
            "dashed",
        )
    yield Line(((middle, top + 0.42 * a), (middle, bottom - 0.3 * a)), "axis")
    head = top + 0.36 * a
    for x in (middle - radius / 2, middle + radius / 2):
        yield Arrow(x, head, x, top)
    for side in (-1.0, 1.0):
        for share in (0.4, 0.8):
            x = middle + side * (radius + share * (half - radius))
            yield Arrow(x, top + 0.16 * a, x, top)
    yield Label(middle - half - 0.06 * a, top + 0.12 * a, symbol_text("Dsigma_vs"), "end")
    yield Label(middle + radius + 0.06 * a, head, symbol_text("Dsigma_vc"), "start")
    level = top + 0.45 * (bottom - top)
    yield Label(
        middle + half + 0.08 * a, level + 0.16 * a, Markup("{} of the sleeve").format(symbol_text("F_R")), "start"
    )
    yield Line(((middle + half + 0.05 * a, level + 0.16 * a), (middle + radius, level + 0.16 * a)), "thin")
    yield Label(middle + half + 0.08 * a, level - 0.2 * a, Markup("widening {}").format(symbol_text("Dr_c")), "start")
    yield Line(((middle + half + 0.05 * a, level - 0.2 * a), (middle + 1.3 * radius, level - 0.2 * a)), "thin")
    yield Dimension(middle - half, bottom - 0.3 * a, middle + half, bottom - 0.3 * a, symbol_text("d_e"), -4.0)
    yield Label(middle - half - 0.06 * a, bottom - 0.15 * a, "bearing layer", "end", "small")
