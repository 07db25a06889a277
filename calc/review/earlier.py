"""The results of a revision that was issued before, beside those of the run that is checked."""

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from re import match

from calc.engine.typeset import write_numbers
from calc.review.views import LineView, StepView


@dataclass(frozen=True, slots=True)
class Former:
    """A line of the issued revision in one section: the key of its step, number, chapter, title and printed result."""

    key: str
    number: str
    chapter: str
    title: str
    result: str


@dataclass(frozen=True, slots=True)
class Earlier:
    """An issued revision: its label, the printed results of its steps by their keys, and its lines."""

    label: str
    printed: Mapping[str, str]
    lines: Sequence[Former]

    def left_out(self, known: Container[str]) -> list[Former]:
        """Its lines whose steps are not among those of the run that print a line."""
        return [line for line in self.lines if line.key not in known]

    def differs(self, step: StepView) -> bool:
        """Whether a step prints another result than it did, or is new; another spelling of a unit is no difference."""
        return _numbers(self._forms(step.key)) != _numbers(_printed_forms([step.result, step.also]))

    def beside(self, line: LineView) -> list[str]:
        """For each section what its result was where it differs; nothing where all are as they were."""
        steps = [step if step and self.differs(step) else None for step in line.steps]
        return [self._words(step, line) if step else "" for step in steps] if any(steps) else []

    def _words(self, step: StepView, line: LineView) -> str:
        forms = self._forms(step.key)
        return forms[-1].removesuffix(line.row.unit).rstrip() if forms else "new"

    def _forms(self, key: str) -> list[str]:
        return _printed_forms(self.printed.get(key, "").split(" = "))


def _printed_forms(forms: list[str]) -> list[str]:
    """Printed forms of a result as a page writes them."""
    return [write_numbers(form) for form in forms if form]


def _numbers(forms: list[str]) -> list[str]:
    """The forms without their units; what is in words as it is."""
    pairs = [(form, match(r"[−-]?\d[^\s°]*", form)) for form in forms]
    return [number[0] if number else form for form, number in pairs]
