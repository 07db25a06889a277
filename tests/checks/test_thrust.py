"""The chapter of the lateral thrust, from the project file to its verdicts, by hand calculations."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import tomlkit

from calc.figure import Scene
from calc.sheet import Sheet

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


def state(sheet: Sheet, key: str) -> str:
    return next(one.state for one in sheet.verdicts if one.key == key)


def test_thrust_and_sliding_by_hand(chapters: Chapters) -> None:
    """Fill 6 m of 19 kN/m3 at 32.5 degrees, ground at 0.40 m, reinforcement at 0.60 m: 5.80 m stand above it; traffic
    20 kPa. DA1-1 factors the effect (1.35, 1.5), DA1-2 the tangent (1.25) and the traffic (1.3)."""
    thrust = chapters(reinforced)["thrust"]
    height = 5.8
    first = 1.35 * active(32.5) * 19 * height**2 / 2 + 1.5 * active(32.5) * 20 * height
    second = active(32.5, 1.25) * (19 * height**2 / 2 + 1.3 * 20 * height)
    verdict = next(one for one in thrust.verdicts if one.key == "sliding")

    assert thrust["T_spr"].axis_names == ("variant", "stage")
    assert thrust["T_spr"].at(stage=FINAL).array == pytest.approx([first, second])
    weight = 19 * 2 * height**2 / 2
    resistance = [0.8 * weight * np.tan(np.radians(32.5)), 0.8 * weight * np.tan(np.radians(32.5)) / 1.25]
    assert verdict.utilisation == pytest.approx(max(first / resistance[0], second / resistance[1]))
    assert verdict.case["stage"] == FINAL


def test_traffic_thrusts_only_in_stages_with_traffic(chapters: Chapters) -> None:
    thrust = chapters(reinforced)["thrust"]

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
    assert {one.key for one in thrust.verdicts} == {"sliding_left", "sliding_right"}
    # 0.2 of 25 kPa on the soil's share of the area over 12 m, without the gain of 8 kPa; DA1-1 divides by 1.
    share = 0.2 * 25 * (1 - float(thrust.scopes["slope_right"]["a_E"].array)) * 12
    assert right["E_g"].at(variant="EN 1997-1 DA1-1", **at).array == pytest.approx(share)


def test_ground_held_at_its_top_pulls_the_reinforcement(chapters: Chapters) -> None:
    def held(document: Any) -> None:
        reinforced(document)
        document["field"] = {"hold_top": 0.5}

    plain = chapters(reinforced)["thrust"]["T_spr"].at(stage=FINAL).array
    with_shear = chapters(held)["thrust"]["T_spr"].at(stage=FINAL).array

    # Half of 25 + 8 kPa over the slope of 12 m, without a partial factor.
    assert with_shear - plain == pytest.approx(0.5 * 33 * 12)


@pytest.mark.parametrize("option", ["hold_top", "thrust_in_ground"])
def test_option_without_strength_counts_nothing_and_says_so(chapters: Chapters, option: str) -> None:
    def unknown(document: Any) -> None:
        reinforced(document)
        document["field"] = {option: 0.5}
        del document["section"][0]["layer"][0]["c_u"]

    thrust = chapters(unknown)["thrust"]

    assert thrust["T_spr"].array == pytest.approx(thrust["E_ad"].array)
    found = {one.key: one.state for one in thrust.verdicts}
    assert found.get("tension_at_top", "") == ("not verified" if option == "hold_top" else "")


def test_platform_and_cohesion_are_stated(chapters: Chapters) -> None:
    def unusual(document: Any) -> None:
        reinforced(document)
        document["platform"] = {"thickness": "0.5 m", "gamma": "20 kN/m^3", "role": "load"}
        document["embankment"]["c"] = "5 kPa"

    def light(document: Any) -> None:
        document["platform"] = {"thickness": "0.5 m", "gamma": "18 kN/m^3", "role": "load"}

    assert {one.key for one in chapters(unusual)["thrust"].limitations} == {
        "thrust-active", "thrust-platform", "thrust-cohesion",
    }  # fmt: skip
    lighter = chapters(light)["thrust"]
    assert {one.key for one in lighter.limitations} == {"thrust-active"}
    assert float(lighter["H_R"].at(stage=FINAL).array) == pytest.approx(6.5)


def test_stage_without_fill_above_the_reinforcement_does_not_slide(chapters: Chapters) -> None:
    def high(document: Any) -> None:
        document["reinforcement"] = [layer("one", "both", 0.8, 2.9)]

    thrust = chapters(high)["thrust"]

    assert thrust["T_spr"].at(stage="1 First lift").array == pytest.approx(0.0)
    assert state(thrust, "sliding") == "pass"


def test_smallest_interaction_and_lowest_layer_count(chapters: Chapters) -> None:
    def two(document: Any) -> None:
        document["reinforcement"] = [layer("one", "across", 0.8, 0.6), layer("two", "both", 0.7, 0.9)]

    thrust = chapters(two)["thrust"]

    assert float(thrust["z_R"].array) == pytest.approx(0.6)
    assert float(thrust.scopes["slope"]["alpha_i"].array) == pytest.approx(0.7)


def test_sketch_shows_traffic_only_where_it_is_given(chapters: Chapters) -> None:
    def quiet(document: Any) -> None:
        del document["traffic"]
        document["stage"][1]["traffic"] = False

    with_traffic, without = (chapters(change)["thrust"].figures[0] for change in (None, quiet))

    assert isinstance(with_traffic, Scene)
    assert isinstance(without, Scene)
    assert len(with_traffic.items) == len(without.items) + 3
