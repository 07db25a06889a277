"""May the next lift be placed: what each reading makes of the answer, in section A of the example after 200 days."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from calc.engine.sheet import Sheet
from calc.site.observed.course_grid import grid_of
from calc.site.observed.crossings import Crossing, crossings
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.next_lift import MAY, MUST_NOT, OPEN, NextLift, next_lift
from calc.site.observed.series import Series
from calc.site.observed.settlement_analysis import Analysis, analyse
from tests.site.invented_readings import built, design, series, true_settlement

pytestmark = pytest.mark.slow
approx = pytest.approx


@cache
def plate() -> Analysis:
    """A plate at the axis, read every three days."""
    course, days = built("A"), np.arange(0.0, 201.0, 3.0)
    return analyse(course, grid_of(course, course.known, days.tolist()),
                   series("A", "SP-1", "settlement", days, true_settlement("A", 0.0, days)))  # fmt: skip


def sensor(last: float, pressure: float, *, name: str = "PP") -> Series:
    """A sensor in the organic clay that reads the same for ten days."""
    days = np.arange(last - 10, last + 0.5, 2.0)
    return series("A", name, "pore pressure", days, np.full(len(days), pressure), depth=4.25)


def vanes(strength: float) -> list[Series]:
    return [series("A", f"VT-{k}", "undrained strength", np.array([178.0]), np.array([strength]), depth=depth)
            for k, depth in enumerate((1.0, 4.25))]  # fmt: skip


def lift_of(pressure: float | None, strength: float | None = 30.0, found: list[Crossing] | None = None,
            *, course: DesignCourse | None = None, plates: bool = True) -> NextLift:  # fmt: skip
    """Stage 3 of section A after 200 days, without slip searches."""
    own = [] if pressure is None else [sensor(200.0, pressure)]
    own += vanes(strength) if strength is not None else []
    whole = next(one for one in design().sections if one.key == "A")
    made = next_lift(course or built("A"), whole, own, [plate()] if plates else [], found or [], slip=False)
    assert made is not None
    return made


def states(lift: NextLift) -> dict[str, str]:
    return {one.key: one.state for one in lift.sheet.verdicts}


def test_a_lift_that_everything_speaks_for_waits_for_stability_alone() -> None:
    lift = lift_of(2.0)

    assert lift.name == "Stage 3"
    assert states(lift) == {
        "degree_settlement": "pass", "degree_pressure": "pass", "strength": "pass", "red": "pass", "bearing": "pass",
        "stability": "not verified",
    }  # fmt: skip
    assert lift.answer == OPEN
    assert lift.by_pressure == approx(1 - 2.0 / (built("A").known.sensor[-1] * 36.15), abs=0.01)


def test_a_degree_too_low_by_pore_pressure_forbids_the_lift() -> None:
    """The plates alone would let it pass: both degrees are shown, and the lower one counts."""
    lift = lift_of(12.0)

    assert states(lift)["degree_settlement"] == "pass"
    assert states(lift)["degree_pressure"] == "fail"
    assert lift.answer == MUST_NOT


def test_a_pressure_above_all_that_was_placed_is_no_degree() -> None:
    assert states(lift_of(90.0))["degree_pressure"] == "fail"


def test_a_missing_or_old_reading_is_no_pass() -> None:
    assert states(lift_of(None))["degree_pressure"] == "not verified"
    old = [sensor(150.0, 1.0)]
    whole = next(one for one in design().sections if one.key == "A")
    lift = next_lift(built("A"), whole, old, [], [], slip=False)

    assert lift is not None
    assert states(lift)["degree_settlement"] == states(lift)["degree_pressure"] == "not verified"
    assert lift.by_pressure is None


@pytest.mark.parametrize(("strength", "state"), [(None, "not verified"), (15.2, "fail"), (16.0, "pass")])
def test_strength_is_asked_for_where_the_plan_does(strength: float | None, state: str) -> None:
    assert states(lift_of(2.0, strength))["strength"] == state


def test_a_red_trigger_that_still_holds_forbids_the_lift() -> None:
    days = np.arange(0.0, 201.0, 10.0)
    found, _ = crossings(built("A"), [series("A", "SP-9", "settlement", days, np.linspace(0.0, 0.4, len(days)))])

    assert states(lift_of(2.0, found=found))["red"] == "fail"


def with_gain(gain: float, state: float) -> DesignCourse:
    """The section with a gain of strength that its chapter on consolidation computes, by ground of more strength."""
    course = built("A")
    own = course.done["consolidation"]
    values = dict(own.scopes["gain"].values)
    alone = np.zeros_like(values["Dc_us"].array)
    alone[4] = gain  # stage 3
    values["Dc_us"] = replace(values["Dc_us"], array=alone)
    values["S_nc"] = replace(values["S_nc"], array=np.full_like(values["S_nc"].array, state))
    sheet = replace_scopes(own, {"gain": replace(own.scopes["gain"], values=values)})
    return replace(course, done={**course.done, "consolidation": sheet})


def replace_scopes(sheet: Sheet, changes: dict) -> Sheet:  # type: ignore[type-arg]
    made = Sheet(section=sheet.section, key=sheet.key)
    made.__dict__.update(sheet.__dict__)
    made.scopes = {**sheet.scopes, **changes}
    made.sheet = made
    return made


def test_a_credited_gain_is_limited_by_the_degree_measured() -> None:
    """A ratio of strength to stress of 1.5: with less consolidated less is gained, by the formulas of the design."""
    low, high = (lift_of(pressure, course=with_gain(90.0, 1.5)) for pressure in (12.0, 2.0))
    gains = [float(one.sheet.scopes["gain"]["Dc_us"].array) for one in (low, high)]

    assert 0 < gains[0] < gains[1]
    assert low.sheet.scopes["gain"]["U_b"].array.max() <= low.by_pressure + 1e-9  # type: ignore[operator]
    bearing = [next(each for each in one.sheet.verdicts if each.key == "bearing") for one in (low, high)]
    assert bearing[0].effect > bearing[1].effect  # type: ignore[operator]


def test_a_gain_without_both_measurements_is_not_verified() -> None:
    lift = lift_of(None, course=with_gain(9.0, 1.5))

    assert states(lift)["bearing"] == "not verified"
    assert "relies on a gain" in next(one.note for one in lift.sheet.verdicts if one.key == "bearing")


def test_all_fill_placed_leaves_no_lift() -> None:
    whole = next(one for one in design().sections if one.key == "C")

    assert next_lift(built("C"), whole, [], [], [], slip=False) is None


def test_may_be_placed_needs_every_verdict() -> None:
    lift = lift_of(2.0)
    passed = replace_verdicts(lift, lambda state: "pass" if state == "not verified" else state)

    assert passed.answer == MAY


def replace_verdicts(lift: NextLift, change: Callable[[str], str]) -> NextLift:
    sheet = Sheet(section="A", key="next lift")
    sheet.verdicts = [replace(one, state=change(one.state)) for one in lift.sheet.verdicts]  # type: ignore[arg-type]
    return replace(lift, sheet=sheet)
