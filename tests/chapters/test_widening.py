"""The chapter on widening, from the project file to its verdicts: by hand, what stood, what must fail, what stays open.

The test bank of 6 m with a crest of 12 m and slopes 1:2 stands around an old one of 5 m whose left slope it keeps.
"""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chain import Run
from calc.engine.figure import Chart
from calc.engine.sheet import Sheet
from calc.formulas import widening as wd
from tests.chapters.timed import layers, timed
from tests.chapters.widening_case import (
    Chapters,
    at,
    indices,
    limits,
    residual,
    turned,
    verdict,
    widened,
)

approx = pytest.approx


def test_no_widening_is_one_line_and_moves_nothing(chapters: Chapters) -> None:
    sheet = chapters()["widening"]

    assert [(one.key, one.stamp) for one in sheet.verdicts] == [("widening", "not applicable")]
    assert [sheet.steps, sheet.limitations, sheet.page.tables, sheet.page.figures] == [[]] * 4


def test_positions_are_those_of_both_outlines_from_left_to_right(beside_old: Callable[..., Sheet]) -> None:
    sheet = beside_old(positions=["1 m", "-6 m"])  # the latter is the old axis

    assert list(zip(sheet.axes["position"], sheet["x_W"].array.tolist(), strict=True)) == [
        ("old left toe, left toe", -18), ("old left crest edge", -8), ("old axis, left crest edge, −6 m", -6),
        ("old right crest edge", -4), ("beside right innermost columns", -2), ("right innermost columns", -2),
        ("axis", 0), ("1 m", 1), ("3.50 m", 3.5), ("old right toe, right crest edge", 6), ("right toe", 18),
    ]  # fmt: skip


def test_every_end_of_a_base_length_says_which_it_is(beside_old: Callable[..., Sheet]) -> None:
    """Ten lines had one title and differed by an index alone."""
    titles = [step.title for step in beside_old().steps if step.title.endswith(", interpolated")]

    assert len(titles) == len(set(titles)) == 10
    assert "Largest settlement counted at the left end of the base length, interpolated" in titles


def test_stress_by_hand_below_the_height_of_fill(beside_old: Callable[..., Sheet]) -> None:
    """At x = −4 m 5 m of old fill at 18 and 1 m of new at 19 kN/m³, ψ₂ · 20 kPa; at 1 m 2.5 m of old fill."""
    sheet = beside_old(positions=["1 m"])
    method = "height above"

    assert at(sheet, "", "sigma_O", "old right crest edge", method) == approx(90.0)
    assert at(sheet, "", "sigma_N", "old right crest edge", method) == approx(90 + 19 + 6)
    assert at(sheet, "", "sigma_O", "1 m", method) == approx(45.0)
    assert at(sheet, "", "Dsigma_W", "1 m", method) == approx(45 + 3.5 * 19 + 6 - 0.9 * 45)


def test_stress_in_the_half_space_is_that_of_both_outlines(beside_old: Callable[..., Sheet]) -> None:
    sheet = beside_old(positions=["1 m"])
    old = 90 * wd.influence_of_outline(1.0, sheet["z"].array, -18.0, -8.0, -4.0, 6.0)
    new = wd.influence_of_outline(1.0, sheet["z"].array, -18.0, -6.0, 6.0, 18.0)
    crest = wd.influence_of_crest(1.0, sheet["z"].array, -6.0, 6.0)

    assert at(sheet, "", "sigma_O", "1 m") == approx(old)
    assert at(sheet, "", "sigma_O0", "1 m") == approx(sheet["sigma_v0s"].array + 0.9 * old)
    assert at(sheet, "", "sigma_N", "1 m") == approx(114 * new - 19 * old / 18 + old + 6 * crest)


def test_far_from_the_old_bank_the_cell_is_that_of_the_unit_cell(chapters: Chapters) -> None:
    """An old bank of a metre at the left toe leaves the right crest edge as new ground under the whole height."""
    low: dict[str, Any] = {"height": "1 m", "crest_left": "-16 m", "crest_right": "-15 m", "columns_right": "-12 m"}
    found = chapters(widened(**low))
    unit = found["unit_cell"].scopes["settlement"]["s"]
    final = unit.at(stage=unit.labels("stage")[-1], position="centre", load="G+Q", stiffness="long-term")

    settled = at(found["widening"], "cell", "s_Wc", "right crest edge", "height above")
    assert float(settled) == approx(float(final.array), rel=1e-9)


def test_old_bank_lessens_what_settles_on_columns(beside_old: Callable[..., Sheet]) -> None:
    sheet = beside_old()

    assert at(sheet, "cell", "s_Wc", "axis") < at(sheet, "cell", "s_Wc", "old right toe, right crest edge")


def test_law_without_columns_by_hand(beside_old: Callable[..., Sheet]) -> None:
    """The first sublayer at the right crest edge, with the stresses of the sheet; OCR 1 is no history of its own."""
    sheet = beside_old(indices)
    h = sheet["h"].array[0]
    case = {"position": "axis", "method": "half-space", "layer": sheet.axes["layer"][0]}
    before, final = (sheet[name].number(case) for name in ("sigma_O0", "sigma_W1"))
    assert before
    assert final

    settled = sheet.scopes["indices"]["s_iu"].number(case)
    assert settled == approx(h / 3 * 1.2 * np.log10(final / before))


def test_rest_of_the_old_bank_is_part_of_the_whole_and_nothing_once_it_has_consolidated(
    beside_old: Callable[..., Sheet],
) -> None:
    sheet = beside_old(indices)
    for law in ("indices", "modulus"):
        scope = sheet.scopes[law]
        assert (scope["s_WN"].array + scope["s_WO"].array) == approx(scope["s_Wu"].array)
        assert (scope["s_WO"].at(method="half-space").array > 0).all()
    for law in ("indices", "modulus"):
        assert beside_old(indices, consolidation=1.0).scopes[law]["s_WO"].array == approx(0.0, abs=1e-12)


def test_ageing_lessens_settlement_by_the_logarithmic_law_alone(beside_old: Callable[..., Sheet]) -> None:
    young, aged = beside_old(indices), beside_old(indices, ageing="10 kPa")
    place = "old right crest edge"

    assert at(aged, "indices", "s_Wu", place) < at(young, "indices", "s_Wu", place)
    assert at(aged, "modulus", "s_Wu", place) == at(young, "modulus", "s_Wu", place)


def test_mirrored_bank_has_mirrored_settlement(beside_old: Callable[..., Sheet]) -> None:
    here, there = beside_old(indices), beside_old(indices, mirrored=True)

    assert there["x_W"].array == approx(-here["x_W"].array[::-1])
    for scope, name in (("indices", "s_Wu"), ("modulus", "s_WO"), ("cell", "s_Wc")):
        assert there.scopes[scope][name].array == approx(here.scopes[scope][name].array[::-1])
    for key in ("widening_difference", "widening_cross_fall", "widening_grade", "widening_settlement"):
        assert verdict(there, key).effect == approx(verdict(here, key).effect)


def by_hand(sheet: Sheet) -> tuple[float, float, float]:
    """Difference, slope and change of slope over 3 m, each law and method, from a fine grid of places by brute force.

    Every place without columns is anywhere between the share of those on columns and all of its settlement.
    """
    profile, base = sheet.scopes["profile"], 3.0
    share = float(profile["r_Wc"].array)
    x = sheet["x_W"].array
    crest = [k for k, one in enumerate(x) if -6 <= one <= 6]
    stand = [sheet.axes["position"][k] in sheet.kept["columns"] for k in crest]
    places = x[crest] + 1e-9 * np.arange(len(crest))
    grid = np.unique([p + k * base + e for p in places for k in (-2, -1, 0, 1, 2) for e in (-2e-9, 0, 2e-9)])
    grid = grid[(grid >= -6) & (grid <= 6 + 1e-7)]
    worst = [0.0, 0.0, 0.0]
    for law in ("indices", "modulus"):
        bare = sheet.scopes[law]["s_Wu"].at(method="half-space").array[crest]
        for cell in sheet.scopes["cell"]["s_Wc"].array[crest].T:
            for r in (0.0, share):
                most, least = np.where(stand, r * cell, bare), np.where(stand, r * cell, r * bare)
                worst[0] = max(worst[0], most.max() - least.min())

                def ends(spot: float, pair: Any = (most, least)) -> list[float]:
                    return [float(np.interp(spot, places, one)) for one in pair]

                for spot in grid:
                    if spot + base <= 6 + 1e-7:
                        pairs = [(a, b) for a in ends(spot) for b in ends(spot + base)]
                        worst[1] = max(worst[1], *(abs(b - a) / base for a, b in pairs))
                    if -6 <= spot - base + 1e-9 and spot + base <= 6 + 1e-7:
                        three = [(a, m, b) for a in ends(spot - base) for m in ends(spot) for b in ends(spot + base)]
                        worst[2] = max(worst[2], *(abs(a + b - 2 * m) / base for a, m, b in three))
    return worst[0], worst[1], worst[2]


def test_crest_that_bears_it_passes(beside_old: Callable[..., Sheet]) -> None:
    """The largest of all states of the crest, the step at the innermost columns included."""
    sheet = beside_old(indices)
    difference, slope, grade = by_hand(sheet)

    assert [one.state for one in sheet.verdicts if one.key.startswith("widening_") and one.required][:4] == ["pass"] * 4
    assert verdict(sheet, "widening_difference").effect == approx(difference)
    assert verdict(sheet, "widening_cross_fall").effect == approx(slope, rel=1e-6)
    assert verdict(sheet, "widening_grade").effect == approx(grade, rel=1e-6)


def test_positions_that_are_typed_lower_no_verdict(beside_old: Callable[..., Sheet]) -> None:
    """The innermost columns are positions by themselves; a position beside them shows no more than they do."""
    plain, typed = beside_old(indices), beside_old(indices, positions=["-2 m", "-1.9 m", "-2.1 m", "20 m"])

    for key in ("widening_difference", "widening_settlement", "widening_cross_fall"):
        assert verdict(typed, key).effect == approx(verdict(plain, key).effect, rel=0.02)
    law = "logarithmic law, residual on columns"
    step = plain.scopes["profile"]["s_WC"].at(combination=law, method="half-space")
    bare, treated = (float(step.at(position=f"{one}right innermost columns").array) for one in ("beside ", ""))
    assert bare > 2 * treated


def test_slopes_are_asked_over_a_base_length_alone(beside_old: Callable[..., Sheet]) -> None:
    asked = {"difference": "2 m", "source": "invented"}
    sheet = beside_old(indices, limits=asked)

    assert {verdict(sheet, f"widening_{key}").stamp for key in ("cross_fall", "grade")} == {"not required"}
    assert "widening-slopes" not in [table.key for table in sheet.page.tables]


def test_total_settlement_of_the_crest_without_columns_fails(beside_old: Callable[..., Sheet]) -> None:
    def loose(document: Any) -> None:
        document["basis"]["limits"]["settlement_total"] = "0.05 m"

    assert verdict(beside_old(indices, loose), "widening_settlement").state == "fail"


def test_bound_over_the_limit_is_not_verified(beside_old: Callable[..., Sheet]) -> None:
    """How much is still to come without columns is not known: more than the limit need not come true."""
    sheet = beside_old(indices, limits=limits(difference="1 mm", cross_fall=1e-4, grade=1e-4))

    for key in ("widening_difference", "widening_cross_fall", "widening_grade"):
        assert verdict(sheet, key).state == "not verified"
        assert verdict(sheet, key).note.startswith("The upper bound exceeds the limit")
        assert verdict(sheet, key).effect


def test_share_after_hand_over_is_that_of_the_chapter_on_consolidation(chapters: Chapters) -> None:
    found = chapters(widened(timed(hand_over="500 d")))
    settled = found["consolidation"].scopes["residual"]["s_hpm"].at(scenario="cₕ lower").array
    unit = found["unit_cell"].scopes["settlement"]["s"]
    final = unit.at(stage=unit.labels("stage")[-1], position="centre", load="G+Q", stiffness="long-term").array

    assert float(found["widening"].scopes["profile"]["r_Wc"].array) == approx(float(1 - settled / final))


def test_residual_settlement_without_columns_passes_by_its_bound_or_is_open(
    beside_old: Callable[..., Sheet],
) -> None:
    loose, strict = beside_old(residual("2 m")), beside_old(residual("1 mm"))

    assert verdict(loose, "widening_residual").state == "pass"
    refused = verdict(strict, "widening_residual")
    assert refused.state == "not verified"
    assert refused.note.startswith("All settlement without columns, with the creep from hand-over on")


def test_creep_after_hand_over_counts_without_columns_or_leaves_the_residual_settlement_open(
    beside_old: Callable[..., Sheet], chapters: Chapters
) -> None:
    """Time from the end of the filling on: the latest origin gives the most between hand-over and the end of life."""
    found = chapters(widened(timed(residual("2 m"), hand_over="500 d")))
    scope, creep = found["widening"].scopes["profile"], found["consolidation"].scopes["secondary_end"]
    assert float(creep["s_seco"].array) > 0.05
    assert float(scope["s_Wres"].array) == approx(float(scope["s_Wpr"].array) + float(creep["s_seco"].array))

    unknown = verdict(beside_old(layers(C_alpha=0.03, e_0=3.0), residual("2 m")), "widening_residual")
    assert unknown.stamp == "not verified"
    assert unknown.note.startswith("The ground creeps, and its secondary settlement")


def test_old_part_turns_the_residual_settlement_that_its_bound_does_not_pass(run_project: Callable[..., Run]) -> None:
    for limit, expected in (("3 m", set()), ("1 mm", {"settlement_residual"})):
        run = run_project(widened(timed(residual(limit)), indices))
        (sheet,) = [sheet for sheet in run.sections[0].sheets if sheet.key == "widening"]
        assert set(turned(sheet, "widening-time")) == expected


def test_crest_on_columns_alone_has_no_residual_question(beside_old: Callable[..., Sheet]) -> None:
    """Old bank far to the left below the slope: all of the crest is new and on columns."""
    low: dict[str, Any] = {"height": "1 m", "crest_left": "-16 m", "crest_right": "-15 m", "columns_right": "-12 m"}
    sheet = beside_old(residual("1 m"), **low)

    assert verdict(sheet, "widening_residual").stamp == "not applicable"
    assert verdict(sheet, "widening_grade").state == "pass"


def test_without_limits_nothing_is_asked(beside_old: Callable[..., Sheet]) -> None:
    stamps = {one.key: one.stamp for one in beside_old(limits=None).verdicts}

    assert {stamps[f"widening_{key}"] for key in ("difference", "cross_fall", "grade")} == {"not required"}


def test_law_that_has_no_recompression_alone_turns_what_it_flattens(chapters: Chapters) -> None:
    alone, both = (
        [limitation.key for limitation in chapters(widened(*changes))["widening"].limitations]
        for changes in ((), (indices,))
    )

    assert "widening-one-law" in alone
    assert "widening-one-law" not in both
    sheet = chapters(widened())["widening"]
    assert turned(sheet, "widening-one-law") == ["widening_difference", "widening_cross_fall", "widening_grade"]


def test_ground_below_the_toes_turns_what_it_could_turn(run_project: Callable[..., Run]) -> None:
    def below(document: Any) -> None:
        document["section"][0]["layer_below"] = [
            {"key": "till", "name": "Till", "thickness": "4 m", "gamma_sat": "20 kN/m^3", "E": "2 MPa", "drains": True}
        ]

    def sheet_of(**values: Any) -> Sheet:
        run = run_project(widened(below, indices, limits=limits(**values)))
        return next(sheet for sheet in run.sections[0].sheets if sheet.key == "widening")

    free = sheet_of()
    effect = verdict(free, "widening_difference").effect or 0.0
    tight = sheet_of(difference=f"{effect + 0.01:.4f} m")

    assert "widening_difference" not in turned(free, "widening-below")
    assert "widening_difference" in turned(tight, "widening-below")
    assert verdict(tight, "widening_difference").state == "pass"


def test_column_carries_the_old_bank_as_the_ground_does(beside_old: Callable[..., Sheet]) -> None:
    """Of the stress from the old bank 90 % has become effective, in soil and column alike."""
    cell = beside_old(indices).scopes["cell"]
    before = cell["sigma_O0c"].array - cell["sigma_v0c"].array

    assert before == approx(np.broadcast_to(0.9 * cell["sigma_O"].array, before.shape))
    assert before.max() > 10


def test_sleeve_that_is_not_mobilised_has_the_settlement_of_the_second_method(chapters: Chapters) -> None:
    """Little load comes below the old slope; soil that presses hard keeps the column from its active state."""

    def pressing(document: Any) -> None:
        document["columns"] |= {"installation": "displacement", "K_star": 2.0}

    tight = chapters(widened(indices, pressing))["widening"]
    valid = tight.scopes["cell"]["Dsigma_vs"].at(position=sorted(tight.kept["columns"])).valid
    stated = next(limitation for limitation in tight.limitations if limitation.key == "widening-not-mobilised")

    assert stated.text.startswith(f"In {int((~valid).sum())} of {valid.size} cases")
    assert not stated.turns  # the second method has the settlement that the cell leaves out


def test_second_method_is_that_of_the_unit_cell_far_from_the_old_bank(chapters: Chapters) -> None:
    """As for the cell itself; below the old slope, whose load both have in their initial state, the gap is less."""
    low: dict[str, Any] = {"height": "1 m", "crest_left": "-16 m", "crest_right": "-15 m", "columns_right": "-12 m"}
    found, near = chapters(widened(**low)), chapters(widened())["widening"].scopes["cell_plastic"]
    unit = found["unit_cell"].scopes["elastic_plastic"]["s_EP"]
    final = unit.at(stage=unit.labels("stage")[-1], position="centre", load="G+Q", stiffness="long-term")
    scope = found["widening"].scopes["cell_plastic"]

    settled = at(found["widening"], "cell_plastic", "s_EP", "right crest edge", "height above")
    assert float(settled) == approx(float(final.array), rel=1e-9)
    assert float(scope["d_exp"].array) - 0.07 < float(scope["delta_s"].array[scope["delta_s"].valid].max())
    case = {"position": "right innermost columns", "method": "half-space"}
    assert 0 < (near["delta_s"].number(case) or 0.0) < float(near["d_exp"].array) - 0.05


def test_a_column_beyond_the_toe_that_nothing_loads_has_no_gap_of_the_methods(beside_old: Callable[..., Sheet]) -> None:
    """Below the height of fill; the half-space still loads it."""

    def far(document: Any) -> None:
        document["field"] = {"beyond_right": "16 m"}

    gap = beside_old(far, positions=["19 m"]).scopes["cell_plastic"]["delta_s"].at(position="19 m")

    assert gap.valid.tolist() == [True, False]


@pytest.mark.parametrize(("limit", "state"), [(0.98, "fail"), (1.02, "pass")])
def test_settlement_on_columns_counts_by_the_method_that_settles_more(
    chapters: Chapters, limit: float, state: str
) -> None:  # fmt: skip
    """On the crest with columns alone: the elastic, plastic column, 10 % above the cell."""
    low: dict[str, Any] = {"height": "1 m", "crest_left": "-16 m", "crest_right": "-15 m", "columns_right": "-12 m"}
    cells = chapters(widened(**low))["widening"].scopes["cell_plastic"]
    worst = limit * float(cells["s_EP"].array[cells["s_EP"].valid].max())

    def asked(document: Any) -> None:
        document["basis"]["limits"]["settlement_total"] = f"{worst:.6f} m"

    assert float(cells["s_Wc"].array.max()) < worst
    assert verdict(chapters(widened(asked, **low))["widening"], "widening_settlement").state == state


def test_ground_below_the_toes_turns_no_slope_without_a_base_length(run_project: Callable[..., Run]) -> None:
    def below(document: Any) -> None:
        document["section"][0]["layer_below"] = [
            {"key": "till", "name": "Till", "thickness": "4 m", "gamma_sat": "20 kN/m^3", "E": "2 MPa", "drains": True}
        ]

    run = run_project(widened(below, indices, limits={"difference": "2 m", "source": "invented"}))
    (sheet,) = [sheet for sheet in run.sections[0].sheets if sheet.key == "widening"]
    assert not {"widening_cross_fall", "widening_grade"} & set(turned(sheet, "widening-below"))


def test_step_at_the_innermost_columns_is_drawn(beside_old: Callable[..., Sheet]) -> None:
    (chart,) = [figure for figure in beside_old(indices).page.figures if isinstance(figure, Chart)]
    used = chart.curves[0]
    at_step = [y for x, y in zip(used.x, used.y, strict=True) if x == -2.0]

    assert len(at_step) == 2
    assert at_step[0] > 2 * at_step[1]
