"""The side slope with what pushes it outward and what holds it."""

from collections.abc import Iterator

from calc.figure import Arrow, Dimension, Item, Label, Line, Polygon, Scene, box, symbol_text
from calc.inputs import Section


def thrust_sketch(section: Section) -> Scene:
    """The steeper side slope, true to its inputs, with thrust, weight, friction and tension."""
    fill = section.embankment
    run = min(fill.slope_left, fill.slope_right)
    alt = (
        f"Side slope of an embankment {fill.height:g} m high: active thrust and traffic push outward at the shoulder, "
        "the weight of the slope gives friction on the reinforcement, and the tension of the reinforcement holds the "
        "slope together."
    )
    items = (*_body(section, run), *_forces(section, run))
    note = "The slope is drawn to scale; arrows show directions, not sizes."
    return Scene("thrust", "Forces on the side slope", alt, items, height_mm=62.0, note=note)


def _body(section: Section, run: float) -> Iterator[Item]:
    height, length = section.embankment.height, run * section.embankment.height
    back = -0.9 * height
    yield Polygon(box(back, length + 0.4 * height, 0.0, -0.62 * height), "soft")
    yield Polygon(((back, 0.0), (back, height), (0.0, height), (length, 0.0)), "fill")
    yield Line(((back, height), (0.0, height), (length, 0.0)), "outline")
    yield Line(((0.0, height), (0.0, 0.0)), "dashed")
    yield Line(((back, 0.0), (length, 0.0)), "reinforcement")
    yield Dimension(length, 0.0, length, height, symbol_text("H_R"), -2.0)
    yield Dimension(0.0, -0.5 * height, length, -0.5 * height, symbol_text("n_S") + " · " + symbol_text("H_R"), -2.0)


def _forces(section: Section, run: float) -> Iterator[Item]:
    height, length = section.embankment.height, run * section.embankment.height
    third = height / 3
    yield Arrow(-0.5 * height, third, -0.03 * height, third, symbol_text("E_aG"))
    yield Label(-0.28 * height, height / 2 + 0.08 * height, symbol_text("E_aQ"))
    yield Arrow(-0.5 * height, height / 2, -0.03 * height, height / 2)
    if section.traffic:
        for share in (0.8, 0.5, 0.2):
            x = -share * height
            yield Arrow(x, 1.25 * height, x, 1.02 * height, symbol_text("q") if share == 0.5 else "")
    yield Arrow(length / 3, 0.42 * height, length / 3, 0.08 * height, symbol_text("W_S"))
    yield Arrow(0.75 * length, -0.25 * height, 0.3 * length, -0.25 * height, symbol_text("R_h"))
    yield Arrow(-0.05 * height, -0.25 * height, -0.6 * height, -0.25 * height, symbol_text("T_spr"))
