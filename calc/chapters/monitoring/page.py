"""The page of the chapter: programme at a glance, what the site does, readings expected, how the levels fit."""

from collections.abc import Sequence

from calc.chapters.monitoring.bounds import BOUND
from calc.chapters.monitoring.plan_page import coverage_table, instrument_tables
from calc.chapters.monitoring.plan_sketch import instrument_plan
from calc.chapters.monitoring.plan_view import plan_view
from calc.chapters.monitoring.programme_page import LOADED, NONE, programme_table
from calc.chapters.monitoring.rates import BY_CELL
from calc.chapters.monitoring.reading_dates import KIND_WORDS, spans_of, words_of_trigger
from calc.chapters.monitoring.readings_page import band, heads_table, range_tables, rate_table
from calc.chapters.monitoring.triggers import Judged
from calc.chapters.monitoring.triggers_page import pressure_table, trigger_tables
from calc.chapters.shared.frame import Frame, frame
from calc.chapters.shared.geometry import profile
from calc.chapters.shared.programme import Calendar, calendar
from calc.engine.figure import Level, Scene
from calc.engine.sheet import Page, Sheet
from calc.engine.symbols import symbol
from calc.inputs import Design, Section
from calc.inputs.tables.monitoring import SERVICE, Trigger


def page(of: Page, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Tables in the order in which somebody on site asks for them; the band of readings in time."""
    of.set_aside(BOUND, BY_CELL)
    sheet, monitoring, shared = of.sheet, section.monitoring, frame(design, section)
    judged: Sequence[Judged] = sheet.kept.get("judged", ())
    programme = programme_table(sheet, shared, done)
    if any(cell != NONE for row in programme.rows for cell in row[LOADED:]):
        of.tables.append(programme)
    else:
        of.record(programme)
    if monitoring is not None:
        if monitoring.instruments:
            of.tables += instrument_tables(monitoring.instruments)
            _instruments(of, section, done)
        of.tables += trigger_tables(section, monitoring.triggers, judged)
        if sheet.kept["relied"]:
            of.tables.append(coverage_table(sheet.kept["relied"], section, monitoring))
    if "known" in sheet.kept:
        _readings(of, section, shared, done)
    pressures = [
        judgement for judgement in judged if judgement.decisive is not None and judgement.bound.value is not None
    ]
    if pressures:
        of.tables.append(pressure_table(pressures))


def _instruments(of: Page, section: Section, done: dict[str, Sheet]) -> None:
    """The instruments in plan, and in the cross-section that the design basis draws."""
    columns = done["columns"]
    drawn = next((figure for figure in done["basis"].page.figures if isinstance(figure, Scene)), None)
    figures = (
        instrument_plan(section, drawn) if drawn is not None else None,
        plan_view(section, profile(columns, columns.axes["stage"][-1])),
    )
    of.figures += [figure for figure in figures if figure is not None]


def _readings(of: Page, section: Section, shared: Frame, done: dict[str, Sheet]) -> None:
    sheet = of.sheet
    triggers = section.monitoring.triggers if section.monitoring is not None else ()
    of.tables += range_tables(sheet.scopes["expected"], sheet.kept["dates"])
    of.tables.append(rate_table(sheet.scopes["rates"], section, shared))
    if "heads" in sheet.scopes:
        of.tables.append(heads_table(sheet, shared, done["stability"]))
    pressures = levels_of_pressure(section, triggers, calendar(done))
    of.figures.append(band(section, sheet.kept["known"], levels_of_settlement(triggers), pressures))


def levels_of_pressure(section: Section, triggers: Sequence[Trigger], days: Calendar) -> list[Level]:
    """Levels of pore pressure for the figure in the time in which each holds, by their numbers."""
    factor = symbol("u_T").factor
    return [
        Level(
            (trigger.level.value or 0.0) * factor,
            f"T{k}",
            late=trigger.phase == SERVICE,
            spans=spans_of(section, trigger, days),
        )
        for k, trigger in enumerate(triggers, start=1)
        if trigger.quantity == "pore pressure"
    ]


def levels_of_settlement(triggers: Sequence[Trigger]) -> list[Level]:
    """Levels of settlement for the figure, in the unit shown: those in service after hand-over, the others before."""
    factor = symbol("s_T").factor
    return [
        Level(
            (trigger.level.value or 0.0) * factor,
            f"T{k} {KIND_WORDS[trigger.kind]}, {words_of_trigger(trigger)}",
            late=trigger.phase == SERVICE,
        )
        for k, trigger in enumerate(triggers, start=1)
        if trigger.quantity == "settlement"
    ]
