"""Columns that slip surfaces cut: what their embedment holds, and the bending of one column line by line."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.heads import has_heads, stress_below_base
from calc.chapters.shared.positions import of_positions, origins_across
from calc.chapters.stability.slip_cases import Searches
from calc.chapters.stability.stage_model import model
from calc.chapters.stability.states import State
from calc.engine.formula import Source
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import bending as be
from calc.formulas.bearing import design_undrained_strength
from calc.formulas.column_field import design_friction_angle
from calc.formulas.ground import passive_coefficient
from calc.inputs import Section
from calc.inputs.tables.embankment import SIDES
from calc.procedures.slip import Cut, Result, columns_cut
from calc.procedures.stage_search import Found

say = words_of(__name__)

SEARCHED = Source("critical circle of the search", "derived")
NOT_CUT = say("not-cut")


def embedment(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Shear force that the embedment in the firm layer holds; the lesser where the layer has an undrained strength."""
    for name in ("d_c", "A_c", "t_emb"):
        sheet.take(name, done["columns"][name])
    reduction = section.slip.plane_reduction if section.slip else None
    if reduction is None:
        sheet.given("kappa_g", 1.0, origin=Origin("project rule", text=say("rule-kappa-g")))
    else:
        given_of_section(sheet, "kappa_g", section, "slip.plane_reduction.value", reduction.value)
    layer, ground = section.bearing_layer, done["ground"]
    if section.columns.floating is not None:
        sheet.given("V_toe", 0.0, origin=Origin("project rule", text=say("rule-v-toe")))
        return
    scope = sheet.scope("embedment", say("scope-embedment-title"))
    given_of_section(scope, "phi", section, "bearing_layer.phi", layer.phi)
    scope(design_friction_angle)
    scope(passive_coefficient, K_p="K_pl", phi="phi_d")
    if has_heads(ground):
        scope.take("sigma_vsN", stress_below_base(ground))
    elif section.slopes:
        _least_stress(scope, section, done)
    else:
        scope(be.stress_at_firm_layer, p_0=ground["p_0"], w=ground["w"])
    scope(be.drained_lateral_resistance)
    held = [scope(be.embedment_shear, t_toe="t_emb")]
    if layer.c_u is not None:
        quick = sheet.scope("embedment_undrained", say("scope-embedment-undrained-title"))
        given_of_section(quick, "c_u", section, "bearing_layer.c_u", layer.c_u)
        quick(design_undrained_strength)
        quick(be.lateral_resistance)
        held.append(quick(be.embedment_shear, t_toe="t_emb"))
    cases = [[{"factor_set": v, "stage": k} for k in sheet.axes["stage"]] for v in sheet.axes["factor_set"]]
    least = [[min(value.number(case) or 0.0 for value in held) for case in row] for row in cases]
    sheet.reading("V_toe", least, ["factor_set", "stage"], title=say("reading-v-toe-title"),
                  inputs=held)  # fmt: skip


def _least_stress(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """Least effective stress at the top of the firm layer, of the axis and the positions: where it lies highest."""
    own = done["ground"]
    every = [own, *of_positions(section, done, "ground").values()]
    stress = [be.stress_at_firm_layer(p_0=sheet["p_0"].array, w=sheet["w"].array)[..., 0] for sheet in every]
    axes = [name for name in own["w"].axis_names if name != "layer"]
    scope.reading("sigma_vsN", np.min(stress, axis=0), axes, title=say("reading-sigma-vsn-title"),
                  inputs=[own["p_0"], own["w"]], origins=origins_across(section, *SIDES),
                  note=say("of-positions", keys=", ".join(sheet.section for sheet in every)))  # fmt: skip


@dataclass(frozen=True)
class _Shown:
    """The columns of a slice at the critical circle."""

    cut: Cut
    row: int
    result: Result

    @property
    def beside(self) -> int:
        """Row of the ground beside the columns in the slice table."""
        return self.row - 1


def one_column(searches: Searches, scope: Scope, state: State, bishop: Found) -> None:
    """The reduction by bending at one slice of every critical circle: where the columns resist most."""
    shown = [
        [None if result is None else _decisive_slice(searches, state, v, k, result) for k, result in enumerate(row)]
        for v, row in enumerate(bishop.results)
    ]
    nothing = np.array([[column is None for column in row] for row in shown])
    if nothing.all():
        return

    rests = [scope["F_Bi"], *searches.relies_on(state, scope)]

    def record(name: str, title: str, number: Callable[[_Shown], float]) -> None:
        values = [[np.nan if column is None else number(column) for column in row] for row in shown]
        scope.reading(name, values, ["factor_set", "stage"], title=title, source=SEARCHED, inputs=rests,
                      mask=nothing, reason=NOT_CUT)  # fmt: skip

    record("sigma_cN", say("one-column"),
         lambda column: float(column.cut.stress))  # fmt: skip
    if state.drained:
        record("sigma_vsN", say("one-column-5"), lambda column: float(column.cut.beside))
        record("phi_s", say("one-column-6"), lambda column: float(column.result.table.phi[column.beside]))
        scope(passive_coefficient, K_p="K_pl", phi="phi_s")
        scope(be.drained_lateral_resistance)
    else:
        record("c_ud", say("one-column-7"), lambda column: float(column.result.table.c[column.beside]))
        scope(be.lateral_resistance)
    record("l_hi", say("one-column-2"), lambda column: float(column.cut.above))
    record("l_lo", say("one-column-3"), lambda column: float(column.cut.below))
    record("alpha_b", say("one-column-4"), lambda column: float(column.result.table.alpha[column.row]))
    sleeve = state.sleeve(searches.sheet)
    if sleeve is not None:
        for step in (*SECTION, *DOWEL, be.column_shear_of_dowel):
            scope(step)
        scope(be.sleeved_resistance_on_surface, c_rd=sleeve)
        return
    for step in (*SECTION, be.column_friction, *DOWEL, be.column_shear_with_lengths, be.friction_reduction):
        scope(step)
    if searches.zones:
        record(
            "a_Es", say("one-column-8"), lambda column: _ratio_at(searches, float(column.result.table.x[column.row]))
        )
    scope(be.column_resistance_on_surface, a_E="a_Es" if searches.zones else "a_E")


def _ratio_at(searches: Searches, x: float) -> float:
    """Area ratio of the grid of the columns at a place across."""
    sheets = (zone.sheet for zone in searches.zones if any(low <= x <= high for low, high in zone.zone.zone.strips))
    return float(next(sheets, searches.sheet)["a_E"].array)


SECTION = be.column_force_at_cut, be.kern_moment
DOWEL = be.bending_shear, be.hinge_distance, be.shear_by_lengths


def reductions(searches: Searches, state: State, answers: Found) -> Callable[[int, int], Mapping[int, float]]:
    """κ of the columns by row of the slice table of a case."""

    def of_rows(v: int, k: int) -> Mapping[int, float]:
        result = answers.results[v][k]
        assert result is not None  # noqa: S101 - the governing case has a surface
        rows, cut = _column_rows(searches, state, v, k, result)
        return dict(zip(rows.tolist(), np.asarray(cut.kappa).tolist(), strict=True))

    return of_rows


def _column_rows(searches: Searches, state: State, v: int, k: int, result: Result) -> tuple[NDArray[np.int64], Cut]:
    """Rows of the slice table that are columns, and how these bend."""
    case = searches.case(v, k, state)
    assert case is not None  # noqa: S101 - it has been searched
    return columns_cut(model(searches.section, replace(case, k_v=result.k_v)), result)


def _decisive_slice(searches: Searches, state: State, v: int, k: int, result: Result) -> _Shown | None:
    """The slice in the soft ground whose columns resist most; None where no column is cut there."""
    rows, cut = _column_rows(searches, state, v, k, result)
    soft = np.flatnonzero(np.asarray(cut.below) > 0)
    if not len(soft):
        return None
    best = soft[np.argmax(np.asarray(cut.strength)[soft] * result.table.b[rows[soft]])]
    return _Shown(cut.at(best), int(rows[best]), result)
