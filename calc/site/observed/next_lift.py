"""May the next lift be placed? Degrees measured against what its stage asks, and its utilisations with them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calc.chain import CHAPTERS, CalculationError
from calc.chapters.shared.frame import AS_GIVEN, SCENARIOS, origin_of
from calc.chapters.shared.soft_ground import credited_gains
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.sheet.steps import Verdict
from calc.engine.words import words_of
from calc.formulas import consolidation_strength as cs
from calc.formulas import observation as ob
from calc.inputs import Section
from calc.site.observed.crossings import Crossing, level_of
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.series import Series
from calc.site.observed.settlement_analysis import Analysis
from calc.study.chapters import chapters
from calc.study.counted_strength import BEARING, STABILITY, rating, with_gains

say = words_of(__name__)

Floats = NDArray[np.float64]
FRESH = 14.0  # day before the last reading of a section, from which a reading says nothing of today: project rule
MAY, MUST_NOT, OPEN = "may be placed", "must not be placed", "not verified"


@dataclass(frozen=True)
class NextLift:
    """The next stage that places fill, what was verified for it and what came out; ``start`` as planned (day)."""

    name: str
    start: float
    sheet: Sheet
    by_settlement: float | None
    by_pressure: float | None

    @property
    def answer(self) -> str:
        """What the verdicts together say; the designer decides."""
        if any(one.state == "fail" for one in self.sheet.verdicts):
            return MUST_NOT
        if any(one.state == "not verified" and one.required for one in self.sheet.verdicts):
            return OPEN
        return MAY


def next_lift(
    course: DesignCourse, whole: Section, series: Sequence[Series], analyses: Sequence[Analysis],
    crossed: Sequence[Crossing], *, slip: bool = True,
) -> NextLift | None:  # fmt: skip
    """The next stage of the section that places fill; None where all fill lies. ``whole`` has its slip searches."""
    place = _next_place(course)
    if place is None:
        return None
    stage = course.section.stages[place]
    sheet = Sheet(section=course.section.key, key="next lift")
    settled = _by_settlement(sheet, course, analyses)
    drained = _by_pressure(sheet, course, series)
    _degrees(sheet, course, place, settled, drained)
    _strength(sheet, course, place, series)
    _red(sheet, course, crossed)
    known = [one for one in (settled, drained) if one is not None]
    _stage(sheet, course, whole, place, min(known) if len(known) == 2 else None, slip=slip)
    return NextLift(stage.name, course.calendar.starts[place], sheet, settled, drained)


def _next_place(course: DesignCourse) -> int | None:
    """Index of the first stage that places fill and begins after the last reading."""
    heights = [0.0, *(stage.fill_height for stage in course.section.stages)]
    base = course.section.platform is not None
    for place in range(len(course.section.stages)):
        rises = above(heights[place + 1], heights[place]) or (place == 0 and base)
        if rises and course.calendar.starts[place] >= course.last:
            return place
    return None


def _by_settlement(sheet: Sheet, course: DesignCourse, analyses: Sequence[Analysis]) -> float | None:
    """Least degree of the plates whose fit has one, of fresh readings."""
    fits = [one for one in analyses if one.forecast is not None and _is_fresh(course, one.series)]
    fits = [one for one in fits if not one.reasons]
    if not fits:
        return None
    scope = sheet.scope("settlement", say("settlement"))
    sheet.axis("point", [one.series.name for one in fits])
    for name, title in (("s_ob1", say("reading-s_ob1")), ("s_of", say("reading-s_of"))):
        values = [float(one.forecast.scope[name].array) for one in fits if one.forecast]
        scope.reading(name, values, ["point"], title=title)
    return float(scope(ob.degree_by_settlement).array.min())


def _by_pressure(sheet: Sheet, course: DesignCourse, series: Sequence[Series]) -> float | None:
    """Least degree of the sensors with fresh readings."""
    sensors = [one for one in series if one.quantity == "pore pressure" and one.depth is not None
               and one.used.days.size and _is_fresh(course, one)]  # fmt: skip
    rows = []
    for one in sensors:
        layer, day, known = course.layer_at(one.depth or 0.0), float(one.used.days[-1]), course.at(one.offset)
        placed = float(known.placed_pressure_at([day])[SCENARIOS.index(AS_GIVEN), 0, layer])
        if placed > 0:
            rows.append((one.name, float(one.used.values[-1]), float(known.sensor[layer]), placed))
    if not rows:
        return None
    scope = sheet.scope("pressure", say("pressure"))
    sheet.axis("point", [row[0] for row in rows])
    scope.reading("u_rd", [row[1] for row in rows], ["point"], title=say("reading-u_rd"))
    scope.reading("f_us", [row[2] for row in rows], ["point"], title=say("reading-f_us"))
    scope.reading("u_pl", [row[3] for row in rows], ["point"], title=say("reading-u_pl"))
    return float(scope(ob.degree_by_pressure).array.min())


def _is_fresh(course: DesignCourse, one: Series) -> bool:
    used = one.used
    return bool(used.days.size) and float(used.days[-1]) >= course.last - FRESH


def _degrees(
    sheet: Sheet, course: DesignCourse, place: int, settled: float | None, drained: float | None
) -> None:  # fmt: skip
    """Both degrees against the one that the stage asks for."""
    asked = course.section.stages[place].degree_min
    for name, symbol, title, value, missing in (
        ("settlement", "U_os", say("degree-settlement"), settled, say("no-settlement")),
        ("pressure", "U_ou", say("degree-pressure"), drained, say("no-pressure")),
    ):
        key = f"degree_{name}"
        if asked is None:
            sheet.not_verified(key, title, say("no-degree"), required=False)
        elif value is None:
            sheet.not_verified(key, title, missing)
        elif value <= 0:
            sheet.verdicts.append(Verdict(key, title, "fail", note=say("no-degree-yet")))
        else:
            scope = sheet.scopes[name]
            effect = scope.given("U_min", asked, origin=origin_of(course.section, f"stage.{place}.degree_min"))
            resistance = scope[symbol]
            bare = np.asarray(resistance.array <= 0)
            counted = resistance.without(bare, say("no-degree-yet")) if bare.any() else resistance
            sheet.verdict(key, title, effect=effect, resistance=counted)


def _strength(sheet: Sheet, course: DesignCourse, place: int, series: Sequence[Series]) -> None:
    """Strengths measured since the last lift began, where the plan has a level for the stage."""
    plan, stage = course.section.monitoring, course.section.stages[place]
    judged = {one.number: one for one in course.done["monitoring"].kept.get("judged", [])}
    title = say("strength")
    asked = [(number, one) for number, one in enumerate(plan.triggers if plan else (), start=1)
             if one.quantity == "undrained strength" and one.stage == stage.name]  # fmt: skip
    if not asked:
        return
    since = course.calendar.starts[place - 1] if place else 0.0
    rows = []
    for one in series:
        recent = one.used.chosen(one.used.days >= since) if one.quantity == "undrained strength" else None
        if recent is None or not recent.days.size:
            continue
        for number, trigger in asked:
            level = level_of(course, trigger, judged.get(number), one.depth)
            if level is not None and level > 0:
                last = recent.values[recent.days >= recent.days.max() - 1.0]
                rows.append((f"{one.name}, T{number}", float(last.min()), level))
    if not rows or min(row[1] for row in rows) <= 0:
        sheet.not_verified("strength", title, say("no-strength"))
        return
    scope = sheet.scope("strength", title)
    sheet.axis("point", [row[0] for row in rows])
    measured = scope.reading("c_uvt", [row[1] for row in rows], ["point"], title=say("reading-c_uvt"))
    wanted = scope.reading("c_uas", [row[2] for row in rows], ["point"], title=say("reading-c_uas"))
    sheet.verdict("strength", title, effect=wanted, resistance=measured)


def _red(sheet: Sheet, course: DesignCourse, crossed: Sequence[Crossing]) -> None:
    """Red triggers that the newest readings still lie beyond."""
    now = [one for one in crossed if one.trigger.kind == "stop" and one.last >= course.last - FRESH and not one.outlier]
    title = say("red")
    if now:
        names = "; ".join(dict.fromkeys(f"{one.trigger.quantity} {one.series}" for one in now))
        sheet.verdicts.append(Verdict("red", title, "fail", note=say("red-crossed", names=names)))
    else:
        sheet.settled("red", title, say("none-crossed"))


def _stage(
    sheet: Sheet, course: DesignCourse, whole: Section, place: int, measured: float | None, *, slip: bool
) -> None:  # fmt: skip
    """Bearing with lateral extrusion, and stability, of the stage with the gain of strength by the degree measured."""
    stage, titles = course.section.stages[place], {BEARING: say("bearing"), STABILITY: say("stability")}
    if whole.columns.zones or whole.slopes:
        for kind, title in titles.items():
            sheet.not_verified(kind, title, say("not-by-zones"))
        return
    gains = credited_gains(course.section, course.done)[1:]
    if stage.c_u_gain is not None and gains[place] > 0:
        if measured is None:
            for kind, title in titles.items():
                sheet.not_verified(kind, title, say("no-degree-for-gain"))
            return
        gains[place] = min(gains[place], _gain(sheet, course, place, measured))
    trial = with_gains(whole, gains)
    keys = [chapter.key for chapter in CHAPTERS]
    early = {key: course.done[key] for key in keys[: keys.index(BEARING)]}
    last = STABILITY if slip and whole.slip is not None else BEARING
    try:
        done = chapters(course.design, trial, until=last, done=early)
    except CalculationError as error:
        for kind, title in titles.items():
            sheet.not_verified(kind, title, say("no-solution", error=error))
        return
    _rate(sheet, course, place, BEARING, titles[BEARING], done[BEARING])
    if last == STABILITY:
        _rate(sheet, course, place, STABILITY, titles[STABILITY], done[STABILITY])
    else:
        sheet.not_verified(STABILITY, titles[STABILITY], say("no-slip"))


def _gain(sheet: Sheet, course: DesignCourse, place: int, measured: float) -> float:
    """Least gain of the sublayers with no more than the degree measured, by the formulas of the design (kPa)."""
    own, label = course.done["consolidation"].scopes["gain"], course.shared.stages[place + 1]
    scope = sheet.scope("gain", say("gain"))
    sheet.axis("layer", course.shared.layers)
    for name in ("sigma_v0s", "mu_sb", "zeta_p", "p_Gb", "S_nc", "c_u", "sigma_ph"):
        value = own[name]
        scope.take(name, value.at(stage=label) if "stage" in value.axis_names else value)
    counted = own["U_b"].at(stage=label)
    degrees = np.broadcast_to(np.minimum(counted.array, max(measured, 0.0)), (len(course.shared.layers),))
    scope.reading("U_b", degrees, ["layer"], title=say("reading-U_b"), inputs=[counted],
                  note=say("measured", degree=f"{100 * max(measured, 0.0):.1f}"))  # fmt: skip
    scope(cs.stress_by_share)
    gain = scope(cs.gain_above_given, Dc_u="Dc_un")
    return float(scope.reading("Dc_us", float(gain.array.min()), title=say("reading-Dc_us"), inputs=[gain]).array)


def _rate(sheet: Sheet, course: DesignCourse, place: int, kind: str, title: str, done: Sheet) -> None:
    """The largest utilisation that a chapter has in the stage; what it leaves open stays open."""
    found = rating(done, course.shared.stages[place + 1])
    left = [one for one in done.verdicts if one.state == "not verified" and one.required]
    if found.utilisation <= 0 or left:
        sheet.not_verified(kind, title, left[0].note if left else say("nothing-rated"))
        return
    scope: Scope = sheet.scope(kind, title)
    effect = scope.reading("u_nx", found.utilisation, title=found.title)
    limit = scope.given("u_lim", 1.0, origin=Origin("project rule", text=say("limit")))
    made = sheet.verdict(kind, title, effect=effect, resistance=limit)
    sheet.verdicts[-1] = replace(made, note=found.title)
