"""What readings expected in the time of a trigger, and the values up to which the design holds, follow from."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.expected import Known
from calc.chapters.monitoring.reading_dates import spans_of, stages_of, times_of
from calc.chapters.shared.frame import SHORT, TOP, Frame, origin_of
from calc.chapters.shared.heads import HEADS, has_heads, names_of_water
from calc.chapters.shared.programme import Calendar
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.monitoring import bearable_tension, strain_of_tension, water_above_toes
from calc.inputs import Design, Section
from calc.inputs.tables.monitoring import Trigger

say = words_of(__name__)

Floats = NDArray[np.float64]
WATER, AQUIFER = "water_above_toes", "aquifer_above_toes"
BOUND = "bound_"  # scopes of the bounds of single triggers


@dataclass(frozen=True)
class Expected:
    """Readings expected in the time of a trigger, scenarios first, None where there are none.

    They come from the steps ``inputs`` and from the fields ``origins`` of the project file.
    """

    values: Floats | None
    inputs: tuple[Value, ...] = ()
    origins: tuple[Origin, ...] = ()


@dataclass(frozen=True)
class Bound:
    """The value up to which the design holds, or None and why there is none; steps and fields that it comes from."""

    value: float | None
    why: str = ""
    inputs: tuple[Value, ...] = ()
    origins: tuple[Origin, ...] = ()


@dataclass(frozen=True)
class Bounds:
    """Everything that the bounds of triggers follow from."""

    sheet: Sheet
    design: Design
    section: Section
    shared: Frame
    known: Known
    days: Calendar
    done: dict[str, Sheet]

    def follows(self, trigger: Trigger, values_at: Callable[[Floats], Floats]) -> float:
        """What comes of a reading after the time in which a trigger holds, the most of all scenarios and sublayers."""
        last = max(end for _, end in spans_of(self.section, trigger, self.days))
        values = values_at(np.array([last, self.days.end_of_life]))
        return max(0.0, float((values[:, 1] - values[:, 0]).max()))

    def times(self, trigger: Trigger) -> Floats:
        """Days at which a trigger is looked at."""
        return times_of(spans_of(self.section, trigger, self.days), self.days.breaks)

    def layers(self, trigger: Trigger) -> list[int]:
        """Indices of the sublayers that a trigger is for."""
        keys = [self.section.layers[k].of for k in self.shared.sublayers.layer]
        return [k for k, key in enumerate(keys) if trigger.layer in {None, key}]

    def stages(self, trigger: Trigger) -> list[str]:
        """Labels of the stages in which a trigger holds."""
        return [self.shared.stages[k + 1] for k in stages_of(self.section, trigger)]

    def steps(self, scope: str, *names: str) -> tuple[Value, ...]:
        """The values of a scope of this chapter, none where it does not have the scope."""
        values = self.sheet.scopes.get(scope)
        return () if values is None else tuple(values[name] for name in names)

    def limit(self, name: str) -> Bound:
        """A limit of the design basis, if it is asked for."""
        value: float | None = getattr(self.design.basis.limits, name)
        if value is None:
            return Bound(None, say("no-limit", name=name))
        return Bound(value, origins=(origin_of(self.design, f"basis.limits.{name}"),))

    def stage_fields(self, trigger: Trigger, field: str) -> tuple[Origin, ...]:
        """The origins of a field of the stages in which a trigger holds."""
        return tuple(origin_of(self.section, f"stage.{k}.{field}") for k in stages_of(self.section, trigger))

    def bound_scope(self, trigger: Trigger) -> Scope:
        """A new scope for the bound of a trigger."""
        triggers = self.section.monitoring.triggers if self.section.monitoring is not None else ()
        number = next(k for k, known in enumerate(triggers, start=1) if known is trigger)
        return self.sheet.scope(f"{BOUND}{number}", say("scope-bound-title", number=number, quantity=trigger.quantity))

    @property
    def water(self) -> Value:
        """Height of the water above the toes of the columns, before construction and in every stage; derived once."""
        if WATER not in self.sheet.scopes:
            scope = self.sheet.scope(WATER, say("scope-water-title"))
            scope.take("z_wlv", self.done["ground"]["z_w"])
            self._above_toes(scope)
        return self.sheet.scopes[WATER]["h_wlv"]

    @property
    def aquifer(self) -> Value | None:
        """The head of the aquifer above the toes of the columns likewise, where heads over depth give it."""
        if not has_heads(self.done["ground"]):
            return None
        if AQUIFER not in self.sheet.scopes:
            scope = self.sheet.scope(AQUIFER, say("scope-aquifer-title"))
            lines = [self.section.water_table.line(name, 0.0) for name in names_of_water(self.section)]
            scope.reading("z_wlv", [line[-1][1] for line in lines], ["stage"], title=say("reading-aquifer-title"),
                          inputs=[self.done["ground"].scopes[HEADS]["h_a"]])  # fmt: skip
            self._above_toes(scope)
        return self.sheet.scopes[AQUIFER]["h_wlv"]

    def _above_toes(self, scope: Scope) -> None:
        scope.take("z_g", self.done["ground"]["z_g"])
        for name in ("t_soft", "t_emb"):
            scope.take(name, self.done["columns"][name])
        scope(water_above_toes)


def bearable_ring_tension(sheet: Sheet, shared: Frame, done: dict[str, Sheet]) -> Scope | None:
    """Record the characteristic ring tension and strain at which the most utilised sublayer has used its sleeve up."""
    utilisations = [
        scope["u_R"].largest("stage", "layer").at(stage=shared.persistent)
        for scope in done["sleeve"].scopes.values()
        if "u_R" in scope
    ]
    # Sublayers within the head zone have no number.
    ratio = max(utilisations, key=lambda value: float(np.nanmax(value.array)))
    case = ratio.case_at(int(np.nanargmax(ratio.array)))
    tension = done["unit_cell"].scopes["strain"]["F_R"].at(stiffness=SHORT, point=TOP, **case)
    if not tension.valid.all() or float(tension.array) <= 0 or float(ratio.at(**case).array) <= 0:
        return None
    scope = sheet.scope("bearable", say("scope-bearable-title"))
    scope.take("F_k", tension, note=say("take-f-k-note"))
    scope.take("u_Rx", ratio.at(**case), note=say("take-u-rx-note"))
    scope(bearable_tension)
    scope.take("J", done["unit_cell"]["J"].at(stiffness=SHORT))
    scope(strain_of_tension, eps_ob="eps_kd", F_ob="F_kd")
    return scope
