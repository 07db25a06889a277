"""The ground under a filling programme at any date: settlement, stress on the soil, ring tension, pore pressure.

One object holds what the unit cell gives after every step and how the excess pore pressure fades; it is asked for
dates. Leading axes of what it gives are the courses, the cases of how fast the water leaves.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas.consolidation import secondary_settlement
from calc.formulas.staged import middle_of_filling
from calc.procedures.consolidation_response import Response
from calc.procedures.staged_course import Course, Programme, follow, hold_on_unloading
from calc.procedures.staged_times import time_of_share

Floats = NDArray[np.float64]

METHOD = "exact integration between the begins and ends of the steps, each with its own age"
PRIMARY = 0.95  # degree at which primary consolidation ends; the rule is printed with the formula
LATEST = 365_250.0  # day; what needs longer than a thousand years is not reached
PARTS, ROUNDS = 40, 5  # of narrowing a date, to 4 minutes


@dataclass(frozen=True)
class GroundInTime:
    """Final values after each step with the stiffness of the sleeve at the end of construction and in the long term.

    ``settled`` and ``settled_long`` (m), ``tension`` (kN/m) and ``pressure`` (kPa, at loading without drainage) have
    the shape (steps, layers), ``soil_stress`` (kPa) (positions, steps, layers); ``secondary`` (m per tenfold time) has
    one number for each layer. ``last_fill`` is the step that places the last fill, ``swelling`` the share of settlement
    that comes back under less load.
    """

    programme: Programme
    response: Response
    settled: Floats
    settled_long: Floats
    soil_stress: Floats
    tension: Floats
    pressure: Floats
    secondary: Floats
    hand_over: float
    life: float
    last_fill: int = -1
    swelling: float = 0.0

    @property
    def end_of_life(self) -> float:
        """End of the design life, which begins at handing over (day)."""
        return self.hand_over + self.life

    @property
    def unloads(self) -> bool:
        """Whether the final settlement falls in a step."""
        return bool((np.diff(np.stack([self.settled, self.settled_long]), axis=-2) < 0).any())

    def with_dates(self, begin: tuple[float, ...], end: tuple[float, ...], hand_over: float) -> "GroundInTime":
        """The same steps at other dates (day)."""
        return replace(self, programme=Programme(begin, end), hand_over=hand_over)

    def settlement_at(self, times: ArrayLike, *, long: bool = False) -> Course:
        """Primary settlement of the layers; ``total()`` of it is that of the ground."""
        return self._follow(self._held_long if long else self._held, times)

    def stress_gain_at(self, times: ArrayLike) -> Floats:
        """Effective vertical stress gained in the soil (kPa), shape (courses, positions, times, layers)."""
        parts = [self._follow(law, times).value() for law in self.soil_stress]
        return np.stack(parts, axis=-3)

    def tension_at(self, times: ArrayLike) -> Floats:
        """Ring tension (kN/m), shape (courses, times, layers); what has come does not go back."""
        return self._follow(self._hold(self.tension, 0.0), times).value()

    def pressure_at(self, times: ArrayLike) -> Floats:
        """Mean excess pore pressure in the soil (kPa), shape (courses, times, layers)."""
        return self._follow(self.pressure, times).lag

    @cached_property
    def middle(self) -> float:
        """Middle of the filling (day)."""
        return float(middle_of_filling(self.programme.begin[0], self.filled))

    @property
    def filled(self) -> float:
        """End of the last step in which fill is placed (day)."""
        return self.programme.end[self.last_fill]

    @cached_property
    def primary_ends(self) -> Floats:
        """Date at which each layer has most of its final primary settlement (day), shape (courses, layers).

        Not before the filling ends.
        """
        law = np.maximum.accumulate(np.maximum(self._held, 0.0), axis=-2)
        # A layer that does not settle takes the age of the others as its own: it has no primary settlement to end.
        idle = law[..., -1:, :] <= 0
        found = time_of_share(self.programme, self.response, np.where(idle, law + 1.0, law), PRIMARY)
        return np.maximum(found, self.filled)

    def secondary_at(self, times: ArrayLike) -> Floats:
        """Secondary settlement (m), shape (courses, times, layers)."""
        since = np.asarray(times, dtype=np.float64)[:, None] - self.middle
        ends = self.primary_ends[..., None, :] - self.middle
        return np.asarray(secondary_settlement(self.secondary, 1.0, since, ends))

    def residual_at(self, times: ArrayLike) -> Floats:
        """Settlement (m) from handing over at these dates to the end of a design life then begun, (courses, times)."""
        at = np.asarray(times, dtype=np.float64).reshape(-1)
        end = at + self.life
        before = self.settlement_at(at).total().value()[..., 0] + self.secondary_at(at).sum(axis=-1)
        after = self.settlement_at(end, long=True).total().value()[..., 0] + self.secondary_at(end).sum(axis=-1)
        return np.asarray(after - before)

    def earliest_hand_over(self, residual: float) -> Floats:
        """Earliest date after the filling from which the residual settlement is not larger, NaN where none is found.

        Shape (courses,).
        """
        cases = self.response.cases[0]
        low, high = np.full(cases, self.programme.end[-1]), np.full(cases, LATEST)
        number = np.arange(cases)[:, None]
        reached = self.residual_at(high)[number, number][:, 0] <= residual
        at_once = self.residual_at(low)[number, number][:, 0] <= residual
        for _ in range(ROUNDS):
            dates = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, PARTS + 1)
            found = self.residual_at(dates).reshape(cases, cases, -1)[number[:, 0], number[:, 0]]
            first = np.argmax(found[:, 1:] <= residual, axis=-1)[:, None]
            low = np.take_along_axis(dates, first, axis=-1)[:, 0]
            high = np.take_along_axis(dates, first + 1, axis=-1)[:, 0]
        return np.where(reached, np.where(at_once, self.programme.end[-1], high), np.nan)

    @cached_property
    def _held(self) -> Floats:
        return self._hold(self.settled, self.swelling)

    @cached_property
    def _held_long(self) -> Floats:
        return self._hold(self.settled_long, self.swelling)

    def _hold(self, law: Floats, swelling: float) -> Floats:
        if not (np.diff(law, axis=-2) < 0).any():
            return law
        return hold_on_unloading(self.programme, self.response, law, swelling)

    def _follow(self, law: Floats, times: ArrayLike) -> Course:
        return follow(self.programme, self.response, law, times)
