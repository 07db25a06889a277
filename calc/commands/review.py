"""The commands of the checker: the review page, what comes back of it, the blind check."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from calc.commands.progress import progress

USAGE, INPUTS, VERIFICATION = 2, 3, 4
PAGE = "review.html"

project_argument = click.argument("project", type=click.Path(exists=True, file_okay=False, path_type=Path))


@click.command(epilog="Example: sandsleeve review projects/marsh-approach --out /tmp/marsh")
@project_argument
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder to write; default: PROJECT/out.")
def review(project: Path, out: Path | None) -> None:
    """Write the review page of PROJECT, or take the checker's review in.

    The page is one HTML file that loads nothing: every step with equation, numbers, result and source, to be marked as
    agreed or queried. What the checker saves from it comes back with --take.
    """
    _has_project(project)
    with _answered(), progress() as tell:
        from calc.chain import run_checks
        from calc.inputs import read_design
        from calc.review.files import write_whole
        from calc.review.page import review_page

        design = read_design(project)
        tell("running the checks")
        run = run_checks(design)
        tell("writing the page")
        path = (out or project / "out") / PAGE
        write_whole(path, review_page(run).encode())
    click.echo(f"Review page: {path}")


def _has_project(project: Path) -> None:
    if not (project / "project.toml").is_file():
        message = f"{project} must be a folder with a file project.toml."
        raise click.BadParameter(message, param_hint="PROJECT")


@contextmanager
def _answered() -> Iterator[None]:
    """End with one message and the exit code of whoever has to act."""
    from calc.review.errors import OtherRun, RefusedFile, ReviewError

    try:
        yield
    except RefusedFile as error:
        _end(error, INPUTS)
    except OtherRun as error:
        _end(error, VERIFICATION)
    except ReviewError as error:
        _end(error, USAGE)
    except OSError as error:
        if error.errno is None:
            raise  # a system library that is missing says so without a number
        click.echo(f"Error: cannot use {error.filename or 'the folder'}: {error.strerror}", err=True)
        sys.exit(USAGE)
    except (ValueError, ArithmeticError) as error:
        _inputs(error)


def _end(error: Exception, code: int) -> None:
    click.echo("\n".join(f"Error: {line}" for line in str(error).splitlines()), err=True)
    sys.exit(code)


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
