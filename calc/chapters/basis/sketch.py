"""The cross-section of a section, to scale and true to its inputs."""

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

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
from calc.engine.levels import above
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

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
    alt = say(
        "alt",
        section_key=section.key,
        height=fill.height,
        crest_width=fill.crest_width,
        layers=len(section.layers),
        ground=levels.ground - levels.bottom_of_soft,
        diameter=columns.diameter,
        spacing=columns.spacing,
        toe=levels.toe,
    )
    return Scene("cross_section", f"Cross-section, {section.chainage}", alt, items, height_mm=110.0, note=say("note"))


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


def _edges(levels: _Levels) -> tuple[float, float]:
    """The drawn stretch of ground."""
    margin = 0.08 * (levels.right - levels.left) + 1.0
    return levels.left - margin, levels.right + margin


def _ground(section: Section, levels: _Levels) -> Iterator[Item]:
    left, right = _edges(levels)
    top = levels.ground
    for index, layer in enumerate(section.layers):
        yield Polygon(box(left, right, top, top - layer.thickness), GROUND[index % 2])
        top -= layer.thickness
    yield Polygon(box(left, right, top, levels.lowest), "firm")
    yield Line(((left, levels.ground), (right, levels.ground)), "outline")


def _columns(section: Section, levels: _Levels) -> Iterator[Item]:
    """Columns under the whole base, symmetrical about the axis."""
    radius, spacing = section.columns.diameter / 2, section.columns.spacing
    head = levels.ground + section.columns.upstand
    each_side = [int((abs(edge) - radius) / spacing) for edge in (levels.left, levels.right)]
    for place in range(-each_side[0], each_side[1] + 1):
        x = place * spacing
        yield Polygon(box(x - radius, x + radius, head, levels.toe), "column")


def _fill(section: Section, levels: _Levels) -> Iterator[Item]:
    if section.platform:
        yield Polygon(box(levels.left - 1.0, levels.right + 1.0, levels.base, levels.ground), "platform")
    half = levels.half_crest
    corners = ((levels.left, levels.base), (-half, levels.crest), (half, levels.crest), (levels.right, levels.base))
    yield Polygon(corners, "fill")
    yield Line(corners, "outline")
    for stage in section.stages:
        if above(stage.fill_height, 0.0) and above(section.embankment.height, stage.fill_height):
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
            named = f"q = {section.traffic.q:g} kN/m²" if place == 0.0 else ""
            yield Arrow(place * half, high, place * half, low, named)


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
