"""What can be audited of the plan, a sheet an area: area ratios, distances, a toe level, quantities."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calc.chapters.shared.frame import given_of_section, origin_of, origins_of_layers
from calc.chapters.shared.sleeve_radius import record_sleeve_radius
from calc.engine.sheet import Origin, Sheet
from calc.engine.words import words_of
from calc.formulas.column_plan import (
    bearing_level_between,
    layout_ratio,
    length_between_levels,
    longer_than_design,
    plan_fill,
    plan_plugs,
    plan_sleeves,
    ratio_at_offset,
    ratio_difference,
    ratio_of_cell,
    shorter_than_design,
    sounding_weight,
    spacing_at_offset,
)
from calc.formulas.geometry import (
    area_ratio,
    column_area,
    column_radius,
    square_cell_area,
    triangular_cell_area,
)
from calc.formulas.places import bearing_layer_level, toe_level
from calc.formulas.quantities import columns_by_area, delivered_volume, field_width, head_level, sleeve_area
from calc.inputs import Design
from calc.inputs.tables.columns import ColumnZone
from calc.inputs.tables.plan import Plan
from calc.site.plan.column_layout import Area, Array, Laid, Layout, Marks
from calc.site.plan.plan_reinforcement import reinforcement
from calc.site.plan.toe_levels import AT_POINT, Levels, distances, floats, of_columns

say = words_of(__name__)

CELL = {"triangular": triangular_cell_area, "square": square_cell_area}
GRIDS, DISTANCES, TOE, SHORTEST, QUANTITIES = "grids", "distances", "toe", "shortest", "quantities"


@dataclass(frozen=True)
class Failing:
    """A column by which a verdict of its area fails: its place in the layout, key of the verdict, value and limit."""

    column: int
    item: str
    value: float
    limit: float


@dataclass(frozen=True)
class AreaSheet:
    """The sheet of an area, with the columns that its lines were worked for: by grid, the longest, the shortest."""

    area: Area
    sheet: Sheet
    worked: tuple[str, ...]
    longest: str
    shortest: str
    failing: tuple[Failing, ...]
    far: tuple[int, ...]
    """Columns farther from every investigation point than the project has it, by their places in the layout."""


def plan_sheets(
    design: Design, plan: Plan, layout: Layout, levels: Levels, ids: Sequence[str]
) -> tuple[AreaSheet, ...]:  # fmt: skip
    """The sheet of every area in the order of the plan."""
    return tuple(_sheet(design, plan, layout, levels, ids, area) for area in layout.areas)


def _sheet(
    design: Design, plan: Plan, layout: Layout, levels: Levels, ids: Sequence[str], area: Area
) -> AreaSheet:  # fmt: skip
    sheet = Sheet(section=area.section.key, key="plan")
    columns = layout.columns
    own = columns.area == area.index
    grids = grids_of(area)
    sheet.axis("grid", [zone.key if zone else say("rest") for zone in grids])
    given_of_section(sheet, "d_c", area.section, "columns.diameter", area.section.columns.diameter)
    sheet(column_area)
    sheet.given("k_gr", plan.scale_factor, origin=origin_of(design, "plan.scale_factor"))
    worked = _ratios(design, plan, sheet, area, layout, grids)
    _distances(design, plan, sheet, area, layout)
    standing = own & ~floats(layout.areas, columns)
    standing = standing if standing.any() else own
    # By the bearing layer, before levels are rounded: the head is the same in all of the area.
    deepest = _deepest(area, columns, levels, standing)
    highest = int(np.flatnonzero(standing)[np.argmax(levels.firm[standing])])
    _toe(design, plan, sheet, layout, deepest)
    if is_interpolated(plan, area):
        _shortest(plan, sheet, layout, highest)
    _against_design(design, plan, sheet, area)
    _quantities(sheet, area, columns, levels, own)
    reinforcement(sheet, area)
    _limits(plan, sheet, area, layout, levels, own)
    far = _far(plan, sheet, levels, own)
    failing = _failing_columns(plan, sheet, area, layout, levels)
    return AreaSheet(area, sheet.finish(), tuple(ids[k] for k in worked), ids[deepest], ids[highest], failing, far)


def _deepest(area: Area, columns: Laid, levels: Levels, own: Marks) -> int:
    """The column with the lowest bearing layer, of several the longest."""
    given = area.section.columns
    embedment = of_columns([area], columns, lambda _, zone: given.embedment_of(zone))
    return int(np.flatnonzero(own)[np.lexsort((-embedment[own], levels.firm[own]))[0]])


def _failing_columns(plan: Plan, sheet: Sheet, area: Area, layout: Layout, levels: Levels) -> tuple[Failing, ...]:
    """All columns by which the verdicts of an area fail."""
    columns, differs = layout.columns, differences(layout)
    own, joint, failing = columns.area == area.index, columns.joint, list[Failing]()
    lacks, most = plan.clear_distance - columns.nearest, plan.ratio_tolerance
    questions = (("cells", ~joint, differs, most), ("joints", joint, differs, most), ("clear", own, lacks, 0.0),
                 ("longer", own, levels.longer, area.given.design_longer or 0.0),
                 ("shorter", own, levels.shorter, area.given.design_shorter or 0.0))  # fmt: skip
    for item, of, values, limit in questions:
        if any(verdict.key == item and verdict.state == "fail" for verdict in sheet.verdicts):
            which = np.flatnonzero(own & of & (values > limit))
            shown, asked = (columns.nearest, plan.clear_distance) if item == "clear" else (values, limit)
            failing += [Failing(int(k), item, float(shown[k]), asked) for k in which]
    return tuple(failing)


def grids_of(area: Area) -> list[ColumnZone | None]:
    """The grids of an area: that of the section as None, and those of its zones."""
    return list(dict.fromkeys(strip.zone for strip in area.strips))


def of_grid(area: Area, columns: Laid, zone: ColumnZone | None) -> Marks:
    """The columns of an area that belong to a grid."""
    strips = [k for k, strip in enumerate(area.strips) if strip.zone == zone]
    marks: Marks = (columns.area == area.index) & np.isin(columns.strip, strips)
    return marks


def design_ratios(areas: Sequence[Area], columns: Laid) -> Array:
    """Area ratio of the design for every column."""
    ratios = np.zeros(len(columns))
    for area in areas:
        for zone in grids_of(area):
            pattern, spacing = area.section.columns.grid_of(zone)
            served = CELL[pattern](a_x=spacing)
            which = of_grid(area, columns, zone)
            ratios[which] = area_ratio(A_c=column_area(d_c=area.section.columns.diameter), A_E=served)
    return ratios


def cell_ratios(areas: Sequence[Area], columns: Laid) -> Array:
    """Area ratio of the cell of every column."""
    areas_of_columns = np.array([column_area(d_c=area.section.columns.diameter) for area in areas])
    ratios: Array = ratio_of_cell(A_c=areas_of_columns[columns.area], A_u=columns.cell)
    return ratios


def _ratios(
    design: Design, plan: Plan, sheet: Sheet, area: Area, layout: Layout, grids: Sequence[ColumnZone | None]
) -> list[int]:
    """Area ratio at the column of every grid whose cell differs most from the design, found in two ways."""
    scope, section, columns = sheet.scope(GRIDS, say("grids")), area.section, layout.columns
    patterns = {section.columns.grid_of(zone)[0] for zone in grids}
    origins = [origin_of(section, f"columns.zone.{zone.key}.spacing" if zone else "columns.spacing") for zone in grids]
    scope.given("a_x", [section.columns.grid_of(zone)[1] for zone in grids], ["grid"], origin=origins,
                origin_axis="grid")  # fmt: skip
    if len(patterns) == 1:
        scope(CELL[patterns.pop()])
    else:
        served = [CELL[section.columns.grid_of(zone)[0]](a_x=section.columns.grid_of(zone)[1]) for zone in grids]
        scope.reading("A_E", served, ["grid"], title=say("cell-of-pattern"), inputs=[scope["a_x"]])
    scope(area_ratio)
    differs = differences(layout)
    worked = []
    for zone in grids:
        inner = of_grid(area, columns, zone) & ~columns.joint
        which = np.flatnonzero(inner if inner.any() else of_grid(area, columns, zone))
        worked.append(int(which[np.argmax(differs[which])]))
    for name, values in (("a_s", columns.spacing), ("e_w", columns.distance), ("kap", columns.curvature),
                         ("u_x", columns.offset)):  # fmt: skip
        scope.reading(name, values[worked], ["grid"], title=say(f"reading-{name}"))
    scope(ratio_at_offset, a_u="a_s", a_Eo="a_Eg")
    scope(spacing_at_offset)
    scope(ratio_at_offset)
    scope.reading("A_u", columns.cell[worked], ["grid"], title=say("reading-A_u"))
    scope(ratio_of_cell)
    effect = scope(ratio_difference)
    limit = scope.given("da_max", plan.ratio_tolerance, origin=origin_of(design, "plan.ratio_tolerance"))
    sheet.verdict("cells", say("verdict-cells"), effect=effect, resistance=limit)
    which = (columns.area == area.index) & columns.joint
    if not which.any():
        sheet.not_applicable("joints", say("verdict-joints"), say("no-joints"))
        return worked
    effect = scope.reading("da_J", float(differs[which].max()), title=say("reading-da_J"))
    sheet.verdict("joints", say("verdict-joints"), effect=effect, resistance=limit)
    return worked


def differences(layout: Layout) -> Array:
    """How far every cell falls below the design, or exceeds the grid as it is spread on a straight.

    Beside another area a cell may be as close as those of the closer of both grids that meet there.
    """
    columns = layout.columns
    area = np.array([column_area(d_c=each.section.columns.diameter) for each in layout.areas])[columns.area]
    spread = ratio_at_offset(A_c=area, a_u=columns.spacing, e_w=columns.distance)
    closer = np.fmax(spread, ratio_of_cell(A_c=area, A_u=np.where(columns.joint, columns.beside, np.inf)))
    gaps: Array = ratio_difference(
        a_Eu=cell_ratios(layout.areas, columns), a_E=design_ratios(layout.areas, columns), a_Eg=closer
    )
    return gaps


def _distances(design: Design, plan: Plan, sheet: Sheet, area: Area, layout: Layout) -> None:
    scope = sheet.scope(DISTANCES, say("distances"))
    own = layout.columns.area == area.index
    least = scope.reading("d_min", float(layout.columns.nearest[own].min()), title=say("reading-d_min"))
    asked = scope.given("d_clr", plan.clear_distance, origin=origin_of(design, "plan.clear_distance"))
    sheet.verdict("clear", say("verdict-clear"), effect=asked, resistance=least)


def _toe(
    design: Design, plan: Plan, sheet: Sheet, layout: Layout, column: int
) -> None:  # fmt: skip
    """Toe level and length of the column with the lowest bearing layer, of those on firm ground if any stand there."""
    area = layout.areas[layout.columns.area[column]]
    scope, section = sheet.scope(TOE, say("toe")), area.section.part_of(area.strips[layout.columns.strip[column]].zone)
    given_of_section(scope, "z_g", section, "ground_level", section.ground_level)
    given_of_section(scope, "t_up", section, "columns.upstand", section.columns.upstand)
    given_of_section(scope, "t_emb", section, "columns.embedment", section.columns.embedment)
    scope(head_level)
    if is_interpolated(plan, area):
        sheet.axis("reading", [point.name for point in plan.investigation])
        scope.reading("d_i", _away(plan, layout, column), ["reading"], title=say("reading-d_i"))
        origins = [origin_of(design, f"plan.investigation.{k}.bearing_level") for k in range(len(plan.investigation))]
        scope.given("z_i", [point.bearing_level for point in plan.investigation], ["reading"], origin=origins,
                    origin_axis="reading")  # fmt: skip
        scope(sounding_weight)
        scope(bearing_level_between)
    scope.reading("t_soft", sum(layer.thickness for layer in section.layers), title=say("reading-t_soft"),
                  origins=origins_of_layers(section, "thickness"))  # fmt: skip
    scope(bearing_layer_level)
    if is_interpolated(plan, area):
        scope(toe_level, z_firm="z_fi")
        scope(longer_than_design)
    else:
        scope(toe_level)
    scope(length_between_levels)


def _shortest(plan: Plan, sheet: Sheet, layout: Layout, column: int) -> None:
    """The highest top of the bearing layer at a column of the area."""
    scope, longest = sheet.scope(SHORTEST, say("shortest")), sheet.scopes[TOE]
    for name in ("z_i", "z_firm"):
        scope.take(name, longest[name])
    scope.reading("d_i", _away(plan, layout, column), ["reading"], title=say("reading-d_i"))
    scope(sounding_weight)
    scope(bearing_level_between, z_fi="z_fh")
    scope(shorter_than_design)


def _away(plan: Plan, layout: Layout, column: int) -> Array:
    """Distances from a column to the investigation points, m."""
    away = distances(plan, layout.columns.chosen(np.arange(len(layout.columns)) == column))[0]
    apart: Array = np.maximum(away, AT_POINT)
    return apart


def is_interpolated(plan: Plan, area: Area) -> bool:
    """Whether toes of an area follow investigation points: those on firm ground."""
    return bool(plan.investigation) and area.section.columns.floating is None


def _against_design(
    design: Design, plan: Plan, sheet: Sheet, area: Area
) -> None:  # fmt: skip
    """The longest and the shortest column against what the calculation of the section is said to cover."""
    for key, where, effect, symbol, limit in (
        ("longer", TOE, "dL_lo", "dL_lm", area.given.design_longer),
        ("shorter", SHORTEST, "dL_sh", "dL_sm", area.given.design_shorter),
    ):
        title, path = say(f"verdict-{key}"), f"plan.area.{area.index}.design_{key}"
        if not is_interpolated(plan, area):
            sheet.not_applicable(key, title, say("as-section"))
        elif limit is None:
            sheet.not_verified(key, title, say("no-limit", field=f"design_{key}"))
        else:
            scope = sheet.scopes[where]
            allowed = scope.given(symbol, limit, origin=origin_of(design, path))
            sheet.verdict(key, title, effect=scope[effect], resistance=allowed)


def _quantities(sheet: Sheet, area: Area, columns: Laid, levels: Levels, own: Marks) -> None:
    """Columns, metres, area, sleeve, fill and plugs of the area."""
    scope, section = sheet.scope(QUANTITIES, say("quantities")), area.section
    bank, beyond, plug = section.embankment, section.column_field, section.plug
    scope.reading("N_p", float(own.sum()), title=say("reading-N_p"))
    scope.reading("l_p", float(levels.length[own].sum()), title=say("reading-l_p"))
    scope.reading("A_lay", float(columns.cell[own].sum()), title=say("reading-A_lay"))
    scope(layout_ratio)
    if not section.columns.zones and beyond is not None:
        given_of_section(scope, "b_crest", section, "embankment.crest_width", bank.crest_width)
        given_of_section(scope, "b_gl", section, "field.beyond_left", beyond.beyond_left or 0.0)
        given_of_section(scope, "b_gr", section, "field.beyond_right", beyond.beyond_right or 0.0)
        scope(field_width)
        scope.reading("L_sec", area.ends - area.begins, title=say("reading-L_sec"))
        scope(columns_by_area, A_E=sheet.scopes[GRIDS]["A_E"].at(grid=say("rest")))
    plugged = plug is not None and plug.needed and plug.length is not None
    if plugged and plug is not None and plug.length is not None:
        given_of_section(scope, "L_pl", section, "plug.length", plug.length)
        scope(plan_plugs)
    else:
        scope.given("L_pl", 0.0, origin=Origin("project rule", text=say("no-plug")))
    scope(plan_fill)
    given = section.construction.quantities if section.construction else None
    if given is None:
        sheet.limitation("no-allowances", say("no-allowances"))
        return
    for name, key in (("l_top", "sleeve_top"), ("l_toe", "sleeve_toe"), ("f_V", "fill_excess")):
        given_of_section(scope, name, section, f"construction.quantities.{key}", getattr(given, key))
    scope(delivered_volume, V_del="V_dp", V_c="V_p")
    scope(plan_sleeves)
    scope(column_radius)
    record_sleeve_radius(scope, section)
    scope(sleeve_area, A_sl="A_slp", l_sl="l_slp")


def _limits(
    plan: Plan, sheet: Sheet, area: Area, layout: Layout, levels: Levels,
    own: Marks,
) -> None:  # fmt: skip
    """What the plan leaves open: columns left out, far from any investigation point, of another length, in curves."""
    for k, (zone, out) in enumerate(layout.left_out):
        count = int((out.area == area.index).sum())
        if count:
            title = say("verdict-left-out", name=zone.name, count=count)
            sheet.accepted(f"left_out_{k}", title, say("statement-left-out", reason=zone.reason))
            sheet.limitation(f"zone-{zone.name}", say("limitation-zone", name=zone.name, count=count,
                                                      reason=zone.reason))  # fmt: skip
    if plan.investigation:
        lengths = say("or").join(f"{length:.2f}" for length in np.unique(levels.design[own]))
        sheet.limitation("lengths", say("limitation-lengths", design=lengths,
                                        longer=f"{float(levels.longer[own].max()):.2f}",
                                        shorter=f"{float(levels.shorter[own].max()):.2f}"))  # fmt: skip
        sheet.limitation("between", say("limitation-between"))


def _far(plan: Plan, sheet: Sheet, levels: Levels, own: Marks) -> tuple[int, ...]:
    """The columns of an area that are far from every investigation point, which the sheet tells."""
    if levels.nearest is None or plan.investigation_far is None:
        return ()
    far = np.flatnonzero(own & (levels.nearest > plan.investigation_far))
    if len(far):
        most = f"{float(levels.nearest[far].max()):.1f}"
        sheet.limitation("far", say("limitation-far", count=len(far), limit=f"{plan.investigation_far:g}", most=most))
    return tuple(far.tolist())
