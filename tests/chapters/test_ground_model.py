"""The chapter on characteristic values: estimates of the verification values, values that stand and that must fail."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.engine.sheet import Sheet, Verdict
from tests.chapters.readings_case import D, Row, chapter_of, strengths, used

approx = pytest.approx
Make = Callable[..., Sheet]
KEY = "value_c_u_clay_strength"
SCOPE = "c_u_clay_strength"


@pytest.fixture
def make(tmp_path: Path) -> Make:
    return lambda rows, *values, **more: chapter_of(tmp_path, rows, *values, **more)


def verdict(sheet: Sheet, key: str = KEY) -> Verdict:
    return next(one for one in sheet.verdicts if one.key == key)


def numbers(sheet: Sheet, name: str, scope: str = SCOPE) -> Any:
    return sheet.scopes[scope][name].array


def test_a_project_without_results_has_one_line(chapters: Callable[..., dict[str, Sheet]]) -> None:
    sheet = chapters()["ground_model"]
    (one,) = sheet.verdicts

    assert (one.stamp, sheet.steps, sheet.limitations) == ("not required", [], [])
    assert "ground_model" in one.note


def test_results_without_a_value_are_plotted_alone(make: Make) -> None:
    rows = [{"test": "permeability", "depth": 3, "k": "1e-9"}, {"test": "organic", "depth": 4, "organic": 12}]
    sheet = make(rows)
    panels = sheet.page.figures[0].panels  # type: ignore[union-attr]

    assert [one.stamp for one in sheet.verdicts] == ["not required"]
    assert [panel.series[0].values for panel in panels] == [(approx(-9),), (approx(12),)]
    assert not sheet.page.tables
    assert "SHA-256" in sheet.page.notes[0]


def test_mean_of_the_verification_data_reproduces_V2_3(make: Make) -> None:
    """10.7253 kPa, unknown variance; a value used of 10.7 stands, one of 10.8 fails."""
    low, high = (make(strengths(), {}, change=used(one)) for one in ("10.7 kPa", "10.8 kPa"))

    assert float(numbers(low, "x_low")) == approx(10.7253, abs=5e-5)
    assert float(numbers(low, "x_Sch")) == approx(11.1404, abs=5e-5)
    assert numbers(low, "d_est")[0] == approx((10.7 - 10.7253) / 2.4442, abs=1e-4)
    assert (verdict(low).state, verdict(high).state) == ("pass", "fail")
    assert "8 readings (strength) at B1, rows 3–10 of data.csv" in verdict(low).note


def test_value_used_stays_and_nothing_is_taken_over(make: Make) -> None:
    sheet = make(strengths(), {}, change=used("20 kPa"))

    assert set(numbers(sheet, "x_use")) == {20.0}
    assert verdict(sheet).utilisation == approx(20 / 10.7253, abs=1e-4)


def test_known_variation_reproduces_V2_3(make: Make) -> None:
    sheet = make(strengths(), {"V": {"value": 0.2, "source": "s"}})

    assert float(numbers(sheet, "x_low")) == approx(10.9246, abs=5e-5)
    assert "t_q" not in sheet.scopes[SCOPE]


def test_local_value_reproduces_V2_3(make: Make) -> None:
    assert float(numbers(make(strengths(), {"estimate": "local"}), "x_low")) == approx(7.4509, abs=5e-5)


def test_trend_reproduces_V2_4_and_governs_where_it_comes_nearest(make: Make) -> None:
    """8.0008 kPa at 1 m, 14.6258 at 8 m: a line of 9.2 kPa at 2.5 m that grows by 0.85 kPa/m stays below."""
    sheet = make(strengths(), {"estimate": "trend"}, change=used("9.2 kPa", "0.85 kPa/m"))
    found = numbers(sheet, "x_low")

    assert (found[0], found[-1]) == (approx(8.0008, abs=5e-5), approx(14.6258, abs=5e-5))
    assert float(numbers(sheet, "R_sq")) == approx(0.89961, abs=5e-6)
    one = verdict(sheet)
    line = 9.2 + 0.85 * (np.arange(1.0, 9.0) - 2.5)
    assert one.utilisation == approx(float(np.max(line / found)))
    assert one.state == "pass"
    assert verdict(make(strengths(), {"estimate": "trend"}, change=used("10.7 kPa"))).state == "fail"


def test_constant_estimate_beside_a_significant_trend_says_what_it_hides(make: Make) -> None:
    """A constant 10.73 kPa is 34 % above the trend at 1 m: 10.7 passes by the mean and would not along the trend."""
    sheet = make(strengths(), {}, change=used("10.7 kPa"))
    found = next(limitation for limitation in sheet.limitations if limitation.key == f"trend-{SCOPE}")

    assert found.turns == (KEY,)
    assert "1.34" in found.text
    assert numbers(sheet, "x_low", f"{SCOPE}_trend")[0] == approx(8.0008, abs=5e-5)
    safe = make(strengths(), {}, change=used("7.9 kPa"))
    assert next(limitation for limitation in safe.limitations if limitation.key == f"trend-{SCOPE}").turns == ()


def test_trend_below_nothing_counts_as_worse(make: Make) -> None:
    sheet = make(strengths((0.6, 3, 6, 9.8, 12, 16, 18, 20.5)), {}, change=used("0.5 kPa"))
    low = make(strengths((0.2, 0.3, 5, 6, 12, 14, 16, 20)), {"unsafe": "low"}, change=used("25 kPa"))

    assert min(numbers(sheet, "x_low", f"{SCOPE}_trend")) < 0
    assert next(limitation for limitation in sheet.limitations if limitation.key == f"trend-{SCOPE}").turns == (KEY,)
    assert numbers(low, "x_up", f"{SCOPE}_trend")[-1] > 20


def test_slope_that_is_not_significant_gives_the_constant_value_with_the_trend_beside(make: Make) -> None:
    rows = strengths((12, 13, 12.5, 13.5, 12.2, 13.1, 12.4, 13.0))
    trend, mean = (make(rows, {"estimate": one}) for one in ("trend", "mean"))

    assert float(numbers(trend, "t_b")) < float(numbers(trend, "t_s"))
    assert numbers(trend, "x_low") == numbers(mean, "x_low")
    assert f"{SCOPE}_trend" in trend.scopes
    assert not [limitation for limitation in trend.limitations if limitation.key.startswith("trend-")]
    assert "not significant" in next(table for table in trend.page.tables if table.key.startswith("readings")).note


@pytest.mark.parametrize("depths", [[3.0] * 5, [1.0, 2.0, 3.0, 4.0, 5.0]])
def test_where_there_is_no_trend_to_tell_the_constant_value_stands(make: Make, depths: list[float]) -> None:
    """All readings at one depth, or all on one line: a significance would be a number without end."""
    sheet = make(strengths((10, 11, 12, 13, 14), depths), {"estimate": "trend"})

    assert "t_b" not in sheet.scopes[SCOPE]
    assert float(numbers(sheet, "x_low")) == approx(12 - 2.1318 * np.sqrt(2.5 / 5), abs=1e-3)


def test_averaging_counts_independent_readings(make: Make) -> None:
    """Γ² 0.18 for θ 1 m and L 5 m and 6.3102 independent readings of eight (V2.5b)."""

    def thick(document: Any) -> None:
        document["section"][0]["layer"][1]["thickness"] = "5 m"

    sheet = make(strengths(), {"theta": {"value": "1 m", "source": "s"}, "averaging": "5 m"}, change=thick)

    assert float(numbers(sheet, "G_av")) == approx(0.18, abs=1e-5)
    assert float(numbers(sheet, "n_ef")) == approx(6.3102, abs=5e-5)
    assert float(numbers(sheet, "x_low")) == approx(12.3625 - 1.8946 * 2.4442 * np.sqrt(0.18 + 1 / 6.3102), abs=1e-3)


def test_upper_value_where_low_is_unsafe(make: Make) -> None:
    """Mirror of V2.3: 12.3625 + (12.3625 − 10.7253) kPa, so a value used of 13.9 is too low."""
    sheet = make(strengths(), {"unsafe": "low"}, change=used("13.9 kPa"))

    assert float(numbers(sheet, "x_up")) == approx(13.9997, abs=1e-4)
    assert (verdict(sheet).state, verdict(sheet).effect_symbol) == ("fail", "x_up")
    assert verdict(make(strengths(), {"unsafe": "low"}, change=used("14.1 kPa"))).state == "pass"
    both = make(strengths(), {"unsafe": "low", "estimate": "trend"})
    assert numbers(both, "x_up")[0] > 8.1036 + 0.94643


def test_large_scatter_is_estimated_by_logarithms(make: Make) -> None:
    x = np.array([4.0, 25.0, 9.0, 14.0, 6.0, 18.0])
    low, high = (make(strengths(x, [3, 4, 3.5, 5, 4.5, 6]), {"unsafe": one}) for one in ("high", "low"))
    y, s = np.log(x).mean(), np.log(x).std(ddof=1)

    assert float(numbers(low, "x_low")) == approx(np.exp(y - 2.01505 * s / np.sqrt(6)), rel=1e-5)
    assert float(numbers(high, "x_up")) == approx(np.exp(y + 2.01505 * s / np.sqrt(6)), rel=1e-5)
    assert "median" in next(table for table in low.page.tables if table.key.startswith("readings")).note


def test_large_scatter_about_a_trend_stays_open(make: Make) -> None:
    sheet = make(strengths((1, 9, 4, 20, 8, 30, 16, 34)), {"estimate": "trend"})

    assert verdict(sheet).stamp == "not verified"
    assert "0.3" in verdict(sheet).note


def test_three_readings_have_no_statistics(make: Make) -> None:
    sheet = make(strengths((10, 11, 12), (3, 4, 5)), {})

    assert (verdict(sheet).state, verdict(sheet).required) == ("not verified", True)
    assert "No statistics of 3 readings" in verdict(sheet).note
    assert sheet.page.tables[0].rows[0][-1] == "–"


def test_readings_that_are_all_alike_say_nothing(make: Make) -> None:
    assert "all alike" in verdict(make(strengths((10.0,) * 5, range(5)), {})).note


def test_an_estimate_of_nothing_is_not_compared(make: Make) -> None:
    sheet = make(strengths((0.2, 8.5, 13.0, 23.2, 27.5, 36.5), (1, 2, 3, 4, 5, 6)), {"estimate": "trend"})

    assert min(numbers(sheet, "x_low")) < 0
    assert "not above zero" in verdict(sheet).note


def test_a_value_for_information_fails_nothing(make: Make) -> None:
    over, under = (make(strengths(), {"required": False}, change=used(one)) for one in ("20 kPa", "5 kPa"))

    assert [(verdict(one).stamp, verdict(one).informs) for one in (over, under)] == [("not required", True)] * 2
    assert "1.865, on the unsafe side" in verdict(over).note
    assert "on the safe side" in verdict(under).note


def test_readings_left_out_keep_their_reason(make: Make) -> None:
    gone = [{"id": "R8", "reason": "shell bed"}]
    sheet = make(strengths(), {"left_out": gone})

    assert float(numbers(sheet, "n_x")) == 7
    assert float(numbers(sheet, "x_av")) == approx(np.mean(D[:-1]))
    assert ["Undrained strength of Organic clay, strength", "R8", "shell bed"] in [
        list(row) for table in sheet.page.tables for row in table.rows
    ]
    assert any(limitation.key == f"left-out-{SCOPE}" for limitation in sheet.limitations)


def test_depths_beyond_the_tests_are_said(make: Make) -> None:
    inside, whole = (make(strengths((9, 10, 11, 12), one), {}) for one in ((3, 4, 5, 6), (2.5, 3, 5, 6.5)))

    assert any(limitation.key == f"range-{SCOPE}" for limitation in inside.limitations)
    assert not any(limitation.key == f"range-{SCOPE}" for limitation in whole.limitations)


# Vane


def vanes(I_P: float | str = 50, **more: Any) -> list[Row]:
    return [{"test": "vane", "depth": 3 + k, "c_fv": x, "I_P": I_P, **more} for k, x in enumerate((20, 21, 23, 22))]


def vane(**more: Any) -> dict[str, Any]:
    return {"test": "vane", "correction": "plasticity", **more}


def test_each_vane_is_corrected_before_statistics_and_once(make: Make) -> None:
    sheet = make(vanes(), vane())
    scope = "c_u_clay_vane"

    assert numbers(sheet, "x_r", scope) == approx(0.7826 * np.array([20, 21, 23, 22]), rel=1e-4)
    done = make(vanes(), vane(correction="already corrected"))
    assert numbers(done, "x_r", scope).tolist() == [20, 21, 23, 22]
    assert "mu_v" not in done.scopes[scope]


def test_indices_of_the_entry_stand_in_for_empty_cells(make: Make) -> None:
    sheet = make(vanes(""), vane(I_P={"value": 0.5, "source": "index tests"}))
    assert numbers(sheet, "mu_v", "c_u_clay_vane") == approx([0.7826] * 4, abs=5e-5)
    limit = vane(correction="liquid limit", w_L={"value": 1.0, "source": "index tests"})
    assert numbers(make(vanes(), limit), "mu_v", "c_u_clay_vane") == approx([0.6840] * 4, abs=5e-5)


def test_peat_takes_its_own_calibration(make: Make) -> None:
    own = vane(correction="own", soil="peat", mu={"value": 0.55, "source": "back-analysis"})
    assert numbers(make(vanes(), own), "x_r", "c_u_clay_vane") == approx(0.55 * np.array([20, 21, 23, 22]))


@pytest.mark.parametrize(
    ("rows", "entry", "words"),
    [
        (vanes(8), vane(), "supplementary investigation"),
        (vanes(5), vane(), "above a plasticity index of 5 %"),
        (vanes(w_L=230), vane(correction="liquid limit"), "leaves 0.5 to 1.2"),
        (vanes(), vane(correction="own", mu={"value": 1.3, "source": "s"}), "readings all"),
    ],
)
def test_a_correction_beyond_its_range_is_refused(make: Make, rows: list[Row], entry: Any, words: str) -> None:
    """μ above 1.2 not without supplementary investigation: EN 1997-2, Annex I."""
    one = verdict(make(rows, entry), "value_c_u_clay_vane")

    assert one.stamp == "not verified"
    assert words in one.note


# Cone


def cones(**more: Any) -> list[Row]:
    return [{"test": "cone", "depth": 3 + k, "q_c": x, "u_2": 60, "a": 0.75, **more}
            for k, x in enumerate((250, 262, 290, 300))]  # fmt: skip


def test_cone_takes_the_corrected_resistance_above_total_stress(make: Make) -> None:
    """Total stress at 3 m: 0.7 m of peat above water, 1.8 m below, 0.5 m of clay; q_t = q_c + u_2 (1 − a)."""
    entry = {"test": "cone", "N_kt": {"value": 15, "source": "s"}, "N_du": {"value": 8, "source": "s"}}
    sheet = make(cones(), entry)
    scope = "c_u_clay_cone"
    total = 0.7 * 11 + 1.8 * 11.2 + 0.5 * 14.5

    assert numbers(sheet, "sigma_vi", scope)[0] == approx(total)
    assert numbers(sheet, "u_0i", scope)[0] == approx(9.81 * 2.3, rel=2e-3)
    assert numbers(sheet, "x_r", scope)[0] == approx((250 + 15 - total) / 15)
    assert numbers(sheet, "c_uDu", scope)[0] == approx((60 - numbers(sheet, "u_0i", scope)[0]) / 8)
    assert any(limitation.key == "readings-cone" for limitation in sheet.limitations)


def test_measured_pore_pressure_and_area_ratio_of_the_entry_count(make: Make) -> None:
    more = {"area_ratio": {"value": 0.8, "source": "s"}, "N_kt": {"value": 15, "source": "s"}}
    sheet = make(cones(u_0=30, a=""), {"test": "cone", **more})

    assert set(numbers(sheet, "u_0i", "c_u_clay_cone")) == {30.0}
    assert numbers(sheet, "q_t", "c_u_clay_cone")[0] == approx(250 + 60 * 0.2)


def test_open_water_and_the_bearing_layer_weigh_in_total_stress(make: Make) -> None:
    """0.6 m of open water; 0.5 m of sand below the layers at 7 m."""

    def flooded(document: Any) -> None:
        document["water"]["mean"] = "1.0 m"

    rows = [*cones(), {"test": "cone", "depth": 7, "q_c": 400, "u_2": 70, "a": 0.8}]
    sheet = make(rows, {"test": "cone", "N_kt": {"value": 15, "source": "s"}}, change=flooded)

    wanted = 0.6 * 9.81 + 2.5 * 11.2 + 4 * 14.5 + 0.5 * 20.5
    assert numbers(sheet, "sigma_vi", "c_u_clay_cone")[-1] == approx(wanted, rel=1e-3)


def test_heads_over_depth_give_the_pore_pressure_before_the_test(make: Make) -> None:
    """Water at −0.3 m, a head of 1.0 m at the base of the clay (−6.1 m): linear between, at −2.6 m 0.2155 m."""

    def artesian(document: Any) -> None:
        point = {"level": "-6.1 m", "head": "1.0 m"}
        document["water"]["head"] = [{"water": "mean", "points": [point], "source": "piezometers"}]

    sheet = make(cones(), {"test": "cone", "N_kt": {"value": 15, "source": "s"}}, change=artesian)

    head = -0.3 + 1.3 * 2.3 / 5.8
    assert numbers(sheet, "u_0i", "c_u_clay_cone")[0] == approx(9.81 * (head + 2.6), rel=2e-3)
    assert numbers(sheet, "sigma_vi", "c_u_clay_cone")[0] == approx(0.7 * 11 + 1.8 * 11.2 + 0.5 * 14.5)


def preconsolidated(document: Any) -> None:
    document["section"][0]["layer"][1]["sigma_p"] = "40 kPa"


def test_preconsolidation_by_cone_and_by_oedometer(make: Make) -> None:
    entry = {"parameter": "sigma_p", "test": "cone", "k_sigma": {"value": 0.33, "source": "s"}}
    sheet = make(cones(), entry, change=preconsolidated)
    net = numbers(sheet, "q_net", "sigma_p_clay_cone")
    assert numbers(sheet, "x_r", "sigma_p_clay_cone") == approx(0.33 * net)

    rows = [{"test": "preconsolidation", "depth": 3 + k, "sigma_p": x} for k, x in enumerate((42, 47, 44, 46))]
    sheet = make(rows, {"parameter": "sigma_p", "test": "preconsolidation"}, change=preconsolidated)
    one = verdict(sheet, "value_sigma_p_clay_preconsolidation")
    assert (one.state, one.effect) == ("pass", 40.0)


def test_a_cone_that_does_not_exceed_its_overburden_is_refused(make: Make) -> None:
    rows = [*cones(), {"test": "cone", "depth": 3.2, "q_c": 5, "u_2": 10, "a": 0.75}]
    sheet = make(rows, {"test": "cone", "N_kt": {"value": 15, "source": "s"}})

    assert "readings R5" in verdict(sheet, "value_c_u_clay_cone").note


# Oedometer


def oedometers(moduli: tuple[float, ...] = (1000, 1060, 950, 1020), sigma_p: float = 20) -> list[Row]:
    """Exact laws with an exponent of 0.9, stiff below the preconsolidation pressure."""
    rows: list[Row] = []
    stress = (12.5, 25.0, 50.0, 100.0, 200.0)
    for k, E in enumerate(moduli):
        strain = 0.0
        for before, after in zip((0.0, *stress), stress, strict=False):
            if before:
                mean = (after - before) / np.log(after / before)
                strain += (after - before) / (E * (mean / 100) ** 0.9 * (3 if before < sigma_p else 1))
            row = {"id": f"O{k}", "test": "oedometer", "depth": 3 + k, "stress": after, "sigma_p": sigma_p}
            rows.append(row | {"strain": f"{100 * strain:.12f}"})
    return rows


def test_only_increments_beyond_the_preconsolidation_pressure_enter_the_fit(make: Make) -> None:
    """The law with which the strains were made comes back; with the stiff increment it would not."""
    sheet = make(oedometers(), {"parameter": "E_oed_ref", "test": "oedometer"})
    scope = "E_oed_ref_clay_oedometer"

    assert numbers(sheet, "x_r", scope) == approx([1000, 1060, 950, 1020], rel=1e-9)
    assert numbers(sheet, "m_fit", scope) == approx([0.9] * 4, rel=1e-9)
    assert float(numbers(sheet, "n_inc", f"{scope}_1")) == 3
    assert verdict(sheet, f"value_{scope}").effect == 900.0
    assert sheet.page.aside == {f"{scope}_{k}" for k in (2, 3, 4)}
    table = next(table for table in sheet.page.tables if table.key == f"increments-{scope}")
    assert len(table.rows) == 12


def test_a_modulus_above_its_estimate_fails(make: Make) -> None:
    sheet = make(oedometers((700, 760, 650, 720)), {"parameter": "E_oed_ref", "test": "oedometer"})

    assert verdict(sheet, "value_E_oed_ref_clay_oedometer").state == "fail"


def test_many_values_share_figures_of_three_panels(make: Make) -> None:
    rows = [*strengths(), *({**one, "id": f"V{k}"} for k, one in enumerate(vanes())),
            *({**cone, "id": f"C{k}"} for k, cone in enumerate(cones())), *oedometers()]  # fmt: skip
    values: tuple[Any, ...] = ({}, vane(), {"test": "cone", "N_kt": {"value": 15, "source": "s"}},
              {"parameter": "E_oed_ref", "test": "oedometer"})  # fmt: skip
    sheet = make(rows, *values)

    assert [len(figure.panels) for figure in sheet.page.figures] == [3, 1]  # type: ignore[union-attr]
    crosses = sheet.page.figures[0].panels[0].series[-1]  # type: ignore[union-attr]
    assert (crosses.points, crosses.values) == (True, D)
