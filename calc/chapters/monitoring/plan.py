"""The plan: instruments with what EN 1997-1 asks a plan to state, and what the design relies on with who watches it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from calc.engine.sheet import Sheet, Table, TableColumn, number_text
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.monitoring import MUST_STATE, Instrument, Monitoring, Trigger

say = words_of(__name__)

EC7 = "EN 1997-1:2004, 2.8(4)P, 2.8(5) and 4.5"
MISSING = "not given"

READ_BY = {
    "settlement": ("settlement",),
    "settlement rate": ("settlement",),
    "residual settlement": ("settlement",),
    "lateral displacement": ("lateral displacement",),
    "lateral rate": ("lateral displacement",),
    "heave": ("heave",),
    "pore pressure": ("pore pressure",),
    "degree of consolidation": ("settlement",),
    "ring strain": ("ring strain",),
    "ring tension": ("ring strain",),
    "pressure on soil": ("pressure on soil",),
    "pressure on columns": ("pressure on columns",),
    "stress ratio": ("pressure on soil", "pressure on columns"),
    "undrained strength": ("undrained strength",),
    "groundwater": ("groundwater",),
    "tilt": ("tilt",),
}
"""What has to be read for each quantity of a trigger."""


def instruments(sheet: Sheet, given: Monitoring) -> None:
    """Two tables of the instruments, and what the plan leaves out."""
    title = say("instruments-title")
    if not given.instruments:
        sheet.not_verified("monitoring_plan", title, "Not given: [[monitoring.instrument]].")
        return
    sheet.tables += [
        _table("instruments", "What is measured", given.instruments,
               (("instrument", "name"), ("quantity", "quantity"), ("what for", "purpose"), ("where", "place"),
                ("number", "number"), ("zero reading", "zero"), ("evaluation", "evaluation"), ("source", "source"))),
        _table("readings", say("instruments-sheet-tables"), given.instruments,
               (("instrument", "name"), (say("instruments-sheet-tables-2"), "filling"),
                (say("instruments-sheet-tables-3"), "waiting"),
                ("in service", "service"), ("until", "until"), ("read by", "measured_by"),
                ("interpreted by", "interpreted_by"), ("kept working by", "maintained_by"))),
    ]  # fmt: skip
    open_fields = [
        f"{one.name}: {', '.join(missing)}"
        for one in given.instruments
        if (missing := [name for name in MUST_STATE if getattr(one, name) is None])
    ]
    if open_fields:
        why = say("instruments-why", open_fields="; ".join(open_fields))
        sheet.not_verified("monitoring_plan", title, why)
    else:
        why = say("instruments-why-2")
        sheet.settled("monitoring_plan", title, why)
    sheet.limitation(
        "plan-standard",
        say("limitation-plan-standard"),
        f"{EC7} ◦",
    )


def _table(
    key: str, title: str, rows_of: Sequence[Instrument], columns: Sequence[tuple[str, str]]
) -> Table:  # fmt: skip
    head = [TableColumn(words=words) for words, _ in columns]
    rows = [
        [MISSING if (value := getattr(one, name)) is None else str(value) for _, name in columns] for one in rows_of
    ]
    return Table(key, title, head, rows)


def triggers_read(sheet: Sheet, given: Monitoring) -> None:
    """Every trigger is read by an instrument."""
    title = say("triggers-read-title")
    if not given.triggers:
        sheet.not_verified("triggers_read", title, say("open-triggers-read-why"))
        return
    measured = {one.quantity for one in given.instruments}
    missing = [
        f"T{k} {one.quantity} needs {' and '.join(lacking)}"
        for k, one in enumerate(given.triggers, start=1)
        if (lacking := [name for name in READ_BY[one.quantity] if name not in measured])
    ]
    if missing:
        why = say("triggers-read-why", missing="; ".join(missing))
        sheet.not_verified("triggers_read", title, why)
    else:
        sheet.settled("triggers_read", title, say("settled-triggers-read-why"))


WEDGE = "columns in the extruding wedge"


@dataclass(frozen=True)
class Relied:
    """Something that the design relies on: its value in words, the stage, the quantity whose trigger watches it."""

    what: str
    value: str
    stage: str | None
    quantity: str


def relied_on(design: Design, section: Section, gains: Sequence[float], *, wedge: Sequence[str]) -> Iterator[Relied]:
    """What has to come about for the design to hold, stage by stage; ``gains`` in kPa, stage 0 first.

    ``wedge``: the stages in which lateral extrusion relies on the columns, and so on stops by pore pressure and lateral
    rate.
    """
    for name, quantity in product(wedge, ("pore pressure", "lateral rate")):
        yield Relied(WEDGE, "stops the filling", name, quantity)
    for stage, gain in zip(section.stages, gains[1:], strict=True):
        if gain > 0:
            value = f"{number_text(gain, 2)} kN/m²"
            yield Relied(say("relied-on"), value, stage.name, "undrained strength")
        if stage.degree_min:
            value = f"{number_text(100 * stage.degree_min, 0)} %"
            yield Relied("degree of consolidation", value, stage.name, "degree of consolidation")
        if stage.n_stability > 1:
            yield Relied("stress ratio", number_text(stage.n_stability, 2), stage.name, "stress ratio")
    residual = design.basis.limits.settlement_residual
    if residual is not None:
        yield Relied("residual settlement", f"{number_text(1000 * residual, 0)} mm", None, "residual settlement")


def coverage(sheet: Sheet, relied: Sequence[Relied], section: Section, given: Monitoring) -> None:
    """Whether everything that the design relies on is measured and has a trigger; hold points stand beside."""
    title = say("coverage-title")
    if not relied:
        sheet.settled("monitoring_coverage", title, say("settled-monitoring-coverage-why"))
        return
    rows, missing = [], []
    for one in relied:
        instruments_of, triggers_of = _instruments(one, given), _triggers(one, given.triggers)
        words = [one.what, one.value, one.stage or "after hand-over"]
        rows.append([*words, instruments_of or "none", triggers_of or "none", _hold_points(one, section) or "none"])
        place = f" at {one.stage}" if one.stage else ""
        missing += [f"{one.what}{place}: {_fields(one)}"] if not instruments_of else []
        missing += (
            [say("coverage-missing", what=one.what, place=place, quantity=one.quantity)] if not triggers_of else []
        )
    heads = (say("coverage-heads"), "value", "stage", "measured by", "trigger", "hold point")
    sheet.tables.append(Table("relied", title, [TableColumn(words=head) for head in heads], rows))
    if missing:
        sheet.not_verified("monitoring_coverage", title, f"Not given: {'; '.join(missing)}.")
    else:
        sheet.settled("monitoring_coverage", title, say("settled-monitoring-coverage-why-2"))


def _fields(one: Relied) -> str:
    needed = " and ".join(f'"{name}"' for name in READ_BY[one.quantity])
    return f"monitoring.instrument of {needed}"


def _instruments(one: Relied, given: Monitoring) -> str:
    """Names of the instruments, empty where one of the quantities is not measured."""
    names = [
        [instrument.name for instrument in given.instruments if instrument.quantity == quantity]
        for quantity in READ_BY[one.quantity]
    ]
    return ", ".join(name for group in names for name in group) if all(names) else ""


def _triggers(one: Relied, triggers: Sequence[Trigger]) -> str:
    return ", ".join(
        f"T{k}"
        for k, trigger in enumerate(triggers, start=1)
        if trigger.quantity == one.quantity and trigger.stage in {None, one.stage}
    )


def _hold_points(one: Relied, section: Section) -> str:
    points = section.construction.hold_points if section.construction is not None else ()
    return ", ".join(point.name for point in points if one.stage is not None and point.stage == one.stage)
