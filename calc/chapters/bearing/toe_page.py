"""The toe of a column in the bearing layer with the pressures on both."""

from collections.abc import Iterator

from calc.chapters.shared.geometry import at_toes
from calc.engine.figure import Arrow, Dimension, Item, Label, Line, Polygon, Scene, box, symbol_text
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)


def toe_sketch(section: Section) -> Scene:
    """Two columns and their toes; widths to scale, the soft ground shortened."""
    columns, floating = section.columns, section.columns.floating is not None
    title, alt = say("scene-floating-text"), say("floating-sketch-alt", diameter=columns.diameter)
    if not floating:
        title = say("scene-toe-text")
        alt = say("toe-sketch-alt", diameter=columns.diameter, embedment=columns.embedment)
    items = tuple(
        _items(columns.spacing, columns.diameter / 2, 0.0 if floating else max(columns.embedment, 0.15), section)
    )
    return Scene("toe", title, alt, items, height_mm=40.0, note=say("toe-sketch-note"))


def _items(spacing: float, radius: float, embedment: float, section: Section) -> Iterator[Item]:
    floating = section.columns.floating is not None
    left, right = -1.1 * spacing, 2.1 * spacing
    top, low = 0.55 * spacing, -embedment - 0.45 * spacing
    yield Polygon(box(left, right, top, 0.0), "soft")
    yield Polygon(box(left, right, 0.0, low), at_toes(section))
    for x in (0.0, spacing):
        yield Polygon(box(x - radius, x + radius, top, -embedment), "column")
        for side in (-1.0, 1.0):
            yield Line(((x + side * radius, top), (x + side * radius, -embedment)), "sleeve")
    for share in (-0.5, 0.5):
        yield Arrow(share * radius, -embedment + 0.42 * spacing, share * radius, -embedment + 0.02)
    yield Label(-1.5 * radius, -embedment + 0.46 * spacing, symbol_text("sigma_t"), "end")
    for share in (0.35, 0.5, 0.65):
        x = share * spacing
        yield Arrow(x, -embedment + 0.22 * spacing, x, -embedment)
    yield Label(0.5 * spacing, -embedment + 0.34 * spacing, symbol_text("sigma_v0t"))
    yield Line(((left, -embedment), (right, -embedment)), "dashed")
    beside = spacing + 2.2 * radius
    for end in () if floating else (0.0, -embedment):
        yield Arrow(beside, -0.5 * embedment, beside, end)
    if not floating:
        yield Label(beside + 0.1 * spacing, -0.5 * embedment, symbol_text("t_emb"), "start", "large")
    yield Dimension(-radius, low, radius, low, symbol_text("d_c"), -3.0)
    yield Label(left + 0.05 * spacing, 0.3 * spacing, say("soft-ground"), "start", "small")
    below = say("soft-ground-below") if floating else say("bearing-layer")
    yield Label(left + 0.05 * spacing, low + 0.12 * spacing, below, "start", "small")
