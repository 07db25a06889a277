"""The page of the chapter on widening: sketch, stress and settlement by position, slopes, settlement across."""

from collections.abc import Iterator

from calc.chapters.shared.layer_tables import layer_table
from calc.chapters.widening.crest_shape import PROFILE
from calc.chapters.widening.settlement import CELL, INDICES, MODULUS, PLASTIC
from calc.chapters.widening.sketch import settlement_across, widened_section
from calc.chapters.widening.stress import METHODS
from calc.engine.sheet import Page, Sheet, Table, TableColumn, number_text, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

OF_STRESS = ("sigma_O", "sigma_O0", "sigma_Wp", "sigma_N", "Dsigma_W")
OF_CELL = ("sigma_v0s", "Dsigma_0", "Dsigma_vs", "Dsigma_vc", "E_oed", "Dr_c", "F_R", "s_i")
SHOWN_SLOPES = 4
SHOWN_DEPTH = 0.25  # of the soft layers


def page(of: Page, _design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Nothing where no old bank is given."""
    widening, sheet = section.widening, of.sheet
    if widening is None:
        return
    of.figures.append(widened_section(section, widening, sheet, done))
    of.tables.append(_stresses(sheet))
    of.tables.append(_settlements(sheet))
    of.aside.add(CELL)
    of.aside.add(PLASTIC)
    of.tables.append(_cells(sheet))
    layer_table(of, "widening-cell", say("cell"), CELL, OF_CELL)
    if "L_WB" in sheet.scopes[PROFILE]:
        of.tables.append(_slopes(sheet))
    of.figures.append(settlement_across(section, sheet))
    if widening.limits is not None:
        of.notes.append(say("limits", source=widening.limits.source))
    of.notes.append(say("source", source=widening.source))


def _stresses(sheet: Sheet) -> Table:
    """At one sublayer, both methods."""
    depths = sheet["z"].array
    wanted = SHOWN_DEPTH * (depths[-1] + sheet["h"].array[-1] / 2)
    layer = sheet.axes["layer"][int(abs(depths - wanted).argmin())]
    head = [TableColumn(words=say("position")), TableColumn(symbol="x_W"), TableColumn(words=say("method")),
            *(TableColumn(symbol=quantity) for quantity in OF_STRESS)]  # fmt: skip
    rows = []
    for place, label in enumerate(sheet.axes["position"], 1):
        for k, method in enumerate(METHODS):
            case = {"position": label, "method": method, "layer": layer}
            named = ["", ""] if k else [f"{place} {label}", value_text(sheet["x_W"], {"position": label}, "x_W")]
            rows.append([*named, method, *(value_text(sheet[quantity], case, quantity) for quantity in OF_STRESS)])
    return Table("widening-stress", say("stresses"), head, rows, say("stresses-note", layer=layer))


def _settlements(sheet: Sheet) -> Table:
    """By every law and method: all that comes, what the old bank still has, and with columns."""
    laws = [name for name in (INDICES, MODULUS) if name in sheet.scopes]
    words = {INDICES: say("law-indices"), MODULUS: say("law-modulus"), CELL: say("law-cell")}
    columns = [
        (sheet.scopes[name][quantity], f"{words[name]}, {method}", quantity, method)
        for name, quantity in [*((law, quantity) for law in laws for quantity in ("s_Wu", "s_WO")), (CELL, "s_Wc")]
        for method in METHODS
    ]
    stand = sheet.kept["columns"]
    head = [TableColumn(words=say("position")), TableColumn(symbol="x_W"),
            *(TableColumn(symbol=quantity, words=text) for _, text, quantity, _ in columns)]  # fmt: skip
    rows = [
        [f"{place} {label}", value_text(sheet["x_W"], {"position": label}, "x_W"),
         *(value_text(value, {"position": label, "method": method}, quantity)
           if quantity != "s_Wc" or label in stand else "–" for value, _, quantity, method in columns)]
        for place, label in enumerate(sheet.axes["position"], 1)
    ]  # fmt: skip
    return Table("widening-settlement", say("settlements"), head, rows, say("settlements-note"))


def _cells(sheet: Sheet) -> Table:
    """Where columns stand, under both stresses."""
    scope, names = sheet.scopes[PLASTIC], ("s_Wc", "s_EP", "delta_s")
    head = [TableColumn(words=say("position")), TableColumn(symbol="x_W"),
            *(TableColumn(symbol=name, words=method) for method in METHODS for name in names)]  # fmt: skip
    rows = [
        [f"{place} {label}", value_text(sheet["x_W"], {"position": label}, "x_W"),
         *(value_text(scope[name], {"position": label, "method": method}, name)
           for method in METHODS for name in names)]
        for place, label in enumerate(sheet.axes["position"], 1) if label in sheet.kept["columns"]
    ]  # fmt: skip
    expected = number_text(100 * float(scope["d_exp"].array), 0)
    return Table("widening-cells", say("cells"), head, rows, say("cells-note", expected=expected))


def _slopes(sheet: Sheet) -> Table:
    """The largest changes of cross-fall and of grade, each at its place."""
    head = [TableColumn(words=say("place")), TableColumn(symbol="i_Wx"), TableColumn(symbol="Di_W")]
    rows = [*_largest(sheet, "i_Wx", "transition", 0), *_largest(sheet, "Di_W", "point", 1)]
    return Table("widening-slopes", say("slopes"), head, rows, say("slopes-note"))


def _largest(sheet: Sheet, name: str, axis: str, column: int) -> Iterator[list[str]]:
    value = sheet.scopes[PROFILE][name].largest(axis)
    slopes = sorted(zip(value.array.tolist(), value.labels(axis), strict=True), reverse=True)
    for number, label in slopes[:SHOWN_SLOPES]:
        text = number_text(number * symbol(name).factor, 2)
        yield [label, *(text if k == column else "–" for k in range(2))]
