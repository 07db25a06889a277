"""Projects and review files for the tests of the review; places and people are invented."""

import json
import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from calc.chain import Run, run_checks
from calc.inputs import read_design
from calc.review.facts import Facts, StepFacts, facts
from calc.review.ledger import read_ledger
from calc.review.standing import Standing, standing
from calc.review.take import Taken, take
from tests.once import cached
from tests.packages.scenario import write_project as write_packaged

SOURCE = Path(__file__).parents[2] / "projects" / "weak-sleeve" / "project.toml"
CHECKER, INITIALS, DAY = "Edda Quill", "EQ", "2025-05-20"
HOSTILE = (
    "</script><script>alert(1)</script> {{ 7 * 7 }} {% include '/etc/passwd' %} ../../../etc/passwd \x07\x1b[31m "
    '\u202e \u2028 <img src="http://example.invalid/x.png"> %s $(id) \'q\' "q" \\ '
)


def revised(text: str, *labels: str) -> str:
    """The project file with these labels in its revision record."""
    before, _, after = text.partition("[[project.revision]]")
    lines = "".join(
        f'[[project.revision]]\nlabel = {json.dumps(label)}\ndate = 2025-05-19\nstatus = "for checking"\n'
        f'note = "Note {index}."\nauthor = "Dilan Achterberg"\n\n'
        for index, label in enumerate(labels)
    )
    return before + lines + after[re.search(r"\n\[", after).start() + 1 :]  # type: ignore[union-attr]  # there is one


def write_project(folder: Path, *labels: str, change: tuple[str, str] = ("", "")) -> Path:
    """A project folder with the trial design of a weak sleeve without its results of tests, one text of it changed."""
    folder.mkdir(parents=True, exist_ok=True)
    text = revised(SOURCE.read_text(encoding="utf-8").partition("\n# Results of tests beside")[0], *(labels or ("A",)))
    assert change[0] in text
    (folder / "project.toml").write_text(text.replace(*change) if change[0] else text, encoding="utf-8")
    return folder


@dataclass(frozen=True)
class Case:
    """A project with its run."""

    folder: Path
    run: Run
    known: Facts

    def step(self, index: int) -> StepFacts:
        """A step by its place."""
        return list(self.known.steps.values())[index]

    def file(self, *entries: dict[str, Any], **more: Any) -> bytes:
        """A review file with these entries."""
        return json.dumps(self.record(*entries, **more)).encode()

    def record(self, *entries: dict[str, Any], **more: Any) -> dict[str, Any]:
        """The same as data."""
        return {
            "format": 1, "kind": "review", "run": self.known.run, "document": self.known.document,
            "revision": self.known.revision, "by": {"name": CHECKER, "initials": INITIALS}, "steps": list(entries),
        } | more  # fmt: skip

    def entry(self, index: int, mark: str = "agreed", comment: str = "", **more: str) -> dict[str, Any]:
        """What the checker has entered at a step."""
        step, signed = self.step(index), mark in {"agreed", "query"}
        return {
            "key": step.key, "fingerprint": step.fingerprint, "mark": mark, "comment": comment,
            "initials": INITIALS if signed else "", "date": DAY if signed else "", "own": "",
        } | more  # fmt: skip

    def take(self, *entries: dict[str, Any], **more: Any) -> Taken:
        """Take these entries in."""
        return take(self.folder, self.run.design, self.known, self.file(*entries, **more), "back.json")

    def standing(self) -> Standing:
        """Where the check stands."""
        return standing(read_ledger(self.folder, self.run.design), self.known)


def case_of(folder: Path) -> Case:
    """The project in a folder with its run, which is made once of a text: many tests begin with the same."""
    file = folder / "project.toml"
    run, known = _run_of(file.read_bytes())
    return Case(folder, replace(run, design=replace(run.design, source=file)), known)


@cached
def _run_of(text: bytes) -> tuple[Run, Facts]:
    run = run_checks(read_design(SOURCE.parent, text))
    return run, facts(run)


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a folder."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def two_sections(folder: Path) -> Run:
    """A run of two sections of which the second lies lower."""
    path = write_packaged(folder, sections=2) / "project.toml"
    before, second, after = path.read_text(encoding="utf-8").rpartition('ground_level = "0.40 m"')
    path.write_text(before + second.replace("0.40", "0.10") + after, encoding="utf-8")
    return run_checks(read_design(folder))
