"""What the tests of load transfer and reinforcement share: layers, the table of load transfer, readings of a sheet."""

from collections.abc import Callable
from typing import Any

from calc.engine.sheet import Sheet, Verdict

Chapters = Callable[..., dict[str, Sheet]]
SETS = ["EN 1997-1 DA1-1", "EN 1997-1 DA1-2"]
FINAL, SERVICE = "2 Final", "serviceability"
FIRST = {"factor_set": SETS[0], "stage": FINAL, "load": "G+Q"}
ANCHORAGE = {
    "length": "1.5 m", "fold_back": "9 m", "fold_back_cover": "2 m", "friction_below": "30 deg",
    "interaction_below": 0.7, "f_n": {"value": 1.1, "source": "invented"}, "f_po": {"value": 1.3, "source": "invented"},
    "f_ms": {"value": 1.05, "source": "invented"},
}  # fmt: skip
OVERLAP = {
    "length": "4 m", "interaction": 0.6, "f_po": {"value": 1.3, "source": "invented"},
    "f_ms": {"value": 1.1, "source": "invented"},
}  # fmt: skip
LIFT = {
    "thickness": "0.4 m", "plant": "10 kPa", "machines": "dozer", "machine_cover": "0.40 m",
    "placing": "Pushed forward.", "source": "invented",
}  # fmt: skip
DRAG = {"remoulded_strength": "4 kPa", "panels": 3, "panel_width": "5 m"}


def layer(name: str, direction: str, stiffness: float = 5000.0, level: str = "0.40 m", **more: Any) -> dict[str, Any]:
    factors = {key: {"value": 1.1, "source": "invented"} for key in ("A1", "A2", "A3", "A4", "A5")}
    times = (("short", "1 d", stiffness), ("long", "100 a", 0.8 * stiffness))
    return {
        "name": name, "direction": direction, "strength": "900 kN/m", "interaction": 0.8, "level": level,
        "gamma_M": {"persistent": 1.4, "transient": 1.3, "accidental": 1.2, "source": "invented"},
        "stiffness": [{"name": one, "time": time, "J": f"{J:g} kN/m"} for one, time, J in times],
        "factors": factors, **more,
    }  # fmt: skip


def reinforced(document: Any, **transfer: Any) -> None:
    document["reinforcement"] = [layer("one", "across"), layer("two", "along", 2500.0)]
    given = {"full_arching_difference": "40 mm", "K_arching": 0.75, "load_shape": "triangular", "source": "invented"}
    kept = {key: value for key, value in {**given, **transfer}.items() if value is not None}
    document["load_transfer"] = kept


def change(**transfer: Any) -> Callable[[Any], None]:
    return lambda document: reinforced(document, **transfer)


def state(sheet: Sheet, key: str) -> str:
    return next(one.state for one in sheet.verdicts if one.key == key)


def keys(sheet: Sheet) -> set[str]:
    return {limitation.key for limitation in sheet.limitations}


def number(value: Any, **case: str) -> float:
    wanted = {**FIRST, "stiffness": "short-term", **case}
    return float(value.at(**{axis: label for axis, label in wanted.items() if axis in value.axis_names}).array)


def lifted(document: Any, **more: Any) -> None:
    """The first lift, and its machines in the stage that it is placed in."""
    document["first_lift"] = {**LIFT, **more}
    document["stage"][0]["plant"] = document["first_lift"]["plant"]


def whole(document: Any, **transfer: Any) -> None:
    """Both layers with their ends, every limit, the first lift."""
    reinforced(document, **{"strain": 0.06, "creep_strain": 0.02, **transfer})
    lifted(document, **DRAG)
    across, along = document["reinforcement"]
    across["anchorage"], across["joint"] = dict(ANCHORAGE), "in one piece"
    along["overlap"] = dict(OVERLAP)
    document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m"}


def verdict(sheet: Sheet, key: str) -> Verdict:
    return next(one for one in sheet.verdicts if one.key == key)
