"""How numbers, results and cases read on the page."""

from dataclasses import replace

import numpy as np
import pytest

from calc.engine.sheet import (
    Value,
    case_words,
    coherent_text,
    label_words,
    number_text,
    printed_numbers,
    printed_result,
    value_text,
)
from calc.engine.sheet.printing import printed_expression
from calc.engine.symbols import INTO_COHERENT, NOMENCLATURE, SHOWN_FACTORS, Symbol, symbol
from calc.formulas.elastic_cell import elastic_strain
from calc.formulas.geometry import column_radius
from calc.formulas.ground import (
    initial_vertical_stress,
)
from calc.formulas.loads import factored_friction_angle
from calc.formulas.unit_cell import logarithmic_mean_stress, settlement_gap, soil_horizontal_stress, total_settlement
from tests.engine.calculator import calculated
from tests.engine.chapters import FILE, chapter, masked


@pytest.fixture(autouse=True)
def decimals(monkeypatch: pytest.MonkeyPatch) -> None:
    """The decimals of these quantities as this file expects them, whatever the pages are set to."""
    for name, number in {"s": 1, "phi_c": 3, "eps_R": 3, "sigma_hs": 3, "r_c": 4, "s_gap": 3}.items():
        monkeypatch.setitem(NOMENCLATURE, name, replace(symbol(name), decimals=number))


@pytest.mark.parametrize(
    ("number", "decimals", "text"),
    [
        (1.005, 2, "1.00"),
        (2.5, 0, "2"),
        (1234567.891, 1, "1234567.9"),
        (0.0, 2, "0.00"),
        (-0.0, 2, "0.00"),
        (-0.004, 2, "0.00"),
        (-0.006, 2, "-0.01"),
        (1.2345e-5, -3, "1.23e-5"),
        (1.2345e5, -3, "1.23e5"),
        (-1.2345e-10, -2, "-1.2e-10"),
        (-0.0, -3, "0.00e0"),
        (0.0, -3, "0.00e0"),
        (9.999, -3, "1.00e1"),
        (1e100, -2, "1.0e100"),
    ],
)
def test_number_has_its_decimals_or_significant_digits(number: float, decimals: int, text: str) -> None:
    assert number_text(number, decimals) == text


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (0.80, "0.8"),
        (19.0, "19"),
        (0.1 + 0.2, "0.3"),
        (1e-7, "0.0000001"),
        (-0.5, "-0.5"),
        (-0.0, "0"),
        (123456.789, "123456.789"),
        (1e15, "1000000000000000"),
    ],
)
def test_exact_number_prints_as_typed(number: float, text: str) -> None:
    assert number_text(number, 2, exact=True) == text


def given(name: str, number: float) -> Value:
    return chapter().given(name, number, origin=FILE)


@pytest.mark.parametrize(
    ("name", "number", "text"),
    [
        ("d_c", 0.80, "0.8 m"),
        ("phi", np.radians(32.5), "32.5°"),
        ("E_ref", 1500.0, "1500 kN/m²"),
        ("nu_s", 0.3, "0.3"),
        ("Dr_gap", 0.012, "12 mm"),
        ("eps_R", 0.035, "3.5 %"),
        ("gamma", 18.5, "18.5 kN/m³"),
        ("t", 100.0, "100 d"),
    ],
)
def test_given_value_prints_with_the_unit_shown(name: str, number: float, text: str) -> None:
    assert value_text(given(name, number), {}, unit=True) == text


def test_length_shown_in_millimetres_prints_in_both_units() -> None:
    sheet = chapter()
    sheet.given("s_i", [0.01234, 0.1], ["layer"], origin=FILE)
    sheet(total_settlement)

    assert printed_numbers(sheet.steps[-1], {}) == "(12.34 / 1000) + (100 / 1000)"
    assert printed_result(sheet.steps[-1], {}) == "0.1123 m = 112.3 mm"


def test_angle_prints_in_degrees_only() -> None:
    sheet = chapter()
    sheet.given("phi_ck", np.radians(35.0), origin=FILE)
    sheet.given("gamma_phi", 1.25, origin=FILE)
    sheet(factored_friction_angle)

    assert printed_expression(sheet.steps[-1]) == "φ′_c = arctan(tan(φ′_c,k) / γ_φ)"
    assert printed_numbers(sheet.steps[-1], {}) == "arctan(tan(35°) / 1.25)"
    assert printed_result(sheet.steps[-1], {}) == "29.256°"


def test_share_prints_as_number_and_per_cent() -> None:
    sheet = chapter()
    sheet.given("Dsigma_0", 60.0, origin=FILE)
    sheet.given("M_el", 3000.0, origin=FILE)
    sheet(elastic_strain)

    assert printed_numbers(sheet.steps[-1], {}) == "60 / 3000"
    assert printed_result(sheet.steps[-1], {}) == "0.02000 = 2.000 %"


def test_negative_numbers_stand_in_brackets_inside_a_line() -> None:
    sheet = chapter()
    for name, number in {"K_0s": 0.5, "Dsigma_vs": -3.0, "K_star": 1.0, "sigma_v0s": 20.0}.items():
        sheet.given(name, number, origin=FILE)
    sheet(soil_horizontal_stress)

    assert printed_numbers(sheet.steps[-1], {}) == "0.5 * (-3) + 1 * 20"
    assert printed_result(sheet.steps[-1], {}) == "18.500 kN/m²"


def test_condition_prints_as_it_holds_for_the_branch_taken() -> None:
    sheet = chapter()
    sheet.given("p_1", [20.0, 20.0], ["layer"], origin=FILE)
    sheet.given("p_2", [20.0, 40.0], ["layer"], origin=FILE)
    sheet(logarithmic_mean_stress)

    assert printed_numbers(sheet.steps[-1], {"layer": "top"}) == "20 ≤ 20, so 20"
    assert printed_numbers(sheet.steps[-1], {"layer": "low"}) == "40 > 20, so (40 - 20) / ln(40 / 20)"


def test_line_names_the_layers_that_it_sums() -> None:
    sheet = chapter(layer=("1", "2", "3"))
    sheet.given("p_0", 5.0, origin=FILE)
    sheet.given("w", [20.0, 30.0, 40.0], ["layer"], origin=FILE)
    sheet(initial_vertical_stress)
    lines = [printed_numbers(sheet.steps[-1], {"layer": label}) for label in "123"]

    assert lines == ["5 + 0 + 20 / 2", "5 + 20 + 30 / 2", "5 + (20 + 30) + 40 / 2"]


def test_result_without_a_number_prints_its_words() -> None:
    sheet = chapter()
    masked(sheet, "s_s", [0.1, 0.2], [False, True])
    sheet.given("s_c", 0.1, origin=FILE)
    sheet(settlement_gap)

    assert printed_result(sheet.steps[-1], {"layer": "low"}) == "no active state"
    assert printed_numbers(sheet.steps[-1], {"layer": "low"}) == "(no active state) - (100 / 1000)"


def test_computed_numbers_keep_the_decimals_of_their_quantity() -> None:
    sheet = chapter()
    sheet.given("d_c", 0.80, origin=FILE)
    sheet(column_radius)

    assert printed_result(sheet.steps[-1], {}) == "0.4000 m"


def test_step_that_is_no_formula_has_no_line() -> None:
    sheet = chapter()
    sheet.given("d_c", 0.80, origin=FILE)

    assert printed_numbers(sheet.steps[0], {}) == ""
    assert printed_expression(sheet.steps[0]) == ""


def test_negative_zero_is_printed_without_its_sign() -> None:
    sheet = chapter()
    sheet.given("s_s", 0.1, origin=FILE)
    sheet.given("s_c", 0.1 + 1e-12, origin=FILE)
    sheet(settlement_gap)

    assert not printed_result(sheet.steps[-1], {}).startswith("-")
    assert "= 0.0" in printed_result(sheet.steps[-1], {})


def test_case_reads_in_words_in_the_order_of_the_axes() -> None:
    case = {"layer": "peat", "load": "G+Q", "factor_set": "DA2", "stage": "2 full height"}

    assert case_words(case) == "factor set DA2, stage “full height”, load G+Q, layer peat"
    assert case_words({}) == ""


@pytest.mark.parametrize(
    ("axis", "label", "words"),
    [
        ("stage", "3 Stage 2", "“Stage 2”"),
        ("stage", "3 stage two", "“stage two”"),
        ("stage", "5 High water", "stage “High water”"),
        ("stage", "2 Staged lift", "stage “Staged lift”"),
        ("layer", "Layer 1, across", "Layer 1, across"),
        ("mat", "1 Layer 1, across", "Layer 1, across"),
        ("mat", "2 Woven", "layer 2 Woven"),
        ("layer", "peat 0.00–0.40 m", "layer peat 0.00–0.40 m"),
        ("trigger", "T4 stop, Stage 2", "trigger T4 stop, Stage 2"),
        ("date", "start of 5 Traffic", "date start of Traffic"),
        ("date", "day 85", "date day 85"),
        ("border", "x = -6.75 m", "border x = −6.75 m"),
        ("stage", "2 Lift -1", "stage “Lift -1”"),
    ],
)
def test_word_of_an_axis_is_said_once(axis: str, label: str, words: str) -> None:
    assert label_words(axis, label) == words
    assert case_words({axis: label}) == words


def test_significant_digits_stay_the_same_in_the_coherent_unit() -> None:
    """Three digits in millimetres once became no digits in metres."""
    assert Symbol("x", "x", "m", "x", -3, "mm").coherent_decimals == -3
    assert Symbol("x", "x", "m", "x", 1, "mm").coherent_decimals == 4
    assert Symbol("x", "x", "m", "x", 1, "m").coherent_decimals == 1
    assert Symbol("x", "x", "m/day", "x", 2, "mm/s").coherent_decimals == 0  # 0.01 mm/s are 0.9 m/day
    assert Symbol("x", "x", "m/day", "x", 0, "mm/s").coherent_decimals == 0


def test_typed_number_of_another_unit_stands_in_a_line_as_typed_with_its_conversion() -> None:
    """1.31 mPa·s is 0.000000000015162037037 kN·d/m²: nobody reads that."""
    sheet = chapter()
    viscosity = sheet.given("mu_w", 1.31 / 86400e6, origin=FILE)
    opening = sheet.given("O_95", 0.00025, origin=FILE)
    none = sheet.given("eps_Rm", 0.0, origin=FILE)

    assert value_text(viscosity, {}, unit=True) == "1.31 mPa·s"
    assert coherent_text(viscosity, {}, "mu_w") == "(1.31 / 10^6 / 86400)"
    assert coherent_text(opening, {}, "O_95") == "(0.25 / 1000)"
    assert coherent_text(none, {}, "eps_Rm") == "0"


def test_computed_number_of_another_unit_stands_in_a_line_as_its_own_line_prints_it() -> None:
    """A settlement of 12.34 mm prints as 0.01234 m = 12.34 mm; a rate in m/s keeps its digits and is converted."""
    sheet = chapter()
    settlement = sheet.reading("s_i", 0.01234, title="settlement")
    seepage = sheet.reading("k_f", 2.0e-9 * 86400, title="permeability")

    assert coherent_text(settlement, {}, "s_i") == "0.01234"
    assert coherent_text(seepage, {}, "k_f") == "(2.00e-9 * 86400)"


@pytest.mark.parametrize("units", list(SHOWN_FACTORS), ids=str)
def test_conversion_that_is_printed_is_the_one_between_the_units(units: tuple[str, str]) -> None:
    if units[1] == "deg":  # angles stand in degrees
        assert units not in INTO_COHERENT
    else:
        assert calculated(f"1{INTO_COHERENT[units]}") == pytest.approx(1 / SHOWN_FACTORS[units], rel=1e-12)
