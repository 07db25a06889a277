"""The case of the project's methods (V1) as a project: nine metres of clay under an aquifer with a head of its own."""

from collections.abc import Callable
from typing import Any

from tests.chapters.filter_cases import PLUG
from tests.chapters.mats import whole
from tests.chapters.slip_case import COARSE, SECOND
from tests.chapters.timed import TIME

Change = Callable[[Any], None]
GAMMA_W, BASE = 9.81, "-9 m"
FACTORS = {"gamma_dst": 1.0, "gamma_stb": 0.9, "gamma_S_dst": 1.35, "gamma_S_stb": 0.9, "source": "invented"}
__all__ = ["BASE", "FACTORS", "GAMMA_W", "PLUG", "at_rest", "clay", "everything", "head"]


def head(*points: tuple[str, str], water: str = "mean") -> Change:
    """Points of level and head for a water level."""

    def change(document: Any) -> None:
        listed = [{"level": level, "head": value} for level, value in points]
        document["water"].setdefault("head", []).append({"water": water, "points": listed, "source": "invented"})

    return change


def at_rest(water: str, level: str) -> Change:
    """Water at rest below a water level, as the project says it where another has heads."""
    return head((BASE, level), water=water)


def clay(*changes: Change, **layer: Any) -> Change:
    """One layer of 9.0 m and 15 kN/m³, ground at 0 m, water 0.40 m below it; then changed."""

    def change(document: Any) -> None:
        section = document["section"][0]
        section["ground_level"] = "0 m"
        document["water"] = {"mean": "-0.40 m"}
        soil = section["layer"][1]
        soil.update({"thickness": "9 m", "gamma": "15 kN/m^3", "gamma_sat": "15 kN/m^3", "c_u": "10 kPa", **layer})
        section["layer"] = [soil]
        for one in changes:
            one(document)

    return change


def everything(document: Any) -> None:
    """Reinforcement, field, consolidation, slip surfaces with the drained state: every chapter has something to say."""
    whole(document)
    for one in document["reinforcement"]:
        one["level"] = "0.20 m"
    document["basis"]["factor_sets"] = [SECOND]
    document["slip"] = {**COARSE, "drained": True}
    document["consolidation"] = {"drainage": "top", "hand_over": "500 d"}
    document["basis"]["limits"]["settlement_residual"] = "0.30 m"
    document["columns"]["fill"]["k"] = "1e-4 m/s"
    for layer in document["section"][0]["layer"]:
        layer.update(TIME)
    document["stage"][1]["c_u_gain"] = "0.1 kPa"
