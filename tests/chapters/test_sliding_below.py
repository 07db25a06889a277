"""Sliding of the side slope below the reinforcement: thrust that the ground does not hold, strength that is left."""

from typing import Any

import pytest

from calc.formulas import mat
from tests.chapters.mats import FINAL, SETS, Chapters, layer, verdict, whole

approx = pytest.approx


def soft(document: Any) -> None:
    """Ground that holds little: the reinforcement holds it back at its top, and the columns are not counted."""
    whole(document)
    document["field"] = {"hold_top": 0.2}


def test_what_sliding_asks_of_the_layer_and_what_it_has_left_by_hand(chapters: Chapters) -> None:
    """Nothing holds below, so the whole thrust is asked for; left is the strength without the tension from vertical
    load and the shear at the top of the ground."""
    done = chapters(soft)
    sheet, slope = done["reinforcement"], done["thrust"].scopes["slope"]
    found = verdict(sheet, "sliding_below")
    at = {"factor_set": found.case["factor_set"], "stage": FINAL}
    held = float(sheet.scopes["across"]["T_md"].at(**at).array + slope["T_sqd"].at(**at).array)

    assert found.case["stage"] == FINAL
    assert found.effect == approx(float(slope["E_ad"].at(**at).array))
    assert found.resistance == approx(900 / (1.1**5 * 1.4) - held)
    assert sheet.leads["sliding_below"] == dict(found.case)


def test_sliding_fails_where_the_layer_has_too_little_left(chapters: Chapters) -> None:
    def weak(document: Any) -> None:
        soft(document)
        strong = verdict(chapters(soft)["reinforcement"], "sliding_below")
        needed = ((strong.effect or 0.0) - (strong.resistance or 0.0)) * 1.1**5 * 1.4 + 900
        document["reinforcement"][0]["strength"] = f"{needed - 1:.3f} kN/m"

    found = verdict(chapters(weak)["reinforcement"], "sliding_below")

    assert found.state == "fail"
    assert found.utilisation == approx(1.0, abs=0.05)


def test_ground_that_holds_the_thrust_by_itself_is_stated(chapters: Chapters) -> None:
    def firm(document: Any) -> None:
        whole(document)
        for one in document["section"][0]["layer"]:
            one["c_u"] = "50 kPa"

    found = verdict(chapters(firm)["reinforcement"], "sliding_below")

    assert found.effect == 0.0
    assert found.note.startswith("The ground below resists the whole thrust")
    assert "by itself" not in verdict(chapters(soft)["reinforcement"], "sliding_below").note


def test_layer_without_strength_left_is_not_verified_and_fails_by_its_tension(chapters: Chapters) -> None:
    def worn(document: Any) -> None:
        soft(document)
        document["reinforcement"][0]["strength"] = "20 kN/m"

    sheet = chapters(worn)["reinforcement"]

    assert verdict(sheet, "sliding_below").state == "not verified"
    assert verdict(sheet, "tension_across").state == "fail"


def test_layers_share_by_stiffness_and_each_side_is_verified(chapters: Chapters) -> None:
    def two(document: Any) -> None:
        soft(document)
        document["field"] = {"hold_top": 0.2, "beyond_left": "9 m", "beyond_right": "8 m"}
        document["reinforcement"].append(layer("three", "across", 15000.0, "0.60 m"))

    done = chapters(two)
    sheet = done["reinforcement"]
    one, three = (verdict(sheet, f"sliding_below_{k}_left") for k in (1, 2))

    asked = done["thrust"].scopes["sliding_below_left"]["T_hs"].at(factor_set=SETS[0], stage=FINAL)
    shares = [sheet.scopes[f"sliding_below_{k}_left"]["T_rh"].at(factor_set=SETS[0], stage=FINAL).array for k in (1, 2)]
    assert shares == approx([0.25 * float(asked.array), 0.75 * float(asked.array)])
    assert (three.utilisation or 0.0) > (one.utilisation or 0.0)
    assert verdict(sheet, "sliding_below_1_right").state in ("pass", "fail")


def test_strength_left_by_hand() -> None:
    """A quarter of the stiffness takes a quarter of 60 and 20 kN/m: 100 less 20."""
    assert mat.strength_left(100.0, 5000.0, 20000.0, 60.0, 20.0) == approx(80.0, rel=1e-12)
