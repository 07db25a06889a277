"""The extruding wedge under the side slope with the forces on it, and the slope left beyond the columns."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from calc.chapters.shared.geometry import at_toes
from calc.chapters.shared.soft_ground import Side
from calc.engine.figure import Arrow, Dimension, Fill, Item, Label, Line, Polygon, Scene, box, symbol_text
from calc.engine.levels import above
from calc.engine.sheet import Page
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

EDGE = 96.0  # mm, the width of the sketch of the edge


@dataclass(frozen=True, slots=True)
class Block:
    """Lengths of the printed case in m: height of fill, slope, field and other ground below it, block, soft ground.

    ``inward`` is how far its inner plane stands from the crest edge, negative below the slope; ``other`` are the places
    of the other crest edge and toe where it stands below the other slope.
    """

    height: float
    slope: float
    field: float
    beyond: float
    thickness: float
    soft: float
    held: float
    inward: float = 0.0
    other: tuple[float, float] | None = None


def printed_block(of: Page, side: Side, state: str) -> Scene:
    """The wedge of a state, the name of its scopes, with the lengths of its printed case."""
    key = f"{state}{side.ending}"
    scope, case = of.sheet.scopes[key], of.case(key)
    lengths = ("H_q", "L_S", "L_f", "L_o", "D_sq", "t_soft", "L_t")
    height, slope, field, beyond, thickness, soft, held = (scope[name].number(case) or 0.0 for name in lengths)
    block = Block(height, slope, field, beyond, thickness, soft, held)
    if "L_w" in scope.values:
        names = ("L_w", "L_ws", "f_ip", "d_io", "L_So")
        run, below, share, behind, other_slope = (scope[name].number(case) or 0.0 for name in names)
        toe = slope - run - behind
        # Before a berm of the other side all of the height counts, and nothing falls there.
        other = (toe + other_slope, toe) if behind < other_slope and above(below / slope, share) else None
        block = replace(block, inward=run - slope, other=other)
    return block_sketch(key, side.words, block)


def block_sketch(key: str, words: str, block: Block) -> Scene:
    """The slope and the block below it, to scale; columns are left out, they would hide the forces."""
    alt = say("block-sketch-alt", slope=block.slope, thickness=block.thickness)
    note = say("block-sketch-note")
    items = (*_body(block), *_forces(block), *_lengths(block))
    return Scene(key, say("scene-block-sketch-text", words=words), alt, items, height_mm=62.0, note=note)


def _body(block: Block) -> Iterator[Item]:
    back, end = -0.45 * block.slope - max(block.inward, 0.0), 1.4 * block.slope
    if block.other:
        back = min(back, block.other[1] - 0.2 * block.slope)
    yield Polygon(box(back, end, 0.0, -block.soft), "soft")
    yield Polygon(box(back, end, -block.soft, -1.25 * block.soft), "firm")
    crest, toe = block.other or (back, back)
    fill = ((toe, 0.0), (crest, block.height), (0.0, block.height), (block.slope, 0.0))
    yield Polygon(fill, "fill")
    yield Line((*(((back, 0.0), *fill[:1]) if block.other else ()), *fill[1:], (end, 0.0)), "outline")
    corners = box(-block.inward, block.slope, 0.0, -block.thickness)
    yield Polygon(corners, "soft2")
    yield Line((*corners, corners[0]), "outline")
    if block.beyond > 0:
        last = block.field - block.inward
        yield Line(((last, 0.0), (last, -block.thickness)), "dashed")


def _forces(block: Block) -> Iterator[Item]:
    length, depth, inner, last = block.slope, block.thickness, -block.inward, block.field - block.inward
    for share in (0.3, 0.5, 0.7):
        text = symbol_text("p_sE") if share == 0.5 else ""
        yield Arrow(inner - 0.22 * length, -share * depth, inner - 0.02 * length, -share * depth, text)
        yield Arrow(1.22 * length, -share * depth, 1.02 * length, -share * depth)
    yield Label(inner + 0.12 * length, -0.5 * depth, symbol_text("c_umi") + ", " + symbol_text("tau_i"))
    yield Label(0.93 * length, -0.5 * depth, symbol_text("c_umx"))
    parts = [(inner, last, "c_ubf", "c_u0f")]
    if block.beyond > 0:
        parts.append((last, length, "c_ube", "c_u0e"))
    for left, right, base, top in parts:
        middle, run = (left + right) / 2, 0.5 * (right - left)
        yield Arrow(middle + run / 2, -0.94 * depth, middle - run / 2, -0.94 * depth)
        yield Label(
            middle,
            -0.84 * depth,
            symbol_text(base) + ", " + symbol_text("tau_b") if left == inner else symbol_text(base),
        )
        held = min(right, inner + block.held) - left
        if held > 0:
            yield Arrow(left + 0.75 * held, -0.06 * depth, left + 0.25 * held, -0.06 * depth)
            yield Label(left + held / 2, -0.17 * depth, symbol_text("alpha_t") + " " + symbol_text(top))


def _lengths(block: Block) -> Iterator[Item]:
    left = -0.33 * block.slope - max(block.inward, 0.0)
    yield Dimension(left, -block.thickness, left, 0.0, symbol_text("D_sq"))
    yield Dimension(0.0, block.height, block.slope, block.height, symbol_text("L_S"), 3.0)
    below = -1.1 * block.soft
    inner, last = -block.inward, block.field - block.inward
    yield Dimension(inner, below, last, below, symbol_text("L_f"))
    if block.beyond > 0:
        yield Dimension(last, below, block.slope, below, symbol_text("L_o"))


def edge_sketch(section: Section) -> Scene:
    """The slope left beyond the columns: its height at their edge and the width of the field."""
    alt = say("edge-sketch-alt")
    note = say("not-to-scale")
    return Scene(
        "edge", say("scene-edge-text"), alt, tuple(_edge(at_toes(section))), EDGE, 40.0, equal=False, note=note
    )


def _edge(toes: Fill) -> Iterator[Item]:
    end = 7.0  # m beyond the crest edge, of a slope of 10 m
    yield Polygon(box(-4.0, 13.0, 0.0, -4.0), "soft")
    yield Polygon(box(-4.0, 13.0, -4.0, -5.2), toes)
    yield Polygon(((-4.0, 0.0), (-4.0, 4.0), (0.0, 4.0), (10.0, 0.0)), "fill")
    for x in (-3.0, -1.0, 1.0, 3.0, 5.0, end):
        yield Polygon(box(x - 0.3, x + 0.3, 0.0, -4.4), "column")
    yield Line(((-4.0, 4.0), (0.0, 4.0), (10.0, 0.0), (13.0, 0.0)), "outline")
    yield Line(((0.0, 4.0), (0.0, 6.4)), "dashed")
    yield Line(((end, 0.0), (end, 6.4)), "dashed")
    yield Dimension(0.0, 6.2, end, 6.2, symbol_text("b_g"))
    yield Dimension(end, 0.0, end, 1.2, symbol_text("H_e"), -11.0)
    for x in (7.8, 8.6):
        yield Arrow(x, -0.5, x + 1.0, -1.1)
    yield Label(10.4, -1.9, symbol_text("c_u0e"))
