"""Uplift and hydraulic failure over an aquifer, on the case of the project's methods (V1) as in the tests of heads."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from calc.chapters.ground.uplift import ON_EFFECTIVE_STRESS
from calc.engine.sheet import Sheet, settle_turns
from tests.chapters.filter_cases import filtered
from tests.chapters.head_case import BASE, GAMMA_W, clay, head
from tests.chapters.settled import state
from tests.chapters.test_heads import ARTESIAN, closed, factors, of_clay, two_layers
from tests.chapters.timed import first_chapters, verdicts

Chapters = Callable[..., dict[str, Sheet]]
approx = pytest.approx

UPLIFT = {"uplift": 0.8236, "hydraulic_heave": 0.4650}


def test_uplift_and_hydraulic_failure_reproduce_v1_5(first: Chapters) -> None:
    """The case that stands."""
    ground = first(clay(ARTESIAN, factors()))["ground"]
    found = verdicts(ground)

    for key, value in UPLIFT.items():
        assert found[key].state == "pass"
        assert found[key].utilisation == approx(value, abs=5e-5)
        assert found[key].case["layer"] == ground.axes["layer"][-1]
    flow = 1.35 * GAMMA_W * 1.6 / 8.6 / (0.9 * (20 - GAMMA_W))
    assert found["column_flow"].utilisation == approx(flow)


@pytest.mark.parametrize(("level", "key"), [("3.40 m", "uplift"), ("4.00 m", "hydraulic_heave")])
def test_head_that_lifts_the_ground_fails(first: Chapters, level: str, key: str) -> None:
    """3.40 m: 121.6 against 121.5 kPa. Seepage: 1.35 · 43.2 against 0.9 · 50.6 kPa."""
    assert state(first(clay(head((BASE, level)), factors()))["ground"], key) == "fail"


def test_flow_that_lifts_the_fill_of_the_columns_fails(first: Chapters) -> None:
    def light(document: Any) -> None:
        document["columns"]["fill"].update(gamma="12 kN/m^3", gamma_sat="12.5 kN/m^3")

    ground = first(clay(ARTESIAN, factors(), light))["ground"]

    assert verdicts(ground)["column_flow"].utilisation == approx(1.35 * GAMMA_W * 1.6 / 8.6 / (0.9 * 2.69))
    assert state(ground, "column_flow") == "fail"


def test_rise_of_the_head_and_missing_factors(first: Chapters) -> None:
    risen = verdicts(first(clay(ARTESIAN, factors(rise="0.5 m", gamma_Q_dst=1.5)))["ground"])
    bare = verdicts(first(clay(ARTESIAN))["ground"])

    assert risen["uplift"].utilisation == approx((100.062 + 1.5 * 0.5 * GAMMA_W) / (0.9 * 135))
    assert all(bare[key].state == "not verified" and bare[key].required for key in ("uplift", "column_flow"))
    assert "(table uplift)" in bare["uplift"].note


def test_rise_of_the_head_acts_in_seepage_through_soil_and_columns_and_below_a_plug(tmp_path: Path) -> None:
    """0.5 m with 1.5 on top of V1.5, also where the head alone is at rest."""
    run, rise = first_chapters(tmp_path, "filters"), factors(rise="0.5 m", gamma_Q_dst=1.5)
    more = 1.5 * 0.5 * GAMMA_W
    risen = verdicts(run(clay(ARTESIAN, rise))["ground"])
    rest = verdicts(run(clay(head((BASE, "-0.40 m")), rise))["ground"])

    assert risen["hydraulic_heave"].utilisation == approx((1.35 * 1.6 * GAMMA_W + more) / (0.9 * 50.634), rel=1e-5)
    flow = 1.35 * GAMMA_W * 1.6 / 8.6 + more / 8.6
    assert risen["column_flow"].utilisation == approx(flow / (0.9 * (20 - GAMMA_W)))
    assert rest["uplift"].utilisation == approx((84.366 + more) / (0.9 * 135))
    assert rest["hydraulic_heave"].utilisation == approx(more / (0.9 * 50.634), rel=1e-5)
    assert rest["casing_water"].state == "not verified"
    lift = [run(filtered(clay(ARTESIAN, of_clay, closed, one)))["filters"].scopes["plug"]["U_dst"].array[0]
            for one in (factors(gamma_dst=1.1), factors(gamma_dst=1.1, rise="0.5 m", gamma_Q_dst=1.5))]  # fmt: skip
    assert lift[1] - lift[0] == approx(more)


def test_rise_of_the_head_turns_what_the_heads_with_it_would_turn(tmp_path: Path) -> None:
    """7.36 of 34.94 kPa at the base, V1 with 0.75 m more of head: the toes fail, nothing grows by more than is said.

    EN 1997-1:2004, 2.4.6.1(6)P: water pressures of ultimate limit states are the most unfavourable of the life.
    """
    run = first_chapters(tmp_path, "bearing")
    given = run(clay(ARTESIAN, factors(rise="0.5 m", gamma_Q_dst=1.5)))
    higher = run(clay(head((BASE, "1.95 m")), factors()))
    share = 1.5 * 0.5 * GAMMA_W / 34.938
    settle_turns([*given.values()])
    (said,) = (one for one in given["ground"].limitations if one.key == "uplift-rise")
    rated = {key: (one.utilisation, verdicts(higher[chapter])[key].utilisation)
             for chapter in ("unit_cell", "sleeve", "bearing") for key, one in verdicts(given[chapter]).items()
             if key.startswith(ON_EFFECTIVE_STRESS)}  # fmt: skip

    assert "21.1 %" in said.text
    assert rated["toe_bearing"][0] == approx(0.827, abs=1e-3)
    assert rated["toe_bearing"][1] == approx(1.071, abs=1e-3)
    assert {key for key, (_, high) in rated.items() if high is not None and high > 1} <= set(said.turns)
    assert all(high < low / (1 - share) ** 2 for low, high in rated.values() if low is not None and high is not None)
    assert not [one for one in higher["ground"].limitations if one.key == "uplift-rise"]


def test_a_layer_over_a_more_pervious_one_is_lifted_by_itself(first: Chapters) -> None:
    """3 m lose 1.3 of the 1.6 m of head, 6 m the rest: 3.9 m · 9.81 on 3 · 15 kN/m³, while the base stands."""
    leaky = verdicts(first(clay(two_layers(3.0), head(("-3 m", "0.9 m"), (BASE, "1.2 m")), factors()))["ground"])
    tight = verdicts(first(clay(two_layers(3.0), head(("-3 m", "-0.1 m"), (BASE, "1.2 m")), factors()))["ground"])

    assert leaky["uplift"].utilisation == approx(3.9 * GAMMA_W / (0.9 * 45))
    assert tight["uplift"].utilisation == approx(UPLIFT["uplift"], abs=5e-5), "water passes the upper one"


def test_sealing_ground_and_closed_columns_leave_no_flow_to_verify(first: Chapters) -> None:
    found = verdicts(first(clay(ARTESIAN, closed, factors(seals=True, gamma_dst=1.1)))["ground"])

    assert [found[key].applies for key in ("uplift", "hydraulic_heave", "column_flow")] == [True, False, False]
    assert "column_flow" not in verdicts(first(clay(ARTESIAN, closed))["ground"]), "no factors, and no flow"


def test_a_rise_over_water_at_rest_lifts_as_over_a_head_that_hardly_differs(first: Chapters) -> None:
    """1.5 m with 1.5 at 3 m: (2.6 · 9.81 + 22.07)/(0.9 · 45); the base alone stood with 0.876."""
    given = two_layers(3.0), factors(rise="1.5 m", gamma_Q_dst=1.5)
    rest, above = (
        verdicts(first(clay(*given, head((BASE, level))))["ground"]) for level in ("-0.40 m", "-0.3999 m")
    )  # fmt: skip

    for key in UPLIFT:
        assert rest[key].state == above[key].state
        assert rest[key].utilisation == approx(above[key].utilisation, rel=1e-4)
        assert rest[key].case["layer"] == above[key].case["layer"]
    assert rest["uplift"].utilisation == approx((2.6 + 1.5 * 1.5) * GAMMA_W / (0.9 * 45))
    assert rest["uplift"].state == "fail"
