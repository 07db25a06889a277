"""The ground of a section in time, made from what unit cell and consolidation have settled."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import (
    END,
    LONG,
    POSITIONS,
    SHORT,
    STIFFNESS,
    at_labels,
    frame,
)
from calc.chapters.shared.programme import SETTLES, ends_of, last_fill, opening, scenarios_of, settled_load, steps_of
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.sheet.values import Axis, spread
from calc.formulas.consolidation_cell import yielding_start_pressure
from calc.formulas.floating import start_pressure_with_sharing_length
from calc.inputs import Design, Section
from calc.inputs.tables.consolidation import Consolidation
from calc.procedures.consolidation_radial import RadialModes, radial_modes
from calc.procedures.consolidation_response import Response, layered_response, radial_response
from calc.procedures.ground_in_time import GroundInTime
from calc.procedures.sleeve_in_time import Stiffness
from calc.procedures.staged_course import Programme

Floats = NDArray[np.float64]
STANDARD, PLASTIC = "settlement", "elastic_plastic"
"""The scopes of the unit cell with the settlement of sublayers by its two methods."""


def ground_in_time(design: Design, section: Section, done: dict[str, Sheet]) -> GroundInTime:
    """The ground at any date, of a section whose chapter on consolidation has its values."""
    table = section.consolidation
    if table is None:
        message = f"section {section.key} has no table consolidation"
        raise LookupError(message)
    steps = steps_of(section)
    sheet, layers = done["consolidation"], done["consolidation"].axes["layer"]
    labels = [frame(design, section).stages[k + 1] for k in steps]
    law = _law_of(done["unit_cell"], labels, layers)
    stress = [law("Dsigma_vs", position=position, load="G", stiffness=SHORT) for position in POSITIONS]
    starts, ends = ends_of(done)
    taut = law("F_Ri", **SETTLES, stiffness=LONG) > 0
    loose = "transfer_slack" in sheet.scopes
    opened = opening(section)
    return GroundInTime(
        programme=Programme(tuple(starts[k] for k in steps), tuple(ends[k] for k in steps)),
        response=_response(section, sheet, table, "transfer", scenarios_of(table)),
        **sleeve_laws(section, done["unit_cell"], labels, layers),
        settled_long=law("s_i", **SETTLES, stiffness=LONG),
        soil_stress=np.stack(stress),
        pressure=_start_pressure(sheet, law, SETTLES),
        # None where a coefficient is missing, which is said elsewhere.
        secondary=sheet.scopes["secondary"]["s_cyc"].array if "secondary" in sheet.scopes else np.zeros(len(layers)),
        hand_over=table.hand_over,
        life=design.basis.design_life,
        last_fill=last_fill(section),
        slack=~taut if loose else None,
        loose=_response(section, sheet, table, "transfer_slack", scenarios_of(table)) if loose else None,
        swelling=table.swelling.value if table.swelling else 0.0,
        works_end=ends[-1] if opened else None,
        opening=sum(section.stages[k].consolidates for k in opened),
    )


def by_plastic_column(
    ground: GroundInTime, design: Design, section: Section, done: dict[str, Sheet]
) -> GroundInTime:  # fmt: skip
    """The same ground with the final settlements of the elastic, plastic column; pore pressure stays as it is."""
    layers = done["consolidation"].axes["layer"]
    labels = [frame(design, section).stages[k + 1] for k in steps_of(section)]
    long = _law_of(done["unit_cell"], labels, layers, PLASTIC)("s_i", **SETTLES, stiffness=LONG)
    laws = settlement_laws(section, done["unit_cell"], labels, layers, PLASTIC)
    return replace(ground, settled_long=long, **laws)


def at_position(
    ground: GroundInTime, design: Design, section: Section, done: dict[str, Sheet], position: str
) -> GroundInTime:  # fmt: skip
    """The same ground at another position across, by the standard method: its settlements and its load."""
    sheet, layers = done["consolidation"], done["consolidation"].axes["layer"]
    labels = [frame(design, section).stages[k + 1] for k in steps_of(section)]
    law, case = _law_of(done["unit_cell"], labels, layers), {**SETTLES, "position": position}
    return replace(
        ground,
        settled=law("s_i", **case, stiffness=END),
        settled_long=law("s_i", **case, stiffness=LONG),
        permanent=np.stack(
            [law("s_i", **{**case, "load": settled_load(section)}, stiffness=stiffness) for stiffness in STIFFNESS]
        ),
        pressure=_start_pressure(sheet, law, case),
    )


def with_factors(
    ground: GroundInTime, section: Section, done: dict[str, Sheet], factors: Sequence[float]
) -> GroundInTime:  # fmt: skip
    """The same ground for other factors on c_h, which take the place of the scenarios."""
    table = section.consolidation
    assert table is not None  # noqa: S101 - the ground is made of it
    sheet = done["consolidation"]
    return replace(
        ground,
        response=_response(section, sheet, table, "transfer", factors),
        loose=ground.loose and _response(section, sheet, table, "transfer_slack", factors),
    )


def sleeve_laws(section: Section, cell: Sheet, labels: list[str], layers: tuple[str, ...]) -> dict[str, Any]:
    """What the end of the works changes of a ground in time: laws with the stiffness of the sleeve then."""
    law = _law_of(cell, labels, layers)
    stiffnesses = section.sleeve.stiffness
    return {
        **settlement_laws(section, cell, labels, layers),
        "tensions": np.stack([law("F_Ri", **SETTLES, stiffness=stiffness) for stiffness in STIFFNESS]),
        "stiffness": Stiffness(
            tuple(stiffness.time for stiffness in stiffnesses),
            (float(cell["J_sh"].array), *(each.J for each in stiffnesses[1:-1]), float(cell["J_lo"].array)),
            float(cell["J"].at(stiffness=END).array),
        ),
    }


def settlement_laws(
    section: Section, cell: Sheet, labels: list[str], layers: tuple[str, ...], method: str = STANDARD
) -> dict[str, Any]:  # fmt: skip
    """Final settlements with the stiffness of the sleeve at the end of the works, and what counts at hand-over."""
    law = _law_of(cell, labels, layers, method)
    counted = {**SETTLES, "load": settled_load(section)}
    return {
        "settled": law("s_i", **SETTLES, stiffness=END),
        "permanent": np.stack([law("s_i", **counted, stiffness=stiffness) for stiffness in STIFFNESS]),
    }


def _law_of(
    cell: Sheet, labels: list[str], layers: tuple[str, ...], method: str = STANDARD
) -> Callable[..., Floats]:  # fmt: skip
    """Final values of the unit cell by step and sublayer, of a symbol in a case, by one of its methods."""
    scope = cell.scopes[method]
    return lambda name, **case: _by_step(at_labels(scope[name], **case), labels, layers)


def _start_pressure(sheet: Sheet, law: Callable[..., Floats], case: Mapping[str, str]) -> Floats:
    """Pore pressure of every step and sublayer at loading: of the cell, of soil alone within the sharing length."""
    scope, load = sheet.scopes["transfer"], law("Dsigma_0", **case, stiffness=LONG)
    if "f_lt" not in scope:
        return np.asarray(yielding_start_pressure(load, scope["b_2p"].array))
    alone = law("Dsigma_0lt", **case, stiffness=LONG)
    return np.asarray(start_pressure_with_sharing_length(scope["f_lt"].array, alone, load, scope["b_2p"].array))


def _by_step(value: Value, labels: list[str], layers: tuple[str, ...]) -> Floats:
    """Numbers by step and sublayer; none where the sleeve is not mobilised: there nothing is counted."""
    axes = (Axis("stage", value.labels("stage")), Axis("layer", layers))
    numbers = np.where(value.valid, value.array, 0.0)
    shape = tuple(len(axis.labels) for axis in axes)
    whole = np.broadcast_to(spread(numbers, value.axes, axes), shape)
    return np.array(whole[[value.labels("stage").index(label) for label in labels]], dtype=np.float64)


def _response(
    section: Section, sheet: Sheet, consolidation: Consolidation, form: str, factors: Sequence[float]
) -> Response:
    scope = sheet.scopes[form]
    modes = modes_of(sheet, scope, np.array(factors)[:, None])
    if any(layer.c_v is None for layer in section.layers):
        return radial_response(modes)
    vertical = sheet.scopes["vertical"]
    return layered_response(
        modes, vertical["h"].array, vertical["c_vs"].array, scope["E_oed"].array, both=consolidation.drainage == "both"
    )


def modes_of(sheet: Sheet, form: Scope, factors: np.ndarray) -> RadialModes:
    """Exponentials of every scenario by a form of load transfer; ``factors`` on c_h has the shape (scenarios, 1)."""
    flow, governing = sheet.scopes["drainage"], sheet.scopes["transfer"]
    return radial_modes(
        c_hs=factors * governing["c_hs"].array, d_e=flow["d_e"].array, n_d=flow["n_d"].array, s_sm=flow["s_sm"].array,
        r_ks=flow["r_ks"].array, mu_wr=flow["mu_wr"].array, f_tr=form["f_tr"].array,
    )  # fmt: skip
