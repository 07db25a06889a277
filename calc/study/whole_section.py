"""A section of a changed project file run through every chapter, and what its verdicts say as plain data."""

from collections.abc import Callable, Container, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from calc.chain import CalculationError, Run, SectionRun, finish_run, run_section
from calc.engine.sheet import Limitation, Sheet
from calc.engine.words import words_of
from calc.inputs import Design, InputErrors, read_design
from calc.procedures.known_circles import Failed, Settled, stop_at_failure
from calc.study.shortest import Wish
from calc.study.turning import turning

say = words_of(__name__)

SETTLEMENT = "unit_cell/settlement_total"


@dataclass(frozen=True, slots=True)
class Task:
    """A project file with other inputs: its folder, its text, the section to be run, and whether with slip searches.

    ``programme`` bounds the search of its dates, where they are searched; ``circles`` failed at other designs.
    """

    folder: str
    text: str
    section: str
    slip: bool = True
    programme: Wish | None = None
    circles: tuple[Failed, ...] | None = None


@dataclass(frozen=True, slots=True)
class Rated:
    """A required verdict of a section, or of a zone or position of it, with the limitations that can turn it."""

    key: str
    title: str
    state: str
    ratio: float | None  # utilisation over its limit
    effect: float | None
    turned: tuple[Limitation, ...] = ()


@dataclass(frozen=True, slots=True)
class Dated:
    """Dates of a candidate: every stage and the hand-over by name (day).

    ``low`` is the margin of each condition where c_h is low: at which date, what it asks, margin and unit.
    """

    dates: tuple[tuple[str, float], ...]
    low: tuple[tuple[str, str, float, str], ...]

    @property
    def days(self) -> tuple[float, ...]:
        """Starts of the stages and hand-over."""
        return tuple(day for _, day in self.dates)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a run says; ``refused`` where the inputs were not valid, had no solution, or no programme satisfies them.

    ``dated`` are the dates found for it, where they were searched; ``circles`` those that failed in it.
    """

    verdicts: tuple[Rated, ...] = ()
    refused: str = ""
    without_programme: bool = False
    dated: Dated | None = None
    circles: tuple[Failed, ...] = ()

    @property
    def failing(self) -> tuple[Rated, ...]:
        """The verdicts that fail, the one furthest beyond its limit first."""
        failed = [rated for rated in self.verdicts if rated.state == "fail"]
        return tuple(sorted(failed, key=lambda rated: -(rated.ratio or 0.0)))

    @property
    def open(self) -> frozenset[str]:
        """Keys of the verdicts that are not verified."""
        return frozenset(rated.key for rated in self.verdicts if rated.state == "not verified")

    def governing(self, unchanged: Container[str] = ()) -> Rated | None:
        """The verdict nearest to its limit, or furthest beyond it, of those that something changes."""
        counted = [rated for rated in self.verdicts if rated.ratio is not None and rated.key not in unchanged]
        return max(counted, key=lambda rated: rated.ratio or 0.0, default=None)

    @property
    def turned(self) -> dict[Limitation, list[Rated]]:
        """The limitations that can turn a verdict that passes into a fail, with these verdicts."""
        by_limitation: dict[Limitation, list[Rated]] = {}
        for rated in self.verdicts:
            for limit in rated.turned if rated.state == "pass" else ():
                by_limitation.setdefault(limit, []).append(rated)
        return by_limitation

    def effect(self, key: str) -> float | None:
        """The effect that a verdict compares."""
        return next((rated.effect for rated in self.verdicts if rated.key == key), None)


def outcome_of(task: Task) -> Outcome:
    """Run a section with every chapter; a function of its task alone, for a process beside or another machine."""
    try:
        return settled_early(task, lambda: Outcome(tuple(rated_verdicts(run_changed(task)))))
    except (InputErrors, CalculationError) as error:
        return Outcome(refused=refusing(error))


def settled_early(task: Task, run: Callable[[], Outcome]) -> Outcome:
    """The outcome of a run, which ends where a circle fails if the task has circles to be tried, be they none."""
    if task.circles is None:
        return run()
    try:
        with stop_at_failure(task.circles):
            return run()
    except Settled as settled:
        fails = Rated(f"stability/{settled.key}", settled.title, "fail", settled.utilisation, None)
        return Outcome((fails,), circles=(settled.failed,))


def refusing(error: Exception) -> str:
    """Why a candidate has no run."""
    if isinstance(error, InputErrors):
        return say("not-valid", why=error.errors[0])
    return say("no-solution", why=error)


def run_changed(task: Task) -> Run:
    """The run of a section with its positions; `InputErrors` and `CalculationError` where there is none."""
    design = read_design(Path(task.folder), task.text.encode())
    return run_one(design, task.section, slip=task.slip)


def run_one(design: Design, key: str, *, slip: bool) -> Run:
    """One section of a design through every chapter, after the positions across that it reads."""
    parts, known = list[SectionRun](), dict[str, Sheet]()
    own = [section for section in design.sections if section.of == key]
    for section in sorted(own, key=lambda section: section.position is None):
        chosen = section if slip else section.without_slip()
        part = run_section(design, chosen, None, known)
        parts.append(part)
        known |= {f"{section.key}/{sheet.key}": sheet for sheet in part.sheets}
    parts.sort(key=lambda part: part.section.position is not None)
    return finish_run(replace(design, sections=tuple(part.section for part in parts)), parts)


def rated_verdicts(run: Run) -> Iterator[Rated]:
    """Every required verdict of a run; the section's own have the keys "chapter/verdict"."""
    section = run.sections[0].section.key
    for part, sheet, verdict in run.verdicts():
        if verdict.required:
            head = "" if part.section.key == section else f"{part.section.key}/"
            ratio = None if verdict.utilisation is None else verdict.utilisation / verdict.limit
            yield Rated(f"{head}{sheet.key}/{verdict.key}", verdict.title, verdict.state, ratio, verdict.effect,
                        turning(part.sheets, verdict))  # fmt: skip
