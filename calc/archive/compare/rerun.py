"""Computing an issued revision again from its stored inputs, and what the changelog says about the difference."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from calc.archive.compare.changes import Changes, StepChange, compare
from calc.archive.extras import column_plan, studies
from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.issue_rules import recorded_plan
from calc.archive.record.manifest import Manifest, RecordedPlan
from calc.archive.record.program import this_program
from calc.archive.record.recorded import read_recorded
from calc.archive.store.contract import Entry, Store
from calc.chain import CHAPTERS, CalculationError, Run, run_checks
from calc.inputs import Design, InputErrors, read_design
from calc.package.results import results_text
from calc.resources import changelog_text

# Machines differ in the last bits of a sum or a power; a printed digit is a million times coarser.
SAME = 1e-9
HEADING = "## Results that change"
PLAN = "Column plan"


@dataclass(frozen=True, slots=True)
class Cause:
    """Steps of one chapter whose numbers differ although those that they rest on do not, with the changelog's lines."""

    section: str
    chapter: str
    steps: tuple[StepChange, ...]
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlanAgain:
    """The column plan as the record has it and as it is laid out now, with the changelog's lines on such plans.

    Records of earlier programs do not say what plan they are of.
    """

    recorded: RecordedPlan | None
    now: RecordedPlan | None
    words: str
    """What it is now, or why it is none."""
    lines: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether it is another plan, as far as the record says what it was."""
        return self.recorded is not None and self.recorded != self.now


@dataclass(frozen=True, slots=True)
class StudyAgain:
    """A study of a package, which is not run again: its stored record is read, and laid out with the run of now.

    Only the program that made a record lays it out. `wrong` says why it cannot be, nothing where it can.
    """

    name: str
    laid_out: bool
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Rerun:
    """What computing again gave: `refused` in place of results where the inputs are not accepted any more."""

    manifest: Manifest
    same_program: bool
    identical: bool
    changes: Changes | None
    causes: tuple[Cause, ...]
    refused: str
    plan: PlanAgain | None = None
    studies: tuple[StudyAgain, ...] = ()

    @property
    def sound(self) -> bool:
        """Whether results, plan and studies hold: the same, or other ones for a reason that the changelog states."""
        if any(study.wrong for study in self.studies):
            return False
        other_plan = self.plan is not None and self.plan.differs and (self.same_program or not self.plan.lines)
        if other_plan or self.identical:
            return not other_plan
        if self.refused or self.same_program:
            return False
        return all(cause.lines for cause in self.causes)


def rerun(store: Store, entry: Entry) -> Rerun:
    """Compute a revision again from the stored inputs, and lay its column plan out from the stored files."""
    manifest = manifest_of(store, entry)
    stored = content_of(store, manifest.file("results"))
    same = manifest.program.fingerprint == this_program().fingerprint
    plan = None
    with TemporaryDirectory(prefix="sandsleeve-") as folder:
        (Path(folder) / "project.toml").write_bytes(content_of(store, manifest.file("inputs")))
        for file in manifest.files:
            if file.role in {"data", "plan", "study"}:
                (Path(folder) / file.name).write_bytes(content_of(store, file))
        try:
            design = read_design(Path(folder))
            plan = _plan_again(manifest, design)
            run = run_checks(design)
            now = results_text(run).encode()
        except (InputErrors, CalculationError) as error:
            return Rerun(manifest, same, False, None, (), str(error), plan)
        studied = tuple(_study_again(file.name, content_of(store, file), run, same=same) for file in manifest.studies)
    before, after = read_recorded(stored, "stored results"), read_recorded(now, "new results")
    changes = compare(before, after, SAME)
    differ = [step for step in changes.steps if step.beyond]
    identical = not differ and not changes.verdicts and before.outcome == after.outcome
    inputs = {key: placed.step.inputs for key, placed in (before.steps() | after.steps()).items()}
    return Rerun(manifest, same, identical, changes, _causes(differ, inputs), "", plan, studied)


def _study_again(name: str, content: bytes, run: Run, *, same: bool) -> StudyAgain:
    if not same:
        return StudyAgain(name, laid_out=False)
    try:
        for part in studies({name: content}, run.design):
            part.chapter(run)
    except InputErrors as error:
        return StudyAgain(name, laid_out=False, wrong=str(error))
    return StudyAgain(name, laid_out=True)


def _plan_again(manifest: Manifest, design: Design) -> PlanAgain | None:
    """The plan of a design beside that of a record; None where neither has one."""
    part = column_plan(design)
    if part is None and manifest.plan is None:
        return None
    now = recorded_plan(part) if part else None
    lines = tuple(line for line in changelog_lines(changelog_text()) if concerns(line, PLAN))
    return PlanAgain(manifest.plan, now, part.words if part else "", lines)


def _causes(differ: list[StepChange], inputs: dict[str, dict[str, object]]) -> tuple[Cause, ...]:
    """Where the difference begins: steps that rest on no other step which differs."""
    keys = {change.key for change in differ}
    by_place: dict[tuple[str, str], list[StepChange]] = {}
    for change in differ:
        if keys.isdisjoint(_keys(inputs[change.key])):
            by_place.setdefault((change.section, change.chapter), []).append(change)
    lines = changelog_lines(changelog_text())
    return tuple(
        Cause(*place, tuple(steps), tuple(line for line in lines if concerns(line, place[1])))
        for place, steps in by_place.items()
    )


def _keys(inputs: dict[str, object]) -> Iterator[object]:
    """What a step rests on; several values may stand under one symbol."""
    for keys in inputs.values():
        yield from keys if isinstance(keys, list) else [keys]


def changelog_lines(text: str) -> list[str]:
    """The entries under "Results that change", each on one line."""
    _, _, after = text.partition(HEADING)
    entries: list[str] = []
    for line in after.partition("\n## ")[0].splitlines():
        if line.startswith("- "):
            entries.append(line[2:].strip())
        elif line.startswith("  ") and entries:
            entries[-1] += " " + line.strip()
    return entries


def concerns(line: str, chapter: str) -> bool:
    """Whether an entry is about a chapter: it begins with the titles it concerns, before a colon."""
    titles = line.partition(":")[0].casefold()
    names = {entry.title: entry.key for entry in CHAPTERS}
    return chapter.casefold() in titles or names.get(chapter, chapter).replace("_", " ") in titles.split(", ")
