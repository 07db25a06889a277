"""A plan from its inputs to its files: laid out, identified, listed, drawn."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from calc.chapters.shared.sleeve_radius import sleeve_radius
from calc.engine.words import words_of
from calc.inputs import Design, InputError, InputErrors
from calc.inputs.tables.plan import Plan
from calc.inputs.tables.plan_line import Element
from calc.package.shown import status_of
from calc.site.plan.axis import area_error, axis_of
from calc.site.plan.column_layout import Layout, lay_out
from calc.site.plan.column_list import Column, ColumnList
from calc.site.plan.identity import EarlierPlan, EarlierPlanError, Identity, identify, order_of, read_earlier
from calc.site.plan.plan_drawing import Drawn
from calc.site.plan.plan_notes import plan_notes
from calc.site.plan.plan_pdf import PlanPages
from calc.site.plan.plan_steps import AreaSheet, grids_of, of_grid, plan_sheets
from calc.site.plan.setting_out import csv_file, dxf, geojson, headings, landxml, one_line
from calc.site.plan.sheet_cuts import Cut, cut_into_sheets, scale_of
from calc.site.plan.toe_levels import Levels, levels_of
from calc.site.whole_files import table

say = words_of(__name__)

LEAST_COLUMNS = 2
LIST, FAILING = "plan-files.csv", "columns-out-of-tolerance.csv"
UNITS = {"cells": "-", "joints": "-", "clear": "m", "longer": "m", "shorter": "m"}


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
    notes: tuple[str, ...]
    earlier: EarlierPlan | None = None
    """The plan before, of which it keeps the ids."""

    @property
    def gone(self) -> list[str]:
        """Ids of the plan before that this plan has no longer."""
        before = set(self.earlier.removed) if self.earlier else set[str]()
        return [name for name in self.identity.removed if name not in before]

    @property
    def outcome(self) -> str:
        """Fail where a verdict fails; incomplete where one is open, or every toe rests on points that are far away."""
        if not self.passes:
            return "fail"
        return "incomplete" if self.open else "pass"

    @property
    def open(self) -> bool:
        """Whether something is not verified, whatever fails beside it."""
        states = {
            verdict.state for area_sheet in self.sheets for verdict in area_sheet.sheet.verdicts if verdict.applies
        }
        return self.unseen or "not verified" in states

    @property
    def stated(self) -> int:
        """Columns that exclusions and the footprint leave out, which statements of the project accept."""
        return sum(len(out) for _, out in self.layout.left_out)

    @property
    def unseen(self) -> bool:
        """Whether every column lies farther from all investigation points than the project has it."""
        far = self.plan.investigation_far
        away = [column.nearest for column in self.columns]
        return far is not None and all(distance is not None and distance > far for distance in away)

    @property
    def passes(self) -> bool:
        """Whether no verdict of any area fails."""
        return all(verdict.state != "fail" for area_sheet in self.sheets for verdict in area_sheet.sheet.verdicts)

    @property
    def failing(self) -> list[tuple[Column, str, float, float, str]]:
        """Columns that are out of tolerance in the order of the areas: key of the verdict, value, limit, unit."""
        return [(self.columns[failed.column], failed.item, failed.value, failed.limit, UNITS[failed.item])
                for sheet in self.sheets for failed in sheet.failing]  # fmt: skip


def make_plan(design: Design, plan: Plan) -> MadePlan:
    """Lay the columns of a design out; raises ``InputErrors`` for what is wrong in the files that the plan names.

    Also where the plan differs from the one before and has the same revision.
    """
    earlier = _earlier(design, plan)
    elements = axis_of(design, plan)
    layout = lay_out(design, plan, elements)
    _refuse_empty(design, layout)
    levels = levels_of(plan, layout.areas, layout.columns)
    identity = identify(plan, layout.areas, layout.columns, earlier)
    columns = _columns(layout, levels, identity)
    in_order = sorted(range(len(columns)), key=lambda k: (layout.columns.area[k], *order_of(columns[k].id)[1:]))
    listed = ColumnList(tuple(columns[k] for k in in_order), _head(design, plan), identity.removed, identity.new)
    if earlier and earlier.revision == plan.revision and earlier.checksum != listed.checksum:
        # Two plans of one revision on site: the one mistake that ids and checksums are there to keep away.
        raise InputErrors([_error(design, "plan.revision", say("same-revision"), f'"{plan.revision}"')])
    sheets = plan_sheets(design, plan, layout, levels, identity.ids)
    notes = plan_notes(plan, layout)
    return MadePlan(plan, elements, layout, levels, identity, columns, listed, sheets, notes, earlier)


def _earlier(design: Design, plan: Plan) -> EarlierPlan | None:
    """The plan before."""
    if plan.before is None:
        return None
    try:
        return read_earlier(design.source.parent / plan.before)
    except EarlierPlanError as error:
        raise InputErrors([_error(design, "plan.before", say("earlier"), f'"{plan.before}": {error}')]) from error


def _error(design: Design, path: str, must: str, got: str) -> InputError:
    place = design.provenance[path]
    return InputError(str(design.source), place.line or 1, place.column or 1, path, must, got)


def _refuse_empty(design: Design, layout: Layout) -> None:
    """Every area keeps columns between which there is a distance, and of every grid at least one."""
    wrong = []
    for k, area in enumerate(layout.areas):
        count = int((layout.columns.area == area.index).sum())
        if count < LEAST_COLUMNS:
            wrong.append(area_error(design, k, "", say("too-few"), str(count)))
            continue
        wrong += [area_error(design, k, "", say("no-column", zone=zone.key if zone else say("rest")), "none")
                  for zone in grids_of(area) if not of_grid(area, layout.columns, zone).any()]  # fmt: skip
    if wrong:
        raise InputErrors(wrong)


def _columns(layout: Layout, levels: Levels, identity: Identity) -> tuple[Column, ...]:
    laid, columns, lengths = layout.columns, [], levels.length
    sections = [area.section for area in layout.areas]
    widths = [2 * float(sleeve_radius(section.sleeve, np.array(section.columns.diameter))) for section in sections]
    for k, (index, strip) in enumerate(zip(laid.area.tolist(), laid.strip.tolist(), strict=True)):
        area = layout.areas[index]
        zone, section = area.strips[strip].zone, area.section
        columns.append(Column(
            identity.ids[k], round(float(laid.northing[k]), 3), round(float(laid.easting[k]), 3),
            round(area.given.working_level, 3), float(levels.head[k]), float(levels.toe[k]),
            round(float(lengths[k]), 2), section.columns.diameter, section.key, zone.key if zone else "",
            f"{one_line(section.sleeve.name)} {section.sleeve.strength:g} kN/m", widths[index],
            None if levels.nearest is None else round(float(levels.nearest[k]), 1),
        ))  # fmt: skip
    return tuple(columns)


def _head(design: Design, plan: Plan) -> Mapping[str, str]:
    """What every file says: project, grid, datum, scale, axes, units, revision."""
    project = design.project
    return {
        say("project"): project.title, say("document"): f"{project.document}, {project.revisions[-1].label}",
        "revision": plan.revision, say("grid"): plan.grid, say("epsg"): str(plan.epsg) if plan.epsg else say("none"),
        say("height-datum"): plan.height_datum, say("scale"): f"{plan.scale_factor:.12g}", say("axes"): say("axes-are"),
        say("units"): say("units-are"),
    }  # fmt: skip


def plan_files(design: Design, made: MadePlan) -> dict[str, bytes]:
    """The files by name; the same plan gives the same bytes."""
    dated = design.project.revisions[-1].date
    listed = made.listed
    files = {
        "columns.csv": csv_file(listed, made.outcome),
        "columns.xml": landxml(listed, dated),
        "columns.geojson": geojson(listed),
        "columns.dxf": dxf(listed, made.elements, made.plan.exclusion, dated, made.plan.footprint),
    }
    if made.earlier is not None:
        changed = [*((name, say("removed")) for name in made.gone), *((name, say("new")) for name in listed.new)]
        files["columns-changed.csv"] = table(("point", "change"), changed, headings(listed))
    if made.failing:
        rows = [
            (column.id, item, f"{value:.4f}", f"{limit:g}", unit) for column, item, value, limit, unit in made.failing
        ]
        files[FAILING] = table(("point", "question", "value", "limit", "unit"), rows, headings(listed))
    files["column-plan.pdf"] = plan_pages(design, made).pdf()
    return files


def sheets_of(made: MadePlan) -> tuple[tuple[Cut, ...], int]:
    """The drawing sheets of a plan, whose numbers are those of the sheets as built; every which column has its id."""
    longest = max((column.id for column in made.columns), key=len)
    scale, every = scale_of(made.layout.areas, longest)
    return cut_into_sheets(made.plan, made.layout.areas, made.elements, scale), every


def plan_pages(design: Design, made: MadePlan) -> PlanPages:
    """The drawings and the lines of a plan, cut into sheets."""
    cuts, every = sheets_of(made)
    marked = frozenset(failed.column for sheet in made.sheets for failed in sheet.failing)
    drawn = Drawn(made.plan, made.layout, made.elements, made.columns, made.listed, cuts, every,
                  marked=marked, outcome=made.outcome, status=status_of(design.project))  # fmt: skip
    changes, new = "", len(made.listed.new)
    if made.earlier is not None:
        changes = say("changes", revision=made.earlier.revision, kept=len(made.columns) - new, new=new,
                      removed=len(made.gone))  # fmt: skip
    return PlanPages(drawn, made.sheets, design.project.revisions[-1].date, made.notes, changes)
