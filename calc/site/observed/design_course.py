"""What the design expects of every instrument under the programme as it was built."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

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
from calc.site.observed.works_dates import Works, works_of

say = words_of(__name__)

Floats = NDArray[np.float64]
SUBTLE = 1e-6  # day


class OpenSectionError(LookupError):
    """A section whose design gives no course to compare with."""


@dataclass(frozen=True)
class DesignCourse:
    """A section of the design with its sheets, its ground in time at the dates of the works, and these dates.

    ``works`` says where the dates come from, ``last`` is the day of the last reading. ``zones`` are those of the
    columns with their slip searches; their sheets stand in ``done`` as ``KEY.ZONE/chapter``.
    """

    design: Design
    section: Section
    done: dict[str, Sheet]
    known: Known
    calendar: Calendar
    works: Works
    last: float
    zones: tuple[Section, ...] = ()

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
        ground, plastic = (at_position(soil, self.design, self.section, self.done, place)
                           for soil in (known.ground, known.plastic))  # fmt: skip
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

    def expected(self, series: Series) -> Callable[[Floats], Floats] | None:
        """The readings of an instrument in time, (scenarios, days); None where nothing is expected of them."""
        known = self.at(series.offset)
        if series.quantity == "settlement":
            return known.settlement_at
        if series.depth is not None and series.quantity in {"pore pressure", "ring strain"}:
            layer, values = self.layer_at(series.depth), known.reading_at
            if series.quantity == "ring strain":
                values = known.strain_at
            return lambda days: np.asarray(values(days)[..., layer])
        if series.quantity == "pressure on soil":
            return lambda days: _soil(known, days)
        if series.quantity == "pressure on columns":
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
    design: Design, section: Section, done: dict[str, Sheet], fill: Series | None, last: float,
    zones: tuple[Section, ...] = (),
) -> DesignCourse:  # fmt: skip
    """The course of a section whose chapters are done; ``last`` is the day of the last reading of it."""
    kept = done["monitoring"].kept.get("known") if "monitoring" in done else None
    if not isinstance(kept, Known):
        raise OpenSectionError(say("open", key=section.key))
    if section.embankment.is_cored:
        raise OpenSectionError(say("cored", key=section.key))
    known, planned = kept, calendar(done)
    works = works_of(design, section, planned, fill, last)
    starts, ends = works.starts, works.ends
    late = max([0.0, *(end - plan for end, plan in zip(ends, planned.ends, strict=True))])
    hand_over = planned.hand_over + late
    days = Calendar(starts, ends, hand_over, hand_over + known.ground.life)
    steps = steps_of(section)
    begin, end = tuple(starts[k] for k in steps), tuple(ends[k] for k in steps)
    ground = known.ground.with_dates(begin, end, hand_over, ends[-1])
    plastic = known.plastic.with_dates(begin, end, hand_over, ends[-1])
    below = known.below_in_time and replace(known.below_in_time, programme=Programme(begin, end))
    return DesignCourse(design, section, done, replace(known, ground=ground, plastic=plastic, below_in_time=below),
                        days, works, last, zones)  # fmt: skip
