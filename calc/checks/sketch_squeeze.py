"""The block of soft ground under the side slope with the forces on it, and the columns beyond the shoulder."""

from collections.abc import Iterator

from calc.figure import Arrow, Dimension, Item, Label, Line, Polygon, Scene, box, symbol_text
from calc.inputs import Section


def squeeze_sketch(section: Section) -> Scene:
    """The steeper side slope and the block below it, to scale, without the columns that would hide the forces."""
    fill = section.embankment
    run = min(fill.slope_left, fill.slope_right)
    soft = sum(layer.thickness for layer in section.layers)
    alt = (
        f"Block of soft ground under the side slope, {run * fill.height:g} m long: the pressure of the embankment "
        "pushes it outward at the shoulder; the strength at its ends, its base and, where it is held there, its top "
        "resists."
    )
    items = (*_body(fill.height, run, soft), *_forces(fill.height, run, soft))
    note = "To scale; the block may be thinner than the soft ground. Columns are left out."
    return Scene("squeeze", "Block under the side slope", alt, items, height_mm=66.0, note=note)


def _body(height: float, run: float, soft: float) -> Iterator[Item]:
    length, back = run * height, -0.8 * height
    end = length + 0.8 * height
    yield Polygon(box(back, end, 0.0, -soft), "soft")
    yield Polygon(box(back, end, -soft, -soft - 0.2 * height), "firm")
    yield Polygon(((back, 0.0), (back, height), (0.0, height), (length, 0.0)), "fill")
    yield Line(((back, height), (0.0, height), (length, 0.0), (end, 0.0)), "outline")
    yield Polygon(box(0.0, length, 0.0, -0.8 * soft), "soft2")
    corners = box(0.0, length, 0.0, -0.8 * soft)
    yield Line((*corners, corners[0]), "outline")


def _forces(height: float, run: float, soft: float) -> Iterator[Item]:
    length, depth = run * height, 0.8 * soft
    for share in (0.25, 0.5, 0.75):
        level = -share * depth
        yield Arrow(-0.5 * height, level, -0.03 * height, level, symbol_text("p_sE") if share == 0.5 else "")
        yield Arrow(length + 0.35 * height, level, length + 0.03 * height, level)
    yield Arrow(0.75 * length, -0.93 * depth, 0.35 * length, -0.93 * depth, symbol_text("c_ub"))
    yield Arrow(0.75 * length, -0.08 * depth, 0.35 * length, -0.08 * depth)
    yield Label(0.79 * length, -0.12 * depth, symbol_text("alpha_t") + " " + symbol_text("c_u0"), "start")
    yield Label(0.5 * length, -0.5 * depth, symbol_text("c_um"))
    yield Dimension(0.12 * length, -depth, 0.12 * length, 0.0, symbol_text("D_sq"), -2.0)
    yield Dimension(0.0, height, length, height, symbol_text("L_S"), 2.0)
