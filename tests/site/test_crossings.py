"""Triggers of a section with invented readings: which are crossed, left behind again, or not judged at all."""

from dataclasses import replace

import numpy as np
import pytest

from calc.inputs.tables.monitoring import Measure
from calc.site.observed.crossing_lines import crossing_sheet
from calc.site.observed.crossings import Crossing, crossings, doubtful_crossings
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.earlier_forecast import degree_before
from calc.site.observed.series import Series
from calc.site.observed.trigger_courses import displacement_ratios, stress_ratios
from tests.site.invented_plates import plate
from tests.site.invented_readings import (
    built,
    series,
)

pytestmark = pytest.mark.slow
approx = pytest.approx


def crossed(*own: Series, last: int = 200) -> list[Crossing]:
    return crossings(built("A", last), list(own))[0]


def test_readings_within_all_levels_cross_nothing() -> None:
    """Read twice a week with the scatter of precise levelling: no rate of a day is made by it."""
    assert crossed(plate("A", 200.0)) == []


def test_a_level_is_crossed_once_with_its_dates_and_what_is_to_be_done() -> None:
    days = np.arange(0.0, 200.0, 10.0)
    values = np.linspace(0.0, 0.38, len(days))
    amber, red = crossed(series("A", "SP-1", "settlement", days, values))[::-1]

    assert (red.kind, red.trigger.quantity, red.level) == ("red", "settlement", 0.36)
    assert red.first == red.last == 190.0
    assert (amber.kind, amber.first, amber.count) == ("amber", 150.0, 5)
    assert red.trigger.action.startswith("No fill")


def test_pore_pressure_is_held_to_the_level_of_its_layer_and_stage() -> None:
    """22 kPa are too much in stage 1, right at the limit in stage 2."""
    days = np.array([70.0, 150.0])
    found = crossed(series("A", "PP", "pore pressure", days, np.array([22.0, 22.0]), depth=1.0))

    assert [(one.level, one.first) for one in found] == [(20.0, 70.0)]


def test_an_outlier_alone_is_told_from_a_reading() -> None:
    days = np.arange(0.0, 200.0, 10.0)
    values = np.full(len(days), 0.1)
    values[8] = 0.5
    one = series("A", "SP-1", "settlement", days, values).marked(None)

    found = [each for each in crossed(one) if each.trigger.quantity == "settlement"]
    assert found
    assert all(each.outlier for each in found)


def test_what_stands_is_told_before_outliers_and_what_is_left_behind() -> None:
    days = np.arange(0.0, 200.0, 10.0)
    slip = np.full(len(days), 0.1)
    slip[8] = 0.5
    away = series("A", "SP-1", "settlement", days, slip).marked(None)
    over = series("A", "SP-2", "settlement", days, np.linspace(0.0, 0.38, len(days)))
    found = crossed(away, over)

    assert (found[0].series, found[0].first) == ("SP-2", 190.0)
    assert [one.stands for one in found] == sorted((one.stands for one in found), reverse=True)
    assert min(one.first for one in found if one.outlier) < 190.0


def test_rates_are_taken_over_a_day_at_least() -> None:
    """An hour later 1 mm more: by the hour that would be 24 mm a day."""
    days = np.array([0.0, 10.0, 11.0, 11.04, 20.0])
    lateral = series("A", "IN", "lateral displacement", days, np.array([0.0, 0.001, 0.0042, 0.0052, 0.006]))

    found = crossed(lateral)
    assert [(one.trigger.quantity, one.kind, one.first) for one in found] == [("lateral rate", "amber", 11.0)]
    assert found[0].count == 2
    assert found[0].worst == approx(0.0042 / 1.04)


def test_stress_ratio_is_that_of_the_means_once_there_is_load() -> None:
    """The first pair lies under less than 10 kPa and says nothing; the last falls below the ratio of stage 2."""
    days = np.array([3.0, 100.0, 160.0])
    cells = [series("A", "PC-1", "pressure on columns", days, np.array([1.0, 90.0, 60.0])),
             series("A", "PC-2", "pressure on columns", days, np.array([1.0, 110.0, 60.0])),
             series("A", "PS-1", "pressure on soil", days, np.array([1.0, 10.0, 20.0]))]  # fmt: skip
    (ratio,) = stress_ratios(cells)
    found = crossed(*cells)

    assert ratio.values == approx([1.0, 10.0, 3.0])
    assert [(one.trigger.quantity, one.trigger.stage) for one in found] == [("stress ratio", "Stage 2")]
    assert found[0].worst == approx(3.0)
    assert list(stress_ratios(cells[:2])) == []


def test_strength_is_held_to_its_layer_before_the_stage() -> None:
    """Read before stage 2 began: one layer is too weak; what was read later is no matter of that stage."""
    weak = series(
        "A", "VT", "undrained strength", np.array([1.0, 130.0, 180.0]), np.array([9.0, 10.0, 30.0]), depth=1.0
    )
    late = series("A", "VT", "undrained strength", np.array([180.0]), np.array([5.0]), depth=1.0)

    assert [(one.trigger.stage, one.worst) for one in crossed(weak)] == [("Stage 2", 10.0)]
    assert [one for one in crossed(late) if one.trigger.stage == "Stage 2"] == []


def test_a_level_is_left_behind_by_a_reading_on_its_right_side_alone() -> None:
    """Crossed in stage 1; afterwards read never again, still beyond in the next stage, or back."""

    def until(*values: float) -> float | None:
        days = np.array([70.0, 75.0, 150.0, 160.0])[: 2 + len(values)]
        one = series("A", "PP", "pore pressure", days, np.array([21.0, 21.5, *values]), depth=1.0)
        return next(each for each in crossed(one) if each.level == 20.0 and each.first == 70.0).until

    assert until() is None
    assert until(20.5, 20.2) is None
    assert until(20.5, 12.0) == 160.0


def unread(*own: Series) -> set[str]:
    """Quantities of red triggers that nothing was read for."""
    return {one.trigger.quantity for one in crossings(built("A"), list(own))[1]}


def test_red_triggers_without_a_reading_are_no_silence() -> None:
    """Nothing is read, then a plate is: what it speaks for is judged, the rest is not."""
    every = {"settlement", "settlement rate", "lateral rate", "degree of consolidation", "undrained strength",
             "pore pressure", "stress ratio", "ring strain"}  # fmt: skip

    assert unread() == every
    assert unread(plate("A", 200.0)) == every - {
        "settlement", "settlement rate", "degree of consolidation"
    }  # fmt: skip
    assert "settlement rate" in unread(plate("A", 0.0))


def test_what_asks_for_later_stages_is_not_missed_yet() -> None:
    """Strength and degree of stage 3, which has not begun, are no matter of the readings so far."""
    _, found = crossings(built("A"), [])

    assert {one.trigger.stage for one in found if one.trigger.quantity == "undrained strength"} == {"Stage 2"}


def with_level(quantity: str, level: float) -> DesignCourse:
    """The section with another level for the stages of a quantity."""
    course = built("A")
    plan = course.section.monitoring
    assert plan is not None
    triggers = tuple(one.model_copy(update={"level": Measure(level)}) if one.quantity == quantity else one
                     for one in plan.triggers)  # fmt: skip
    section = course.section.model_copy(update={"monitoring": plan.model_copy(update={"triggers": triggers})})
    return replace(course, section=section)


def test_degree_of_consolidation_is_held_to_its_level_before_the_stage() -> None:
    """The platform and stage 1 had settled by nine tenths when stage 2 began; what was read later is of no matter."""
    one, start = plate("A", 200.0), built("A").calendar.starts[2]
    degree = degree_before(built("A"), one, start)
    held = [each for each in crossings(with_level("degree of consolidation", 0.995), [one])[0] if each.level == 0.995]

    assert degree is not None
    assert 0.75 < degree < 0.995
    assert degree_before(built("A"), one.chosen(one.days < start), start) == degree
    assert [(each.kind, each.trigger.stage) for each in held] == [("red", "Stage 2")]
    assert held[0].worst == approx(degree, abs=1e-6)
    assert crossings(built("A"), [one])[0] == []


def test_a_degree_before_a_stage_takes_readings_before_it() -> None:
    """Too few of them, or the last one a month old."""
    one, start = plate("A", 200.0), built("A").calendar.starts[2]

    assert degree_before(built("A"), one.chosen(one.days > start - 10), start) is None
    assert degree_before(built("A"), one.chosen(np.abs(one.days - start) > 30), start) is None


def test_residual_settlement_counts_from_the_hand_over() -> None:
    course = built("A")
    day = course.calendar.hand_over
    days = np.array([100.0, day - 5, day + 5, day + 400, day + 4000])
    one = series("A", "SP", "settlement", days, np.array([0.1, 0.15, 0.16, 0.2, 0.31]))
    found = [each for each in crossings(course, [one])[0] if each.trigger.quantity == "residual settlement"]

    assert [each.worst for each in found] == [approx(0.155, abs=1e-6)]


def ratio_level(quantity: str, level: float, was: str = "lateral rate") -> DesignCourse:
    """The section with levels of a displacement ratio in place of those of the lateral rate, or of another quantity."""
    course = with_level(was, level)
    plan = course.section.monitoring
    assert plan is not None
    triggers = tuple(one.model_copy(update={"quantity": quantity}) if one.quantity == was else one
                     for one in plan.triggers)  # fmt: skip
    section = course.section.model_copy(update={"monitoring": plan.model_copy(update={"triggers": triggers})})
    return replace(course, section=section)


def moved(*values: float) -> Series:
    days = np.array([0.0, 40.0, 80.0, 120.0])
    return series("A", "IN", "lateral displacement", days, np.array(values), offset=12.0)


SETTLED = series(
    "A", "SP-0", "settlement", np.array([0.0, 60.0, 120.0]), np.array([0.0, 0.12, 0.24]), offset=0.0
)  # fmt: skip
EDGE = series("A", "SP-9", "settlement", np.array([0.0, 120.0]), np.array([0.0, 0.01]), offset=9.0)


def test_displacement_ratio_counts_from_zero_with_the_plate_nearest_to_the_axis() -> None:
    """24 of 80 mm, 24 of 160 mm, 96 of 240 mm; 2 mm per day of settlement, interpolated."""
    (found,) = displacement_ratios([moved(0.0, 0.024, 0.024, 0.096), EDGE, SETTLED])

    assert found.name == "IN/SP-0"
    assert found.values == approx([0.0, 0.3, 0.15, 0.4])
    assert list(displacement_ratios([SETTLED])) == list(displacement_ratios([moved(0.0, 0.1, 0.2, 0.3)])) == []


def test_a_little_settlement_hides_no_displacement() -> None:
    """4 mm of settlement count as 20 mm: 30 mm beside them are 1.5."""
    little = replace(SETTLED, values=np.array([0.0, 0.004, 0.006]))
    (found,) = displacement_ratios([moved(0.0, 0.03, 0.03, 0.03), little])

    assert found.values == approx([0.0, 1.5, 1.5, 1.5])


def test_increments_count_from_the_start_of_the_time_of_the_level() -> None:
    """From day 40 on: nothing, then 72 of 80 mm; before it nothing is told, nor before the plate was read."""
    own = moved(0.0, 0.024, 0.024, 0.096)
    (found,) = displacement_ratios([own, SETTLED], [40.0, 80.0])
    (late,) = displacement_ratios([own, replace(SETTLED, days=np.array([50.0, 60.0, 120.0]))], [40.0, 80.0])

    assert found.days.tolist() == [40.0, 80.0, 120.0]
    assert found.values == approx([0.0, 0.0, 0.9])
    assert late.days.tolist() == [80.0, 120.0]


@pytest.mark.parametrize(
    ("quantity", "level", "kinds"),
    [("displacement ratio", 0.5, []), ("displacement ratio", 0.25, ["red", "amber"]),
     ("displacement increment ratio", 0.35, ["red", "amber"])],
)  # fmt: skip
def test_levels_of_a_displacement_ratio(quantity: str, level: float, kinds: list[str]) -> None:
    own = moved(0.0, 0.024, 0.024, 0.096)
    found, _ = crossings(ratio_level(quantity, level), [own, SETTLED])

    assert [one.kind for one in found if one.trigger.quantity == quantity] == kinds


@pytest.mark.parametrize(("calm", "back"), [(1.0, None), (13.0, None), (14.0, 74.0)])
def test_a_rate_is_left_behind_by_no_calm_day(calm: float, back: float | None) -> None:
    """40 mm in four days, then nothing more."""
    days = np.array([50.0, 56.0, 60.0, 60.0 + calm])
    one = series("A", "IN", "lateral displacement", days, np.array([0.0, 0.0, 0.04, 0.04]), offset=12.0)
    found = [each for each in crossed(one) if each.trigger.quantity == "lateral rate"]

    assert {each.kind for each in found} == {"amber", "red"}
    assert {each.until for each in found} == {back}


def test_an_outlier_of_late_is_doubted_beside_readings_that_are_left_behind() -> None:
    """Beyond on days 100 to 102, back on day 103; an outlier on day 195 of 200."""
    days = np.array([99.0, 100.0, 101.0, 102.0, 103.0, 110.0, 195.0, 199.0])
    values = np.array([0.1, 0.4, 0.4, 0.4, 0.1, 0.1, 0.5, 0.1])
    outliers = np.zeros(8, dtype=bool)
    outliers[6] = True
    one = replace(series("A", "SP-1", "settlement", days, values), outliers=outliers)
    (red,) = [each for each in crossed(one) if each.trigger.quantity == "settlement" and each.kind == "red"]

    assert (red.outlier, red.until, red.doubtful, red.stands) == (False, 103.0, 195.0, False)
    assert doubtful_crossings([red], 200.0) == [red]
    assert doubtful_crossings([red], 210.0) == []


def test_a_sensor_that_was_never_read_is_missed_in_its_layer() -> None:
    days = np.arange(0.0, 201.0, 5.0)
    peat = series("A", "PP-1", "pore pressure", days, np.sin(days), depth=1.0)
    silent = series("A", "PP-2", "pore pressure", np.zeros(0), np.zeros(0), depth=4.25)
    alone = {each.why for each in crossings(built("A"), [peat])[1] if each.trigger.quantity == "pore pressure"}
    both = {each.why for each in crossings(built("A"), [peat, silent])[1] if each.trigger.quantity == "pore pressure"}

    assert alone == set()
    assert both == {"PP-2 has no reading to compare"}


def test_one_inclinometer_is_enough_for_a_displacement_ratio() -> None:
    days = np.array([0.0, 40.0, 80.0, 195.0])
    long = replace(SETTLED, days=np.array([0.0, 60.0, 200.0]), values=np.array([0.0, 0.12, 0.24]))
    lost, kept = (
        replace(series("A", name, "lateral displacement", when, np.linspace(0.0, 0.01, len(when))), kind="IN")
        for name, when in (("IN-1", days[:3]), ("IN-2", days))
    )
    course = ratio_level("displacement ratio", 0.9)

    def unread_by(*own: Series) -> list[str]:
        unread = crossings(course, [*own, long])[1]
        return [each.why for each in unread if each.trigger.quantity == "displacement ratio"]

    assert unread_by(lost, kept) == []
    assert len(unread_by(lost)) == 1


def last_lines(course: DesignCourse, found: list[Crossing]) -> dict[int, float]:
    """The value of the last line of every trigger, which a formula gives."""
    sheet = crossing_sheet(course, found)
    last = {step.scope: step for step in sheet.steps}
    assert all(step.formula is not None for step in last.values())
    return {int(scope.removeprefix("T")): float(step.value.array) for scope, step in last.items()}


def test_every_computed_value_that_crossed_stands_on_its_lines() -> None:
    """Rates, ratios, ring tension, degree: the last line of each trigger is the value told, by its own formula."""
    days = np.arange(0.0, 201.0, 5.0)
    jump = np.where(days < 100.0, 0.0, 0.2)
    cells = [series("A", name, f"pressure on {on}", days, np.full(len(days), 30.0))
             for name, on in (("PC", "columns"), ("PS", "soil"))]  # fmt: skip
    own = [series("A", "SP-1", "settlement", days, 0.1 + jump),
           series("A", "IN", "lateral displacement", days, -jump, offset=12.0),
           series("A", "SR", "ring strain", days, np.full(len(days), 0.04), depth=1.0), *cells]  # fmt: skip
    seen = set()
    for course, read in (
        (built("A"), own), (ratio_level("displacement ratio", 0.3), own),
        (ratio_level("displacement increment ratio", 0.3), own),
        (ratio_level("ring tension", 10.0, "ring strain"), own),
        (with_level("degree of consolidation", 0.995), [plate("A", 200.0)]),
    ):  # fmt: skip
        found = crossings(course, read)[0]
        lines = last_lines(course, found)
        for one in found:
            assert (one.number in lines) is bool(one.recipe)
            if one.number in lines and not one.outlier:
                assert lines[one.number] == approx(one.worst, rel=1e-12)
                seen.add(one.trigger.quantity)
    assert seen == {"settlement rate", "lateral rate", "displacement ratio", "displacement increment ratio",
                    "stress ratio", "ring tension", "degree of consolidation"}  # fmt: skip


def test_the_lines_are_those_of_the_reading_farthest_beyond_that_is_no_slip() -> None:
    """Of three inclinometers one has a slip of a metre, one moves 12 mm in five days and one 24 mm."""
    days = np.array([90.0, 95.0, 100.0, 105.0, 110.0, 115.0])

    def read(name: str, far: float, *, slip: bool = False) -> Series:
        values = np.array([0.0, 0.0, far, far, 0.0, 0.0])
        one = series("A", name, "lateral displacement", days, values)
        return replace(one, outliers=values != 0.0) if slip else one

    own = [read("IN-1", 1.0, slip=True), read("IN-2", 0.025), read("IN-3", 0.05)]
    found = [one for one in crossed(*own) if one.trigger.quantity == "lateral rate"]
    sheet = crossing_sheet(built("A"), found)

    assert {one.series for one in found} == {"IN-1", "IN-2", "IN-3"}
    assert [scope.title.partition(": ")[2] for scope in sheet.scopes.values()] == [
        "lateral rate of IN-3, farthest on 2025-09-10"] * len(sheet.scopes)  # fmt: skip
    assert [*last_lines(built("A"), found).values()] == [approx(0.01)] * len(sheet.scopes)
    assert crossing_sheet(built("A"), crossed(plate("A", 200.0))).steps == []
