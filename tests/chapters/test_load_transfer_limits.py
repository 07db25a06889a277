"""What the chapter of the load transfer leaves open, its limits of use, and the surface of the fill."""

from collections.abc import Callable
from math import sqrt
from re import search
from typing import Any

import numpy as np
import pytest

from calc.engine.figure import Scene
from calc.formulas import mat
from tests.chapters.mats import (
    SERVICE,
    Chapters,
    change,
    keys,
    layer,
    number,
    reinforced,
    state,
)

approx = pytest.approx


def test_model_without_its_coefficient_is_left_out_and_the_others_serve(chapters: Chapters) -> None:
    sheet = chapters(change(K_arching=None))["load_transfer"]

    assert state(sheet, "arching_shaft") == "not verified"
    assert "shaft" not in sheet.scopes
    largest = max(number(sheet.scopes[key][name]) for key, name in (("domes", "sigma_sD"), ("shells", "sigma_sS"),
                                                                    ("concentric", "sigma_sC")))  # fmt: skip
    assert number(sheet["sigma_sA"]) == approx(largest)
    asked = chapters(change(K_arching=None, arching="shaft"))["load_transfer"]
    assert next(verdict for verdict in asked.verdicts if verdict.key == "arching_shaft").required
    assert not next(verdict for verdict in sheet.verdicts if verdict.key == "arching_shaft").required
    assert number(asked["sigma_sA"]) == approx(largest)


def test_without_reinforcement_the_membrane_is_left_open_in_words(chapters: Chapters) -> None:
    sheet = chapters()["load_transfer"]

    assert state(sheet, "membrane") == "not verified"
    assert "(field reinforcement)" in next(verdict for verdict in sheet.verdicts if verdict.key == "membrane").note
    assert "T_mqD" not in sheet
    assert state(sheet, "surface_difference") == "not verified"


def test_without_the_difference_full_arching_stands_in_and_the_question_stays_open(chapters: Chapters) -> None:
    sheet = chapters(change(full_arching_difference=None))["load_transfer"]

    verdict = next(verdict for verdict in sheet.verdicts if verdict.key == "compatibility")
    assert verdict.state == "not verified"
    assert verdict.required
    assert "full_arching_difference" in verdict.note
    assert sheet["T_mqD"].array[sheet["T_mqD"].valid] == approx(sheet["T_mqF"].array[sheet["T_mqF"].valid])


def test_tension_above_that_at_full_arching_is_said_with_its_stages(chapters: Chapters) -> None:
    """Across is twice as stiff and takes two thirds at one deflection, where full arching gives it half."""
    sheet = chapters(change())["load_transfer"]
    texts = {limitation.key: limitation.text for limitation in sheet.limitations}
    for words, tag in (("across", "q"), ("along", "l")):
        used, full = sheet[f"T_m{tag}D"], sheet[f"T_m{tag}F"]
        over = used.valid & (used.array > full.array * (1 + 1e-6))
        assert over.any() == (f"above-full-{words}" in texts)
    soft = chapters(change(full_arching_difference="200 mm"))["load_transfer"]
    text = next(limitation.text for limitation in soft.limitations if limitation.key == "above-full-across")

    assert (soft["T_mqD"].array > soft["T_mqF"].array)[soft["T_mqD"].valid].any()
    assert "“Final”" in text
    assert "Full arching is no upper limit" in texts["arching-encased"]


def test_full_arching_asked_for_takes_the_larger_tension(chapters: Chapters) -> None:
    full = chapters(change(membrane="full arching"))["load_transfer"]
    compatible = chapters(change())["load_transfer"]
    valid = full["T_mqD"].valid

    larger = np.maximum(full["T_mqF"].array, compatible["T_mqD"].array)
    assert full["T_mqD"].array[valid] == approx(larger[valid])


def test_one_direction_carries_the_whole_load(chapters: Chapters) -> None:
    def across(document: Any) -> None:
        reinforced(document)
        document["reinforcement"] = document["reinforcement"][:1]

    sheet = chapters(across)["load_transfer"]

    assert "one-direction" in keys(sheet)
    assert "T_mlD" not in sheet
    assert number(sheet["F_m"]) == approx(number(sheet["sigma_sA"]) * number(sheet["A_s"]))
    assert mat.strip_load_in_one_direction(10.0, 3.0) == approx(30.0)


def test_layer_in_both_directions_counts_in_each(chapters: Chapters) -> None:
    def both(document: Any) -> None:
        reinforced(document)
        document["reinforcement"] = [layer("one", "both"), layer("two", "across", 1000.0)]

    sheet = chapters(both)["load_transfer"]

    assert sheet["J_q"].array == approx([6000, 4800])
    assert sheet["J_l"].array == approx([5000, 4000])


def test_low_fill_does_not_arch_and_says_so(chapters: Chapters) -> None:
    """0.7 of the clear span of about 1.1 m is 0.8 m: 0.5 m of fill are below it."""

    def low(document: Any) -> None:
        reinforced(document)
        document["stage"][0]["fill_height"] = "0.5 m"

    sheet = chapters(low)["load_transfer"]

    assert "too-low" in keys(sheet)
    assert number(sheet["sigma_sA"], stage="1 First lift", load="G") == approx(0.5 * 19)
    assert "too-low" not in keys(chapters(change())["load_transfer"])
    assert mat.limited_pressure(50.0, 40.0) == approx(40.0)


def test_embankment_that_never_arches_says_so_and_has_whole_pressure(chapters: Chapters) -> None:
    def flat(document: Any) -> None:
        reinforced(document)
        document["embankment"]["height"] = "0.6 m"
        for stage in document["stage"]:
            stage["fill_height"] = "0.6 m"

    sheet = chapters(flat)["load_transfer"]

    assert "never-arches" in keys(sheet)
    assert number(sheet["sigma_sA"]) == approx(0.6 * 19 + 20)
    assert "critical-height" in keys(sheet)


def test_singular_coefficients_use_their_limit_and_say_so(chapters: Chapters) -> None:
    """K_p is 1.5 where sin φ is 0.2, and 2 where it is 1/3."""

    def with_friction(sine: float) -> Callable[[Any], None]:
        def change_friction(document: Any) -> None:
            reinforced(document)
            document["embankment"]["phi"] = f"{np.degrees(np.arcsin(sine)):.15f} deg"

        return change_friction

    low, high = (chapters(with_friction(one))["load_transfer"] for one in (0.2, 1 / 3))

    assert {"domes-singular-1.5", "concentric-singular-1.5"} <= keys(low)
    assert "concentric-singular-2" in keys(high)
    near = chapters(with_friction(0.2 + 1e-5))["load_transfer"]
    for key, symbol in (("domes", "sigma_sD"), ("concentric", "sigma_sC")):
        assert number(low.scopes[key][symbol]) == approx(number(near.scopes[key][symbol]), rel=1e-3)


def test_limits_of_use_are_stated_where_they_are_left(chapters: Chapters) -> None:
    def wide(document: Any) -> None:
        reinforced(document)
        document["columns"].update({"spacing": "4.6 m"})

    def stiff_below(document: Any) -> None:
        reinforced(document, subgrade_modulus="5 kPa/m")
        document["traffic"]["q"] = "5 kPa"

    texts = {limitation.key: limitation.text for limitation in chapters(wide)["load_transfer"].limitations}
    assert {"shells-L_m", "shells-r_k"} <= set(texts)
    assert "2.5" in texts["shells-L_m"]
    # The worst of several stages is named as such, a value that all have is not.
    assert "is as low as" in texts["shells-r_k"]
    assert not search("as (low|high) as", texts["shells-L_m"])
    assert not {"shells-L_m", "shells-r_k", "shells-r_ds"} & keys(chapters(stiff_below)["load_transfer"])


def test_arches_higher_than_the_fill_are_stated(chapters: Chapters) -> None:
    def low(document: Any) -> None:
        reinforced(document)
        document["stage"][0]["fill_height"] = "1.0 m"

    assert "domes-height" in keys(chapters(low)["load_transfer"])
    assert "domes-height" not in keys(chapters(change())["load_transfer"])


def test_modulus_given_enters_and_one_stiffer_than_the_column_leaves_full_arching(chapters: Chapters) -> None:
    given = chapters(change(subgrade_modulus="80 kPa/m"))["load_transfer"]
    stiff = chapters(change(subgrade_modulus="900000 kPa/m"))["load_transfer"]

    assert number(given["k_s"]) == approx(80.0)
    assert not stiff["k_c"].valid.any()
    assert number(stiff["T_mqD"]) == approx(number(stiff["T_mqF"]))
    assert state(stiff, "surface_difference") == "not verified"


def test_surface_difference_against_its_limit(chapters: Chapters) -> None:
    """The difference fades linearly up to the critical height; 1.8 m of fill are lower than 1.15 s' + 1.44 d."""

    def low(**transfer: Any) -> Callable[[Any], None]:
        def change_height(document: Any) -> None:
            reinforced(document, **transfer)
            document["embankment"]["height"] = "1.6 m"
            document["stage"][0]["fill_height"] = "1.2 m"
            document["stage"][1]["fill_height"] = "1.6 m"

        return change_height

    sheet = chapters(low(surface_difference="5 mm"))["load_transfer"]
    verdict = next(verdict for verdict in sheet.verdicts if verdict.key == "surface_difference")
    at = {"factor_set": SERVICE, "stiffness": "long-term"}
    critical = 1.15 * (1.97 / sqrt(3) - 0.4) + 1.44 * 0.8
    drop = number(sheet.scopes["compatible_triangular"]["Ds_h"], **at)

    assert verdict.effect == approx(drop * max(1 - 1.6 / critical, 0))
    assert verdict.resistance == approx(0.005)
    assert "critical-height" in keys(sheet)
    open_limit = chapters(low())["load_transfer"]
    assert not next(verdict for verdict in open_limit.verdicts if verdict.key == "surface_difference").required
    assert state(chapters(change())["load_transfer"], "critical_height") == "pass"


@pytest.mark.parametrize(("level", "key"), [("1.2 m", "above-heads"), ("0.4 m", "")])
def test_layer_high_above_the_heads_is_stated(chapters: Chapters, level: str, key: str) -> None:
    def placed(document: Any) -> None:
        reinforced(document)
        document["reinforcement"][0]["level"] = level

    assert {"above-heads"} & keys(chapters(placed)["load_transfer"]) == ({key} if key else set())


def test_layer_below_the_heads_is_left_open(chapters: Chapters) -> None:
    def below(document: Any) -> None:
        reinforced(document)
        document["columns"]["upstand"] = "0.2 m"

    sheet = chapters(below)["load_transfer"]
    assert state(sheet, "reinforcement_level") == "not verified"


def test_platform_and_makeup_fill_load_the_heads(chapters: Chapters) -> None:
    def more(document: Any) -> None:
        reinforced(document)
        document["platform"] = {"thickness": "0.5 m", "gamma": "18 kN/m^3", "role": "load"}
        document["embankment"]["gamma_sub"] = "10 kN/m^3"
        document["section"][0]["makeup_fill"] = True
        document["water"]["mean"] = "-9 m"

    done = chapters(more)
    sheet = done["load_transfer"]
    scope = done["unit_cell"].scopes["settlement"]
    settled = number(scope["s_M"], position="centre", stiffness="long-term")

    assert "platform-friction" in keys(sheet)
    assert number(sheet["H_A"]) == approx(6 + 0.5 * 18 / 19 + settled)
    assert mat.height_above_heads(5.0, 9.0, 9.5, 19.0) == approx(5 + 18.5 / 19)


def test_chapter_has_its_sketch_and_its_tables(chapters: Chapters) -> None:
    sheet = chapters(change())["load_transfer"]

    assert [figure.key for figure in sheet.page.figures if isinstance(figure, Scene)] == ["membrane"]
    models = next(table for table in sheet.page.tables if table.key == "models")
    assert len(models.rows) == 5
    assert len(next(table for table in chapters()["load_transfer"].page.tables if table.key == "models").rows) == 4
