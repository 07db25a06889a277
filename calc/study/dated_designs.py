"""Candidates whose filling programme is searched too: their earliest dates, and their run with these dates."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import inf
from pathlib import Path

import numpy as np

from calc.chain import CalculationError, Run
from calc.engine.sheet import Step
from calc.inputs import InputErrors, Section, read_design
from calc.inputs.tables.sizing import Programme
from calc.study.chapters import chapters
from calc.study.confirm import confirm_dates, whole_run
from calc.study.counted_strength import stages_with_gain
from calc.study.proposed_dates import with_dates
from calc.study.replay_plan import reads_of
from calc.study.shortest import Found, Nothing, OpenError, Search, Wish
from calc.study.whole_section import SETTLEMENT, Dated, Outcome, Task, rated_verdicts, refusing, run_one, settled_early

SAME = 1e-9  # relative; a verdict whose utilisation moves by more hangs on the dates
APART = 3.0  # times the dates typed, of the later of two runs with other dates; project rule


@dataclass(frozen=True, slots=True)
class Earliest:
    """The earliest hand-over of a candidate (day) by all but its slip surfaces: no programme of it is sooner.

    ``settlement`` is the primary one with these dates (m), None without a limit for it; ``why`` says what no wait
    satisfies, or why there is no run: then the hand-over never comes.
    """

    hand_over: float
    settlement: float | None = None
    why: str = ""
    without_programme: bool = False


def wish_of(programme: Programme) -> Wish:
    """What bounds the search of the dates of a candidate."""
    return Wish(programme.step, programme.least_wait, programme.latest, programme.cautious)


def earliest(task: Task) -> Earliest:
    """The earliest dates of a candidate without its slip surfaces; a function of its task alone."""
    try:
        search = _search_of(task)
        programme = search.dates()
        if isinstance(programme, Nothing):
            return Earliest(inf, None, _why(programme), without_programme=True)
        return Earliest(programme.proposal.hand_over, _settlement(search, programme))
    except (InputErrors, CalculationError, OpenError) as error:
        return Earliest(inf, None, refusing(error))


def dated_outcome(task: Task) -> Outcome:
    """Run a candidate with the earliest dates that satisfy every check through every chapter."""
    try:
        search = _search_of(task)
        programme = search.dates()
        if isinstance(programme, Nothing):
            return Outcome(refused=_why(programme), without_programme=True)
        if stages_with_gain(search.section):
            return _confirmed_outcome(search, programme)  # a stage that is not stable may wait for more strength
        return _closed_failure(search, programme) or settled_early(task, lambda: _confirmed_outcome(search, programme))
    except (InputErrors, CalculationError, OpenError) as error:
        return Outcome(refused=refusing(error))


def _closed_failure(search: Search, programme: Found) -> Outcome | None:
    """What the chapters without slip searches find failing with these dates, before any of those takes its time."""
    key = search.section.key
    trial, _ = with_dates(search.design, key, programme.proposal.starts, programme.proposal.hand_over)
    outcome = Outcome(tuple(rated_verdicts(run_one(trial, key, slip=False))))
    return outcome if outcome.failing else None


def _confirmed_outcome(search: Search, programme: Found) -> Outcome:
    made = confirm_dates(search, programme, lambda _: None)
    if isinstance(made, Nothing):
        return Outcome(refused=_why(made), without_programme=True)
    return Outcome(tuple(rated_verdicts(whole_run(search.design, [made]))), dated=_dates_of(made.programme))


def _search_of(task: Task) -> Search:
    assert task.programme is not None  # noqa: S101 - asked for these alone
    design = read_design(Path(task.folder), task.text.encode())
    section = next(section for section in design.sections if section.key == task.section)
    return Search(design, section, task.programme)


def _why(nothing: Nothing) -> str:
    return f"{nothing.place}: {nothing.why}"


def _settlement(search: Search, programme: Found) -> float | None:
    """The effect of the verdict on settlement with these dates."""
    *_, last = programme.proposal.starts
    trial = with_dates(search.design, search.section.key, programme.proposal.starts, programme.proposal.hand_over)
    sheet = search.cells.get(last) or chapters(*trial, until="unit_cell")["unit_cell"]
    room = SETTLEMENT.partition("/")[2]
    return next((verdict.effect for verdict in sheet.verdicts if verdict.key == room), None)


def _dates_of(programme: Found) -> Dated:
    """Starts and hand-over, and what every condition reaches where c_h is low."""
    rows = [(row.name, row.dated.date) for row in programme.rows]
    low = [
        (row.name, condition.title, low.margin, condition.unit)
        for row in programme.rows
        for condition in row.dated.conditions
        if condition.low is not None
        for low in [replace(condition, reached=condition.low)]
    ]
    return Dated(tuple(rows), tuple(low))


def hanging_verdicts(run: Run, section: str) -> frozenset[str]:
    """The verdicts of a run that hang on its dates: by its record, or because runs with other dates say so.

    The runs are those with the soonest dates that the stages allow, and with dates ``APART`` times as late.
    """
    part = run.sections[0]
    steps = {step.key: step for sheet in part.sheets for step in sheet.steps}
    hanging = {
        f"{sheet.key}/{verdict.key}"
        for sheet in part.sheets
        for verdict in sheet.verdicts
        if verdict.sides is None or any(_reads_dates(steps, side.step) for side in verdict.sides)
    }
    ratios = _ratios(run)
    for starts, hand_over in _other_dates(part.section):
        try:
            other = run_one(with_dates(run.design, section, starts, hand_over)[0], section, slip=False)
        except CalculationError:
            return frozenset(ratios)
        there = _ratios(other)
        hanging |= {key for key, ratio in ratios.items() if not _equal(ratio, there.get(key))}
    return frozenset(hanging)


def _ratios(run: Run) -> dict[str, float | None]:
    return {rating.key: rating.ratio for rating in rated_verdicts(run)}


def _equal(ratio: float | None, other: float | None) -> bool:
    if ratio is None or other is None:
        return ratio is other
    return bool(np.isclose(ratio, other, rtol=SAME, atol=0.0))


def _reads_dates(steps: Mapping[str, Step], key: str) -> bool:
    """Whether a step goes back to the start of a stage or to the hand-over, or to what the record does not hold."""
    pending, seen = [key], set[str]()
    while pending:
        at = pending.pop()
        if not at or at in seen:
            continue
        if at not in steps:
            return True
        seen.add(at)
        if any(_is_date(origin.path) for origin in steps[at].origins):
            return True
        pending += [value.step for value in reads_of(steps[at]).values()]
    return False


def _is_date(path: str) -> bool:
    return path == "consolidation.hand_over" or (path.startswith("stage.") and path.endswith(".start"))


def _other_dates(section: Section) -> Iterator[tuple[list[float], float]]:
    """The soonest dates that the stages allow, and later ones."""
    stages = section.stages
    starts = [stages[0].start]
    for stage in stages[:-1]:
        starts.append(starts[-1] + max(stage.duration, 1.0))
    yield starts, starts[-1] + max(stages[-1].duration, 1.0)
    assert section.consolidation is not None  # noqa: S101 - a search of dates asks for it
    first = stages[0].start
    yield ([first + APART * (stage.start - first) for stage in stages],
           first + APART * (section.consolidation.hand_over - first))  # fmt: skip
