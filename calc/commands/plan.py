"""The command for the site: the columns of a design in the grid of the project, with files, drawings and sleeves."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from calc.commands.common import (
    INPUTS,
    LIBRARY,
    OUTCOMES,
    print_json,
    project_argument,
    read_project,
    refuse_unwritable_folders,
    show_cautions,
)

if TYPE_CHECKING:
    from calc.site.plan.write_plan import MadePlan

MISSING = "the column plan needs packages that are not installed: pip install 'sandsleeve[site]'"


@click.command(epilog="Example: sandsleeve plan projects/marsh-approach --out /tmp/marsh-plan")
@project_argument
@click.option("--out", type=click.Path(file_okay=False, path_type=Path),
              help="Folder to write; default: PROJECT/out/plan.")  # fmt: skip
@click.option("--before", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
              help="columns.geojson of the plan before: columns that stay keep their ids.")  # fmt: skip
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def plan(project: Path, out: Path | None, before: Path | None, as_data: bool) -> None:
    """Lay the columns of PROJECT out and write what the site needs.

    Columns with ids, places, levels and lengths as CSV, LandXML 1.2, GeoJSON and DXF; a PDF with drawing sheets (A3) and
    the lines that can be audited. Every file has the same checksum of the columns. All files are written, or none.
    """
    folder = out or project / "out" / "plan"
    refuse_unwritable_folders(folder)
    design = read_project(project)
    if design.plan is None:
        click.echo(f"{project / 'project.toml'}:1:1: plan: must be given to lay the columns out, got nothing", err=True)
        sys.exit(INPUTS)
    show_cautions(design)
    try:
        from calc.site.plan.identity import EarlierPlanError, read_earlier
        from calc.site.plan.write_plan import make_plan, plan_files, write_files
    except ModuleNotFoundError:
        click.echo(f"Error: {MISSING}", err=True)
        sys.exit(LIBRARY)
    from calc.inputs import InputErrors

    try:
        earlier = read_earlier(before) if before else None
        made = make_plan(design, design.plan, earlier)
    except (EarlierPlanError, InputErrors) as error:
        click.echo(str(error), err=True)
        sys.exit(INPUTS)
    written = [str(path) for path in write_files(plan_files(design, made, earlier), folder)]
    record = _record(made) | {"files": written}
    if as_data:
        print_json(record)
    else:
        click.echo("\n".join([*_told(made), *(f"Written: {path}" for path in written)]))
    sys.exit(OUTCOMES["pass" if made.passes else "fail"])


def _record(made: "MadePlan") -> dict[str, Any]:
    """The plan in numbers."""
    return {
        "outcome": "pass" if made.passes else "fail",
        "columns": len(made.columns),
        "metres": round(sum(one.length for one in made.columns), 2),
        "checksum": made.listed.checksum,
        "areas": [
            {"area": one.area.given.letter, "section": one.area.section.key,
             "columns": int((made.layout.columns.area == one.area.index).sum()),
             "verdicts": {verdict.key: verdict.state for verdict in one.sheet.verdicts if verdict.applies},
             "limitations": [limit.text for limit in one.sheet.limitations]}
            for one in made.sheets
        ],
        "removed": list(made.identity.removed),
        "new": list(made.identity.new),
    }  # fmt: skip


def _told(made: "MadePlan") -> list[str]:
    """The plan in a few lines."""
    record = _record(made)
    lines = [f"Column plan {made.plan.revision}: {record['columns']} columns, {record['metres']:.0f} m, checksum "
             f"{record['checksum']}. Outcome: {record['outcome']}."]  # fmt: skip
    for area in record["areas"]:
        states = ", ".join(f"{key} {state}" for key, state in area["verdicts"].items())
        lines.append(f"Area {area['area']} (section {area['section']}): {area['columns']} columns; {states}.")
        lines += [f"  {text}" for text in area["limitations"]]
    if record["new"] or record["removed"]:
        lines.append(f"Ids: {len(record['new'])} new, {len(record['removed'])} no longer used.")
    return lines
