"""The commands: each takes its arguments, calls a few nouns, prints, and ends with the exit code of the outcome."""

import errno
import os
import shutil
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from calc import __version__
from calc.commands.archive import archive, issue
from calc.commands.common import refuse_unwritable_folders
from calc.commands.progress import progress
from calc.commands.review import brief, review
from calc.commands.searches import searches
from calc.commands.sign import sign
from calc.commands.size import size

# The matrices here are small: threads of the linear algebra, which is loaded later, would only wait for one another.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

if TYPE_CHECKING:
    from calc.chain import Run
    from calc.inputs import Design
    from calc.package.checked import Checked

OUTCOMES = {"pass": 0, "fail": 1, "incomplete": 6}
USAGE, INPUTS, LIBRARY, INTERNAL, INTERRUPTED = 2, 3, 5, 70, 130
LIBRARIES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
NOT_WRITABLE = {
    errno.ENOENT,
    errno.ENOTDIR,
    errno.EACCES,
    errno.EPERM,
    errno.EROFS,
    errno.ENOSPC,
    errno.EDQUOT,
}


class Commands(click.Group):
    """Commands whose errors end in one clear message and the exit code that stands for it."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was asked for."""
        try:
            return super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit, BrokenPipeError):
            raise
        except (KeyboardInterrupt, click.Abort):
            # Click itself would end with 1, which here says that a check fails.
            sys.exit(INTERRUPTED)
        except Exception as error:  # noqa: BLE001  # the outermost place, and the only one: it becomes a message
            sys.exit(_report(error))


def _report(error: Exception) -> int:
    if os.environ.get("SANDSLEEVE_TRACEBACK"):
        traceback.print_exception(error)
    if isinstance(error, OSError) and "cannot load library" in str(error):
        click.echo(f"The PDF needs system libraries that are missing; as root: apt-get install {LIBRARIES}", err=True)
        return LIBRARY
    if isinstance(error, OSError) and error.errno in NOT_WRITABLE:
        # A full disk is noticed while writing, where no name is known.
        click.echo(f"Error: cannot write {error.filename or 'the package'}: {error.strerror}", err=True)
        return USAGE
    text = " ".join(str(error).split())
    click.echo(f"Internal error: {type(error).__name__}: {text} (SANDSLEEVE_TRACEBACK=1 shows where)", err=True)
    return INTERNAL


class Project(click.Path):
    """A folder with a project file."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Give the folder as a path."""
        folder = Path(os.fsdecode(super().convert(value, param, ctx)))
        if not (folder / "project.toml").is_file():
            self.fail(f"{folder} must be a folder with a file project.toml.", param, ctx)
        return folder


project_argument = click.argument("project", type=Project(exists=True, file_okay=False))
json_option = click.option("--json", "as_data", is_flag=True, help="Print the verdicts as JSON instead of a table.")
fresh_option = click.option("--fresh", is_flag=True, help="Search every slip surface anew; by default searches of "
                            "an earlier run with the same question and the same program are not repeated.")  # fmt: skip


@click.group(cls=Commands, epilog="Begin with: sandsleeve new my-project")
@click.version_option(__version__, prog_name="sandsleeve")
def main() -> None:
    """Calculation packages for embankments on geotextile-encased sand columns.

    A PROJECT is a folder with a file project.toml.

    \b
    Exit codes: 0 everything required is verified and passes; 1 a check fails;
    2 wrong usage; 3 inputs not valid; 4 verification of the archive failed,
    or a signature is refused; 5 a system library or an optional package is
    missing; 6 nothing fails, but something required is not verified;
    70 internal error.
    """  # noqa: D301  # the mark keeps the lines of the list
    for stream in (sys.stdout, sys.stderr):
        if reconfigure := getattr(stream, "reconfigure", None):
            reconfigure(errors="replace")  # a sign that the terminal does not have must not end the run


@main.command(epilog="Example: sandsleeve new marsh-approach")
@click.argument("folder", metavar="DIR", type=click.Path(file_okay=False, path_type=Path))
@click.option("--title", help="Title of the project; default: the name of the folder.")
def new(folder: Path, title: str | None) -> None:
    """Write a starter project into a new folder.

    DIR gets a commented project.toml that runs as it is; an existing folder must be empty.
    """
    from calc.inputs.reading.schema import schema_text
    from calc.inputs.reading.starter import starter_project

    if folder.exists() and any(folder.iterdir()):
        message = f"DIR must be a new or an empty folder ({folder} has files in it)."
        raise click.UsageError(message)
    try:
        text = starter_project(title or folder.resolve().name)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--title") from error
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "project.toml").write_text(text, encoding="utf-8")
    (folder / "project.schema.json").write_text(schema_text(), encoding="utf-8")
    click.echo(f"{folder / 'project.toml'} is written. Next: sandsleeve check {folder}")


@main.command(epilog="Example: sandsleeve check projects/marsh-approach")
@project_argument
@fresh_option
@json_option
def check(project: Path, fresh: bool, as_data: bool) -> None:
    """Run every check and print the verdicts.

    Nothing is written.
    """
    with progress() as tell, searches(fresh=fresh):
        run = _run_checks(project, tell)
    _show(run, as_data)
    sys.exit(OUTCOMES[run.outcome])


@main.command(epilog="Example: sandsleeve package projects/marsh-approach --out /tmp/marsh")
@project_argument
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder to write; default: PROJECT/out.")
@fresh_option
@json_option
def package(project: Path, out: Path | None, fresh: bool, as_data: bool) -> None:
    """Run every check and write the package.

    The package is written also when a check fails. Until it is complete, an earlier one stays untouched.
    """
    from calc.package import write_package

    refuse_unwritable_folders(out or project / "out")
    with progress() as tell:
        with searches(fresh=fresh):
            run = _run_checks(project, tell)
        written = write_package(run, out or project / "out", tell, _review_marks(project, run))
    _show(run, as_data, {"package": {"pdf": str(written.pdf), "results": str(written.results)}})
    if not as_data:
        click.echo(f"Package: {written.pdf}\nResults: {written.results}")
    sys.exit(OUTCOMES[run.outcome])


main.add_command(issue)
main.add_command(archive)
main.add_command(review)
main.add_command(brief)
main.add_command(sign)
main.add_command(size)


def _run_checks(project: Path, tell: Callable[[str], None]) -> "Run":
    from calc.chain import CalculationError, run_checks

    design = _design(project)
    tell("running the checks")
    try:
        return run_checks(design, tell)
    except CalculationError as error:
        click.echo(f"Error: these inputs have no solution: {error}", err=True)
        sys.exit(INPUTS)


def _review_marks(project: Path, run: "Run") -> "Checked | None":
    """What a checker has said about the lines of a run; nothing in most projects."""
    from calc.review.refused import ReviewError
    from calc.review.standing_printed import checked_run

    try:
        return checked_run(project, run)
    except ReviewError as error:
        click.echo(f"Error: {error}", err=True)
        sys.exit(INPUTS)


def _design(project: Path) -> "Design":
    from calc.inputs import InputErrors, read_design

    try:
        return read_design(project)
    except InputErrors as errors:
        click.echo(str(errors), err=True)
        sys.exit(INPUTS)


def _show(run: "Run", as_data: bool, more: dict[str, Any] | None = None) -> None:
    from calc.terminal import as_json, verdict_record, verdict_table

    if as_data:
        click.echo(as_json(verdict_record(run) | (more or {})))
    else:
        click.echo(verdict_table(run, shutil.get_terminal_size((100, 24)).columns))
