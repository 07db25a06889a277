"""A station on piles and a main beside the test project, their limits and methods, and changes of them."""

from collections.abc import Callable
from copy import deepcopy
from typing import Any

from calc.engine.sheet import Sheet, Verdict
from tests.chapters.timed import reach

Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]

PILES = {"diameter": "0.6 m", "spacing": "2.4 m", "length": "6 m", "c_u": "50 kPa", "moment_max": "300 kN*m",
         "head": "held"}  # fmt: skip
LIMITS = {
    "vibration_max": "10 mm/s",
    "heave_max": "60 mm",
    "lateral_max": "400 mm",
    "limits_source": "agreed, invented",
}
STATION = {"name": "Station", "kind": "piles", "side": "right", "distance": "20 m", "owner": "Water board"}
MAIN = {"name": "Main", "kind": "pipe", "side": "left", "distance": "60 m", "owner": "Gas works"}
SURCHARGE = {"slope": "60 deg", "phi": "20 deg", "safety": 1.7, "safety_min": 1.6, "source": "invented"}
METHODS = {"adhesion": 0.5, "flow_factor": 7.0, "width_factor": 3.0, "source": "invented", "surcharge": SURCHARGE}
OWN = {"analysis": "report 1", "acceptance": "letter 1"}
SITE = dict.fromkeys(("order", "heave_survey", "redriving", "pore_pressure", "condition_survey"), "laid down")


def beside(*changes: Change) -> Change:
    """A station on piles at the right and a main at the left, then changed."""

    def change(document: Any) -> None:
        reach(document)
        for key in ("neighbours", "lateral_pressure"):
            document["outside"][key] = "see the chapter on neighbours"
        document["neighbours"] = {
            "plant": "vibratory driving",
            "heave_share": {"low": 0.3, "high": 1.0, "source": "invented"},
            "pile_methods": deepcopy(METHODS),
            "site": dict(SITE),
            "neighbour": [{**STATION, **LIMITS, "piles": dict(PILES)}, {**MAIN, **LIMITS}],
        }
        for one in changes:
            one(document)

    return change


def station(**values: Any) -> Change:
    """The station with these values; None takes one out, those of its piles go there."""

    def change(document: Any) -> None:
        table = document["neighbours"]["neighbour"][0]
        for name, value in values.items():
            where = table["piles"] if name in PILES else table
            if value is None:
                del where[name]
            else:
                where[name] = value

    return change


def surcharge(**values: Any) -> Change:
    """The share of the surcharge with these values."""

    def change(document: Any) -> None:
        document["neighbours"]["pile_methods"]["surcharge"].update(values)

    return change


def without_surcharge(document: Any) -> None:
    del document["neighbours"]["pile_methods"]["surcharge"]


def without(*names: str) -> Change:
    def change(document: Any) -> None:
        for name in names:
            del document["neighbours"][name]

    return change


def only_main(document: Any) -> None:
    del document["neighbours"]["neighbour"][0]


def found(sheet: Sheet, key: str) -> Verdict:
    return next(verdict for verdict in sheet.verdicts if verdict.key == f"neighbour_{key}")


def made(chapters: Chapters, *changes: Change) -> Sheet:
    return chapters(beside(*changes))["neighbours"]
