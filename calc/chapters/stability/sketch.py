"""A slice of the column field as soil and column side by side."""

from collections.abc import Iterator

from calc.engine.figure import Arrow, Dimension, Item, Label, Line, Polygon, Scene, symbol_text
from calc.engine.words import words_of

say = words_of(__name__)


def split_sketch() -> Scene:
    """The strict split: each part with its own stress and strength on one slip surface; a diagram."""
    alt = say("split-sketch-alt")
    note = say("split-sketch-note")
    return Scene("split", say("scene-split-text"), alt, tuple(_items()), height_mm=52.0, equal=False, note=note)


def _items() -> Iterator[Item]:
    yield Polygon(((0.0, 0.0), (0.0, 3.0), (3.0, 3.0), (3.0, 0.9)), "soft")
    yield Polygon(((3.0, 0.9), (3.0, 3.0), (4.2, 3.0), (4.2, 1.26)), "column")
    yield Line(((-0.8, -0.24), (5.0, 1.5)), "outline")
    for x in (0.6, 1.5, 2.4):
        yield Arrow(x, 3.45, x, 3.05)
    for x in (3.3, 3.9):
        yield Arrow(x, 3.95, x, 3.05)
    yield Label(-0.15, 3.25, symbol_text("sigma_vs"), "end")
    yield Label(4.35, 3.5, symbol_text("sigma_vc"), "start")
    yield Arrow(2.1, 0.38, 0.9, 0.02, symbol_text("tau_s"))
    yield Arrow(4.35, 1.05, 3.3, 0.74, symbol_text("tau_c"))
    yield Dimension(0.0, -0.5, 3.0, -0.5, "1 − " + symbol_text("a_E"), -2.0)
    yield Dimension(3.0, -0.5, 4.2, -0.5, symbol_text("a_E"), -2.0)
    yield Label(1.5, 1.8, "soil", "middle", "small")
    yield Label(3.6, 2.3, "column", "middle", "small")
    yield Label(4.9, 1.85, "slip surface", "end", "small")
