"""Zones of the column grid: their places and heights, recorded in the chapter on the columns, and their sheets."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.geometry import Profile, berm_places, place_of, profile
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.column_zones import GridStrip, grid_strips
from calc.inputs.tables.columns import ColumnZone

say = words_of(__name__)

ZONE = "zone"  # scope of the chapter on the columns, of a zone
OF_ZONES = (
    "basis", "ground", "columns", "unit_cell", "sleeve", "consolidation", "bearing", "stability", "load_transfer",
    "filters",
)  # fmt: skip
"""What is calculated for every zone of the columns as well, before the chapters of the section, which read it under
``KEY.ZONE/chapter``; the other chapters have an empty sheet there."""
FILL_PLACES = ("z_P", "x_tl", "x_el", "x_er", "x_tr", "z_cst")


@dataclass(frozen=True)
class ZoneSheets:
    """A zone of the columns with the sheets of its chapters by key."""

    section: Section
    zone: ColumnZone
    done: dict[str, Sheet]


def zone_sheets(section: Section, done: dict[str, Sheet]) -> tuple[ZoneSheets, ...]:
    """The zones of a section with their sheets; none without zones, and for a zone itself."""
    zones = []
    for part in section.by_zones():
        head = f"{part.key}/"
        sheets = {path.removeprefix(head): sheet for path, sheet in done.items() if path.startswith(head)}
        assert part.zone is not None  # noqa: S101 - it has just been made of one
        zones.append(ZoneSheets(part, part.zone, sheets))
    return tuple(zones)


def say_once(whole: Sequence[Sheet], zone: Sequence[Sheet]) -> None:
    """Leave out of a zone what is said of its section in the same words and with the same numbers."""
    for sheet, of_zone in zip(whole, zone, strict=True):
        said = [(verdict.key, verdict.note, verdict.utilisation) for verdict in sheet.verdicts]
        of_zone.verdicts[:] = [
            verdict for verdict in of_zone.verdicts if (verdict.key, verdict.note, verdict.utilisation) not in said
        ]
        of_zone.limitations[:] = [
            limitation for limitation in of_zone.limitations if limitation not in sheet.limitations
        ]
        of_zone.rests[:] = [rest for rest in of_zone.rests if rest not in sheet.rests]


def by_grid(section: Section, done: dict[str, Sheet], chapter: str) -> dict[ColumnZone | None, Sheet]:
    """The sheet of a chapter with every grid: of the section under None, then of its zones."""
    sheets: dict[ColumnZone | None, Sheet] = {None: done[chapter]}
    return sheets | {sheet.zone: sheet.done[chapter] for sheet in zone_sheets(section, done)}


def strips_of_grid(section: Section, columns: Sheet) -> tuple[GridStrip, ...]:
    """The column field from left to right, a strip for each stretch with one grid."""
    left, right = (float(place_of(columns, name).array) for name in ("x_cl", "x_cr"))
    return grid_strips(section.columns, left, right)


def outermost_grid(section: Section, done: dict[str, Sheet], end: str) -> tuple[str, Value]:
    """Pattern and spacing of the outermost columns of a side, "l" or "r"."""
    zone = strips_of_grid(section, done["columns"])[0 if end == "l" else -1].zone
    return section.columns.grid_of(zone)[0], by_grid(section, done, "columns")[zone]["a_x"]


def height_at(place: Profile, x: float) -> float:
    """Height of fill over the platform or the ground at a place, in m."""
    line = place.outline
    level = np.interp(x, [at for at, _ in line], [height for _, height in line], left=place.base, right=place.base)
    return max(float(level) - place.base, 0.0)


def greatest_height(place: Profile, low: float, high: float) -> float:
    """Greatest height of fill over a strip, in m: at one of its borders or at a corner of the fill."""
    corners = [x for x, _ in place.outline if low < x < high]
    return max(height_at(place, x) for x in (low, high, *corners))


def record_zone(sheet: Sheet, section: Section) -> None:
    """Record the borders of the zone and the greatest height of fill over it; nothing of a whole section."""
    zone = section.zone
    if zone is None:
        return
    scope = sheet.scope(ZONE, say("scope-zone-title"))
    for name, field in (("x_z1", "x_left"), ("x_z2", "x_right")):
        given_of_section(scope, name, section, f"columns.zone.{zone.key}.{field}", getattr(zone, field))
    heights = [
        max(greatest_height(profile(sheet, label), *strip) for strip in zone.strips)
        for label in sheet.axes["stage"]
    ]  # fmt: skip
    borders = [scope[name] for name in ("x_z1", "x_z2")]
    scope.reading("H_z", heights, ["stage"], title=say("reading-h-z-title"), inputs=[*borders, *places_of_fill(sheet)],
                  origins=[origin_of(section, f"columns.zone.{zone.key}.mirrored")])  # fmt: skip


def places_of_fill(columns: Sheet) -> list[Value]:
    """What the outline of the fill is made of."""
    return [*(place_of(columns, name) for name in FILL_PLACES), *berm_places(columns)]


def height_of_zone(done: dict[str, Sheet]) -> Value:
    """Greatest height of fill over a zone by stage."""
    return done["columns"].scopes[ZONE]["H_z"]


def largest_of_grids(scope: Scope, name: str, own: Value, others: Sequence[Value], note: str = "") -> Value:
    """Record the largest of the own grid and those of the zones, case by case; without zones its own value."""
    if not others:
        return scope.take(name, own, note=note)
    every = [own, *others]
    none = ~np.logical_or.reduce([value.valid for value in every])
    title = say("largest-title", what=symbol(name).meaning)
    return scope.largest(name, every, title=title, mask=none if none.any() else None, reason=own.reason)


def take_ratio(scope: Scope, section: Section, done: dict[str, Sheet], *, largest: bool) -> None:
    """Take the largest or the least area ratio of all grids; nothing without zones, where the chapter has the one."""
    others = [sheet.done["columns"]["a_E"] for sheet in zone_sheets(section, done)]
    if others:
        pick = max if largest else min
        ratio = pick([done["columns"]["a_E"], *others], key=lambda value: float(value.array))
        scope.take("a_E", ratio, note=say("ratio-note"))
