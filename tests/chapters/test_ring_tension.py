"""Ring tension through the chapters: where it peaks, what it must not depend on, and which actions give it."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc import chain
from calc.chapters.shared.division import SETTLEMENT, TENSION
from calc.engine.sheet import Sheet, Value, Verdict

Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]
THICKNESSES = ("1 m", "0.5 m", "0.25 m", "0.1 m")
SECOND = "EN 1997-1 DA1-2"


def steep(thickest: str, strength: str = "400 kN/m") -> Change:
    """A high bank on soil without cohesion whose modulus vanishes at the ground level."""

    def change(document: Any) -> None:
        document["basis"]["sublayer_max"] = thickest
        document["water"]["mean"] = document["section"][0]["ground_level"]
        document["embankment"]["height"] = "8 m"
        document["stage"][1]["fill_height"] = "8 m"
        document["sleeve"]["strength"] = strength
        document["sleeve"]["oversize"] = "0 mm"
        for layer in document["section"][0]["layer"]:
            layer.update({"c": "0 kPa", "m": 1.0, "E_oed_ref": "3 MPa", "gamma_sat": "16 kN/m^3"})

    return change


def ring_tension(done: dict[str, Sheet]) -> Verdict:
    return next(verdict for verdict in done["sleeve"].verdicts if verdict.key == "ring_tension")


def counted(value: Value, **case: str) -> Any:
    """The numbers at a case, NaN in the head zone."""
    return value.at(**case).array


def test_design_ring_tension_does_not_depend_on_the_sublayers(chapters: Chapters) -> None:
    """Mid-depths alone gave 152, 163, 174 and 182 kN/m at these thicknesses, so that a sleeve for 160 passed with thick
    sublayers and failed with thin ones.
    """
    found = [ring_tension(chapters(steep(thickness))) for thickness in THICKNESSES]
    design = [one.effect or 0.0 for one in found]

    assert max(design) == pytest.approx(min(design), rel=0.001)
    required = design[0] * 1.5 * 1.1 * 1.05 * 1.4
    for share, state in ((1.01, "pass"), (0.99, "fail")):
        states = {
            ring_tension(chapters(steep(thickness, f"{share * required:.3f} kN/m"))).state for thickness in THICKNESSES
        }
        assert states == {state}


def test_second_method_that_asks_for_more_than_the_sleeve_holds_stands_beside_its_verdict(chapters: Chapters) -> None:
    def strength(value: str) -> Change:
        def change(document: Any) -> None:
            document["sleeve"]["strength"] = value

        return change

    weak, strong = (chapters(strength(one))["sleeve"].limitations for one in ("100 kN/m", "900 kN/m"))

    assert [one.turns for one in weak if one.key == "second-method"] == [("ring_tension",)]
    assert not [one for one in strong if one.key == "second-method"]


def test_ring_tension_is_evaluated_at_layer_tops_and_nowhere_in_the_head_zone(chapters: Chapters) -> None:
    ring = chapters()["unit_cell"].scopes["ring"]
    depth, top = ring["z_F"], ring["z_F"].at(point="top of the sublayer")
    tension = ring["F_Ri"].at(factor_set=SECOND, stage="2 Final", combination="G+Q")

    assert top.array[0] == pytest.approx(0.35)  # its end: the first sublayer lies in the head zone
    assert top.array[1] == pytest.approx(0.4)  # half a diameter
    assert any(abs(z - 2.5) < 1e-9 for z in top.array)  # the boundary of the layers
    assert (tension.valid == (depth.array >= 0.4 - 1e-9)).all()
    at_boundary = int(np.argmin(np.abs(top.array - 2.5)))
    clay = counted(tension, point="top of the sublayer")[at_boundary:]
    middle = counted(tension, point="mid-depth")[at_boundary:]
    assert clay[0] == max(*clay, *middle)


def test_ring_tension_at_mid_depth_is_that_of_load_sharing(chapters: Chapters) -> None:
    """Two runs of the cell at the same point."""
    cell = chapters()["unit_cell"]
    ring = cell.scopes["ring"]["F_R"].at(point="mid-depth")

    for load in ("G", "G+Q"):
        same = cell.scopes["tension"]["F_R"].at(load=load)
        assert ring.at(combination=load).array == pytest.approx(same.array, rel=1e-9, nan_ok=True)


def test_ring_tension_at_a_layer_top_is_what_thin_sublayers_tend_to(chapters: Chapters) -> None:
    """Mid-depths of sublayers of 0.10 and 0.05 m below the boundary at 2.50 m, carried on to the boundary itself."""

    def thin(thickest: str) -> Change:
        def change(document: Any) -> None:
            document["basis"]["sublayer_max"] = thickest

        return change

    case = {"factor_set": SECOND, "stage": "2 Final"}
    below = []
    for thickest in ("0.1 m", "0.05 m"):
        done = chapters(thin(thickest))
        first = int(np.argmin(np.abs(done["ground"]["z"].array - 2.5 - float(thickest[:-2]) / 2)))
        below.append(float(done["unit_cell"].scopes["tension"]["F_R"].at(**case, load="G+Q").array[first]))
    ring = chapters()["unit_cell"].scopes["ring"]
    at_top = ring["z_F"].at(point="top of the sublayer").array
    top = ring["F_R"].at(**case, combination="G+Q", point="top of the sublayer").array

    assert top[int(np.argmin(np.abs(at_top - 2.5)))] == pytest.approx(2 * below[1] - below[0], rel=1e-4)


def test_heads_above_the_ground_move_the_head_zone_up(chapters: Chapters) -> None:
    """A head half a diameter above the ground leaves the least depth: at the ground level there is no stress."""

    def raised(document: Any) -> None:
        document["columns"]["upstand"] = "0.5 m"
        for layer in document["section"][0]["layer"]:
            layer["c"] = "0 kPa"

    ring = chapters(raised)["unit_cell"].scopes["ring"]

    assert float(ring["z_F"].array.min()) == pytest.approx(0.08)


def test_slack_makes_factored_actions_govern_and_both_print(chapters: Chapters) -> None:
    def slack(document: Any) -> None:
        document["basis"]["factor_sets"] = ["EN 1997-1 DA2"]
        document["sleeve"]["oversize"] = "15 mm"
        document["embankment"]["height"] = "2 m"
        for stage, height in zip(document["stage"], ("1 m", "2 m"), strict=True):
            stage["fill_height"] = height

    done = chapters(slack)
    verdict, sleeve = ring_tension(done), done["sleeve"]
    effects, actions = (float(np.nanmax(sleeve[name].array)) for name in ("F_Re", "F_Ra"))

    assert verdict.effect == actions
    assert actions > 1.04 * effects
    assert done["unit_cell"].leads["ring"] == {"combination": "factored actions"}


def test_set_that_factors_materials_is_as_it_was_and_prints_its_own_run(chapters: Chapters) -> None:
    """tan φ/1.25 and 1.3·Q in the cell; effects are not factored again, and a strong fill loads the sleeve less."""

    def material(document: Any) -> None:
        document["basis"]["factor_sets"] = [SECOND]

    done = chapters(material)
    sleeve, tension = done["sleeve"], done["unit_cell"].scopes["ring"]["F_Ri"]
    final = {"stage": "2 Final"}

    assert counted(sleeve["F_Rd"], **final) == pytest.approx(
        counted(tension, **final, combination="G+Q"), rel=1e-12, nan_ok=True
    )
    assert (done["unit_cell"].scopes["ring"]["f_qr"].at(**final, combination="factored actions").array == 1.3).all()
    assert done["unit_cell"].leads["ring"] == {"combination": "G+Q"}


def test_makeup_fill_can_make_the_lower_stiffness_govern(chapters: Chapters) -> None:
    """A softer sleeve settles more, is filled up more and carries more; the upper stiffness alone gave 3 % less."""

    def soft(document: Any) -> None:
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"
        document["water"]["mean"] = "-2.6 m"
        for one, J in zip(document["sleeve"]["stiffness"], ("3000", "2400", "1500"), strict=True):
            one["J"] = f"{J} kN/m"
        for layer in document["section"][0]["layer"]:
            layer["E_oed_ref"] = "200 kPa"
        document["section"][0]["layer"][1]["thickness"] = "12 m"

    found = ring_tension(chapters(soft))
    design = chapters(soft)["sleeve"]["F_Rd"]
    short, long = (float(np.nanmax(design.at(stiffness=one).array)) for one in ("short-term", "long-term"))

    assert found.case["stiffness"] == "long-term"
    assert found.effect == long > 1.02 * short


def test_base_pressure_counts_the_fill_that_loads_the_column_most(chapters: Chapters) -> None:
    """A weaker fill gives the soil more load: the factored friction alone would relieve the base."""
    toe = chapters()["bearing"].scopes["toe"]
    at = {"factor_set": SECOND, "stage": "2 Final"}
    weak, strong, design = (float(toe[name].at(**at).array) for name in ("sigma_te", "sigma_ta", "sigma_td"))

    assert strong > 1.02 * weak
    assert design == strong


def test_column_without_its_active_state_carries_its_whole_cell_under_factored_actions(chapters: Chapters) -> None:
    def supported(document: Any) -> None:
        document["columns"]["K_star"] = 2.0
        document["stage"][0]["fill_height"] = "0.1 m"

    toe = chapters(supported)["bearing"].scopes["toe"]
    at = {"factor_set": "EN 1997-1 DA1-1", "stage": "1 First lift"}

    assert float(toe["Dsigma_vcA"].at(**at).array) == pytest.approx(1.35 * float(toe["Dsigma_vcG"].at(**at).array))


def divided(document: Any) -> None:
    """Sublayers of 8.6 m in soil whose modulus grows with depth: they matter under a first lift of little weight."""
    document["basis"]["sublayer_max"] = "10 m"
    document["water"]["mean"] = document["section"][0]["ground_level"]
    document["stage"][0]["fill_height"] = "0.5 m"
    for layer, thickness in zip(document["section"][0]["layer"], ("0.3 m", "9.9 m"), strict=True):
        layer.update({"thickness": thickness, "c": "0 kPa", "m": 1.0})


def test_sublayers_are_halved_until_their_thickness_does_not_matter(run_project: Callable[..., chain.Run]) -> None:
    part = run_project(divided).sections[0]
    sheets = {sheet.key: sheet for sheet in part.sheets}
    change = sheets["unit_cell"].scopes["halved"]["d_s2"].at(stage=["1 First lift", "2 Final"])

    assert part.section.halvings == 2
    assert change.array.max() < 0.02
    assert not {SETTLEMENT, TENSION} & {limitation.key for limitation in sheets["unit_cell"].limitations}


def test_division_that_stays_too_coarse_is_a_limitation(
    run_project: Callable[..., chain.Run], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(chain, "MOST_HALVINGS", 0)
    part = run_project(divided).sections[0]
    texts = {limitation.key: limitation.text for sheet in part.sheets for limitation in sheet.limitations}

    assert part.section.halvings == 0
    assert "changes the settlement by up to" in texts[SETTLEMENT]


def test_halved_values_print_beside_those_that_govern(chapters: Chapters) -> None:
    done = chapters()
    cell, sleeve = done["unit_cell"].scopes["halved"], done["sleeve"].scopes["halved"]

    assert cell["s_h"].at(stage="2 Final").array == pytest.approx(cell["s"].at(stage="2 Final").array, rel=0.02)
    assert float(cell["s_h"].at(stage="2 Final").array) != float(cell["s"].at(stage="2 Final").array)
    assert float(sleeve["F_Rdm"].array.max()) == ring_tension(done).effect
    assert sleeve["F_Rdh"].array[:, 1:] == pytest.approx(sleeve["F_Rdm"].array[:, 1:], rel=0.02)
