"""The command that writes the page for the site office."""

# ruff: noqa: PLC0415 - heavy imports wait until the command needs them, so that help stays quick

import datetime as dt
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from calc.commands import judge_records, observe, set_out
from calc.commands.common import (
    INPUTS,
    LIBRARY,
    OUTCOMES,
    project_argument,
    read_project,
    refuse_unwritable,
    refuse_unwritable_folders,
    show_cautions,
    translate_errors,
    width,
    write,
)
from calc.commands.progress import progress
from calc.commands.searches import searches

if TYPE_CHECKING:
    from collections.abc import Callable

    from calc.inputs import Design
    from calc.site.office.site_run import Site

SEVERAL = ("--records", "--readings")


class SeveralFiles(click.Command):
    """Options that take every file up to the next option or PROJECT, as a shell writes them for ``records*.csv``."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Name the option before each of its files."""
        spread: list[str] = []
        option = ""
        for word in args:
            if word.startswith("-"):
                option = word if word in SEVERAL else ""
                spread.append(word)
            elif option and spread[-1] != option and not (Path(word) / "project.toml").is_file():
                spread += [option, word]
            else:
                spread.append(word)
        return super().parse_args(ctx, spread)


def _files(name: str, words: str) -> "Callable[[click.decorators.FC], click.decorators.FC]":
    kind = click.Path(exists=True, dir_okay=False, path_type=Path)
    return click.option(name, multiple=True, type=kind, metavar="FILE...", help=words)


@click.command(cls=SeveralFiles, epilog="Example: sandsleeve site projects/marsh-approach --records "
               "projects/marsh-approach/records*.csv --readings projects/marsh-approach/readings.csv")  # fmt: skip
@project_argument
@_files("--records", "Installation records, as for the command installed.")
@_files("--readings", "Readings of the monitoring, as for the command observe.")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path),
              help="Folder to write; default: PROJECT/out.")  # fmt: skip
@observe.on_option
@click.option("--no-design", is_flag=True, help="Do not calculate the design again with what was built.")
@click.option("--no-slip", is_flag=True, help="Leave the slip searches out: stability is not verified then.")
def site(
    project: Path, records: tuple[Path, ...], readings: tuple[Path, ...], out: Path | None,
    on: dt.datetime | None, no_design: bool, no_slip: bool,
) -> None:  # fmt: skip
    """Write site.html: plan, installation records, non-conformities, progress and readings on one page.

    The page is one file that loads nothing: it can be sent and opens without a network. It shows what the commands
    installed and observe find, and judges nothing by itself. Without --records it has the plan alone.

    \b
    Exit codes: 0 what was read conforms, and no red trigger stands crossed;
    1 something does not conform, a red trigger stands crossed or the next lift must
    not be placed; 3 nothing can be read, or a mapping does not fit the files;
    6 nothing of this, but something was not judged.
    """  # noqa: D301  # the mark keeps the lines of the list
    folder = out or project / "out"
    refuse_unwritable_folders(folder)
    if folder.is_dir():
        refuse_unwritable(folder / "site.html")
    if records:
        judge_records.refuse_kinds(records)
    if readings:
        observe.refuse_workbooks(readings)
    design = read_project(project)
    _refuse_missing_tables(project, design, records, readings)
    show_cautions(design)
    try:
        from calc.site.office.site_page import site_page
        from calc.site.office.site_run import run_site
    except ModuleNotFoundError:
        click.echo(f"Error: {set_out.MISSING}", err=True)
        sys.exit(LIBRARY)
    with translate_errors(), progress() as tell, searches(fresh=False):
        site_run = run_site(design, records, readings, tell, again=not no_design, slip=not no_slip,
                         on=observe.day_asked(on), latest=observe.latest_row(on))  # fmt: skip
        page = site_page(site_run).encode("utf-8")
    folder.mkdir(parents=True, exist_ok=True)
    write(folder / "site.html", page)
    click.echo(f"{_summary(site_run)}\nWritten: {folder / 'site.html'} ({len(page) / 1e6:.1f} MB)")
    sys.exit(OUTCOMES[site_run.outcome])


def _refuse_missing_tables(
    project: Path, design: "Design", records: tuple[Path, ...], readings: tuple[Path, ...]
) -> None:
    """End where the project file lacks a table that is asked for; all that lack are told."""
    file = project / "project.toml"
    lacking = []
    if design.plan is None:
        lacking.append(f"{file}:1:1: plan: must be given to lay the columns out, got nothing")
    if records and design.installed is None:
        lacking.append(judge_records.NO_TABLE.format(file=file, name="installed"))
    if readings and design.observed is None:
        lacking.append(observe.NO_TABLE.format(file=file))
    if lacking:
        click.echo("\n".join(lacking), err=True)
        sys.exit(INPUTS)


def _summary(site_run: "Site") -> str:
    """What is on the page, in a few lines."""
    from calc.site.installed.installed_text import installed_text
    from calc.site.observed.observed_text import observed_text

    listed = site_run.made.listed
    lines = [f"Column plan {site_run.made.plan.revision}: {len(listed.columns)} columns, checksum {listed.checksum}."]
    if site_run.records is not None:
        lines = installed_text(site_run.records).splitlines()[: 4 + bool(site_run.records.compared.records.refused)]
    if site_run.readings is not None:
        lines.append(observed_text(site_run.readings, width()))
    return "\n".join(lines)
