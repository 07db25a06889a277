"""The shortest filling programme of a section: the earliest dates by its ground in time."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import ceil, inf

from calc.chapters.shared.frame import AS_GIVEN, LOW, frame
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.procedures.ground_in_time import LATEST
from calc.study.chapters import chapters
from calc.study.conditions import RESIDUAL, Ground
from calc.study.counted_strength import BEARING, TooWeakError, needed_gain, stages_with_gain
from calc.study.date_search import (
    PARTS,
    Check,
    Condition,
    Dated,
    Dates,
    Grid,
    Order,
    Stuck,
    earliest_dates,
    first_holding,
    least_number,
)
from calc.study.proposal import Proposal
from calc.study.proposed_dates import with_dates

say = words_of(__name__)

ROUNDS = 5
HAND_OVER = "hand-over"
UNDATED = ("ground", "columns")  # chapters in which no date counts
CREEP = "creep of the sleeve"


@dataclass(frozen=True, slots=True)
class Wish:
    """What bounds the search: step of the dates, least wait after a stage, latest hand-over (day), c_h low."""

    step: float = 1.0
    least_wait: float = 0.0
    latest: float = 3652.5
    cautious: bool = False


@dataclass(frozen=True, slots=True)
class Found:
    """The earliest dates of a section, with the degree (%) at the start of each stage, and how much was looked at."""

    section: Section
    dated: tuple[Dated, ...]
    degrees: tuple[float | None, ...]
    looked: int
    unloads: bool = False

    @property
    def rows(self) -> tuple["Row", ...]:
        """The dates side by side with those typed."""
        stages, consolidation = self.section.stages, self.section.consolidation
        names = [*(stage.name for stage in stages), HAND_OVER]
        typed = [*(stage.start for stage in stages), consolidation.hand_over if consolidation else self.dated[-1].date]
        ends = [stage_date.date + stage.duration for stage_date, stage in zip(self.dated, stages, strict=False)]
        waits = [None, *(stage_date.date - end for stage_date, end in zip(self.dated[1:], ends, strict=True))]
        columns = zip(names, typed, self.dated, waits, (*self.degrees, None), strict=True)
        return tuple(Row(*cells) for cells in columns)

    @property
    def proposal(self) -> Proposal:
        """The dates alone."""
        *starts, hand_over = _dates(self.dated)
        return Proposal(self.section.key, tuple(starts), hand_over)


@dataclass(frozen=True, slots=True)
class Row:
    """One date: as typed and as found, the wait before it (day), the degree (%) there where something is placed."""

    name: str
    typed: float
    dated: Dated
    wait: float | None
    degree: float | None


@dataclass(frozen=True, slots=True)
class Nothing:
    """A section without a programme: where the search ends, why, and what a longer wait would bring."""

    section: Section
    place: str
    why: str


class OpenError(LookupError):
    """A section whose chapter on consolidation has no values to search with."""


class Search:
    """The search of one section; ``OpenError`` where consolidation is not settled.

    What bearing needs of a stage that counts on the computed gain is known from the start. A search for slip surfaces
    takes far longer: what stability needs is added once a run of all chapters shows that it needs more.
    """

    def __init__(self, design: Design, section: Section, wish: Wish) -> None:
        if section.columns.zones:
            names = ", ".join(zone.key for _, zone in section.columns.zones)
            message = f"section {section.key}: a programme is searched for one grid of columns, not by zones ({names})."
            raise OpenError(message)
        self.design, self.section, self.wish = design, section, wish
        if section.slopes or section.position:
            message = f"section {section.of}: dates are not searched where layers change their thickness across."
            raise OpenError(message)
        self.done = chapters(design, section, until="consolidation")
        if "course" not in self.done["consolidation"].scopes:
            notes = dict.fromkeys(verdict.note for verdict in self.done["consolidation"].verdicts)
            message = f"section {section.key}: consolidation is not settled. {' '.join(notes)}"
            raise OpenError(message)
        self.ground = Ground(design, section, self.done, LOW if wish.cautious else AS_GIVEN)
        self.cells: dict[float, Sheet] = {}  # unit cells by the start of the last stage, all that they know of dates

    def dates(self) -> Found | Nothing:
        """The earliest dates by what is known to be needed."""
        try:
            for place in stages_with_gain(self.section):
                if place not in self.ground.needed:
                    self.ground.needed[place] = needed_gain(
                        self.design, self.section, self.done, place, BEARING, self.final(place)
                    )
        except TooWeakError as error:
            return Nothing(self.section, error.stage, str(error))
        result = self._search_until_steady()
        if _at_hand_over(result) == RESIDUAL and not self.ground.opening:
            result = self._with_later_end(result)
        if isinstance(result, Stuck):
            names = [*(stage.name for stage in self.section.stages), HAND_OVER]
            return Nothing(self.section, names[result.place], _reason(self.ground, result, self.wish))
        steps, stages = self.ground.steps, range(len(self.section.stages))
        begun = [any(step < place for step in steps) for place in stages]
        degrees = [
            self.ground.degree(_dates(result)[: k + 1]).reached if placed else None for k, placed in enumerate(begun)
        ]
        stage_dates = self._with_low(result)
        return Found(self.section, stage_dates, tuple(degrees), self.ground.looked, self.ground.model.unloads)

    def _with_low(self, stage_dates: tuple[Dated, ...]) -> tuple[Dated, ...]:
        """The same, with what every condition reaches where c_h is at the lower end of its range."""
        if self.wish.cautious:
            return stage_dates
        dates = _dates(stage_dates)
        return tuple(
            replace(stage_date, conditions=tuple(
                replace(condition, low=self.ground.low(condition.kind, dates[: place + 1]))
                for condition in stage_date.conditions
            ))
            for place, stage_date in enumerate(stage_dates)
        )  # fmt: skip

    def final(self, place: int) -> float:
        """Gain (kPa) of a stage that waits without end."""
        return self.ground.gain_at((*(stage.start for stage in self.section.stages[:place]), LATEST))

    def _search_until_steady(self, last_from: float = -inf) -> tuple[Dated, ...] | Stuck:
        """Search again until the end of the works, which sets the stiffness of the sleeve, stays where it is."""
        count = len(self.section.stages)
        order, grid = self._bounds(last_from)
        starts: Dates = ()
        result = earliest_dates(order, grid, self._checks)
        for _ in range(ROUNDS):
            before, starts = starts, _starts(result)
            if starts == before or len(starts) < count:
                break
            self._end_works(starts)
            result = earliest_dates(order, grid, self._checks)
        return result

    def _checks(self, place: int) -> Sequence[Check]:
        """The checks of a place; where traffic goes with the hand-over, each hand-over has its own end of the works."""
        checks = self.ground.checks(place)
        if place < len(self.section.stages) or not self.ground.opening:
            return checks

        def residual(dates: Dates) -> Condition:
            self._end_works(dates[:-1])
            return self.ground.residual(dates)

        return [residual for _ in checks]

    def _end_works(self, starts: Dates) -> None:
        """Take the settlement with the stiffness that the sleeve has when these works end."""
        if starts[-1] not in self.cells:
            trial = with_dates(self.design, self.section.key, starts, self.wish.latest)
            early = {key: self.done[key] for key in UNDATED}
            self.cells[starts[-1]] = chapters(*trial, until="unit_cell", done=early)["unit_cell"]
        labels = [frame(self.design, self.section).stages[step + 1] for step in self.ground.steps]
        self.ground.take_settlement(self.cells[starts[-1]], labels)

    def _with_later_end(self, result: tuple[Dated, ...] | Stuck) -> tuple[Dated, ...] | Stuck:
        """The same, or with a later last stage where that brings the hand-over forward.

        The creep of the sleeve counts from the end of the works on: the later they end the less of it is left, which
        may outweigh what the last stage itself has still to settle.
        """
        _, grid = self._bounds()
        first = grid.number(_starts(result)[len(self.section.stages) - 1])
        low, high = first, grid.last if isinstance(result, Stuck) else grid.number(result[-1].date)
        for _ in range(ROUNDS):
            best = self._best_end(result, grid, low, high)
            again = self._search_until_steady(grid.date(best) if best > first else -inf)
            if isinstance(again, Stuck) or (not isinstance(result, Stuck) and again[-1].date >= result[-1].date):
                break
            # Another end changes the degrees before a little, and with them the other dates: look around once more.
            result, around = again, max(1, (high - first) // PARTS)
            low, high = max(first, best - around), min(grid.number(result[-1].date), best + around)
        self._end_works(_starts(result))
        return result

    def _best_end(self, result: tuple[Dated, ...] | Stuck, grid: Grid, low: int, high: int) -> int:
        """The first step of the last stage, from ``low`` to ``high``, with the earliest hand-over; the others stay."""
        before = _starts(result)[: len(self.section.stages) - 1]
        soonest = grid.last if isinstance(result, Stuck) else grid.number(result[-1].date)

        @cache
        def hand_over(number: int) -> float:
            nonlocal soonest
            value = self._hand_over((*before, grid.date(number)), grid, soonest)
            soonest = soonest if value == inf else min(soonest, ceil(value))
            return value

        best = least_number(hand_over, low, high)
        if hand_over(best) == inf:
            return low
        step = first_holding(low, best, lambda number: self._meets_limit((*before, grid.date(number)), grid, soonest))
        return step or best

    def _meets_limit(self, starts: Dates, grid: Grid, number: int) -> bool:
        """Whether these starts leave a residual settlement within its limit after a hand-over at a step."""
        self._end_works(starts)
        return self._first(starts, grid) <= number and self.ground.residual((*starts, grid.date(number))).holds

    def _first(self, starts: Dates, grid: Grid) -> int:
        """The first step that these starts leave for the hand-over."""
        return grid.number(starts[-1] + self.section.stages[-1].duration + self.wish.least_wait)

    def _hand_over(self, starts: Dates, grid: Grid, high: int) -> float:
        """The step of the hand-over after these starts, in parts of a step; without end where it is after ``high``."""
        if not self._meets_limit(starts, grid, high):
            return inf
        low = self._first(starts, grid)

        def residual_at(number: int) -> Condition:
            return self.ground.residual((*starts, grid.date(number)))

        first = first_holding(low, high, lambda number: residual_at(number).holds) or low
        if first == low:
            return low
        now, before = residual_at(first).margin, residual_at(first - 1).margin
        return first - now / (now - before)

    def _bounds(self, last_from: float = -inf) -> tuple[Order, Grid]:
        durations = tuple(stage.duration for stage in self.section.stages)
        waits = (self.wish.least_wait,) * len(durations)
        order = Order(durations, waits, last_from, CREEP, len(self.ground.opening))
        return order, Grid(self.section.stages[0].start, self.wish.step, self.wish.latest)


def _at_hand_over(result: tuple[Dated, ...] | Stuck) -> str:
    """What governs the hand-over, or is not met there; nothing where the search does not come as far."""
    if isinstance(result, Stuck):
        return result.condition.kind if result.condition else ""
    return result[-1].governs


def _starts(result: tuple[Dated, ...] | Stuck) -> Dates:
    """The starts found, without the hand-over."""
    return _dates(result.stage_dates) if isinstance(result, Stuck) else _dates(result)[:-1]


def _dates(stage_dates: tuple[Dated, ...]) -> Dates:
    return tuple(stage_date.date for stage_date in stage_dates)


def _reason(ground: Ground, stuck: Stuck, wish: Wish) -> str:
    """What is missing at the latest date, and whether any wait would bring it."""
    if stuck.check is None or stuck.condition is None:
        return say("no-room", latest=f"{wish.latest:g}")
    check = stuck.check
    words = say("on-day", shortfall=_shortfall(stuck.condition), day=f"{stuck.latest:g}")
    if stuck.place == 0:
        return say("first-stage", words=words)
    if stuck.condition.kind == RESIDUAL:
        parts = ground.parts(stuck.dates(stuck.latest))
        words += f" ({', '.join(say('part', value=f'{value:.1f}', name=name) for name, value in parts.items())})"
    first = first_holding(0, ceil(LATEST - stuck.latest), lambda days: check(stuck.dates(stuck.latest + days)).holds)
    if first is not None:
        sooner = say("sooner") if stuck.condition.kind == RESIDUAL else ""
        return say("met-later", words=words, day=f"{stuck.latest + first:g}", sooner=sooner)
    ever = check(stuck.dates(LATEST))
    return say("never", words=words, reached=f"{ever.reached:.{ever.decimals}f}", unit=ever.unit)


def _shortfall(condition: Condition) -> str:
    """By how much a condition is missed, in words."""
    digits, unit = condition.decimals, condition.unit
    reached, needed = f"{condition.reached:.{digits}f} {unit}", f"{condition.needed:.{digits}f} {unit}"
    by = f"{-condition.margin:.3g}"
    if condition.most:
        return say("above", title=condition.title, reached=reached, by=by, unit=unit, needed=needed)
    return say("short", title=condition.title, reached=reached, by=by, unit=unit, needed=needed)
