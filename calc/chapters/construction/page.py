"""Construction: quantities, tolerances, hold points and tests as tables, and the head of a column."""

from collections.abc import Iterator, Mapping, Sequence

from calc.chapters.construction.quantities import grid_labels
from calc.engine.figure import Callouts, Dimension, Item, Line, Polygon, Scene, box, symbol_text
from calc.engine.sheet import Page, Scope, Sheet, Table, TableColumn, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.construction import Construction

say = words_of(__name__)

WITHOUT = 0.3  # m, shown where no reinforcement or first lift is given
COUNTED = ("N_row", "N_col", "l_col", "l_sl", "A_sl", "V_c", "V_del", "V_pl", "V_exc", "V_Bl", "V_Br", "V_E")
OF_GRID = ("a_x", "N_row", "N_col", "l_col")
OF_LAYER = ("z_rl", "b_rf", "A_rf", "A_rd")


def page(of: Page, _design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Tables and notes of what is given, and the sketch."""
    construction = section.construction or Construction()
    of.figures.append(head_sketch(section))
    of.tables.extend(_quantities(of.sheet, section))
    of.tables.extend(_rules(construction))
    of.notes.extend(_notes(section, construction))


def _quantities(sheet: Sheet, section: Section) -> Iterator[Table]:
    if "quantities" in sheet.scopes:
        scope = sheet.scopes["quantities"]
        shown = [name for name in COUNTED if name in scope]
        rows = [[symbol(name).meaning, value_text(scope[name], {}, name), symbol(name).unit_text] for name in shown]
        yield _table("quantities", scope.title, (say("what"), say("quantity"), say("unit")), rows)
    grids = {label: sheet.scopes[name] for name, label in grid_labels(section).items() if name in sheet.scopes}
    if grids:
        yield _grids(grids)
    if "zones" in sheet.scopes:
        zones = sheet.scopes["zones"]["V_z"]
        rows = [
            [label, value_text(zones, {"zone": label}, "V_z"), symbol("V_z").unit_text]
            for label in zones.labels("zone")
        ]
        yield _table("zone-quantity", sheet.scopes["zones"].title, (say("zone"), say("quantity"), say("unit")), rows)
    if "reinforcement" in sheet.scopes:
        yield _layers(sheet.scopes["reinforcement"])


def _grids(scopes: Mapping[str, Scope]) -> Table:
    """Rows, columns and metres of every grid."""
    head = [TableColumn(words=say("grid")), *(TableColumn(symbol=name) for name in OF_GRID)]
    rows = [[label, *(value_text(scope[name], {}, name) for name in OF_GRID)] for label, scope in scopes.items()]
    return Table("column-grids", say("grids-title"), head, rows, say("grids-note"))


def _layers(scope: Scope) -> Table:
    shown = [name for name in OF_LAYER if name in scope]
    head = [TableColumn(words=say("layer")), *(TableColumn(symbol=name) for name in shown)]
    rows = [
        [label, *(value_text(scope[name], {"mat": label}, name) for name in shown)] for label in scope.sheet.axes["mat"]
    ]
    return Table("reinforcement-quantity", scope.title, head, rows)


def _rules(construction: Construction) -> Iterator[Table]:
    """What the site must keep to, as the project gives it."""
    if construction.tolerances:
        limits = [[tolerance.item, tolerance.value, tolerance.source] for tolerance in construction.tolerances]
        yield _table(
            "tolerances", say("tolerances-title"), (say("tolerances-head"), say("tolerance"), say("source")), limits
        )
    if construction.hold_points:
        points = [[point.name, point.before, point.proof, point.release] for point in construction.hold_points]
        of_point = (say("hold-point"), say("hold-points-head"), say("to-be-shown"), say("released-by"))
        yield _table("hold-points", say("hold-points"), of_point, points)
    if construction.tests:
        tests = [[test.kind, test.what, test.frequency, test.accept, test.source] for test in construction.tests]
        of_test = (say("kind"), say("test"), say("frequency"), say("acceptance-criterion"), say("source"))
        yield _table("site-tests", say("tests-on-site"), of_test, tests)


def _table(key: str, title: str, head: Sequence[str], rows: Sequence[Sequence[str]]) -> Table:
    return Table(key, title, [TableColumn(words=words) for words in head], rows)


def _notes(section: Section, construction: Construction) -> Iterator[str]:
    if construction.quantities is not None:
        yield say("quantities", source=construction.quantities.source)
    if construction.head is not None:
        yield say("head", trim=construction.head.trim, source=construction.head.source)
    lift = section.first_lift
    if lift is not None:
        yield say("first-lift", placing=lift.placing, machines=lift.machines, source=lift.source)


def head_sketch(section: Section) -> Scene:
    """Two column heads with what lies over them; widths and heights to scale where they are given."""
    columns = section.columns
    alt = say("head-sketch-alt", diameter=columns.diameter, spacing=columns.spacing)
    items = tuple(_items(section))
    return Scene("head", say("scene-head-text"), alt, items, height_mm=38.0, note=say("head-sketch-note"))


def _items(section: Section) -> Iterator[Item]:
    columns = section.columns
    radius, spacing, head = columns.diameter / 2, columns.spacing, columns.upstand
    levels = sorted(layer.level - section.ground_level for layer in section.reinforcement)
    lift = section.first_lift
    placed = (levels[0] if levels else head) + lift.thickness if lift else head + WITHOUT
    left, right = -0.8 * spacing, 1.8 * spacing
    top, low = max([placed, *levels]) + 0.25, -0.7
    yield Polygon(box(left, right, top, 0.0), "fill")
    yield Polygon(box(left, right, 0.0, low), "soft")
    for x in (0.0, spacing):
        yield Polygon(box(x - radius, x + radius, head, low), "column")
        for side in (-1.0, 1.0):
            yield Line(((x + side * radius, head), (x + side * radius, low)), "sleeve")
    yield Line(((left, placed), (right, placed)), "dashed")
    for level in levels:
        yield Line(((left, level), (right, level)), "reinforcement")
    if levels and levels[0] > head:
        yield Dimension(0.5 * spacing, head, 0.5 * spacing, levels[0], symbol_text("t_cov"), 0.0)
    yield Dimension(1.35 * spacing, head, 1.35 * spacing, placed, symbol_text("t_FL"), 0.0)
    yield Dimension(-radius, low, radius, low, symbol_text("d_c"), -3.0)
    names = [
        (level, layer.name)
        for level, layer in zip(levels, sorted(section.reinforcement, key=lambda layer: layer.level), strict=True)
    ]
    yield Callouts("right", (*names, (placed, say("items")), (head - 0.05, say("trimmed-head"))))
