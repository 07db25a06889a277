"""Projects, runs and small packages for the archive; the place and the people are invented."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import NamedTuple

from calc.archive.folder import FolderStore
from calc.archive.issue import Prepared, issue
from calc.archive.store import Entry, head
from calc.inputs import Design, read_design
from calc.inputs.starter import starter_project
from calc.package.render import Attached, render_pdf

RESULTS = b'{"schema":1}\n'
# The places of the sign-offs are as on the cover of a package.
PLACES = "".join(
    f'<i id="sign-{role}" style="position: absolute; left: {left}pt; top: 400pt"></i>'
    f'<i id="sign-{role}-end" style="position: absolute; left: {left + 150}pt; top: 437pt"></i>'
    for role, left in (("originator", 0), ("checker", 160), ("approver", 320))
)
FACE = (
    '<style>@font-face { font-family: "Sheet"; src: url("fonts/DejaVuSans.ttf"); } * { font-family: "Sheet"; }</style>'
)
PAGE = f'<!DOCTYPE html><html lang="en"><title>t</title>{FACE}<p>Page</p>{PLACES}</html>'


class Line(NamedTuple):
    """A line of the revision record."""

    label: str
    status: str
    note: str = "Next."
    day: str = "2025-02-01"
    author: str = "Ida Marsh"


def write_project(folder: Path, *lines: Line, change: tuple[str, str] = ("", "")) -> Path:
    """A starter project with this revision record, and one text of it changed."""
    text = starter_project("Bank")
    before, _, after = text.partition("[[project.revision]]")
    rest = after[after.index("\n[") :]
    record = "".join(
        f'[[project.revision]]\nlabel = "{one.label}"\ndate = {one.day}\nstatus = "{one.status}"\n'
        f'note = "{one.note}"\nauthor = "{one.author}"\n\n'
        for one in lines
    )
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "project.toml").write_text((before + record + rest).replace(*change), encoding="utf-8")
    return folder


def small_package(inputs: bytes, results: bytes, more: Sequence[Attached] = ()) -> bytes:
    """A PDF of one page with the files attached as in a package."""
    attached = (
        Attached("project.toml", inputs, "application/toml", "Source", "Inputs as typed"),
        Attached("results.json", results, "application/json", "Data", "All results, unrounded"),
        *more,
    )
    return render_pdf(PAGE, attached, date(2025, 2, 1))


def prepared(
    design: Design, store: FolderStore, results: bytes = RESULTS, pdf: bytes = b"", outcome: str = "incomplete"
) -> Prepared:
    """Files of a revision, the package being a page or what is given."""
    files = {"inputs": design.text, "results": results, "package": pdf or small_package(design.text, results)}
    return Prepared(design, outcome, files, head(store.entries()))


def issued(store: FolderStore, project: Path, **more: bytes) -> Entry:
    """Issue the newest revision of a project with a page as its package."""
    return issue(store, prepared(read_design(project), store, **more))  # type: ignore[arg-type]  # bytes by their names


def other_document(design: Design, number: str) -> Design:
    """The same design as another document, so that each of many is the first revision of its own."""
    return replace(design, project=design.project.model_copy(update={"document": number}))


def archive_of(folder: Path, labels: Sequence[str] = ("A", "B")) -> FolderStore:
    """An archive with small revisions of one project."""
    store = FolderStore.prepared(folder / "archive")
    lines: list[Line] = []
    for label in labels:
        lines.append(Line(label, "draft"))
        issued(store, write_project(folder / "project", *lines))
    return store


def contents(root: Path) -> dict[str, bytes]:
    """Every file of a folder."""
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in root.rglob("*") if path.is_file()}
