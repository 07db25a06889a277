"""Strength and preconsolidation by points: the digits of what can be said without points, and what points alone say."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.engine.sheet import Sheet
from tests.chapters.readings_case import chapter_of, strengths
from tests.chapters.timed import layers, sheets_of, timed, verdicts

approx = pytest.approx
Chapters = Callable[..., dict[str, Sheet]]
BENT = ((2.5, 14.0), (4.0, 12.0), (5.0, 13.0), (5.0, 15.0), (6.5, 18.0))


def profile(name: str, points: Any, unit: str = " kPa") -> dict[str, Any]:
    rows = [{"depth": f"{z} m", name: f"{x}{unit}" if unit else x} for z, x in points]
    return {f"{name}_profile": {"points": rows, "source": "report 1"}}


def clay(*without: str, **fields: Any) -> Callable[[Any], None]:
    """The clay, 2.5 to 6.5 m, with these fields."""

    def change(document: Any) -> None:
        layer = document["section"][0]["layer"][1]
        for name in without:
            layer.pop(name, None)
        layer.update(fields)

    return change


def cut_by_hand(document: Any) -> None:
    """The clay as three layers of the file, each with value and growth."""
    found = document["section"][0]["layer"]
    whole = found.pop().unwrap()
    for k, (thickness, strength, growth) in enumerate(((1.5, 14, 0), (1.0, 12, 1), (1.5, 15, 2)), start=1):
        found.append(whole | {"key": f"clay{k}", "thickness": f"{thickness} m", "c_u": f"{strength} kPa",
                              "c_u_growth": f"{growth} kPa/m"})  # fmt: skip


def numbers(chapters: dict[str, Sheet]) -> dict[str, Any]:
    return {step.value.step: step.value.array for sheet in chapters.values() for step in sheet.steps}


@pytest.mark.parametrize("points", [((2.5, 12.0), (6.5, 18.0)), ((2.5, 12.0), (4.0, 14.25), (6.5, 18.0))])
def test_points_on_a_line_have_the_digits_of_value_and_growth(first: Chapters, points: Any) -> None:
    typed = numbers(first(timed(clay(c_u="12 kPa", c_u_growth="1.5 kPa/m"))))
    pointed = numbers(first(timed(clay("c_u", **profile("c_u", points)))))

    assert typed.keys() == pointed.keys()
    assert all(np.array_equal(typed[key], pointed[key], equal_nan=True) for key in typed)


def test_parts_of_a_layer_are_layers_cut_by_hand(chapters: Chapters) -> None:
    """A part whose strength falls cannot be typed as a layer: without that fall both files say the same."""
    points = ((2.5, 14.0), (4.0, 14.0), (4.0, 12.0), (5.0, 13.0), (5.0, 15.0), (6.5, 18.0))
    by_hand, by_points = (chapters(one) for one in (timed(cut_by_hand), timed(clay("c_u", **profile("c_u", points)))))

    for key, sheet in by_hand.items():
        found = {one: made.utilisation for one, made in verdicts(by_points[key]).items()}
        assert found == {one: made.utilisation for one, made in verdicts(sheet).items()}, key


def test_strength_that_falls_counts_at_its_least(first: Chapters, chapters: Chapters) -> None:
    sheets = first(timed(clay("c_u", **profile("c_u", BENT))))
    scope = sheets["consolidation"].scopes["strength"]
    bearing = chapters(timed(clay("c_u", **profile("c_u", BENT))))["bearing"]

    clay_1 = [k for k, label in enumerate(scope["c_u"].labels("layer")) if label.startswith("clay/1 ")]
    depths = sheets["ground"]["z"].array[clay_1]
    assert scope["c_u"].array[clay_1] == approx(np.interp(depths, (2.5, 4.0), (14.0, 12.0)))
    assert float(bearing["c_umk"].array) == 12.0
    # Lower hull of (0, 25), (2.5, 14), (4, 12), (5, 13), (6.5, 18) at 3.25 m: it falls, so the line is level at 12 kPa.
    assert (float(bearing["c_u0k"].array), float(bearing["rho_uk"].array)) == (12.0, 0.0)


def test_history_by_points_is_that_in_the_middle_of_every_sublayer(first: Chapters) -> None:
    pressure = ((2.5, 30.0), (4.5, 40.0), (6.5, 70.0))
    ratio = ((2.5, 2.0), (4.5, 1.5), (6.5, 1.1))
    by_pressure = first(timed(clay("OCR", **profile("sigma_p", pressure))))["consolidation"].scopes["strength"]
    by_ratio = first(timed(clay("OCR", **profile("OCR", ratio, ""))))
    ground, strength = by_ratio["ground"], by_ratio["consolidation"].scopes["strength"]
    soft = [k for k, label in enumerate(ground.axes["layer"]) if label.startswith("clay")]
    z = ground["z"].array[soft]

    assert by_pressure["sigma_pc"].array[soft] == approx(np.interp(z, *np.array(pressure).T))
    assert strength["OCR"].array[soft] == approx(np.interp(z, *np.array(ratio).T))
    assert set(np.delete(strength["OCR"].array, soft)) == {1.1}
    first_stage = ground["sigma_v0s"].array.reshape(-1, len(ground.axes["layer"]))[0]
    assert strength["sigma_pc"].array[soft] == approx((strength["OCR"].array * first_stage)[soft])


def test_constant_history_by_points_has_the_digits_of_one_number(first: Chapters) -> None:
    points = ((2.5, 1.1), (6.5, 1.1))
    typed, pointed = (first(timed(one)) for one in (layers(), clay("OCR", **profile("OCR", points, ""))))
    pressed, both = (first(timed(clay("OCR", **one))) for one in (
        {"sigma_p": "45 kPa"}, profile("sigma_p", ((2.5, 45), (6.5, 45))),
    ))  # fmt: skip

    for one, other in ((typed, pointed), (pressed, both)):
        a, b = numbers(one), numbers(other)
        assert a.keys() == b.keys()
        assert all(np.array_equal(a[key], b[key], equal_nan=True) for key in a)


def test_a_value_by_points_is_compared_at_the_depth_of_every_reading(tmp_path: Any) -> None:
    """A trend of 11.0 to 15.2 kPa from 2.6 to 6.4 m; points that lie above it in the middle alone fail there."""
    x, z = (11.0, 12.3, 13.0, 14.2, 15.2), (2.6, 3.5, 4.5, 5.4, 6.4)
    entry = {"estimate": "trend"}
    low = clay("c_u", **profile("c_u", ((2.5, 9.0), (6.5, 13.0))))
    high = clay("c_u", **profile("c_u", ((2.5, 9.0), (4.5, 16.0), (6.5, 13.0))))
    below, above = (chapter_of(tmp_path, strengths(x, z), entry, change=one) for one in (low, high))
    scope = above.scopes["c_u_clay_strength"]

    assert [verdict.state for sheet in (below, above) for verdict in sheet.verdicts] == ["pass", "fail"]
    assert scope["x_use"].array == approx(np.interp(z, (2.5, 4.5, 6.5), (9.0, 16.0, 13.0)))
    assert above.verdicts[0].case["reading"] == "R3"
    assert any(limitation.key.startswith("range-") for limitation in below.limitations)


@pytest.mark.parametrize("estimate", ["trend", "mean"])
def test_a_value_that_rises_between_the_readings_turns_its_comparison(tmp_path: Any, estimate: str) -> None:
    x, z = (11.0, 12.3, 13.0, 14.2, 15.2), (2.6, 3.5, 4.5, 5.4, 6.4)
    points = ((2.5, 8.0), (4.6, 8.0), (5.0, 20.0), (5.3, 8.0), (6.5, 8.0))
    peak = clay("c_u", **profile("c_u", points))
    sheet = chapter_of(tmp_path, strengths(x, z), {"estimate": estimate}, change=peak)
    doubt = next(limitation for limitation in sheet.limitations if limitation.key == "points-c_u_clay_strength")

    assert [verdict.state for verdict in sheet.verdicts] == ["pass"]
    assert doubt.turns == ("value_c_u_clay_strength",)


def test_a_preconsolidation_pressure_by_points_is_compared_too(tmp_path: Any) -> None:
    rows = [{"test": "preconsolidation", "depth": z, "sigma_p": x} for z, x in ((3, 50), (4, 56), (5, 60), (6, 66))]
    entry = {"parameter": "sigma_p", "test": "preconsolidation"}
    points = profile("sigma_p", ((2.5, 40), (6.5, 52)))
    sheet = chapter_of(tmp_path, rows, entry, change=clay("OCR", **points))

    assert sheet.scopes["sigma_p_clay_preconsolidation"]["x_use"].array == approx([41.5, 44.5, 47.5, 50.5])


def test_unit_cell_and_ground_know_parts_by_their_layer(tmp_path: Any) -> None:
    """One limitation for the layer, not one for each part; the sublayers of the parts are those of the layer."""
    from calc.chapters.ground_model.steps import ground_model
    from tests.chapters.readings_case import read_case
    from tests.chapters.test_ground_model_doubts import oedometers

    def other(document: Any) -> None:
        clay("c_u", E_oed_ref="400 kPa", m=0.4, **profile("c_u", BENT))(document)
        document["section"][0]["ground_model"]["locations"] = [f"B{k}" for k in range(4)]

    design = read_case(tmp_path, oedometers(), {"parameter": "E_oed_ref", "test": "oedometer"}, change=other)
    done = sheets_of(design, "unit_cell")
    sheet = ground_model(design, design.sections[0], done)
    (chosen,) = sheet.kept["chosen"]

    assert [limitation.key for limitation in done["ground"].limitations if "E_oed" in limitation.key] == ["E_oed-clay"]
    assert 0 < chosen.stresses[0] < chosen.stresses[1]
