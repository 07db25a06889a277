"""Settlement at the dates of the programme by the two methods of the unit cell: primary, secondary, creep."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from calc.chapters.consolidation.ground_again import GroundAgain
from calc.chapters.shared.frame import (
    AS_GIVEN,
    END,
    LONG,
    SCENARIOS,
    Frame,
    at_labels,
    given_of_layers,
    given_of_section,
    origin_of,
)
from calc.chapters.shared.ground_in_time import PLASTIC, STANDARD
from calc.chapters.shared.programme import (
    END_OF_LIFE,
    HAND_OVER,
    PROGRAMME,
    SETTLES,
    Dates,
    last_fill,
    recorded_dates,
    steps_of,
)
from calc.engine.sheet import Axis, Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import consolidation as co
from calc.formulas import staged
from calc.inputs import Section
from calc.procedures.ground_in_time import METHOD, PRIMARY, GroundInTime

say = words_of(__name__)


Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Method:
    """A method of the unit cell, its scope and symbol there, and the scope of its course here."""

    cell: str
    symbol: str
    scope: str
    title: str


BY_STANDARD = Method(STANDARD, "s", "course", say("by-standard"))
BY_PLASTIC = Method(PLASTIC, "s_EP", "course_plastic", say("by-plastic"))


def secondary_coefficients(sheet: Sheet, section: Section, shared: Frame, done: dict[str, Sheet]) -> str:
    """Coefficient of secondary compression of every sublayer, or the fields that are missing."""
    missing = [f"layer.{layer.key}.C_alpha" for layer in section.soft_layers if layer.C_alpha is None]
    if missing:
        return ", ".join(missing)
    scope = sheet.scope("secondary", say("secondary-compression"))
    scope.take("h", done["ground"]["h"])
    given_of_layers(scope, "C_ae", section, shared.sublayers, "C_alpha")
    given_of_layers(scope, "e_0", section, shared.sublayers, "e_0")
    scope(co.secondary_strain_coefficient)
    reduction = section.consolidation.secondary_reduction if section.consolidation else None
    if reduction:
        path = "consolidation.secondary_reduction.value"
        scope.given("f_sec", reduction.value, origin=origin_of(section, path), note=reduction.source)
    else:
        scope.given("f_sec", 1.0, origin=Origin("project rule", text=say("rule")))
    scope(staged.reduced_secondary)
    scope(staged.secondary_per_cycle)
    return ""


def course(
    sheet: Sheet, last: str, section: Section, shared: Frame, again: GroundAgain, dates: Dates,
    done: dict[str, Sheet], method: Method = BY_STANDARD,
) -> Scope:  # fmt: skip
    """Settlement at every date by a method, for c_h as given, low and high; degrees by the standard one."""
    scope = sheet.scope(method.scope, method.title, scenario=AS_GIVEN, date=HAND_OVER)
    scope.reading("t", dates.days, ["date"], title=say("dates-considered"), note=say("reading-t-note"),
                  inputs=recorded_dates(done, sheet))  # fmt: skip
    ground, step = again.ground, np.array(dates.placed) - 1
    law = ground.settled.sum(axis=-1)
    axes = [Axis(name, sheet.axes[name]) for name in ("scenario", "date", "layer")]
    placed = again.reading("s_pc", axes[1:2], lambda soil: soil.settled.sum(axis=-1)[step], placed=True)
    primary = again.reading("s_pt", axes[:2], partial(_settlement, days=dates.days))
    cell = done["unit_cell"].scopes[method.cell][method.symbol].at(**SETTLES, stage=last)
    scope.reading("s_pc", law[step], ["date"], title=say("reading-s-pc-title"), note=say("reading-s-pc-note"),
                  mask=law[step] <= 0, reason=say("no-settlement"), inputs=[cell.at(stiffness=END)],
                  again=placed)  # fmt: skip
    scope.reading("s_pt", _settlement(ground, days=dates.days), ["scenario", "date"], title=say("primary-settlement"),
                  inputs=[scope["t"], scope["s_pc"], *rates_of(sheet, layer=sheet.axes["layer"][-1])],
                  note=say("reading-s-pt-note", method=METHOD), again=primary)  # fmt: skip
    if method is BY_STANDARD:
        scope.reading("s_pf", float(law[-1]), title=say("reading-s-pf-title"), note=say("reading-s-pf-note"),
                      inputs=[scope["s_pc"]])  # fmt: skip
        scope(staged.degree_of_current_load)
        scope(staged.degree_of_last_load)
    _secondary_at(scope, section, shared, again, done)
    late = np.array([label == END_OF_LIFE for label in dates.labels])
    by_stiffness = partial(_settled_late, days=dates.days, late=late)
    scope.reading("s_pJ", by_stiffness(ground), ["scenario", "date"], title=say("reading-s-pj-title"),
                  inputs=[scope["s_pt"], cell.at(stiffness=LONG)], note=say("reading-s-pj-note"),
                  again=again.reading("s_pJ", axes[:2], by_stiffness))  # fmt: skip
    scope(staged.creep_by_two_courses)
    scope(staged.settlement_in_time)
    return scope


def _settlement(ground: GroundInTime, *, days: Sequence[float], long: bool = False) -> Floats:
    """Primary settlement of the ground by scenario and date, with the sleeve as at the end of the works or later."""
    return ground.settlement_at(days, long=long).total().value()[..., 0]


def _settled_late(ground: GroundInTime, *, days: Sequence[float], late: NDArray[np.bool_]) -> Floats:
    """The same with the long-term stiffness at late dates."""
    return np.where(late, _settlement(ground, days=days, long=True), _settlement(ground, days=days))


def rates_of(sheet: Sheet, **case: str) -> list[Value]:
    """The values that the course of pore pressure rests on, at labels of axes that what rests on them does not have."""
    vertical = sheet.scopes.get("vertical")
    beside = [vertical["c_vs"], vertical["H_dr"]] if vertical else []
    values = [sheet.scopes["transfer"]["t_hm"], sheet.scopes["transfer"]["E_oed"], *beside, sheet["f_ch"]]
    return [at_labels(value, **case) for value in values]


def _secondary_at(
    scope: Scope, section: Section, shared: Frame, again: GroundAgain, done: dict[str, Sheet]
) -> None:  # fmt: skip
    """Secondary settlement of every sublayer from the end of its primary settlement on."""
    sheet = scope.sheet
    if "secondary" not in sheet.scopes:
        scope.given("s_sect", 0.0, origin=Origin("project rule", text=say("rule-s-sect")))
        return
    steps = steps_of(section)
    first, last = section.stages[steps[0]], steps[last_fill(section)]
    given_of_section(scope, "t_b1", section, f"stage.{steps[0]}.start", first.start)
    scope.take("t_en", done["basis"].scopes[PROGRAMME]["t_es"].at(stage=shared.stages[last + 1]))
    scope(staged.middle_of_filling)
    axes = [Axis(name, sheet.axes[name]) for name in ("scenario", "layer")]
    scope.reading("t_95", _primary_ends(again.ground), ["scenario", "layer"], inputs=[scope["s_pt"]],
                  title=say("reading-t-95-title", primary=100 * PRIMARY), note=say("reading-t-95-note"),
                  again=again.reading("t_95", axes, _primary_ends))  # fmt: skip
    scope(staged.end_of_primary)
    scope(staged.time_since_filling)
    for name in ("C_aepr", "h"):
        scope.take(name, sheet.scopes["secondary"][name])
    scope(co.secondary_settlement, C_aeps="C_aepr")
    scope(staged.total_secondary_settlement)


def _primary_ends(ground: GroundInTime) -> Floats:
    """The dates at which the sublayers have most of their primary settlement, by scenario."""
    return np.broadcast_to(ground.primary_ends, (len(SCENARIOS), ground.response.layers))


def degrees_of_layers(ground: GroundInTime, dates: Dates) -> np.ndarray:
    """Degree against the load placed so far of every sublayer, shape (dates, layers), c_h as given.

    NaN where nothing of that load settles the sublayer.
    """
    settlement = ground.settlement_at(dates.days)
    law = ground.settled[np.array(dates.placed) - 1]
    done = settlement.value()[0]
    return np.asarray(np.divide(done, law, out=np.full_like(done, np.nan), where=law > 0))
