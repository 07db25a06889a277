"""What the commands share: which archive is meant, messages and exit codes, progress, JSON."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help and lists stay quick

import os
import shutil
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from calc.archive.store.contract import Entry, KeptStore
    from calc.chain import Run
    from calc.inputs import Design, Section

OUTCOMES = {"pass": 0, "fail": 1, "incomplete": 6}
USAGE, INPUTS, VERIFICATION, LIBRARY = 2, 3, 4, 5
VARIABLE = "SANDSLEEVE_ARCHIVE"


def folder_of(place: Path) -> Path:
    """The folder of a project that is named by its file."""
    return place.parent if place.name == "project.toml" and place.is_file() else place


class Project(click.Path):
    """A folder with a project file, or this file."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Give the folder as a path."""
        folder = folder_of(Path(os.fsdecode(super().convert(value, param, ctx))))
        if not (folder / "project.toml").is_file():
            self.fail(f"{folder} must be a folder with a file project.toml, or that file.", param, ctx)
        return folder


class Folder(click.Path):
    """A folder, or that of a project file."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Give the folder."""
        return super().convert(folder_of(Path(os.fsdecode(value))), param, ctx)


class Address(Folder):
    """The same, or the address of an archive on a server, which stays a text."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Give a path or the address."""
        return value if isinstance(value, str) and "://" in value else super().convert(value, param, ctx)


project_argument = click.argument("project", type=Project(exists=True))
archive_option = click.option(
    "--archive",
    "shared",
    envvar=VARIABLE,
    type=Address(file_okay=False, path_type=Path),
    metavar="DIR|ADDRESS",
    help=f"Archive of several projects; default: {VARIABLE}, or PROJECT/archive.",
)
place_argument = click.argument("place", metavar="PLACE", type=Address(exists=True, file_okay=False, path_type=Path))


def _each_once(_context: click.Context, _option: click.Parameter, files: tuple[Path, ...]) -> tuple[Path, ...]:
    """Files, none of them twice under any name."""
    if len({file.resolve() for file in files}) < len(files):
        message = "a file is given twice."
        raise click.BadParameter(message)
    return files


study_option = click.option(
    "--with-study", "records", multiple=True, metavar="FILE", callback=_each_once,
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="End it with this study: vary.json or size.json of the same project file; can be given again.",
)  # fmt: skip
section_option = click.option(
    "--section", "keys", metavar="KEY", multiple=True, help="Only this section; can be given again."
)
json_option = click.option("--json", "as_data", is_flag=True, help="Print JSON.")


class Place:
    """Which archive is meant, and for a project folder which document."""

    def __init__(self, place: Path | str, shared: Path | str | None) -> None:
        self.place = place
        self.root: Path | str
        if isinstance(place, str) or ((place / "records").is_dir() and not (place / "project.toml").is_file()):
            self.root = place
        elif shared is not None:
            self.root = shared
        else:
            self.root = place / "archive" if (place / "project.toml").is_file() else place

    def store(self) -> "KeptStore":
        """The archive, which must be there."""
        from calc.archive.store.addresses import existing

        return existing(self.root)

    def document(self) -> tuple[str, str] | None:
        """Project number and document number of a project folder, None for an archive."""
        from calc.archive.record.find import document_of

        return document_of(self.place) if isinstance(self.place, Path) else None

    def revision(self, name: str, *, with_addenda: bool = False) -> "Entry":
        """The revision that is meant, or the addendum."""
        from calc.archive.record.find import revision

        return revision(self.store().entries(), name, self.document(), with_addenda=with_addenda)


def read_project(project: Path) -> "Design":
    """The design of a project folder; where its inputs are not valid the command ends."""
    from calc.inputs import InputErrors, read_design

    try:
        return read_design(project)
    except InputErrors as errors:
        click.echo(str(errors), err=True)
        sys.exit(INPUTS)


def show_cautions(design: "Design") -> None:
    """Tell which values lie outside of what is usual, all the same used, and which rows of results hold no reading."""
    for caution in design.cautions:
        click.echo(str(caution), err=True)
    if file := design.results_file:
        for gone in file.passed:
            click.echo(f"{design.source.parent / file.name}:{gone.rows[0]}:1: caution: {gone}", err=True)


def show_unread(run: "Run") -> None:
    """Tell which numbers of ground and materials were given and count for nothing in a run."""
    from calc.terminal.unread import unread

    fields: dict[str, list[str]] = {}
    for field in unread(run):
        fields.setdefault(field.section, []).append(f"{field.field} (line {field.line})")
    for section, names in fields.items():
        click.echo(f"section {section}: given, but no line of this run relies on it: {', '.join(names)}", err=True)


def chosen_sections(design: "Design", keys: tuple[str, ...]) -> "list[Section]":
    """The sections with these keys and their positions, all without any key; an unknown key is wrong usage."""
    known = [section.key for section in design.sections]
    for key in keys:
        if key not in known:
            message = f"must be a section of the project ({', '.join(known)}), got {key}."
            raise click.BadParameter(message, param_hint="--section")
    return [section for section in design.sections if not keys or {section.key, section.of} & {*keys}]


def write(path: Path, content: bytes) -> None:
    """Write a file that appears whole or not at all."""
    begun = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        begun.write_bytes(content)
        begun.replace(path)
    finally:
        begun.unlink(missing_ok=True)


def write_run(files: Mapping[str, bytes], folder: Path, listed: str = "") -> tuple[list[Path], list[Path]]:
    """Write the files of a run and, with a name, their list, all or none; what was written, what of before went."""
    from calc.site.whole_files import write_files

    try:
        return write_files(files, folder, listed)
    except OSError as error:
        message = f"cannot write into {folder}, which is as it was: {error}"
        raise click.UsageError(message) from error


def refuse_unwritable(path: Path) -> None:
    """End with wrong usage where a file cannot be written later, before anything is computed or changed."""
    if path.exists() and not path.is_file():
        message = f"cannot write {path}: it is there and no plain file"
        raise click.UsageError(message)
    if not os.access(path.parent, os.W_OK) or not path.parent.is_dir():
        message = f"cannot write {path}: its folder is not there or may not be written"
        raise click.UsageError(message)


def refuse_unwritable_folders(*folders: Path) -> None:
    """The same for folders, which may be new ones."""
    for folder in folders:
        there = next(parent for parent in (folder.absolute(), *folder.absolute().parents) if parent.exists())
        if not there.is_dir() or not os.access(there, os.W_OK | os.X_OK):
            what = "may not be written" if there.is_dir() else "is no folder"
            message = f"cannot write into {folder}: {there} {what}"
            raise click.UsageError(message)


@contextmanager
def translate_errors() -> Iterator[None]:
    """End with one message and the exit code of whoever has to act."""
    from calc.archive.refusals import ArchiveError
    from calc.review.refused import ReviewError

    try:
        yield
    except (ArchiveError, ReviewError) as error:
        click.echo(_message(error), err=True)
        sys.exit(_code(error))
    except OSError as error:
        if error.errno is None:
            raise  # a system library that is missing says so without a number
        click.echo(f"Error: cannot use {error.filename or 'the archive'}: {error.strerror}", err=True)
        sys.exit(USAGE)
    except (ValueError, ArithmeticError) as error:
        _inputs(error)


def _message(error: Exception) -> str:
    from calc.archive.refusals import DamagedArchive, FailingIssue, RefusedIssue
    from calc.review.refused import ReviewError

    if isinstance(error, RefusedIssue) and not isinstance(error, FailingIssue):
        return str(error)  # its lines begin with the place in the project file
    if isinstance(error, DamagedArchive):
        return f"Error: the archive is not as it was issued: {one_line(error)}"
    lines = str(error).splitlines() if isinstance(error, ReviewError) else [one_line(error)]
    return "\n".join(f"Error: {line}" for line in lines)


def _code(error: Exception) -> int:
    from calc.archive import refusals as archive
    from calc.review import refused as review

    match error:
        case archive.FailingIssue():
            return OUTCOMES["fail"]
        case archive.RefusedIssue() | review.RefusedFile():
            return INPUTS
        case archive.OpenVerdicts():
            return OUTCOMES["incomplete"]
        case archive.DamagedArchive() | archive.RefusedSignature() | review.OtherRun():
            return VERIFICATION
        case archive.MissingExtra():
            return LIBRARY
    return USAGE


def _inputs(error: Exception) -> None:
    """End with the message of inputs that cannot be calculated; anything else goes on as it came."""
    from calc.chain import CalculationError
    from calc.inputs import InputErrors

    if isinstance(error, InputErrors):
        click.echo(str(error), err=True)
    elif isinstance(error, CalculationError):
        click.echo(f"Error: these inputs have no solution: {error}", err=True)
    else:
        raise error
    sys.exit(INPUTS)


def one_line(error: Exception) -> str:
    """A message without line breaks and without signs that would steer a terminal."""
    from calc.archive.record.revisions import clean

    return clean(str(error))


def width() -> int:
    """Columns of the terminal."""
    return max(80, shutil.get_terminal_size((100, 24)).columns)


def as_json(record: Any) -> str:
    """A record as text."""
    import json

    return json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False)


def print_json(record: Any) -> None:
    """Print a record."""
    click.echo(as_json(record))
