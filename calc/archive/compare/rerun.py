"""Computing an issued revision again from its stored inputs, and what the changelog says about the difference."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from calc.archive.compare.changes import Changes, StepChange, compare
from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.manifest import Manifest
from calc.archive.record.program import this_program
from calc.archive.record.recorded import read_recorded
from calc.archive.store.contract import Entry, Store
from calc.chain import CHAPTERS, CalculationError, run_checks
from calc.inputs import InputErrors, read_design
from calc.package.results import results_text
from calc.resources import changelog_text

# Machines differ in the last bits of a sum or a power; a printed digit is a million times coarser.
SAME = 1e-9
HEADING = "## Results that change"


@dataclass(frozen=True, slots=True)
class Cause:
    """Steps of one chapter whose numbers differ although those that they rest on do not, with the changelog's lines."""

    section: str
    chapter: str
    steps: tuple[StepChange, ...]
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Rerun:
    """What computing again gave: `refused` in place of results where the inputs are not accepted any more."""

    manifest: Manifest
    same_program: bool
    identical: bool
    changes: Changes | None
    causes: tuple[Cause, ...]
    refused: str

    @property
    def sound(self) -> bool:
        """Whether the stored results hold: the same, or other ones for a reason that the changelog states."""
        if self.identical:
            return True
        if self.refused or self.same_program:
            return False
        return all(cause.lines for cause in self.causes)


def rerun(store: Store, entry: Entry) -> Rerun:
    """Compute a revision again from the stored inputs."""
    manifest = manifest_of(store, entry)
    stored = content_of(store, manifest.file("results"))
    same = manifest.program.fingerprint == this_program().fingerprint
    try:
        data = {file.name: content_of(store, file) for file in manifest.files if file.role == "data"}
        now = _results(content_of(store, manifest.file("inputs")), data)
    except (InputErrors, CalculationError) as error:
        return Rerun(manifest, same, False, None, (), str(error))
    before, after = read_recorded(stored, "stored results"), read_recorded(now, "new results")
    changes = compare(before, after, SAME)
    differ = [step for step in changes.steps if step.beyond]
    identical = not differ and not changes.verdicts and before.outcome == after.outcome
    inputs = {key: placed.step.inputs for key, placed in (before.steps() | after.steps()).items()}
    return Rerun(manifest, same, identical, changes, _causes(differ, inputs), "")


def _results(inputs: bytes, data: Mapping[str, bytes]) -> bytes:
    """The results of a project file with the file of results that lay beside it, computed anew."""
    with TemporaryDirectory(prefix="sandsleeve-") as folder:
        (Path(folder) / "project.toml").write_bytes(inputs)
        for name, content in data.items():
            (Path(folder) / name).write_bytes(content)
        design = read_design(Path(folder))
    return results_text(run_checks(design)).encode()


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
