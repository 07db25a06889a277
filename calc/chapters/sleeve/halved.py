"""Ring tension with every sublayer halved."""

from calc.chapters.shared.division import TENSION, state_change
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.ring_tension import change_of_ring_tension

say = words_of(__name__)


def halved_tension(sheet: Sheet, cell: Sheet) -> None:
    """The largest design ring tension of every stage compared with that for halved sublayers."""
    scope = sheet.scope("halved", say("scope-halved-title"))
    largest = sheet["F_Rd"].largest("variant", "stage")
    largest = scope.reading("F_Rdm", largest.array, largest.axis_names, title=say("reading-f-rdm-title"),
                            inputs=[largest])  # fmt: skip
    scope.take("F_Rdh", cell.scopes["halved"]["F_Rdh"])
    change = scope(change_of_ring_tension, F_Rdm=largest.without(largest.array <= 0, "no ring tension"))
    state_change(sheet, TENSION, say("halved-tension"), change, ("ring_tension", "ring_tension_iso"))
