"""Settlement on both sides of the borders between two grids, and between the centre and a crest edge in a zone."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from calc.chapters.shared.column_zones import (
    ZoneSheets,
    height_at,
    places_of_fill,
    strips_of_grid,
    zone_sheets,
)
from calc.chapters.shared.frame import LONG, SHOULDER, frame
from calc.chapters.shared.geometry import place_of, profile
from calc.chapters.shared.limits import optional_limit
from calc.chapters.unit_cell import floating as cell_floating
from calc.chapters.unit_cell import standard as cell_standard
from calc.engine.levels import above, same
from calc.engine.sheet import Origin, Scope, Sheet, Value, number_text
from calc.engine.words import words_of
from calc.formulas.column_zones import difference_at_border, difference_at_border_of_lengths
from calc.formulas.loads import traffic_factor
from calc.formulas.unit_cell import settlement_difference, settlement_difference_of_grids
from calc.inputs import Design, Section
from calc.inputs.tables.column_zones import GridStrip

say = words_of(__name__)

BORDERS = "borders"  # scope of the cell of one grid under the loads at its borders
PATH = "basis.limits.settlement_difference"


def at_borders(sheet: Sheet, section: Section, settlement: Scope, done: dict[str, Sheet]) -> None:
    """Settle the cell under the fill at every border of its grid; nothing where one grid is everywhere."""
    places = _own_borders(section, done["columns"])
    if not places:
        return
    scope = sheet.scope(BORDERS, say("scope-borders-title"))
    sheet.axis("border", [_label(x) for x in places])
    _loads(scope, section, done, places)
    scope.take("K_ac", settlement["K_ac"])
    scope.take("J", sheet["J"].at(stiffness=LONG))
    scope(traffic_factor, gamma_QS="psi_2")
    scope.given("f_G", 1.0, origin=Origin("project rule", text=say("rule-f-g")))
    cell_standard.load(scope)
    cell_standard.solve(scope, section, cell_floating.settle if section.columns.floating else None)


def _own_borders(section: Section, columns: Sheet) -> list[float]:
    """The borders of the grid of a zone, or of that outside all zones, from left to right."""
    if section.zone is None:
        strips = [strip for strip in strips_of_grid(section, columns) if strip.zone is None]
        ends = [x for strip in strips for x in (strip.left, strip.right)] if section.columns.zones else []
    else:
        ends = [x for strip in section.zone.strips for x in strip]
    outermost = [float(place_of(columns, name).array) for name in ("x_cl", "x_cr")]
    return sorted({x for x in ends if not any(same(x, place) for place in outermost)})


def _label(x: float) -> str:
    return f"x = {x:g} m"


def _loads(scope: Scope, section: Section, done: dict[str, Sheet], places: list[float]) -> None:
    """Share of the height at every border; compensation fill and traffic where it lies below the final crest."""
    stages, height = scope.sheet.axes["stage"], scope["H"]
    tall = np.array([[height_at(profile(done["columns"], stage), x) for x in places] for stage in stages])
    fill = places_of_fill(done["columns"])
    scope.reading("H_bo", tall, ["stage", "border"], title=say("reading-h-bo-title"), inputs=fill)
    whole = height.array[:, None]
    share = np.divide(tall, whole, out=np.ones_like(tall), where=whole > 0)
    scope.reading("f_H", share, ["stage", "border"], title=say("reading-f-h-title"), inputs=[height, scope["H_bo"]])
    half = section.embankment.crest_width / 2
    below = np.array([float(above(half, abs(x))) for x in places])
    rule = Origin("project rule", text=say("rule-crest"))
    traffic = np.array([0.0, *(float(stage.traffic) for stage in section.stages)])
    scope.given("i_Q", np.outer(traffic, below), ["stage", "border"], origin=rule)
    if section.makeup_fill:
        scope.given("f_M", 0.0, origin=rule)


def differences(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Compare the settlements of both grids at every border with the limit; nothing without zones."""
    zones = zone_sheets(section, done)
    if not zones:
        return
    strips = strips_of_grid(section, done["columns"])
    scope = sheet.scope("border_difference", say("scope-difference-title"))
    inner = [strip.right for strip in strips[:-1]]
    labels = [_label(x) for x in inner]
    sheet.axis("border", labels)
    sides = (strips[:-1], say("reading-left-title")), (strips[1:], say("reading-right-title"))
    for name, (beside, title) in zip(("s_bo1", "s_bo2"), sides, strict=True):
        settled = [_settlement_of(sheet, strip, zones) for strip in beside]
        values = [settlement.at(border=label).array for settlement, label in zip(settled, labels, strict=True)]
        every = list({settlement.step: settlement for settlement in settled}.values())
        scope.reading(name, np.stack(values, axis=-1), ["stage", "border"], title=title, inputs=every)
    if section.columns.short:
        for name, (beside, title) in zip(("s_bb1", "s_bb2"), sides, strict=True):
            _below_toes(scope, name, beside, zones, title)
        difference = scope(difference_at_border_of_lengths)
    else:
        difference = scope(difference_at_border)
    difference = difference.at(stage=frame(design, section).persistent)
    worst = difference.case_at(int(np.argmax(difference.array)))
    k = labels.index(worst["border"])
    sheet.limitation(
        "step-at-border",
        say("limitation-step", border=worst["border"], step=number_text(1000 * (difference.number(worst) or 0.0), 0),
            rows=number_text(strips[k + 1].rows[0] - strips[k].rows[-1], 2)),
        "project rule ◇", turns=["settlement_borders"],
    )  # fmt: skip
    optional_limit(scope, design, ("settlement_borders", say("difference")), difference,
                   design.basis.limits.settlement_difference, symbol="Ds_lim", path=PATH)  # fmt: skip


def _below_toes(
    scope: Scope, name: str, beside: Sequence[GridStrip], zones: tuple[ZoneSheets, ...], side: str
) -> None:  # fmt: skip
    """What settles below the toes of floating columns at every border, under the greatest load of their zone; else 0.

    The firm layers below are those of both sides: in soft ground the sum over them is an upper value.
    """
    by_zone = {zone.zone: zone.done["bearing"].scopes["below"]["s_b"].largest()
               for zone in zones if zone.section.columns.floating}  # fmt: skip
    values = [float(by_zone[strip.zone].array) if strip.zone in by_zone else 0.0 for strip in beside]
    inputs = [by_zone[zone] for zone in dict.fromkeys(strip.zone for strip in beside) if zone in by_zone]
    scope.reading(name, values, ["border"], title=say("reading-below-title", side=side), inputs=inputs)


def _settlement_of(sheet: Sheet, strip: GridStrip, zones: tuple[ZoneSheets, ...]) -> Value:
    """Settlement over stages and borders with the grid of a strip."""
    sheet_of_grid = next((zone.done["unit_cell"] for zone in zones if zone.zone is strip.zone), sheet)
    return sheet_of_grid.scopes[BORDERS]["s"]


def centre_to_edge(
    scope: Scope, section: Section, done: dict[str, Sheet], own: Value, final: dict[str, Any]
) -> bool:  # fmt: skip
    """Settlement at the crest edges, of the grid that differs most from the centre, and the difference.

    Whether the edges may differ from the centre although the crest has one height and no compensation fill.
    """
    half = section.embankment.crest_width / 2
    at_edge = [
        sheet for sheet in zone_sheets(section, done)
        if any(not above(low, x) and not above(x, high) for low, high in sheet.zone.strips for x in (-half, half))
    ]  # fmt: skip
    if not at_edge:
        scope.take("s_sho", own)
        scope(settlement_difference)
        return False
    values = [own, *(value for zone in at_edge for value in _of_zone(zone, final))]
    centre = scope["s_cen"].array
    scope.take(
        "s_sho", max(values, key=lambda value: float(np.abs(value.array - centre).max())), note=say("take-s-sho-note")
    )
    scope(settlement_difference_of_grids)
    return True


def _of_zone(sheets: ZoneSheets, final: dict[str, Any]) -> list[Value]:
    """Settlement of a zone at the full height over it, no compensation fill, and with that below toes that float."""
    alone = sheets.done["unit_cell"].scopes["settlement"]["s"].at(position=SHOULDER, **final)
    return [alone, sheets.done["bearing"].scopes["below"]["s_tot"]] if sheets.section.columns.floating else [alone]
