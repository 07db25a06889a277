"""The command for other programs: every table of a run as XLSX and CSV, the cross-sections as DXF."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

import sys
from pathlib import Path

import click

from calc.commands.common import INPUTS, LIBRARY, OUTCOMES, print_json, project_argument, refuse_unwritable_folders
from calc.commands.progress import progress

MISSING = "the export needs packages that are not installed: pip install 'sandsleeve[export]'"


@click.command(epilog="Example: sandsleeve export projects/marsh-approach --out /tmp/marsh")
@project_argument
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder to write; default: PROJECT/out.")
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def export(project: Path, out: Path | None, as_data: bool) -> None:
    """Run every check of PROJECT and write its tables and cross-sections for other programs.

    tables.xlsx has a sheet for each chapter, with verdicts, inputs and limitations; the CSV files hold the same. Values
    are unrounded, each line at the case that it prints. The cross-section of each section is a DXF in metres. All files
    are written, or none.
    """
    folder = out or project / "out"
    refuse_unwritable_folders(folder)
    try:
        from calc.package.export_files import write_export
    except ImportError:
        click.echo(f"Error: {MISSING}", err=True)
        sys.exit(LIBRARY)
    from calc.chain import CalculationError, run_checks
    from calc.inputs import InputErrors, read_design

    try:
        with progress() as tell:
            run = run_checks(read_design(project), tell)
    except InputErrors as errors:
        click.echo(str(errors), err=True)
        sys.exit(INPUTS)
    except CalculationError as error:
        click.echo(f"Error: these inputs have no solution: {error}", err=True)
        sys.exit(INPUTS)
    written = [str(path) for path in write_export(run, folder)]
    if as_data:
        print_json({"outcome": run.outcome, "files": written})
    else:
        click.echo("\n".join([f"Outcome: {run.outcome}.", *(f"Written: {path}" for path in written)]))
    sys.exit(OUTCOMES[run.outcome])
