"""The side slope with what pushes it outward and what holds it."""

from collections.abc import Iterator

from calc.chapters.shared.frame import frame
from calc.chapters.shared.layer_tables import envelope_table
from calc.chapters.shared.soft_ground import sides
from calc.engine.figure import Arrow, Dimension, Item, Label, Line, Polygon, Scene, box, symbol_text
from calc.engine.levels import above
from calc.engine.sheet import Page, Sheet
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

ACROSS = ("across", "both")


def page(of: Page, design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Forces on the side slope, and the spreading tension by stage and factor set."""
    of.figures.append(thrust_sketch(section))
    note = say("spreading-note") + (
        say("spreading-note-sides") if len(sides(section)) > 1 else say("spreading-note-one")
    )
    tension = of.sheet["T_spr"].at(stage=frame(design, section).loaded_stages)
    of.record(envelope_table("spreading-stages", say("spreading-title"), tension, "stage", "factor_set", note=note))


def thrust_sketch(section: Section) -> Scene:
    """The steeper side slope above the ground in the last stage, with thrust, weight, friction and tension."""
    fill = section.embankment
    run, height = min(fill.slope_left, fill.slope_right), _height(section)
    level = _level(section, height)
    where = say("above-it", level=f"{level:g}") if above(level, 0.0) else say("on-it")
    alt = say("thrust-sketch-alt", height=height, where=where)
    items = (*_body(height, run, level), *_forces(section, height, run, level))
    note = say("thrust-sketch-note")
    return Scene("thrust", say("scene-thrust-text"), alt, items, height_mm=46.0, note=note)


def _height(section: Section) -> float:
    """Height of the last stage above the ground, as the chapter counts it."""
    platform = section.platform.thickness if section.platform is not None else 0.0
    return section.stages[-1].fill_height + platform


def _level(section: Section, height: float) -> float:
    """Lowest reinforcement across above the ground; on it where there is none or where it lies below."""
    levels = [layer.level - section.ground_level for layer in section.reinforcement if layer.direction in ACROSS]
    return min(max(min(levels, default=0.0), 0.0), 0.9 * height)


def _body(height: float, run: float, level: float) -> Iterator[Item]:
    length, back = run * height, -1.1 * height
    yield Polygon(box(back, length + 0.5 * height, 0.0, -0.12 * height), "soft")
    yield Polygon(((back, 0.0), (back, height), (0.0, height), (length, 0.0)), "fill")
    yield Line(((back, height), (0.0, height), (length, 0.0)), "outline")
    yield Line(((0.0, height), (0.0, 0.0)), "dashed")
    yield Line(((back, level), (length - run * level, level)), "reinforcement")
    yield Dimension(length, 0.0, length, height, symbol_text("H_G"), -4.0)
    span = symbol_text("n_S") + " · " + symbol_text("H_G")
    yield Dimension(0.0, -0.12 * height, length, -0.12 * height, span, -14.0)


def _forces(section: Section, height: float, run: float, level: float) -> Iterator[Item]:
    length = run * height
    for place, name in ((height / 3, "E_aG"), (0.62 * height, "E_aQ")):
        yield Arrow(-0.5 * height, place, -0.03 * height, place)
        yield Label(-0.56 * height, place, symbol_text(name), "end")
    if section.traffic:
        for share in (0.9, 0.6, 0.3):
            x = -share * height
            yield Arrow(x, 1.28 * height, x, 1.03 * height, symbol_text("q") if share == 0.6 else "")
    low = max(0.1 * height, level + 0.05 * height)
    yield Arrow(length / 3, max(0.52 * height, low + 0.2 * height), length / 3, low)
    yield Label(length / 3 + 0.06 * height, 0.36 * height, symbol_text("W_S"), "start")
    low = -0.3 * height
    yield Arrow(0.6 * length, low, 0.25 * length, low)
    yield Label(0.6 * length + 0.05 * height, low, symbol_text("R_h"), "start")
    yield Arrow(-0.1 * height, low, -0.6 * height, low)
    yield Label(-0.05 * height, low, symbol_text("T_spr"), "start")
