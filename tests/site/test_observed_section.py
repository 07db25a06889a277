"""A section with invented readings: what is expected, crossed, forecast, and whether the next lift may be placed.

The readings are those of the design's own course with other factors, so that what has to come out is known.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from calc.chapters.shared.frame import CENTRE, SHOULDER, SLOPE
from calc.inputs.tables.monitoring import Measure
from calc.site.observed.course_grid import CourseGrid, grid_of
from calc.site.observed.crossings import Crossing, crossings, stress_ratios
from calc.site.observed.design_course import DesignCourse, OpenSectionError, course_of, position_of
from calc.site.observed.series import Series
from calc.site.observed.settlement_analysis import Analysis, analyse, degree_before
from tests.site.invented_readings import (
    RATE,
    SCALE,
    built,
    chapters_of,
    design,
    fill_at,
    series,
    true_settlement,
)

pytestmark = pytest.mark.slow
approx = pytest.approx
MM = 1000.0


def plate(key: str, last: float, *, every: float = 3.0, scatter: float = 0.0005, name: str = "SP-1") -> Series:
    """A plate at the axis, read from the start to a day."""
    days = np.arange(0.0, last + 0.01, every)
    noise = np.random.default_rng(4).normal(0, scatter, len(days)) if scatter else 0.0
    return series(key, name, "settlement", days, true_settlement(key, 0.0, days) + noise)


@cache
def grid(key: str, last: int) -> CourseGrid:
    """The courses of the axis of a section at every day up to the last reading."""
    course = built(key, last)
    return grid_of(course, course.known, np.arange(0.0, last + 1.0).tolist())


def analysed(last: int, one: Series | None = None, key: str = "A") -> Analysis:
    return analyse(built(key, last), grid(key, last), plate(key, float(last)) if one is None else one)


# ------------------------------------------------------------------ dates and expectation


def test_dates_of_the_works_are_those_of_the_fill() -> None:
    """Lifts read daily: their dates come back, and what follows is put off by as much as the works are late."""
    course = built("A")
    starts, ends = course.calendar.starts, course.calendar.ends

    assert starts[:3] == approx((0.0, 62.0, 140.0), abs=0.3)
    assert ends[:3] == approx((21.0, 76.0, 154.0), abs=0.3)
    assert course.read == (True, True, True, False, False, False, False)
    assert starts[3] == approx(182.0 + 20.0, abs=0.3)
    assert course.calendar.hand_over == approx(540.0 + 20.0, abs=0.3)


def test_a_lift_that_is_being_placed_goes_on_as_planned() -> None:
    course = built("A", 147)

    assert course.read[2]
    assert course.calendar.ends[2] == approx(147.0 + 7.0, abs=1.0)


def test_without_fill_or_with_fill_taken_off_the_programme_holds() -> None:
    section, done = chapters_of("A")
    bare = course_of(design(), section, done, None, 100.0)
    stages = tuple(one.model_copy(update={"fill_height": 0.5}) if one.name == "Stage 2" else one
                   for one in section.stages)  # fmt: skip
    days = np.arange(0.0, 100.0)
    fill = series("A", "f", "fill", days, fill_at("A", days))
    lower = course_of(design(), section.model_copy(update={"stages": stages}), done, fill, 100.0)

    assert bare.calendar.starts == lower.calendar.starts
    assert "not read" in bare.note
    assert "takes fill off" in lower.note


def lowered(*drops: tuple[int, float], last: int = 200, read: int = 200) -> DesignCourse:
    """Section A with readings of the fill that lie lower from a day on, the last of them on a day."""
    section, done = chapters_of("A")
    days = np.arange(0.0, read + 1.0)
    values = fill_at("A", days)
    for day, drop in drops:
        values = np.where(days >= day, values - drop, values)
    return course_of(design(), section, done, series("A", "f", "fill", days, values), float(last))


def test_fill_that_is_read_lower_is_told_and_fill_that_was_taken_off_is_no_load() -> None:
    plain, scattered, dug = lowered(), lowered((100, 0.03)), lowered((160, 0.8))

    assert plain.note == plain.taken_off == scattered.taken_off == ""
    assert "lie up to 0.03 m below earlier ones (2025-09-10)" in scattered.note
    assert "0.80 m lower on 2025-11-09" in dug.taken_off
    made = analyse(dug, grid("A", 200), plate("A", 200.0))
    assert made.why_none == [dug.taken_off]


def test_fill_that_was_not_read_of_late_is_told() -> None:
    assert lowered(read=190).note == ""
    assert lowered(read=180).note.startswith("The fill was last read on 2025-11-29, 20 days before the last reading")


def test_a_section_without_expected_readings_is_open() -> None:
    section, done = chapters_of("A")

    with pytest.raises(OpenSectionError, match="section A"):
        course_of(design(), section, {key: one for key, one in done.items() if key != "monitoring"}, None, 10.0)


@pytest.mark.parametrize(("offset", "place"), [(0.0, CENTRE), (2.5, CENTRE), (-6.0, SHOULDER), (5.0, SHOULDER),
                                               (9.5, SLOPE), (-12.0, SLOPE)])  # fmt: skip
def test_an_instrument_belongs_to_the_nearest_position(offset: float, place: str) -> None:
    assert position_of(chapters_of("A")[0], offset) == place


def test_expectation_is_that_of_the_chapter_on_monitoring() -> None:
    """At the dates of the programme every quantity is what the chapter prints for the same date."""
    section, done = chapters_of("A")
    course = course_of(design(), section, done, None, 100.0)
    scope = done["monitoring"].scopes["expected"]
    label = next(one for one in scope["s_ob"].labels("date") if "160" in one)
    day, layer = np.array([160.0]), course.shared.layers[course.layer_at(4.25)]

    def expected(quantity: str, depth: float | None = None) -> np.ndarray:
        found = course.expected(series("A", "x", quantity, day, day, depth=depth))
        assert found is not None
        return np.asarray(found(day)[:, 0])

    def printed(name: str, **case: str) -> np.ndarray:
        return np.asarray(scope[name].at(date=label, **case).array)

    assert expected("settlement") == approx(printed("s_ob"), rel=1e-9)
    assert expected("pore pressure", 4.25) == approx(printed("u_sen", layer=layer), rel=1e-9)
    assert expected("ring strain", 4.25) == approx(printed("eps_ob", layer=layer), rel=1e-9)
    assert expected("pressure on soil") == approx(printed("sigma_sob"), rel=1e-9)
    assert expected("pressure on columns") == approx(printed("sigma_cob"), rel=1e-9)
    assert course.expected(series("A", "x", "lateral displacement", day, day)) is None


def test_edge_and_slope_settle_less_than_the_axis() -> None:
    course, day = built("A"), np.array([190.0])
    settled = [float(course.at(offset).settlement_at(day)[0, 0]) for offset in (0.0, 6.0, 9.5)]

    assert settled[0] > settled[1] > settled[2] > 0


# ------------------------------------------------------------------ triggers


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


def unread(*own: Series, analyses: tuple[Analysis, ...] = ()) -> set[str]:
    """Quantities of red triggers that nothing was read for."""
    return {one.trigger.quantity for one in crossings(built("A"), list(own), analyses)[1]}


def test_red_triggers_without_a_reading_are_no_silence() -> None:
    """Nothing is read, then a plate is: what it speaks for is judged, the rest is not."""
    every = {"settlement", "settlement rate", "lateral rate", "degree of consolidation", "undrained strength",
             "pore pressure", "stress ratio", "ring strain"}  # fmt: skip

    assert unread() == every
    assert unread(plate("A", 200.0), analyses=(analysed(200),)) == every - {
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
    """The platform and stage 1 had settled by nine tenths when stage 2 began."""
    made = analysed(200)
    degree = degree_before(made, built("A").known, built("A").calendar.starts[2])
    (found,) = crossings(with_level("degree of consolidation", 0.995), [], (made,))[0]

    assert degree is not None
    assert 0.85 < degree < 0.995
    assert (found.kind, found.trigger.stage) == ("red", "Stage 2")
    assert found.worst == approx(degree, abs=1e-6)
    assert crossings(built("A"), [], (made,))[0] == []
    assert degree_before(made, built("A").known, 200.5) is None


def test_residual_settlement_counts_from_the_hand_over() -> None:
    course = built("A")
    day = course.calendar.hand_over
    days = np.array([100.0, day - 5, day + 5, day + 400, day + 4000])
    one = series("A", "SP", "settlement", days, np.array([0.1, 0.15, 0.16, 0.2, 0.31]))
    found = [each for each in crossings(course, [one])[0] if each.trigger.quantity == "residual settlement"]

    assert [each.worst for each in found] == [approx(0.155, abs=1e-6)]


# ------------------------------------------------------------------ back-analysis


def test_fit_finds_the_factors_of_the_invented_ground() -> None:
    made = analysed(200)

    assert made.why_none == []
    assert made.fit is not None
    assert made.fit.rate[0] == approx(RATE, rel=0.05)
    assert made.fit.scale[0] == approx(SCALE, rel=0.005)


def test_forecast_holds_within_its_range() -> None:
    """What the invented ground does until hand-over and to the end of the design life, and what the load brings."""
    made, course = analysed(200), built("A", 200)
    days = np.array([course.calendar.hand_over, course.calendar.end_of_life])
    handed, end = true_settlement("A", 0.0, days)
    found = made.forecast

    assert found is not None
    for span, true in ((found.at_hand_over, handed), (found.at_end, end), (found.residual, end - handed)):
        assert span.low <= span.value <= span.high
        assert span.low - 0.0005 <= true <= span.high + 0.0005
    assert found.hand_over is not None
    assert course.calendar.ends[3] <= found.hand_over.low <= found.hand_over.high


def test_methods_are_near_to_each_other_where_the_slope_is_told() -> None:
    """On readings without scatter the three final settlements differ by a few per cent of the settlement."""
    made = analysed(200, plate("A", 200.0, scatter=0.0))

    assert made.line is not None
    assert made.line.final is not None
    assert made.forecast is not None
    assert made.line.final == approx(made.forecast.placed.value, rel=0.05)
    assert made.hyperbola is not None
    assert made.hyperbola.final == approx(made.forecast.placed.value, rel=0.05)
    assert float(made.hyperbola.scope["s_hyu"].array) > made.hyperbola.final
    assert "c_hA" in made.line.scope
    assert made.common is not None
    assert 0 < made.common < 1


def test_a_forecast_too_early_is_refused_and_says_so() -> None:
    """Nine days into the rest after the last lift of section C, whose clay drains slowly with a low c_h."""
    one = series("C", "SP", "settlement", np.arange(0.0, 31.0), np.zeros(31))
    slow = built("C", 30).with_factors(built("C", 30).known, [0.12])
    made = analysed(30, replace(one, values=np.asarray(slow.settlement_at(one.days)[0])), "C")

    assert made.early.startswith("too early")
    assert made.early in made.why_none
    assert made.forecast is not None


def refused_by(reason: str, *reasons: str) -> bool:
    return any(reason in one for one in reasons)


def days_of(*spans: tuple[float, float, float]) -> np.ndarray:
    return np.concatenate([np.arange(*span) for span in spans])


@pytest.mark.parametrize(
    ("last", "days", "reason"),
    [
        (200, days_of((0, 12, 4)), "too few readings: 3"),
        (200, days_of((0, 201, 40)), "too few readings: 6"),
        (200, days_of((0, 155, 4), (196, 201, 4)), "too few readings since the last lift"),
        (147, days_of((0, 148, 3)), "the load is not constant"),
        (200, days_of((0, 70, 3), (150, 201, 3)), "a gap of 81 days"),
    ],
)
def test_readings_that_do_not_support_a_forecast(last: int, days: np.ndarray, reason: str) -> None:
    made = analysed(last, series("A", "SP-1", "settlement", days, true_settlement("A", 0.0, days)))

    assert refused_by(reason, *made.why_none), made.why_none


def test_a_settlement_that_does_not_slow_down_is_refused() -> None:
    days = np.arange(0.0, 201.0, 3.0)
    values = true_settlement("A", 0.0, days) + 0.00002 * np.clip(days - 154, 0, None) ** 2

    made = analysed(200, series("A", "SP-1", "settlement", days, values))
    assert refused_by("not below 1", *made.why_none), made.why_none


def test_residuals_with_a_trend_are_refused() -> None:
    """A course of another shape: it swings by a seventh of what settles."""
    days = np.arange(0.0, 201.0, 3.0)
    values = true_settlement("A", 0.0, days) + 0.02 * np.sin(days / 25.0) * np.clip(days / 20.0, 0.0, 1.0)

    made = analysed(200, series("A", "SP-1", "settlement", days, values))
    assert refused_by("residuals show a trend", *made.why_none), made.why_none


def test_ground_outside_the_factors_looked_at_is_refused() -> None:
    """All settlement in the days of filling, as no factor gives it."""
    days = np.arange(0.0, 201.0, 3.0)
    course = built("A", 200)
    values = np.asarray(course.with_factors(course.known, [60.0]).settlement_at(days)[0])

    made = analysed(200, series("A", "SP-1", "settlement", days, values))
    assert refused_by("outside 0.1 to 10", *made.why_none), made.why_none


def test_least_squares_that_come_to_no_rest_give_no_number() -> None:
    """Half of it comes at once with each lift and swings: no factor on c_h is a best one."""
    days = np.arange(0.0, 201.0, 3.0)
    values = 0.03 * fill_at("A", days) * (1 + np.sin(days / 15.0) / 2) + 0.001 * days**0.5

    made = analysed(200, series("A", "SP-1", "settlement", days, values))
    assert refused_by("come to no rest", *made.wrong), made.why_none
    assert (made.fit, made.forecast, made.degree) == (None, None, None)


@pytest.mark.parametrize(("factor", "reason"), [(0.05, "factor on the settlement is 0.04"), (12.0, "is 11.2")])
def test_readings_of_another_order_than_the_design_are_no_forecast(factor: float, reason: str) -> None:
    """Millimetres taken for centimetres, or a load that never came."""
    made = analysed(200, plate_times(factor))

    assert refused_by(reason, *made.wrong), made.why_none
    assert made.forecast is None
    assert analysed(200, plate_times(3.0)).why_none == []


def plate_times(factor: float) -> Series:
    one = plate("A", 200.0)
    return replace(one, values=factor * one.values)


def test_a_plate_that_rises_is_no_forecast() -> None:
    made = analysed(200, plate_times(-1.0))

    assert made.wrong
    assert made.forecast is None


def test_a_negative_factor_on_the_settlement_is_no_forecast() -> None:
    """A plate that moves by nothing but scatter of a centimetre: one of the histories whose best factor is negative."""
    days = np.arange(0.0, 201.0, 3.0)
    values = np.random.default_rng(1).normal(0, 0.01, (2329, len(days)))[-1]
    made = analysed(200, series("A", "SP-1", "settlement", days, values))

    assert refused_by("factor on the settlement is -0.036", *made.wrong), made.why_none
    assert (made.fit, made.forecast) == (None, None)


def test_the_degree_that_counts_is_the_lower_end_of_its_range() -> None:
    made = analysed(200, plate("A", 200.0, scatter=0.002))

    assert made.forecast is not None
    assert made.degree is not None
    scope = made.forecast.scope
    assert scope["U_osl"].array == approx(float(scope["s_ob1"].array) / made.forecast.placed.high)
    assert scope["U_osl"].array < made.degree


@pytest.mark.parametrize("seed", range(8))
def test_scatter_of_a_plate_that_has_settled_exceeds_no_prediction(seed: int) -> None:
    """Readings of ground that has come to rest lie above the final settlement as often as below it."""
    days = np.arange(0.0, 201.0, 3.0)
    course = built("A")
    values = np.asarray(course.with_factors(course.known, [4.0]).settlement_at(days)[0])
    noise = np.random.default_rng(seed).normal(0, 0.001, len(days))
    made = analysed(200, series("A", "SP-1", "settlement", days, values + noise))

    assert not refused_by("exceeded", *made.wrong), made.wrong
    assert made.degree is not None
    assert made.degree <= 1.0


def test_a_last_reading_far_above_the_prediction_is_no_degree() -> None:
    """One reading at the end has no neighbour that shows it to be wrong; it must not make a lift pass."""
    one = plate("A", 200.0)
    values = one.values.copy()
    values[-1] += 0.04
    made = analysed(200, replace(one, values=values))

    assert refused_by("the prediction is exceeded: 1", *made.wrong), made.why_none


def test_nothing_that_settles_is_no_fit() -> None:
    days = np.arange(0.0, 201.0, 3.0)

    made = analysed(200, series("A", "SP-1", "settlement", days, np.zeros(len(days))))
    assert refused_by("nothing settles", *made.why_none)
    assert made.forecast is None
