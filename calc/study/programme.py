"""The shortest filling programme of a section: the earliest dates by its ground in time."""

from dataclasses import dataclass
from math import ceil

from calc.checks.frame import AS_GIVEN, LOW, frame
from calc.inputs import Design, Section
from calc.procedures.ground_in_time import LATEST
from calc.study.chapters import chapters
from calc.study.dates import with_dates
from calc.study.ground import RESIDUAL, Ground
from calc.study.proposal import Proposal
from calc.study.search import Condition, Dated, Dates, Grid, Order, Stuck, first_holding, shortest
from calc.study.strength import BEARING, TooWeakError, credited, needed_gain

ROUNDS = 5
HAND_OVER = "hand-over"


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
        stages, given = self.section.stages, self.section.consolidation
        names = [*(stage.name for stage in stages), HAND_OVER]
        typed = [*(stage.start for stage in stages), given.hand_over if given else self.dated[-1].date]
        ends = [one.date + stage.duration for one, stage in zip(self.dated, stages, strict=False)]
        waits = [None, *(one.date - end for one, end in zip(self.dated[1:], ends, strict=True))]
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
        self.design, self.section, self.wish = design, section, wish
        self.done = chapters(design, section, until="consolidation")
        if "course" not in self.done["consolidation"].scopes:
            notes = dict.fromkeys(verdict.note for verdict in self.done["consolidation"].verdicts)
            message = f"section {section.key}: consolidation is not settled. {' '.join(notes)}"
            raise OpenError(message)
        self.ground = Ground(design, section, self.done, LOW if wish.cautious else AS_GIVEN)

    def dates(self) -> Found | Nothing:
        """The earliest dates by what is known to be needed."""
        try:
            for place in credited(self.section):
                if place not in self.ground.needed:
                    self.ground.needed[place] = needed_gain(
                        self.design, self.section, self.done, place, BEARING, self.final(place)
                    )
        except TooWeakError as error:
            return Nothing(self.section, error.stage, str(error))
        found = self._settled()
        if isinstance(found, Stuck):
            return Nothing(self.section, _place(self.section, found.place), _why(self.ground, found, self.wish))
        steps, stages = self.ground.steps, range(len(self.section.stages))
        begun = [any(step < place for step in steps) for place in stages]
        degrees = [
            self.ground.degree(_dates(found)[: k + 1]).reached if placed else None for k, placed in enumerate(begun)
        ]
        return Found(self.section, found, tuple(degrees), self.ground.looked, self.ground.model.unloads)

    def final(self, place: int) -> float:
        """Gain (kPa) of a stage that waits without end."""
        return self.ground.gain_at((*(stage.start for stage in self.section.stages[:place]), LATEST))

    def _settled(self) -> tuple[Dated, ...] | Stuck:
        """Search again until the end of the works, which sets the stiffness of the sleeve, stays where it is."""
        count = len(self.section.stages)
        labels = [frame(self.design, self.section).stages[step + 1] for step in self.ground.steps]
        starts: Dates = ()
        found = shortest(*_bounds(self.section, self.wish), self.ground.checks)
        for _ in range(ROUNDS):
            before, starts = starts, _dates(found.found if isinstance(found, Stuck) else found)[:count]
            if starts == before or len(starts) < count:
                break
            trial = with_dates(self.design, self.section.key, starts, self.wish.latest)
            self.ground.settled(chapters(*trial, until="unit_cell")["unit_cell"], labels)
            found = shortest(*_bounds(self.section, self.wish), self.ground.checks)
        return found


def _dates(found: tuple[Dated, ...]) -> Dates:
    return tuple(one.date for one in found)


def _bounds(section: Section, wish: Wish) -> tuple[Order, Grid]:
    durations = tuple(stage.duration for stage in section.stages)
    order = Order(durations, (wish.least_wait,) * len(durations))
    return order, Grid(section.stages[0].start, wish.step, wish.latest)


def _place(section: Section, place: int) -> str:
    return section.stages[place].name if place < len(section.stages) else HAND_OVER


def _why(ground: Ground, stuck: Stuck, wish: Wish) -> str:
    """What is missing at the latest date, and whether any wait would bring it."""
    if stuck.check is None or stuck.condition is None:
        return f"The stages before leave no room: the earliest date is later than day {wish.latest:g}, the latest."
    before, check = _dates(stuck.found), stuck.check
    words = f"{_short(stuck.condition)} on day {stuck.latest:g}"
    if stuck.place == 0:
        return f"{words}; the first stage keeps its date, so no wait can bring it."
    if stuck.condition.kind == RESIDUAL:
        parts = ground.parts((*before, stuck.latest))
        words += f" ({', '.join(f'{value:.1f} mm {name}' for name, value in parts.items())})"
    first = first_holding(0, ceil(LATEST - stuck.latest), lambda days: check((*before, stuck.latest + days)).holds)
    if first is not None:
        return f"{words}, the latest; it would be met from day {stuck.latest + first:g} on."
    ever = check((*before, LATEST))
    return f"{words}, the latest; no wait brings it, in the end it is {ever.reached:.{ever.decimals}f} {ever.unit}."


def _short(condition: Condition) -> str:
    """By how much a condition is missed, in words."""
    digits, unit = condition.decimals, condition.unit
    reached, needed = f"{condition.reached:.{digits}f} {unit}", f"{condition.needed:.{digits}f} {unit}"
    if condition.most:
        return f"{condition.title} {reached}, {-condition.margin:.3g} {unit} above the limit of {needed}"
    return f"{condition.title} {reached}, {-condition.margin:.3g} {unit} short of {needed}"
