"""The run of all chapters has the last word: a stage that it finds too weak waits for the gain that it needs."""

from typing import Any

import pytest

from calc.study import confirm, shortest
from calc.study.conditions import Needed
from calc.study.confirm import Confirmed, confirm_dates, whole_run
from calc.study.counted_strength import BEARING, STABILITY, Rated, TooWeakError
from calc.study.shortest import Found, Nothing, Search
from tests.study.bank import design_of, found_in, search_of

COMPUTED = ('c_u_gain = "2 kPa"', 'c_u_gain = "consolidation"')
WIDE = (('settlement_residual = "60 mm"', 'settlement_residual = "500 mm"'),)  # dates need no search for the end then
MARK, STAGE = "a slip surface", "Final"


def confirm_it(search: Search) -> Confirmed | Nothing:
    found = search.dates()
    assert isinstance(found, Found)
    return confirm_dates(search, found, lambda _text: None)


@pytest.fixture
def slips(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """Slip surfaces that hold once the gain of the section at hand reaches a number."""
    state: dict[str, Any] = {"needed": 2.0, "asked": []}

    def rating(sheet: Any, stage: str) -> Rated:
        gain = float(sheet.scopes["undrained"]["Dc_u"].at(stage=stage).array)
        return Rated(1.5 if gain < state["needed"] else 0.9, MARK)

    def needed_gain(*arguments: Any) -> Needed:
        *_, place, kind, final, low = arguments
        state["asked"].append((place, kind, final > low))
        if state["needed"] > final:
            raise TooWeakError(STAGE, Rated(1.5, MARK), final)
        return Needed(state["needed"], kind, MARK)

    # The soft ground alone is too weak for the second half of the bank; here only slip surfaces ask for strength.
    monkeypatch.setattr(shortest, "needed_gain", lambda *_arguments: Needed(0.0, BEARING, "soft ground"))
    monkeypatch.setattr(confirm, "rating", rating)
    monkeypatch.setattr(confirm, "needed_gain", needed_gain)
    return state


def test_dates_that_the_run_confirms_stay_as_found(slips: dict[str, Any]) -> None:
    slips["needed"] = 0.0
    made = confirm_it(search_of(COMPUTED, *WIDE))

    assert isinstance(made, Confirmed)
    assert made.programme.dated == found_in(COMPUTED, *WIDE).dated
    assert [stage.start for stage in made.part.section.stages] == list(made.programme.proposal.starts)
    assert made.running > 0
    assert slips["asked"] == []


def test_stage_that_the_run_finds_too_weak_waits_until_its_gain_is_there(slips: dict[str, Any]) -> None:
    search = search_of(COMPUTED, *WIDE)
    early = search.dates()
    made = confirm_it(search)

    assert isinstance(early, Found)
    assert isinstance(made, Confirmed)
    assert slips["asked"] == [(2, STABILITY, True)]
    assert made.programme.dated[2].governs == STABILITY
    assert made.programme.dated[2].date > early.dated[2].date
    dates = tuple(one.date for one in made.programme.dated)
    assert search.ground.gain_at(dates[:3]) >= 2.0 > search.ground.gain_at((*dates[:2], dates[2] - 1))


def test_stage_that_stays_weak_is_left_to_the_verdicts_of_the_run(
    slips: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A gain that should have been enough and is not ends the search; the run says that it fails."""
    monkeypatch.setattr(confirm, "needed_gain", lambda *_arguments: Needed(0.1, STABILITY, MARK))

    assert isinstance(confirm_it(search_of(COMPUTED, *WIDE)), Confirmed)


def test_stage_that_no_strength_makes_stable_has_no_programme(slips: dict[str, Any]) -> None:
    slips["needed"] = 40.0
    made = confirm_it(search_of(COMPUTED, *WIDE))

    assert isinstance(made, Nothing)
    assert (made.place, made.why.partition(":")[0]) == (STAGE, MARK)


def test_gain_that_does_not_come_by_the_latest_date_has_no_programme(slips: dict[str, Any]) -> None:
    slips["needed"] = 3.5
    made = confirm_it(search_of(COMPUTED, *WIDE, latest=70.0))

    assert isinstance(made, Nothing)
    assert MARK in made.why
    assert "it would be met from day" in made.why


@pytest.mark.slow
def test_gains_are_those_of_low_c_h_with_and_without_caution(slips: dict[str, Any]) -> None:
    """The run credits the gain at the lower end of the range; caution changes degree and residual settlement alone."""
    given, low = (
        confirm_it(search_of(COMPUTED, *WIDE)),
        confirm_it(search_of(COMPUTED, *WIDE, cautious=True)),
    )

    assert isinstance(given, Confirmed)
    assert isinstance(low, Confirmed)
    assert low.programme.dated[2].date == given.programme.dated[2].date
    assert low.programme.dated[2].governs == STABILITY


def test_nothing_is_asked_of_slip_surfaces_where_no_stage_counts_on_the_computed_gain(slips: dict[str, Any]) -> None:
    slips["needed"] = 40.0

    assert isinstance(confirm_it(search_of(*WIDE)), Confirmed)


def test_runs_of_the_sections_are_one_run_with_the_dates_proposed() -> None:
    made = confirm_it(search_of(*WIDE))
    assert isinstance(made, Confirmed)

    run = whole_run(design_of(*WIDE), [made])

    assert [part.section.key for part in run.sections] == ["A"]
    assert tuple(stage.start for stage in run.design.sections[0].stages) == found_in(*WIDE).proposal.starts
    assert run.design.sha256 == design_of(*WIDE).sha256
    assert run.design.provenance["section.A.stage.1.start"].origin == "proposed"
