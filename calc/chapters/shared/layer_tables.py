"""Tables and profiles over the sublayers, filled once the case at which a scope prints is known."""

from collections.abc import Sequence

from calc.engine.figure import Panel, Profile, Series
from calc.engine.sheet import AXIS_WORDS, Page, Table, TableColumn, Value, case_words, number_text, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

NO_BREAK = "\N{NO-BREAK SPACE}"
PanelSpec = tuple[str, str, Sequence[tuple[str, str]]]


def layer_table(page: Page, key: str, title: str, scope: str, names: Sequence[str], note: str = "") -> None:
    """A row for each sublayer at the printing case of the scope."""
    sheet, case = page.sheet, page.case(scope)
    source = sheet.scopes.get(scope, sheet)
    head = [TableColumn(words=say("sublayer")), *(TableColumn(symbol=name) for name in names)]
    labels = sheet.axes["layer"]
    rows = [[label, *(value_text(source[name], {**case, "layer": label}, name) for name in names)] for label in labels]
    shown = {axis: label for axis, label in case.items() if axis != "layer"}
    mark = labels.index(case["layer"]) if "layer" in case else None
    words = say("note-at", note=note, case=case_words(shown)).strip() if shown else note
    page.tables.append(Table(key, title, head, rows, words, mark))


def case_table(page: Page, key: str, title: str, scope: str, names: Sequence[str], over: tuple[str, str]) -> None:
    """A row for each pair of labels of two axes, everything else at the printing case of the scope."""
    sheet, case = page.sheet, page.case(scope)
    source = sheet.scopes.get(scope, sheet)
    first, second = over
    head = [*(TableColumn(words=AXIS_WORDS[axis]) for axis in over), *(TableColumn(symbol=name) for name in names)]
    rows = [
        [a, b, *(value_text(source[name], {**case, first: a, second: b}, name) for name in names)]
        for a in sheet.axes[first]
        for b in sheet.axes[second]
    ]
    shown = {axis: label for axis, label in case.items() if axis not in over}
    page.tables.append(Table(key, title, head, rows, say("at", case=case_words(shown))))


def layer_profile(
    page: Page,
    key: str,
    title: str,
    scope: str,
    section: Section,
    panels: Sequence[PanelSpec],
    depth: str = "z",
    **at: str,
) -> None:
    """Quantities against depth where they have numbers, at the printing case of the scope but for the labels ``at``."""
    case = page.case(scope) | at
    source = page.sheet.scopes.get(scope, page.sheet)
    depths = source[depth]
    made = tuple(
        Panel(name, unit, tuple(_series(label, source[quantity], depths, case) for label, quantity in curves))
        for name, unit, curves in panels
    )
    words = case_words({axis: label for axis, label in case.items() if axis != "layer"})
    page.figures.append(
        Profile(
            key, title, say("against-depth", title=title, words=words), say("profile-draw-text"), made,
            boundaries(section), say("at", case=words) if words else "",
        )
    )  # fmt: skip


def _series(label: str, value: Value, depth: Value, case: dict[str, str]) -> Series:
    factor = symbol(value.symbol).factor
    points = []
    for layer in value.labels("layer"):
        number = value.number({**case, "layer": layer})
        if number is not None:
            points.append((number * factor, float(depth.number({**case, "layer": layer}) or 0.0)))
    return Series(label, tuple(x for x, _ in points), tuple(z for _, z in points))


def boundaries(section: Section) -> tuple[tuple[float, str], ...]:
    """Depth of the top of each layer with its name, the bearing layer last."""
    lines, depth = [], 0.0
    for layer in section.soft_layers:
        lines.append((depth, layer.name))
        depth += layer.thickness
    return (*lines, (depth, section.bearing_layer.name))


def envelope_table(key: str, title: str, value: Value, rows_of: str, columns_of: str, *, note: str = "") -> Table:
    """The largest value over all other axes, one row and one column for each label of two axes."""
    quantity = symbol(value.symbol)
    head = [
        TableColumn(words=rows_of),
        *(TableColumn(words=label, unit=quantity.unit_text) for label in value.labels(columns_of)),
    ]
    rows = []
    for row in value.labels(rows_of):
        cells = [row]
        for column in value.labels(columns_of):
            part = value.at(**{rows_of: row, columns_of: column})
            best = part.array[part.valid]
            cells.append(
                number_text(float(best.max()) * quantity.factor, quantity.decimals) if best.size else value.reason
            )
        rows.append(cells)
    return Table(key, title, head, rows, note)


def envelopes_table(
    key: str, title: str, parts: Sequence[tuple[str, Value]], rows_of: str, columns_of: str, *, note: str = ""
) -> Table:
    """Several quantities side by side, each the largest value over all other axes, as :func:`envelope_table` has it."""
    tables = [envelope_table(key, title, value, rows_of, columns_of) for _, value in parts]
    head = [
        *tables[0].head[:1],
        *(
            TableColumn(words=f"{words}: {column.words}", unit=column.unit)
            for (words, _), table in zip(parts, tables, strict=True)
            for column in table.head[1:]
        ),
    ]
    rows = [
        [rows[0][0].replace(" ", NO_BREAK), *(cell for row in rows for cell in row[1:])]
        for rows in zip(*(t.rows for t in tables), strict=True)
    ]
    return Table(key, title, head, rows, note)
