"""The plan of monitoring: what every instrument has to state, who reads a trigger, what the design relies on."""

from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from calc.chapters.monitoring.plan import relied_on
from calc.engine.sheet import Sheet
from calc.inputs.tables.monitoring import MUST_STATE
from tests.chapters.monitoring_case import (
    ALL,
    FINAL,
    instrument,
    keys,
    read,
    run_to_the_end,
    section,
    table,
    timed,
    trigger,
    verdicts,
    watched,
)

Run = Callable[..., dict[str, Sheet]]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Every chapter of the test project after changes of its consolidated form."""
    return lambda *changes: run_to_the_end(read(tmp_path, timed(*changes)))


def test_complete_plan_is_settled_and_printed(run: Run) -> None:
    sheet = run(watched())["monitoring"]

    assert verdicts(sheet)["monitoring_plan"].state == "pass"
    assert [row[:2] for row in table(sheet, "instruments").rows] == [[one["name"], one["quantity"]] for one in ALL]
    assert "(field monitoring.trigger)" in verdicts(sheet)["triggers_read"].note
    assert "plan-standard" in keys(sheet)


def test_plan_without_instruments_is_not_verified(run: Run) -> None:
    sheet = run(watched(dates=["100 d"]))["monitoring"]
    without = run(section(monitoring={"dates": ["100 d"]}))["monitoring"]

    assert verdicts(sheet)["monitoring_plan"].state == "pass"
    assert "(field monitoring.instrument)" in verdicts(without)["monitoring_plan"].note


def test_each_field_that_a_plan_leaves_out_is_named(run: Run) -> None:
    bare = instrument("SP", "settlement", **dict.fromkeys(MUST_STATE))
    sheet = run(watched(instruments=[bare, instrument("IN", "lateral displacement", until=None)]))["monitoring"]

    note = verdicts(sheet)["monitoring_plan"].note
    assert f"SP: {', '.join(MUST_STATE)}; IN: until." in note
    assert table(sheet, "readings").rows[0][1:] == ["not given"] * 7


def test_trigger_that_nobody_reads_is_named(run: Run) -> None:
    given = [trigger("settlement", "0.9 m"), trigger("stress ratio", 2.0)]
    some = [instrument("SP", "settlement"), instrument("PC", "pressure on columns")]

    assert "T2 stress ratio needs pressure on soil." in verdicts(
        run(watched(*given, instruments=some))["monitoring"])["triggers_read"].note  # fmt: skip
    assert verdicts(run(watched(*given))["monitoring"])["triggers_read"].state == "pass"


def relying(document: Any) -> None:
    """The design counts on a gain, a degree, a stress ratio and a residual settlement."""
    document["stage"][1].update(c_u_gain="0.4 kPa", c_u_gain_source="invented", degree_min=0.8, n_stability=2.0)
    document["basis"]["limits"]["settlement_residual"] = "0.30 m"
    point = {"name": "HP 1", "before": "filling", "stage": FINAL, "proof": "vane tests", "release": "designer"}
    document["construction"] = {"hold_point": [point]}


def test_everything_that_the_design_relies_on_is_looked_for(run: Run) -> None:
    sheet = run(relying, watched(instruments=[instrument("SP", "settlement")]))["monitoring"]
    rows, note = table(sheet, "relied").rows, verdicts(sheet)["monitoring_coverage"].note

    assert [row[:4] for row in rows] == [
        ["gain of undrained strength", "0.40 kN/m²", FINAL, "none"],
        ["degree of consolidation", "80 %", FINAL, "SP"],
        ["stress ratio", "2.00", FINAL, "none"],
        ["residual settlement", "300 mm", "after hand-over", "SP"],
    ]
    assert [row[5] for row in rows] == ["HP 1", "HP 1", "HP 1", "none"]
    assert 'gain of undrained strength at Final: an instrument for "undrained strength"' in note
    assert 'stress ratio at Final: an instrument for "pressure on soil" and "pressure on columns"' in note
    assert "residual settlement: a trigger of “residual settlement”" in note


def test_wedge_that_relies_on_columns_asks_for_stops_by_pressure_and_lateral_rate() -> None:
    """Stage by stage, as the filling stops there."""
    design = SimpleNamespace(basis=SimpleNamespace(limits=SimpleNamespace(settlement_residual=None)))
    found = list(relied_on(design, SimpleNamespace(stages=()), [0.0], wedge=["Lift 1"]))  # type: ignore[arg-type]

    assert [(one.stage, one.quantity) for one in found] == [("Lift 1", "pore pressure"), ("Lift 1", "lateral rate")]


def test_coverage_is_settled_where_all_is_read_and_has_a_level(run: Run) -> None:
    given = (
        trigger("undrained strength", "design", stage=FINAL), trigger("degree of consolidation", "design", stage=FINAL),
        trigger("stress ratio", 3.0), trigger("residual settlement", "0.29 m"),
    )  # fmt: skip
    sheet = run(relying, watched(*given))["monitoring"]

    assert verdicts(sheet)["monitoring_coverage"].state == "pass"
    assert [row[4] for row in table(sheet, "relied").rows] == ["T1", "T2", "T3", "T4"]
    assert "relies on no" in verdicts(run(watched())["monitoring"])["monitoring_coverage"].note
