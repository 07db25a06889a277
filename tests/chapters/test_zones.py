"""Zones of the fill from the project file: loads, thrust, slip surfaces, strength, what takes them on the safe side."""

from collections.abc import Callable
from math import radians
from typing import Any

import numpy as np
import pytest

from calc.engine.figure import Polygon, Scene
from calc.engine.sheet import Sheet
from tests.chapters.mats import verdict
from tests.chapters.settled import keys
from tests.chapters.slip_case import coarse
from tests.chapters.test_thrust import active, reinforced
from tests.chapters.timed import reach, time_chapter

Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]
FIRST, FINAL = "1 First lift", "2 Final"
CORE = {"name": "Light core", "bottom": "1 m", "top": "4 m", "gamma": "8 kN/m^3", "phi": "36 deg", "c": "0 kPa"}
SAND = {"name": "Drain", "bottom": "0 m", "top": "0.5 m", "gamma": "21 kN/m^3", "phi": "30 deg", "c": "0 kPa"}
EQUAL = {"name": "The same", "bottom": "1 m", "top": "4 m", "gamma": "19 kN/m^3", "phi": "32.5 deg", "c": "0 kPa"}
approx = pytest.approx


def zoned(*zones: dict[str, str], c_u: str = "24 kPa") -> Change:
    def change(document: Any) -> None:
        reach(document)
        reinforced(document)
        for layer in document["section"][0]["layer"]:
            layer["c_u"] = c_u
        document["embankment"]["zone"] = [dict(zone) for zone in zones]

    return change


def searched(*zones: dict[str, str], c_u: str = "18 kPa") -> Change:
    def change(document: Any) -> None:
        zoned(*zones, c_u=c_u)(document)
        coarse(document)

    return change


def rated(sheets: dict[str, Sheet]) -> dict[tuple[str, str], float | None]:
    return {(key, one.key): one.utilisation for key, sheet in sheets.items() for one in sheet.verdicts}


@pytest.mark.slow
def test_zone_of_the_fill_itself_is_none_to_all_digits(chapters: Chapters) -> None:
    assert rated(chapters(searched(EQUAL))) == rated(chapters(searched()))


def test_cell_is_loaded_by_the_zones_of_the_stage_and_of_the_position(chapters: Chapters) -> None:
    """First lift 2 m: 0.5 m of 21, 0.5 of 19 and 1 m of 8; final 6 m; mid-slope 3 m."""
    cell = chapters(zoned(SAND, CORE))["unit_cell"]
    load = cell.scopes["settlement"]["Dsigma_G"]

    full = 0.5 * 21 + 0.5 * 19 + 3 * 8 + 2 * 19
    for stage, position, weight in (
        (FIRST, "centre", 0.5 * 21 + 0.5 * 19 + 8), (FIRST, "mid-slope", 0.5 * 21 + 0.5 * 19),
        (FINAL, "centre", full), (FINAL, "crest edge", full), (FINAL, "mid-slope", 0.5 * 21 + 0.5 * 19 + 2 * 8),
    ):  # fmt: skip
        assert load.number({"stage": stage, "position": position}) == approx(weight)


def test_pressures_of_the_lift_are_the_weights_of_the_zones(chapters: Chapters) -> None:
    """DA1-2, all factors on permanent load 1: the lift from 2 to 6 m, and the load before it."""
    lift = chapters(zoned(SAND, CORE))["bearing"].scopes["soft_lift"]
    case = {"factor_set": "EN 1997-1 DA1-2", "stage": FINAL}

    assert lift["p_nf"].number(case) == approx(2 * 8 + 2 * 19)
    assert lift["p_E0b"].number(case) == approx(0.5 * 21 + 0.5 * 19 + 8)


def test_thrust_and_sliding_count_zones_level_by_level(chapters: Chapters) -> None:
    """By hand with the least friction of 30 degrees, characteristic in DA1-1: thrust of the weights by their moments
    about the ground; friction by that of the slope above the layer 0.2 m over the ground."""
    thrust = chapters(zoned(SAND, CORE))["thrust"]
    moment = 0.5 * 21 * 0.25 + 0.5 * 19 * 0.75 + 3 * 8 * 2.5 + 2 * 19 * 5
    K = active(30.0)

    own = thrust.scopes["slope"]
    assert own["E_aG"].number({"factor_set": "EN 1997-1 DA1-1", "stage": FINAL}) == approx(K * moment)
    half = sum(g * (b - a) * (6 - (a + b) / 2) for g, a, b in ((21, 0.2, 0.5), (19, 0.5, 1), (8, 1, 4), (19, 4, 6)))
    assert thrust.scopes["sliding"]["W_S"].number({"stage": FINAL}) == approx(2 * half)
    assert float(thrust["phi_Ek"].array) == approx(radians(30))


@pytest.mark.slow
def test_bank_that_fails_stands_with_a_light_core(chapters: Chapters) -> None:
    """Circles and blocks of the same ground and columns; ring tension falls with the load."""
    heavy, light = chapters(searched()), chapters(searched(CORE))
    states = [{one.key: one.state for one in run["stability"].verdicts if one.key.startswith("global_stability")}
              for run in (heavy, light)]  # fmt: skip

    assert "fail" in states[0].values()
    assert set(states[1].values()) == {"pass"}
    worse, better = (verdict(run["sleeve"], "ring_tension").utilisation or 0.0 for run in (heavy, light))
    assert better < worse


def test_light_zone_lowers_the_weight_on_every_slice(chapters: Chapters, monkeypatch: pytest.MonkeyPatch) -> None:
    """Vertical stress at the ground below the crest in the slip model: the sum of the zones, factor 1 (DA1-2)."""
    from calc.chapters.stability.slip_cases import Searches
    from calc.chapters.stability.states import END
    from calc.procedures.slip.base_stress import vertical_stress
    from calc.procedures.slip.vertical_strips import compile_ground

    models: list[Any] = []
    was = Searches.question

    def kept(self: Searches, case: Any, side: Any, method: Any, surface: Any) -> Any:
        asked = was(self, case, side, method, surface)
        if case.stage.name == "Final" and case.fill == END.fill:
            models.append(asked.model)
        return asked

    monkeypatch.setattr(Searches, "question", kept)
    chapters(searched(SAND, CORE, c_u="25 kPa"))
    weights = {round(float(vertical_stress(compile_ground(model), np.array([0.0]), 0.4)[0]), 6) for model in models}

    full = 0.5 * 21 + 0.5 * 19 + 3 * 8 + 2 * 19
    assert weights == {round(full, 6)}


def test_zones_are_stated_and_drawn(run_project: Callable[..., Any]) -> None:
    section = run_project(zoned(SAND, CORE)).sections[0]
    scene = next(figure for figure in section.sheets[0].page.figures if isinstance(figure, Scene))
    drawn = [item for item in scene.items if isinstance(item, Polygon)]

    core = next(one for one in drawn if one.fill == "zone2")
    assert {round(y, 6) for _, y in core.points} == {1.4, 4.4}
    assert any(one.fill == "zone" for one in drawn)
    assert "zones" in keys({sheet.key: sheet for sheet in section.sheets}["columns"])


def test_gain_by_the_stress_ratio_counts_the_zones_of_the_stage_before(first: Chapters) -> None:
    """The first lift of 2 m: 0.5 m of 21, 0.5 of 19 and 1 m of 8; nothing lies before it."""
    gain = time_chapter(first, zoned(SAND, CORE)).scopes["gain"]

    assert gain["p_Gb"].number({"stage": FINAL}) == approx(0.5 * 21 + 0.5 * 19 + 8)
    assert gain["p_Gb"].number({"stage": FIRST}) == 0.0


@pytest.mark.parametrize(("bottom", "state"), [("1 m", "pass"), ("0.1 m", "not verified")])
def test_light_zone_that_settles_into_water_is_not_verified(
    bearing: Callable[..., Sheet], bottom: str, state: str
) -> None:  # fmt: skip
    """Water at the ground: the zone stands as high above it as its bottom above the ground."""

    def wet(document: Any) -> None:
        zoned({**CORE, "bottom": bottom})(document)
        document["water"] = {"mean": "-0.2 m", "flood": "0.4 m"}

    found = verdict(bearing(wet), "light_zone_water")

    assert found.state == state
    if state == "pass":
        assert found.resistance == approx(1.0)
    else:
        assert "“Light core” settles to or below the flood water level" in found.note


def test_heavy_zone_may_settle_into_water_as_fill_does(bearing: Callable[..., Sheet]) -> None:
    assert "light_zone_water" not in {one.key for one in bearing(zoned(SAND)).verdicts}
