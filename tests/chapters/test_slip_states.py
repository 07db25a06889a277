"""States of the slip searches: plant on a lift, both stress ratios, bending of the columns line by line."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chapters.stability import cut_columns as slip_columns
from calc.engine.sheet import Sheet, stage_name
from calc.formulas import bending as be
from calc.procedures.slip import columns_cut
from tests.chapters.mats import verdict
from tests.chapters.slip_case import COARSE, FINAL, SECOND, no_gain, searched
from tests.chapters.test_slip import least

Chapters = Callable[..., dict[str, Sheet]]


def plant(document: Any) -> None:
    document["stage"][1]["plant"] = "30 kPa"


def test_plant_on_the_lift_loads_the_circles_while_it_is_placed(chapters: Chapters) -> None:
    plain, loaded = (chapters(searched(no_gain, *more))["stability"] for more in ([], [plant]))

    assert loaded["q_pl"].at(factor_set=SECOND, stage=FINAL).array == pytest.approx(1.3 * 30)
    assert least(loaded, "slip_lift") < least(plain, "slip_lift")
    assert least(loaded, "slip") == pytest.approx(least(plain, "slip"), rel=1e-12)
    assert least(loaded, "blocks_lift", "F_bl") < least(plain, "blocks_lift", "F_bl")
    assert not any("plant" in limitation.key for limitation in loaded.limitations)


def test_where_a_gain_counts_the_searches_run_again_by_the_ratio_of_the_cell(chapters: Chapters) -> None:
    """The gain is not proven by consolidation: none is left with the ratio of the cell, but columns carry more."""
    stability = chapters(searched())["stability"]
    without = chapters(searched(no_gain))["stability"]
    cell = stability.scopes["slip_cell"]

    for key in ("global_stability_cell", "global_stability_lift_cell", "global_stability_blocks_cell"):
        found = verdict(stability, key)
        assert found.utilisation is not None
        assert (found.required, found.case["stage"]) == (True, FINAL)
        assert not any(one.key == key for one in without.verdicts)
    assert cell["F_Bi"].number({"factor_set": SECOND, "stage": "1 First lift"}) is None
    assert cell["mu_s"].number({"stage": FINAL}) < stability["mu_s"].number({"stage": FINAL})  # type: ignore[operator]
    assert cell["sigma_cN"].number({"factor_set": SECOND, "stage": FINAL}) is not None
    assert "cell_ratio" not in without.scopes


def test_without_friction_in_the_columns_the_ratio_of_the_cell_is_the_worse_one(chapters: Chapters) -> None:
    def smooth(document: Any) -> None:
        document["slip"]["plane_reduction"] = {"value": 0.001, "source": "invented"}

    stability = chapters(searched(smooth))["stability"]

    assert least(stability, "slip_cell") < least(stability, "slip")


@pytest.mark.parametrize(("ratio", "state"), [(3, "pass"), (100, "not verified")])
def test_a_stress_ratio_above_that_of_the_cell_is_not_verified(chapters: Chapters, ratio: float, state: str) -> None:
    def high(document: Any) -> None:
        document["stage"][1]["n_stability"] = ratio

    stability = chapters(searched(high))["stability"]
    found = verdict(stability, "stress_ratio")
    relying = [one for one in stability.verdicts if one.key.startswith("global_stability")]

    assert found.state == state
    assert (stage_name(FINAL) in found.note) == (state != "pass")
    assert all(one.utilisation is None for one in relying) == (state != "pass")
    assert all(one.state == "not verified" for one in relying) == (state != "pass")


def test_columns_without_embedment_hold_nothing_below_the_cut(chapters: Chapters) -> None:
    def standing(document: Any) -> None:
        document["columns"]["embedment"] = "0 m"

    loose, held = (chapters(searched(no_gain, *change))["stability"] for change in ((standing,), ()))

    assert loose.scopes["embedment"]["V_toe"].array == pytest.approx(0.0)
    assert least(loose, "slip") <= least(held, "slip") + 1e-9


def test_bending_is_written_out_for_the_slice_whose_columns_resist_most(chapters: Chapters) -> None:
    """The strength of the slice in the search is that of the lines."""
    stability = chapters(searched(drained=True))["stability"]
    for name in ("slip", "slip_lift", "slip_drained"):
        scope = stability.scopes[name]
        case = {"factor_set": SECOND, "stage": FINAL}

        def number(symbol: str, scope: Any = scope, case: Any = case) -> float:
            return float(scope[symbol].number(case))

        assert number("kappa_b") * number("V_fr") == pytest.approx(min(number("V_fr"), number("V_col")))
        assert number("V_be") == pytest.approx(number("p_lat") * number("e_hi"))
        rows = [row for row in _slices(stability, name) if row[1] == "column"]
        if rows:
            assert max(float(row[9]) for row in rows) >= number("tau_cb") / 0.1495 - 0.01


def test_cohesion_from_the_sleeve_stands_in_the_lines_of_one_column(
    chapters: Chapters, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the lines have is what the search had for a slice; recomputed here from the values of the lines."""
    strengths: list[float] = []
    given = columns_cut

    def seen(model: Any, result: Any) -> Any:
        rows, cut = given(model, result)
        strengths.extend(np.asarray(cut.strength).tolist())
        return rows, cut

    def sleeve(document: Any) -> None:
        document["field"]["sleeve_cohesion"] = True

    reduction = {"value": 0.3, "source": "invented"}
    monkeypatch.setattr(slip_columns, "columns_cut", seen)
    stability = chapters(searched(sleeve, drained=True, plane_reduction=reduction))["stability"]
    case = {"factor_set": SECOND, "stage": FINAL}
    cohesion = stability.scopes["sleeve"]["c_rd"].number(case) or 0.0
    bends = {}
    for key in ("slip", "slip_drained"):
        scope = stability.scopes[key]
        names = ("sigma_cN", "phi_c", "alpha_b", "p_lat", "l_hi", "l_lo", "V_toe", "d_c", "kappa_g", "tau_cb", "a_E")
        values = {name: scope[name].number(case) or 0.0 for name in names}
        inclined, area = np.cos(values["alpha_b"]) ** 2, np.pi * values["d_c"] ** 2 / 4
        moment, p = area * values["sigma_cN"] * values["d_c"] / 8, values["p_lat"]
        shear = min((2 * moment * p) ** 0.5, p * values["l_hi"], p * values["l_lo"] + values["V_toe"])
        sliding = values["kappa_g"] * (values["sigma_cN"] * np.tan(values["phi_c"]) * inclined + cohesion)
        strength = values["tau_cb"] / values["a_E"]

        assert strength == pytest.approx(min(sliding, shear / area * inclined), rel=1e-9)
        assert np.isclose(strengths, strength, rtol=1e-9).any()
        bends[key] = sliding > shear / area * inclined
    assert cohesion > 0
    assert not all(bends.values())
    assert [("kappa_b" in stability.scopes[name]) for name in ("slip", "slip_lift")] == [False, True]


def _slices(stability: Sheet, name: str) -> list[Any]:
    return next(([*table.rows] for table in stability.page.tables if table.key == f"{name}-slices"), [])


def test_a_circle_that_cuts_no_column_writes_no_bending_out(
    chapters: Chapters, monkeypatch: pytest.MonkeyPatch
) -> None:
    given = columns_cut

    def above(model: Any, found: Any) -> Any:
        rows, cut = given(model, found)
        return rows[:0], cut.at(rows[:0])

    monkeypatch.setattr(slip_columns, "columns_cut", above)
    assert "kappa_b" not in chapters(searched())["stability"].scopes["slip"]


def test_embedment_holds_by_the_lesser_resistance_of_the_firm_layer(chapters: Chapters) -> None:
    def clay(document: Any) -> None:
        document["section"][0]["bearing_layer"]["c_u"] = "40 kPa"

    sand, stiff = (chapters(searched(no_gain, *more))["stability"] for more in ([], [clay]))
    drained = sand.scopes["embedment"]["V_toe"].number({"factor_set": SECOND, "stage": FINAL})
    quick = be.embedment_shear(be.lateral_resistance(40 / 1.4, 0.8), 0.5)

    assert sand["V_toe"].number({"factor_set": SECOND, "stage": FINAL}) == drained
    assert stiff["V_toe"].number({"factor_set": SECOND, "stage": FINAL}) == pytest.approx(
        min(drained or 0, float(quick))
    )
    assert np.isfinite(stiff["V_toe"].array).all()


def test_the_reduction_of_the_plane_model_is_a_line_of_its_own(chapters: Chapters) -> None:
    plain = chapters(searched(no_gain))["stability"]
    reduced = chapters(searched(no_gain, plane_reduction={"value": 0.5, "source": "invented"}))["stability"]

    assert plain["kappa_g"].array == 1.0
    assert reduced["kappa_g"].array == 0.5
    assert float(reduced.scopes["slip"]["kappa_b"].at(factor_set=SECOND, stage=FINAL).array) <= 0.5
    assert COARSE.get("plane_reduction") is None
