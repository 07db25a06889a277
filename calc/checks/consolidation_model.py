"""The ground of a section in time, made from what unit cell and consolidation have settled."""

import numpy as np
from numpy.typing import NDArray

from calc.checks.consolidation_drainage import modes_of
from calc.checks.frame import CENTRE, END, LONG, POSITIONS, SHORT, at_labels, frame
from calc.formulas.consolidation_cell import yielding_start_pressure
from calc.inputs import Design, Section
from calc.inputs.consolidation import Consolidation
from calc.levels import above
from calc.procedures.consolidation_response import Response, layered_response, radial_response
from calc.procedures.ground_in_time import GroundInTime
from calc.procedures.staged_course import Programme
from calc.sheet import Sheet, Value
from calc.sheet.values import Axis, spread

Floats = NDArray[np.float64]
SETTLES = {"position": CENTRE, "load": "G+Q"}


def steps_of(section: Section) -> tuple[int, ...]:
    """Indices of the stages under which the ground consolidates."""
    return tuple(k for k, stage in enumerate(section.stages) if stage.consolidates)


def last_fill(section: Section) -> int:
    """Number of the step, among those that consolidate, in which the last fill is placed."""
    heights = [0.0, *(section.stages[k].fill_height for k in steps_of(section))]
    higher = [k for k in range(len(heights) - 1) if above(heights[k + 1], heights[k])]
    return higher[-1] if higher else 0


def courses_of(given: Consolidation) -> tuple[float, float, float]:
    """Factors on c_h, in the order of the axis of courses."""
    return 1.0, given.c_h_low, given.c_h_high


def ground_in_time(design: Design, section: Section, done: dict[str, Sheet]) -> GroundInTime:
    """The ground at any date, of a section whose chapter on consolidation has its values."""
    given = section.consolidation
    if given is None:
        message = f"section {section.key} has no table consolidation"
        raise LookupError(message)
    steps = steps_of(section)
    cell, sheet = done["unit_cell"].scopes["settlement"], done["consolidation"]
    labels = [frame(design, section).stages[k + 1] for k in steps]

    def law(name: str, **case: str) -> Floats:
        return _by_step(at_labels(cell[name], **case), labels, sheet)

    stress = [law("Dsigma_vs", position=one, load="G", stiffness=SHORT) for one in POSITIONS]
    load = law("Dsigma_0", **SETTLES, stiffness=LONG)
    stages = [section.stages[k] for k in steps]
    taut = law("F_Ri", **SETTLES, stiffness=LONG) > 0
    loose = "transfer_slack" in sheet.scopes
    return GroundInTime(
        programme=Programme(tuple(one.start for one in stages), tuple(one.start + one.duration for one in stages)),
        response=_response(section, sheet, given, "transfer"),
        settled=law("s_i", **SETTLES, stiffness=END),
        settled_long=law("s_i", **SETTLES, stiffness=LONG),
        soil_stress=np.stack(stress),
        tension=law("F_Ri", **SETTLES, stiffness=SHORT),
        pressure=np.asarray(yielding_start_pressure(load, sheet.scopes["transfer"]["b_2p"].array)),
        secondary=_secondary(sheet),
        hand_over=given.hand_over,
        life=design.basis.design_life,
        last_fill=last_fill(section),
        slack=~taut if loose else None,
        loose=_response(section, sheet, given, "transfer_slack") if loose else None,
        swelling=given.swelling.value if given.swelling else 0.0,
    )


def _by_step(value: Value, labels: list[str], sheet: Sheet) -> Floats:
    """Numbers by step and sublayer; none where the sleeve is not mobilised: there nothing is counted."""
    axes = (Axis("stage", value.labels("stage")), Axis("layer", sheet.axes["layer"]))
    numbers = np.where(value.valid, value.array, 0.0)
    shape = tuple(len(axis.labels) for axis in axes)
    whole = np.broadcast_to(spread(numbers, value.axes, axes), shape)
    return np.array(whole[[value.labels("stage").index(label) for label in labels]], dtype=np.float64)


def _response(section: Section, sheet: Sheet, given: Consolidation, form: str) -> Response:
    scope = sheet.scopes[form]
    modes = modes_of(sheet, scope, np.array(courses_of(given))[:, None])
    if any(layer.c_v is None for layer in section.layers):
        return radial_response(modes)
    vertical = sheet.scopes["vertical"]
    return layered_response(
        modes, vertical["h"].array, vertical["c_vs"].array, scope["E_oed"].array, both=given.drainage == "both"
    )


def _secondary(sheet: Sheet) -> Floats:
    """Secondary settlement in m per tenfold time; none where a coefficient is missing, which is said elsewhere."""
    scope = sheet.scopes.get("secondary")
    count = len(sheet.axes["layer"])
    if scope is None:
        return np.zeros(count)
    return np.broadcast_to(scope["C_aepr"].array * sheet.scopes["secondary"]["h"].array, (count,))
