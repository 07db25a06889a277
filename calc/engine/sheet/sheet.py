"""A chapter while it is written: its scopes, steps, verdicts and limitations; and what it prints besides them."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from calc.engine.figure import Figure
from calc.engine.formula import FormulaError
from calc.engine.sheet.recorder import Recorder
from calc.engine.sheet.resting import RestsOn
from calc.engine.sheet.steps import Cases, Input, Limitation, Rest, State, Step, Table, Verdict, Winner
from calc.engine.sheet.values import AXIS_ORDER, SheetError, Value, refuse_other_unit, spread, union_axes
from calc.engine.symbols import symbol
from calc.engine.typeset import LAYERED

Turning = Callable[[Verdict], bool]
"""Tells of a verdict with a number whether a limitation would turn it."""


@dataclass
class Scope(Recorder):
    """A named set of symbols of a chapter, beside which others may have the same symbols."""

    sheet: "Sheet"


@dataclass
class Sheet(Scope):
    """One chapter of a section: the outermost scope, with everything recorded in order.

    ``kept`` holds by name what its page needs besides numbers: slip surfaces found, courses in time, judgements.
    """

    sheet: "Sheet" = field(init=False, repr=False)
    section: str = ""
    key: str = ""
    axes: dict[str, tuple[str, ...]] = field(default_factory=dict)
    layered: dict[str, set[str]] = field(default_factory=dict)
    steps: list[Step] = field(default_factory=list)
    scopes: dict[str, Scope] = field(default_factory=dict)
    leads: dict[str, dict[str, str]] = field(default_factory=dict)
    verdicts: list[Verdict] = field(default_factory=list)
    limitations: list[Limitation] = field(default_factory=list)
    rests: list[Rest] = field(default_factory=list)
    unconfirmed: set[str] = field(default_factory=set)
    turning: dict[str, Turning] = field(default_factory=dict)
    resting: dict[str, RestsOn] = field(default_factory=dict)
    winners: dict[str, Winner] = field(default_factory=dict)
    kept: dict[str, Any] = field(default_factory=dict)
    written: "Page | None" = field(default=None, repr=False)

    def __post_init__(self) -> None:
        """A chapter is its own outermost scope."""
        self.sheet = self

    @property
    def page(self) -> "Page":
        """What the chapter prints, written once the chain is finished."""
        if self.written is None:
            message = f"{self.where}: its page is not written yet"
            raise SheetError(message)
        return self.written

    def won(self, value: Value, case: Mapping[str, str]) -> Step | None:
        """The step of this chapter whose value :meth:`Scope.largest` took at a case; None where there is no number."""
        winner = self.winners[value.step]
        key = winner.keys[int(winner.index[value.index(case)])]
        return None if value.number(case) is None else next(step for step in self.steps if step.key == key)

    def scope(self, name: str, title: str, **lead: str) -> Scope:
        """Open a named scope; ``lead`` fixes labels at which it prints whatever governs."""
        if name in self.scopes:
            message = f"{self.where}: the scope {name!r} exists already"
            raise SheetError(message)
        self.scopes[name] = Scope(self, name, title)
        self.leads[name] = dict(lead)
        return self.scopes[name]

    def axis(self, name: str, labels: Sequence[str]) -> None:
        """Declare an axis of this chapter; one of layers has one meaning in it: some of its first labels."""
        if len(set(labels)) != len(labels) or not labels:
            message = f"{self.where}: the labels of the axis {name!r} must be different and at least one"
            raise SheetError(message)
        if name not in AXIS_ORDER:
            message = f"{self.where}: {name!r} is none of the axes {list(AXIS_ORDER)}"
            raise SheetError(message)
        if name in LAYERED and self.layered.setdefault(name, set(labels)).isdisjoint(labels):
            message = f"{self.where}: the axis {name!r} has other labels already, and one meaning in a chapter"
            raise SheetError(message)
        self.axes[name] = tuple(labels)

    def limitation(
        self, key: str, text: str, source: str = "", *, turns: Sequence[str] | Turning | RestsOn = ()
    ) -> None:
        """State a limit of the method once, where it arises.

        ``turns`` are the keys of the verdicts of the section, in any chapter, that would turn if it were otherwise, or
        tells of a verdict whether it would; said again, its keys are added. ``settle_turns`` refuses a key that no
        verdict has.
        """
        keys: tuple[str, ...] = ()
        if isinstance(turns, RestsOn):
            self.resting[key] = turns
        elif callable(turns):
            self.turning[key] = turns
        else:
            keys = tuple(turns)
        for k, known in enumerate(self.limitations):
            if known.key == key:
                self.limitations[k] = replace(known, turns=tuple(dict.fromkeys((*known.turns, *keys))))
                return
        self.limitations.append(Limitation(key, text, source, keys))

    def relies_on(self, title: str, text: str, proof: str = "") -> None:
        """State a decision or a proof without which the results do not hold; the package collects them."""
        self.rests.append(Rest(title, text, proof))

    def not_verified(self, key: str, title: str, why: str, *, required: bool = True, informs: bool = False) -> None:
        """State a question that this calculation leaves open; ``informs`` where it was evaluated all the same."""
        self.verdicts.append(Verdict(key, title, "not verified", note=why, required=required, informs=informs))

    def not_applicable(self, key: str, title: str, why: str) -> None:
        """State a question that cannot arise here, with the reason: nothing of it stays open."""
        self.verdicts.append(Verdict(key, title, "not verified", note=why, required=False, applies=False))

    def withhold(self, made: Verdict, why: str) -> None:
        """Take pass or fail from a verdict that this calculation must not give; its numbers stay, with the reason."""
        place = next(k for k, verdict in enumerate(self.verdicts) if verdict is made)
        self.verdicts[place] = replace(made, state="not verified", utilisation=None, note=why)

    def settled(self, key: str, title: str, why: str) -> None:
        """State a question that was compared and passes without a utilisation, with the reason."""
        self.verdicts.append(Verdict(key, title, "pass", note=why))

    def accepted(self, key: str, title: str, why: str) -> None:
        """State a question that the project answers by a statement; nothing was computed or compared for it."""
        self.verdicts.append(Verdict(key, title, "pass", note=why, accepted=True))

    def verdict(
        self, key: str, title: str, *, effect: Value, resistance: Value, limit: float = 1.0, note: str = ""
    ) -> Verdict:
        """Compare effect and resistance in every case; the one with the largest utilisation governs."""
        refuse_other_unit(self.where, effect.symbol, resistance.symbol)
        axes = union_axes((effect, resistance))
        shape = tuple(len(axis.labels) for axis in axes)
        load = np.broadcast_to(spread(effect.array, effect.axes, axes), shape)
        strength = np.broadcast_to(spread(resistance.array, resistance.axes, axes), shape)
        valid = np.broadcast_to(spread(effect.valid, effect.axes, axes), shape).astype(bool)
        if not valid.any():
            message = f"{self.where}: the verdict {key!r} has no case with a number"
            raise SheetError(message)
        if not (strength[valid] > 0).all():
            message = f"{self.where}: {resistance.symbol} must be positive to be compared with {effect.symbol}"
            raise FormulaError(message)
        ratio = load / strength
        every = Value(key, ratio, axes, effect.step).without(~valid, effect.reason)
        lane = int(np.argmax(np.where(valid, ratio, -np.inf)))
        case_found = every.case_at(lane)
        case = dict(resistance.chosen) | dict(effect.taken_at) | dict(effect.chosen) | case_found
        utilisation = float(ratio.flat[lane])
        state: State = "pass" if utilisation <= limit else "fail"
        made = Verdict(
            key, title, state, float(load.flat[lane]), float(strength.flat[lane]), effect.symbol, resistance.symbol,
            symbol(effect.symbol).unit, utilisation, limit, case, case.get("factor_set", ""), effect.step,
            resistance.step, note, resistance_case=case | dict(resistance.chosen),
            effect_case=case | dict(effect.chosen), utilisations=every, sides=(effect, resistance),
        )  # fmt: skip
        self.verdicts.append(made)
        return made

    def finish(self) -> "Sheet":
        """Refuse a chapter whose procedures have not been confirmed."""
        if self.unconfirmed:
            message = f"{self.where}: not confirmed through formulas: {sorted(self.unconfirmed)}"
            raise SheetError(message)
        return self


@dataclass
class Page:
    """What a chapter prints besides its verdicts, chosen from the finished sheet once the cases are known.

    Tables, figures and notes, and which of its steps print as numbered lines.

    ``aside`` holds the names of scopes that stand in a table instead of on lines; ``shortened``, by key of a step, the
    inputs that print with it and the note on where the rest stands. ``recorded`` are the keys of tables that do not
    print unless every chain is written out, because no verdict relies on them and no line is followed through them.
    The record keeps all of them.
    """

    sheet: Sheet
    cases: Cases
    tables: list[Table] = field(default_factory=list)
    figures: list[Figure] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    aside: set[str] = field(default_factory=set)
    shortened: dict[str, tuple[dict[str, Input], str]] = field(default_factory=dict)
    recorded: set[str] = field(default_factory=set)

    def case(self, scope: str = "") -> dict[str, str]:
        """The case at which a scope prints; the chapter itself is ``""``."""
        return self.cases[self.sheet.key, scope]

    def set_aside(self, *starts: str) -> None:
        """Leave scopes with these starts of their names out of the lines.

        A reading that rests on their steps prints with what those go back to.
        """
        names = {name for name in self.sheet.scopes if name.startswith(starts)}
        self.aside |= names
        hidden = {step.key: step for step in self.sheet.steps if step.scope in names}
        for step in self.sheet.steps:
            if step.kind == "reading" and any(argument.value.step in hidden for argument in step.inputs.values()):
                self.shortened[step.key] = _through(step, hidden), step.note

    @property
    def printed(self) -> list[Table]:
        """The tables that print, in order."""
        return [table for table in self.tables if table.key not in self.recorded]

    def record(self, *tables: Table) -> None:
        """Keep tables for the record alone."""
        self.tables += tables
        self.recorded.update(table.key for table in tables)

    @property
    def lines(self) -> list[Step]:
        """The steps that print as numbered lines, in order."""
        return [self._as_printed(step) for step in self.sheet.steps if step.scope not in self.aside]

    def _as_printed(self, step: Step) -> Step:
        if step.key not in self.shortened:
            return step
        kept, note = self.shortened[step.key]
        return replace(step, inputs=kept, note=note)


def settle_turns(sheets: Sequence[Sheet], elsewhere: Collection[str] = (), beside: Sequence[Sheet] = ()) -> None:
    """Name in every limitation of a section the verdicts that it would turn, of all its chapters.

    ``elsewhere`` are keys of verdicts that may be named although they are of another section, as those of a section in
    one of its zones; they are left out. ``beside`` are sheets of zones and positions, on whose steps verdicts may rest.
    ``SheetError`` where a limitation names a verdict that no chapter has.
    """
    verdicts = [verdict for sheet in sheets for verdict in sheet.verdicts]
    rated = [verdict for verdict in verdicts if verdict.utilisation is not None]
    steps = [step for sheet in (*beside, *sheets) for step in sheet.steps]
    own = {verdict.key for verdict in verdicts}
    known = own.union(elsewhere)
    for sheet in sheets:
        for k, limit in enumerate(sheet.limitations):
            if unknown := sorted(set(limit.turns) - known):
                message = f"{sheet.where}: the limitation {limit.key!r} turns verdicts that do not exist: {unknown}"
                raise SheetError(message)
            keys: list[str] = []
            if limit.key in sheet.turning:
                would = sheet.turning[limit.key]
                keys += [verdict.key for verdict in rated if would(verdict)]
            if limit.key in sheet.resting:
                keys += sheet.resting[limit.key].among(rated, steps)
            limit = replace(limit, turns=tuple(dict.fromkeys((*limit.turns, *keys))))  # noqa: PLW2901
            sheet.limitations[k] = replace(limit, turns=tuple(turn for turn in limit.turns if turn in own))


def _through(step: Step, hidden: Mapping[str, Step]) -> dict[str, Input]:
    """The inputs of a step, those of hidden steps in place of these."""
    read: dict[str, Input] = {}
    for name, argument in step.inputs.items():
        read |= _through(hidden[argument.value.step], hidden) if argument.value.step in hidden else {name: argument}
    return read
