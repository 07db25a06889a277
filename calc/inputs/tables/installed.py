"""The table [installed]: which column of a file of installation records is what, and what is asked of a column."""

from collections.abc import Sequence
from typing import Annotated

from calc.inputs.reading import units
from calc.inputs.reading.kinds import ColumnDiameter, Length, LengthOrNone, Name, SectionKey, Table, Time, field
from calc.inputs.reading.scalars import Number, Quantity, Whole
from calc.inputs.reading.texts import OneOf, Words
from calc.inputs.tables.plan import Plan
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.written_rows import DateForm, DecimalMark

TEXT, TIME, YES_NO, RATIO = "text", "time", "yes or no", "-"
RATIO_UNITS = {"-": 1.0, "%": 0.01}
COLUMN_FIELDS = {
    "id": TEXT, "rig": TEXT, "date": TIME, "start": TIME, "end": TIME, "interruption": "min", "easting": "m",
    "northing": "m", "inclination": RATIO, "inclination_x": RATIO, "inclination_y": RATIO, "toe_level": "m",
    "criterion": YES_NO, "length": "m", "diameter": "m", "volume": "m^3", "sleeve": TEXT, "sleeve_length": "m",
    "serial": TEXT,
}  # fmt: skip
"""What a row on a column may say: its kind, or the unit that its unit converts to."""
READING_FIELDS = {"id": TEXT, "depth": "m", "volume": "m^3"}
"""The same of a reading in depth."""
LEVEL, CRITERION, EITHER = "level", "criterion", "level or criterion"

Offset = Annotated[str, OneOf(words=tuple(
    f"{sign}{hour:02d}:{part}" for sign in "+-" for hour in range(15) for part in ("00", "30", "45")
), such='an offset from UTC such as "+01:00", "+00:00" for UTC')]  # fmt: skip
Slant = Annotated[float, Quantity(unit="m/m", gt=0, le=0.5)]
Days = Annotated[int, Whole(ge=2, le=90)]
Share = Annotated[float, Number(gt=0, lt=1)]
VolumeRatio = Annotated[float, Number(gt=0, le=10)]


class RecordColumn(Table):
    """One column of a file: the words at its head, what stands in it, and in which unit."""

    field_name: Annotated[str, OneOf(words=tuple(COLUMN_FIELDS))] = field(
        "What a row says of a column; volume is the fill, toe_level an elevation.", "easting", name="field"
    )
    head: Name = field("Words at the head of the column, as in the file.", "E [m]")
    unit: Name | None = field(
        'Unit of the numbers; of inclinations "%", "-" (length over length) or an angle.', "m", default=None
    )


class ReadingColumn(Table):
    """The same for a file with one row a reading in depth."""

    field_name: Annotated[str, OneOf(words=tuple(READING_FIELDS))] = field(
        "What a row says: depth below the working level, and the fill placed so far from the toe up to it.",
        "depth",
        name="field",
    )
    head: Name = field("Words at the head of the column, as in the file.", "Depth [m]")
    unit: Name | None = field("Unit of the numbers.", "m", default=None)


class InstallationLimits(Table):
    """What is asked of a column; what is left out is not judged, and that is said."""

    position: Length | None = field("Greatest distance from the place of the plan.", "0.10 m", default=None)
    inclination: Slant | None = field("Greatest inclination from the vertical.", "0.04 m/m", default=None)
    toe_by: Annotated[str, OneOf(words=(LEVEL, CRITERION, EITHER))] | None = field(
        "By what a toe is accepted: its level, the criterion of the penetration, or one of both.",
        "level or criterion",
        default=None,
    )
    toe_high: LengthOrNone | None = field("How far a toe may be above its level of the plan.", "0.10 m", default=None)
    toe_low: LengthOrNone | None = field("How far it may be below.", "1.0 m", default=None)
    criterion_high: LengthOrNone | None = field(
        "How far a toe may be above its level of the plan where the criterion was met.", "0.50 m", default=None
    )
    length_short: LengthOrNone | None = field(
        "How much shorter than in the plan a column may be.", "0.10 m", default=None
    )
    length_long: LengthOrNone | None = field("How much longer.", "1.0 m", default=None)
    diameter_least: ColumnDiameter | None = field("Least diameter.", "0.78 m", default=None)
    diameter_most: ColumnDiameter | None = field("Greatest diameter.", "0.88 m", default=None)
    volume_least: VolumeRatio | None = field(
        "Least volume of the fill over the theoretical one of the column.", 1.0, default=None
    )
    volume_most: VolumeRatio | None = field("Greatest.", 1.35, default=None)
    depth_window: Length | None = field("Part of the length over which fill by depth is taken.", "1.0 m", default=None)
    depth_least: VolumeRatio | None = field(
        "Least volume of a part over the theoretical one; less is necking.", 0.9, default=None
    )
    depth_most: VolumeRatio | None = field("Greatest; more is loss of fill.", 1.6, default=None)
    duration: Time | None = field("Longest time from start to end.", "60 min", default=None)
    interruption: Time | None = field("Longest sum of the interruptions of a column.", "15 min", default=None)
    neighbour_distance: Length | None = field("Columns nearer than this are neighbours in time.", "3.0 m", default=None)
    neighbour_time: Time | None = field("Least time between the starts of two neighbours.", "12 h", default=None)
    window: Length | None = field("Radius of the moving window for the area ratio as built.", "6.0 m", default=None)
    area_ratio: Share | None = field(
        "How far the area ratio as built may fall below that of the design in the window, over it.", 0.05, default=None
    )
    source: Words = field("Where these limits come from.", "works specification, clause 4.3")


class Installed(Table):
    """How files of installation records are read, and what they are compared with."""

    date_form: DateForm = field(
        "How dates are written; a cell of a workbook that is a date needs none.", "day.month.year"
    )
    decimal: DecimalMark = field("Decimal mark of the files.", ",")
    time_zone: Offset = field("Offset of the times without one from UTC; times with another are converted.", "+01:00")
    yes: Name = field("How the files write that the criterion was met.", "yes", default="yes")
    no: Name = field("How they write that it was not.", "no", default="no")
    column: tuple[RecordColumn, ...] = field(
        "Columns of the files with one row a column.",
        "[[installed.column]]",
        min_length=1,
        max_length=len(COLUMN_FIELDS),
    )
    reading: tuple[ReadingColumn, ...] = field(
        "Columns of the files with one row a reading in depth: id, depth and volume.",
        "[[installed.reading]]",
        default=(),
        max_length=len(READING_FIELDS),
    )
    finished: tuple[SectionKey, ...] = field(
        "Letters of the areas of the plan that are finished: a column without a record is missing there.",
        '["A"]',
        default=(),
        max_length=60,
    )
    forecast_days: Days | None = field(
        "Last days, those without work included, that the completion is forecast from.", 14, default=None
    )
    limits: InstallationLimits | None = field(
        "What is asked of a column; without it nothing is judged.", "[installed.limits]", default=None
    )


def unit_factor(kind: str, unit: str) -> float:
    """What a number in a unit is multiplied by to be in kN, m, kPa, rad, day; ``QuantityError`` where it does not fit.

    An angle of inclination becomes rad, of which the reader takes the tangent.
    """
    if kind == RATIO:
        if unit in RATIO_UNITS:
            return RATIO_UNITS[unit]
        if unit in {"deg", "rad"}:
            return float(units.factor_inside(unit))
        return float(units.factor(unit, "m/m"))
    units.factor(unit, kind)
    return float(units.factor_inside(unit))


def installed_columns(installed: Installed | None) -> Problems:
    """Fields and heads are used once, numbers have a unit that fits, and what cannot be done without is there."""
    if installed is None:
        return
    for table, kinds, needed in (("column", COLUMN_FIELDS, ("id",)), ("reading", READING_FIELDS, (*READING_FIELDS,))):
        given: Sequence[RecordColumn | ReadingColumn] = getattr(installed, table)
        at = ("installed", table)
        yield from unique([column.field_name for column in given], at, "field")
        yield from unique([column.head for column in given], at, "head")
        names = {column.field_name for column in given}
        for name in needed if given else ():
            if name not in names:
                yield Problem(at, f'have a column with field = "{name}"', "none")
        for k, column in enumerate(given):
            yield from _unit((*at, k, "unit"), kinds[column.field_name], column.unit)
    names = {column.field_name for column in installed.column}
    if {"inclination_x", "inclination_y"} & names and not {"inclination_x", "inclination_y"} <= names:
        yield Problem(("installed", "column"), "have both inclination_x and inclination_y, or neither", "one of them")
    if "inclination" in names and "inclination_x" in names:
        yield Problem(("installed", "column"), "have inclination, or inclination_x and inclination_y", "all of them")
    if ("easting" in names) != ("northing" in names):
        yield Problem(("installed", "column"), "have both easting and northing, or neither", "one of them")
    if installed.yes == installed.no:
        yield Problem(("installed", "no"), "be another word than yes")


def _unit(at: tuple[str | int, ...], kind: str, unit: str | None) -> Problems:
    if kind in {TEXT, TIME, YES_NO}:
        if unit is not None:
            yield Problem(at, f"be left out: the field is a {kind}")
        return
    if unit is None:
        yield Problem(at, "be given: the field is a number", "nothing")
        return
    try:
        unit_factor(kind, unit)
    except units.QuantityError:
        must = 'be "%", "-" or an angle' if kind == RATIO else f"be a unit that converts to {kind}"
        yield Problem(at, must)


def installed_limits(installed: Installed | None) -> Problems:
    """Limits that belong together come together, and a least one is not above a greatest one."""
    limits = installed.limits if installed else None
    if limits is None:
        return
    at = ("installed", "limits")
    asks = {
        "toe_by": ("toe_high", "toe_low", "criterion_high"), "depth_window": ("depth_least", "depth_most"),
        "neighbour_distance": ("neighbour_time",), "window": ("area_ratio",),
    }  # fmt: skip
    for name, partners in asks.items():
        got = [partner for partner in partners if getattr(limits, partner) is not None]
        if got and getattr(limits, name) is None:
            yield Problem((*at, name), f"be given with {got[0]}", "nothing")
        if name in {"neighbour_distance", "window", "depth_window"} and getattr(limits, name) is not None and not got:
            yield Problem((*at, name), f"be given with {' or '.join(partners)}", f"no {partners[0]}")
    if limits.toe_by in {LEVEL, EITHER} and limits.toe_high is None:
        yield Problem((*at, "toe_high"), f'be given with toe_by = "{limits.toe_by}"', "nothing")
    if limits.toe_by == LEVEL and limits.criterion_high is not None:
        yield Problem((*at, "criterion_high"), f'be left out: toe_by = "{LEVEL}" asks for no criterion')
    for low, high in (("diameter_least", "diameter_most"), ("volume_least", "volume_most"),
                      ("depth_least", "depth_most")):  # fmt: skip
        least, most = getattr(limits, low), getattr(limits, high)
        if least is not None and most is not None and least > most:
            yield Problem((*at, low), f"be at most {high}")


def installed_plan(installed: Installed | None, plan: Plan | None) -> Problems:
    """Records are compared with a plan, whose areas are named."""
    if installed is None:
        return
    if plan is None:
        yield Problem(("installed",), "be given with [plan], which the records are compared with", "no [plan]")
        return
    letters = [area.letter for area in plan.area]
    for k, letter in enumerate(installed.finished):
        if letter not in letters:
            yield Problem(("installed", "finished", k), f"be the letter of an area of the plan ({', '.join(letters)})")


INSTALLED_RULES = (installed_columns, installed_limits, installed_plan)
