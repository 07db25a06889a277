"""Settlement at the end of the design life and residual settlement with the ground below the toes."""

from pathlib import Path
from typing import Any

import pytest

from calc.chapters.bearing.settlement_life import DRAINS, NOTHING, SLOW
from calc.chapters.shared.frame import AS_GIVEN, LOW
from calc.engine.sheet import Sheet
from tests.chapters.monitoring_case import BELOW, read, run_to_the_end
from tests.chapters.timed import Change, Chapters, first_chapters, layers, timed, verdicts

approx = pytest.approx
KEYS = ("settlement_life", "settlement_rest")
SAND = {**BELOW, "E": "20 MPa", "drains": True}


@pytest.fixture(name="first")
def _first(tmp_path: Path) -> Chapters:
    return first_chapters(tmp_path, "bearing")


def below(*given: dict[str, Any]) -> Change:
    return lambda document: document["section"][0].update(layer_below=list(given))


def limits(**values: Any) -> Change:
    def change(document: Any) -> None:
        for name, value in values.items():
            document["basis"]["limits"].pop(name, None)
            if value is not None:
                document["basis"]["limits"][name] = value

    return change


def bearing(first: Chapters, *changes: Change) -> Sheet:
    return first(timed(*changes))["bearing"]


def rule_of(sheet: Sheet) -> str:
    """The rule printed with the load under which the ground below has settled by hand-over."""
    [given] = [step for step in sheet.steps if step.key.endswith("rest/p_bh")]
    return given.origins[0].text


def test_end_of_life_adds_the_larger_method_and_the_ground_below(first: Chapters) -> None:
    done = first(timed(below(SAND)))
    soft, sheet = done["consolidation"].scopes["residual"], done["bearing"]
    deep = float(sheet.scopes["below"]["s_b"].array.max())
    largest = max(float(soft[name].array.max()) for name in ("s_life", "s_lifeEP"))
    [table] = [table for table in sheet.page.tables if table.key == "life"]

    assert deep > 0.01
    assert verdicts(sheet)["settlement_life"].effect == approx(largest + deep)
    assert [float(row[3]) for row in table.rows] == approx(
        [1000 * (float(soft[name].at(scenario=AS_GIVEN).array) + deep) for name in ("s_life", "s_lifeEP")], abs=0.06
    )


def test_limit_between_soft_ground_and_whole_is_exceeded(first: Chapters) -> None:
    """The soft ground alone keeps it; with the ground below the toes it must fail."""
    found = first(timed(below(SAND)))
    soft = float(found["consolidation"].scopes["residual"]["s_lifeL"].array.max())
    whole = float(found["bearing"].scopes["life"]["s_lifeb"].array.max())
    done = first(timed(below(SAND), limits(settlement_total=f"{0.5 * (soft + whole):.5f} m")))

    assert verdicts(done["consolidation"])["settlement_with_time"].state == "pass"
    assert verdicts(done["bearing"])["settlement_life"].state == "fail"


def test_ground_that_drains_at_once_leaves_the_traffic_alone_to_the_residual(first: Chapters) -> None:
    """114 kPa of fill by hand-over and 0.3 · 20 of traffic: one twentieth."""
    sheet = bearing(first, below(SAND))
    rest = sheet.scopes["rest"]
    deep = float(sheet.scopes["below"]["s_b"].array.max())
    [taken] = [step for step in sheet.steps if step.key.endswith("rest/p_bh")]

    assert float(rest["s_bre"].array) == approx(deep * 6 / 120)
    assert verdicts(sheet)["settlement_rest"].effect == approx(float(rest["s_resL"].array.max()) + deep / 20)
    assert DRAINS in taken.note


def test_ground_that_is_not_said_to_drain_counts_as_residual_with_all_of_it(first: Chapters) -> None:
    clay = {**SAND, "key": "clay-below", "drains": False}
    sheet = bearing(first, below(SAND, clay))
    deep = float(sheet.scopes["below"]["s_b"].array.max())

    assert float(sheet.scopes["rest"]["s_bre"].array) == approx(deep)
    assert rule_of(sheet) == SLOW


def test_nothing_placed_before_hand_over_leaves_all_to_the_residual(first: Chapters) -> None:
    """The only step that consolidates brings the traffic to a fill that was there before."""

    def opened(document: Any) -> None:
        document["stage"][0].update(consolidates=False, fill_height=document["stage"][1]["fill_height"])

    assert rule_of(bearing(first, below(SAND), opened)) == NOTHING


def test_hand_over_with_the_ground_below_is_that_of_a_limit_as_much_smaller(first: Chapters) -> None:
    """All 24 mm of the clay below are still to come at any date; the soft ground alone keeps 200 mm earlier."""
    clay = {**SAND, "key": "clay-below", "drains": False}

    def dates(millimetres: float, name: str) -> list[float]:
        done = first(timed(below(clay), limits(settlement_residual=f"{millimetres:.6f} mm")))
        scope = {"t_res": done["consolidation"].scopes["residual"], "t_resb": done["bearing"].scopes["hand_over"]}
        return [float(day) for day in scope[name][name].array]

    deep = 1000 * float(bearing(first, below(clay)).scopes["rest"]["s_bre"].array)
    whole, alone = dates(200.0, "t_resb"), dates(200.0, "t_res")

    assert deep == approx(23.9, abs=0.1)
    assert whole == approx(dates(200.0 - deep, "t_res"), abs=0.01)
    assert all(later > early for later, early in zip(whole, alone, strict=True))


@pytest.mark.parametrize(
    ("changed", "limit", "reason"),
    [({"c_v": "1 m^2/a"}, "0.10 m", "the ground below settles in time of its own"), ({}, "1 mm", "not reached")],
)
def test_hand_over_with_the_ground_below_has_no_date_where_none_is_known(
    first: Chapters, changed: dict[str, Any], limit: str, reason: str
) -> None:
    clay = {**SAND, "key": "clay-below", "drains": False, **changed}
    day = bearing(first, below(clay), limits(settlement_residual=limit)).scopes["hand_over"]["t_resb"]

    assert not day.valid.any()
    assert day.reason == reason


def test_what_is_missing_leaves_both_questions_open(first: Chapters) -> None:
    bare = verdicts(bearing(first))
    unknown = verdicts(first(below(SAND))["bearing"])
    secondary = verdicts(bearing(first, below(SAND), layers(C_alpha=None, e_0=None)))
    free = verdicts(bearing(first, below(SAND), limits(settlement_total=None, settlement_residual=None)))

    for key in KEYS:
        assert "layer_below" in bare[key].note
        assert "chapter on consolidation" in unknown[key].note
        assert "layer.peat.C_alpha" in secondary[key].note
        assert (free[key].state, free[key].required) == ("not verified", False)


def test_residual_settlement_beyond_its_limit_with_low_c_h_fails(first: Chapters) -> None:
    rest = bearing(first, below(SAND)).scopes["rest"]["s_resb"].array
    between = limits(settlement_residual=f"{0.5 * (rest[0] + rest[1]):.6f} m")
    sheet = bearing(first, below(SAND), between)

    assert rest[1] > rest[0]
    assert verdicts(sheet)["settlement_rest"].state == "fail"
    assert verdicts(sheet)["settlement_rest"].case["scenario"] == LOW
    assert f"best estimate of cₕ: {1000 * rest[0]:.1f} mm" in verdicts(sheet)["settlement_rest"].note


def test_monitoring_expects_the_settlement_that_is_held_against_the_limit(tmp_path: Path) -> None:
    done = run_to_the_end(read(tmp_path, timed(below(SAND))))
    expected = done["monitoring"].scopes["expected"]
    both = [expected[name].at(date="end of design life").array.max() for name in ("s_ob", "s_oEP")]
    verdict = verdicts(done["bearing"])["settlement_life"]

    assert both[1] > both[0]
    assert verdict.effect == approx(max(both))
