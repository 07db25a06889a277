"""The chapter of the load transfer, from project file to verdicts: the common arching case, hand calculations."""

from math import atan, pi, radians, sin, sqrt, tan
from typing import Any

import numpy as np
import pytest

from calc.formulas import mat
from tests.chapters.mats import (
    FINAL,
    SERVICE,
    SETS,
    Chapters,
    change,
    keys,
    number,
    reinforced,
)
from tests.references.reader import table

approx = pytest.approx
COMMON = table("arching_common_case")


def common_case(document: Any) -> None:
    """Square grid of 2 m with heads of the area of 0.8 m by 0.8 m under 3 m of fill of 20 kN/m3 and 10 kPa."""
    case = COMMON["case"]
    reinforced(document, strain=0.05)
    document["columns"].update({"pattern": "square", "spacing": "2 m", "diameter": f"{1.6 / sqrt(pi):.12f} m"})
    document["embankment"].update({"height": "3 m", "gamma": "20 kN/m^3", "phi": "35 deg"})
    document["traffic"]["q"] = f"{case['q']:g} kPa"
    document["stage"][-1]["fill_height"] = "3 m"
    document["basis"]["factor_sets"] = SETS[:1]


def test_common_arching_case_reproduces_its_values_through_the_chapter(chapters: Chapters) -> None:
    """Verification values computed once, independently; characteristic because DA1-1 factors the effect."""
    sheet = chapters(common_case)["load_transfer"]
    scopes = sheet.scopes

    assert number(sheet["F_cell"]) == approx(280.0)
    assert number(scopes["domes"]["E_1"]) == approx(COMMON["domes"]["E_1"], abs=5e-5)
    assert number(scopes["domes"]["E_2"]) == approx(COMMON["domes"]["E_2"], abs=5e-5)
    assert number(scopes["domes"]["sigma_sD"]) == approx(COMMON["domes"]["sigma_sA"], abs=5e-3)
    assert number(scopes["shells"]["sigma_sS"]) == approx(COMMON["shells"]["sigma_sA"], abs=5e-3)
    assert number(scopes["shells"]["sigma_cA"]) == approx(COMMON["shells"]["sigma_cA"], abs=0.05)
    assert number(scopes["shells"]["F_m"]) == approx(COMMON["shells"]["F_m"], abs=5e-3)
    assert number(scopes["shaft"]["sigma_sT"]) == approx(COMMON["shaft"]["sigma_sA"], abs=5e-3)
    yielding = next(row for row in COMMON["coefficient"]["row"] if row["columns"] == "yielding")
    assert number(scopes["coefficient"]["C_c"]) == approx(yielding["C_c"], abs=5e-4)
    assert number(scopes["coefficient"]["mu_p"]) == approx(yielding["mu_p"], abs=5e-4)
    # The stored load has factors of 1.3 on both actions; here they are 1.
    assert number(scopes["coefficient"]["W_T"]) * 1.3 == approx(yielding["W_T"], abs=5e-3)
    assert number(scopes["coefficient"]["T_rp"]) * 1.3 == approx(yielding["T_5"], abs=0.05)


def test_every_model_but_the_coefficient_keeps_vertical_equilibrium(chapters: Chapters) -> None:
    sheet = chapters(common_case)["load_transfer"]

    for key, pressure in (("domes", "sigma_sD"), ("shells", "sigma_sS"), ("concentric", "sigma_sC"),
                          ("shaft", "sigma_sT")):  # fmt: skip
        scope = sheet.scopes[key]
        balance = scope["F_head"].array + scope[pressure].array * float(sheet["A_s"].array)
        load = np.broadcast_to(sheet["F_cell"].array, balance.shape)
        assert balance[scope["F_head"].valid] == approx(load[scope["F_head"].valid]), key
        assert scope["r_eq"].array[scope["r_eq"].valid] == approx(1.0), key
    assert abs(number(sheet.scopes["coefficient"]["r_eq"]) - 1) > 0.1
    assert "arching-coefficient" in keys(sheet)


def test_load_that_the_coefficient_accounts_for_by_hand(chapters: Chapters) -> None:
    """Head 2.194 · 70 · 0.64 = 98.3 kN; two strips of 1.2 m with 67.49 / 1.3 = 51.92 kN/m: 124.6 kN; of 280 kN."""
    scope = chapters(common_case)["load_transfer"].scopes["coefficient"]

    assert number(scope["F_head"]) == approx(2.194 * 70 * 0.64, rel=1e-3)
    assert number(scope["r_eq"]) == approx((98.3 + 124.6) / 280, rel=1e-3)
    assert mat.head_load_by_ratio(2.0, 70.0, 0.8) == approx(89.6)
    assert mat.load_accounted_for(100.0, 50.0, 1.2, 220.0) == approx(1.0)


def test_free_membrane_by_hand(chapters: Chapters) -> None:
    """Friction on vertical faces leaves most, 33.30 kN/m2 on 3.36 m2: 55.9 kN a strip; triangular, b = 0.8 m."""
    sheet = chapters(common_case)["load_transfer"]
    load = number(sheet["sigma_sA"]) * 3.36 / 2
    force = (5000 * 0.8 * load**2 / 15) ** (1 / 3)
    along = (2500 * 0.8 * load**2 / 15) ** (1 / 3)

    assert number(sheet["sigma_sA"]) == approx(COMMON["shaft"]["sigma_sA"], abs=5e-3)
    assert number(sheet["T_mqF"]) == approx(sqrt(force**2 + load**2 / 4) / 0.8)
    assert number(sheet["T_mlF"]) == approx(sqrt(along**2 + load**2 / 4) / 0.8)
    assert number(sheet.scopes["free_triangular"]["f_mq"]) == approx(load * 1.2 / (6 * force))
    assert number(sheet["T_mqF"], stiffness="long-term") < number(sheet["T_mqF"])


def test_membrane_on_the_ground_carries_less_than_the_free_one(chapters: Chapters) -> None:
    for shape in ("uniform", "triangular", "inverse"):
        sheet = chapters(change(load_shape=shape))["load_transfer"]
        on_ground = sheet.scopes[f"supported_{shape}_across"]["T_m"]
        free = sheet.scopes[f"free_{shape}"]["T_mq"]
        assert (on_ground.array < free.array)[on_ground.valid].all()
        assert on_ground.valid.any()


def test_compatible_settlement_balances_the_pressures(chapters: Chapters) -> None:
    """The balance beside the head, written out again from the moduli and the stiffness of the strips."""
    sheet = chapters(change())["load_transfer"]
    scope = sheet.scopes["compatible_triangular"]
    mean, full, k_s, k_c = (number(sheet[name]) for name in ("sigma_E", "sigma_sA", "k_s", "k_c"))
    a_E, L_m, A_s, b_m = (number(sheet[name]) for name in ("a_E", "L_m", "A_s", "b_m"))
    drop = number(scope["Ds_h"])

    sag = drop / (5 / 8)
    carried = 6**3 / 15 * 7500 * b_m * (sag / L_m) ** 3 / A_s
    # Column and ground settle by s_c and s_c + drop and carry the mean pressure together.
    s_c = (mean - (1 - a_E) * k_s * drop) / (a_E * k_c + (1 - a_E) * k_s)
    ground = k_s * (s_c + drop)
    least = k_s * mean / (a_E * k_c + (1 - a_E) * k_s)
    above = max(mean - (mean - full) * min(drop / 0.04, 1), least)
    assert 0 < drop
    assert above == approx(ground + carried, rel=1e-6)
    force = 5000 * b_m * 36 / 15 * (sag / L_m) ** 2
    edge = carried * A_s * 5000 / 7500 / 2
    assert number(sheet["T_mqD"]) == approx(sqrt(force**2 + edge**2) / b_m, rel=1e-6)


def test_moduli_are_means_of_the_cell_over_its_settlement(chapters: Chapters) -> None:
    done = chapters(change())
    sheet, cell = done["load_transfer"], done["unit_cell"].scopes["settlement"]
    at = {"stage": FINAL, "position": "centre", "load": "G+Q", "stiffness": "long-term"}
    stress, h = cell["Dsigma_vs"].at(**at).array, sheet["h"].array
    s = float(cell["s"].at(**at).array)

    assert number(sheet["k_s"]) == approx(float((stress * h).sum() / h.sum()) / s)
    share = number(sheet["a_E"])
    total = share * number(sheet["Dsigma_vcm"]) + (1 - share) * number(sheet["Dsigma_vsm"])
    assert total == approx(number(sheet["Dsigma_0"]))
    assert mat.mean_soil_stress(np.array([1.0, 4.0]), np.array([2.0, 1.0])) == approx(2.0)


def test_factor_sets_enter_at_their_source_and_serviceability_has_none(chapters: Chapters) -> None:
    sheet = chapters(change())["load_transfer"]
    K_p = {name: number(sheet["K_p"], factor_set=name) for name in (*SETS, SERVICE)}
    reduced = atan(tan(radians(32.5)) / 1.25)

    assert K_p[SETS[0]] == approx(K_p[SERVICE])
    assert K_p[SETS[1]] == approx((1 + sin(reduced)) / (1 - sin(reduced)))
    assert [number(sheet["sigma_E"], factor_set=name) for name in (*SETS, SERVICE)] == approx(
        [6 * 19 + 20, 6 * 19 + 1.3 * 20, 6 * 19 + 0.3 * 20]
    )


def test_tension_is_between_none_and_that_of_a_flexible_load(chapters: Chapters) -> None:
    """Without difference there is no tension; the more difference arching needs, the larger it becomes."""
    found = [
        number(chapters(change(full_arching_difference=f"{one} mm"))["load_transfer"]["T_mqD"]) for one in (2, 90, 150)
    ]

    assert 0 < found[0] <= found[1] < found[2]


def test_shape_not_given_takes_the_largest_tension(chapters: Chapters) -> None:
    open_shape = chapters(change(load_shape=None))["load_transfer"]
    each = [chapters(change(load_shape=shape))["load_transfer"] for shape in ("uniform", "triangular", "inverse")]

    for name in ("T_mqF", "T_mqD", "T_mlD"):
        assert number(open_shape[name]) == approx(max(number(one[name]) for one in each)), name


@pytest.mark.parametrize(("model", "symbol"), [("domes", "sigma_sD"), ("shells", "sigma_sS"),
                                               ("concentric", "sigma_sC"), ("shaft", "sigma_sT")])  # fmt: skip
def test_model_asked_for_gives_the_pressure(chapters: Chapters, model: str, symbol: str) -> None:
    sheet = chapters(change(arching=model))["load_transfer"]

    assert number(sheet["sigma_sA"]) == approx(number(sheet.scopes[model][symbol]))


def test_critical_height_in_a_square_grid(chapters: Chapters) -> None:
    """The worked numbers of the common case: s' = 0.963 m, 2.41 m, computed from the stated equation."""
    scope = chapters(common_case)["load_transfer"].scopes["surface"]

    assert number(scope["s_far"]) == approx(0.963, abs=5e-4)
    assert number(scope["H_crit"]) == approx(2.41, abs=5e-3)
    assert number(scope["H_critB"]) == approx(1.4 * 1.2)
