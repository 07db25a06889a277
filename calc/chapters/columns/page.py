"""The page of the chapter on the columns: places of the cross-section stage by stage."""

from calc.chapters.columns.sketch import grid_plan
from calc.chapters.shared.geometry import PLACES, profile
from calc.engine.sheet import Page, Sheet, Table, TableColumn, value_text
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

SHOWN = ("x_tl", "x_el", "x_er", "x_tr", "x_cl", "x_cr", "x_gl", "x_gr")
OF_BERMS = ("x_ul", "x_ol", "x_kl", "x_kr", "x_or", "x_ur")


def page(of: Page, _design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """The places as a table, the grid in plan; the columns are drawn in the cross-section and in the unit cell too."""
    of.aside.add(PLACES)
    scope = of.sheet.scopes[PLACES]
    shown = [*SHOWN, *(name for name in OF_BERMS if name in scope.values)]
    head = [TableColumn(words="stage"), *(TableColumn(symbol=name) for name in shown)]
    rows = [
        [label, *(value_text(scope[name], {"stage": label}, name) for name in shown)]
        for label in of.sheet.axes["stage"][1:]
    ]
    of.tables.append(Table(PLACES, say("places-title"), head, rows, say("places-note")))
    of.figures.append(grid_plan(section, profile(of.sheet, of.sheet.axes["stage"][-1])))
