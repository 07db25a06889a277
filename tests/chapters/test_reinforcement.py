"""The chapter of the horizontal reinforcement, from project file to verdicts, by hand calculations."""

from collections.abc import Callable
from math import radians, tan
from typing import Any

import numpy as np
import pytest

from calc.chain import Run
from calc.chapters.reinforcement.steps import reinforcement
from calc.engine.sheet import Sheet
from calc.formulas import mat
from calc.inputs import Design, Section
from tests.chapters.mats import (
    FINAL,
    SETS,
    Chapters,
    keys,
    layer,
    verdict,
    whole,
)

approx = pytest.approx


def test_demand_by_hand() -> None:
    """Numbers invented; each product and sum is done by hand."""
    assert mat.design_membrane_tension(1.35, 60.0, 1.5, 70.0) == approx(1.35 * 60 + 1.5 * 10)
    # Traffic that relieves the layer is favourable: its factor is 0.
    assert mat.design_membrane_tension(1.35, 66.84, 1.5, 65.93) == approx(90.234)
    assert mat.layer_tension(120.0, 2000.0, 6000.0) == approx(40.0)
    assert mat.service_spreading(80.0, 6.0, 4.0) == approx(90.0)
    assert mat.reinforcement_strain(90.0, 60.0, 5000.0) == approx(0.03)
    assert mat.reinforcement_creep_strain(0.035, 0.030) == approx(0.005)
    assert mat.first_lift_pressure(1.0, 19.0, 0.4, 1.3, 10.0) == approx(20.6)


def test_tension_across_is_spreading_and_vertical_load_by_hand(chapters: Chapters) -> None:
    """DA1-1 factors the effects; DA1-2 has its factors at the source already."""
    done = chapters(whole)
    sheet, membrane = done["reinforcement"], done["load_transfer"]["T_mqD"].at(stiffness="short-term", stage=FINAL)
    scope = sheet.scopes["across"]
    parts = [membrane.at(factor_set=name) for name in SETS]
    first = 1.35 * parts[0].at(load="G").array + 1.5 * (parts[0].at(load="G+Q").array - parts[0].at(load="G").array)
    spreading = done["thrust"]["T_spr"].at(stage=FINAL).array
    by_hand = [float(first + spreading[0]), float(parts[1].at(load="G+Q").array + spreading[1])]

    assert scope["T_across"].at(stage=FINAL).array == approx(by_hand)
    found = verdict(sheet, "tension_across")
    assert found.effect == approx(max(by_hand))
    assert found.resistance == approx(900 / (1.1**5 * 1.4))
    assert found.case["stage"] == FINAL
    along = done["load_transfer"]["T_mlD"].at(stiffness="short-term", stage=FINAL, factor_set=SETS[1], load="G+Q")
    assert verdict(sheet, "tension_along").effect == approx(float(along.array))


def test_stages_without_fill_ask_for_no_tension_from_vertical_load(chapters: Chapters) -> None:
    scope = chapters(whole)["reinforcement"].scopes["across"]

    assert not scope["T_across"].at(stage="0 columns built").valid.any()
    assert scope["T_across"].at(stage="1 First lift").valid.all()


def test_required_strength_has_utilisation_one(chapters: Chapters) -> None:
    scope = chapters(whole)["reinforcement"].scopes["across_strength"]
    worst = float(np.nanmax(scope["R_rreq"].array))

    def just_strong(document: Any) -> None:
        whole(document)
        document["reinforcement"][0]["strength"] = f"{worst:.9f} kN/m"

    assert verdict(chapters(just_strong)["reinforcement"], "tension_across").utilisation == approx(1.0, rel=1e-9)
    assert float(np.nanmax(scope["u_r"].array)) == approx(worst / 900)


def test_weak_layer_fails_the_run(run_project: Callable[..., Run]) -> None:
    def weak(document: Any) -> None:
        whole(document)
        document["reinforcement"][0]["strength"] = "200 kN/m"

    assert run_project(weak).outcome == "fail"


def test_layers_of_one_direction_share_by_their_stiffness(chapters: Chapters) -> None:
    """Layers of 5000 and 2500 kN/m across take two thirds and one third; the second carries along alone."""

    def three(document: Any) -> None:
        whole(document)
        document["reinforcement"][1]["direction"] = "both"

    sheet = chapters(three)["reinforcement"]
    total = sheet.scopes["across"]["T_across"].at(stage=FINAL).array

    assert sheet.scopes["across_1_strength"]["T_rd"].at(stage=FINAL).array == approx(total * 2 / 3)
    assert sheet.scopes["across_2_strength"]["T_rd"].at(stage=FINAL).array == approx(total / 3)
    assert {"tension_across_1", "tension_across_2", "tension_along", "anchorage_1"} <= {
        one.key for one in sheet.verdicts
    }  # fmt: skip
    assert verdict(sheet, "anchorage_2").state == "not verified"


def iso(document: Any) -> None:
    whole(document)
    given = {"RF_CR": 1.5, "RF_ID": 1.1, "RF_W": 1.0, "RF_CH": 1.05, "R1": 1.1, "R2": 1.1}
    document["reinforcement"][0]["iso20432"] = {key: {"value": one, "source": "x"} for key, one in given.items()}
    document["reinforcement"][0]["strength"] = "400 kN/m"


def test_both_formats_of_the_strength_stand_beside_each_other(chapters: Chapters) -> None:
    def only_iso(document: Any) -> None:
        iso(document)
        del document["reinforcement"][0]["factors"]

    sheet = chapters(iso)["reinforcement"]
    # Verification value of the format: 400 / (1.5·1.1·1.0·1.05·1.1414) = 202.3 kN/m, computed, not published.
    assert float(sheet.scopes["across_strength"]["T_rD"].array) == approx(202.3, abs=0.05)
    assert verdict(sheet, "tension_across_iso").resistance == approx(202.3 / 1.4, abs=0.05)
    assert "iso-joint-across" in keys(sheet)
    alone = chapters(only_iso)["reinforcement"]
    assert "tension_across" not in {one.key for one in alone.verdicts}
    assert verdict(alone, "first_lift_across").resistance == approx(202.3 / 1.3, abs=0.05)


def test_without_reinforcement_every_direction_is_left_open_in_words(chapters: Chapters) -> None:
    sheet = chapters()["reinforcement"]

    assert {one.key: one.state for one in sheet.verdicts} == {
        "tension_across": "not verified", "tension_along": "not verified",
    }  # fmt: skip
    assert "(field reinforcement)" in sheet.verdicts[0].note
    assert not sheet.steps


def test_direction_without_a_layer_is_left_open(chapters: Chapters) -> None:
    def only_along(document: Any) -> None:
        whole(document)
        document["reinforcement"] = document["reinforcement"][1:]

    sheet = chapters(only_along)["reinforcement"]

    assert verdict(sheet, "tension_across").state == "not verified"
    assert "across" in verdict(sheet, "tension_across").note
    assert verdict(sheet, "tension_along").utilisation is not None


def test_tension_of_stability_is_open_until_it_is_handed_over(run_project: Callable[..., Run]) -> None:
    run = run_project(whole)
    design, section = run.design, run.sections[0].section
    done = {sheet.key: sheet for sheet in run.sections[0].sheets}

    assert verdict(done["reinforcement"], "stability_tension").state == "not verified"
    with_demand = _with_stability(design, section, done, 400.0)
    assert "stability_tension" not in {one.key for one in with_demand.verdicts}
    assert verdict(with_demand, "tension_across").effect == approx(400.0)
    along = verdict(done["reinforcement"], "tension_along")
    assert verdict(with_demand, "tension_along").effect == along.effect
    assert (along.effect or 0.0) < 100.0
    little = _with_stability(design, section, done, 1.0)
    assert verdict(little, "tension_across").effect == approx(verdict(done["reinforcement"], "tension_across").effect)


def _with_stability(design: Design, section: Section, done: dict[str, Sheet], tension: float) -> Sheet:
    shape = done["thrust"]["T_spr"]
    handed = Sheet(section=section.key, key="stability")
    for axis in shape.axes:
        handed.axis(axis.name, axis.labels)
    handed.reading("T_stab", np.full(shape.array.shape, tension), shape.axis_names, title="Tension asked for")
    return reinforcement(design, section, {**done, "stability": handed})


def test_strain_under_quasi_permanent_load_by_hand(chapters: Chapters) -> None:
    """Spreading with factors 1: K_a · (19 · 36 / 2 + 0.3 · 20 · 6) over 5000 and 4000 kN/m with the membrane."""
    done = chapters(whole)
    scope = done["reinforcement"].scopes["across_strain"]
    K_a = tan(radians(45 - 32.5 / 2)) ** 2
    spreading = K_a * (19 * 18 + 0.3 * 20 * 6)
    at = {"factor_set": "serviceability", "load": "G+Q", "stage": FINAL}
    membrane = {one: float(done["load_transfer"]["T_mqD"].at(stiffness=one, **at).array)
                for one in ("short-term", "long-term")}  # fmt: skip

    long = (spreading + membrane["long-term"]) / 4000
    short = (spreading + membrane["short-term"]) / 5000
    assert scope["eps_rlong"].array == approx(np.array([long]))
    assert scope["eps_rcr"].array == approx(np.array([long - short]))
    assert verdict(done["reinforcement"], "strain_across").effect == approx(long)
    assert verdict(done["reinforcement"], "creep_strain_across").effect == approx(long - short)


def test_shear_at_the_top_of_the_ground_enters_the_strain(chapters: Chapters) -> None:
    def held(document: Any) -> None:
        whole(document)
        document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m", "hold_top": 0.5}

    scope = chapters(held)["reinforcement"].scopes["across_strain"]
    plain = chapters(whole)["reinforcement"].scopes["across_strain"]

    # Half of 25 + 8 kPa over the slope of 12 m, as in the chapter on thrust.
    assert scope["T_sser"].array - plain["T_sser"].array == approx(np.array([0.5 * 33 * 12]))


def test_limits_not_asked_for_are_printed_for_judgement(chapters: Chapters) -> None:
    sheet = chapters(lambda document: whole(document, strain=None, creep_strain=None))["reinforcement"]

    for key in ("strain_across", "creep_strain_along"):
        assert verdict(sheet, key).state == "not verified"
        assert not verdict(sheet, key).required


def test_without_the_table_of_load_transfer_the_chapter_says_what_is_missing(chapters: Chapters) -> None:
    def bare(document: Any) -> None:
        whole(document)
        del document["load_transfer"], document["first_lift"]

    sheet = chapters(bare)["reinforcement"]

    assert verdict(sheet, "first_lift_across").state == "not verified"
    assert verdict(sheet, "strain_across").state == "not verified"
    assert verdict(sheet, "tension_across").utilisation is not None


@pytest.mark.parametrize("place", [0, 1])
def test_layer_is_named_in_its_verdicts(chapters: Chapters, place: int) -> None:
    def named(document: Any) -> None:
        whole(document)
        document["reinforcement"][place] = {**document["reinforcement"][place], "name": "Grid <7>"}

    direction = ("across", "along")[place]
    assert "Grid <7>" in verdict(chapters(named)["reinforcement"], f"tension_{direction}").title
    assert layer("x", direction)["direction"] == direction


def test_layer_that_full_arching_would_overload_is_stated(chapters: Chapters) -> None:
    """Full arching asks for more than compatible settlement; the strength lies between the two."""
    scopes = chapters(whole)["reinforcement"].scopes
    at = {"factor_set": SETS[1], "stage": FINAL}
    used = float(scopes["along_strength"]["T_rd"].at(**at).array)
    full = float(scopes["along_full_layer"]["T_rF"].at(**at).array)

    def between(document: Any) -> None:
        whole(document)
        document["reinforcement"][1]["strength"] = f"{1.1**5 * 1.4 * (used + full) / 2:.6f} kN/m"

    assert used < full
    found = chapters(between)["reinforcement"]
    assert "full-arching-along" in keys(found)
    assert verdict(found, "tension_along").state == "pass"
    assert "full-arching-along" not in keys(chapters(whole)["reinforcement"])
