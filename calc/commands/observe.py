"""The command that compares readings of the monitoring with the design."""

# ruff: noqa: PLC0415 - heavy imports wait until the command needs them, so that help stays quick

import datetime as dt
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from calc.commands import judge_records
from calc.commands.addenda import begin_addendum, issue_addendum, issue_option
from calc.commands.common import (
    INPUTS,
    LIBRARY,
    OUTCOMES,
    archive_option,
    as_json,
    chosen_sections,
    json_option,
    project_argument,
    read_project,
    refuse_unwritable,
    refuse_unwritable_folders,
    section_option,
    translate_errors,
    width,
    write_run,
)
from calc.commands.progress import progress
from calc.commands.searches import searches

if TYPE_CHECKING:
    from collections.abc import Callable

    from calc.inputs import Design
    from calc.site.installed.installed_run import Installation

NO_TABLE = (
    "Error: {file}: observed: must be given: the table [observed] says which column of the files is what, and which "
    "instrument stands where (docs/site.md)"
)


on_option = click.option(
    "--on", type=click.DateTime(formats=["%Y-%m-%d"]), metavar="DAY",
    help="The day of the question, as 2025-12-19; default: today. What is dated later is refused.",
)  # fmt: skip


@click.command(epilog="Example: sandsleeve observe projects/marsh-approach projects/marsh-approach/readings.csv")
@project_argument
@click.argument("files", metavar="FILE...", nargs=-1, required=True,
                type=click.Path(exists=True, path_type=Path))  # fmt: skip
@click.option("--out", type=click.Path(file_okay=False, path_type=Path),
              help="Folder to write; default: PROJECT/out.")  # fmt: skip
@section_option
@click.option(
    "--records",
    multiple=True,
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Installation records, as for the command installed; of several files, each with the option.",
)
@on_option
@click.option("--no-slip", is_flag=True, help="Leave the slip searches out: the stability of the next lift is not "
              "verified then.")  # fmt: skip
@issue_option
@archive_option
@json_option
def observe(
    project: Path, files: tuple[Path, ...], out: Path | None, keys: tuple[str, ...], records: tuple[Path, ...],
    on: dt.datetime | None, no_slip: bool, to_issue: bool, shared: Path | str | None, as_data: bool,
) -> None:  # fmt: skip
    """Compare readings of the site with the design.

    FILE is a CSV file, a workbook (XLSX) or an AGS 4 file; of a folder, all of them are read. [observed] of the
    project file says what columns, codes and instruments are. Rows that are no readings are listed, and the others are
    used. Prints what was read, which triggers are crossed, what the readings forecast, and whether the next lift may be
    placed; writes observed.pdf and observed.json. Whether the columns stand is read off installation records, or stated
    in [observed]. Readings that are older on the day of the question than an answer counts verify nothing.

    \b
    Exit codes: 0 no red trigger stands crossed and the next lift may be placed;
    1 a red trigger stands crossed, or the next lift must not be placed;
    3 no row is a reading, or the mapping does not fit the files;
    6 nothing of this, but the next lift, a section or a red trigger is not verified, the readings are too old, or a
    file of a folder is not read.
    """  # noqa: D301  # the mark keeps the lines of the list
    from calc.site.observed.addendum import addendum
    from calc.site.observed.observed_record import record
    from calc.site.observed.observed_run import observe as observed_run
    from calc.site.observed.observed_text import observed_text

    target = out or project / "out"
    refuse_unwritable_folders(target)
    for name in ("observed.pdf", "observed.json") if target.is_dir() else ():
        refuse_unwritable(target / name)
    design = read_project(project)
    sections = chosen_sections(design, keys)
    if design.observed is None:
        click.echo(NO_TABLE.format(file=design.source), err=True)
        sys.exit(INPUTS)
    refuse_workbooks(files)
    if records:
        judge_records.refuse_kinds(records)
        refuse_without_tables(design)
    if to_issue:
        files = _all_read(files)
    if to_issue and (keys or no_slip):
        message = "--issue needs all sections with their slip searches: without --section and --no-slip."
        raise click.UsageError(message)
    begun = begin_addendum(project, shared, design, (*files, *records)) if to_issue else None
    with translate_errors(), progress() as tell, searches(fresh=False):
        latest = latest_row(on)
        judged = columns_judged(design, records, tell, latest) if records else None
        observation = observed_run(design, design.observed, files, sections, tell, slip=not no_slip, asked=bool(keys),
                             latest=latest, on=day_asked(on), records=judged)  # fmt: skip
        pages = addendum(observation)
    data = as_json(record(observation))
    (pdf, values), _ = write_run({"observed.pdf": pages, "observed.json": data.encode()}, target)
    lines = [
        observed_text(observation, width()),
        f"Addendum: {pdf}",
        f"Values: {values}",
    ]
    click.echo(data if as_data else "\n".join(lines))
    if begun is not None:
        made = [pages], data.encode()
        click.echo(issue_addendum(begun, design, "observed", observation.outcome, made), err=as_data)
    sys.exit(OUTCOMES[observation.outcome])


def day_asked(on: dt.datetime | None) -> dt.date:
    """The day of the question: today, if nothing else is asked."""
    return dt.datetime.now(dt.UTC).date() if on is None else on.date()


def latest_row(on: dt.datetime | None) -> dt.date | None:
    """The last day that a row can be of, with a day to spare for time zones; None: the usual one."""
    return None if on is None else on.date() + dt.timedelta(days=1)


def refuse_without_tables(design: "Design") -> None:
    """End where the project file does not say what records are, or a package that they need is missing."""
    tables = {"plan": design.plan, "installed": design.installed}
    lacking = [judge_records.NO_TABLE.format(file=design.source, name=name) for name in tables if tables[name] is None]
    if lacking:
        click.echo("\n".join(lacking), err=True)
        sys.exit(INPUTS)
    try:
        import calc.site.installed.installed_run  # noqa: F401 - whether its packages are there
    except ModuleNotFoundError:
        click.echo(f"Error: {judge_records.MISSING.format(extras='site')}", err=True)
        sys.exit(LIBRARY)


def columns_judged(
    design: "Design", records: tuple[Path, ...], tell: "Callable[[str], None]", latest: dt.date | None
) -> "Installation":
    """The records against plan and limits, without the design calculated again, which is for the command installed."""
    from calc.site.installed.installed_run import judge_installed

    assert design.plan is not None  # noqa: S101 - asked before
    assert design.installed is not None  # noqa: S101 - asked before
    return judge_installed(design, design.plan, design.installed, records, tell, again=False, slip=False, latest=latest)


def _all_read(files: tuple[Path, ...]) -> tuple[Path, ...]:
    """The files of folders, each named; what is left out of an addendum is told."""
    from calc.site.observed.readings_file import files_of

    with translate_errors():
        read, unread = files_of(files)
    for file in unread:
        click.echo(f"Not in the addendum: {file.file}: {file.why}", err=True)
    return tuple(read)


def refuse_workbooks(files: tuple[Path, ...]) -> None:
    """End with wrong usage for another kind of file, and where workbooks need a package that is missing."""
    from importlib.util import find_spec

    from calc.site.observed.readings_file import ENDINGS, files_of

    for file in files:
        if not file.is_dir() and file.suffix.lower() not in ENDINGS:
            message = f"must end with {' or '.join(ENDINGS)} (got {file.name})."
            raise click.BadParameter(message, param_hint="FILE")
    with translate_errors():
        read = files_of(files)[0]
    if any(file.suffix.lower() == ".xlsx" for file in read) and find_spec("openpyxl") is None:
        message = "Error: a workbook needs a package that is not installed: pip install 'sandsleeve[export]'"
        click.echo(message, err=True)
        sys.exit(LIBRARY)
