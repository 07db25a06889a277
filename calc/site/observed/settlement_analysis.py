"""Back-analysis of the settlement of a plate by equal steps, hyperbola and the design's own course; forecasts."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from calc.engine.sheet import Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import observation as ob
from calc.procedures.observation import (
    FEWEST,
    MARGIN,
    OWN,
    Admitted,
    EqualSteps,
    Fit,
    Shape,
    admitted_shapes,
    equal_steps,
    fit_course,
    parallel_slope,
)
from calc.site.observed.course_grid import FACTORS, CourseGrid, factor_apart
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.series import Series

say = words_of(__name__)

Floats = NDArray[np.float64]

FEWEST_STEPS = 4  # equal steps of a line
FEWEST_READINGS = 8  # of a forecast
FEWEST_UNDER_LOAD = 5  # of them after the last lift
LEAST_DEGREE = 0.5  # of the load placed, before which a forecast is too early: the published methods ask for it
WINDOW = (0.6, 0.9)  # of the hyperbola
FEWEST_OF_WINDOW = 4
LARGEST_GAP = 0.25  # of the time read
SHORT_GAP = 14.0  # day; no longer gap is one
SCALES = (0.1, 10.0)  # factors on the settlement of a design that the readings are those of: project rule
DEPENDENT = 0.5  # correlation of residuals with the one before
POOR = 0.03  # of the last reading: standard deviation of residuals from which a trend of theirs counts
UNSURE = 0.4  # of what a slope lacks to 1: with a larger standard error its final settlement means nothing
SLOPE_FACTOR = 0.7370  # one exponential in the window, least squares over even degrees
EVEN_TIMES = 0.7451  # the same over even times, told beside it
ROUNDS = 20
REST = 0.01  # of what the last load brings by the hyperbola, by which its last round may move it: project rule
APART = factor_apart(2 * MARGIN)  # that factors on c_h of two parts may be of one another: project rule
BEFORE = 1e-4  # day; what is read as a stage begins is no reading before it
MM = 1000.0


@dataclass(frozen=True)
class StepsLine:
    """A line of equal steps in a window of days: what its scope has."""

    scope: Scope
    steps: EqualSteps
    slope: float
    final: float | None


@dataclass(frozen=True)
class Hyperbola:
    """The hyperbola of the readings in its window (day, m) and its final settlement (m)."""

    scope: Scope
    days: Floats
    values: Floats
    final: float


@dataclass(frozen=True)
class Span:
    """A result with its range at the stated confidence; no ``high`` where the range has no end within the time seen."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Forecast:
    """What the fitted course gives: settlements (m) and the day of hand-over from which the limit is kept."""

    scope: Scope
    placed: Span
    at_hand_over: Span
    at_end: Span
    residual: Span
    hand_over: Span | None
    limit: float | None
    curve: tuple[Floats, Floats]


@dataclass
class Analysis:
    """Everything about one plate.

    Why the readings do not support a forecast: ``scarce`` that they are too few, ``wrong`` that the ground does not do
    what the design expects, ``early`` that too little has come for one. ``shapes`` are the courses that the readings
    admit, of which the first counts, with its ``fit``; ``degree`` is that of it.
    """

    series: Series
    sheet: Sheet
    lines: dict[str, StepsLine] = field(default_factory=dict)
    common: float | None = None
    hyperbola: Hyperbola | None = None
    fit: Fit | None = None
    shapes: list[Admitted] = field(default_factory=list)
    forecast: Forecast | None = None
    degree: float | None = None
    scarce: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    early: str = ""
    no_line: str = ""
    no_hyperbola: str = ""

    @property
    def why_none(self) -> list[str]:
        """Why there is no forecast; empty where there is one."""
        return [*self.reasons, *([self.early] if self.early else [])]

    @property
    def reasons(self) -> list[str]:
        """Why there is no degree of consolidation, either."""
        return [*self.scarce, *self.wrong]

    @property
    def line(self) -> StepsLine | None:
        """The line that counts: of readings beyond half of the settlement of the load, or of all under it."""
        late = self.lines.get("late")
        return late if late is not None and late.final is not None else self.lines.get("all")


def analyse(course: DesignCourse, grid: CourseGrid, series: Series) -> Analysis:
    """The back-analysis of a plate; nothing is refused, and what cannot be said says why."""
    made = Analysis(series, Sheet(section=series.section, key=f"plate {series.name}"))
    used = series.used
    if used.days.size < FEWEST:
        made.scarce.append(say("few", count=used.days.size, least=FEWEST_READINGS))
        made.no_line = made.no_hyperbola = say("no-readings")
        return made
    load = course.step_at(course.last) - 1
    programme = course.known.ground.programme
    end = programme.end[load] if load >= 0 else 0.0
    under = used.chosen(used.days >= end)
    _steps(made, course, under, load)
    _hyperbola(made, under)
    _fit(made, grid, used)
    _limits(made, used, under, course.works.unknown, filling=end > course.last)
    if made.fit is not None:
        _forecast(made, course, grid, used)
        if made.degree is not None and made.degree < LEAST_DEGREE:
            made.early = say("early", degree=f"{100 * made.degree:.0f}", least=f"{100 * LEAST_DEGREE:.0f}")
    return made


def _steps(made: Analysis, course: DesignCourse, under: Series, load: int) -> None:
    """Lines of equal steps under the load placed last: all readings, beyond half of its settlement, the later half."""
    steps = equal_steps(under.days, under.values)
    if steps is None or len(steps.days) < FEWEST_STEPS + 1:
        made.no_line = say("few-steps", least=FEWEST_STEPS)
        return
    whole = _line(made, course, steps, "all", say("line-all"))
    made.lines["all"] = whole
    if whole.final is not None:
        share = (steps.values - steps.values[0]) / max(whole.final - steps.values[0], 1e-9)
        first = int(np.argmax(share >= LEAST_DEGREE)) if (share >= LEAST_DEGREE).any() else len(share)
        if 0 < first <= len(steps.days) - FEWEST_STEPS - 1:
            made.lines["late"] = _line(made, course, steps.from_place(first), "late", say("line-late"))
    half = len(steps.days) // 2
    if len(steps.days) - half > FEWEST_STEPS:
        made.lines["half"] = _line(made, course, steps.from_place(half), "half", say("line-half"))
    _parallel(made, course, steps, load)


def _line(made: Analysis, course: DesignCourse, steps: EqualSteps, key: str, title: str) -> StepsLine:
    scope = made.sheet.scope(f"steps_{key}", title)
    made.sheet.axis("reading", [f"{day:.2f} d" for day in steps.days[1:]])
    note = say("interpolated") if steps.interpolated else say("as-read")
    scope.reading("s_ba", steps.values[:-1], ["reading"], title=say("starts"), note=note)
    scope.reading("s_bn", steps.values[1:], ["reading"], title=say("ends"), note=note)
    scope.reading("n_eq", len(steps.days) - 1, title=say("count"))
    scope.reading("Dt_as", steps.step, title=say("step"), note=note)
    scope(ob.mean_start_of_steps)
    scope(ob.mean_end_of_steps)
    if float(np.ptp(steps.values[:-1])) <= 0:
        return StepsLine(scope, steps, np.nan, None)
    slope = float(scope(ob.slope_of_steps).array)
    scope(ob.intercept_of_steps)
    scope(ob.freedom_about_steps)
    error = float(scope(ob.error_of_slope).array)
    if not 0 < slope < 1 or error > UNSURE * (1 - slope):
        return StepsLine(scope, steps, slope, None)
    final = float(scope(ob.final_by_steps).array)
    scope(ob.rate_by_steps)
    drainage, transfer = (course.done["consolidation"].scopes[name] for name in ("drainage", "transfer"))
    layer = made.sheet.kept.setdefault("layer", course.slowest)
    scope.take("d_e", drainage["d_e"])
    for name, value in (("F_dr", drainage["F_dr"]), ("f_tr", transfer["f_tr"])):
        scope.take(name, value.at(layer=layer) if "layer" in value.axis_names else value)
    scope(ob.horizontal_coefficient_by_steps)
    scope(ob.coefficient_of_soil)
    vertical = course.done["consolidation"].scopes.get("vertical")
    if vertical is not None and "H_dr" in vertical:
        scope.take("H_dr", vertical["H_dr"])
        scope(ob.vertical_coefficient_by_steps)
    return StepsLine(scope, steps, slope, final)


def _parallel(made: Analysis, course: DesignCourse, last: EqualSteps, load: int) -> None:
    """The common slope of the lines under this load and the loads before it."""
    programme, used = course.known.ground.programme, made.series.used
    periods = []
    for k in range(load):
        which = (used.days >= programme.end[k]) & (used.days <= programme.begin[k + 1])
        own = equal_steps(used.days[which], used.values[which], last.step)
        if own is not None:
            periods.append(own)
    if not periods:
        return
    starts, ends, slope = parallel_slope([*periods, last])
    if not np.isfinite(slope):
        return
    scope = made.sheet.scope("parallel", say("parallel", count=len(periods) + 1))
    made.sheet.axis("reading", [f"{k}" for k in range(1, len(starts) + 1)])
    scope.reading("ds_ba", starts, ["reading"], title=say("starts-own"))
    scope.reading("ds_bn", ends, ["reading"], title=say("ends-own"))
    made.common = float(scope(ob.common_slope).array)


def _hyperbola(made: Analysis, under: Series) -> None:
    """The hyperbola in its window from 60 % to 90 % of what the load brings after its placing, found by repetition."""
    made.no_hyperbola = say("no-window")
    line = made.line
    if line is None or line.final is None or not under.days.size:
        made.no_hyperbola = say("no-line")
        return
    since, settled = under.days[1:] - under.days[0], under.values[1:] - under.values[0]
    final = line.final - under.values[0]
    for _ in range(ROUNDS):
        which = (settled >= WINDOW[0] * final) & (settled <= WINDOW[1] * final) & (settled > 0)
        if which.sum() < FEWEST_OF_WINDOW:
            return
        slope = np.polyfit(since[which], since[which] / settled[which], 1)[0]
        if slope <= 0:
            return
        before, final = final, SLOPE_FACTOR / float(slope)
        if abs(final - before) <= REST * final:
            break
    else:
        made.no_hyperbola = say("no-rest-of-window")
        return
    scope = made.sheet.scope("hyperbola", say("hyperbola"))
    made.sheet.axis("reading", [f"{day:.2f} d" for day in under.days[1:][which]])
    scope.reading("t_hy", since[which], ["reading"], title=say("times"))
    scope.reading("s_hy", settled[which], ["reading"], title=say("settled"))
    scope.reading("n_hy", int(which.sum()), title=say("window-count"))
    scope.reading("s_hy0", float(under.values[0]), title=say("settled-before"))
    scope.reading("al_hy", SLOPE_FACTOR, title=say("slope-factor"), source=ob.SLOPE, note=say(
        "slope-factor-note", low=f"{100 * WINDOW[0]:.0f}", high=f"{100 * WINDOW[1]:.0f}", even=f"{EVEN_TIMES:.3f}",
        more=f"{100 * (EVEN_TIMES / SLOPE_FACTOR - 1):.1f}"))  # fmt: skip
    for formula in (ob.time_over_settlement, ob.mean_of_times, ob.mean_of_quotients, ob.slope_of_hyperbola,
                    ob.intercept_of_hyperbola, ob.asymptote, ob.final_by_hyperbola):  # fmt: skip
        scope(formula)
    made.no_hyperbola = ""
    made.hyperbola = Hyperbola(scope, since[which], settled[which], float(scope["s_hyf"].array))


def _fit(made: Analysis, grid: CourseGrid, used: Series) -> None:
    wide = grid.of(used.days)
    courses = OWN.of(wide)
    if (wide**2).sum(axis=-1).min() <= 0 or not (used.values > 0).any():
        made.wrong.append(say("nothing-settles"))
        return
    fit = fit_course(FACTORS, courses, used.values[None])
    if fit.bounded[0]:
        made.wrong.append(say("bound", low=f"{FACTORS[0]:g}", high=f"{FACTORS[-1]:g}"))
    elif not fit.converged[0]:
        made.wrong.append(say("no-rest"))
    elif not SCALES[0] <= fit.scale[0] <= SCALES[1]:
        made.wrong.append(say("scale", scale=f"{fit.scale[0]:.3f}", low=f"{SCALES[0]:g}", high=f"{SCALES[1]:g}"))
    elif fit.lag[0] > DEPENDENT and fit.error[0] > POOR * abs(used.values[-1]):
        made.wrong.append(say("trend", lag=f"{fit.lag[0]:.2f}", error=f"{MM * fit.error[0]:.1f}"))
    else:
        shapes = admitted_shapes(FACTORS, wide, used.values[None])[0]
        if shapes[0].at_the_end:
            made.wrong.append(say("apart", apart=f"{APART:.0f}"))
        elif _is_wide(fit, shapes):
            made.scarce.append(
                say("wide", low=f"{FACTORS[0]:g}", scale_low=f"{SCALES[0]:g}", scale_high=f"{SCALES[1]:g}")
            )
        else:
            made.fit, made.shapes = shapes[0].fit, shapes


def _is_wide(fit: Fit, shapes: Sequence[Admitted]) -> bool:
    """Whether the ranges of the factors reach beyond what a design and its readings can be apart."""
    rates, _ = fit.ellipse()
    scales = np.concatenate([admitted.scales for admitted in shapes])
    return bool(rates.min() < FACTORS[0] or scales.min() < SCALES[0] or scales.max() > SCALES[1])


def _limits(made: Analysis, used: Series, under: Series, unknown: str, *, filling: bool) -> None:
    """Why the readings do not support a forecast, whatever it would be."""
    if used.days.size < FEWEST_READINGS:
        made.scarce.append(say("few", count=used.days.size, least=FEWEST_READINGS))
    if filling:
        made.scarce.append(say("load"))
    elif under.days.size < FEWEST_UNDER_LOAD:
        made.scarce.append(say("few-under-load", count=under.days.size, least=FEWEST_UNDER_LOAD))
    gaps, span = np.diff(used.days), float(np.ptp(used.days))
    if gaps.max() > max(SHORT_GAP, LARGEST_GAP * span):
        made.scarce.append(say("gap", gap=f"{gaps.max():.0f}", span=f"{span:.0f}"))
    if unknown:
        made.scarce.append(unknown)
    line = made.line
    # Without a rise that is left, scatter alone makes a slope near 0: nothing is wrong with the readings then.
    if line is not None and line.slope >= 1:
        made.wrong.append(say("slope", slope=f"{line.slope:.3f}"))


def _forecast(made: Analysis, course: DesignCourse, grid: CourseGrid, used: Series) -> None:
    """Settlements by the fitted course with their range, and the hand-over from which the limit is kept."""
    assert made.fit is not None  # noqa: S101 - asked before
    first = made.shapes[0]
    # Beyond the highest factor everything comes at once; a range that reaches below the lowest one makes no fit.
    rates = np.clip(np.concatenate([admitted.rates for admitted in made.shapes]), FACTORS[0], FACTORS[-1])
    scales = np.concatenate([admitted.scales for admitted in made.shapes])
    limit = course.design.basis.limits.settlement_residual
    days = np.array([course.last, course.calendar.hand_over, course.calendar.end_of_life])
    settled = scales[:, None] * _of_shapes(made, lambda shape, own: grid.at(days, own, shape))
    scope = made.sheet.scope("fit", say("fit"))
    made.sheet.axis("point", [say("now"), say("hand-over"), say("end")])
    for name, values, title, decimals in (
        ("f_ch", rates, say("rate-factor"), 2), ("f_sf", scales, say("scale-factor"), 3),
    ):  # fmt: skip
        note = say("range", low=f"{values.min():.{decimals}f}", high=f"{values.max():.{decimals}f}")
        if name == "f_ch" and first.shape != OWN:
            note += " " + say(
                "two-parts", share=f"{100 * first.shape.share:.0f}", apart=f"{factor_apart(first.shape.steps):.2f}"
            )
        scope.reading(name, values[0], title=title, source=ob.FITTED, note=note)
    scope.reading("r_lag", float(made.fit.counted[0]), title=say("lag"), source=ob.LAG)
    scope(ob.error_factor)
    scope.reading("s_dc", grid.at(days, rates[:1], first.shape)[0], ["point"], title=say("course"),
                  inputs=[scope["f_ch"]], source=ob.FITTED)  # fmt: skip
    scope(ob.fitted_settlement)
    scope.take("s_fh", scope["s_ft"].at(point=say("hand-over")))
    scope.take("s_fl", scope["s_ft"].at(point=say("end")))
    scope(ob.forecast_residual)
    last, fitted = float(used.values[-1]), float(scope["s_ft"].at(point=say("now")).array)
    scope.reading("s_ob1", min(last, fitted), title=say("last-reading"), inputs=[scope["s_ft"].at(point=say("now"))])
    scope.reading("s_of", float(scales[0] * grid.final), title=say("final-of-fit"), inputs=[scope["f_sf"]])
    upper = float(scales.max() * grid.final)
    scope.reading("s_ofu", upper, title=say("final-upper"), inputs=[scope["f_sf"]])
    made.degree = float(scope(ob.degree_by_settlement).array)
    scope(ob.degree_by_settlement, s_of="s_ofu", U_os="U_osl")
    scatter = float(made.fit.quantile * made.fit.error[0])
    # By its own range alone: one that other shapes widen would hide what is exceeded.
    most = float(made.fit.ellipse()[1].max() * grid.final)
    if last > most + scatter:
        made.wrong.append(say("exceeded", last=f"{MM * last:.0f}", final=f"{MM * most:.0f}",
                              scatter=f"{MM * scatter:.0f}"))  # fmt: skip
    left = scales[:, None] * _of_shapes(made, lambda shape, own: grid.left_at(own, shape)) + grid.below
    made.forecast = Forecast(
        scope, _span(scales * grid.final), _span(settled[:, 1]), _span(settled[:, 2]),
        _span(settled[:, 2] - settled[:, 1]), None if limit is None else _kept_from(grid.dates, left, limit), limit,
        (grid.days, scales[0] * grid.at(grid.days, rates[:1], first.shape)[0]),
    )  # fmt: skip


def _of_shapes(made: Analysis, values: Callable[[Shape, Floats], Floats]) -> Floats:
    """Values of every shape for the factors of its range, one below the other."""
    return np.concatenate(
        [values(admitted.shape, np.clip(admitted.rates, FACTORS[0], FACTORS[-1])) for admitted in made.shapes]
    )


def _span(values: Floats) -> Span:
    return Span(float(values[0]), float(values.min()), float(values.max()))


def _kept_from(dates: Floats, left: Floats, limit: float) -> Span:
    """The first hand-over after which no more than the limit is left; infinite where none is within the time seen."""
    days = []
    for row in left:
        over = np.flatnonzero(row > limit)
        if not over.size:
            days.append(float(dates[0]))
        elif over[-1] == len(row) - 1:
            days.append(np.inf)
        else:
            k = over[-1]
            days.append(float(dates[k] + (row[k] - limit) / (row[k] - row[k + 1]) * (dates[k + 1] - dates[k])))
    return Span(days[0], min(days), max(days))
