"""A run as a calculation package: package.pdf (PDF/A-3b) with project.toml and results.json inside, and the latter."""

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from calc.chain import CHAPTERS, Run
from calc.package.attached import ALONE, Appendix, Attached, Means, PackageError
from calc.package.checked import Checked
from calc.package.equations import kept_drawings
from calc.package.pages import Pages
from calc.package.results import results_text
from calc.run_progress import Progress

__all__ = ["PackageError", "WrittenPackage", "package_pdf", "write_extract", "write_package"]

PDF_NAME, RESULTS_NAME = "package.pdf", "results.json"


@dataclass(frozen=True, slots=True)
class WrittenPackage:
    """The files of a package."""

    pdf: Path
    results: Path


def write_package(
    run: Run,
    out: Path,
    progress: Callable[[str], None] | None = None,
    checked: Checked | None = None,
    means: Means = ALONE,
    appendices: Sequence[Appendix] = (),
    more: Sequence[Attached] = (),
) -> WrittenPackage:
    """Write the package of a run into the folder `out`; both files appear whole, or neither.

    The same run gives the same bytes. Raises `PackageError` where the pages could not be made as they must be.
    """
    tell = progress or _silent
    recorded = results_text(run).encode()
    pdf = package_pdf(run, recorded, tell, "", more, checked, means=means, appendices=appendices)
    out.mkdir(parents=True, exist_ok=True)
    written = WrittenPackage(out / PDF_NAME, out / RESULTS_NAME)
    # A room in the same folder: only within one file system a file takes its place in one step.
    with TemporaryDirectory(prefix=".package-", dir=out) as room:
        for target, content in ((written.pdf, pdf), (written.results, recorded)):
            made = Path(room) / target.name
            made.write_bytes(content)
        for target in (written.pdf, written.results):
            os.replace(Path(room) / target.name, target)  # noqa: PTH105 - the one call that is atomic everywhere
    return written


def write_extract(
    run: Run,
    keys: Sequence[str],
    out: Path,
    progress: Callable[[str], None] | None = None,
    checked: Checked | None = None,
    means: Means = ALONE,
    *,
    full: bool = False,
    chapters: Sequence[str] = (),
) -> Path:
    """Write the pages of some sections and chapters of a run, all without any, into the folder `out`; the file.

    `full` writes every chain out instead of referring to the lines of another scope. The cover says what the extract
    holds and that it is none of the whole calculation; all results are attached.
    """
    tell = progress or _silent
    parts = tuple(part for part in run.sections if not keys or {part.section.key, part.section.of} & {*keys})
    held = [f"section{'s' * (len(parts) > 1)} {', '.join(part.section.key for part in parts)}"] if keys else []
    numbers = [f"{place}" for place, chapter in enumerate(CHAPTERS, start=1) if chapter.key in chapters]
    held += [f"chapter{'s' * (len(numbers) > 1)} {', '.join(numbers)}"] * bool(numbers)
    words = "; ".join(held + ["every chain written out"] * full)
    recorded = results_text(run).encode()
    pdf = package_pdf(
        Run(run.design, parts),
        recorded,
        tell,
        "",
        (),
        checked,
        extract=words,
        fold=not full,
        means=means,
        chapters=chapters,
    )
    out.mkdir(parents=True, exist_ok=True)
    names = [
        "package",
        *(part.section.key for part in parts if keys and part.section.zone is None),
        *(f"chapter-{number}" for number in numbers),
        *["full"] * full,
    ]
    target = out / f"{'-'.join(names)}.pdf"
    with TemporaryDirectory(prefix=".package-", dir=out) as room:
        made = Path(room) / target.name
        made.write_bytes(pdf)
        os.replace(made, target)  # noqa: PTH105 - the one call that is atomic everywhere
    return target


def package_pdf(
    run: Run,
    recorded: bytes,
    progress: Callable[[str], None] | None = None,
    archive: str = "",
    more: Sequence[Attached] = (),
    checked: Checked | None = None,
    *,
    extract: str = "",
    fold: bool = True,
    means: Means = ALONE,
    chapters: Sequence[str] = (),
    appendices: Sequence[Appendix] = (),
) -> bytes:
    """The package as PDF with the project file, the recorded results and `more` attached.

    `archive` is a line of its cover; `checked` is what a checker has said. `extract` says which part of a
    calculation this is, and without `fold` every chain is written out; `chapters` are those it has, all without any.
    `appendices` stand behind its final sheet.
    """
    from calc.package.pieces import set_pieces  # noqa: PLC0415 - needs Pango; results and tables do not

    tell = progress or _silent
    with kept_drawings(means.drawings):
        documents = Pages(
            run, archive, checked, extract=extract, fold=fold, only=chapters, appendices=appendices
        ).pieces(tell)
    tell(Progress("setting the pages", 1.0, opens=True))
    attached = (
        Attached("project.toml", run.design.text, "application/toml", "Source", "Inputs as typed"),
        Attached(RESULTS_NAME, recorded, "application/json", "Data", "All results, unrounded"),
        *_data(run),
        *more,
    )
    dated = run.design.project.revisions[-1].date
    return set_pieces(documents, attached, dated, means, tell, whole=not chapters)


def _data(run: Run) -> list[Attached]:
    """The file of results of tests that the project names."""
    file = run.design.results_file
    if file is None:
        return []
    kind = {"csv": "text/csv", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}
    mime = kind.get(file.name.rpartition(".")[2], "text/plain")
    return [Attached(file.name, file.content, mime, "Source", "Results of tests in the ground")]


def _silent(_text: str) -> None:
    """Show nothing."""
