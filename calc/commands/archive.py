"""The commands of the archive: issue a revision; list, show, compare, verify, export, rebuild."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help and lists stay quick

import os
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from calc.commands.progress import progress

if TYPE_CHECKING:
    from calc.archive.store import Entry, KeptStore

OUTCOMES = {"pass": 0, "fail": 1, "incomplete": 6}
USAGE, INPUTS, VERIFICATION = 2, 3, 4
VARIABLE = "SANDSLEEVE_ARCHIVE"

archive_option = click.option(
    "--archive",
    "shared",
    envvar=VARIABLE,
    type=click.Path(file_okay=False, path_type=Path),
    help=f"Archive of several projects; default: {VARIABLE}, or PROJECT/archive.",
)
place_argument = click.argument("place", metavar="PLACE", type=click.Path(exists=True, file_okay=False, path_type=Path))
json_option = click.option("--json", "as_data", is_flag=True, help="Print JSON.")


class Place:
    """Which archive is meant, and for a project folder which document."""

    def __init__(self, place: Path, shared: Path | None) -> None:
        self.place = place
        if (place / "records").is_dir() and not (place / "project.toml").is_file():
            self.root = place
        elif shared is not None:
            self.root = shared
        else:
            self.root = place / "archive" if (place / "project.toml").is_file() else place

    def store(self) -> "KeptStore":
        """The archive, which must be there."""
        from calc.archive.places import existing

        return existing(self.root)

    def revision(self, name: str) -> "Entry":
        """The revision that is meant."""
        from calc.archive.find import document_of, revision

        return revision(self.store().entries(), name, document_of(self.place))


@click.command(epilog="Example: sandsleeve issue projects/marsh-approach")
@click.argument("project", type=click.Path(exists=True, file_okay=False, path_type=Path))
@archive_option
@json_option
def issue(project: Path, shared: Path | None, as_data: bool) -> None:
    """Issue the newest revision of PROJECT into its archive.

    Runs every check, writes the package, and stores inputs, results, package and record for good. The revision is the
    last one in the revision record of the project file; a label is issued once.
    """
    if not (project / "project.toml").is_file():
        message = f"{project} must be a folder with a file project.toml."
        raise click.BadParameter(message, param_hint="PROJECT")
    with _answered(), progress() as tell:
        from calc.archive.issue import check_before, issue, prepare
        from calc.archive.places import found, prepared
        from calc.chain import run_checks
        from calc.inputs import read_design

        design = read_design(project)
        root = Place(project, shared).root
        check_before(found(root), design)
        tell("running the checks")
        run = run_checks(design)
        store = prepared(root)
        entry = issue(store, prepare(store, run, tell))
        store.tidy()
    if as_data:
        _print_json(entry._asdict() | {"archive": store.name})
    else:
        click.echo(f"Revision {entry.label} of {entry.document} is issued as {entry.words}; outcome: {entry.outcome}.")
        click.echo(f"Record {entry.sequence} in {store.name}, SHA-256 {entry.sha256}")
        click.echo(f"Its files as a folder: sandsleeve archive export {project} {entry.label} --out FOLDER")
    sys.exit(OUTCOMES[run.outcome])


@click.group(epilog="Example: sandsleeve archive list projects/marsh-approach")
def archive() -> None:
    """History of what was issued: list, show, compare, verify.

    PLACE is a project folder or the folder of an archive; REVISION is a label, or the beginning of a record's hash.
    """


@archive.command("list", epilog="Example: sandsleeve archive list projects/marsh-approach")
@place_argument
@archive_option
@json_option
def list_revisions(place: Path, shared: Path | None, as_data: bool) -> None:
    """List every issued revision, oldest first."""
    with _answered():
        from calc.archive.listing import list_record, list_text

        where = Place(place, shared)
        entries = where.store().entries() if where.root.is_dir() else []
        if entries and not where.store().has_index():
            click.echo("Note: the index is missing; the list is read from the records (see archive rebuild).", err=True)
        click.echo(_json(list_record(entries)) if as_data else list_text(entries, _width()))


@archive.command(epilog="Example: sandsleeve archive show projects/marsh-approach B")
@place_argument
@click.argument("revision")
@archive_option
@json_option
def show(place: Path, revision: str, shared: Path | None, as_data: bool) -> None:
    """Show the record of a revision: people, times, program, files."""
    with _answered():
        from calc.archive.find import manifest_of
        from calc.archive.listing import standings
        from calc.archive.tables import show_text

        where = Place(place, shared)
        entry = where.revision(revision)
        manifest, today = manifest_of(where.store(), entry), standings(where.store().entries())[entry.sequence]
        if as_data:
            _print_json(manifest.model_dump(mode="json") | {"sha256": entry.sha256, "today": today})
        else:
            click.echo(show_text(manifest, entry.sha256, today, _width()))


@archive.command(epilog="Example: sandsleeve archive compare projects/marsh-approach A B --pdf changes.pdf")
@place_argument
@click.argument("before", metavar="A")
@click.argument("after", metavar="B")
@archive_option
@click.option("--tolerance", type=click.FloatRange(0, 1), default=0.001, show_default=True,
              help="Relative difference up to which a result counts as the same.")  # fmt: skip
@click.option("--all", "everything", is_flag=True, help="Print every line, not only the largest differences.")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Write a change sheet for the checker.")
@json_option
def compare(
    place: Path,
    before: str,
    after: str,
    shared: Path | None,
    tolerance: float,
    everything: bool,
    pdf: Path | None,
    as_data: bool,
) -> None:
    """Compare revision A with the later revision B.

    Inputs with old and new text, verdicts that turned, results that differ, steps that are new, gone or changed, and
    which steps have to be checked again.
    """
    with _answered():
        from calc.archive.compared import changes_record, compared, heads
        from calc.archive.tables import changes_text

        where = Place(place, shared)
        found = compared(where.store(), where.revision(before), where.revision(after), tolerance)
        if pdf is not None:
            from calc.archive.change_sheet import change_sheet, side_of

            _write(pdf, change_sheet(found.changes, side_of(*found.before), side_of(*found.after)))
        click.echo(
            _json(changes_record(found)) if as_data else changes_text(found.changes, heads(found), everything, _width())
        )


@archive.command(epilog="Example: sandsleeve archive verify projects/marsh-approach --rerun B")
@place_argument
@archive_option
@click.option(
    "--head", "expected", metavar="HASH", default="", help="A hash that the chain must have, as on a package."
)
@click.option("--rerun", "again", metavar="REVISION", multiple=True, help='Compute this revision again; "all": each.')
@json_option
def verify(place: Path, shared: Path | None, expected: str, again: tuple[str, ...], as_data: bool) -> None:
    """Verify every hash, the chain, the index, the files in each package.

    With --rerun the results are computed again from the stored inputs and compared step by step.
    """
    with _answered():
        from calc.archive.tables import report_text, rerun_text
        from calc.archive.verify import verify

        where = Place(place, shared)
        with progress() as tell:
            report = verify(where.store(), expected.strip().lower(), tell)
            reruns = _reruns(where, again, tell)
        if as_data:
            from calc.archive.compared import rerun_record

            _print_json(
                asdict(report) | {"sound": not report.problems, "reruns": [rerun_record(one) for one in reruns]}
            )
        else:
            click.echo("\n".join([report_text(report), *(rerun_text(one, _width()) for one in reruns)]))
    if report.problems or not all(one.sound for one in reruns):
        sys.exit(VERIFICATION)


@archive.command(epilog="Example: sandsleeve archive export projects/marsh-approach B --out /tmp/marsh-B")
@place_argument
@click.argument("revision")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), required=True, help="New folder to write.")
@archive_option
def export(place: Path, revision: str, out: Path, shared: Path | None) -> None:
    """Write the files of one revision into a folder."""
    with _answered():
        from calc.archive.export import export

        where = Place(place, shared)
        for path in export(where.store(), where.revision(revision), out):
            click.echo(path)


@archive.command(epilog="Example: sandsleeve archive rebuild projects/marsh-approach")
@place_argument
@archive_option
def rebuild(place: Path, shared: Path | None) -> None:
    """Make the index again from the records.

    Refused where a record is missing or damaged; nothing issued is touched.
    """
    with _answered():
        store = Place(place, shared).store()
        click.echo(f"The index of {store.name} has {len(store.rebuild())} records again.")


def _reruns(where: Place, again: tuple[str, ...], tell: Callable[[str], None]) -> list[Any]:
    if not again:
        return []
    from calc.archive.rerun import rerun

    entries = where.store().entries() if "all" in again else [where.revision(name) for name in again]
    found = []
    for entry in entries:
        tell(f"computing revision {entry.label} again")
        found.append(rerun(where.store(), entry))
    return found


def _write(path: Path, content: bytes) -> None:
    """Write a file that appears whole or not at all."""
    begun = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        begun.write_bytes(content)
        begun.replace(path)
    finally:
        begun.unlink(missing_ok=True)


@contextmanager
def _answered() -> Iterator[None]:
    """End with one message and the exit code of whoever has to act."""
    from calc.archive.errors import ArchiveError, DamagedArchive, FailingIssue, RefusedIssue

    try:
        yield
    except FailingIssue as error:
        click.echo(f"Error: {_one_line(error)}", err=True)
        sys.exit(OUTCOMES["fail"])
    except RefusedIssue as error:
        click.echo(str(error), err=True)
        sys.exit(INPUTS)
    except DamagedArchive as error:
        click.echo(f"Error: the archive is not as it was issued: {_one_line(error)}", err=True)
        sys.exit(VERIFICATION)
    except ArchiveError as error:
        click.echo(f"Error: {_one_line(error)}", err=True)
        sys.exit(USAGE)
    except OSError as error:
        if error.errno is None:
            raise  # a system library that is missing says so without a number
        click.echo(f"Error: cannot use {error.filename or 'the archive'}: {error.strerror}", err=True)
        sys.exit(USAGE)
    except (ValueError, ArithmeticError) as error:
        _inputs(error)


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


def _one_line(error: Exception) -> str:
    from calc.archive.listing import clean

    return clean(str(error))


def _width() -> int:
    return max(80, shutil.get_terminal_size((100, 24)).columns)


def _json(record: Any) -> str:
    import json

    return json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False)


def _print_json(record: Any) -> None:
    click.echo(_json(record))
