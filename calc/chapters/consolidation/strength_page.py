"""Tables of the strength that the soil gains, and of the strength given beside that by stress history."""

from calc.chapters.shared.frame import Frame
from calc.engine.sheet import Sheet, Table, TableColumn, number_text, value_text
from calc.engine.words import words_of

say = words_of(__name__)

GIVEN = 4  # columns of the sublayer before those of its gains


def gain_table(sheet: Sheet, shared: Frame) -> Table:
    """Gain of every sublayer by the start of every stage, the least over positions and scenarios."""
    scope = sheet.scopes["strength"]
    stages = shared.stages[2:] or shared.stages[1:]
    head = [TableColumn(words=say("sublayer")), TableColumn(symbol="sigma_v0s"), TableColumn(symbol="sigma_pc"),
            TableColumn(symbol="S_nc")]  # fmt: skip
    head += [TableColumn(words=say("start-of-stage", stage=stage), unit="kN/m²") for stage in stages]
    least = scope["Dc_uz"].array.min(axis=(1, 2))
    first = shared.stages[0]
    rows = []
    for k, label in enumerate(sheet.axes["layer"]):
        case = {"layer": label, "stage": first}
        cells = [value_text(scope[name], case) for name in ("sigma_v0s", "sigma_pc", "S_nc")]
        rows.append([label, *cells, *(number_text(float(least[shared.stages.index(stage), k]), 2) for stage in stages)])
    rows.append(["least", "", "", "", *(value_text(scope["Dc_uc"], {"stage": stage}) for stage in stages)])
    return Table("gains", say("gain-title"), head, rows, say("gain-note"))


def is_nil(gains: Table) -> bool:
    """Whether no sublayer gains strength in any stage, to the decimals of the table."""
    return all(cell in {"0.00", "–"} for row in gains.rows for cell in row[GIVEN:])


def check_table(sheet: Sheet) -> Table:
    """Strength given, at the preconsolidation pressure, and by stress history where its exponent is given."""
    scope = sheet.scopes["strength_check"]
    names = ["c_u", "c_up", *(["c_uh"] if "c_uh" in scope else [])]
    head = [TableColumn(words=say("sublayer")), *(TableColumn(symbol=name) for name in names)]
    rows = [[layer, *(value_text(scope[name], {"layer": layer}) for name in names)] for layer in sheet.axes["layer"]]
    above = (scope["c_u"].array > scope["c_up"].array) & (scope["S_nc"].array > 0)
    note = say("check-note") if "c_uh" in names else ""
    if above.any():
        note = f"{note} {say('check-note-above')}".strip()
    return Table("strength-check", say("check-title"), head, rows, note.strip())
