"""The chapter of the lateral thrust, from the project file to its verdicts, by hand calculations."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import tomlkit

from calc.engine.figure import Scene
from calc.engine.sheet import Sheet

Chapters = Callable[..., dict[str, Sheet]]
FINAL = "2 Final"
LAYER = """
name = "{name}"
direction = "{direction}"
strength = "500 kN/m"
interaction = {interaction}
level = "{level} m"
gamma_M = {{ persistent = 1.4, transient = 1.3, accidental = 1.2, source = "invented" }}
stiffness = [{{ name = "short", time = "1 d", J = "5000 kN/m" }}, {{ name = "long", time = "100 a", J = "3800 kN/m" }}]
"""
FACTORS = {key: {"value": 1.1, "source": "invented"} for key in ("A1", "A2", "A3", "A4", "A5")}


def layer(name: str, direction: str, interaction: float, level: float) -> Any:
    made = tomlkit.parse(LAYER.format(name=name, direction=direction, interaction=interaction, level=level)).unwrap()
    return {**made, "factors": FACTORS}


def reinforced(document: Any) -> None:
    document["reinforcement"] = [layer("one", "across", 0.8, 0.6), layer("two", "along", 0.5, 0.7)]


def active(degrees: float, factor: float = 1.0) -> float:
    phi = np.arctan(np.tan(np.radians(degrees)) / factor)
    return float(np.tan(np.pi / 4 - phi / 2) ** 2)


def design_thrusts(height: float) -> list[float]:
    """Thrust of this height in DA1-1 and DA1-2."""
    first = 1.35 * active(32.5) * 19 * height**2 / 2 + 1.5 * active(32.5) * 20 * height
    return [first, active(32.5, 1.25) * (19 * height**2 / 2 + 1.3 * 20 * height)]


def state(sheet: Sheet, key: str) -> str:
    return next(verdict.state for verdict in sheet.verdicts if verdict.key == key)


def test_thrust_and_sliding_by_hand(chapters: Chapters) -> None:
    """Fill 6 m of 19 kN/m3 at 32.5 degrees, ground at 0.40 m, reinforcement at 0.60 m, which takes the thrust of
    6 m, the slope slides on it with 5.80 m; traffic 20 kPa. DA1-1 factors the effect (1.35, 1.5), DA1-2 the tangent
    (1.25) and the traffic (1.3)."""
    thrust = chapters(reinforced)["thrust"]
    assert thrust["T_spr"].at(stage=FINAL).array == pytest.approx(design_thrusts(6.0))

    height = 5.8
    first, second = design_thrusts(height)
    verdict = next(verdict for verdict in thrust.verdicts if verdict.key == "sliding")

    assert thrust["T_spr"].axis_names == ("factor_set", "stage")
    weight = 19 * 2 * height**2 / 2
    resistance = [0.8 * weight * np.tan(np.radians(32.5)), 0.8 * weight * np.tan(np.radians(32.5)) / 1.25]
    assert verdict.utilisation == pytest.approx(max(first / resistance[0], second / resistance[1]))
    assert verdict.case["stage"] == FINAL


def test_traffic_thrusts_only_in_stages_with_traffic(chapters: Chapters) -> None:
    thrust = chapters(reinforced)["thrust"].scopes["slope"]

    assert thrust["E_aQ"].at(stage="1 First lift").array == pytest.approx(0.0)
    assert thrust["E_aQ"].at(stage=FINAL).array.min() > 0


def test_without_reinforcement_the_fill_thrusts_above_the_ground(chapters: Chapters) -> None:
    thrust = chapters()["thrust"]

    assert float(thrust["H_R"].at(stage=FINAL).array) == pytest.approx(6.0)
    assert state(thrust, "sliding") == "not verified"
    assert "reinforcement" in thrust.verdicts[0].note


def test_steeper_side_governs_where_the_sides_differ(chapters: Chapters) -> None:
    """The ground under the flatter slope is longer and carries more of the thrust, so the steeper side pulls more."""

    def uneven(document: Any) -> None:
        reinforced(document)
        document["embankment"]["slope_left"] = "1:3"
        document["field"] = {"thrust_in_ground": 0.2}

    thrust = chapters(uneven)["thrust"]
    left, right = (thrust.scopes[name] for name in ("slope_left", "slope_right"))
    at = {"stage": FINAL}

    assert (left["T_spr"].at(**at).array < right["T_spr"].at(**at).array).all()
    assert thrust["T_spr"].at(**at).array == pytest.approx(right["T_spr"].at(**at).array)
    assert thrust["T_spr"].step.endswith("/larger_side/T_spr")
    assert {verdict.key for verdict in thrust.verdicts} == {
        "sliding_left", "sliding_right", "fill_between_left", "fill_between_right",
    }  # fmt: skip
    assert {"sliding_below_left", "sliding_below_right"} <= set(thrust.scopes)
    # 0.2 of 25 kPa on the soil's share of the area over 12 m, without the gain of 8 kPa; DA1-1 divides by 1.
    share = 0.2 * 25 * (1 - float(thrust.scopes["slope_right"]["a_E"].array)) * 12
    assert right["E_g"].at(factor_set="EN 1997-1 DA1-1", **at).array == pytest.approx(share)


def test_ground_held_at_its_top_pulls_the_reinforcement(chapters: Chapters) -> None:
    def held(document: Any) -> None:
        reinforced(document)
        document["field"] = {"hold_top": 0.5}

    plain = chapters(reinforced)["thrust"]["T_spr"].at(stage=FINAL).array
    with_shear = chapters(held)["thrust"]["T_spr"].at(stage=FINAL).array

    # Half of 25 + 8 kPa over the slope of 12 m, with the factor on permanent load: 1.35 in DA1-1, 1 in DA1-2.
    assert with_shear - plain == pytest.approx([1.35 * 0.5 * 33 * 12, 0.5 * 33 * 12])


@pytest.mark.parametrize("option", ["hold_top", "thrust_in_ground"])
def test_option_without_strength_counts_nothing_and_says_so(chapters: Chapters, option: str) -> None:
    def unknown(document: Any) -> None:
        reinforced(document)
        document["field"] = {option: 0.5}
        del document["section"][0]["layer"][0]["c_u"]

    thrust = chapters(unknown)["thrust"]

    assert thrust["T_spr"].array == pytest.approx(thrust.scopes["slope"]["E_ad"].array)
    assert float(thrust.scopes["sliding_below"]["c_u0e"].array) == 0.0
    found = {verdict.key: verdict.state for verdict in thrust.verdicts}
    assert found.get("tension_at_top", "") == ("not verified" if option == "hold_top" else "")


def test_platform_and_cohesion_are_stated(chapters: Chapters) -> None:
    def unusual(document: Any) -> None:
        reinforced(document)
        document["platform"] = {"thickness": "0.5 m", "gamma": "20 kN/m^3", "role": "load"}
        document["embankment"]["c"] = "5 kPa"

    def light(document: Any) -> None:
        document["platform"] = {"thickness": "0.5 m", "gamma": "18 kN/m^3", "role": "load"}

    assert {limitation.key for limitation in chapters(unusual)["thrust"].limitations} == {
        "thrust-active", "thrust-platform",
    }  # fmt: skip
    lighter = chapters(light)["thrust"]
    assert float(lighter["H_R"].at(stage=FINAL).array) == pytest.approx(6.5)
    assert (float(lighter["gamma_Em"].array), float(lighter["gamma_El"].array)) == (19.0, 18.0)


def test_stage_without_fill_above_the_reinforcement_does_not_slide(chapters: Chapters) -> None:
    def high(document: Any) -> None:
        document["reinforcement"] = [layer("one", "both", 0.8, 2.9)]

    thrust = chapters(high)["thrust"]

    # 2 m of fill stand below the layer, and their thrust is not lost.
    assert thrust["T_spr"].at(stage="1 First lift", factor_set="EN 1997-1 DA1-1").array == pytest.approx(
        1.35 * active(32.5) * 19 * 2**2 / 2
    )
    assert state(thrust, "sliding") == "pass"
    verdict = next(verdict for verdict in thrust.verdicts if verdict.key == "sliding")
    assert verdict.utilisations is not None
    assert verdict.utilisations.labels("stage") == (FINAL,)


def test_make_up_fill_thrusts_with_the_settlement_of_the_cell_and_does_not_hold(chapters: Chapters) -> None:
    """By hand: 6 m and the settlement of the cell thrust down to the ground; 5.80 m weigh on the layer."""

    def made_up(document: Any) -> None:
        reinforced(document)
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"

    done = chapters(made_up)
    thrust = done["thrust"]
    settlement = done["unit_cell"].scopes["settlement"]["s"]
    s = float(settlement.at(position="centre", load="G+Q", stiffness="long-term", stage=FINAL).array)
    height = 6.0 + s
    first = 1.35 * active(32.5) * 19 * height**2 / 2 + 1.5 * active(32.5) * 20 * height

    assert s > 0.1
    assert float(thrust["H_th"].at(stage=FINAL).array) == pytest.approx(height)
    assert float(thrust["T_spr"].at(factor_set="EN 1997-1 DA1-1", stage=FINAL).array) == pytest.approx(first)
    weight = thrust.scopes["sliding"]["W_S"].at(stage=FINAL)
    assert float(weight.array) == pytest.approx(19 * 2 * 5.8**2 / 2)
    before = chapters(reinforced)["thrust"]["T_spr"].array
    assert (thrust["T_spr"].array >= before).all()


def test_stage_without_settlement_of_the_cell_thrusts_without_make_up_fill_and_says_so(chapters: Chapters) -> None:
    def low(document: Any) -> None:
        reinforced(document)
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"
        document["stage"][0]["fill_height"] = "0.21 m"
        document["columns"]["K_star"] = 8.0

    thrust = chapters(low)["thrust"]
    text = next(limitation.text for limitation in thrust.limitations if limitation.key == "thrust-settlement")

    assert "“First lift”" in text
    assert float(thrust["H_th"].at(stage="1 First lift").array) == pytest.approx(0.21)


def test_each_chain_prints_at_the_case_that_governs_it(run_project: Any) -> None:
    """DA1-1 asks the larger tension of the reinforcement, DA1-2 governs sliding; both print with their own numbers."""
    run = run_project(reinforced).sections[0]
    thrust = next(sheet for sheet in run.sheets if sheet.key == "thrust")
    tension = thrust["T_spr"]
    largest = tension.case_at(int(np.argmax(tension.array)))
    verdict = next(verdict for verdict in thrust.verdicts if verdict.key == "sliding")

    assert run.cases["thrust", "slope"] == largest
    assert run.cases["thrust", "slope"]["factor_set"] == "EN 1997-1 DA1-1"
    assert run.cases["thrust", "sliding"] == dict(verdict.case)
    assert verdict.case["factor_set"] == "EN 1997-1 DA1-2"
    assert thrust.scopes["sliding"]["E_ad"].number(verdict.case) == pytest.approx(verdict.effect)


def test_what_the_reinforcement_takes_is_the_largest_over_all_sets_and_stages(chapters: Chapters) -> None:
    done = chapters(reinforced)
    taken = done["reinforcement"].scopes["across"]["T_ds"]

    assert taken.axis_names == ("factor_set", "stage")
    assert taken.array == pytest.approx(done["thrust"]["T_spr"].array)


def test_sliding_below_the_reinforcement_by_hand(chapters: Chapters) -> None:
    """DA1-2: 25 kPa over 1.4 on the soil's share over 2 · 6 m without the gain of 8 kPa; columns cut at their heads
    have no length above the cut and hold nothing, whatever the field; the rest of the thrust is left over."""

    def field(document: Any) -> None:
        reinforced(document)
        document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m"}

    thrust = chapters(field)["thrust"]
    scope = thrust.scopes["sliding_below"]
    at = {"factor_set": "EN 1997-1 DA1-2", "stage": FINAL}
    resistance = (1 - float(scope["a_E"].array)) * 25 / 1.4 * 12.0
    tension = design_thrusts(6.0)[1]

    assert float(scope["R_hgd"].at(**at).array) == pytest.approx(resistance)
    assert float(scope["T_hs"].at(**at).array) == pytest.approx(max(tension - resistance, 0))
    assert not [verdict for verdict in thrust.verdicts if verdict.key.startswith("sliding_below")]


def test_soil_that_is_held_back_or_unmeasured_does_not_hold_the_slope(chapters: Chapters) -> None:
    def held(document: Any) -> None:
        reinforced(document)
        document["field"] = {"hold_top": 0.5}

    scope = chapters(held)["thrust"].scopes["sliding_below"]

    assert float(scope["c_u0e"].array) == 0.0
    assert scope["R_hg"].at(stage=FINAL).array == pytest.approx(0.0)
    assert scope["T_hs"].at(stage=FINAL).array == pytest.approx(scope["E_ad"].at(stage=FINAL).array)


def test_friction_needed_lies_below_the_friction_there_where_sliding_passes(chapters: Chapters) -> None:
    scope = chapters(reinforced)["thrust"].scopes["sliding"]

    needed, there = scope["phi_sg"].at(stage=FINAL).array, scope["phi_sa"].at(stage=FINAL).array
    assert (needed < there).all()
    assert there == pytest.approx(np.arctan(0.8 * np.tan(np.radians(32.5)) / np.array([1.0, 1.25])))


def test_smallest_interaction_and_lowest_layer_count(chapters: Chapters) -> None:
    def two(document: Any) -> None:
        document["reinforcement"] = [layer("one", "across", 0.8, 0.6), layer("two", "both", 0.7, 0.9)]

    thrust = chapters(two)["thrust"]

    assert float(thrust["z_R"].array) == pytest.approx(0.6)
    assert float(thrust.scopes["sliding"]["alpha_i"].array) == pytest.approx(0.7)


def test_sketch_shows_traffic_only_where_it_is_given(chapters: Chapters) -> None:
    def quiet(document: Any) -> None:
        del document["traffic"]
        document["stage"][1]["traffic"] = False

    with_traffic, without = (chapters(change)["thrust"].page.figures[0] for change in (None, quiet))

    assert isinstance(with_traffic, Scene)
    assert isinstance(without, Scene)
    assert len(with_traffic.items) == len(without.items) + 3
