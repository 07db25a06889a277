"""Zones of the fill that end within the bank: loads at every place, thrust, slip surfaces, volumes, laws."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.zones import FULL, LIFT, ZONES, outline_of_zone
from calc.engine.figure import Polygon, Scene
from calc.engine.sheet import Sheet
from calc.inputs.tables.embankment import Zone
from tests.chapters.monitoring_case import trigger
from tests.chapters.slip_case import coarse
from tests.chapters.test_thrust import active
from tests.chapters.test_zones import CORE, SAND, Change, rated, zoned
from tests.chapters.timed import time_chapter
from tests.chapters.zone_case import both

Chapters = Callable[..., dict[str, Sheet]]
FIRST, FINAL = "1 First lift", "2 Final"
NARROW = {**CORE, "left": "-5 m", "right": "5 m"}
WIDE = {**CORE, "left": "-8 m", "right": "8 m"}
UPPER = {**CORE, "name": "Upper core", "bottom": "4.5 m", "top": "5.5 m", "left": "-3 m", "right": "3 m"}
WIDEST = {**CORE, "left": "-14 m", "right": "14 m"}
CREST = {**CORE, "left": "-6 m", "right": "6 m"}
LEFT = {**CORE, "left": "-8 m", "right": "2 m"}
RIGHT = {**CORE, "left": "-2 m", "right": "8 m"}
ROCK = {**CORE, "name": "Rock", "gamma": "22 kN/m^3", "left": "4 m"}
SHELL = {**CORE, "name": "Shell", "bottom": "0 m", "top": "6 m", "gamma": "23 kN/m^3", "left": "6 m"}
approx = pytest.approx


def cored(*zones: dict[str, str], c_u: str = "24 kPa") -> Change:
    """A bank with these zones, no gain of strength credited."""

    def change(document: Any) -> None:
        zoned(*zones, c_u=c_u)(document)
        for stage in document["stage"]:
            stage.pop("c_u_gain", None)
            stage.pop("c_u_gain_source", None)

    return change


def loads(sheets: dict[str, Sheet], stage: str) -> list[float]:
    """Permanent load at centre, crest edge, mid-slope and every stretch."""
    value = sheets["unit_cell"].scopes["settlement"]["Dsigma_G"]
    return [value.number({"stage": stage, "position": label}) or 0.0 for label in value.labels("position")]


def test_every_place_has_the_weight_that_stands_over_it(chapters: Chapters) -> None:
    """6 m of 19 beside the core, 3 m of 19 and 3 m of 8 in it; the centre has the larger one. First lift 2 m."""
    sheets = chapters(cored(NARROW))
    full, core = 6 * 19, 3 * 19 + 3 * 8

    assert loads(sheets, FINAL) == approx([full, full, full / 2, full, core, full])
    assert loads(sheets, FIRST) == approx([38, 38, 19, 38, 19 + 8, 38])
    labels = sheets["unit_cell"].axes["position"][3:]
    assert labels == ("left of −5.00 m", "−5.00 m to 5.00 m", "right of 5.00 m")


def test_slope_beside_a_core_below_the_whole_crest_governs_with_its_own_height(chapters: Chapters) -> None:
    """8 m from the axis the slope leaves 5 m of fill: 95 kPa beside 81 in the core; in the first lift all is 2 m."""
    sheets = chapters(cored(WIDE))

    assert loads(sheets, FINAL) == approx([95, 81, 57, 95, 81, 95])
    assert loads(sheets, FIRST) == approx([38, 38, 19, 38, 27, 38])
    columns = sheets["columns"].scopes
    assert columns[FULL]["p_Zn"].number({"stage": FINAL}) == approx(-33)
    # Lift: 5 m less 2 m of fill beside the core, 4 m of which 2 m of 8 in it.
    assert columns[LIFT]["p_Zb"].number({"stage": FINAL}) == approx(0)
    lift = sheets["bearing"].scopes["soft_lift"]
    assert lift["p_nf"].number({"factor_set": "EN 1997-1 DA1-2", "stage": FINAL}) == approx(3 * 19)


def test_lift_and_whole_are_each_the_largest_of_all_places(chapters: Chapters) -> None:
    """Left of -2 m 1 m of rock below, right of it light fill above: no place has both the larger whole and lift."""
    low = {**CORE, "name": "Rock", "bottom": "0 m", "top": "2 m", "gamma": "22 kN/m^3", "right": "-2 m"}
    high = {**CORE, "bottom": "2 m", "right": "-2 m"}
    sheets = chapters(cored(low, high))
    places = sheets["columns"].scopes[ZONES]["p_Zv"]

    whole = [places.number({"stage": FINAL, "place": label}) for label in places.labels("place")]
    assert whole == approx([2 * 3 - 2 * 11, 0])
    assert sheets["columns"].scopes[ZONES]["p_Z"].number({"stage": FIRST}) == approx(6)
    assert sheets["columns"].scopes[LIFT]["p_Zb"].number({"stage": FINAL}) == approx(0)


def test_thrust_counts_a_light_core_only_where_it_reaches_both_slopes(chapters: Chapters) -> None:
    """By moments about the ground as with layers; the weight of the slope that holds is light wherever a core is."""
    runs = (chapters(cored(*zones))["thrust"] for zones in ((NARROW,), (WIDE,), (), (WIDEST,)))
    narrow, wide, none, widest = runs
    case = {"factor_set": "EN 1997-1 DA1-1", "stage": FINAL}
    # 14 m from the axis the slope leaves 2 m of fill: from there up to 4 m the core is a layer.
    moment = 19 * 6**2 / 2 - 11 * 2 * 3

    assert narrow.scopes["slope"]["E_aG"].number(case) == none.scopes["slope"]["E_aG"].number(case)
    assert wide.scopes["slope"]["E_aG"].number(case) == approx(none.scopes["slope"]["E_aG"].number(case) or 0.0)
    assert widest.scopes["slope"]["E_aG"].number(case) == approx(active(32.5) * moment)
    held = [one.scopes["sliding"]["W_S"].number({"stage": FINAL}) for one in (narrow, none, wide)]
    assert held[0] == held[1]
    assert held[2] == approx(2 * (19 * 5.8**2 / 2 - 11 * 3 * (6 - 2.5)))


def test_heavy_zone_counts_where_it_drives_and_not_where_it_holds(chapters: Chapters) -> None:
    """Rock right of 4 m: it thrusts on both sides, and holds on the right, where it takes the whole slope."""
    sheets, none = chapters(cored(ROCK)), chapters(cored())
    thrust = sheets["thrust"]
    moment = 19 * 6**2 / 2 + 3 * 3 * 2.5
    for side in ("_left", "_right"):
        own = thrust.scopes[f"slope{side}"]["E_aG"].number({"factor_set": "EN 1997-1 DA1-1", "stage": FINAL})
        assert own == approx(active(32.5) * moment)
    left, right = (thrust.scopes[f"sliding{side}"]["W_S"].number({"stage": FINAL}) for side in ("_left", "_right"))
    assert left == none["thrust"].scopes["sliding"]["W_S"].number({"stage": FINAL})
    assert right == approx(2 * (19 * 5.8**2 / 2 + 3 * 3 * (6 - 2.5)))
    assert sheets["reinforcement"]["gamma_z"].array == approx([19.0])
    assert loads(sheets, FINAL)[0] == approx(6 * 19 + 3 * 3)


def test_no_wedge_behind_a_vertical_out_to_the_toe_thrusts_more(chapters: Chapters) -> None:
    """Trial wedges (Coulomb 1776, smooth vertical) through the zones as drawn: a core that ends at the crest edge, one
    that ends 2 m beyond it, and a shell that begins there, which none of the zones over the crest tells."""
    case = {"factor_set": "EN 1997-1 DA1-1", "stage": FINAL}
    for zone, ends, weight, levels in (
        (CREST, (-6, 6), 8, (1, 4)), (WIDE, (-8, 8), 8, (1, 4)), (SHELL, (6, 18), 23, (0, 6)),
    ):  # fmt: skip
        thrust = chapters(cored(zone))["thrust"].scopes
        own = thrust["slope" if "slope" in thrust else "slope_right"]["E_aG"].number(case) or 0.0
        assert largest_wedge(ends, weight, levels) <= own * 1.005


def largest_wedge(ends: tuple[float, float], weight: float, levels: tuple[float, float]) -> float:
    """Largest thrust of fill of 19 kN/m³ and 32.5 degrees with one zone, bank of 6 m, crest edge at 6 m, slope 1:2."""
    x = np.arange(-8, 18, 0.02) + 0.01
    surface = np.minimum(6, 6 - (x - 6) / 2)
    angles = np.radians(np.arange(40, 85, 0.5))[:, None]
    found = []
    for wall in np.arange(6, 14, 0.5):
        plane = np.where(x < wall, (wall - x) * np.tan(angles), np.inf)
        fill = np.maximum(surface - plane, 0)
        part = np.maximum(np.minimum(surface, levels[1]) - np.maximum(plane, levels[0]), 0)
        weights = 19 * fill + (weight - 19) * part * ((x > ends[0]) & (x < ends[1]))
        found.append((weights.sum(axis=1) * 0.02 * np.tan(angles[:, 0] - np.radians(32.5))).max())
    return float(max(found))


def test_core_that_ends_at_both_slopes_is_the_layer_to_ten_digits(chapters: Chapters) -> None:
    """A centimetre short of the slopes at its bottom, 16 m from the axis, it takes the same ways as any core."""
    layer, ended = chapters(cored(SAND, CORE)), chapters(cored(SAND, {**CORE, "left": "-15.99 m", "right": "15.99 m"}))
    whole = chapters(cored(SAND, {**CORE, "left": "-16 m", "right": "16 m"}))

    assert rated(whole) == rated(layer)
    # In the thrust the core begins where its ends meet the slopes, half a centimetre higher.
    pushed = ("thrust", "reinforcement")
    known = {key: one for key, one in rated(layer).items() if one is not None}
    other = rated(ended)
    assert len(known) > 15
    apart = {key: one for key, one in known.items() if key[0] not in pushed}
    assert {key: other[key] for key in apart} == approx(apart, rel=1e-10)
    assert {key: other[key] for key in known} == approx(known, rel=4e-3)
    assert loads(ended, FINAL)[:3] == approx(loads(layer, FINAL), rel=1e-12)


def test_zone_of_equal_fill_between_ends_is_none_to_ten_digits(chapters: Chapters) -> None:
    """Its friction differs upward, so that it is a zone: no number follows from where it lies."""
    equal = {**CORE, "gamma": "19 kN/m^3", "left": "-8 m", "right": "3 m"}
    known = {key: one for key, one in rated(chapters(cored())).items() if one is not None}
    other = rated(chapters(cored(equal)))
    for (chapter, key), one in known.items():
        sides = [other[chapter, name] for name in (key, f"{key}_left", f"{key}_right") if (chapter, name) in other]
        assert sides == approx([one] * len(sides), rel=1e-10), key


def test_mirrored_core_has_mirrored_results(chapters: Chapters) -> None:
    left, right = (
        {key: one for key, one in rated(chapters(cored(zone))).items() if one is not None} for zone in (LEFT, RIGHT)
    )
    swap = {"_left": "_right", "_right": "_left"}

    def image(key: str) -> str:
        return next((key.replace(side, other) for side, other in swap.items() if side in key), key)

    assert {(chapter, image(key)): one for (chapter, key), one in left.items()} == approx(right, rel=1e-9)
    assert any("_left" in key for _, key in left)


def test_light_core_raises_no_load_anywhere(chapters: Chapters) -> None:
    bare, light = chapters(cored()), chapters(cored(NARROW))

    assert all(one <= loads(bare, stage)[0] + 1e-9 for stage in (FIRST, FINAL) for one in loads(light, stage))
    for chapter, key in (("sleeve", "ring_tension"), ("bearing", "soft_bearing"), ("thrust", "sliding")):
        assert (rated(light)[chapter, key] or 0.0) <= (rated(bare)[chapter, key] or 0.0) * (1 + 1e-12)


def test_resistance_that_comes_with_the_load_has_the_least_weight(first: Chapters, chapters: Chapters) -> None:
    gain = time_chapter(first, cored(NARROW)).scopes["gain"]
    assert gain["p_Gb"].number({"stage": FINAL}) == approx(19 + 8)

    sheets = chapters(cored(NARROW, c_u="12 kPa"))
    assert sheets["stability"]["Dsigma_G"].number({"stage": FINAL}) == approx(3 * 19 + 3 * 8)
    wedge = sheets["bearing"].scopes
    pressed = [scope for name, scope in wedge.items() if name.startswith("squeeze") and "p_G" in scope.values]
    assert pressed
    assert all(scope["p_G"].number({"stage": FINAL}) == approx(3 * 19 + 3 * 8) for scope in pressed)


def test_slices_weigh_as_the_bank_and_its_core(chapters: Chapters, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stress at the ground summed over the width: 144 m² of 19 (DA1-2: factor 1), of which the core takes 3 m by 16 m,
    a second one 1 m by 6 m, and sand 0.5 m by 35 m; in the first lift 64 m², 1 m of the core and the sand."""
    from calc.chapters.stability.slip_cases import Searches
    from calc.chapters.stability.states import END
    from calc.procedures.slip.base_stress import vertical_stress
    from calc.procedures.slip.vertical_strips import compile_ground

    models: list[Any] = []
    was = Searches.question

    def kept(self: Searches, case: Any, side: Any, method: Any, surface: Any) -> Any:
        asked = was(self, case, side, method, surface)
        if case.fill == END.fill:
            models.append((case.stage.name, asked.model))
        return asked

    monkeypatch.setattr(Searches, "question", kept)
    chapters(both(cored(SAND, WIDE, UPPER, c_u="25 kPa"), coarse))
    x = -18 + (np.arange(36_000) + 0.5) * 1e-3
    for name, area, core in (("Final", 144.0, 48.0 + 6.0), ("First lift", 64.0, 16.0)):
        ground = compile_ground(next(model for stage, model in models if stage == name))
        weight = float(sum(vertical_stress(ground, np.array([place]), 0.4)[0] for place in x[::100])) * 0.1
        assert weight == approx(19 * area - 11 * core + 2 * 0.5 * 35, rel=1e-3)


def test_core_is_drawn_between_its_ends_and_stated(run_project: Callable[..., Any]) -> None:
    section = run_project(cored(WIDE)).sections[0]
    scene = next(figure for figure in section.sheets[0].page.figures if isinstance(figure, Scene))
    core = next(item for item in scene.items if isinstance(item, Polygon) and item.fill == "zone")

    assert sorted({(round(x, 6), round(y, 6)) for x, y in core.points}) == [
        (-8, 1.4), (-8, 4.4), (-6, 4.4), (6, 4.4), (8, 1.4), (8, 4.4),
    ]  # fmt: skip
    stated = [one.key for one in section.sheets[2].limitations]
    assert {"zones", "zones-end"} <= set(stated)


def test_outline_of_a_zone_is_cut_by_slopes_crest_and_ends() -> None:
    """A bank of 6 m with crest of 12 m and slopes 1:2 on ground at 0; by hand."""
    bank = ((-18.0, 0.0), (-6.0, 6.0), (6.0, 6.0), (18.0, 0.0))
    core = Zone.model_construct(bottom=1.0, top=4.0)
    inf = float("inf")

    assert set(outline_of_zone(bank, core, 0.0, (-12.0, inf))) == {
        (-12, 1), (-12, 3), (-10, 4), (-6, 4), (6, 4), (10, 4), (16, 1),
    }  # fmt: skip
    assert set(outline_of_zone(bank, core, 0.0, (2.0, 5.0))) == {(2, 1), (2, 4), (5, 4), (5, 1)}
    assert outline_of_zone(bank, core, 5.5, (2.0, 5.0)) == ()
    assert outline_of_zone(bank, core, 0.0, (16.0, 20.0)) == ()


def test_compensation_fill_goes_over_every_place_below_the_crest_by_its_own_settlement(chapters: Chapters) -> None:
    def made_up(document: Any) -> None:
        cored(NARROW)(document)
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"

    cell = chapters(made_up)["unit_cell"]
    (given,) = [step for step in cell.steps if step.key.endswith("settlement/f_M")]
    assert "at every place between ends of zones" in given.origins[0].text
    filled = cell.scopes["settlement"]["s_M"]
    case = {"stage": FINAL, "load": "G+Q", "stiffness": "long-term"}
    centre, edge, middle, beside, core, _ = (
        filled.number({**case, "position": label}) or 0.0 for label in filled.labels("position")
    )
    assert edge == middle == 0.0
    assert 0.0 < core < beside == approx(centre)


def test_levels_of_the_monitoring_do_not_pass_for_a_bank_with_a_core(judge: Callable[..., Sheet]) -> None:
    def core(document: Any) -> None:
        document["embankment"]["zone"] = [dict(NARROW)]

    sheet = judge(trigger("settlement", "2.5 m"), changes=(core,))
    (one,) = [one for one in sheet.limitations if one.key == "fill-zones"]
    assert one.turns
    assert set(one.turns) == {made.key for made in sheet.verdicts if made.key.startswith("trigger")}
