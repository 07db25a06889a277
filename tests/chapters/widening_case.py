"""A bank around an old one, changes of it, and readings of the chapter on widening.

The test bank of 6 m with a crest of 12 m and slopes 1:2 stands around an old one of 5 m whose left slope it keeps.
"""

from collections.abc import Callable
from typing import Any

from calc.engine.sheet import Sheet, Verdict
from tests.chapters.mats import ANCHORAGE, reinforced

Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]
FACTORS = {name: {"value": 1.0, "source": "invented"} for name in ("f_n", "f_po", "f_ms")}
LIMITS = {"difference": "2 m", "cross_fall": 0.5, "grade": 0.5, "base": "3 m", "source": "invented"}
OLD: dict[str, Any] = {
    "height": "5 m", "crest_left": "-8 m", "crest_right": "-4 m", "slope_left": "1:2", "slope_right": "1:2",
    "gamma": "18 kN/m^3", "surcharge": "0 kPa", "consolidation": 0.9, "source": "invented", "columns_right": "-2 m",
    "limits": dict(LIMITS),
}  # fmt: skip
JOINT: dict[str, Any] = {
    "layer": "one",
    "length": "24 m",
    "on_mats": False,
    "cover": "4 m",
    "interaction": 0.8,
    "phi": "30 deg",
    **FACTORS,
}
INDICES = {"C_c": 1.2, "C_r": 0.15, "e_0": 2.0}


def widened(*changes: Change, mirrored: bool = False, **values: Any) -> Change:
    """An old bank within the test bank, its fields as given; None takes one out. Mirrored it keeps its right slope."""

    def change(document: Any) -> None:
        document["field"] = {"beyond_left" if mirrored else "beyond_right": "9 m"}
        given = {key: value for key, value in {**OLD, **values}.items() if value is not None}
        if mirrored:
            edges = [f"{-float(given[key].split()[0]):g} m" for key in ("crest_right", "crest_left", "columns_right")]
            given |= dict(zip(("crest_left", "crest_right", "columns_left"), edges, strict=True))
            del given["columns_right"]
        document["widening"] = given
        for one in changes:
            one(document)

    return change


def indices(document: Any) -> None:
    for layer in document["section"][0]["layer"]:
        layer.update(INDICES)


def matted(document: Any) -> None:
    reinforced(document)
    document["reinforcement"][0] |= {"anchorage": dict(ANCHORAGE), "joint": "in one piece", "level": "0.60 m"}


def residual(limit: str) -> Change:
    def change(document: Any) -> None:
        document["basis"]["limits"]["settlement_residual"] = limit

    return change


def limits(**values: Any) -> dict[str, Any]:
    return {**LIMITS, **values}


def verdict(sheet: Sheet, key: str) -> Verdict:
    return next(one for one in sheet.verdicts if one.key == key)


def at(sheet: Sheet, scope: str, name: str, position: str, method: str = "half-space") -> Any:
    return (sheet.scopes[scope] if scope else sheet)[name].at(position=position, method=method).array


def turned(sheet: Sheet, key: str) -> list[str]:
    return list(next(limitation for limitation in sheet.limitations if limitation.key == key).turns)
