"""May the next lift be placed: what each reading makes of the answer, in section A of the example after 200 days."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from calc.engine.sheet import Sheet
from calc.engine.sheet.steps import Verdict
from calc.engine.sheet.values import Axis, Value
from calc.inputs.tables.monitoring import Measure
from calc.site.observed.course_grid import grid_of
from calc.site.observed.crossings import crossings
from calc.site.observed.next_lift import MAY, MAY_BY_STATEMENT, MUST_NOT, OPEN, NextLift, next_lift, no_lift
from calc.site.observed.settlement_analysis import analyse
from calc.site.observed.stage_again import chapters_again
from tests.site.invented_lifts import (
    lift_of,
    note_of,
    other_lift,
    plate,
    replace_scopes,
    sensor,
    states,
    vanes,
    with_gain,
    with_trigger,
)
from tests.site.invented_readings import built, design, series, true_settlement

pytestmark = pytest.mark.slow
approx = pytest.approx


def test_a_lift_that_everything_speaks_for_waits_for_stability_alone() -> None:
    lift = lift_of(2.0)

    assert lift.name == "Stage 3"
    assert states(lift) == {
        "columns": "pass", "degree_settlement": "pass", "degree_pressure": "pass", "strength": "pass", "red": "pass",
        "bearing": "pass",
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


def test_a_sensor_far_below_its_zero_is_no_degree() -> None:
    """Scatter about zero is dissipation; 5 kPa less than at rest says that zero or groundwater have moved."""
    assert states(lift_of(-0.5))["degree_pressure"] == "pass"
    lift = lift_of(-5.0)
    assert states(lift)["degree_pressure"] == "not verified"
    assert lift.by_pressure is None
    assert "PP" in note_of(lift, "degree_pressure")


def test_a_plate_that_does_not_follow_the_design_leaves_the_degree_open() -> None:
    """The other plate alone would pass: the one whose settlement exceeds the prediction is not dropped for it."""
    days = np.arange(0.0, 201.0, 3.0)
    values = true_settlement("A", 0.0, days)
    values[-1] += 0.04
    wrong = analyse(built("A"), grid_of(built("A"), built("A").known, days.tolist()),
                    series("A", "SP-2", "settlement", days, values))  # fmt: skip
    lift = other_lift([sensor(200.0, 2.0)], [plate(), wrong])

    assert states(lift)["degree_settlement"] == "not verified"
    assert "SP-2: " in note_of(lift, "degree_settlement")
    assert "prediction is exceeded" in note_of(lift, "degree_settlement")


def test_a_plate_that_is_read_no_longer_is_named() -> None:
    days = np.arange(0.0, 150.0, 3.0)
    old = analyse(built("A"), grid_of(built("A"), built("A").known, days.tolist()),
                  series("A", "SP-2", "settlement", days, true_settlement("A", 0.0, days)))  # fmt: skip
    lift = other_lift([sensor(200.0, 2.0)], [plate(), old])

    assert states(lift)["degree_settlement"] == "pass"
    assert "SP-2" in note_of(lift, "degree_settlement")


@pytest.mark.parametrize(("level", "state"), [(0.9, "pass"), (0.99, "fail")])
def test_a_red_trigger_on_the_degree_is_asked_for_where_it_is_higher(level: float, state: str) -> None:
    course = built("A")
    plan = course.section.monitoring
    assert plan is not None
    triggers = tuple(one.model_copy(update={"level": Measure(level)}) if one.quantity == "degree of consolidation"
                     else one for one in plan.triggers)  # fmt: skip
    section = course.section.model_copy(update={"monitoring": plan.model_copy(update={"triggers": triggers})})
    lift = lift_of(2.0, course=replace(course, section=section))

    assert states(lift)["degree_settlement"] == state
    assert next(one.effect for one in lift.sheet.verdicts if one.key == "degree_settlement") == level


def test_strength_is_asked_for_in_every_layer() -> None:
    """Strong peat says nothing of the organic clay; a vane in a layer of its own level is held to that alone."""
    peat = [one for one in vanes(40.0) if one.depth == 1.0]
    lift = other_lift([sensor(200.0, 2.0), *peat], [plate()])
    assert states(lift)["strength"] == "not verified"
    assert "organic-clay" in note_of(lift, "strength")
    assert "peat" not in note_of(lift, "strength")

    own = with_trigger(quantity="undrained strength", layer="peat", level="25 kPa")
    assert states(lift_of(2.0, 20.0, course=own))["strength"] == "fail"
    assert states(lift_of(2.0, 26.0, course=own))["strength"] == "pass"


def test_an_amber_strength_is_told_and_forbids_nothing() -> None:
    course = with_trigger(quantity="undrained strength", kind="attention", level="25 kPa")
    lift = lift_of(2.0, 20.0, course=course)

    assert states(lift)["strength"] == "pass"
    assert note_of(lift, "strength").startswith("Amber: below the level of VT-0, T")


def test_no_strength_at_all_is_a_failure() -> None:
    assert states(lift_of(2.0, 0.0))["strength"] == "fail"


def test_a_red_trigger_stays_open_until_a_reading_lies_back() -> None:
    """Crossed on day 100 by an instrument that is read no longer, or that was read on the right side later."""

    def red(days: list[float], values: list[float]) -> str:
        one = series("A", "IN", "lateral displacement", np.array(days), np.array(values))
        return states(lift_of(2.0, found=crossings(built("A"), [one])[0]))["red"]

    assert red([98.0, 100.0], [0.0, 0.02]) == "fail"
    assert red([98.0, 100.0, 104.0], [0.0, 0.02, 0.021]) == "fail"  # works that are stopped make calm days
    assert red([98.0, 100.0, 104.0, 114.0], [0.0, 0.02, 0.021, 0.021]) == "pass"


def test_a_red_trigger_that_nothing_was_read_for_leaves_the_lift_open() -> None:
    _, unread = crossings(built("A"), [])
    lift = other_lift([sensor(200.0, 2.0), *vanes(30.0)], [plate()], unread=unread)

    assert states(lift)["red"] == "not verified"
    assert "lateral rate (T6)" in note_of(lift, "red")


@pytest.mark.parametrize("stage", [None, "Stage 9"])
def test_a_chapter_that_fails_without_a_number_of_the_stage_forbids_the_lift(
    monkeypatch: pytest.MonkeyPatch, stage: str | None
) -> None:  # fmt: skip
    """A verdict that fails by what it states, or by a case that is of no stage: its utilisation is no excuse."""
    values = None if stage is None else Value("x", np.array([1.2]), (Axis("stage", (stage,)),), "x")

    def failing(*given: Any, **also: Any) -> dict[str, Sheet]:
        done = chapters_again(*given, **also)
        bearing = done["bearing"]
        done["bearing"] = replace_scopes(bearing, {})
        made = Verdict("stated", "Something stated", "fail", note="not so", utilisations=values)
        done["bearing"].verdicts = [*bearing.verdicts, made]
        return done

    monkeypatch.setattr("calc.site.observed.stage_again.chapters_again", failing)
    lift = lift_of(2.0)

    assert states(lift)["bearing"] == "fail"
    assert note_of(lift, "bearing") == "Fails in whatever stage: Something stated: not so"
    assert lift.answer == MUST_NOT


@pytest.mark.parametrize(("strength", "state"), [(None, "not verified"), (15.2, "fail"), (16.0, "pass")])
def test_strength_is_asked_for_where_the_plan_does(strength: float | None, state: str) -> None:
    assert states(lift_of(2.0, strength))["strength"] == state


def test_a_red_trigger_that_still_holds_forbids_the_lift() -> None:
    days = np.arange(0.0, 201.0, 10.0)
    found, _ = crossings(built("A"), [series("A", "SP-9", "settlement", days, np.linspace(0.0, 0.4, len(days)))])

    assert states(lift_of(2.0, found=found))["red"] == "fail"


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


def test_a_load_that_is_not_known_leaves_the_lift_open() -> None:
    """The fill was not read, or not since the lift was due: degrees of a load that may not lie there say nothing."""
    course = built("A")
    stale = replace(course, works=replace(course.works, unknown="The fill was last read long ago"))
    bare = replace(course, works=replace(course.works, read=(False,) * 7, note="The fill was not read."))

    for other, degree in ((stale, "not verified"), (bare, "pass")):
        lift = lift_of(2.0, course=other)
        assert states(lift)["load"] == "not verified"
        assert states(lift)["degree_pressure"] == states(lift)["degree_settlement"] == degree
        assert lift.answer == OPEN
    assert note_of(lift_of(2.0, course=stale), "load") == "The fill was last read long ago."


def test_without_a_next_lift_it_is_said_why() -> None:
    course = built("C")
    placing = replace(course, calendar=replace(course.calendar, ends=(300.0,) * len(course.calendar.ends)))
    unread = replace(course, works=replace(course.works, read=(False,) * len(course.works.read)))

    assert no_lift(course) == ("All fill lies.", True)
    assert no_lift(placing)[0].endswith(", the last lift, is being placed.")
    assert no_lift(unread) == ("By the programme all fill lies; the fill was not read.", False)


def test_all_fill_placed_leaves_no_lift() -> None:
    whole = next(one for one in design().sections if one.key == "C")

    assert next_lift(built("C"), whole, [], [], [], slip=False) is None


def test_may_be_placed_needs_every_verdict() -> None:
    lift = lift_of(2.0)
    passed = replace_verdicts(lift, lambda state: "pass" if state == "not verified" else state)

    assert passed.answer == MAY_BY_STATEMENT
    known = [replace(one, accepted=False) for one in passed.sheet.verdicts]
    passed.sheet.verdicts[:] = known
    assert passed.answer == MAY


def replace_verdicts(lift: NextLift, change: Callable[[str], str]) -> NextLift:
    sheet = Sheet(section="A", key="next lift")
    sheet.verdicts = [replace(one, state=change(one.state)) for one in lift.sheet.verdicts]  # type: ignore[arg-type]
    return replace(lift, sheet=sheet)
