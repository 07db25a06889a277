"""The grids of the columns in plan, to scale, over the whole width of the field."""

from collections.abc import Iterator

import numpy as np
from markupsafe import Markup

from calc.chapters.shared.column_zones import strips_of_grid
from calc.engine.figure import Circle, Dimension, Item, Line, Scene, symbol_text
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.column_zones import GridStrip

say = words_of(__name__)

SPACINGS = 3.5  # of the wider grid that are drawn along the embankment


def plan_of_grids(section: Section, sheet: Sheet) -> Scene:
    """Every row where it stands; the columns of neighbouring rows of a triangular grid are staggered."""
    strips = strips_of_grid(section, sheet)
    widest = max(section.columns.grid_of(strip.zone)[1] for strip in strips)
    items = tuple(_items(section, strips, SPACINGS * widest))
    grids = ", ".join(_name(section, strip) for strip in strips)
    return Scene("grids", say("title"), say("alt", grids=grids), items, height_mm=50.0, note=say("note"))


def _name(section: Section, strip: GridStrip) -> str:
    return strip.zone.key if strip.zone else section.key


def _items(section: Section, strips: tuple[GridStrip, ...], length: float) -> Iterator[Item]:
    radius = section.columns.diameter / 2
    for strip in strips:
        pattern, spacing = section.columns.grid_of(strip.zone)
        for k, x in enumerate(strip.rows):
            first = spacing / 2 if pattern == "triangular" and k % 2 else 0.0
            for y in np.arange(first, length, spacing).tolist():
                yield Circle(x, y, radius, "column", "sleeve")
        text = Markup("{}: {} = {} m").format(_name(section, strip), symbol_text("a_x"), f"{spacing:g}")
        yield Dimension(strip.left, -radius, strip.right, -radius, text, -4.0)
    for x in (strip.right for strip in strips[:-1]):
        yield Line(((x, -2 * radius), (x, length)), "dashed")
    yield Line(((0.0, -2 * radius), (0.0, length + radius)), "axis")
