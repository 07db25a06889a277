"""The chapter of the unit cell, from the project file to its verdicts."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.engine.sheet import Sheet

Chapters = Callable[..., dict[str, Sheet]]
FINAL = {"stage": "2 Final", "load": "G+Q"}


def ten_sublayers(document: Any) -> None:
    """Verification case D2 as a project: stresses 10 + 4 z in the soil and 10 + 9 z in the column, load 100 kN/m²."""
    section = document["section"][0]
    section["ground_level"] = "0 m"
    document["water"]["mean"] = "0 m"
    document["platform"] = {"thickness": "0.5 m", "gamma": "20 kN/m^3", "role": "initial"}
    document["embankment"].update({"height": "5 m", "gamma": "20 kN/m^3"})
    document["traffic"]["q"] = "0 kPa"
    document["columns"]["spacing"] = f"{(0.16 * np.pi / 0.15 / (3**0.5 / 2)) ** 0.5:.12f} m"
    document["columns"]["fill"]["gamma_sat"] = "18.81 kN/m^3"
    document["columns"]["upstand"] = "1.6 m"  # heads so high that no ground near them is divided more finely
    document["sleeve"]["oversize"] = "0 mm"
    for one in document["sleeve"]["stiffness"]:
        one["J"] = "2500 kN/m"
    document["stage"][0]["fill_height"] = "2 m"
    document["stage"][1]["fill_height"] = "5 m"
    layer = section["layer"][0]
    layer.update({"thickness": "10 m", "gamma_sat": "13.81 kN/m^3", "c": "0 kPa", "nu": 0.4, "K_0": 0.65798})
    del section["layer"][1]


def test_chain_reproduces_ten_sublayers_of_the_verification_values(chapters: Chapters) -> None:
    """Computed once, independently, from the equations U1 to U13 (table D2); not a published example."""
    cell = chapters(ten_sublayers)["unit_cell"]
    settlement = cell.scopes["settlement"]
    final = {**FINAL, "position": "centre", "stiffness": "long-term"}

    assert float(settlement["s"].at(**final).array) == pytest.approx(0.486630, abs=5e-7)
    untreated = cell.scopes["untreated"]["s_u"].at(**FINAL, position="centre")
    assert float(untreated.array) == pytest.approx(2.57983, abs=5e-6)
    tension = settlement["F_R"].at(**final).array
    assert tension[[0, -1]] == pytest.approx([71.6014, 55.7057], abs=5e-5)
    assert settlement["s_c"].at(**final).array[[0, -1]] == pytest.approx([0.0549110, 0.0431181], abs=5e-8)
    assert settlement["Dsigma_vs"].at(**final).array[[0, -1]] == pytest.approx([5.37107, 16.1592], rel=2e-5)


def test_effect_sets_share_one_cell_and_material_sets_run_their_own(chapters: Chapters) -> None:
    cell = chapters()["unit_cell"].scopes["tension"]
    effect = cell["phi_c"].at(factor_set="EN 1997-1 DA1-1", stage="2 Final").array
    material = cell["phi_c"].at(factor_set="EN 1997-1 DA1-2", stage="2 Final").array

    assert effect == pytest.approx(np.radians(32.5))
    assert np.tan(material) == pytest.approx(np.tan(np.radians(32.5)) / 1.25)
    load = cell["Dsigma_0"].at(load="G+Q", stage="2 Final")
    assert load.array == pytest.approx([114 + 20, 114 + 1.3 * 20])


def test_makeup_fill_adds_load_and_settlement(chapters: Chapters) -> None:
    def with_makeup(document: Any) -> None:
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"

    final = {**FINAL, "position": "centre", "stiffness": "long-term"}
    without = chapters()["unit_cell"].scopes["settlement"]["s"].at(**final).array
    cell = chapters(with_makeup)["unit_cell"].scopes["settlement"]

    assert cell["s_0"].at(**final).array == pytest.approx(without, rel=1e-12)
    assert cell["s"].at(**final).array > without
    assert cell["s_M"].at(**final).array == pytest.approx(cell["s"].at(**final).array, rel=1e-8)
    shoulder = {**final, "position": "crest edge"}
    assert cell["s"].at(**shoulder).array == pytest.approx(without, rel=1e-12)


def test_column_just_built_is_not_mobilised_and_says_so(chapters: Chapters) -> None:
    def supported(document: Any) -> None:
        document["columns"]["K_star"] = 1.5

    done = chapters(supported)
    start = done["unit_cell"].scopes["tension"]["F_R"].at(stage="0 columns built")

    assert not start.valid.any()
    assert start.reason == "not mobilised"
    assert (done["unit_cell"].scopes["tension"]["F_Ri"].at(stage="0 columns built").array == 0).all()
    assert "does not stretch" in done["sleeve"].page.notes[0]
    assert not any("not mobilised" in limitation.text for limitation in done["unit_cell"].limitations)


def test_stage_that_leaves_sleeves_slack_says_so(chapters: Chapters) -> None:
    def thin(document: Any) -> None:
        document["columns"]["K_star"] = 2.0
        document["stage"][0]["fill_height"] = "0.1 m"

    texts = [limitation.text for limitation in chapters(thin)["unit_cell"].limitations]

    assert any(text.startswith("Load sharing") and "not mobilised" in text for text in texts)


def test_light_soil_lets_the_column_just_built_stretch_its_sleeve(chapters: Chapters) -> None:
    def light(document: Any) -> None:
        document["columns"]["K_star"] = 0.3
        document["sleeve"]["oversize"] = "0 mm"
        for layer in document["section"][0]["layer"]:
            layer["gamma_sat"] = "11.1 kN/m^3"
            layer["gamma"] = "11 kN/m^3"

    done = chapters(light)

    assert done["unit_cell"].scopes["tension"]["F_Ri"].at(stage="0 columns built").array.max() > 0
    assert "stretches its sleeve" in done["sleeve"].page.notes[0]


def test_no_water_level_splits_a_sublayer(chapters: Chapters) -> None:
    labels = chapters()["ground"].axes["layer"]

    assert labels[1] == "peat 0.35–0.70 m"
    assert labels[2].startswith("peat 0.70–")


def test_settlement_without_a_limit_is_left_to_judgement(chapters: Chapters) -> None:
    def unlimited(document: Any) -> None:
        document["basis"]["limits"] = {}

    done = chapters(unlimited)
    states = {verdict.key: verdict for sheet in done.values() for verdict in sheet.verdicts}

    for key in ("settlement_total", "settlement_difference", "ring_strain", "creep_strain"):
        assert states[key].state == "not verified"
        assert not states[key].required
    assert "settlement_elastic_plastic" not in states


@pytest.mark.parametrize(
    ("end", "stiffness", "limited"),
    [("130 d", 2742.6, False), ("0.1 h", 3000.0, True), ("40000 d", 2400.0, True)],
)
def test_stiffness_at_the_end_of_construction_is_interpolated_inside_the_given_times(
    chapters: Chapters, end: str, stiffness: float, limited: bool
) -> None:
    def placed(document: Any) -> None:
        document["stage"][0].update({"start": "0 d", "duration": "0.01 h"})
        document["stage"][1].update({"start": end, "duration": "28 d" if end == "130 d" else "0.1 h"})

    cell = chapters(placed)["unit_cell"]

    assert float(cell["J"].at(stiffness="end of construction").array) == pytest.approx(stiffness, abs=0.05)
    assert any(limitation.key == "stiffness-time" for limitation in cell.limitations) == limited


def test_stress_ratio_for_stability_above_five_is_a_limitation(chapters: Chapters) -> None:
    def high(document: Any) -> None:
        document["stage"][1]["n_stability"] = 8

    assert any("exceeds 5" in limitation.text for limitation in chapters(high)["unit_cell"].limitations)
    assert not any("exceeds 5" in limitation.text for limitation in chapters()["unit_cell"].limitations)


def test_platform_loads_the_cell_or_its_initial_state_by_explicit_input(chapters: Chapters) -> None:
    def platform(role: str) -> Callable[[Any], None]:
        def add(document: Any) -> None:
            document["platform"] = {"thickness": "0.8 m", "gamma": "18.5 kN/m^3", "role": role}

        return add

    load, initial = chapters(platform("load")), chapters(platform("initial"))

    assert load["unit_cell"]["p_P"].array == pytest.approx([0.0, 14.8, 14.8])
    assert float(load["ground"]["p_0"].array) == 0
    assert (initial["unit_cell"]["p_P"].array == 0).all()
    assert float(initial["ground"]["p_0"].array) == pytest.approx(14.8)


def test_water_above_the_ground_makes_the_fill_buoyant(chapters: Chapters) -> None:
    def flood(document: Any) -> None:
        document["water"]["mean"] = "1.4 m"
        document["embankment"]["gamma_sub"] = "10 kN/m^3"

    done = chapters(flood)
    load = done["unit_cell"].scopes["tension"]["Dsigma_G"].at(stage="2 Final")

    assert float(load.array) == pytest.approx(19 * 5 + 10 * 1)
    assert any(limitation.key == "water-above-ground" for limitation in done["ground"].limitations)


def test_project_without_traffic_has_no_variable_load(chapters: Chapters) -> None:
    def quiet(document: Any) -> None:
        del document["traffic"]
        del document["basis"]["psi_2"]
        document["stage"][1]["traffic"] = False

    cell = chapters(quiet)["unit_cell"].scopes["tension"]
    load = cell["Dsigma_0"]

    assert load.at(load="G").array == pytest.approx(load.at(load="G+Q").array)


def test_large_strain_and_methods_apart_are_limitations(chapters: Chapters) -> None:
    def soft(document: Any) -> None:
        document["columns"]["fill"]["E"] = "5 MPa"
        for layer in document["section"][0]["layer"]:
            layer["E_oed_ref"] = "300 kPa"

    keys = {limitation.key for limitation in chapters(soft)["unit_cell"].limitations}

    assert {"large-strain", "method-gap"} <= keys


def test_drawdown_adds_load_and_never_support(chapters: Chapters) -> None:
    def lowered(document: Any) -> None:
        document["water"]["low"] = "-2.3 m"
        document["stage"][1]["water"] = "low"

    base, low = chapters()["unit_cell"], chapters(lowered)["unit_cell"]
    final = {**FINAL, "position": "centre", "stiffness": "long-term"}

    assert float(low["p_W"].at(stage="2 Final").array) == pytest.approx(2.0 * 9.81)
    assert float(low["p_W"].at(stage="1 First lift").array) == 0
    assert low["sigma_v0s"].at(stage="2 Final").array[0] == pytest.approx(
        base["sigma_v0s"].at(stage="2 Final").array[0]
    )
    settled = [float(cell.scopes["settlement"]["s"].at(**final).array) for cell in (base, low)]
    assert settled[1] > settled[0]


def test_initial_level_can_be_named(chapters: Chapters) -> None:
    def named(document: Any) -> None:
        document["water"]["low"] = "-2.3 m"
        document["section"][0]["initial_water"] = "low"

    cell = chapters(named)["unit_cell"]

    assert (cell["p_W"].array == 0).all()
    assert float(chapters(named)["ground"]["d_w0"].array) == pytest.approx(2.7)


def test_first_stage_carries_the_platform_and_the_column_just_built_does_not(chapters: Chapters) -> None:
    def platform(document: Any) -> None:
        document["platform"] = {"thickness": "0.8 m", "gamma": "18.5 kN/m^3", "role": "load"}

    load = chapters(platform)["unit_cell"].scopes["tension"]["Dsigma_0"].at(factor_set="EN 1997-1 DA1-1", load="G")

    assert load.array == pytest.approx([0.0, 19 * 2 + 14.8, 19 * 6 + 14.8])


def test_short_stiffness_record_leaves_the_design_life_open(chapters: Chapters) -> None:
    def short(document: Any) -> None:
        document["sleeve"]["stiffness"][2]["time"] = "50 a"

    states = {verdict.key: verdict.state for verdict in chapters(short)["unit_cell"].verdicts}

    assert states["stiffness_life"] == "not verified"
    assert {verdict.key: verdict.state for verdict in chapters()["unit_cell"].verdicts}["stiffness_life"] == "pass"


def test_settlement_with_time_stays_open_beside_the_primary_settlement(chapters: Chapters) -> None:
    done = chapters()
    states = {verdict.key: verdict for key in ("unit_cell", "consolidation") for verdict in done[key].verdicts}

    assert states["settlement_with_time"].state == "not verified"
    assert states["settlement_with_time"].required
    assert states["settlement_total"].title.startswith("Primary settlement")
    assert states["settlement_total"].case["stage"] == "2 Final"


def test_difference_of_settlement_is_not_verified_without_makeup_fill(chapters: Chapters) -> None:
    states = {verdict.key: verdict.state for verdict in chapters()["unit_cell"].verdicts}

    assert states["settlement_difference"] == "not verified"


def test_dilatant_fill_raises_the_ring_tension_of_the_second_method(chapters: Chapters) -> None:
    def dilatant(document: Any) -> None:
        document["columns"]["fill"]["psi"] = "12 deg"

    def stiff(document: Any) -> None:
        document["columns"]["fill"]["psi"] = "0 deg"

    assert "method-tension" in {limitation.key for limitation in chapters(dilatant)["unit_cell"].limitations}
    assert "method-tension" not in {limitation.key for limitation in chapters(stiff)["unit_cell"].limitations}


def test_narrow_crest_on_deep_ground_is_a_limitation(chapters: Chapters) -> None:
    def narrow(document: Any) -> None:
        document["embankment"]["crest_width"] = "5 m"

    assert "narrow-crest" in {limitation.key for limitation in chapters(narrow)["unit_cell"].limitations}
    assert "narrow-crest" not in {limitation.key for limitation in chapters()["unit_cell"].limitations}


def test_stiff_ground_stays_within_the_range_of_the_method(chapters: Chapters) -> None:
    def stiff(document: Any) -> None:
        for layer in document["section"][0]["layer"]:
            layer.update({"E_oed_ref": "2000 kPa", "m": 0.0})

    keys = {limitation.key for limitation in chapters(stiff)["unit_cell"].limitations}

    assert not {"modulus-range", "stress-ratio"} & keys
    assert {"modulus-range", "stress-ratio"} <= {limitation.key for limitation in chapters()["unit_cell"].limitations}


def test_ranges_hold_every_modulus_and_stress_ratio_of_the_method(chapters: Chapters) -> None:
    """Those at the tops of the sublayers, where ring tension is largest, lie outside those of the load sharing."""
    sheet = chapters()["unit_cell"]
    texts = {limitation.key: limitation.text for limitation in sheet.limitations}
    values = {name: [step.value.array[step.value.valid] for step in sheet.steps if step.value.symbol == name]
              for name in ("E_oed", "n")}  # fmt: skip
    least, most = (f"{end(np.concatenate(values['E_oed'])):.0f}" for end in (np.min, np.max))

    assert max(np.max(run) for run in values["E_oed"]) > np.nanmax(sheet.scopes["tension"]["E_oed"].array) + 1
    assert f"between {least} and {most} kN/m²" in texts["modulus-range"]
    assert f"reaches {np.concatenate(values['n']).max():.0f};" in texts["stress-ratio"]


def test_unmobilised_cell_has_no_ranges_to_leave(chapters: Chapters) -> None:
    def held(document: Any) -> None:
        document["columns"]["K_star"] = 10
        for stage in document["stage"]:
            stage["fill_height"] = "0.1 m"
        document["embankment"]["height"] = "0.1 m"
        document["traffic"]["q"] = "0 kPa"

    done = chapters(held)
    keys = {limitation.key for limitation in done["unit_cell"].limitations}

    assert not {"modulus-range", "stress-ratio", "method-gap", "method-tension"} & keys
    assert {"K-star", "beyond-passive"} <= {limitation.key for limitation in done["ground"].limitations}


def test_column_beyond_its_limit_state_before_loading_is_stated(chapters: Chapters) -> None:
    def light(document: Any) -> None:
        document["columns"]["K_star"] = 0.3

    assert "beyond-limit-state" in {limitation.key for limitation in chapters(light)["unit_cell"].limitations}


def test_compression_beyond_small_strain_is_a_limitation(chapters: Chapters) -> None:
    def weak(document: Any) -> None:
        for one in document["sleeve"]["stiffness"]:
            one["J"] = "100 kN/m"

    assert "large-strain-plastic" in {limitation.key for limitation in chapters(weak)["unit_cell"].limitations}
    assert "large-strain-plastic" not in {limitation.key for limitation in chapters()["unit_cell"].limitations}
