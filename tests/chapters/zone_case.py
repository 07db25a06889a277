"""Zones of the columns of the small test project: changes that make them, and the sheets of a run."""

from collections.abc import Callable
from typing import Any

import numpy as np

from calc.chain import Run
from calc.engine.sheet import Sheet
from tests.chapters.mats import layer

Change = Callable[[Any], None]
Runs = Callable[..., Run]
FINAL = "2 Final"


def zone(left: float, right: float, spacing: float = 2.5, *, key: str = "slope", mirrored: bool = True) -> Change:
    """A zone of the test project, whose columns reach 9 m beyond the crest edges at 6 m."""

    def change(document: Any) -> None:
        found = {"key": key, "x_left": f"{left} m", "x_right": f"{right} m", "mirrored": mirrored}
        found |= {"pattern": "triangular", "spacing": f"{spacing} m"}
        document["columns"]["zone"] = [*document["columns"].get("zone", []), found]
        document["field"] = {**document.get("field", {}), "beyond_left": "9 m", "beyond_right": "9 m"}

    return change


def grid(spacing: float) -> Change:
    def change(document: Any) -> None:
        document["columns"]["spacing"] = f"{spacing} m"
        document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m"}

    return change


def of(run: Run, key: str) -> dict[str, Sheet]:
    return next({sheet.key: sheet for sheet in part.sheets} for part in run.sections if part.section.key == key)


def numbers(sheets: dict[str, Sheet]) -> dict[str, Any]:
    return {step.key: step.value.lanes() for sheet in sheets.values() for step in sheet.steps}


def both(*changes: Change) -> Change:
    def change(document: Any) -> None:
        for one in changes:
            one(document)

    return change


def rated(sheet: Sheet) -> dict[str, float]:
    return {verdict.key: verdict.utilisation for verdict in sheet.verdicts if verdict.utilisation is not None}


def held(document: Any) -> None:
    document["reinforcement"] = [layer("one", "both", strength="2000 kN/m")]


def soft(document: Any) -> None:
    for one in document["section"][0]["layer"]:
        one["c_u"] = "9 kPa"


def searched(document: Any) -> None:
    document["slip"] = {"water_mode": "vertical", "min_depth": "6.5 m", "drained": False, "centres": 4, "levels": 4,
                        "slices": 24}  # fmt: skip


def area_ratio(spacing: float) -> float:
    return float(np.pi * 0.8**2 / 4 / (np.sqrt(3) / 2 * spacing**2))
