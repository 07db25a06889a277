"""May the next lift be placed? Degrees measured against what its stage asks, and its utilisations with them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import AS_GIVEN, SCENARIOS, origin_of
from calc.engine.levels import above
from calc.engine.sheet import Sheet
from calc.engine.sheet.steps import Verdict
from calc.engine.words import words_of
from calc.formulas import observation as ob
from calc.inputs import Section
from calc.site.observed.columns_there import ColumnsKnown, columns_stand
from calc.site.observed.crossings import (
    Crossing,
    UnreadTrigger,
    conflict_text,
    doubtful_crossings,
    layers_of,
    level_in,
    names_of,
    new_peaks,
    peak_text,
)
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.fresh_readings import is_fresh
from calc.site.observed.series import Peak, Series
from calc.site.observed.settlement_analysis import Analysis
from calc.site.observed.stage_again import Degree, stage_again
from calc.site.observed.works_dates import FRESH, calendar_day

say = words_of(__name__)

Floats = NDArray[np.float64]
BELOW_ZERO = 0.05  # of the pressure placed, by which a sensor may read less than at rest: project rule
CAMPAIGN = 1.0  # day; strengths of one series within it are of one campaign
DEGREE = "degree of consolidation"
MAY, MUST_NOT, OPEN = "may be placed", "must not be placed", "not verified"
MAY_BY_STATEMENT = "may be placed, columns accepted by statement"


@dataclass(frozen=True, slots=True)
class Age:
    """The day of the question, how long before it the last reading of a section was, and how long an answer counts."""

    asked: float
    days: float
    given: float | None

    @property
    def longest(self) -> float:
        """For how many days an answer counts."""
        return FRESH if self.given is None else self.given

    @property
    def counts(self) -> str:
        """The same in words, with where the number is from."""
        longest = f"{self.longest:g}"
        return say("counts-by-rule", longest=longest) if self.given is None else say("counts", longest=longest)

    @property
    def old(self) -> bool:
        """Whether the readings say nothing of the day of the question."""
        return self.days > self.longest


@dataclass(frozen=True)
class NextLift:
    """The next stage that places fill, what was verified for it and what came out; ``start`` as planned (day).

    ``by_settlement`` is the lower end of the range of the least degree, ``by_pressure`` the least of the sensors.
    """

    name: str
    start: float
    sheet: Sheet
    by_settlement: float | None
    by_pressure: float | None

    @property
    def answer(self) -> str:
        """What the verdicts together say; the designer decides."""
        if any(verdict.state == "fail" for verdict in self.sheet.verdicts):
            return MUST_NOT
        if any(verdict.state == "not verified" and verdict.required for verdict in self.sheet.verdicts):
            return OPEN
        return MAY_BY_STATEMENT if any(verdict.accepted for verdict in self.sheet.verdicts) else MAY


def next_lift(
    course: DesignCourse, whole: Section, series: Sequence[Series], analyses: Sequence[Analysis],
    crossed: Sequence[Crossing], unread: Sequence[UnreadTrigger] = (), *, peaks: Sequence[Peak] = (), slip: bool = True,
    columns: ColumnsKnown | None = None, age: Age | None = None,
) -> NextLift | None:  # fmt: skip
    """The next stage of the section that places fill; None where all fill lies. ``whole`` has its slip searches.

    Without ``columns`` they are not known to stand.
    """
    place = next((k for k in _rising(course) if course.calendar.starts[k] >= course.last), None)
    if place is None:
        return None
    stage = course.section.stages[place]
    sheet = Sheet(section=course.section.key, key="next lift")
    if age is not None and age.old:
        sheet.not_verified("age", say("age"), age_text(course, age))
    columns_stand(sheet, course, place, columns)
    if course.works.unknown or not any(course.works.read):
        sheet.not_verified("load", say("load"), f"{course.works.unknown or course.works.note.rstrip('.')}.")
    if two := [conflict_text(course, instrument) for instrument in series if instrument.conflicts]:
        sheet.not_verified("conflicts", say("conflicts"), f"{'; '.join(two)}.")
    if new := new_peaks(peaks, course.last):
        sheet.not_verified("peaks", say("peaks"), say("common-peak", peaks=peak_text(course, new)))
    settled = _by_settlement(sheet, course, analyses)
    drained = _by_pressure(sheet, course, series)
    missing = _layers_without(course, series) if drained.value is not None else ""
    _degrees(sheet, course, place, settled, drained, missing)
    _strength(sheet, course, place, series)
    _red(sheet, course, crossed, unread)
    measured = Degree(None, missing) if missing else drained
    stage_again(sheet, course, whole, place, (settled, measured), slip=slip)
    return NextLift(stage.name, course.calendar.starts[place], sheet, settled.value, drained.value)


def age_text(course: DesignCourse, age: Age) -> str:
    """How old the readings are on the day of the question."""
    return say("old", date=calendar_day(course.design, course.last), age=f"{age.days:.0f}",
               asked=calendar_day(course.design, age.asked), counts=age.counts)  # fmt: skip


def no_lift(course: DesignCourse) -> tuple[str, bool]:
    """What is said where there is no next lift, and whether that is verified."""
    if course.works.unknown:
        return say("lies-unknown"), False
    rising, stages = _rising(course), course.section.stages
    if not all(course.works.read[k] for k in rising):
        return say("lies-by-programme"), False
    placing = [stages[k].name for k in rising if course.calendar.ends[k] > course.last]
    return (say("placing", name=placing[0]) if placing else say("all-lies")), True


def _rising(course: DesignCourse) -> list[int]:
    """Indices of the stages that place fill, a working platform included."""
    stages, base = course.section.stages, course.section.platform is not None
    heights = [0.0, *(stage.fill_height for stage in stages)]
    return [k for k in range(len(stages)) if above(heights[k + 1], heights[k]) or (k == 0 and base)]


def _by_settlement(sheet: Sheet, course: DesignCourse, analyses: Sequence[Analysis]) -> Degree:
    """Least degree of the plates with fresh readings, with the upper end of what each settles in the end."""
    if course.works.unknown:
        return Degree(None, f"{course.works.unknown}.")
    fresh = [analysis for analysis in analyses if is_fresh(analysis.series, course.last)]
    fits = [analysis for analysis in fresh if analysis.forecast is not None and not analysis.reasons]
    wrong = [f"{analysis.series.name}: {'; '.join(analysis.wrong)}" for analysis in fresh if analysis.wrong]
    left = [
        analysis.series.name
        for analysis in analyses
        if analysis not in fits and not (analysis in fresh and analysis.wrong)
    ]
    note = say("left-out", names=", ".join(left)) if left else ""
    if wrong:
        return Degree(None, say("wrong", what=" | ".join(wrong)))
    if not fits:
        return Degree(None, say("no-settlement", days=f"{FRESH:.0f}"))
    scope = sheet.scope("settlement", say("settlement"))
    sheet.axis("point", [analysis.series.name for analysis in fits])
    for name, title in (
        ("s_ob1", say("reading-s_ob1")), ("s_of", say("reading-s_of")), ("s_ofu", say("reading-s_ofu")),
    ):  # fmt: skip
        values = [float(analysis.forecast.scope[name].array) for analysis in fits if analysis.forecast]
        scope.reading(name, values, ["point"], title=title)
    scope(ob.degree_by_settlement)
    least = float(scope(ob.degree_by_settlement, s_of="s_ofu", U_os="U_osl").array.min())
    return Degree(least, note, tuple(analysis.series.offset for analysis in fits))


def _by_pressure(sheet: Sheet, course: DesignCourse, series: Sequence[Series]) -> Degree:
    """Least degree of the sensors with fresh readings."""
    sensors = [sensor for sensor in series if sensor.quantity == "pore pressure" and sensor.depth is not None]
    rows = []
    for sensor in sensors:
        if not is_fresh(sensor, course.last):
            continue
        layer, day, known = course.layer_at(sensor.depth or 0.0), float(sensor.used.days[-1]), course.at(sensor.offset)
        placed = float(known.placed_pressure_at([day])[SCENARIOS.index(AS_GIVEN), 0, layer])
        if placed > 0:
            rows.append((sensor.name, float(sensor.used.values[-1]), float(known.sensor[layer]), placed, sensor.offset))
    if course.works.unknown:
        return Degree(None, f"{course.works.unknown}.")
    if not rows:
        return Degree(None, say("no-pressure", days=f"{FRESH:.0f}"))
    left = [sensor.name for sensor in sensors if sensor.name not in {row[0] for row in rows}]
    scope = sheet.scope("pressure", say("pressure"))
    sheet.axis("point", [row[0] for row in rows])
    scope.reading("u_rd", [row[1] for row in rows], ["point"], title=say("reading-u_rd"))
    scope.reading("f_us", [row[2] for row in rows], ["point"], title=say("reading-f_us"),
                  note=say("of-monitoring"))  # fmt: skip
    scope.reading("u_pl", [row[3] for row in rows], ["point"], title=say("reading-u_pl"),
                  note=say("of-monitoring"))  # fmt: skip
    degrees = scope(ob.degree_by_pressure).array
    below = [row[0] for row, degree in zip(rows, degrees, strict=True) if degree > 1 + BELOW_ZERO]
    if below:
        return Degree(None, say("below-zero", names=", ".join(below), share=f"{100 * BELOW_ZERO:.0f}"))
    note = say("left-out", names=", ".join(left)) if left else ""
    return Degree(float(degrees.min()), note, tuple(row[4] for row in rows))


def _layers_without(course: DesignCourse, series: Sequence[Series]) -> str:
    """The soft layers in which no sensor for pore pressure says anything of today; empty where there is none."""
    read = {course.layer_key(sensor.depth) for sensor in series
            if sensor.quantity == "pore pressure" and sensor.depth is not None
            and is_fresh(sensor, course.last)}  # fmt: skip
    left = [key for key in dict.fromkeys(layer.of for layer in course.section.soft_layers) if key not in read]
    return say("no-sensor", layers=", ".join(left), days=f"{FRESH:.0f}") if left else ""


def _degrees(
    sheet: Sheet, course: DesignCourse, place: int, settled: Degree, drained: Degree, missing: str
) -> None:  # fmt: skip
    """Both degrees against the one that the stage asks for, the level of a red trigger counted where it is higher.

    ``missing`` says which layers have no sensor: the others may forbid the lift, and do not allow it alone.
    """
    stage, plan = course.section.stages[place], course.section.monitoring
    asked = [(stage.degree_min, f"stage.{place}.degree_min")] if stage.degree_min is not None else []
    for k, trigger in enumerate(plan.triggers if plan else ()):
        level = trigger.level.value
        if trigger.quantity == DEGREE and (trigger.stage, trigger.kind) == (stage.name, "stop") and level is not None:
            asked.append((level, f"monitoring.trigger.{k}.level"))
    if asked and missing:
        sheet.not_verified("layers", say("layers"), missing)
    for name, symbol, title, degree in (
        ("settlement", "U_osl", say("degree-settlement"), settled),
        ("pressure", "U_ou", say("degree-pressure"), drained),
    ):
        key = f"degree_{name}"
        if not asked:
            sheet.not_verified(key, title, say("no-degree"), required=False)
        elif degree.value is None:
            sheet.not_verified(key, title, degree.note)
        elif degree.value <= 0:
            sheet.verdicts.append(Verdict(key, title, "fail", note=say("no-degree-yet")))
        else:
            scope, (most, path) = sheet.scopes[name], max(asked)
            effect = scope.given("U_min", most, origin=origin_of(course.section, path))
            sheet.verdict(key, title, effect=effect, resistance=scope[symbol], note=degree.note)


def _strength(sheet: Sheet, course: DesignCourse, place: int, series: Sequence[Series]) -> None:
    """Strengths measured since the last lift began, in every layer that the plan has a red level of the stage for."""
    plan, stage = course.section.monitoring, course.section.stages[place]
    judged = {each.number: each for each in course.done["monitoring"].kept.get("judged", [])}
    title = say("strength")
    asked = [(number, trigger) for number, trigger in enumerate(plan.triggers if plan else (), start=1)
             if trigger.quantity == "undrained strength" and trigger.stage == stage.name]  # fmt: skip
    if not asked:
        return
    read = _strengths(course, series, course.calendar.starts[place - 1] if place else 0.0)
    red, amber = list[tuple[str, float, float]](), list[tuple[str, float, float]]()
    missing = list[str]()
    for number, trigger in asked:
        for key in layers_of(course, trigger, judged.get(number)):
            level, values = level_in(trigger, judged.get(number), key), read.get(key, [])
            if trigger.kind == "stop" and (level is None or not values):
                missing.append(key)
            elif level is not None:
                rows = red if trigger.kind == "stop" else amber
                rows += [(f"{name}, T{number}", value, level) for name, value in values]
    early = [name for name, value, level in amber if value < level]
    note = say("amber", names=", ".join(early)) if early else ""
    if missing:
        sheet.not_verified("strength", title, say("no-strength", layers=", ".join(dict.fromkeys(missing))))
    elif not red:
        sheet.not_verified("strength", title, note or say("amber-alone"), required=False)
    elif min(row[1] for row in red) <= 0:
        sheet.verdicts.append(Verdict("strength", title, "fail", note=say("strengthless")))
    else:
        scope = sheet.scope("strength", title)
        sheet.axis("point", [row[0] for row in red])
        measured = scope.reading("c_uvt", [row[1] for row in red], ["point"], title=say("reading-c_uvt"))
        wanted = scope.reading("c_uas", [row[2] for row in red], ["point"], title=say("reading-c_uas"),
                               note=say("of-plan"))  # fmt: skip
        sheet.verdict("strength", title, effect=wanted, resistance=measured, note=note)


def _strengths(course: DesignCourse, series: Sequence[Series], since: float) -> dict[str, list[tuple[str, float]]]:
    """The least of the newest strengths that each series has read since a day (kPa), by the key of its layer."""
    by_layer: dict[str, list[tuple[str, float]]] = {}
    for instrument in series:
        recent = instrument.used.chosen(instrument.used.days >= since)
        if instrument.quantity == "undrained strength" and instrument.depth is not None and recent.days.size:
            newest = recent.values[recent.days >= recent.days.max() - CAMPAIGN]
            by_layer.setdefault(course.layer_key(instrument.depth), []).append((instrument.name, float(newest.min())))
    return by_layer


def _red(sheet: Sheet, course: DesignCourse, crossed: Sequence[Crossing], unread: Sequence[UnreadTrigger]) -> None:
    """Red triggers that no later reading of the same instrument has left behind, and those without a reading."""
    now = [crossing for crossing in crossed if crossing.stands]
    alone = doubtful_crossings(crossed, course.last)
    title = say("red")
    if now:
        names = "; ".join(dict.fromkeys(f"{crossing.trigger.quantity} {crossing.series}" for crossing in now))
        sheet.verdicts.append(Verdict("red", title, "fail", note=say("red-crossed", names=names)))
    elif unread:
        sheet.not_verified("red", title, say("red-unread", names=names_of(unread)))
    elif alone:
        names = "; ".join(dict.fromkeys(f"{crossing.trigger.quantity} {crossing.series}" for crossing in alone))
        sheet.not_verified("red", title, say("red-outliers", names=names, days=f"{FRESH:.0f}"))
    else:
        sheet.settled("red", title, say("none-crossed"))
