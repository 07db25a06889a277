"""The ground under a filling programme at any date: settlement, stress on the soil, ring tension, pore pressure.

One object holds what the unit cell gives after every step and how the excess pore pressure fades; it is asked for
dates. Leading axes of what it gives are the scenarios, the cases of how fast the water leaves.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas.consolidation import secondary_settlement
from calc.formulas.staged import middle_of_filling
from calc.procedures.consolidation_response import Response
from calc.procedures.failures import ProcedureError
from calc.procedures.sleeve_in_time import Stiffness
from calc.procedures.staged_course import Course, Programme, Walk, hold_on_unloading, walk

Floats = NDArray[np.float64]

METHOD = "exact integration between the starts and ends of the steps, each with its own age"
PRIMARY = 0.95  # degree at which primary consolidation ends; the rule is printed with the formula
ROUNDING = 1e-9  # m, by which settlements that are the same may differ
LATEST = 365_250.0  # day; what needs longer than a thousand years is not reached
PARTS, ROUNDS = 40, 5  # of narrowing a date, to 4 minutes
MOST_STEPS, NEAR = 100, 1e-12  # of finding the end of primary settlement, to this share of the date


@dataclass(frozen=True)
class GroundInTime:
    """Final values after each step with the stiffness of the sleeve at the end of construction and in the long term.

    ``settled`` and ``settled_long`` (m) and ``pressure`` (kPa, at loading without drainage) have the shape (steps,
    layers), ``soil_stress`` (kPa) (positions, steps, layers); ``secondary`` (m per tenfold time) has one number for
    each layer. ``tensions`` (kN/m) and ``permanent`` (m, what counts as settled at hand-over: without traffic) have the
    shape (stiffnesses, steps, layers), as ``stiffness`` has been solved for. ``last_fill`` is the step that places the
    last fill, ``swelling`` the share of settlement that comes back under less load. ``slack`` (steps, layers) says
    where the sleeve has no tension under a step: what that step adds goes by the response ``loose`` of columns without
    a sleeve. Where the last stages bring traffic alone, ``works_end`` is their end (day) and ``opening`` the number of
    steps among them: they go with the hand-over.
    """

    programme: Programme
    response: Response
    settled: Floats
    settled_long: Floats
    soil_stress: Floats
    tensions: Floats
    permanent: Floats
    pressure: Floats
    secondary: Floats
    stiffness: Stiffness
    hand_over: float
    life: float
    last_fill: int = -1
    swelling: float = 0.0
    slack: NDArray[np.bool_] | None = None
    loose: Response | None = None
    works_end: float | None = None
    opening: int = 0

    @property
    def end_of_life(self) -> float:
        """End of the design life, which begins at handing over (day)."""
        return self.hand_over + self.life

    @property
    def unloads(self) -> bool:
        """Whether the final settlement falls in a step, by more than rounding."""
        return bool((np.diff(np.stack([self.settled, self.settled_long]), axis=-2) < -ROUNDING).any())

    def with_dates(
        self, begin: tuple[float, ...], end: tuple[float, ...], hand_over: float, works_end: float
    ) -> "GroundInTime":  # fmt: skip
        """The same steps at other dates (day)."""
        ends = None if self.works_end is None else works_end
        return replace(self, programme=Programme(begin, end), hand_over=hand_over, works_end=ends)

    def of_scenario(self, place: int) -> "GroundInTime":
        """The same for one course alone, which keeps its axis."""
        return replace(
            self,
            response=self.response.of_case(place),
            loose=self.loose and self.loose.of_case(place),
        )

    def settlement_at(self, times: ArrayLike, *, long: bool = False, scenario: int | None = None) -> Course:
        """Primary settlement of the layers; ``total()`` of it is that of the ground."""
        return self._follow(self._held_long if long else self._held_short, times, scenario)

    def stress_gain_at(self, times: ArrayLike) -> Floats:
        """Effective vertical stress gained in the soil (kPa), shape (scenarios, positions, times, layers)."""
        parts = [self._follow(law, times).value() for law in self.soil_stress]
        return np.stack(parts, axis=-3)

    def tension_at(self, times: ArrayLike) -> Floats:
        """Ring tension (kN/m) with the short-term stiffness, the largest, shape (scenarios, times, layers).

        What has come does not go back.
        """
        return self._follow(self._hold(self.tensions[0], 0.0), times).value()

    def crept_tension_at(self, times: ArrayLike) -> Floats:
        """The same with the stiffness that the sleeve has at these times, to which its strain belongs."""
        at = np.asarray(times, dtype=np.float64).reshape(-1)
        weights = self.stiffness.weights(self.stiffness.at(at))
        parts = [self._follow(self._hold(law, 0.0), at).value() for law in self.tensions]
        return np.asarray(sum(weight[:, None] * part for weight, part in zip(weights, parts, strict=True)))

    def creep_at(self, times: ArrayLike) -> Floats:
        """Settlement (m) that creep of the sleeve has added since the hand-over, shape (scenarios, times)."""
        at = np.asarray(times, dtype=np.float64).reshape(-1)
        early, long = (self.settlement_at(at, long=is_long).total().value()[..., 0] for is_long in (False, True))
        return np.asarray(self.stiffness.creep_share(at, self.hand_over, self.end_of_life) * (long - early))

    def pressure_at(self, times: ArrayLike) -> Floats:
        """Mean excess pore pressure in the soil (kPa), shape (scenarios, times, layers)."""
        return self._follow(self.pressure, times).lag

    def drained_at(self, times: ArrayLike) -> Floats:
        """Degree of consolidation by pore pressure of the load placed so far, shape (scenarios, times, layers)."""
        return self._follow(self.pressure, times).degree_of_current_load()

    @cached_property
    def middle(self) -> float:
        """Middle of the filling (day)."""
        return float(middle_of_filling(self.programme.begin[0], self.end_of_fill))

    @property
    def end_of_fill(self) -> float:
        """End of the last step in which fill is placed (day)."""
        return self.programme.end[self.last_fill]

    @cached_property
    def primary_ends(self) -> Floats:
        """Date at which each layer has most of its primary settlement under the fill (day), shape (scenarios, layers).

        Later load, such as traffic, does not put it off; not before the filling ends.
        """
        filled = self._until(self.last_fill)
        wanted = PRIMARY * np.minimum(filled.settled[-1], self.settled[-1])
        walks = filled._walks(filled._held_short)  # noqa: SLF001 - of the same class
        shape = (*self.response.cases, self.response.layers)
        allowed = np.broadcast_to(filled._held_short[..., -1, :] - wanted, shape)  # noqa: SLF001

        def lag_at(dates: Floats) -> tuple[Floats, Floats]:
            lag, change = (sum(both) for both in zip(*(part.lag_after(dates) for part in walks), strict=True))
            return np.asarray(lag), np.asarray(change)

        filling = np.full(shape, self.end_of_fill)
        early = lag_at(filling)[0] <= allowed
        late = filling + 1 / float(self.response.slowest.min())
        while (lag_at(late)[0] > allowed).any():
            late = filling + 2 * (late - filling)
        # Layers that have settled early stay at the late date: near the filling every term counts.
        return np.where(early, filling, _date_of_lag(lag_at, allowed, np.where(early, late, filling), late))

    def _until(self, step: int) -> "GroundInTime":
        """The programme up to a step alone, with nothing after it."""
        count = self.programme.steps if step == -1 else step + 1
        return replace(
            self, programme=Programme(self.programme.begin[:count], self.programme.end[:count]),
            settled=self.settled[:count], settled_long=self.settled_long[:count],
            soil_stress=self.soil_stress[:, :count], tensions=self.tensions[:, :count],
            permanent=self.permanent[:, :count], pressure=self.pressure[:count],
            slack=None if self.slack is None else self.slack[:count],
        )  # fmt: skip

    def secondary_at(self, times: ArrayLike, scenario: int | None = None) -> Floats:
        """Secondary settlement (m), shape (scenarios, times, layers)."""
        since = np.asarray(times, dtype=np.float64)[:, None] - self.middle
        ends = self.primary_ends[_rows(scenario)][..., None, :] - self.middle
        return np.asarray(secondary_settlement(self.secondary, 1.0, since, ends))

    def handed_over_at(self, times: ArrayLike, scenario: int | None = None) -> Floats:
        """Primary settlement (m) that counts as settled at a hand-over at these times, shape (scenarios, times)."""
        at, ground = np.asarray(times, dtype=np.float64).reshape(-1), self._before_opening
        if self.works_end is None:
            return ground.counted_at(self.permanent[1], at, scenario)
        ends = np.maximum(at - (self.hand_over - self.works_end), self.stiffness.times[0])
        weights = self.stiffness.weights(self.stiffness.at(ends))
        return np.asarray(
            sum(
                weight * ground.counted_at(law, at, scenario)
                for weight, law in zip(weights, self.permanent, strict=True)
                if weight.any()
            )
        )

    def residual_at(self, times: ArrayLike, scenario: int | None = None) -> Floats:
        """Settlement (m) from a hand-over at these dates to the end of a design life then begun, (scenarios, times).

        Traffic alone goes with the hand-over, and with it the stiffness that the sleeve has when the works end. Of one
        ``scenario`` alone where it is given, which keeps its axis.
        """
        at = np.asarray(times, dtype=np.float64).reshape(-1)
        end = at + self.life
        settled = self._before_opening.settlement_at(end, long=True, scenario=scenario).total().value()[..., 0]
        after = settled + self._traffic_settlement[_rows(scenario)]
        before = self.handed_over_at(at, scenario)
        secondary = self.secondary_at(end, scenario) - self.secondary_at(at, scenario)
        return np.asarray(after - before + secondary.sum(axis=-1))

    def counted_at(self, law: Floats, at: Floats, scenario: int | None = None) -> Floats:
        """Course of the settlement of all layers by a law, of the steps that this ground has."""
        course_of_law = law[: self.programme.steps]
        return self._follow(self._hold(course_of_law, self.swelling), at, scenario).total().value()[..., 0]

    @property
    def _apart(self) -> int:
        """Steps at the end that bring traffic alone; none are taken apart where load comes off."""
        return 0 if self.unloads else self.opening

    @cached_property
    def _before_opening(self) -> "GroundInTime":
        return self._until(self.programme.steps - self._apart - 1)

    @cached_property
    def _traffic_settlement(self) -> Floats:
        """Settlement (m) of traffic alone at the end of the design life, shape (scenarios, 1)."""
        first = self.programme.steps - self._apart
        if first == self.programme.steps:
            return np.zeros((*self.response.cases, 1))
        dates = [tuple(day - self.hand_over for day in days[first:])
                 for days in (self.programme.begin, self.programme.end)]  # fmt: skip
        law = self.settled_long[first:] - self.settled_long[first - 1]
        slack = None if self.slack is None else self.slack[first:]
        ground = replace(self, programme=Programme(dates[0], dates[1]), slack=slack, swelling=0.0)
        return ground.counted_at(law, np.array([self.life]))

    def earliest_hand_over(self, residual: float) -> Floats:
        """Earliest date, not before the filling ends, from which the residual settlement is not larger; NaN: none.

        Shape (scenarios,).
        """
        at_once, reached = (self.residual_at([date])[:, 0] <= residual for date in (self.end_of_fill, LATEST))
        dates = np.where(reached, self.end_of_fill, np.nan)
        for k in np.nonzero(reached & ~at_once)[0].tolist():  # each is asked for its own dates alone
            low, high = self.end_of_fill, LATEST
            for _ in range(ROUNDS):
                tried = low + (high - low) * np.linspace(0.0, 1.0, PARTS + 1)
                # The ends are known: the limit is kept at the late one and not at the early one.
                kept = [*(self.residual_at(tried[1:-1], k)[0] <= residual), True]
                low, high = tried[kept.index(True)], tried[kept.index(True) + 1]
            dates[k] = high
        return dates

    def steps_of_layer(self, layer: int, date: float) -> "StepsOfLayer":
        """What the settlement of a layer at a date (day) is made of, first course; steps must not go on then."""
        count = sum(begin < date for begin in self.programme.begin)
        law = np.broadcast_to(self._held_short, (*self.response.cases, *self._held_short.shape[-2:]))[0, :, layer]
        slack = np.zeros(count, dtype=bool) if self.slack is None else self.slack[:count, layer]
        radial = [
            None if response is None else (response.radial[:, 0, layer], response.shares[:, 0, layer])
            for response in (self.response, self.loose)
        ]
        return StepsOfLayer(
            begin=np.array(self.programme.begin[:count]), end=np.array(self.programme.end[:count]),
            added=np.diff(law, prepend=0.0)[:count], slack=slack, taut=radial[0], loose=radial[1],
            vertical=(self.response.vertical, self.response.weights[layer]),
        )  # fmt: skip

    @cached_property
    def _held_short(self) -> Floats:
        return self._hold(self.settled, self.swelling)

    @cached_property
    def _held_long(self) -> Floats:
        return self._hold(self.settled_long, self.swelling)

    def _hold(self, law: Floats, swelling: float) -> Floats:
        if not (np.diff(law, axis=-2) < 0).any():
            return law
        return hold_on_unloading(self.programme, self.response, law, swelling)

    def _follow(self, law: Floats, times: ArrayLike, scenario: int | None = None) -> Course:
        """Course of what has the final values of a law after the steps."""
        first, *more = (part.at(times, scenario) for part in self._walks(law))
        for part in more:
            first = Course(first.times, first.placed + part.placed, first.lag + part.lag, first.final + part.final)
        return first

    def _walks(self, law: Floats) -> list[Walk]:
        """What gives the course at any times in sum; every step by the response of the sleeve as it is under it."""
        if self.slack is None or self.loose is None:
            return [walk(self.programme, self.response, law)]
        early = np.where(self.slack, np.diff(law, axis=-2, prepend=0.0), 0.0).cumsum(axis=-2)
        return [walk(self.programme, self.loose, early), walk(self.programme, self.response, law - early)]


def _rows(scenario: int | None) -> slice:
    """The place of a scenario on its axis, all of it without one."""
    return slice(None) if scenario is None else slice(scenario, scenario + 1)


def _date_of_lag(
    lag_at: Callable[[Floats], tuple[Floats, Floats]], allowed: Floats, low: Floats, high: Floats
) -> Floats:  # fmt: skip
    """Date between two others (day) from which what lags is not more than allowed; ``ProcedureError`` without one."""
    at = 0.5 * (low + high)
    for _ in range(MOST_STEPS):
        lag, change = lag_at(at)
        there = lag <= allowed
        low, high = np.where(there, low, at), np.where(there, at, high)
        # Newton's method for the logarithm, late nearly a straight line, inside the bracket; else its middle.
        smooth = (lag > 0) & (allowed > 0) & (change < 0)
        ratio = np.divide(lag, allowed, out=np.ones_like(lag), where=smooth)
        after = at - np.divide(lag * np.log(ratio), change, out=np.full_like(lag, np.inf), where=smooth)
        after = np.where((after >= low) & (after <= high), after, 0.5 * (low + high))
        if (np.abs(after - at) <= NEAR * high).all():
            return np.asarray(after)
        at = after
    message = f"consolidation: the end of primary settlement is not found in {MOST_STEPS} steps"
    raise ProcedureError(message)


Exponentials = tuple[Floats, Floats]
"""Rates (1/day) and shares."""


@dataclass(frozen=True)
class StepsOfLayer:
    """Steps (day, m added finally, sleeve without tension) and exponentials of flow, with and without the sleeve."""

    begin: Floats
    end: Floats
    added: Floats
    slack: NDArray[np.bool_]
    taut: Exponentials | None
    loose: Exponentials | None
    vertical: Exponentials
