"""Filters: gradings of the soils, where the data come from, the sleeve with the ways of the water, the plug."""

from collections.abc import Iterator

from calc.chapters.filters.column_drains import LAYERS
from calc.chapters.filters.soils import GRAINS, FilterData, filter_data
from calc.engine.figure import Arrow, Callouts, Dimension, Item, Label, Line, Polygon, Scene, box, symbol_text
from calc.engine.sheet import Page, Sheet, Table, TableColumn, number_text
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.filters import Filters

say = words_of(__name__)


def page(of: Page, _design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Gradings, sources and sketches of what is given."""
    of.set_aside(LAYERS)
    if section.zone is not None:
        return
    of.figures.append(filter_sketch(section))
    filters = section.filters or Filters()
    data = filter_data(section, filters)
    if data is not None:
        of.tables.append(_gradings(of.sheet, data))
        of.notes.extend(_notes(section, filters, data))
    plug = section.plug
    if plug is not None and plug.needed:
        of.notes.append(say("plug", reason=plug.reason, source=plug.source))
        of.figures.append(plug_sketch(section, plug.length or 0.0))


def _notes(section: Section, filters: Filters, data: FilterData) -> Iterator[str]:
    if data.criteria.flow == "steady":
        yield say("clogging")
    yield say("sources", sleeve=data.geotextile.source, rules=data.criteria.source)
    idle = [soil.layer for soil in filters.soils if soil.layer not in {layer.key for layer in section.soft_layers}]
    if idle:
        yield say("idle", layers=", ".join(idle))


def _gradings(sheet: Sheet, data: FilterData) -> Table:
    head = [
        TableColumn(words=say("base-soil")),
        *(TableColumn(symbol=name) for name in (*GRAINS, "C_U", "p_75")),
        TableColumn(words=say("grading-from")),
        TableColumn(words=say("gradings-head")),
    ]
    rows = [
        [
            soil.name,
            *(number_text(getattr(soil.grading, grain) * 1e3, 0, exact=True) for grain in GRAINS),
            number_text(float(sheet["C_U"].array[k]), 1),
            number_text(soil.grading.fines * 100, 0),
            soil.grading.source,
            soil.grading.filtration_test or (say("gradings-test") if soil.grading.gradient_ratio else say("rules")),
        ]
        for k, soil in enumerate(data.soils)
    ]
    return Table("gradings", say("gradings-title"), head, rows)


def filter_sketch(section: Section) -> Scene:
    """Half of a column with its sleeve and the soil beside it; not to scale."""
    alt = say("filter-sketch-alt")
    reversing = bool(section.filters and section.filters.criteria and section.filters.criteria.flow == "reversing")
    items = tuple(_filter_items(reversing=reversing))
    words = say("in-both-directions") if reversing else say("filter-sketch-words")
    note = say("filter-sketch-note", words=words)
    return Scene("filter", say("scene-filter-text"), alt, items, 74.0, 32.0, equal=False, note=note)


def _filter_items(*, reversing: bool) -> Iterator[Item]:
    yield Polygon(box(0.0, 2.0, 1.0, 0.0), "soft")
    yield Polygon(box(2.0, 4.0, 1.0, 0.0), "column")
    yield Line(((2.0, 1.0), (2.0, 0.0)), "sleeve")
    for height in (0.25, 0.45):
        yield Arrow(1.3, height, 1.9, height)
    if reversing:
        yield Arrow(2.7, 0.65, 2.1, 0.65)
    yield Arrow(3.0, 0.15, 3.0, 0.85)
    yield Label(1.0, 0.83, say("filter-items"), "middle", "small")
    yield Label(2.5, 0.83, say("fill"), "middle", "small")
    yield Label(2.0, 1.06, symbol_text("O_95"))
    yield Label(0.95, 0.35, symbol_text("k_so"), "end")
    yield Label(3.15, 0.5, symbol_text("q_w"), "start")


def plug_sketch(section: Section, length: float) -> Scene:
    """The toe of a column with its plug, to scale in length and width."""
    columns = section.columns
    alt = say("plug-sketch-alt", diameter=columns.diameter, length=length)
    items = tuple(_plug_items(columns.diameter / 2, length, columns.embedment))
    return Scene("plug", say("scene-plug-text"), alt, items, height_mm=46.0, note=say("plug-sketch-note"))


def _plug_items(radius: float, length: float, embedment: float) -> Iterator[Item]:
    left, right, top, low = -4.0 * radius, 4.0 * radius, length + 0.6, -0.7
    firm = embedment
    yield Polygon(box(left, right, top, firm), "soft")
    yield Polygon(box(left, right, firm, low), "firm")
    yield Polygon(box(-radius, radius, top, length), "column")
    yield Polygon(box(-radius, radius, length, 0.0), "platform")
    for side in (-1.0, 1.0):
        yield Line(((side * radius, top), (side * radius, 0.0)), "sleeve")
        yield Arrow(side * 1.15 * radius, 0.7 * length, side * 1.15 * radius, 0.25 * length)
    for share in (-0.5, 0.0, 0.5):
        yield Arrow(share * radius, -0.5, share * radius, -0.03)
    yield Label(0.7 * radius, -0.42, symbol_text("p_up"), "start")
    yield Label(1.35 * radius, 0.5 * length, symbol_text("tau_pl"), "start")
    yield Dimension(-1.6 * radius, 0.0, -1.6 * radius, length, symbol_text("L_pl"), 2.0)
    yield Callouts("right", ((top - 0.3, say("plug-items")), (length / 2, say("plug-label")), (-0.4, say("aquifer"))))
