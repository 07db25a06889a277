"""Thrust down to the ground wherever the reinforcement lies, and low edges that say nothing of the bank."""

from typing import Any

import numpy as np
import pytest

from tests.chapters.test_thrust import FINAL, Chapters, active, design_thrusts, layer, reinforced, state


@pytest.mark.parametrize("options", [{}, {"thrust_in_ground": 0.2}, {"hold_top": 0.3}], ids=str)
def test_sum_carried_does_not_depend_on_the_level_of_the_layer(chapters: Chapters, options: dict[str, float]) -> None:
    """From the ground at 0.40 m to 0.80 m above it: reinforcement and ground together carry the thrust of 6 m."""
    for level in (0.4, 0.7, 1.2):

        def laid(document: Any, level: float = level) -> None:
            document["reinforcement"] = [layer("one", "both", 0.8, level)]
            document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m", **options}

        scope = chapters(laid)["thrust"].scopes["slope"]
        tension, ground, held = (final(scope[name]) for name in ("T_spr", "E_g", "T_sqd"))

        assert tension - held + ground == pytest.approx(design_thrusts(6.0), rel=1e-12)


def final(value: Any) -> Any:
    """The values of the final state, over the factor sets where they differ."""
    return value.at(stage=FINAL).array if "stage" in value.axis_names else value.array


def test_thrust_below_a_layer_in_the_fill_is_held_by_its_underside_and_the_ground(chapters: Chapters) -> None:
    """The layer 2.5 m above the ground: the thrust of 6 m less that of 3.50 m, against friction under 3.50 m of slope
    and the shear of the ground that the sliding below it counts."""

    def high(document: Any) -> None:
        document["reinforcement"] = [layer("one", "both", 0.8, 2.9)]

    thrust = chapters(high)["thrust"]
    scope = thrust.scopes["fill_between"]
    at = {"factor_set": "EN 1997-1 DA1-2", "stage": FINAL}
    friction = 0.8 * 19 * 2 * 3.5**2 / 2 * np.tan(np.radians(32.5)) / 1.25
    ground = float(thrust.scopes["sliding_below"]["R_hgd"].at(**at).array)

    assert float(scope["E_ab"].at(**at).array) == pytest.approx(design_thrusts(6.0)[1] - design_thrusts(3.5)[1])
    assert float(scope["R_ab"].at(**at).array) == pytest.approx(friction + ground)
    assert state(thrust, "fill_between") == "pass"
    assert not [verdict for verdict in chapters(on_the_ground)["thrust"].verdicts if verdict.key == "fill_between"]


def test_fill_slides_out_below_a_layer_that_lies_too_high_over_very_soft_ground(chapters: Chapters) -> None:
    """The layer 1.50 m below the crest over ground of 1 kPa without columns under the slope: a case that must fail."""

    def lost(document: Any) -> None:
        document["reinforcement"] = [layer("one", "both", 0.8, 4.9)]
        for soft in document["section"][0]["layer"]:
            soft["c_u"] = "1 kPa"

    assert state(chapters(lost)["thrust"], "fill_between") == "fail"


def on_the_ground(document: Any) -> None:
    document["reinforcement"] = [layer("one", "both", 0.8, 0.4)]


def with_platform(document: Any) -> None:
    """A platform of 0.85 m with the layer 0.50 m up in it: a stage of the platform alone leaves an edge of 0.35 m."""
    document["platform"] = {"thickness": "0.85 m", "gamma": "19 kN/m^3", "role": "load"}
    document["reinforcement"] = [layer("one", "both", 0.8, 0.9)]
    document["section"][0]["makeup_fill"] = True
    document["embankment"]["gamma_sub"] = "10 kN/m^3"
    document["stage"][0]["fill_height"] = "0 m"


def test_edge_of_the_platform_does_not_govern_the_sliding_of_the_bank(chapters: Chapters) -> None:
    """The edge of 0.35 m is judged by itself: DA1-2, thrust and weight of the same height, so that the height drops
    out; with the settlement behind it alone it was utilised more than the bank of 6 m."""
    thrust = chapters(with_platform)["thrust"]
    bank, edge = (next(verdict for verdict in thrust.verdicts if verdict.key == key) for key in ("sliding", "low_edge"))

    assert bank.utilisations is not None
    assert bank.utilisations.labels("stage") == (FINAL,)
    assert edge.case["stage"] == "1 First lift"
    alike = active(32.5, 1.25) / (0.8 * 2 * np.tan(np.radians(32.5)) / 1.25)
    assert edge.utilisation == pytest.approx(alike)
    assert edge.title.startswith("Low edge of platform or first lift")
    s = float(thrust["s_th"].at(stage="1 First lift").array)
    assert alike * ((0.35 + s) / 0.35) ** 2 > (bank.utilisation or 0.0)


def test_low_bank_is_its_own_bank(chapters: Chapters) -> None:
    """The final state is judged as the bank, however low it stands over the layer."""

    def low(document: Any) -> None:
        document["reinforcement"] = [layer("one", "both", 0.8, 6.0)]

    thrust = chapters(low)["thrust"]

    assert state(thrust, "sliding") in ("pass", "fail")
    assert not [verdict for verdict in thrust.verdicts if verdict.key == "low_edge"]


def test_ground_that_carries_thrust_has_the_factor_of_sliding(chapters: Chapters) -> None:
    """DA2 divides the resistance to sliding by 1.1 (EN 1997-1, Table A.5, from memory): 0.2 of 25 kPa on the soil's
    share over 12 m, over 1.1."""

    def second_approach(document: Any) -> None:
        reinforced(document)
        document["basis"]["factor_sets"] = ["EN 1997-1 DA2"]
        document["field"] = {"thrust_in_ground": 0.2}

    scope = chapters(second_approach)["thrust"].scopes["slope"]
    a_E = float(scope["a_E"].array)

    assert float(scope["E_g"].at(stage=FINAL).array.squeeze()) == pytest.approx(0.2 * 25 * (1 - a_E) * 12 / 1.1)
