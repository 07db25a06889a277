"""A run as files for other programs: every table as XLSX and CSV, the cross-section of each section as DXF."""

import os
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from calc.chain import Run, SectionRun
from calc.engine.figure import Scene
from calc.package.export_drawing import drawing
from calc.package.export_rows import (
    LINE_HEAD,
    Exported,
    inputs,
    limitations,
    line_tables,
    overview,
    page_tables,
    verdicts,
)
from calc.package.export_tables import csv_text, workbook
from calc.package.results import results

WORKBOOK, FIGURE = "tables.xlsx", "cross_section"


def export_files(run: Run) -> dict[str, bytes]:
    """The files by name; the same run gives the same bytes."""
    record, project = results(run), run.design.project
    dated = project.revisions[-1].date
    of = _project(run)
    lines, tables = line_tables(record), page_tables(record)
    others = {
        "verdicts.csv": verdicts(record), "inputs.csv": inputs(record), "limitations.csv": limitations(record),
        "page-tables.csv": tables,
    }  # fmt: skip
    whole = Exported("Lines", LINE_HEAD, [row for table in lines for row in table.rows])
    sheets = [overview(record, of), others["verdicts.csv"], *lines, tables, others["inputs.csv"]]
    return {
        WORKBOOK: workbook([*sheets, others["limitations.csv"]], project.title, dated),
        "lines.csv": csv_text(whole),
        **{name: csv_text(table) for name, table in others.items()},
        **{
            f"cross-section-{part.section.key}.dxf": drawing(_cross_section(part), _heading(part, of), dated)
            for part in run.sections
            if part.section.position is None
        },
    }


def write_export(run: Run, out: Path) -> list[Path]:
    """Write the files into the folder `out`; all of them are whole before the first takes its place."""
    made = export_files(run)
    out.mkdir(parents=True, exist_ok=True)
    # A room in the same folder: only within one file system a file takes its place in one step.
    with TemporaryDirectory(prefix=".export-", dir=out) as room:
        for name, content in made.items():
            (Path(room) / name).write_bytes(content)
        for name in made:
            os.replace(Path(room) / name, out / name)  # noqa: PTH105 - the one call that is atomic everywhere
    return [out / name for name in made]


def _project(run: Run) -> dict[str, str]:
    project = run.design.project
    revision = project.revisions[-1]
    return {
        "project": project.title,
        "number": project.number,
        "document": project.document,
        "revision": revision.label,
        "status": revision.status,
    }


def _heading(part: SectionRun, of: Mapping[str, str]) -> list[str]:
    section = part.section
    return [
        of["project"],
        f"{of['document']}, revision {of['revision']}, {of['status']}",
        f"Section {section.key}: {section.title}, {section.chainage}; m, elevations as in the project file",
    ]


def _cross_section(part: SectionRun) -> Scene:
    return next(
        figure
        for sheet in part.sheets for figure in sheet.page.figures if figure.key == FIGURE and isinstance(figure, Scene)
    )  # fmt: skip
