"""Settlement and ring tension with every sublayer halved: what rests on the division of the ground."""

import numpy as np

from calc.chapters.ground.steps import ground
from calc.chapters.shared.frame import CENTRE, LONG, frame
from calc.chapters.unit_cell import ring as cell_ring
from calc.chapters.unit_cell import runs as cell_runs
from calc.chapters.unit_cell.given import given_cell
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.ring_tension import change_of_ring_tension, change_of_settlement
from calc.inputs import Design, Section

say = words_of(__name__)

MOST_CHANGE = 0.02
SETTLEMENT, TENSION = "sublayers-settlement", "sublayers-tension"
FINAL = {"position": CENTRE, "load": "G+Q", "stiffness": LONG}


def halved(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet], settlement: Scope) -> None:
    """Record the settlement and the largest design ring tension with every sublayer halved, by the same steps."""
    finer = section.halved()
    earlier = {**done, "ground": ground(design, finer, {})}
    cell = given_cell(design, finer, earlier)
    load = cell_runs.load_of_sets(cell, finer, done["basis"])
    ring = cell_ring.ring(cell, finer, frame(design, finer), load, earlier)
    tension = cell_ring.design_tension(Sheet(section=section.key, key="halved"), ring, done["basis"])
    settled = cell_runs.settlement(cell, finer)["s"].at(**FINAL)
    scope = sheet.scope("halved", say("scope-halved-title"))
    largest = tension.largest("variant", "stage")
    for name, value, title in (
        ("F_Rdh", largest, say("halved")),
        ("s_h", settled, say("halved-2")),
    ):
        scope.reading(name, value.array, value.axis_names, title=title, inputs=[done["ground"]["h"]])
    s = scope.take("s", settlement["s"].at(**FINAL))
    change = scope(change_of_settlement, s=s.without(s.array <= 0, "no settlement"))
    state_change(sheet, SETTLEMENT, "settlement", change, ("settlement_total",))


def halved_tension(sheet: Sheet, cell: Sheet) -> None:
    """The largest design ring tension of every stage compared with that for halved sublayers."""
    scope = sheet.scope("halved", say("scope-halved-title-2"))
    largest = sheet["F_Rd"].largest("variant", "stage")
    largest = scope.reading(
        "F_Rdm", largest.array, largest.axis_names, title=say("reading-f-rdm-title"),
        inputs=[largest],
    )  # fmt: skip
    scope.take("F_Rdh", cell.scopes["halved"]["F_Rdh"])
    change = scope(change_of_ring_tension, F_Rdm=largest.without(largest.array <= 0, "no ring tension"))
    state_change(sheet, TENSION, say("halved-tension"), change, ("ring_tension", "ring_tension_iso"))


def state_change(sheet: Sheet, key: str, what: str, change: Value, verdicts: tuple[str, ...] = ()) -> None:
    """Say where halving the sublayers still changes a result by more than is accepted; beside what it would turn."""
    loaded = change.at(stage=sheet.axes["stage"][1:])
    worst = float(np.max(loaded.array, where=loaded.valid, initial=0.0))
    if worst > MOST_CHANGE:
        sheet.limitation(
            key,
            say("limitation-state-change", what=what, worst=100 * worst, most_change=100 * MOST_CHANGE),
            "project rule",
            turns=lambda one: one.key in verdicts and (one.utilisation or 0.0) * (1 + worst) > one.limit,
        )


def rests_on_division(done: dict[str, Sheet]) -> bool:
    """Whether a chapter has stated that halving its sublayers changes too much."""
    return any(one.key in {SETTLEMENT, TENSION} for sheet in done.values() for one in sheet.limitations)
