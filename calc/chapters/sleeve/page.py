"""The page of the chapter on the sleeve: utilisation by stage and sublayer, and the column just built."""

import numpy as np

from calc.chapters.shared.frame import frame
from calc.chapters.shared.tables import envelope_table, layer_table
from calc.chapters.sleeve.steps import SECOND
from calc.engine.figure import Bar, Bars
from calc.engine.sheet import Page, Scope, Sheet, case_words, number_text, stage_name, value_text
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

RESISTANCE = {"factors": "R_Bd", "iso20432": "R_TD"}  # by scope, where the project gives its factors


def page(of: Page, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Utilisation of every stage, then of every sublayer, for each format of the resistance."""
    sheet = of.sheet
    of.set_aside(SECOND)
    of.notes.append(column_just_built(done["unit_cell"], frame(design, section).stages[0]))
    asked = [(sheet.scopes[name], symbol) for name, symbol in RESISTANCE.items() if name in sheet.scopes]
    for scope, resistance in asked:
        parts = zip(scope[resistance].labels("stage"), scope[resistance].array, strict=True)
        given = ", ".join(f"{stage_name(label)} {number_text(float(one), 2)}" for label, one in parts)
        note = say("stages-note", given=given)
        of.record(
            envelope_table(f"stages-{scope.name}", say("stages-title"), scope["u_R"], "stage", "variant", note=note)
        )
    for scope, resistance in asked:
        names = ("F_G", "F_GQ", "F_Re", "F_Ra", "F_Rd", resistance, "u_R")
        layer_table(of, f"utilisation-{scope.name}", say("sublayers-title"), scope.name, names)
        of.figures.append(bars(of, scope))


def column_just_built(cell: Sheet, stage: str) -> str:
    """Ring tension of stage 0, fill weight against soil support, in words."""
    tension = cell.scopes["tension"]["F_R"].at(stage=stage)
    if not tension.valid.any() or not (tension.array[tension.valid] > 0).any():
        return say("not-stretched")
    case = tension.case_at(int(np.argmax(np.where(tension.valid, tension.array, -1.0))))
    return say("stretched", tension=value_text(tension, case, unit=True), case=case_words(case))


def bars(of: Page, scope: Scope) -> Bars:
    """Utilisation of every sublayer at the printing case, the larger of its points."""
    case = of.case(scope.name)
    used = scope["u_R"].largest(*(axis for axis in scope["u_R"].axis_names if axis != "point"))
    ratios = {label: used.number({**case, "layer": label}) or 0.0 for label in of.sheet.axes["layer"]}
    rows = tuple(Bar(label, ratio, "pass" if ratio <= 1 else "fail") for label, ratio in ratios.items())
    alt = say("bars-alt") + ", ".join(f"{bar.label} {bar.value:.2f}" for bar in rows) + "."
    words = case_words({axis: label for axis, label in case.items() if axis not in {"point", "layer"}})
    return Bars(f"utilisation-{scope.name}", say("bars-title"), alt, rows, note=say("bars-note", words=words))
