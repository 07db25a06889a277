"""The inputs handed over for global stability, from the project file, by hand calculations."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.engine.sheet import Sheet

Chapters = Callable[..., dict[str, Sheet]]
FINAL = "2 Final"
FIRST, SECOND = "EN 1997-1 DA1-1", "EN 1997-1 DA1-2"
A_E = np.pi * 0.4**2 / (3**0.5 / 2 * 1.97**2)
SHARE = 1 / (1 + 2 * A_E)  # stress ratio 3


def keys(sheet: Sheet) -> set[str]:
    return {limitation.key for limitation in sheet.limitations}


def test_shares_are_in_equilibrium_in_every_stage(chapters: Chapters) -> None:
    stability = chapters()["stability"]
    soil, column = stability["mu_s"].array, stability["mu_c"].array

    assert A_E * column + (1 - A_E) * soil == pytest.approx(np.ones(3))
    assert column / soil == pytest.approx([1.0, 1.5, 3.0])


def test_strict_split_by_hand(chapters: Chapters) -> None:
    """First sublayer, middle at 0.175 m in peat above water: 1.925 and 3.15 kPa before loading, 114 kPa of fill."""
    scope = chapters()["stability"].scopes["split"]
    at = {"stage": FINAL, "layer": scope["sigma_vs"].labels("layer")[0]}
    soil, column = 0.175 * 11 + SHARE * 114, 0.175 * 18 + 3 * SHARE * 114
    friction = (1 - A_E) * soil * np.tan(np.radians(20)) + A_E * column * np.tan(np.radians(32.5))
    mean = (1 - A_E) * soil + A_E * column

    assert scope["sigma_vs"].at(**at).array == pytest.approx(soil)
    assert scope["sigma_vc"].at(**at).array == pytest.approx(column)
    found = np.tan(scope["phi_ss"].at(**at).array)
    assert found[0] == pytest.approx(friction / mean)
    assert found[1] == pytest.approx(friction / mean / 1.25)


def test_undrained_strength_counts_on_the_soil_and_gains_where_given(chapters: Chapters) -> None:
    """25 kPa and 8 kPa of gain in the final stage, divided by 1.4 in the set that factors strengths."""
    scope = chapters()["stability"].scopes["undrained"]

    assert scope["c_avgu"].at(stage=FINAL, factor_set=SECOND).array == pytest.approx((1 - A_E) * 33 / 1.4)
    assert scope["c_avgu"].at(stage="1 First lift", factor_set=FIRST).array == pytest.approx((1 - A_E) * 25)
    column = A_E * 3 * SHARE * np.tan(np.radians(32.5))
    assert np.tan(scope["phi_avgu"].at(stage=FINAL, factor_set=FIRST).array) == pytest.approx(column)


def test_strength_grows_from_the_top_of_its_layer(chapters: Chapters) -> None:
    def growing(document: Any) -> None:
        document["section"][0]["layer"][1]["c_u_growth"] = "1 kPa/m"

    scope = chapters(growing)["stability"].scopes["undrained"]

    assert scope["c_u"].array[[0, -1]] == pytest.approx([25.0, 25 + 3.5])


def test_averaged_and_weighted_forms_by_hand(chapters: Chapters) -> None:
    """Averaged: a 3 μ tan φ_c + (1 − a) μ tan φ_s; weighted: load share of the cell; all characteristic in DA1-1."""
    done = chapters()
    stability, cell = done["stability"], done["unit_cell"].scopes["tension"]
    at = {"stage": FINAL, "factor_set": FIRST}
    top = {"layer": cell["Dsigma_vc"].labels("layer")[0]}
    soil, column = np.tan(np.radians([20, 32.5]))
    averaged = A_E * 3 * SHARE * column + (1 - A_E) * SHARE * soil
    share = A_E * float(cell["Dsigma_vc"].at(**at, **top, load="G").array) / 114
    K_a = (1 - np.sin(np.radians(32.5))) / (1 + np.sin(np.radians(32.5)))
    n_0 = 1 + A_E * ((5 - A_E) / (4 * K_a * (1 - A_E)) - 1)
    cautious = (n_0 - 1) / n_0

    assert np.tan(stability.scopes["averaged"]["phi_avg"].at(**at, **top).array) == pytest.approx(averaged)
    assert stability.scopes["averaged"]["c_avg"].at(**at, **top).array == pytest.approx((1 - A_E) * 2)
    weighted = stability.scopes["weighted"]
    assert np.tan(weighted["phi_m"].at(**at, **top).array) == pytest.approx(share * column + (1 - share) * soil)
    other = stability.scopes["weighted_cautious"]
    assert np.tan(other["phi_mr"].at(**at, **top).array) == pytest.approx(cautious * column + (1 - cautious) * soil)
    assert other["c_mr"].at(**at, **top).array == pytest.approx((1 - cautious) * 2)


def test_column_just_built_has_no_load_share(chapters: Chapters) -> None:
    share = chapters()["stability"].scopes["weighted"]["omega"].at(stage="0 columns built")

    assert not share.valid.any()


def test_sleeve_counts_on_request_only_and_without_a_substitute_angle(chapters: Chapters) -> None:
    """T / d · tan(45 + φ / 2) on the columns' share of the area, from the least tension of the cell."""

    def asked(document: Any) -> None:
        document["field"] = {"sleeve_cohesion": True}

    done = chapters(asked)
    stability = done["stability"]
    tension = done["unit_cell"].scopes["settlement"]["F_Ri"].at(
        position="crest edge", load="G", stiffness="long-term", stage=FINAL
    )  # fmt: skip
    found = stability.scopes["sleeve"]["c_rm"].at(factor_set=FIRST, stage=FINAL).array

    assert found == pytest.approx(A_E * tension.array / 0.8 * np.tan(np.radians(45 + 16.25)))
    assert "sleeve-cohesion" in keys(stability)
    assert not any(step.symbol == "phi_sub" for step in stability.steps)
    plain = chapters()["stability"]
    assert "sleeve" not in plain.scopes
    assert "sleeve-cohesion" not in keys(plain)


def test_sleeve_not_asked_for_in_a_given_field_does_not_count(chapters: Chapters) -> None:
    def wide(document: Any) -> None:
        document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m"}

    assert "sleeve" not in chapters(wide)["stability"].scopes


def test_global_stability_is_open_and_missing_strengths_are_named(chapters: Chapters) -> None:
    def no_strength(document: Any) -> None:
        del document["section"][0]["layer"][1]["c_u"]

    states = {verdict.key: (verdict.state, verdict.required) for verdict in chapters()["stability"].verdicts}
    missing = chapters(no_strength)["stability"]
    named = next(verdict for verdict in missing.verdicts if verdict.key == "stability_inputs")

    assert states == {"stability_inputs": ("pass", True), "global_stability": ("not verified", True)}
    assert named.state == "not verified"
    assert "of “Organic clay” is not given (field layer.c_u)" in named.note
    assert "undrained" not in missing.scopes
    ground = next(table for table in missing.page.tables if table.key == "handed-ground")
    assert {row[7] for row in ground.rows} == {"25.00", "not given"}


def test_hand_over_names_every_stage_sublayer_and_factor_set(chapters: Chapters) -> None:
    stability = chapters()["stability"]
    tables = {table.key: table for table in stability.page.tables}

    assert [row[0] for row in tables["handed-ground"].rows] == list(stability.axes["layer"])
    stages = tables["handed-stages"].rows
    assert [row[0] for row in stages] == ["1 First lift", FINAL]
    assert stages[1][1:] == ["6.00", "0.00", "20.0", "-0.30", "3.00", f"{SHARE:.4f}", f"{3 * SHARE:.4f}", "8.00"]
    assert [row[:2] for row in tables["handed-factors"].rows] == [
        [FIRST, "transient"], [FIRST, "persistent"], [SECOND, "transient"], [SECOND, "persistent"],
    ]  # fmt: skip


def test_compensation_fill_stands_in_the_tables_handed_over(chapters: Chapters) -> None:
    """The pressure of 19 kN/m3 over the settlement made up, 0.70 m of it above the water at -0.30 m; the slip search
    counts the same load."""

    def made_up(document: Any) -> None:
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"

    done = chapters(made_up)
    table = next(table for table in done["stability"].page.tables if table.key == "handed-stages")
    s_M = done["unit_cell"].scopes["tension"]["s_M"].at(stage=FINAL, load="G+Q")
    largest = float(np.max(np.where(s_M.valid, s_M.array, 0.0)))

    assert table.head[2].words == "compensation fill"
    assert 0.1 < largest
    assert table.rows[-1][2] == f"{19 * min(largest, 0.7) + 10 * max(largest - 0.7, 0.0):.2f}"
    assert "Compensation fill" in table.note
