"""A chapter while it is written: its scopes, steps, verdicts and limitations."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from calc.engine.formula import FormulaError
from calc.engine.sheet.resting import RestsOn
from calc.engine.sheet.scope import Scope
from calc.engine.sheet.steps import Limitation, Rest, State, Step, Verdict, Winner
from calc.engine.sheet.values import AXIS_ORDER, SheetError, Value, refuse_other_unit, spread, union_axes
from calc.engine.symbols import symbol
from calc.engine.typeset import LAYERED

if TYPE_CHECKING:
    from calc.engine.sheet.chapter_page import Page

Turning = Callable[[Verdict], bool]
"""Tells of a verdict with a number whether a limitation would turn it."""


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
