"""The chapter of the load transfer, from project file to verdicts: the common arching case, hand calculations."""

from collections.abc import Callable
from math import atan, pi, radians, sin, sqrt, tan
from typing import Any

import numpy as np
import pytest

from calc.figure import Scene
from calc.formulas import mat
from calc.sheet import Sheet
from tests.references.reader import table

Chapters = Callable[..., dict[str, Sheet]]
approx = pytest.approx
SETS = ["EN 1997-1 DA1-1", "EN 1997-1 DA1-2"]
FINAL, SERVICE = "2 Final", "serviceability"
FIRST = {"variant": SETS[0], "stage": FINAL, "load": "G+Q"}
COMMON = table("arching_common_case")


def layer(name: str, direction: str, stiffness: float = 5000.0, level: str = "0.40 m", **more: Any) -> dict[str, Any]:
    factors = {key: {"value": 1.1, "source": "invented"} for key in ("A1", "A2", "A3", "A4", "A5")}
    times = (("short", "1 d", stiffness), ("long", "100 a", 0.8 * stiffness))
    return {
        "name": name, "direction": direction, "strength": "900 kN/m", "interaction": 0.8, "level": level,
        "gamma_M": {"persistent": 1.4, "transient": 1.3, "accidental": 1.2, "source": "invented"},
        "stiffness": [{"name": one, "time": time, "J": f"{J:g} kN/m"} for one, time, J in times],
        "factors": factors, **more,
    }  # fmt: skip


def reinforced(document: Any, **transfer: Any) -> None:
    document["reinforcement"] = [layer("one", "across"), layer("two", "along", 2500.0)]
    given = {"full_arching_difference": "40 mm", "K_arching": 0.75, "load_shape": "triangular", "source": "invented"}
    kept = {key: value for key, value in {**given, **transfer}.items() if value is not None}
    document["load_transfer"] = kept


def change(**transfer: Any) -> Callable[[Any], None]:
    return lambda document: reinforced(document, **transfer)


def state(sheet: Sheet, key: str) -> str:
    return next(one.state for one in sheet.verdicts if one.key == key)


def keys(sheet: Sheet) -> set[str]:
    return {one.key for one in sheet.limitations}


def number(value: Any, **case: str) -> float:
    wanted = {**FIRST, "stiffness": "short-term", **case}
    return float(value.at(**{axis: label for axis, label in wanted.items() if axis in value.axis_names}).array)


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
    K_p = {name: number(sheet["K_p"], variant=name) for name in (*SETS, SERVICE)}
    reduced = atan(tan(radians(32.5)) / 1.25)

    assert K_p[SETS[0]] == approx(K_p[SERVICE])
    assert K_p[SETS[1]] == approx((1 + sin(reduced)) / (1 - sin(reduced)))
    assert [number(sheet["sigma_E"], variant=name) for name in (*SETS, SERVICE)] == approx(
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


def test_model_without_its_coefficient_is_left_out_and_the_others_serve(chapters: Chapters) -> None:
    sheet = chapters(change(K_arching=None))["load_transfer"]

    assert state(sheet, "arching_shaft") == "not verified"
    assert "shaft" not in sheet.scopes
    largest = max(number(sheet.scopes[key][name]) for key, name in (("domes", "sigma_sD"), ("shells", "sigma_sS"),
                                                                    ("concentric", "sigma_sC")))  # fmt: skip
    assert number(sheet["sigma_sA"]) == approx(largest)
    asked = chapters(change(K_arching=None, arching="shaft"))["load_transfer"]
    assert next(one for one in asked.verdicts if one.key == "arching_shaft").required
    assert not next(one for one in sheet.verdicts if one.key == "arching_shaft").required
    assert number(asked["sigma_sA"]) == approx(largest)


def test_without_reinforcement_the_membrane_is_left_open_in_words(chapters: Chapters) -> None:
    sheet = chapters()["load_transfer"]

    assert state(sheet, "membrane") == "not verified"
    assert "[[reinforcement]]" in next(one for one in sheet.verdicts if one.key == "membrane").note
    assert "T_mqD" not in sheet
    assert state(sheet, "surface_difference") == "not verified"


def test_without_the_difference_full_arching_stands_in_and_the_question_stays_open(chapters: Chapters) -> None:
    sheet = chapters(change(full_arching_difference=None))["load_transfer"]

    verdict = next(one for one in sheet.verdicts if one.key == "compatibility")
    assert verdict.state == "not verified"
    assert verdict.required
    assert "full_arching_difference" in verdict.note
    assert sheet["T_mqD"].array[sheet["T_mqD"].valid] == approx(sheet["T_mqF"].array[sheet["T_mqF"].valid])


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

    assert {"shells-L_m", "shells-r_k"} <= keys(chapters(wide)["load_transfer"])
    assert "2.5" in next(one for one in chapters(wide)["load_transfer"].limitations if one.key == "shells-L_m").text
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
    verdict = next(one for one in sheet.verdicts if one.key == "surface_difference")
    at = {"variant": SERVICE, "stiffness": "long-term"}
    critical = 1.15 * (1.97 / sqrt(3) - 0.4) + 1.44 * 0.8
    drop = number(sheet.scopes["compatible_triangular"]["Ds_h"], **at)

    assert verdict.effect == approx(drop * max(1 - 1.6 / critical, 0))
    assert verdict.resistance == approx(0.005)
    assert "critical-height" in keys(sheet)
    open_limit = chapters(low())["load_transfer"]
    assert not next(one for one in open_limit.verdicts if one.key == "surface_difference").required
    assert state(chapters(change())["load_transfer"], "critical_height") == "pass"


def test_critical_height_in_a_square_grid(chapters: Chapters) -> None:
    """The worked numbers of the common case: s' = 0.963 m, 2.41 m, computed from the stated equation."""
    scope = chapters(common_case)["load_transfer"].scopes["surface"]

    assert number(scope["s_far"]) == approx(0.963, abs=5e-4)
    assert number(scope["H_crit"]) == approx(2.41, abs=5e-3)
    assert number(scope["H_critB"]) == approx(1.4 * 1.2)


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

    assert [one.key for one in sheet.figures if isinstance(one, Scene)] == ["membrane"]
    models = next(one for one in sheet.tables if one.key == "models")
    assert len(models.rows) == 5
    assert len(next(one for one in chapters()["load_transfer"].tables if one.key == "models").rows) == 4
