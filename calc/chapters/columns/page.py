"""The page of the chapter on the columns: places of the cross-section stage by stage."""

from collections.abc import Sequence

from calc.chapters.columns.sketch import grid_plan
from calc.chapters.columns.zone_plan import plan_of_grids
from calc.chapters.shared.column_zones import by_grid, strips_of_grid
from calc.chapters.shared.geometry import LEVELS, PLACES, profile
from calc.chapters.shared.layer_tables import envelope_table
from calc.chapters.shared.sloping_layers import ACROSS
from calc.chapters.shared.zones import ZONES
from calc.engine.sheet import Page, Sheet, Table, TableColumn, number_text, value_text
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

SHOWN = ("x_tl", "x_el", "x_er", "x_tr", "x_cl", "x_cr", "x_gl", "x_gr")
THICKNESSES = ("t_ltl", "t_lel", "t_la", "t_ler", "t_ltr")
OF_BERMS = ("x_u2l", "x_o2l", "x_k2l", "x_ul", "x_ol", "x_kl", "x_kr", "x_or", "x_ur", "x_k2r", "x_o2r", "x_u2r")
WIDEST = 12  # places beside each other
OF_A_GRID = ("a_x", "A_E", "a_E")


def page(of: Page, _design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """The places and grids as tables and in plan; the columns are drawn in cross-section and unit cell too."""
    of.aside.add(PLACES)
    if section.columns.zones:
        of.tables.append(_grids(of.sheet, section, done))
        of.figures.append(plan_of_grids(section, of.sheet))
    if section.zone is not None:  # the places are those of the section
        of.aside.add(LEVELS)
        return
    berms = [name for name in OF_BERMS if name in of.sheet.scopes[PLACES].values]
    apart = len(SHOWN) + len(berms) > WIDEST
    shown = [*SHOWN, *(() if apart else berms)]
    of.tables.append(_places(of.sheet, PLACES, say("places-title"), shown, say("places-note")))
    if apart:
        of.tables.append(_places(of.sheet, f"{PLACES}-berms", say("berms-title"), berms))
    if section.embankment.is_cored:
        of.tables.append(envelope_table(
            ZONES, say("places-of-zones-title"), of.sheet.scopes[ZONES]["p_Zv"], "place", "stage",
            note=say("places-of-zones-note"),
        ))  # fmt: skip
    if not section.columns.zones:
        of.figures.append(grid_plan(section, profile(of.sheet, of.sheet.axes["stage"][-1])))
    if section.slopes:
        _thicknesses_across(of, section)


def _places(sheet: Sheet, key: str, title: str, names: Sequence[str], note: str = "") -> Table:
    """Places across by stage."""
    scope = sheet.scopes[PLACES]
    head = [TableColumn(words=say("stage")), *(TableColumn(symbol=name) for name in names)]
    rows = [
        [label, *(value_text(scope[name], {"stage": label}, name) for name in names)]
        for label in sheet.axes["stage"][1:]
    ]
    return Table(key, title, head, rows, note)


def _thicknesses_across(of: Page, section: Section) -> None:
    """Thickness of the layers and length of the columns from the left toe to the right one."""
    of.aside.add(ACROSS)
    scope, main = of.sheet.scopes[ACROSS], of.sheet
    head = [TableColumn(words=say("layer")), *(TableColumn(symbol=name) for name in THICKNESSES)]
    values = [scope[name].array for name in THICKNESSES]
    rows = [[layer.name, *(number_text(float(value[k]), 2) for value in values)]
            for k, layer in enumerate(section.layers)]  # fmt: skip
    more = float(main["t_emb"].array) + float(main["t_up"].array)
    rows.append([say("soft-layers"), *(number_text(float(value.sum()), 2) for value in values)])
    rows.append([say("column"), *(number_text(float(value.sum()) + more, 2) for value in values)])
    note = say("across-note", mean=value_text(scope["L_cm"], {}, "L_cm"))
    of.tables.append(Table(ACROSS, say("across-title"), head, rows, note))


def _grids(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> Table:
    """The column field from left to right by its grids, with what lies between the rows at the borders."""
    sheets = by_grid(section, done, "columns")
    heads = ((say("grids-strip"), "m"), ("grid", ""), ("pattern", ""), ("rows", ""), (say("grids-rows"), "m"))
    lengths = any(section.columns.has_length(zone) for _, zone in section.columns.zones)
    of_a_grid = (*OF_A_GRID, *(("L_c",) if lengths else ()))
    head = [*(TableColumn(words=words, unit=unit) for words, unit in heads),
            *(TableColumn(symbol=name) for name in of_a_grid),
            TableColumn(words=say("grids-gap"), unit="m"), TableColumn(words=say("grids-clear"), unit="m")]  # fmt: skip
    strips, rows = strips_of_grid(section, sheet), []
    for k, strip in enumerate(strips):
        gap = None if k + 1 == len(strips) else strips[k + 1].rows[0] - strip.rows[-1]
        ends = f"{number_text(strip.left, 2)} to {number_text(strip.right, 2)}".replace("-", "−")
        rows.append([
            ends, strip.zone.key if strip.zone else section.key,
            section.columns.grid_of(strip.zone)[0], str(len(strip.rows)), number_text(strip.distance, 3),
            *(value_text(sheets[strip.zone][name], {}, name) for name in of_a_grid),
            *(["–", "–"] if gap is None else [number_text(gap, 2), number_text(gap - section.columns.diameter, 2)]),
        ])  # fmt: skip
    return Table("grids", say("grids-title"), head, rows, say("grids-note"))
