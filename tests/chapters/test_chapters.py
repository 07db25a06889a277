"""Basis, ground, columns and sleeve: what they settle, what they leave open, what they state as limits."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chain import CHAPTERS, Run
from calc.engine.figure import Bars
from calc.engine.sheet import Sheet

Chapters = Callable[..., dict[str, Sheet]]


def state(sheet: Sheet, key: str) -> str:
    return next(one.state for one in sheet.verdicts if one.key == key)


def keys(sheet: Sheet) -> set[str]:
    return {one.key for one in sheet.limitations}


def firm(document: Any) -> None:
    """Soft ground that bears the test embankment, so that no verdict fails."""
    for layer in document["section"][0]["layer"]:
        layer["c_u"] = "40 kPa"


def test_unanswered_matter_makes_the_run_incomplete(run_project: Callable[..., Run], chapters: Chapters) -> None:
    def unanswered(document: Any) -> None:
        del document["outside"]["seismic"]

    def both(document: Any) -> None:
        unanswered(document)
        firm(document)

    basis = chapters(unanswered)["basis"]

    assert state(basis, "outside") == "not verified"
    assert "Seismic" in basis.verdicts[0].note
    assert state(chapters()["basis"], "outside") == "pass"
    assert run_project(both).outcome == "incomplete"


def test_factors_enter_where_the_kind_of_the_set_says(chapters: Chapters) -> None:
    def many(document: Any) -> None:
        document["basis"]["factor_sets"] = ["EN 1997-1 DA1-1", "EN 1997-1 DA1-2", "DIN 1054:2010 GEO-2"]

    basis = chapters(many)["basis"]
    final = {"stage": "2 Final"}

    assert basis["gamma_G"].at(**final).array == pytest.approx([1.35, 1.0, 1.35])
    assert basis["gamma_Q"].at(**final).array == pytest.approx([1.5, 1.0, 1.5])
    assert basis["gamma_QS"].at(**final).array == pytest.approx([1.0, 1.3, 1.0])
    assert basis["gamma_phi"].at(**final).array == pytest.approx([1.0, 1.25, 1.0])
    assert basis["gamma_G"].at(stage="1 First lift", variant="DIN 1054:2010 GEO-2").array == pytest.approx(1.2)
    assert "factors-DIN 1054:2010 GEO-2" in keys(basis)


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
    assert "effective-strength" not in {one.key for one in chapters()["ground"].verdicts}


def test_water_level_that_no_stage_uses_is_stated(chapters: Chapters) -> None:
    def more(document: Any) -> None:
        document["water"]["high"] = "0.2 m"

    assert "water-not-used" in keys(chapters(more)["ground"])
    assert "water-not-used" not in keys(chapters()["ground"])


def test_factors_from_memory_are_marked_in_situations_that_use_them(chapters: Chapters) -> None:
    def accidental(document: Any) -> None:
        document["stage"][0]["situation"] = "accidental"

    basis = chapters(accidental)["basis"]
    table = next(one for one in basis.page.tables if one.key == "factors")

    assert "factors-EN 1997-1 DA1-1" in keys(basis)
    assert any("◦" in cell for row in table.rows for cell in row)
    assert "factors-EN 1997-1 DA1-1" not in keys(chapters()["basis"])
    step = next(one for one in basis.steps if one.symbol == "gamma_phi")
    assert step.origins[0].evidence == "not inspected"


def test_utilisation_stands_for_every_sublayer(chapters: Chapters) -> None:
    sleeve = chapters()["sleeve"]
    table = next(one for one in sleeve.page.tables if one.key == "utilisation-factors")

    assert len(table.rows) == len(sleeve.axes["layer"])
    figure = next(one for one in sleeve.page.figures if one.key == "utilisation-factors")
    assert isinstance(figure, Bars)
    assert [bar.label for bar in figure.rows] == list(sleeve.axes["layer"])


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"spacing": "3.5 m"}, "area-ratio"),
        ({"diameter": "1.0 m", "spacing": "2.4 m"}, "diameter"),
        ({"fill": {"phi": "28 deg"}}, "fill-friction"),
    ],
)
def test_columns_outside_the_usual_range_are_stated(chapters: Chapters, change: dict[str, Any], key: str) -> None:
    def unusual(document: Any) -> None:
        for name, value in change.items():
            if isinstance(value, dict):
                document["columns"][name].update(value)
            else:
                document["columns"][name] = value

    assert keys(chapters(unusual)["columns"]) == {key}
    assert keys(chapters()["columns"]) == set()


def test_columns_that_float_are_not_verified(chapters: Chapters) -> None:
    def floating(document: Any) -> None:
        document["section"][0]["bearing_layer"]["firm"] = False

    assert state(chapters(floating)["columns"], "end-bearing") == "not verified"


def test_square_grid_and_installed_radius(chapters: Chapters) -> None:
    def square(document: Any) -> None:
        document["columns"]["pattern"] = "square"
        del document["sleeve"]["oversize"]
        document["sleeve"]["installed_radius"] = "0.41 m"

    columns = chapters(square)["columns"]

    assert float(columns["A_E"].array) == pytest.approx(1.97**2)
    assert float(columns["Dr_gap"].array) == pytest.approx(0.01)


def test_sleeve_governs_over_all_sets_stages_and_sublayers(chapters: Chapters) -> None:
    """The printed utilisation recomputed by hand from F_R of the cell and the typed factors."""
    done = chapters()
    verdict = next(one for one in done["sleeve"].verdicts if one.key == "ring_tension")
    tension = done["unit_cell"].scopes["ring"]["F_Ri"].at(stage="2 Final", variant="EN 1997-1 DA1-1")
    permanent, whole, factored = (tension.at(combination=one).array for one in ("G", "G+Q", "factored actions"))
    by_hand = np.fmax(1.35 * permanent + 1.5 * (whole - permanent), factored)

    assert verdict.effect == pytest.approx(np.nanmax(by_hand))
    assert verdict.resistance == pytest.approx(400 / (1.5 * 1.1 * 1.05 * 1.4))
    assert verdict.case["stage"] == "2 Final"
    assert verdict.utilisation == pytest.approx((verdict.effect or 0) / (verdict.resistance or 1))


def test_required_strength_has_utilisation_one(chapters: Chapters) -> None:
    scope = chapters()["sleeve"].scopes["factors"]
    required = scope["R_req"]
    worst = float(required.array[required.valid].max())

    def just_strong(document: Any) -> None:
        document["sleeve"]["strength"] = f"{worst:.9f} kN/m"

    verdict = next(one for one in chapters(just_strong)["sleeve"].verdicts if one.key == "ring_tension")
    assert verdict.utilisation == pytest.approx(1.0, rel=1e-9)


def test_both_formats_of_resistance_stand_beside_each_other(chapters: Chapters) -> None:
    def both(document: Any) -> None:
        given = {"RF_CR": 1.5, "RF_ID": 1.1, "RF_W": 1.0, "RF_CH": 1.05, "R1": 1.1, "R2": 1.1}
        document["sleeve"]["iso20432"] = {key: {"value": value, "source": "invented"} for key, value in given.items()}

    def only_iso(document: Any) -> None:
        both(document)
        del document["sleeve"]["factors"]

    sleeve = chapters(both)["sleeve"]
    # Verification value of the format: 400 / (1.5·1.1·1.0·1.05·1.1414) = 202.3 kN/m, computed, not published.
    assert float(sleeve.scopes["iso20432"]["T_D"].array) == pytest.approx(202.3, abs=0.05)
    assert {one.key for one in sleeve.verdicts} >= {"ring_tension", "ring_tension_iso"}
    assert "ring_tension" not in {one.key for one in chapters(only_iso)["sleeve"].verdicts}


def test_weak_sleeve_fails_the_run(run_project: Callable[..., Run]) -> None:
    def weak(document: Any) -> None:
        document["sleeve"]["strength"] = "150 kN/m"

    run = run_project(weak)

    assert run.outcome == "fail"
    assert run.governing is not None
    assert run.governing[2].key == "ring_tension"


def test_large_ring_strain_is_a_limitation(chapters: Chapters) -> None:
    def slack(document: Any) -> None:
        for one in document["sleeve"]["stiffness"]:
            one["J"] = "1000 kN/m"

    assert "strain" in keys(chapters(slack)["sleeve"])


def test_chapters_not_built_are_not_verified_in_words(run_project: Callable[..., Run]) -> None:
    run = run_project(firm)
    open_chapters = [chapter for chapter in CHAPTERS if chapter.check is None]

    for chapter in open_chapters:
        sheet = next(one for one in run.sections[0].sheets if one.key == chapter.key)
        assert [one.state for one in sheet.verdicts] == ["not verified"]
        assert chapter.settles in sheet.verdicts[0].note
    assert run.outcome == "incomplete"


def test_every_line_has_its_own_number(run_project: Callable[..., Run]) -> None:
    part = run_project().sections[0]

    assert len(set(part.numbers.values())) == len(part.numbers)
    assert part.numbers["A/sleeve/-/F_Rd"].startswith("A.5.")


def test_run_without_any_rated_verdict_has_no_governing_one(run_project: Callable[..., Run]) -> None:
    part = run_project().sections[0]
    basis_only = Run(run_project().design, (type(part)(part.section, part.sheets[:2]),))

    assert basis_only.governing is None


def test_sleeve_that_is_never_taut_is_not_verified(chapters: Chapters) -> None:
    def slack(document: Any) -> None:
        document["sleeve"]["oversize"] = "150 mm"
        given = {"RF_CR": 1.5, "RF_ID": 1.1, "RF_W": 1.0, "RF_CH": 1.05, "R1": 1.1, "R2": 1.1}
        document["sleeve"]["iso20432"] = {key: {"value": value, "source": "invented"} for key, value in given.items()}

    sleeve = chapters(slack)["sleeve"]

    assert state(sleeve, "ring_tension") == "not verified"
    assert state(sleeve, "ring_tension_iso") == "not verified"
    assert "does not stretch" in sleeve.page.notes[0]


def test_stress_ratio_of_the_cell_below_the_one_for_stability_leaves_the_ground_open(chapters: Chapters) -> None:
    def slack(document: Any) -> None:
        document["sleeve"]["oversize"] = "30 mm"
        document["stage"][0]["n_stability"] = 4

    [why] = [one.note for one in chapters(slack)["bearing"].verdicts if one.key == "soft_bearing"]
    assert "exceeds the least of the unit cell in 1 First lift (4" in why


def test_residual_settlement_asked_for_stays_open(chapters: Chapters) -> None:
    def asked(document: Any) -> None:
        document["basis"]["limits"]["settlement_residual"] = "0.10 m"

    assert state(chapters(asked)["consolidation"], "settlement_residual") == "not verified"
