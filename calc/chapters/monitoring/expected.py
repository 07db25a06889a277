"""Readings expected at every date, for c_h as given, low and high."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.chapters.monitoring.dates import Reading
from calc.chapters.monitoring.heads import heads_in_time
from calc.chapters.shared.frame import AS_GIVEN, COURSES, LONG, POSITIONS, Frame
from calc.chapters.shared.programme import HAND_OVER, SETTLES, steps_of
from calc.engine.figure import Curve, TimeChart, Track
from calc.engine.sheet import Origin, Scope, Sheet, Table, TableColumn, Value, number_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.formulas.monitoring import (
    pressure_at_sensor,
    sensor_factor,
    sensor_place,
    settlement_at_plate,
    settlement_below_by_now,
    smeared_way,
    strain_of_tension,
)
from calc.inputs import Section
from calc.procedures.ground_in_time import GroundInTime
from calc.procedures.staged_course import follow

say = words_of(__name__)

Floats = NDArray[np.float64]
CENTRE_AT = POSITIONS.index("centre")
NO_LOAD = "no load yet"
SHORT_WORDS = {
    "s_ob": "settlement", "U_ob": "degree", "u_sen": "pressure", "F_ob": "tension", "eps_ob": "strain",
    "sigma_sob": "soil", "sigma_cob": "column", "n_ob": "ratio", "s_oEP": "elastic, plastic column",
}  # fmt: skip
EARLY, LATE = 120, 60  # points of a curve until handing over and from there on


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

    def load_at(self, days: ArrayLike) -> Floats:
        """Load placed by these days in kPa; it grows evenly while a step is placed."""
        programme = self.ground.programme
        begin, end = np.array(programme.begin), np.array(programme.end)
        since, takes = np.asarray(days, dtype=np.float64)[:, None] - begin, end - begin
        share = np.where(takes > 0, np.clip(since / np.where(takes > 0, takes, 1.0), 0.0, 1.0), since >= 0)
        return np.asarray((share * np.diff(self.load, prepend=0.0)).sum(axis=-1))

    def settlement_at(self, days: ArrayLike) -> Floats:
        """Settlement that a plate on the ground reads, in m, (courses, days); creep of the sleeve from hand-over on."""
        return self._settlement_at(self.ground, days)

    def plastic_settlement_at(self, days: ArrayLike) -> Floats:
        """The same by the elastic, plastic column."""
        return self._settlement_at(self.plastic, days)

    def _settlement_at(self, ground: GroundInTime, days: ArrayLike) -> Floats:
        at = np.asarray(days, dtype=np.float64)
        primary = ground.settlement_at(at).total().value()[..., 0] + ground.creep_at(at)
        part = settlement_below_by_now(self.below, self.load_at(at), self.load[-1])
        return np.asarray(primary + ground.secondary_at(at).sum(axis=-1) + part)

    def degree_at(self, days: ArrayLike) -> Floats:
        """Degree of consolidation of the load placed so far, by settlement, (courses, days)."""
        return self.ground.settlement_at(days).total().degree_of_current_load()[..., 0]

    def placed_pressure_at(self, days: ArrayLike) -> Floats:
        """Excess pore pressure of the load placed so far in kPa, nothing drained, (courses, days, layers)."""
        return follow(self.ground.programme, self.ground.response, self.ground.pressure, days).placed

    def reading_at(self, days: ArrayLike) -> Floats:
        """Excess pore pressure that the sensors read in kPa, (courses, days, layers)."""
        return self.ground.pressure_at(days) * self.sensor

    def strain_at(self, days: ArrayLike) -> Floats:
        """Ring strain with the stiffness of the sleeve at these days, (courses, days, layers)."""
        stiffness = self.ground.stiffness.at(days)[:, None]
        return np.asarray(strain_of_tension(self.ground.crept_tension_at(days), stiffness))

    def soil_at(self, days: ArrayLike) -> Floats:
        """Effective stress gained in the soil at the heads of the columns in kPa, (courses, days)."""
        return self.ground.stress_gain_at(days)[:, CENTRE_AT, :, 0]


def known(
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
    return Known(ground, plastic, load, deep, np.broadcast_to(sensor, len(shared.layers)))


def _below(done: dict[str, Sheet]) -> Value | None:
    """Settlement of the ground below the toes in the final state, if the chapter on bearing has it."""
    scope = done["bearing"].scopes.get("below")
    return None if scope is None else scope["s_b"].largest()


def expected(sheet: Sheet, found: Known, dates: Reading, done: dict[str, Sheet]) -> Scope:
    """Record the readings at every date."""
    sheet.axis("course", COURSES)
    sheet.axis("date", dates.labels)
    scope = sheet.scope("expected", say("scope-expected-title"), course=AS_GIVEN, date=HAND_OVER)
    days = dates.looked
    scope.reading("t", dates.days, ["date"], title="Dates of reading", note=say("reading-t-note"))
    load = scope.reading(
        "p_ob", found.load_at(days), ["date"], title=say("reading-p-ob-title"),
        note=say("reading-p-ob-note"),
    )  # fmt: skip
    _settlement(scope, found, days, done)
    _water(scope, found, days, done)
    _sleeve(scope, found, days)
    heads_in_time(scope, found.soil_at(days), load, done)
    return scope


def _settlement(scope: Scope, found: Known, days: Floats, done: dict[str, Sheet]) -> None:
    below = _below(done)
    if below is None:
        rule = Origin("project rule", text=say("rule"))
        scope.given("s_b", 0.0, origin=rule)
    else:
        scope.take("s_b", below, note=say("take-s-b-note"))
    scope.reading("p_fin", found.load[-1], title=say("reading-p-fin-title"), inputs=[scope["p_ob"]])
    part = scope(settlement_below_by_now)
    scope.reading(
        "s_t", found.settlement_at(days) - part.array, ["course", "date"], inputs=[scope["t"]],
        title=say("reading-s-t-title"),
        note=say("reading-s-t-note"),
    )  # fmt: skip
    scope(settlement_at_plate)
    scope.reading(
        "s_oEP", found.plastic_settlement_at(days), ["course", "date"], inputs=[scope["t"], part],
        title=say("reading-s-oep-title"),
        note=say("reading-s-oep-note"),
    )  # fmt: skip
    degree, loaded = found.degree_at(days), found.load_at(days) > 0
    scope.reading(
        "U_ob", degree, ["course", "date"], title=say("reading-u-ob-title"),
        inputs=[scope["t"]], mask=np.broadcast_to(~loaded, degree.shape), reason=NO_LOAD,
    )  # fmt: skip


def _water(scope: Scope, found: Known, days: Floats, done: dict[str, Sheet]) -> None:
    scope.reading(
        "u_ob", found.ground.pressure_at(days), ["course", "date", "layer"], inputs=[scope["t"]],
        title=say("reading-u-ob-title-2"),
        note=say("reading-u-ob-note"),
    )  # fmt: skip
    for name in ("a_x", "d_c"):
        scope.take(name, done["columns"][name])
    for name in ("n_d", "s_sm", "r_ks", "mu_wr", "F_dr"):
        scope.take(name, done["consolidation"].scopes["drainage"][name])
    scope(sensor_place)
    scope(smeared_way)
    scope(sensor_factor)
    scope(pressure_at_sensor)


def _sleeve(scope: Scope, found: Known, days: Floats) -> None:
    scope.reading(
        "F_ob", found.ground.tension_at(days), ["course", "date", "layer"], inputs=[scope["t"]],
        title=say("reading-f-ob-title"),
        note=say("reading-f-ob-note"),
    )  # fmt: skip
    scope.reading(
        "J_t", found.ground.stiffness.at(days), ["date"], inputs=[scope["t"]],
        title=say("reading-j-t-title"), note=say("reading-j-t-note"),
    )  # fmt: skip
    scope.reading(
        "F_oJ", found.ground.crept_tension_at(days), ["course", "date", "layer"], inputs=[scope["F_ob"], scope["J_t"]],
        title=say("reading-f-oj-title"),
        note=say("reading-f-oj-note"),
    )  # fmt: skip
    scope(strain_of_tension, F_ob="F_oJ", J="J_t")


def range_table(key: str, title: str, scope: Scope, dates: Reading, names: Sequence[str], note: str = "") -> Table:
    """A row for each date with the lowest, the expected and the highest number of each quantity."""
    head = [TableColumn(words="date"), TableColumn(words="day")]
    head += [
        TableColumn(words=words, unit=symbol(name).unit_text)
        for name in names
        for words in (f"{SHORT_WORDS[name]} low", "expected", "high")
    ]
    values = [scope[name].largest("course", "date") for name in names]
    rows = []
    for label, day in zip(dates.labels, dates.days, strict=True):
        cells = [cell for name, value in zip(names, values, strict=True) for cell in _three(name, value.at(date=label))]
        rows.append([label, number_text(day, 0), *cells])
    return Table(key, title, head, rows, note)


def _three(name: str, value: Value) -> list[str]:
    """Lowest, expected and highest over the courses."""
    one = symbol(name)
    if not value.valid.all():
        return ["–"] * 3
    least, most = float(value.array.min()), float(value.array.max())
    middle = value.number({"course": AS_GIVEN}) or 0.0
    return [number_text(number * one.factor, one.decimals) for number in (least, middle, most)]


def range_tables(sheet: Sheet, scope: Scope, dates: Reading) -> None:
    """The expected range of every quantity at every date."""
    across = say("range-tables-across")
    sheet.tables += [
        range_table("expected-settlement", say("range-tables-sheet-tables"), scope, dates,
                    ("s_ob", "s_oEP", "U_ob"), say("range-tables-sheet-tables-2", across=across)),
        range_table("expected-sleeve", say("range-tables-sheet-tables-3"), scope, dates,
                    ("u_sen", "F_ob", "eps_ob"), say("range-tables-sheet-tables-4", across=across)),
        range_table("expected-heads", say("range-tables-sheet-tables-5"), scope, dates,
                    ("sigma_sob", "sigma_cob", "n_ob"), say("range-tables-sheet-tables-6", across=across)),
    ]  # fmt: skip


def band(section: Section, found: Known, levels: Sequence[tuple[float, str]]) -> TimeChart:
    """Expected band of settlement and excess pore pressure over time with the trigger levels of settlement."""
    ground = found.ground
    until, last = ground.hand_over, ground.end_of_life
    breaks = [day for one in section.stages for day in (one.start, one.start + one.duration)]
    late = np.geomspace(until, last, LATE)
    days = np.unique([*np.linspace(0.0, until, EARLY), *breaks, *late])
    settled, water = 1000 * found.settlement_at(days), found.reading_at(days).max(axis=-1)
    tracks = (
        _track("settlement", "mm", days, settled, downward=True, levels=levels),
        _track("excess pore pressure", "kN/m²", days, water, share=0.6),
    )
    marks = tuple((section.stages[k].start, section.stages[k].name) for k in steps_of(section))
    title = say("band-title")
    alt = say(
        "band-alt",
        title=title,
        until=until,
        min=settled[:, days <= until][:, -1].min(),
        max=settled[:, days <= until][:, -1].max(),
    )
    note = say("band-note")
    return TimeChart("band", title, alt, tracks, until, last, marks, note)


def _track(
    title: str, unit: str, days: Floats, values: Floats, *, downward: bool = False,
    levels: Sequence[tuple[float, str]] = (), share: float = 1.0,
) -> Track:  # fmt: skip
    at = tuple(map(float, days))
    curves = tuple(Curve(words, at, tuple(map(float, row))) for words, row in zip(COURSES, values, strict=True))
    return Track(title, unit, curves, downward, tuple(levels), (curves[2], curves[1]), share)
