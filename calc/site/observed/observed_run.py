"""Files of readings against a design: everything that a section's readings say."""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from calc.chain import run_checks
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.observed import FILL, Observed
from calc.site.observed.columns_there import ColumnsKnown
from calc.site.observed.course_grid import grid_of
from calc.site.observed.crossings import Crossing, UnreadTrigger, crossings, doubtful_crossings, new_peaks
from calc.site.observed.design_course import DesignCourse, OpenSectionError, course_of, position_of
from calc.site.observed.next_lift import MUST_NOT, OPEN, Age, NextLift, next_lift, no_lift
from calc.site.observed.readings_file import Taken, read_files
from calc.site.observed.series import Peak, Series, common_peaks, instrument_quantities, series_of
from calc.site.observed.settlement_analysis import Analysis, analyse

if TYPE_CHECKING:  # it needs packages that readings do without
    from calc.site.installed.installed_run import Installation

say = words_of(__name__)

Floats = NDArray[np.float64]
Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Beside:
    """A reading and the range that is expected of it."""

    read: float
    low: float
    high: float

    @property
    def outside(self) -> bool:
        """Whether the reading lies outside the range."""
        return not self.low <= self.read <= self.high


@dataclass(frozen=True)
class ObservedSection:
    """A section with its readings; ``open`` says why its design gives nothing to compare with, with no more then."""

    section: Section
    series: tuple[Series, ...]
    course: DesignCourse | None
    crossed: tuple[Crossing, ...] = ()
    unread: tuple[UnreadTrigger, ...] = ()
    analyses: tuple[Analysis, ...] = ()
    lift: NextLift | None = None
    open: str = ""
    peaks: tuple[Peak, ...] = ()
    age: Age | None = None

    @property
    def verified(self) -> bool:
        """Whether there is a design to compare with, a reading for every red trigger, and a lift that is known of.

        Readings that are older than an answer counts verify nothing.
        """
        if self.age is not None and self.age.old:
            return False
        if self.course is None or self.unread or doubtful_crossings(self.crossed, self.course.last):
            return False
        if new_peaks(self.peaks, self.course.last):
            return False
        return self.lift is not None or no_lift(self.course)[1]

    @property
    def last(self) -> float:
        """Day of the last reading; no readings, no day."""
        return last_day(self.series)

    def last_beside(self, series: Series) -> "Beside | None":
        """The last reading of an instrument and what is expected of it; None where there is neither."""
        used = series.used
        expected = self.expected_at(series, used.days[-1:]) if used.days.size else None
        if expected is None:
            return None
        return Beside(float(used.values[-1]), float(expected.min()), float(expected.max()))

    def expected_at(self, series: Series, days: Floats) -> Floats | None:
        """What is expected of an instrument, (scenarios, days)."""
        course = self.course.expected(series) if self.course is not None else None
        return None if course is None else course(days)


@dataclass(frozen=True)
class Observation:
    """What all files say; ``unmapped`` are sections without an instrument in the mapping, which nobody asked for.

    ``asked`` is the day of the question, None where the age of readings is not looked at; ``records`` are the files of
    installation records.
    """

    design: Design
    observed: Observed
    taken: Taken
    sections: tuple[ObservedSection, ...]
    unmapped: tuple[str, ...] = ()
    asked: dt.date | None = None
    records: tuple[str, ...] = ()

    @property
    def unwatched(self) -> tuple[str, ...]:
        """The unmapped sections whose plan has a red trigger: nobody knows whether it is crossed."""
        red = {section.key for section in self.design.stated if section.monitoring is not None
               and any(each.kind == "stop" for each in section.monitoring.triggers)}  # fmt: skip
        return tuple(key for key in self.unmapped if key in red)

    @property
    def outcome(self) -> str:
        """Pass, fail or incomplete, as the exit codes of the command say; red levels left behind fail nothing."""
        lifts = [part.lift.answer for part in self.sections if part.lift is not None]
        red = [crossing for part in self.sections for crossing in part.crossed if crossing.stands]
        if red or MUST_NOT in lifts:
            return "fail"
        whole = bool(self.sections) and not self.unwatched and not any(file.readings for file in self.taken.unread)
        return "pass" if whole and OPEN not in lifts and all(part.verified for part in self.sections) else "incomplete"


def observe(
    design: Design, observed: Observed, files: Sequence[Path], sections: Sequence[Section], tell: Tell, *, slip: bool,
    asked: bool = False, latest: dt.date | None = None, taken: Taken | None = None, on: dt.date | None = None,
    records: "Installation | None" = None,
) -> Observation:  # fmt: skip
    """Read files and compare them with the design, section by section.

    ``asked``: the sections are asked for by name; otherwise those without an instrument in the mapping are left out.
    ``latest`` is the last day that a reading can be of, tomorrow if it is not given; ``taken`` is what the files have,
    where somebody has read them before; ``on`` is the day of the question, ``records`` are those of installation.
    ``InputErrors`` where nothing can be read; ``CalculationError`` where the design has no solution.
    """
    if taken is None:
        taken = read_files(files, observed, instrument_quantities(design, observed), latest)
    every = series_of(design, observed, taken.readings, taken.conflicts)
    by_key = {
        section.key: [instrument for instrument in every if instrument.section == section.key]
        for section in design.stated
    }
    read = {key for key, own in by_key.items() if any(instrument.used.days.size for instrument in own)}
    wanted = tuple(section.without_slip() for section in sections if section.of in read)
    runs = run_checks(replace(design, sections=wanted), tell).sections if wanted else ()
    parts = {part.section.key: part for part in runs}
    columns = ColumnsKnown(observed, records, on)
    made, unmapped = list[ObservedSection](), list[str]()
    for section in sections:
        if (own := by_key.get(section.key)) is None:
            continue
        if section.key in read:
            tell(f"section {section.key}: readings")
            part = parts[section.key]
            of_zones = [zone for zone in runs if zone.section.zone and zone.section.of == section.key]
            done = {sheet.key: sheet for sheet in part.sheets}
            done |= {f"{zone.section.key}/{sheet.key}": sheet for zone in of_zones for sheet in zone.sheets}
            whole, *zones = (_divided(each, parts[each.key].section.halvings)
                             for each in (section, *section.by_zones()))  # fmt: skip
            made.append(observed_section(design, part.section, whole, done, own, slip=slip, zones=tuple(zones),
                                         columns=columns, on=on))  # fmt: skip
        elif own or asked:
            series = tuple(instrument.marked(None) for instrument in own)
            why = say("unread") if own else say("unmapped")
            made.append(ObservedSection(section, series, None, open=why))
        else:
            unmapped.append(section.key)
    return Observation(design, observed, taken, tuple(made), tuple(unmapped), on,
                       () if records is None else tuple(records.compared.records.files))  # fmt: skip


def _divided(section: Section, halvings: int) -> Section:
    """The section with its sublayers halved so often."""
    for _ in range(halvings):
        section = section.with_halved_sublayers()
    return section


def observed_section(
    design: Design, section: Section, whole: Section, done: dict[str, Sheet], own: Sequence[Series], *, slip: bool,
    zones: tuple[Section, ...] = (), columns: ColumnsKnown | None = None, on: dt.date | None = None,
) -> ObservedSection:  # fmt: skip
    """One section whose chapters are done without slip searches; ``whole`` and its ``zones`` are the same with them."""
    fill = next((instrument for instrument in own if instrument.quantity == FILL), None)
    last = last_day(own)
    try:
        course = course_of(design, section, done, fill, last, zones)
    except OpenSectionError as error:
        return ObservedSection(section, tuple(instrument.marked(None) for instrument in own), None, open=str(error))
    series, peaks = common_peaks([_marked(course, instrument) for instrument in own])
    analyses = _analyses(course, series)
    crossed, unread = crossings(course, series)
    age = None if on is None else age_of(design, last, on)
    lift = next_lift(course, whole, series, analyses, crossed, unread, peaks=peaks, slip=slip, columns=columns,
                     age=age)  # fmt: skip
    return ObservedSection(section, series, course, tuple(crossed), tuple(unread), tuple(analyses), lift, peaks=peaks,
                           age=age)  # fmt: skip


def age_of(design: Design, last: float, on: dt.date) -> Age:
    """How old the last reading of a section is on the day of the question."""
    assert design.observed is not None  # noqa: S101 - without it nothing is observed
    asked = float((on - design.observed.start).days)
    return Age(asked, asked - float(np.floor(last)), design.observed.longest_age)


def last_day(series: Sequence[Series]) -> float:
    """Day of the last reading from the start of works on; 0 without any."""
    return max((float(instrument.used.days[-1]) for instrument in series if instrument.used.days.size), default=0.0)


def _marked(course: DesignCourse, series: Series) -> Series:
    expected = course.expected(series)
    if expected is None:
        return series.marked(None)
    return series.marked(lambda days: np.asarray(expected(days)[0]))


def _analyses(course: DesignCourse, series: Sequence[Series]) -> list[Analysis]:
    """Every plate; plates at one position share the course of the design."""
    own = [plate for plate in series if plate.quantity == "settlement"]
    by_name: dict[str, Analysis] = {}
    for place in dict.fromkeys(position_of(course.section, plate.offset) for plate in own):
        here = [plate for plate in own if position_of(course.section, plate.offset) == place]
        days = np.unique(
            np.concatenate([np.linspace(0.0, course.calendar.hand_over, 80), *(plate.used.days for plate in here)])
        )
        grid = grid_of(course, course.at(here[0].offset), days.tolist())
        by_name |= {plate.name: analyse(course, grid, plate) for plate in here}
    return [by_name[plate.name] for plate in own]
