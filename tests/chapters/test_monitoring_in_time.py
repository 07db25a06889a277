"""Readings with the stiffness of their time, at the place of the sensor, against what the design asks for."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.frame import AS_GIVEN
from calc.engine.sheet import Sheet
from tests.chapters.monitoring_case import (
    FINAL,
    judged,
    read,
    run_to_the_end,
    stage,
    table,
    timed,
    trigger,
    verdicts,
    watched,
)

approx = pytest.approx
Run = Callable[..., dict[str, Sheet]]
LEVELS = (
    trigger("pore pressure", "60 kPa", stage=FINAL),
    trigger("ring strain", 0.04),
    trigger("ring strain", 0.045, phase="in service"),
)


def opened(document: Any) -> None:
    """Filled without traffic, which comes with the hand-over on day 500."""
    last = dict(document["stage"][1])
    document["stage"][1].update({"traffic": False, "situation": "transient"})
    document["stage"].append(last | {"name": "Open", "start": "500 d", "duration": "0 d"})


@pytest.fixture
def run(tmp_path: Path) -> Run:
    return lambda *changes: run_to_the_end(read(tmp_path, timed(*changes, watched(*LEVELS, dates=["5000 d"]))))


def test_both_chapters_have_one_degree_at_hand_over(run: Run) -> None:
    """Traffic begins with the hand-over: what is placed on that day does not count yet."""
    done = run(opened)
    here = done["monitoring"].scopes["expected"]["U_ob"].at(date="hand-over", scenario=AS_GIVEN)
    there = done["consolidation"].scopes["course"]["U_cur"].at(date="hand-over", scenario=AS_GIVEN)

    assert float(here.array) == approx(float(there.array), abs=1e-6)


def test_creep_of_the_sleeve_is_part_of_the_settlement_between_hand_over_and_end_of_life(run: Run) -> None:
    done = run()
    expected, course = done["monitoring"].scopes["expected"]["s_ob"], done["consolidation"].scopes["course"]
    settled = {one: expected.at(date=one, scenario=AS_GIVEN).array for one in ("hand-over", "day 5000")}
    secondary = course["s_sect"].at(scenario=AS_GIVEN)
    ends = [float(secondary.at(date=one).array) for one in ("hand-over", "end of design life")]
    creep = float(course["s_cr"].at(date="end of design life", scenario=AS_GIVEN).array)

    # Primary settlement is over; the rest of what comes by day 5000 is creep of the sleeve, by the logarithm of time.
    later = (ends[1] - ends[0]) * np.log(4906 / 406) / np.log(36_931 / 406)
    share = np.log(5000 / 500) / np.log(36_525 / 500)
    assert settled["day 5000"] - settled["hand-over"] - later == approx(share * creep, rel=0.15)
    assert creep > 0.01


def test_ring_strain_has_the_stiffness_of_its_time(run: Run) -> None:
    """3000 kN/m after a day, 2700 kN/m after a year, 2400 kN/m after a hundred."""
    scope = run()["monitoring"].scopes["expected"]
    stiffness = scope["J_t"]
    dates = stiffness.labels("date")

    assert float(stiffness.at(date="end of design life").array) == 2400
    assert 2690 > float(stiffness.at(date="hand-over").array) > 2600
    for date in dates:
        force, strain = (scope[name].at(date=date, scenario=AS_GIVEN).array.max() for name in ("F_ob", "eps_ob"))
        assert strain >= force / 3000 - 1e-12
    late = scope["eps_ob"].at(date="end of design life", scenario=AS_GIVEN).array.max()
    force = scope["F_ob"].at(date="end of design life", scenario=AS_GIVEN).array.max()
    assert force / 3000 * 1.1 < late < force / 2400


def test_strain_expected_in_service_is_that_of_the_soft_sleeve(run: Run) -> None:
    done = run()
    cell = done["unit_cell"].scopes["settlement"]["F_Ri"]
    final = cell.at(stage="2 Final", position="centre", load="G+Q", stiffness="long-term").array.max()

    assert float(judged(done["monitoring"], 3)["cₕ best estimate"]) == approx(100 * final / 2400, abs=0.005)


def test_pore_pressure_is_that_at_the_sensor_and_its_bound_what_the_design_asks_for(run: Run) -> None:
    free, asked = run()["monitoring"], run(stage(1, degree_min=0.6))["monitoring"]
    scope = asked.scopes["asked"]
    at = {"stage": "2 Final"}
    before, after, factor = (scope[name].at(**{k: v for k, v in at.items() if k in scope[name].axis_names}).array
                             for name in ("u_plb", "u_pl", "f_us"))  # fmt: skip
    mean, read_at = (asked.scopes["expected"][name].at(date="end of 2 Final", scenario=AS_GIVEN).array
                     for name in ("u_ob", "u_sen"))  # fmt: skip

    lift = float(scope["U_L"].at(**at).array)  # drained while it is placed, as extrusion counts it

    assert 0 < lift < 1
    assert (factor > 1.1).all()
    assert (factor < 1.35).all()
    assert read_at == approx(factor * mean)
    assert float(judged(asked)["design holds up to"]) == approx(
        float((factor * (0.4 * before + (1 - lift) * (after - before))).min()), abs=0.006
    )
    held = float((factor * (before + (1 - lift) * (after - before))).min())
    assert float(judged(free)["design holds up to"]) == approx(held, abs=0.006)
    assert "sensor half-way between two columns" in table(asked, "expected-settlement").note


def test_ratio_counted_with_asks_for_a_degree_of_its_own(run: Run) -> None:
    one, more = run(), run(stage(0, n_stability=4.0))
    bounds = [float(judged(done["monitoring"])["design holds up to"]) for done in (one, more)]

    assert bounds[1] < 0.95 * bounds[0]


def test_level_for_every_depth_is_judged_by_the_sublayer_that_holds_least(tmp_path: Path) -> None:
    """A ratio counted with comes at another degree in each sublayer, so that one level suits one depth only."""

    def found(level: str) -> Sheet:
        changes = (stage(0, n_stability=4.0), watched(trigger("pore pressure", level, stage=FINAL)))
        return run_to_the_end(read(tmp_path, timed(*changes)))["monitoring"]

    asked = found("1 kPa").scopes["asked"]["u_ask"].at(stage="2 Final")
    least, most = float(asked.array.min()), float(asked.array.max())
    late, fits = found(f"{0.5 * (least + most):.3f} kPa"), found(f"{0.999 * least:.3f} kPa")
    row = table(late, "pressures").rows[0]

    assert most > 1.01 * least
    assert judged(late)["finding"] == "too late for the design"
    assert verdicts(late)["trigger_u_design"].state == "fail"
    assert verdicts(fits)["trigger_u_design"].state == "pass"
    assert row[-1] == asked.case_at(int(asked.array.argmin()))["layer"]
    assert float(row[-2]) == approx(least, abs=0.006)
    assert late.leads["asked"]["layer"] == row[-1]


def test_slower_course_beyond_what_the_design_holds_up_to_is_what_the_level_stops(tmp_path: Path) -> None:
    """The level lies between the course as given and that value; with c_h low it stops the work."""

    def sheet(level: str, kind: str = "stop") -> Sheet:
        changes = stage(0, fill_height="5.4 m"), stage(1, degree_min=0.88)
        levels = watched(trigger("pore pressure", level, kind, stage=FINAL))
        return run_to_the_end(read(tmp_path, timed(*changes, levels)))["monitoring"]

    def found(level: str) -> dict[str, str]:
        return judged(sheet(level))

    given, low, holds = (float(found("1 kPa")[name]) for name in ("cₕ best estimate", "cₕ lower", "design holds up to"))

    assert given < holds < low
    between = sheet(f"{0.5 * (given + holds):.3f} kPa")
    amber = sheet(f"{0.5 * (given + holds):.3f} kPa", "attention")
    for of, kind, finding in ((between, "red", "it stops the work"), (amber, "amber", "it is reached")):
        assert judged(of)["finding"] == f"fits; with lower cₕ {finding}"
        (note,) = [verdict.note for verdict in of.verdicts if verdict.key == "trigger_u_expected"]
        assert note == f"T1 {kind}, {FINAL}: fits; with lower cₕ {finding}."
    assert found(f"{0.99 * given:.3f} kPa")["finding"] == "within the expected range"
    assert found(f"{0.5 * (low + holds):.3f} kPa")["finding"] == "too late for the design"


def test_weakest_sublayer_is_printed_where_strength_is_said_to_be_that_of_the_weakest(run: Run) -> None:
    def differ(document: Any) -> None:
        document["section"][0]["layer"][0]["c_u"] = "31 kPa"
        document["section"][0]["layer"][1]["c_u"] = "25 kPa"

    sheet = run(differ)["monitoring"]
    strength = sheet.scopes["programme"]["c_ust"]
    printed = strength.at(stage="2 Final", layer=sheet.leads["programme"]["layer"])

    assert float(printed.array) == float(strength.at(stage="2 Final").array.min())
    assert sheet.leads["programme"]["layer"].startswith("clay")
