"""What would satisfy a verdict that fails: the least change of one input, found by replay and confirmed by a run."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor
from shlex import quote
from textwrap import wrap

import numpy as np
from numpy.typing import NDArray

from calc.chain import CalculationError, Run, SectionRun
from calc.engine.sheet import Verdict
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.package.line_places import field_path
from calc.study.changed import FieldError, number_at, with_numbers
from calc.study.followed import follow
from calc.study.replay import Replay
from calc.study.report import WIDTH, clean
from calc.study.whole_section import run_one

Floats = NDArray[np.float64]

say = words_of(__name__)

FARTHEST = 5.0  # times, or one over that, the value typed
POINTS = 40  # values between the one typed and the farthest, looked at for the first that satisfies
ROUNDS = 4  # times that the interval before it is divided again

ACROSS = say("across")
NO_NUMBERS = say("no-numbers")
NO_NUMBER = say("no-number")
NOT_REACHED = say("not-reached")
NOT_FOLLOWED = say("not-followed")
TOO_FAR = say("too-far", times=f"{FARTHEST:g}")
NOT_CONFIRMED = say("not-confirmed")


@dataclass(frozen=True, slots=True)
class Lever:
    """An input that may be changed: its path, which way, its unit, and the step to which it is rounded away.

    ``along`` are inputs that grow by as much with it, ``name`` that of a table in a list.
    """

    path: str
    up: bool
    unit: str
    step: float
    along: tuple[str, ...] = ()
    name: str = ""

    @property
    def field(self) -> str:
        """The path as messages about the project file have it: places in a list count from 1."""
        return field_path(self.path)

    @property
    def bound(self) -> str:
        """Which way it has to go."""
        return ">=" if self.up else "<="

    def values(self, typed: Mapping[str, float], values: Floats) -> dict[str, Floats]:
        """Its own values, and what goes along with them."""
        by = values - typed[self.path]
        return {self.path: values, **{path: typed[path] + by for path in self.along}}


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
        return {"section": self.section, "verdict": self.verdict, "field": self.lever.field, "bound": self.lever.bound,
                "value": self.value, "unit": self.lever.unit, "typed": self.typed}  # fmt: skip

    @property
    def words(self) -> str:
        """The change on one line."""
        lever = self.lever
        name = f' "{clean(lever.name)}"' if lever.name else ""
        along = say("along") if lever.along else ""
        return say("change", section=self.section, title=self.title, field=lever.field, name=name, bound=lever.bound,
                   value=f"{self.value:g}", typed=f"{self.typed:g}", unit=lever.unit, along=along)  # fmt: skip


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
        return say("untold", section=self.section, title=self.title, why=self.why)


def rescues(run: Run) -> Iterator[Rescue | Untold]:
    """For every verdict that fails each input that satisfies it alone, or why none can be told."""
    for part in run.sections:
        failing = {f"{sheet.key}/{verdict.key}": verdict for sheet in part.sheets for verdict in sheet.verdicts
                   if verdict.state == "fail"}  # fmt: skip
        if failing:
            yield from _of_part(run, part, failing)


def _of_part(run: Run, part: SectionRun, failing: Mapping[str, Verdict]) -> Iterator[Rescue | Untold]:
    """Those of a section, with one replay of what can be followed over all inputs at once."""
    across = part.section.zone is not None or part.section.position is not None
    told = {} if across else {name: verdict for name, verdict in failing.items() if verdict.utilisation is not None}
    usable, typed = list[Lever](), dict[str, float]()
    missing = dict[str, list[Lever]]()
    for lever in levers(part.section) if told else ():
        try:
            numbers = {path: number_at(run.design, part.section, path) for path in (lever.path, *lever.along)}
        except FieldError:
            missing.setdefault(NO_NUMBER, []).append(lever)
            continue
        typed |= numbers
        usable.append(lever)
    alone = Run(run.design, (part,))
    together, lost = follow(alone, part.section.key, list(told), list(typed), {}) if told else (None, frozenset[str]())
    for name, verdict in failing.items():
        of = part.section.key, verdict.title, name
        if name not in told:
            yield Untold(*of, ACROSS if across else NO_NUMBERS)
            continue
        changes, reasons = list[Rescue](), {why: list(those) for why, those in missing.items()}
        for lever in usable:
            replayed = together if name not in lost else None
            if replayed is None:
                replayed, _ = follow(alone, part.section.key, [name], [lever.path, *lever.along], {})
            change = _least_change(run, part, name, verdict, lever, typed, replayed)
            if isinstance(change, Rescue):
                changes.append(change)
            else:
                reasons.setdefault(change, []).append(lever)
        yield from changes
        if not changes:
            whys = (f"{why} ({', '.join(lever.field for lever in those)})" for why, those in reasons.items())
            yield Untold(*of, "; ".join(whys))


def levers(section: Section) -> list[Lever]:
    """The inputs of a section that a designer changes first."""
    every_lever = [Lever("sleeve.strength", True, "kN/m", 1.0), Lever("columns.spacing", False, "m", 0.01)]
    every_lever += [
        Lever(f"reinforcement.{place}.strength", True, "kN/m", 1.0, name=layer.name)
        for place, layer in enumerate(section.reinforcement)
    ]
    sides = [f"field.beyond_{side}" for side in ("left", "right")] if section.column_field else []
    every_lever += [Lever(path, True, "m", 0.05) for path in sides]
    every_lever += [
        Lever(f"embankment.berm_{side}.{name}", True, "m", 0.05)
        for side in section.embankment.berms
        for name in ("width", "height")
    ]
    if section.consolidation is not None:
        starts = [f"stage.{place}.start" for place in range(len(section.stages))]
        for place in range(1, len(starts)):
            later = (*starts[place + 1 :], "consolidation.hand_over")
            every_lever.append(Lever(starts[place], True, "d", 1.0, later, section.stages[place].name))
        every_lever.append(Lever("consolidation.hand_over", True, "d", 1.0))
    return every_lever


def _least_change(
    run: Run, part: SectionRun, name: str, verdict: Verdict, lever: Lever, numbers: Mapping[str, float],
    replayed: Replay | None,
) -> Rescue | str:  # fmt: skip
    """The change of an input that satisfies a verdict, or why there is none."""
    if replayed is None:
        return NOT_FOLLOWED
    if not {lever.path, *lever.along} & set(replayed.followed[name]):
        return NOT_REACHED
    typed = numbers[lever.path]

    def ratios(values: Floats) -> Floats:
        return replayed(lever.values(numbers, values))[name] / verdict.limit

    value = first_satisfying(ratios, typed, _farthest(part.section, lever, typed))
    if value is None:
        return TOO_FAR
    rounded = round((ceil if lever.up else floor)(value / lever.step + (-1e-9 if lever.up else 1e-9)) * lever.step, 9)
    changed = {path: float(array[0]) for path, array in lever.values(numbers, np.array([rounded])).items()}
    if rounded in {typed, 0.0} or not _passes_in_chain(run.design, part.section, name, changed):
        return NOT_CONFIRMED
    return Rescue(part.section.key, verdict.title, name, lever, rounded, typed)


def _farthest(section: Section, lever: Lever, typed: float) -> float:
    if lever.path == "columns.spacing":
        return max(typed / FARTHEST, section.columns.diameter + lever.step)
    heights = {f"embankment.berm_{side}.height": berm for side, berm in section.embankment.berms.items()}
    if berm := heights.get(lever.path):
        first = [stage.name for stage in section.stages].index(berm.stage)
        lowest = min(stage.fill_height for stage in section.stages[first:])  # the berm stays lower than the fill
        return max(typed, min(typed * FARTHEST, lowest - lever.step))
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


def _passes_in_chain(design: Design, section: Section, name: str, numbers: Mapping[str, float]) -> bool:
    """Whether the verdict passes in the chapters of the section with these numbers, divided as it asks for."""
    typed = next(candidate for candidate in design.sections if candidate.key == section.key)
    changed_design, changed = with_numbers(design, typed, numbers)
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


def rescue_lines(remedies: Sequence[Rescue | Untold]) -> list[str]:
    """A line each, after one that says what they are; reasons are wrapped."""
    told = [remedy.words for remedy in remedies if isinstance(remedy, Rescue)]
    untold = [remedy.words for remedy in remedies if isinstance(remedy, Untold)]
    if not remedies:
        return [say("nothing-fails")]
    lines = [say("told"), say("told-run")] if told else []
    rest = [say("none-told")] if untold else []
    whole = [line for words in untold for line in wrap(words, WIDTH, initial_indent="  ", subsequent_indent="    ")]
    return [*lines, *(f"  {words}" for words in told), *rest, *whole]


def offer_lines(project: str, room: int) -> list[str]:
    """How to ask for them, on a line that is not broken within the command."""
    return wrap(
        say("offer", project=quote(project)),
        room,
        subsequent_indent="    ",
        break_on_hyphens=False,
        break_long_words=False,
    )


def rescue_record(remedies: Sequence[Rescue | Untold]) -> dict[str, object]:
    """The same as plain data."""
    return {"rescue": [remedy.record for remedy in remedies if isinstance(remedy, Rescue)],
            "no_rescue": [remedy.record for remedy in remedies if isinstance(remedy, Untold)]}  # fmt: skip
