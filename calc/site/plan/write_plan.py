"""A plan from its inputs to its files: laid out, identified, listed, drawn; written whole or not at all."""

import csv
import io
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from calc.engine.words import words_of
from calc.inputs import Design, InputError, InputErrors
from calc.inputs.tables.plan import Plan
from calc.inputs.tables.plan_line import Element
from calc.site.plan.axis import axis_of
from calc.site.plan.column_layout import Layout, lay_out
from calc.site.plan.column_list import Column, ColumnList
from calc.site.plan.identity import EarlierPlan, EarlierPlanError, Identity, identify
from calc.site.plan.plan_drawing import Drawn
from calc.site.plan.plan_pdf import plan_pdf
from calc.site.plan.plan_steps import AreaSheet, plan_sheets
from calc.site.plan.setting_out import csv_file, dxf, geojson, landxml, one_line
from calc.site.plan.sheet_cuts import cut_into_sheets, scale_of
from calc.site.plan.toe_levels import Levels, levels_of

say = words_of(__name__)

LEAST_COLUMNS = 2


@dataclass(frozen=True)
class MadePlan:
    """A plan that is laid out: its columns in the order of their ids, its sheets and what they are drawn on."""

    plan: Plan
    elements: tuple[Element, ...]
    layout: Layout
    levels: Levels
    identity: Identity
    columns: tuple[Column, ...]
    """In the order of the layout."""
    listed: ColumnList
    sheets: tuple[AreaSheet, ...]

    @property
    def passes(self) -> bool:
        """Whether no verdict of any area fails."""
        return all(verdict.state != "fail" for one in self.sheets for verdict in one.sheet.verdicts)


def make_plan(design: Design, plan: Plan, earlier: EarlierPlan | None = None) -> MadePlan:
    """Lay the columns of a design out; raises ``InputErrors`` for what is wrong in the file of the line.

    ``EarlierPlanError`` where the plan differs from an earlier one of the same revision.
    """
    elements = axis_of(design, plan)
    layout = lay_out(design, plan, elements)
    _refuse_empty(design, layout)
    levels = levels_of(plan, layout.areas, layout.columns)
    identity = identify(plan, layout.areas, layout.columns, earlier)
    columns = _columns(layout, levels, identity)
    listed = ColumnList(tuple(sorted(columns, key=lambda one: one.id)), _head(design, plan), identity.removed,
                        identity.new)  # fmt: skip
    if earlier and earlier.revision == plan.revision and earlier.checksum != listed.checksum:
        # Two plans of one revision on site: the one mistake that ids and checksums are there to keep away.
        raise EarlierPlanError(say("same-revision", revision=plan.revision))
    sheets = plan_sheets(design, plan, layout, levels, identity.ids)
    return MadePlan(plan, elements, layout, levels, identity, columns, listed, sheets)


def _refuse_empty(design: Design, layout: Layout) -> None:
    """Every area keeps columns between which there is a distance."""
    wrong = []
    for k, area in enumerate(layout.areas):
        count = int((layout.columns.area == area.index).sum())
        if count < LEAST_COLUMNS:
            place = design.provenance[f"plan.area.{k}.section"]
            wrong.append(InputError(str(design.source), place.line or 1, place.column or 1, f"plan.area[{k + 1}]",
                                    say("too-few"), str(count)))  # fmt: skip
    if wrong:
        raise InputErrors(wrong)


def _columns(layout: Layout, levels: Levels, identity: Identity) -> tuple[Column, ...]:
    laid, found, lengths = layout.columns, [], levels.length
    for k, (index, strip) in enumerate(zip(laid.area.tolist(), laid.strip.tolist(), strict=True)):
        area = layout.areas[index]
        zone, section = area.strips[strip].zone, area.section
        found.append(Column(
            identity.ids[k], round(float(laid.northing[k]), 3), round(float(laid.easting[k]), 3),
            round(area.given.working_level, 2), float(levels.head[k]), float(levels.toe[k]),
            round(float(lengths[k]), 2), section.columns.diameter, section.key, zone.key if zone else "",
            f"{one_line(section.sleeve.name)} {section.sleeve.strength:g} kN/m",
            None if levels.nearest is None else round(float(levels.nearest[k]), 1),
        ))  # fmt: skip
    return tuple(found)


def _head(design: Design, plan: Plan) -> Mapping[str, str]:
    """What every file says: project, grid, datum, scale, axes, units, revision."""
    project = design.project
    return {
        say("project"): project.title, say("document"): f"{project.document}, {project.revisions[-1].label}",
        "revision": plan.revision, say("grid"): plan.grid, say("epsg"): str(plan.epsg) if plan.epsg else say("none"),
        say("height-datum"): plan.height_datum, say("scale"): f"{plan.scale_factor:.12g}", say("axes"): say("axes-are"),
        say("units"): say("units-are"),
    }  # fmt: skip


def plan_files(design: Design, made: MadePlan, earlier: EarlierPlan | None = None) -> dict[str, bytes]:
    """The files by name; the same plan gives the same bytes."""
    dated = design.project.revisions[-1].date
    listed, changes = made.listed, ""
    longest = max((one.id for one in listed.columns), key=len)
    scale, every = scale_of(made.layout.areas, longest)
    cuts = cut_into_sheets(made.plan, made.layout.areas, made.elements, scale)
    files = {
        "columns.csv": csv_file(listed),
        "columns.xml": landxml(listed, dated),
        "columns.geojson": geojson(listed),
        "columns.dxf": dxf(listed, made.elements, made.plan.exclusion, dated),
    }
    if earlier is not None:
        removed = [one for one in made.identity.removed if one not in set(earlier.removed)]
        changes = say("changes", revision=earlier.revision, kept=len(listed.columns) - len(listed.new),
                      new=len(listed.new), removed=len(removed))  # fmt: skip
        files["columns-changed.csv"] = _changed(listed.new, removed)
    drawn = Drawn(made.plan, made.layout, made.elements, made.columns, listed, cuts, every)
    files["column-plan.pdf"] = plan_pdf(drawn, made.sheets, dated, changes)
    return files


def _changed(new: tuple[str, ...], removed: list[str]) -> bytes:
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(("point", "change"))
    writer.writerows([(one, say("removed")) for one in removed] + [(one, say("new")) for one in new])
    return stream.getvalue().encode("utf-8")


def write_files(files: Mapping[str, bytes], out: Path) -> list[Path]:
    """Write files into a folder; all of them are whole before the first takes its place."""
    out.mkdir(parents=True, exist_ok=True)
    # A room in the same folder: only within one file system a file takes its place in one step.
    with TemporaryDirectory(prefix=".plan-", dir=out) as room:
        for name, content in files.items():
            (Path(room) / name).write_bytes(content)
        for name in files:
            os.replace(Path(room) / name, out / name)  # noqa: PTH105 - the one call that is atomic everywhere
    return [out / name for name in files]
