"""The table [observed]: which column of a file of readings is what, and which instrument stands where."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from calc.inputs.reading import units
from calc.inputs.reading.kinds import LayerKey, Name, SectionKey, Table, Time, field
from calc.inputs.reading.texts import Day, Flag, Line, OneOf, Text, Words
from calc.inputs.tables.monitoring import DESIGN, AnyMeasure, Depth, Instrument, Measure, Offset
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.written_rows import ISO, DateForm, DecimalMark

FILL = "fill"
"""What an instrument is of that reads the height of the fill."""
COLUMNS = ("date", "instrument", "value", "unit", "remark")
NEEDED = ("date", "instrument", "value")
"""Columns that a CSV file or a workbook must have."""
OTHER = "other"
PERCENT, PLAIN = "%", "-"
UNIT_OF = {
    FILL: "m",
    "settlement": "m",
    "lateral displacement": "m",
    "heave": "m",
    "pore pressure": "kPa",
    "ring strain": PLAIN,
    "pressure on soil": "kPa",
    "pressure on columns": "kPa",
    "undrained strength": "kPa",
    "groundwater": "m",
    "aquifer head": "m",
    "reinforcement strain": PLAIN,
    "tilt": "deg",
}
"""Unit that readings of a quantity convert to; what a plan calls "other" has none and is not read."""
FIRST_YEAR, LAST_YEAR = 1950, 2150
BY_DEPTH = ("pore pressure", "ring strain", "undrained strength")
"""What belongs to a layer or a depth."""

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class AnyReading(AnyMeasure):
    """A number with a unit, of a strain "%" or "-"; a rule holds it to the quantity.

    A plain number could be either of a strain, whose readings come in both.
    """

    unit: str = 'that of the quantity; "%" or "-" of a strain'

    def read(self, value: object) -> Any:
        """Read a number with a unit."""
        if not isinstance(value, str) or value == DESIGN:
            self.refuse(value)
        number, _, unit = value.rpartition(" ")
        if unit not in {PERCENT, PLAIN}:
            return AnyMeasure.read(self, value)
        if re.fullmatch(units.NUMBER, number) is None:
            self.refuse(value)
        return Measure(unit_factor(unit, PLAIN) * float(number), unit)

    def must(self) -> str:
        """Name the form."""
        return 'be a number, a space and a unit, "%" or "-" for strains'

    def json(self) -> dict[str, Any]:
        """A text."""
        return Text().json()


Amount = Annotated[Measure, AnyReading()]


class DatumChange(Table):
    """A change of what the readings of an instrument are counted from."""

    date: Day = field("The first day of the new datum.", "2025-09-01")
    change: Amount = field("What is added to the readings from that day on.", "12 mm")
    reason: Words = field("Why.", "bench mark levelled anew, survey report 12")


class ObservedInstrument(Table):
    """One instrument by the name that it has in the files of readings."""

    name: Name = field(
        "Name in the files, used once; of AGS 4 files LOCA_ID/MONG_ID, with /MONG_DIS where a row has one.", "SP-A-03"
    )
    section: SectionKey = field("Key of the section that it stands in.", "A")
    of: Name = field(
        'Name of the instruments of [monitoring] that it is one of, which says what is read; "fill" reads the '
        "thickness of the fill above the ground, working platform included.",
        "SP",
    )
    offset: Offset | None = field(
        "Distance from the axis, positive to the right; without it the one of the plan, or the axis.",
        "6 m",
        default=None,
    )
    layer: LayerKey | None = field(
        "Key of the layer in whose middle it stands; without layer and depth the one of the plan.",
        "peat",
        default=None,
    )
    depth: Depth | None = field("Depth below the ground; not with layer.", "1 m", default=None)
    unit: Name | None = field(
        'Unit of its readings where the file has no column of units; "%" and "-" for strains.', "mm", default=None
    )
    zero: Amount | None = field(
        "The reading that all others are counted from; without it they are counted already.", "41.2 kPa", default=None
    )
    falls: Flag = field(
        "Whether the readings fall as the quantity grows, as the elevation of a plate does.", False, default=False
    )
    datum: tuple[DatumChange, ...] = field(
        "Changes of datum.", "[[observed.instrument.datum]]", default=(), max_length=20
    )
    replaced_by: Name | None = field(
        "Name of the instrument that goes on in its place; both are one series.", "SP-A-03b", default=None
    )
    lost_on: Day | None = field("Day from which its readings do not count.", "2025-08-14", default=None)


class ColumnsAccepted(Table):
    """That the columns of a section stand and are accepted, where no installation records are compared."""

    section: SectionKey = field("Key of the section.", "A")
    date: Day = field("Day by which all of its columns were installed and accepted.", "2025-05-23")
    by: Line = field("Who accepted them.", "A. Author, supervision")
    document: Line = field("Where it is laid down.", "Acceptance record of the columns 031")


class AgsType(Table):
    """What a code of MOND_TYPE in AGS 4 files stands for; no code is guessed."""

    code: Name = field("Code as in MOND_TYPE.", "PPRS")
    quantity: Annotated[str, OneOf(words=(*UNIT_OF, OTHER))] = field(
        'What rows of this code read; rows of "other" are passed over.', "pore pressure"
    )


class Observed(Table):
    """How files of readings are read: their columns by the names at their head, and the instruments in them."""

    start: Day = field("The day that the programme counts from, the start of works.", "2025-06-02")
    date_column: Name | None = field(
        "Head of the column of the date, with or without a time of the day; the columns of date, instrument and "
        "reading are mandatory for CSV files and workbooks.",
        "Date",
        default=None,
    )
    instrument_column: Name | None = field("Head of the column of the instrument.", "Point", default=None)
    value_column: Name | None = field("Head of the column of the reading.", "Reading", default=None)
    unit_column: Name | None = field("Head of the column of the unit.", "Unit", default=None)
    remark_column: Name | None = field("Head of the column of remarks.", "Remark", default=None)
    date_form: DateForm = field(
        "How dates are written in the files; a cell of a workbook that is a date needs none.", ISO, default=ISO
    )
    decimal: DecimalMark = field("Decimal mark of the files.", ".", default=".")
    ags_types: tuple[AgsType, ...] = field(
        "Codes of MOND_TYPE in AGS 4 files.", "[[observed.ags_type]]", name="ags_type", default=(), max_length=100
    )
    longest_age: Time | None = field(
        "Longest time from the last reading of a section to the day of the question for which an answer counts; "
        "without it 14 days (project rule).",
        "7 d",
        default=None,
    )
    columns: tuple[ColumnsAccepted, ...] = field(
        "Sections whose columns are accepted by a statement, where no installation records are given.",
        "[[observed.columns]]",
        default=(),
        max_length=60,
    )
    instruments: tuple[ObservedInstrument, ...] = field(
        "Instruments.", "[[observed.instrument]]", name="instrument", min_length=1, max_length=2000
    )


def unit_factor(unit: str, target: str) -> float:
    """What a reading in a unit is multiplied by to be in kN, m, kPa, rad, day; ``ValueError`` where it does not fit."""
    if target == PLAIN:
        if unit not in {PERCENT, PLAIN}:
            message = f'be "{PERCENT}" or "{PLAIN}"'
            raise ValueError(message)
        return 0.01 if unit == PERCENT else 1.0
    message = f"be a unit that converts to {target}"
    if re.fullmatch(units.UNIT, unit) is None:
        raise ValueError(message)
    try:
        units.factor(unit, target)
    except units.QuantityError:
        raise ValueError(message) from None
    return float(units.factor_inside(unit))


def observed_names(observed: Observed | None) -> Problems:
    """Instruments and columns have names of their own, and one instrument of a section reads the fill."""
    if observed is None:
        return
    yield from unique([instrument.name for instrument in observed.instruments], ("observed", "instrument"), "name")
    yield from unique([kind.code for kind in observed.ags_types], ("observed", "ags_type"), "code")
    later = {instrument.replaced_by for instrument in observed.instruments}
    fills: list[str] = []
    for k, instrument in enumerate(observed.instruments):
        if instrument.of == FILL and instrument.name not in later:
            if instrument.section in fills:
                yield Problem(("observed", "instrument", k, "of"), "be the only one of its section that reads the fill")
            fills.append(instrument.section)
    heads: list[str] = []
    for key in COLUMNS:
        head = getattr(observed, f"{key}_column")
        if head is not None and head.casefold() in heads:
            yield Problem(("observed", f"{key}_column"), "be another column than those above it")
        heads.append((head or "").casefold())


def observed_days(observed: Observed | None) -> Problems:
    """Works start in a time of works; the days of a datum rise."""
    if observed is None:
        return
    if not FIRST_YEAR <= observed.start.year <= LAST_YEAR:
        yield Problem(("observed", "start"), f"lie in the years {FIRST_YEAR} to {LAST_YEAR}")
    for k, instrument in enumerate(observed.instruments):
        for j, change in enumerate(instrument.datum):
            if j and change.date <= instrument.datum[j - 1].date:
                at = ("observed", "instrument", k, "datum", j, "date")
                yield Problem(at, f"be after the change above it ({instrument.datum[j - 1].date})")


def observed_plan(observed: Observed | None, section_values: Sequence[Values]) -> Problems:
    """Every instrument is one of the plan of its section, has the unit of its quantity and stands in the ground."""
    if observed is None:
        return
    sections = {values["key"]: values for values in section_values if "key" in values}
    yield from unique([stated.section for stated in observed.columns], ("observed", "columns"), "section")
    for k, stated in enumerate(observed.columns):
        if stated.section not in sections:
            yield Problem(("observed", "columns", k, "section"), f"name a section ({', '.join(sections)})")
    for k, instrument in enumerate(observed.instruments):
        at = ("observed", "instrument", k)
        values = sections.get(instrument.section)
        if values is None:
            yield Problem((*at, "section"), f"name a section ({', '.join(sections)})")
        elif "monitoring" in values:
            plan = values["monitoring"].instruments if values["monitoring"] is not None else ()
            known = {kind.name: kind for kind in plan if kind.quantity in UNIT_OF}
            if instrument.of != FILL and instrument.of not in known:
                yield Problem((*at, "of"), f"name instruments of [monitoring] ({', '.join([*known, FILL])})")
                continue
            kind = known.get(instrument.of)
            yield from ((Problem((*at, *path), must, got)) for path, must, got in _measure(instrument, kind, observed))
            yield from ((Problem((*at, *path), must, got)) for path, must, got in _place(instrument, kind, values))


Wrong = Iterator[tuple[tuple[str | int, ...], str, str | None]]


def quantity_of(kind: Instrument | None) -> str:
    """What instruments of the plan read; without any it is the fill."""
    return FILL if kind is None else kind.quantity


def _measure(instrument: ObservedInstrument, kind: Instrument | None, observed: Observed) -> Wrong:
    """Units of readings, zero and datum."""
    target = UNIT_OF[quantity_of(kind)]
    if instrument.unit is None and observed.unit_column is None and not observed.ags_types:
        yield (
            ("unit",),
            f"be given where observed.unit_column is not given: a unit that converts to {target}",
            "nothing",
        )
    if instrument.unit is not None:
        try:
            unit_factor(instrument.unit, target)
        except ValueError as error:
            yield ("unit",), str(error), None
    amounts = [(("zero",), instrument.zero)] if instrument.zero else []
    for path, amount in [*amounts, *((("datum", j, "change"), each.change) for j, each in enumerate(instrument.datum))]:
        try:
            unit_factor(amount.unit, target)
        except ValueError as error:
            yield path, str(error), None


def _place(instrument: ObservedInstrument, kind: Instrument | None, values: Values) -> Wrong:
    """Where it stands: one place of the plan, or its own."""
    layers = values.get("layers", ())
    keys = [layer.key for layer in layers]
    if instrument.layer is not None and keys and instrument.layer not in keys:
        yield ("layer",), f"name a layer ({', '.join(keys)})", None
    if instrument.layer is not None and instrument.depth is not None:
        yield ("depth",), "be left out beside layer", None
    whole = sum(layer.thickness for layer in layers)
    if instrument.depth is not None and layers and not 0 <= instrument.depth <= whole:
        yield ("depth",), f"lie in the soft layers, from 0 m to {whole:g} m", None
    if kind is None:
        return
    if instrument.offset is None and len(kind.offsets) > 1 and kind.quantity == "settlement":
        yield ("offset",), f"be given: {kind.name} stands at several offsets", "nothing"
    own = instrument.layer is not None or instrument.depth is not None or len(kind.layers) + len(kind.depths) == 1
    if kind.quantity in BY_DEPTH and not own:
        yield ("layer",), f"be given, or depth: {kind.name} stands at no single place in the ground", "nothing"


def observed_replacements(observed: Observed | None) -> Problems:
    """An instrument is replaced by one of its own kind and section, once, and not in a circle."""
    if observed is None:
        return
    known = {instrument.name: instrument for instrument in observed.instruments}
    taken: set[str] = set()
    for k, instrument in enumerate(observed.instruments):
        if instrument.replaced_by is None:
            continue
        at, other = ("observed", "instrument", k, "replaced_by"), known.get(instrument.replaced_by)
        if other is None or (other.section, other.of) != (instrument.section, instrument.of):
            yield Problem(at, "name an instrument of the same section and kind")
        elif instrument.replaced_by in taken:
            yield Problem(at, "name an instrument that replaces no other")
        elif instrument.name in _followers(instrument, known):
            yield Problem(at, "not lead back to the instrument itself")
        taken.add(instrument.replaced_by)


def _followers(instrument: ObservedInstrument, known: dict[str, ObservedInstrument]) -> list[str]:
    """Names of the instruments that follow on one another in its place."""
    followers: list[str] = []
    name = instrument.replaced_by
    while name is not None and name in known and name not in followers:
        followers.append(name)
        name = known[name].replaced_by
    return followers


OBSERVED_RULES = (observed_names, observed_days, observed_plan, observed_replacements)
