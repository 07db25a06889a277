"""Readings expected at every date, for c_h as given, low and high."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.chapters.monitoring.below import BelowInTime, below_in_time
from calc.chapters.monitoring.head_cells import heads_in_time
from calc.chapters.monitoring.reading_dates import Reading
from calc.chapters.shared.frame import AS_GIVEN, LONG, POSITIONS, SCENARIOS, Frame, origin_of
from calc.chapters.shared.programme import HAND_OVER, SETTLES, recorded_dates, steps_of
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.monitoring import (
    pressure_at_sensor,
    sensor_factor,
    sensor_place,
    settlement_at_plate,
    settlement_below_by_now,
    settlement_below_in_time,
    smeared_way,
    strain_of_tension,
)
from calc.formulas.staged import degree_of_current_load
from calc.inputs import Section
from calc.procedures.ground_in_time import GroundInTime
from calc.procedures.staged_course import follow

say = words_of(__name__)

Floats = NDArray[np.float64]
CENTRE_AT = POSITIONS.index("centre")
NO_LOAD = say("no-load-yet")


@dataclass(frozen=True)
class Known:
    """What the readings follow from: the ground in time, load after each step, settlement below the toes.

    ``plastic`` is the ground with the settlements of the second method of the unit cell.
    ``sensor`` is what a sensor for pore pressure reads over the mean of each sublayer, where it stands.
    """

    ground: GroundInTime
    plastic: GroundInTime
    load: Floats
    below: float
    sensor: Floats
    below_in_time: BelowInTime | None = None

    def load_at(self, days: ArrayLike) -> Floats:
        """Load placed by these days in kPa; it grows evenly while a step is placed."""
        programme = self.ground.programme
        begin, end = np.array(programme.begin), np.array(programme.end)
        since, takes = np.asarray(days, dtype=np.float64)[:, None] - begin, end - begin
        share = np.where(takes > 0, np.clip(since / np.where(takes > 0, takes, 1.0), 0.0, 1.0), since >= 0)
        return np.asarray((share * np.diff(self.load, prepend=0.0)).sum(axis=-1))

    def settlement_at(self, days: ArrayLike) -> Floats:
        """Settlement that a plate on the ground reads, m (scenarios, days); creep of the sleeve from hand-over on."""
        return self._settlement_at(self.ground, days)

    def plastic_settlement_at(self, days: ArrayLike) -> Floats:
        """The same by the elastic, plastic column."""
        return self._settlement_at(self.plastic, days)

    def _settlement_at(self, ground: GroundInTime, days: ArrayLike) -> Floats:
        at = np.asarray(days, dtype=np.float64)
        primary = ground.settlement_at(at).total().value()[..., 0] + ground.creep_at(at)
        part = self._below_at(at)
        return np.asarray(primary + ground.secondary_at(at).sum(axis=-1) + part)

    def _below_at(self, days: Floats) -> Floats:
        placed = self.load_at(days)
        if self.below_in_time is None:
            return np.asarray(settlement_below_by_now(self.below, placed, self.load[-1]))
        return np.asarray(settlement_below_in_time(self.below, self.below_in_time.share_at(days, placed)))

    def settled_of_load(self, days: ArrayLike) -> tuple[Floats, Floats]:
        """Primary settlement that has come and that of the load placed so far, in m, (scenarios, days) each."""
        course = self.ground.settlement_at(days).total()
        return course.value()[..., 0], np.broadcast_to(course.placed[..., 0], course.value()[..., 0].shape)

    def degree_at(self, days: ArrayLike) -> Floats:
        """Degree of consolidation of the load placed so far, by settlement, (scenarios, days)."""
        return self.ground.settlement_at(days).total().degree_of_current_load()[..., 0]

    def placed_pressure_at(self, days: ArrayLike) -> Floats:
        """Excess pore pressure of the load placed so far in kPa, nothing drained, (scenarios, days, layers)."""
        return follow(self.ground.programme, self.ground.response, self.ground.pressure, days).placed

    def reading_at(self, days: ArrayLike) -> Floats:
        """Excess pore pressure that the sensors read in kPa, (scenarios, days, layers)."""
        return self.ground.pressure_at(days) * self.sensor

    def strain_at(self, days: ArrayLike) -> Floats:
        """Ring strain with the stiffness of the sleeve at these days, (scenarios, days, layers)."""
        stiffness = self.ground.stiffness.at(days)[:, None]
        return np.asarray(strain_of_tension(self.ground.crept_tension_at(days), stiffness))

    def soil_at(self, days: ArrayLike) -> Floats:
        """Effective stress gained in the soil at the heads of the columns in kPa, (scenarios, days)."""
        return self.ground.stress_gain_at(days)[:, CENTRE_AT, :, 0]


def ground_known(
    ground: GroundInTime, plastic: GroundInTime, section: Section, shared: Frame, done: dict[str, Sheet]
) -> Known:  # fmt: skip
    """What the readings follow from, out of the chapters before."""
    cell = done["unit_cell"].scopes["settlement"]["Dsigma_0"]
    at = {axis: label for axis, label in {**SETTLES, "stiffness": LONG}.items() if axis in cell.axis_names}
    labels = [shared.stages[k + 1] for k in steps_of(section)]
    below, flow = _below(done), done["consolidation"].scopes["drainage"]
    names = ("n_d", "s_sm", "r_ks", "mu_wr", "F_dr")
    place = sensor_place(a_x=done["columns"]["a_x"].array, d_c=done["columns"]["d_c"].array)
    n_d, s_sm, r_ks, mu_wr, F_dr = (flow[name].array for name in names)  # noqa: N806 - the printed symbols
    way = smeared_way(rho_us=place, s_sm=s_sm)
    sensor = sensor_factor(r_ks=r_ks, m_us=way, n_d=n_d, rho_us=place, mu_wr=mu_wr, F_dr=F_dr)
    load = cell.at(**at, stage=labels).array
    deep = float(below.array) if below else 0.0
    in_time = below_in_time(done, load, ground.programme)
    return Known(ground, plastic, load, deep, np.broadcast_to(sensor, len(shared.layers)), in_time)


def _below(done: dict[str, Sheet]) -> Value | None:
    """Settlement of the ground below the toes in the final state, if the chapter on bearing has it."""
    scope = done["bearing"].scopes.get("below")
    return None if scope is None else scope["s_b"].largest()


def expected_readings(
    sheet: Sheet, known: Known, dates: Reading, section: Section, done: dict[str, Sheet]
) -> Scope:  # fmt: skip
    """Record the readings at every date."""
    sheet.axis("scenario", SCENARIOS)
    sheet.axis("date", dates.labels)
    scope = sheet.scope("expected", say("scope-expected-title"), scenario=AS_GIVEN, date=HAND_OVER)
    days = dates.evaluation_days
    dates_of_project = range(len(section.monitoring.dates)) if section.monitoring is not None else ()
    scope.reading("t", dates.days, ["date"], title=say("dates-of-reading"), note=say("reading-t-note"),
                  inputs=recorded_dates(done, done["consolidation"]),
                  origins=[origin_of(section, f"monitoring.dates.{k}") for k in dates_of_project])  # fmt: skip
    load = scope.reading("p_ob", known.load_at(days), ["date"], title=say("reading-p-ob-title"),
                         inputs=[scope["t"], sheet.scopes["programme"]["Dsigma_0"]],
                         note=say("reading-p-ob-note"))  # fmt: skip
    _settlement(scope, known, days, done)
    _water(scope, known, days, done)
    _sleeve(scope, known, days)
    heads_in_time(scope, known.soil_at(days), load, done)
    return scope


def _settlement(scope: Scope, known: Known, days: Floats, done: dict[str, Sheet]) -> None:
    below = _below(done)
    if below is None:
        scope.given("s_b", 0.0, origin=Origin("project rule", text=say("rule")))
    else:
        scope.take("s_b", below, note=say("take-s-b-note"))
    scope.reading("p_fin", known.load[-1], title=say("reading-p-fin-title"), inputs=[scope["p_ob"]])
    if known.below_in_time is None:
        part = scope(settlement_below_by_now)
    else:
        share = known.below_in_time.share_at(days, known.load_at(days))
        flow = done["bearing"].scopes["below_time"]
        scope.reading("r_bo", share, ["date"], title=say("reading-r-bo-title"), note=say("reading-r-bo-note"),
                      inputs=[scope["t"], scope["p_ob"], scope["p_fin"], flow["H_db"], flow["c_vb"]],
                      moves=("layer",))  # fmt: skip
        part = scope(settlement_below_in_time)
    scope.reading("s_t", known.settlement_at(days) - part.array, ["scenario", "date"], inputs=[scope["t"]],
                  title=say("reading-s-t-title"), note=say("reading-s-t-note"))  # fmt: skip
    scope(settlement_at_plate)
    scope.reading("s_oEP", known.plastic_settlement_at(days), ["scenario", "date"], inputs=[scope["t"], part],
                  title=say("reading-s-oep-title"), note=say("reading-s-oep-note"))  # fmt: skip
    reached, final = known.settled_of_load(days)
    nothing = (final == 0) | ~(known.load_at(days) > 0)
    scope.reading("s_pt", reached, ["scenario", "date"], inputs=[scope["t"]], title=say("reading-s-pt-title"))
    scope.reading("s_pc", final, ["scenario", "date"], inputs=[scope["t"]], title=say("reading-s-pc-title"),
                  mask=nothing, reason=NO_LOAD)  # fmt: skip
    scope(degree_of_current_load, U_cur="U_ob")


def _water(scope: Scope, known: Known, days: Floats, done: dict[str, Sheet]) -> None:
    scope.reading("u_ob", known.ground.pressure_at(days), ["scenario", "date", "layer"], inputs=[scope["t"]],
                  title=say("reading-u-ob-title-2"), note=say("reading-u-ob-note"))  # fmt: skip
    for name in ("a_x", "d_c"):
        scope.take(name, done["columns"][name])
    for name in ("n_d", "s_sm", "r_ks", "mu_wr", "F_dr"):
        scope.take(name, done["consolidation"].scopes["drainage"][name])
    scope(sensor_place)
    scope(smeared_way)
    scope(sensor_factor)
    scope(pressure_at_sensor)


def _sleeve(scope: Scope, known: Known, days: Floats) -> None:
    scope.reading("F_ob", known.ground.tension_at(days), ["scenario", "date", "layer"], inputs=[scope["t"]],
                  title=say("reading-f-ob-title"), note=say("reading-f-ob-note"))  # fmt: skip
    scope.reading("J_t", known.ground.stiffness.at(days), ["date"], inputs=[scope["t"]], title=say("reading-j-t-title"),
                  note=say("reading-j-t-note"))  # fmt: skip
    scope.reading("F_oJ", known.ground.crept_tension_at(days), ["scenario", "date", "layer"],
                  inputs=[scope["F_ob"], scope["J_t"]], title=say("reading-f-oj-title"),
                  note=say("reading-f-oj-note"))  # fmt: skip
    scope(strain_of_tension, F_ob="F_oJ", J="J_t")
