"""The chapter on filters, from the project file to its verdicts, by hand calculations and published values."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit

from calc.engine.sheet import Sheet
from tests.chapters.filter_cases import DAY, TEST, filtered, keys, noted, verdict
from tests.chapters.timed import first_chapters

Chapters = Callable[..., dict[str, Sheet]]
approx = pytest.approx


def test_opening_under_strain_against_both_rules_by_hand(chapters: Chapters) -> None:
    """Fill: C_U = 4.5, B = 1 for 8/4.5, D85 = 2 mm. Clay, 90 % fines: B = 1, D85 = 0.06 mm, less than the opening."""
    run = chapters(filtered())
    sheet = run["filters"]
    strain = float(np.nanmax(run["unit_cell"].scopes["settlement"]["eps_Ri"].array))
    opening = 0.25e-3 + strain * (0.25e-3 + 0.80e-3)

    assert float(sheet["eps_Rm"].array) == approx(strain)
    assert verdict(sheet, "filter_retention").utilisation == approx(opening / 2.0e-3)
    fine = verdict(sheet, "filter_retention_fine")
    assert (fine.state, fine.case["grading"]) == ("fail", "clay")
    assert fine.utilisation == approx(opening / 0.06e-3)


def test_coefficient_of_retention_above_one_is_argued(chapters: Chapters) -> None:
    def argued(document: Any) -> None:
        document["filters"]["criteria"]["coarse_retention"] = {"value": 1.5, "source": "filtration tests"}

    usual, more = (chapters(filtered(change))["filters"] for change in (None, argued))

    argued_for = verdict(more, "filter_retention").utilisation or 0.0
    assert verdict(usual, "filter_retention").utilisation == approx(1.5 * argued_for)


def test_large_opening_for_fine_soil_is_a_limitation(chapters: Chapters) -> None:
    """AASHTO M 288 as quoted in UFGS 02373: 0.22 mm above 50 % of fines."""

    def opening(document: Any) -> None:
        document["filters"]["criteria"]["largest_opening"] = "0.22 mm"

    large, usual = (chapters(filtered(*change))["filters"] for change in ((), (opening,)))

    assert "filter-opening" in {limitation.key for limitation in large.limitations}
    assert "filter-opening" not in {limitation.key for limitation in usual.limitations}


def test_filtration_test_stands_in_the_place_of_the_rules(chapters: Chapters) -> None:
    def tested(document: Any) -> None:
        document["filters"]["soil"][1]["filtration_test"] = "report 2, invented"

    sheet = chapters(filtered(tested))["filters"]

    assert {"filter_retention_fine", "filter_clogging"}.isdisjoint(keys(sheet))
    assert "Organic clay: report 2, invented" in verdict(sheet, "filtration_tests").note


@pytest.mark.parametrize(("cap", "over"), [("0.30 mm", False), ("0.05 mm", True)])
def test_opening_under_strain_is_said_where_a_test_stands_for_the_rules(
    chapters: Chapters, cap: str, over: bool
) -> None:
    """The rule would have refused the strained sleeve; the test does not, and has to be of that sleeve."""

    def tested(document: Any) -> None:
        document["filters"]["soil"][1]["filtration_test"] = "report 2, invented"
        document["filters"]["criteria"]["largest_opening"] = cap

    sheet = chapters(filtered(tested))["filters"]
    text = next(limitation.text for limitation in sheet.limitations if limitation.key == "filter-tests-strained")

    assert f"to {1000 * float(sheet['O_eps'].array):.3f} mm" in text
    assert ("more than the largest opening of 0.050 mm" in text) == over
    assert "for 2 of the soils" in text


def test_permeability_and_permittivity_by_hand(chapters: Chapters) -> None:
    """10 times 2e-9 m/s against 4e-4 m/s; 0.2 per second for the peat with 40 % of fines against 4e-4/1.6e-3."""
    sheet = chapters(filtered())["filters"]

    assert verdict(sheet, "filter_permeability").utilisation == approx(10 * 2e-9 / 4e-4)
    found = verdict(sheet, "filter_permittivity")
    assert found.utilisation == approx(0.2 / 0.25)
    assert found.case["grading"] == "peat"


def test_clogging_of_a_wide_grading_by_hand(chapters: Chapters) -> None:
    found = verdict(chapters(filtered())["filters"], "filter_clogging")

    assert found.utilisation == approx(3 * 0.0015 / 0.25)
    assert found.case["grading"] == "clay"


def test_reversing_flow_asks_more_and_looks_at_the_fill(chapters: Chapters) -> None:
    """Then 0.5·D85 holds for every soil, and the fill may clog the sleeve: 3·0.25 mm against an opening of 0.25 mm."""

    def reversing(document: Any) -> None:
        document["filters"]["criteria"] |= {"flow": "reversing", "reversing": 0.5}

    sheet = chapters(filtered(reversing))["filters"]
    opening = float(sheet["O_eps"].array)

    assert verdict(sheet, "filter_retention").utilisation == approx(opening / (0.5 * 0.06e-3))
    clogging = verdict(sheet, "filter_clogging")
    assert clogging.utilisation == approx(3.0)
    assert clogging.case["grading"] == "fill of columns"


def test_reversing_flow_with_every_soil_tested_leaves_nothing_to_the_rules(chapters: Chapters) -> None:
    def tested(document: Any) -> None:
        document["filters"]["criteria"] |= {"flow": "reversing", "reversing": 0.5}
        for grading in (*document["filters"]["soil"], document["filters"]["fill"]):
            grading["filtration_test"] = "report 3, invented"

    assert {"filter_retention", "filter_clogging"}.isdisjoint(keys(chapters(filtered(tested))["filters"]))


def test_every_soil_tested_leaves_nothing_to_the_rules_under_steady_flow(chapters: Chapters) -> None:
    def tested(document: Any) -> None:
        for grading in (*document["filters"]["soil"], document["filters"]["fill"]):
            grading["filtration_test"] = "report 3, invented"

    assert {"filter_retention", "filter_retention_fine"}.isdisjoint(keys(chapters(filtered(tested))["filters"]))


def test_no_test_report_leaves_all_to_the_rules(chapters: Chapters) -> None:
    def untested(document: Any) -> None:
        del document["filters"]["soil"][0]["filtration_test"]

    assert "filtration_tests" not in keys(chapters(filtered(untested))["filters"])


def test_gradient_ratio_stands_in_the_place_of_the_rule_for_clogging(chapters: Chapters) -> None:
    def measured(document: Any) -> None:
        document["filters"]["soil"][1]["gradient_ratio"] = TEST

    sheet = chapters(filtered(measured))["filters"]

    assert verdict(sheet, "gradient_ratio_clay").utilisation == approx(1.2 / 3.0)
    assert "filter_clogging" not in keys(sheet)


def test_gradient_ratio_without_a_limit_is_left_open(chapters: Chapters) -> None:
    def measured(document: Any) -> None:
        document["filters"]["soil"][1]["gradient_ratio"] = TEST
        del document["filters"]["criteria"]["gradient_ratio_max"]

    note = noted(chapters(filtered(measured))["filters"], "gradient_ratio_clay")
    assert note == "Not given: limit of the gradient ratio (field filters.criteria.gradient_ratio_max)."


def test_uniform_soil_is_looked_at_by_its_open_area(chapters: Chapters) -> None:
    def uniform(document: Any) -> None:
        document["filters"]["soil"][1]["D_60"] = "0.0024 mm"

    sheet = chapters(filtered(uniform))["filters"]

    assert verdict(sheet, "filter_open_area").utilisation == approx(0.04 / 0.06)
    assert "filter_clogging" not in keys(sheet)


def test_uniform_soil_without_open_area_is_left_open(chapters: Chapters) -> None:
    def uniform(document: Any) -> None:
        document["filters"]["soil"][1]["D_60"] = "0.0024 mm"
        del document["filters"]["geotextile"]["open_area"], document["filters"]["criteria"]["open_area_min"]

    note = noted(chapters(filtered(uniform))["filters"], "filter_open_area")
    assert note == (
        "Not given: open area of the sleeve (field filters.geotextile.open_area); minimum open area (field "
        "filters.criteria.open_area_min)."
    )


def test_fill_as_a_granular_filter_by_hand(chapters: Chapters) -> None:
    """D15 of the fill 0.25 mm: at least 0.1 mm (5·0.01 mm is less); the clay allows 5·0.06 = 0.30 mm."""

    def retains(document: Any) -> None:
        document["filters"]["criteria"]["fill_retains"] = True

    sheet = chapters(filtered(retains))["filters"]

    assert verdict(sheet, "fill_passes_water").utilisation == approx(0.1 / 0.25)
    assert verdict(sheet, "fill_retains").utilisation == approx(0.25 / 0.30)


def test_fill_that_does_not_hold_the_soil_is_said_to_rest_on_the_sleeve(chapters: Chapters) -> None:
    def coarse(document: Any) -> None:
        document["filters"]["fill"] |= {"D_15": "0.40 mm"}

    held, coarser = (chapters(filtered(change))["filters"] for change in (None, coarse))

    assert "fill-retention" not in {limitation.key for limitation in held.limitations}
    assert "fill-retention" in {limitation.key for limitation in coarser.limitations}


def test_estimates_match_a_public_worked_example_of_kozeny_and_carman(chapters: Chapters) -> None:
    """Porosity 0.30, grain 0.1 mm, water at 10 degrees: printed as 0.000023 m/s, to two digits."""
    scope = chapters(filtered())["filters"].scopes["estimates"]

    assert float(scope["k_KC"].array) / DAY == approx(2.3e-5, abs=0.05e-5)


def test_estimates_reproduce_the_value_of_hazen_and_the_larger_governs(chapters: Chapters) -> None:
    """D10 = 0.2 mm: 4e-4 m/s, against 1e-4 m/s as given."""
    sheet = chapters(filtered())["filters"]

    assert float(sheet.scopes["estimates"]["k_Hz"].array) / DAY == approx(4e-4)
    assert verdict(sheet, "fill_permeability").utilisation == approx(1e-4 / 4e-4)


@pytest.mark.parametrize("grains", [{"D_10": "0.1 mm"}, {"D_10": "0.09 mm", "D_60": "0.25 mm", "fines": 0.09}])
def test_grading_outside_the_rule_of_hazen_is_said(chapters: Chapters, grains: dict[str, Any]) -> None:
    def outside(document: Any) -> None:
        document["filters"]["fill"] |= grains

    found = [
        {limitation.key for limitation in chapters(filtered(change))["filters"].limitations}
        for change in (None, outside)
    ]

    assert ["hazen-range" in keys_found for keys_found in found] == [False, True]


def test_grading_of_a_layer_that_the_section_does_not_have_is_said(tmp_path: Path) -> None:
    """Of another section with gyttja in the place of clay."""

    def elsewhere(document: Any) -> None:
        filters = document["filters"]["soil"]
        filters.append({**filters[1], "layer": "gyttja"})
        other = tomlkit.parse(tomlkit.dumps(document)).unwrap()["section"][0]
        other["key"], other["layer"][1]["key"] = "B", "gyttja"
        document["section"].append(other)

    own, more = (first_chapters(tmp_path, "filters")(filtered(one))["filters"] for one in (None, elsewhere))

    assert ["gyttja" in " ".join(one.page.notes) for one in (own, more)] == [False, True]
    assert "gyttja" not in more.axes["grading"]
