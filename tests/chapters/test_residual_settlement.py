"""Chapter on consolidation: residual settlement, its parts, what it rests on, the date of handing over."""

from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.frame import AS_GIVEN, HIGH, LOW, SCENARIOS
from calc.chapters.shared.limits import best_estimate
from tests.chapters.timed import Chapters, keys, layers, time_chapter, tracks, verdicts
from tests.engine.chapters import FILE, chapter


def test_residual_settlement_is_rest_secondary_and_creep(first: Chapters) -> None:
    sheet = time_chapter(first)
    scope, rest = sheet.scopes["course"], sheet.scopes["residual"]
    names = ("s_pt", "s_sect", "s_cr")
    before, after = (
        {name: float(scope[name].at(scenario=AS_GIVEN, date=date).array) for name in names}
        for date in ("hand-over", "end of design life")
    )

    assert before["s_cr"] == 0
    assert after["s_cr"] > 0
    assert after["s_sect"] > before["s_sect"] > 0
    traffic = float(rest["s_traf"].at(scenario=AS_GIVEN).array)
    assert rest["s_res"].at(scenario=AS_GIVEN).array == pytest.approx(
        sum(after.values()) - sum(before.values()) + traffic
    )
    assert verdicts(sheet)["settlement_residual"].state == "pass"
    assert verdicts(sheet)["settlement_with_time"].effect == pytest.approx(float(rest["s_lifeL"].array.max()))
    assert verdicts(sheet)["settlement_with_time"].case["scenario"] == HIGH


def test_larger_settlement_of_the_two_methods_counts(first: Chapters) -> None:
    """The elastic, plastic column settles more under this load; by the standard method alone it was left out."""
    sheet = time_chapter(first)
    rest, plastic = sheet.scopes["residual"], sheet.scopes["course_plastic"]["s_t"]
    life, hand = (plastic.at(date=date).array for date in ("end of design life", "hand-over"))
    traffic = sheet.scopes["residual_plastic"]["s_traf"].array

    assert rest["s_resEP"].array == pytest.approx(life - (hand - traffic))
    assert (rest["s_lifeEP"].array > 1.02 * rest["s_life"].array).all()
    assert verdicts(sheet)["settlement_with_time"].effect == pytest.approx(float(life.max()))
    assert verdicts(sheet)["settlement_residual"].effect == pytest.approx(
        float(np.maximum(rest["s_res"].array, rest["s_resEP"].array).max())
    )


def test_parts_of_the_settlement_at_the_end_of_the_design_life_stand_with_their_sum_for_both_methods(
    first: Chapters,
) -> None:
    sheet = time_chapter(first)
    for own, course in (("residual", "course"), ("residual_plastic", "course_plastic")):
        known, step = sheet.scopes[course], next(step for step in sheet.steps if step.key.endswith(f"/{own}/s_life"))
        parts = [known[name].at(date="end of design life").array for name in ("s_pt", "s_sect", "s_cr")]

        assert sheet.scopes[own]["s_life"].array == pytest.approx(sum(parts))
        assert list(step.inputs) == ["s_pt", "s_sect", "s_cr"]


def test_residual_settlement_fails_at_low_c_h_and_names_the_best_estimate(first: Chapters) -> None:
    """Between what the best estimate and the lower c_h leave: it stood by the one, and must fail by the other."""
    rest = time_chapter(first).scopes["residual"]["s_resL"]
    best, low = (float(rest.at(scenario=one).array) for one in (AS_GIVEN, LOW))

    def asked(limit: float) -> Any:
        return lambda document: document["basis"]["limits"].update(settlement_residual=f"{limit:.6f} m")

    held, failed = (
        verdicts(time_chapter(first, asked(limit)))["settlement_residual"] for limit in (1.001 * low, (best + low) / 2)
    )

    assert low > best
    assert (held.state, failed.state) == ("pass", "fail")
    assert failed.case["scenario"] == LOW
    assert f"best estimate of cₕ: {1000 * best:.1f} mm" in failed.note


def test_best_estimate_that_decides_is_not_named_twice() -> None:
    sheet = chapter(scenario=SCENARIOS)
    for name, numbers, note in (
        ("s_lifeL", [0.2, 0.2, 0.1], ""),
        ("s_resL", [0.1, 0.2, 0.1], "best estimate of cₕ: 100.0 mm"),
    ):
        assert best_estimate(sheet.given(name, numbers, ["scenario"], origin=FILE)) == note


def test_limits_that_are_not_asked_for_and_missing_coefficients_leave_it_open(first: Chapters) -> None:
    def none(document: Any) -> None:
        document["basis"]["limits"].pop("settlement_residual")
        document["basis"]["limits"].pop("settlement_total")

    free = verdicts(time_chapter(first, none))
    bare = verdicts(time_chapter(first, layers(C_alpha=None, e_0=None)))

    assert not free["settlement_residual"].required
    assert "basis.limits.settlement_total" in free["settlement_with_time"].note
    assert "layer.peat.C_alpha, layer.clay.C_alpha" in bare["settlement_residual"].note
    assert bare["settlement_residual"].state == bare["settlement_with_time"].state == "not verified"


def test_reduction_of_secondary_compression_reduces_it(first: Chapters) -> None:
    def reduced(document: Any) -> None:
        document["consolidation"]["secondary_reduction"] = {"value": 0.5, "source": "trial embankment, invented"}

    whole, half = (time_chapter(first, *changes).scopes["course"]["s_sect"] for changes in ((), (reduced,)))

    assert half.array == pytest.approx(0.5 * whole.array)


@pytest.mark.parametrize(("limit", "words"), [("0.1435 m", "it is met from day"), ("0.01 m", "exceeds the limit")])
def test_residual_settlement_at_low_c_h_is_stated(first: Chapters, limit: str, words: str) -> None:
    def asked(document: Any) -> None:
        document["basis"]["limits"]["settlement_residual"] = limit

    sheet = time_chapter(first, asked, hand_over="200 d")
    (text,) = [limitation.text for limitation in sheet.limitations if limitation.key == "residual-low"]

    assert words in text
    assert verdicts(sheet)["settlement_residual"].state == "fail"


def test_residual_settlement_that_no_date_meets_is_said(first: Chapters) -> None:
    def asked(document: Any) -> None:
        document["basis"]["limits"]["settlement_residual"] = "0.002 m"

    sheet = time_chapter(first, asked)
    (text,) = [limitation.text for limitation in sheet.limitations if limitation.key == "residual-low"]

    assert "it is not met later" in text
    assert not sheet.scopes["residual"]["t_res"].valid.any()
    assert sheet.page.tables[-1].rows[0][-1] == "not reached"


def test_surcharge_takes_settlement_before_hand_over(first: Chapters) -> None:
    """More has settled before it is taken off, so that less is left.

    What has come does not come back but for the little that the superposition of steps of unlike age gives.
    """

    def surcharge(document: Any) -> None:
        last = dict(document["stage"][1])
        document["stage"].append(last | {"name": "In use", "start": "300 d", "duration": "14 d"})
        document["stage"][1].update({"name": "Surcharge", "situation": "transient", "fill_height": "7.5 m"})
        document["consolidation"]["swelling"] = {"value": 0.0, "source": "safe side for the total, invented"}

    plain, more = (time_chapter(first, *changes, hand_over="314 d") for changes in ((), (surcharge,)))
    lost = [one.scopes["course"]["s_pt"].at(scenario=LOW) for one in (plain, more)]
    left = [float(one.at(date="end of design life").array - one.at(date="hand-over").array) for one in lost]

    assert left[1] < 0.5 * left[0]
    assert (np.diff(lost[1].array) >= -0.01 * lost[1].array.max()).all()
    assert tracks(more)[0].curves[0].y == (0.0, 0.0, 2.0, 2.0, 7.5, 7.5, 6.0, 6.0)


def test_traffic_before_handing_over_is_stated_and_after_it_is_residual(first: Chapters) -> None:
    """The last stage brings traffic with its fill here; alone, it comes with the opening."""

    def opened(document: Any) -> None:
        last = dict(document["stage"][1])
        document["stage"][1].update({"name": "Filled", "situation": "transient", "traffic": False})
        document["stage"].append(last | {"name": "Open", "start": "500 d", "duration": "0 d"})

    early = time_chapter(first)
    late = time_chapter(first, opened)

    def argued(document: Any) -> None:
        document["consolidation"]["early_traffic"] = "construction traffic of the same load, invented"

    settled = time_chapter(first, argued)
    assert {"early-traffic"} <= (keys(early) & keys(settled)) - keys(late)
    left, traffic = (
        [float(one.scopes["residual"][name].at(scenario=AS_GIVEN).array) for one in (early, late, settled)]
        for name in ("s_res", "s_traf")
    )
    assert left[0] > left[1] > left[2]
    assert left[0] - left[2] == pytest.approx(traffic[0])
    assert traffic[0] > 0.01
    assert traffic[1:] == pytest.approx([0.0, 0.0], abs=1e-12)


def test_what_the_residual_settlement_rests_on_is_stated(first: Chapters) -> None:
    def reduced(document: Any) -> None:
        document["consolidation"]["secondary_reduction"] = {"value": 0.5, "source": "trial embankment, invented"}

    def filled_up(document: Any) -> None:
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"

    whole, half = time_chapter(first), time_chapter(first, reduced)
    (text,) = [limitation.text for limitation in half.limitations if limitation.key == "secondary-reduced"]

    assert f"would be {1000 * float(whole.scopes['residual']['s_resL'].at(scenario=AS_GIVEN).array):.0f} mm" in text
    assert "secondary-age" in keys(whole)
    assert "secondary-age" not in keys(time_chapter(first, hand_over="158 d"))
    assert "secondary-makeup" in keys(time_chapter(first, filled_up)) - keys(whole)


def test_later_load_does_not_put_off_the_end_of_primary_consolidation(first: Chapters) -> None:
    """Traffic long after the filling: secondary compression has begun before it."""

    def opened(document: Any) -> None:
        last = dict(document["stage"][1])
        document["traffic"]["q"] = "40 kPa"
        document["basis"]["psi_2"] = 1.0
        document["stage"][1].update({"name": "Filled", "situation": "transient", "traffic": False})
        document["stage"].append(last | {"name": "Open", "start": "2000 d", "duration": "0 d"})

    scope = time_chapter(first, opened, hand_over="2000 d").scopes["course"]

    assert (scope["t_95"].array < 1000).all()
    assert scope["s_sect"].at(scenario=AS_GIVEN, date="hand-over").array > 0
