"""The chapter on monitoring: programme at a glance, expected readings, rates, what it leaves open."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chapters.monitoring.head_cells import measured_ratios
from calc.chapters.monitoring.rates import rate_days
from calc.chapters.shared.frame import AS_GIVEN, HIGH, LOW, SCENARIOS
from calc.chapters.shared.programme import Calendar
from calc.engine.figure import Level, TimeChart
from calc.engine.sheet import Sheet
from tests.chapters.mats import reinforced
from tests.chapters.monitoring_case import (
    BELOW,
    FINAL,
    FIRST,
    keys,
    read,
    run_to_the_end,
    section,
    stage,
    table,
    timed,
    trigger,
    verdicts,
    watched,
)

approx = pytest.approx
Run = Callable[..., dict[str, Sheet]]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Every chapter of the test project after changes of its consolidated form."""
    return lambda *changes: run_to_the_end(read(tmp_path, timed(*changes)))


def three(sheet: Sheet, key: str, label: str) -> list[float]:
    """Lowest, expected and highest of the first quantity of a table at a date."""
    row = next(row for row in table(sheet, key).rows if row[0] == label)
    return [float(cell) for cell in row[2:5]]


def test_without_consolidation_and_plan_both_are_asked_for(tmp_path: Path) -> None:
    sheet = run_to_the_end(read(tmp_path))["monitoring"]

    assert {verdict.key: verdict.required for verdict in sheet.verdicts} == {
        "expected_range": True,
        "monitoring_plan": True,
    }
    assert all(verdict.state == "not verified" for verdict in sheet.verdicts)
    assert "(field monitoring)" in verdicts(sheet)["monitoring_plan"].note
    assert [row[4:7] for row in table(sheet, "programme").rows] == [["–"] * 3] * 2
    assert not sheet.page.figures


def test_plan_without_a_course_is_still_printed(tmp_path: Path) -> None:
    sheet = run_to_the_end(read(tmp_path, watched(trigger("settlement", "0.9 m"))))["monitoring"]

    assert {"instruments", "readings", "stop", "relied"} <= {one.key for one in sheet.page.tables}
    assert [column.words for column in table(sheet, "stop").head] == [
        "no.", "quantity", "when", "level", "action", "source"]  # fmt: skip
    assert verdicts(sheet)["expected_range"].state == "not verified"


def test_expected_range_is_printed_without_a_plan(run: Run) -> None:
    sheet = run()["monitoring"]

    assert verdicts(sheet)["expected_range"].state == "pass"
    assert verdicts(sheet)["monitoring_plan"].state == "not verified"
    assert {"programme", "expected-settlement", "expected-sleeve", "rates"} <= {one.key for one in sheet.page.tables}
    assert {"lateral", "expected-range", "mean-pressure"} <= keys(sheet)


def test_programme_takes_its_numbers_from_the_chapters(run: Run) -> None:
    done = run(stage(1, c_u_gain="0.4 kPa", c_u_gain_source="invented"))
    rows = {row[0]: row for row in table(done["monitoring"], "programme").rows}
    settled = done["consolidation"].scopes["course"]["s_t"].at(scenario=AS_GIVEN, date="end of 2 Final")
    tension = done["consolidation"].scopes["tension"]["F_Rt"].at(scenario=AS_GIVEN, date="end of 2 Final")

    assert rows["2 Final"][1:3] == ["130", "158"]
    assert float(rows["2 Final"][5]) == approx(1000 * float(settled.array), abs=0.05)
    assert float(rows["2 Final"][6]) == approx(float(tension.array.max()), abs=0.005)
    assert rows["1 First lift"][7] == "25.00"
    assert rows["2 Final"][7] == "25.40"
    assert rows["1 First lift"][9] == "–"


def test_programme_says_where_a_stage_has_no_date_or_no_strength(run: Run) -> None:
    def first_passes(document: Any) -> None:
        document["stage"][0]["consolidates"] = False
        del document["section"][0]["layer"][0]["c_u"]

    sheet = run(first_passes, watched(trigger("undrained strength", "design", stage=FINAL)))["monitoring"]

    rows = table(sheet, "programme").rows
    assert rows[0][5:8] == ["–"] * 3
    assert rows[1][7] == "–"
    assert "T1: the undrained strength of a layer is not given" in verdicts(sheet)["trigger_c_u_source"].note
    assert "strength" not in sheet.scopes


def test_state_that_passes_at_once_has_the_settlement_of_its_day(run: Run) -> None:
    def passing(document: Any) -> None:
        state = {**document["stage"][1], "name": "High water", "start": "120 d", "duration": "0 d"}
        first = document["stage"][0]
        document["stage"] = [first, {**state, "consolidates": False, "fill_height": "2 m", "traffic": False},
                             document["stage"][1]]  # fmt: skip

    done = run(passing)
    row = table(done["monitoring"], "programme").rows[1]
    settled = done["consolidation"].scopes["course"]["s_t"].at(scenario=AS_GIVEN, date="start of 2 High water")

    assert row[0] == "2 High water"
    assert float(row[5]) == approx(1000 * float(settled.array), abs=0.05)


def test_over_design_factor_is_the_least_of_all_that_stability_verifies(run: Run) -> None:
    def searched(document: Any) -> None:
        document["basis"]["factor_sets"] = ["EN 1997-1 DA1-2"]
        document["slip"] = {"water_mode": "vertical", "min_depth": "6.5 m", "drained": True, "centres": 4, "levels": 4,
                            "slices": 10}  # fmt: skip
        document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m"}

    done = run(searched)
    found = done["monitoring"].scopes["programme"]["F_od"]
    stability = done["stability"]
    least = {"1 First lift": np.inf, "2 Final": np.inf}
    for name, scope in stability.scopes.items():
        for symbol in ("F_Bi", "F_Sp", "F_bl"):
            if name.startswith(("slip", "blocks")) and symbol in scope.values:
                ratio = scope[symbol].array / stability["gamma_Re"].array
                for k, label in enumerate(least, start=1):
                    least[label] = min([least[label], *(float(one) for one in ratio[:, k] if not np.isnan(one))])

    assert found.number({"stage": "0 columns built"}) is None
    assert {label: found.number({"stage": label}) for label in least} == approx(least, rel=1e-12)


def test_expected_settlement_is_that_of_consolidation_with_the_ground_below(run: Run) -> None:
    def deep(document: Any) -> None:
        document["section"][0]["layer_below"] = [dict(BELOW)]

    done = run(deep)
    expected = done["monitoring"].scopes["expected"]
    known = done["consolidation"].scopes["course"]["s_t"]
    whole = float(done["bearing"].scopes["below"]["s_b"].array.max())

    assert whole > 0
    for label in known.labels("date"):
        # The start of a stage is looked at a millionth of a day before its load.
        assert expected["s_t"].at(date=label).array == approx(known.at(date=label).array, abs=1e-7)
    assert expected["s_bob"].at(date="hand-over").array == approx(whole)
    assert float(expected["s_bob"].at(date="end of 1 First lift").array) == approx(whole * 38 / 120, rel=1e-9)
    assert expected["s_ob"].array == approx(expected["s_t"].array + expected["s_bob"].array)


def test_surcharge_that_is_taken_off_leaves_what_consolidation_says(run: Run) -> None:
    def preloaded(document: Any) -> None:
        final = document["stage"][1]
        over = {**final, "name": "Surcharge", "situation": "transient", "fill_height": "7 m", "traffic": False}
        document["stage"] = [document["stage"][0], over, {**final, "start": "300 d", "duration": "14 d"}]
        document["consolidation"]["swelling"] = {"value": 0.1, "source": "invented"}

    done = run(preloaded, watched(trigger("settlement", "1.0 m"), trigger("stress ratio", 2.0)))
    expected, known = done["monitoring"].scopes["expected"], done["consolidation"].scopes["course"]["s_t"]
    loads = [float(expected["p_ob"].at(date=f"end of {label}").array) for label in ("2 Surcharge", "3 Final")]

    assert loads == approx([133.0, 120.0])
    for label in known.labels("date"):
        assert expected["s_t"].at(date=label).array == approx(known.at(date=label).array, abs=1e-7)
    assert verdicts(done["monitoring"])["trigger_s_expected"].state == "pass"


def test_faster_water_settles_more_drains_more_and_loads_the_sleeve_more(run: Run) -> None:
    scope = run()["monitoring"].scopes["expected"]

    for name, sign in (("s_ob", 1), ("U_ob", 1), ("u_ob", -1), ("F_ob", 1)):
        low, given, high = (sign * scope[name].at(scenario=one).array for one in (LOW, AS_GIVEN, HIGH))
        assert (low <= given + 1e-9).all(), name
        assert (given <= high + 1e-9).all(), name


def test_band_narrows_with_the_range_of_c_h(run: Run) -> None:
    label = "end of 2 Final"
    wide = three(run()["monitoring"], "expected-settlement", label)
    narrow = three(run(section(consolidation={"c_h_low": 0.8, "c_h_high": 1.2}))["monitoring"],
                   "expected-settlement", label)  # fmt: skip

    assert wide[1] == narrow[1]
    assert wide[0] < narrow[0] < narrow[1] < narrow[2] < wide[2]


def test_dates_of_the_project_stand_in_the_order_of_time(run: Run) -> None:
    sheet = run(watched(dates=["200 d", "10 d", "100.5 d"]))["monitoring"]
    labels = [row[0] for row in table(sheet, "expected-settlement").rows]

    assert labels == ["end of 1 First lift", "day 100.50", "start of 2 Final", "end of 2 Final", "day 200", "hand-over",
                      "end of design life"]  # fmt: skip


def test_stage_placed_at_once_is_looked_at_before_and_after_its_load(run: Run) -> None:
    scope = run(stage(1, duration="0 d"))["monitoring"].scopes["expected"]
    before, after = (float(scope["U_ob"].at(date=f"{word} of 2 Final", scenario=AS_GIVEN).array)
                     for word in ("start", "end"))  # fmt: skip

    assert before > 0.9
    assert after < 0.5
    assert [float(scope["p_ob"].at(date=f"{word} of 2 Final").array) for word in ("start", "end")] == approx([38, 120])


def test_load_grows_evenly_while_a_stage_is_filled(run: Run) -> None:
    """38 kPa from day 30 to day 44, 82 kPa more from day 130 to day 158."""
    sheet = run(watched(dates=["37 d", "90 d", "144 d"]))["monitoring"]
    load = sheet.scopes["expected"]["p_ob"]

    assert [float(load.at(date=f"day {day}").array) for day in (37, 90, 144)] == approx([19.0, 38.0, 79.0])


def test_pressure_at_the_heads_carries_the_load(run: Run) -> None:
    scope = run()["monitoring"].scopes["expected"]
    share = float(scope["a_E"].array)
    carried = share * scope["sigma_cob"].array + (1 - share) * scope["sigma_sob"].array

    assert carried == approx(np.broadcast_to(scope["p_ob"].array, carried.shape))
    assert scope["n_ob"].array == approx(scope["sigma_cob"].array / scope["sigma_sob"].array)


@pytest.mark.parametrize(("ratio", "stated"), [(5.0, False), (30.0, True)])
def test_ratio_beyond_all_that_was_measured_is_stated(ratio: float, stated: bool) -> None:
    sheet = Sheet(section="A", key="monitoring")
    scope = sheet.scope("expected", "Readings expected")
    scope.reading("n_ob", ratio, title="Stress ratio")
    measured_ratios(sheet, scope)

    assert ("ratio-measured" in keys(sheet)) is stated


def test_rate_is_the_largest_settlement_of_any_day(run: Run) -> None:
    """Every day from the start of a stage to the start of the next, in steps of a quarter of a day."""
    done = run(watched(dates=[f"{30 + day / 4:g} d" for day in range(8)]))
    scope = done["monitoring"].scopes["rates"]
    expected = done["monitoring"].scopes["expected"]["s_ob"]
    sampled = expected.at(date=[label for label in expected.labels("date") if label.startswith("day")]).array
    rate = scope["v_ob"].at(stage="1 First lift").array

    assert (sampled[:, 4:] - sampled[:, :-4]).max(axis=-1).max() <= rate.max() + 1e-12
    assert scope["v_ob"].number({"stage": "0 columns built", "scenario": AS_GIVEN}) is None
    assert rate == approx(scope["s_vb"].at(stage="1 First lift").array - scope["s_va"].at(stage="1 First lift").array)
    assert float(scope["v_ob"].at(stage="1 First lift", scenario=HIGH).array) > float(rate[SCENARIOS.index(AS_GIVEN)])


def test_days_of_the_rates_stay_within_their_stage() -> None:
    days = rate_days(Calendar((30.0, 44.0), (44.0, 72.0), 500.0, 37025.0))

    assert days.shape[0] == 2
    assert (days[0] >= 30).all()
    assert (days[0] <= 43).all()
    assert (days[1] >= 44).all()


def test_rates_stand_beside_the_levels_of_the_project(run: Run) -> None:
    given = (trigger("settlement rate", "30 mm/d", stage=FIRST), trigger("lateral rate", "5 mm/d", "attention"))
    rows = table(run(watched(*given))["monitoring"], "rates").rows

    assert [row[4:] for row in rows] == [["red 30 mm/d", "amber 5 mm/d"], ["none", "amber 5 mm/d"]]


def test_strength_grows_by_the_gain_that_the_design_may_count(run: Run) -> None:
    """A level at the strength that is counted is met by what is expected: both take the soil stress of one ratio."""
    done = run()
    own = done["monitoring"].scopes["strength"]
    gain = done["consolidation"].scopes["gain"]

    assert own["c_uob"].array - own["c_u"].array == approx(gain["Dc_un"].array, abs=1e-9)
    assert (gain["Dc_us"].array <= gain["Dc_un"].array.min(axis=1) + 1e-12).all()


def test_heads_by_arching_stand_beside_the_cell_where_they_are_known(run: Run) -> None:
    bare = run()["monitoring"]
    done = run(reinforced)
    scope = done["monitoring"].scopes["heads"]
    found = done["load_transfer"].scopes["compatible_triangular"]["sigma_su"]

    assert "heads-arching" in keys(bare)
    assert "heads" not in bare.scopes
    assert scope["sigma_slt"].number({"stage": "2 Final"}) == approx(
        found.at(factor_set="serviceability", stage="2 Final", load="G+Q").array.max()
    )
    assert scope["n_lt"].number({"stage": "0 columns built"}) is None
    assert len(table(done["monitoring"], "heads").rows) == 2


def test_figure_shows_levels_of_pore_pressure_in_the_time_in_which_they_hold(run: Run) -> None:
    sheet = run(watched(trigger("settlement", "0.9 m"), trigger("pore pressure", "20 kPa", stage=FINAL),
                        trigger("pore pressure", "9 kPa", phase="in service")))["monitoring"]  # fmt: skip
    (figure,) = sheet.page.figures

    assert isinstance(figure, TimeChart)
    filling, service = figure.tracks[1].levels
    assert (filling.value, filling.text, filling.late) == (20.0, "T2", False)
    assert filling.spans[-1][1] == figure.until
    assert 0 < filling.spans[0][0] < figure.until
    assert (service.text, service.late, service.spans) == ("T3", True, ((figure.until, figure.last),))


def test_figure_shows_the_band_and_the_levels_of_settlement(run: Run) -> None:
    sheet = run(watched(trigger("settlement", "0.9 m"), trigger("settlement", "0.7 m", "attention")))["monitoring"]
    (figure,) = sheet.page.figures

    assert isinstance(figure, TimeChart)
    settled, water = figure.tracks
    assert settled.levels == (Level(900.0, "T1 red, until hand-over"), Level(700.0, "T2 amber, until hand-over"))
    assert settled.downward
    assert not water.levels
    assert settled.band is not None
    upper, lower = settled.band
    assert all(one >= other - 1e-9 for one, other in zip(upper.y, lower.y, strict=True))
