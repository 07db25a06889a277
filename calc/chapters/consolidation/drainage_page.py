"""Tables on how fast the water leaves: forms of load transfer side by side, coefficient of vertical flow."""

from calc.chapters.consolidation.drainage import FORMS
from calc.chapters.shared.layer_tables import NO_BREAK
from calc.engine.sheet import Sheet, Table, TableColumn, value_text
from calc.engine.words import words_of

say = words_of(__name__)


def rate_table(sheet: Sheet) -> Table:
    """All rates side by side."""
    forms = [sheet.scopes[key] for key, _ in FORMS]
    words = (say("yield"), say("elastic"), say("no-radial-expansion"))
    governing = forms[0]
    head = [TableColumn(words=say("sublayer")), TableColumn(symbol="F_dr"), TableColumn(symbol="c_hs")]
    for word in words:
        head += [TableColumn(symbol="f_tr", words=word), TableColumn(symbol="t_h90", words=word)]
    head.append(TableColumn(symbol="t_hm90"))
    rows = []
    for label in sheet.axes["layer"]:
        case = {"layer": label}
        row = [label, value_text(sheet.scopes["drainage"]["F_dr"], case), value_text(governing["c_hs"], case)]
        for scope in forms:
            row += [value_text(scope["f_tr"], case), value_text(scope["t_h90"], case)]
        rows.append([*row, value_text(governing["t_hm90"], case)])
    return Table("rates", say("table-rates-title"), head, rows, say("rates-note", no_break=NO_BREAK))


def coefficient_table(sheet: Sheet) -> Table:
    """The coefficient of vertical flow as given beside the one that permeability and stiffness give."""
    scope = sheet.scopes["plausible"]
    names = ("k_vs", "E_oed", "c_vk", "c_vs", "r_cv")
    head = [TableColumn(words=say("sublayer")), *(TableColumn(symbol=name) for name in names)]
    rows = [[label, *(value_text(scope[name], {"layer": label}) for name in names)] for label in sheet.axes["layer"]]
    return Table("plausible-c_v", say("coefficient-title"), head, rows, say("coefficient-note"))
