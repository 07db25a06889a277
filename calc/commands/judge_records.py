"""The command that compares installation records with the column plan and the design."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

import sys
from pathlib import Path

import click

from calc.commands.addenda import begin_addendum, issue_addendum, issue_option
from calc.commands.common import (
    INPUTS,
    LIBRARY,
    OUTCOMES,
    archive_option,
    json_option,
    project_argument,
    read_project,
    refuse_unwritable_folders,
    show_cautions,
    translate_errors,
    write_run,
)
from calc.commands.progress import progress
from calc.commands.searches import searches

MISSING = "installation records need packages that are not installed: pip install 'sandsleeve[{extras}]'"
READERS = {".xlsx": ("openpyxl", "site,export"), ".parquet": ("pyarrow", "site,parquet")}
NO_TABLE = (
    "{file}:1:1: {name}: must be given to compare installation records with the plan, got nothing (docs/site.md; "
    "--propose FILE prints a mapping to begin with)"
)


@click.command(epilog="Example: sandsleeve installed projects/marsh-approach projects/marsh-approach/records*.csv")
@project_argument
@click.argument("files", metavar="[FILE]...", nargs=-1, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--out", type=click.Path(file_okay=False, path_type=Path),
              help="Folder to write; default: PROJECT/out/installed.")  # fmt: skip
@click.option("--propose", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
              help="Print a mapping proposed from the head of FILE, to paste into the project file.")  # fmt: skip
@click.option(
    "--sheets",
    metavar="IDS",
    default="",
    help='A sheet for the record of each of these columns: "all", "failing", or ids between commas.',
)
@click.option("--no-design", is_flag=True, help="Do not calculate the design again with what was built.")
@click.option("--no-slip", is_flag=True, help="Leave the slip searches out of it: stability is not verified then.")
@issue_option
@archive_option
@json_option
def installed(
    project: Path, files: tuple[Path, ...], out: Path | None, propose: Path | None, sheets: str, no_design: bool,
    no_slip: bool, to_issue: bool, shared: Path | str | None, as_data: bool,
) -> None:  # fmt: skip
    """Compare installation records with the column plan.

    FILE is a CSV file, a workbook (XLSX) or a Parquet file with one row a column or one row a reading in depth;
    [installed] of the project file says what its columns are and what is asked. A record that comes later, in the
    order of FILEs and of lines, counts. Writes installed.pdf, nonconformities.csv, refused-rows.csv and
    installed.json, with --sheets record-sheets-*.pdf as well, all or none.

    \b
    Exit codes: 0 everything was judged and conforms, and the design holds as built;
    1 something does not conform, or a verdict fails as built;
    2 wrong usage, or a folder that cannot be written;
    3 nothing can be read, the mapping does not fit the files, or --issue finds no revision that is issued as it stands;
    5 a package is not installed;
    6 nothing of this, but something was not judged, or a verdict is no longer verified as built.
    """  # noqa: D301  # the mark keeps the lines of the list
    if propose is not None:
        _propose(propose)
        return
    if not files:
        message = "must name at least one file of records."
        raise click.BadParameter(message, param_hint="FILE")
    folder = out or project / "out" / "installed"
    refuse_unwritable_folders(folder)
    refuse_kinds(files)
    design = read_project(project)
    plan, table = design.plan, design.installed
    if table is None or plan is None:
        click.echo(NO_TABLE.format(file=project / "project.toml", name="installed"), err=True)
        sys.exit(INPUTS)
    if to_issue and (no_design or no_slip):
        message = "--issue needs the design calculated again with its slip searches: without --no-design and --no-slip."
        raise click.UsageError(message)
    begun = begin_addendum(project, shared, design, files) if to_issue else None
    show_cautions(design)
    try:
        from calc.site.installed.installed_run import judge_installed
        from calc.site.installed.installed_text import installed_text
        from calc.site.installed.record_sheets import record_sheet_files
        from calc.site.installed.sheet_choice import UnknownColumnError, chosen_columns
        from calc.site.installed.write_installed import installed_files
    except ModuleNotFoundError:
        click.echo(f"Error: {MISSING.format(extras='site')}", err=True)
        sys.exit(LIBRARY)
    with translate_errors(), progress() as tell, searches(fresh=False) as means:
        judged = judge_installed(design, plan, table, files, tell, again=not no_design, slip=not no_slip)
        try:
            chosen = chosen_columns(judged, sheets) if sheets else []
        except UnknownColumnError as error:
            raise click.BadParameter(str(error), param_hint="--sheets") from None
        sheets_of = record_sheet_files(judged, chosen, means.beside)
        content = {**installed_files(judged), **sheets_of}
    written, _ = write_run(content, folder, "installed-files.csv")
    values = content["installed.json"]
    lines = [installed_text(judged), *(f"Written: {path}" for path in written)]
    click.echo(values.decode() if as_data else "\n".join(lines))
    if begun is not None:
        made = [content["installed.pdf"], *sheets_of.values()], values
        more = f"record sheets of columns: {len(chosen)}" if chosen else ""
        click.echo(issue_addendum(begun, design, "installed", judged.outcome, made, more), err=as_data)
    sys.exit(OUTCOMES[judged.outcome])


def _propose(file: Path) -> None:
    from calc.inputs import InputErrors
    from calc.site.installed.mapping_proposal import proposal

    refuse_kinds((file,))
    try:
        click.echo(proposal(file))
    except InputErrors as errors:
        click.echo(str(errors), err=True)
        sys.exit(INPUTS)


def refuse_kinds(files: tuple[Path, ...]) -> None:
    """End with wrong usage for another kind of file, and where a file needs a package that is missing."""
    from importlib.util import find_spec

    kinds = [file.suffix.lower() for file in files]
    for file, kind in zip(files, kinds, strict=True):
        if kind not in {".csv", *READERS}:
            message = f"must end with .csv, .xlsx or .parquet (got {file.name})."
            raise click.BadParameter(message, param_hint="FILE")
    for kind, (package, extras) in READERS.items():
        if kind in kinds and find_spec(package) is None:
            click.echo(f"Error: {MISSING.format(extras=extras)}", err=True)
            sys.exit(LIBRARY)
