"""Trigger levels against what is expected and against what the design holds up to; what to do when one is crossed."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isclose

import numpy as np

from calc.chapters.monitoring.bounds import KEYS, Bounds, toe_of
from calc.chapters.monitoring.dates import words_of_trigger
from calc.chapters.monitoring.layers import pressure_table, strength_by_layer
from calc.chapters.shared.frame import COURSES, given_of_section, origin_of
from calc.engine.sheet import Scope, Sheet, Table, TableColumn, Value, number_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.formulas.monitoring import water_above_toes
from calc.inputs import Section
from calc.inputs.tables.monitoring import AT_START, FALLING, TRIGGER_UNITS, Trigger

say = words_of(__name__)

ROUNDING = 1e-9
COUNTED = "what the design counts on"
WAITS = say("waits")
NOT_COMPUTED = say("not-computed")


@dataclass(frozen=True)
class Judged:
    """A trigger with its number, what it has to clear and up to where the design holds."""

    number: int
    trigger: Trigger
    level: float | None
    courses: np.ndarray | None
    clears: float | None
    holds: float | None
    why: str
    by_layer: tuple[tuple[str, float], ...] = ()

    @property
    def label(self) -> str:
        """The trigger as the axis names it."""
        return f"T{self.number} {self.trigger.kind}, {words_of_trigger(self.trigger)}"

    @property
    def too_early(self) -> bool:
        """Whether what is expected crosses the level."""
        if self.level is None or self.clears is None:
            return False
        return self.level > self.clears if self._falls else self.level < self.clears

    @property
    def too_late(self) -> bool:
        """Whether the design no longer holds when the level is crossed."""
        if self.level is None or self.holds is None:
            return False
        return self.level < self.holds if self._falls else self.level > self.holds

    @property
    def _falls(self) -> bool:
        return self.trigger.quantity in FALLING


def trigger_tables(section: Section, triggers: Sequence[Trigger], judged: Sequence[Judged]) -> list[Table]:
    """What somebody on site does when a level is crossed: what stops the work first."""
    known = {one.number: one for one in judged}
    words = ("no.", "quantity", "when", "level", "what is done", "who decides", "source")
    head = [TableColumn(words=word) for word in words]
    tables = []
    for kind, title in (("stop", say("trigger-tables")), ("attention", say("trigger-tables-2"))):
        rows = [
            [
                f"T{k}", _quantity(one), words_of_trigger(one), _level_text(section, k, one, known.get(k)), one.action,
                one.decides, one.source,
            ]
            for k, one in enumerate(triggers, start=1)
            if one.kind == kind
        ]  # fmt: skip
        if rows:
            tables.append(Table(kind, title, head, rows, say("table-trigger-tables-note")))
    return tables


def _quantity(one: Trigger) -> str:
    return f"{one.quantity}, {one.layer}" if one.layer else one.quantity


def _level_text(section: Section, number: int, one: Trigger, judged: Judged | None) -> str:
    """The level as typed, or the value that the design counts on where that is known."""
    side = "below" if one.quantity in FALLING else "above"
    if one.level.value is not None:
        return f"{side} {section.origin(f'monitoring.trigger.{number - 1}.level').text}"
    if judged is None or judged.level is None:
        return f"{side} {COUNTED}"
    shown = symbol(f"{KEYS[one.quantity]}_T")
    levels = judged.by_layer if len(judged.by_layer) > 1 else (("", judged.level),)
    text = ", ".join(f"{number_text(level * shown.factor, shown.decimals)} {name}".rstrip() for name, level in levels)
    return f"{side} {text} {shown.unit_text}".rstrip() + f" ({COUNTED})"


def judge(of: Bounds, triggers: Sequence[Trigger]) -> list[Judged]:
    """Every trigger of a quantity that is computed or that the design has a value for."""
    found = []
    for number, one in enumerate(triggers, start=1):
        if one.quantity in KEYS:
            courses = of.courses(one)
            holds, why = of.holds(one)
            clears = _clears(of, one, courses, holds)
            layers = strength_by_layer(of, one) if one.quantity == "undrained strength" else ()
            found.append(Judged(number, one, _level(of, one, holds), courses, clears, holds, why, layers))
    return found


def _level(of: Bounds, one: Trigger, holds: float | None) -> float | None:
    """The level to be compared: what the design counts on by its value, a water level by its height above the toes."""
    if one.level.value is None:
        return holds
    return one.level.value - toe_of(of.section) if one.quantity == "groundwater" else one.level.value


def _clears(of: Bounds, one: Trigger, courses: np.ndarray | None, holds: float | None) -> float | None:
    """The whole range for what stops the work; the course as given for attention, and for what a stage waits for.

    A slower course with more pore pressure than the design holds up to, in any sublayer and by the bound of that
    sublayer, is what its level is there to stop.
    """
    if courses is None:
        return None
    if one.kind == "attention" or one.quantity in AT_START:
        found = float(courses[0])
        # What is credited as computed differs from what is expected by rounding error only.
        return holds if holds is not None and isclose(found, holds, rel_tol=ROUNDING) else found
    if one.quantity == "pore pressure" and holds is not None:
        return float(max(courses[0], courses[of.admitted(one)].max(initial=0.0)))
    return float(courses.min() if one.quantity in FALLING else courses.max())


def verdicts(of: Bounds, judged: Sequence[Judged]) -> None:
    """Two questions for each quantity: not crossed by what is expected, and crossed in time."""
    for quantity, key in KEYS.items():
        own = [one for one in judged if one.trigger.quantity == quantity and one.level is not None]
        if own:
            _record(of, quantity, key, own)
        _open(of.sheet, quantity, key, [one for one in judged if one.trigger.quantity == quantity])
    of.sheet.tables.append(_judged_table(judged))
    pressures = [(one.number, one.trigger, one.level or 0.0) for one in judged
                 if one.trigger.quantity == "pore pressure" and one.holds is not None]  # fmt: skip
    if pressures:
        of.sheet.tables.append(pressure_table(of, pressures))


def _record(of: Bounds, quantity: str, key: str, own: Sequence[Judged]) -> None:
    sheet, section = of.sheet, of.section
    sheet.axis("trigger", [one.label for one in own])
    scope = sheet.scope(f"trigger_{key}", f"Trigger levels: {quantity}")
    level = _levels(scope, section, key, own)
    falls = quantity in FALLING
    clears = [one.clears for one in own]
    if any(one is not None for one in clears):
        note = say("record-note", words="least" if falls else "largest")
        note += say("record-note-2")
        value = _reading(scope, f"{key}_E", clears, say("record-value"), note)
        _early(sheet, key, quantity, (level, value), own)
    holds = [one.holds for one in own]
    if any(one is not None for one in holds):
        value = _reading(scope, f"{key}_D", holds, say("record-value-2"), WHERE[quantity])
        _late(sheet, key, quantity, (level, value), own)


def _open(sheet: Sheet, quantity: str, key: str, own: Sequence[Judged]) -> None:
    """Levels for which the design has no value."""
    found = [f"T{one.number}: {one.why}" for one in own if one.holds is None]
    if found:
        title = say("open-title", quantity=quantity)
        sheet.not_verified(f"trigger_{key}_source", title, f"{'; '.join(found)}.", required=False)


WHERE = {
    "settlement": say("where"),
    "residual settlement": "basis.limits.settlement_residual",
    "pore pressure": say("where-2"),
    "degree of consolidation": say("where-3"),
    "ring strain": say("where-4"),
    "ring tension": say("where-5"),
    "pressure on soil": say("where-6"),
    "stress ratio": say("where-7"),
    "undrained strength": say("where-8"),
    "groundwater": say("where-9"),
}


def _levels(scope: Scope, section: Section, key: str, own: Sequence[Judged]) -> Value:
    """Levels as typed; a water level is counted from the toes, so that it can be compared."""
    origins = [origin_of(section, f"monitoring.trigger.{one.number - 1}.level") for one in own]
    if key != "h_w":
        levels = [one.level or 0.0 for one in own]
        if any(one.trigger.level.value is None for one in own):
            title = say("levels-title", counted=COUNTED)
            return scope.reading(f"{key}_T", levels, ["trigger"], title=title)
        return scope.given(f"{key}_T", levels, ["trigger"], origin=origins, origin_axis="trigger")
    typed = [one.trigger.level.value or 0.0 for one in own]
    scope.given("z_wlv", typed, ["trigger"], origin=origins, origin_axis="trigger")
    given_of_section(scope, "z_g", section, "ground_level", section.ground_level)
    scope.reading("t_soft", sum(layer.thickness for layer in section.layers), title=say("reading-t-soft-title"))
    given_of_section(scope, "t_emb", section, "columns.embedment", section.columns.embedment)
    return scope(water_above_toes, h_wlv="h_w_T")


def _reading(scope: Scope, name: str, values: Sequence[float | None], title: str, note: str) -> Value:
    mask = np.array([value is None for value in values])
    numbers = np.array([0.0 if value is None else value for value in values])
    return scope.reading(name, numbers, ["trigger"], title=title, note=note, mask=mask, reason="none")


def _early(sheet: Sheet, key: str, quantity: str, values: tuple[Value, Value], own: Sequence[Judged]) -> None:
    """The level lies beyond what is expected."""
    name, title = f"trigger_{key}_expected", say("early", quantity=quantity)
    effect, resistance = _sides(quantity, *values)
    if not (resistance.array[effect.valid] > 0).all():
        why = say("early-why")
        sheet.not_verified(name, title, why)
        return
    _compare(sheet, (name, title), effect, resistance, [one for one in own if one.too_early])


def _late(sheet: Sheet, key: str, quantity: str, values: tuple[Value, Value], own: Sequence[Judged]) -> None:
    """The level is crossed while the design holds."""
    name, title = f"trigger_{key}_design", say("late", quantity=quantity)
    resistance, effect = _sides(quantity, *values)
    _compare(sheet, (name, title), effect, resistance, [one for one in own if one.too_late])


def _compare(
    sheet: Sheet, named: tuple[str, str], effect: Value, resistance: Value, wrong: Sequence[Judged]
) -> None:  # fmt: skip
    """A verdict without utilisation: how near a level lies to what it is compared with says nothing of safety."""
    made = sheet.verdict(*named, effect=effect, resistance=resistance)
    note = f"{'; '.join(f'{one.label}: {_finding(one)}' for one in wrong)}." if wrong else ""
    sheet.verdicts[-1] = replace(made, utilisation=None, utilisations=None, note=note)


def _sides(quantity: str, level: Value, other: Value) -> tuple[Value, Value]:
    """What must be the smaller and what the larger one, where the level has to lie beyond the other value."""
    cut = level.without(~other.valid, "none")
    return (cut, other) if quantity in FALLING else (other, cut)


def _judged_table(judged: Sequence[Judged]) -> Table:
    """Every level beside what is expected and what the design holds up to, with the finding in words."""
    heads = ("no.", "quantity", "when", "kind", "level", *(f"{words}" for words in COURSES), say("judged-table-heads"),
             "unit", "finding")  # fmt: skip
    rows = [_judged_row(one) for one in judged]
    note = say("judged-table-note")
    return Table("judged", say("table-judged-title"), [TableColumn(words=head) for head in heads], rows, note)


def _judged_row(one: Judged) -> list[str]:
    trigger = one.trigger
    name = symbol(f"{KEYS[trigger.quantity]}_T")

    def text(number: float | None) -> str:
        return "–" if number is None else number_text(number * name.factor, name.decimals)

    courses = [None] * len(COURSES) if one.courses is None else [float(number) for number in one.courses]
    return [
        f"T{one.number}", _quantity(trigger), words_of_trigger(trigger), trigger.kind, text(one.level),
        *(text(number) for number in courses), text(one.holds), name.unit_text or "–", _finding(one),
    ]  # fmt: skip


def _finding(one: Judged) -> str:
    if one.too_early:
        return say("finding")
    if one.too_late:
        return say("finding-2")
    if one.clears is None or one.holds is None or one.courses is None or one.level is None:
        return say("finding-3")
    low = float(one.courses[1])
    slow = low < one.level if one.trigger.quantity in AT_START else low > one.holds
    return WAITS if slow and one.trigger.quantity in (*AT_START, "pore pressure") else "fits"


def unjudged(sheet: Sheet, triggers: Sequence[Trigger]) -> None:
    """Quantities of which this calculation has neither an expected reading nor a value of the design."""
    own = [(k, one) for k, one in enumerate(triggers, start=1) if one.quantity not in KEYS]
    if not own:
        return
    listed = "; ".join(f"T{k} {one.quantity} ({one.source})" for k, one in own)
    title = say("unjudged-title")
    why = say("unjudged-why", listed=listed, not_computed=NOT_COMPUTED)
    sheet.not_verified("triggers_not_computed", title, why, required=False)


def levels_of(triggers: Sequence[Trigger], quantity: str) -> list[tuple[float, str]]:
    """Levels of a quantity for a figure, in the unit shown."""
    factor = symbol(f"{KEYS[quantity]}_T").factor
    return [
        ((one.level.value or 0.0) * factor, f"T{k} {one.kind}, {words_of_trigger(one)}")
        for k, one in enumerate(triggers, start=1)
        if one.quantity == quantity
    ]


assert set(KEYS) <= set(TRIGGER_UNITS)  # noqa: S101 - the two lists belong together
