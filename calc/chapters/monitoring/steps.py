"""Monitoring: programme at a glance, what is measured, readings expected at every date, levels at which one acts."""

from collections.abc import Sequence
from dataclasses import replace

from calc.chapters.monitoring.bounds import Bounds, bearable_ring_tension
from calc.chapters.monitoring.expected import Known, expected_readings, ground_known
from calc.chapters.monitoring.head_cells import heads_by_arching, measured_ratios
from calc.chapters.monitoring.judged_quantities import JUDGED
from calc.chapters.monitoring.overview import programme
from calc.chapters.monitoring.plan import coverage, head_relied_on, instruments, relied_on, triggers_read
from calc.chapters.monitoring.pressure_limit import asked_pressure
from calc.chapters.monitoring.rates import rates, strength
from calc.chapters.monitoring.reading_dates import reading_dates
from calc.chapters.monitoring.triggers import Judged, judge, open_triggers, verdicts
from calc.chapters.shared.frame import Frame, chapter, frame
from calc.chapters.shared.heads import falls
from calc.chapters.shared.missing import quoted_names
from calc.chapters.shared.programme import calendar
from calc.chapters.shared.soft_ground import credited_gains
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.monitoring import Monitoring

say = words_of(__name__)

OF_WEDGE = ("pore pressure", "pressure on soil", "stress ratio", "undrained strength")
"""What lateral extrusion counts on below the side slope, where another grid may stand."""
PLAN = say("plan")
RANGE = say("range")


def monitoring(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """What the site measures, what it has to expect and when it acts; every level is an input with its source."""
    sheet, shared = chapter("monitoring", design, section), frame(design, section)
    given = section.monitoring
    programme(sheet, done)
    if given is None:
        sheet.not_verified("monitoring_plan", PLAN, say("open-monitoring-plan-why"))
        _expect(sheet, section, shared, done)
    else:
        _watch(sheet, design, section, shared, given, done)
    _limits(sheet, section, done["ground"])
    return sheet


def _expect(sheet: Sheet, section: Section, shared: Frame, done: dict[str, Sheet]) -> Known | None:
    """The readings expected, where the chapter on consolidation has the course that they follow from."""
    if "course" not in done["consolidation"].scopes:
        sheet.not_verified("expected_range", RANGE, say("expected-why"))
        return None
    known, kept = calendar(done), done["consolidation"].kept
    dates = reading_dates(section, shared, known)
    behaviour = ground_known(kept["ground"], kept["plastic"], section, shared, done)
    scope = expected_readings(sheet, behaviour, dates, section, done)
    rates(sheet, known, behaviour)
    heads_by_arching(sheet, done)
    measured_ratios(sheet, scope)
    strength(sheet, done)
    sheet.settled("expected_range", RANGE, say("settled-expected-range-why", labels=len(dates.labels)))
    sheet.kept.update(known=behaviour, dates=dates)
    return behaviour


def _watch(
    sheet: Sheet, design: Design, section: Section, shared: Frame, given: Monitoring, done: dict[str, Sheet]
) -> None:  # fmt: skip
    """The plan, and its levels against expectation and design."""
    instruments(sheet, given)
    triggers_read(sheet, given)
    wedge = _by_columns(section, shared, done["bearing"])
    relied = [*relied_on(design, section, credited_gains(section, done), wedge=wedge),
              *head_relied_on(section, done["ground"])]  # fmt: skip
    coverage(sheet, relied, given)
    sheet.kept["relied"] = relied
    known = _expect(sheet, section, shared, done)
    if known is not None:
        bounds = Bounds(sheet, design, section, shared, known, calendar(done), done)
        bearable_ring_tension(sheet, shared, done)
        asked_pressure(bounds)
        judged = verdicts(bounds, judge(bounds, given.triggers))
        sheet.kept["judged"] = _leave_to_zones(sheet, section, judged) if wedge and section.columns.zones else judged
    open_triggers(sheet, given.triggers)


def _leave_to_zones(sheet: Sheet, section: Section, judged: Sequence[Judged]) -> list[Judged]:
    """The extruding wedge relies on the ground and the columns of other grids than that of the levels: no pass."""
    heads = tuple(f"trigger_{JUDGED[name].symbols.key}_" for name in OF_WEDGE)
    names = quoted_names(zone.key for _, zone in section.columns.zones)
    for verdict in [made for made in sheet.verdicts if made.key.startswith(heads) and made.state == "pass"]:
        sheet.withhold(verdict, say("left-to-zones", names=names))
    return [replace(judgement, of_zones=judgement.of.of.name in OF_WEDGE) for judgement in judged]


def _by_columns(section: Section, shared: Frame, bearing: Sheet) -> list[str]:
    """Names of the stages in which lateral extrusion passes by its columns while the fill is placed."""
    labels: set[str] = set()
    for verdict in bearing.verdicts:
        if verdict.key.startswith("squeeze_lift") and verdict.utilisations is not None:
            rated = verdict.utilisations.largest("stage")
            labels |= {label for label, known in zip(rated.labels("stage"), rated.valid, strict=True) if known}
    return [stage.name for label, stage in zip(shared.stages[1:], section.stages, strict=True) if label in labels]


def _limits(sheet: Sheet, section: Section, ground: Sheet) -> None:
    sheet.limitation("lateral", say("limitation-lateral"), "Hunter & Fell (2003), Can. Geotech. J. 40, 209–220")
    sheet.limitation("expected-range", say("limitation-expected-range"), "project rule")
    sheet.limitation("mean-pressure", say("limitation-mean-pressure"), "project rule")
    if section.columns.zones:
        names = ", ".join(f"“{zone.key}”" for _, zone in section.columns.zones)
        turns = [verdict.key for verdict in sheet.verdicts if verdict.key.startswith("trigger")]
        sheet.limitation("column-zones", say("limitation-column-zones", names=names), "project rule", turns=turns)
    if section.embankment.is_cored:
        turns = [verdict.key for verdict in sheet.verdicts if verdict.key.startswith("trigger")]
        sheet.limitation("fill-zones", say("limitation-fill-zones"), "project rule", turns=turns)
    if falls(ground):
        sheet.limitation("pressure-heads", say("limitation-pressure-heads"), "project rule",
                         turns=lambda verdict: verdict.key in {"trigger_u_expected", "trigger_u_design"})  # fmt: skip
