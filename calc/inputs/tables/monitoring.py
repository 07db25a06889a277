"""The table [monitoring]: what is measured, at which levels somebody acts, and the rules between them."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any

from calc.factors.monitored import AFTER, AT_START, IN_STAGE, QUANTITIES, Monitored
from calc.inputs.reading import units
from calc.inputs.reading.kinds import LayerKey, Name, Table, Time, field
from calc.inputs.reading.scalars import Number, Quantity, Whole
from calc.inputs.reading.texts import Line, OneOf, Words
from calc.inputs.tables.alignment import Place
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.stages import Stage

MEASURED = (
    "settlement",
    "lateral displacement",
    "heave",
    "pore pressure",
    "ring strain",
    "pressure on soil",
    "pressure on columns",
    "undrained strength",
    "groundwater",
    "aquifer head",
    "reinforcement strain",
    "tilt",
    "other",
)
"""What an instrument reads."""

Offset = Annotated[float, Quantity(unit="m", ge=-500, le=500)]
Chainage = Annotated[str, Place()]
Depth = Annotated[float, Quantity(unit="m", ge=-50, le=200)]
KINDS = ("attention", "stop")
DESIGN = "design"
"""The word for a level that is what the design counts on."""
FILLING, WAITING, SERVICE = PHASES = ("filling", "waiting", "in service")


@dataclass(frozen=True, slots=True)
class Measure:
    """A level as typed: its value in kN, m, kPa, rad, day, and its unit, none for a plain number.

    Without a value it is what the design counts on.
    """

    value: float | None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class AnyMeasure(Quantity):
    """A number in the unit of another field's quantity, a plain number, or a word; a rule holds them to each other."""

    unit: str = "that of the quantity; a plain number where it has none"

    def read(self, value: object) -> Any:
        """Read "number unit", a plain number, or the word."""
        if not isinstance(value, str):
            return Measure(Number.read(Number(), value)) if _is_number(value) else self.refuse(value)
        if value == DESIGN:
            return Measure(None)
        try:
            number, unit = units.split(value)
            return Measure(float(number * units.factor_inside(unit)), unit)
        except units.QuantityError as error:
            self.refuse(value, got=f'"{value[:60]}": {error}')

    def must(self) -> str:
        """Name the forms."""
        return (
            "be a number, a space and the unit of the quantity, a plain number where the quantity has no unit, or "
            f'"{DESIGN}"'
        )

    def json(self) -> dict[str, Any]:
        """Any of the forms."""
        return {"anyOf": [{"type": "number"}, Quantity.json(self), {"const": DESIGN}]}


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


class Instrument(Table):
    """Instruments of one kind: what they are for, where they stand, how often they are read, who answers for them.

    What is left out is named in the package as missing; name, quantity and source are mandatory.
    """

    name: Name = field("Name as on the drawings, used once.", "SP")
    quantity: Annotated[str, OneOf(words=MEASURED)] = field("What is read.", "settlement")
    purpose: Words | None = field(
        "What the readings are for.", "settlement of the ground under the fill, against its course", default=None
    )
    place: Words | None = field("Where they stand.", "crest, axis and both crest edges, every 50 m", default=None)
    offsets: tuple[Offset, ...] = field(
        "Distances from the axis at which they are drawn in the cross-section, positive to the right.",
        '["-6 m", "0 m", "6 m"]',
        default=(),
        max_length=20,
    )
    chainages: tuple[Chainage, ...] = field(
        "Chainages at which they stand at every offset; those of a section are drawn in its plan.",
        '["0+150", "0+210"]',
        default=(),
        max_length=100,
    )
    depths: tuple[Depth, ...] = field(
        "Depths below the ground, negative above it, at which they are drawn at every offset; without depths and "
        "layers on the ground.",
        '["1 m", "3 m"]',
        default=(),
        max_length=20,
    )
    layers: tuple[LayerKey, ...] = field(
        "Keys of the soft layers in whose middle they are drawn at every offset.", '["peat"]', default=(), max_length=20
    )
    number: Annotated[int, Whole(ge=1, le=100_000)] | None = field("How many in the section.", 9, default=None)
    zero: Line | None = field("When the reading is taken that all others are counted from.", "before the platform",
                              default=None)  # fmt: skip
    filling: Line | None = field("How often while a stage is filled.", "daily", default=None)
    waiting: Line | None = field("How often in the times of waiting.", "weekly", default=None)
    service: Line | None = field("How often after hand-over.", "every three months", default=None)
    until: Line | None = field("When the readings end.", "two years after hand-over", default=None)
    evaluation: Words | None = field(
        "How the readings are evaluated.", "plotted against the expected band within a day of reading", default=None
    )
    measured_by: Line | None = field("Who reads.", "contractor", default=None)
    interpreted_by: Line | None = field("Who says what the readings mean.", "designer", default=None)
    maintained_by: Line | None = field("Who keeps the instruments working.", "contractor", default=None)
    source: Words = field("Where this is laid down.", "monitoring specification, clause 3.2")


MUST_STATE = (
    "purpose",
    "place",
    "number",
    "zero",
    "filling",
    "waiting",
    "service",
    "until",
    "evaluation",
    "measured_by",
    "interpreted_by",
    "maintained_by",
)
"""What a plan says of every instrument."""


class Trigger(Table):
    """A level at which somebody acts; none is ever assumed."""

    quantity: Annotated[str, OneOf(words=tuple(QUANTITIES))] = field("What the level is of.", "settlement")
    kind: Annotated[str, OneOf(words=KINDS)] = field(
        '"attention": read more often and find out why; "stop": the work does not go on.', "stop"
    )
    level: Annotated[Measure, AnyMeasure()] = field(
        "The level, with the unit of its quantity. Degree of consolidation, stress ratio and undrained strength "
        "trigger below it, everything else above it. A pore pressure is the excess over that at rest, a settlement or "
        "heave counts from the zero reading; lateral displacement, its rate and ratios count by their magnitude, to "
        "whatever side; a displacement ratio is the lateral displacement over the settlement of the plate "
        "nearest to the axis, that of increments counts both from the start of the time of the level; "
        "groundwater and head of the aquifer are elevations. Where a quantity "
        'triggers below its level, "design" stands for what the design relies on: the degree asked for, the stress '
        "ratio taken for stability, the strength with the gain credited.",
        "0.25 m",
    )
    stage: Name | None = field(
        "Name of the stage from whose start to the start of the next the level holds; degree of consolidation and "
        "undrained strength hold at its start and need it. Without it the level holds until hand-over.",
        "Stage 2",
        default=None,
    )
    phase: Annotated[str, OneOf(words=PHASES)] | None = field(
        '"filling": only while a stage is filled; "waiting": only after its filling; "in service": from hand-over to '
        "the end of the design life.",
        "waiting",
        default=None,
    )
    layer: LayerKey | None = field(
        "Key of the layer that the level is for, for pore pressure and undrained strength; without it every layer.",
        "peat",
        default=None,
    )
    action: Words = field("What is done when it is crossed.", "no filling; readings twice a day; ask the designer")
    decides: Line = field("Who decides how the work goes on.", "designer")
    source: Words = field("Where the level comes from.", "monitoring specification, clause 4.1")


class Monitoring(Table):
    """Monitoring of the works and of the embankment in service."""

    dates: tuple[Time, ...] = field(
        "Further dates of reading for which the expected range is printed, from the start of works.",
        '["100 d", "150 d"]',
        default=(),
        max_length=20,
    )
    instruments: tuple[Instrument, ...] = field(
        "Instruments.", "[[monitoring.instrument]]", name="instrument", default=(), max_length=40
    )
    triggers: tuple[Trigger, ...] = field(
        "Levels at which somebody acts.", "[[monitoring.trigger]]", name="trigger", default=(), max_length=60
    )


def instruments_once(monitoring: Monitoring | None) -> Problems:
    """Names of instruments and dates are unique."""
    instruments, dates = (monitoring.instruments, monitoring.dates) if monitoring is not None else ((), ())
    yield from unique([instrument.name for instrument in instruments], ("monitoring", "instrument"), "name")
    for index, date in enumerate(dates):
        if date in dates[:index]:
            yield Problem(("monitoring", "dates", index), "be used once only")


def instrument_places(monitoring: Monitoring | None, layers: tuple[Layer, ...]) -> Problems:
    """Instruments with a depth, a layer or a chainage have a distance from the axis, and their layers exist."""
    keys = [layer.key for layer in layers]
    for index, instrument in enumerate(monitoring.instruments if monitoring is not None else ()):
        path = ("monitoring", "instrument", index)
        if (instrument.depths or instrument.layers or instrument.chainages) and not instrument.offsets:
            yield Problem((*path, "offsets"), "be given where depths, layers or chainages are", "nothing")
        for place, key in enumerate(instrument.layers):
            if key not in keys:
                yield Problem((*path, "layers", place), f"name a layer ({', '.join(keys)})")


def trigger_levels(monitoring: Monitoring | None) -> Problems:
    """A level has the unit of its quantity and a value that the quantity can have."""
    for index, trigger in _triggers(monitoring):
        level = trigger.level.value
        if level is not None and (must := _unit_of(trigger) or _value_of(QUANTITIES[trigger.quantity], level)):
            yield Problem(("monitoring", "trigger", index, "level"), f'{must} for the quantity "{trigger.quantity}"')


def design_levels(monitoring: Monitoring | None, stages: tuple[Stage, ...]) -> Problems:
    """A level that is what the design counts on has a value there."""
    degrees = {stage.name: stage.degree_min for stage in stages}
    for index, trigger in _triggers(monitoring):
        path = ("monitoring", "trigger", index, "level")
        if trigger.level.value is None and not _falls(trigger):
            yield Problem(path, "be a number where a quantity triggers above its level")
        elif (
            trigger.level.value is None
            and trigger.quantity == "degree of consolidation"
            and not degrees.get(trigger.stage or "")
        ):
            yield Problem(path, "be a number where the stage has no degree_min")


def trigger_places(monitoring: Monitoring | None, stages: tuple[Stage, ...], layers: tuple[Layer, ...]) -> Problems:
    """Stage, phase and layer of a trigger exist and belong to its quantity."""
    names, keys = [stage.name for stage in stages], [layer.key for layer in layers]
    for index, trigger in _triggers(monitoring):
        path = ("monitoring", "trigger", index)
        if trigger.stage is not None and trigger.stage not in names:
            yield Problem((*path, "stage"), f"name a stage ({', '.join(names)})")
        if trigger.layer is not None and trigger.layer not in keys:
            yield Problem((*path, "layer"), f"name a layer ({', '.join(keys)})")
        for key, must in _misplaced_fields(trigger):
            yield Problem((*path, key), must, "nothing" if getattr(trigger, key) is None else None)


def trigger_order(monitoring: Monitoring | None) -> Problems:
    """Of two triggers that hold at one place, attention is called before the work stops."""
    triggers = list(_triggers(monitoring))
    stops = {_place(trigger): trigger for _, trigger in triggers if trigger.kind == "stop"}
    for index, trigger in triggers:
        stop = stops.get(_place(trigger))
        if trigger.kind == "attention" and stop is not None and not _earlier(trigger, stop):
            side = "above" if _falls(trigger) else "below"
            must = f"lie {side} the level of the trigger that stops the work at the same place"
            yield Problem(("monitoring", "trigger", index, "level"), must)
    yield from _once(triggers)


def _triggers(monitoring: Monitoring | None) -> Iterator[tuple[int, Trigger]]:
    return enumerate(monitoring.triggers if monitoring is not None else ())


def _falls(trigger: Trigger) -> bool:
    return QUANTITIES[trigger.quantity].falls


def _place(trigger: Trigger) -> tuple[str | None, ...]:
    return trigger.quantity, trigger.stage, trigger.phase, trigger.layer


def _earlier(attention: Trigger, stop: Trigger) -> bool:
    amber, red = attention.level.value, stop.level.value
    if amber is None or red is None:
        return True  # what the design counts on is not known here
    return amber > red if _falls(attention) else amber < red


def _once(triggers: list[tuple[int, Trigger]]) -> Problems:
    seen = set()
    for index, trigger in triggers:
        if (trigger.kind, *_place(trigger)) in seen:
            must = "be given once only for one kind, stage, phase and layer"
            yield Problem(("monitoring", "trigger", index, "quantity"), must)
        seen.add((trigger.kind, *_place(trigger)))


def _unit_of(trigger: Trigger) -> str:
    """What the form of the level must be, where it is not."""
    target, unit = QUANTITIES[trigger.quantity].typed_unit, trigger.level.unit
    if target == "-":
        return "be a plain number without a unit" if unit else ""
    try:
        units.factor(unit, target)
    except (units.QuantityError, ValueError):
        return f"be a number, a space and a unit that converts to {target}"
    return ""


def _value_of(of: Monitored, level: float) -> str:
    if level <= 0 and not of.elevation:
        return "be greater than 0"
    return "be at most 1" if of.share and level > 1 else ""


def _misplaced_fields(trigger: Trigger) -> Iterator[tuple[str, str]]:
    """Fields that the quantity or the phase needs or excludes."""
    of = QUANTITIES[trigger.quantity]
    if of.when == AT_START and trigger.stage is None:
        yield "stage", f'be given for the quantity "{of.name}", which is asked for at the start of a stage'
    if of.when != IN_STAGE and trigger.phase is not None:
        yield "phase", f'be left out for the quantity "{of.name}"'
    if of.when == AFTER and trigger.stage is not None:
        yield "stage", f'be left out for the quantity "{of.name}", which counts from hand-over'
    if trigger.phase == SERVICE and trigger.stage is not None:
        yield "stage", f'be left out in the phase "{SERVICE}"'
    if trigger.layer is not None and not of.by_layer:
        yield (
            "layer",
            "be given for "
            + " and ".join(quantity.name for quantity in QUANTITIES.values() if quantity.by_layer)
            + " only",
        )


MONITORING_RULES = (instruments_once, instrument_places, trigger_levels, design_levels, trigger_places, trigger_order)
