"""The test project with a coarse search for slip surfaces, and what such tests change in it."""

from collections.abc import Callable
from typing import Any

from tests.chapters.mats import layer

FINAL, FIRST, SECOND = "2 Final", "EN 1997-1 DA1-1", "EN 1997-1 DA1-2"
BOTH = (FIRST, SECOND)
COARSE = {"water_mode": "vertical", "min_depth": "6.5 m", "drained": False, "centres": 4, "levels": 4, "slices": 24}
FIELD = {"beyond_left": "9 m", "beyond_right": "9 m"}
Change = Callable[[Any], None]


def searched(*changes: Change, sets: tuple[str, ...] = (SECOND,), **slip: Any) -> Change:
    """A coarse search by these factor sets, one where it is not about them."""

    def change(document: Any) -> None:
        document["basis"]["factor_sets"] = [*sets]
        document["slip"] = {**COARSE, **slip}
        document["field"] = dict(FIELD)
        for one in changes:
            one(document)

    return change


def across(document: Any, **more: Any) -> None:
    document["reinforcement"] = [layer("one", "across", **more)]


def no_gain(document: Any) -> None:
    """No gain of strength, so that nothing is searched again by the ratio of the cell."""
    for name in ("c_u_gain", "c_u_gain_source"):
        document["stage"][1].pop(name, None)


def coarse(document: Any) -> None:
    """As little as a search can ask: one factor set, one ratio, undrained."""
    no_gain(document)
    document["basis"]["factor_sets"] = [SECOND]
    document["slip"] = {**COARSE, "min_depth": "1 m"}


def weak(document: Any) -> None:
    no_gain(document)
    for soft in document["section"][0]["layer"]:
        soft["c_u"] = "9 kPa"
