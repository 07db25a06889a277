"""The page of the chapter on consolidation: its tables and the figure of filling and settlement."""

import numpy as np
from numpy.typing import NDArray

from calc.chapters.consolidation.by_hand import SCOPE
from calc.chapters.consolidation.course import degrees_of_layers
from calc.chapters.consolidation.drainage_page import coefficient_table, rate_table
from calc.chapters.consolidation.limits import OTHER
from calc.chapters.consolidation.one_date import SCOPE as ONE_DATE
from calc.chapters.consolidation.one_date_page import exponentials_table, steps_table
from calc.chapters.consolidation.strength_page import check_table, gain_table, is_nil
from calc.chapters.shared.frame import AS_GIVEN, HIGH, LOW, SCENARIOS, Frame, frame
from calc.chapters.shared.programme import END_OF_LIFE, HAND_OVER, Dates, steps_of
from calc.engine.figure import Curve, Level, TimeChart, Track
from calc.engine.sheet import Page, Sheet, Table, TableColumn, number_text, value_text
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.procedures.ground_in_time import GroundInTime

say = words_of(__name__)

EARLY, LATE = 120, 80  # points of a curve until handing over and from there on


def page(of: Page, design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """How fast water leaves, one date by hand, course, degree of every sublayer, strength, sensitivity to c_h."""
    sheet = of.sheet
    of.set_aside(OTHER)
    if "transfer" in sheet.scopes:
        of.tables.append(rate_table(sheet))
    if "plausible" in sheet.scopes:
        of.record(coefficient_table(sheet))
    if "ground" not in sheet.kept:
        return
    ground, dates, shared = sheet.kept["ground"], sheet.kept["dates"], frame(design, section)
    one_date, title = sheet.kept[ONE_DATE], sheet.scopes[ONE_DATE].title
    of.tables += [exponentials_table(one_date, title), steps_table(one_date, title)]
    if "strength_check" in sheet.scopes:
        of.record(check_table(sheet))
    of.tables += [_course(sheet, dates), _layers(sheet, section, shared, ground, dates)]
    gains = gain_table(sheet, shared)
    if is_nil(gains):
        of.record(gains)
    else:
        of.tables.append(gains)
    of.tables.append(_sensitivity(sheet))
    of.figures.append(_figure(design, section, ground, sheet))


def _course(sheet: Sheet, dates: Dates) -> Table:
    scope = sheet.scopes["course"]
    names = ("t", "s_pc", "s_pt", "s_sect", "s_cr", "s_t", "U_cur", "U_fin")
    head = [TableColumn(words=say("date")), *(TableColumn(symbol=name) for name in names)]
    head += [TableColumn(symbol="s_t", words=words) for words in (say("low"), say("high"))]
    rows = []
    for label in dates.labels:
        case = {"date": label, "scenario": AS_GIVEN}
        rest = [value_text(scope["s_t"], {"date": label, "scenario": scenario}) for scenario in (LOW, HIGH)]
        rows.append([label, *(value_text(scope[name], case) for name in names), *rest])
    return Table("course", say("table-course-title"), head, rows, say("course-note"))


def _layers(sheet: Sheet, section: Section, shared: Frame, ground: GroundInTime, dates: Dates) -> Table:
    degrees = degrees_of_layers(ground, dates)
    loading = {f"start of {shared.stages[k + 1]}" for k in steps_of(section)}
    wanted = [k for k, label in enumerate(dates.labels) if label in loading or label == HAND_OVER]
    head = [TableColumn(words=say("sublayer")), *(TableColumn(words=dates.labels[k], unit="%") for k in wanted)]
    hand = sheet.scopes[SCOPE]
    closed = hand["U_t"] if "U_t" in hand else hand["U_h"]
    head.insert(2, TableColumn(words=say("layers-words"), unit="%"))
    rows = []
    for layer, label in enumerate(sheet.axes["layer"]):
        numbers = (float(degrees[k, layer]) for k in wanted)
        row = [label, *("–" if np.isnan(degree) else number_text(100 * degree, 1) for degree in numbers)]
        row.insert(2, value_text(closed, {"layer": label}))
        rows.append(row)
    return Table("degrees", say("table-degrees-title"), head, rows, say("layers-note"))


def _sensitivity(sheet: Sheet) -> Table:
    """What a c_h of half or twice the value would change."""
    scope, dates = sheet.scopes["course"], (HAND_OVER, END_OF_LIFE)
    rest = sheet.scopes["residual"]
    head = [TableColumn(words=say("c-h-scenario")), TableColumn(symbol="U_fin", words=HAND_OVER)]
    head += [TableColumn(symbol="s_t", words=date) for date in dates]
    head += [TableColumn(symbol="s_resL")]
    sought = "t_res" in rest
    head += [TableColumn(symbol="t_res")] if sought else []
    rows = []
    for scenario in SCENARIOS:
        case = {"scenario": scenario}
        row = [scenario, value_text(scope["U_fin"], {**case, "date": HAND_OVER})]
        row += [value_text(scope["s_t"], {**case, "date": date}) for date in dates]
        row += [value_text(rest["s_resL"], case)]
        rows.append([*row, value_text(rest["t_res"], case)] if sought else row)
    return Table("sensitivity", say("table-sensitivity-title"), head, rows, say("sensitivity-note"))


def _figure(design: Design, section: Section, ground: GroundInTime, sheet: Sheet) -> TimeChart:
    """Filling diagram over settlement with the limits of settlement."""
    until, last = ground.hand_over, ground.end_of_life
    early = np.linspace(0.0, until, EARLY)
    breaks = [date for stage in section.stages for date in (stage.start, stage.start + stage.duration)]
    times = np.unique([*early, *breaks, *np.geomspace(until, last, LATE)])
    settled = settled_at(sheet, times)
    curves = tuple(
        Curve(words, tuple(map(float, times)), tuple(map(float, 1000 * settled[k])))
        for k, words in enumerate(SCENARIOS)
    )
    filled = _fill_curve(section, last)
    handed = 1000 * float(settled[0][times <= until][-1])
    levels = _limits(design, handed)
    tracks = (
        Track(say("fill"), "m", (filled,), share=0.45),
        Track(say("settlement"), "mm", curves, downward=True, levels=levels, band=(curves[2], curves[1])),
    )
    steps = steps_of(section)
    marks = tuple((section.stages[k].start, f"{k + 1} {section.stages[k].name}") for k in steps)
    alt = say("figure-alt", at_hand_over=number_text(handed, 0), until=until)
    return TimeChart("course", say("timechart-course-text"), alt, tracks, until, last, marks, say("figure-note"))


def _limits(design: Design, handed: float) -> tuple[Level, ...]:
    """The limits of settlement: in the design life, and from the best estimate at hand-over on; mm."""
    limits = design.basis.limits
    whole, rest = limits.settlement_total, limits.settlement_residual
    levels = [] if whole is None else [Level(1000 * whole, say("limit-life", limit=1000 * whole), late=True)]
    if rest is not None:
        levels.append(Level(handed + 1000 * rest, say("limit-rest", limit=1000 * rest), late=True))
    return tuple(levels)


def settled_at(sheet: Sheet, times: NDArray[np.float64]) -> NDArray[np.float64]:
    """Primary and secondary settlement at the centre by scenario and time, m."""
    ground: GroundInTime = sheet.kept["ground"]
    settled: NDArray[np.float64] = ground.settlement_at(times, long=False).total().value()[..., 0]
    return settled + ground.secondary_at(times).sum(axis=-1) if "secondary" in sheet.scopes else settled


def _fill_curve(section: Section, last: float) -> Curve:
    """Height of fill over time, platform included where it is part of the load."""
    platform = section.platform.thickness if section.platform is not None and section.platform.role == "load" else 0.0
    points: list[tuple[float, float]] = [(0.0, 0.0)]
    for stage in section.stages:
        points += [(stage.start, points[-1][1]), (stage.start + stage.duration, stage.fill_height + platform)]
    points.append((last, points[-1][1]))
    return Curve(say("filling"), tuple(x for x, _ in points), tuple(y for _, y in points))
