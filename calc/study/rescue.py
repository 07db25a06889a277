"""What would satisfy a verdict that fails: the least change of one input, found by replay and confirmed by a run."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor
from textwrap import wrap

import numpy as np
from numpy.typing import NDArray

from calc.chain import CalculationError, Run, SectionRun
from calc.engine.sheet import Verdict
from calc.inputs import Design, Section
from calc.study.changed import FieldError, number_at, with_numbers
from calc.study.followed import follow
from calc.study.report import WIDTH
from calc.study.whole_section import run_one

Floats = NDArray[np.float64]

FARTHEST = 5.0  # times, or one over that, the value typed
POINTS = 200  # values between the one typed and the farthest, looked at for the first that satisfies
ROUNDS = 2  # times that the interval before it is divided again

NO_NUMBER = "no number is typed"
NOT_FOLLOWED = "the record of the run does not hold what it does"
TOO_FAR = f"no value within {FARTHEST:g} times the one typed satisfies it"
NOT_CONFIRMED = "a run with the value found does not confirm it"


@dataclass(frozen=True, slots=True)
class Lever:
    """An input that may be changed: its path, which way, its unit, and the step to which it is rounded away."""

    path: str
    up: bool
    unit: str
    step: float


@dataclass(frozen=True, slots=True)
class Rescue:
    """A value of an input with which a verdict passes, in the unit shown, and the one typed."""

    section: str
    title: str
    verdict: str
    lever: Lever
    value: float
    typed: float

    @property
    def record(self) -> dict[str, object]:
        """The same as plain data."""
        return {"section": self.section, "verdict": self.verdict, "field": self.lever.path, "value": self.value,
                "unit": self.lever.unit, "typed": self.typed}  # fmt: skip

    @property
    def words(self) -> str:
        """The change on one line."""
        return (f"{self.section} {self.title}: {self.lever.path} = {self.value:g} {self.lever.unit} "
                f"({self.typed:g} {self.lever.unit} typed)")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Untold:
    """A verdict that fails for which no change of one input can be told, and why."""

    section: str
    title: str
    verdict: str
    why: str

    @property
    def record(self) -> dict[str, object]:
        """The same as plain data."""
        return {"section": self.section, "verdict": self.verdict, "why": self.why}

    @property
    def words(self) -> str:
        """The reason on one line."""
        return f"{self.section} {self.title}: {self.why}"


def rescues(run: Run) -> Iterator[Rescue | Untold]:
    """For every verdict that fails each input that satisfies it alone, or why none can be told."""
    for part, sheet, verdict in run.verdicts():
        if verdict.state == "fail":
            yield from _changes(run, part, f"{sheet.key}/{verdict.key}", verdict)


def _changes(run: Run, part: SectionRun, name: str, verdict: Verdict) -> Iterator[Rescue | Untold]:
    of = part.section.key, verdict.title, name
    if part.section.zone is not None or part.section.position is not None:
        yield Untold(*of, "it is one of a zone or position across, for which no change is looked for")
        return
    if verdict.utilisation is None:
        yield Untold(*of, "it compares no numbers")
        return
    found, reasons = list[Rescue](), dict[str, list[str]]()
    for lever in levers(part.section):
        change = _least_change(run, part, name, verdict, lever)
        if isinstance(change, Rescue):
            found.append(change)
        else:
            reasons.setdefault(change, []).append(lever.path)
    yield from found
    if not found:
        yield Untold(*of, "; ".join(f"{why} ({', '.join(paths)})" for why, paths in reasons.items()))


def levers(section: Section) -> list[Lever]:
    """The inputs of a section that a designer changes first."""
    found = [Lever("sleeve.strength", True, "kN/m", 1.0), Lever("columns.spacing", False, "m", 0.01)]
    found += [
        Lever(f"reinforcement.{place}.strength", True, "kN/m", 1.0) for place in range(len(section.reinforcement))
    ]
    sides = [f"field.beyond_{side}" for side in ("left", "right")] if section.column_field else []
    found += [Lever(path, True, "m", 0.05) for path in sides]
    if section.consolidation is not None:
        found.append(Lever("consolidation.hand_over", True, "d", 1.0))
    return found


def _least_change(run: Run, part: SectionRun, name: str, verdict: Verdict, lever: Lever) -> Rescue | str:
    """The change of an input that satisfies a verdict, or why there is none."""
    try:
        typed = number_at(run.design, part.section, lever.path)
    except FieldError:
        return NO_NUMBER
    replayed, _ = follow(Run(run.design, (part,)), part.section.key, [name], [lever.path], {})
    if replayed is None:
        return NOT_FOLLOWED

    def ratios(values: Floats) -> Floats:
        return np.asarray(replayed({lever.path: values})[name]) / verdict.limit

    value = first_satisfying(ratios, typed, _farthest(part.section, lever, typed))
    if value is None:
        return TOO_FAR
    rounded = round((ceil if lever.up else floor)(value / lever.step + (-1e-9 if lever.up else 1e-9)) * lever.step, 9)
    if rounded in {typed, 0.0} or not _confirmed(run.design, part.section, name, lever.path, rounded):
        return NOT_CONFIRMED
    return Rescue(part.section.key, verdict.title, name, lever, rounded, typed)


def _farthest(section: Section, lever: Lever, typed: float) -> float:
    if lever.path == "columns.spacing":
        return max(typed / FARTHEST, section.columns.diameter + lever.step)
    return typed * FARTHEST if lever.up else typed / FARTHEST


def first_satisfying(ratios: Callable[[Floats], Floats], typed: float, farthest: float) -> float | None:
    """The value nearest to the one typed at which the ratio is at most 1; None where there is none so far off."""
    near, far = typed, farthest
    for _ in range(1 + ROUNDS):
        values = np.linspace(near, far, POINTS)
        passing = np.flatnonzero(ratios(values) <= 1.0)
        if not passing.size:
            return None
        place = int(passing[0])
        near, far = float(values[max(place - 1, 0)]), float(values[place])
    return far


def _confirmed(design: Design, section: Section, name: str, path: str, value: float) -> bool:
    """Whether the verdict passes in the chapters of the section with this value, divided as it asks for."""
    typed = next(one for one in design.sections if one.key == section.key)
    changed_design, changed = with_numbers(design, typed, {path: value})
    fresh = replace(changed_design, sections=(changed,))
    try:
        run = run_one(fresh, section.key, slip=False)
    except CalculationError:
        return False
    return any(
        f"{sheet.key}/{verdict.key}" == name and verdict.state == "pass"
        for sheet in run.sections[0].sheets
        for verdict in sheet.verdicts
    )


def rescue_lines(found: Sequence[Rescue | Untold]) -> list[str]:
    """A line each, after one that says what they are; reasons are wrapped."""
    told = [one.words for one in found if isinstance(one, Rescue)]
    untold = [one.words for one in found if isinstance(one, Untold)]
    if not found:
        return ["No verdict fails."]
    lines = ["What would satisfy a verdict that fails, one input at a time, all else as typed;",
             "these values alone were run, and other verdicts are not looked at:"] if told else []  # fmt: skip
    rest = ["Verdicts that fail for which no change of one input can be told:"] if untold else []
    whole = [line for words in untold for line in wrap(words, WIDTH, initial_indent="  ", subsequent_indent="    ")]
    return [*lines, *(f"  {words}" for words in told), *rest, *whole]


def rescue_record(found: Sequence[Rescue | Untold]) -> dict[str, object]:
    """The same as plain data."""
    return {"rescue": [one.record for one in found if isinstance(one, Rescue)],
            "no_rescue": [one.record for one in found if isinstance(one, Untold)]}  # fmt: skip
