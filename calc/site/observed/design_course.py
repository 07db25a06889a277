"""What the design expects of every instrument under the programme as it was built."""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.expected import Known
from calc.chapters.shared.frame import CENTRE, LONG, SHOULDER, SLOPE, Frame, frame
from calc.chapters.shared.ground_in_time import at_position, with_factors
from calc.chapters.shared.programme import SETTLES, Calendar, calendar, steps_of
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.monitoring import pressure_on_soil
from calc.formulas.unit_cell import column_stress_increment
from calc.inputs import Design, Section
from calc.procedures.staged_course import Programme
from calc.site.observed.series import Series

say = words_of(__name__)

Floats = NDArray[np.float64]
FRESH = 14.0  # day before the last reading of a section, from which a reading says nothing of today: project rule
LIFT_SHARE = 0.05  # of a lift, by which readings of the fill may differ from its ends: project rule
FALLEN = 0.05  # of the highest fill read; where a reading lies lower by more, fill was taken off: project rule
SUBTLE = 1e-6  # day


class OpenSectionError(LookupError):
    """A section whose design gives no course to compare with."""


@dataclass(frozen=True)
class DesignCourse:
    """A section of the design with its sheets, its ground in time at the dates of the works, and these dates.

    ``read`` says of every step whether its dates are those of readings of the fill; ``last`` is the day of the last
    reading, ``note`` what is to be known of the dates, ``taken_off`` why the load placed is not known.
    """

    design: Design
    section: Section
    done: dict[str, Sheet]
    known: Known
    calendar: Calendar
    read: tuple[bool, ...]
    last: float
    note: str = ""
    taken_off: str = ""

    @property
    def shared(self) -> Frame:
        """Labels of stages and sublayers."""
        return frame(self.design, self.section)

    def at(self, offset: float) -> Known:
        """What readings at a distance from the axis follow from: centre, crest edge or mid-slope, the nearest."""
        place = position_of(self.section, offset)
        if place == CENTRE:
            return self.known
        known = self.known
        case = {**SETTLES, "position": place, "stiffness": LONG}
        cell = self.done["unit_cell"].scopes["settlement"]["Dsigma_0"]
        labels = [self.shared.stages[k + 1] for k in steps_of(self.section)]
        load = cell.at(**{axis: label for axis, label in case.items() if axis in cell.axis_names}, stage=labels).array
        ground, plastic = (at_position(one, self.design, self.section, self.done, place)
                           for one in (known.ground, known.plastic))  # fmt: skip
        return replace(known, ground=ground, plastic=plastic, load=load)

    def with_factors(self, known: Known, factors: Sequence[float]) -> Known:
        """The same for other factors on c_h in place of the scenarios."""
        ground = with_factors(known.ground, self.section, self.done, factors)
        return replace(
            known, ground=ground, plastic=replace(known.plastic, response=ground.response, loose=ground.loose)
        )

    def layer_at(self, depth: float) -> int:
        """Index of the sublayer at a depth (m)."""
        bottoms = np.array(self.shared.sublayers.bottom)
        return min(int(np.searchsorted(bottoms, depth)), len(bottoms) - 1)

    def layer_key(self, depth: float) -> str:
        """Key of the layer at a depth (m)."""
        return self.section.layers[self.shared.sublayers.layer[self.layer_at(depth)]].of

    @property
    def slowest(self) -> str:
        """Label of the sublayer with the least c_h, the deepest of them."""
        values = [self.section.layers[k].c_h or 0.0 for k in self.shared.sublayers.layer]
        return self.shared.layers[len(values) - 1 - int(np.argmin(values[::-1]))]

    def step_at(self, day: float) -> int:
        """Number of steps that have begun by a day."""
        return int(np.sum(np.array(self.known.ground.programme.begin) <= day + SUBTLE))

    def expected(self, one: Series) -> Callable[[Floats], Floats] | None:
        """The readings of an instrument in time, (scenarios, days); None where nothing is expected of them."""
        known = self.at(one.offset)
        if one.quantity == "settlement":
            return known.settlement_at
        if one.depth is not None and one.quantity in {"pore pressure", "ring strain"}:
            layer, values = self.layer_at(one.depth), known.reading_at
            if one.quantity == "ring strain":
                values = known.strain_at
            return lambda days: np.asarray(values(days)[..., layer])
        if one.quantity == "pressure on soil":
            return lambda days: _soil(known, days)
        if one.quantity == "pressure on columns":
            share = float(self.done["columns"]["a_E"].array)
            return lambda days: np.asarray(column_stress_increment(known.load_at(days), share, _soil(known, days)))
        return None


def _soil(known: Known, days: Floats) -> Floats:
    return np.asarray(pressure_on_soil(known.soil_at(days), known.ground.pressure_at(days)[..., 0]))


def position_of(section: Section, offset: float) -> str:
    """The position across that a distance from the axis (m) is nearest to."""
    bank = section.embankment
    edge = bank.crest_width / 2
    slope = bank.slope_right if offset > 0 else bank.slope_left
    places = {CENTRE: 0.0, SHOULDER: edge, SLOPE: edge + slope * bank.height / 2}
    return min(places, key=lambda place: abs(places[place] - abs(offset)))


def course_of(
    design: Design, section: Section, done: dict[str, Sheet], fill: Series | None, last: float
) -> DesignCourse:
    """The course of a section whose chapters are done; ``last`` is the day of the last reading of it."""
    found = done["monitoring"].kept.get("known") if "monitoring" in done else None
    if not isinstance(found, Known):
        raise OpenSectionError(say("open", key=section.key))
    known, planned = found, calendar(done)
    starts, ends, read, note = _works(section, planned, fill)
    lower, taken_off = _lower(design, fill) if any(read) else ("", "")
    late_fill = _stale(design, fill, last) if any(read) else ""
    note = " ".join(text for text in (note, lower, late_fill) if text)
    late = max([0.0, *(end - plan for end, plan in zip(ends, planned.ends, strict=True))])
    hand_over = planned.hand_over + late
    days = Calendar(starts, ends, hand_over, hand_over + known.ground.life)
    steps = steps_of(section)
    begin, end = tuple(starts[k] for k in steps), tuple(ends[k] for k in steps)
    ground = known.ground.with_dates(begin, end, hand_over, ends[-1])
    plastic = known.plastic.with_dates(begin, end, hand_over, ends[-1])
    below = known.below_in_time and replace(known.below_in_time, programme=Programme(begin, end))
    return DesignCourse(design, section, done, replace(known, ground=ground, plastic=plastic, below_in_time=below),
                        days, read, last, note, taken_off)  # fmt: skip


def _lower(design: Design, fill: Series | None) -> tuple[str, str]:
    """What readings of the fill that lie below an earlier one make of the dates, and of the load."""
    if fill is None or not fill.used.days.size:
        return "", ""
    days, values = fill.used.days, fill.used.values
    drop = np.maximum.accumulate(values) - values
    worst = int(np.argmax(drop))
    if drop[worst] <= 0:
        return "", ""
    by, date = f"{drop[worst]:.2f}", calendar_day(design, float(days[worst]))
    if drop[worst] > FALLEN * float(values.max()):
        return "", say("taken-off", drop=by, date=date, share=f"{100 * FALLEN:.0f}")
    return say("lower", drop=by, date=date), ""


def _stale(design: Design, fill: Series | None, last: float) -> str:
    """What is said where the fill was last read long before the last reading."""
    read = float(fill.used.days[-1]) if fill is not None and fill.used.days.size else last
    if read >= last - FRESH:
        return ""
    return say("stale", date=calendar_day(design, read), days=f"{last - read:.0f}")


def calendar_day(design: Design, day: float) -> str:
    """The day of the calendar of a day from the start of works."""
    assert design.observed is not None  # noqa: S101 - without it nothing is observed
    return (design.observed.start + dt.timedelta(days=int(np.floor(day + SUBTLE)))).isoformat()


def _works(
    section: Section, planned: Calendar, fill: Series | None
) -> tuple[tuple[float, ...], tuple[float, ...], tuple[bool, ...], str]:
    """Starts and ends of the stages: by the fill where it was read, later ones put off by its delay."""
    count = len(section.stages)
    none = (planned.starts, planned.ends, (False,) * count)
    if fill is None or not fill.used.days.size:
        return *none, say("no-fill")
    base = section.platform.thickness if section.platform is not None else 0.0
    heights = [0.0, *(base + stage.fill_height for stage in section.stages)]
    if any(after < before for before, after in pairwise(heights)):
        return *none, say("fill-taken-off")
    days, level = fill.used.days, np.maximum.accumulate(fill.used.values)
    starts, ends, read = list(planned.starts), list(planned.ends), [False] * count
    late = 0.0
    for k in range(count):
        low, high = heights[k], heights[k + 1]
        begun = high > low and float(level[-1]) > low + LIFT_SHARE * (high - low)
        if begun:
            starts[k], ends[k] = _lift(days, level, low, high, section.stages[k].duration)
            starts[k] = max(starts[k], ends[k - 1] if k else 0.0)
            ends[k], read[k] = max(starts[k], ends[k]), True
        else:
            # What has not begun is put off as far as the works are late, and lies behind the last reading of the fill.
            begins = max(planned.starts[k] + late, ends[k - 1] if k else 0.0)
            starts[k] = max(begins, float(days[-1])) if high > low else begins
            ends[k] = starts[k] + section.stages[k].duration
        late = max(late, ends[k] - planned.ends[k])
    return tuple(starts), tuple(ends), tuple(read), ""


def _lift(days: Floats, level: Floats, low: float, high: float, planned: float) -> tuple[float, float]:
    """Start and end of a lift between two heights; one that is not finished goes on as planned."""
    margin = LIFT_SHARE * (high - low)
    first = _reaches(days, level, low + margin)
    if float(level[-1]) < high - margin:
        return first, float(days[-1]) + (high - float(level[-1])) / (high - low) * planned
    last = _reaches(days, level, high - margin)
    beyond = LIFT_SHARE / (1 - 2 * LIFT_SHARE) * (last - first)
    return max(0.0, first - beyond), last + beyond


def _reaches(days: Floats, level: Floats, height: float) -> float:
    """The day at which the fill reaches a height, on straight lines between its readings."""
    k = int(np.argmax(level >= height))
    if k == 0:
        return max(0.0, float(days[0]))
    share = (height - level[k - 1]) / (level[k] - level[k - 1])
    return max(0.0, float(days[k - 1] + share * (days[k] - days[k - 1])))
