"""Ids of columns, area-row-number: given once, kept while a column stays, never given again."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from re import compile as pattern
from re import findall
from typing import Any, NoReturn

import numpy as np
from scipy.spatial import cKDTree

from calc.inputs.tables.plan import Plan
from calc.site.plan.column_layout import Area, Array, Laid
from calc.site.plan.column_list import checksum_of

ID = pattern(r"([A-Za-z0-9_-]{1,40})-(\d{3,})-(\d{3,})")


class EarlierPlanError(ValueError):
    """An earlier plan that cannot be read, or that somebody has changed."""


@dataclass(frozen=True)
class EarlierPlan:
    """Ids and places of an earlier plan, and the ids that were removed before."""

    ids: tuple[str, ...]
    easting: Array
    northing: Array
    removed: tuple[str, ...]
    revision: str
    checksum: str


@dataclass(frozen=True)
class Identity:
    """The ids of columns, those that an earlier plan had and this one has not, and those that are new in it."""

    ids: tuple[str, ...]
    removed: tuple[str, ...]
    new: tuple[str, ...]


def read_earlier(path: Path) -> EarlierPlan:
    """The GeoJSON file of an earlier plan; ``EarlierPlanError`` where its checksum is not that of its columns."""
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        features, head = record["features"], dict(record["plan"])
        own = [feature["properties"] for feature in features]
        said, removed = str(head.pop("checksum")), tuple(map(str, head.pop("removed")))
        head.pop("caution")
        ids = tuple(str(column["id"]) for column in own)
        lines = [str(column["canonical"]) for column in own]
        east, north = (np.array([float(column[name]) for column in own]) for name in ("easting", "northing"))
        revision = str(head["revision"])
    except OSError as error:
        _refuse(path, error.strerror or "it cannot be read")
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        _refuse(path, "it is no column plan in GeoJSON as this command writes it")
    if checksum_of(head, lines, removed) != said or not _agrees(own, lines):
        _refuse(path, f"its columns or its removed ids are not those of its checksum {said[:40]}")
    if len({*ids, *removed}) < len(ids) + len(removed) or not all(map(ID.fullmatch, (*ids, *removed))):
        _refuse(path, "its ids are not of the form area-row-number, each once")
    return EarlierPlan(ids, east, north, removed, revision, said)


def _agrees(own: Sequence[Any], lines: Sequence[str]) -> bool:
    """Whether ids and places are those of the canonical lines, which the checksum covers."""
    return all(line.split(";")[:3] == [str(column["id"]), f"{float(column['northing']):.3f}",
                                       f"{float(column['easting']):.3f}"]
               for column, line in zip(own, lines, strict=True))  # fmt: skip


def _refuse(path: Path, why: str) -> NoReturn:
    message = f"{path.name} cannot be taken as the earlier plan: {why}"
    raise EarlierPlanError(message) from None


def identify(plan: Plan, areas: Sequence[Area], columns: Laid, earlier: EarlierPlan | None) -> Identity:
    """Give every column its id: that of the earlier plan where it stays, else the next number of its row.

    The next number is one above the highest that the row ever had, so that a number that was removed stays unused.
    """
    letters = [area.given.letter for area in areas]
    ids = [""] * len(columns)
    highest: dict[tuple[str, int], int] = {}
    if earlier is not None:
        for name in (*earlier.ids, *earlier.removed):
            parts = ID.fullmatch(name)
            assert parts is not None  # noqa: S101 - looked at when it was read
            key = parts[1], int(parts[2])
            highest[key] = max(highest.get(key, 0), int(parts[3]))
        for k, other in _staying(plan, letters, columns, earlier):
            ids[k] = earlier.ids[other]
    new = []
    for k in np.lexsort((columns.place, columns.row, columns.area)):
        if not ids[k]:
            key = letters[columns.area[k]], int(columns.row[k])
            highest[key] = highest.get(key, 0) + 1
            ids[k] = f"{key[0]}-{key[1]:03d}-{highest[key]:03d}"
            new.append(ids[k])
    known = set(ids)
    gone = [*earlier.removed, *(name for name in earlier.ids if name not in known)] if earlier else []
    return Identity(tuple(ids), tuple(sorted(gone, key=order_of)), tuple(new) if earlier else ())


def order_of(name: str) -> tuple[list[tuple[bool, int, str]], int, int]:
    """The place of an id among others: by area, row and number, and numbers by their size."""
    parts = ID.fullmatch(name)
    assert parts is not None  # noqa: S101 - given or looked at above
    area = [(part.isdigit(), int(part) if part.isdigit() else 0, part) for part in findall(r"\d+|\D+", parts[1])]
    return area, int(parts[2]), int(parts[3])


def _staying(
    plan: Plan, letters: Sequence[str], columns: Laid, earlier: EarlierPlan
) -> list[tuple[int, int]]:  # fmt: skip
    """Columns that stand where a column of the same area stood, each the nearest of the other, with that column."""
    if not earlier.ids:
        return []
    e0, n0 = columns.easting.mean(), columns.northing.mean()
    now = np.column_stack([columns.easting - e0, columns.northing - n0])
    then = np.column_stack([earlier.easting - e0, earlier.northing - n0])
    # A tenth of a millimetre more: places are written to the millimetre.
    reach = plan.same_place * plan.scale_factor + 1e-4
    distance, nearest = cKDTree(then).query(now, distance_upper_bound=reach)
    back = cKDTree(now).query(then)[1]
    staying = []
    for k in np.flatnonzero(np.isfinite(distance)):
        other = int(nearest[k])
        area = ID.fullmatch(earlier.ids[other])
        if back[other] == k and area is not None and area[1] == letters[columns.area[k]]:
            staying.append((int(k), other))
    return staying
