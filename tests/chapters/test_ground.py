"""The ground: initial stresses by hand, coefficients at rest, soil outside the usual range."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.engine.sheet import Sheet
from tests.chapters.settled import keys, state

Chapters = Callable[..., dict[str, Sheet]]


def test_initial_stresses_are_sums_of_effective_weights(chapters: Chapters) -> None:
    """Hand calculation: 0.70 m of peat above the water in two sublayers, then buoyant."""
    ground = chapters()["ground"]
    at = {"stage": "2 Final"}
    wet = float(ground["z"].array[2]) - 0.7

    assert ground["sigma_v0s"].at(**at).array[:3] == pytest.approx(
        [0.175 * 11, 0.525 * 11, 0.7 * 11 + wet * (11.2 - 9.81)]
    )
    assert ground["sigma_v0c"].at(**at).array[:3] == pytest.approx(
        [0.175 * 18, 0.525 * 18, 0.7 * 18 + wet * (20 - 9.81)]
    )
    assert ground["K_0s"].array[0] == pytest.approx(1 - np.sin(np.radians(20)))


def test_typed_coefficients_at_rest_stand_beside_the_rule(chapters: Chapters) -> None:
    def typed(first: Any, second: Any) -> Callable[[Any], None]:
        def change(document: Any) -> None:
            layers = document["section"][0]["layer"]
            layers[0]["K_0"], layers[1]["K_0"] = first, second

        return change

    mixed = chapters(typed("jaky", 0.6))["ground"]["K_0s"].array
    both = chapters(typed(0.7, 0.6))["ground"]["K_0s"].array

    assert mixed[[0, -1]] == pytest.approx([1 - np.sin(np.radians(20)), 0.6])
    assert both[[0, -1]] == pytest.approx([0.7, 0.6])


def test_excavation_leaves_the_soil_at_rest_unless_told_otherwise(chapters: Chapters) -> None:
    def excavated(document: Any) -> None:
        document["columns"]["installation"] = "excavation"
        del document["columns"]["K_star"]

    ground = chapters(excavated)["ground"]

    assert ground["K_star"].array == pytest.approx(ground["K_0s"].array)


def test_soil_outside_the_usual_range_is_stated(chapters: Chapters) -> None:
    def unusual(document: Any) -> None:
        layers = document["section"][0]["layer"]
        del layers[0]["c_u"]
        layers[0]["E_oed_ref"] = "300 kPa"
        layers[1]["c_u"] = "45 kPa"

    assert {"c_u-peat", "E_oed-peat", "c_u-clay"} <= keys(chapters(unusual)["ground"])
    assert not {"c_u-peat", "E_oed-peat", "c_u-clay"} & keys(chapters()["ground"])


def test_strength_that_grows_out_of_the_usual_range_is_stated(chapters: Chapters) -> None:
    def growing(document: Any) -> None:
        document["section"][0]["layer"][1]["c_u_growth"] = "8 kPa/m"

    assert "c_u-clay" in keys(chapters(growing)["ground"])


def test_cohesion_that_governs_the_modulus_is_stated_and_undrained_values_are_refused(chapters: Chapters) -> None:
    def undrained(document: Any) -> None:
        document["section"][0]["layer"][1].update({"phi": "5 deg", "c": "8 kPa", "K_0": 0.7})

    ground = chapters(undrained)["ground"]

    assert "cohesion-modulus" in keys(ground)
    assert state(ground, "effective-strength") == "not verified"
    assert "effective-strength" not in {verdict.key for verdict in chapters()["ground"].verdicts}


def test_water_level_that_no_stage_uses_is_stated(chapters: Chapters) -> None:
    def more(document: Any) -> None:
        document["water"] |= {"high": "0.2 m", "flood": "0.4 m"}

    assert "water-not-used" in keys(chapters(more)["ground"])
    assert "water-not-used" not in keys(chapters()["ground"])
