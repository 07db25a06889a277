"""What terminal and record say of states that the example is not in."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from calc.engine.sheet import Sheet
from calc.procedures.observation import SHAPE_ERROR
from calc.site.observed.addendum import addendum
from calc.site.observed.crossings import Crossing, crossings
from calc.site.observed.next_lift import NextLift, next_lift
from calc.site.observed.observed_figures import lines_picture
from calc.site.observed.observed_record import record
from calc.site.observed.observed_run import Observation, ObservedSection, age_of, observed_section
from calc.site.observed.observed_text import observed_text
from calc.site.observed.readings_file import Taken
from calc.site.observed.series import Series
from calc.site.observed.settlement_analysis import APART, Analysis, Hyperbola, Span
from calc.site.rows.row_files import Refused
from tests.site.invented_lifts import accepted
from tests.site.invented_plates import analysed, plate
from tests.site.invented_readings import built, chapters_of, design, series
from tests.site.test_observe_command import words_of

pytestmark = pytest.mark.slow
approx = pytest.approx


def said(part: ObservedSection, refused: Sequence[Refused] = ()) -> str:
    return observed_text(observation(part, refused), 1000)


def observation(part: ObservedSection, refused: Sequence[Refused] = ()) -> Observation:
    observed = design().observed
    assert observed is not None
    return Observation(design(), observed, Taken((), tuple(refused), ("week.csv",)), (part,))


def section_a(*own: Series, analyses: tuple[Analysis, ...] = (), crossed: Sequence[Crossing] = ()) -> ObservedSection:
    return ObservedSection(built("A").section, own, built("A"), tuple(crossed), analyses=analyses)


def test_a_section_that_the_design_has_no_course_for_is_open() -> None:
    section, done = chapters_of("A")
    bare = {key: sheet for key, sheet in done.items() if key != "monitoring"}
    part = observed_section(design(), section, section, bare, [plate("A", 9.0)], slip=False)

    assert part.course is None
    assert "Section A is not compared: section A: the chapter on monitoring has no expected readings" in said(part)
    assert observation(part).outcome == "incomplete"
    assert record(observation(part))["sections"][0]["stages"] == {}


def test_reasons_of_refused_rows_are_counted_beyond_the_third() -> None:
    rows = [Refused("a/week.csv", k, f"reason {k}") for k in range(2, 8)]

    text = said(section_a(), rows)
    assert "  Refused: week.csv, line 2: reason 2.\n" in text
    assert "  … more reasons: 3, see the addendum.\n" in text


def test_every_kind_of_level_is_told_in_its_unit() -> None:
    days = np.arange(0.0, 201.0, 10.0)
    values = np.linspace(0.0, 0.4, len(days))
    own = [series("A", "SP-9", "settlement", days, values),
           series("A", "WS", "groundwater", np.array([65.0]), np.array([0.9])),
           series("A", "PP", "pore pressure", np.array([70.0]), np.array([25.0]), depth=1.0),
           series("A", "SR", "ring strain", np.array([150.0]), np.array([0.03]), depth=1.0)]  # fmt: skip
    found, _ = crossings(built("A"), own)
    lines = "".join(said(section_a(crossed=(one,))) for one in found)

    for words in ("settlement SP-9 400.0 mm beyond 360.0 mm", "groundwater WS 0.90 m beyond 0.20 m",
                  "pore pressure PP 25.00 kN/m² beyond 20.00 kN/m²", "ring strain SR 3.00 % beyond 2.40 %",
                  ", no reading since lies back on the right side: No fill"):  # fmt: skip
        assert words in lines, words
    assert "  … more triggers crossed: " in said(section_a(crossed=found))
    assert "  No plate has readings." in said(section_a())
    assert ", by outliers alone: " in said(section_a(crossed=[replace(found[0], outlier=True)]))


def test_a_red_trigger_decides_the_outcome_and_an_outlier_does_not() -> None:
    days = np.arange(0.0, 201.0, 10.0)
    found, _ = crossings(built("A"), [series("A", "SP-9", "settlement", days, np.linspace(0.0, 0.4, len(days)))])
    red = [one for one in found if one.kind == "red"]

    assert observation(section_a(crossed=red)).outcome == "fail"
    assert observation(section_a(crossed=[replace(one, outlier=True) for one in red])).outcome == "incomplete"


def test_the_picture_of_the_lines_promises_what_it_shows() -> None:
    alone = analysed(200)
    days = np.array([20.0, 40.0, 60.0])
    made = replace(
        alone, hyperbola=Hyperbola(alone.sheet.scope("drawn", "Drawn"), days, days / (100.0 + 5.0 * days), 0.2)
    )
    both, left = lines_picture(made), lines_picture(alone)
    assert alone.hyperbola is None
    assert both is not None
    assert left is not None

    assert both.width > 1.8 * left.width
    assert "hyperbola" in both.alt
    assert "hyperbola" not in left.alt
    assert "right: hyperbola" in words_of(addendum(observation(section_a(made.series, analyses=(made,)))))
    page = words_of(addendum(observation(section_a(made.series, analyses=(alone,)))))
    assert "none is taken to be closer to the ground than 0.75 % of the last reading" in page
    assert "are up to 11 times apart" in page
    assert "right: hyperbola" not in page
    assert "no hyperbola" in page


def forecast_line(hand_over: Span | None, limit: float | None) -> str:
    made = analysed(200)
    assert made.forecast is not None
    changed = replace(made, forecast=replace(made.forecast, hand_over=hand_over, limit=limit))
    return next(line for line in said(section_a(analyses=(changed,))).splitlines() if "Forecast" in line)


@pytest.mark.parametrize(
    ("hand_over", "limit", "words"),
    [
        (None, None, "; no limit of the residual settlement is asked for."),
        (Span(np.inf, 300.0, np.inf), 0.01, "; limit 10 mm not kept within ten years."),
        (Span(300.0, 290.0, np.inf), 0.01, "; limit 10 mm kept from 2026-03-29 (2026-03-19 to later than ten years)."),
    ],
)
def test_the_day_from_which_a_limit_is_kept(hand_over: Span | None, limit: float | None, words: str) -> None:
    assert forecast_line(hand_over, limit).endswith(words)


def test_a_plate_without_forecast_is_named_beside_one_with() -> None:
    short = analysed(200, replace(plate("A", 12.0), kind="SP-2", names=("SP-2",)))

    assert "  No forecast for SP-2: too few readings" in said(section_a(analyses=(analysed(200), short)))


def test_a_lift_that_may_be_placed_gives_no_reason() -> None:
    lift = NextLift("Stage 3", 202.0, Sheet("A", "next lift"), 0.9, None)
    part = replace(section_a(), lift=lift)

    assert "Next lift, Stage 3: may be placed; degree 90 % by settlement, – by pore pressure, required 85 %.".replace(
        " %", "\N{NO-BREAK SPACE}%"
    ) in said(part)
    assert observation(part).outcome == "pass"


@pytest.mark.parametrize(("longest", "days", "old"), [(None, 14, False), (None, 15, True), (2.0, 3, True)])
def test_an_old_answer_verifies_nothing(longest: float | None, days: int, old: bool) -> None:
    """The section starts on 2 June 2025 and was read last on day 200; it counts for 14 days, or as long as is given."""
    start = dt.date(2025, 6, 2)
    observed = design().observed
    assert observed is not None
    own = replace(design(), observed=observed.model_copy(update={"longest_age": longest}))
    on = start + dt.timedelta(days=200 + days)
    lift = NextLift("Stage 3", 202.0, Sheet("A", "next lift"), 0.9, None)
    of = replace(observation(replace(section_a(), lift=lift, age=age_of(own, 200.4, on))), asked=on)
    line = f"Asked on {on.isoformat()}, {days} days after the last reading: the answer"
    made = record(of)

    assert of.outcome == ("incomplete" if old else "pass")
    assert ("It says nothing of the day of the question: not verified." in observed_text(of, 1000)) == old
    assert line in observed_text(of, 1000)
    assert line in words_of(addendum(of))
    assert made["asked_on"] == on.isoformat()
    assert made["sections"][0]["age"] == {
        "days": days, "longest": longest or 14.0, "longest_by_project_rule": longest is None, "old": old,
    }  # fmt: skip
    by_rule = "counts for 14 days (project rule; the project file gives no time)."
    assert "Project rules: no forecast" in (pages := words_of(addendum(of)))
    assert f"up to {APART:.0f} times apart, and none" in pages
    assert f"{100 * SHAPE_ERROR:g} % of the last reading" in pages
    assert (by_rule in observed_text(of, 1000), by_rule in words_of(addendum(of))) == (longest is None,) * 2
    assert "Asked on" not in observed_text(replace(of, sections=(section_a(),)), 1000)


def test_an_old_answer_leaves_the_lift_open() -> None:
    course = built("A")
    start = dt.date(2025, 6, 2)
    made = next_lift(course, course.section, [], [], [], slip=False, columns=accepted(),
                     age=age_of(design(), 200.0, start + dt.timedelta(days=547)))  # fmt: skip

    assert made is not None
    verdict = next(one for one in made.sheet.verdicts if one.key == "age")
    assert verdict.state == "not verified"
    assert "is of 2025-12-19, 347 days before the day of the question (2026-12-01)" in verdict.note


def test_a_section_with_red_triggers_that_nothing_is_read_for_leaves_the_outcome_open() -> None:
    """Section B has red triggers and no instrument in the mapping; a section without triggers is told only."""
    lift = NextLift("Stage 3", 202.0, Sheet("A", "next lift"), 0.9, None)
    sound = observation(replace(section_a(), lift=lift))
    open_run = replace(sound, unmapped=("B",))
    bare = tuple(one.model_copy(update={"monitoring": None}) for one in design().sections)

    assert sound.outcome == "pass"
    assert open_run.outcome == "incomplete"
    assert "Not verified: nothing is read for the red triggers of section B" in observed_text(open_run, 1000)
    assert "nothing is read for the red triggers of section B" in words_of(addendum(open_run))
    assert record(open_run)["sections_with_red_triggers_not_read"] == ["B"]
    assert replace(open_run, design=replace(design(), sections=bare)).outcome == "pass"
