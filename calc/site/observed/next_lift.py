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
from calc.site.observed.crossings import Crossing, Unread, layers_of, level_in, names_of
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.series import Series
from calc.site.observed.settlement_analysis import Analysis
from calc.site.observed.works_dates import FRESH
from calc.study.chapters import chapters
from calc.study.counted_strength import BEARING, STABILITY, rating, with_gains

say = words_of(__name__)

Floats = NDArray[np.float64]
BELOW_ZERO = 0.05  # of the pressure placed, by which a sensor may read less than at rest: project rule
CAMPAIGN = 1.0  # day; strengths of one series within it are of one campaign
DEGREE = "degree of consolidation"
MAY, MUST_NOT, OPEN = "may be placed", "must not be placed", "not verified"


@dataclass(frozen=True)
class Degree:
    """A degree of consolidation, or None and why there is none; of a degree the note says what is left out."""

    value: float | None
    note: str = ""


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
        if any(one.state == "fail" for one in self.sheet.verdicts):
            return MUST_NOT
        if any(one.state == "not verified" and one.required for one in self.sheet.verdicts):
            return OPEN
        return MAY


def next_lift(
    course: DesignCourse, whole: Section, series: Sequence[Series], analyses: Sequence[Analysis],
    crossed: Sequence[Crossing], unread: Sequence[Unread] = (), *, slip: bool = True,
) -> NextLift | None:  # fmt: skip
    """The next stage of the section that places fill; None where all fill lies. ``whole`` has its slip searches."""
    place = _next_place(course)
    if place is None:
        return None
    stage = course.section.stages[place]
    sheet = Sheet(section=course.section.key, key="next lift")
    if course.works.unknown or not any(course.works.read):
        sheet.not_verified("load", say("load"), f"{course.works.unknown or course.works.note.rstrip('.')}.")
    settled = _by_settlement(sheet, course, analyses)
    drained = _by_pressure(sheet, course, series)
    _degrees(sheet, course, place, settled, drained)
    _strength(sheet, course, place, series)
    _red(sheet, crossed, unread)
    known = [one.value for one in (settled, drained) if one.value is not None]
    _stage(sheet, course, whole, place, min(known) if len(known) == 2 else None, slip=slip)
    return NextLift(stage.name, course.calendar.starts[place], sheet, settled.value, drained.value)


def no_lift(course: DesignCourse) -> tuple[str, bool]:
    """What is said where there is no next lift, and whether that is verified."""
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


def _next_place(course: DesignCourse) -> int | None:
    """Index of the first stage that places fill and begins after the last reading."""
    return next((k for k in _rising(course) if course.calendar.starts[k] >= course.last), None)


def _by_settlement(sheet: Sheet, course: DesignCourse, analyses: Sequence[Analysis]) -> Degree:
    """Least degree of the plates with fresh readings, with the upper end of what each settles in the end."""
    if course.works.unknown:
        return Degree(None, f"{course.works.unknown}.")
    fresh = [one for one in analyses if _is_fresh(course, one.series)]
    fits = [one for one in fresh if one.forecast is not None and not one.reasons]
    wrong = [f"{one.series.name}: {'; '.join(one.wrong)}" for one in fresh if one.wrong]
    left = [one.series.name for one in analyses if one not in fits and not (one in fresh and one.wrong)]
    note = say("left-out", names=", ".join(left)) if left else ""
    if wrong:
        return Degree(None, say("wrong", what=" | ".join(wrong)))
    if not fits:
        return Degree(None, say("no-settlement", days=f"{FRESH:.0f}"))
    scope = sheet.scope("settlement", say("settlement"))
    sheet.axis("point", [one.series.name for one in fits])
    for name, title in (
        ("s_ob1", say("reading-s_ob1")), ("s_of", say("reading-s_of")), ("s_ofu", say("reading-s_ofu")),
    ):  # fmt: skip
        values = [float(one.forecast.scope[name].array) for one in fits if one.forecast]
        scope.reading(name, values, ["point"], title=title)
    scope(ob.degree_by_settlement)
    return Degree(float(scope(ob.degree_by_settlement, s_of="s_ofu", U_os="U_osl").array.min()), note)


def _by_pressure(sheet: Sheet, course: DesignCourse, series: Sequence[Series]) -> Degree:
    """Least degree of the sensors with fresh readings."""
    sensors = [one for one in series if one.quantity == "pore pressure" and one.depth is not None]
    rows = []
    for one in sensors:
        if not _is_fresh(course, one):
            continue
        layer, day, known = course.layer_at(one.depth or 0.0), float(one.used.days[-1]), course.at(one.offset)
        placed = float(known.placed_pressure_at([day])[SCENARIOS.index(AS_GIVEN), 0, layer])
        if placed > 0:
            rows.append((one.name, float(one.used.values[-1]), float(known.sensor[layer]), placed))
    if course.works.unknown:
        return Degree(None, f"{course.works.unknown}.")
    if not rows:
        return Degree(None, say("no-pressure", days=f"{FRESH:.0f}"))
    left = [one.name for one in sensors if one.name not in {row[0] for row in rows}]
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
    return Degree(float(degrees.min()), say("left-out", names=", ".join(left)) if left else "")


def _is_fresh(course: DesignCourse, one: Series) -> bool:
    used = one.used
    return bool(used.days.size) and float(used.days[-1]) >= course.last - FRESH


def _degrees(sheet: Sheet, course: DesignCourse, place: int, settled: Degree, drained: Degree) -> None:
    """Both degrees against the one that the stage asks for, the level of a red trigger counted where it is higher."""
    stage, plan = course.section.stages[place], course.section.monitoring
    asked = [(stage.degree_min, f"stage.{place}.degree_min")] if stage.degree_min is not None else []
    for k, trigger in enumerate(plan.triggers if plan else ()):
        level = trigger.level.value
        if trigger.quantity == DEGREE and (trigger.stage, trigger.kind) == (stage.name, "stop") and level is not None:
            asked.append((level, f"monitoring.trigger.{k}.level"))
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
    judged = {one.number: one for one in course.done["monitoring"].kept.get("judged", [])}
    title = say("strength")
    asked = [(number, one) for number, one in enumerate(plan.triggers if plan else (), start=1)
             if one.quantity == "undrained strength" and one.stage == stage.name]  # fmt: skip
    if not asked:
        return
    read = _strengths(course, series, course.calendar.starts[place - 1] if place else 0.0)
    rows, early, missing = list[tuple[str, float, float]](), list[str](), list[str]()
    for number, trigger in asked:
        for key in layers_of(course, trigger, judged.get(number)):
            level, values = level_in(trigger, judged.get(number), key), read.get(key, [])
            if trigger.kind == "stop" and (level is None or not values):
                missing.append(key)
            elif level is not None:
                own = [(f"{name}, T{number}", value, level) for name, value in values]
                rows += own if trigger.kind == "stop" else []
                early += [name for name, value, _ in own if trigger.kind != "stop" and value < level]
    note = say("amber", names=", ".join(early)) if early else ""
    if missing:
        sheet.not_verified("strength", title, say("no-strength", layers=", ".join(dict.fromkeys(missing))))
    elif not rows:
        sheet.not_verified("strength", title, note or say("amber-alone"), required=False)
    elif min(row[1] for row in rows) <= 0:
        sheet.verdicts.append(Verdict("strength", title, "fail", note=say("strengthless")))
    else:
        scope = sheet.scope("strength", title)
        sheet.axis("point", [row[0] for row in rows])
        measured = scope.reading("c_uvt", [row[1] for row in rows], ["point"], title=say("reading-c_uvt"))
        wanted = scope.reading("c_uas", [row[2] for row in rows], ["point"], title=say("reading-c_uas"),
                               note=say("of-plan"))  # fmt: skip
        sheet.verdict("strength", title, effect=wanted, resistance=measured, note=note)


def _strengths(course: DesignCourse, series: Sequence[Series], since: float) -> dict[str, list[tuple[str, float]]]:
    """The least of the newest strengths that each series has read since a day (kPa), by the key of its layer."""
    found: dict[str, list[tuple[str, float]]] = {}
    for one in series:
        recent = one.used.chosen(one.used.days >= since)
        if one.quantity == "undrained strength" and one.depth is not None and recent.days.size:
            newest = recent.values[recent.days >= recent.days.max() - CAMPAIGN]
            found.setdefault(course.layer_key(one.depth), []).append((one.name, float(newest.min())))
    return found


def _red(sheet: Sheet, crossed: Sequence[Crossing], unread: Sequence[Unread]) -> None:
    """Red triggers that no later reading of the same instrument has left behind, and those without a reading."""
    now = [one for one in crossed if one.trigger.kind == "stop" and one.until is None and not one.outlier]
    title = say("red")
    if now:
        names = "; ".join(dict.fromkeys(f"{one.trigger.quantity} {one.series}" for one in now))
        sheet.verdicts.append(Verdict("red", title, "fail", note=say("red-crossed", names=names)))
    elif unread:
        sheet.not_verified("red", title, say("red-unread", names=names_of(unread)))
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
    label = course.shared.stages[place + 1]
    found = rating(done, label)
    left = [one for one in done.verdicts if one.state == "not verified" and one.required]
    failing = [one for one in done.verdicts if one.state == "fail" and not _is_of_stages(one, label)]
    if failing:
        text = say("fails", what="; ".join(f"{one.title}{f': {one.note}' if one.note else ''}" for one in failing))
        sheet.verdicts.append(Verdict(kind, title, "fail", note=text))
        return
    if found.utilisation <= 0 or left:
        sheet.not_verified(kind, title, left[0].note if left else say("nothing-rated"))
        return
    scope: Scope = sheet.scope(kind, title)
    effect = scope.reading("u_nx", found.utilisation, title=found.title)
    limit = scope.given("u_lim", 1.0, origin=Origin("project rule", text=say("limit")))
    made = sheet.verdict(kind, title, effect=effect, resistance=limit)
    sheet.verdicts[-1] = replace(made, note=found.title)


def _is_of_stages(one: Verdict, label: str) -> bool:
    """Whether a verdict has utilisations by stage, which `rating` compares for the stage alone."""
    value = one.utilisations
    return value is not None and "stage" in value.axis_names and label in value.labels("stage")
