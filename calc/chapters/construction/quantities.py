"""Quantities of a section: columns, sleeves, fill, excavated soil, embankment, reinforcement."""

from math import isfinite

import numpy as np

from calc.chapters.shared.berms import STEPS
from calc.chapters.shared.column_zones import ZONE as BORDERS
from calc.chapters.shared.column_zones import by_grid, strips_of_grid, zone_sheets
from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.geometry import place_of
from calc.chapters.shared.sloping_layers import ACROSS, LENGTHS
from calc.chapters.shared.zones import take_zones
from calc.engine.sheet import Origin, Scope, Sheet, Value, number_text
from calc.engine.sheet.values import Array
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.formulas.quantities import (
    area_of_zone_beside_axis,
    berm_volume,
    column_metres,
    columns_by_area,
    columns_in_rows,
    crest_level,
    delivered_volume,
    embankment_volume,
    excavated_volume,
    field_width,
    fill_volume,
    filled_length,
    fills_volume,
    height_where_slope_ends_zone,
    overlap_factor,
    plugs_volume,
    reinforcement_area,
    reinforcement_delivered,
    reinforcement_width,
    row_distance,
    rows,
    sleeve_area,
    sleeve_length,
    sleeve_metres,
    volume_below_falling_crest,
    volume_of_both_berms,
    volume_of_zone_between_ends,
    volume_with_berms,
    width_at_higher_edge,
    zone_volume,
    zone_volume_in_berm,
)
from calc.formulas.squeezing import slope_length
from calc.inputs import Section
from calc.inputs.tables.construction import Construction, Quantities
from calc.inputs.tables.embankment import SIDES
from calc.inputs.tables.section import ZONE

say = words_of(__name__)

TITLE = say("title")
ROUNDED = say("rounded-up")
OF_LENGTH = ("L_c", "t_soft", "t_emb")
ROLLS = ("roll_width", "roll_overlap", "roll_ends")


def quantities(sheet: Sheet, section: Section, construction: Construction, done: dict[str, Sheet]) -> None:
    """Everything that is counted, for one section."""
    if construction.quantities is None:
        sheet.not_verified("quantities", TITLE, say("no-quantities-why"), required=False)
        return
    if section.widening is not None:
        sheet.not_verified("quantities", TITLE, say("widened-why"), required=False)
        return
    scope = sheet.scope("quantities", TITLE)
    across = done["columns"].scopes.get(ACROSS)
    mean = {"L_c": across["L_cm"], "t_soft": across["t_wm"]} if across else {}
    notes = {"L_c": "", "t_soft": say("mean-thickness-note")}
    if across:
        shortest, longest = (number_text(length, 2) for length in done["columns"].kept[LENGTHS])
        notes["L_c"] = say("mean-note", shortest=shortest, longest=longest)
    grid = () if section.columns.zones else ("a_x", "A_E")
    lengths = any(section.columns.has_length(zone) for _, zone in section.columns.zones)
    for name in (*grid, "A_c", *(() if lengths else OF_LENGTH), "r_geo"):
        scope.take(name, mean.get(name, done["columns"][name]), note=notes[name] if name in mean else "")
    _count(scope, section, construction.quantities, done)
    if lengths:
        _mean_lengths(scope, section, done)
    _columns(scope, section, construction.quantities)
    if section.embankment.berms or section.embankment.lower:
        _berms(scope, section)
    else:
        scope(embankment_volume)
    if section.embankment.zones:
        _zones(sheet, section, scope, done)
    if section.reinforcement:
        reinforcement_laid(sheet, section, construction.quantities, place_of(done["columns"], "z_P"), scope)
    sheet.settled("quantities", TITLE, say("settled-quantities-why"))


def _count(scope: Scope, section: Section, counted: Quantities, done: dict[str, Sheet]) -> None:
    """Rows along the embankment, the outermost at or beyond the extent of the field."""
    given_of_section(scope, "L_sec", section, "construction.quantities.length", counted.length)
    widths(scope, section)
    if section.columns.zones:
        _by_grids(scope, section, done)
        return
    scope(row_distance)
    _rounded_up(scope, "N_row", say("rows-of-columns"), scope(rows))
    _rounded_up(scope, "N_col", say("count"), scope(columns_in_rows))
    scope(columns_by_area)


def widths(scope: Scope, section: Section) -> None:
    """Crest, height and slopes of the embankment, and the width of the column field."""
    fill, field = section.embankment, section.column_field
    given_of_section(scope, "b_crest", section, "embankment.crest_width", fill.crest_width)
    given_of_section(scope, "H_E", section, "embankment.height", fill.height)
    given_of_section(scope, "n_Sl", section, "embankment.slope_left", fill.slope_left)
    given_of_section(scope, "n_Sr", section, "embankment.slope_right", fill.slope_right)
    heights = {"l": "H_E", "r": "H_E"}
    if fill.lower:
        for side, height in fill.heights.items():
            heights[side[0]] = name = f"H_E{side[0]}"
            given_of_section(scope, name, section, fill.path_of_height(side), height)
        scope(width_at_higher_edge)
    extents = (
        ("b_gl", "n_Sl", "beyond_left", field.beyond_left if field else None),
        ("b_gr", "n_Sr", "beyond_right", field.beyond_right if field else None),
    )
    for name, run, key, extent in extents:
        if extent is None:
            scope(slope_length, L_S=name, n_S=run, H=heights[name[-1]])
            scope.sheet.limitation(
                "field-extent",
                say("limitation-field-extent"),
                "project rule",
            )
        else:
            given_of_section(scope, name, section, f"field.{key}", extent)
    scope(field_width)


def grid_labels(section: Section) -> dict[str, str]:
    """Names of the scopes in which the columns of every grid are counted, with their labels; none without zones."""
    zones = {f"grid_{zone.key}": f"{section.key}{ZONE}{zone.key}" for _, zone in section.columns.zones}
    return {"grid": section.key, **zones} if zones else {}


def _by_grids(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """Rows, columns and metres of every grid, those of the zones and of the rest, and their sums."""
    strips = strips_of_grid(section, done["columns"])
    sheets = by_grid(section, done, "columns")
    places = [scope["b_gl"], scope["b_gr"], scope["b_crest"]]
    zones = [zone.done["columns"].scopes[BORDERS] for zone in zone_sheets(section, done)]
    borders = [zone[name] for zone in zones for name in ("x_z1", "x_z2")]
    spacings = [columns["a_x"] for columns in sheets.values()]
    parts = []
    for name, (zone, columns) in zip(grid_labels(section), sheets.items(), strict=True):
        each = scope.sheet.scope(name, say("scope-grid-title", key=zone.key) if zone else say("scope-grid-own-title"))
        count = sum(len(strip.rows) for strip in strips if strip.zone is zone)
        each.reading("N_row", count, title=say("rows-of-columns"), inputs=[*places, *borders, *spacings])
        each.take("a_x", columns["a_x"])
        each.take("L_sec", scope["L_sec"])
        each.take("L_c", scope["L_c"] if "L_c" in scope.values else columns["L_c"])
        _rounded_up(each, "N_col", say("grid-count"), each(columns_in_rows))
        each(column_metres)
        parts.append(each)
    for name, title in (("N_row", say("grids-rows")), ("N_col", say("grids-columns"))):
        counts = [each[name] for each in parts]
        scope.reading(name, sum(float(count.array) for count in counts), title=title, inputs=counts)


def _mean_lengths(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """Mean length over all columns, with its parts in soft ground and in the bearing layer: sums are of them."""
    counts = [scope.sheet.scopes[name]["N_col"] for name in grid_labels(section)]
    numbers = [float(count.array) for count in counts]
    for name in OF_LENGTH:
        parts = [columns[name] for columns in by_grid(section, done, "columns").values()]
        mean = np.average([float(part.array) for part in parts], weights=numbers)
        scope.reading(name, mean, title=say("grids-mean", what=symbol(name).meaning), inputs=[*parts, *counts])


def _level_width(section: Section) -> str:
    """Symbol of the width at the level of the higher crest edge, from which levels below it are measured."""
    return "b_lv" if section.embankment.lower else "b_crest"


def _zones(sheet: Sheet, section: Section, common: Scope, done: dict[str, Sheet]) -> None:
    """Volume of every zone of the fill, its part within the berms counted."""
    scope = sheet.scope("zones", say("scope-zones-title"))
    take_zones(scope, done)
    width = _level_width(section)
    for name in ("L_sec", width, "H_E", "n_Sl", "n_Sr"):
        scope.take(name, common[name])
    parts = [_between_ends(scope, section) if section.embankment.is_cored else scope(zone_volume, b_crest=width)]
    reach: dict[str, Array] = {}  # which zones reach the side slope, and into the berm beside it
    for end, berm in ((side[0], berm) for side, berm in section.embankment.berms.items()):
        beside = f"n_S{end}"
        for at in STEPS[end][: len(berm.steps)]:
            symbols = {f"{name}r": common[f"{name}{at}"] for name in ("b_B", "h_B", "n_B")}
            volume = f"V_z{at}"
            parts.append(scope(zone_volume_in_berm, V_zb=volume, n_Sr=common[beside], **symbols))
            beside, reach[volume] = f"n_B{at}", _reaches(section, end)
    total = sum(part.array * reach.get(part.symbol, 1.0) for part in parts)
    ends_before = any(not reaches.all() for reaches in reach.values())
    scope.reading("V_z", total, ["zone"], title=say("reading-v-z-title"), inputs=parts,
                  note=say("reading-v-z-note") if ends_before else "")  # fmt: skip


def _reaches(section: Section, end: str) -> Array:
    """Which zones reach the side slope of a side."""
    ends = np.array([section.embankment.ends(zone) for _, zone in section.embankment.zones])
    return np.where(np.isinf(ends[:, 0 if end == "l" else 1]), 1.0, 0.0)


def _between_ends(scope: Scope, section: Section) -> Value:
    """Volume of the zones from end to end; what reaches a side slope ends at its place at the bottom of the zone."""
    bank = section.embankment
    slopes = {side: origin_of(section, f"embankment.slope_{side}") for side in ("left", "right")}
    for side, sign in (("left", -1.0), ("right", 1.0)):
        end, places, origins = side[0], [], []
        for k, zone in bank.zones:
            x = sign * bank.ends(zone)[sign > 0]
            places.append(x if isfinite(x) else bank.face(side, zone.bottom))
            rule = Origin("project rule", text=say("rule-reaches", side=side))
            origins.append(origin_of(section, f"embankment.zone.{k}.{side}") if isfinite(x) else rule)
        scope.given(f"x_z{end}", places, ["zone"], origin=origins, origin_axis="zone")
        # An end beyond the axis meets the other side slope.
        beside = [side if place >= 0 else "left" if side == "right" else "right" for place in places]
        scope.given(f"n_z{end}", [getattr(bank, f"slope_{slope_side}") for slope_side in beside], ["zone"],
                    origin=[slopes[slope_side] for slope_side in beside], origin_axis="zone")  # fmt: skip
        own = {"h_zkr": f"h_zk{end}", "x_zr": f"x_z{end}", "n_zr": f"n_z{end}"}
        scope(height_where_slope_ends_zone, **own)
        scope(area_of_zone_beside_axis, A_zr=f"A_z{end}", **own)
    return scope(volume_of_zone_between_ends)


def _berms(scope: Scope, section: Section) -> None:
    """Fill of the berms above the platform."""
    for side in SIDES:
        end, berm = side[0], section.embankment.berms.get(side)
        if berm is None:
            scope.given(f"V_B{end}", 0.0, origin=Origin("project rule", text=say("rule-no-berm")))
            continue
        last, whole, above = len(berm.steps), f"V_B{end}", f"n_S{end}"
        volumes = [whole] if last == 1 else [f"V_B1{end}", *(f"V_B{at}" for at in STEPS[end][1:last])]
        for place, (step, volume) in enumerate(zip(berm.steps, volumes, strict=True)):
            own = {f"{name}r": f"{name}{STEPS[end][place]}" for name in ("h_B", "b_B", "n_B")}
            path = section.embankment.path_of_step(side, place)
            for name, field in zip(own.values(), ("height", "width", "slope"), strict=True):
                given_of_section(scope, name, section, f"{path}.{field}", getattr(step, field))
            scope(berm_volume, V_Br=volume, n_Sr=above, **own)
            above = own["n_Br"]
        so_far = volumes[0]
        for number, more in enumerate(volumes[1:], 2):
            with_it = whole if number == last else f"V_Bs{STEPS[end][number]}"
            scope(volume_of_both_berms, V_Br=with_it, V_B1r=so_far, V_B2r=more)
            so_far = with_it
    scope(volume_below_falling_crest if section.embankment.lower else volume_with_berms)


def _rounded_up(scope: Scope, name: str, title: str, value: Value) -> None:
    # What is whole but for rounding error is not taken one up.
    scope.reading(name, np.ceil(np.round(value.array, 9)), title=title, inputs=[value], note=ROUNDED)


def _columns(scope: Scope, section: Section, counted: Quantities) -> None:
    path = "construction.quantities"
    for name, key in (("l_top", "sleeve_top"), ("l_toe", "sleeve_toe"), ("f_V", "fill_excess")):
        given_of_section(scope, name, section, f"{path}.{key}", getattr(counted, key))
    for step in (column_metres, sleeve_length, sleeve_metres, sleeve_area):
        scope(step)
    _plug(scope, section)
    for step in (filled_length, fill_volume, fills_volume, delivered_volume):
        scope(step)
    if section.columns.installation == "excavation":
        scope(excavated_volume)


def _plug(scope: Scope, section: Section) -> None:
    """A plug takes the place of fill."""
    if section.plug is not None and section.plug.needed:
        given_of_section(scope, "L_pl", section, "plug.length", section.plug.length or 0.0)
        scope(plugs_volume)
    else:
        scope.given("L_pl", 0.0, origin=Origin("project rule", text=say("rule-l-pl")))


def reinforcement_laid(sheet: Sheet, section: Section, counted: Quantities, base: Value, common: Scope) -> None:
    """Area of every layer with overlaps, and waste where it is given.

    ``base`` is z_P, ``common`` has `widths` and a length.
    """
    key, title = "reinforcement_quantity", say("reinforcement")
    missing = [name for name in ROLLS if getattr(counted, name) is None]
    if missing:
        why = say("reinforcement-why", missing=", ".join(f"construction.quantities.{name}" for name in missing))
        sheet.not_verified(key, title, why, required=False)
        return
    scope = sheet.scope("reinforcement", title)
    path = "construction.quantities"
    for name, field in (("b_roll", "roll_width"), ("l_ov", "roll_overlap"), ("l_end", "roll_ends")):
        given_of_section(scope, name, section, f"{path}.{field}", getattr(counted, field))
    sheet.axis("mat", [layer.name for layer in section.reinforcement])
    scope.take("z_B", base)
    levels = [layer.level for layer in section.reinforcement]
    origins = [origin_of(section, f"reinforcement.{k}.level") for k in range(len(levels))]
    scope.given("z_rl", levels, ["mat"], origin=origins, origin_axis="mat")
    _ends(scope, section)
    width = _level_width(section)
    for name in (width, "b_F", "H_E", "n_Sl", "n_Sr", "L_sec"):
        scope.take(name, common[name])
    scope(crest_level)
    scope(reinforcement_width, b_crest=width)
    for step in (overlap_factor, reinforcement_area):
        scope(step)
    if counted.roll_waste is None:
        sheet.limitation("reinforcement-waste", say("limitation-waste"), "project rule")
        return
    waste = counted.roll_waste
    scope.given("w_rf", waste.value, origin=origin_of(section, f"{path}.roll_waste.value"), note=waste.source)
    scope(reinforcement_delivered)


def _ends(scope: Scope, section: Section) -> None:
    """What a layer has beyond the outermost columns: its anchorage and what is wrapped back."""
    anchorages = [mat.anchorage for mat in section.reinforcement]
    none = Origin("project rule", text=say("rule-l-end"))
    for name, field, lengths in (
        ("L_end", "length", [anchorage.length if anchorage else 0.0 for anchorage in anchorages]),
        ("L_wr", "fold_back", [(anchorage.fold_back or 0.0) if anchorage else 0.0 for anchorage in anchorages]),
    ):
        origins = [
            origin_of(section, f"reinforcement.{k}.anchorage.{field}") if length else none
            for k, length in enumerate(lengths)
        ]
        scope.given(name, lengths, ["mat"], origin=origins, origin_axis="mat")
