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
    write_run,
)
from calc.commands.progress import progress

if TYPE_CHECKING:
    from calc.inputs import Design
    from calc.site.plan.in_package import PlanPart
    from calc.site.plan.write_plan import MadePlan
    from calc.site.sleeves.cut_list import CutList

MOST_NAMED = 10
COLUMNS = "columns.geojson"
MISSING = "the column plan needs packages that are not installed: pip install 'sandsleeve[site]'"


@click.command(epilog="Example: sandsleeve plan projects/marsh-approach --out /tmp/marsh-plan")
@project_argument
@click.option("--out", type=click.Path(file_okay=False, path_type=Path),
              help="Folder to write; default: PROJECT/out/plan.")  # fmt: skip
@click.option("--labels", is_flag=True, help="Write label sheets for the sleeves as well, with [plan.sleeves].")
@click.option("--seconds", type=click.FloatRange(1, 3600), default=20.0, show_default=True,
              help="How long the best cuts of the rolls are searched for, for each type of sleeve.")  # fmt: skip
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def plan(
    project: Path, out: Path | None, labels: bool, seconds: float, as_data: bool
) -> None:  # fmt: skip
    """Lay the columns of PROJECT out and write what the site needs.

    Columns with ids, places, levels and lengths as CSV, LandXML 1.2, GeoJSON and DXF; a PDF with drawing sheets (A3)
    and the lines that can be audited. With [plan.sleeves] the cut list of the sleeves: classes of length, boxes, cuts
    of the rolls. Every file has the same checksum of the columns. All files are written, or none.

    \b
    Exit codes: 0 every question about the plan is answered and passes; 1 one fails;
    3 the inputs are not valid, nothing is written;
    6 nothing of this, but a question is not verified, or all investigation points lie too far away.
    """  # noqa: D301  # the mark keeps the lines of the list
    folder = out or project / "out" / "plan"
    refuse_unwritable_folders(folder)
    design = read_project(project)
    if labels and (design.plan is None or design.plan.sleeves is None):
        message = "--labels needs the table [plan.sleeves]."
        raise click.UsageError(message)
    if design.plan is None:
        click.echo(f"{project / 'project.toml'}:1:1: plan: must be given to lay the columns out, got nothing", err=True)
        sys.exit(INPUTS)
    show_cautions(design)
    try:
        from calc.site.plan.write_plan import LIST, make_plan, plan_files
        from calc.site.sleeves.cutting import CuttingError
        from calc.site.sleeves.write_cuts import write_cuts
    except ModuleNotFoundError:
        click.echo(f"Error: {MISSING}", err=True)
        sys.exit(LIBRARY)
    from calc.inputs import InputErrors

    try:
        with progress() as tell:
            tell("columns laid out")
            made = make_plan(design, design.plan)
            if design.plan.before is None:
                _refuse_other_revision(folder, design.plan.revision)
            tell("sleeves cut")
            cuts, files = write_cuts(design, made, seconds, labels=labels)
            tell("drawing sheets")
            files |= plan_files(design, made)
    except InputErrors as error:
        click.echo(str(error), err=True)
        sys.exit(INPUTS)
    except CuttingError as error:
        line = design.provenance["plan.sleeves.step"].line
        click.echo(f"{project / 'project.toml'}:{line}:1: plan.sleeves.roll: must be long enough: {error}", err=True)
        sys.exit(INPUTS)
    written, gone = ([str(path) for path in paths] for paths in write_run(files, folder, LIST))
    record = _record(made, cuts) | {"files": written, "files_removed": gone}
    if as_data:
        print_json(record)
    else:
        lines = [*_summary(made, cuts), *(f"Written: {path}" for path in written)]
        click.echo("\n".join([*lines, *(f"Removed, of the run before: {path}" for path in gone)]))
    sys.exit(OUTCOMES[made.outcome])


def plan_of_package(design: "Design") -> "PlanPart | None":
    """The column plan that a package ends with, None without [plan]; ends the command where libraries are missing."""
    if design.plan is None:
        return None
    try:
        from calc.site.plan.in_package import plan_part
    except ModuleNotFoundError:
        click.echo(f"Error: {MISSING}", err=True)
        sys.exit(LIBRARY)
    return plan_part(design)


def _refuse_other_revision(folder: Path, revision: str) -> None:
    """End where the plan of another revision would be replaced and its ids given to other places."""
    from calc.site.plan.identity import EarlierPlanError, read_earlier

    try:
        earlier = read_earlier(folder / COLUMNS).revision
    except EarlierPlanError:
        return
    if earlier != revision:
        message = (f"{folder} holds the plan of revision {earlier}: lay its {COLUMNS} beside the project file and "
                   f"name it as plan.before, so that columns keep their ids, or give another --out.")  # fmt: skip
        raise click.UsageError(message)


def _record(made: "MadePlan", cuts: "CutList | None") -> dict[str, Any]:
    """The plan in numbers."""
    return {
        "outcome": made.outcome,
        "columns": len(made.columns),
        "metres": round(sum(column.length for column in made.columns), 2),
        "checksum": made.listed.checksum,
        "notes": list(made.notes),
        "areas": [
            {"area": area_sheet.area.given.letter, "section": area_sheet.area.section.key,
             "columns": int((made.layout.columns.area == area_sheet.area.index).sum()),
             "verdicts": {verdict.key: verdict.stamp for verdict in area_sheet.sheet.verdicts if verdict.applies},
             "limitations": [limit.text for limit in area_sheet.sheet.limitations],
             "far_from_investigation": [made.columns[k].id for k in area_sheet.far],
             "out_of_tolerance": [{"point": made.columns[fail.column].id, "question": fail.item,
                                   "value": round(fail.value, 4), "limit": fail.limit} for fail in area_sheet.failing]}
            for area_sheet in made.sheets
        ],
        "removed": list(made.identity.removed),
        "new": list(made.identity.new),
        "sleeves": [
            {"type": kind.name, "sleeves": sum(kind.classes.counts), "classes": list(kind.classes.lengths),
             "metres": kind.classes.metres, "rolls": kind.cuts.metres, "bound": kind.cuts.bound}
            for kind in (cuts.types if cuts else ())
        ],
    }  # fmt: skip


def _summary(made: "MadePlan", cuts: "CutList | None") -> list[str]:
    """The plan in a few lines."""
    record = _record(made, cuts)
    what = f"{_number_of(record['columns'], 'column')}, {record['metres']:.0f} m, checksum {record['checksum']}"
    stated = f", with {_number_of(made.stated, 'column')} left out by statement" if made.stated else ""
    lines = [f"Column plan {made.plan.revision}: {what}. Outcome: {record['outcome']}{stated}."]
    for area in record["areas"]:
        states = ", ".join(f"{key} {state}" for key, state in area["verdicts"].items())
        count = _number_of(area["columns"], "column")
        lines.append(f"Area {area['area']} (section {area['section']}): {count}; {states}.")
        lines += [f"  {text}" for text in (*_failures_text(area["out_of_tolerance"]), *area["limitations"])]
    lines += record["notes"]
    for kind in record["sleeves"]:
        gap = "no plan needs less" if kind["rolls"] <= kind["bound"] else f"any plan needs at least {kind['bound']:g} m"
        lengths = _number_of(len(kind["classes"]), "length")
        count = f"{_number_of(kind['sleeves'], 'sleeve')} in {lengths}, {kind['metres']:.0f} m"
        lines.append(f"{kind['type']}: {count}, from {kind['rolls']:g} m of rolls; {gap}.")
    if record["new"] or record["removed"]:
        lines.append(f"Ids: {len(record['new'])} new, {len(record['removed'])} no longer used.")
    return lines


def _number_of(count: int, what: str) -> str:
    return f"{count} {what}{'s' * (count != 1)}"


def _failures_text(failures: list[dict[str, Any]]) -> list[str]:
    """The first columns of every verdict that fails, those that differ most in front."""
    lines = []
    for question in dict.fromkeys(failure["question"] for failure in failures):
        own = [failure for failure in failures if failure["question"] == question]
        own.sort(key=lambda failure: -abs(failure["value"] - failure["limit"]))
        more = f" and {len(own) - MOST_NAMED} more" if len(own) > MOST_NAMED else ""
        names = ", ".join(f"{failure['point']} ({failure['value']:.3f})" for failure in own[:MOST_NAMED])
        lines.append(f"{question} fails (limit {own[0]['limit']:g}) at {names}{more}")
    return lines
