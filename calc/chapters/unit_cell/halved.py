"""Settlement and ring tension with every sublayer halved: what rests on the division of the ground."""

from calc.chapters.shared.division import SETTLEMENT, design_tension, state_change
from calc.chapters.shared.frame import CENTRE, LONG, frame
from calc.chapters.shared.initial_state import initial_state
from calc.chapters.unit_cell import ring as cell_ring
from calc.chapters.unit_cell import runs as cell_runs
from calc.chapters.unit_cell.given import given_cell
from calc.engine.sheet import Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.ring_tension import change_of_settlement
from calc.inputs import Design, Section

say = words_of(__name__)

FINAL = {"position": CENTRE, "load": "G+Q", "stiffness": LONG}


def record_halved(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet], settlement: Scope) -> None:
    """Record the settlement and the largest design ring tension with every sublayer halved, by the same steps."""
    finer = section.with_halved_sublayers()
    earlier = {**done, "ground": initial_state(design, finer)}
    cell = given_cell(design, finer, earlier)
    load = cell_runs.load_of_sets(cell, finer, done["basis"])
    ring = cell_ring.ring(cell, finer, frame(design, finer), load, earlier)
    tension = design_tension(Sheet(section=section.key, key="halved"), ring, done["basis"])
    settled = cell_runs.settlement(cell, finer, earlier)["s"].at(**FINAL)
    scope = sheet.scope("halved", say("scope-halved-title"))
    largest = tension.largest("factor_set", "stage")
    for name, value, title in (("F_Rdh", largest, say("halved")), ("s_h", settled, say("halved-2"))):
        scope.reading(name, value.array, value.axis_names, title=title, inputs=[done["ground"]["h"]])
    s = scope.take("s", settlement["s"].at(**FINAL))
    change = scope(change_of_settlement, s=s.without(s.array <= 0, say("no-settlement")))
    state_change(sheet, SETTLEMENT, "settlement", change, ("settlement_total",))
