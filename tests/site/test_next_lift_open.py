"""Next lifts that nothing is asked of, or that the design has no answer for."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from calc.chain import CalculationError
from calc.engine.sheet import Sheet
from calc.engine.sheet.steps import Verdict
from calc.engine.sheet.values import Axis, Value
from calc.site.observed.next_lift import NextLift, next_lift
from calc.site.observed.stage_again import chapters_again
from tests.site.invented_lifts import lift_of, note_of, plate, replace_scopes, sensor, states, with_trigger
from tests.site.invented_readings import built, design

pytestmark = pytest.mark.slow
approx = pytest.approx


def test_a_stage_that_asks_for_nothing_leaves_degree_and_strength_unasked() -> None:
    course = built("A")
    stages = tuple(one.model_copy(update={"degree_min": None}) for one in course.section.stages)
    section = course.section.model_copy(update={"stages": stages, "monitoring": None})
    lift = lift_of(None, None, course=replace(course, section=section), plates=False)

    assert [one.stamp for one in lift.sheet.verdicts if one.key.startswith("degree")] == ["not required"] * 2
    assert "strength" not in states(lift)


def only_amber(strength: float) -> NextLift:
    course = with_trigger(quantity="undrained strength", kind="attention", level="25 kPa")
    plan = course.section.monitoring
    assert plan is not None
    triggers = tuple(one for one in plan.triggers if one.quantity != "undrained strength" or one.kind == "attention")
    section = course.section.model_copy(update={"monitoring": plan.model_copy(update={"triggers": triggers})})
    return lift_of(2.0, strength, course=replace(course, section=section))


def test_amber_levels_alone_require_nothing() -> None:
    weak, strong = (next(one for one in only_amber(value).sheet.verdicts if one.key == "strength")
                    for value in (20.0, 30.0))  # fmt: skip

    assert weak.stamp == strong.stamp == "not required"
    assert weak.note.startswith("Amber: below the level of VT-0, T")
    assert strong.note == "The plan has amber levels alone; none is crossed."


def test_a_sensor_before_any_load_is_no_degree() -> None:
    early = replace(built("A"), last=0.0)
    lift = next_lift(early, design().sections[0], [sensor(0.0, 0.0)], [], [], slip=False)

    assert lift is not None
    assert lift.by_pressure is None


def test_layers_that_change_across_leave_bearing_and_stability_open() -> None:
    course, whole = built("A"), next(one for one in design().sections if one.key == "A")
    layers = (whole.layers[0].model_copy(update={"thickness_right": 9.0}), *whole.layers[1:])
    sloping = whole.model_copy(update={"layers": layers})
    lift = next_lift(course, sloping, [sensor(200.0, 2.0)], [plate()], [], slip=False)

    assert lift is not None
    assert states(lift)["bearing"] == states(lift)["stability"] == "not verified"
    assert note_of(lift, "bearing").startswith("Layers change across")


def test_stability_of_the_stage_is_rated_where_slips_are_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    """The chapter is asked up to stability; here its place is taken by that of bearing, which has the stage, too."""

    def searched(*given: Any, **also: Any) -> dict[str, Sheet]:
        assert also["until"] == "stability"
        done = chapters_again(*given, **(also | {"until": "bearing"}))
        return done | {"stability": done["bearing"]}

    monkeypatch.setattr("calc.site.observed.stage_again.chapters_again", searched)
    whole = next(one for one in design().sections if one.key == "A")
    lift = next_lift(built("A"), whole, [sensor(200.0, 2.0)], [plate()], [], slip=True)

    assert lift is not None
    assert states(lift)["stability"] == "pass"


def test_a_design_without_a_solution_is_no_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_given: Any, **_also: Any) -> dict[str, Sheet]:
        message = "no root"
        raise CalculationError(message)

    monkeypatch.setattr("calc.site.observed.stage_again.chapters_again", broken)
    lift = lift_of(2.0)

    assert states(lift)["bearing"] == states(lift)["stability"] == "not verified"
    assert note_of(lift, "bearing") == "No solution with the degree measured: no root"


def test_a_chapter_without_a_number_of_the_stage_is_open(monkeypatch: pytest.MonkeyPatch) -> None:
    def silent(*given: Any, **also: Any) -> dict[str, Sheet]:
        done = chapters_again(*given, **also)
        done["bearing"] = replace_scopes(done["bearing"], {})
        done["bearing"].verdicts = []
        return done

    monkeypatch.setattr("calc.site.observed.stage_again.chapters_again", silent)
    assert note_of(lift_of(2.0), "bearing") == "The chapter has no utilisation in this stage."


def test_a_failure_is_told_before_what_is_left_open(monkeypatch: pytest.MonkeyPatch) -> None:
    def both(*given: Any, **also: Any) -> dict[str, Sheet]:
        done = chapters_again(*given, **also)
        bearing = replace_scopes(done["bearing"], {})
        stage = Axis("stage", (built("A").shared.stages[4],))
        every = Value("x", np.array([1.2]), (stage,), "x")
        over = Verdict("over", "Overloaded", "fail", utilisation=1.2, utilisations=every)
        bearing.verdicts = [over, Verdict("open", "Open", "not verified", note="why")]
        return done | {"bearing": bearing}

    monkeypatch.setattr("calc.site.observed.stage_again.chapters_again", both)
    lift = lift_of(2.0)

    assert states(lift)["bearing"] == "fail"
    assert note_of(lift, "bearing") == "Overloaded"
