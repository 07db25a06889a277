"""Projects, runs and small packages for the archive; the place and the people are invented."""

import json
from atexit import register
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from functools import cache
from hashlib import sha256
from pathlib import Path
from shutil import copytree
from tempfile import TemporaryDirectory
from typing import NamedTuple

from click.testing import Result

from calc.archive.record.issue import Prepared, chain_words, issue
from calc.archive.record.program import this_program
from calc.archive.store.contract import Entry, Store, head
from calc.archive.store.folder import FolderStore
from calc.inputs import Design, read_design
from calc.inputs.reading.starter import placeholders, starter_project
from calc.package.render import Attached, render_pdf
from tests.once import cached

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
NEW = "Archive first record of its archive"


class Line(NamedTuple):
    """A line of the revision record."""

    label: str
    status: str
    note: str = "Next."
    day: str = "2025-02-01"
    author: str = "Ida Marsh"


Command = Callable[..., Result]
FIRST = [Line("A", "draft", "First.")]
SECOND = [*FIRST, Line("B", "for checking", "Closer.")]
CLOSER = ('spacing = "1.90 m"', 'spacing = "1.80 m"')


# What a user writes in place of what the starter leaves to be replaced; every other such text gets a word before it.
FILLED = {
    "Name of the originator": "A. Fenwick", "Name of the checker": "B. Okoye", "Name of the approver": "C. Lindqvist",
    "0000-000": "2025-014", "0000-000-GEO-C-001": "2025-014-GEO-C-001",
}  # fmt: skip


def filled_starter(title: str) -> str:
    """The starter with its placeholders replaced."""
    return filled(starter_project(title))


def filled(text: str) -> str:
    """A project file with its placeholders replaced."""
    for placeholder in placeholders():
        text = text.replace(f'"{placeholder}"', f'"{FILLED.get(placeholder, f"Here: {placeholder}")}"')
    return text


def write_project(folder: Path, *lines: Line, change: tuple[str, str] = ("", "")) -> Path:
    """A filled starter project with this revision record, and one text of it changed."""
    text = filled_starter("Bank")
    before, _, after = text.partition("[[project.revision]]")
    rest = after[after.index("\n[") :]
    record = "".join(
        f'[[project.revision]]\nlabel = "{line.label}"\ndate = {line.day}\nstatus = "{line.status}"\n'
        f'note = "{line.note}"\nauthor = "{line.author}"\n\n'
        for line in lines
    )
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "project.toml").write_text((before + record + rest).replace(*change), encoding="utf-8")
    return folder


def page_with(words: str) -> str:
    """The page with words on it."""
    return PAGE.replace("<p>Page</p>", f"<p>{words}</p>")


def small_results(inputs: bytes, outcome: str = "incomplete", more: str = "") -> bytes:
    """As much of the results of a run as verifying reads, with `more` so that contents differ."""
    software = {"version": this_program().version, "fingerprint": this_program().fingerprint}
    found = {"schema": 1, "outcome": outcome, "inputs_sha256": sha256(inputs).hexdigest(), "software": software}
    return (json.dumps(found | {"more": more}) + "\n").encode()


def small_package(inputs: bytes, results: bytes, more: Sequence[Attached] = (), words: str = NEW) -> bytes:
    """A PDF of one page with the files attached as in a package; `words` stand on its page."""
    return _page(inputs, results, tuple(more), words)


@cached
def _page(inputs: bytes, results: bytes, more: tuple[Attached, ...], words: str) -> bytes:
    """Set once: many tests issue the same first revision."""
    attached = (
        Attached("project.toml", inputs, "application/toml", "Source", "Inputs as typed"),
        Attached("results.json", results, "application/json", "Data", "All results, unrounded"),
        *more,
    )
    return render_pdf(page_with(words), attached, date(2025, 2, 1))


def quick_package(inputs: bytes, results: bytes, words: str = NEW) -> bytes:
    """The same without a renderer, for archives of many: a page of one font, two attached files, no places to sign."""
    table = "\n".join(f"<{sign:04x}> <{sign:04x}>" for sign in range(32, 127))
    names = zip(("project.toml", "results.json"), (9, 10), strict=True)
    files = " ".join(f"<</Type /Filespec/UF ({name})/EF <</F {number} 0 R>>>>" for name, number in names)
    parts = (
        (f"/Type /Catalog /Pages 2 0 R /AF [{files}]", b""), ("/Type /Pages /Kids [3 0 R]", b""),
        ("/Type /Page /Contents 4 0 R /Resources 5 0 R", b""),
        ("", f"/F 1 Tf\n[<{words.encode('utf-16-be').hex()}>] TJ".encode()), ("/Font 6 0 R", b""), ("/F 7 0 R", b""),
        ("/Type /Font /ToUnicode 8 0 R", b""), ("", table.encode()),
        ("/Type /EmbeddedFile", inputs), ("/Type /EmbeddedFile", results),
    )  # fmt: skip
    made, rows = b"%PDF-1.7\n", b""
    for number, (entries, content) in enumerate(parts, start=1):
        rows += b"\1" + len(made).to_bytes(5, "big") + b"\0\0"
        stream = b"\nstream\n%s\nendstream" % content if content else b""
        made += f"{number} 0 obj\n<<{entries} /Length {len(content)}>>".encode() + stream + b"\nendobj\n"
    last = f"/Type /XRef /Size 12 /Root 1 0 R /W [1 5 2] /Index [1 10] /Length {len(rows)}"
    end = f"11 0 obj\n<<{last}>>\nstream\n".encode() + rows + b"\nendstream\nendobj\n"
    return made + end + f"startxref\n{len(made)}\n%%EOF\n".encode()


def prepared(
    design: Design,
    store: Store,
    results: bytes = b"",
    pdf: bytes = b"",
    outcome: str = "incomplete",
    page: Callable[..., bytes] = small_package,
) -> Prepared:
    """Files of a revision, the package being a page or what is given."""
    results = results or small_results(design.text, outcome)
    entries = store.entries()
    words = f"Archive {chain_words(entries)}"
    files = {"inputs": design.text, "results": results, "package": pdf or page(design.text, results, words=words)}
    return Prepared(design, outcome, files, head(entries))


def issued(store: Store, project: Path, **more: bytes) -> Entry:
    """Issue the newest revision of a project with a page as its package."""
    return issue(store, prepared(read_design(project), store, **more))  # type: ignore[arg-type]  # bytes by their names


def other_document(design: Design, number: str) -> Design:
    """The same design as another document, so that each of many is the first revision of its own."""
    text = design.text.replace(design.project.document.encode(), number.encode())
    project = design.project.model_copy(update={"document": number})
    return replace(design, project=project, text=text, sha256=sha256(text).hexdigest())


def archive_of(folder: Path, labels: Sequence[str] = ("A", "B")) -> FolderStore:
    """An archive with small revisions of one project: a copy of the one that was made first for these labels."""
    for name in ("archive", "project"):  # not the folder itself, whose rights are those of its maker
        copytree(_made(tuple(labels)) / name, folder / name, dirs_exist_ok=True)
    return FolderStore(folder / "archive")


@cache
def _made(labels: tuple[str, ...]) -> Path:
    room = TemporaryDirectory(prefix="archive-")
    register(room.cleanup)
    folder = Path(room.name)
    store = FolderStore.prepare(folder / "archive")
    lines: list[Line] = []
    for label in labels:
        lines.append(Line(label, "draft"))
        issued(store, write_project(folder / "project", *lines))
    return folder


def contents(root: Path) -> dict[str, bytes]:
    """Every file of a folder."""
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in root.rglob("*") if path.is_file()}
