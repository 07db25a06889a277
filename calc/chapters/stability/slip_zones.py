"""Zones of the column grid in the slip model: their stress shares and their gain of strength in every state."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from calc.chapters.shared.column_zones import ZONE, ZoneSheets
from calc.chapters.shared.geometry import place_of
from calc.chapters.stability.slip_ground import record_gain
from calc.chapters.stability.stage_model import ZoneCase
from calc.chapters.stability.states import State
from calc.engine.sheet import Scope, Sheet, Value, stage_name
from calc.engine.words import words_of
from calc.procedures.failures import ProcedureError
from calc.procedures.slip import Grid

say = words_of(__name__)


@dataclass(frozen=True)
class ZoneInSlip:
    """One zone with its sheet of this chapter, which holds its shares and gains."""

    zone: ZoneSheets
    own_length: bool

    @property
    def sheet(self) -> Sheet:
        """Its shares by state."""
        return self.zone.done["stability"]

    def scope(self, state: State) -> Scope:
        """Where its shares in a state stand: by the ratio for stability where no gain counts by that of the cell."""
        known = state if not state.shares or state.shares[0] in self.sheet.scopes else state.by_given
        return known.of(self.sheet)

    def gain_scope(self, state: State) -> str:
        """The scope of its strength with gain in the slip model."""
        return f"{state.gain}_{self.zone.zone.key}"

    def record(self, sheet: Sheet, state: State) -> None:
        """Record the strength with gain of a state."""
        record_gain(sheet, self.gain_scope(state).removeprefix("slip_gain"), self.scope(state)["Dc_u"])

    def strips(self, state: State, label: Mapping[str, str]) -> Iterator[ZoneCase]:
        """Its strips in one case; where nothing is placed over it, with the shares of the stage before."""
        scope, a = self.scope(state), float(self.sheet["a_E"].array)
        on_soil, on_column = (scope[name].number(label) for name in state.share_names)
        if on_soil is None or on_column is None:
            on_soil = scope["mu_sb"].number(label)
            if on_soil is None:
                raise ProcedureError(say("no-share", zone=self.zone.zone.key, stage=stage_name(label["stage"])))
            on_column = (1 - (1 - a) * on_soil) / a
        gain = self.gain_scope(state) if scope["Dc_u"].number(label) else ""
        for low, high in self.zone.zone.strips:
            yield ZoneCase(Grid(low, high, a, on_soil, on_column, **self._length(label)), gain)

    def _length(self, label: Mapping[str, str]) -> dict[str, float]:
        """Toes and what holds them where they are not those of the section; in soft ground nothing holds them."""
        if not self.own_length:
            return {}
        toe, firm = (float(value.array) for value in self._toes())
        held = self.sheet["V_toe"].number(label) or 0.0
        return {"y_toe": toe, "y_firm": firm if self.zone.section.columns.floating is None else toe, "held": held}

    def _toes(self) -> list[Value]:
        return [place_of(self.zone.done["columns"], name) for name in ("z_toe", "z_firm")]

    def relies_on(self, state: State) -> list[Value]:
        """What its part of the cases of a state is made of."""
        scope, places = self.scope(state), self.zone.done["columns"].scopes[ZONE]
        before = ["mu_sb"] if state.lift else []
        return [
            self.sheet["a_E"], *(scope[name] for name in (*state.share_names, *before)),
            *([] if state.drained else [scope["Dc_u"]]), *(places[name] for name in ("x_z1", "x_z2")),
            *([*self._toes(), self.sheet["V_toe"]] if self.own_length else []),
        ]  # fmt: skip
