"""What a chapter prints besides its verdicts: chosen from the finished sheet once the cases are known."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from calc.engine.figure import Figure
from calc.engine.sheet.cases import Cases
from calc.engine.sheet.sheet import Sheet
from calc.engine.sheet.steps import Input, Step, Table


@dataclass
class Page:
    """Tables, figures and notes of a chapter, and which of its steps print as numbered lines.

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


def _through(step: Step, hidden: Mapping[str, Step]) -> dict[str, Input]:
    """The inputs of a step, those of hidden steps in place of these."""
    read: dict[str, Input] = {}
    for name, argument in step.inputs.items():
        read |= _through(hidden[argument.value.step], hidden) if argument.value.step in hidden else {name: argument}
    return read
