"""Horizontal reinforcement: tension and strength required by stage, lengths folded back, sketch of the outer end."""

from collections.abc import Iterator

from calc.chapters.reinforcement.layer_resistance import FULL_LAYER, TENSION, Member, members
from calc.chapters.shared.layer_tables import envelope_table, envelopes_table
from calc.chapters.shared.mats import DIRECTIONS
from calc.chapters.shared.soft_ground import sides
from calc.engine.figure import Arrow, Dimension, Item, Label, Line, Point, Polygon, Scene, box, symbol_text
from calc.engine.sheet import Page, Sheet, Table
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.column_zones import grid_strips
from calc.inputs.tables.sleeve import Anchorage

say = words_of(__name__)

DRAWN_LENGTH, DRAWN_FOLD = 1.5, 3.0  # m, where the project file gives none


def page(of: Page, _design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Tables of every direction with those of its layers first; the tension at full arching stands in them alone."""
    if not section.reinforcement:
        return
    of.figures.append(anchorage_sketch(section))
    for words, _ in DIRECTIONS:
        layers = members(section, words)
        for member in layers:
            of.record(*_strength(of.sheet, member))
            if words == "across":
                of.record(*_fold(of.sheet, section, member))
        if layers:
            of.record(_limits(of.sheet, words))
            of.aside.update([f"{words}_full", *(f"{words}{member.ending}{FULL_LAYER}" for member in layers)])


def _strength(sheet: Sheet, member: Member) -> Iterator[Table]:
    """Strength required of the layer in the formats given, with its utilisation where it has one."""
    scope, stages = sheet.scopes[member.scope], sheet.axes["stage"][1:]
    for required, ratio in (("R_rreq", "u_r"), ("R_rreqRF", "")):
        if required not in scope:
            continue
        parts = [(say("utilisation"), ratio), (say("strength-required"), required)][0 if ratio else 1 :]
        headings = say("and").join(heading for heading, _ in parts)
        title = f"{member.layer.name}: {headings} {member.words}"
        values = [(heading, scope[name].at(stage=stages)) for heading, name in parts]
        key, note = f"{required}-{member.scope}", say("strength-note")
        yield envelopes_table(key, title, values, "stage", "factor_set", note=note)


def _fold(sheet: Sheet, section: Section, member: Member) -> Iterator[Table]:
    """Length to be folded back on each side, for judgement."""
    for side in sides(section):
        scope = sheet.scopes.get(f"anchorage{member.ending}{side.ending}")
        if scope is not None and "L_u" in scope:
            title = say("fold-title", name=member.layer.name, side_words=side.words)
            length = scope["L_u"].at(stage=sheet.axes["stage"][1:])
            yield envelope_table(f"fold-{scope.name}", title, length, "stage", "factor_set", note=say("fold-note"))


def _limits(sheet: Sheet, words: str) -> Table:
    """The envelope: equal settlement, where only spreading pulls, and full arching without support of the ground."""
    demand, at_full, name = sheet.scopes[words], sheet.scopes[f"{words}_full"], TENSION[words]
    parts = [(say("as-used"), demand[name]), (say("full-arching-free"), at_full[name])]
    if words == "across":
        parts.insert(1, (say("lateral-sliding-only"), demand["T_ds"]))
    filled = [(limit, value.at(stage=sheet.axes["stage"][1:])) for limit, value in parts]
    title = say("limits-title", words=words)
    return envelopes_table(f"tension-{words}", title, filled, "stage", "factor_set", note=say("limits-note"))


def anchorage_sketch(section: Section) -> Scene:
    """The steeper slope with the outermost column where it stands, else at half the slope."""
    fill = section.embankment
    run = min(fill.slope_left, fill.slope_right)
    anchorage = next((mat.anchorage for mat in section.reinforcement if mat.anchorage is not None), None)
    # Height of fill over the lowest layer, as the anchorage counts it.
    platform = section.platform.thickness if section.platform is not None else 0.0
    top = section.ground_level + platform + section.embankment.height
    height = top - min(layer.level for layer in section.reinforcement)
    toe = run * height
    alt = say("anchorage-sketch-alt", run=run)
    column = _outermost(section, toe)
    length, fold = _lengths(anchorage)
    back = min(-0.6 * height, column + length - fold - 0.1 * height)  # the fill is drawn over all that is wrapped back
    items = (
        *_body(section, run, column, height, back),
        *_sheet(anchorage, column, height, back),
        *_forces(anchorage, column, run, height),
    )
    note = say("anchorage-sketch-note")
    return Scene("anchorage", say("scene-anchorage-text"), alt, items, height_mm=50.0, note=note)


def _outermost(section: Section, toe: float) -> float:
    field = section.column_field
    beyond = (field.beyond_left or field.beyond_right) if field is not None else None
    return min(beyond, toe) if beyond is not None else toe / 2


def _spacing(section: Section) -> float:
    """That of the outermost columns on the right."""
    columns, field, half = section.columns, section.column_field, section.embankment.crest_width / 2
    if not columns.zones or field is None:
        return columns.spacing
    strips = grid_strips(columns, -half - (field.beyond_left or 0.0), half + (field.beyond_right or 0.0))
    return columns.grid_of(strips[-1].zone)[1]


def _lengths(anchorage: Anchorage | None) -> tuple[float, float]:
    if anchorage is None:
        return DRAWN_LENGTH, DRAWN_FOLD
    return anchorage.length, anchorage.fold_back or 0.0


def _body(section: Section, run: float, column: float, height: float, back: float) -> Iterator[Item]:
    half = section.columns.diameter / 2
    toe, deep = run * height, -0.45 * height
    yield Polygon(box(back, toe + 0.35 * height, 0.0, deep), "soft")
    spacing = _spacing(section)
    for k in range(1 + int((column - half - back) / spacing)):
        x = column - k * spacing
        yield Polygon(box(x - half, x + half, 0.0, deep), "column")
    yield Polygon(((back, 0.0), (back, height), (0.0, height), (toe, 0.0)), "fill")
    yield Line(((back, height), (0.0, height), (toe, 0.0)), "outline")


def _sheet(anchorage: Anchorage | None, column: float, height: float, back: float) -> Iterator[Item]:
    length, fold = _lengths(anchorage)
    level, end = 0.03 * height, column + length
    points: tuple[Point, ...] = ((back, level), (end, level))
    if fold:
        lift = 0.06 * height
        points = (*points, (end, level + lift), (end - fold, level + lift))
        yield Dimension(end - fold, -0.45 * height, end, -0.45 * height, symbol_text("L_ug"), -7.5)
    yield Line(points, "reinforcement")
    yield Dimension(column, -0.45 * height, end, -0.45 * height, symbol_text("L_b"), -3.0)


def _forces(anchorage: Anchorage | None, column: float, run: float, height: float) -> Iterator[Item]:
    length, _ = _lengths(anchorage)
    toe, level = run * height, 0.03 * height
    yield Dimension(0.0, height, column, height, symbol_text("b_g"), 4.0)
    yield Line(((column, height), (column, 0.0)), "dashed")
    yield Dimension(column, level, column, height * (1 - column / toe), symbol_text("h_1"), 0.0)
    yield Arrow(column - 0.05 * height, -0.12 * height, column - 0.45 * height, -0.12 * height)
    yield Label(column - 0.52 * height, -0.12 * height, symbol_text("T_anc"), "end")
    yield Arrow(column + 0.1 * length, -0.12 * height, column + 0.9 * length, -0.12 * height)
    yield Label(column + length + 0.06 * height, -0.12 * height, symbol_text("R_b"), "start")
