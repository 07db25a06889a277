"""The search of a whole section, its reasons where there is no programme, and the run that confirms it."""

import re
from math import inf

import pytest

from calc.chain import run_section
from calc.chapters.shared.frame import AS_GIVEN
from calc.inputs import Design
from calc.study import shortest
from calc.study.chapters import chapters
from calc.study.conditions import Needed
from calc.study.counted_strength import BEARING
from calc.study.date_search import FIRST, OPENING, ORDER, WAIT, Grid
from calc.study.proposed_dates import with_dates
from calc.study.shortest import CREEP, Found, OpenError, Search, Wish
from tests.study.bank import design_of, found_in, nothing_in, search_of

WIDE = "500 mm"  # every hand-over meets it, so that no later end of the works is tried
COMPUTED = ('c_u_gain = "2 kPa"', 'c_u_gain = "consolidation"')


@pytest.mark.slow
def test_dates_hold_in_the_run_of_all_chapters_and_not_a_day_earlier() -> None:
    """Moved a day back, each date alone fails the verdict that governs it."""
    design = design_of()
    found = found_in()
    dates = [one.date for one in found.dated]

    def states(*moved: float) -> dict[str, str]:
        done = chapters(*with_dates(design, "A", moved[:-1], moved[-1]), until="consolidation")
        return {verdict.key: verdict.state for verdict in done["consolidation"].verdicts}

    run = run_section(*with_dates(design, "A", dates[:-1], dates[-1]))
    whole = {
        verdict.key: verdict.state for sheet in run.sheets if sheet.key == "consolidation" for verdict in sheet.verdicts
    }

    assert [one.governs for one in found.dated] == [FIRST, "gain", "gain", "residual settlement"]
    assert {whole[key] for key in ("strength_gain", "settlement_residual")} == {"pass"}
    assert states(*dates) == whole
    assert states(dates[0], dates[1] - 1, *dates[2:])["strength_gain"] == "not verified"
    assert states(*dates[:2], dates[2] - 1, dates[3])["strength_gain"] == "not verified"
    assert states(*dates[:3], dates[3] - 1)["settlement_residual"] == "fail"


@pytest.mark.slow
def test_wider_steps_and_waits_make_a_programme_no_shorter() -> None:
    days, weeks, patient = found_in(), found_in(step=7.0), found_in(step=7.0, least_wait=20.0)

    assert all(one.date % 7 == 0 for one in weeks.dated)
    assert [one.governs for one in patient.dated][1] == WAIT
    for other in (weeks, patient):
        pairs = zip(days.proposal.starts, other.proposal.starts, strict=True)
        assert all(early <= late for early, late in pairs)
        assert days.proposal.hand_over <= other.proposal.hand_over


@pytest.mark.slow
def test_low_c_h_makes_a_programme_longer() -> None:
    """Degrees are reached later; the residual settlement is asked of the lower c_h in either search."""
    asked = ("\nn_stability = 1.5\n", "\nn_stability = 1.5\ndegree_min = 0.6\n")
    later, plain = (found_in(asked, residual=WIDE, cautious=one).proposal for one in (True, False))

    assert later.hand_over > plain.hand_over
    assert found_in(cautious=True).proposal.hand_over == found_in().proposal.hand_over


@pytest.mark.slow
def test_works_end_later_where_less_creep_of_the_sleeve_brings_the_hand_over_forward() -> None:
    """Each date of the last stage is tried from its earliest on: none gives an earlier hand-over."""
    found = found_in(residual="37 mm", step=56.0)
    search = search_of(residual="37 mm", step=56.0)
    first = found.dated[1]
    tried = {}
    soonest = int(found.proposal.hand_over)
    for end in range(int(first.date) + 56, soonest, 56):
        starts = (0.0, first.date, float(end))
        search._end_works(starts)
        days = range(end + 56, soonest + 1, 56)  # a later hand-over is none that is sought
        tried[end] = next((day for day in days if search.ground.residual((*starts, float(day))).holds), None)
    plain = tried[min(tried)]

    assert found.dated[2].governs == CREEP
    assert found.proposal.hand_over == min(day for day in tried.values() if day)
    assert plain is None or plain > found.proposal.hand_over
    assert found.dated[2].date == min(end for end, day in tried.items() if day == found.proposal.hand_over)


def test_hand_over_may_follow_at_once_after_a_late_end() -> None:
    search = search_of(residual="500 mm")
    grid = Grid(0.0, 1.0, 900.0)

    assert search._hand_over((0.0, 60.0, 150.0), grid, 900) == 164
    assert search._hand_over((0.0, 60.0, 150.0), grid, 163) == inf


def test_rows_stand_beside_what_was_typed() -> None:
    found = found_in(residual=WIDE)
    first, second, _, last = found.rows

    assert [row.name for row in found.rows] == ["Platform", "Stage 1", "Final", "hand-over"]
    assert [row.typed for row in found.rows] == [0, 60, 150, 400]
    assert (first.wait, first.degree, last.degree) == (None, None, None)
    assert second.wait == found.dated[1].date - 14
    assert 0 < (second.degree or 0) < 100
    assert found.looked > 10
    assert not found.unloads


def test_without_conditions_stages_follow_one_another() -> None:
    gain = " # gain of undrained strength, to be proven before the stage is filled"
    none = (
        ('settlement_residual = "60 mm"\n', ""),
        (f'c_u_gain = "0.5 kPa"{gain}\n', ""),
        ('c_u_gain = "2 kPa"\n', ""),
    )

    found = found_in(*none)

    assert [(one.date, one.governs) for one in found.dated] == [(0, FIRST), (14, ORDER), (28, ORDER), (42, ORDER)]


def test_a_gain_larger_than_the_final_one_is_named_with_what_is_missing() -> None:
    nothing = nothing_in(('c_u_gain = "2 kPa"', 'c_u_gain = "30 kPa"'))

    assert nothing.place == "Final"
    assert "gain of strength credited in Final" in nothing.why
    assert "kN/m² short of 30.00 kN/m² on day 3652" in nothing.why
    assert "no wait brings it, in the end it is " in nothing.why


def test_a_latest_date_before_a_stage_is_told_with_the_day_that_brings_its_gain_or_that_no_room_is_left() -> None:
    date = found_in(residual=WIDE).dated[2].date

    assert nothing_in(latest=43.0, residual=WIDE).why.endswith(f"the latest; it would be met from day {date:g} on.")
    assert nothing_in(latest=10.0, residual=WIDE).why.startswith("The stages before leave no room")


@pytest.mark.slow
def test_a_latest_date_that_is_too_early_is_told_apart() -> None:
    dates = [one.date for one in found_in().dated]

    for latest, place, more in ((43.0, 2, ""), (100.0, 3, ", with a later last stage perhaps sooner")):
        why = nothing_in(latest=latest).why
        assert why.endswith(f"the latest; it would be met from day {dates[place]:g} on{more}.")
    assert nothing_in(latest=20.0).why.startswith("gain of strength credited in Stage 1 0.4")
    assert nothing_in(latest=10.0).why.startswith("The stages before leave no room")


def test_residual_settlement_that_no_wait_takes_away_is_taken_apart() -> None:
    nothing = nothing_in(residual="2 mm", step=365.0)
    number = r"\d+\.\d mm"

    assert nothing.place == "hand-over"
    assert re.fullmatch(
        rf"residual settlement after hand-over {number}, [\d.]+ mm above the limit of 2.0 mm on day 3650 "
        rf"\(0.0 mm primary, {number} creep of the sleeve, {number} secondary\), the latest; no wait brings it, in the "
        rf"end it is {number}.",
        nothing.why,
    )


def test_a_gain_in_the_first_stage_cannot_be_waited_for() -> None:
    change = ("n_stability = 1.0\n", 'n_stability = 1.0\nc_u_gain = "1 kPa"\nc_u_gain_source = "vane"\n')

    nothing = nothing_in(change)

    assert (nothing.place, nothing.why.partition("; ")[2]) == (
        "Platform", "the first stage keeps its date, so no wait can bring it."
    )  # fmt: skip


def test_stage_on_the_computed_gain_waits_until_its_verdicts_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the date found the ground has gained what the verdicts need; a day earlier it has not."""
    monkeypatch.setattr(shortest, "needed_gain", lambda *_arguments: Needed(2.0, BEARING, "soft ground"))
    search = search_of(COMPUTED, residual=WIDE)
    found = search.dates()

    assert isinstance(found, Found)
    assert found.dated[2].governs == BEARING
    dates = [one.date for one in found.dated]
    reached = [search.ground.gain_at((*dates[:2], dates[2] - less)) for less in (0, 1)]
    assert reached[0] >= 2.0 > reached[1]


def test_stage_that_no_strength_helps_has_no_programme() -> None:
    nothing = nothing_in(COMPUTED)

    assert nothing.place == "Final"
    assert "Soft ground between the columns while a lift is placed" in nothing.why


def test_section_without_values_of_consolidation_is_refused_with_the_reason() -> None:
    with pytest.raises(OpenError, match=r"Not given: coefficient of horizontal consolidation of “Peat”"):
        search_of(('c_h = "0.6 m^2/a"\n', ""))


def test_dates_that_do_not_settle_end_after_some_rounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """One round alone: the dates are those of the model as typed, and the run of all chapters has the last word."""
    monkeypatch.setattr(shortest, "ROUNDS", 0)
    found = search_of().dates()

    assert isinstance(found, Found)
    assert found.proposal.starts == (0.0, 26.0, 48.0)


@pytest.mark.slow
def test_traffic_alone_begins_with_the_hand_over(marsh: Design) -> None:
    """Southern rise of the example: with traffic on an earlier day part of its settlement was lost (day 95)."""
    section = marsh.sections[2]
    search = Search(marsh, section, Wish())
    found = search.dates()
    assert isinstance(found, Found)
    *starts, hand_over = (one.date for one in found.dated)

    def left(day: float) -> float:
        done = chapters(*with_dates(marsh, "C", (*starts[:3], day - 1, day - 0.5, day), day), until="bearing")
        return 1000 * float(done["bearing"].scopes["rest"]["s_resb"].at(scenario=AS_GIVEN).array)

    assert hand_over == starts[-1] == starts[-2] + 1 == 106
    assert [one.governs for one in found.dated[-3:]] == [OPENING, OPENING, "residual settlement"]
    assert left(106) <= 140 < left(105)
    [residual] = found.dated[-1].conditions
    assert residual.reached == pytest.approx(left(106), abs=0.01)
    assert residual.low is not None
    assert residual.low > residual.reached


@pytest.mark.slow
def test_stage_that_counts_with_a_ratio_waits_for_it() -> None:
    """Without a degree asked for the last stage would follow at once: its ratio has not come by then."""
    little = ('c_u_gain = "2 kPa"', 'c_u_gain = "0.01 kPa"')  # else its gain is what it waits for
    change = ("n_stability = 1.5\n", "n_stability = 6.0\n")
    found, plain = found_in(change, little, residual=WIDE), found_in(little, residual=WIDE)
    design = design_of(change, little, residual=WIDE)
    dates = [one.date for one in found.dated]

    def state(*moved: float) -> str:
        done = chapters(*with_dates(design, "A", moved[:-1], moved[-1]), until="consolidation")
        [verdict] = [verdict for verdict in done["consolidation"].verdicts if verdict.key == "ratio_before"]
        return verdict.state

    assert found.dated[2].governs == "stress ratio"
    assert dates[2] > plain.dated[2].date
    assert (state(*dates), state(*dates[:2], dates[2] - 1, dates[3])) == ("pass", "fail")
