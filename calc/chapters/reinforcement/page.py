"""The outer end of the reinforcement: outermost columns, straight length, part folded back."""

from collections.abc import Iterator

from calc.engine.figure import Arrow, Dimension, Item, Label, Line, Point, Polygon, Scene, box, symbol_text
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.sleeve import Anchorage

say = words_of(__name__)

DRAWN_LENGTH, DRAWN_FOLD = 1.5, 3.0  # m, where the project file gives none


def anchorage_sketch(section: Section) -> Scene:
    """The steeper slope with the outermost column where it stands, else at half the slope."""
    fill = section.embankment
    run = min(fill.slope_left, fill.slope_right)
    given = next((one.anchorage for one in section.reinforcement if one.anchorage is not None), None)
    height = _height(section)
    toe = run * height
    alt = say("anchorage-sketch-alt", run=run)
    column = _outermost(section, toe)
    items = (
        *_body(section, run, column, height),
        *_sheet(given, column, height),
        *_forces(given, column, run, height),
    )
    note = say("anchorage-sketch-note")
    return Scene("anchorage", say("scene-anchorage-text"), alt, items, height_mm=80.0, note=note)


def _height(section: Section) -> float:
    """Height of fill over the lowest layer, as the anchorage counts it."""
    platform = section.platform.thickness if section.platform is not None else 0.0
    top = section.ground_level + platform + section.embankment.height
    return top - min(layer.level for layer in section.reinforcement)


def _outermost(section: Section, toe: float) -> float:
    field = section.column_field
    given = (field.beyond_left or field.beyond_right) if field is not None else None
    return min(given, toe) if given is not None else toe / 2


def _lengths(given: Anchorage | None) -> tuple[float, float]:
    if given is None:
        return DRAWN_LENGTH, DRAWN_FOLD
    return given.length, given.fold_back or 0.0


def _body(section: Section, run: float, column: float, height: float) -> Iterator[Item]:
    half = section.columns.diameter / 2
    toe, back, deep = run * height, -0.6 * height, -0.45 * height
    yield Polygon(box(back, toe + 0.35 * height, 0.0, deep), "soft")
    for k in range(1 + int((column - half - back) / section.columns.spacing)):
        x = column - k * section.columns.spacing
        yield Polygon(box(x - half, x + half, 0.0, deep), "column")
    yield Polygon(((back, 0.0), (back, height), (0.0, height), (toe, 0.0)), "fill")
    yield Line(((back, height), (0.0, height), (toe, 0.0)), "outline")


def _sheet(given: Anchorage | None, column: float, height: float) -> Iterator[Item]:
    length, fold = _lengths(given)
    level, end = 0.03 * height, column + length
    points: tuple[Point, ...] = ((-0.6 * height, level), (end, level))
    if fold:
        lift = 0.06 * height
        points = (*points, (end, level + lift), (end - fold, level + lift))
        yield Dimension(end - fold, level + lift, end, level + lift, symbol_text("L_ug"), 2.0)
    yield Line(points, "reinforcement")
    yield Dimension(column, -0.45 * height, end, -0.45 * height, symbol_text("L_b"), -3.0)


def _forces(given: Anchorage | None, column: float, run: float, height: float) -> Iterator[Item]:
    length, _ = _lengths(given)
    toe, level = run * height, 0.03 * height
    yield Dimension(0.0, height, column, height, symbol_text("b_g"), 4.0)
    yield Line(((column, height), (column, 0.0)), "dashed")
    yield Dimension(column, level, column, height * (1 - column / toe), symbol_text("h_1"), 0.0)
    yield Arrow(column - 0.05 * height, -0.12 * height, column - 0.45 * height, -0.12 * height)
    yield Label(column - 0.52 * height, -0.12 * height, symbol_text("T_anc"), "end")
    yield Arrow(column + 0.1 * length, -0.12 * height, column + 0.9 * length, -0.12 * height)
    yield Label(column + length + 0.06 * height, -0.12 * height, symbol_text("R_b"), "start")
