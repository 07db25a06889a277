"""The head of a column under reinforcement and first lift."""

from collections.abc import Iterator

from calc.engine.figure import Callouts, Dimension, Item, Line, Polygon, Scene, box, symbol_text
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.sleeve import ReinforcementLayer

say = words_of(__name__)

WITHOUT = 0.3  # m, shown where no reinforcement or first lift is given


def head_sketch(section: Section) -> Scene:
    """Two column heads with what lies over them; widths and heights to scale where they are given."""
    columns = section.columns
    alt = say("head-sketch-alt", diameter=columns.diameter, spacing=columns.spacing)
    items = tuple(_items(section))
    note = say("head-sketch-note")
    return Scene("head", say("scene-head-text"), alt, items, height_mm=58.0, note=note)


def _items(section: Section) -> Iterator[Item]:
    columns, given = section.columns, section.construction
    radius, spacing, head = columns.diameter / 2, columns.spacing, columns.upstand
    lift = given.first_lift.thickness if given and given.first_lift else WITHOUT
    levels = sorted(layer.level - section.ground_level for layer in section.reinforcement)
    left, right = -0.8 * spacing, 1.8 * spacing
    top, low = max([head + lift, *levels]) + 0.25, -0.7
    yield Polygon(box(left, right, top, 0.0), "fill")
    yield Polygon(box(left, right, 0.0, low), "soft")
    for x in (0.0, spacing):
        yield Polygon(box(x - radius, x + radius, head, low), "column")
        for side in (-1.0, 1.0):
            yield Line(((x + side * radius, head), (x + side * radius, low)), "sleeve")
    yield Line(((left, head + lift), (right, head + lift)), "dashed")
    for level in levels:
        yield Line(((left, level), (right, level)), "reinforcement")
    if levels and levels[0] > head:
        yield Dimension(0.5 * spacing, head, 0.5 * spacing, levels[0], symbol_text("t_cov"), 0.0)
    yield Dimension(1.35 * spacing, head, 1.35 * spacing, head + lift, symbol_text("t_FL"), 0.0)
    yield Dimension(-radius, low, radius, low, symbol_text("d_c"), -3.0)
    names = [(level, layer.name) for level, layer in zip(levels, _by_level(section), strict=True)]
    yield Callouts("right", (*names, (head + lift, say("items")), (head - 0.05, "trimmed head")))


def _by_level(section: Section) -> list[ReinforcementLayer]:
    return sorted(section.reinforcement, key=lambda layer: layer.level)
