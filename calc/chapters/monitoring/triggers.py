"""Trigger levels against what is expected and against what the design holds up to, quantity by quantity."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import isclose

import numpy as np

from calc.chapters.monitoring.bounds import Bound, Bounds, Expected
from calc.chapters.monitoring.judged_quantities import (
    JUDGED,
    Quantity,
    admitted_scenarios,
    less_by_cell,
    pressure_asked_of,
    pressure_read,
    strength_by_layer,
)
from calc.chapters.monitoring.reading_dates import KIND_WORDS, words_of_trigger
from calc.chapters.shared.frame import given_of_section, origin_of
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.sheet.steps import State
from calc.engine.words import words_of
from calc.factors.monitored import AT_START
from calc.formulas.monitoring import water_above_toes
from calc.inputs.tables.monitoring import Trigger

say = words_of(__name__)

ROUNDING = 1e-9
COUNTED = say("counted")
WAITS, WAITS_BY_CELL = say("waits"), say("waits-by-cell")
SLOWER = {"stop": say("slower-stops"), "attention": say("slower-reached")}
NOT_COMPUTED = say("not-computed")
Sublayer = tuple[float, str]


@dataclass(frozen=True)
class Judged:
    """A trigger with its number, its range expected, what it has to clear and up to where the design holds.

    ``by_layer`` is the strength that counts in each layer, ``decisive`` of a pore pressure the largest reading with c_h
    as given and the least bound in kPa, each with the sublayer that has it. ``too_early`` and ``too_late`` are what the
    verdicts found of it: what is expected crosses the level, the design no longer holds when the level is crossed.
    ``by_cell``: the strength that goes with the stress ratio of the unit cell lies below the level. ``of_zones``: other
    grids of columns rely on it as well, for which nothing is calculated.
    """

    number: int
    trigger: Trigger
    of: Quantity
    level: float | None
    expected: Expected
    clears: float | None
    bound: Bound
    by_layer: tuple[tuple[str, float], ...] = ()
    decisive: tuple[Sublayer, Sublayer] | None = None
    too_early: bool = False
    too_late: bool = False
    by_cell: bool = False
    of_zones: bool = False

    @property
    def label(self) -> str:
        """The trigger as the axis names it."""
        return f"T{self.number} {KIND_WORDS[self.trigger.kind]}, {words_of_trigger(self.trigger)}"

    @property
    def finding(self) -> str:
        """Whether the level fits, in words."""
        if self.too_early:
            return say("finding-early")
        if self.too_late:
            return say("finding-late")
        if self.by_cell:
            return WAITS_BY_CELL
        if self.of_zones:
            return say("finding-zones")
        scenarios, holds = self.expected.values, self.bound.value
        if self.clears is None or holds is None or scenarios is None or self.level is None:
            return say("finding-open")
        low, starts = float(scenarios[1]), self.of.of.when == AT_START
        slow = low < self.level if starts else low > holds and self.trigger.quantity == "pore pressure"
        slower = WAITS if starts else SLOWER[self.trigger.kind]
        return slower if slow else "fits"


def judge(of: Bounds, triggers: Sequence[Trigger]) -> list[Judged]:
    """Every trigger of a quantity that is computed or that the design has a value for."""
    return [_judge(of, k, trigger) for k, trigger in enumerate(triggers, start=1) if trigger.quantity in JUDGED]


def _judge(of: Bounds, number: int, trigger: Trigger) -> Judged:
    quantity = JUDGED[trigger.quantity]
    expected, bound = quantity.range_in_time(of, trigger), quantity.holds(of, trigger)
    clears = _clears(of, trigger, quantity, expected.values, bound.value)
    level = (
        bound.value if trigger.level.value is None else trigger.level.value
    )  # what the design counts on by its value
    made = Judged(number, trigger, quantity, level, expected, clears, bound)
    if trigger.quantity == "undrained strength":
        return replace(made, by_layer=strength_by_layer(of, trigger), by_cell=less_by_cell(of, trigger, level))
    if trigger.quantity == "pore pressure":
        return replace(made, decisive=_decisive(of, trigger))
    return made


def _clears(
    of: Bounds, trigger: Trigger, quantity: Quantity, scenarios: np.ndarray | None, holds: float | None
) -> float | None:  # fmt: skip
    """The whole range for a red trigger; the best estimate for an amber one, and for what a stage waits for.

    A slower scenario with more pore pressure than the design holds up to, in any sublayer and by the bound of that
    sublayer, is what its level is there to stop.
    """
    if scenarios is None:
        return None
    if trigger.kind == "attention" or quantity.of.when == AT_START:
        value = float(scenarios[0])
        # What is credited as computed differs from what is expected by rounding error only.
        return holds if holds is not None and isclose(value, holds, rel_tol=ROUNDING) else value
    if trigger.quantity == "pore pressure" and holds is not None:
        return float(max(scenarios[0], scenarios[admitted_scenarios(of, trigger)].max(initial=0.0)))
    return float(scenarios.min() if quantity.of.falls else scenarios.max())


def _decisive(of: Bounds, trigger: Trigger) -> tuple[Sublayer, Sublayer]:
    """The sublayer that reads most with c_h as given, and the one that holds least."""
    labels = [of.shared.layers[k] for k in of.layers(trigger)]
    read, limit = pressure_read(of, trigger)[0].max(axis=0), pressure_asked_of(of, trigger)
    most, least = int(np.argmax(read)), int(np.argmin(limit))
    return (float(read[most]), labels[most]), (float(limit[least]), labels[least])


def verdicts(of: Bounds, judged: Sequence[Judged]) -> list[Judged]:
    """Two questions for each quantity: not crossed by what is expected, and crossed in time; the triggers as found."""
    answered = {judgement.number: judgement for judgement in judged}
    for quantity in JUDGED.values():
        judgements = [judgement for judgement in judged if judgement.of is quantity]
        rated = [judgement for judgement in judgements if judgement.level is not None]
        if rated:
            answered |= {judgement.number: judgement for judgement in _record(of, quantity, rated)}
        _open_question(of.sheet, quantity, judgements)
    return list(answered.values())


def _record(of: Bounds, quantity: Quantity, judgements: list[Judged]) -> list[Judged]:
    sheet, key = of.sheet, quantity.symbols.key
    sheet.axis("trigger", [judgement.label for judgement in judgements])
    scope = sheet.scope(f"trigger_{key}", say("scope-title", name=quantity.of.name))
    level = _levels(of, scope, quantity, judgements)
    judgements = [replace(judgement, level=float(level.at(trigger=judgement.label).array)) for judgement in judgements]
    clears = [judgement.clears for judgement in judgements]
    if any(clear is not None for clear in clears):
        note = say("record-note", words="smallest" if quantity.of.falls else "largest")
        note += say("record-note-2")
        value = _record_by_trigger(
            scope, f"{key}_E", clears, say("record-value"), note, [judgement.expected for judgement in judgements]
        )
        judgements = _compare_with_expected(sheet, quantity, (level, value), judgements)
    holds = [judgement.bound.value for judgement in judgements]
    if any(hold is not None for hold in holds):
        rests = [judgement.bound for judgement in judgements]
        value = _record_by_trigger(scope, f"{key}_D", holds, say("record-value-2"), quantity.words, rests)
        judgements = _compare_with_design(sheet, quantity, (level, value), judgements)
    return judgements


def _open_question(sheet: Sheet, quantity: Quantity, judgements: Sequence[Judged]) -> None:
    """Levels for which the design has no value."""
    reasons = [
        f"T{judgement.number}: {judgement.bound.why}" for judgement in judgements if judgement.bound.value is None
    ]
    if reasons:
        key, title = f"trigger_{quantity.symbols.key}_source", say("open-title", quantity=quantity.of.name)
        sheet.not_verified(key, title, f"{'; '.join(reasons)}.", required=False)


def _levels(of: Bounds, scope: Scope, quantity: Quantity, judgements: Sequence[Judged]) -> Value:
    """Levels as typed; an elevation is counted from the toes, so that it can be compared."""
    section, key = of.section, quantity.symbols.key
    origins = [origin_of(section, f"monitoring.trigger.{judgement.number - 1}.level") for judgement in judgements]
    if not quantity.of.elevation:
        levels = [judgement.level or 0.0 for judgement in judgements]
        counted = [judgement.bound for judgement in judgements if judgement.trigger.level.value is None]
        if counted:
            return scope.reading(f"{key}_T", levels, ["trigger"], title=say("levels-title", counted=COUNTED),
                                 inputs=_inputs(counted), origins=[*origins, *_origins(counted)])  # fmt: skip
        return scope.given(f"{key}_T", levels, ["trigger"], origin=origins, origin_axis="trigger")
    typed = [judgement.trigger.level.value or 0.0 for judgement in judgements]
    scope.given("z_wlv", typed, ["trigger"], origin=origins, origin_axis="trigger")
    given_of_section(scope, "z_g", section, "ground_level", section.ground_level)
    for name in ("t_soft", "t_emb"):
        scope.take(name, of.done["columns"][name])
    return scope(water_above_toes, h_wlv=f"{key}_T")


def _record_by_trigger(
    scope: Scope, name: str, values: Sequence[float | None], title: str, note: str, rests: Sequence[Expected | Bound]
) -> Value:  # fmt: skip
    mask = np.array([value is None for value in values])
    numbers = np.array([0.0 if value is None else value for value in values])
    return scope.reading(name, numbers, ["trigger"], title=title, note=note, mask=mask, reason="none",
                         inputs=_inputs(rests), origins=_origins(rests))  # fmt: skip


def _inputs(rests: Iterable[Expected | Bound]) -> list[Value]:
    """The steps that the values of several triggers come from, each once."""
    return list({value.step: value for rest in rests for value in rest.inputs}.values())


def _origins(rests: Iterable[Expected | Bound]) -> list[Origin]:
    """The fields that they come from, each once."""
    return list({origin.path: origin for rest in rests for origin in rest.origins}.values())


def _compare_with_expected(
    sheet: Sheet, quantity: Quantity, values: tuple[Value, Value], rated: Sequence[Judged]
) -> list[Judged]:
    """The level lies beyond what is expected."""
    name, title = f"trigger_{quantity.symbols.key}_expected", say("early", quantity=quantity.of.name)
    effect, resistance = _sides(quantity, *values)
    judgements = [
        replace(judgement, too_early=wrong) for judgement, wrong in zip(rated, _larger(effect, resistance), strict=True)
    ]
    if not (resistance.array[effect.valid] > 0).all():
        sheet.not_verified(name, title, say("early-why"))
        return judgements
    _compare(sheet, (name, title), effect, resistance, [judgement for judgement in judgements if judgement.too_early])
    slow = _findings(judgement for judgement in judgements if judgement.finding in SLOWER.values())
    cell = [judgement.label for judgement in judgements if judgement.by_cell]
    more = [
        *([slow] if slow else []),
        *([say("early-by-cell", names="; ".join(cell))] if cell else []),
        *([say("early-ratio")] if quantity.of.name == "stress ratio" else []),
    ]
    if more:
        made = sheet.verdicts[-1]
        sheet.verdicts[-1] = replace(made, note=" ".join([*([made.note] if made.note else []), *more]))
    return judgements


def _compare_with_design(
    sheet: Sheet, quantity: Quantity, values: tuple[Value, Value], rated: Sequence[Judged]
) -> list[Judged]:
    """The level is crossed while the design holds."""
    named = f"trigger_{quantity.symbols.key}_design", say("late", quantity=quantity.of.name)
    resistance, effect = _sides(quantity, *values)
    judgements = [
        replace(judgement, too_late=wrong) for judgement, wrong in zip(rated, _larger(effect, resistance), strict=True)
    ]
    _compare(sheet, named, effect, resistance, [judgement for judgement in judgements if judgement.too_late])
    return judgements


def _larger(effect: Value, resistance: Value) -> list[bool]:
    """Of every trigger, whether what must be the smaller of two recorded values is the larger one."""
    both = effect.valid & resistance.valid
    return [
        bool(is_larger)
        for is_larger in both & (np.where(both, effect.array, 0.0) > np.where(both, resistance.array, 0.0))
    ]


def _compare(
    sheet: Sheet, named: tuple[str, str], effect: Value, resistance: Value, wrong: Sequence[Judged]
) -> None:  # fmt: skip
    """A verdict without utilisation: how near a level lies to what it is compared with says nothing of safety.

    Its state is that of the triggers, so that words and verdict cannot say different things.
    """
    made = sheet.verdict(*named, effect=effect, resistance=resistance)
    note = _findings(wrong)
    state: State = "fail" if wrong else "pass"
    sheet.verdicts[-1] = replace(made, state=state, utilisation=None, utilisations=None, note=note)


def _findings(judgements: Iterable[Judged]) -> str:
    """Each trigger with the words of the table about it."""
    listed = "; ".join(f"{judgement.label}: {judgement.finding}" for judgement in judgements)
    return f"{listed}." if listed else ""


def _sides(quantity: Quantity, level: Value, other: Value) -> tuple[Value, Value]:
    """What must be the smaller and what the larger one, where the level has to lie beyond the other value."""
    cut = level.without(~other.valid, "none")
    return (cut, other) if quantity.of.falls else (other, cut)


def open_triggers(sheet: Sheet, triggers: Sequence[Trigger]) -> None:
    """Quantities of which this calculation has neither an expected reading nor a value of the design."""
    unjudged = [(k, trigger) for k, trigger in enumerate(triggers, start=1) if trigger.quantity not in JUDGED]
    if not unjudged:
        return
    listed = "; ".join(f"T{k} {trigger.quantity} ({trigger.source})" for k, trigger in unjudged)
    why = say("unjudged-why", listed=listed, not_computed=NOT_COMPUTED)
    sheet.not_verified("triggers_not_computed", say("unjudged-title"), why, required=False)
