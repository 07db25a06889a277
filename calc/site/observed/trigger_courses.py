"""What triggers are compared with: the quantity of each in time, with the lines by which readings give it."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.reading_dates import Spans, spans_of
from calc.engine.formula import Formula
from calc.factors.monitored import QUANTITIES
from calc.formulas import observation as ob
from calc.formulas.monitoring import settlement_rate
from calc.formulas.unit_cell import stress_ratio
from calc.inputs.tables.monitoring import Trigger
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.earlier_forecast import forecast_before
from calc.site.observed.series import SAME_DAY, Series

Floats = NDArray[np.float64]
Marks = NDArray[np.bool_]
Recipe = tuple[tuple[Formula, Mapping[str, str]], ...]
"""Formulas one after the other, each with the symbols that it is written with."""

SLACK = 1e-9
MOMENT = 1e-5  # day; a stage whose start is put off to the last reading has not begun by it
LEAST_LOAD = 10.0  # kPa; under less the scatter of the cells makes the ratio: project rule
LEAST_SETTLEMENT = 0.02  # m; over less the scatter of readings would make the displacement ratio: project rule
DAY = 1.0
RATES = {"settlement rate", "lateral rate"}
EITHER_WAY = {"lateral displacement", "lateral rate"}  # the magnitude counts, whatever way an instrument calls positive
RATIO, INCREMENTS = "displacement ratio", "displacement increment ratio"

BY_RATE: Recipe = ((settlement_rate, {"v_ob": "v_rd", "s_vb": "s_rdb", "s_va": "s_rda", "t_v": "t_rd"}),)
BY_LATERAL_RATE: Recipe = ((ob.lateral_rate, {}),)
SINCE_HAND_OVER: Recipe = ((ob.settled_since, {"s_rd": "s_rr"}),)
BY_STRAIN: Recipe = ((ob.tension_by_strain, {}),)
BY_CELLS: Recipe = ((stress_ratio, {"n": "n_rd", "Dsigma_vc": "sigma_crd", "Dsigma_vs": "sigma_srd"}),)
BY_SETTLEMENT: Recipe = ((ob.degree_by_settlement, {"U_os": "U_osl", "s_of": "s_ofu"}),)
BY_DISPLACEMENT: Recipe = ((ob.displacement_ratio, {}),)
BY_INCREMENTS: Recipe = ((ob.lateral_change, {}), (ob.settled_since, {}), *BY_DISPLACEMENT)


@dataclass(frozen=True)
class Course:
    """What a trigger is compared with: values of a quantity in time, with the series that they come from."""

    name: str
    days: Floats
    values: Floats
    outliers: Marks
    depth: float | None = None
    kind: str = ""
    """The instruments of the plan that its own is one of, where the name is of several."""
    parts: Mapping[str, Floats] = field(default_factory=dict)
    """By symbol what the values are made of; nothing where they are read as they are."""
    recipe: Recipe = ()


def computed_course(name: str, days: Floats, outliers: Marks, parts: Mapping[str, Floats], recipe: Recipe) -> Course:
    """The course that formulas give of parts, the last of them the quantity itself."""
    known = dict(parts)
    values = np.zeros(len(days))
    for formula, names in recipe:
        values = np.asarray(
            formula(*(known[names.get(argument, argument)] for argument in formula.arguments)), dtype=np.float64
        )
        known[names.get(formula.symbol, formula.symbol)] = values
    return Course(name, days, values, outliers, parts=parts, recipe=recipe)


def courses_of(course: DesignCourse, series: Sequence[Series], trigger: Trigger) -> Iterator[Course]:
    """The values of the quantity of a trigger, by every instrument that reads it."""
    quantity = trigger.quantity
    if quantity in TOGETHER:
        yield from TOGETHER[quantity](course, series, trigger)
        return
    for instrument in series:
        if instrument.quantity not in QUANTITIES[quantity].read_by or not instrument.days.size:
            continue
        if not in_layer(course, instrument, trigger):
            continue
        if quantity in RATES:
            yield _rates(instrument)
        elif quantity == "residual settlement":
            yield from _residual(course, instrument)
        elif quantity == "ring tension":
            stiffness = np.asarray(course.known.ground.stiffness.at(np.maximum(instrument.days, 0.0)))
            yield computed_course(
                instrument.name,
                instrument.days,
                instrument.alone,
                {"J_rd": stiffness, "eps_rd": instrument.values},
                BY_STRAIN,
            )
        else:
            values = np.abs(instrument.values) if quantity in EITHER_WAY else instrument.values
            yield Course(instrument.name, instrument.days, values, instrument.alone, instrument.depth)


def in_layer(course: DesignCourse, instrument: Series, trigger: Trigger) -> bool:
    """Whether an instrument stands in the layer that a trigger is for; anywhere where it is for none."""
    return trigger.layer is None or (
        instrument.depth is not None and course.layer_key(instrument.depth) == trigger.layer
    )


def spans_in(course: DesignCourse, trigger: Trigger) -> Spans:
    """The times in which a trigger holds, at the dates of the works."""
    return spans_of(course.section, trigger, course.calendar)


def _by_load(course: DesignCourse, series: Sequence[Series], _trigger: Trigger) -> Iterator[Course]:
    """Stress ratios; a light load is read, and says nothing of them."""
    for ratio in stress_ratios(series):
        heavy = course.known.load_at(np.maximum(ratio.days, 0.0)) >= LEAST_LOAD
        yield replace(ratio, values=np.where(heavy, ratio.values, np.inf))


def _displacements(course: DesignCourse, series: Sequence[Series], trigger: Trigger) -> Iterator[Course]:
    starts = [start for start, _ in spans_in(course, trigger)] if trigger.quantity == INCREMENTS else []
    yield from displacement_ratios(series, starts)


def _rates(instrument: Series) -> Course:
    """Change per day since the last reading at least a day before: over less the scatter would make the rate.

    It counts from a reading that is no outlier; a rate up to one that no other place shares is marked as one.
    """
    used, every = instrument.used, instrument.chosen(instrument.days >= 0)
    before = np.searchsorted(used.days, every.days - DAY + SLACK, side="right") - 1
    which = before >= 0
    now, then = np.flatnonzero(which), before[which]
    sign, recipe = ("s", BY_RATE) if instrument.quantity == "settlement" else ("d", BY_LATERAL_RATE)
    parts = {f"{sign}_rdb": every.values[now], f"{sign}_rda": used.values[then],
             "t_rd": every.days[now] - used.days[then]}  # fmt: skip
    return computed_course(instrument.name, every.days[now], every.alone[now], parts, recipe)


def _degrees(course: DesignCourse, series: Sequence[Series], trigger: Trigger) -> Iterator[Course]:
    """Degree by settlement that every plate gave before the stage that asks for it."""
    day = spans_in(course, trigger)[0][0]
    for instrument in series if day < course.last - MOMENT else ():
        forecast = forecast_before(course, instrument, day) if instrument.quantity == "settlement" else None
        if forecast is not None:
            parts = {name: np.atleast_1d(forecast.scope[name].array) for name in ("s_ob1", "s_ofu")}
            yield computed_course(instrument.name, np.array([day]), np.zeros(1, dtype=bool), parts, BY_SETTLEMENT)


def _residual(course: DesignCourse, instrument: Series) -> Iterator[Course]:
    """Settlement since the hand-over, from its reading interpolated at that day."""
    used, day = instrument.used, course.calendar.hand_over
    if used.days.size and used.days[0] <= day < used.days[-1]:
        later = instrument.days > day
        parts = {"s_rdb": instrument.values[later],
                 "s_rda": np.full(int(later.sum()), np.interp(day, used.days, used.values))}  # fmt: skip
        yield computed_course(instrument.name, instrument.days[later], instrument.alone[later], parts, SINCE_HAND_OVER)


def stress_ratios(series: Sequence[Series]) -> Iterator[Course]:
    """Mean pressure on the columns over mean pressure on the soil, at every time at which both were read."""
    cells = [[cell.used for cell in series if cell.quantity == name and cell.used.days.size]
             for name in ("pressure on columns", "pressure on soil")]  # fmt: skip
    if not all(cells):
        return
    days = np.unique(np.concatenate([cell.days for cell in cells[0]]))
    means = [np.array([_mean_near(own, day) for day in days]) for own in cells]
    both = np.isfinite(means[0]) & np.isfinite(means[1]) & (np.nan_to_num(means[1]) > 0)
    if both.any():
        names = "+".join(dict.fromkeys(cell.kind for own in cells for cell in own))
        parts = {"sigma_crd": means[0][both], "sigma_srd": means[1][both]}
        yield computed_course(names, days[both], np.zeros(int(both.sum()), dtype=bool), parts, BY_CELLS)


def displacement_ratios(series: Sequence[Series], starts: Sequence[float] = ()) -> Iterator[Course]:
    """Magnitude of lateral displacement over the settlement of the plate nearest to the axis on the same day.

    From the zero readings, or with ``starts`` the increments since the last of these days. Days on which the plate was
    not read yet, or no more, have no ratio; between its readings its settlement is interpolated.
    """
    plates = [plate.used for plate in series if plate.quantity == "settlement" and plate.used.days.size]
    if not plates:
        return
    plate = min(plates, key=lambda plate: abs(plate.offset))
    for instrument in series:
        if instrument.quantity != "lateral displacement" or not instrument.used.days.size:
            continue
        used = instrument.used
        both = (instrument.days >= max(plate.days[0], used.days[0])) & (instrument.days <= plate.days[-1])
        moved, days, alone = instrument.values[both], instrument.days[both], instrument.alone[both]
        settled = np.interp(days, plate.days, plate.values)
        parts, recipe = {"d_rd": np.abs(moved), "s_rd": settled}, BY_DISPLACEMENT
        if starts:
            since = np.array([max([start for start in starts if start <= day], default=np.nan) for day in days])
            # Before both were read there is nothing to count from.
            known = since >= max(plate.days[0], used.days[0]) - SLACK
            days, alone, since = days[known], alone[known], since[known]
            parts, recipe = {
                "d_rdb": moved[known], "d_rda": np.interp(since, used.days, used.values),
                "s_rdb": settled[known], "s_rda": np.interp(since, plate.days, plate.values),
            }, BY_INCREMENTS  # fmt: skip
        parts["s_rdl"] = np.full(len(days), LEAST_SETTLEMENT)
        yield replace(
            computed_course(f"{instrument.name}/{plate.name}", days, alone, parts, recipe), kind=instrument.kind
        )


def _mean_near(cells: Sequence[Series], day: float) -> float:
    near = [cell.values[np.abs(cell.days - day) <= SAME_DAY] for cell in cells]
    means = [float(values.mean()) for values in near if values.size]
    return float(np.mean(means)) if means else np.nan


TOGETHER: dict[str, Callable[[DesignCourse, Sequence[Series], Trigger], Iterator[Course]]] = {
    "stress ratio": _by_load, "degree of consolidation": _degrees, RATIO: _displacements, INCREMENTS: _displacements,
}  # fmt: skip
"""Quantities that several instruments read together, or a plate with the design."""
