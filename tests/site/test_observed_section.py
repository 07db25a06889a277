"""A section with invented readings: what is expected, crossed, forecast, and whether the next lift may be placed.

The readings are those of the design's own course with other factors, so that what has to come out is known.
"""

from dataclasses import replace

import numpy as np
import pytest

from calc.chapters.shared.frame import CENTRE, SHOULDER, SLOPE
from calc.inputs.tables.embankment import Zone
from calc.site.observed.course_grid import grid_of
from calc.site.observed.design_course import DesignCourse, OpenSectionError, course_of, position_of
from calc.site.observed.series import Series
from calc.site.observed.settlement_analysis import analyse
from tests.site.invented_plates import analysed, grid, plate
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


# ------------------------------------------------------------------ dates and expectation


def test_dates_of_the_works_are_those_of_the_fill() -> None:
    """Lifts read daily: their dates come back, and what follows is put off by as much as the works are late."""
    course = built("A")
    starts, ends = course.calendar.starts, course.calendar.ends

    assert starts[:3] == approx((0.0, 62.0, 140.0), abs=0.3)
    assert ends[:3] == approx((21.0, 76.0, 154.0), abs=0.3)
    assert course.works.read == (True, True, True, False, False, False, False)
    assert starts[3] == approx(182.0 + 20.0, abs=0.3)
    assert course.calendar.hand_over == approx(540.0 + 20.0, abs=0.3)


def test_a_lift_that_is_being_placed_goes_on_as_planned() -> None:
    course = built("A", 147)

    assert course.works.read[2]
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
    assert "not read" in bare.works.note
    assert "takes fill off" in lower.works.note


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

    assert plain.works.note == plain.works.unknown == scattered.works.unknown == ""
    assert "lie up to 0.03 m below earlier ones (2025-09-10)" in scattered.works.note
    assert "0.80 m lower on 2025-11-09" in dug.works.unknown
    made = analyse(dug, grid("A", 200), plate("A", 200.0))
    assert made.why_none == [dug.works.unknown]


def test_fill_that_was_not_read_of_late_is_told() -> None:
    """Stage 3 may have been placed since it was due; before that day the fill counts as unchanged, which is said."""
    fresh, due, old = lowered(read=190), lowered(read=180, last=230), lowered(read=180)

    assert (fresh.works.note, fresh.works.unknown, due.works.note) == ("", "", "")
    assert due.works.unknown == (
        "The fill was last read on 2025-11-29, 50 days before the last reading; whether Stage 3 has been placed since "
        "is not known"
    )
    assert old.works.note.endswith("20 days before the last reading; it counts as unchanged.")
    assert old.works.unknown == ""


def test_a_lift_that_no_reading_of_the_fill_has_seen_has_not_begun() -> None:
    """It was due on day 202, the fill was read on day 200, a plate on day 205: it is put off, and is the next one."""
    course = lowered(last=205)

    assert 205.0 < course.calendar.starts[3] < 205.001
    assert not course.works.read[3]
    assert course.works.unknown == ""
    read = plate("A", 201.0)
    found = analyse(course, grid_of(course, course.known, read.days.tolist()), read)
    assert found.why_none == []


def test_a_lift_seen_half_way_is_not_done_by_the_passing_of_days() -> None:
    """Read at half its height a week before the last reading: it is being placed, whatever the programme says."""
    course = lowered(last=154, read=147)

    assert course.works.read[2]
    assert course.calendar.ends[2] == approx(154 + 7, abs=1.0)
    assert "whether Stage 2 has been placed" in lowered(last=170, read=147).works.unknown


def test_fill_that_lay_there_at_its_first_reading_is_told() -> None:
    section, done = chapters_of("A")
    days = np.arange(40.0, 201.0)
    course = course_of(design(), section, done, series("A", "f", "fill", days, fill_at("A", days)), 200.0)

    assert course.works.note.startswith(
        "The fill was 0.80 m when it was first read on 2025-07-12: what lay there counts"
    )


def test_a_section_without_expected_readings_is_open() -> None:
    section, done = chapters_of("A")

    with pytest.raises(OpenSectionError, match="section A"):
        course_of(design(), section, {key: one for key, one in done.items() if key != "monitoring"}, None, 10.0)


def test_a_section_with_a_core_is_not_compared() -> None:
    """Its expected readings are those beside the core."""
    section, done = chapters_of("A")
    core = Zone.model_construct(name="Core", bottom=1.0, top=2.0, gamma=6.0, phi=0.6, c=0.0, left=-2.0, right=2.0)
    bank = section.embankment.model_copy(update={"zone": (core,)})
    cored = section.model_copy(update={"embankment": bank})

    with pytest.raises(OpenSectionError, match="section A: a zone of the fill ends within the bank"):
        course_of(design(), cored, done, None, 10.0)


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
